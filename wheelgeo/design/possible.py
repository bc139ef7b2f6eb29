"""What a wheel must be in order to exist: the one owner of that question.

The reader asks it of what it could read of a file, ``put`` of a wheel with numbers set anew, every
search of what it is about to offer. A wheel may be a poor one and still exist: that is for the
rules of the check. What is refused here could not be made, or names what is not there.

Each rule is a small function of one part that yields faults. It may meet ``UNKNOWN`` where the
file could not be read, or where a value is out of its bounds; using that stops this one rule for
this one part, and every other rule still speaks.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, is_dataclass, replace
from functools import cached_property
from typing import Any

from wheelgeo.design.bounds import Written, wrong_values
from wheelgeo.design.file_forms import DESIGN
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.materials import BEARINGS, FIBRES, MATERIALS, Figure, Material, find_bearing
from wheelgeo.design.model import (
    Band,
    Bearing,
    Design,
    DragBrake,
    Groove,
    Pulley,
    Shaft,
)
from wheelgeo.design.places import Located, Place, in_words, input_name
from wheelgeo.errors import DesignError, Fault
from wheelgeo.geometry.groove import CutGroove
from wheelgeo.units.keys import keys_of
from wheelgeo.units.unknown import UNKNOWN, UnknownError
from wheelgeo.units.wording import nearest, shown, suggestion

_PARALLEL = 1e-9
"""Sine of the angle below which two axes are parallel."""
_SAME_MM = 1e-6
"""Places closer than this are the same, mm."""

Found = Iterator[Located]


def faults(design: Design) -> tuple[Fault, ...]:
    """Return everything that keeps a wheel from existing, each fault with the input at fault."""
    return tuple(_told(design, found) for found in impossible(design))


def must_exist(design: Design) -> Design:
    """Return the design, or raise the DesignError that holds every fault that it has."""
    found = faults(design)
    if found:
        raise DesignError(found)
    return design


def _told(design: Design, found: Located) -> Fault:
    place, says, remedy = found

    def name_of(key: str, index: int) -> str | None:
        attribute = next((k.attribute for k in DESIGN.keys if k.name == key), "")
        return getattr(getattr(design, attribute)[index], "name", None)

    return Fault(in_words(place, name_of), says, remedy, input_name(DESIGN, place, name_of))


def impossible(design: Design, written: Written | None = None) -> list[Located]:
    """Return the faults of a wheel by their places, in no order.

    Args:
        design: the wheel; what could not be read in it is ``UNKNOWN``.
        written: tells a value as its owner wrote it; None: as the design has it.
    """
    wrong = list(wrong_values(DESIGN, design, (), written or (lambda _: None)))
    for place, *_ in wrong:
        design = _without(design, place)
    return wrong + [found for rule in _every_rule(_Whole(design)) for found in _asked(rule)]


def _asked(rule: Found) -> Found:
    try:
        yield from rule
    except UnknownError:
        return  # what the rule hangs on is a fault already


def _without(part: Any, place: Place) -> Any:
    """Return a part with ``UNKNOWN`` at a place of the file; as it is where none is there."""
    if not place:
        return UNKNOWN
    step, rest = place[0], place[1:]
    if isinstance(part, tuple) and rest:
        return tuple(_without(p, rest) if i == step else p for i, p in enumerate(part))
    if not is_dataclass(part) or isinstance(part, type):
        return UNKNOWN
    name = next((k.attribute for k in keys_of(type(part)) if k.name == step), None)
    if name is None:  # a key that the file has under another name, such as that of a pull
        return UNKNOWN
    changes: dict[str, Any] = {name: _without(getattr(part, name), rest)}
    return replace(part, **changes)


@dataclass(frozen=True)
class _Whole:
    """A design with its parts by name, those left out whose name is not known."""

    design: Design

    def parts(self, attribute: str) -> Iterator[tuple[int, Any]]:
        """Yield index and part of a list, as far as they are known."""
        listed = getattr(self.design, attribute)
        if listed is not UNKNOWN:
            for index, part in enumerate(listed):
                if part is not UNKNOWN:
                    yield index, part

    def named(self, attribute: str) -> dict[str, Any]:
        """Return the parts of a list by name."""
        return {part.name: part for _, part in self.parts(attribute) if type(part.name) is str}

    @cached_property
    def shafts(self) -> dict[str, Shaft]:
        """The shafts by name."""
        return self.named("shafts")

    @cached_property
    def pulleys(self) -> dict[str, Pulley]:
        """The pulleys by name."""
        return self.named("pulleys")

    @cached_property
    def materials(self) -> dict[str, bool | None]:
        """For each material whether it is a cord; None where its kind is not known."""
        own = ((m.name, m.kind) for m in self.named("materials").values())
        return {**_SHIPPED, **{n: None if k is UNKNOWN else k == "cord" for n, k in own}}

    def rod_mm(self, pulley: Pulley) -> float:
        """Return the rod's diameter where a pulley sits, mm."""
        spindle = self.design.spindle
        if spindle is not UNKNOWN and spindle.sections and pulley.shaft == spindle.shaft:
            for section in spindle.sections:
                if section.from_mm <= pulley.offset_mm <= section.to_mm:
                    return section.diameter_mm
        shaft = self.shafts.get(pulley.shaft)
        if shaft is None:
            raise UnknownError
        return shaft.diameter_mm


