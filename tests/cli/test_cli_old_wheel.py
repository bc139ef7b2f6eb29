"""``wheelgeo bands`` without a file, as somebody types it."""

import json
import math
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.tune.old_wheel_design import BAND_THAT_FITS
from wheelgeo.units.written import in_both

PAGE = Path(wheelgeo.__file__).parent / "page" / "files"
WHEEL = ["--wheel", "21 1/2 in", "--groove", "1/4 in", "--whorl", "1 3/8 in",
         "--whorl-groove", "3/16 in", "--apart", "17 3/4 in"]  # fmt: skip
CORD = ["--cord", "3 mm cotton cord"]


def test_the_parts_of_the_uncertainty_and_the_joint_are_told(type_it):
    code, out, _ = type_it("bands", *WHEEL, *CORD)
    words = " ".join(out.split())
    assert code == 0
    assert "Cut the cord 76 9/32 in (1 937.5 mm) long" in words
    assert "from measuring ± " in words
    assert "from the cord's stretch ± " in words
    assert "(their squares add up)" in words
    assert "whipped overlap, takes 1 3/16 in (30.0 mm)" in words
    assert "because it was not measured" in words


def test_what_makes_nothing_unsure_and_what_takes_no_cord_are_not_told_as_0_mm(type_it):
    fits = ("--wheel", "620 mm", "--whorl", "41 mm", "--fits", "2200 mm cord",
            "--cord", "3.5 mm leather cord")  # fmt: skip
    words = " ".join(type_it("bands", *fits)[1].split())
    assert "all of it from measuring. In place" in words
    assert "Or hook: takes nothing, 40 %" in words
    assert " 0.0 mm" not in words


def test_a_saved_wheel_has_the_numbers_that_were_typed_and_slides_in_their_unit(type_it, tmp_path):
    file = tmp_path / "old.toml"
    assert type_it("bands", *WHEEL, *CORD, "--slide", "3/4 in", "--save", file)[0] == 0
    saved = file.read_text(encoding="utf-8")
    assert 'rim = "21.5 in +- 3 mm", depth = "0.25 in +- 0.5 mm"' in saved
    assert 'at = ["17.75 in +- 3 mm", 0, 0]' in saved
    assert "# reading of wheel: ± 0.118 in (3.0 mm)" in saved
    assert "spindle slides from -3/8 in to 3/8 in: the band" in type_it("bands", file)[1]


@pytest.mark.parametrize("wheel", [
    "21½ in", "21-1/2 in", '21 1/2"', "1 ft 9 1/2 in", "21 1/2 inches", "1 foot 9 1/2 inches",
    "546.1 millimetres",
])  # fmt: skip
def test_inches_as_people_write_them(type_it, wheel):
    def length(text):
        document = json.loads(type_it("bands", "--wheel", text, *WHEEL[2:], *CORD, "--json")[1])
        return document["bands"][0]["length_mm"]

    assert length(wheel) == pytest.approx(length("546.1 mm"))


def test_where_on_the_slide_to_tie(type_it):
    """Two wheels of one size: 10 mm less apart is 20 mm less of band."""
    words = " ".join(type_it("bands", "--wheel", "500 mm", "--whorl", "500 mm", "--apart", "600 mm",
                             *CORD, "--slide", "20 mm")[1].split())  # fmt: skip
    middle, near = ((math.pi * 503 + 2 * apart) / 1.02 + 30 for apart in (600, 590))
    assert f"Cut the cord {middle:,.1f} mm".replace(",", " ") in words
    assert f"next to the wheel and cut {near:,.1f} mm".replace(",", " ") in words


def test_without_a_terminal_too_little_is_said_and_2(type_it):
    code, out, err = type_it("bands", "--wheel", "21 1/2 in")
    assert (code, out) == (2, "")
    assert "--whorl" in err
    assert "--apart" in err


