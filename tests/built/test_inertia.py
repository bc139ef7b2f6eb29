"""Mass and moments of pulleys against meshes by another library, and against closed forms."""

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from scipy.integrate import quad
from shapely.geometry import Point

from wheelgeo.built.inertia import Inertia, cylinder
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.design.material import Figure, Material
from wheelgeo.design.model import (
    FlatRim,
    GivenPitch,
    Lightening,
    Pulley,
    RoundGroove,
    Shaft,
    VeeGroove,
)

SIDES = 360
DENSITY = 700.0


def pulley_inertia(pulley, cord, density, bore):
    """The inertia of a pulley of a material of that density, bored so."""
    wood = Material("wood", "wheel", Figure(density, density, density, "test"))
    shaft = Shaft("s", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), bore)
    made = replace(pulley, material="wood", bore_mm=bore)
    return BuiltPulley(made, shaft, cord, (wood,)).inertia


def of_circle():
    """Area and polar second moment of a circle over those of the polygon that a mesh has."""
    a = 2.0 * math.pi / SIDES
    area = math.sin(a) / a
    return area, area * (2.0 + math.cos(a)) / 3.0


def vee_outline(groove, width, bore):
    rim, bottom = groove.rim_mm / 2, groove.rim_mm / 2 - groove.depth_mm
    half = groove.bottom_mm / 2
    mouth = half + groove.depth_mm * math.tan(math.radians(groove.angle_deg) / 2)
    w = width / 2
    points = [
        (bore / 2, -w), (rim, -w), (rim, -mouth), (bottom, -half), (bottom, half), (rim, mouth),
        (rim, w), (bore / 2, w), (bore / 2, -w),
    ]  # fmt: skip
    return np.array(points)


@pytest.mark.parametrize("bottom", [0.6, 2.0])
@pytest.mark.parametrize("angle", [30.0, 60.0])
def test_vee_pulley_is_the_mesh_of_its_section(angle, bottom):
    groove = VeeGroove(180.0, 4.0, angle, bottom)
    mine = pulley_inertia(Pulley("p", "s", 0.0, groove, width_mm=12.0), 2.0, DENSITY, 8.0)
    mesh = trimesh.creation.revolve(vee_outline(groove, 12.0, 8.0), sections=SIDES)
    mesh.density = DENSITY * 1e-9
    area, polar = of_circle()
    assert mesh.mass / area == pytest.approx(mine.mass_kg, rel=1e-9)
    about_axis = mesh.moment_inertia[2, 2] * 1e-6 / polar
    assert about_axis == pytest.approx(mine.polar_kg_m2, rel=1e-9)
    # about a diameter: half the polar moment, and the slices' distances, which go as the area
    tilt = mesh.moment_inertia[0, 0] * 1e-6 - mesh.moment_inertia[2, 2] * 1e-6 / 2.0
    assert about_axis / 2.0 + tilt / area == pytest.approx(mine.diametral_kg_m2, rel=1e-9)


@pytest.mark.parametrize(("depth", "radius"), [(3.0, 1.5), (1.0, 1.5), (1.5, 1.5)])
def test_round_groove_against_a_general_integrator(depth, radius):
    groove, width, bore = RoundGroove(60.0, depth, radius), 9.0, 6.0
    mine = pulley_inertia(Pulley("p", "s", 0.0, groove, width_mm=width), 2.0, DENSITY, bore)

    def r(z):
        bottom = 30.0 - depth
        if abs(z) >= radius:
            return 30.0
        return min(30.0, bottom + radius - math.sqrt(radius**2 - z**2))

    reach = math.sqrt(radius**2 - max(radius - depth, 0.0) ** 2)

    def over(f):
        inside = quad(f, 0.0, reach, epsabs=0.0, epsrel=1e-12, limit=400)[0]
        return 2e-3 * (inside + quad(f, reach, width / 2.0)[0])

    mass = DENSITY * math.pi * over(lambda z: r(z) ** 2 - 9.0) * 1e-6
    polar = DENSITY * math.pi / 2 * over(lambda z: r(z) ** 4 - 81.0) * 1e-12
    tilt = DENSITY * math.pi * over(lambda z: (r(z) ** 2 - 9.0) * z * z) * 1e-12
    assert mine.mass_kg == pytest.approx(mass, rel=1e-8)
    assert mine.polar_kg_m2 == pytest.approx(polar, rel=1e-8)
    assert mine.diametral_kg_m2 == pytest.approx(polar / 2 + tilt, rel=1e-8)


