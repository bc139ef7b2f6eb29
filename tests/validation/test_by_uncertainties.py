"""Uncertainties of old wheels against a general uncertainty package.

Reference: the Python package *uncertainties* (E. O. Lebigot), which differentiates the textbooks'
formulas exactly and keeps track of what was correlated; it knows nothing of wheels. Ours moves each
measurement by its whole half width, which takes in a part of the curve: they differ by that. Exact
length of open and crossed belts: Encyclopaedia Britannica, 11th ed., vol. 17.
"""

import math

import numpy as np
import pytest
from uncertainties import correlated_values, ufloat, umath

import wheelgeo
from wheelgeo.numbers.agreeing import COVERAGE_FACTOR

SIZES = {"wheel": (520.0, 3.0), "groove": (6.0, 0.5), "whorl": (45.0, 0.5),
         "whorl_groove": (5.0, 0.5), "apart": (480.0, 3.0), "cord": (3.0, 0.15)}  # fmt: skip
"""mm, with half widths at 95 %."""


def belt(r1, r2, apart, crossed):
    reach = r1 + r2 if crossed else r1 - r2
    lean = umath.asin(reach / apart)
    straight = 2 * umath.sqrt(apart**2 - reach**2)
    return straight + math.pi * (r1 + r2) + 2 * lean * reach


def radii(wheel, groove, whorl, whorl_groove, cord, **_):
    """Pitch radii of a cord in sharp vees of 60 degrees: its centre is one cord above the point."""
    return wheel / 2 - groove + cord, whorl / 2 - whorl_groove + cord


@pytest.mark.parametrize("crossed", [False, True])
def test_ratio_and_length_from_a_tape(crossed):
    known = {key: ufloat(*size) for key, size in SIZES.items()}
    texts = {key: f"{value} +- {half} mm" for key, (value, half) in SIZES.items()}
    found = wheelgeo.old_wheel(
        **{**texts, "cord": f"{texts['cord']} cotton cord"}, groove_shape="vee", crossed=crossed
    ).answer
    big, small = radii(**known)
    ratio, length = big / small, belt(big, small, known["apart"], crossed)
    assert found.ratio == pytest.approx(ratio.n, rel=1e-9)
    assert found.bands[0].length_mm == pytest.approx(length.n, rel=1e-9)
    # The whorl's radius is known to 4 % here: the curve of a quotient is seen in the third figure.
    assert found.ratio_uncertainty == pytest.approx(ratio.s, rel=5e-3)
    assert found.bands[0].length_uncertainty_mm == pytest.approx(length.s, rel=1e-4)


def test_a_band_that_fits_ties_the_distance_to_its_stretch():
    """Their covariance after the band was measured, through the normal equations."""
    sizes = {**SIZES, "cord": (3.0, 0.15)}
    texts = {key: f"{value} +- {half} mm" for key, (value, half) in sizes.items() if key != "apart"}
    found = wheelgeo.old_wheel(
        **{**texts, "cord": f"{texts['cord']} cotton cord"}, groove_shape="vee",
        fits="1950 +- 3 mm loop",
    )  # fmt: skip
    names = [key for key in sizes if key != "apart"]
    apart = found.apart_mm[0]
    known = {**{key: ufloat(*sizes[key]) for key in names}, "apart": ufloat(apart, apart),
             "stretch": ufloat(0.02, 0.01)}  # fmt: skip
    names += ["apart", "stretch"]
    length = belt(*radii(**known), known["apart"], False)
    cut = length / (1 + known["stretch"])
    slopes = np.array([cut.derivatives.get(known[name], 0.0) for name in names])
    before = np.diag([1 / known[name].s ** 2 for name in names])
    covariance = np.linalg.inv(before + np.outer(slopes, slopes) / 3.0**2)
    after = dict(zip(names, correlated_values([known[n].n for n in names], covariance),
                     strict=True))  # fmt: skip
    length = belt(*radii(**after), after["apart"], False)
    for band in (found.answer.bands[0], wheelgeo.read(found.wheel.to_toml()).solve().bands[0]):
        assert band.length_uncertainty_mm == pytest.approx(length.s, rel=2e-3)
        assert band.cut_length_uncertainty_mm == pytest.approx(
            (length / (1 + after["stretch"])).s, rel=2e-3
        )
    assert found.apart_mm[1] == pytest.approx(after["apart"].s, rel=0.01)


def test_measurements_adjusted_together():
    """What measure tells of the bands, from the covariance of its values alone."""
    shafts = '[{ name = "axle", at = [0, 0, 0], axis = [0, 1, 0], diameter = 12 }, ' + (
        '{ name = "spindle", at = ["480 +- 4 mm", 0, 0], axis = [0, 1, 0], diameter = 6 }]'
    )
    wheel = wheelgeo.read(f"""
title = "Old wheel"
drive = {{ shaft = "axle", by = "treadle", speed = "60 rpm", turns = "clockwise" }}
spindle = {{ shaft = "spindle", kind = "tip" }}
shaft = {shafts}
pulley = [{{ name = "wheel", shaft = "axle", offset = 0, pitch = "520 +- 3 mm" }},
          {{ name = "whorl", shaft = "spindle", offset = 0, pitch = "45 +- 0.5 mm" }}]
band = [{{ name = "band", route = ["wheel", "whorl"], material = "cotton cord", diameter = 3, stretch = 0.02 }}]
[[measured]]
what = "band.length"
is = "1960 +- 5 mm"
[[measured]]
what = "ratio"
is = "11.5 +- 0.1"
""")  # noqa: E501 - a file as it is written
    found = wheel.measure()
    at = {v.name: v.after for v in found.values}
    names = ["spindle.at.x", "wheel.pitch", "whorl.pitch"]
    known = [ufloat(at[n], half / COVERAGE_FACTOR) for n, half in zip(names, (4, 3, 0.5),
                                                                      strict=True)]  # fmt: skip
    results = belt(known[1] / 2, known[2] / 2, known[0], False), known[1] / known[2]
    rows = np.array([[r.derivatives.get(k, 0.0) for k in known] for r in results])
    weights = np.diag([(COVERAGE_FACTOR / half) ** 2 for half in (5.0, 0.1)])
    covariance = np.linalg.inv(np.diag([1 / k.s**2 for k in known]) + rows.T @ weights @ rows)
    apart, big, small = correlated_values([k.n for k in known], covariance)
    length, ratio = belt(big / 2, small / 2, apart, False), big / small
    assert found.bands[0].length_uncertainty_mm == pytest.approx(
        COVERAGE_FACTOR * length.s, rel=1e-5
    )
    assert found.ratio_uncertainty == pytest.approx(COVERAGE_FACTOR * ratio.s, rel=1e-5)
    for value, known_after in zip((at[n] for n in names), (apart, big, small), strict=True):
        mine = next(v for v in found.values if v.after == value)
        assert mine.uncertainty == pytest.approx(COVERAGE_FACTOR * known_after.s, rel=1e-5)