def test_it_asks_for_girths_and_slides_on_a_terminal():
    pty = pytest.importorskip("pty")
    ours, theirs = pty.openpty()
    code = "from wheelgeo_cli.main import run; run()"
    answers = ["", "1700", "1700 mm", "", "", "90 mm", "", "450 mm", "20 mm", "",
               "3 mm hemp cord", "n"]  # fmt: skip
    command = [sys.executable, "-c", code, "bands"]
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs) as asked:
        os.close(theirs)
        said, given = b"", 0
        while True:
            try:
                piece = os.read(ours, 65536)
            except OSError:  # the program has ended
                break
            if not piece:
                break
            said += piece
            if said.rstrip().endswith((b":", b"(y/N):")) and given < len(answers):
                os.write(ours, answers[given].encode() + b"\n")
                given += 1
        asked.wait()
    os.close(ours)
    text = said.decode()
    assert given == len(answers)
    assert "a length needs its unit" in text  # 1700 was asked for once more
    assert "Cut the cord" in text
    assert asked.returncode == 0


def test_what_no_key_of_a_file_holds_is_kept_as_a_comment(type_it, tmp_path):
    file = tmp_path / "old.toml"
    status, _, err = type_it("bands", *WHEEL, *CORD, "--wobble", "1/4 in", "--save", file)
    assert (status, err) == (0, "")
    saved = file.read_text(encoding="utf-8")
    assert "# the rim moves sideways in all: 1/4 in" in saved
    assert "# shape of the grooves: vees of 60°" in saved
    assert '# stretch of band "drive band": 2 %' in saved
    assert '# slip of band "drive band": 0 %' in saved
    assert "(the file " not in saved  # there was none: where each comes from is told
    driven = "by a treadle, clockwise, seen from the back, at 60 rpm"
    assert f"# how the wheel is driven: {driven}" in saved
    for shaft, diameter in re.findall(r'name = "(axle|spindle)".*?diameter = "(.*?)"', saved, re.S):
        mm = float(diameter.removesuffix(" mm"))
        assert f'# diameter of shaft "{shaft}": {in_both(mm, "in")}: measure it' in saved
    told = type_it("bands", *WHEEL, *CORD, "--axle", "20 mm", "--rod", "6 mm", "--save",
                   tmp_path / "rods.toml")  # fmt: skip
    assert told[0] == 0
    assert "# diameter of" not in (tmp_path / "rods.toml").read_text(encoding="utf-8")
    assert type_it("solve", file)[0] == 0


def test_a_band_at_hand_is_asked_for_in_a_sentence(type_it):
    said = [type_it("bands", *WHEEL, *CORD, "--have", have)[1]
            for have in ("74 1/2 in, 75 in", "I have a band of 74 1/2 in, and 75 in")]  # fmt: skip
    assert said[0] == said[1]


def test_what_is_told_twice_names_both(type_it):
    err = type_it("bands", *WHEEL, *CORD, "--girth", "60 in")[2]
    assert "give --wheel or --girth, not both" in err
    out = " ".join(type_it("bands", *WHEEL, *CORD, "--edge-to-edge", "8 in")[1].split())
    assert "they differ by 1 11/16 in (42.9 mm), more than their ±" in out
    assert out.index("they differ by") < out.index("Cut the cord")  # before it is cut by


@pytest.mark.parametrize(
    ("wheel", "whorl", "told", "assumed"),
    [
        (("--girth", "1668.2"), ("--whorl", "38"),
         "a thread that lay on the bottom of the wheel's groove, as in a round one, and for a vee "
         "as the whorl's groove, the cord held between its sides.",
         ("shape of the whorl's groove: a vee of 60°", "the thread of the wheel's girth lay: on")),
        (("--wheel", "545"), ("--whorl-girth", "100"),
         "a vee as the wheel's groove, the cord held between its sides, and for a thread that lay "
         "on the bottom of the whorl's groove, as in a round one.",
         ("shape of the wheel's groove: a vee of 60°", "the thread of the whorl's girth lay: on")),
        (("--wheel", "545", "--groove-shape", "round"),
         ("--whorl", "38", "--whorl-shape", "unknown"),
         "a vee as the whorl's groove, the cord held between its sides.",
         ("shape of the whorl's groove: a vee of 60°",)),
        (("--wheel", "545"), ("--whorl", "38"),
         "a vee, the cord held between its sides, at wheel and whorl.",
         ("shape of the grooves: vees of 60°",)),
    ],
)  # fmt: skip
def test_what_is_told_of_grooves_is_what_each_was_taken_for(type_it, wheel, whorl, told, assumed):
    typed = (*wheel, "--groove", "7", *whorl, "--whorl-groove", "5", "--apart", "610", *CORD)
    words = " ".join(type_it("bands", *typed, "--unit", "mm")[1].split())
    assert f"All that is for {told} Look into" in words
    shapes = [s for s in ("shape of the", "where the thread of") if s in words]
    assert len(shapes) == len(assumed)
    for text in assumed:
        assert text in words


