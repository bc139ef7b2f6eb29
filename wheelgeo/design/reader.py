"""Read a design file: all its faults at once, or the design."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from wheelgeo.design.crosscheck import cross_check
from wheelgeo.design.faults import FILE, Located, in_file_order, translate
from wheelgeo.design.model import Design
from wheelgeo.design.schema import DesignFile
from wheelgeo.errors import DesignError, Fault
from wheelgeo.units import LENGTH_UNITS

LARGEST_BYTES = 1_000_000
"""A longer file is no design file."""


def read_design(path: Path) -> Design:
    """Read the design file at a path.

    Args:
        path: the file, TOML in UTF-8.

    Returns:
        The design; lengths in mm, angles in degrees, speeds in rpm.

    Raises:
        DesignError: the file cannot be read, or is at fault; holds every fault found.
    """
    return parse_design(read_text(path), str(path))


def read_text(path: Path) -> str:
    """Return the text of a design file; DesignError where it cannot be had."""
    source = str(path)
    data = _bytes(path, source)
    if len(data) > LARGEST_BYTES:
        raise _file_error(source, "it is larger than 1 MB", "a design file has a few kB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise _file_error(
            source, f"line {line} holds a byte that is not UTF-8", "save the file as UTF-8 text"
        ) from error


def _bytes(path: Path, source: str) -> bytes:
    """Return what stands in a file, but never much more than a design file may hold."""
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except FileNotFoundError as error:
        raise _file_error(source, f"there is no file {path}", "check its name") from error
    except IsADirectoryError as error:
        raise _file_error(source, f"{path} is a folder", "name a file in it") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _file_error(source, f"{path} cannot be read: {reason}") from error


def parse_design(text: str, source: str = "") -> Design:
    """Read a design from the text of a design file.

    Args:
        text: the TOML text.
        source: name of the file, for messages.

    Returns:
        The design; lengths in mm, angles in degrees, speeds in rpm.

    Raises:
        DesignError: the text is at fault; holds every fault found.
    """
    raw = parse_toml(text, source)
    if is_brief(raw):
        raise _file_error(
            source, "it is a brief, not a wheel", "wheelgeo size finds the wheels that suit it"
        )
    unit = unit_of(raw)
    faults: list[Located] = []
    parsed: DesignFile | None = None
    try:
        parsed = DesignFile.model_validate(raw, context={"unit": unit})
    except ValidationError as error:
        faults = translate(error, raw)
    faults += cross_check(raw, unit)
    if faults or parsed is None:
        raise DesignError(in_file_order(faults, raw), source)
    return parsed.build()


def is_brief(raw: Mapping[str, Any]) -> bool:
    """Tell whether tables are those of a brief, which asks for a wheel, and not of a wheel."""
    return {"hand", "sizes"} <= raw.keys() and not {"shaft", "pulley", "band"} & raw.keys()


def is_wheel(raw: Mapping[str, Any]) -> bool:
    """Tell whether tables are those of a wheel, and not of a brief."""
    return {"shaft", "pulley", "band"} <= raw.keys() and not {"hand", "sizes"} & raw.keys()


def unit_of(raw: dict[str, Any]) -> str:
    """Return the file's unit; a wrong one is reported by the models, and read as mm meanwhile."""
    unit = raw.get("unit", "mm")
    return unit if isinstance(unit, str) and unit in LENGTH_UNITS else "mm"


def parse_toml(text: str, source: str = "") -> dict[str, Any]:
    """Return the text as TOML tables; DesignError with line and column where it is none."""
    text = text.removeprefix("\ufeff")
    if not text.strip():
        raise _file_error(source, "it is empty", "start from a shipped design")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        says, remedy = _twice(str(error), text) or _syntax(str(error))
        raise _file_error(source, says, remedy, place=_where(str(error), text)) from error
    except RecursionError as error:
        raise _file_error(source, "brackets stand in brackets too many times over") from error
    except ValueError as error:  # a whole number longer than Python turns into a number
        raise _file_error(source, f"it cannot be read as TOML: {error}") from error


def _where(message: str, text: str) -> str:
    found = re.search(r"\(at line (\d+), column (\d+)\)", message)
    if found:
        return f"line {found[1]}, column {found[2]}"
    return f"line {text.count(chr(10)) + 1}"


def _twice(message: str, text: str) -> tuple[str, str] | None:
    """Return what stands twice and what would be right, where that is what the parser says."""
    if not message.startswith(("Cannot overwrite a value", "Cannot declare")):
        return None
    found = re.search(r"at line (\d+)", message)
    line = text.splitlines()[int(found[1]) - 1 if found else -1].strip()
    if line.startswith("["):
        name = line.strip("[]").split("]")[0].strip()
        return (
            f"[{name}] stands here for the second time, or beside a key or table of that name",
            f"a table in single brackets may stand once; of a list each one is [[{name}]]",
        )
    key = re.match(r"""([\w.\-"' ]+?)\s*=""", line)  # none on the last line of a long value
    name = key[1] if key else "this key"
    return f"{name} stands here for the second time", "keep one of the two"


_SYNTAX: tuple[tuple[str, str, str], ...] = (
    ("Cannot mutate immutable", "this adds to something that is complete already",
     "a table in { } is whole where it stands"),
    ("Invalid value", "a value is missing or cannot be read", "text needs quotation marks"),
    ("Expected '=' after a key", "after the key, = is missing", "write key = value"),
    ("Unterminated string", "a text has no closing quotation mark", "close it"),
    ("Illegal character '\\n'", "a text has no closing quotation mark", "close it"),
    ("Unclosed array", "a list is not closed", "add ]"),
    ("Unclosed inline table", "a table is not closed", "add }"),
    ("Expected newline or end of document", "something stands here that does not belong",
     'write one key = value a line, and fractions and units in quotation marks: "3/8 in"'),
    ("Found invalid character '\\n'", "a text has no closing quotation mark", "close it"),
    ("Illegal character", "a text holds a control character", "leave it out"),
    ("Expected ']]'", "the double brackets are not closed", "write [[name]]"),
    ("Expected ']'", "the brackets are not closed", "write [name]"),
    ("Invalid statement", "this line is neither key = value nor a [table]",
     "a comment begins with #"),
    ("Invalid initial character for a key", "a key or table name is missing", "write key = value"),
    ("Duplicate inline table key", "a key stands twice in the same { }", "keep one of the two"),
    ("Unescaped '\\'",
     "a \\ in a text does not fit here", "write \\\\, or the text in 'single' marks"),
)  # fmt: skip


def _syntax(message: str) -> tuple[str, str]:
    """Return what is wrong and what would be right, for a message of the TOML parser."""
    for start, says, remedy in _SYNTAX:
        if message.startswith(start):
            return says, remedy
    return f"this is not TOML ({re.sub(r' [(]at .*', '', message)})", ""


def _file_error(source: str, says: str, remedy: str = "", place: str = FILE) -> DesignError:
    return DesignError((Fault(place, says, remedy),), source)
