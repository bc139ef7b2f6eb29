"""What was meant by the measurements of an old wheel that is like none in use: it is asked.

Two kinds of slip are undone: those of the pen and the unit (``old_wheel_slips``), and those of what
was measured: a girth written where a diameter is asked for, a radius, the gap between two rims for
the distance of their axes, one blank's number in another blank. What is left is asked of whoever
measured, with the value that it would be, at the blank where it stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from wheelgeo.check.finding import Finding, advice
from wheelgeo.design.model import Design
from wheelgeo.errors import DesignError, Fault
from wheelgeo.immutable import dataclass
from wheelgeo.tune.old_wheel_design import CALLED, OldWheelMeasured
from wheelgeo.tune.old_wheel_grooves import Values
from wheelgeo.tune.old_wheel_likely import (
    UNLIKELY,
    WHEEL_ROUND_MM,
    WHORL_ROUND_MM,
    girth_for_width,
    likely_instead,
    told_length,
    unlikely,
)
from wheelgeo.tune.old_wheel_reading import OldWheelReading, said
from wheelgeo.tune.old_wheel_slips import SLIPS, digits_exchanged
from wheelgeo.units.quantity import LENGTH_UNITS, times

_ROUND = (("wheel", "wheel", WHEEL_ROUND_MM), ("whorl", "whorl", WHORL_ROUND_MM),
          ("double", "bobbin's whorl", WHORL_ROUND_MM))  # fmt: skip
"""What may have been measured round instead of across, and how wide it is then at least, mm."""
RIMS_APART_MM = 50.0
"""The rims of wheel and whorl stand no nearer than that; common practice, no source."""
_ACROSS = (("girth", "wheel", "wheel"), ("whorl_girth", "whorl", "whorl"))
_WIDTHS = (("wheel", "wheel"), ("girth", "wheel's girth"), ("whorl", "whorl"),
           ("whorl_girth", "whorl's girth"))  # fmt: skip
_DEPTHS = (("groove", "depth of the wheel's groove"),
           ("whorl_groove", "depth of the whorl's groove"))  # fmt: skip
_DISTANCES = (("apart", "distance"), ("edge_to_edge", "gap between the rims"),
              ("over_axles", "distance over both axles"))  # fmt: skip
_EXCHANGED = (("wheel", "whorl"), ("girth", "whorl_girth"), ("groove", "whorl_groove"),
              ("mouth", "whorl_mouth"))  # fmt: skip


_TOGETHER = frozenset(
    {("wheel", "whorl"), ("girth", "whorl_girth"), ("girth", "whorl"), ("wheel", "whorl_girth")}
)
"""Sizes of wheel and whorl, which are exchanged with their grooves or not at all."""


@dataclass(frozen=True)
class Meant:
    """What a measurement may have been meant as.

    Attributes:
        key: the measurement, as ``OldWheelMeasured`` calls it; empty: several.
        words: what would have to be written, or what was measured instead.
        of: what that is the size of, where the words do not say it.
    """

    key: str
    words: str
    of: str = ""


@dataclass(frozen=True)
class Asked:
    """The question what was meant.

    Attributes:
        key: the measurement that most likely is not what was meant; empty: several, or none.
        words: the question; empty: nothing makes a wheel like those in use.
    """

    key: str
    words: str

    def asked_of(self, fault: Fault) -> Fault:
        """Return a fault that asks this, at its blank; as it is where there is nothing to ask."""
        return replace(fault, place=said(self.key), remedy=self.words) if self.words else fault


Variant = tuple[Meant, Design | None]


def what_was_meant(reading: OldWheelReading) -> Asked:
    """Return, as a question, with what a wheel comes out like those in use."""
    found = likely_instead(_variants(reading)) or likely_instead(_halves(reading))
    grouped: dict[str, list[str]] = {}
    for meant in found:
        grouped.setdefault(meant.of, []).append(meant.words)
    each = [f"{' or '.join(words)}{f' ({of})' if of else ''}" for of, words in grouped.items()]
    if not each:
        return Asked("", "")
    return Asked(found[0].key, f"did you mean {', or '.join(each)}?")


def looked_at(
    reading: OldWheelReading, design: Design, collide: tuple[Finding, ...]
) -> tuple[Finding, ...]:
    """Return the warnings on sizes that no wheel has, and the bodies that run into one another.

    Each asks what was meant instead, where something makes a wheel in use.

    Args:
        reading: what was measured.
        design: the wheel of it.
        collide: the faults of its bodies.
    """
    found = tuple({f.where: f for f in reversed(unlikely(design))}.values())[::-1]
    if not found and not collide:
        return ()
    how = what_was_meant(reading).words
    return tuple(replace(f, mend=advice(how)) if how else f for f in (*found, *collide))


def asks_what_was_meant(finding: Finding) -> bool:
    """Tell whether a finding of an old wheel is to be looked at before anything is cut by it."""
    if finding.rule == UNLIKELY:
        return True
    return finding.rule == "parts-collide" and finding.remedy.says.startswith("did you mean ")


def _variants(reading: OldWheelReading) -> Iterator[Variant]:
    """Yield each measurement with a slip undone, the commonest first."""
    for slip in SLIPS:
        if slip is digits_exchanged:
            yield from _mixed_up(reading)
        for key in (k for k in CALLED if k in reading.written):
            units = {w.unit for w in reading.written.values()} | {reading.measured.unit}
            for words, mm in slip(reading.written[key], units):
                meant = Meant(key, words, CALLED[key])
                yield meant, _with(reading, {key: round(mm, 9)})
    yield from _all_in_another_unit(reading)


def _all_in_another_unit(reading: OldWheelReading) -> Iterator[Variant]:
    """Yield all that is in millimetres in inches, and the other way round."""
    for unit, other in (("mm", "in"), ("in", "mm")):
        # Halves and eighths are of inches: they stay so where all others are of millimetres.
        same = {k: w for k, w in reading.written.items() if w.unit == unit
                and not (other == "mm" and w.is_fraction)}  # fmt: skip
        # A cord may tell its own unit, whatever rule lies on the bench; or none, as the others.
        for some in ({k: w for k, w in same.items() if k != "cord"}, same):
            if len(some) > 1:
                factor = LENGTH_UNITS[other]
                words = ", ".join(f"{w.figures} {other}" for w in some.values())
                values = {k: times(w.number, factor) for k, w in some.items()}
                yield Meant("", words), _with(reading, values)


# --- what was measured was another thing ----------------------------------------------------------


def _mixed_up(reading: OldWheelReading) -> Iterator[Variant]:
    """Yield the wheel with each measurement taken for what else may have been measured."""
    yield from _girths(reading)
    yield from _rim_to_rim(reading)
    yield from _folded(reading)
    yield from _exchanged(reading)


def _halves(reading: OldWheelReading) -> Iterator[Variant]:
    """Yield each diameter taken for a radius: asked where nothing else makes sense."""
    for key, what, _ in _ROUND:
        if key in reading.values:
            across = round(2.0 * reading.values[key], 9)
            words = f"{_as_typed(reading, key)} for half the {what}"
            whole = f"it is then {_told(reading, across)} across"
            yield Meant(key, f"{words} ({whole})"), _with(reading, {key: across})


def _girths(reading: OldWheelReading) -> Iterator[Variant]:
    """Yield a diameter that is a girth, of wheel, whorl or both; and a girth that is a diameter."""
    values = reading.values
    across = {key: (what, round(values[key] / math.pi, 9)) for key, what, least_mm in _ROUND
              if values.get(key, 0.0) >= math.pi * least_mm}  # fmt: skip
    typed = {key: _as_typed(reading, key) for key in across}
    for key, (what, mm) in across.items():
        words = girth_for_width(typed[key], what, _told(reading, mm))
        yield Meant(key, words), _with(reading, {key: mm})
    if len(across) > 1:
        names = " and ".join(f"the {what}" for what, _ in across.values())
        then = " and ".join(_told(reading, mm) for _, mm in across.values())
        words = f"{' and '.join(typed.values())} for the girths round {names} ({then} across)"
        yield Meant("", words), _with(reading, {key: mm for key, (_, mm) in across.items()})
    for girth, rim, what in _ACROSS:
        if girth in values:
            without = {key: mm for key, mm in values.items() if key != girth}
            yield (
                Meant(girth, f"{_as_typed(reading, girth)} for the width across the {what}"),
                _of(reading, {**without, rim: values[girth]}),
            )


def _rim_to_rim(reading: OldWheelReading) -> Iterator[Variant]:
    """Yield the distance of the axes taken as the gap between the two rims."""
    values = reading.values
    rims_known = all(
        rim in values or {girth, depth} <= values.keys()
        for rim, girth, depth in (("wheel", "girth", "groove"),
                                  ("whorl", "whorl_girth", "whorl_groove"))
    )  # fmt: skip
    if not rims_known or values.get("apart", 0.0) < RIMS_APART_MM:
        return
    others = {key: mm for key, mm in values.items() if key != "apart"}
    design = _of(reading, {**others, "edge_to_edge": values["apart"]})
    if design is not None:
        then = f"{_told(reading, design.shafts[1].at_mm[0])} from axle to spindle"
        yield Meant("apart", f"{_as_typed(reading, 'apart')} from rim to rim ({then})"), design


def _folded(reading: OldWheelReading) -> Iterator[Variant]:
    """Yield a joined band that fits taken as measured once, laid flat, from fold to fold."""
    if "fits" in reading.values and reading.kind.fits_as == "loop":
        twice = round(2.0 * reading.values["fits"], 9)
        typed, then = _told(reading, reading.values["fits"]), _told(reading, twice)
        words = f"{typed} from fold to fold, laid flat ({then} once round)"
        yield Meant("fits", words), _with(reading, {"fits": twice})


def _exchanged(reading: OldWheelReading) -> Iterator[Variant]:
    """Yield wheel and whorl, and any two sizes of which one stands in the other's blank."""
    values = reading.values
    pairs = [pair for pair in _EXCHANGED if all(key in values for key in pair)]
    swapped = {a: values[b] for pair in pairs for a, b in (pair, pair[::-1])}
    yield Meant("", "wheel and whorl the other way round"), _with(reading, swapped)
    blanks = [(size, what) for size, what in (*_WIDTHS, *_DEPTHS, *_DISTANCES) if size in values]
    for (one, what), (other, far) in combinations(blanks, 2):
        # Wheel and whorl are exchanged above, with their grooves.
        if (one, other) not in _TOGETHER:
            how = f"the {what} {_as_typed(reading, other)}, the {far} {_as_typed(reading, one)}"
            words = f"the {what} and the {far} the other way round ({how})"
            yield Meant(one, words), _with(reading, {one: values[other], other: values[one]})


def _with(reading: OldWheelReading, other: Values) -> Design | None:
    return _of(reading, {**reading.values, **other})


def _of(reading: OldWheelReading, values: Values) -> Design | None:
    try:
        return reading.design(values, "")
    except DesignError:
        return None


def _as_typed(reading: OldWheelReading, key: str) -> str:
    """Return a measurement as it was typed, without how sure it was."""
    if key in reading.written:
        written = reading.written[key]
        return f"{written.figures} {written.unit}"
    measured: OldWheelMeasured = reading.measured
    return str(getattr(measured, key)).strip()


def _told(reading: OldWheelReading, mm: float) -> str:
    """Return what a length would be, in the unit of whoever measured."""
    return told_length(mm, reading.kind.unit)
