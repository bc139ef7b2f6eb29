"""Ink as dots against the plain meaning of it: along the ink, and counted one by one."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from wheelgeo.drawing.dots import dots_of, raster_of
from wheelgeo.drawing.strokes import Fill, Ink, InkArc, Pen, Stroke, Text

INKS: list[Ink] = [
    Stroke(((0.0, 0.0), (10.0, 0.0), (10.0, 0.7), (3.0, 9.0)), Pen.FINE),
    Fill(((1.0, 1.0), (2.0, 1.0), (2.0, 8.0))),
    Stroke(((4.0, 4.0), (4.0, 4.0)), Pen.FINE),
    InkArc((5.0, 5.0), 7.0, 30.0, 300.0, Pen.FINE),
    InkArc((5.0, -5.0), 0.1, 0.0, 360.0, Pen.FINE),
]


@pytest.mark.parametrize("ink", INKS, ids=lambda ink: type(ink).__name__)
def test_dots_follow_ink_in_even_steps_from_end_to_end(ink: Ink) -> None:
    dots = dots_of([ink], 0.4).tolist()
    steps = [math.dist(a, b) for a, b in pairwise(dots)]
    assert max(steps) <= 0.4 + 1e-9
    if isinstance(ink, InkArc):
        along, ends = math.radians(ink.end_deg - ink.start_deg) * ink.radius, [
            ink.at(ink.start_deg), ink.at(ink.end_deg)
        ]  # fmt: skip
        assert all(math.isclose(math.dist(dot, ink.centre), ink.radius) for dot in dots)
        assert 0.9 * along < sum(steps) <= along
    else:
        assert isinstance(ink, Stroke | Fill)
        along = sum(math.dist(a, b) for a, b in pairwise(ink.points))
        ends = [ink.points[0], ink.points[-1]]
        assert all(list(point) in dots for point in ink.points)
        assert sum(steps) == pytest.approx(along)
    assert [dots[0], dots[-1]] == [pytest.approx(end) for end in ends]


def test_dots_of_many_are_those_of_each_and_text_has_its_corners() -> None:
    text = Text("name", (3.0, 4.0), 2.0)
    together = sorted(map(tuple, dots_of([*INKS, text], 0.4).tolist()))
    assert together == sorted(tuple(d) for i in (*INKS, text) for d in dots_of([i], 0.4).tolist())
    x1, y1, x2, y2 = text.box
    assert {tuple(dot) for dot in dots_of([text], 0.4).tolist()} == {
        (x, y) for x in (x1, x2) for y in (y1, y2)
    }
    assert dots_of([], 0.4).shape == (0, 2)


def test_inked_cells_in_a_box_are_those_that_one_counts() -> None:
    rng = np.random.default_rng(5)
    dots, page, cell = rng.uniform(-3.0, 23.0, (300, 2)), (0.0, 1.0, 20.0, 16.0), 0.7
    raster = raster_of(dots, page, cell)
    inked = {
        (i, j) for x, y in dots.tolist()
        if 0 <= (i := math.floor(x / cell)) < 29 and 0 <= (j := math.floor((y - 1.0) / cell)) < 22
    }  # fmt: skip
    low = rng.uniform(-4.0, 22.0, (2, 200))
    boxes = np.concatenate([low, low + rng.uniform(0.1, 9.0, (2, 200))])
    counted = [
        sum(x1 < (i + 1) * cell and x2 > i * cell and y1 < (j + 1) * cell and y2 > j * cell
            for i, j in inked)
        for x1, y1, x2, y2 in (boxes.T - [0.0, 1.0, 0.0, 1.0]).tolist()
    ]  # fmt: skip
    assert raster.ink_in(boxes).tolist() == counted
    assert max(counted) > 20