_SHIPPED: dict[str, bool | None] = {m.name: m.kind == "cord" for m in MATERIALS}


def _every_rule(whole: _Whole) -> Iterator[Found]:
    """Yield every rule of every part, not yet asked."""
    for rule in (_too_few, _turned_and_spun, _fibre, _twist, _limits, _bobbin):
        yield rule(whole)
    for attribute, key in _NAMED:
        yield _names_once(whole, attribute, key)
    for index, shaft in whole.parts("shafts"):
        for shaft_rule in SHAFT_RULES:
            yield shaft_rule(whole, ("shaft", index), shaft)
    for index, pulley in whole.parts("pulleys"):
        for pulley_rule in PULLEY_RULES:
            yield pulley_rule(whole, ("pulley", index), pulley)
    for index, band in whole.parts("bands"):
        for band_rule in BAND_RULES:
            yield band_rule(whole, ("band", index), band)
    for index, drag in whole.parts("drags"):
        yield _drag(whole, ("drag", index), drag)
    for index, material in whole.parts("materials"):
        yield _spreads(("material", index), material)
    yield from _on_the_spindle(whole)
    yield _sheets(whole)


# --- names ---------------------------------------------------------------------------------------

_NAMED = (
    ("shafts", "shaft"), ("pulleys", "pulley"), ("bands", "band"), ("materials", "material"),
    ("fibres", "fibre"),
)  # fmt: skip
_LEAST = (("shafts", "shaft", 1, "one shaft"), ("pulleys", "pulley", 2, "two pulleys"),
          ("bands", "band", 1, "one band"))  # fmt: skip


def _names_once(whole: _Whole, attribute: str, key: str) -> Found:
    yield from _once((key,), whole.parts(attribute))


def _once(place: Place, parts: Iterable[tuple[int, Any]]) -> Found:
    first: dict[str, int] = {}
    for index, part in parts:
        if type(part.name) is not str:
            continue
        if part.name in first:
            says = f"the name {shown(part.name)} is that of {place[-1]} {first[part.name] + 1}"
            yield (*place, index, "name"), f"{says} already", "give each a name of its own"
        first.setdefault(part.name, index)


def _too_few(whole: _Whole) -> Found:
    for attribute, key, least, words in _LEAST:
        listed = getattr(whole.design, attribute)
        if listed is not UNKNOWN and len(listed) < least:
            yield (
                (key,),
                f"there {'is' if len(listed) == 1 else 'are'} only {len(listed)} of them",
                f"a wheel has at least {words}, each under [[{key}]]",
            )


def _known(place: Place, name: Any, known: Iterable[str], what: str) -> Found:
    """Yield the fault of a name that is not known."""
    if type(name) is str and name not in known:
        words = list(known)
        yield place, f"there is no {what} {shown(name)}", suggestion(name, words, f"known {what}s")