def test_where_no_band_at_hand_fits_what_would_is_told(type_it):
    out = " ".join(type_it("bands", *WHEEL, *CORD, "--have", "60 in, 7 ft")[1].split())
    assert "None of these fits" in out
    assert "cut 76 9/32 in (1 937.5 mm), joint included" in out


def test_answers_that_end_early_end_the_command(type_it, monkeypatch):
    def ended(_question):
        raise EOFError

    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", ended)
    status, _, err = type_it("bands")
    assert status == 2
    assert "the answers ended" in err
    assert "Traceback" not in err


@pytest.fixture
def asked(type_it, monkeypatch):
    """Type a command on a terminal, answer by the beginning of each question; what was asked."""

    def do(answers, *words):
        questions = []

        def answer(question):
            questions.append(question.strip())
            told = next((a for q, a in answers.items() if question.strip().startswith(q)), "")
            if isinstance(told, list):
                return told.pop(0) if told else ""
            return told

        monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
        monkeypatch.setattr("builtins.input", answer)
        return questions, *type_it(*words)

    return do


SAID = {"a ": "21 1/2 in", "b ": "1/4 in", "c ": "1 3/8 in", "d ": "3/16 in", "e ": "17 3/4 in",
        "The cord": "3 mm cotton cord"}  # fmt: skip


def test_what_is_told_is_carried_into_the_questions_and_not_asked_again(asked, type_it):
    whole = type_it("bands", *WHEEL, *CORD, "--crossed")[1]
    questions, status, out, _ = asked(SAID, "bands", "--crossed")
    assert status == 0
    assert not [q for q in questions if "band cross" in q or "twice" in q]
    assert out.endswith(whole)
    questions, _, out, _ = asked(SAID, "bands", "--crossed", *WHEEL[:6])
    assert not [q for q in questions if q[:2] in ("a ", "b ", "c ")]
    assert [q for q in questions if q[:2] in ("d ", "e ")]
    assert out.endswith(whole)


def test_who_cannot_measure_the_distance_one_way_is_asked_another(asked):
    said = {**SAID, "e ": ["", "17 3/4 in"]}
    questions, status, out, _ = asked(said, "bands")
    ways = [i for i, q in enumerate(questions) if "Then" in q]
    assert status == 0
    assert ["near edges" in questions[i] for i in ways] == [True, False]
    assert "one of these is needed" in out
    assert "Cut the cord" in out


def test_who_is_asked_for_a_band_that_fits_is_told_what_that_is_and_how_it_is_measured(asked):
    said = {**SAID, "e ": "", "Or a band": "75 in loop"}
    _, status, out, _ = asked(said, "bands")
    words = " ".join(out.split())
    assert status == 0
    assert words.count(BAND_THAT_FITS) == 1
    _, _, out, _ = asked(SAID, "bands")  # not of those who measured the distance
    assert "A band that fits?" not in out


def test_the_page_tells_of_a_band_that_fits_in_the_same_words():
    """And means what is reckoned: a band off the wheel is shorter than its path by the stretch."""
    assert (PAGE / "oldwheel.js").read_text(encoding="utf-8").count(BAND_THAT_FITS) == 1
    long = wheelgeo.old_wheel(wheel="500 mm", whorl="50 mm", apart="450 mm",
                              cord="3 mm cotton cord").answer.bands[0]  # fmt: skip
    slack = wheelgeo.old_wheel(wheel="500 mm", whorl="50 mm", cord="3 mm cotton cord",
                               fits=f"{long.cut_length_mm:.3f} mm loop")  # fmt: skip
    assert slack.wheel.get("spindle.at.x") == pytest.approx(450.0, abs=0.01)


