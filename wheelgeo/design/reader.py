"""Read a design file: all its faults at once, or the design."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from wheelgeo.design.file_forms import DESIGN, part_names
from wheelgeo.design.from_toml import Reading
from wheelgeo.design.key_places import as_written, in_file_order, input_name, names_in
from wheelgeo.design.model import Design
from wheelgeo.design.possible import impossible
from wheelgeo.design.toml_text import LARGEST_BYTES, file_error, parse_toml, read_text
from wheelgeo.errors import DesignError
from wheelgeo.units import LENGTH_UNITS

__all__ = ["LARGEST_BYTES", "parse_design", "parse_toml", "read_design", "read_text"]


def read_design(path: str | os.PathLike[str]) -> Design:
    """Read the design file at a path.

    Args:
        path: the file, TOML in UTF-8.

    Returns:
        The design; lengths in mm, angles in degrees, speeds in rpm.

    Raises:
        DesignError: the file cannot be read, or is at fault; holds every fault found.
    """
    return parse_design(read_text(path), str(path))


def parse_design(text: str, source: str = "") -> Design:
    """Read a design from the text of its file.

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
        raise file_error(
            source, "it is a brief, not a wheel", "wheelgeo size finds the wheels that suit it"
        )
    if is_hand_spindle(raw):
        named = source or "FILE"
        raise file_error(
            source, "this is a hand spindle, not a wheel", f"wheelgeo spindle {named} tells of it"
        )
    reading = Reading(DESIGN, unit_of(raw))
    design = reading.file(raw)
    name_of = names_in(raw)
    found = [*reading.faults, *impossible(design, lambda place: as_written(raw, place))]
    if found:
        faults = in_file_order(found, raw, lambda place: input_name(DESIGN, place, name_of))
        raise DesignError(faults, source)
    design = _with_uncertainties(design, reading)  # by names, which are sure to stand by now
    given = frozenset(raw.get("habits", ()))
    return replace(design, habits=replace(design.habits, given=given)) if given else design


def _with_uncertainties(design: Design, reading: Reading) -> Design:
    """Return the design with how well its numbers are known, by their full names."""
    if not reading.uncertainties:
        return design
    name_of = part_names(design)
    known = {
        input_name(DESIGN, place, name_of): half for place, half in reading.uncertainties.items()
    }
    return replace(design, uncertainties=known)


def is_brief(raw: Mapping[str, Any]) -> bool:
    """Tell whether tables are those of a brief, which asks for a wheel, and not of a wheel."""
    return {"hand", "sizes"} <= raw.keys() and not {"shaft", "pulley", "band"} & raw.keys()


def is_hand_spindle(raw: Mapping[str, Any]) -> bool:
    """Tell whether tables are those of a drop or support spindle, and not of a wheel."""
    return "piece" in raw and not {"shaft", "pulley", "band"} & raw.keys()


def is_wheel(raw: Mapping[str, Any]) -> bool:
    """Tell whether tables are those of a wheel, and not of a brief."""
    return {"shaft", "pulley", "band"} <= raw.keys() and not {"hand", "sizes"} & raw.keys()


def unit_of(raw: Mapping[str, Any]) -> str:
    """Return the file's unit; a wrong one is reported by the reader, and taken as mm meanwhile."""
    unit = raw.get("unit", "mm")
    return unit if isinstance(unit, str) and unit in LENGTH_UNITS else "mm"
