"""The drawing of the drive: what is hidden, which way arrows turn, labels that never collide."""

from __future__ import annotations

import cProfile
import io
import itertools
import math
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from shapely import LineString, box

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.design.model import (
    Band,
    Design,
    Drive,
    FlatRim,
    Pulley,
    RoundGroove,
    Shaft,
    Spindle,
    Stop,
    VeeGroove,
)
from wheelgeo.design.reader import read_design
from wheelgeo.drawing import labels
from wheelgeo.drawing.compose import Composed, compose, traced
from wheelgeo.drawing.drive_drawing import SCALES, drive_sheet, scale_text, view_figure
from wheelgeo.drawing.figure import PaperFigure, png_bytes, svg_text
from wheelgeo.drawing.hidden import Hiders
from wheelgeo.drawing.labels import GAP, Request, place_labels
from wheelgeo.drawing.marks import rotation_choices, travel_arrows
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drawing.strokes import Box, Fill, InkArc, Pen, Stroke, Text, drawable, text_width
from wheelgeo.drawing.taken import cross, span_in_box, spans_in_boxes
from wheelgeo.drawing.view import ISOMETRIC, PLAN, DrawnPiece, View, side_view, trace
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.errors import LayoutError
from wheelgeo.geometry.boxes import Box as SolidBox
from wheelgeo.geometry.segments import Line
from wheelgeo.geometry.vectors import Vector
from wheelgeo.shop.drafting import DRAWING_LAYERS
from wheelgeo.shop.drawing_dxf import drive_dxf_sheet
from wheelgeo.shop.dxf import dxf_bytes
from wheelgeo.shop.outlines import Label
from wheelgeo.units.written import length_writer

DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))
SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = '<script>alert("x")</script> & \x07 --> 漢字'
below = pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)


def solved(stem: str) -> Solution:
    return solve_drive(read_design(next(p for p in DESIGNS if p.stem == stem)))


def stacked(turns: str = "clockwise", axis: tuple[float, float, float] = (0, 0, 1)) -> Design:
    """A wide pulley above a small one on one shaft; the small one drives a shaft beside it."""
    return Design(
        "Stack", "mm", Drive("main", "crank", 60.0, turns),
        shafts=(
            Shaft("main", (0.0, 0.0, 0.0), axis, 8.0),
            Shaft("spindle", (150.0, 0.0, 0.0), axis, 6.0),
        ),
        pulleys=(
            Pulley("wide", "main", 30.0, FlatRim(100.0, 10.0)),
            Pulley("small", "main", 10.0, FlatRim(40.0, 10.0)),
            Pulley("whorl", "spindle", 10.0, FlatRim(20.0, 10.0)),
        ),
        bands=(Band("band", (Stop("small"), Stop("whorl")), "cotton cord", 2.0),),
        spindle=Spindle("spindle", "flyer"),
    )  # fmt: skip


def pens(path_owner: str, view: View, design: Design) -> set[Pen]:
    pieces = trace(scene_of(solve_drive(design)), view)
    return {p.ink.pen for p in pieces if p.owner == path_owner}


# What is hidden


def test_a_pulley_below_a_wider_one_is_dashed_and_the_one_above_is_not() -> None:
    assert pens("small", PLAN, stacked()) == {Pen.HIDDEN}
    assert pens("wide", PLAN, stacked()) == {Pen.OUTLINE}


def test_from_the_other_side_the_small_one_is_in_sight() -> None:
    from_below = View("from below", (1.0, 0.0, 0.0), (0.0, -1.0, 0.0))
    assert pens("small", from_below, stacked()) == {Pen.OUTLINE}


def test_a_run_is_dashed_exactly_as_far_as_the_pulley_covers_it() -> None:
    design = stacked()
    scene = scene_of(solve_drive(design))
    runs = [p for p in trace(scene, PLAN) if p.owner == "band" and isinstance(p.ink, Stroke)]
    hidden = [p.ink.points for p in runs if not p.seen]
    assert len(hidden) == 2
    for points in hidden:
        far = max(points)
        assert math.hypot(*far) == pytest.approx(50.0, abs=1e-3)


