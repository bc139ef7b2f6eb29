"""``wheelgeo find``, ``place`` and ``tolerance`` as somebody types them."""

import json
from pathlib import Path

import pytest

from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive

DESIGNS = Path(__file__).parents[2] / "designs"
BOX = DESIGNS / "box-wheel.toml"

INCHES = """\
title = "Inches"
unit = "in"

[drive]
shaft = "main"
by = "crank"
speed = "60 rpm"
turns = "clockwise"

[[shaft]]
name = "main"
at = [0, 0, 0]
axis = [0, 0, 1]
diameter = "5/16 in"

[[shaft]]
name = "spindle"
at = [9, 0, 0]        # nine inches
axis = [0, 0, 1]
diameter = "1/4 in"

[[pulley]]
name = "big = wheel"
shaft = "main"
offset = 0.5
groove = { shape = "round", rim = 8, depth = 0.12, radius = 0.06 }

[[pulley]]
name = "whorl"
shaft = "spindle"
offset = 0.5
groove = { shape = "round", rim = 1.2, depth = 0.12, radius = 0.06 }

[[band]]
name = "band"
route = ["big = wheel", "whorl"]
material = "rubber cord"
diameter = "3/32 in"
slip = "1 %"
stretch = "6 %"

[spindle]
shaft = "spindle"
kind = "tip"
"""


@pytest.fixture
def inches(tmp_path):
    path = tmp_path / "inches.toml"
    path.write_text(INCHES, encoding="utf-8")
    return path


# --- find ----------------------------------------------------------------------------------------


def test_find_json_is_one_document(type_it):
    words = ("find", BOX, "whorl.rim", "for", "ratio=140", "--json")
    status, out, err = type_it(*words)
    document = json.loads(out)
    assert (status, err) == (0, "")
    assert document["reached"] == pytest.approx(140.0, rel=1e-9)
    assert document["was"] == pytest.approx(read_design(BOX).pulley("whorl").groove.rim_mm)
    assert (document["unknown"], document["unit"], document["result"]) == (
        "whorl.rim",
        "mm",
        "ratio",
    )


def test_find_reads_bare_lengths_in_the_files_unit(type_it, inches):
    answers = []
    for value in ("32", "32 in", "812.8 mm"):
        words = ("find", inches, "spindle.at.x", "for", f"band.length={value}", "--json")
        answers.append(json.loads(type_it(*words)[1])["value"])
    assert answers == pytest.approx([answers[0]] * 3, rel=1e-12)


def test_find_takes_names_with_equals_signs(type_it, inches):
    words = ("find", inches, "big = wheel.rim", "for", "big = wheel.pitch=7.5", "--json")
    document = json.loads(type_it(*words)[1])
    assert document["reached"] == pytest.approx(7.5 * 25.4)


def test_find_writes_the_wheel_with_its_comments(type_it, inches, tmp_path):
    target = tmp_path / "new.toml"
    words = ("find", inches, "spindle.at.x", "for", "band.length=33", "--write", target)
    status, out, _ = type_it(*words)
    assert status == 0
    assert f"Written to {target}" in out.replace("\n", "")
    band = solve_drive(read_design(target)).band("band")
    assert band.path.length_mm == pytest.approx(33 * 25.4, rel=1e-9)
    assert "# nine inches" in target.read_text(encoding="utf-8")


def test_find_tells_people_the_answer_and_where_it_was(type_it):
    _, out, _ = type_it("find", BOX, "drive.speed", "for", "ratio=140")
    assert out == ""  # it has no part in it: an error, on standard error
    _, out, _ = type_it("find", BOX, "drive.speed", "for", "spindle.speed=8000 rpm")
    assert "drive.speed = 5" in out
    assert "(now 60 rpm)" in out
    assert "spindle.speed = 8000 rpm" in out


def test_find_gives_a_band_for_a_place(type_it, inches):
    words = ("find", inches, "band.length", "for", "spindle.at.x=9.5", "--json")
    document = json.loads(type_it(*words)[1])
    back = (
        "find",
        inches,
        "spindle.at.x",
        "for",
        f"band.length={document['reached']} mm",
        "--json",
    )
    again = json.loads(type_it(*back)[1])
    assert again["value"] == pytest.approx(9.5 * 25.4, rel=1e-9)


def test_find_names_a_fault_that_the_answer_brings(type_it):
    words = ("find", BOX, "hub.offset", "for", "hub.arriving=30", "--json")
    document = json.loads(type_it(*words)[1])
    assert "mouth-spinning" in document["new_faults"]


