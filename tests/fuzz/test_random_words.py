"""Words put together at random after every command: fit ones, hostile ones, and any mix of them.

Whatever is typed is answered (0, of ``check`` 1 too) or refused (2) in a few printable lines; with
``--json`` an answer is one whole document. It never ends in a traceback, and what is refused leaves
no file behind. The short form runs with the suite; the long one (``-m long``) types as many lines
as WHEELGEO_FUZZ says, from the seed that WHEELGEO_SEED says.
"""

import json
import os
import random
import shutil
import time
import unicodedata
from pathlib import Path

import pytest

from wheelgeo_cli import main
from wheelgeo_cli.arguments import Argument, parameters

DESIGNS = Path(__file__).parents[2] / "designs"
WHEELS = [str(p) for p in sorted(DESIGNS.glob("*.toml"))]
BRIEFS = [str(p) for p in sorted((DESIGNS / "briefs").glob("*.toml"))]
HAND = [str(p) for p in sorted((DESIGNS / "spindles").glob("*.toml"))]
SLOW = ("retune", "size", "make", "measure")
QUICK = tuple(c for c in main.SHORT if c not in ("open", *SLOW))
LENGTHS = ("21 1/2 in", "2 in", "1/4 in", "3 mm", "17 3/4 +- 1/8 in", "500 mm", "0.5 m", "40")
OLD_WHEEL = ("--wheel", "21 1/2 in", "--whorl", "1 3/8 in", "--apart", "17 3/4 in",
             "--cord", "3 mm cotton cord")  # fmt: skip
VALUES = {
    "LENGTH": LENGTHS, "SHAPE": ("vee", "round", "worn"), "CORD": ("3 mm cotton cord", "2 mm hemp"),
    "BAND": ("75 in loop", "76 in cord", "second band", "first band", "drive band"),
    "JOINT": ("splice", "knot", "20 mm"), "LENGTHS": ("72 in, 1850 mm", "rings", "-264", "in"),
    "COUNT": ("40 Nm", "2/28 Nm", "25 tex", "30 Ne x 2", "100 den"), "SPEED": ("50 rpm", "2 Hz"),
    "SIZES": ("0.5 mm", "6 mm, 8 mm, 3/8 in"), "RIMS": ("10, 12, 16 mm", "9"),
    "PULLEY": ("whorl", "wheel", "hub", "rim", "flyer whorl"), "NUMBER": ("1", "3", "12", "900"),
    "PART": ("5 %", "0.02"), "MASS": ("5.1 g", "5.1 +- 0.1 g"), "FIBRE": ("wool", "silk"),
    "SIZE": ("21 um", "4.2 micronaire"), "WAY": ("hand", "rotor"), "STANDARD": ("ASTM D1909",),
    "WHAT": ("whorl.offset", "spindle along 1,0,0", "whorl.offset from -3 to 5"), "N": ("1", "2"),
    "NUMBER=PLUS-MINUS": ("whorl.rim=0.05", "hub.depth=1/64 in"), "SECONDS": ("1",),
    "UNKNOWN for RESULT=VALUE": ("whorl.rim", "for", "ratio=150", "second band.length=16 3/4 in"),
    "WARP|FILE": ("40 Nm", *WHEELS[:2]), "COUNT|FILE": ("40 Nm", *WHEELS[:2]),
    "[COUNT|FILE]": ("40 Nm", *WHEELS[:2]), "BRIEF": BRIEFS, "SHAFT": ("main", "spindle"),
    "NAME": ("main", "ISO 6741-1", "box-wheel"), "GROUPS": ("dxf,tables", "tables"),
    "FOLDER": ("made",), "FILE": WHEELS, "[FILE]": WHEELS, "FILES": WHEELS,
}  # fmt: skip
"""What fits an option or a place, by what help calls its value."""
WRITTEN = ("new.toml", "new.pdf", "new.html", "new", "kept.toml", "no/such/new", "/dev/full", ".")
"""Where something is written to; kept.toml stands there already."""
HOSTILE = (
    "", " ", "0", "-1", "nan", "inf", "-inf", "1e308", "1e-308", "1e999", "9" * 400, "1/0 in",
    "-4 1/2 in", "1 +- 0 mm", "1 +- nan mm", "1 +- 1e300 mm", "5 +- 500 %", "1e300 km", "1e-300 mm",
    "%", "x" * 3000, "\x1b[2J", "\u202e", "\u200b", "a\nb", "\udcff", "=1+1", "--", "--json", "-",
    "../../x", "'; rm", "1,2,3", "{}", "½ in", "１２ mm", "1e3", "0x10", "1_000", "+5", "NaN rpm",
)  # fmt: skip
STEERS = {"Cc", "Cs", "Zl", "Zp"}
"""Kinds of character that steer a terminal (Unicode's general categories)."""
LONGEST_S = 60.0
"""Processor seconds that one command may take; a search that takes a time has less."""


