"""Eight old wheels from measurements to band, ratio and +-, by the textbooks' own formulas.

Sources: exact length of open and crossed belts, Encyclopaedia Britannica, 11th ed., vol. 17; seat
of a cord in a vee, and speeds of bobbin and flyer where one is braked, by plane geometry, worked
out here anew; parts of an uncertainty add by their squares, JCGM 100:2008, 5.1.2. The quarter turn
is solved by another method, a general root finder on the conditions of tangency.
"""

import math
import re

import numpy as np
import pytest
from scipy.optimize import fsolve

import wheelgeo

IN = 25.4
TAPE = 3.0


def seat_mm(rim, depth, cord, angle=60.0, bottom=0.0):
    """Pitch radius of a cord in a vee."""
    half = math.radians(angle / 2)
    above = cord / 2 / math.sin(half) - bottom / 2 / math.tan(half)
    return rim / 2 - depth + max(above, cord / 2)


def belt_mm(r1, r2, apart, crossed=False):
    reach = r1 + r2 if crossed else r1 - r2
    lean = math.asin(reach / apart)
    arcs = (math.pi + 2 * lean) * reach if crossed else math.pi * (r1 + r2) + 2 * lean * reach
    return 2 * math.sqrt(apart**2 - reach**2) + arcs


def spread(of, values, halves):
    """Half width of a result: each value moved by its half width both ways, parts in squares."""
    parts = []
    for name, half in halves.items():
        up, down = (of(**{**values, name: values[name] + s * half}) for s in (1, -1))
        parts.append((up - down) / 2)
    return math.hypot(*parts)


def texts(values, halves):
    return {key: f"{value} +- {halves[key]} mm" for key, value in values.items()}


def held(found, ratio, length, values, halves):
    """Ratio and length, and both uncertainties, by the formulas."""
    (band,) = found.bands
    assert found.ratio == pytest.approx(ratio(**values), rel=1e-6)
    assert band.length_mm == pytest.approx(length(**values), abs=1e-3)
    assert found.ratio_uncertainty == pytest.approx(spread(ratio, values, halves), rel=1e-4)
    assert band.length_uncertainty_mm == pytest.approx(spread(length, values, halves), rel=1e-4)
    cut = band.length_mm / (1 + band.stretch)
    assert band.cut_length_mm == pytest.approx(cut, rel=1e-12)
    by_stretch = band.length_mm * (1 / 1.01 - 1 / 1.03) / 2  # cotton, 1 to 3 %
    both = math.hypot(spread(length, values, halves) / 1.02, by_stretch)
    assert band.cut_length_uncertainty_mm == pytest.approx(both, rel=1e-3)


def test_a_great_wheel_with_girths():
    """A rim of a metre and more is measured by a thread, and so is the whorl."""
    values = {"girth": 3400.0, "whorl_girth": 72.0, "apart": 950.0, "cord": 2.5}
    halves = {"girth": 5.0, "whorl_girth": 1.0, "apart": 5.0, "cord": 0.2}

    def radii(girth, whorl_girth, cord, **_):
        return (g / math.tau + cord / 2 for g in (girth, whorl_girth))

    def ratio(**v):
        first, second = radii(**v)
        return first / second

    told = texts(values, halves)
    found = wheelgeo.old_wheel(**{**told, "cord": told["cord"] + " cotton cord"})
    held(found.answer, ratio, lambda **v: belt_mm(*radii(**v), v["apart"]), values, halves)


def test_a_double_drive():
    values = {"wheel": 520.0, "groove": 6.0, "whorl": 72.0, "whorl_groove": 5.0, "double": 60.0,
              "apart": 480.0, "cord": 3.0}  # fmt: skip
    halves = {"wheel": TAPE, "groove": 0.5, "whorl": 0.5, "whorl_groove": 0.5, "double": 0.5,
              "apart": TAPE, "cord": 0.15}  # fmt: skip

    def radii(wheel, groove, whorl, whorl_groove, double, cord, **_):
        small = (seat_mm(rim, whorl_groove, cord) for rim in (whorl, double))
        return (seat_mm(wheel, groove, cord), *small)

    def ratio(**v):
        big, flyer, _ = radii(**v)
        return big / flyer

    def length(**v):
        big, flyer, bobbin = radii(**v)
        return belt_mm(big, flyer, v["apart"]) + belt_mm(big, bobbin, v["apart"])

    told = texts(values, halves)
    found = wheelgeo.old_wheel(**{**told, "cord": told["cord"] + " cotton cord"}).answer
    assert found.ratio == pytest.approx(ratio(**values), rel=1e-9)
    # The band goes over to the other groove and back: by s^2 / 2L longer in each of two runs.
    assert found.bands[0].length_mm == pytest.approx(length(**values), abs=0.6)
    assert found.ratio_uncertainty == pytest.approx(spread(ratio, values, halves), rel=1e-6)
    half = spread(length, values, halves)
    assert found.bands[0].length_uncertainty_mm == pytest.approx(half, rel=2e-3)


