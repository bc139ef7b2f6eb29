"""Shipped designs, spoilt at random, under every command that takes one.

Whatever stands in a file, a command answers it (0, of ``check`` 1) with one whole document, or
refuses it (2) in a few printable lines and writes nothing; it never ends in a traceback. The short
form runs with the suite; the long one (``-m long``) as many files as WHEELGEO_FUZZ says, from the
seed that WHEELGEO_SEED says, so that a night can go on where another ended.
"""

import json
import os
import random
import re
import time
import unicodedata
from pathlib import Path

import pytest

DESIGNS = Path(__file__).parents[2] / "designs"
TEXTS = [p.read_text(encoding="utf-8") for p in sorted(DESIGNS.glob("*.toml"))]
QUICK = ("solve", "bands", "yarn")
MECHANICS = ("check", "run")
SEARCHES = ("find", "tolerance", "measure", "place")
ODD = (
    "0", "-1", "1e308", "-1e-308", "nan", "inf", "-inf", "1e999", '""', '"x"', "[]", "{}", "[1]",
    "true", '"3/0 in"', '"1/3 in"', '"-4 1/2 in"', '"5 %"', '"2 +- 1 mm"', '"60 rpm"', '"\\u202e"',
    '"\\u0007"', "[0, 0, 0]", "[nan, 0, 0]", '{ shape = "flat", rim = 3 }', "1979-05-27", "0x10",
    '"cotton cord"', '"wheel"', '"hub"', '"against"', "1_000", "'''a\nb'''", '"9 N"', "[[]]",
)  # fmt: skip
UNSHOWN = {"Cc", "Cf", "Cs", "Zl", "Zp"}
"""Kinds of character that steer a terminal or show nothing (Unicode's general categories)."""
LONGEST_S = 40.0
"""Processor seconds that one command may take, whatever the file; remedies have less."""


def spoilt(chance, text):
    """Return a text with one to four things changed, so that most of it still reads."""
    lines = text.splitlines()
    for _ in range(chance.choice((1, 1, 1, 2, 3, 4))):
        at = chance.randrange(len(lines))
        kind = chance.randrange(9)
        if kind == 0:
            del lines[at]
        elif kind == 1:
            lines.insert(at, chance.choice(lines))
        elif kind == 2 and "=" in lines[at]:
            lines[at] = f"{lines[at].partition('=')[0]}= {chance.choice(ODD)}"
        elif kind == 3:
            numbers = list(re.finditer(r"-?\d+(\.\d+)?", lines[at]))
            if numbers:
                one = chance.choice(numbers)
                factor = chance.choice((0, -1, 0.01, 0.5, 0.9, 1.1, 2, 100, 1e6))
                value = f"{float(one[0]) * factor:g}"
                lines[at] = lines[at][: one.start()] + value + lines[at][one.end() :]
        elif kind == 4:
            other = chance.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        elif kind == 5 and lines[at]:
            i = chance.randrange(len(lines[at]))
            letter = chance.choice("\"'[]{}=,.#\\\0\x1b\u200b\ud7ff0aé ")
            lines[at] = lines[at][:i] + letter + lines[at][i + 1 :]
        elif kind == 6:
            block = lines[at : at + chance.randrange(1, 9)]
            lines[chance.randrange(len(lines)) : 0] = block
        elif kind == 7:
            del lines[at : at + chance.randrange(1, 9)]
        else:
            names = re.findall(r'"([a-z ]+)"', text)
            if names and '"' in lines[at]:
                new = f'"{chance.choice(names)}"'
                lines[at] = re.sub(r'"[a-z ]+"', lambda _, new=new: new, lines[at], count=1)
        lines = lines or [""]
    return "\n".join(lines)


def words_for(chance, commands):
    command = chance.choice(commands)
    file = ("FILE",)
    if command == "find":
        what = chance.choice((("--list",), ("whorl.rim", "for", "ratio=120"),
                              ("second band.stretch", "for", "second band.cut_length=400")))
        return (command, *file, *what, "--json")
    if command == "tolerance":
        return (command, *file, "--trials", "10000", "--json")
    if command == "place":
        return (command, *file, "second band", "--move", "whorl.offset", "--json")
    return (command, *file, "--json")


def attack(typed, folder, seed, count, commands):
    chance = random.Random(seed)
    file = folder / "wheel.toml"
    answered = 0
    for number in range(count):
        text = spoilt(chance, chance.choice(TEXTS))
        file.write_text(text, encoding="utf-8", newline="")
        words = words_for(chance, commands)
        where = f"seed {seed}, file {number}: {' '.join(words)}"
        start = time.process_time()
        status, out, err = typed(*(file if w == "FILE" else w for w in words))
        assert time.process_time() - start < LONGEST_S, where
        assert "Traceback" not in err, where
        if status == 2:
            assert out == "", where
            assert err.startswith("wheelgeo: "), where
            assert len(err) < 20_000, where
            assert not {unicodedata.category(c) for c in err.replace("\n", "")} & UNSHOWN, where
        else:
            assert status == 0 or (status == 1 and words[0] == "check"), where
            json.loads(out, parse_constant=lambda name, w=where: pytest.fail(f"{name} in {w}"))
            answered += 1
        assert sorted(p.name for p in folder.iterdir()) == ["wheel.toml"], where
    return answered


@pytest.mark.parametrize(
    ("seed", "count", "commands"),
    [(1, 120, QUICK), (2, 30, MECHANICS), (5, 24, SEARCHES)],
)
def test_spoilt_files_are_answered_or_refused(typed, tmp_path, seed, count, commands):
    assert attack(typed, tmp_path, seed, count, commands) > 0


@pytest.mark.long
def test_spoilt_files_by_the_thousand(typed, tmp_path):
    count = int(os.environ.get("WHEELGEO_FUZZ", "2000"))
    seed = int(os.environ.get("WHEELGEO_SEED", "100"))
    attack(typed, tmp_path, seed, count, (*QUICK, *QUICK, *MECHANICS, *SEARCHES))