def a_word(chance, command, name, metavar, hostile):
    if chance.random() < hostile:
        return chance.choice(HOSTILE)
    if name in ("to", "write", "save", "card", "plot"):
        return chance.choice(WRITTEN)
    if command == "spindle" and metavar == "FILE":
        return chance.choice(HAND)
    return chance.choice(VALUES.get(metavar) or VALUES["NUMBER"])


def words_at_random(chance, command):
    """Return what is typed: a command, its places and some of its options."""
    hostile, share = chance.choice((0.0, 0.0, 0.1, 0.4)), chance.choice((0.03, 0.08, 0.25))
    words, options = [], []
    for p in parameters(main.command(command)):
        metavars = p.said.metavar.split() if len(p.kinds) > 1 else [p.said.metavar]
        if isinstance(p.said, Argument):
            if p.required or chance.random() < 0.6:
                repeated = chance.choice((1, 2, 3, 4)) if p.many else 1
                words += [a_word(chance, command, p.name, p.said.metavar, hostile)
                          for _ in range(repeated)]  # fmt: skip
        elif p.required or chance.random() < share:
            options.append([
                chance.choice(p.flags),
                *(a_word(chance, command, p.name, m, hostile) for m in metavars if p.kinds),
            ])  # fmt: skip
    chance.shuffle(options)
    words += [word for option in options for word in option]
    if command == "bands" and not set(words) & set(WHEELS):
        words += [word for word in OLD_WHEEL if word not in words]
    if command == "size":
        words += ["--time", "1"]
    if chance.random() < hostile / 4:
        chance.shuffle(words)
    return [command, *words]


def attack(typed, folder, seed, count, commands):
    """Type lines at random; return how many were answered."""
    chance = random.Random(seed)
    kept = folder / "kept.toml"
    kept.write_text(Path(WHEELS[0]).read_text(encoding="utf-8"), encoding="utf-8")
    before = kept.read_bytes()
    answered = 0
    for number in range(count):
        words = words_at_random(chance, chance.choice(commands))
        where = f"seed {seed}, line {number}: {words}"
        start = time.process_time()
        try:
            status, out, err = typed(*words)
        except Exception as error:
            error.add_note(where)
            raise
        assert time.process_time() - start < LONGEST_S, where
        assert "Traceback" not in err, where
        assert kept.read_bytes() == before, where
        left = [p for p in folder.iterdir() if p != kept]
        if status == 2:
            assert out == "", where
            assert "wheelgeo: " in err, where
            assert len(err) < 20_000, where
            assert not {unicodedata.category(c) for c in err.replace("\n", "")} & STEERS, where
            assert left == [], where
        else:
            assert status == 0 or (status == 1 and words[0] == "check"), where
            if "--json" in words and "--help" not in words and words[0] != "schema":
                json.loads(out, parse_constant=lambda name, w=where: pytest.fail(f"{name} in {w}"))
            answered += 1
        for path in left:
            shutil.rmtree(path) if path.is_dir() else path.unlink()
    return answered


def test_whatever_is_typed_is_answered_or_refused(typed, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert attack(typed, tmp_path, 1, 40, QUICK) > 15


@pytest.mark.long
def test_lines_by_the_thousand(typed, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    count = int(os.environ.get("WHEELGEO_FUZZ", "2000"))
    seed = int(os.environ.get("WHEELGEO_SEED", "100"))
    attack(typed, tmp_path, seed, count, QUICK * 12 + SLOW)
