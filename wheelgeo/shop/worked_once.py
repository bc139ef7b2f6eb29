"""What several makers ask of one wheel, worked out once and kept with the wheel as built."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar

from wheelgeo.built.as_built import build
from wheelgeo.built.kept import kept_with
from wheelgeo.design.model import Design

_T = TypeVar("_T")


def kept(design: Design, what: Hashable, make: Callable[[], _T]) -> _T:
    """Return what is kept of a design's wheel under a name; see ``kept_with``."""
    return kept_with(build(design), what, make)
