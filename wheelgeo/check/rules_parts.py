"""Rules on the parts themselves: whether enough is left of them to be made."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from wheelgeo.built.assembly import Stuck, assembly
from wheelgeo.built.bodies import bodies
from wheelgeo.built.built_up import LARGE_MM
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.check.adjustments import Adjustment, a_size, by_steps, grown, only, thicker_rod
from wheelgeo.check.edits import edit
from wheelgeo.check.finding import Finding, Level, advice
from wheelgeo.check.remedies import mend
from wheelgeo.check.rules_bodies import bearings_of, bodies_collide, set_bearings
from wheelgeo.check.things import Thing
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.model import Design
from wheelgeo.design.rods import rod_within_mm
from wheelgeo.design.ways_to_fix import SAFETY, strongest
from wheelgeo.design.wood import HANDBOOK, Year, disc_over_a_year, find_species
from wheelgeo.drive.fixing import fixed_pulleys, seating
from wheelgeo.units.in_full import full, plain

_NOTHING_MM = 0.005
"""A wall thinner than this is told as none."""


def thin_wall(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where too little is left between the bore of a pulley and the bottom of its groove.

    A fault where it breaks as it is turned or pressed on its rod.
    """
    for pulley in wheel.solution.built.pulleys.values():
        name = "metal_wall_mm" if pulley.is_metal else "wood_wall_mm"
        limit = wheel.limit(name)
        wall = pulley.wall_mm
        if wall < limit - 1e-9:
            bored = max(pulley.bottom_mm - 2.0 * limit, 0.0)
            breaks = wall < _BREAKS_BELOW * limit - 1e-9
            yield Finding(
                "thin-wall",
                "fault" if breaks else "warning",
                f'pulley "{pulley.name}"',
                wall,
                _BREAKS_BELOW * limit if breaks else limit,
                "mm",
                _thin_says(pulley, wall, breaks),
                LIMITS[name].source,
                mend(
                    wheel,
                    thin_wall,
                    _stouter(wheel, pulley, wall, limit),
                    f"bore it {full(bored)} mm or less, for a thinner shaft",
                ),
            )


_BREAKS_BELOW = 0.25
"""Of the least wall, the part below which it breaks as it is made: wood no thicker than a shaving,
0.3 mm, metal than a foil; common practice, no source."""


def _thin_says(pulley: BuiltPulley, wall: float, breaks: bool) -> str:
    if wall < -_NOTHING_MM:
        return (
            f'the bore of "{pulley.name}", {full(pulley.bore_mm)} mm, is wider than the bottom '
            f"of its groove, {full(pulley.bottom_mm)} mm"
        )
    left = "nothing is" if wall < _NOTHING_MM else f"only {full(wall)} mm are"
    says = f'{left} left of "{pulley.name}" between its bore and the bottom of its groove'
    return f"{says}: it falls in two as it is made" if breaks else says