@pytest.mark.parametrize("eye", [(0.48, -0.6, 0.64), (0.0, 0.0, 1.0)], ids=["turned", "plan"])
def test_hidden_points_agree_with_walking_along_the_ray(eye: Vector) -> None:
    """The closed form against small steps through the same bodies; every second rod is open.

    In plan, rods and boxes also stand upright and lie level.
    """
    rng = np.random.default_rng(7)
    rods, boxes, length = [], [], 0.05
    points, steps = rng.uniform(-40, 40, (200, 3)), np.arange(0.0, 150.0, length)
    places = points[:, None] + steps[:, None] * np.array(eye)
    walked = np.zeros(len(points))
    for number in range(9):
        frame, _ = np.linalg.qr(rng.normal(size=(3, 3)))
        frame = frame if number < 3 else np.roll(np.eye(3), number, axis=0)
        at, size = rng.uniform(-30, 30, 3), rng.uniform(3, 13, 3)
        own = (places - at) @ frame.T
        if number % 3 < 2:
            inner = 0.7 * size[0] * (number % 2)
            rods.append((tuple(at), tuple(frame[2]), -8.0, 8.0, size[0], inner))
            off = np.hypot(own[..., 0], own[..., 1])
            inside = (abs(own[..., 2]) < 8.0) & (off < size[0]) & (off > inner)
        else:
            boxes.append(SolidBox(tuple(at), tuple(map(tuple, frame)), tuple(size)))
            inside = (abs(own) < size).all(axis=2)
        walked = np.maximum(walked, inside.sum(axis=1) * length)
    hiders = Hiders(rods, eye, boxes)
    fallen = hiders.fallen(points.T)[:, None]
    (hidden,) = hiders.hide(fallen, hiders.near(fallen))
    clear = (walked == 0.0) | (walked > 0.2)  # a corner that is only brushed may go either way
    assert clear.sum() > 170
    assert 35 < hidden.sum() < 150
    assert (hidden == (walked > 0.0))[clear].all()
    (of_drive,) = hiders.hide(fallen, hiders.near(fallen, np.full(len(points), 0)))
    assert not of_drive.any()


def test_a_wheel_with_spokes_is_drawn_with_them_and_what_is_behind_is_seen_between() -> None:
    farm = read_design(DESIGNS[0].parent / "farm-wheel.toml")
    spoked = replace(farm, pulleys=tuple(
        replace(p, build="spokes") if p.name == "rim" else p for p in farm.pulleys
    ))  # fmt: skip
    drawn = {}
    for name, design in (("whole", farm), ("spoked", spoked)):
        scene = scene_of(solve_drive(design))
        drawn[name] = trace(scene, side_view(scene))
    made = build(spoked).pulleys["rim"].spoked
    assert made is not None
    rings = [p.ink for p in drawn["spoked"] if p.owner == "rim" and isinstance(p.ink, InkArc)]
    inner = 0.5 * made.rim.inner_mm
    assert math.isclose(min(ring.radius for ring in rings), inner, rel_tol=1e-9)
    centre = rings[0].centre

    def along_spokes(pieces: list[DrawnPiece]) -> float:
        """Return what is drawn of sides that run along a radius, between hub and rim."""
        long = 0.0
        for ink in (p.ink for p in pieces if p.owner == "" and isinstance(p.ink, Stroke)):
            a, b = ink.points[0], ink.points[-1]
            ends = [math.dist(centre, a), math.dist(centre, b)]
            if abs(abs(ends[1] - ends[0]) - math.dist(a, b)) < 1.0 and max(ends) < inner + 1.0:
                long += math.dist(a, b)
        return long

    # two sides of each spoke, from hub to rim, less what the posts hide
    between = 2.0 * made.count * made.between_mm
    added = along_spokes(drawn["spoked"]) - along_spokes(drawn["whole"])
    assert 0.7 * between < added < 1.4 * between


# Senses


