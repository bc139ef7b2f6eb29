"""One truth: what a file leaves out is taken once, said, and the same for every asker."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.band import cut_length_mm
from wheelgeo.built.spindle import BuiltSpindle
from wheelgeo.check.answering import answer_of
from wheelgeo.check.report import check_design
from wheelgeo.design.model import Bearing, Design, Shaft, Tensioner
from wheelgeo.design.reader import read_design
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drive.running import load_wheel, run_wheel
from wheelgeo.drive.slides import slide_range
from wheelgeo.drive.train import solve_drive
from wheelgeo.numbers.results import result_of
from wheelgeo.shop.tables import band_rows, bands_csv

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
SHIPPED = sorted(DESIGNS.glob("*-wheel.toml"))
BOX = read_design(DESIGNS / "box-wheel.toml")
FLYER = read_design(DESIGNS / "flyer-wheel.toml")


def with_band(design: Design, **fields: object) -> Design:
    return replace(design, bands=(replace(design.bands[0], **fields), *design.bands[1:]))


def with_shaft(design: Design, name: str, **fields: object) -> Design:
    shafts = tuple(replace(s, **fields) if s.name == name else s for s in design.shafts)
    return replace(design, shafts=shafts)


@pytest.mark.parametrize(
    ("material", "usual"),
    [("cotton cord", 0.02), ("hemp cord", 0.015), ("rubber cord", 0.10),
     ("polyurethane cord", 0.06)],
)  # fmt: skip
def test_a_stretch_left_out_is_the_usual_one_for_every_asker(material: str, usual: float) -> None:
    """Solve, numbers, the band table and the mechanics reckon with one stretch, by hand here."""
    wheel = with_band(BOX, stretch=None, material=material, joint_mm=7.0)
    name, solution = wheel.bands[0].name, solve_drive(wheel)
    path = solution.band(name).path
    assert path is not None
    cut = path.length_mm / (1.0 + usual)
    told = answer_of(check_design(wheel)).bands[0]
    assert (told.stretch, told.stretch_assumed) == (usual, True)
    assert told.cut_length_mm == pytest.approx(cut, rel=1e-12)
    assert told.cut_with_joint_mm == pytest.approx(cut + 7.0, rel=1e-12)
    assert result_of(solution, f"{name}.cut_length") == pytest.approx(cut, rel=1e-12)
    row = next(csv.DictReader(io.StringIO(bands_csv(band_rows(solution)).decode())))
    assert float(row["cut_length_mm"]) == pytest.approx(cut, abs=1e-3)
    assert float(row["stretch_percent"]) == pytest.approx(100.0 * usual)
    rest = load_wheel(wheel).rest[0]
    assert rest.stretch == usual
    # the pull that this cut makes on this path, by Hooke's law
    section = math.pi / 4.0 * wheel.bands[0].diameter_mm ** 2
    modulus = build(wheel).bands[name].modulus.value.value
    assert rest.rest_n == pytest.approx(modulus * section * (path.length_mm / cut - 1.0))


def test_a_given_stretch_is_taken_and_not_said_to_be_assumed() -> None:
    told = answer_of(check_design(with_band(BOX, stretch=0.0))).bands[0]
    assert (told.stretch, told.stretch_assumed) == (0.0, False)
    assert told.cut_length_mm == told.length_mm


def test_a_cut_length_by_hand() -> None:
    assert cut_length_mm(1020.0, 0.02) == pytest.approx(1000.0)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_every_asker_takes_the_same_rods(path: Path) -> None:
    """The rods that are checked for room, drawn, and turned in the mechanics are one."""
    design = read_design(path)
    for wheel in (design, replace(design, shafts=tuple(bare(s) for s in design.shafts))):
        built, report = build(wheel), check_design(wheel)
        drawn = {b.name: b for b in scene_of(solve_drive(wheel)).bodies if b.kind == "shaft"}
        for name, made in built.shafts.items():
            low, high = made.ends_mm
            checked = report.wheel.shaft_bodies[name]
            assert 2.0 * checked.half_length == pytest.approx(high - low, rel=1e-12), name
            assert drawn[name].ends_mm == pytest.approx((low, high), rel=1e-12), name
            assert made.reach.value[0] <= low
            assert made.reach.value[1] >= high
            assert made.sections[0].from_mm == made.reach.value[0]
            assert made.sections[-1].to_mm == made.reach.value[1]


def bare(shaft: Shaft) -> Shaft:
    return replace(shaft, ends_mm=None)


def test_a_flyers_rod_is_as_long_for_the_check_as_for_the_run() -> None:
    """One bearing behind its whorl, one before its bar; 10 mm behind them, 20 mm before."""
    made = build(FLYER).spindle
    assert not made.ends.given
    # the whorl begins at -13 mm, the bobbin ends at 110; washers 1.5, bearings 12, the bar 14 mm
    behind, before = -13.0 - 1.5 - 6.0, 110.0 + 1.5 + 14.0 + 1.5 + 6.0
    assert made.ends_mm == pytest.approx((behind - 10.0, before + 20.0))
    beam = run_wheel(FLYER).whirl.spindle
    assert beam.sections[0].from_mm == made.ends_mm[0]
    assert beam.sections[-1].to_mm == made.ends_mm[1]


def test_what_is_given_is_not_said_to_be_assumed() -> None:
    built = build(BOX)
    for name, band in built.bands.items():
        assert not band.joint.given, name
        assert built.assumed.count(band.joint.assumed[0]) == 1
    joined = replace(BOX, bands=tuple(replace(b, joint_mm=0.0) for b in BOX.bands))
    assert not [a for a in build(joined).assumed if "joint" in a.what]
    hung = with_band(BOX, stretch=None)
    assert [a.taken for a in build(hung).assumed if a.what.startswith("stretch of")] == ["2 %"]


def test_every_assumption_of_the_parts_is_told_once_by_the_run() -> None:
    for path in SHIPPED:
        design = read_design(path)
        told = run_wheel(design).assumed
        assert len({a.what for a in told}) == len(told)
        assert set(build(design).assumed) <= set(told)


def test_bearings_of_any_shaft_carry_it() -> None:
    """A shaft on two ball bearings: forces by moments about them, friction theirs."""
    placed = (Bearing(2.0, "ball"), Bearing(40.0, "ball"))
    middle = BOX.shafts[1].name
    wheel = with_shaft(BOX, middle, bearings=placed)
    made = build(wheel).shafts[middle]
    assert [b.at_mm for b in made.bearings] == [2.0, 40.0]
    assert not [a for a in build(wheel).assumed if f'bearings of shaft "{middle}"' in a.what]
    assert [a for a in build(BOX).assumed if f'bearings of shaft "{middle}"' in a.what]
    ball, brass = (load_wheel(d).load.shaft(middle) for d in (wheel, BOX))
    assert ball is not None
    assert brass is not None
    assert ball.bearing_nm < 0.1 * brass.bearing_nm  # 0.0015 against 0.08


def test_the_spindles_bearings_may_stand_with_its_shaft() -> None:
    bare_spindle = replace(BOX.spindle, bearings=())
    wheel = with_shaft(
        replace(BOX, spindle=bare_spindle), BOX.spindle.shaft, bearings=BOX.spindle.bearings
    )
    assert build(wheel).spindle.bearings == build(BOX).spindle.bearings


def test_a_sleeve_is_bored_for_what_it_runs_on() -> None:
    wheel = with_shaft(FLYER, "bobbin", runs_on="flyer", diameter_mm=16.0, ends_mm=(-20.0, 80.0))
    made = build(wheel).shafts["bobbin"]
    assert made.bore_mm == pytest.approx(10.0 + 0.2)
    assert made.material.value.name == "maple"
    assert build(wheel).shafts["axle"].bore_mm == 0.0
    rotors = {r.shaft.name: r for r in load_wheel(wheel).rotors}
    tube = 705.6 * math.pi / 4.0 * (0.016**2 - 0.0102**2) * 0.100
    whorl = build(wheel).pulleys["bobbin whorl"].inertia.mass_kg
    assert rotors["bobbin"].inertia.mass_kg == pytest.approx(tube + whorl, rel=1e-9)


def test_a_slide_gives_both_ends_of_the_path() -> None:
    slide = slide_range(solve_drive(BOX), "second band")
    assert slide is not None
    for end, length in ((slide.from_mm, slide.path_at_from_mm), (slide.to_mm, slide.path_at_to_mm)):
        shaft = BOX.shaft(slide.shaft)
        assert shaft.slide is not None
        moved = tuple(a + end * b for a, b in zip(shaft.at_mm, shaft.slide.along, strict=True))
        path = solve_drive(with_shaft(BOX, shaft.name, at_mm=moved)).band("second band").path
        assert path is not None
        assert length == pytest.approx(path.length_mm, rel=1e-12)
    assert slide_range(solve_drive(BOX), "first band") is None


def test_a_design_is_built_once() -> None:
    design = read_design(DESIGNS / "box-wheel.toml")
    assert build(design) is build(design)
    assert solve_drive(design).built is build(design)
    other = replace(design, title="another")
    assert build(other) is not build(design)
    assert other != design
    assert replace(other, title=design.title) == design  # what is kept with it is no part of it
    assert solve_drive(build(design)).design is design


def test_a_measured_pull_does_not_change_the_cut() -> None:
    wheel = with_band(BOX, stretch=None, tension=Tensioner("measured", 5.0))
    assert load_wheel(wheel).rest[0].stretch is None
    assert answer_of(check_design(wheel)).bands[0].stretch == 0.02


def test_the_spindle_is_one_object() -> None:
    built = build(BOX)
    assert isinstance(built.spindle, BuiltSpindle)
    assert built.shafts[BOX.spindle.shaft] is built.spindle