def test_a_crossed_band():
    values = {"wheel": 500.0, "groove": 6.0, "whorl": 45.0, "whorl_groove": 5.0, "apart": 470.0,
              "cord": 3.0}  # fmt: skip
    halves = {"wheel": TAPE, "groove": 0.5, "whorl": 0.5, "whorl_groove": 0.5, "apart": TAPE,
              "cord": 0.15}  # fmt: skip

    def radii(wheel, groove, whorl, whorl_groove, cord, **_):
        return seat_mm(wheel, groove, cord), seat_mm(whorl, whorl_groove, cord)

    def ratio(**v):
        first, second = radii(**v)
        return first / second

    told = texts(values, halves)
    found = wheelgeo.old_wheel(**{**told, "cord": told["cord"] + " cotton cord"}, crossed=True)
    length = lambda **v: belt_mm(*radii(**v), v["apart"], crossed=True)  # noqa: E731
    held(found.answer, ratio, length, values, halves)


BRAKED = {
    "braked-bobbin-wheel": ("rim", "flyer whorl"),
    "braked-flyer-wheel": None,
}


@pytest.mark.parametrize("name", sorted(BRAKED))
def test_a_braked_bobbin_and_a_braked_flyer(name):
    """The yarn that is let in sets how far bobbin and flyer part: take_in / (pi d) of a turn."""
    wheel = wheelgeo.load(f"designs/{name}.toml")
    route = wheel.design.bands[0].route
    big, small = (stop.pulley for stop in route)
    halves = {f"{big}.rim": TAPE, f"{small}.rim": 0.5, "bobbin.empty": 1.0}
    values = {key: wheel.get(key) for key in halves}
    measured = wheel.put({key: f"{values[key]} +- {half} mm" for key, half in halves.items()})
    cord, slip = wheel.design.bands[0].diameter_mm, wheel.design.bands[0].slip or 0.0
    take_in = 1000.0 / wheel.get("yarn.turns_per_metre")

    def ratio(**v):
        radii = (
            seat_mm(v[f"{p}.rim"], wheel.get(f"{p}.depth"), cord, wheel.get(f"{p}.angle"),
                    wheel.get(f"{p}.bottom"))
            for p in (big, small)
        )  # fmt: skip
        first, second = radii
        driven = first / second * (1.0 - slip)
        share = 1.0 / (1.0 + take_in / (math.pi * v["bobbin.empty"]))
        return driven if name == "braked-bobbin-wheel" else driven * share

    found = measured.solve()
    assert found.ratio == pytest.approx(ratio(**values), rel=1e-9)
    assert found.ratio_uncertainty == pytest.approx(spread(ratio, values, halves), rel=1e-6)
    assert found.bands[0].length_uncertainty_mm > math.pi / 2 * 2.5  # half the rim's girth at least


FRAME = """
title = "Old wheel"
drive = { shaft = "axle", by = "treadle", speed = "60 rpm", turns = "clockwise" }
spindle = { shaft = "spindle", kind = "tip" }
"""


def wheel_of(text):
    """Read a file whose inline tables go over several lines, which TOML does not allow."""
    return wheelgeo.read(re.sub(r",\n\s+(?=\w+ = )", ", ", FRAME + text))


CORD = 'material = "cotton cord", diameter = 3 }'