@pytest.mark.parametrize("ratio", [200, 500])
def test_find_offers_nothing_that_cannot_exist_and_blames_the_answer_for_it(
    type_it, tmp_path, ratio
):
    words = ("find", BOX, "whorl.rim", "for", f"ratio={ratio}")
    for more in ((), ("--json",), ("--write", tmp_path / "no.toml")):
        status, out, err = type_it(*words, *more)
        assert (status, out) == (2, "")
        assert "such a wheel cannot exist" in err
        assert "lies inside the shaft" in err
        assert "box-wheel.toml" not in err  # the file has no fault
    assert not list(tmp_path.iterdir())


def test_find_lists_everything(type_it):
    status, out, _ = type_it("find", BOX, "--list", "--json")
    document = json.loads(out)
    assert status == 0
    numbers = {row["key"]: row["value"] for row in document["numbers"]}
    results = {row["key"]: row["value"] for row in document["results"]}
    assert numbers["drive.speed"] == 60.0
    assert results["ratio"] == pytest.approx(solve_drive(read_design(BOX)).ratio)
    _, out, _ = type_it("find", BOX, "--list")
    assert "second band.length" in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "say what may change"),
        (("whorl.rim",), "say what may change"),
        (("whorl.rim", "for", "ratio"), "say what may change"),
        (("whorl.rim", "for", "ratio=fast"), '"fast" is no number for ratio'),
        (("whorl.rim", "for", "ratio=nan"), "cannot come to nan"),
        (("whorl.rim", "for", "second band.length=long"), "is no length"),
        (("whorl.rim", "for", "second band.length=3 rpm"), "no unit of length"),
        (("whorl.rin", "for", "ratio=150"), 'did you mean "whorl.rim"'),
        (("whorl.rim", "for", "ratoi=150"), 'did you mean "ratio"'),
        (("whorl.offset", "for", "ratio=150"), "has no part in it"),
        (("whorl.rim", "for", "ratio=1e6"), "the nearest is"),
        (("whorl.rim", "for", "ratio=150", "--with", "hubb.rim"), "did you mean"),
    ],
)
def test_find_says_what_cannot_be_done(type_it, words, says):
    status, out, err = type_it("find", BOX, *words)
    assert (status, out) == (2, "")
    assert says in err
    assert "Traceback" not in err


# --- place ---------------------------------------------------------------------------------------

MOVES = ("--move", "whorl.offset", "--move", "accelerator.offset")


def test_place_json_arrives_true(type_it):
    status, out, err = type_it("place", BOX, "second band", *MOVES, "--json")
    document = json.loads(out)
    assert (status, err) == (0, "")
    assert document["true"]
    assert document["rows"][0]["arriving_deg"] == pytest.approx([0.0, 0.0], abs=1e-7)
    assert document["pulleys"] == ["accelerator", "whorl"]


def test_place_writes_a_row(type_it, tmp_path):
    target = tmp_path / "true.toml"
    words = ("place", BOX, "second band", *MOVES, "--write", "1", target)
    status, out, _ = type_it(*words)
    assert status == 0
    assert "arrives true" in out
    path = solve_drive(read_design(target)).band("second band").path
    assert [path.arriving_deg(i) for i in (0, 1)] == pytest.approx([0.0, 0.0], abs=1e-6)


def test_place_moves_a_shaft_along_a_direction_within_a_range(type_it):
    words = (
        "place",
        BOX,
        "second band",
        "--move",
        "spindle along 0,2,0 from -3 to 1/4 in",
        "--json",
    )
    document = json.loads(type_it(*words)[1])
    assert not document["true"]
    moves = [row["moves_mm"][0] for row in document["rows"]]
    assert min(moves) >= -3.0
    assert max(moves) <= 6.35


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("second bandd", *MOVES), 'did you mean "second band"'),
        (("second band", "--move", "whorl.ofset"), "did you mean"),
        (("second band", "--move", "spindle along 0,0,0"), "needs a direction"),
        (("second band", "--move", "spindle along a,b,c"), '"a" is no number'),
        (("second band", "--move", "spindle along inf,0,0"), "has no direction"),
        (("second band", "--move", "whorl.offset from 1 to 2"), "free to move"),
        (("second band", "--move", "whorl.offset from here to there"), "is no length"),
        (("second band", *MOVES, "--write", "99", "x.toml"), "no row 99"),
    ],
)
def test_place_says_what_cannot_be_done(type_it, monkeypatch, tmp_path, words, says):
    monkeypatch.chdir(tmp_path)
    status, out, err = type_it("place", BOX, *words)
    assert (status, out) == (2, "")
    assert says in err
    assert not list(tmp_path.iterdir())


