"""From a tape to a band: what ``wheelgeo.old_wheel`` does."""

from __future__ import annotations

import difflib
from dataclasses import fields
from typing import TYPE_CHECKING

from wheelgeo.door import door
from wheelgeo.errors import DesignError, Fault, OutputError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from wheelgeo.check.answer import Answer
    from wheelgeo.shop.paper import Paper
    from wheelgeo.shop.sheet import Sheet
    from wheelgeo.tune.old_wheel import OldWheelAnswer
    from wheelgeo.wheel import Wheel


@door(DesignError)
def old_wheel(*, title: str = "Old wheel", **measured: str | float | bool | None) -> OldWheelAnswer:
    """Return the band of an old wheel from a few measurements, and how sure it is.

    Args:
        title: title of the wheel.
        measured: what was measured, as written on the rule, or as a number in mm: ``wheel`` or
            ``girth``, ``groove``, ``whorl`` or ``whorl_girth``, ``whorl_groove``, ``groove_shape``
            of both ("vee", "round", "worn") and ``whorl_shape`` where that is another or
            "unknown", ``mouth`` and ``whorl_mouth`` (width at the rim), ``apart`` (or
            ``edge_to_edge``, or ``over_axles`` with ``axle`` and ``rod``, or ``fits``: "75 1/8 in
            loop", a band that fits), ``cord`` ("3 mm cotton cord"),
            ``joint`` ("splice", or the length that it takes), ``crossed``, ``double`` (with
            ``grooves_apart`` and ``whorls_apart``), ``slide``; of an
            untrue wheel ``least`` (diameter of an oval rim, ``wheel`` being its greatest),
            ``wobble``, ``eccentric``, ``aside``; ``driven`` by what, and ``unit`` of what has none.
            Of two ways to the distance the first is taken, and the other compared with it. Each
            may tell its uncertainty: ``"21 1/2 +- 1/8 in"``.

    Returns:
        The band; ``.wheel`` holds the wheel, ``.answer`` what ``solve`` says of it.

    Raises:
        DesignError: something is missing, cannot be read, or makes no wheel; holds every fault.
    """
    from wheelgeo.design.model import Design
    from wheelgeo.tune.old_wheel import old_wheel as reckon
    from wheelgeo.tune.old_wheel_design import OldWheelMeasured
    from wheelgeo.wheel import Wheel

    def as_wheel(design: Design) -> Wheel:
        return Wheel(design)

    known = [field.name for field in fields(OldWheelMeasured)]
    if strange := [name for name in measured if name not in known]:
        raise DesignError(tuple(_unknown(name, known) for name in strange))
    told = {name: _as_written(name, v) for name, v in measured.items() if v is not None}
    return reckon(OldWheelMeasured(**told), as_wheel, title)  # type: ignore[arg-type]


def _as_written(name: str, value: str | float | bool) -> str | bool:
    """Return a measurement as written on the rule; a bare number is in mm."""
    if isinstance(value, bool) != (name == "crossed"):
        says = f"{value!r} is {'neither True nor False' if name == 'crossed' else 'no measurement'}"
        raise DesignError((Fault(name, says),))
    if isinstance(value, str | bool):
        return value
    written = f"{value:.12g}" if isinstance(value, int | float) else repr(value)
    return f"{written} mm"  # 500.0 as 500: how finely a rule was read is told by +- alone


def _unknown(name: str, known: list[str]) -> Fault:
    near = difflib.get_close_matches(name, known, 1)
    hint = f'did you mean "{near[0]}"?' if near else f"there are: {', '.join(known)}"
    return Fault(name, "no measurement is called so", hint)


def as_file(found: OldWheelAnswer) -> Wheel:
    """Return an old wheel as its design file has it: what nobody measured stands in comments.

    Args:
        found: what ``old_wheel`` returned.
    """
    from wheelgeo.files import read
    from wheelgeo.tune.old_wheel_file import old_wheel_text

    return read(old_wheel_text(found))