@pytest.mark.parametrize(("turns", "sign"), [("clockwise", -1), ("counter-clockwise", 1)])
@pytest.mark.parametrize("up", [1.0, -1.0])
def test_round_arrows_turn_on_paper_as_the_shaft_turns(turns: str, sign: int, up: float) -> None:
    """With the axis towards the eye as the file says; away from it the other way round."""
    scene = scene_of(solve_drive(stacked(turns, (0.0, 0.0, up))))
    turning = scene.turnings[0]
    for arrow in rotation_choices(turning, PLAN, 2.0):
        head = next(i for i in arrow if isinstance(i, Fill))
        tip, left, right = head.points
        back = ((left[0] + right[0]) / 2, (left[1] + right[1]) / 2)
        swept = back[0] * tip[1] - back[1] * tip[0]  # about the shaft, which is at the origin
        assert math.copysign(1, swept) == sign * up
        arc = next(i for i in arrow if isinstance(i, InkArc))
        end = arc.end_deg if sign * up > 0 else arc.start_deg
        assert math.dist(arc.at(end), back) < 2.0


@pytest.mark.parametrize("turns", ["clockwise", "counter-clockwise"])
def test_loop_arrows_show_how_the_near_side_moves(turns: str) -> None:
    scene = scene_of(solve_drive(stacked(turns)))
    front = View("front", (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))  # the eye at -y
    for arrow in rotation_choices(scene.turnings[0], front, 2.0):
        tip = next(i for i in arrow if isinstance(i, Fill)).points[0]
        # Clockwise from above: the side towards -y moves to -x.
        assert (tip[0] > 0.0) == (turns == "counter-clockwise")


def test_what_does_not_turn_is_not_drawn_turning() -> None:
    """Its middle shaft stands within the wheel: the first band has no path, the second has one."""
    sound = wheelgeo.load(next(p for p in DESIGNS if p.stem == "box-wheel"))
    within = {"middle.at.x": 268.0, "middle.at.y": 100.0}
    for wheel, runs in ((sound, True), (sound.put(within), False)):
        solution = wheel.solve().solution
        scene = scene_of(solution)
        assert [cord.name for cord in scene.cords][-1] == "second band"
        assert bool(scene.turnings) == bool(travel_arrows(scene.cords, PLAN, 0.5)) == runs
        for paper in (drive_sheet(solution), view_figure(solution, "isometric")):
            drawn = [i for i in paper.ink if isinstance(i, Stroke | InkArc)]
            assert any(i.pen is Pen.ARROW for i in drawn) == runs


def test_a_band_that_nothing_drives_has_no_arrow_of_travel() -> None:
    solution = solved("box-wheel")
    driven, idle = solution.bands
    bands = (driven, replace(idle, speed_m_s=None))
    first, second = scene_of(replace(solution, bands=bands)).cords
    assert travel_arrows((first,), PLAN, 0.5)
    assert not travel_arrows((second,), PLAN, 0.5)


@below
def test_heads_on_runs_point_the_way_the_band_travels(path: Path) -> None:
    scene = scene_of(solve_drive(read_design(path)))
    for cord in scene.cords:
        heads = travel_arrows((cord,), PLAN, 0.5)
        runs = [(PLAN.place(r.at(0)), PLAN.place(r.at(1))) for r in cord.runs]
        assert heads
        for head in heads:
            tip, left, right = head.points
            back = ((left[0] + right[0]) / 2, (left[1] + right[1]) / 2)
            way = (tip[0] - back[0], tip[1] - back[1])
            size = math.hypot(*way)
            on = min(
                runs, key=lambda r: abs(math.dist(r[0], tip) + math.dist(tip, r[1]) - math.dist(*r))
            )
            run = (on[1][0] - on[0][0], on[1][1] - on[0][1])
            same = (way[0] * run[0] + way[1] * run[1]) / size / math.hypot(*run)
            assert same == pytest.approx(1.0, abs=1e-6)


# Labels


def boxes_overlap(a: Box, b: Box, gap: float = 0.0) -> bool:
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


def assert_clear(composed: Composed) -> None:
    boxes = {id(p): box(*p.box) for p in composed.labels}
    lines = {id(p): LineString(p.leader.points) for p in composed.labels if p.leader is not None}
    for a, b in itertools.combinations(composed.labels, 2):
        assert not boxes_overlap(a.box, b.box, GAP * composed.height * 0.999), (a.text, b.text)
        for one, other in ((a, b), (b, a)):
            if one.leader is not None:
                assert not lines[id(one)].intersects(boxes[id(other)]), (one.text, other.text)
        if a.leader is not None and b.leader is not None:
            assert not lines[id(a)].crosses(lines[id(b)])