DOUBLE = ["--wheel", "19 1/4 in", "--groove", "3/16 in", "--whorl", "2 1/8 in", "--whorl-groove",
          "3/16 in", "--double", "1 5/8 in", "--apart", "15 1/2 in", "--cord", "2 mm cotton cord",
          "--slide", "1 in"]  # fmt: skip


def test_a_double_drive_tells_both_ratios_and_how_the_cord_lies(type_it):
    out = " ".join(type_it("bands", *DOUBLE)[1].split())
    shafts = {s["name"]: s for s in json.loads(type_it("bands", *DOUBLE, "--json")[1])["shafts"]}
    flyer, bobbin = (shafts[n]["turns_per_drive_turn"] for n in ("flyer", "bobbin"))
    assert f"{flyer:.2f} ± " in out
    assert f"turns of the flyer and {bobbin:.2f} of the bobbin" in out
    assert f"the bobbin gains {bobbin - flyer:.2f}" in out
    assert "goes twice round" in out
    assert "groove of the bobbin's whorl: as deep as the whorl's" in out


def test_a_knot_is_tied_with_a_hand_more_at_each_end(type_it):
    out = " ".join(type_it("bands", *WHEEL, *CORD, "--joint", "knot")[1].split())
    assert "4 in (101.6 mm) more at each end to tie by" in out
    assert "the marks meet" in out
    assert "Mark the band's own length" in out


def test_a_knotted_cord_is_one_length_everywhere(type_it, tmp_path):
    """What is told to be taken off the reel fits when it is said to be at hand, tails and all."""
    knot, file = [*WHEEL, *CORD, "--joint", "knot"], tmp_path / "old.toml"
    document = json.loads(type_it("bands", *knot, "--save", file, "--json")[1])
    (band,) = document["bands"]
    reel = band["cut_with_joint_mm"] + 2 * 101.6  # a hand at each end
    shown = f"({reel:,.1f} mm)".replace(",", " ")
    for said in (("bands", *knot), ("solve", file), ("bands", file), ("solve", file, file),
                 ("measure", file)):  # fmt: skip
        assert f"{shown} off the reel" in " ".join(type_it(*said)[1].split())
    options = json.loads(type_it("retune", file, "--ratio", "12", "--json")[1])["options"]
    assert options
    for new in options:
        for one in new["bands"]:
            assert one["off_reel_mm"] == pytest.approx(one["cut_with_joint_mm"] + 203.2)
    assert band["off_reel_mm"] == pytest.approx(reel)
    have = json.loads(type_it("bands", *knot, "--have", f"{reel} mm", "--json")[1])
    (one,) = have["bands"]
    assert one["slack_length_mm"] == pytest.approx(band["cut_length_mm"])
    fits = json.loads(type_it("bands", *WHEEL[:-2], *CORD, "--joint", "knot", "--fits",
                              f"{reel} mm off the reel", "--json")[1])  # fmt: skip
    assert fits["bands"][0]["length_mm"] == pytest.approx(band["length_mm"])


def test_a_ring_is_taken_and_neither_cut_nor_tied(type_it):
    ring = ["--wheel", "14 in", "--whorl", "1 3/8 in", "--apart", "12 in", "--slide", "1 in",
            "--cord", "3.53 mm nitrile ring"]  # fmt: skip
    for more in ((), ("--have", "900 mm")):
        out = " ".join(type_it("bands", *ring, *more)[1].split())
        assert "ake a ring " in out
        assert "the nearest standard ring known here is -2" in out
        assert re.search(r"[0-9.]+ x 0\.139 in \([0-9.]+ x 3\.53 mm\)", out)
        assert "cut " not in out.replace("cut ±", "")
    assert "from memory" in type_it("bands", *ring, "--have", "rings")[1]