# --- tolerance -----------------------------------------------------------------------------------

FEW = ("--trials", "20000")


def test_tolerance_json_has_its_keys(type_it):
    status, out, err = type_it("tolerance", BOX, *FEW, "--json")
    document = json.loads(out)
    assert (status, err) == (0, "")
    keys = {"value", "standard_uncertainty", "expanded_uncertainty", "coverage", "shares"}
    assert keys <= set(document["ratio"])
    assert set(document["ratio"]["shares"][0]) == {"what", "share"}
    assert [b["name"] for b in document["bands"]] == ["first band", "second band"]


def test_tolerance_is_printed_for_people(type_it):
    status, out, _ = type_it("tolerance", BOX, *FEW)
    assert status == 0
    assert "whorl makes" in out
    assert "second band: to take up its spread spindle must slide" in out


def test_tolerance_takes_classes_and_own_tolerances(type_it, inches):
    def error(*words):
        found = type_it("tolerance", inches, *FEW, "--json", *words)
        return json.loads(found[1])["ratio"]["standard_uncertainty"]

    usual = error()
    assert error("--class", "f") < usual < error("--class", "c")
    assert error("--own", "whorl.rim=1/64 in") == error("--own", "whorl.rim=0.015625")
    assert error("--own", "whorl.rim=0.1 mm", "--own", "big = wheel.rim=0.1 mm") < usual
    assert error("--cord", "0.2") > usual


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--class", "x"), "no tolerance class"),
        (("--own", "whorl.rim"), "is no tolerance"),
        (("--own", "whorl.rim=wide"), "is no length"),
        (("--own", "whorl.rimm=0.1"), "did you mean"),
        (("--own", "whorl.rim=500"), "cannot be 500 mm off"),
        (("--own", "whorl.rim=-1"), "cannot be -1"),
        (("--own", "main.diameter=0.1"), "has no part"),
        (("--cord", "500 %"), "cord must be a fraction"),
        (("--slip", "some"), "is no fraction"),
        (("--coverage", "95"), "from 50 % to 99 %"),
        (("--twist-error", "0"), "above 0"),
    ],
)
def test_tolerance_says_what_cannot_be_done(type_it, words, says):
    status, out, err = type_it("tolerance", BOX, *words)
    assert (status, out) == (2, "")
    assert says in err
    assert "Traceback" not in err


def test_an_undriven_spindle_is_an_error_not_a_traceback(type_it, inches):
    text = INCHES.replace('route = ["big = wheel", "whorl"]', 'route = ["whorl", "idler"]')
    text += (
        '\n[[shaft]]\nname = "other"\nat = [15, 0, 0]\naxis = [0, 0, 1]\ndiameter = 0.25\n'
        '\n[[pulley]]\nname = "idler"\nshaft = "other"\noffset = 0.5\n'
        'groove = { shape = "round", rim = 1.2, depth = 0.12, radius = 0.06 }\n'
    )
    inches.write_text(text, encoding="utf-8")
    status, _, err = type_it("tolerance", inches)
    assert status == 2
    assert "not driven" in err


@pytest.mark.parametrize(("result", "told"), [("cut_length", True), ("cut_with_joint", False)])
def test_a_cut_length_is_told_to_be_without_its_joint(type_it, result, told):
    asked = f"first band.{result}=630"
    out = " ".join(type_it("find", str(BOX), "hub.rim", "for", asked)[1].split())
    says = "first band.cut_length is without the joint; what is cut is first band.cut_with_joint"
    assert (says in out) == told


def test_tolerance_tells_how_a_flyer_winds_on(type_it):
    file = str(DESIGNS / "flyer-wheel.toml")
    out = type_it("tolerance", file, "--trials", "10000")[1]
    for words in ("lead of the bobbin, %", "take-in, bobbin empty", "least twist, bobbin full",
                  "lead that must slip", "yarn pull, bobbin empty, N"):  # fmt: skip
        assert words in out
    told = json.loads(type_it("tolerance", file, "--trials", "10000", "--json")[1])["wind_on"]
    assert told["full"]["slip_share"]["value"] == pytest.approx(0.9328, abs=1e-4)
