"""What each dimension of a wheel may be off, and why: the inputs of ``tolerance``.

A general tolerance is what ISO 2768-1 allows where a drawing says nothing. A cord is bought, not
made to a drawing: its spread, and that of slip, are common practice and can be set. Every limit is
taken as the half-width of a rectangular distribution (JCGM 100:2008, 4.3.7).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import field

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design
from wheelgeo.drive.train import Solution
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.inputs import NamedInput, find_input, inputs
from wheelgeo.tune.iso2768 import (
    CLASSES,
    LARGEST_MM,
    SMALLEST_MM,
    ToleranceClass,
    angular_tolerance_deg,
    linear_tolerance_mm,
)
from wheelgeo.tune.wheels_at_once import length_keys, ratio_keys

_MOST_OF_IT = 0.9
"""A size may be off by this part of itself at most."""

PRACTICE = "common practice, no source"
PULL_SET = 0.2
"""Part of itself that the pull of a brake set by a knob may be off; common practice, no source."""
PULL_MEASURED = 0.1
"""The same of a strand's pull, read off a spring balance; common practice, no source."""


@dataclass(frozen=True)
class Allowed:
    """What may be off.

    Attributes:
        general: class of the general tolerances (ISO 2768-1).
        own: tolerances of one's own, plus or minus, by key, in the number's unit.
        cord: diameter of a cord, plus or minus, as a fraction.
        slip: slip of a band, plus or minus, as a fraction of itself.
        wear: by how much a cord becomes thinner in its life, as a fraction.
        growth: by how much a band becomes longer in its life, as a fraction.
    """

    general: ToleranceClass = "m"
    own: Mapping[str, float] = field(default_factory=dict)
    cord: float = 0.05
    slip: float = 0.5
    wear: float = 0.0
    growth: float = 0.0

    def __post_init__(self) -> None:
        for name in ("cord", "slip", "wear", "growth"):
            value = getattr(self, name)
            if not 0.0 <= value < 1.0:
                raise SearchError(f"{name} must be a fraction from 0 to 1, not {value:g}")
        for key, value in self.own.items():
            if not (math.isfinite(value) and value >= 0.0):
                raise SearchError(f'the tolerance of "{key}" cannot be {value:g}')


class Notes:
    """Collects what was taken where the file or the standard is silent: reason and keys."""

    def __init__(self) -> None:
        self._keys: dict[str, dict[str, None]] = {}

    def add(self, reason: str, key: str) -> None:
        """Note a reason for one more key."""
        self._keys.setdefault(reason, {})[key] = None

    def all(self) -> tuple[str, ...]:
        """Return one sentence a reason."""
        return tuple(f"{', '.join(keys)}: {reason}" for reason, keys in self._keys.items())


@dataclass(frozen=True)
class Uncertain:
    """One number that may be off.

    Attributes:
        key: its full key, as ``many`` knows it.
        what: how it is called in results, the shortest key.
        part: the pulley, shaft or band that it belongs to.
        value: its middle.
        tolerance: half the width of its range.
        unit: of both.
        source: where the tolerance comes from.
        made: it is a dimension that a more careful maker can hold closer.
    """

    key: str
    what: str
    part: str
    value: float
    tolerance: float
    unit: str
    source: str
    made: bool

    @property
    def standard_uncertainty(self) -> float:
        """Of a rectangular distribution."""
        return self.tolerance / math.sqrt(3.0)


def uncertain_of(
    solution: Solution, allowed: Allowed
) -> tuple[tuple[Uncertain, ...], tuple[str, ...]]:
    """Return every number that has a part in the ratio or a band's length, with its tolerance.

    Args:
        solution: the solved wheel.
        allowed: what may be off.

    Returns:
        The uncertain numbers, those of no width left out, and notes on what was taken where the
        standard or the file is silent.

    Raises:
        SearchError: a tolerance of one's own names no number, or one without a part in either.
    """
    notes = Notes()
    design = solution.design
    taking_part = _taking_part(solution)
    own = _own(design, allowed, taking_part)
    found = [
        *_dimensions(design, allowed, own, taking_part, notes),
        *_cords(design, allowed, own, notes),
        *_cutting(solution, allowed, notes),
        *_stretching(design, own),
        *_pulling(design, own),
    ]
    return tuple(d for d in found if d.tolerance > 0.0), notes.all()


def _taking_part(solution: Solution) -> set[str]:
    keys = ratio_keys(solution)
    for motion in solution.bands:
        keys |= length_keys(solution, motion)
    return keys | set(_set_by_hand(solution.design))


