"""Every shipped design is a wheel that somebody could build: no fault, and what it claims."""

import re
from pathlib import Path

import pytest

from wheelgeo.check.report import check_design
from wheelgeo.design.reader import read_design

ROOT = Path(__file__).resolve().parents[2]
DESIGNS = sorted((ROOT / "designs").glob("*.toml"))


@pytest.fixture(scope="module")
def reports():
    return {path.stem: check_design(read_design(path)) for path in DESIGNS}


def test_there_are_at_least_six(reports):
    assert len(reports) >= 6


@pytest.mark.parametrize("name", [path.stem for path in DESIGNS])
def test_design_has_no_fault(reports, name):
    assert [f.says for f in reports[name].faults] == []


@pytest.mark.parametrize("name", [path.stem for path in DESIGNS])
def test_only_a_crossed_band_is_warned_of(reports, name):
    warned = {f.rule for f in reports[name].findings if f.level == "warning"}
    crossed = any(b.crossed for b in reports[name].design.bands)
    assert warned == ({"crossed-runs-rub"} if crossed else set())


@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_comments_say_why(path):
    assert path.read_text(encoding="utf-8").count("#") >= 8


def test_box_wheel_has_flat_discs_a_level_spindle_and_about_150_turns(reports):
    # About 150 spindle turns per turn of the hand in a box wheel: common practice, no source.
    report = reports["box-wheel"]
    design = report.design
    assert report.solution.ratio == pytest.approx(150, rel=0.05)
    assert all(abs(design.shaft(n).axis[2]) == 1.0 for n in ("main", "middle"))
    assert design.shaft("spindle").axis[2] == 0.0


def test_parallel_box_wheel_does_the_same_job(reports):
    report = reports["parallel-box-wheel"]
    assert report.solution.ratio == pytest.approx(150, rel=0.05)
    assert len({s.axis for s in report.design.shafts}) == 1


def test_travel_wheel_packs_smaller_than_the_book_wheel(reports):
    def volume(name):
        x, y, z = reports[name].design.case.inside_mm
        return x * y * z

    assert volume("travel-wheel") < volume("book-wheel") < volume("box-wheel")


def test_flyer_wheel_is_double_drive_and_its_bobbin_runs_ahead(reports):
    report = reports["flyer-wheel"]
    (band,) = report.design.bands
    wheel = {report.design.pulley(s.pulley).shaft for s in band.route[::2]}
    assert wheel == {"axle"}
    assert abs(report.solution.shaft("bobbin").speed_rpm) > abs(report.solution.spindle.speed_rpm)


def test_readme_gives_each_design_with_its_ratio(reports):
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| `([\w-]+)` \| [^|]+ \| ([\d.]+) \|$", text, re.MULTILINE))
    assert set(rows) == set(reports)
    for name, printed in rows.items():
        places = len(printed.partition(".")[2])
        assert round(reports[name].solution.ratio, places) == float(printed)
