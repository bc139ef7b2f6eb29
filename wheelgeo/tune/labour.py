"""How much work it is to make a part anew, so that a whorl is not ranked like a wheel."""

from __future__ import annotations

WHORL_MM = 100.0
"""A rim up to this is turned from one piece, as a whorl is."""
DISC_MM = 250.0
"""One up to this is a disc, glued up, sawn and trued; beyond it is a wheel's rim."""
HOURS = (1.0, 4.0, 16.0)
"""Hours of a whorl, a disc and a wheel's rim, which is two days; common practice, no source."""
WORKDAY_H = 8.0


def labour_h(rim_mm: float) -> float:
    """Return the hours that a pulley of such a rim takes to make; common practice, no source.

    Args:
        rim_mm: its rim, or its pitch diameter where only that is known.
    """
    whorl, disc, wheel = HOURS
    if rim_mm <= WHORL_MM:
        return whorl
    return disc if rim_mm <= DISC_MM else wheel


def work_in_words(hours: float) -> str:
    """Return hours of making as somebody says them: "2 h", "3 days"; empty for none."""
    if hours < WORKDAY_H:
        return f"{hours:g} h" if hours else ""
    days = hours / WORKDAY_H
    return f"{days:.0f} day{'' if round(days) == 1 else 's'}"