def test_a_band_at_hand_is_told_as_what_it_is_taken(type_it):
    """The band of these four measurements, as a loop: 2 %; as a cord it would be 30 mm shorter."""
    loop, cord = (" ".join(type_it("bands", *WHEEL, *CORD, "--have", have)[1].split())
                  for have in ("75 7/64 in loop", "75 7/64 in"))  # fmt: skip
    assert "loop, once round" in loop
    assert "2.0 %" in loop
    assert "fits now, too long after some months" in loop
    assert "cord to join, 1 3/16 in (30.0 mm) of it in the joint" in cord
    assert "too short" in cord
    for said in (loop, cord):  # beside what is at hand, what to cut
        assert "Cut the cord 76 9/32 in (1 937.5 mm) long" in said
        assert "cut ± " in said
    assert 'told as a loop: "76 in loop"' in cord


def test_beside_bands_at_hand_faults_and_files_are_told(type_it, tmp_path):
    file, card = tmp_path / "old.toml", tmp_path / "card.html"
    aslant = [*WHEEL, *CORD, "--aside", "4 in", "--mouth", "1/8 in", "--save", file, "--card", card]
    code, out, _ = type_it("bands", *aslant, "--have", "polyurethane cord")
    assert (code, out) == (2, "")  # it has no thickness
    assert not file.exists()
    words = " ".join(type_it("bands", *aslant, "--have", "75 in loop")[1].split())
    assert "FAULT spinning, band \"drive band\" arrives at" in words
    assert "The wheel is written to" in words
    assert "The card is written to" in words
    cards = tmp_path / "cards.html"
    assert "The cards are written to" in type_it("bands", file, "--card", cards)[1]
    assert "drive band" in cards.read_text(encoding="utf-8")
    json.loads(type_it("bands", file, "--card", tmp_path / "more.html", "--json")[1])
    faulty = " ".join(type_it("bands", file, "--have", "75 in loop")[1].split())
    assert "FAULT spinning, band \"drive band\" arrives at" in faulty


def test_a_band_that_fits_stands_in_for_the_distance(type_it):
    status, out, _ = type_it("bands", *WHEEL[:-2], *CORD, "--fits", "75 3/32 in loop")
    assert status == 0
    assert "axle and spindle are 17 3/4 in (450.8 mm)" in " ".join(out.split())
    status, _, err = type_it("bands", *WHEEL[:-2], *CORD, "--have", "76 in")
    assert status == 2
    for way in ("--apart", "--edge-to-edge", "--over-axles", "--fits"):
        assert way in err


def test_places_on_the_slide_are_nearer_or_farther(type_it):
    out = " ".join(
        type_it("bands", *WHEEL, *CORD, "--slide", "2 in", "--have", "76 9/32 in")[1].split()
    )
    assert "29/64 in nearer to 29/64 in farther" in out
    assert "-29/64" not in out


def test_an_error_after_all_answers_takes_none_of_them_away(asked):
    """Axles nearer than the radii: only the distance is told anew, Enter keeps the rest."""
    said = {key: [text, ""] for key, text in SAID.items()}
    said["e "] = ["5 in", "17 3/4 in"]
    said["Does the band cross?"] = ["n", ""]
    questions, status, out, _ = asked(said, "bands")
    assert status == 0
    assert "no band fits what was measured" in out
    assert "Enter keeps what stands in brackets" in out
    assert [q for q in questions if q.startswith("c ") and q.endswith("[1 3/8 in]:")]
    assert "Cut the cord 76 9/32 in" in out


def test_a_wrong_answer_can_be_taken_away(asked):
    said = {**SAID, "b ": ["12 in", "-"], "e ": ["17 3/4 in", ""]}
    said |= {key: [SAID[key], ""] for key in ("a ", "c ", "d ", "The cord")}
    _, status, out, _ = asked(said, "bands")
    assert status == 0
    assert "reaches the middle" in out
    assert out.count("Cut the cord") == 1


def test_a_whorl_that_nobody_looked_into_has_no_shape_of_the_wheels(asked, type_it):
    """Enter at the whorl's shape is no answer; with the command one shape is that of both."""
    said = asked({**SAID, "Its shape": ["vee", ""]}, "bands")
    assert "Look into the groove of the whorl" in " ".join(said[2].split())
    alike = type_it("bands", *WHEEL, *CORD, "--groove-shape", "vee", "--whorl-shape", "unknown")[1]
    assert said[2].endswith(alike)
    both = type_it("bands", *WHEEL, *CORD, "--groove-shape", "vee")[1]
    assert "Look into" not in both


