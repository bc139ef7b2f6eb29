"""The driver of a wheel from its file: treadle with and without keys, crank, hand and motor."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape, frame_along
from wheelgeo.design.model import Design, Treadle
from wheelgeo.drive.driven_by import driver_of, treadle_geometry, treadle_trouble
from wheelgeo.drive.effort import crank_weight_nm
from wheelgeo.drive.running import load_wheel, start_of
from wheelgeo.geometry.vectors import dot, sub

FLOOR = Path(__file__).parents[2] / "designs" / "floor-wheel.toml"


def floor_wheel(**drive: object) -> Design:
    """Return the floor wheel with other keys under its drive."""
    design = wheelgeo.load(FLOOR).design
    return replace(design, drive=replace(design.drive, **drive))  # type: ignore[arg-type]


def found_rules(design: Design) -> set[str]:
    """Return the rules that find something."""
    wheel = wheelgeo.load(FLOOR).with_design(design)
    return {f.rule for f in wheel.check().findings}


def test_what_a_file_leaves_out_is_told_and_what_it_says_is_not() -> None:
    found = treadle_geometry(build(floor_wheel()))
    assert found is not None
    assert len(found.assumed) == 5
    told = Treadle(-260.0, 430.0, 280.0, 425.0, 250.0, "double")
    found = treadle_geometry(build(floor_wheel(treadle=told)))
    assert found is not None
    assert (found.assumed, found.treadles) == ((), 2)
    assert found.linkage.pivot_mm == (-260.0, -430.0)


@pytest.mark.parametrize("throw", [0.001, 5.0, 55.0, 300.0, 5e4])
@pytest.mark.parametrize("turns", ["clockwise", "counter-clockwise"])
def test_the_usual_treadle_turns_whatever_its_throw(throw: float, turns: str) -> None:
    built = build(floor_wheel(radius_mm=throw, turns=turns))
    assert treadle_trouble(built) == ""
    driver = driver_of(built)
    assert driver is not None
    # By energy: one stroke of about two throws a turn.
    assert driver.mean_arm_mm == pytest.approx(throw / math.pi, rel=0.03)
    assert 0.48 < driver.driven_share < 0.52


def test_a_foot_pushes_whichever_side_the_pivot_stands_on() -> None:
    left = driver_of(build(floor_wheel(treadle=Treadle(pivot_across_mm=-275.0))))
    right = driver_of(build(floor_wheel(treadle=Treadle(pivot_across_mm=275.0))))
    assert left is not None
    assert right is not None
    assert left.stroke_mm == pytest.approx(right.stroke_mm)
    # The mirror image turned the other way is the same wheel.
    mirrored = driver_of(
        build(floor_wheel(treadle=Treadle(pivot_across_mm=-275.0), turns="counter-clockwise"))
    )
    own = driver_of(build(floor_wheel(turns="clockwise")))
    assert mirrored is not None
    assert own is not None
    assert sorted(mirrored.arms_mm) == pytest.approx(sorted(own.arms_mm), abs=1e-6)


def test_a_second_treadle_evens_the_turn() -> None:
    one, two = (
        load_wheel(floor_wheel(treadle=Treadle(kind=kind))).effort for kind in ("single", "double")
    )
    # but for the weight of the second crank on the axle's bearings
    assert one.force_n == pytest.approx(2.0 * (two.force_n or 0.0), rel=1e-3)
    assert (two.speed_swing or 1.0) < 0.3 * (one.speed_swing or 0.0)
    # The dead points of a treadle are not quite opposite: of two treadles a hair's breadth is left.
    assert two.least_inertia_kg_m2 < 0.01 * one.least_inertia_kg_m2


def test_start_effort_and_swing_come_of_one_driver() -> None:
    loaded = load_wheel(floor_wheel())
    driver, effort = loaded.effort.driver, loaded.effort
    assert driver is not None
    assert effort.torque_nm is not None
    push = start_of(loaded).push
    assert push is not None
    assert push.torque_nm == pytest.approx(60.0 * driver.mean_arm_mm / 1e3)
    assert effort.force_n == pytest.approx(1e3 * effort.torque_nm / driver.mean_arm_mm)
    omega = 2.0 * math.pi * loaded.design.drive.speed_rpm / 60.0
    assert effort.speed_swing == pytest.approx(
        driver.surplus_j(effort.torque_nm, crank_weight_nm(loaded.built))
        / (effort.inertia_kg_m2 * omega**2)
    )


def test_a_treadle_that_jams_is_a_fault_and_nothing_is_raised() -> None:
    short = floor_wheel(treadle=Treadle(footman_mm=100.0))
    assert "too short" in treadle_trouble(build(short))
    assert "treadle-jams" in found_rules(short)
    assert "treadle-jams" not in found_rules(floor_wheel())
    assert load_wheel(short).effort.force_n is None


def test_dead_points_lift_and_angle_are_found_and_near_misses_are_not() -> None:
    assert not found_rules(floor_wheel()) & {"dead-point", "foot-lift", "treadle-transmission"}
    assert "dead-point" in found_rules(floor_wheel(speed_rpm=20.0))
    assert "foot-lift" in found_rules(floor_wheel(treadle=Treadle(foot_mm=500.0)))
    flat = Treadle(pivot_across_mm=70.0, lever_mm=70.0)
    assert "treadle-transmission" in found_rules(floor_wheel(treadle=flat))


@pytest.mark.parametrize(
    ("rule", "treadle", "says"),
    [
        ("foot-lift", Treadle(foot_mm=500.0), r"set the foot (\d+) mm from the treadle's pivot"),
        ("treadle-transmission", Treadle(pivot_across_mm=70.0, lever_mm=70.0),
         r"make the treadle's lever (\d+) mm long"),
        ("foot-rock", Treadle(lever_mm=160.0, pivot_across_mm=160.0, foot_mm=120.0),
         r"make the treadle's lever (\d+) mm long"),
        ("treadle-jams", Treadle(footman_mm=100.0), r"make its footman (\d+) mm long"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_treadle_is_mended_by_an_edit_with_its_length(
    rule: str, treadle: Treadle, says: str
) -> None:
    wheel = wheelgeo.load(FLOOR).with_design(floor_wheel(treadle=treadle))
    (finding,) = (f for f in wheel.check().findings if f.rule == rule)
    told = [way for way in finding.remedy.ways if re.search(says, way.says)]
    assert told, finding.remedy.says
    for way in finding.remedy.ways:
        mended = way.apply()
        assert rule not in {f.rule for f in mended.check().findings}


def test_a_short_treadle_rocks_the_foot_too_far() -> None:
    """Its pivot below and aside by the lever, it rocks about 2 asin(throw over lever)."""

    def rule(lever: float) -> float | None:
        design = floor_wheel(treadle=Treadle(lever_mm=lever, pivot_across_mm=lever))
        throw = design.drive.radius_mm
        assert throw is not None
        found = treadle_geometry(build(design))
        assert found is not None
        by_hand = 2.0 * math.degrees(math.asin(throw / lever))
        assert found.linkage.swing_deg == pytest.approx(by_hand, abs=0.5)
        answer = wheelgeo.load(FLOOR).with_design(design).check()
        told = [f for f in answer.findings if f.rule == "foot-rock"]
        # the lever of the remedy is the longest that is needed, to the next 5 mm
        levers = [e.after.lever_mm for f in told for way in f.remedy.ways for e in way.edits
                  if e.key == "drive.treadle"]  # fmt: skip
        assert len(levers) == len(told)
        assert all(longest - 1.0 < mm < longest + 6.0 for mm in levers)
        return told[0].value if told else None

    throw = floor_wheel().drive.radius_mm or 0.0
    longest = throw / math.sin(math.radians(15.0))
    assert rule(1.05 * longest) is None
    assert (rule(0.9 * longest) or 0.0) > 30.0


def test_the_hand_on_the_rim_is_a_driver_too() -> None:
    driver = driver_of(build(floor_wheel(by="hand", radius_mm=250.0)))
    assert driver is not None
    assert driver.driven_share == pytest.approx(1.0 / 3.0, abs=1e-3)
    assert driver.mean_arm_mm == pytest.approx(250.0 / 3.0)


def test_the_answer_holds_the_turn() -> None:
    answer = wheelgeo.load(FLOOR).run().to_json()["load"]["driver"]
    assert answer["by"] == "treadle"
    assert len(answer["turn"]) == 24
    assert len(answer["treadle"]["dead_points_deg"]) == 2
    peak = max(step["arm_mm"] for step in answer["turn"])
    assert peak == pytest.approx(answer["peak_arm_mm"], rel=0.02)


@pytest.mark.parametrize(
    "told",
    [Treadle(), Treadle(footman_mm=300.0), Treadle(pivot_across_mm=-275.0),
     Treadle(pivot_across_mm=-240.0, pivot_below_mm=330.0, lever_mm=210.0, foot_mm=260.0)],
)  # fmt: skip
def test_the_treadle_that_is_built_is_the_one_that_drives(told: Treadle) -> None:
    made = build(floor_wheel(treadle=told))
    geometry = treadle_geometry(made)
    assert geometry is not None
    (body,) = (b for b in bodies(made) if b.kind == "footman")
    assert isinstance(body.shape, BoardShape)
    hangs = -min(y for _, y in body.shape.outline)
    assert hangs == pytest.approx(geometry.linkage.footman_mm, abs=1e-6)
    (board,) = (b for b in bodies(made) if b.kind == "treadle")
    assert isinstance(board.shape, BoardShape)
    # Where the footman's point is by its own board, the lever is by the treadle's, and both are
    # where the linkage has them when the crank hangs.
    axle, linkage = made.design.shaft(made.design.drive.shaft), geometry.linkage
    side, _ = frame_along(axle.axis)
    places = [body.shape.point(0.0, -hangs, 0.0), board.shape.point(linkage.lever_mm, 0.0, 0.0),
              board.shape.point(0.0, 0.0, 0.0)]  # fmt: skip
    drawn = [(dot(sub(p, axle.at_mm), side), p[2] - axle.at_mm[2]) for p in places]
    pin = linkage.lower_pin_mm(270.0)
    assert drawn == [pytest.approx(p, abs=1e-6) for p in (pin, pin, linkage.pivot_mm)]
    assert board.shape.high == 0.0  # its upper face
    outline = [x for x, _ in board.shape.outline]
    assert max(outline) > linkage.foot_mm
    assert 0.0 < min(outline) < 0.1 * linkage.lever_mm


def test_a_treadle_is_hinged_on_its_rail_at_the_pivot_and_the_rail_lies_against_a_foot() -> None:
    made = build(floor_wheel())
    found = {b.name: b for b in bodies(made)}
    rail, geometry = found["hinge rail"].shape, treadle_geometry(made)
    assert isinstance(rail, BoardShape)
    assert geometry is not None
    x, y = geometry.linkage.pivot_mm
    axle = made.design.shaft(made.design.drive.shaft)
    assert max(v for _, v in rail.outline) == pytest.approx(axle.at_mm[2] + y)
    (foot,) = (n for n in found["hinge rail"].fits_in if n.startswith("trestle foot"))
    side, _ = frame_along(axle.axis)

    def faces(shape: BoardShape) -> list[float]:
        return sorted(dot(sub(shape.point(0.0, 0.0, z), axle.at_mm), side)
                      for z in (shape.low, shape.high))  # fmt: skip

    shape = found[foot].shape
    assert isinstance(shape, BoardShape)
    assert faces(rail) == pytest.approx([x, faces(shape)[0]])


def test_no_treadle_is_drawn_where_footman_and_lever_do_not_reach_each_other() -> None:
    kinds = {b.kind for b in bodies(build(floor_wheel(treadle=Treadle(footman_mm=100.0))))}
    assert not kinds & {"footman", "treadle", "hinge rail"}
    assert "table" in kinds