def test_an_accelerator_head():
    """Two bands, one after the other: the ratio is the product, each band has its own +-."""
    wheel = wheel_of(
        f"""
        shaft = [
          {{ name = "axle", at = [0, 0, 0], axis = [0, 1, 0], diameter = 20 }},
          {{ name = "counter", at = ["700 +- 4 mm", 0, 0], axis = [0, 1, 0], diameter = 8 }},
          {{ name = "spindle", at = ["700 +- 4 mm", 0, "130 +- 1 mm"], axis = [0, 1, 0],
             diameter = 6 }},
        ]
        pulley = [
          {{ name = "wheel", shaft = "axle", offset = 0, pitch = "1000 +- 5 mm" }},
          {{ name = "small", shaft = "counter", offset = 0, pitch = "40 +- 0.5 mm" }},
          {{ name = "large", shaft = "counter", offset = 20, pitch = "120 +- 1 mm" }},
          {{ name = "whorl", shaft = "spindle", offset = 20, pitch = "20 +- 0.5 mm" }},
        ]
        band = [
          {{ name = "first", route = ["wheel", "small"], {CORD},
          {{ name = "second", route = ["large", "whorl"], {CORD},
        ]
        """
    )
    values = {"wheel": 1000.0, "small": 40.0, "large": 120.0, "whorl": 20.0}
    halves = {"wheel": 5.0, "small": 0.5, "large": 1.0, "whorl": 0.5}
    found = wheel.solve()

    def ratio(wheel, small, large, whorl):
        return wheel / small * large / whorl

    assert found.ratio == pytest.approx(150.0)
    assert found.ratio_uncertainty == pytest.approx(spread(ratio, values, halves), rel=1e-9)
    first, second = found.bands
    assert first.length_mm == pytest.approx(belt_mm(500, 20, 700), abs=1e-6)
    half = spread(
        lambda wheel, small, apart: belt_mm(wheel / 2, small / 2, apart),
        {"wheel": 1000.0, "small": 40.0, "apart": 700.0},
        {"wheel": 5.0, "small": 0.5, "apart": 4.0},
    )
    assert first.length_uncertainty_mm == pytest.approx(half, rel=1e-6)
    assert second.length_mm == pytest.approx(belt_mm(60, 10, 130), abs=1e-6)
    # That both shafts of the head are off sideways by 4 mm lies across this band: second order.
    half = spread(
        lambda large, whorl, apart: belt_mm(large / 2, whorl / 2, apart),
        {"large": 120.0, "whorl": 20.0, "apart": 130.0},
        {"large": 1.0, "whorl": 0.5, "apart": 1.0},
    )
    assert second.length_uncertainty_mm == pytest.approx(half, rel=1e-4)


def quarter_mm(big, small, apart):
    """Return wheel, whorl and what solves for a run from the one to the other.

    The axle lies along y at the origin, the spindle stands along z at a distance along x.
    """
    def point(centre, u, v, radius, angle):
        return centre + radius * (math.cos(angle) * u + math.sin(angle) * v)

    x, y, z = np.eye(3)
    first, second = np.zeros(3), np.array([apart, small, -big])
    # The wheel turns from z towards x (about +y), the whorl from x towards y (about +z).
    wheel, whorl = (first, z, x, big), (second, x, y, small)

    def run(leaves, arrives, start):
        def off(angles):
            p, q = point(*leaves, angles[0]), point(*arrives, angles[1])
            return [(q - p) @ (p - leaves[0]), (q - p) @ (q - arrives[0])]

        angles, _, ok, _ = fsolve(off, start, full_output=True, xtol=1e-13)
        assert ok == 1
        p, q = point(*leaves, angles[0]), point(*arrives, angles[1])
        along = (q - p) / np.linalg.norm(q - p)
        for (_, u, v, _), t in ((leaves, angles[0]), (arrives, angles[1])):
            assert along @ (-math.sin(t) * u + math.cos(t) * v) > 0.0  # with the travel
        return angles, float(np.linalg.norm(q - p))

    return wheel, whorl, run


