"""The answer to ``place``: where a band arrives true, and what backing off asks instead."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import field, replace
from functools import cache
from typing import Any

from wheelgeo.as_json import NOT_IN_JSON, AsJson
from wheelgeo.check.finding import Finding
from wheelgeo.check.stood_before import stood_before
from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.typed import bare_or_text, read_number
from wheelgeo.tune.place import HELPS, Move, PlacedWheel, Placing, helpful_moves, place
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
        helps: it is worth offering: the worst angle of arrival, in spinning or in backing off, is
            less by it, and no fault comes by it.
        faults: what of the wheel so placed is a fault, and is none as it is.
        wheel: the wheel so placed.
    """

    weight_of_backing_off: float
    up_to_weight: float
    moves_mm: tuple[float, ...]
    arriving_deg: tuple[float, ...]
    arriving_back_deg: tuple[float, ...]
    length_mm: float
    helps: bool
    faults: tuple[str, ...]
    design: Design = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    as_wheel: Callable[[Design], Any] = field(repr=False, compare=False, metadata=NOT_IN_JSON)

    @property
    def wheel(self) -> Any:
        """The wheel so placed; DesignError where such a wheel cannot exist."""
        return self.as_wheel(self.design)


@dataclass(frozen=True)
class PlaceAnswer(AsJson):
    """The choice between spinning and backing off.

    Attributes:
        band: the band.
        pulleys: its pulleys, in route order.
        catch_deg: angle up to which each groove's mouth catches it; None where it has no mouth.
        stays_on: every pulley catches it as it is, in spinning and in backing off: it stays on, and
            nothing need move.
        moves: what may move.
        true: in the first row the band arrives in the mid-plane of every pulley in spinning.
        true_already: the wheel as it is arrives so, in spinning and in backing off: nothing need
            move.
        helpful: what can be moved alone so that the band arrives straighter, likeliest first.
        left_out: what of that was tried of itself before ``moves`` and has no place, and why.
        now: the wheel as it is.
        rows: each place once, from spinning alone to backing off alone.
    """

    band: str
    pulleys: tuple[str, ...]
    catch_deg: tuple[float | None, ...]
    stays_on: bool
    moves: tuple[str, ...]
    true: bool
    true_already: bool
    helpful: tuple[str, ...]
    left_out: tuple[str, ...]
    now: PlaceRowAnswer
    rows: tuple[PlaceRowAnswer, ...]


def place_answer(
    design: Design, band: str, move: str | Sequence[str], as_wheel: Callable[[Design], Any]
) -> PlaceAnswer:
    """Find where a band arrives true in spinning, and the compromise with backing off.

    Args:
        design: the wheel.
        band: name of one of its bands.
        move: what may move, one or several: inputs, or shafts with a direction ("spindle along
            1,0,0"); with a range where it has one ("whorl.offset from -3 to 5"); none: what helps
            most alone, the likeliest that has a place which helps.
        as_wheel: makes the wheel of a changed design.

    Raises:
        SearchError: a name is unknown, or nothing can move; or nothing that was told to move, or
            helps alone, has a place.
        QuantityError: a range cannot be read.
    """
    moves = [move] if isinstance(move, str) else list(move)
    helpful = helpful_moves(design, band)
    if not (moves or helpful):
        held = "; it stays on as it is: every groove catches it" if _caught(design, band) else ""
        raise SearchError(
            f'nothing on its pulleys or shafts makes "{band}" arrive straighter{held}'
        )
    known = cache(lambda: _faults(design))
    if moves:
        return _answer(design, band, moves, helpful, known, as_wheel)
    best, left_out = None, []
    for key in helpful:
        # What would go on and on, or has its best place where no wheel can be, is told and no more:
        # another thing may do.
        try:
            one = _answer(design, band, [key], helpful, known, as_wheel)
        except SearchError as error:
            left_out.append(f"{key}: {error}")
            continue
        if one.true_already or any(row.helps for row in one.rows):
            return replace(one, left_out=tuple(left_out))
        best = best or one
    if best is None:
        raise SearchError("; ".join(left_out))
    return replace(best, left_out=tuple(left_out))


def _answer(
    design: Design, band: str, moves: Sequence[str], helpful: tuple[str, ...],
    known: Callable[[], tuple[Finding, ...]], as_wheel: Callable[[Design], Any],
) -> PlaceAnswer:  # fmt: skip
    """Find the places of what is told to move, and say of each whether it helps."""
    found = place(design, band, [read_move(design, text) for text in moves])

    def row(placed: PlacedWheel) -> PlaceRowAnswer:
        moved = any(placed.moves_mm)
        faults = [f for f in _faults(placed.design)
                  if not any(stood_before(f, before) for before in known())
                  ] if moved else []  # fmt: skip
        return PlaceRowAnswer(
            placed.weight, placed.up_to_weight, placed.moves_mm, placed.spinning_deg,
            placed.backing_deg, placed.length_mm, _straighter(placed, found) and not faults,
            tuple(f.says for f in faults), placed.design, as_wheel,
        )  # fmt: skip

    return PlaceAnswer(
        band=found.band,
        pulleys=found.pulleys,
        catch_deg=found.catch_deg,
        stays_on=_caught(design, band),
        moves=tuple(moves),
        true=found.true,
        true_already=found.true_already,
        helpful=helpful,
        left_out=(),
        now=row(found.now),
        rows=tuple(row(placed) for placed in found.rows),
    )


def _straighter(placed: PlacedWheel, found: Placing) -> bool:
    """Tell whether a place makes the worst angle less, one way or the other, by what counts."""
    now = found.now.worst_spinning_deg, found.now.worst_backing_deg
    then = placed.worst_spinning_deg, placed.worst_backing_deg
    return any(new < (1.0 - HELPS) * old for new, old in zip(then, now, strict=True))


def _faults(design: Design) -> tuple[Finding, ...]:
    """Return what check calls a fault."""
    from wheelgeo.check.report import check_whole

    return check_whole(design).faults


def _caught(design: Design, band: str) -> bool:
    """Tell whether every pulley catches a band as it is, in spinning and in backing off."""
    motion = solve_drive(design).band(band)
    if motion.path is None:
        return False
    for index, (stop, seat) in enumerate(zip(motion.band.route, motion.seats, strict=True)):
        groove, caught = design.pulley(stop.pulley).groove, seat.catch_deg
        if groove.can_be_cut and not groove.has_mouth:  # a flat rim holds by another law
            caught = limit_value("flat_arriving_deg", design.limits)
        worst = max(abs(motion.path.arriving_deg(index)), abs(motion.path.leaving_deg(index)))
        if caught is None or worst > caught:
            return False
    return True


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