def refuse_without_band(found: OldWheelAnswer, said: Callable[[float], str]) -> None:
    """Refuse an old wheel round which no band goes.

    Args:
        found: what ``old_wheel`` returned.
        said: writes a length in mm for who reads it.

    Raises:
        DesignError: it has no band; says why, and what may have been meant.
    """
    from wheelgeo.tune.old_wheel_design import MEASURED
    from wheelgeo.tune.old_wheel_doubts import readings_of
    from wheelgeo.tune.old_wheel_meant import what_was_meant
    from wheelgeo.tune.old_wheel_reading import said as typed
    from wheelgeo.units.written import with_lengths

    if found.answer.bands[0].length_mm is not None:
        return
    why = next(f.says for f in found.answer.findings if f.rule == "no-path")
    meant = what_was_meant(readings_of(found.measured)[0])
    says = with_lengths("; ".join(why.split("; ")[:2]), said)
    if meant.words:  # the sizes are in question, and not how far these would have to stand apart
        says = why.partition("; ")[0].rpartition(": ")[2]
    fault = Fault(
        typed(found.measured.ways[0]), f"no band fits what was measured: {says}",
        "measure the distance once more",
    )  # fmt: skip
    raise DesignError((meant.asked_of(fault),), MEASURED)


@door(DesignError)
def measurement_faults(name: str, text: str, unit: str = "") -> tuple[Fault, ...]:
    """Return what is wrong with one measurement by itself, before the others are known.

    Args:
        name: as ``old_wheel`` calls it.
        text: as written on the rule.
        unit: of a length that was written without one.
    """
    return measurement_read(name, text, unit)[1]


@door(DesignError)
def measurement_read(name: str, text: str, unit: str = "") -> tuple[str, tuple[Fault, ...]]:
    """Return how one measurement is read by itself, before the others are known.

    Args:
        name: as ``old_wheel`` calls it.
        text: as written on the rule.
        unit: of a length that was written without one.

    Returns:
        What it is taken as, where that had to be assumed, empty otherwise; and what is wrong with
        it.
    """
    from wheelgeo.tune.old_wheel_reading import one_read

    return one_read(name, text, unit)


@door(OutputError)
def save_band_cards(answer: Answer, path: str | Path, paper: Paper = "A4") -> None:
    """Write the cards of a wheel's bands, a page for each, as a new file.

    Args:
        answer: what ``Wheel.solve`` returned.
        path: name of the file; it ends in .pdf or .html.
        paper: of a PDF: A4 or Letter.

    Raises:
        SearchError: another ending, or there is no band, or one has no path.
        OutputError: there is such a file already, or it cannot be written.
    """
    from wheelgeo.errors import SearchError

    if not answer.bands:
        raise SearchError("a wheel without a band has no card")
    if lost := [band.name for band in answer.bands if band.length_mm is None]:
        raise SearchError(f'band "{lost[0]}" has no path, and so no card: see `wheelgeo check`')
    from wheelgeo.shop.band_cards import band_cards

    _write_card(_card_path(path), band_cards(answer), paper)


@door(OutputError)
def save_card(found: OldWheelAnswer, path: str | Path, paper: Paper = "A4") -> None:
    """Write the card of an old wheel, one page to hang by the bench, as a new file.

    Args:
        found: what ``old_wheel`` returned.
        path: name of the file; it ends in .pdf or .html.
        paper: of a PDF: A4 or Letter.

    Raises:
        SearchError: another ending, or the wheel has no band.
        OutputError: there is such a file already, or it cannot be written.
    """
    from wheelgeo.errors import SearchError

    target = _card_path(path)
    if found.answer.bands[0].length_mm is None:
        raise SearchError("a wheel without a band has no card")
    from wheelgeo.shop.old_wheel_card import old_wheel_card

    _write_card(target, old_wheel_card(found), paper)


def _card_path(path: str | Path) -> Path:
    from wheelgeo.design.whole_file import file_path
    from wheelgeo.errors import SearchError

    target = file_path(path)
    if target.suffix not in (".pdf", ".html"):
        raise SearchError(f'a card is a page: "{target.name}" ends neither in .pdf nor in .html')
    return target


def _write_card(target: Path, card: Sheet, paper: Paper) -> None:
    from wheelgeo.design.whole_file import write_new
    from wheelgeo.shop.sheet_html import sheet_html
    from wheelgeo.shop.sheet_pdf import sheet_pdf

    write_new(target, sheet_pdf(card, paper) if target.suffix == ".pdf" else sheet_html(card, True))