def _own(design: Design, allowed: Allowed, taking_part: set[str]) -> dict[str, float]:
    """Return one's own tolerances by full key."""
    own: dict[str, float] = {}
    for key, value in allowed.own.items():
        parameter = find_input(design, key)
        stretch = parameter.kind == "band" and parameter.field == "stretch"
        if parameter.full_key not in taking_part and not stretch:
            raise SearchError(f'"{key}" has no part in the ratio or in the length of a band')
        own[parameter.full_key] = value
    return own


_AS_MADE = (
    "how well it can be made was taken, not how well the file says it was measured, of which "
    "solve and measure tell"
)
"""Of a size that was measured: what is told here is how careful to be with a part made anew."""


# --- dimensions of wood and metal ----------------------------------------------------------------


def _dimensions(
    design: Design, allowed: Allowed, own: Mapping[str, float], taking_part: set[str],
    notes: Notes,
) -> Iterable[Uncertain]:  # fmt: skip
    for parameter in inputs(design):
        key = parameter.full_key
        if parameter.kind in ("band", "drag") or key not in taking_part or parameter.value is None:
            continue
        if key in own:
            yield _uncertain(parameter, _checked(parameter, own[key]), "your own")
        elif _is_made(design, parameter):
            if key in design.uncertainties:
                notes.add(_AS_MADE, parameter.key)
            tolerance, source = _general(design, parameter, allowed.general, notes)
            if tolerance > _room(parameter):
                tolerance = _room(parameter)
                notes.add("no more was taken than leaves something of it", parameter.key)
            yield _uncertain(parameter, tolerance, source)


def _room(parameter: NamedInput) -> float:
    """Return how far a number may be off and still make sense."""
    assert parameter.value is not None
    room = min(parameter.value - parameter.low, parameter.high - parameter.value)
    return room if parameter.low == 0.0 else _MOST_OF_IT * room


def _set_by_hand(design: Design) -> dict[str, float]:
    """Return what decides how a flyer winds on beside the ratio: by full key, what it may be off.

    A part of itself, or 0 where the general tolerances govern it.
    """
    if design.spindle.kind != "flyer" or design.bobbin is None:
        return {}
    brakes = {f"drag:{i}.pull": PULL_SET for i in range(1, len(design.drags) + 1)}
    measured = {
        f"band:{band.name}.pull": PULL_MEASURED for band in design.bands
        if band.tension is not None and band.tension.kind == "measured"
    }  # fmt: skip
    return {"bobbin:empty": 0.0, **brakes, **measured}


def _pulling(design: Design, own: Mapping[str, float]) -> Iterable[Uncertain]:
    """Yield the pulls that are set by hand, of brakes and of bands that were measured."""
    for key, part in _set_by_hand(design).items():
        if part > 0.0:
            number = find_input(design, key)
            assert number.value is not None
            if key in own:
                off, source = _checked(number, own[key]), "your own"
            elif key in design.uncertainties:
                # Half its width at 95 % is the standard uncertainty, as limits' over root 3 is.
                off = math.sqrt(3.0) / 2.0 * design.uncertainties[key]
                source = "as the file says it was measured"
            else:
                off, source = part * number.value, PRACTICE
            yield Uncertain(
                key, number.key, number.key.rpartition(".")[0], number.value, off, number.unit,
                source, made=False,
            )  # fmt: skip


def _checked(parameter: NamedInput, tolerance: float) -> float:
    if tolerance > _room(parameter):
        raise SearchError(
            f'"{parameter.key}" is {parameter.value:g} {parameter.unit}: it cannot be '
            f"{tolerance:g} {parameter.unit} off"
        )
    return tolerance


def _is_made(design: Design, parameter: NamedInput) -> bool:
    """Tell whether a general tolerance governs a number; a size of nought is no size."""
    given = parameter.field == "pitch" and not design.pulley(parameter.part).groove.can_be_cut
    if parameter.field.startswith("at."):
        return not _is_datum(design, parameter)
    return given or (parameter.tolerated is not None and parameter.value != 0.0)


def _uncertain(parameter: NamedInput, tolerance: float, source: str) -> Uncertain:
    assert parameter.value is not None
    return Uncertain(
        parameter.full_key, parameter.key, parameter.part or parameter.kind, parameter.value,
        tolerance,
        parameter.unit, source, made=True,
    )  # fmt: skip


def _general(
    design: Design, parameter: NamedInput, letter: ToleranceClass, notes: Notes
) -> tuple[float, str]:
    if parameter.tolerated == "angular":
        side = getattr(design.pulley(parameter.part).groove, "depth_mm", SMALLEST_MM)
        return angular_tolerance_deg(side, letter), f"ISO 2768-1, class {letter}, table 3"
    return _linear(parameter.key, _nominal_mm(design, parameter), letter, notes)


