"""The JSON schema for editors: it lets faultless files through, and each kind of slip not."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from wheelgeo.design.file_forms import DESIGN
from wheelgeo.design.json_schema import json_schema
from wheelgeo.design.limits import LIMITS

jsonschema = pytest.importorskip("jsonschema")

SHIPPED = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))


@pytest.fixture(scope="module")
def validator() -> Any:
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def test_a_faultless_file_passes(validator: Any, good_text: str) -> None:
    assert list(validator.iter_errors(tomllib.loads(good_text))) == []


def test_there_are_shipped_designs() -> None:
    assert SHIPPED


@pytest.mark.parametrize("file", SHIPPED, ids=[f.name for f in SHIPPED])
def test_a_shipped_design_passes(validator: Any, file: Path) -> None:
    raw = tomllib.loads(file.read_text(encoding="utf-8"))
    if "drive" in raw:  # a brief is no design
        assert list(validator.iter_errors(raw)) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('title = "Garden wheel"\n', ""),
        ('"crank"', '"crnak"'),
        ('"60 rpm"', "60"),
        ('"60 rpm"', '"60 mm"'),
        ("diameter = 8\n", "diametre = 8\n"),
        ("diameter = 8\n", "diameter = -8\n"),
        ("diameter = 8\n", "diameter = true\n"),
        ('"1/4 in"', '"1/4 inch"'),
        ('"1/4 in"', '"a quarter"'),
        ("at = [0, 0, 0] ", "at = [0, 0] "),
        ('"vee"', '"ve"'),
        ("angle = 40", "angle = 180"),
        ("pitch = 9.6\n", ""),
        ("radius = 2 }", "radius = 2, angle = 40 }"),
        ('count = "40 Nm"', "count = 40"),
        ('twist = "Z"', 'twist = "right"'),
        ("turns_per_metre = 850", "turns_per_metre = 850\ntwist_factor = 120"),
        ('{ weight = "300 g" }', "{ }"),
        ('weight = "300 g"', 'weight = "300 g", spring = "3 N"'),
        ("wrap_deg", "wrp_deg"),
        ("[case]", "[csae]"),
        ('["wheel", "hub"]', '"wheel"'),
        ('["wheel", "hub"]', '["wheel"]'),
        ('slip = "1 %"', "slip = 2"),
        ('kind = "cord"', 'kind = "rope"'),
    ],
)
def test_a_slip_is_marked(validator: Any, good_text: str, old: str, new: str) -> None:
    assert good_text.count(old) == 1
    assert list(validator.iter_errors(tomllib.loads(good_text.replace(old, new))))


@pytest.mark.parametrize("text", ['"1 1/2 in"', '"-4 1/2 in"', '".5 cm"', "12", '"3e1 mm"', '"7"'])
def test_each_way_of_writing_a_length_passes(validator: Any, good_text: str, text: str) -> None:
    raw = tomllib.loads(good_text.replace("offset = 0\n", f"offset = {text}\n"))
    assert list(validator.iter_errors(raw)) == []


def nodes(node: Any) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        yield node
    children = node.values() if isinstance(node, dict) else node if isinstance(node, list) else ()
    for child in children:
        yield from nodes(child)


def test_every_key_is_described_and_every_example_passes() -> None:
    schema = json_schema()
    described = 0
    tables = [node for node in nodes(schema) if node.get("type") == "object"]
    for table in tables:
        for name, key in table["properties"].items():
            assert key.get("description"), name
            described += 1
            check = jsonschema.Draft202012Validator({**key, "$defs": schema["$defs"]})
            for example in key.get("examples", ()):
                assert list(check.iter_errors(example)) == [], name
    assert described > 90


def test_the_schema_speaks_toml_and_the_files_words() -> None:
    schema = json_schema()
    text = json.dumps(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert "$id" not in schema
    assert "null" not in text
    assert "File" not in text
    assert set(schema["properties"]) == {key.name for key in DESIGN.keys}
    assert set(schema["$defs"]["Limits"]["properties"]) == set(LIMITS)
