"""The table of a stand: under all posts, on legs, or low enough to lie on the floor itself.

So that the wheel stands firm, the table and the feet under its legs reach a third of the height of
the highest shaft, across the axle and along it, or as far as the file says. All sizes are common
practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from wheelgeo.built.body import BoardShape, BuiltBody, board, rectangle
from wheelgeo.design.model import Stand
from wheelgeo.geometry.vectors import Vector, along, cross, dot, scale, sub

if TYPE_CHECKING:
    from wheelgeo.built.as_built import Built
    from wheelgeo.built.stand import Ground
    from wheelgeo.built.treadle import HingeAt

WOOD = "oak"
UP: Vector = (0.0, 0.0, 1.0)
TABLE_MM = 30.0
LEAST_TABLE_MM = 120.0
"""Lowest table that has legs; below it the table lies on the floor."""
LEG_MM = 36.0
SPREAD = 1.0 / 3.0
"""Least reach of the feet, across the axle and along it, over the height of the highest shaft."""
STEP_MM = 5.0
"""Table and feet are cut to whole steps."""
RAIL_MM = 36.0
"""Least thickness of the rail that a treadle is hinged on."""
TREADLE_ROOM_MM = 10.0
"""Between the treadle and the feet beside it."""


def table_bodies(
    built: Built, ground: Ground, feet: list[tuple[float, float, float, float]],
    treadle: tuple[BuiltBody, ...], hinge: HingeAt | None,
) -> Iterator[BuiltBody]:  # fmt: skip
    """Yield the table under all posts, its legs, the feet that join them, a treadle's rail."""
    from wheelgeo.built.treadle import hinge_rail

    edge = 20.0
    x0, x1 = min(f[0] for f in feet) - edge, max(f[1] for f in feet) + edge
    y0, y1 = min(f[2] for f in feet) - edge, max(f[3] for f in feet) + edge
    across, deep = _reach_mm(built)
    low = ground.top - TABLE_MM
    if low > 0.0:  # the treadle swings between the feet
        for body in treadle:
            shape = body.shape
            assert isinstance(shape, BoardShape)
            corners = [ground.level(shape.point(x, y, z))[0]
                       for x, y in shape.outline for z in (shape.low, shape.high)]  # fmt: skip
            x0 = min(x0, min(corners) - TREADLE_ROOM_MM - LEG_MM)
            x1 = max(x1, max(corners) + TREADLE_ROOM_MM + LEG_MM)
        if hinge is not None:
            rail = hinge.across_mm + hinge.out * RAIL_MM
            x0, x1 = min(x0, rail - LEG_MM), max(x1, rail + LEG_MM)
    else:
        y0, y1 = _at_least(y0, y1, deep)
    near, far = x0, x1
    x0, x1 = _at_least(x0, x1, across)
    if hinge is not None:  # what is added goes to the other side: the rail lies against its foot
        aside = far - x1 if hinge.out > 0.0 else near - x0
        x0, x1 = x0 + aside, x1 + aside
    legs = tuple(f"leg {n}" for n in range(1, 5)) if low > 0.0 else ()
    posts = [f"post {m.name} {n}" for m in built.shafts.values() for n in range(1, 9)]
    origin = ground.at(0.0, 0.0, low)
    # Its plan is told from the left and the front edge: its x goes to the right, its y back.
    ways = (ground.side, ground.axis)
    right = max((*ways, *(scale(w, -1.0) for w in ways)), key=lambda w: w[0])
    back = cross(UP, right)
    corners_at = [sub(ground.at(x, y, low), origin) for x in (x0, x1) for y in (y0, y1)]
    xs, ys = ([dot(c, way) for c in corners_at] for way in (right, back))
    outline = rectangle(min(xs), min(ys), max(xs), max(ys))
    yield board(
        "table", "table", origin, right, back, outline, 0.0, TABLE_MM, WOOD,
        fits_in=(*legs, *posts, *(f"post {m.name}" for m in built.shafts.values())),
    )  # fmt: skip
    if not legs:
        if hinge is not None:
            yield hinge_rail(ground, hinge, hinge.across_mm + hinge.out * RAIL_MM, ())
        return
    half = 0.5 * LEG_MM
    # else the legs themselves reach far enough, and hold no rail
    longer = hinge is not None or deep > y1 - y0 + 1e-9
    z0, z1 = _at_least(y0, y1, deep)
    if hinge is not None:  # the rail lies against the foot
        ends = hinge.along_mm
        z0, z1 = min(z0, *ends), max(z1, *ends)
        at = 1 if hinge.out < 0.0 else 2
        inner = (x0 + LEG_MM) if at == 1 else (x1 - LEG_MM)
        yield hinge_rail(ground, hinge, inner, (f"trestle foot {at}",))
    stands = [(x, y) for y in (y0 + half, y1 - half) for x in (x0 + half, x1 - half)]
    for name, (x, y) in zip(legs, stands, strict=True):
        yield board(
            name, "leg", ground.at(x, y, 0.0), ground.axis, ground.side,
            rectangle(-half, -half, half, half), LEG_MM if longer else 0.0, low, WOOD,
            fits_in=("table",),
        )  # fmt: skip
    for number, x in enumerate((x0 + half, x1 - half) if longer else (), 1):
        yield board(
            f"trestle foot {number}", "trestle foot", ground.at(x, 0.0, 0.0), ground.axis, UP,
            rectangle(z0, 0.0, z1, LEG_MM), -half, half, WOOD, fits_in=legs, key="stand",
        )  # fmt: skip


def _reach_mm(built: Built) -> tuple[float, float]:
    """Return how far the feet reach at least, across the axle and along it, mm."""
    given = built.design.stand or Stand()
    ends = [along(m.shaft.at_mm, m.shaft.axis, e)[2]
            for m in built.shafts.values() for e in m.ends_mm]  # fmt: skip
    usual = SPREAD * max(ends)
    across = usual if given.across_mm is None else given.across_mm
    return across, usual if given.deep_mm is None else given.deep_mm


def _at_least(low: float, high: float, long: float) -> tuple[float, float]:
    """Return a stretch at least so long, longer at both ends alike, of whole workshop steps."""
    whole = STEP_MM * math.ceil(max(long, high - low) / STEP_MM - 1e-9)
    more = 0.5 * (whole - (high - low))
    return low - more, high + more
