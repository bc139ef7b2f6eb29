"""The questions of spinner and repairer: another yarn, bands at hand, a true run."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Protocol

from wheelgeo.errors import DesignError, SearchError
from wheelgeo.page.open_wheel import Ghost, OpenWheel
from wheelgeo.page.reading import Ask, Said
from wheelgeo.page.told import named, written
from wheelgeo.page.ways import as_it_is_told, step_told, way_told
from wheelgeo.units.in_full import plain
from wheelgeo.units.written import LengthUnit, bare_unit, told_in

if TYPE_CHECKING:
    from wheelgeo.tune.as_it_is import ChangeAnswer
    from wheelgeo.tune.bands_to_have import BandToHave
    from wheelgeo.tune.place_answer import PlaceRowAnswer


def _given(ask: Ask, key: str) -> str | None:
    value = ask.get(key)
    return value.strip() or None if isinstance(value, str) else None


GoOn = Callable[[], None]
"""Called now and then by what takes long; it raises where nobody waits for the answer any more."""


def retune(opened: OpenWheel, ask: Ask, unit: LengthUnit, go_on: GoOn) -> Said:
    """Return the ways to another count, twist, draw or ratio; each lies ready as a ghost."""
    from wheelgeo.tune.makeable import usual_step
    from wheelgeo.tune.retune_answer import turns_in_words

    turns, ratio = _given(ask, "turns_per_metre"), _given(ask, "ratio")
    design = opened.now.design
    answer = opened.now.retune(
        count=_given(ask, "count"),
        twist=_given(ask, "twist"),
        turns_per_metre=turns,
        draw=_given(ask, "draw"),
        ratio=None if ratio is None else _number(ratio),
        step=usual_step(bare_unit(unit)),
        most=6,
        progress=go_on,
    )
    as_it_is = [
        {**_ghost(opened, way, (*_HAND, *_whats(way.settings))),
         **as_it_is_told(answer, way, design, unit)}
        for way in answer.without_change.ways()
    ]  # fmt: skip
    if (step := answer.nearest_step) is not None:
        sets = _whats((*step.changes, *step.settings))
        as_it_is.append({**_ghost(opened, step, sets), **step_told(answer, step, unit)})
    ways = []
    for number, option in enumerate(answer.options, start=1):
        told = way_told(answer, option, design, unit)
        laid = {} if told["pathless"] else _ghost(
            opened, option, _whats((*option.changes, *option.settings))
        )
        # Numbered as the command numbers them with these steps, which writes a way by its number.
        ways.append({"number": number, "ghost": None, **laid, **told})
    ways.sort(key=lambda way: (way["faulty"], way["pathless"]))  # as they are listed
    return {
        "ratio_now": answer.ratio_now,
        "cannot_run": answer.cannot_run,
        "ratio_needed": answer.ratio_needed,
        "yarn": answer.yarn_wanted,
        "ratio_asked": answer.ratio_asked,
        "turns": "" if answer.twist_follows else turns_in_words(answer.turns_per_metre_wanted),
        "twist": answer.twist_in_words("a metre"),
        "keeps_twist": answer.keeps_twist,
        "enough": answer.without_change.enough,
        "not_kept_up": answer.without_change.not_kept_up_in_words(),
        "as_it_is": as_it_is,
        "ways": ways,
    }


_HAND = ("drive.turns", "drive.speed")
"""What a hand does otherwise on a wheel as it is."""


def _whats(changes: Iterable[ChangeAnswer]) -> tuple[str, ...]:
    """Return what changes are of: a step tells of it before what follows."""
    return tuple(change.what for change in changes)


class _MakesWheel(Protocol):
    """What a way or a place makes of the wheel; DesignError where that cannot exist."""

    @property
    def wheel(self) -> Any: ...


def _ghost(opened: OpenWheel, made: _MakesWheel, sets: Iterable[str] = ()) -> Said:
    """Lay a wheel ready as a ghost; where it cannot exist, say why there is none."""
    try:
        return {"ghost": opened.lay_over(Ghost(made.wheel, sets=tuple(sets))), "refused": ""}
    except DesignError as error:
        return {"ghost": None, "refused": str(error)}


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise SearchError(f'"{text}" is no number') from None


def have(opened: OpenWheel, ask: Ask, unit: LengthUnit, _: GoOn) -> Said:
    """Return what bands at hand do for one of the wheel's bands."""
    from wheelgeo.shop.bands_to_have_words import tie_it, told_below, verdict
    from wheelgeo.shop.old_wheel_words import joint_in

    def said(mm: float) -> str:
        return written(mm, "mm", unit)

    band, lengths = _given(ask, "band") or "", _given(ask, "have") or ""
    answer = opened.now.bands_to_have(band, lengths, bare_unit(unit))
    joint = joint_in(opened.now.design, band)
    (made,) = (b for b in opened.now.solve().bands if b.name == band)
    return {
        "band": answer.band,
        "material": answer.material,
        "slide": answer.slide,
        "read": list(told_below(answer, made, opened.now.design, said)),
        "bands": [
            {
                "name": f"{b.name}{_TAKEN_AS.get(b.taken_as, '')}",
                "fits": b.fits,
                "says": verdict(replace(b, says=told_in(b.says, unit)), joint, said),
                "tie": tie_it(b, said),
                **_put_on(b),
            }
            for b in answer.bands
        ],
    }


