"""What to buy, which drills are odd, which tools it takes and how long: lists of the shop sheet.

Sizes come from the bodies of the wheel as built; lengths left over for sawing and all times
are common practice, no source.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import RUNNING_MM, bodies
from wheelgeo.built.body import BoardShape, BuiltBody, TurnedShape
from wheelgeo.built.endways import PLAY_MM
from wheelgeo.built.wall import fingered
from wheelgeo.design.model import Design
from wheelgeo.design.ways_to_fix import Fixing, Way
from wheelgeo.drive.fixing import FixedPulley
from wheelgeo.drive.train import Solution
from wheelgeo.shop.bolt_cuts import in_slots
from wheelgeo.shop.built_up_parts import built_up_parts, swing_mm
from wheelgeo.shop.fastenings import (
    BARREL_MM,
    KNOB_SCREW_LONG_MM,
    KNOB_WASHER_MM,
    KNOB_WASHER_OVER_MM,
    Bolted,
    Screwed,
    bolts,
    corner_screws,
    cross_pin_mm,
    knob_screw_mm,
    post_bolts,
    screw_size,
    screws,
)
from wheelgeo.shop.fixing_words import FLANGE_SCREWS, flange_screw_mm
from wheelgeo.shop.flyer_work import brake_rows
from wheelgeo.shop.parts import DOWEL_MM, layers
from wheelgeo.shop.reel import reel_rows
from wheelgeo.shop.rod_seats import SEAT_MM, seats
from wheelgeo.shop.section import wheels
from wheelgeo.shop.sheet import Block, Heading, Listing, Table
from wheelgeo.shop.sheet_cut import bought_ready, steps_of
from wheelgeo.shop.tables import BandRow
from wheelgeo.shop.wood_to_buy import blank_rows, little_of, sheet_rows, wood_rows
from wheelgeo.units.written import LengthUnit, bought_length, length_with_unit, told_in

SAWING_MM = 10.0
"""What a rod is bought longer than it is cut."""
CORD_OVER = 1.2
"""What a cord is bought longer than it is cut, for a second try."""
_COMMON_DRILLS = {x / 2.0 for x in range(2, 27)}
"""Drills of every set, mm: half millimetres from 1 to 13."""


def shopping(
    solution: Solution, held: Mapping[str, FixedPulley], bands: Sequence[BandRow], unit: LengthUnit
) -> list[Block]:
    """Return what to buy, odd drills, tools and time.

    Args:
        solution: the solved wheel.
        held: how every pulley is held on its rod.
        bands: the lengths of all bands.
        unit: how lengths are written.
    """
    design = solution.design
    found = bodies(build(design))
    head = ("To buy", "Quantity", "Size", "For")
    rows = [
        *_rods(found, unit), *_bushes(found, unit), *_pins(held, unit),
        *_flange_screws(held, unit), *_cross_pins(found, unit), *_dowels(design, unit),
        *screw_rows(design, found, unit), *_knob(found, unit), *_cords(bands, unit),
        *_flyer(design, unit), *_leather(found, unit), *_seats(design, unit),
        *_ready(design, found, unit), *_washers(design, found, unit),
        *wood_rows(design, unit), *blank_rows(design, unit), *sheet_rows(solution, unit),
    ]  # fmt: skip
    feet = sum(b.kind == "foot" for b in found)
    if feet:
        rows.append(("rubber feet", str(feet), bought_length(unit)(16.0), "floor"))
    rows.append(("; ".join(little_of(design, held)), "a little", "", "all"))
    hours, parts = _hours(design, found)
    return [
        Heading("To buy, tools and time"),
        Table("Bought by thread and length, or by its own size", head, tuple(rows), (3, 1.5, 3, 4)),
        Listing(
            (
                f"Drills that not every set has: {_odd_drills(found, held, unit)}.",
                told_in(f"Tools: {', '.join(tools_of(design))}.", unit, fits=True),
                f"Time, for somebody who has the tools and knows them: about {hours} hours "
                f"({parts}), without waiting for glue and finish.",
            )
        ),
    ]


Row = tuple[str, str, str, str]


def _span(body: BuiltBody) -> float:
    assert isinstance(body.shape, TurnedShape)
    places = [z for z, _ in body.shape.outline]
    return max(places) - min(places)


def _radii(body: BuiltBody) -> tuple[float, float]:
    assert isinstance(body.shape, TurnedShape)
    radii = [r for _, r in body.shape.outline]
    return min(radii), max(radii)


def _rods(found: Sequence[BuiltBody], unit: LengthUnit) -> list[Row]:
    bought, lengths = bought_length(unit), length_with_unit(unit, 0)
    rows = []
    for body in found:
        # a sleeve is turned, not bought; arms of a flyer and the pin of a treadle's crank are rods
        bar = body.kind in ("flyer", "knob") and body.material == "steel"
        if (body.kind == "rod" or bar) and _radii(body)[0] == 0.0:
            size = f"{bought(2.0 * _radii(body)[1])} × {lengths(_span(body) + SAWING_MM)}"
            name = "pin of the crank" if body.kind == "knob" else body.name
            rows.append((f"{body.material} rod", "1", size, name))
    return rows


def _bushes(found: Sequence[BuiltBody], unit: LengthUnit) -> list[Row]:
    bought, lengths = bought_length(unit), length_with_unit(unit)
    groups: dict[tuple[str, float, float, float], list[str]] = {}
    for body in found:
        if body.kind == "bearing":
            bore, outside = (round(2.0 * r, 1) for r in _radii(body))
            bore = round(2.0 * _radii(body)[0] - RUNNING_MM, 2)  # sold by the rod that runs in it
            key = (body.material, bore, outside, round(_span(body), 1))
            groups.setdefault(key, []).append(body.name)
    return [
        (
            f"bearing, {kind}", str(len(names)),
            f"for a rod of {bought(bore)}, outside {bought(outside)}, {lengths(long)} long",
            ", ".join(names),
        )
        for (kind, bore, outside, long), names in groups.items()
    ]  # fmt: skip


def _pins(held: Mapping[str, FixedPulley], unit: LengthUnit) -> list[Row]:
    return [
        (_FIXED_BY[one.fixing.way], "1", _fixing_size(one.fixing, unit), ", ".join(one.piece))
        for name, one in held.items()
        if one.fixing.size and name == one.piece[0]
    ]


def _flange_screws(held: Mapping[str, FixedPulley], unit: LengthUnit) -> list[Row]:
    rows = []
    for name, one in held.items():
        across, long = flange_screw_mm(one)
        if long and name == one.piece[0]:
            size = screw_size(across, long, unit)
            what = "brass wood screws, countersunk"
            rows.append((what, str(FLANGE_SCREWS), size, f"flange of {', '.join(one.piece)}"))
    return rows


_FIXED_BY: Mapping[Way, str] = {"pin": "steel pin", "set screw": "set screw", "flange": "flange"}


def _fixing_size(fixing: Fixing, unit: LengthUnit) -> str:
    if fixing.way != "pin":
        return told_in(fixing.size, unit, fits=True)
    return f"{bought_length(unit)(fixing.across_mm)} × {length_with_unit(unit, 0)(fixing.long_mm)}"


def _cross_pins(found: Sequence[BuiltBody], unit: LengthUnit) -> list[Row]:
    """Return the pins of crank and flyer, across bar and rod."""
    sizes = [(body.name, *cross_pin_mm(body)) for body in found]
    bought, lengths = bought_length(unit), length_with_unit(unit, 0)
    return [("steel pin", "1", f"{bought(across)} × {lengths(long)}", name)
            for name, across, long in sizes if across]  # fmt: skip


def _dowels(design: Design, unit: LengthUnit) -> list[Row]:
    """Return the dowels of pulleys that are glued up from layers."""
    bought, lengths = bought_length(unit), length_with_unit(unit, 0)
    rows = []
    for wheel in wheels(design):
        parts = layers(design, wheel) if wheel.layered else []
        if parts and parts[0].drills:
            thick = sum(p.quantity * (p.thickness_mm or 0.0) for p in parts)
            size = f"{bought(DOWEL_MM)} × {lengths(math.ceil(thick))}"
            rows.append(("hardwood dowel", str(len(parts[0].drills)), size, wheel.name))
    return rows


def _flyer(design: Design, unit: LengthUnit) -> list[Row]:
    """Return what flyer, brakes and reel take."""
    bought, lengths = bought_length(unit), length_with_unit(unit, 0)
    rows = (*brake_rows(design), *reel_rows(design))
    return [(what, count, f"{bought(across)} × {lengths(long)}", where)
            for what, count, across, long, where in rows]  # fmt: skip


def _leather(found: Sequence[BuiltBody], unit: LengthUnit) -> list[Row]:
    if not any(b.kind == "treadle" for b in found):
        return []
    lengths = length_with_unit(unit, 0)
    size = f"{bought_length(unit)(3.0)} thick, {lengths(40.0)} × {lengths(300.0)}"
    return [("leather, with tacks", "1", size, "treadle: its hinge, and its tie to the footman")]


def _seats(design: Design, unit: LengthUnit) -> list[Row]:
    """Return the discs of brass that upright rods stand on."""
    bought = bought_length(unit)
    return [("disc of brass", "1", f"{bought(seat.across_mm)} × {bought(SEAT_MM)}",
             f"under rod {seat.rod}") for seat in seats(design)]  # fmt: skip


def _ready(design: Design, found: Sequence[BuiltBody], unit: LengthUnit) -> list[Row]:
    """Return the knob and the collars of a wheel of which nothing is turned."""
    bought, rows = length_with_unit(unit), []
    for body in (b for b in found if b.kind in ("knob", "collar") and bought_ready(design, b)):
        if body.kind == "knob":
            size = f"diameters from one end: {steps_of(body, bought)}"
            rows.append(("knob, of wood", "1", size, "crank"))
            continue
        bore, outside = (2.0 * r for r in _radii(body))
        size = f"bore {bought(bore)}, outside {bought(outside)}, {bought(_span(body))} long"
        fixed = told_in(f"{body.name}: fixed with retaining compound, {PLAY_MM:g} mm from its "
                        "bearing", unit, fits=True)  # fmt: skip
        rows.append((f"collar, of {body.material} rod or tube", "1", size, fixed))
    return rows


LATHE_MM = 800.0
"""What a large lathe swings, outboard of its headstock: common practice, no source."""
SPLIT_PINS_MM = ((1.0, 4.5), (1.2, 5.5), (1.6, 7.0), (2.0, 9.0), (2.5, 11.0), (3.2, 14.0))
"""Split pins and the thickest pin that each is for: ISO 1234, from memory."""


def _washers(design: Design, found: Sequence[BuiltBody], unit: LengthUnit) -> list[Row]:
    """Return the washers of screws that run in slots, and of the pin that a footman turns on."""
    by_name = {b.name: b for b in found}
    counts: dict[float, list[tuple[str, int]]] = {}
    hangs = any(b.kind == "footman" for b in found)
    for one in screws(by_name):
        if in_slots(design, by_name[one.board]):
            counts.setdefault(one.across_mm, []).append((one.board, one.count))
    bought, pins = bought_length(unit), []
    for body in found:
        if hangs and body.kind == "knob" and body.material == "steel":
            pin = 2.0 * _radii(body)[1]
            counts.setdefault(pin, []).append(("footman", 2))
            across = next((s for s, most in SPLIT_PINS_MM if pin <= most), SPLIT_PINS_MM[-1][0])
            pins.append(("split pin", "1", f"{bought(across)} × {bought(2.5 * pin)}", "footman"))
    some = [("washers", str(sum(n for _, n in of)), f"for {bought(across)}",
             ", ".join(name for name, _ in of)) for across, of in counts.items()]  # fmt: skip
    return pins + some


def screw_rows(design: Design, found: Sequence[BuiltBody], unit: LengthUnit) -> list[Row]:
    """Return wood screws, bolts and hinges, those of one size in one row.

    Args:
        design: the wheel.
        found: its bodies.
        unit: how lengths are written.
    """
    by_name = {b.name: b for b in found}
    sizes: dict[tuple[str, str], list[Screwed]] = {}
    corners = () if fingered(build(design)) else corner_screws(by_name)
    for one in (*screws(by_name), *corners):
        head = "pan-headed" if in_slots(design, by_name[one.board]) else "countersunk"
        sizes.setdefault((head, one.size_in(unit)), []).append(one)
    rows = [
        (f"wood screws, {head}", str(sum(one.count for one in some)), size,
         ", ".join(one.board for one in some))
        for (head, size), some in sizes.items()
    ]  # fmt: skip
    for bolt in bolts(by_name):
        in_case = by_name[bolt.board].kind == "slide"
        what = "button-head bolts, nuts, broad washers" if in_case else \
            "bolts, wing nuts, two washers each"
        rows.append((what, str(bolt.count), bolt.size_in(unit), bolt.board))
    held: dict[str, list[Bolted]] = {}
    for post in (post_bolts(b, by_name) for b in found):
        if post is not None:
            held.setdefault(post.size_in(unit), []).append(post)
    rows += [
        (f"bolts, washers, cross dowels of {bought_length(unit)(BARREL_MM)}, not longer than the "
         "post is thick", str(sum(p.count for p in posts)), size, ", ".join(p.board for p in posts))
        for size, posts in held.items()
    ]  # fmt: skip
    if any(b.kind == "lid" for b in found):
        rows.append(("butt hinges, small", "2", "25 mm" if unit == "mm" else "1 in", "lid"))
    return rows


def _knob(found: Sequence[BuiltBody], unit: LengthUnit) -> list[Row]:
    """Return what keeps the knob of a crank in its arm."""
    arm = next((b.shape for b in found if b.kind == "crank"), None)
    turned = any(b.kind == "knob" and b.material != "steel" for b in found)
    if not turned or not isinstance(arm, BoardShape):
        return []
    hole, bought = 2.0 * arm.holes[-1][1], bought_length(unit)
    screw = knob_screw_mm(hole)
    size = f"{bought(hole + KNOB_WASHER_OVER_MM)} across, {bought(KNOB_WASHER_MM)} thick"
    return [
        ("brass wood screw, round head", "1", screw_size(screw, KNOB_SCREW_LONG_MM, unit), "knob"),
        ("brass washer", "1", f"{size}, for the screw", "knob"),
    ]


def _cords(bands: Sequence[BandRow], unit: LengthUnit) -> list[Row]:
    bought, lengths = bought_length(unit), length_with_unit(unit, 0)
    return [
        (
            row.band.material, "1",
            f"{bought(row.told.bought_diameter_mm)} × {lengths(CORD_OVER * row.off_reel_mm)}",
            row.band.name,
        )
        for row in bands
    ]  # fmt: skip


def _odd_drills(
    found: Sequence[BuiltBody], held: Mapping[str, FixedPulley], unit: LengthUnit
) -> str:
    """Return every hole that no half-millimetre drill makes, and the reamers for bores."""
    holes = {
        round(2.0 * radius, 1)
        for body in found
        if isinstance(body.shape, BoardShape)
        for _, radius in body.shape.holes
    }
    # rings and sleeves of wood or leather are drilled; those of brass are bought as they are
    holes |= {
        round(2.0 * _radii(body)[0], 1)
        for body in found
        if body.kind in ("collar", "rod", "bobbin") and body.material not in ("brass", "steel")
    }
    holes.discard(0.0)
    holes |= {one.fixing.across_mm for one in held.values() if one.fixing.way == "pin"}
    bored = {round(one.pulley.bore_mm, 2) for one in held.values()}
    bought = bought_length(unit)
    odd = sorted(hole for hole in holes if hole not in _COMMON_DRILLS)
    said = ", ".join(bought(hole) for hole in odd) or "none"
    bushes = {round(2.0 * _radii(b)[0], 2) for b in found if b.kind == "bearing"}
    reamed = f"; bushes are reamed or lapped to {', '.join(bought(b) for b in sorted(bushes))}"
    reamers = ", ".join(bought(b) for b in sorted(bored))
    return f"{said}; reamers for the bores of pulleys: {reamers}{reamed if bushes else ''}"


def tools_of(design: Design) -> list[str]:
    """Return the tools that a wheel takes.

    Args:
        design: the wheel.
    """
    found = bodies(build(design))
    tools = ["saw", "drill press with a square table", "reamers", "clamps", "rule and square"]
    turned = [w for w in wheels(design) if not w.layered]
    if turned:
        swings = [math.ceil(swing_mm(design, w) / 10.0) * 10 for w in turned]
        small = max((s for s in swings if s <= LATHE_MM), default=0)
        tools += [f"lathe that swings {small:g} mm"] if small else []
        if max(swings) > LATHE_MM:
            tools.append(
                f"a tool rest that can be clamped before a wheel: what is {max(swings):g} mm over "
                "its corners is turned slowly on its own axle, between its posts"
            )
    if any(built_up_parts(design, w) for w in wheels(design)):
        tools += ["band clamp and sash cramps", "saw with a stop and a sled for mitres", "plane"]
    if any(w.layered for w in wheels(design)):
        tools.append("laser, router or fretsaw")
    if any(b.kind == "leg" for b in found):
        tools += [t for t in ("plane", "chisels") if t not in tools]
    tools += ["file, fine emery and a stone for the spindle's point"] * (
        design.spindle.kind == "tip"
    )
    return tools


def _hours(design: Design, found: Sequence[BuiltBody]) -> tuple[int, str]:
    """Return how long it takes in all, and how that is made up."""
    counts = Counter(
        turning=sum(not w.layered for w in wheels(design)),
        layers=sum(w.layered for w in wheels(design)),
        gluing=sum(bool(built_up_parts(design, w)) for w in wheels(design)),
        boards=sum(isinstance(b.shape, BoardShape) for b in found),
    )
    each = {"turning": 1.5, "layers": 1.0, "gluing": 5.0, "boards": 0.4}
    parts = {name: math.ceil(each[name] * n) for name, n in counts.items() if n}
    parts["fitting and trying"] = 4
    return sum(parts.values()), ", ".join(f"{name} {hours} h" for name, hours in parts.items())
