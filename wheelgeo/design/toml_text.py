"""The text of a file: read, and turned into TOML tables, or refused in words for its owner."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from pathlib import Path
from typing import Any

from wheelgeo.design.key_places import FILE
from wheelgeo.errors import DesignError, Fault

LARGEST_BYTES = 1_000_000
"""A longer file is no design file."""


def file_error(source: str, says: str, remedy: str = "", place: str = FILE) -> DesignError:
    """Return the error of a file of which one thing is wrong."""
    return DesignError((Fault(place, says, remedy),), source)


def read_text(path: str | os.PathLike[str]) -> str:
    """Return the text of a design file; DesignError where it cannot be had."""
    source = str(path)
    data = _bytes(Path(path), source)
    if len(data) > LARGEST_BYTES:
        raise file_error(source, "it is larger than 1 MB", "a design file has a few kB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise file_error(
            source, f"line {line} holds a byte that is not UTF-8", "save the file as UTF-8 text"
        ) from error


def _bytes(path: Path, source: str) -> bytes:
    """Return what stands in a file, but never much more than a design file may hold."""
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):  # reading a pipe might never end
            raise file_error(source, f"{path} is no plain file", "save the design as a file")
        with path.open("rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except DesignError:
        raise
    except FileNotFoundError as error:
        raise file_error(source, f"there is no file {path}", "check its name") from error
    except IsADirectoryError as error:
        raise file_error(source, f"{path} is a folder", "name a file in it") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise file_error(source, f"{path} cannot be read: {reason}") from error


_HALF = re.compile("[\ud800-\udfff]")
"""Half a character: no file can hold it."""


def parse_toml(text: str, source: str = "") -> dict[str, Any]:
    """Return the text as TOML tables; DesignError with line and column where it is none."""
    text = text.removeprefix("\ufeff")
    lone = _HALF.search(text)
    if lone is not None:
        line = text.count("\n", 0, lone.start()) + 1
        raise file_error(source, f"line {line} holds half a character", "write it anew")
    if not text.strip():
        raise file_error(source, "it is empty", "start from a shipped design")
    _not_too_deep(text, source)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        says, remedy = _twice(str(error), text) or _syntax(str(error))
        raise file_error(source, says, remedy, place=_where(str(error), text)) from error
    except RecursionError as error:
        raise file_error(source, "brackets stand in brackets too many times over") from error
    except ValueError as error:  # a whole number longer than Python turns into a number
        raise file_error(source, "a whole number in it has thousands of digits") from error


_DEEP = re.compile(r"""(?<![\w.\-"'])(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){100}""")
"""A key of more than a hundred keys; the parser would take memory by the square of their number."""


def _not_too_deep(text: str, source: str) -> None:
    for number, line in enumerate(text.splitlines(), start=1):
        if line.count(".") >= 100 and not line.lstrip().startswith("#") and _DEEP.search(line):
            raise file_error(
                source, "a key has more than a hundred dots", "tables stand in tables twice or "
                "three times at most", place=f"line {number}",
            )  # fmt: skip


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
