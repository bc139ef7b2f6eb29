"""Whether a stand stays upright, against closed forms and against turning the weight over an edge.

A block of half width b and height of its centre h tips at arctan(b/h): any textbook of statics,
e.g. Meriam & Kraige, Engineering Mechanics: Statics, on tipping; from memory.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from scipy.optimize import minimize_scalar

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import TurnedShape
from wheelgeo.built.weight import Weight, body_weight, volume_of
from wheelgeo.design.library import design_text
from wheelgeo.design.reader import parse_design
from wheelgeo.drive.standing import Standing, TippingPush, pushes, standing
from wheelgeo.shop.body_meshes import body_mesh
from wheelgeo.units.quantity import GRAVITY_M_S2

SQUARE = ((-100.0, -50.0), (100.0, -50.0), (100.0, 50.0), (-100.0, 50.0))


@pytest.fixture(scope="module")
def farm():
    return build(parse_design(design_text("farm-wheel")))


def test_a_block_tips_where_its_centre_passes_over_its_edge():
    block = Standing(SQUARE, Weight(10.0, (0.0, 10.0, 200.0)))
    tilt, side = block.tilt
    assert (tilt, side) == (pytest.approx(math.degrees(math.atan(40.0 / 200.0))), "back")
    push, way = block.sideways_n(400.0)
    assert (push, way) == (pytest.approx(10.0 * GRAVITY_M_S2 * 40.0 / 400.0), "back")


def test_a_force_tips_by_its_moment_about_the_edge():
    block = Standing(SQUARE, Weight(10.0, (0.0, 0.0, 200.0)))
    down = TippingPush((0.0, -80.0, 300.0), (0.0, 0.0, -60.0))
    weight = 10.0 * GRAVITY_M_S2
    assert block.factor(down) == (pytest.approx(weight * 50.0 / (60.0 * 30.0)), "front")
    inside = TippingPush((0.0, -40.0, 300.0), (0.0, 0.0, -60.0))
    assert block.factor(inside) == (math.inf, "")
    level = TippingPush((150.0, 0.0, 300.0), (20.0, 0.0, 0.0))
    assert block.factor(level) == (pytest.approx(weight * 100.0 / (20.0 * 300.0)), "right")


def test_the_farm_wheel_turned_about_each_edge_rises_until_its_tilt_and_falls_beyond(farm):
    """Energy instead of moments: a body is about to tip where its centre is at its highest."""
    found = standing(farm)
    corners = np.array([(*c, 0.0) for c in found.corners])
    tilts = []
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):

        def sunk(turn, a=a, b=b):
            over = trimesh.transformations.rotation_matrix(turn, b - a, a)
            return -trimesh.transform_points([found.weight.centre_mm], over)[0, 2]

        tilts.append(math.degrees(minimize_scalar(sunk, bounds=(0.0, 1.5), method="bounded").x))
    assert found.tilt[0] == pytest.approx(min(tilts), abs=0.01)
    edge = int(np.argmin(tilts))
    rear = corners[edge, 1] > 0.0 and np.roll(corners, -1, axis=0)[edge, 1] > 0.0
    assert rear  # its feet reach farther forward, under the rail of the treadle
    assert found.tilt[1] == "back"


def test_volumes_and_centres_are_those_of_the_meshes_that_are_cut(farm):
    for body in bodies(farm):
        mesh = body_mesh(body, 0.01)
        volume, centre = volume_of(body.shape)
        # holes and turned bodies are many-sided in the mesh
        assert volume == pytest.approx(mesh.volume, rel=0.01), body.name
        assert centre == pytest.approx(tuple(mesh.center_mass), abs=0.2), body.name


def test_a_pulley_weighs_what_its_start_is_reckoned_with(farm):
    rim = next(b for b in bodies(farm) if b.name == "pulley rim")
    assert body_weight(farm, rim).mass_kg == farm.pulleys["rim"].inertia.mass_kg


def test_the_foot_pulls_its_crank_down_where_the_footman_hangs(farm):
    each = pushes(farm)
    footman = next(b for b in bodies(farm) if b.name == "footman")
    places = sorted(footman.shape.point(0.0, 0.0, z)[1]
                    for z in (footman.shape.low, footman.shape.high))  # fmt: skip
    assert {p.force_n for p in each} == {(0.0, 0.0, -60.0)}  # the foot is over the pin
    assert all(places[0] < p.at_mm[1] < places[1] for p in each)


def test_a_disc_as_thin_as_its_rod_weighs_nothing_where_it_stands():
    ring = TurnedShape((0.0, 9.0, 0.0), (0.0, -1.0, 0.0), ((-11.5, 5.0), (0.5, 5.0)) * 2)
    assert volume_of(ring) == (0.0, pytest.approx((0.0, 14.5, 0.0)))
    thicker = replace(ring, outline=((-11.5, 5.0), (0.5, 5.0), (0.5, 5.001), (-11.5, 5.001)))
    assert volume_of(thicker)[1] == pytest.approx((0.0, 14.5, 0.0))
