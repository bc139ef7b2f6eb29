"""From a tape to a band: what ``wheelgeo.old_wheel`` does."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from wheelgeo.errors import Fault
    from wheelgeo.shop.paper import Paper
    from wheelgeo.tune.old_wheel import OldWheelAnswer


def old_wheel(*, title: str = "Old wheel", **measured: str | bool) -> OldWheelAnswer:
    """Return the band of an old wheel from a few measurements, and how sure it is.

    Args:
        title: title of the wheel.
        measured: what was measured, as written on the rule: ``wheel`` or ``girth``, ``groove``,
            ``whorl`` or ``whorl_girth``, ``whorl_groove``, ``groove_shape`` of both ("vee",
            "round", "worn") and ``whorl_shape`` where that is another, ``apart`` (or
            ``edge_to_edge``, or ``over_axles`` with ``axle`` and ``rod``, or ``fits``: "75 1/8 in
            loop", a band that is known to fit), ``cord`` ("3 mm cotton cord"), ``joint``
            ("splice", or the length that it takes), ``crossed``, ``double``, ``slide``; of an
            untrue wheel ``least`` (diameter of an oval rim, ``wheel`` being its greatest),
            ``wobble``, ``eccentric``, ``aside``. Each may tell its uncertainty:
            ``"21 1/2 +- 1/8 in"``.

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

    return reckon(OldWheelMeasured(**measured), as_wheel, title)  # type: ignore[arg-type]


def measurement_faults(name: str, text: str) -> tuple[Fault, ...]:
    """Return what is wrong with one measurement by itself, before the others are known.

    Args:
        name: as ``old_wheel`` calls it.
        text: as written on the rule.
    """
    from wheelgeo.tune.old_wheel_reading import faults_of

    return faults_of(name, text)


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
    from wheelgeo.design.whole_file import file_path, write_new
    from wheelgeo.errors import SearchError

    target = file_path(path)
    if target.suffix not in (".pdf", ".html"):
        raise SearchError(f'a card is a page: "{target.name}" ends neither in .pdf nor in .html')
    if found.answer.bands[0].length_mm is None:
        raise SearchError("a wheel without a band has no card")
    from wheelgeo.shop.old_wheel_card import old_wheel_card
    from wheelgeo.shop.sheet_html import sheet_html
    from wheelgeo.shop.sheet_pdf import sheet_pdf

    card = old_wheel_card(found)
    write_new(target, sheet_pdf(card, paper) if target.suffix == ".pdf" else sheet_html(card, True))