def test_flat_rim_is_a_cylinder():
    mine = pulley_inertia(Pulley("p", "s", 0.0, FlatRim(50.0, 8.0), width_mm=8.0), 2.0, 700.0, 6.0)
    tube = cylinder(50.0, 8.0, 700.0, 6.0)
    for name in ("mass_kg", "polar_kg_m2", "diametral_kg_m2"):
        assert getattr(mine, name) == pytest.approx(getattr(tube, name), rel=1e-13)
    m = 700.0 * math.pi * (0.025**2 - 0.003**2) * 0.008
    assert tube.mass_kg == pytest.approx(m, rel=1e-13)
    assert tube.polar_kg_m2 == pytest.approx(m * (0.025**2 + 0.003**2) / 2, rel=1e-13)
    slender = m * ((0.025**2 + 0.003**2) / 4 + 0.008**2 / 12)
    assert tube.diametral_kg_m2 == pytest.approx(slender, rel=1e-13)


def test_layers_are_three_discs():
    groove = VeeGroove(100.0, 3.0, 40.0, 0.5)
    made = Pulley("p", "s", 0.0, groove, build="layers", core_mm=2.0, cheek_mm=1.5)
    mine = pulley_inertia(made, 1.5, 700.0, 5.0)
    core, cheek = cylinder(94.0, 2.0, 700.0, 5.0), cylinder(100.0, 1.5, 700.0, 5.0)
    assert mine.mass_kg == pytest.approx(core.mass_kg + 2 * cheek.mass_kg, rel=1e-12)
    assert mine.polar_kg_m2 == pytest.approx(core.polar_kg_m2 + 2 * cheek.polar_kg_m2, rel=1e-12)
    away = cheek.mass_kg * 0.00175**2
    diametral = core.diametral_kg_m2 + 2 * (cheek.diametral_kg_m2 + away)
    assert mine.diametral_kg_m2 == pytest.approx(diametral, rel=1e-12)


def test_lightening_holes_against_a_mesh():
    holes = Lightening(5, 20.0, 60.0)
    made = Pulley("p", "s", 0.0, FlatRim(100.0, 8.0), width_mm=8.0, lightening=holes)
    mine = pulley_inertia(made, 2.0, DENSITY, 8.0)
    plate = Point(0, 0).buffer(50.0, 256).difference(Point(0, 0).buffer(4.0, 256))
    for k in range(5):
        a = 2 * math.pi * k / 5
        plate = plate.difference(Point(30 * math.cos(a), 30 * math.sin(a)).buffer(10.0, 256))
    # the plate's own second moments, from its outline, by Green's formula
    area, polar = plate.area, second_moment(plate)
    assert mine.mass_kg == pytest.approx(DENSITY * area * 8.0 * 1e-9, rel=3e-5)
    assert mine.polar_kg_m2 == pytest.approx(DENSITY * polar * 8.0 * 1e-15, rel=3e-5)
    thick = DENSITY * area * 8.0 * 1e-9 * 0.008**2 / 12
    assert mine.diametral_kg_m2 == pytest.approx(mine.polar_kg_m2 / 2 + thick, rel=3e-5)


def second_moment(plate):
    total = 0.0
    for k, ring in enumerate((plate.exterior, *plate.interiors)):
        x, y = np.asarray(ring.coords.xy)
        c = x[:-1] * y[1:] - x[1:] * y[:-1]
        part = np.sum(
            c
            * (
                x[:-1] ** 2
                + x[:-1] * x[1:]
                + x[1:] ** 2
                + y[:-1] ** 2
                + y[:-1] * y[1:]
                + y[1:] ** 2
            )
        )
        total += abs(part) / 12.0 if k == 0 else -abs(part) / 12.0
    return total


def test_a_pulley_that_no_cord_runs_on_is_solid():
    bare = pulley_inertia(Pulley("p", "s", 0.0, GivenPitch(40.0)), 0.0, DENSITY, 6.0)
    assert bare.mass_kg > 0.0


def test_together():
    a, b = Inertia(1.0, 2.0, 3.0), Inertia(0.5, 0.25, 0.125)
    assert a + b == Inertia(1.5, 2.25, 3.125)