def _turned_and_spun(whole: _Whole) -> Found:
    for key in ("drive", "spindle"):
        part = getattr(whole.design, key)
        if part is not UNKNOWN:
            yield from _known((key, "shaft"), part.shaft, whole.shafts, "shaft")


def _material(whole: _Whole, place: Place, name: Any, cord: bool = False) -> Found:
    """Yield the fault of a material that is not known, or is a cord where none will do."""
    if type(name) is not str:
        return
    kind = whole.materials.get(name, not cord)
    if kind is None or (kind == cord and name in whole.materials):
        return
    fitting = [known for known, is_cord in whole.materials.items() if is_cord in (cord, None)]
    if name in whole.materials:
        says = f"{shown(name)} is {'no cord' if cord else 'a cord'}"
        yield place, says, f"known here: {', '.join(fitting)}"
    else:
        yield from _known(place, name, fitting, "material")


def _fibre(whole: _Whole) -> Found:
    if whole.design.yarn is None:
        return
    name = whole.design.yarn.fibre
    known = [*FIBRES, *whole.named("fibres")]
    if type(name) is str and name not in known:
        near = nearest(name, known)
        own = f"add your own as [[fibre]] name = {shown(name)}"
        remedy = (
            f'did you mean "{near}"? Or {own}' if near else f"{own} (known: {', '.join(known)})"
        )
        yield ("yarn", "fibre"), f"there is no fibre {shown(name)}", remedy


def _limits(whole: _Whole) -> Found:
    for name in whole.design.limits:
        if name not in LIMITS:
            yield ("limits",), f"unknown key {shown(name)}", suggestion(str(name), LIMITS)


def _bearing(place: Place, bearing: Bearing) -> Found:
    if bearing is not UNKNOWN and type(bearing.kind) is str and find_bearing(bearing.kind) is None:
        yield from _known((*place, "kind"), bearing.kind, [p.name for p in BEARINGS], "bearing")


# --- shafts --------------------------------------------------------------------------------------


def _shaft_material(whole: _Whole, place: Place, shaft: Shaft) -> Found:
    yield from _material(whole, (*place, "material"), shaft.material)


def _shaft_bearings(whole: _Whole, place: Place, shaft: Shaft) -> Found:
    for index, bearing in enumerate(shaft.bearings):
        yield from _bearing((*place, "bearings", index), bearing)
    if shaft.bearings and shaft.name == whole.design.spindle.shaft:
        yield (
            (*place, "bearings"), "the spindle's bearings are given twice",
            "keep those here, or those under [spindle]",
        )  # fmt: skip


def span(place: Place, low: float, high: float, empty: bool = False) -> Found:
    """Yield the fault of a stretch whose end lies before its beginning."""
    if low < high or (empty and low == high):
        return
    word = "at" if low == high else "beyond"
    yield (
        (*place, "from"), f"from ({low:g} mm) lies {word} to ({high:g} mm)",
        "give the lower end first",
    )  # fmt: skip


def _slide(whole: _Whole, place: Place, shaft: Shaft) -> Found:
    del whole
    if shaft.slide is not None and shaft.runs_on is None:
        yield from span((*place, "slide"), shaft.slide.from_mm, shaft.slide.to_mm, empty=True)


def _sleeve(whole: _Whole, place: Place, shaft: Shaft) -> Found:
    """Yield the faults of a sleeve: on what it runs, where, and whether it goes over that."""
    if shaft.runs_on is None:
        return
    here = (*place, "runs_on")
    yield from _known(here, shaft.runs_on, whole.shafts, "shaft")
    under = whole.shafts.get(shaft.runs_on)
    for _ in range(len(whole.shafts) + 1):
        if under is None or under.runs_on is None:
            break
        under = whole.shafts.get(under.runs_on)
    else:
        yield here, "the sleeves run on each other in a circle", "one of them must be a shaft"
        return
    first = whole.shafts.get(shaft.runs_on)
    if first is None or under is None:
        return
    if max(math.dist(shaft.at_mm, under.at_mm), math.dist(shaft.axis, under.axis)) > _SAME_MM:
        says = f"it does not lie where {shown(shaft.runs_on)} lies"
        yield here, says, "leave its at and axis out"
    if shaft.diameter_mm <= first.diameter_mm:
        yield (
            (*place, "diameter"),
            f"a sleeve of {shaft.diameter_mm:g} mm does not go over {first.diameter_mm:g} mm",
            f"it must be more than {first.diameter_mm:g} mm, or be left out",
        )


