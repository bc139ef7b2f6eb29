"""The answer to ``place``: where a band arrives true, and what backing off asks instead."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import field
from typing import Any

from wheelgeo.as_json import NOT_IN_JSON, to_json
from wheelgeo.design.model import Design
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.typed import bare_or_text, read_number
from wheelgeo.tune.place import Move, PlacedWheel, helpful_moves, place
from wheelgeo.units import LENGTH_MM, parse_quantity

_RANGE = re.compile(r"^(?P<what>.*?)\s+from\s+(?P<low>\S.*?)\s+to\s+(?P<high>\S.*)$")
_ALONG = re.compile(r"^(?P<what>.*?)\s+along\s+(?P<x>[^,\s]+),\s*(?P<y>[^,\s]+),\s*(?P<z>[^,\s]+)$")


@dataclass(frozen=True)
class PlaceRowAnswer:
    """One place of the shafts.

    Attributes:
        weight_of_backing_off: how much backing off counted, 0 to 1.
        up_to_weight: the greatest weight for which this place is the best as well.
        moves_mm: how far each thing is moved from where it is.
        arriving_deg: angle at which the band arrives at each pulley in spinning, in route order.
        arriving_back_deg: the same in backing off.
        length_mm: length of the band.
        wheel: the wheel so placed.
    """

    weight_of_backing_off: float
    up_to_weight: float
    moves_mm: tuple[float, ...]
    arriving_deg: tuple[float, ...]
    arriving_back_deg: tuple[float, ...]
    length_mm: float
    design: Design = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    as_wheel: Callable[[Design], Any] = field(repr=False, compare=False, metadata=NOT_IN_JSON)

    @property
    def wheel(self) -> Any:
        """The wheel so placed; DesignError where such a wheel cannot exist."""
        return self.as_wheel(self.design)


@dataclass(frozen=True)
class PlaceAnswer:
    """The choice between spinning and backing off.

    Attributes:
        band: the band.
        pulleys: its pulleys, in route order.
        catch_deg: angle up to which each groove's mouth catches it; None where it has no mouth.
        moves: what may move.
        true: in the first row the band arrives in the mid-plane of every pulley in spinning.
        true_already: the wheel as it is arrives so, in spinning and in backing off: nothing need
            move.
        helpful: what can be moved alone so that the band arrives straighter, likeliest first.
        now: the wheel as it is.
        rows: each place once, from spinning alone to backing off alone.
    """

    band: str
    pulleys: tuple[str, ...]
    catch_deg: tuple[float | None, ...]
    moves: tuple[str, ...]
    true: bool
    true_already: bool
    helpful: tuple[str, ...]
    now: PlaceRowAnswer
    rows: tuple[PlaceRowAnswer, ...]

    def to_json(self) -> dict[str, Any]:
        """Return what the command prints with ``--json``."""
        document: dict[str, Any] = to_json(self)
        return document


def place_answer(
    design: Design, band: str, moves: Sequence[str], as_wheel: Callable[[Design], Any]
) -> PlaceAnswer:
    """Find where a band arrives true in spinning, and the compromise with backing off.

    Args:
        design: the wheel.
        band: name of one of its bands.
        moves: what may move: inputs, or shafts with a direction ("spindle along 1,0,0"); with a
            range where it has one ("whorl.offset from -3 to 5"); none: what helps most alone.
        as_wheel: makes the wheel of a changed design.

    Raises:
        SearchError: a name is unknown, or nothing can move.
        QuantityError: a range cannot be read.
    """
    helpful = helpful_moves(design, band)
    moves = list(moves or helpful[:1])
    if not moves:
        raise SearchError(f'nothing on its pulleys or shafts makes "{band}" arrive straighter')
    found = place(design, band, [read_move(design, text) for text in moves])

    def row(placed: PlacedWheel) -> PlaceRowAnswer:
        return PlaceRowAnswer(
            placed.weight, placed.up_to_weight, placed.moves_mm, placed.spinning_deg,
            placed.backing_deg, placed.length_mm, placed.design, as_wheel,
        )  # fmt: skip

    return PlaceAnswer(
        band=found.band,
        pulleys=found.pulleys,
        catch_deg=found.catch_deg,
        moves=tuple(moves),
        true=found.true,
        true_already=found.true_already,
        helpful=helpful,
        now=row(found.now),
        rows=tuple(row(placed) for placed in found.rows),
    )


def read_move(design: Design, text: str) -> Move:
    """Read what may move, as a person types it; lengths are in the file's unit."""
    what, low, high = text.strip(), -float("inf"), float("inf")
    if (found := _RANGE.match(what)) is not None:
        what = found["what"]
        low, high = (
            parse_quantity(bare_or_text(found[end]), LENGTH_MM, design.unit)
            for end in ("low", "high")
        )
    if (found := _ALONG.match(what)) is None:
        return Move(what, None, low, high)
    x, y, z = (read_number(found[axis], None, design.unit, text) for axis in "xyz")
    if not all(abs(component) < float("inf") for component in (x, y, z)):
        raise SearchError(f'"{text}" has no direction')
    return Move(found["what"], (x, y, z), low, high)
