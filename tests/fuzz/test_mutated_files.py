"""Shipped designs, spoilt at random, under every command that takes one.

Whatever stands in a file, a command answers it (0, of ``check`` 1) with one whole document, or
refuses it (2) in a few printable lines and writes nothing; it never ends in a traceback. The short
form runs with the suite; the long one (``-m long``) as many files as WHEELGEO_FUZZ says, from the
seed that WHEELGEO_SEED says, so that a night can go on where another ended. A third of the files
are spoilt as text, of which three in four no longer read; the others keep their grammar, and take
numbers of another size, values or keys of other files, or keys of the schema: what they are refused
for, or answered, lies deeper.
"""

import collections
import json
import os
import random
import re
import shutil
import time
import tomllib
import unicodedata
from pathlib import Path

import pytest

from wheelgeo.design.json_schema import json_schema

DESIGNS = Path(__file__).parents[2] / "designs"
FILES = {
    "wheel": [p.read_text(encoding="utf-8") for p in sorted(DESIGNS.glob("*.toml"))],
    "brief": [p.read_text(encoding="utf-8") for p in sorted((DESIGNS / "briefs").glob("*.toml"))],
    "hand": [p.read_text(encoding="utf-8") for p in sorted((DESIGNS / "spindles").glob("*.toml"))],
}
QUICK = ("solve", "bands", "yarn", "hank", "cloth", "spindle")
MECHANICS = ("check", "run")
SEARCHES = ("find", "tolerance", "measure", "place")
SLOW = ("retune", "size", "make")
EVERY = QUICK * 12 + MECHANICS * 6 + SEARCHES * 6 + SLOW
"""What the long form draws from: a slow command as often as a night can bear."""
MEASURED = """
[[measured]]
what = "{band}.length"
is = "{length} +- 3 mm"
"""
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
    """Return a text with one to four things changed, most of it as it was."""
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


def lines_by_table():
    """Return every line that a kind of table has in a shipped file, by its heading."""
    found = collections.defaultdict(list)
    for text in (t for texts in FILES.values() for t in texts):
        table = ""
        for line in text.splitlines():
            if line.startswith("["):
                table = line
            elif re.match(r"\w+ = .*[^\[,]$", line):
                found[table].append(line)
    return found


LINES = lines_by_table()


def changed(chance, text):
    """Return a text with one to three values changed, or a key more; its grammar is kept."""
    lines = text.splitlines()
    for _ in range(chance.choice((1, 1, 2, 3))):
        at = chance.choice([i for i, line in enumerate(lines) if re.match(r"\w+ = ", line)])
        table = next((x for x in reversed(lines[:at]) if x.startswith("[")), "")
        key = lines[at].partition(" ")[0]
        numbers = list(re.finditer(r"(?<![\w.])-?\d+(\.\d+)?", lines[at].partition("#")[0]))
        kind = chance.randrange(4)
        if kind == 0 and numbers:
            one = chance.choice(numbers)
            value = float(one[0]) * chance.choice((-1, 0, 0.1, 0.5, 0.8, 1.25, 2, 10))
            lines[at] = f"{lines[at][: one.start()]}{value:g}{lines[at][one.end() :]}"
        elif kind == 1 and numbers and '"' not in lines[at]:
            one = chance.choice(numbers)
            sure = f'"{one[0]} +- {chance.choice(("0.1", "5", "200"))} %"'
            lines[at] = lines[at][: one.start()] + sure + lines[at][one.end() :]
        elif kind == 2:
            had = {x.partition(" ")[0] for x in lines[at - 6 : at + 6]}
            new = [x for x in LINES[table] if x.partition(" ")[0] not in had]
            lines[at + 1 : at + 1] = [chance.choice(new)] if new else []
        else:
            other = [x for x in LINES[table] if x.startswith(f"{key} =")]
            lines[at] = chance.choice(other or [lines[at]])
    return "\n".join(lines)


SCHEMA = json_schema()
FACTORS = (0.0, 0.1, 0.5, 0.8, 1.0, 1.0, 1.25, 2.0, 10.0, -1.0)


def defined(part):
    """Return a part of the schema with its reference looked up; of a choice each in turn."""
    if "$ref" in part:
        part = {**SCHEMA["$defs"][part["$ref"].rpartition("/")[2]], **part}
        del part["$ref"]
    return part


def value_for(chance, part, names):
    """Return a value that the schema allows, near its example."""
    part = defined(part)
    among = map(defined, part.get("anyOf", part.get("oneOf", ())))
    tables = [p for p in among if "properties" in p]
    if tables:
        part = chance.choice(tables)
    example = chance.choice(part.get("examples") or [1])
    if "enum" in part:
        example = chance.choice(part["enum"])
    elif "properties" in part:
        example = {
            key: value_for(chance, child, names) for key, child in part["properties"].items()
            if key in part.get("required", ()) or chance.random() < 0.3
        }  # fmt: skip
    elif part.get("type") == "array" and "properties" in defined(part.get("items", {})):
        example = [value_for(chance, part["items"], names) for _ in range(chance.choice((1, 1, 2)))]
    elif isinstance(example, bool):
        example = chance.random() < 0.5
    elif isinstance(example, int | float):
        example *= chance.choice(FACTORS)
    elif isinstance(example, str) and chance.random() < 0.3:
        example = chance.choice(names)
    return example