def _linear(key: str, nominal_mm: float, letter: ToleranceClass, notes: Notes) -> tuple[float, str]:
    """Return a general tolerance; where the class is silent, that of the nearest that is not."""
    size = min(max(nominal_mm, SMALLEST_MM), LARGEST_MM)
    if size != nominal_mm:
        notes.add("the end of its table was taken, ISO 2768-1 having none of their size", key)
    at = CLASSES.index(letter)
    for other in (*reversed(CLASSES[: at + 1]), *CLASSES[at + 1 :]):
        try:
            tolerance = linear_tolerance_mm(size, other)
        except SearchError:
            continue
        if other != letter:
            notes.add(f"class {other} was taken, class {letter} having none of their size", key)
        return tolerance, f"ISO 2768-1, class {other}"
    raise AssertionError(f"a class of ISO 2768-1 covers {size:g} mm")


def _nominal_mm(design: Design, parameter: NamedInput) -> float:
    """Return the length that is measured in making: a place counts from its datum."""
    assert parameter.value is not None
    if parameter.field.startswith("at."):
        return abs(parameter.value - _datum(design)["xyz".index(parameter.field[-1])])
    return abs(parameter.value)


def _datum(design: Design) -> tuple[float, float, float]:
    """Return where places are measured from: the corner of the case, or the driving shaft."""
    if design.case is not None:
        return design.case.corner_mm
    return design.shaft(design.drive.shaft).at_mm


def _is_datum(design: Design, parameter: NamedInput) -> bool:
    """Tell whether a shaft is what the others are measured from, or rides on one that is told."""
    shaft = design.shaft(parameter.part)
    first = next(s for s in design.shafts if s.at_mm == shaft.at_mm and s.axis == shaft.axis)
    return first.name != shaft.name or (design.case is None and shaft.name == design.drive.shaft)


# --- cords ---------------------------------------------------------------------------------------


def _cords(
    design: Design, allowed: Allowed, own: Mapping[str, float], notes: Notes
) -> Iterable[Uncertain]:
    for band in design.bands:
        at = f"band:{band.name}"
        spread = own.get(f"{at}.diameter")
        key = find_input(design, f"{at}.diameter").key
        if spread is None and f"{at}.diameter" in design.uncertainties:
            notes.add(_AS_MADE, key)
        yield Uncertain(
            f"{at}.diameter", key, band.name,
            band.diameter_mm, allowed.cord * band.diameter_mm if spread is None else spread, "mm",
            PRACTICE if spread is None else "your own", made=False,
        )  # fmt: skip
        yield Uncertain(
            f"{at}.wear", f"{band.name}.wear", band.name, allowed.wear / 2.0, allowed.wear / 2.0,
            "", "your own", made=False,
        )  # fmt: skip
        if band.slip is None:
            notes.add("no slip was taken, the file giving none", band.name)
        slip = band.slip or 0.0
        spread = own.get(f"{at}.slip")
        yield Uncertain(
            f"{at}.slip", f"{band.name}.slip", band.name, slip,
            allowed.slip * slip if spread is None else spread, "",
            PRACTICE if spread is None else "your own", made=False,
        )  # fmt: skip


def _cutting(solution: Solution, allowed: Allowed, notes: Notes) -> Iterable[Uncertain]:
    """Yield, for each band with a path, how far its cut length may be off, as a fraction."""
    for motion in solution.bands:
        if motion.path is None:
            continue
        band = motion.band
        cut = solution.built.bands[band.name].cut_length_mm(motion.path.length_mm)
        tolerance, source = _linear(f"{band.name}.cut_length", cut, allowed.general, notes)
        yield Uncertain(
            f"band:{band.name}.cut_length", f"{band.name}.cut_length", band.name,
            allowed.growth / 2.0, tolerance / cut + allowed.growth / 2.0, "",
            source if allowed.growth == 0.0 else f"{source}, and growth", made=True,
        )  # fmt: skip


def _stretching(design: Design, own: Mapping[str, float]) -> Iterable[Uncertain]:
    """Yield the stretch of bands that are pulled tight by feel, where its spread is given."""
    for band in design.bands:
        key = f"band:{band.name}.stretch"
        if key in own:
            yield Uncertain(
                key, f"{band.name}.stretch", band.name,
                build(design).bands[band.name].stretch.value, own[key], "", "your own", made=False,
            )  # fmt: skip
