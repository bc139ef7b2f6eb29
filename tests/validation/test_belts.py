"""Open, crossed and quarter-turn bands against textbooks and handbooks.

Each published figure stands beside ours; where a book rounds, sums a short series or is wrong,
the exact value is tested and the difference explained.
"""

import math

import pytest

from wheelgeo.geometry.path import Path, PitchCircle, solve_path

Z, Y = (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)


def two_pulleys(d1: float, d2: float, distance: float, crossed: bool = False) -> Path:
    """Two pulleys on parallel shafts in one plane, by their diameters."""
    return solve_path(
        [
            PitchCircle("first", (0.0, 0.0, 0.0), Z, d1 / 2.0, 1),
            PitchCircle("second", (distance, 0.0, 0.0), Z, d2 / 2.0, -1 if crossed else 1),
        ]
    )


# R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, solutions manual,
# chapter 17, p. 425: flat belt, D = 18 in, d = 6 in, C = 96 in.


def test_shigley_open_flat_belt():
    path = two_pulleys(18.0, 6.0, 96.0)
    large, small = (math.radians(w) for w in path.wraps_deg)
    assert small == pytest.approx(3.016511, abs=5e-7)
    assert large == pytest.approx(3.266674, abs=5e-7)
    # printed 230.074 in; exact 230.07423
    assert path.length_mm == pytest.approx(230.074, abs=5e-4)
    assert path.length_mm == pytest.approx(230.07423, abs=5e-6)


# R. L. Mott, Machine Elements in Mechanical Design, 4th ed., example 7-1, p. 279: V-belt,
# D = 21.1 in, d = 12.4 in, C = 24 in, L = 101.4 in.


def test_mott_vee_belt():
    path = two_pulleys(21.1, 12.4, 24.0)
    assert path.length_mm == pytest.approx(101.4, abs=0.05)
    assert path.length_mm == pytest.approx(101.412, abs=5e-4)
    # the book's formula ends its series early, and takes 1.57 for half of pi
    by_the_book = 2 * 24 + 1.57 * (21.1 + 12.4) + (21.1 - 12.4) ** 2 / (4 * 24)
    assert by_the_book == pytest.approx(101.383, abs=5e-4)
    assert abs(by_the_book - path.length_mm) / path.length_mm < 3e-4


# D. S. Tayal, Engineering Mechanics, example 7.1: open, 24 and 12 cm, C = 30 cm (inputs are the
# book's, the figures those of a worked copy of it).


def test_tayal_open_belt():
    path = two_pulleys(24.0, 12.0, 30.0)
    assert path.wraps_deg == pytest.approx((203.0739, 156.9261), abs=5e-5)
    # Published 117.748668 cm: pi (r1 + r2) + 2 C + (r1 - r2)^2 / C, a series cut after one term.
    series = math.pi * 18 + 60 + 36 / 30
    assert series == pytest.approx(117.748668, abs=5e-7)
    assert path.length_mm == pytest.approx(117.75272, abs=5e-6)


# The same, example 7.2: crossed, 0.6 and 0.3 m, C = 3.5 m.


def test_tayal_crossed_belt_published_with_the_formula_of_an_open_one():
    path = two_pulleys(0.6, 0.3, 3.5, crossed=True)
    assert path.wraps_deg == pytest.approx((194.774097, 194.774097), abs=5e-7)
    # Published 8.420145 m: that is the series of an OPEN belt, (r1 - r2)^2 / C. A crossed belt has
    # (r1 + r2)^2 / C, and is 5 cm longer.
    published = math.pi * 0.45 + 7.0 + 0.15**2 / 3.5
    assert published == pytest.approx(8.420145, abs=5e-7)
    assert path.length_mm == pytest.approx(8.471654, abs=5e-7)
    crossed_series = math.pi * 0.45 + 7.0 + 0.45**2 / 3.5
    assert path.length_mm == pytest.approx(crossed_series, rel=1e-5)


# R. S. Khurmi and J. K. Gupta, Theory of Machines, chapter 11: crossed, 450 and 200 mm,
# C = 1.95 m; printed answers 4.975 m and 3.477 rad from memory.


def test_khurmi_crossed_belt():
    path = two_pulleys(0.450, 0.200, 1.95, crossed=True)
    assert path.length_mm == pytest.approx(4.975, abs=5e-4)
    assert path.length_mm == pytest.approx(4.97531, abs=5e-6)
    for wrap in path.wraps_deg:
        assert wrap == pytest.approx(199.188, abs=5e-4)
        # printed 3.477 rad: the last digit is rounded up twice; exact 3.47649
        assert math.radians(wrap) == pytest.approx(3.47649, abs=5e-6)
        assert math.radians(wrap) == pytest.approx(3.477, abs=1e-3)


# The same, example 11.3, p. 337: stepped pulleys, crossed belt, r1 = 40 mm, the driver at
# 160 rpm, the driven shaft at 60, 80 and 100 rpm.

STEPS = ((40.0, 106.7, 60.0), (48.9, 97.8, 80.0), (56.4, 90.3, 100.0))
EXACT_STEPS = ((40.0, 106.667), (48.889, 97.778), (56.410, 90.256))