def keys_changed(chance, text):
    """Return a file with one to four keys more, other words for its choices, or other sizes."""
    given = tomllib.loads(text)
    names = [item["name"] for kind in ("shaft", "pulley", "band") for item in given.get(kind, ())]
    for _ in range(chance.choice((1, 1, 2, 3, 4))):
        properties, where = SCHEMA["properties"], given
        while True:
            key = chance.choice(sorted(properties))
            part = defined(properties[key])
            items = defined(part.get("items", {}))
            inner, value = part.get("properties"), where.get(key)
            if isinstance(value, list) and value and "properties" in items:
                inner, value = items["properties"], chance.choice(value)
            if isinstance(value, dict) and inner and chance.random() < 0.9:
                properties, where = inner, value
                continue
            break
        if key in where and key not in ("title", "name") and chance.random() < 0.2:
            del where[key]
        elif isinstance(where.get(key), int | float) and not isinstance(where[key], bool):
            where[key] *= chance.choice(FACTORS)
        elif key not in ("name", "title"):
            where[key] = value_for(chance, properties[key], names)
    return "\n".join(f"{key} = {as_toml(value)}" for key, value in given.items())


def as_toml(value):
    """Return a value as TOML has it in one line."""
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{json.dumps(k)} = {as_toml(v)}' for k, v in value.items())} }}"
    if isinstance(value, list):
        return f"[{', '.join(map(as_toml, value))}]"
    return json.dumps(value) if isinstance(value, str | bool) else repr(value)


def named(text, table):
    """Return the names that a text gives in its tables of a kind; one at least."""
    return re.findall(rf'^\[\[{table}\]\]\nname = "([^"\n]+)"', text, re.MULTILINE) or ["none"]


def words_for(chance, command, text):
    """Return what is typed after a command on a file, with names of that file where it has any."""
    band, pulley = chance.choice(named(text, "band")), chance.choice(named(text, "pulley"))
    number = chance.choice((f"{pulley}.rim", f"{pulley}.depth", f"{band}.stretch", "drive.speed"))
    size = chance.choice(("0.5", "6", "120", "3000"))
    asked = {
        "find": [("--list",), (number, "for", f"ratio={size}"),
                 (number, "for", f"{band}.cut_length={size}")],
        "tolerance": [("--trials", "10000")],
        "place": [(band, "--move", f"{pulley}.offset")],
        "cloth": [("--sett", size), ("--sett", "12", "--picks", size, "--length", "2 m")],
        "hank": [(), ("--turns", size), ("--weighed", f"{size} g")],
        "retune": [("--count", f"{size} Nm"), ("--ratio", size), ("--twist", "S"),
                   ("--draw", f"{size} mm", "--only", pulley), ("--whorls", "9, 14.5 mm")],
        "size": [("--time", "2"), ("--time", "1", "--wheels", "3")],
        "make": [("--to", "made"), ("--to", "made", "--lengths", "in"),
                 ("--to", "made", "--only", "dxf,tables")],
    }  # fmt: skip
    return chance.choice(asked.get(command, [()]))


def is_a_whole_set(folder):
    listed = json.loads((folder / "index.json").read_text(encoding="utf-8"))["files"]
    return sorted(p.name for p in folder.iterdir()) == sorted(
        ["index.json", *(f["file"] for f in listed)]
    )


def file_for(chance, command):
    """Return a shipped file of the kind that a command takes, spoilt or changed."""
    kind = {"size": "brief", "spindle": "hand"}.get(command, "wheel")
    text = chance.choice(FILES[kind])
    if command == "measure":
        length = chance.choice((1100, 1900, 2400))
        text += MEASURED.format(band=chance.choice(named(text, "band")), length=length)
    ways = (spoilt, changed, keys_changed) if kind == "wheel" else (spoilt, changed)
    return chance.choice(ways)(chance, text)


def attack(typed, folder, seed, count, commands):
    """Type commands on files spoilt at random; return how many were answered."""
    chance = random.Random(seed)
    file = folder / "wheel.toml"
    answered = 0
    for number in range(count):
        command = chance.choice(commands)
        text = file_for(chance, command)
        file.write_text(text, encoding="utf-8", newline="")
        words = (command, file, *words_for(chance, command, text), "--json")
        where = f"seed {seed}, file {number}: {' '.join(map(str, words))}"
        start = time.process_time()
        try:
            status, out, err = typed(*words)
        except Exception as error:
            error.add_note(where)
            raise
        assert time.process_time() - start < LONGEST_S, where
        assert "Traceback" not in err, where
        if status == 2:
            assert out == "", where
            assert err.startswith(("wheelgeo: ", "Usage: ")), where
            assert len(err) < 20_000, where
            assert not {unicodedata.category(c) for c in err.replace("\n", "")} & UNSHOWN, where
        else:
            assert status == 0 or (status == 1 and command == "check"), where
            json.loads(out, parse_constant=lambda name, w=where: pytest.fail(f"{name} in {w}"))
            answered += 1
        left = {p.name for p in folder.iterdir()} - {"wheel.toml"}
        assert left == ({"made"} if command == "make" and status == 0 else set()), where
        if left:
            assert is_a_whole_set(folder / "made"), where
            shutil.rmtree(folder / "made")
    return answered


@pytest.mark.parametrize(
    ("seed", "count", "commands"),
    [(1, 120, QUICK), (2, 30, MECHANICS), (5, 24, SEARCHES)],
)
def test_spoilt_files_are_answered_or_refused(typed, tmp_path, monkeypatch, seed, count, commands):
    monkeypatch.chdir(tmp_path)
    assert attack(typed, tmp_path, seed, count, commands) > 0


@pytest.mark.long
def test_spoilt_files_by_the_thousand(typed, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    count = int(os.environ.get("WHEELGEO_FUZZ", "2000"))
    seed = int(os.environ.get("WHEELGEO_SEED", "100"))
    attack(typed, tmp_path, seed, count, EVERY)
