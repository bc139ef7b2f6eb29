"""``wheelgeo make``: everything that goes to the bench."""

from __future__ import annotations
