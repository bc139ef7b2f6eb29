"""A design file as read: each key where it belongs, each unit turned into ours."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.design.material import Figure
from wheelgeo.design.model import (
    Band,
    Bearing,
    Case,
    Cop,
    Count,
    Drive,
    FlatRim,
    GivenPitch,
    Lightening,
    Pulley,
    RoundGroove,
    Section,
    Shaft,
    Slide,
    Spindle,
    Stock,
    Stop,
    Tensioner,
    VeeGroove,
    Washer,
    Yarn,
)
from wheelgeo.design.reader import parse_design, read_design, read_text
from wheelgeo.errors import DesignError

LARGE_G_M_S2 = 9.80665  # standard gravity, 3rd General Conference on Weights and Measures, 1901


def test_shafts(good_text: str) -> None:
    main, middle, spindle = parse_design(good_text).shafts
    assert main == Shaft(
        "main", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 8.0,
        Slide((1.0, 0.0, 0.0), -2.0, 6.0), (-5.0, 45.0), "steel",
    )  # fmt: skip
    assert middle.at_mm == pytest.approx((139.7, 0.0, 0.0), abs=1e-12)
    assert middle.diameter_mm == 6.35
    assert spindle == Shaft("spindle", (139.7, 100.0, 20.0), (1.0, 0.0, 0.0), 4.0)


def test_pulleys(good_text: str) -> None:
    wheel, hub, accelerator, whorl = parse_design(good_text).pulleys
    assert wheel == Pulley(
        "wheel", "main", 12.0, VeeGroove(180.0, 4.0, 40.0, 0.0), width_mm=12.0,
        material="plywood", build="turned", bore_mm=8.0, lightening=Lightening(5, 30.0, 110.0),
    )  # fmt: skip
    assert hub == Pulley("hub", "middle", 12.0, RoundGroove(20.0, 3.0, 2.0))
    assert accelerator == Pulley(
        "accelerator", "middle", 20.0, FlatRim(76.0, 8.0), build="layers", core_mm=4.0,
        cheek_mm=3.175,
    )  # fmt: skip
    assert whorl == Pulley("whorl", "spindle", 0.0, GivenPitch(9.6))


def test_bands(good_text: str) -> None:
    first, second = parse_design(good_text).bands
    assert first == Band(
        "first band", (Stop("wheel"), Stop("hub")), "rubber cord", 3.0, slip=0.01, stretch=0.05,
        tension=Tensioner("weight", 0.3 * LARGE_G_M_S2), joint_mm=12.0,
    )  # fmt: skip
    assert second == Band(
        "second band", (Stop("accelerator"), Stop("whorl", "against")), "linen cord", 1.2
    )


def test_drive_spindle_yarn_and_case(good_text: str) -> None:
    design = parse_design(good_text)
    assert design.drive == Drive("main", "crank", 60.0, "clockwise", 65.0, 40.0)
    assert design.spindle == Spindle(
        "spindle", "tip", (Bearing(-40.0, "brass"), Bearing(0.0, "leather", 120.0)),
        (Section(20.0, 90.0, 3.5),), (Washer(20.0, 26.0, 1.5, "birch"),),
        Cop(22.0, 80.0, 24.0, 15.0),
    )  # fmt: skip
    assert design.yarn == Yarn(Count(40.0, "Nm"), "alpaca", "Z", 850.0, None, 650.0)
    assert design.case == Case((340.0, 170.0, 60.0), (-85.0, -85.0, -10.0))


def test_shop_limits_and_materials(good_text: str) -> None:
    design = parse_design(good_text)
    assert design.shop.sheets == (Stock("birch ply", 600.0, 300.0, 6.0, "plywood"),)
    assert (design.shop.kerf_mm, design.shop.spacing_mm, design.shop.reel) == (0.2, 3.0, True)
    assert design.limits == {"wrap_deg": 100.0, "clearance_mm": 1.5875}
    (linen,) = design.materials
    assert linen.modulus_mpa == Figure(2000.0, 1500.0, 3000.0, "pulled on a bench")
    assert linen.stretch == Figure(0.02, 0.02, 0.02, "the design file")
    assert linen.friction is None


def test_what_a_file_may_leave_out(good_text: str) -> None:
    text = good_text[: good_text.index("[yarn]")] + good_text[good_text.index("[[material]]") :]
    design = parse_design(text.replace('unit = "mm"\n', ""))
    assert design.unit == "mm"
    assert design.yarn is None
    assert design.case is None
    assert design.limits == {}
    assert design.shop.kerf_mm == 0.0


def test_a_bare_length_is_in_the_unit_of_the_file_and_nothing_else_is(good_text: str) -> None:
    inches = parse_design(good_text.replace('unit = "mm"', 'unit = "in"').replace("bore = 8\n", ""))
    assert inches.shaft("main").diameter_mm == pytest.approx(8 * 25.4, rel=1e-15)
    assert inches.shaft("middle").diameter_mm == 6.35
    assert inches.shaft("main").axis == (0.0, 0.0, 1.0)
    assert inches.pulley("wheel").groove == VeeGroove(180 * 25.4, 4 * 25.4, 40.0, 0.0)
    assert inches.limits == {"wrap_deg": 100.0, "clearance_mm": 1.5875}
    assert inches.drive.speed_rpm == 60.0
    assert inches.band("first band").tension == Tensioner("weight", 0.3 * LARGE_G_M_S2)


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ('"1 1/2 in"', 38.1),  # a mixed number is a sum
        ('"1/2 in"', 12.7),
        ('"1.5 cm"', 15.0),
        ('"0.02 m"', 20.0),
        ("'1 1/2\"'", 38.1),
        ("12", 12.0),
    ],
)
def test_lengths_with_their_own_units(good_text: str, text: str, length_mm: float) -> None:
    design = parse_design(good_text.replace("draw = 650", f"draw = {text}"))
    assert design.yarn is not None
    assert design.yarn.draw_mm == pytest.approx(length_mm, rel=1e-15)


def test_a_negative_mixed_number_is_negative_all_through(good_text: str) -> None:
    text = good_text.replace("offset = 0\n", 'offset = "-4 1/2 in"\n')
    assert parse_design(text).pulley("whorl").offset_mm == pytest.approx(-114.3, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("40 Nm", Count(40.0, "Nm")),
        ("23.6 Ne", Count(23.6, "Ne")),
        ("25tex", Count(25.0, "tex")),
        ("225 denier", Count(225.0, "denier")),
        ("225 den", Count(225.0, "denier")),
        ("1 1/2 Nm", Count(1.5, "Nm")),
    ],
)
def test_counts(good_text: str, text: str, count: Count) -> None:
    yarn = parse_design(good_text.replace('"40 Nm"', f'"{text}"')).yarn
    assert yarn is not None
    assert yarn.count == count


@pytest.mark.parametrize(
    ("text", "pull_n"),
    [
        ('weight = "300 g"', 0.3 * LARGE_G_M_S2),
        ('weight = "2 lb"', 2 * 0.45359237 * LARGE_G_M_S2),
        ('weight = "3 N"', 3.0),
        ('weight = "1 kgf"', LARGE_G_M_S2),
        ('spring = "4 N"', 4.0),
        ('measured = "0.5 lbf"', 2.22411080763),
        ('measured = "500 g"', 0.5 * LARGE_G_M_S2),
        ('spring = "2 oz +- 1/4 oz"', 2 * 0.028349523125 * LARGE_G_M_S2),
    ],
)
def test_what_pulls_a_band_tight(good_text: str, text: str, pull_n: float) -> None:
    band = parse_design(good_text.replace('weight = "300 g"', text)).bands[0]
    assert band.tension is not None
    assert band.tension.kind == text.split(" ", maxsplit=1)[0]
    assert band.tension.pull_n == pytest.approx(pull_n, rel=1e-11)


def test_a_pitch_may_stand_in_the_groove_or_beside_it(good_text: str) -> None:
    inside = parse_design(good_text.replace("pitch = 9.6", "groove = { pitch = 9.6 }"))
    assert inside == parse_design(good_text)


def test_crossed_is_short_for_against(good_text: str) -> None:
    crossed = parse_design(good_text.replace("crossed = false", "crossed = true")).bands[0]
    against = parse_design(
        good_text.replace('"hub"]      #', '{ pulley = "hub", turns = "against" }]      #')
    ).bands[0]
    assert crossed.route == against.route == (Stop("wheel"), Stop("hub", "against"))
    assert replace(crossed, crossed=False) == against
    both = good_text.replace('"hub"]      #', '{ pulley = "hub", turns = "against" }]      #')
    assert parse_design(both.replace("crossed = false", "crossed = true")).bands[0] == crossed


def test_axes_are_made_one_long(good_text: str) -> None:
    text = good_text.replace("axis = [1, 0, 0]\n", "axis = [3, 0, -4]\n")
    assert parse_design(text).shaft("spindle").axis == pytest.approx((0.6, 0.0, -0.8), abs=1e-15)
    nearly = good_text.replace("axis = [1, 0, 0]\n", "axis = [0.601, 0.8, 0]\n")
    assert sum(c * c for c in parse_design(nearly).shaft("spindle").axis) == pytest.approx(1, 1e-15)
    huge = good_text.replace("axis = [1, 0, 0]\n", "axis = [1e308, 1e308, 1e308]\n")
    assert parse_design(huge).shaft("spindle").axis == pytest.approx((3**-0.5,) * 3, rel=1e-15)


def test_a_whorl_turned_on_the_spindle_itself_is_no_fault(good_text: str) -> None:
    turned = good_text.replace("pitch = 9.6", 'groove = { shape = "flat", rim = 4, width = 3 }')
    assert parse_design(turned).pulley("whorl").groove == FlatRim(4.0, 3.0)
    thinner = turned.replace("rim = 4, width", "rim = 3.99, width")
    with pytest.raises(DesignError, match="lies inside the shaft"):
        parse_design(thinner)
    stepped = thinner.replace("from = 20, to", "from = -5, to")
    assert parse_design(stepped).pulley("whorl").groove == FlatRim(3.99, 3.0)


@pytest.mark.parametrize("rim", [8.8, 8.8 + 1e-9])
def test_a_groove_as_deep_as_its_rod_or_its_bore_leaves_nothing(good_text: str, rim: float) -> None:
    """8.8 less twice 2.4 is 4 and the breadth of a float more."""
    vee = f'{{ shape = "vee", rim = {rim!r}, depth = 2.4, angle = 40 }}'
    cut = good_text.replace("pitch = 9.6", f"groove = {vee}")
    assert rim - 2.0 * 2.4 > 4.0
    with pytest.raises(DesignError, match="the shaft of 4 mm: nothing is left round it"):
        parse_design(cut)
    with pytest.raises(DesignError, match="a bore of 4 mm leaves nothing"):
        parse_design(cut.replace(f"groove = {vee}", f"groove = {vee}\nbore = 4"))
    assert parse_design(cut.replace(repr(rim), "8.801")).pulley("whorl").groove.rim_mm == 8.801


def test_a_band_may_meet_two_grooves_of_one_wheel(good_text: str) -> None:
    """The double-drive band: wheel, flyer, wheel again, bobbin."""
    double = good_text.replace('["wheel", "hub"]', '["wheel", "hub", "wheel", "whorl"]')
    assert [stop.pulley for stop in parse_design(double).bands[0].route].count("wheel") == 2


def test_names_may_be_of_any_script(good_text: str) -> None:
    text = good_text.replace('"hub"', '"Nabe Ø 20 — 轮毂 \U0001f9f6"')
    assert parse_design(text).bands[0].route[1].pulley == "Nabe Ø 20 — 轮毂 \U0001f9f6"


def test_a_byte_order_mark_and_foreign_line_ends_do_no_harm(good_text: str, tmp_path: Path) -> None:
    path = tmp_path / "wheel.toml"
    path.write_bytes(b"\xef\xbb\xbf" + good_text.replace("\n", "\r\n").encode())
    assert read_text(path) == good_text.replace("\n", "\r\n")
    assert read_design(path) == parse_design(good_text) == parse_design("\ufeff" + good_text)


def test_reading_a_design_loads_nothing_heavy() -> None:
    code = (
        "import sys, wheelgeo.design.reader\n"
        "print([m for m in ('numpy', 'scipy', 'tomlkit', 'rich', 'pint') if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
