"""outputs/ holds what ``make`` gives for the first design, as it is today.

Tables and facts are held to the number, cut files to the entity, the shop sheet to its words and
the numbers in them. Pictures, PDF and meshes are held
to being there and being the files of the index: their bytes follow the libraries that write them.
"""

import csv
import hashlib
import io
import json
import math
import re
from pathlib import Path

import ezdxf
import pytest

from wheelgeo.check.answering import answer_of
from wheelgeo.check.report import check_whole
from wheelgeo.design.reader import read_design
from wheelgeo.shop.bench_set import plan_make

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / "outputs" / "box-wheel"
MILLIONTH = 1e-6
ROUNDED = 0.11
"""By how much a number of one decimal may differ that another machine rounds the other way."""
NUMBER = re.compile(r"\d+(?:\.\d+)?")


@pytest.fixture(scope="module")
def made():
    report = check_whole(read_design(ROOT / "designs" / "box-wheel.toml"))
    return {f.name: f.content for f in plan_make(answer_of(report))}


def test_the_same_files_are_there_and_nothing_else(made):
    assert {p.name for p in KEPT.iterdir()} == {*made, "index.json"}
    # what else is made there is somebody's own: .gitignore keeps it out of the repository
    assert (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines().count("outputs/*") == 1


def test_the_index_names_each_file_with_its_hash(made):
    index = json.loads((KEPT / "index.json").read_text(encoding="utf-8"))
    listed = {entry["file"]: entry["sha256"] for entry in index["files"]}
    assert set(listed) == set(made)
    owner = (index["title"], (KEPT / index["source"]).resolve())
    assert owner == ("Larkfield box wheel", ROOT / "designs" / "box-wheel.toml")
    for name, digest in listed.items():
        assert hashlib.sha256((KEPT / name).read_bytes()).hexdigest() == digest, name


def same(a, b):
    """Tell whether two JSON documents are alike, numbers within a millionth."""
    if isinstance(a, dict) and isinstance(b, dict):
        return a.keys() == b.keys() and all(same(a[k], b[k]) for k in a)
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(map(same, a, b))
    if isinstance(a, float) or isinstance(b, float):
        return math.isclose(a, b, rel_tol=MILLIONTH, abs_tol=MILLIONTH)
    return a == b


def test_facts_are_current(made):
    for name in (n for n in made if n.endswith(".json")):
        assert same(json.loads(made[name]), json.loads((KEPT / name).read_bytes())), name


def rows(content):
    return list(csv.reader(io.StringIO(content.decode("utf-8"))))


def test_tables_are_current(made):
    for name in (n for n in made if n.endswith((".csv", ".txt"))):
        assert rows(made[name]) == rows((KEPT / name).read_bytes()), name


def words_and_numbers(content):
    """Return what is read on a page: its words, and the numbers between them; no drawing."""
    page = re.sub(r"<(svg|style|script)\b.*?</\1>", "", content.decode("utf-8"), flags=re.S)
    return NUMBER.split(page), [float(found) for found in NUMBER.findall(page)]


def test_the_shop_sheet_is_current(made):
    words, numbers = words_and_numbers(made["shop-sheet.html"])
    kept_words, kept = words_and_numbers((KEPT / "shop-sheet.html").read_bytes())
    assert len(numbers) > 500
    assert words == kept_words
    assert numbers == pytest.approx(kept, abs=ROUNDED)


def entities(content):
    """Return what a cut file holds, sorted: kind, layer and rounded numbers of each entity."""
    document = ezdxf.read(io.StringIO(content.decode("utf-8")))
    found = []
    for entity in document.modelspace():
        values = entity.dxfattribs()
        values.pop("handle", None)
        values.pop("owner", None)
        points = [tuple(p) for p in entity] if entity.dxftype() == "LWPOLYLINE" else []
        found.append((entity.dxftype(), rounded(sorted(values.items())), rounded(points)))
    return sorted(found, key=repr)


def rounded(value):
    if isinstance(value, float):
        return round(value, 5) + 0.0
    if isinstance(value, (list, tuple)):
        return tuple(rounded(v) for v in value)
    return rounded(tuple(value)) if hasattr(value, "xyz") else value


def test_cut_files_are_current(made):
    names = [n for n in made if n.endswith(".dxf")]
    assert len(names) >= 6
    for name in names:
        assert entities(made[name]) == entities((KEPT / name).read_bytes()), name
