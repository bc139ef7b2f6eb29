"""From a brief to wheels: what ``wheelgeo.size`` does."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from wheelgeo.door import door
from wheelgeo.errors import DesignError

if TYPE_CHECKING:
    from wheelgeo.tune.size import Progress
    from wheelgeo.tune.size_answer import SizeAnswer


@door(DesignError)
def size(
    path: str | os.PathLike[str],
    wheels: int | None = None,
    progress: Callable[[Progress], None] | None = None,
    seconds: float | None = None,
) -> SizeAnswer:
    """Find the wheel that suits a brief best, proven, and others that are good otherwise.

    Args:
        path: the brief, a TOML file: case, yarn, hand, cords, sizes, what matters most.
        wheels: how many wheels; None takes the brief's number.
        progress: is told how the search gets on.
        seconds: how long to search at most; None takes ``wheelgeo.tune.size.SECONDS``.

    Returns:
        The wheels, the best first; each has its ``.wheel``. After Ctrl-C or when the time is up
        what was found so far, ``proven`` False; where that is none without a fault, the one that
        came nearest, with its fault.

    Raises:
        DesignError: the brief is at fault; holds every fault found.
        SearchError: no combination fits and has no fault; says what stood in the way.
        QuantityError: the time is not above 0.
    """
    from wheelgeo.design.counts import checked_positive
    from wheelgeo.tune.brief_file import read_brief
    from wheelgeo.tune.size import SECONDS
    from wheelgeo.tune.size import size as search
    from wheelgeo.tune.size_answer import size_answer
    from wheelgeo.wheel import Wheel

    brief = read_brief(Path(path))
    if wheels is not None:
        brief = replace(brief, wheels=wheels)
    limit = SECONDS if seconds is None else checked_positive(seconds, "the time in seconds")
    return size_answer(search(brief, progress, seconds=limit), Wheel)
