"""An old wheel as a design file, with what nobody measured told in its comments."""

from __future__ import annotations

from wheelgeo.built.assumed import Assumption
from wheelgeo.tune.old_wheel import OldWheelAnswer
from wheelgeo.tune.old_wheel_design import OldWheelMeasured
from wheelgeo.units.quantity import INCHES
from wheelgeo.units.written import in_both, with_lengths


def old_wheel_text(found: OldWheelAnswer) -> str:
    """Return the text of an old wheel's file: its numbers, and above them where they are from."""
    measured = found.measured
    toml: str = found.wheel.to_toml()
    return _untrue(measured) + _derived(measured) + _assumed(found) + toml


def _untrue(told: OldWheelMeasured) -> str:
    """Return, as comments for a file, what was measured that no key of a design file holds."""
    named = {"least": "least diameter of the oval rim", "wobble": "the rim moves sideways in all",
             "eccentric": "the rim moves in and out in all"}  # fmt: skip
    lines = [f"# {what}: {_one_line(text)}" for key, what in named.items()
             if (text := getattr(told, key))]  # fmt: skip
    if not lines:
        return ""
    head = "# Measured too, over a turn; wheelgeo bands --wobble and its like tell what it does:"
    return "\n".join((head, *lines, "", ""))


def _derived(told: OldWheelMeasured) -> str:
    """Return, as comments for a file, where a distance comes from that was not measured itself."""
    lines: tuple[str, ...]
    if told.apart_by_fit:
        lines = (
            "# The distance of the axes is reckoned from a band that fits, "
            f"{_one_line(told.fits)}.",
            "# While that stands below under measured, it ties the distance to rims and stretch,",
            "# and the distance's own +- says only that nobody measured it: measure it, write it "
            "there.",
        )
    elif told.ways[:1] == ("edge_to_edge",):
        lines = (
            "# The distance of the axes is reckoned from the near edges of the rims, "
            f"{_one_line(told.edge_to_edge)}.",
            "# Its +- hangs on the rims'; a file takes each as measured by itself, so that its",
            "# commands tell more or less +- than wheelgeo bands did.",
        )
    else:
        return ""
    return "\n".join((*lines, "", ""))


def _assumed(answer: OldWheelAnswer) -> str:
    """Return, as comments for a file, what was taken because it was not measured."""
    assumed = (*answer.assumed, *answer.answer.bands[0].assumed, *answer.assumed_in_file)
    unit = answer.answer.design.unit
    lines = [f"# {a.what}: {taken_in(a, unit)} ({a.source})" for a in assumed]
    return "\n".join(("# Assumed, because it was not measured:", *lines, "", ""))


def taken_in(one: Assumption, unit: str) -> str:
    """Return what was taken; who measures in inches is told in inches first.

    Args:
        one: what was assumed.
        unit: of the wheel's file.
    """
    if unit not in INCHES:
        return one.taken
    return with_lengths(one.taken, lambda mm: in_both(mm, unit))


def _one_line(text: str) -> str:
    """Return what was typed as a comment can hold it."""
    return " ".join(text.split())
