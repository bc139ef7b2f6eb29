"""The quarter-turn drive's exact solution is found again; between spinning and backing off."""

import math
from dataclasses import replace

import pytest

from wheelgeo.design.model import (
    Band,
    Design,
    Drive,
    GivenPitch,
    Pulley,
    Shaft,
    Spindle,
    Stop,
)
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.tune.place import WEIGHTS, Move, helpful_moves, place

OFFSETS = (Move("one.offset"), Move("other.offset"))


def quarter_turn(r1, r2, distance, turns="counter-clockwise"):
    """Two shafts at a right angle, their common perpendicular along x; grooves at the feet."""
    return Design(
        "Quarter turn", "mm", Drive("a", "crank", 60.0, turns),
        (
            Shaft("a", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 8.0),
            Shaft("b", (distance, 0.0, 0.0), (0.0, 1.0, 0.0), 6.0),
        ),
        (
            Pulley("one", "a", 0.4, GivenPitch(2.0 * r1)),
            Pulley("other", "b", -0.3, GivenPitch(2.0 * r2)),
        ),
        (Band("belt", (Stop("one"), Stop("other")), "leather cord", 3.0),),
        Spindle("b", "tip"),
    )  # fmt: skip


@pytest.mark.parametrize("turns", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize(
    ("r1", "r2", "distance", "length", "lead_off"),
    [
        # Exact quarter-turn form: pulley 1 stands r2 along its shaft from the foot of the common
        # perpendicular, pulley 2 r1 along its own; both runs are as long as the shafts are apart;
        # L = 2 C + r1 (pi + 2 atan(r1/C)) + r2 (pi + 2 atan(r2/C)); lead-off 2 atan(r2/C) and
        # 2 atan(r1/C). Law of belting: Encyclopaedia Britannica, 11th edition, vol. 17, s. 59.
        (250.0, 25.0, 600.0, 2263.415669, (4.772, 45.240)),
        (150.0, 150.0, 900.0, 2841.567003, (18.925, 18.925)),
        (34.4, 3.1, 150.0, None, None),
    ],
)
def test_the_exact_quarter_turn_is_found_again(r1, r2, distance, length, lead_off, turns):
    placing = place(quarter_turn(r1, r2, distance, turns), "belt", OFFSETS)
    best = placing.rows[0]
    assert placing.true
    offsets = [best.design.pulley(name).offset_mm for name in ("one", "other")]
    assert [abs(x) for x in offsets] == pytest.approx([r2, r1], abs=1e-6)
    arcs = sum(r * (math.pi + 2.0 * math.atan(r / distance)) for r in (r1, r2))
    assert best.length_mm == pytest.approx(2.0 * distance + arcs, abs=1e-6)
    leads = [math.degrees(2.0 * math.atan(r / distance)) for r in (r2, r1)]
    assert [abs(a) for a in best.backing_deg] == pytest.approx(leads, abs=1e-6)
    path = solve_drive(best.design).band("belt").path
    assert [run.length_mm for run in path.runs] == pytest.approx([distance] * 2, rel=1e-9)
    if length is not None:
        assert best.length_mm == pytest.approx(length, abs=1e-6)
        assert [abs(a) for a in best.backing_deg] == pytest.approx(lead_off, abs=5e-4)


def test_turned_the_other_way_the_offsets_change_sides():
    one, back = (
        place(quarter_turn(100.0, 20.0, 400.0, turns), "belt", OFFSETS).rows[0].moves_mm
        for turns in ("clockwise", "counter-clockwise")
    )
    starts = (0.4, -0.3)
    for a, b, start in zip(one, back, starts, strict=True):
        assert a + start == pytest.approx(-(b + start), abs=1e-6)


def test_the_table_trades_spinning_for_backing_off():
    placing = place(quarter_turn(100.0, 20.0, 400.0), "belt", OFFSETS)
    assert [row.weight for row in placing.rows] == list(WEIGHTS)

    def squares(angles):
        return sum(a * a for a in angles)

    spinning = [squares(row.spinning_deg) for row in placing.rows]
    backing = [squares(row.backing_deg) for row in placing.rows]
    assert spinning == sorted(spinning)
    assert backing == sorted(backing, reverse=True)
    assert spinning[0] < 1e-12 < backing[0]
    assert backing[-1] < 1e-12 < spinning[-1]


def test_half_and_half_treats_both_alike():
    row = place(quarter_turn(100.0, 20.0, 400.0), "belt", OFFSETS, [0.5]).rows[0]
    mirrored = sorted(abs(a) for a in row.backing_deg)
    assert sorted(abs(a) for a in row.spinning_deg) == pytest.approx(mirrored, abs=1e-4)
    assert row.moves_mm == pytest.approx((-0.4, 0.3), abs=1e-5)  # both at the foot


def test_each_row_is_a_least():
    design = quarter_turn(80.0, 15.0, 300.0)
    placing = place(design, "belt", OFFSETS)

    def cost(moves, weight):
        moved = place_by_hand(design, moves)
        path = solve_drive(moved).band("belt").path
        spin = sum(path.arriving_deg(i) ** 2 for i in (0, 1))
        back = sum(path.leaving_deg(i) ** 2 for i in (0, 1))
        return (1.0 - weight) * spin + weight * back

    for row in placing.rows:
        here = cost(row.moves_mm, row.weight)
        for step in ((0.05, 0.0), (-0.05, 0.0), (0.0, 0.05), (0.0, -0.05)):
            beside = tuple(m + s for m, s in zip(row.moves_mm, step, strict=True))
            assert cost(beside, row.weight) > here


def place_by_hand(design, moves):
    pulleys = tuple(
        replace(p, offset_mm=p.offset_mm + m) for p, m in zip(design.pulleys, moves, strict=True)
    )
    return replace(design, pulleys=pulleys)


def test_shafts_moved_along_directions_do_as_well_as_grooves_along_shafts():
    design = quarter_turn(100.0, 20.0, 400.0)
    moves = (Move("a", (0.0, 0.0, 2.0)), Move("b", (0.0, 3.0, 0.0)))
    by_shaft = place(design, "belt", moves).rows[0]
    by_groove = place(design, "belt", OFFSETS).rows[0]
    assert by_shaft.moves_mm == pytest.approx(by_groove.moves_mm, abs=1e-6)
    assert by_shaft.worst_spinning_deg < 1e-7


def test_parallel_shafts_are_brought_into_one_plane(box_wheel):
    off = place(box_wheel, "first band", [Move("hub no. 2.offset", None, -5.0, 5.0)])
    assert off.true
    assert off.rows[0].moves_mm == pytest.approx((0.0,), abs=1e-7)
    bent = replace(
        box_wheel,
        pulleys=tuple(
            replace(p, offset_mm=15.0) if p.name == "hub no. 2" else p for p in box_wheel.pulleys
        ),
    )
    again = place(bent, "first band", [Move("hub no. 2.offset")])
    assert again.rows[0].moves_mm == pytest.approx((-3.0,), abs=1e-7)
    assert max(map(abs, again.rows[0].backing_deg)) == pytest.approx(0.0, abs=1e-7)


def test_a_shaft_that_cannot_go_far_enough_goes_as_far_as_it_can():
    design = quarter_turn(100.0, 20.0, 400.0)
    free = place(design, "belt", OFFSETS).rows[0]
    reach = 0.5 * abs(free.moves_mm[1])
    held = place(design, "belt", (Move("one.offset"), Move("other.offset", None, -reach, reach)))
    assert not held.true
    assert abs(held.rows[0].moves_mm[1]) == pytest.approx(reach, abs=1e-3)
    assert held.rows[0].worst_spinning_deg < held.now.worst_spinning_deg


@pytest.mark.parametrize(
    ("band", "moves", "says"),
    [
        ("bellt", OFFSETS, 'no band "bellt"; did you mean "belt"'),
        ("belt", (), "something to move"),
        ("belt", (Move("one.ofset"),), "did you mean"),
        ("belt", (Move("c", (1.0, 0.0, 0.0)),), 'no shaft "c"'),
        ("belt", (Move("a", (0.0, 0.0, 0.0)),), "needs a direction"),
    ],
)
def test_what_cannot_be_placed(band, moves, says):
    with pytest.raises(SearchError, match=says):
        place(quarter_turn(100.0, 20.0, 400.0), band, moves)


def test_a_move_that_leaves_today_out_is_refused():
    with pytest.raises(SearchError, match="free to move from where it is"):
        Move("one.offset", None, 1.0, 2.0)


def test_no_path_to_start_from():
    with pytest.raises(SearchError, match="no path to start from"):
        place(quarter_turn(100.0, 20.0, 50.0), "belt", OFFSETS)


def aside(box_wheel):
    """A band on parallel shafts, one of its pulleys 3 mm out of the other's plane."""
    return replace(box_wheel, pulleys=tuple(
        replace(p, offset_mm=15.0) if p.name == "hub no. 2" else p for p in box_wheel.pulleys
    ))  # fmt: skip


def test_places_that_are_alike_are_told_once(box_wheel):
    (row,) = place(aside(box_wheel), "first band", [Move("hub no. 2.offset")]).rows
    assert (row.weight, row.up_to_weight, row.moves_mm) == (0.0, 1.0, (-3.0,))
    (still,) = place(box_wheel, "first band", [Move("hub no. 2.offset")]).rows
    assert still.moves_mm == (0.0,)
    assert place(box_wheel, "first band", [Move("hub no. 2.offset")]).true_already


def test_to_set_shafts_ever_further_apart_is_no_place(box_wheel):
    """The angle is atan(3 / run): it fades for ever, and no place is the best."""
    design = aside(box_wheel)
    a, b = (design.shaft(design.pulley(n).shaft) for n in ("wheel", "hub no. 2"))
    apart = tuple(y - x for x, y in zip(a.at_mm, b.at_mm, strict=True))
    with pytest.raises(SearchError, match=r"does not help: .* what helps is hub no. 2.offset"):
        place(design, "first band", [Move(b.name, apart)])


def test_what_leaves_the_angles_as_they_are_is_refused_in_words(box_wheel):
    with pytest.raises(SearchError, match="does not help: the band arrives no straighter"):
        place(aside(box_wheel), "first band", [Move("whorl.offset")])


def test_what_helps_alone_is_the_small_pulley_first_and_each_of_it_does(box_wheel):
    design = aside(box_wheel)
    keys = helpful_moves(design, "first band")
    assert keys[0] == "hub no. 2.offset"
    for key in keys:
        found = place(design, "first band", [Move(key)])
        assert found.true, key
    quarter = quarter_turn(100.0, 20.0, 400.0)
    # the small one's run comes in 100 mm beside its middle, the large one's 20: that matters little
    assert helpful_moves(quarter, "belt")[0] == "other.offset"
    assert not {"one.offset", "a.at.x", "b.at.x"} & set(helpful_moves(quarter, "belt"))
