"""Rules on room: parts that collide, runs that hit something, and what must fit the case."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.built.kept import KeptOf
from wheelgeo.check.adjustments import (
    Adjustment,
    larger_case,
    move_along,
    move_apart,
    shift_band,
    shift_either_way,
)
from wheelgeo.check.finding import Finding, Level
from wheelgeo.check.remedies import mend
from wheelgeo.check.things import Thing
from wheelgeo.check.told_singly import told_singly
from wheelgeo.check.wheel_under_check import Find, WheelUnderCheck, gap_mm
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.model import Pulley
from wheelgeo.drive.train import BandMotion
from wheelgeo.geometry.convex import SIDES, Capsule, Cylinder, overhangs_mm
from wheelgeo.geometry.near import near_pairs
from wheelgeo.geometry.vectors import Vector
from wheelgeo.units.in_full import full

GEOMETRY = "distance between the two bodies"
CLEARANCE = f"{GEOMETRY}; least gap: {LIMITS['clearance_mm'].source}"
TOUCH_MM = 1e-6
_OVERHANGS: KeptOf[tuple[Vector, Vector]] = KeptOf(1024)
"""Bodies that overlap by less than this only touch."""

Body = Cylinder | Capsule
Named = tuple[str, Body]


def _too_near(
    wheel: WheelUnderCheck,
    find: Find,
    rule: str,
    parts: tuple[Named, Named],
    ways: Iterator[Adjustment],
    limit: float,
    otherwise: str = "",
) -> Iterator[Finding]:
    """Yield a fault where two bodies overlap or touch, a warning where they all but touch."""
    (first, body), (second, other) = parts
    gap = gap_mm(body, other, enough=limit + 2.0 * TOUCH_MM)
    if gap >= limit - TOUCH_MM:
        return
    plainly = otherwise or f"set the two {full(limit - gap)} mm further apart"
    yield Finding(
        rule,
        "fault" if gap < TOUCH_MM else "warning",
        (Thing(first), Thing(second)),
        round(gap, 6),
        limit,
        "mm",
        _near_in_words(first, second, gap),
        CLEARANCE,
        mend(wheel, find, ways, plainly),
    )


def _near_in_words(first: str, second: str, gap: float) -> str:
    if gap < -TOUCH_MM:
        return f"{first} runs {thin_mm(-gap)} into {second}"
    if gap < TOUCH_MM:
        return f"{first} touches {second}"
    return f"only {thin_mm(gap)} lie between {first} and {second}"


def thin_mm(length: float) -> str:
    """Return a small length in words, mm."""
    if length < TOUCH_MM:
        return "0 mm"
    return f"{full(length)} mm" if length >= 0.005 else "less than 0.01 mm"


def parts_collide(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which pulleys and shafts run into each other, and how deep."""
    limit = wheel.limit("clearance_mm")
    parts = _parts(wheel)
    near = [(parts[i], parts[j]) for i, j in near_pairs([part[3] for part in parts], limit)]
    apart = [(one, other) for one, other in near if not wheel.coaxial(one[1], other[1])]
    yield from told_singly(
        "parts-collide", "parts", apart, lambda two: _too_near(
            wheel, parts_collide, "parts-collide", ((two[0][0], two[0][3]), (two[1][0], two[1][3])),
            _ways_to_part(wheel, *two), limit,
        )
    )  # fmt: skip


_Part = tuple[str, str, str | None, Cylinder]
"""What to call a part, its shaft, its name where it is a pulley, and its body."""


def _parts(wheel: WheelUnderCheck) -> list[_Part]:
    pulleys: list[_Part] = [
        (f'pulley "{p.name}"', p.shaft, p.name, wheel.pulley_bodies[p.name])
        for p in wheel.design.pulleys
    ]
    shafts: list[_Part] = [
        (f'shaft "{s.name}"', s.name, None, wheel.shaft_bodies[s.name]) for s in wheel.design.shafts
    ]
    return pulleys + shafts


def _ways_to_part(wheel: WheelUnderCheck, one: _Part, other: _Part) -> Iterator[Adjustment]:
    design = wheel.design
    yield from shift_either_way(design, *(p[2] for p in (one, other) if p[2] is not None))
    yield from move_apart(design, other[1], one[1])
    yield from move_apart(design, one[1], other[1])


