"""Every body of the wheel as built, in its place: what is drawn, cut and checked for collisions.

Ask ``bodies(build(design))``. Bands are not among them: their path is solved, and stands with the
solution. Names: "pulley hub", "rod main", "bearing main 1", "crank", "knob", "cop", "flyer",
"bobbin", "washer 1", "collar spindle 1"; of a case "floor", "wall front", "lid", "foot 1", "block
main", "bridge main", "support spindle 1", "slide spindle"; of a stand "table", "leg 1", "post axle
1", "maiden spindle 1", "mother-of-all spindle", "treadle", "footman". A piece of several pulleys
carries all their names.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from functools import lru_cache, partial

from wheelgeo.built.as_built import Built, build
from wheelgeo.built.body import BuiltBody, disc, rod_outside, turned
from wheelgeo.built.case import case_bodies, lid_of
from wheelgeo.built.crank_arm import crank_bodies, crank_plane_mm
from wheelgeo.built.endways import stop_bodies
from wheelgeo.built.flyer_bodies import flyer_bodies
from wheelgeo.built.kept import KeptOf, kept_with, known_with
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.built.shaft import BuiltShaft
from wheelgeo.built.spindle import BuiltSpindle
from wheelgeo.built.stand import stand_bodies
from wheelgeo.design.model import Design, Shaft, Slide
from wheelgeo.geometry.groove import CutGroove
from wheelgeo.geometry.vectors import (
    across,
    along,
    cross,
    norm,
    scale,
    sub,
)

TIP_DIAMETERS = 3.0
"""Length of a spindle's taper to its tip, in diameters of the rod; common practice, no source."""
TIP_BLUNT = 0.2
"""Radius at the tip over that of the rod; likewise."""
RUNNING_MM = 0.05
"""Working clearance of a rod in its bush, on the diameter."""
_SLID: KeptOf[Shaft] = KeptOf(256)
_FLYERS: KeptOf[tuple[BuiltBody, ...]] = KeptOf(64)


def at_share(design: Design, share: float) -> Design:
    """Return a wheel with every sliding shaft at a share of its travel: 0 from, 1 to.

    The travel that is left is told from there, so that what is cut for it stays where it is.
    """
    shafts = tuple([
        s if s.slide is None else _SLID.get((s,), partial(_slid, s, s.slide, share), share)
        for s in design.shafts
    ])  # fmt: skip
    # Where all stand there already it is the same wheel, of which much may be known.
    return design if shafts == design.shafts else replace(design, shafts=shafts)


def _slid(shaft: Shaft, slide: Slide, share: float) -> Shaft:
    way = slide.from_mm + share * (slide.to_mm - slide.from_mm)
    if way == 0.0:
        return shaft
    left = replace(slide, from_mm=slide.from_mm - way, to_mm=slide.to_mm - way)
    return replace(shaft, at_mm=along(shaft.at_mm, slide.along, way), slide=left)


def bodies(
    built: Built, *, share: float | None = None, packed: bool = False
) -> tuple[BuiltBody, ...]:
    """Return every body of a wheel as built.

    Args:
        built: the wheel.
        share: where the sliding shafts stand on their travel, 0 to 1; None: where the file has
            them.
        packed: with the lid on and what draws out or lifts off taken away; see ``taken_off``.

    Returns:
        The bodies: pulleys, rods and bearings in the order of the file, then what goes with the
        spindle and the crank, then case or stand.
    """
    here = built if share is None else build(at_share(built.design, share))
    found = kept_with(here, "bodies", lambda: tuple(_bodies(here)))
    if not packed:
        return found
    away, case = {name for name, _ in taken_off(here)}, here.design.case
    left = (b for b in found if b.name not in away)
    return tuple(lid_of(case, packed=True) if case and b.kind == "lid" else b for b in left)


def bodies_named(built: Built, names: Collection[str]) -> tuple[BuiltBody, ...]:
    """Return the bodies of some names, in their order; none of a name that there is not.

    What comes after the last of them is not worked out: the stand, which hangs on everything, is.
    """
    whole: Iterable[BuiltBody] = known_with(built, "bodies") or _bodies(built)
    found: list[BuiltBody] = []
    for body in whole:
        if body.name in names:
            found.append(body)
            if len(found) == len(names):
                break
    return tuple(found)