@pytest.mark.parametrize("no", ["no", "None", "0", "-"])
def test_no_is_an_answer(asked, no):
    plain = asked(SAID, "bands")
    said = asked({**SAID, "f ": no, "Band twice round": no}, "bands")
    assert said == plain


def test_shapes_and_a_band_that_fits_are_asked_for(asked):
    said = {**SAID, "e ": "", "Its shape": "r", "Or a band that fits": "75 in loop"}
    questions, status, out, _ = asked(said, "bands")
    assert status == 0
    assert sum(q.startswith("Its shape") for q in questions) == 2
    assert "By the band that fits" in out
    assert "look into the grooves" not in out.casefold()


@pytest.mark.parametrize("slide", ["1/4 in", "3/4 in", "2 in"])
def test_room_to_grow_is_judged_alike_for_the_band_and_for_one_at_hand(type_it, slide):
    told = ("bands", *WHEEL, *CORD, "--slide", slide)
    band = " ".join(type_it(*told)[1].split())
    (hand,) = json.loads(type_it(*told, "--have", "76 9/32 in", "--json")[1])["bands"]
    assert ("may fall to 1 %: enough" in band) == hand["lasts"]
    assert ("may fall to 1 %: not enough" in band) != hand["lasts"]


@pytest.mark.parametrize(("apart", "minds"), [("177 in", True), ("4 ft", False)])
def test_axes_far_apart_are_minded(type_it, apart, minds):
    """A point forgotten: 177 in is 8 wheels of 21 1/2 in, 4 ft is 2."""
    out = " ".join(type_it("bands", *WHEEL[:-1], apart, *CORD)[1].split())
    assert ("8 times the wheel's diameter" in out and "did you mean 17.7 in" in out) == minds


@pytest.mark.parametrize(
    ("more", "minds"),
    [(["--apart", "17 3/4 +- 9 in"], "within the ± of apart there may be no band"),
     (["--slide", "14 in"], "the whorl would run into the wheel"),
     (["--joint", "90 in"], "the joint takes 90 in"), ([], "")],
)  # fmt: skip
def test_what_somebody_should_measure_again_is_minded(type_it, more, minds):
    whole = WHEEL if "--apart" not in more else WHEEL[:-2]
    status, out, _ = type_it("bands", *whole, *CORD, *more)
    assert status == 0
    assert minds in " ".join(out.split())
    assert ("Mind:" in out) == bool(minds)
    assert not minds or out.index("Mind:") < out.index("Cut the cord"), "before anything is cut"
    assert ("How sure" in out) == ("± of" not in minds)


def test_cotton_by_itself_is_cotton_cord(type_it):
    said = [type_it("bands", *WHEEL, "--cord", f"3 mm {c}") for c in ("cotton", "cotton cord")]
    assert said[0] == said[1]
    assert said[0][0] == 0


def test_who_measures_in_inches_is_answered_in_inches(type_it):
    out = type_it("bands", *WHEEL, "--cord", "1/8 in rubber cord", "--wobble", "1/4 in")[1]
    words = " ".join(out.split())
    assert "in for every inch of the hub's length" in words
    assert "reading of apart: ± 0.118 in (3.0 mm)" in words
    assert "buy rubber cord 0.131 in (3.33 mm) thick" in words  # 1/8 in times the root of 1.1
    over = [*WHEEL[:-2], *CORD, "--over-axles", "18 1/2 in"]
    words = " ".join(type_it("bands", *over)[1].split())
    assert "diameter of the axle: 35/64 in (14.0 mm) ± 5/64 in (2.0 mm)" in words
    sure = re.search(r"ow sure \(95 %\): .*? In place ± .*? in", words)[0]
    assert len(re.findall(r"± \S+ in", sure)) == 4
    assert len({"/" in told for told in re.findall(r"± (\S+) in", sure)}) == 1


