"""Yarn by itself: its facts, and the spindles that are turned by the fingers."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from wheelgeo.door import door
from wheelgeo.errors import DesignError, QuantityError

if TYPE_CHECKING:
    from wheelgeo.check.answer_yarn import YarnAnswer
    from wheelgeo.yarn.hand_spindle_file import HandSpindleAnswer


@door(QuantityError)
def yarn_facts(
    count: str,
    *,
    fibre: str = "cotton",
    twist: Literal["S", "Z"] = "Z",
    turns_per_metre: float | str | None = None,
    fineness: str | None = None,
    method: str = "hand",
) -> YarnAnswer:
    """Return what is to be known of a yarn.

    Args:
        count: its count, such as "40 Nm" or "2/28 Nm".
        fibre: cotton, wool, flax, hemp or silk.
        twist: S or Z.
        turns_per_metre: its twist, or text such as "20 tpi"; left out, that is not told of which
            it decides.
        fineness: of its fibres, such as "21 um" or "4.2 micronaire".
        method: how it is spun: hand, combed ring, carded ring or rotor.

    Raises:
        QuantityError: something of it cannot be read.
    """
    from wheelgeo.check.answer_yarn import yarn_facts as facts_of
    from wheelgeo.design.counts import checked_positive
    from wheelgeo.design.file_kinds import FinenessKind, read_count
    from wheelgeo.design.model import Yarn
    from wheelgeo.units import TWIST_PER_M, parse_quantity
    from wheelgeo.units.kind import RefusedError
    from wheelgeo.yarn.fibre import FIBRES, LEAST_FIBRES
    from wheelgeo.yarn.words import one_of

    one_of(fibre, tuple(FIBRES), "fibre")
    one_of(twist, ("S", "Z"), "direction of twist")
    one_of(method, tuple(LEAST_FIBRES), "way of spinning")
    turns = None
    if turns_per_metre is not None:
        turns = parse_quantity(turns_per_metre, TWIST_PER_M, TWIST_PER_M.unit)
        checked_positive(turns, "the twist in turns per metre")
    try:
        fine = None if fineness is None else FinenessKind().read(fineness, "mm")
    except RefusedError as error:
        raise QuantityError(f"{error.says}: {error.remedy}") from error
    yarn = Yarn(
        read_count(count), fibre, twist, turns, fineness=fine, method=method  # type: ignore[arg-type]
    )
    return facts_of(yarn)


@door(DesignError)
def hand_spindle(path: str | os.PathLike[str]) -> HandSpindleAnswer:
    """Return how a support or drop spindle spins, from its file.

    Raises:
        DesignError: the file is at fault; holds every fault found.
    """
    from wheelgeo.yarn.hand_spindle_file import hand_spindle_answer, read_hand_spindle

    return hand_spindle_answer(read_hand_spindle(Path(path)))
