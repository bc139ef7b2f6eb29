"""Figures of woods against the USDA Wood Handbook."""

import pytest

from wheelgeo.design.materials import WHEELS, find_material

# USDA Wood Handbook, 2010, at 12 % moisture: specific gravity, and tension perpendicular to the
# grain in MPa. A page that copies the latter prints it as plain "tensile strength": along the grain
# a wood is some twenty times as strong. Sugar maple is not listed there, black maple is.
HANDBOOK = {
    "maple": (0.63, 4.6),
    "beech": (0.64, 7.0),
    "birch": (0.62, 6.3),
    "white oak": (0.68, 5.5),
    "red oak": (0.63, 5.5),
    "teak": (0.55, None),
    # the same tables, from memory: white ash, black walnut, black cherry
    "ash": (0.60, 6.5),
    "walnut": (0.55, 4.8),
    "cherry": (0.50, 3.9),
}


@pytest.mark.parametrize("name", sorted(HANDBOOK))
def test_wood(name):
    gravity, across = HANDBOOK[name]
    material = find_material(name)
    assert material is not None
    assert material.density_kg_m3.value == pytest.approx(1120.0 * gravity, rel=1e-12)
    strength = material.strength_mpa
    assert (None if strength is None else strength.value) == across


def test_density_of_beech_is_not_its_gravity_times_1000():
    # A widely copied table gives beech "640 kg/m3", which is the specific gravity, on oven-dry
    # mass, times 1000. At 12 % moisture the same volume weighs 1.12 times as much: 717.
    assert find_material("beech").density_kg_m3.value == pytest.approx(716.8, abs=0.05)


def test_along_the_grain_is_another_thing():
    # Moduli of rupture, psi, from the same book: no strength that we hold is one of them.
    rupture_mpa = [15_800, 14_900, 16_600, 15_200, 14_300, 14_600]
    held = [m.strength_mpa.value for m in WHEELS if m.name in HANDBOOK and m.strength_mpa]
    assert max(held) < 0.1 * min(rupture_mpa) * 0.006894757293168