def taken_off(built: Built) -> tuple[tuple[str, str], ...]:
    """Return what is taken off to close the lid: names of bodies, and how each comes off.

    The knob comes off with the crank; a spindle or flyer that stands out of the case comes out
    with all that turns with it: ``assembly.first_off`` tells what is taken off for that.
    """
    design = built.design
    if design.case is None:
        return ()
    whole = bodies(built)
    found = [(b.name, "comes off") for b in whole if b.kind in ("knob",)]
    rod = next(b for b in whole if b.name == f"rod {built.spindle.name}")
    (low, high), case = rod.box, design.case
    top = tuple(c + s for c, s in zip(case.corner_mm, case.inside_mm, strict=True))
    outside = any(a < c - 1e-6 for a, c in zip(low, case.corner_mm, strict=True)) or any(
        b > c + 1e-6 for b, c in zip(high, top, strict=True)
    )
    if outside:
        found += [
            (b.name, "draws out")
            for b in whole
            if b.turns and b.part == built.spindle.name and b.kind != "crank"
        ]
    return tuple(found)


def _bodies(built: Built) -> Iterator[BuiltBody]:
    # What stands on a shaft is kept with it, and a shaft is shared by all wheels that have it.
    for made in built.shafts.values():
        yield from _pulleys_of(made)
    for made in built.shafts.values():
        yield from _rod_and_bearings(built, made)
    yield from _on_the_spindle(built)
    plane = crank_plane_mm(built)
    yield from stop_bodies(built, plane)
    yield from _crank(built)
    if built.design.case is not None:
        yield from case_bodies(built)
    else:
        yield from stand_bodies(built, plane)


def _crank(built: Built) -> tuple[BuiltBody, ...]:
    shaft = built.shafts[built.design.drive.shaft]
    return kept_with(shaft, "crank", lambda: tuple(crank_bodies(built)))


# --- pulleys, rods, bearings ---------------------------------------------------------------------


def pieces_on(built: Built, shaft: str) -> tuple[tuple[BuiltPulley, ...], ...]:
    """Return the pulleys of a shaft, those whose faces meet together; layered ones stand alone."""
    return _pieces(built.shafts[shaft])


def _pieces(on: BuiltShaft) -> tuple[tuple[BuiltPulley, ...], ...]:
    found: list[list[BuiltPulley]] = []
    for made in sorted(on.carries, key=lambda p: p.pulley.offset_mm):
        last = found[-1][-1] if found else None
        layered = made.pulley.build == "layers" or (
            last is not None and last.pulley.build == "layers"
        )
        if last is not None and not layered and made.faces_mm[0] <= last.faces_mm[1] + 1e-6:
            found[-1].append(made)
        else:
            found.append([made])
    return tuple(tuple(piece) for piece in found)


def _pulleys_of(made: BuiltShaft) -> tuple[BuiltBody, ...]:
    """Return every piece that carries a groove; its outside as it is cut, arcs as short chords."""
    return kept_with(made, "pulleys", lambda: tuple(_pulley_bodies(made)))


def pieces_with(built: Built, shaft: str, grooves: Iterable[str]) -> tuple[BuiltBody, ...]:
    """Return the pieces of a shaft that have one of some grooves."""
    some, whole = set(grooves), _pulleys_of(built.shafts[shaft])
    return tuple(body for body in whole if not some.isdisjoint(body.grooves))


def _pulley_bodies(on: BuiltShaft) -> Iterator[BuiltBody]:
    shaft = on.shaft
    for piece in _pieces(on):
        names = ", ".join(p.name for p in piece)
        outer: list[tuple[float, float]] = []
        for made in piece:
            offset = made.pulley.offset_mm
            outer += [(z + offset, r) for z, r in _outside(made.groove, made.width_mm)]
        line = shaft.at_mm, shaft.axis
        within = tuple(_hub_and_spokes(on, piece, names))
        spoked = piece[0].spoked
        bore = piece[0].bore_mm if spoked is None else spoked.rim.inner_mm
        yield turned(
            f"pulley {names}", "pulley", shaft.at_mm, shaft.axis, _rising(outer),
            piece[0].material.value.name, bore=0.5 * bore, part=shaft.name, turns=True,
            fits_in=(*_rods(shaft), *_bushes_in(on), *(b.name for b in within)),
            # For clearances a pulley is as large as its rim all along, as a hand meets it.
            pieces=tuple(disc(*line, *p.faces_mm, 0.5 * p.rim_mm) for p in piece),
            grooves=tuple(p.name for p in piece),
        )  # fmt: skip
        yield from within


