"""Pull of bands at rest and under load: balances of forces, and what they must not depend on."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelgeo.design.material import Figure, Material
from wheelgeo.design.materials import find_material
from wheelgeo.design.model import Slide, Tensioner
from wheelgeo.drive.running import load_wheel
from wheelgeo.geometry.vectors import dot, scale, sub


def with_band(design, name, **fields):
    bands = tuple(replace(b, **fields) if b.name == name else b for b in design.bands)
    return replace(design, bands=bands)


def with_slide(design, shaft, along):
    slide = Slide(along, -5.0, 5.0)
    shafts = tuple(replace(s, slide=slide) if s.name == shaft else s for s in design.shafts)
    return replace(design, shafts=shafts)


def pull_on_pulley(band, index, pulls_n):
    """The force of a band on one of its pulleys, N: the run that leaves less the one before it."""
    leaving = scale(band.directions[index], pulls_n[index])
    arriving = scale(band.directions[index - 1], pulls_n[index - 1])
    return sub(leaving, arriving)


def rest(loaded, name):
    return next(b for b in loaded.rest if b.band.name == name)


def carried(loaded, name):
    return next(b for b in loaded.load.bands if b.rest.band.name == name)


def test_stretch_times_modulus_times_section(two_stage):
    cotton = find_material("cotton cord").modulus_mpa.value
    band = rest(load_wheel(two_stage), "first")
    assert band.rest_n == pytest.approx(cotton * math.pi * 1.0**2 * 0.01, rel=1e-12)


def test_own_material_is_used(two_stage):
    own = Material(
        "house cord", "cord",
        density_kg_m3=Figure(1100.0, 1100.0, 1100.0, "scale"),
        modulus_mpa=Figure(50.0, 40.0, 60.0, "measured"),
        friction=Figure(0.5, 0.4, 0.6, "measured"),
        bending_share=Figure(0.2, 0.2, 0.2, "measured"),
    )  # fmt: skip
    design = replace(with_band(two_stage, "first", material="house cord"), materials=(own,))
    loaded = load_wheel(design)
    assert rest(loaded, "first").rest_n == pytest.approx(50.0 * math.pi * 0.01, rel=1e-12)
    assert rest(loaded, "first").contacts[0].friction == 0.5
    assert not [a for a in loaded.built.assumed if "house cord" in a.what]
    silent = replace(design, materials=(replace(own, bending_share=None),))
    (told,) = [a for a in load_wheel(silent).built.assumed if "house cord" in a.what]
    assert told.what == "bending_share of house cord"


def test_silent_stretch_is_noted(two_stage):
    loaded = load_wheel(with_band(two_stage, "first", stretch=None))
    assert rest(loaded, "first").stretch == find_material("cotton cord").stretch.value
    assert [a for a in loaded.built.assumed if a.what == 'stretch of band "first"']


def test_measured_pull_is_taken(two_stage):
    loaded = load_wheel(with_band(two_stage, "first", tension=Tensioner("measured", 7.5)))
    assert rest(loaded, "first").rest_n == 7.5


@pytest.mark.parametrize("kind", ["weight", "spring"])
@pytest.mark.parametrize("angle", [0.0, 35.0, 180.0, 250.0])
def test_a_sliding_shaft_is_in_balance(two_stage, kind, angle):
    along = (math.cos(math.radians(angle)), math.sin(math.radians(angle)), 0.0)
    design = with_slide(two_stage, "spindle", along)
    design = with_band(design, "second", tension=Tensioner(kind, 6.0))
    band = rest(load_wheel(design), "second")
    force = pull_on_pulley(band, 1, (band.rest_n, band.rest_n))
    assert abs(dot(force, along)) == pytest.approx(6.0, rel=1e-12)


def test_two_bands_share_a_sliding_shaft(two_stage):
    # The middle shaft slides away from the main one: its weight and the second band's pull are met
    # by the first band.
    design = with_slide(two_stage, "middle", (1.0, 0.0, 0.0))
    design = with_band(design, "first", tension=Tensioner("weight", 20.0))
    loaded = load_wheel(design)
    first, second = rest(loaded, "first"), rest(loaded, "second")
    on_hub = pull_on_pulley(first, 1, (first.rest_n,) * 2)[0]
    on_accelerator = pull_on_pulley(second, 0, (second.rest_n,) * 2)[0]
    # the weight pulls the shaft away from the wheel, as the second band does
    assert on_hub + on_accelerator + 20.0 == pytest.approx(0.0, abs=1e-9)


def test_a_double_drive_shares_the_pull_among_four_strands(double_drive):
    shafts = tuple(
        replace(s, slide=Slide((1.0, 0.0, 0.0), -5.0, 5.0)) if s.name == "axle" else s
        for s in double_drive.shafts
    )
    design = with_band(replace(double_drive, shafts=shafts), "band",
                       tension=Tensioner("weight", 40.0))  # fmt: skip
    band = rest(load_wheel(design), "band")
    along = sum(pull_on_pulley(band, k, (band.rest_n,) * 4)[0] for k in (0, 2))
    assert along == pytest.approx(40.0, rel=1e-12)
    # four strands, each about asin(175/400) = 26 degrees off the slide
    assert band.rest_n == pytest.approx(40.0 / (4.0 * math.cos(math.asin(175.0 / 400.0))), rel=0.01)


def test_no_slide_no_pull(two_stage):
    loaded = load_wheel(with_band(two_stage, "second", tension=Tensioner("weight", 6.0)))
    band = rest(loaded, "second")
    assert band.rest_n is None
    assert "no shaft that slides" in band.trouble
    assert loaded.load.without == ("second",)
    assert loaded.effort.torque_nm is None


def test_a_slide_across_the_strands_does_not_tighten(two_stage):
    design = with_slide(two_stage, "spindle", (0.0, 0.0, 1.0))
    loaded = load_wheel(with_band(design, "second", tension=Tensioner("weight", 6.0)))
    assert "does not tighten" in rest(loaded, "second").trouble


def test_a_stronger_band_can_win(two_stage):
    design = with_slide(two_stage, "middle", (1.0, 0.0, 0.0))
    design = with_band(design, "first", tension=Tensioner("weight", 1.0))
    turned = with_band(design, "second", stretch=0.0001)
    assert rest(load_wheel(turned), "first").rest_n > 0.0
    # the wheel is now on the far side: pulled by the second band, the weight cannot hold it
    far = replace(
        design,
        shafts=tuple(
            replace(s, at_mm=(60.0, 120.0, 0.0), slide=None) if s.name == "spindle" else s
            for s in design.shafts
        ),
    )
    trouble = rest(load_wheel(far), "first").trouble
    assert "harder the other way" in trouble


def test_fixed_length_keeps_the_mean_pull(two_stage):
    band = carried(load_wheel(two_stage), "first")
    mean = sum(s * p for s, p in zip(band.rest.shares, band.pulls_n, strict=True))
    assert mean == pytest.approx(band.rest.rest_n, rel=1e-12)
    assert sum(band.rest.shares) == pytest.approx(1.0, rel=1e-12)
    # two pulleys: what one run gains the other loses
    assert sum(band.pulls_n) == pytest.approx(2 * band.rest.rest_n, rel=1e-12)


def test_a_weight_keeps_its_balance_under_load_and_speed(two_stage):
    along = (1.0, 0.0, 0.0)
    design = with_band(
        with_slide(two_stage, "spindle", along), "second", tension=Tensioner("weight", 6.0)
    )
    fast = replace(design, drive=replace(design.drive, speed_rpm=200.0))
    band = carried(load_wheel(fast), "second")
    own = band.rest.centrifugal_n
    assert own > 0.05
    net = tuple(p - own for p in band.pulls_n)
    assert abs(dot(pull_on_pulley(band.rest, 1, net), along)) == pytest.approx(6.0, rel=1e-9)


def test_fixed_length_loses_the_centrifugal_part(two_stage):
    fast = replace(two_stage, drive=replace(two_stage.drive, speed_rpm=300.0))
    band = rest(load_wheel(fast), "second")
    mass = 1000.0 * math.pi / 4 * 0.0012**2
    assert band.centrifugal_n == pytest.approx(mass * band.motion.speed_m_s**2, rel=1e-12)
    assert band.net_n == pytest.approx(band.rest_n - band.centrifugal_n, rel=1e-12)
    assert band.running_n == pytest.approx(band.rest_n, rel=1e-12)
    softest = find_material("cotton cord").modulus_mpa.low * band.section_mm2 * 0.02
    assert band.least_net_n == pytest.approx(softest - band.centrifugal_n, rel=1e-12)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.001, 0.03), st.floats(1.0, 3.0))
def test_more_stretch_never_lowers_what_a_band_can_carry(stretch, factor):
    from wheelgeo.drive.belt import force_at_slip_n

    pulls = [300.0 * math.pi * s for s in (stretch, factor * stretch)]
    forces = [force_at_slip_n(p - 0.01, 3.0) for p in pulls]
    assert forces[1] >= forces[0]


@pytest.mark.parametrize("stretch", [0.004, 0.008, 0.016, 0.032])
def test_more_stretch_of_a_whole_wheel_raises_every_capacity(two_stage, stretch):
    low, high = (
        carried(load_wheel(with_band(two_stage, "first", stretch=s)), "first")
        for s in (stretch, 1.2 * stretch)
    )
    for a, b in zip(low.stops, high.stops, strict=True):
        assert b.capacity_nm > a.capacity_nm


def test_too_fast_a_loose_band_holds_nothing(two_stage):
    loose = with_band(two_stage, "second", stretch=0.0002)
    fast = replace(loose, drive=replace(loose.drive, speed_rpm=600.0))
    band = carried(load_wheel(fast), "second")
    assert band.rest.net_n < 0.0
    assert band.margin == 0.0
