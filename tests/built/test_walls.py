"""Corners of a case: the fingers of two walls fill one another, or the walls are butted."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from shapely.geometry import Polygon

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.wall import fingered
from wheelgeo.design.reader import read_design

DESIGNS = Path(__file__).parents[2] / "designs"
BOX = read_design(DESIGNS / "box-wheel.toml")


def walls(design):
    return {b.name: b for b in bodies(build(design)) if b.kind == "wall"}


def as_cut(body):
    return Polygon(body.shape.outline)


def as_held(body):
    """The area of the rectangles that clearances take the wall to be made of."""
    return sum(4.0 * p.halves[0] * p.halves[1] for p in body.pieces)


@pytest.mark.parametrize(("high", "gaps"), [(70.0, 1), (120.0, 2)])
def test_gaps_of_the_front_are_as_high_as_the_fingers_of_the_left(high, gaps):
    """Seen from the front the left wall's end is 9 mm wide; front and left fill it together."""
    case = replace(BOX.case, inside_mm=(388.0, 190.0, high))
    made = walls(replace(BOX, case=case))
    front, left = as_cut(made["wall front"]), as_cut(made["wall left"])
    corner = Polygon([(-9.0, 0.0), (0.0, 0.0), (0.0, high), (-9.0, high)])
    gap = corner.difference(front)
    # the left wall's own x runs to the back: what reaches through the front is at y below 0
    through = left.intersection(Polygon([(-9.0, 0.0), (0.0, 0.0), (0.0, high), (-9.0, high)]))
    assert len(getattr(gap, "geoms", [gap])) == gaps
    assert through.symmetric_difference(gap).area < 1e-9
    assert corner.area > gap.area > 0.3 * corner.area


@pytest.mark.parametrize("name", ["wall front", "wall back", "wall left"])
def test_clearances_take_a_wall_to_be_what_is_cut(name):
    body = walls(BOX)[name]
    assert as_held(body) == pytest.approx(as_cut(body).area, rel=1e-12)
    assert as_cut(body).is_valid


def test_low_walls_and_a_notch_in_the_corner_are_butted():
    assert fingered(build(BOX))
    low = replace(BOX, case=replace(BOX.case, inside_mm=(388.0, 190.0, 25.0)))
    assert not fingered(build(low))
    shafts = tuple(
        replace(s, at_mm=(4.0, *s.at_mm[1:])) if s.name == "spindle" else s for s in BOX.shafts
    )
    near = replace(BOX, shafts=shafts)
    assert not fingered(build(near))
    assert len(walls(near)["wall back"].shape.outline) == 4
