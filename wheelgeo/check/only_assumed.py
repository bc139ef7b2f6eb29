"""What of an old wheel hangs on distances that nobody measured: a note, and what to measure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelgeo.check.adjustments import coaxial
from wheelgeo.check.finding import Finding, advice
from wheelgeo.design.model import Band, Design
from wheelgeo.units.in_full import part_of

_OF_SPACING = frozenset({
    "arriving-angle", "leaving-angle", "crossed-runs-rub", "pulleys-overlap", "run-hits-pulley",
})  # fmt: skip
_SAME_MM = 1e-3
"""A file in inches holds a distance to less than this."""


def of_spacing(finding: Finding) -> bool:
    """Tell whether a finding hangs on how far apart the grooves of a double band stand."""
    return finding.rule in _OF_SPACING or finding.rule.startswith("mouth-")


def as_assumed(design: Design, finding: Finding) -> Finding:
    """Return a finding as a note where it hangs on a distance that was only assumed.

    That is so as long as all pulleys stand as far apart as the file says was assumed: whoever moves
    one of them has a place of his own for it. Two that overlap were not laid so.

    Args:
        design: the wheel.
        finding: what a rule found on it.
    """
    shop = design.shop
    told = sum(d is not None for d in (shop.grooves_apart_assumed_mm, shop.whorls_apart_assumed_mm))
    if not told or not of_spacing(finding) or finding.rule == "pulleys-overlap":
        return finding
    what = list(dict.fromkeys(w for band in design.bands for w in _assumed(design, band)))
    if len(what) < told:
        return finding
    these = "these two: " if len(what) == 2 else ""
    return replace(
        finding, level="note",
        says=f"{part_of(finding.says)}; but the distance {' and '.join(what)} was only assumed",
        mend=advice(
            f"measure {these}the distance {' and '.join(what)}, middle to middle, and set the "
            "offsets by it"
        ),
    )  # fmt: skip


def _assumed(design: Design, band: Band) -> Iterator[str]:
    """Yield between what a band's grooves are as far apart as was assumed."""
    route = [design.pulley(stop.pulley) for stop in band.route]
    axle, shop = design.shaft(design.drive.shaft), design.shop
    on_axle = [p for p in route if coaxial(design.shaft(p.shaft), axle)]
    for pulleys, assumed_mm, between in (
        (on_axle, shop.grooves_apart_assumed_mm, "between the wheel's two grooves"),
        ([p for p in route if p not in on_axle], shop.whorls_apart_assumed_mm,
         "between the whorls of flyer and bobbin"),
    ):  # fmt: skip
        if assumed_mm is not None and len(pulleys) == 2:
            one, other = (p.offset_mm for p in pulleys)
            if abs(abs(other - one) - assumed_mm) < _SAME_MM:
                yield between
