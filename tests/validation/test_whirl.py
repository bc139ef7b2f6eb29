"""Natural frequencies and critical speeds of beams against handbooks and exact solutions."""

import math

import pytest

from wheelgeo.drive.beam import Beam, Disc, Stretch, Support
from wheelgeo.drive.beam_speeds import critical_speeds_rad_s, natural_frequencies_rad_s

STEEL_E, STEEL_RHO = 200e9, 7850.0
CLAMP = Support(0.0, tilts=False)


def second_moment(d):
    return math.pi * d**4 / 64.0


def rod(length, d, heavy=True, start=0.0):
    area = math.pi / 4.0 * d**2
    return Stretch(start, start + length, STEEL_E * second_moment(d), STEEL_RHO * area * heavy)


def wave_numbers(beam, length, count, elements=40):
    s = beam.stretches[0]
    scale = math.sqrt(s.stiffness_n_m2 / s.mass_kg_m)
    found = natural_frequencies_rad_s(beam, count, elements)
    return [length * math.sqrt(w / scale) for w in found]


def hz(omega):
    return omega / (2.0 * math.pi)


def test_clamped_free():
    # Roots of cos(b) cosh(b) = -1; R. D. Blevins, Formulas for Natural Frequency and Mode Shape,
    # table 8-1: 1.87510407, 4.69409113, 7.85475744, 10.99554073, 14.13716839; from memory.
    exact = (1.8751041, 4.6940911, 7.8547574, 10.9955407, 14.1371684, 17.2787595)
    found = wave_numbers(Beam((rod(1.0, 0.02),), (CLAMP,)), 1.0, 6, elements=120)
    assert found == pytest.approx(exact, rel=4e-7)
    assert [math.cos(b) * math.cosh(b) for b in exact[:4]] == pytest.approx([-1.0] * 4, abs=2e-3)


def test_free_free():
    # R. D. Blevins, as above, both ends free: 4.73004074, 7.85320462, 10.9956079; from memory.
    # The two ways in which a free bar is loose come first, at 0.
    found = wave_numbers(Beam((rod(1.0, 0.02),)), 1.0, 5, elements=120)
    assert found[:2] == pytest.approx([0.0, 0.0], abs=0.02)
    assert found[2:] == pytest.approx([4.730041, 7.853205, 10.995608], rel=2e-7)
    assert found[2:] == pytest.approx([4.73, 7.853, 10.996], rel=4e-5)


def test_pinned_pinned_is_exact_multiples_of_pi():
    found = wave_numbers(Beam((rod(1.0, 0.02),), (Support(0.0), Support(1.0))), 1.0, 3, 80)
    assert found == pytest.approx([math.pi, 2 * math.pi, 3 * math.pi], rel=1e-6)


@pytest.mark.parametrize(
    ("mass_ratio", "exact", "lumped"),
    [(0.0, 3.51602, 3.56753), (1.0, 1.55730, 1.55812), (10.0, 0.54138, 0.54138)],
)
def test_cantilever_with_end_mass(mass_ratio, exact, lumped):
    # Rao, Mechanical Vibrations (from memory): omega = k sqrt(EI/(m L^4)); a share 33/140 of the
    # beam's mass added to the end mass gives the lumped figure, a bound from above.
    s = rod(1.0, 0.02)
    disc = (Disc(1.0, mass_ratio * s.mass_kg_m),) if mass_ratio else ()
    found = natural_frequencies_rad_s(Beam((s,), (CLAMP,), disc), 1)[0]
    k = found / math.sqrt(s.stiffness_n_m2 / s.mass_kg_m)
    assert k == pytest.approx(exact, abs=6e-6)
    assert math.sqrt(3.0 / (mass_ratio + 33.0 / 140.0)) == pytest.approx(lumped, abs=6e-6)
    assert k <= lumped + 1e-5


def test_cantilever_of_300_mm_with_100_kg():
    # Khurmi & Gupta, Theory of Machines ch. 23: Ø50 x 300 mm, 100 kg, 200 GPa: 41 Hz transverse;
    # from memory. (Its axial 575 Hz is no whirling and not modelled.)
    beam = Beam((rod(0.3, 0.05, heavy=False),), (CLAMP,), (Disc(0.3, 100.0),))
    assert hz(natural_frequencies_rad_s(beam, 1)[0]) == pytest.approx(41.556, abs=5e-4)
    assert hz(critical_speeds_rad_s(beam, 1)[0]) == pytest.approx(41.556, abs=5e-4)


def test_pinned_shaft_with_90_kg():
    # Khurmi & Gupta, Theory of Machines ch. 23: 0.75 m, Ø50, 90 kg at 0.25 m: 49.85 Hz;
    # from memory.
    beam = Beam((rod(0.75, 0.05, heavy=False),), (Support(0.0), Support(0.75)), (Disc(0.25, 90.0),))
    assert hz(critical_speeds_rad_s(beam, 1)[0]) == pytest.approx(49.868, abs=5e-4)
    assert hz(critical_speeds_rad_s(beam, 1)[0]) == pytest.approx(49.85, rel=5e-4)