SHAFT_RULES: tuple[Callable[[_Whole, Place, Shaft], Found], ...] = (
    _shaft_material, _shaft_bearings, _slide, _sleeve,
)  # fmt: skip

# --- pulleys -------------------------------------------------------------------------------------


def _pulley_names(whole: _Whole, place: Place, pulley: Pulley) -> Found:
    yield from _known((*place, "shaft"), pulley.shaft, whole.shafts, "shaft")
    yield from _material(whole, (*place, "material"), pulley.material)


def bottom_mm(groove: Groove) -> float:
    """Return the diameter of a pulley under its cord, mm; of a given pitch the pitch itself."""
    return groove.size_mm - 2.0 * groove.deep_mm


def _depth(whole: _Whole, place: Place, pulley: Pulley) -> Found:
    del whole
    rim, depth = pulley.groove.size_mm, pulley.groove.deep_mm
    if depth > 0.0 and rim <= 2.0 * depth:
        yield (
            (*place, "groove", "depth"),
            f"{depth:g} mm reaches the middle of a rim of {rim:g} mm",
            f"it must be less than {rim / 2.0:g} mm",
        )


_PATH = "the cord's path"


def _wood_left(whole: _Whole, place: Place, pulley: Pulley) -> Found:
    bottom, bore = bottom_mm(pulley.groove), pulley.bore_mm
    if bottom <= 0.0:
        return
    if bore is not None:
        if bore >= bottom:
            yield (
                (*place, "bore"),
                f"a bore of {bore:g} mm leaves nothing of a groove whose bottom is {bottom:g} mm",
                "make the bore smaller or the pulley larger",
            )
        return
    rod = whole.rod_mm(pulley)
    if bottom < rod:
        pitch = not pulley.groove.can_be_cut
        yield (
            (*place, "pitch" if pitch else "groove"),
            f"{_PATH if pitch else 'its bottom'}, {bottom:g} mm across, lies inside the shaft of "
            f"{rod:g} mm",
            "make the pulley larger, its groove shallower or the shaft thinner",
        )


def _build(whole: _Whole, place: Place, pulley: Pulley) -> Found:
    del whole
    if pulley.build == "layers":
        if pulley.width_mm is not None:
            yield (
                (*place, "width"), "a layered pulley is as wide as its sheets",
                "give core and cheek instead",
            )  # fmt: skip
        return
    for key in ("core", "cheek"):
        if getattr(pulley, f"{key}_mm") is not None:
            yield (
                (*place, key), "it is for a layered pulley only",
                f'add build = "layers", or leave {key} out',
            )  # fmt: skip


def _width(whole: _Whole, place: Place, pulley: Pulley) -> Found:
    del whole
    if pulley.width_mm is None:
        return
    groove = pulley.groove
    mouth = groove.mouth_mm if isinstance(groove, CutGroove) else None
    if mouth is not None and pulley.width_mm < mouth:
        yield (
            (*place, "width"),
            f"{pulley.width_mm:g} mm is narrower than the groove, which is {mouth:.4g} mm wide at "
            "the rim",
            "make it wider, or the groove narrower",
        )


def _holes(whole: _Whole, place: Place, pulley: Pulley) -> Found:
    holes = pulley.lightening
    if holes is None:
        return
    here, circle, across = (*place, "lightening"), holes.circle_mm, holes.diameter_mm
    for rule in (_holes_run_out, _holes_in_bore, _holes_meet):
        yield from _asked(rule(whole, here, pulley, circle, across))


