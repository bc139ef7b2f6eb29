"""An old wheel as a design file, with what nobody measured told in its comments."""

from __future__ import annotations

from wheelgeo.built.assumed import Assumption
from wheelgeo.tune.old_wheel import OldWheelAnswer
from wheelgeo.tune.old_wheel_design import CALLED, OldWheelMeasured
from wheelgeo.units import as_on_the_rule, with_unit
from wheelgeo.units.quantity import INCHES
from wheelgeo.units.written import in_both, with_lengths


def old_wheel_text(found: OldWheelAnswer) -> str:
    """Return the text of an old wheel's file: its numbers, and above them where they are from."""
    measured = found.measured
    toml: str = found.wheel.to_toml()
    beside = f"# {unkept}\n\n" if (unkept := not_in_file(measured)) else ""
    return _untrue(measured) + _derived(measured) + beside + _assumed(found) + toml


def not_in_file(told: OldWheelMeasured) -> str:
    """Say which ways to the distance of the axes a file does not keep; empty: it keeps all.

    A band that fits is kept as measured; what is a distance in another way is no number of a wheel.
    """
    ways = [way for way in told.ways[1:] if way != "fits"]
    if not ways:
        return ""
    names = " and ".join(f"{CALLED[way]} ({_with_its_unit(told, way)})" for way in ways)
    are = "are" if len(ways) > 1 else "is"
    return (
        f"The file goes by {CALLED[told.ways[0]]}: {names} {are} not kept in it but in a comment, "
        "and nothing is checked by that."
    )


def _with_its_unit(told: OldWheelMeasured, key: str) -> str:
    return with_unit(as_on_the_rule(_one_line(getattr(told, key))), told.unit)


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