def test_pinned_shaft_with_three_loads():
    # Khurmi & Gupta, Theory of Machines ch. 23: 3 m, Ø50; 1000, 1500, 750 N at 1, 2, 2.5 m: 3.5 Hz
    # by Dunkerley's rule, a bound from below (3.505); the exact solution is 3.634 Hz. From memory.
    loads = ((1.0, 1000.0), (2.0, 1500.0), (2.5, 750.0))
    beam = Beam(
        (rod(3.0, 0.05, heavy=False),),
        (Support(0.0), Support(3.0)),
        tuple(Disc(x, w / 9.81) for x, w in loads),
    )
    exact = hz(critical_speeds_rad_s(beam, 1)[0])
    ei = STEEL_E * second_moment(0.05)
    sags = (w * x**2 * (3.0 - x) ** 2 / (3.0 * ei * 3.0) for x, w in loads)
    dunkerley = hz(math.sqrt(9.81 / sum(sags)))
    assert exact == pytest.approx(3.634, abs=5e-4)
    assert dunkerley == pytest.approx(3.505, abs=5e-4)
    assert dunkerley < exact


def test_stepped_shaft():
    # Ugural, Mechanical Design, Ex. 9.6: I in the outer quarters and 2 I between, W 400 N in the
    # middle, L 1 m, I 0.3e-6 m4: sag 3 W L^3 / (256 E I); with 200 GPa 56.397 Hz = 3383.8 rpm.
    ei = 200e9 * 0.3e-6
    stretches = (
        Stretch(0.0, 0.25, ei, 0.0),
        Stretch(0.25, 0.75, 2.0 * ei, 0.0),
        Stretch(0.75, 1.0, ei, 0.0),
    )
    beam = Beam(stretches, (Support(0.0), Support(1.0)), (Disc(0.5, 400.0 / 9.81),))
    found = critical_speeds_rad_s(beam, 1)[0]
    assert found == pytest.approx(math.sqrt(9.81 / (3.0 * 400.0 / (256.0 * ei))), rel=1e-9)
    assert hz(found) == pytest.approx(56.397, abs=5e-4)
    assert 60.0 * hz(found) == pytest.approx(3383.8, abs=0.05)


def test_overhang_beyond_two_bearings():
    # Beam tables (from memory): a load at the end of an overhang c beyond a span a is met with
    # stiffness 3 E I / (c^2 (a + c)).
    a, c, mass = 0.06, 0.12, 0.02
    beam = Beam((rod(a + c, 0.005, heavy=False),), (Support(0.0), Support(a)), (Disc(a + c, mass),))
    k = 3.0 * STEEL_E * second_moment(0.005) / (c**2 * (a + c))
    assert critical_speeds_rad_s(beam, 1)[0] == pytest.approx(math.sqrt(k / mass), rel=1e-9)


def test_disc_on_a_cantilever_whirls_as_the_two_by_two_problem_says():
    # Den Hartog, Mechanical Vibrations (from memory): deflection and slope of the free end, the
    # disc's rotary inertia in forward whirl its diametral less its polar moment.
    length, d = 0.2, 0.01
    ei, mass, diametral, polar = STEEL_E * second_moment(d), 0.5, 4e-4, 8e-4
    beam = Beam((rod(length, d, heavy=False),), (CLAMP,), (Disc(length, mass, diametral, polar),))
    k11, k12, k22 = 12 * ei / length**3, -6 * ei / length**2, 4 * ei / length
    j = diametral - polar
    # (k11 - w2 m)(k22 - w2 j) - k12^2 = 0, of which one root w2 is positive as j is negative
    a, b, c = mass * j, -(k11 * j + k22 * mass), k11 * k22 - k12**2
    roots = [(-b + s * math.sqrt(b * b - 4 * a * c)) / (2 * a) for s in (1.0, -1.0)]
    expected = math.sqrt(max(roots))
    found = critical_speeds_rad_s(beam, 3)
    assert found == pytest.approx([expected], rel=1e-9)
    still = natural_frequencies_rad_s(beam, 1)[0]
    plain = critical_speeds_rad_s(Beam(beam.stretches, (CLAMP,), (Disc(length, mass),)), 1)[0]
    assert still < plain < found[0]


def test_stiff_rod_on_two_springs():
    # A rigid uniform rod on equal springs at its ends: w1^2 = 2 k / m and w2^2 = 6 k / m.
    k, length, mass = 5e3, 0.1, 0.05
    beam = Beam((Stretch(0.0, length, 1e5, mass / length),), (Support(0.0, k), Support(length, k)))
    expected = [math.sqrt(2 * k / mass), math.sqrt(6 * k / mass)]
    assert natural_frequencies_rad_s(beam, 2) == pytest.approx(expected, rel=2e-5)


def test_converges_with_the_fourth_power_of_the_element():
    exact = 4.69409113297417**2
    errors = []
    for elements in (4, 8, 16):
        s = rod(1.0, 0.02)
        w = natural_frequencies_rad_s(Beam((s,), (CLAMP,)), 2, elements)[1]
        errors.append(w / math.sqrt(s.stiffness_n_m2 / s.mass_kg_m) / exact - 1.0)
    assert all(e > 0.0 for e in errors)
    assert errors[0] / errors[1] == pytest.approx(16.0, rel=0.1)
    assert errors[1] / errors[2] == pytest.approx(16.0, rel=0.05)