@below
@pytest.mark.parametrize("share", [60, 120])
def test_no_two_labels_collide_in_any_view(path: Path, share: int) -> None:
    scene = scene_of(solve_drive(read_design(path)))
    for view in (PLAN, side_view(scene), ISOMETRIC):
        lines = traced(scene, view)
        size = max(lines.box[2] - lines.box[0], lines.box[3] - lines.box[1])
        composed = compose(lines, size / share, length_writer("mm"), True)
        names = [p.text.text for p in composed.labels]
        for pulley in scene.of_kind("pulley"):
            assert any(name.startswith(pulley.name) for name in names)
        assert_clear(composed)


def round_table(count: int) -> Design:
    """Return a wheel whose one band runs round many pulleys with long names."""
    angles = [math.tau * i / count for i in range(count)]
    up = (0.0, 0.0, 1.0)
    return Design(
        "Round table", "mm", Drive("shaft 0", "crank", 60.0, "counter-clockwise", 60.0),
        shafts=tuple(
            Shaft(f"shaft {i}", (480.0 * math.cos(a), 480.0 * math.sin(a), 0.0), up, 8.0)
            for i, a in enumerate(angles)
        ),
        pulleys=tuple(
            Pulley(f"a pulley with a long name {i}", f"shaft {i}", 10.0, FlatRim(40.0 + i, 10.0))
            for i in range(count)
        ),
        bands=(
            Band(
                "band", tuple(Stop(f"a pulley with a long name {i}") for i in range(count)),
                "cotton cord", 2.0,
            ),
        ),
        spindle=Spindle("shaft 1", "tip"),
    )  # fmt: skip


def test_a_crowded_drive_gets_room_for_every_label() -> None:
    figure = drive_sheet(solve_drive(round_table(14)))
    texts = [i for i in figure.ink if isinstance(i, Text)]
    for a, b in itertools.combinations(texts, 2):
        assert not boxes_overlap(a.box, b.box), (a.text, b.text)
    for i in range(14):
        assert sum(t.text.startswith(f"a pulley with a long name {i} ") for t in texts) == 2


def test_a_view_grows_until_its_labels_have_room() -> None:
    """Fourteen long names in letters a tenth as high as the drive is wide."""
    lines = traced(scene_of(solve_drive(round_table(14))), PLAN)
    size = lines.box[2] - lines.box[0]
    composed = compose(lines, size / 10.0, length_writer("mm"), True)
    for a, b in itertools.combinations(composed.labels, 2):
        assert not boxes_overlap(a.box, b.box)
    assert composed.box[3] - composed.box[1] > size + 12.0 * composed.height


@pytest.mark.parametrize(("factor", "sheet"), [(0.01, 420.0), (30.0, 420.0)])
def test_small_and_large_drives_find_their_scale(factor: float, sheet: float) -> None:
    design = stacked()
    scaled = replace(
        design,
        shafts=tuple(
            replace(s, at_mm=tuple(factor * x for x in s.at_mm), diameter_mm=factor * s.diameter_mm)
            for s in design.shafts
        ),
        pulleys=tuple(
            replace(
                p, offset_mm=factor * p.offset_mm,
                groove=FlatRim(factor * p.groove.rim_mm, factor * p.groove.width_mm),
            )
            for p in design.pulleys
            if isinstance(p.groove, FlatRim)
        ),
    )  # fmt: skip
    assert drive_sheet(solve_drive(scaled)).width_mm == sheet


def test_a_drive_beyond_all_measure_is_refused() -> None:
    design = stacked()
    far = replace(design.shafts[1], at_mm=(1e8, 0.0, 0.0))
    with pytest.raises(LayoutError, match="no sheet has room"):
        drive_sheet(solve_drive(replace(design, shafts=(design.shafts[0], far))))