def test_a_quarter_turn():
    big, small, apart = 250.0, 30.0, 600.0
    halves = {"wheel": 3.0, "whorl": 0.5, "apart": 4.0}
    text = f"""
        shaft = [
          {{ name = "axle", at = [0, 0, 0], axis = [0, 1, 0], diameter = 20 }},
          {{ name = "spindle", at = ["{apart} +- 4 mm", 30, -400], axis = [0, 0, 1],
             diameter = 8 }},
        ]
        pulley = [
          {{ name = "wheel", shaft = "axle", offset = 0, pitch = "500 +- 3 mm" }},
          {{ name = "whorl", shaft = "spindle", offset = 150, pitch = "60 +- 0.5 mm" }},
        ]
        band = [{{ name = "drive band", route = ["wheel", "whorl"], {CORD} ]
        """
    found = wheel_of(text).solve()

    def length(wheel, whorl, apart):
        one, other, run = quarter_mm(wheel / 2, whorl / 2, apart)
        # The whorl stands where the file has it, whatever the radii are.
        other = (np.array([apart, 30.0, -250.0]), *other[1:])
        best = []
        for start in np.ndindex(8, 8):
            try:
                best.append(run(one, other, [math.pi / 4 * k for k in start]))
            except AssertionError:  # another tangent than that along the travel
                continue
        (out, there), first = best[0]
        back = []
        for start in np.ndindex(8, 8):
            try:
                back.append(run(other, one, [math.pi / 4 * k for k in start]))
            except AssertionError:
                continue
        (leaves, comes), second = back[0]
        on_whorl = (leaves - there) % math.tau
        on_wheel = (out - comes) % math.tau
        return first + second + whorl / 2 * on_whorl + wheel / 2 * on_wheel

    values = {"wheel": 2 * big, "whorl": 2 * small, "apart": apart}
    assert found.ratio == pytest.approx(big / small)
    assert found.bands[0].length_mm == pytest.approx(length(**values), abs=1e-4)
    half = spread(length, values, halves)
    assert found.bands[0].length_uncertainty_mm == pytest.approx(half, rel=1e-5)
    ratio_half = spread(lambda wheel, whorl, **_: wheel / whorl, values, halves)
    assert found.ratio_uncertainty == pytest.approx(ratio_half, rel=1e-9)


def test_inch_fractions_an_unknown_distance_an_oval_rim_and_a_known_old_cord():
    """The old band tells the distance that nobody could measure."""
    wheel = wheel_of(
        """
        unit = "in"
        shaft = [
          { name = "axle", at = [0, 0, 0], axis = [0, 1, 0], diameter = "1/2" },
          { name = "spindle", at = ["18 +- 3 in", 0, 0], axis = [0, 1, 0], diameter = "3/8" },
        ]
        pulley = [
          { name = "wheel", shaft = "axle", offset = 0,
            groove = { shape = "vee", rim = "21 1/2 +- 1/4 in", depth = "1/4", angle = 60 } },
          { name = "whorl", shaft = "spindle", offset = 0,
            groove = { shape = "vee", rim = "1 3/8 +- 1/32 in", depth = "3/16", angle = 60 } },
        ]
        band = [{ name = "drive band", route = ["wheel", "whorl"], material = "cotton cord",
                  diameter = "1/8 in", stretch = "2 %" }]
        [[measured]]
        what = "drive band.length"
        is = "76 1/2 +- 1/4 in"
        """
    )
    found = wheel.measure()

    def apart(rim, whorl, length):
        r1, r2 = (seat_mm(d, g, 3.175) for d, g in ((rim, IN / 4), (whorl, 3 * IN / 16)))
        low, high = 300.0, 900.0
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if belt_mm(r1, r2, middle) < length else (low, middle)
        return low

    values = {"rim": 21.5 * IN, "whorl": 1.375 * IN, "length": 76.5 * IN}
    halves = {"rim": IN / 4, "whorl": IN / 32, "length": IN / 4}
    # What the band tells, weighted with the guess of 18 +- 3 in.
    told, half = apart(**values), spread(apart, values, halves)
    weights = 1 / half**2, 1 / (3 * IN) ** 2
    after = (told * weights[0] + 18 * IN * weights[1]) / sum(weights)
    at = next(v for v in found.values if v.name == "spindle.at.x")
    assert at.after == pytest.approx(after, abs=0.05)
    assert at.uncertainty == pytest.approx(1 / math.sqrt(sum(weights)), rel=0.02)
    assert found.bands[0].length_uncertainty_mm == pytest.approx(IN / 4, rel=0.01)
    assert found.disagree == ()
    # What the oval rim does over a turn, by the same command that measures it.
    oval = wheelgeo.old_wheel(
        wheel="21 3/4 in", least="21 1/4 in", groove="1/4 in", whorl="1 3/8 in",
        whorl_groove="3/16 in", apart=f"{told} mm", cord="1/8 in cotton cord",
    )  # fmt: skip
    low, high = oval.staying_on.length_mm
    assert 0.0 < high - low < 2.0 * IN / 2  # no more than the rim's own difference, twice
    assert low < 76.5 * IN < high