def test_khurmi_stepped_pulleys_take_one_crossed_belt():
    lengths = [two_pulleys(2 * r, 2 * s, 720.0, crossed=True).length_mm for r, s in EXACT_STEPS]
    assert lengths == pytest.approx([lengths[0]] * 3, abs=0.01)
    # each side is a tangent to a circle of r1 + r2 round the other centre: the sum alone counts
    for (r, s, speed), (exact_r, exact_s) in zip(STEPS, EXACT_STEPS, strict=True):
        assert 160.0 * r / s == pytest.approx(speed, abs=0.1)
        assert (r, s) == pytest.approx((exact_r, exact_s), abs=0.05)
        assert exact_r + exact_s == pytest.approx(40.0 + 40.0 * 160.0 / 60.0, abs=2e-3)
    opened = [two_pulleys(2 * r, 2 * s, 720.0).length_mm for r, s in EXACT_STEPS]
    assert max(opened) - min(opened) > 1.0  # an open belt would not do


# Law of belting (Shop Practice, vol. 2, quarter-twist belt; Encyclopaedia Britannica, 11th ed.,
# vol. 17, section 59): the belt must arrive in the mid-plane of the pulley it comes to. The exact
# length is derived: each side is a tangent from a point of one pulley to the other pulley, in
# that pulley's plane, and as long as the shafts are apart.


def quarter_turn(r1: float, r2: float, distance: float, turning: int = -1) -> Path:
    """Shafts at 90 degrees, placed so that the band arrives true when turning as given."""
    return solve_path(
        [
            PitchCircle("first", (0.0, 0.0, r2), Z, r1, turning),
            PitchCircle("second", (distance, r1, 0.0), Y, r2, turning),
        ]
    )


@pytest.mark.parametrize(
    ("r1", "r2", "distance", "length", "leaving_1", "leaving_2"),
    [
        (250.0, 25.0, 600.0, 2263.415669, 4.772, 45.240),
        (150.0, 150.0, 900.0, 2841.567003, 18.925, 18.925),
    ],
)
def test_quarter_turn_exact(r1, r2, distance, length, leaving_1, leaving_2):
    path = quarter_turn(r1, r2, distance)
    wraps = [math.pi + 2.0 * math.atan(r / distance) for r in (r1, r2)]
    assert [math.radians(w) for w in path.wraps_deg] == pytest.approx(wraps, abs=1e-12)
    assert [r.length_mm for r in path.runs] == pytest.approx([distance] * 2, rel=1e-13)
    exact = 2.0 * distance + r1 * wraps[0] + r2 * wraps[1]
    assert path.length_mm == pytest.approx(exact, rel=1e-13)
    assert path.length_mm == pytest.approx(length, abs=5e-7)
    assert [abs(path.leaving_deg(i)) for i in (0, 1)] == pytest.approx(
        [leaving_1, leaving_2], abs=5e-4
    )
    assert abs(path.leaving_deg(0)) == pytest.approx(math.degrees(2.0 * math.atan(r2 / distance)))
    assert abs(path.leaving_deg(1)) == pytest.approx(math.degrees(2.0 * math.atan(r1 / distance)))
    assert [path.arriving_deg(i) for i in (0, 1)] == pytest.approx([0.0, 0.0], abs=1e-12)


@pytest.mark.parametrize(
    ("r1", "r2", "distance", "by_roots", "by_squares"),
    [(250.0, 25.0, 600.0, -0.0072, 0.0048), (150.0, 150.0, 900.0, -0.00061, 0.00032)],
)
def test_quarter_turn_rules_of_thumb_differ_by(r1, r2, distance, by_roots, by_squares):
    """Two approximate forms, from memory; no printed source was found."""
    exact = quarter_turn(r1, r2, distance).length_mm
    arcs = math.pi * (r1 + r2)
    roots = arcs + math.hypot(distance, 2 * r1) + math.hypot(distance, 2 * r2)
    squares = arcs + 2 * distance + (4 * r1**2 + 4 * r2**2) / (2 * distance)
    assert roots / exact - 1.0 == pytest.approx(by_roots, abs=5e-5)
    assert squares / exact - 1.0 == pytest.approx(by_squares, abs=5e-5)


def test_quarter_turn_turned_backwards_arrives_out_of_plane():
    """One direction only: turned the other way, the band arrives at the angle it left at."""
    there, back = quarter_turn(60.0, 20.0, 300.0), quarter_turn(60.0, 20.0, 300.0, turning=1)
    assert max(abs(there.arriving_deg(i)) for i in (0, 1)) < 1e-12
    thrown = [math.degrees(2.0 * math.atan(r / 300.0)) for r in (20.0, 60.0)]
    assert [abs(back.arriving_deg(i)) for i in (0, 1)] == pytest.approx(thrown, abs=1e-9)
    assert max(abs(back.leaving_deg(i)) for i in (0, 1)) < 1e-12
    assert back.length_mm == pytest.approx(there.length_mm, rel=1e-13)


def test_lead_off_of_25_degrees_wants_4_51_times_the_larger_radius():
    """The limit of 25 degrees is from memory; the distance follows from it."""
    distance = 4.5107 * 80.0
    path = quarter_turn(80.0, 30.0, distance)
    assert max(abs(path.leaving_deg(i)) for i in (0, 1)) == pytest.approx(25.0, abs=1e-3)
