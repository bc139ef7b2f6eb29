"""Checks between tables of a design file; they work on files of which parts are wrong."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from wheelgeo.design.faults import Located
from wheelgeo.design.names import check_names
from wheelgeo.design.rawfile import RawFile
from wheelgeo.design.routes import check_routes
from wheelgeo.design.sizes import check_sizes


def cross_check(tables: Mapping[str, Any], unit: str) -> list[Located]:
    """Return the faults between the tables of a file.

    Args:
        tables: the file as the TOML parser gave it.
        unit: unit of its bare lengths.
    """
    raw = RawFile(tables, unit)
    return [*check_names(raw), *check_routes(raw), *check_sizes(raw)]