def _holes_run_out(
    whole: _Whole, here: Place, pulley: Pulley, circle: float, across: float
) -> Found:
    del whole
    bottom = bottom_mm(pulley.groove)
    if 0.0 < bottom <= circle + across:
        yield (
            here,
            f"the holes reach {circle + across:g} mm across, the groove's bottom is {bottom:g} mm",
            "make their circle or them smaller",
        )


def _holes_in_bore(
    whole: _Whole, here: Place, pulley: Pulley, circle: float, across: float
) -> Found:
    inner = whole.rod_mm(pulley) if pulley.bore_mm is None else pulley.bore_mm
    if circle - across <= inner:
        yield (
            here, f"the holes reach into the bore of {inner:g} mm",
            "make their circle larger or them smaller",
        )  # fmt: skip


def _holes_meet(whole: _Whole, here: Place, pulley: Pulley, circle: float, across: float) -> Found:
    del whole
    assert pulley.lightening is not None
    count = pulley.lightening.holes
    if count > 1 and circle * math.sin(math.pi / count) <= across:
        yield (
            here,
            f"{count} holes of {across:g} mm run into each other on a circle of {circle:g} mm",
            "make them fewer or smaller",
        )


PULLEY_RULES: tuple[Callable[[_Whole, Place, Pulley], Found], ...] = (
    _pulley_names, _depth, _wood_left, _build, _width, _holes,
)  # fmt: skip

# --- bands ---------------------------------------------------------------------------------------


def _band_names(whole: _Whole, place: Place, band: Band) -> Found:
    yield from _material(whole, (*place, "material"), band.material, cord=True)
    for step, stop in enumerate(band.route):
        if stop is not UNKNOWN:
            yield from _known((*place, "route", step), stop.pulley, whole.pulleys, "pulley")


def _route(whole: _Whole, place: Place, band: Band) -> Found:
    del whole
    if len(band.route) < 2:
        yield (
            (*place, "route"), f"the band meets {len(band.route)} pulleys",
            "name two or more, in the order in which it meets them",
        )  # fmt: skip
    elif band.route[0].turns == "against":
        yield (
            (*place, "route", 0), 'the first pulley cannot turn "against" itself',
            "the others turn with or against the first: leave its turns out",
        )  # fmt: skip


def _shaft_named(whole: _Whole, pulley: Any) -> str | None:
    """Return the name of the shaft that a pulley of that name sits on; None where not known."""
    found = whole.pulleys.get(pulley) if type(pulley) is str else None
    return found.shaft if found is not None and type(found.shaft) is str else None


def _same_shaft(whole: _Whole, place: Place, band: Band) -> Found:
    stops = band.route
    if len(stops) < 2:
        return
    pairs = [*zip(stops, stops[1:], range(1, len(stops)), strict=False)]
    if len(stops) > 2:
        pairs.append((stops[-1], stops[0], 0))
    for one, other, step in pairs:
        if one is UNKNOWN or other is UNKNOWN:
            continue
        first, second = (_shaft_named(whole, stop.pulley) for stop in (one, other))
        if first is not None and first == second:
            yield (
                (*place, "route", step),
                f"{shown(one.pulley)} and {shown(other.pulley)} sit on the same shaft, "
                f"{shown(first)}",
                "a band runs from one shaft to another",
            )


def _crossed(whole: _Whole, place: Place, band: Band) -> Found:
    if not band.crossed:
        return
    here = (*place, "crossed")
    if len(band.route) > 2:
        yield (
            here, f"the band meets {len(band.route)} pulleys",
            'only a band on two can be crossed; write turns = "against" on a pulley',
        )  # fmt: skip
        return
    first, second = band.route
    if second.turns == "with":
        yield here, 'the second pulley of a crossed band turns "against" the first', ""
    shafts = (whole.shafts.get(_shaft_named(whole, s.pulley) or "") for s in (first, second))
    axes = [shaft.axis for shaft in shafts if shaft is not None]
    if len(axes) < 2:
        return
    (a, b, c), (x, y, z) = axes
    if max(abs(b * z - c * y), abs(c * x - a * z), abs(a * y - b * x)) > _PARALLEL:
        yield (
            here, "the two shafts are not parallel",
            'write turns = "against" on the second pulley instead',
        )  # fmt: skip