def held_on_rod(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Tell of wood that nothing holds on its rod as well as it should against what may come on it.

    A warning where nothing holds it at all. Metal is turned in one piece with its rod then; a thin
    wall is told by a rule of its own.
    """
    built, told = wheel.solution.built, set()
    for one in fixed_pulleys(built, wheel.loaded.load).values():
        pulley, needs = one.pulley, SAFETY * one.torque_nm
        limit = wheel.limit("metal_wall_mm" if pulley.is_metal else "wood_wall_mm")
        if one.fixing.holds_nm >= needs and one.fixing.way != "one piece":
            continue
        if pulley.is_metal or pulley.wall_mm < limit - 1e-9 or one.piece in told:
            continue
        told.add(one.piece)
        piece = tuple(built.pulleys[name] for name in one.piece)
        best, rod = strongest(seating(built, piece, one.torque_nm)), pulley.shaft.diameter_mm
        holds = 0.0 if best is None else best.holds_nm
        level: Level = "warning" if one.fixing.way == "one piece" else "note"
        yield Finding(
            "not-held", level, f'pulley "{pulley.name}"', holds, needs, "N m",
            f'"{pulley.name}" should hold {plain(needs)} N m on its rod of {full(rod)} mm, '
            f"{SAFETY:g} times what may come on it, and the best way to fix it there holds "
            f"{plain(holds)} N m", "hold of pins, glue and flanges, each with its source",
            mend(wheel, held_on_rod, list(_held_better(wheel.design, pulley)),
                 "give it a thicker rod, or more width"),
        )  # fmt: skip


def _held_better(design: Design, pulley: BuiltPulley) -> Iterator[Adjustment]:
    """Yield a thicker rod, and a wider pulley."""
    yield thicker_rod(design, pulley.shaft.name, 2.0)
    wide = pulley.width_mm
    place = ("pulley", pulley.name, "width")
    yield a_size(by_steps(design, place, wide, 1.0, 2.0 * wide, step=1.0))


def wood_moves(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note where a wheel of solid wood goes out of round over a year of humidity.

    Layers hold one another where their grain is crossed, as the cut list has it; the note then
    tells what they do if it is not.
    """
    limit = wheel.limit("out_of_round_mm")
    for pulley in wheel.solution.built.pulleys.values():
        species = find_species(pulley.material.value.name)
        if species is None or pulley.making.value in ("segments", "spokes"):
            continue
        moved = disc_over_a_year(pulley.rim_mm, species, "flat-sawn").out_of_round_mm
        if moved <= limit:
            continue
        air = Year()
        yield Finding(
            "wood-moves", "note", f'pulley "{pulley.name}"', moved, limit, "mm",
            f'"{pulley.name}", {_board_words(pulley, species.name)} goes '
            f"{full(moved, 1)} mm out of round between the driest and the dampest air of a year "
            f"({100.0 * air.driest:g} to {100.0 * air.dampest:g} % humidity): its band tightens "
            f"and slackens twice a turn{_CROSSED if _layered(pulley) else ''}",
            f"{HANDBOOK}; crossed layers: {PRACTICE}" if _layered(pulley) else HANDBOOK,
            mend(
                wheel, wood_moves, _stays_round(wheel.design, pulley),
                "glue its layers with their grain crossed" if _layered(pulley)
                else "turn it from a quarter-sawn board",
            ),
        )  # fmt: skip


_CROSSED = (
    ". Glued with the core's grain square across that of the cheeks, as its cut list has it, it "
    "stays round, yet its thin cheeks still split easily at the ends of their grain"
)


def _layered(pulley: BuiltPulley) -> bool:
    return pulley.making.value == "layers"


def _board_words(pulley: BuiltPulley, wood: str) -> str:
    if _layered(pulley):
        return f"glued up from layers of {wood} whose grain all runs one way,"
    boards = "flat-sawn boards" if pulley.making.value == "boards" else "one flat-sawn board"
    return f"turned from {boards} of {wood},"


def _stays_round(design: Design, pulley: BuiltPulley) -> Iterator[Adjustment]:
    """Yield segments for a large wheel, whose grain goes round with the rim; else plywood."""
    if pulley.rim_mm >= LARGE_MM and not _layered(pulley):
        yield only(edit(design, "pulley", pulley.name, "build", "segments"))
    yield only(edit(design, "pulley", pulley.name, "material", "plywood"))


def put_together(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn of what cannot be drawn out of what encloses it, endless bands included.

    While bodies run into each other they hold one another: that is told as one finding.
    """
    held_fast = assembly(wheel.solution.built).stuck
    collide = (f.level == "fault" for f in wheel.found(bodies_collide))
    if len(held_fast) > 1 and any(collide):
        names = ", ".join(f'"{stuck.what}"' for stuck in held_fast)
        yield Finding(
            "put-together", "warning", "what collides", float(len(held_fast)), 0.0, "",
            f"while bodies run into each other, {len(held_fast)} things can neither be put in "
            f"place nor taken out whole: {names}",
            PRACTICE, advice("mend first what runs into what, and check again"),
        )  # fmt: skip
        return
    grooves = {body.name: frozenset(body.grooves) for body in bodies(wheel.solution.built)}
    for stuck in held_fast:
        it = Thing(f'"{stuck.what}"', grooves.get(stuck.what, frozenset()))
        held = ", ".join(f'"{name}"' for name in stuck.held_by)
        yield Finding(
            "put-together", "warning", (it,), None, None, "",
            f'"{stuck.what}" can neither be put in place nor taken out whole: {held} '
            f"{'are' if len(stuck.held_by) > 1 else 'is'} in its way",
            PRACTICE,
            mend(
                wheel, put_together, list(_opened(wheel, stuck)),
                f"split {held} along the rod, or open it at the top, and hold it with a cap",
            ),
        )  # fmt: skip


def _opened(wheel: WheelUnderCheck, stuck: Stuck) -> Iterator[Adjustment]:
    """Yield the split of what holds a level rod, where that is in the way: one, then all of it."""
    built = wheel.solution.built
    found = {b.name: b for b in bodies(built)}
    names = [stuck.what, *stuck.held_by]
    parts = {found[name].part: 0 for name in names if name in found and found[name].part}
    for shaft in parts:
        now = bearings_of(wheel.design, shaft)
        held = [i for i in range(len(now)) for kind in ("support", "maiden", "post")
                if f"{kind} {shaft} {i + 1}" in names]  # fmt: skip
        for some in (*([i] for i in held), range(len(now))):
            split = tuple(replace(b, split=b.split or i in some) for i, b in enumerate(now))
            if split != now:
                yield only(set_bearings(wheel.design, shaft, split))


def _stouter(
    wheel: WheelUnderCheck, made: BuiltPulley, wall: float, limit: float
) -> Iterator[Adjustment]:
    """Yield the thinner rod, metal where that is enough, or the larger pulley."""
    pulley, design, short = made.pulley, wheel.design, 2.0 * (limit - wall)
    thinner = rod_within_mm(made.shaft.diameter_mm - short, design.unit)
    if thinner is not None and pulley.bore_mm is None:
        yield only(edit(design, "shaft", pulley.shaft, "diameter", thinner))
    bore = math.floor(100.0 * (made.bore_mm - short) + 1e-6) / 100.0
    if pulley.bore_mm is not None and bore >= made.shaft.diameter_mm:
        yield only(edit(design, "pulley", pulley.name, "bore", bore))
    if not made.is_metal and wall >= wheel.limit("metal_wall_mm"):
        yield only(edit(design, "pulley", pulley.name, "material", "brass"))
    yield grown(design, pulley.name, math.ceil(100.0 * short - 1e-6) / 100.0)