@lru_cache(maxsize=256)
def _outside(groove: CutGroove, width_mm: float) -> tuple[tuple[float, float], ...]:
    """Return the outside of a pulley from its low face on, (z, radius) from its middle, mm.

    Remembered: the same pulley is looked at where its shaft slides from and to.
    """
    profile = groove.profile(0.5 * width_mm)
    points = [*(q for s in profile for q in s.split(16)), profile[-1].end]
    return tuple(reversed(points))


def _hub_and_spokes(
    on: BuiltShaft, piece: tuple[BuiltPulley, ...], names: str
) -> Iterator[BuiltBody]:
    """Yield the hub of a wheel with spokes, and the spokes between it and the rim."""
    shaft, made = on.shaft, piece[0].spoked
    if made is None:
        return
    low, high = piece[0].faces_mm[0], piece[-1].faces_mm[1]
    wood, spokes = piece[0].material.value.name, range(1, made.count + 1)
    hub = f"hub {names}"
    yield turned(
        hub, "hub", shaft.at_mm, shaft.axis, rod_outside(low, high, 0.5 * made.hub_mm), wood,
        bore=0.5 * piece[0].bore_mm, part=shaft.name, turns=True,
        fits_in=(*_rods(shaft), *_bushes_in(on),
                 *(f"spoke {names} {n}" for n in spokes)),
    )  # fmt: skip
    u, v = across(shaft.axis)
    middle, half = along(shaft.at_mm, shaft.axis, 0.5 * (low + high)), 0.5 * made.spoke_mm
    # to where its rounded end would meet the rim all round: no further, since bodies never overlap
    reach = math.sqrt((0.5 * made.rim.inner_mm) ** 2 - half**2)
    for number in spokes:
        turn = math.tau * (number - 1) / made.count
        ray = along(scale(u, math.cos(turn)), v, math.sin(turn))
        yield turned(
            f"spoke {names} {number}", "spoke", middle, ray,
            rod_outside(0.5 * made.hub_mm, reach, half), wood, part=shaft.name, turns=True,
            fits_in=(hub, f"pulley {names}"),
        )  # fmt: skip


def _rods(shaft: Shaft) -> tuple[str, ...]:
    """Return the rods that a part of a shaft goes round: its own, and what a sleeve runs on."""
    under = () if shaft.runs_on is None else (f"rod {shaft.runs_on}",)
    return (f"rod {shaft.name}", *under)


def _bushes_in(made: BuiltShaft) -> tuple[str, ...]:
    """Return the bushes that sit in what turns on a pin."""
    numbers = range(1, len(made.bearings) + 1) if made.is_pin else ()
    return tuple(f"bearing {made.name} {number}" for number in numbers)


def _rides(built: Built, shaft: Shaft) -> bool:
    """Tell whether a shaft runs on another: as a sleeve, or as the bobbin on the flyer's axis."""
    if shaft.runs_on is not None:
        return True
    flyer, bobbin = built.design.spindle.shaft, built.design.spindle.bobbin
    return shaft.name == bobbin and same_axis(shaft, built.design.shaft(flyer))


def same_axis(one: Shaft, other: Shaft) -> bool:
    """Tell whether two shafts have one axis."""
    apart = cross(sub(other.at_mm, one.at_mm), one.axis)
    return norm(cross(one.axis, other.axis)) < 1e-9 and norm(apart) < 1e-6


