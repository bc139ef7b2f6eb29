"""Belt friction, power and creep against textbooks; each source stands beside its check."""

import math

import pytest

from wheelgeo.drive.belt import (
    BandLink,
    carry,
    centrifugal_n,
    creep,
    force_at_slip_n,
    tension_ratio,
)
from wheelgeo.drive.statics import margin_at
from wheelgeo.geometry.path import PitchCircle, solve_path

LBF, INCH, FOOT, HP = 4.4482216152605, 0.0254, 0.3048, 745.69987158227022


def power_w(tight_n, ratio, speed_m_s):
    """Power of a belt at the point of slipping whose tight pull is known."""
    return tight_n * (1.0 - 1.0 / ratio) * speed_m_s


def test_160_degrees_at_10_m_s():
    # Khurmi & Gupta, Theory of Machines ch. 11, exercise 3: 3.983 kW. The book rounds the wrap to
    # 2.8 rad; with 160 degrees exactly it is 3.971 kW.
    exact = power_w(700.0, tension_ratio(0.3, math.radians(160.0), math), 10.0)
    assert exact == pytest.approx(3971.0, abs=0.5)
    assert exact == pytest.approx(3983.0, rel=4e-3)
    rounded = power_w(700.0, tension_ratio(0.3, 2.8, math), 10.0)
    assert rounded == pytest.approx(3983.0, abs=5.0)


def test_crossed_drive_450_and_200():
    # Khurmi & Gupta, Theory of Machines ch. 11: 450 and 200 mm, 1.95 m apart, crossed, 200 rpm,
    # friction 0.25, tight side 1 kN: 199.188 degrees, 2.74 kW; answers from memory.
    axis = (0.0, 0.0, 1.0)
    path = solve_path(
        [
            PitchCircle("a", (0.0, 0.0, 0.0), axis, 225.0, 1),
            PitchCircle("b", (1950.0, 0.0, 0.0), axis, 100.0, -1),
        ]
    )
    assert path.wraps_deg[0] == pytest.approx(199.188, abs=5e-4)
    ratio = tension_ratio(0.25, math.radians(path.wraps_deg[0]), math)
    speed = math.pi * 0.45 * 200.0 / 60.0
    assert speed == pytest.approx(4.7124, abs=5e-5)
    assert 1000.0 / ratio == pytest.approx(419.32, abs=5e-3)
    assert power_w(1000.0, ratio, speed) == pytest.approx(2736.4, abs=0.1)


def test_flat_belt_with_centrifugal_pull():
    # Budynas & Nisbett, Shigley's Mechanical Engineering Design, solutions ch. 17, p. 425: f 0.8,
    # wrap 3.016511, 100 lbf/in allowed, Cp 0.7, 0.042 lbf/in3, 0.13 in thick, 2749 ft/min,
    # 20.6 hp: exp(f theta) = 11.17, width 4.13 in.
    ratio = tension_ratio(0.8, 3.016511, math)
    assert ratio == pytest.approx(11.17, abs=5e-3)
    speed = 2749.0 * FOOT / 60.0
    force = 20.6 * HP / speed
    density = 0.042 * LBF / 9.80665 / INCH**3
    as_round_mm = math.sqrt(4.0 / math.pi * INCH * 0.13 * INCH) * 1e3
    own_per_inch = centrifugal_n(density, as_round_mm, speed)
    allowed_per_inch = 100.0 * 0.7 * LBF
    width_in = force / ((allowed_per_inch - own_per_inch) * (1.0 - 1.0 / ratio))
    assert width_in == pytest.approx(4.1325, abs=1e-4)


def test_belt_of_7500_watts():
    # Khurmi & Gupta, Theory of Machines ch. 11, exercise 4: 7.5 kW, 0.3 m, 1600 rpm, 210 degrees,
    # friction 0.22, 8 N per mm: ratio 2.2396, difference 298.44 N (rounded by the book).
    ratio = tension_ratio(0.22, math.radians(210.0), math)
    difference = 7500.0 / (math.pi * 0.3 * 1600.0 / 60.0)
    assert ratio == pytest.approx(2.2397, abs=5e-5)
    assert ratio == pytest.approx(2.2396, abs=2e-4)
    assert difference == pytest.approx(298.416, abs=5e-4)
    assert difference == pytest.approx(298.44, rel=1e-4)
    assert difference * ratio / (ratio - 1.0) / 8.0 == pytest.approx(67.39, abs=5e-3)


def test_constant_of_the_common_logarithm():
    # D. A. Low, 1908, ch. 11: log10(T1/T2) = 0.00758 mu n, n in degrees.
    ratio = tension_ratio(1.0, math.radians(1.0), math)
    assert math.log10(ratio) == pytest.approx(0.00757987, abs=5e-9)
    assert math.log10(ratio) == pytest.approx(0.00758, abs=5e-6)


def test_creep_of_an_elastic_belt():
    # The case of Khurmi & Gupta, Theory of Machines, Ex. 11.2: 1 m drives 2.25 m at 200 rpm,
    # stresses 1.4 and 0.5 MPa, modulus 100 MPa. What is printed there is not known for sure (one
    # copy has a loss of 0.012 rpm, another about 0.2), so that it is no check. Worked by hand: the
    # same mass passes everywhere, so that speeds go as 1 + stress/modulus: 200/2.25 x 0.9/101.4.
    ideal = 200.0 / 2.25
    assert ideal * creep(100.0, 1.4, 0.5) == pytest.approx(ideal * 0.9 / 101.4, rel=1e-12)
    assert ideal * creep(100.0, 1.4, 0.5) == pytest.approx(0.789, abs=5e-4)


def test_force_at_slip_meets_the_belt_equation():
    ratio, net = 3.0, 10.0
    force = force_at_slip_n(net, ratio)
    assert (net + force / 2.0) / (net - force / 2.0) == pytest.approx(ratio, rel=1e-14)
    assert margin_at(net, ratio, force / 2.0, -force / 2.0) == pytest.approx(1.0, rel=1e-14)
    assert force_at_slip_n(-1.0, ratio) == 0.0


def test_chain_carries_torques_back():
    chain = [
        BandLink(50.0, 5.0, 8.0, 2.0, 10.0, 1.0, 0.01),
        BandLink(30.0, 6.0, 8.0, 3.0, 5.0, 0.0, 0.002),
    ]
    carried, hand = carry(chain)
    last = 0.002 / 0.006
    assert carried[1].force_n == pytest.approx(last, rel=1e-15)
    first = (last * 0.030 + 0.01) / 0.005
    assert carried[0].force_n == pytest.approx(first, rel=1e-15)
    assert hand == pytest.approx(first * 0.050, rel=1e-15)
    assert carried[0].driven_margin == pytest.approx(2.0 * 9.0 / 3.0 / first, rel=1e-14)
    assert carried[0].driver_margin > carried[0].driven_margin
