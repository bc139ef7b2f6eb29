"""Files that cannot be read at all: wrong bytes, no TOML, no file."""

from __future__ import annotations

from pathlib import Path

import pytest

from wheelgeo.design.reader import LARGEST_BYTES, parse_design, read_design
from wheelgeo.errors import DesignError
from wheelgeo.tune.brief_file import read_brief

BRIEFS = Path(__file__).resolve().parents[2] / "designs" / "briefs"

SYNTAX = (
    ("text without quotes", "title = Garden", ("line 1, column 9", "quotation")),
    ("text not closed", 'unit = "mm"\ntitle = "x', ("line 2", "closing quotation")),
    ("no equals sign", 'title "x"', ("line 1, column 7", "=")),
    ("list not closed", "\n\nat = [1, 2", ("line 3", "list", "]")),
    ("table not closed", "slide = { from = 1", ("line 1", "}")),
    ("bracket not closed", "[drive\nby = 1", ("line 1", "[name]")),
    ("double bracket not closed", "[[shaft]", ("line 1", "[[name]]")),
    ("table twice", "[drive]\n[drive]", ("line 2", "[drive]", "second time")),
    ("key twice", "a = 1\na = 2", ("line 2", "a stands", "second time")),
    ("key twice in a table", "[x]\nlong-key = 1\nlong-key=2\n", ("line 3", "long-key stands")),
    ("key twice, over two lines", "a = 1\na = [1,\n2]", ("line 3", "this key stands")),
    ("list as a table first", "[shaft]\na = 1\n[[shaft]]\n", ("line 3", "is [[shaft]]")),
    ("list as a key first", "shaft = 3\n[[shaft]]  # one\n", ("line 2", "is [[shaft]]")),
    ("table over a key", "drive = 3\n[drive]\nby = 1\n", ("line 2", "[drive]")),
    ("two keys in a line", "a = 1 b = 2", ("line 1, column 7", "a line")),
    ("fraction without quotes", "a = 3/8", ("line 1", '"3/8 in"')),
    ("unit without quotes", "a = 12 mm", ("line 1", "units in quotation marks")),
    ("decimal comma", "a = 1,5", ("line 1, column 6",)),
    ("plain words", "a wheel for cotton", ("line 1", "=")),
    ("bad escape", 'a = "\\q"', ("line 1", "\\\\")),
    ("control character", 'a = "x\x00"', ("line 1", "control")),
    ("nested too deep", "x = " + 20_000 * "[", ("brackets",)),
    ("number too long", "a = " + 5000 * "1", ("digits",)),
    ("empty", "", ("file", "empty")),
    ("blank", "  \n\n", ("file", "empty")),
    ("only a comment", "# a wheel\n", ("file", "[drive]", "[[shaft]]", "[spindle]", "title")),
)


@pytest.mark.parametrize(
    ("text", "words"), [row[1:] for row in SYNTAX], ids=[row[0] for row in SYNTAX]
)
def test_text_that_is_no_toml(text: str, words: tuple[str, ...]) -> None:
    with pytest.raises(DesignError) as caught:
        parse_design(text)
    message = str(caught.value)
    for word in words:
        assert word in message
    assert "TOMLDecodeError" not in message


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ('title = "Räder"'.encode("latin-1"), ("UTF-8", "line 1")),
        ('a = 1\n\ntitle = "x"'.encode("utf-16"), ("UTF-8",)),
        (bytes(range(256)), ("UTF-8",)),
        (b"#" * (LARGEST_BYTES + 1), ("larger than 1 MB",)),
        (b"", ("empty",)),
    ],
    ids=["latin-1", "utf-16", "binary", "too large", "empty"],
)
def test_file_that_cannot_be_read(tmp_path: Path, data: bytes, words: tuple[str, ...]) -> None:
    path = tmp_path / "wheel.toml"
    path.write_bytes(data)
    with pytest.raises(DesignError) as caught:
        read_design(path)
    assert caught.value.source == str(path)
    for word in words:
        assert word in str(caught.value)


def test_missing_file_and_folder_say_so(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match="there is no file"):
        read_design(tmp_path / "wheel.toml")
    with pytest.raises(DesignError, match="is a folder"):
        read_design(tmp_path)
    with pytest.raises(DesignError, match="cannot be read"):
        read_design(Path("a\0b"))


@pytest.mark.parametrize("brief", sorted(BRIEFS.glob("*.toml")), ids=lambda path: path.stem)
def test_a_brief_is_told_from_a_wheel_in_one_line(brief: Path) -> None:
    with pytest.raises(DesignError, match="a brief, not a wheel - wheelgeo size") as caught:
        read_design(brief)
    assert len(caught.value.faults) == 1


def test_a_wheel_is_told_from_a_brief_in_one_line() -> None:
    with pytest.raises(DesignError, match="a wheel, not a brief - wheelgeo solve") as caught:
        read_brief(BRIEFS.parent / "box-wheel.toml")
    assert len(caught.value.faults) == 1