def _rising(points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    kept = [points[0]]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > 1e-9:
            kept.append(point)
    return tuple(kept)


def _rod_and_bearings(built: Built, made: BuiltShaft) -> tuple[BuiltBody, ...]:
    shaft, spindle, cut = made.shaft, built.design.spindle, made.as_cut
    bare = not made.carries and not shaft.bearings and shaft.name != spindle.shaft
    tip = spindle.kind == "tip" and spindle.shaft == shaft.name
    held = not (_rides(built, shaft) or bare)

    def bodies() -> tuple[BuiltBody, ...]:
        return (_rod(cut, tip), *_bushes(cut)) if held else (_rod(cut, tip),)

    return kept_with(cut, ("rod", tip, held), bodies)


def _rod(made: BuiltShaft, tip: bool) -> BuiltBody:
    shaft = made.shaft
    outer: list[tuple[float, float]] = []
    low, high = made.ends_mm
    for section in made.sections:
        start, stop = max(section.from_mm, low), min(section.to_mm, high)
        if stop - start > 1e-9:
            outer += [(start, 0.5 * section.diameter_mm), (stop, 0.5 * section.diameter_mm)]
    if not outer:
        outer = [(low, 0.5 * made.diameter_mm), (max(high, low + 0.1), 0.5 * made.diameter_mm)]
    if tip:
        (z0, _), (z1, radius) = outer[-2:]
        taper = min(TIP_DIAMETERS * 2.0 * radius, 0.9 * (z1 - z0))
        outer[-1:] = [(z1 - taper, radius), (z1, TIP_BLUNT * radius)]
    under = shaft.runs_on
    return turned(
        f"rod {shaft.name}", "rod", shaft.at_mm, shaft.axis, tuple(outer),
        made.material.value.name, bore=0.5 * made.bore_mm, part=shaft.name, turns=not made.is_pin,
        fits_in=() if under is None else (f"rod {under}",),
    )  # fmt: skip


def _bushes(made: BuiltShaft) -> Iterator[BuiltBody]:
    shaft = made.shaft
    for number, bearing in enumerate(made.bearings, 1):
        half = 0.5 * bearing.length_mm
        radius = 0.5 * bearing.diameter_mm
        yield turned(
            f"bearing {shaft.name} {number}", "bearing", shaft.at_mm, shaft.axis,
            rod_outside(bearing.at_mm - half, bearing.at_mm + half, 0.5 * bearing.outside_mm),
            bearing.pair.value.name, bore=radius + 0.5 * RUNNING_MM, part=shaft.name,
            turns=made.is_pin, fits_in=(f"rod {shaft.name}",), key="bearings",
        )  # fmt: skip


# --- what the spindle carries --------------------------------------------------------------------


def _on_the_spindle(built: Built) -> tuple[BuiltBody, ...]:
    made, design = built.spindle, built.design
    yarn = design.yarn.fibre if design.yarn else "yarn"
    cop = made.cop.value
    found = kept_with(
        made.as_cut, (yarn, cop.from_mm, cop.to_mm, cop.diameter_mm),
        lambda: tuple(_washers_and_cop(made, yarn)),
    )  # fmt: skip
    plan = made.flyer_plan
    if plan is None:
        return found
    parts = (made, built.shafts[plan.bobbin], design.bobbin)
    return (*found, *_FLYERS.get(parts, lambda: tuple(flyer_bodies(built))))


def _washers_and_cop(made: BuiltSpindle, yarn: str) -> Iterator[BuiltBody]:
    spindle = made.design.spindle
    shaft, rod = made.shaft, f"rod {made.name}"
    washers = [f"washer {n}" for n in range(1, len(spindle.washers) + 1)]
    for name, built_washer in zip(washers, made.washers, strict=True):
        washer = built_washer.washer
        half = 0.5 * washer.thickness_mm
        yield turned(
            name, "washer", shaft.at_mm, shaft.axis,
            rod_outside(washer.at_mm - half, washer.at_mm + half, 0.5 * washer.diameter_mm),
            washer.material or "brass", bore=0.5 * made.diameter_at_mm(washer.at_mm),
            part=shaft.name, turns=True, fits_in=(rod, "cop"),
        )  # fmt: skip
    if spindle.kind == "tip":
        cop = made.cop.value
        low, high = sorted((cop.from_mm, cop.to_mm))
        bore = 0.5 * max(made.diameter_at_mm(low), made.diameter_at_mm(high))
        radius = max(0.5 * cop.diameter_mm, bore + 0.1)
        yield turned(
            "cop", "cop", shaft.at_mm, shaft.axis, rod_outside(low, high, radius), yarn,
            bore=bore, part=shaft.name, turns=True, fits_in=(rod, *washers), key="cop",
        )  # fmt: skip