def grooves_overlap(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which pulleys on one axis stand in each other's place."""
    pulleys = wheel.design.pulleys
    near = near_pairs([wheel.pulley_bodies[p.name] for p in pulleys], 0.0)
    pairs = [(pulleys[i], pulleys[j]) for i, j in near]
    beside = [(one, other) for one, other in pairs if wheel.coaxial(one.shaft, other.shaft)]
    yield from told_singly(
        "pulleys-overlap", "pulleys on one axis", beside, lambda two: _overlap(wheel, *two)
    )


def _overlap(wheel: WheelUnderCheck, one: Pulley, other: Pulley) -> Iterator[Finding]:
    gap = gap_mm(wheel.pulley_bodies[one.name], wheel.pulley_bodies[other.name])
    if gap < -TOUCH_MM:
        two = tuple(Thing(f'pulley "{p.name}"') for p in (one, other))
        yield Finding(
            "pulleys-overlap", "fault", two, round(gap, 6), 0.0, "mm",
            f'"{one.name}" and "{other.name}" overlap by {thin_mm(-gap)} on their shaft',
            GEOMETRY,
            mend(
                wheel, grooves_overlap, shift_either_way(wheel.design, one.name, other.name),
                "set their offsets further apart, or give them less width",
            ),
        )  # fmt: skip


def runs_hit_parts(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which run hits a pulley or a shaft that it does not serve."""
    parts, runs = _parts(wheel), _runs(wheel)
    limit = wheel.limit("clearance_mm")
    bodies = [part[3] for part in parts]

    def held(near: tuple[int, int]) -> Iterator[Finding]:
        (_, named, served), part = runs[near[0]], parts[near[1]]
        if part[2] is None:
            yield from _run_against_shaft(wheel, named, part, served)
        elif part[2] not in served:
            yield from _run_against_pulley(wheel, named, part, served)

    near = near_pairs([body for _, (_, body), _ in runs], limit, bodies)
    yield from told_singly("run-hits-pulley", "a run and a part", near, held)


def _runs(wheel: WheelUnderCheck) -> list[tuple[BandMotion, Named, tuple[str, str]]]:
    """Return every run: its band, what to call it and its body, and the two pulleys it serves."""
    found: list[tuple[BandMotion, Named, tuple[str, str]]] = []
    for motion in wheel.paths():
        assert motion.path is not None
        names = [s.pulley for s in motion.band.route]
        for run, named in zip(motion.path.runs, wheel.run_bodies(motion), strict=True):
            found.append((motion, named, (names[run.first], names[run.second])))
    return found


def _run_against_pulley(
    wheel: WheelUnderCheck, run: Named, part: _Part, served: tuple[str, str]
) -> Iterator[Finding]:
    """Hold a run against a pulley; one that is of a piece with a served one may be near it."""
    design = wheel.design
    limit = wheel.limit("clearance_mm")
    for name in served:
        if wheel.coaxial(design.pulley(name).shaft, part[1]):
            limit = min(limit, max(gap_mm(wheel.pulley_bodies[name], part[3]), 0.0))
    yield from _too_near(
        wheel, runs_hit_parts, "run-hits-pulley", (run, (part[0], part[3])),
        _ways_from_run(wheel, part, served), limit,
    )  # fmt: skip


def _run_against_shaft(
    wheel: WheelUnderCheck, run: Named, part: _Part, served: tuple[str, str]
) -> Iterator[Finding]:
    design = wheel.design
    if not any(wheel.coaxial(part[1], design.pulley(name).shaft) for name in served):
        yield from _too_near(
            wheel, runs_hit_parts, "run-hits-shaft", (run, (part[0], part[3])),
            _ways_from_run(wheel, part, served), wheel.limit("clearance_mm"),
        )  # fmt: skip


def _ways_from_run(
    wheel: WheelUnderCheck, part: _Part, served: tuple[str, str]
) -> Iterator[Adjustment]:
    """Yield what takes a part out of a run's way: along its shaft, aside, or the band itself."""
    design = wheel.design
    if part[2] is not None:
        yield from shift_either_way(design, part[2])
    band = next(
        b.name for b in design.bands if set(served) <= {s.pulley for s in b.route}
    )  # fmt: skip
    yield shift_band(design, band)
    for name in served:
        yield from move_apart(design, part[1], design.pulley(name).shaft)
        yield from move_apart(design, design.pulley(name).shaft, part[1])


def runs_touch(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which runs of different bands touch."""
    limit, runs = wheel.limit("clearance_mm"), _runs(wheel)
    near = near_pairs([body for _, (_, body), _ in runs], limit)
    order = {m.band.name: k for k, m in enumerate(wheel.paths())}
    # In the order of the bands, and of the runs within two bands.
    near.sort(key=lambda pair: [order[runs[k][0].band.name] for k in pair])
    for i, j in near:
        (one, first, _), (other, second, _) = runs[i], runs[j]
        if one is other:
            continue
        both = {s.pulley for s in one.band.route} & {s.pulley for s in other.band.route}
        shared = " and ".join(f'"{name}"' for name in sorted(both))
        alone = f"give each band a groove of its own on {shared}" if both else ""
        ways = _ways_past(wheel, one, other)
        yield from _too_near(wheel, runs_touch, "runs-touch", (first, second), ways, limit, alone)


def _ways_past(wheel: WheelUnderCheck, one: BandMotion, other: BandMotion) -> Iterator[Adjustment]:
    for motion in (one, other):
        yield shift_band(wheel.design, motion.band.name)
    yield from shift_either_way(
        wheel.design, *(s.pulley for m in (one, other) for s in m.band.route)
    )


def outside_case(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which pulley or run does not fit inside the case, on which sides and by how much."""
    if wheel.design.case is None:
        return
    for name, body in wheel.pulley_bodies.items():
        yield from _beyond(wheel, "outside-case", (f'pulley "{name}"', body), (name,))
    for motion in wheel.paths():
        assert motion.path is not None
        names = [s.pulley for s in motion.band.route]
        for run, named in zip(motion.path.runs, wheel.run_bodies(motion), strict=True):
            yield from _beyond(wheel, "run-hits-case", named, (names[run.first], names[run.second]))


def _side(index: int, sign: float) -> Vector:
    return (sign * (index == 0), sign * (index == 1), sign * (index == 2))


def _beyond(
    wheel: WheelUnderCheck, rule: str, part: Named, pulleys: tuple[str, ...]
) -> Iterator[Finding]:
    room, case = wheel.limit("clearance_mm"), wheel.design.case
    assert case is not None
    low, high = _OVERHANGS.get(
        (part[1], case), lambda: overhangs_mm(part[1], case.corner_mm, case.inside_mm)
    )
    worst = max(*low, *high)
    if worst <= -room + TOUCH_MM:
        return
    level: Level = "fault" if worst > -TOUCH_MM else "warning"
    yield Finding(
        rule, level, part[0], round(-worst, 6), room, "mm",
        f"{part[0]} {_sides_in_words(low, high, room)}",
        CLEARANCE,
        mend(
            wheel, outside_case, _ways_inside(wheel, (low, high), room, pulleys),
            _put_inside(low, high, room),
        ),
    )  # fmt: skip


def _put_inside(low: Vector, high: Vector, room: float) -> str:
    """Say what puts a part inside the case: moving it, unless it is larger than the case."""
    larger = max(a + b + 2.0 * room for a, b in zip(low, high, strict=True))
    if larger > 0.0:
        return (
            f"no place in the case is large enough for it: make it {full(larger)} mm smaller, or "
            "the case as much larger"
        )
    worst = max(*low, *high)
    return f"move it in by {full(worst + room)} mm, or make it smaller or the case larger"


def _sides_in_words(low: Vector, high: Vector, room: float) -> str:
    out, at, near = [], [], []
    for i in range(3):
        for beyond, side in zip((low[i], high[i]), SIDES[i], strict=True):
            if beyond > TOUCH_MM:
                out.append(f"by {thin_mm(beyond)} at the {side}")
            elif beyond > -TOUCH_MM:
                at.append(f"at the {side}")
            elif beyond > -room + TOUCH_MM:
                near.append(f"{thin_mm(-beyond)} at the {side}")
    if out:
        return f"sticks out of the case {' and '.join(out)}"
    if at:
        return f"touches the case {' and '.join(at)}"
    return f"clears the case by only {' and '.join(near)}"


def _ways_inside(
    wheel: WheelUnderCheck, overhangs: tuple[Vector, Vector], room: float,
    pulleys: tuple[str, ...],
) -> Iterator[Adjustment]:  # fmt: skip
    design, case = wheel.design, wheel.design.case
    assert case is not None
    yield from shift_either_way(design, *pulleys)
    for i in range(3):
        for sign, beyond in ((1.0, overhangs[0][i]), (-1.0, overhangs[1][i])):
            if beyond > -room:
                for shaft in dict.fromkeys(design.pulley(p).shaft for p in pulleys):
                    yield move_along(design, shaft, _side(i, sign), case.inside_mm[i])
    low, high = ([_grown(b, room) for b in side] for side in overhangs)
    yield larger_case(design, case, (low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _grown(beyond: float, room: float) -> float:
    """Return how much a side of the case must give way, rounded up to a tenth of a millimetre."""
    return math.ceil(10.0 * max(beyond + room, 0.0) - 1e-6) / 10.0
