"""The general drawing shows every body of the wheel as built, each with its number."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.check.answer import Answer
from wheelgeo.drawing.strokes import InkArc, Pen, Stroke, Text, bounds
from wheelgeo.shop.general_drawing import EDGE_MM, _numbers, general_figures, numbered

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


def test_bodies_in_a_crowded_row_get_room_for_every_number() -> None:
    """Of a hundred bodies side by side in a column's width no edge has room for all numbers."""
    wide, high, count = 180.0, 2.0, 100
    paper = [
        (n, [Stroke(((x, EDGE_MM), (x, EDGE_MM + high)), Pen.FINE)])
        for n in range(1, count + 1)
        for x in [EDGE_MM + (wide - 2.0 * EDGE_MM) * n / count]
    ]
    lines = [piece for _, ink in paper for piece in ink]
    words, room = _numbers(paper, lines, (wide, high))
    assert room > EDGE_MM
    texts = [w for w in words if isinstance(w, Text)]
    assert sorted(int(t.text) for t in texts) == list(range(1, count + 1))
    for a, b in combinations((t.box for t in texts), 2):
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
    x1, y1, x2, y2 = bounds(texts)
    assert 0.0 <= x1 <= x2 <= wide
    assert EDGE_MM - room <= y1 <= y2 <= EDGE_MM + high + room


def test_few_bodies_keep_the_edge_as_it_is() -> None:
    paper = [(1, [Stroke(((EDGE_MM, EDGE_MM), (60.0, EDGE_MM + 30.0)), Pen.FINE)])]
    assert _numbers(paper, paper[0][1], (80.0, 30.0))[1] == EDGE_MM


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


def test_what_stands_behind_is_dashed_and_what_is_in_front_is_not(checked: Checked) -> None:
    """From above the bridge covers a strip of the wheel's rim, and the floor its feet."""
    plan, _ = general_figures(checked("box-wheel").solution)
    arcs = [ink for ink in plan.ink if isinstance(ink, InkArc)]
    rim = max(a.radius for a in arcs)
    of_rim = [a for a in arcs if a.radius == pytest.approx(rim)]
    turned = {
        pen: sum(a.end_deg - a.start_deg for a in of_rim if a.pen is pen)
        for pen in (Pen.OUTLINE, Pen.HIDDEN)
    }
    bridge = 2.0 * 24.0 / (0.5 * 181.3)  # 24 mm wide, over the rim at both ends, near its middle
    assert sum(turned.values()) == pytest.approx(360.0, abs=1e-3)
    assert turned[Pen.HIDDEN] == pytest.approx(bridge * 57.2958, rel=0.02)
    feet = [a for a in arcs if a.is_circle and a.radius == pytest.approx(8.0 * 0.4)]
    assert len(feet) == 4
    assert {a.pen for a in feet} == {Pen.HIDDEN}
