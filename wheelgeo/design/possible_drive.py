"""Rules of what can exist: shafts, pulleys and bands, each by itself and where they meet."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from wheelgeo.design.joints import JOINT_NAMES, JOINTS_OF
from wheelgeo.design.key_places import Place
from wheelgeo.design.model import Band, Groove, Pulley, Shaft
from wheelgeo.design.possible_names import (
    Found,
    KnownParts,
    asked,
    known_bearing,
    known_material,
    known_name,
)
from wheelgeo.units.unknown import UNKNOWN
from wheelgeo.units.wording import shown

_PARALLEL = 1e-9
"""Sine of the angle below which two axes are parallel."""
_SAME_MM = 1e-6
"""Places closer than this are the same, mm."""
LEAST_SPOKED_MM = 250.0
"""Smallest wheel with spokes: below it rim and hub leave them no length; common practice."""
LEAST_BUILT_UP_MM = 100.0
"""Smallest wheel that is glued up from segments or boards; common practice, no source."""
DEEP_SPOKED, DEEP_BUILT_UP = 0.1, 0.25
"""Deepest groove, of the diameter, that leaves room under it for spokes; for segments or boards."""

# --- shafts --------------------------------------------------------------------------------------


def _shaft_material(whole: KnownParts, place: Place, shaft: Shaft) -> Found:
    yield from known_material(whole, (*place, "material"), shaft.material)


def _shaft_bearings(whole: KnownParts, place: Place, shaft: Shaft) -> Found:
    for index, bearing in enumerate(shaft.bearings):
        yield from known_bearing((*place, "bearings", index), bearing)
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


def _slide(whole: KnownParts, place: Place, shaft: Shaft) -> Found:
    del whole
    if shaft.slide is not None and shaft.runs_on is None:
        yield from span((*place, "slide"), shaft.slide.from_mm, shaft.slide.to_mm, empty=True)


def _sleeve(whole: KnownParts, place: Place, shaft: Shaft) -> Found:
    """Yield the faults of a sleeve: on what it runs, where, and whether it goes over that."""
    if shaft.runs_on is None:
        return
    here = (*place, "runs_on")
    yield from known_name(here, shaft.runs_on, whole.shafts, "shaft")
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
    if not _lies_round(shaft.diameter_mm, first.diameter_mm):
        yield (
            (*place, "diameter"),
            f"a sleeve of {shaft.diameter_mm:g} mm does not go over {first.diameter_mm:g} mm",
            f"it must be more than {first.diameter_mm:g} mm, or be left out",
        )


def _pin(whole: KnownParts, place: Place, shaft: Shaft) -> Found:
    """Yield the faults of a pin that stands still: what must turn with its rod."""
    if not shaft.fixed:
        return
    here, spindle, drive = (*place, "fixed"), whole.design.spindle, whole.design.drive
    turning = ""
    if shaft.name in (spindle.shaft, spindle.bobbin):
        turning = "the spindle, flyer or bobbin turns with its rod"
    elif shaft.runs_on is not None:
        turning = "a sleeve turns on its shaft anyhow"
    elif shaft.name == drive.shaft and drive.by != "hand":
        turning = f"its {drive.by} turns the rod"
    if turning:
        yield here, f"the rod cannot stand still: {turning}", "leave fixed out"


def _split(whole: KnownParts, place: Place, shaft: Shaft) -> Found:
    """Yield the fault of a split holder where nothing can be sawn through along the rod."""
    spindle = whole.design.spindle
    given = spindle.bearings if shaft.name == spindle.shaft else ()
    level = abs(shaft.axis[2]) < _SAME_MM
    if any(b.split for b in (*shaft.bearings, *given)) and (shaft.fixed or not level):
        yield (
            (*place, "bearings"), "only what holds a level rod that turns can be split",
            "leave split out: a bridge lifts off an upright rod",
        )  # fmt: skip


SHAFT_RULES: tuple[Callable[[KnownParts, Place, Shaft], Found], ...] = (
    _shaft_material, _shaft_bearings, _slide, _sleeve, _pin, _split,
)  # fmt: skip

# --- pulleys -------------------------------------------------------------------------------------


def _pulley_names(whole: KnownParts, place: Place, pulley: Pulley) -> Found:
    yield from known_name((*place, "shaft"), pulley.shaft, whole.shafts, "shaft")
    yield from known_material(whole, (*place, "material"), pulley.material)


def bottom_mm(groove: Groove) -> float:
    """Return the diameter of a pulley under its cord, mm; of a given pitch the pitch itself."""
    return groove.size_mm - 2.0 * groove.deep_mm


def _depth(whole: KnownParts, place: Place, pulley: Pulley) -> Found:
    del whole
    rim, depth = pulley.groove.size_mm, pulley.groove.deep_mm
    if depth > 0.0 and rim <= 2.0 * depth:
        yield (
            (*place, "groove", "depth"),
            f"{depth:g} mm reaches the middle of a rim of {rim:g} mm",
            f"it must be less than {rim / 2.0:g} mm",
        )


_PATH = "the cord's path"


def _lies_round(outer_mm: float, inner_mm: float) -> bool:
    """Tell whether anything is left between two circles, however they were reckoned."""
    return outer_mm - inner_mm > _SAME_MM


def _wood_left(whole: KnownParts, place: Place, pulley: Pulley) -> Found:
    bottom, bore = bottom_mm(pulley.groove), pulley.bore_mm
    if bottom <= 0.0:
        return
    if bore is not None:
        if not _lies_round(bottom, bore):
            yield (
                (*place, "bore"),
                f"a bore of {bore:g} mm leaves nothing of a groove whose bottom is {bottom:g} mm",
                "make the bore smaller or the pulley larger",
            )
        return
    rod = whole.rod_mm(pulley)
    # what has no depth, such as a flat rim, may be turned on the rod itself
    inside, deep = bottom < rod - _SAME_MM, pulley.groove.deep_mm > 0.0
    if inside or (deep and not _lies_round(bottom, rod)):
        pitch = not pulley.groove.can_be_cut
        yield (
            (*place, "pitch" if pitch else "groove"),
            f"{_PATH if pitch else 'its bottom'}, {bottom:g} mm across, lies inside the "
            f"shaft of {rod:g} mm{'' if inside else ': nothing is left round it'}",
            "make the pulley larger, its groove shallower or the shaft thinner",
        )


def _build(whole: KnownParts, place: Place, pulley: Pulley) -> Found:
    del whole
    if pulley.build == "layers":
        if pulley.width_mm is not None:
            yield (
                (*place, "width"), "a layered pulley is as wide as its sheets",
                "give core and cheek instead",
            )  # fmt: skip
        return
    groove = pulley.groove
    deep = groove.deep_mm
    small = groove.size_mm < LEAST_BUILT_UP_MM or deep > DEEP_BUILT_UP * groove.size_mm
    if pulley.build in ("segments", "boards") and small:
        yield (
            (*place, "build"),
            f"a wheel of {groove.size_mm:g} mm has no room for {pulley.build} under its groove",
            'leave build out, or write build = "turned"',
        )
    if pulley.build == "spokes" and (
        groove.size_mm < LEAST_SPOKED_MM or deep > DEEP_SPOKED * groove.size_mm
    ):
        yield (
            (*place, "build"), f"a wheel of {groove.size_mm:g} mm has no room for spokes",
            'leave build out, or write build = "turned"',
        )  # fmt: skip
    if pulley.spokes is not None and pulley.build != "spokes":
        yield (
            (*place, "spokes"), "it is for a wheel with spokes only",
            'add build = "spokes", or leave spokes out',
        )  # fmt: skip
    if pulley.build == "spokes" and pulley.lightening is not None:
        yield (
            (*place, "lightening"), "between spokes there is nothing to lighten",
            "leave lightening out",
        )  # fmt: skip
    for key in ("core", "cheek"):
        if getattr(pulley, f"{key}_mm") is not None:
            yield (
                (*place, key), "it is for a layered pulley only",
                f'add build = "layers", or leave {key} out',
            )  # fmt: skip


def _width(whole: KnownParts, place: Place, pulley: Pulley) -> Found:
    del whole
    if pulley.width_mm is None:
        return
    mouth = pulley.groove.least_width_mm
    if pulley.width_mm < mouth:
        yield (
            (*place, "width"),
            f"{pulley.width_mm:g} mm is narrower than the groove, which is {mouth:.4g} mm wide at "
            "the rim",
            "make it wider, or the groove narrower",
        )


def _holes(whole: KnownParts, place: Place, pulley: Pulley) -> Found:
    holes = pulley.lightening
    if holes is None:
        return
    here, circle, across = (*place, "lightening"), holes.circle_mm, holes.diameter_mm
    for rule in (_holes_run_out, _holes_in_bore, _holes_meet):
        yield from asked(rule(whole, here, pulley, circle, across))


def _holes_run_out(
    whole: KnownParts, here: Place, pulley: Pulley, circle: float, across: float
) -> Found:
    del whole
    bottom = bottom_mm(pulley.groove)
    if bottom > 0.0 and not _lies_round(bottom, circle + across):
        yield (
            here,
            f"the holes reach {circle + across:g} mm across, the groove's bottom is {bottom:g} mm",
            "make their circle or them smaller",
        )


def _holes_in_bore(
    whole: KnownParts, here: Place, pulley: Pulley, circle: float, across: float
) -> Found:
    inner = whole.rod_mm(pulley) if pulley.bore_mm is None else pulley.bore_mm
    if not _lies_round(circle - across, inner):
        yield (
            here, f"the holes reach into the bore of {inner:g} mm",
            "make their circle larger or them smaller",
        )  # fmt: skip


def _holes_meet(
    whole: KnownParts, here: Place, pulley: Pulley, circle: float, across: float
) -> Found:
    del whole
    assert pulley.lightening is not None
    count = pulley.lightening.holes
    if count > 1 and circle * math.sin(math.pi / count) <= across:
        yield (
            here,
            f"{count} holes of {across:g} mm run into each other on a circle of {circle:g} mm",
            "make them fewer or smaller",
        )


PULLEY_RULES: tuple[Callable[[KnownParts, Place, Pulley], Found], ...] = (
    _pulley_names, _depth, _wood_left, _build, _width, _holes,
)  # fmt: skip

# --- bands ---------------------------------------------------------------------------------------


def _band_names(whole: KnownParts, place: Place, band: Band) -> Found:
    yield from known_material(whole, (*place, "material"), band.material, cord=True)
    for step, stop in enumerate(band.route):
        if stop is not UNKNOWN:
            yield from known_name((*place, "route", step), stop.pulley, whole.pulleys, "pulley")


def _route(whole: KnownParts, place: Place, band: Band) -> Found:
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


def _shaft_named(whole: KnownParts, pulley: Any) -> str | None:
    """Return the name of the shaft that a pulley of that name sits on; None where not known."""
    found = whole.pulleys.get(pulley) if type(pulley) is str else None
    return found.shaft if found is not None and type(found.shaft) is str else None


def _same_shaft(whole: KnownParts, place: Place, band: Band) -> Found:
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


def _crossed(whole: KnownParts, place: Place, band: Band) -> Found:
    if not band.crossed or len(band.route) < 2:  # too short a route is a fault by itself
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


def _joined(_whole: KnownParts, place: Place, band: Band) -> Found:
    """Refuse a joint that its cord does not take; what a file's own cord takes is not known."""
    name, takes = band.joined, JOINTS_OF.get(band.material if type(band.material) is str else "")
    if type(name) is not str or takes is None:
        return
    known = [joint.name for joint in takes]
    if name in JOINT_NAMES and name not in known:
        yield (
            (*place, "joined"), f"{shown(band.material)} cannot be joined by {shown(name)}",
            f"it takes: {', '.join(known)}",
        )  # fmt: skip


BAND_RULES: tuple[Callable[[KnownParts, Place, Band], Found], ...] = (
    _band_names, _route, _same_shaft, _crossed, _joined,
)  # fmt: skip