_TAKEN_AS = {"cord": " of cord, to be joined", "loop": ", joined"}


def _put_on(band: BandToHave) -> Said:
    """Return the stretch and pull of a band at the ends of its slide, and its room to grow."""
    ends = [end for end in (band.at_from, band.at_to) if end is not None]
    return {
        "stretch": _percent(*(end.stretch for end in ends)),
        "pull": " to ".join(dict.fromkeys(f"{plain(end.pull_n, 1)} N" for end in ends)),
        "room": "" if band.room_left is None else _percent(band.room_left),
    }


def _percent(*shares: float) -> str:
    return " to ".join(dict.fromkeys(f"{100.0 * share:.1f} %" for share in shares))


def place(opened: OpenWheel, ask: Ask, unit: LengthUnit, _: GoOn) -> Said:
    """Return where a band arrives true, from spinning alone to backing off alone, as ghosts."""
    move = _given(ask, "move")
    answer = opened.now.place(_given(ask, "band") or "", [move] if move else ())
    return {
        "band": answer.band,
        "pulleys": list(answer.pulleys),
        "moved": [named(opened.now.design, one) for one in answer.moves],
        "left_out": [told_in(one, unit) for one in answer.left_out],
        "true": answer.true,
        "true_already": answer.true_already,
        "stays_on": answer.stays_on,
        "catch": [
            f"{name} {written(deg, 'deg', unit)}"
            for name, deg in zip(answer.pulleys, answer.catch_deg, strict=True)
            if deg is not None
        ],
        "helps": any(row.helps for row in answer.rows),
        "rows": [] if answer.true_already else [_placed(opened, row, answer.moves, unit)
                                                 for row in answer.rows],
    }


def _placed(
    opened: OpenWheel, row: PlaceRowAnswer, sets: Iterable[str], unit: LengthUnit
) -> Said:
    moves = [round(mm, 1) + 0.0 for mm in row.moves_mm]  # as they are written: less is none
    laid = _ghost(opened, row, sets) if row.helps else {
        "ghost": None, "refused": told_in("; ".join(row.faults), unit)
    }  # fmt: skip
    return {
        **laid,
        "from": row.weight_of_backing_off,
        "to": row.up_to_weight,
        "moves": [written(mm, "mm", unit) for mm in moves] if any(moves) else [],
        "helps": row.helps,
        "arriving": [written(deg, "deg", unit) for deg in row.arriving_deg],
        "back": [written(deg, "deg", unit) for deg in row.arriving_back_deg],
    }