@below
def test_everything_stays_on_the_sheet(path: Path) -> None:
    figure = drive_sheet(solve_drive(read_design(path)))
    boxes = [i.box for i in figure.ink if isinstance(i, Text)]
    for a, b in itertools.combinations(boxes, 2):
        assert not boxes_overlap(a, b)
    for x1, y1, x2, y2 in boxes:
        assert x1 >= 10.0
        assert y1 >= 10.0
        assert x2 <= 410.0
        assert y2 <= 287.0


points = st.tuples(st.floats(0.0, 100.0), st.floats(0.0, 60.0))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.text("abcdefgh ", min_size=1, max_size=14), points), max_size=14))
def test_labels_at_random_keep_every_rule(wanted: list[tuple[str, tuple[float, float]]]) -> None:
    page = (-30.0, -30.0, 130.0, 90.0)
    placed = place_labels([Request(t, (p,)) for t, p in wanted], [p for _, p in wanted], page, 2.0)
    assert [p.text.text for p in placed] == [t for t, _ in wanted]
    for label in placed:
        box = label.box
        assert page[0] <= box[0]
        assert page[1] <= box[1]
        assert box[2] <= page[2]
        assert box[3] <= page[3]
    for a, b in itertools.combinations(placed, 2):
        assert not boxes_overlap(a.box, b.box, GAP * 2.0 * 0.999)


def test_labels_that_all_want_one_place_are_spread_out() -> None:
    placed = place_labels(
        [Request(f"label {i}", ((0.0, 0.0),)) for i in range(10)], [], (-60, -60, 60, 60), 2.0
    )
    assert_clear(Composed(PLAN, (), placed, 2.0))
    assert all(p.leader is not None for p in placed[1:])


def test_a_label_whose_anchor_is_walled_in_still_finds_a_place() -> None:
    """A leader may cross a label where there is no other way; the labels still stand apart."""
    wall = [Request(f"wall {i}", spots=((0.0, 4.0 * i - 8.0),), rank=0) for i in range(5)]
    placed = place_labels(
        [*wall, Request("in", ((0.0, 0.0),), rank=1)], [], (-40, -40, 40, 40), 2.0
    )
    for a, b in itertools.combinations(placed, 2):
        assert not boxes_overlap(a.box, b.box)
    assert placed[-1].leader is not None


def test_labels_keep_off_what_is_drawn_where_they_can() -> None:
    ink = [(x / 2.0, y / 2.0) for x in range(0, 80) for y in range(-40, 40)]
    (label,) = place_labels([Request("name", ((0.0, 0.0),))], ink, (-40, -40, 40, 40), 2.0)
    assert label.box[2] <= 1.0


def test_a_page_without_room_is_refused() -> None:
    requests = [Request(f"a rather long label {i}", ((5.0, 5.0),)) for i in range(9)]
    with pytest.raises(LayoutError, match="no room"):
        place_labels(requests, [], (0.0, 0.0, 40.0, 8.0), 2.0)


