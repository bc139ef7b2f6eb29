"""The general drawing shows every body of the wheel as built, each with its number."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.check.answer import Answer
from wheelgeo.drawing.strokes import Text, bounds
from wheelgeo.shop.general_drawing import general_figures, numbered

Checked = Callable[[str], Answer]


@pytest.mark.parametrize("name", ["box-wheel", "flyer-wheel"])
def test_every_body_has_its_number_and_no_two_cover_each_other(name: str, checked: Checked) -> None:
    solution = checked(name).solution
    count = len(bodies(build(solution.design)))
    assert [n for n, _ in numbered(solution)] == list(range(1, count + 1))
    for figure in general_figures(solution):
        words = [ink for ink in figure.ink if isinstance(ink, Text)]
        assert sorted(int(w.text) for w in words) == list(range(1, count + 1))
        for a, b in combinations((w.box for w in words), 2):
            assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        x1, y1, x2, y2 = bounds(figure.ink)
        assert x1 >= 0.0
        assert y1 >= 0.0
        assert x2 <= figure.width_mm
        assert y2 <= figure.height_mm


def test_the_walls_are_where_the_case_is_and_the_scale_is_named(checked: Checked) -> None:
    solution = checked("box-wheel").solution
    plan, side = general_figures(solution)
    assert "1:2.5" in plan.title
    assert "plan" in plan.title
    assert "side" in side.title
    names = {body.name for _, body in numbered(solution)}
    assert {"wall front", "lid", "crank", "knob", "bridge main", "bearing main 1", "cop"} <= names
    for name in names:
        assert name in plan.description
