"""``wheelgeo retune`` as somebody types it."""

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.wheel import Wheel

WHEEL = """\
title = "Two stages, all shafts parallel"

[drive]
shaft = "main"
by = "crank"
speed = "60 rpm"
turns = "clockwise"

[[shaft]]
name = "main"
at = [0, 0, 0]
axis = [0, 0, 1]
diameter = 8

[[shaft]]
name = "spindle"
at = [220, 0, 0]      # far enough
axis = [0, 0, 1]
diameter = 6

[[pulley]]
name = "wheel"
shaft = "main"
offset = 10
groove = { shape = "round", rim = 200, depth = 3, radius = 1.5 }

[[pulley]]
name = "whorl"
shaft = "spindle"
offset = 10
groove = { shape = "round", rim = 30, depth = 3, radius = 1.5 }

[[band]]
name = "band"
route = ["wheel", "whorl"]
material = "rubber cord"
diameter = 2.5
stretch = "6 %"

[spindle]
shaft = "spindle"
kind = "tip"

[yarn]
count = "20 Nm"
fibre = "wool"
twist = "Z"
turns_per_metre = 400
draw = 600
"""


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "wheel.toml"
    path.write_text(WHEEL, encoding="utf-8")
    return path


def test_json_holds_one_document_with_ranked_options(type_it, file):
    status, out, err = type_it("retune", file, "--count", "40 Nm", "--json")
    document = json.loads(out)
    assert (status, err) == (0, "")
    assert document["ratio_needed"] == pytest.approx(document["ratio_now"] * math.sqrt(2.0))
    ranks = [
        (len(o["faults"]), len(o["warnings"]), o["labour_hours"], o["parts_made"],
         o["bands_remade"], o["twist_error"])
        for o in document["options"]
    ]
    assert ranks
    assert ranks == sorted(ranks)


def test_the_written_file_solves_to_the_option(type_it, file, tmp_path):
    target = tmp_path / "finer.toml"
    words = ("retune", file, "--ratio", "9", "--step", "1/32 in", "--json", "--write", "1", target)
    status, out, _ = type_it(*words)
    assert status == 0
    option = json.loads(out)["options"][0]
    assert solve_drive(read_design(target)).ratio == pytest.approx(option["ratio"], rel=1e-12)
    assert "# far enough" in target.read_text(encoding="utf-8")


def test_each_way_tells_how_near_it_comes_to_the_ratio_asked(type_it, file):
    asked = ("retune", file, "--ratio", "6.6", "--step", "0.5 mm")
    _, out, _ = type_it(*asked)
    options = json.loads(type_it(*asked, "--json")[1])["options"]
    offs = [100.0 * (o["ratio"] / 6.6 - 1.0) for o in options if "no-path" not in o["faults"]]
    told = re.findall(r"([\d.]+) % (less|more)", out.partition("No.")[2])
    beyond = [o for o in offs if abs(o) >= 0.05]
    assert beyond
    assert sorted(told) == sorted(
        (f"{abs(o):.1f}".removesuffix(".0"), "less" if o < 0.0 else "more") for o in beyond
    )


@pytest.mark.parametrize(
    ("count", "says"),
    [
        ("80 Nm", "Yarn: singles of 80 Nm (12.5 tex)."),
        # 1 000 / 80 = 12.5 tex a strand, 25 the two
        ("2/80 Nm", "Yarn: plied, 2 strands of 80 Nm (12.5 tex each, 25 tex together"),
        ("80/2 Nm", "Yarn: plied, 2 strands of 80 Nm (12.5 tex each, 25 tex together"),
        ("12.5 tex x 2", "Yarn: plied, 2 strands of 12.5 tex (25 tex together"),
    ],
)
def test_the_yarn_that_a_count_was_read_as_is_named(type_it, file, count, says):
    _, out, _ = type_it("retune", file, "--count", count)
    assert says in " ".join(out.split())


def test_people_are_told_first_what_needs_no_change(type_it, file):
    status, out, _ = type_it("retune", file, "--twist", "S")
    assert status == 0
    assert "turn the crank the other way" in out.splitlines()[2]


def test_each_code_to_see_to_is_told_once_in_words(type_it, file):
    asked = ("retune", file, "--ratio", "30", "--only", "wheel", "--step", "2 mm")
    status, out, _ = type_it(*asked)
    _, document, _ = type_it(*asked, "--json")
    options = json.loads(document)["options"]
    codes = {code for o in options for code in (*o["faults"], *o["warnings"])}
    assert status == 0
    assert codes
    told = [line.strip().split(",")[0] for line in out.partition("See to:")[2].splitlines()]
    assert all(told.count(code) == 1 for code in codes)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "say what shall be different"),
        (("--count", "40"), "no known unit of count"),
        (("--twist", "right"), "S or Z"),
        (("--draw", "long"), "is no length"),
        (("--hand-speed", "0"), "hand's speed"),
        (("--ratio", "nan"), "the ratio"),
        (("--ratio", "9", "--step", "0"), "must be above 0"),
        (("--ratio", "9", "--keep", "whorll"), 'did you mean "whorl"'),
        (("--ratio", "9", "--write", "99", "x.toml"), "no option 99"),
    ],
)
def test_what_cannot_be_done_is_said_with_status_2(
    type_it, monkeypatch, file, tmp_path, words, says
):
    monkeypatch.chdir(tmp_path)
    status, out, err = type_it("retune", file, *words)
    assert (status, out) == (2, "")
    assert says in err
    assert [p.name for p in tmp_path.iterdir()] == ["wheel.toml"]


def test_a_file_that_is_there_is_not_written_over(type_it, file):
    status, _, err = type_it("retune", file, "--ratio", "9", "--write", "1", file)
    assert status == 2
    assert "exists already" in err
    assert file.read_text(encoding="utf-8") == WHEEL


def test_what_has_no_path_is_named_in_one_line_and_no_size_is_told_twice(type_it):
    file = Path("designs/braked-flyer-wheel.toml")
    _, out, _ = type_it("retune", file, "--count", "8 Nm", "--turns-per-metre", "7 tpi")
    assert "With these a band has no path: No." in out
    assert "No. 1: " in out.split("See to:")[1]
    assert "no-path," not in out
    assert out.count("bobbin whorl.rim") == 1


@pytest.mark.parametrize(
    ("design", "says"),
    [("flyer-wheel", "along its slide from"), ("box-wheel", "wheel.rim: "),
     ("farm-wheel", "pad the core of the empty bobbin from")],
)  # fmt: skip
def test_of_a_file_in_inches_all_is_told_in_inches(type_it, tmp_path, design, says):
    """What is bought by its millimetres, as a rod of 6 mm, is told in both."""
    wheel, count = wheelgeo.load(f"designs/{design}.toml"), ("--count", "50 Nm")
    same = tmp_path / "inches.toml"
    same.write_text(Wheel(replace(wheel.design, unit="in")).to_toml(), encoding="utf-8")
    metric = " ".join(type_it("retune", f"designs/{design}.toml", *count)[1].split())
    status, out, _ = type_it("retune", same, *count)
    words = " ".join(out.split())
    assert status == 0
    assert says in words
    assert re.search(re.escape(says) + r"[\d. to]*mm", metric)
    assert not re.findall(r"[\d.]+ mm(?! \([\d./ ]+ in\))", words)
    assert re.search(re.escape(says) + r"[^;,(]*? in\b", words)
