"""Laws that every beam obeys, whatever its numbers."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import eigh

from wheelgeo.drive.beam import (
    Beam,
    Disc,
    Stretch,
    Support,
    mass_matrices,
    nodes_m,
    stiffness_matrices,
)
from wheelgeo.drive.beam_speeds import (
    critical_speeds_rad_s,
    lowest_speeds_rad_s,
    natural_frequencies_rad_s,
)


def spindle(size=1.0, stiffness=2.0e6, modulus=2e11):
    """A spindle scaled in every length; supports as stiff as the lengths make them."""
    d = 0.004 * size
    ei, mass = modulus * math.pi * d**4 / 64.0, 7850.0 * math.pi * d**2 / 4.0
    return Beam(
        (Stretch(0.0, 0.15 * size, ei, mass),),
        (Support(0.01 * size, stiffness * size), Support(0.05 * size, stiffness * size)),
        (Disc(0.03 * size, 0.002 * size**3, 3e-8 * size**5, 6e-8 * size**5),),
    )


@settings(max_examples=12, deadline=None)
@given(st.floats(0.2, 5.0))
def test_a_larger_copy_is_slower_in_proportion(size):
    small, large = (critical_speeds_rad_s(spindle(s), 2) for s in (1.0, size))
    assert [w * size for w in large] == pytest.approx(small, rel=1e-9)


def test_half_the_length_is_four_times_the_speed():
    def rod(length):
        return Beam((Stretch(0.0, length, 2.0, 0.1),), (Support(0.0), Support(length)))

    long, short = (critical_speeds_rad_s(rod(x), 2) for x in (0.2, 0.1))
    assert short == pytest.approx([4.0 * w for w in long], rel=1e-10)


@settings(max_examples=12, deadline=None)
@given(st.floats(1e3, 1e7), st.floats(1.05, 20.0))
def test_stiffer_bearings_never_lower_a_natural_frequency(stiffness, factor):
    soft, stiff = (
        natural_frequencies_rad_s(spindle(stiffness=k), 3) for k in (stiffness, factor * stiffness)
    )
    assert all(a <= b * (1 + 1e-9) for a, b in zip(soft, stiff, strict=True))


@settings(max_examples=12, deadline=None)
@given(st.floats(0.0, 0.05), st.floats(0.05, 0.15))
def test_more_mass_never_raises_a_natural_frequency(mass, place):
    s = spindle()
    bare, laden = (Beam(s.stretches, s.supports, (*s.discs, Disc(place, m))) for m in (0.0, mass))
    assert all(
        a <= b * (1 + 1e-9)
        for a, b in zip(
            natural_frequencies_rad_s(laden, 3), natural_frequencies_rad_s(bare, 3), strict=True
        )
    )


def test_turned_end_for_end_it_is_the_same():
    beam = spindle()
    flipped = Beam(
        beam.stretches,
        tuple(Support(0.15 - s.at_m, s.stiffness_n_m) for s in beam.supports),
        tuple(Disc(0.15 - d.at_m, d.mass_kg, d.diametral_kg_m2, d.polar_kg_m2) for d in beam.discs),
    )
    assert critical_speeds_rad_s(flipped, 3) == pytest.approx(
        critical_speeds_rad_s(beam, 3), rel=1e-9
    )


def test_very_stiff_springs_are_supports_that_hold_fast():
    s = Stretch(0.0, 0.2, 2.0, 0.1)
    fast = critical_speeds_rad_s(Beam((s,), (Support(0.0), Support(0.15))), 2)
    springs = Beam((s,), (Support(0.0, 1e12), Support(0.15, 1e12)))
    assert critical_speeds_rad_s(springs, 2) == pytest.approx(fast, rel=1e-6)


def test_mass_along_the_rod_is_many_small_masses():
    rod, cop = Stretch(0.0, 0.1, 2.0, 0.02), Stretch(0.06, 0.09, 0.0, 0.4, 1e-4, 1.8e-4)
    supports = (Support(0.0), Support(0.04))
    spread = critical_speeds_rad_s(Beam((rod, cop), supports), 1, 80)
    n = 60
    part = 0.03 / n
    beads = tuple(
        Disc(0.06 + part * (i + 0.5), 0.4 * part, 1e-4 * part, 1.8e-4 * part) for i in range(n)
    )
    assert critical_speeds_rad_s(Beam((rod,), supports, beads), 1, 80) == pytest.approx(
        spread, rel=2e-5
    )


def test_discs_without_a_node_move_as_those_with_one():
    """Against scipy's general solver with a node at each of sixty uneven discs."""
    discs = tuple(
        Disc(0.145 * (i + 0.5 + 0.3 * math.sin(i)) / 60, 1e-4 * (1 + i % 5), 2e-8, 5e-8)
        for i in range(60)
    )
    one = spindle()
    beam = Beam(one.stretches, one.supports, discs)
    assert len(nodes_m(beam, 16)) < 50
    places = {0.15 * i / 60 for i in range(61)} | {s.at_m for s in one.supports}
    nodes = tuple(sorted(places | {d.at_m for d in discs}))
    stiffness, masses = stiffness_matrices((beam,), nodes), mass_matrices((beam,), nodes, (True,))
    upturned = eigh(masses[0], stiffness[0], eigvals_only=True)[::-1]
    found = critical_speeds_rad_s(beam, 2, 16)
    assert found == pytest.approx([1.0 / math.sqrt(v) for v in upturned[:2]], rel=2e-5)


def test_matrices_are_symmetric():
    beam = spindle()
    nodes = nodes_m(beam, 12)
    stiffness, masses = stiffness_matrices((beam,), nodes), mass_matrices((beam,), nodes, (True,))
    for matrix in (*stiffness, *masses):
        assert abs(matrix - matrix.T).max() == 0.0


def test_several_at_once_are_as_each_by_itself():
    # Two of one stiffness, one of another, one loose, one with nodes of its own.
    s = spindle()
    heavy = Beam(s.stretches, s.supports, (Disc(0.03, 0.004, 3e-8, 6e-8),))
    loose = Beam(s.stretches, s.supports[:1], s.discs)
    beams = (s, heavy, spindle(stiffness=1e5), loose, spindle(1.3))
    whirling = (True, True, True, False, False)
    for found, beam, whirls in zip(
        lowest_speeds_rad_s(beams, whirling, 3, 20), beams, whirling, strict=True
    ):
        alone = critical_speeds_rad_s if whirls else natural_frequencies_rad_s
        assert found == pytest.approx(alone(beam, 3, 20), rel=1e-11)


def test_nodes_stand_at_every_change():
    beam = spindle()
    nodes = nodes_m(beam, 10)
    for place in (0.0, 0.01, 0.03, 0.05, 0.15):
        assert min(abs(n - place) for n in nodes) < 1e-12
    assert max(b - a for a, b in itertools.pairwise(nodes)) <= 0.015 + 1e-12


@pytest.mark.parametrize(
    "supports", [(), (Support(0.05),), (Support(0.05, 0.0), Support(0.1, 0.0))]
)
def test_a_loose_beam_has_no_critical_speed(supports):
    with pytest.raises(ValueError, match="loose"):
        critical_speeds_rad_s(Beam((Stretch(0.0, 0.1, 2.0, 0.02),), supports))


def test_nothing_may_stand_beyond_the_ends():
    with pytest.raises(ValueError, match="beyond"):
        nodes_m(Beam((Stretch(0.0, 0.1, 2.0, 0.02),), (Support(0.2),)), 5)