def test_how_tight_a_band_is_told_with_a_test_for_the_thumb(type_it):
    """Against a string of two straight halves that hold the push between them, solved exactly."""
    said = ["--wheel", "500 mm", "--whorl", "500 mm", "--apart", "600 mm", *CORD]
    out = " ".join(type_it("bands", *said)[1].split())
    pull = 300 * math.pi / 4 * 3.0**2 * 0.02  # cotton cord of 300 MPa, 2 %
    assert f"each run pulls with about {pull:.0f} N (as {pull / 9.80665:.2g} kg weigh)" in out
    low, high = 0.0, 100.0
    for _ in range(60):  # halving for 2 T sin(lean) = F
        sag = 0.5 * (low + high)
        low, high = (sag, high) if 2 * pull * sag / math.hypot(sag, 300) < 4.903325 else (low, sag)
    gives = re.search(r"a run of 600\.0 mm .* then gives about ([0-9.]+) mm", out)
    assert float(gives[1]) == pytest.approx(sag, rel=0.01)


def test_a_saved_wheel_tells_where_its_distance_comes_from(type_it, tmp_path):
    file = tmp_path / "old.toml"
    type_it("bands", *WHEEL[:-2], *CORD, "--fits", "75 in loop", "--save", file)
    text = file.read_text(encoding="utf-8")
    assert "axes is reckoned from a band that fits, 75 in loop" in text
    words = " ".join(type_it("bands", *WHEEL[:-2], *CORD, "--fits", "75 in loop")[1].split())
    sure = re.search(r"ow sure \(95 %\): cut .*? In place ± [^(]*\([^)]*\)", words)
    for said in ("bands", "solve"):
        assert sure[0] in " ".join(type_it(said, file)[1].split())
    plain = tmp_path / "plain.toml"
    type_it("bands", *WHEEL, *CORD, "--save", plain)
    assert "is reckoned from" not in plain.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "way", [("--apart", "16 1/4"), ("--edge-to-edge", "5 7/8"), ("--over-axles", "16 11/16")]
)
def test_a_distance_told_twice_is_credited_to_the_way_that_gave_it(type_it, tmp_path, way):
    file = tmp_path / "old.toml"
    told = ["--wheel", "18 1/2 +- 1/16", "--whorl", "2 1/4", *way, "--fits", "71 1/4 loop",
            "--slide", "1/2", *CORD, "--unit", "in", "--save", file]  # fmt: skip
    words = " ".join(type_it("bands", *told)[1].split())
    assert "by a band that fits: they differ by" in words
    assert "By the band that fits" not in words
    assert "the spindle where you measured" in words
    text = file.read_text(encoding="utf-8")
    assert "reckoned from a band that fits" not in text
    assert ("reckoned from the near edges" in text) == (way[0] == "--edge-to-edge")


def test_lengths_without_a_unit_are_refused_together_with_what_to_type_instead(type_it):
    """The lines that are told do what they say: they are typed again as they stand."""
    bare = ["--wheel", "22", "--groove", "1/4", "--whorl", "2 in", "--apart", "19", *CORD]
    status, out, err = type_it("bands", *bare)
    assert (status, out) == (2, "")
    assert err.count("no unit") == 1
    assert "wheel 22 and apart 19 have no unit" in err
    lines = [line.strip() for line in err.splitlines() if line.startswith("    wheelgeo ")]
    lengths = []
    for line, per_unit in zip(lines, (25.4, 1.0), strict=True):
        words = shlex.split(line)[1:]
        assert words[-2:] == ["--unit", "in" if per_unit == 25.4 else "mm"]
        told = type_it(*words, "--json")
        lengths.append(json.loads(told[1])["bands"][0]["length_mm"] if told[0] == 0 else told[2])
    in_full = ["22 in" if w == "22" else "19 in" if w == "19" else w for w in bare]
    whole = json.loads(type_it("bands", *in_full, "--json")[1])["bands"][0]["length_mm"]
    assert lengths[0] == pytest.approx(whole)
    assert "no unit" not in str(lengths[1])  # 22 mm and 2 in are no wheel: that is told instead


def test_one_length_without_a_unit_stands_beside_what_else_is_wrong(type_it):
    status, _, err = type_it("bands", "--wheel", "-3 in", "--whorl", "3", "--apart", "9 in", *CORD)
    assert status == 2
    assert "wheel: -3 in is not more than 0" in err
    assert "whorl 3 has no unit" in err