BAND_RULES: tuple[Callable[[_Whole, Place, Band], Found], ...] = (
    _band_names, _route, _same_shaft, _crossed,
)  # fmt: skip

# --- spindle, yarn and the rest ------------------------------------------------------------------


def _on_the_spindle(whole: _Whole) -> Iterator[Found]:
    spindle = whole.design.spindle
    if spindle is UNKNOWN:
        return
    if spindle.bearings is not UNKNOWN:
        for index, bearing in enumerate(spindle.bearings):
            yield _bearing(("spindle", "bearings", index), bearing)
    for index, section in enumerate(() if spindle.sections is UNKNOWN else spindle.sections):
        if section is not UNKNOWN:
            yield _stretch(("spindle", "sections", index), section)
    for index, washer in enumerate(() if spindle.washers is UNKNOWN else spindle.washers):
        if washer is not UNKNOWN:
            here = ("spindle", "washers", index, "material")
            yield _material(whole, here, washer.material)
    if spindle.cop is not None and spindle.cop is not UNKNOWN:
        yield _stretch(("spindle", "cop"), spindle.cop)
    yield _on_a_flyer(whole)


def _stretch(place: Place, part: Any) -> Found:
    yield from span(place, part.from_mm, part.to_mm)


def _on_a_flyer(whole: _Whole) -> Found:
    spindle = whole.design.spindle
    if spindle.bobbin is None:
        return
    here = ("spindle", "bobbin")
    yield from _known(here, spindle.bobbin, whole.shafts, "shaft")
    if spindle.bobbin == spindle.shaft:
        yield here, "the bobbin turns apart from the flyer", "it needs a shaft of its own"
    if spindle.kind == "tip":
        yield here, "a spindle with a tip has no bobbin", 'write kind = "flyer", or leave it out'


def _bobbin(whole: _Whole) -> Found:
    bobbin = whole.design.bobbin
    if bobbin is not None and bobbin.full_mm <= bobbin.empty_mm:
        yield (
            ("bobbin", "full"),
            f"{bobbin.full_mm:g} mm is not more than the bare bobbin's {bobbin.empty_mm:g} mm",
            "give the diameter over the yarn",
        )


def _drag(whole: _Whole, place: Place, drag: DragBrake) -> Found:
    yield from _known((*place, "shaft"), drag.shaft, whole.shafts, "shaft")


def _twist(whole: _Whole) -> Found:
    yarn = whole.design.yarn
    if yarn is not None and yarn.turns_per_metre is not None and yarn.twist_factor is not None:
        yield (
            ("yarn", "twist_factor"), "turns_per_metre and twist_factor are both given",
            "keep one of the two",
        )  # fmt: skip


def _sheets(whole: _Whole) -> Found:
    sheets = whole.design.shop.sheets
    known = [(index, sheet) for index, sheet in enumerate(sheets) if sheet is not UNKNOWN]
    yield from _once(("shop", "sheet"), known)
    for index, sheet in known:
        yield from _material(whole, ("shop", "sheet", index, "material"), sheet.material)


_FIGURES = ("density_kg_m3", "modulus_mpa", "strength_mpa", "friction", "stretch", "bend_ratio")
_FIGURE_KEYS = ("density", "modulus", "strength", "friction", "stretch", "bend_ratio")


def _spreads(place: Place, material: Material) -> Found:
    for attribute, key in zip(_FIGURES, _FIGURE_KEYS, strict=True):
        figure: Figure | None = getattr(material, attribute)
        if figure is None or figure is UNKNOWN:
            continue
        known = [n for n in (figure.low, figure.value, figure.high) if n is not UNKNOWN]
        if known != sorted(known):
            yield (
                (*place, key), "low, value and high do not rise in this order",
                "low is at most the value, and high at least",
            )  # fmt: skip
