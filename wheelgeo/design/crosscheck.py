"""Checks between tables of a design file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from wheelgeo.design.faults import Located
from wheelgeo.design.schema import DesignFile


def cross_check(
    raw: Mapping[str, Any], parsed: DesignFile | None, context: Mapping[str, Any]
) -> list[Located]:
    """Return the faults between tables."""
    return []