def test_a_label_close_by_stands_where_it_would_with_every_distance_priced(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rng = np.random.default_rng(17)
    ink, page = rng.uniform(0.0, 120.0, (900, 2)), (-30.0, -30.0, 150.0, 150.0)
    for count in (3, 12, 40):
        anchors = rng.uniform(0.0, 120.0, (count, 3, 2)).tolist()
        requests = [
            Request(f"label {i}", tuple(map(tuple, own)), spots=tuple(map(tuple, own[: i % 2])))
            for i, own in enumerate(anchors)
        ]
        placed = place_labels(requests, ink, page, 2.5)
        with monkeypatch.context() as patch:
            patch.setattr(labels, "_close", lambda *a: labels._near(*a, labels._DISTANCES))
            assert placed == place_labels(requests, ink, page, 2.5)


def calls_to_place(count: int) -> int:
    """Return how many functions are called to place so many labels of points in a narrow row."""
    requests = [Request(f"label {i}", ((4.0 * i, 0.0), (4.0 * i, 9.0))) for i in range(count)]
    profile = cProfile.Profile()
    page = (-40.0, -60.0, 4.0 * count + 40.0, 60.0)
    profile.runcall(place_labels, requests, [(0.0, 0.0)], page, 2.0)
    return sum(entry.callcount for entry in profile.getstats())


def test_three_times_as_many_labels_are_placed_by_hardly_more_than_three_times_the_work() -> None:
    """It was six times, since each place was held against every label there was by itself."""
    calls_to_place(2)  # loads what is loaded once
    assert calls_to_place(120) < 4.0 * calls_to_place(40)


def test_pieces_meet_as_by_general_polygons() -> None:
    """Against shapely's predicates; whole numbers bring level pieces, upright ones and corners."""
    rng = np.random.default_rng(31)
    lines = rng.integers(0, 12, (60, 4)).astype(float)
    lines = lines[(lines[:, :2] != lines[:, 2:]).any(axis=1)]
    corners = rng.integers(0, 9, (40, 2)).astype(float)
    boxes = np.hstack([corners, corners + rng.integers(1, 4, (40, 2))])
    squares = [box(*corner) for corner in boxes]
    pairs = np.repeat(lines, len(boxes), axis=0).T, np.tile(boxes.T, len(lines))
    first, last = spans_in_boxes(*pairs)
    general = [LineString(line.reshape(2, 2)).intersects(s) for line in lines for s in squares]
    through = list(zip((first <= last).tolist(), general, strict=True))
    assert 100 < sum(ours for ours, _ in through) < len(through) - 100
    assert all(ours == general for ours, general in through)
    pieces = rng.uniform(0.0, 9.0, (40, 2, 2)).tolist()
    both = [(one, other) for one in pieces for other in pieces if one is not other]
    general = [LineString(one).crosses(LineString(other)) for one, other in both]
    ours = cross(*np.reshape(both, (-1, 2, 4)).transpose(1, 2, 0)).tolist()
    crossing = list(zip(ours, general, strict=True))
    assert 100 < sum(ours for ours, _ in crossing) < len(crossing) - 100
    assert all(ours == general for ours, general in crossing)


def test_a_piece_runs_through_a_box() -> None:
    square = (0.0, 0.0, 2.0, 1.0)
    assert span_in_box(((-1, 0.5), (3, 0.5)), square) == pytest.approx((0.25, 0.75))
    assert span_in_box(((1, 0.5), (1, 0.6)), square) == (0.0, 1.0)
    assert span_in_box(((-1, 2), (3, 1.5)), square) is None
    assert span_in_box(((-1, 0.5), (-0.5, 0.5)), square) is None


# Files


@pytest.mark.parametrize("name", ["box-wheel", "flyer-wheel", "braked-flyer-wheel", "floor-wheel"])
def test_each_kind_of_line_of_a_drawing_file_has_a_layer(name: str, tmp_path: Path) -> None:
    file = tmp_path / "drive.dxf"
    file.write_bytes(dxf_bytes(drive_dxf_sheet(solved(name))))
    document = ezdxf.readfile(file)
    assert document.header["$INSUNITS"] == 4
    layers = {e.dxf.layer for e in document.modelspace()}
    assert {"NOTES", "OUTLINE", "CENTRE", "BAND", "ARROW"} <= layers <= DRAWING_LAYERS.keys()
    lines = document.modelspace().query("LINE")
    assert all(e.dxf.start.distance(e.dxf.end) >= 0.05 for e in lines)
    assert not document.audit().errors


def test_drawing_file_has_true_circles_and_arcs_of_the_true_size(tmp_path: Path) -> None:
    solution = solved("box-wheel")
    file = tmp_path / "drive.dxf"
    file.write_bytes(dxf_bytes(drive_dxf_sheet(solution)))
    space = ezdxf.readfile(file).modelspace()
    circles = [round(e.dxf.radius, 6) for e in space.query("CIRCLE")]
    for name in ("wheel", "accelerator"):  # they lie flat in the plan
        groove = solution.design.pulley(name).groove
        assert isinstance(groove, VeeGroove | RoundGroove)
        assert round(groove.rim_mm / 2, 6) in circles
    arcs = {round(e.dxf.radius, 6) for e in space.query("ARC")}
    for motion in solution.bands:
        first = motion.seats[0].pitch_radius_mm
        assert round(first, 6) in arcs
    runs = [e for e in space.query("LINE") if e.dxf.linetype == "BYLAYER"]
    assert runs


def test_old_release_holds_the_same_drawing(tmp_path: Path) -> None:
    sheet = drive_dxf_sheet(solved("box-wheel"))
    counts = []
    for release in ("R2010", "R12"):
        file = tmp_path / f"{release}.dxf"
        file.write_bytes(dxf_bytes(sheet, release))
        space = ezdxf.readfile(file).modelspace()
        counts.append({k: len(space.query(k)) for k in ("LINE", "ARC", "CIRCLE", "TEXT")})
    assert counts[0] == counts[1]


def renamed(solution: Solution, name: str) -> Solution:
    design = solution.design
    first = design.bands[0]
    shafts = (replace(design.shafts[0], name=name), *design.shafts[1:])
    pulleys = tuple(
        replace(p, shaft=name if p.shaft == design.shafts[0].name else p.shaft)
        for p in design.pulleys
    )
    drive = replace(design.drive, shaft=name)
    bands = (replace(first, name=name), *design.bands[1:])
    return solve_drive(
        replace(design, title=name, shafts=shafts, pulleys=pulleys, drive=drive, bands=bands)
    )


@pytest.fixture(scope="module")
def hostile() -> Solution:
    return renamed(solved("box-wheel"), HOSTILE)


def test_names_of_any_kind_stay_text(hostile: Solution) -> None:
    text = svg_text(drive_sheet(hostile))
    root = ET.fromstring(text)
    assert not [e for e in root.iter() if e.tag.endswith("script")]
    words = [e.text or "" for e in root.iter(f"{SVG}text")]
    assert any("<script>" in w for w in words)
    assert "\x07" not in text
    png_bytes(drive_sheet(hostile), 50)  # no warning of a missing shape becomes an error


def test_drawable_text_is_one_line_of_known_shapes() -> None:
    assert drawable(" a\n\tb ") == "a b"
    assert drawable("漢") == "□"
    assert drawable("x" * 40, 10) == "x" * 9 + "…"
    assert drawable("⌀ä") == "⌀ä"


def test_text_is_measured_as_the_type_sets_it() -> None:
    # Advance widths of DejaVu Sans in units of 2048 to the em: i 569, W 2025; capital 1493.
    assert text_width("i") == pytest.approx(569 / 1493, rel=0.02)
    assert text_width("WWWW") == pytest.approx(4 * 2025 / 1493, rel=0.02)
    assert text_width("main", bold=True) > text_width("main")


def test_svg_is_whole_and_says_what_it_shows() -> None:
    figure = drive_sheet(solved("box-wheel"))
    root = ET.fromstring(svg_text(figure))
    assert root.get("viewBox") == "0 0 420 297"
    assert root.get("width") == "420mm"
    assert root.findtext(f"{SVG}title") == figure.title
    assert "first band runs over wheel, hub" in (root.findtext(f"{SVG}desc") or "")
    widths = {e.get("stroke-width") for e in root.iter() if e.get("stroke-width")}
    assert len(widths) > 3
    colours = {e.get(k) for e in root.iter() for k in ("stroke", "fill") if e.get(k)}
    assert colours == {"#000", "#fff", "none"}


@pytest.mark.parametrize(("end", "large"), [(100.0, "0"), (270.0, "1")])
def test_svg_arcs_go_the_long_way_where_they_are_long(end: float, large: str) -> None:
    """Counter-clockwise on paper, y up, is sweep flag 0 in SVG, whose y is down."""
    ink = (InkArc((50.0, 50.0), 20.0, 0.0, end, Pen.OUTLINE),)
    root = ET.fromstring(svg_text(PaperFigure(100.0, 100.0, ink, "t", "d")))
    (path,) = root.iter(f"{SVG}path")
    start, rest = (path.get("d") or "").removeprefix("M").split("A")
    assert [float(x) for x in start.split()] == [70.0, 50.0]
    r1, r2, turn, is_large, sweep, x, y = rest.split()
    assert (r1, r2, turn, is_large, sweep) == ("20", "20", "0", large, "0")
    angle = math.radians(end)
    assert (float(x), float(y)) == pytest.approx(
        (50 + 20 * math.cos(angle), 50 - 20 * math.sin(angle)), abs=1e-3
    )


def test_within_a_page_the_svg_brings_no_declaration() -> None:
    text = svg_text(view_figure(solved("box-wheel"), "plan"), standalone=False)
    assert text.startswith("<svg viewBox=")


def test_png_has_the_size_of_the_sheet() -> None:
    with Image.open(io.BytesIO(png_bytes(drive_sheet(solved("box-wheel")), 50))) as image:
        assert image.size == pytest.approx((420 / 25.4 * 50, 297 / 25.4 * 50), abs=1)
        shades = image.convert("L").getextrema()
    assert shades == (0, 255)


@pytest.mark.parametrize(
    "write",
    [
        lambda s: svg_text(drive_sheet(s)).encode(),
        lambda s: png_bytes(drive_sheet(s), 60),
        lambda s: dxf_bytes(drive_dxf_sheet(s)),
    ],
    ids=["svg", "png", "dxf"],
)
def test_the_same_wheel_gives_the_same_bytes(write: Callable[[Solution], bytes]) -> None:
    first, second = (write(solved("floor-wheel")) for _ in range(2))
    assert first == second
    assert b"2026" not in first[:4000]


@pytest.mark.parametrize("which", ["plan", "side", "isometric"])
def test_a_figure_keeps_within_its_column(which: str) -> None:
    figure = view_figure(solved("box-wheel"), which, width_mm=170.0, tallest_mm=120.0)
    assert figure.width_mm <= 170.0
    assert figure.height_mm <= 120.0
    assert max(figure.width_mm, figure.height_mm) > 60.0


@pytest.mark.parametrize(
    ("unit", "texts"),
    [
        ("mm", ("150", "small ⌀40")),
        ("in", ("5.906", "small ⌀1.575")),
        ("in/64", ("5 29/32 in", "small ⌀1.575 in")),
    ],
)
def test_lengths_are_written_in_the_unit_that_is_asked_for(
    unit: str, texts: tuple[str, str]
) -> None:
    """Shafts 150 mm apart, 5.90551 in; a rim of 40 mm, 1.57480 in, turned by a calliper."""
    words = [i.text for i in drive_sheet(solve_drive(stacked()), unit).ink if isinstance(i, Text)]
    assert set(texts) <= set(words)


def test_scales_are_written_as_on_drawings() -> None:
    assert [scale_text(s) for s in (2.0, 1.0, 0.4, 0.1)] == ["2:1", "1:1", "1:2.5", "1:10"]
    assert list(SCALES) == sorted(SCALES, reverse=True)


def test_arcs_of_figures_run_round_the_right_way() -> None:
    ink = (InkArc((50.0, 50.0), 20.0, 0.0, 270.0, Pen.OUTLINE),)
    figure = PaperFigure(100.0, 100.0, ink, "t", "d")
    image = Image.open(io.BytesIO(png_bytes(figure, 254))).convert("L")
    quarter = math.radians(45)
    dark = []
    for k in (1, 3, 5, 7):
        x, y = 50 + 20 * math.cos(k * quarter), 50 + 20 * math.sin(k * quarter)
        patch = image.crop(
            (int(10 * x) - 4, 1000 - int(10 * y) - 4, int(10 * x) + 4, 1004 - int(10 * y))
        )
        dark.append(patch.getextrema()[0] < 128)
    assert dark == [True, True, True, False]


def test_a_dimension_line_is_open_where_its_number_stands() -> None:
    """A drawing file has nothing to paint over a line with."""
    design = stacked()
    for item in drive_dxf_sheet(solve_drive(design)).items:
        if isinstance(item.shape, Label) and item.shape.text == "150":
            number = item.shape.at
    lines = [i.shape for i in drive_dxf_sheet(solve_drive(design)).items if not i.dashes]
    through = [
        line
        for line in lines
        if isinstance(line, Line)
        and abs(line.start[1] - number[1]) < 1e-6
        and abs(line.end[1] - number[1]) < 1e-6
    ]
    assert len(through) >= 2
    for line in through:
        low, high = sorted((line.start[0], line.end[0]))
        assert high < number[0] or low > number[0]
