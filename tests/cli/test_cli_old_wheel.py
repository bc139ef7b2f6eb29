"""``wheelgeo bands`` without a file, as somebody types it."""

import json
import math
import os
import subprocess
import sys

import pytest

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
    assert "whipped overlap, takes 1 3/16 in (30.0 mm)" in words
    assert "because it was not measured" in words


@pytest.mark.parametrize("wheel", ["21½ in", "21-1/2 in", '21 1/2"', "1 ft 9 1/2 in"])
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
    answers = ["", "1700", "1700 mm", "", "90 mm", "450 mm", "20 mm", "", "3 mm hemp cord", "n"]
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
    assert "# the rim moves sideways in all: 1/4 in" in file.read_text(encoding="utf-8")
    assert type_it("solve", file)[0] == 0


def test_a_band_at_hand_is_asked_for_in_a_sentence(type_it):
    said = [type_it("bands", *WHEEL, *CORD, "--have", have)[1]
            for have in ("74 1/2 in, 75 in", "I have a band of 74 1/2 in, and 75 in")]  # fmt: skip
    assert said[0] == said[1]


def test_what_is_told_twice_names_both(type_it):
    err = type_it("bands", *WHEEL, *CORD, "--girth", "60 in", "--edge-to-edge", "5 in")[2]
    assert "give --wheel or --girth, not both" in err
    assert "give one of --apart and --edge-to-edge" in err


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
                return told.pop(0)
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
