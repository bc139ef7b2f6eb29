"""Screws and bolts by the wood they go through: none comes out, none stops short."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.design.reader import read_design
from wheelgeo.shop.board_parts import board_parts
from wheelgeo.shop.fastenings import (
    BARREL_IN_MM,
    BARREL_MM,
    LEAST_BITE,
    LEFT_MM,
    POST_BOLT_MM,
    bolts,
    cap_screws_mm,
    post_bolts,
    screw_mm,
    screwed,
    screws,
)

DESIGNS = Path(__file__).parents[2] / "designs"


def found_in(name):
    return {b.name: b for b in bodies(build(read_design(DESIGNS / f"{name}.toml")))}


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.toml")), ids=lambda p: p.stem)
def test_no_screw_of_a_shipped_wheel_comes_out_and_none_stops_short(path):
    made = screws(found_in(path.stem))
    assert made
    for one in made:
        assert one.long_mm <= one.through_mm + one.into_mm - LEFT_MM
        assert one.long_mm >= one.through_mm + LEAST_BITE * one.across_mm


def test_a_screw_is_chosen_for_its_joint_by_hand():
    sizes = {s.board: (s.across_mm, s.long_mm) for s in screws(found_in("box-wheel"))}
    # 6 mm floor and 9.43 mm block, 2 mm left: 13.4 mm at most; 20 mm ends in the wheel.
    assert sizes["block main"] == (3.0, 12.0)
    # 9 mm wall, seven diameters of bite in the end of the bridge: 30 mm
    assert sizes["bridge main"] == (3.0, 30.0)
    # the support is 5 mm thick: 3 mm would split its foot
    assert sizes["support spindle 1"][0] == 2.0
    # 7.75 mm of cap, 5 mm of wood beside the bush; the screw from below is 14 mm up the lower 24
    assert sizes["cap spindle 1"] == (2.0, 16.0)
    assert cap_screws_mm(found_in("box-wheel")["cap spindle 1"]) == (2.5, 6.25)
    farm = {s.board: s.long_mm for s in screws(found_in("farm-wheel"))}
    # 25 mm across the slope are 21.1 mm square to it: 20 mm never reaches the maiden
    assert farm["maiden flyer 1"] == 45.0
    assert "post axle 1" not in farm  # end grain: it is bolted


def test_where_no_screw_bites_none_is_listed():
    assert screw_mm(3.0, 24.0, 6.0, 5.9) == (0.0, 0.0)  # 9.9 mm at most, 10 mm at least
    assert screw_mm(3.0, 24.0, 6.0, 6.1) == (2.0, 10.0)
    assert screw_mm(3.0, 4.0, 6.0, 40.0) == (0.0, 0.0)  # 2 mm splits an edge of 4 mm


def test_the_bolts_of_a_slide_end_within_it_and_those_of_a_mother_of_all_reach_their_nut():
    for name in ("box-wheel", "book-wheel"):
        found = found_in(name)
        slide = next(b for b in bolts(found))
        assert slide.through_mm == found["floor"].shape.thickness_mm + 6.0
        assert slide.long_mm <= slide.through_mm + 1.0  # 40 mm would end in the spindle
        assert slide.long_mm >= slide.through_mm - 2.0  # and the nut is on its thread
    farm = next(b for b in bolts(found_in("farm-wheel")))
    assert farm.through_mm == pytest.approx(33.06, abs=0.01)
    assert farm.through_mm + 8.0 <= farm.long_mm <= farm.through_mm + 15.0


def test_a_post_is_bolted_into_cross_dowels_and_a_thin_or_low_one_is_not():
    found = found_in("farm-wheel")
    post = found["post axle 1"]
    held = post_bolts(post, found)
    # 30 mm of table, 35 mm up to the cross dowel's middle, 5 mm beyond it: 70 mm are sold
    assert (held.count, held.across_mm, held.through_mm, held.long_mm) == (2, 6.0, 30.0, 70.0)
    thin = replace(post, shape=replace(post.shape, low=0.0, high=14.9))
    just = replace(post, shape=replace(post.shape, low=0.0, high=15.1))
    assert post_bolts(thin, found) is None
    assert screwed(thin, found) is not None
    assert post_bolts(just, found) is not None
    assert screwed(just, found) is None
    assert post_bolts(found["leg 1"], found) is None


def test_the_bolts_of_a_post_stand_against_the_pull_that_racks_it():
    """A post of 45 mm, pulled level by 110 N, 660 mm up, tips about the edge of its foot."""
    moment_nmm = 110.0 * 660.0
    arm_mm = 45.0 - BARREL_IN_MM  # from the edge that it tips over to the farther bolt
    tension_n = moment_nmm / arm_mm
    # An M6 bolt of class 8.8: stress area 20.1 mm2, proof stress 580 MPa (ISO 898-1; from memory)
    assert tension_n < 20.1 * 580.0 / 3.0
    # Oak along the grain takes 46.6 MPa (Wood Handbook, northern red oak at 12 %; from memory); the
    # cross dowel bears on the post's thickness less the bolt's, four times surely.
    assert tension_n < 46.6 * BARREL_MM * (45.0 - POST_BOLT_MM) / 4.0


def test_short_grain_over_a_bush_is_told_with_what_to_do():
    """By hand: the box's support is bored 7.5 mm and ends 4 mm over it; plywood has no grain."""
    design = read_design(DESIGNS / "box-wheel.toml")
    part = next(p for p in board_parts(design) if p.name.startswith("support spindle"))
    told = [note for note in part.notes if "short grain" in note]
    assert len(told) == 1
    assert told[0].startswith("Only 4 mm of short grain lie over the hole")
