"""How many wheels are drawn where a spread is found by drawing."""

from __future__ import annotations

TRIALS = 200_000
"""Wheels drawn for the ratio: JCGM 101:2008, 7.2.1, ten thousand times 1 / (1 - 95 %)."""

FEWEST_TRIALS = 10_000
MOST_TRIALS = 10_000_000
"""What may be asked for; the most takes some ten seconds and 100 MB."""

BAND_TRIALS = 20_000
"""Wheels drawn for each band, whose path takes longer."""
