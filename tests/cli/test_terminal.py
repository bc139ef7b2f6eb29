"""What is printed on narrow terminals, without colour, and where nobody can read it."""

import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from wheelgeo_cli import common, terminal
from wheelgeo_cli.common import grouped, number, table

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
BOX = DESIGNS / "box-wheel.toml"
CODE = "from wheelgeo_cli.main import run; run()"


@pytest.mark.parametrize("columns", [40, 60, 200])
def test_no_name_and_no_cut_length_is_lost_on_a_narrow_terminal(on_a_terminal, type_it, columns):
    bands = json.loads(type_it("solve", BOX, "--json")[1])["bands"]
    for command in ("solve", "bands"):
        said = on_a_terminal(columns, command, BOX)
        lines = re.sub(r"\x1b\[[\d;]*m", "", said).splitlines()
        text = " ".join(" ".join(lines).split())
        for band in bands:
            assert band["name"] in text
            assert f"{grouped(band['cut_with_joint_mm'], 1)} mm" in text
            assert f"{grouped(band['length_mm'], 1)} mm" in text
        assert "…" not in text
        assert all(len(line) <= columns or " " not in line.strip() for line in lines)


def test_a_table_that_does_not_fit_becomes_a_list_of_the_same():
    rows = table("Band", ">cut", "kind")
    rows.add_row("first band", "637.8 mm", "cotton\nwaxed")
    rows.add_row("second band", "9 mm", "rubber")
    assert rows.lines(40) == [
        "Band              cut  kind",
        "─────────────────────────────",
        "first band   637.8 mm  cotton",
        "                       waxed",
        "second band      9 mm  rubber",
    ]
    assert rows.lines(28) == [
        "first band", "  cut: 637.8 mm", "  kind: cotton", "    waxed",
        "second band", "  cut: 9 mm", "  kind: rubber",
    ]  # fmt: skip


def test_wide_letters_take_two_columns_and_marks_none():
    assert terminal.cell_width("Rad") == 3
    assert terminal.cell_width("紡車") == 4
    assert terminal.cell_width("u\u0308") == 1


@pytest.mark.parametrize("name", ["NO_COLOR", "TERM"])
def test_neither_colour_nor_bold_where_it_is_not_wanted(on_a_terminal, tmp_path, name):
    wrong = tmp_path / "wheel.toml"
    wrong.write_text(BOX.read_text("utf-8").replace('twist = "Z"', 'twist = "S"'), "utf-8")
    assert "\x1b[1;31m" in on_a_terminal(80, "solve", wrong)
    assert "\x1b" not in on_a_terminal(80, "solve", wrong, **{name: "dumb"})


def test_thousands_are_set_apart_in_one_way():
    assert (grouped(8934.2), grouped(999.6), grouped(1945.62, 1)) == ("8 934", "1 000", "1 945.6")
    assert (grouped(-0.001, 2), number(None), number(1234.5, 1, " N")) == ("0.00", "-", "1 234.5 N")
    assert common.length(1945.62) == "1 945.6 mm (76 19/32 in)"


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(99.6, 2, "100"), (13333.3, 4, "13 330"), (9999.6, 4, "10 000"), (1333.3, 4, "1333"),
     (0.00002, 2, "0.00002"), (0.0466, 2, "0.047"), (-0.0, 2, "0")],
)  # fmt: skip
def test_figures_are_no_powers_of_ten_at_any_size(value, digits, text):
    assert common.figures(value, digits) == text


# --- where nobody can read it -------------------------------------------------------------------


@pytest.mark.parametrize("words", [("solve", BOX), ("solve", BOX, "--json"), ("--help",)])
def test_a_full_disk_is_said_with_status_2(words):
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    with Path("/dev/full").open("wb") as full:
        command = [sys.executable, "-c", CODE, *map(str, words)]
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 2
    assert done.stderr.decode().startswith("wheelgeo: ")
    assert done.stderr.endswith(b"No space left on device\n")


def test_closed_output_is_said_with_status_2():
    command = f"'{sys.executable}' -c '{CODE}' solve '{BOX}' >&-"
    done = subprocess.run(["/bin/sh", "-c", command], stderr=subprocess.PIPE, check=False)
    assert done.returncode == 2
    assert b"standard output is closed" in done.stderr
    assert done.stderr.count(b"\n") == 1


def test_closed_errors_do_no_harm():
    command = f"'{sys.executable}' -c '{CODE}' solve nofile.toml 2>&-"
    done = subprocess.run(["/bin/sh", "-c", command], stdout=subprocess.PIPE, check=False)
    assert (done.returncode, done.stdout) == (2, b"")


def test_errors_that_nobody_reads_keep_the_status():
    read, write = os.pipe()
    os.close(read)
    command = [sys.executable, "-c", CODE, "solve", "nofile.toml"]
    assert subprocess.run(command, stderr=write, check=False).returncode == 2
    os.close(write)


SLOW = ("retune", "designs/box-wheel.toml", "--ratio", "300", "--step", "0.01mm", "--json")
"""A search that takes seconds."""
ROOT = Path(__file__).parents[2]


BEGUN = """
import os
from wheelgeo_cli import main

obey = main.obey
main.obey = lambda words: (os.write(2, b"."), obey(words))
main.run()
"""
"""Tells when it is the program that an interrupt reaches, and no longer Python's own start."""


@pytest.mark.parametrize("wait", [0.0, 0.02, 0.1, 0.3])
def test_an_interrupt_leaves_no_traceback(wait):
    command = [sys.executable, "-c", BEGUN, *SLOW]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT
    ) as process:
        assert process.stderr.read(1) == b"."
        time.sleep(wait)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
    assert process.returncode in (130, -signal.SIGINT)
    assert out == b""
    assert b"Traceback" not in err


LOST = """
import time
from wheelgeo_cli import main

class Ends:
    def __del__(self):
        raise KeyboardInterrupt

class Named:
    def __set_name__(self, owner, name):
        raise KeyboardInterrupt

def as_an_object_ends(words):
    Ends()
    for _ in range(500):
        time.sleep(0.01)
    print("nobody heard")

def as_a_class_is_made(words):
    class Owner:
        name = Named()

main.obey = WHEN
main.run()
"""
"""An interrupt that comes where Python lets nothing out that is raised, or wraps it."""


@pytest.mark.parametrize("when", ["as_an_object_ends", "as_a_class_is_made"])
def test_no_interrupt_is_lost_in_what_python_does_by_itself(when):
    code = LOST.replace("WHEN", when)
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, check=False, timeout=20, cwd=ROOT
    )
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"")


@pytest.mark.parametrize("to", [("--to", ""), ("--to=",)])
def test_a_folder_of_no_name_is_a_fault(type_it, tmp_path, monkeypatch, to):
    monkeypatch.chdir(tmp_path)
    status, out, err = type_it("make", BOX, *to)
    assert (status, out) == (2, "")
    assert "names no folder" in err
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("command", ["solve", "bands", "check", "run"])
def test_every_command_says_in_one_way_what_was_assumed(type_it, command):
    out = type_it(command, BOX)[1]
    assert "\nAssumed, because the file does not say:\n" in out


def test_nothing_in_a_file_s_name_moves_the_terminal(type_it, tmp_path):
    evil = tmp_path / "a\x1b[31m\u202eb.toml"
    _, _, missing = type_it("solve", evil)
    evil.write_bytes(BOX.read_bytes())
    _, out, _ = type_it("solve", evil)
    for said in (missing, out):
        assert "\\x1b[31m\\u202eb.toml" in said
        assert not {"\x1b", "\u202e"} & set(said)
    assert terminal.tamed("Größe ½ ″ 9 mm\n") == "Größe ½ ″ 9 mm\n"


def test_no_number_is_parted_where_a_line_ends():
    text = "in place it is 81 11/16 in (2 074.8 mm) long, once round"
    for width in range(12, 40):
        lines = terminal.wrapped(text, width)
        assert " ".join(lines) == text
        assert any("81 11/16" in line for line in lines)
        assert any("2 074.8" in line for line in lines)
