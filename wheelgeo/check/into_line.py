"""Where a pulley must stand on its shaft for a run to meet a pulley in its mid-plane."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.check.adjustments import Adjustment, only
from wheelgeo.check.edits import apply_edits, edit
from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive

_SET_WITHIN_MM = 0.01
_SECANTS = 8
_FLAT_DEG = 1e-9


def into_line(
    design: Design, name: str, band: str, index: int, backing_off: bool
) -> Iterator[Adjustment]:
    """Yield the shift of one pulley along its shaft by which a run meets a pulley quite straight.

    It is named before the smallest shift that is enough: no hand sets a pulley to a tenth of a
    millimetre.

    Args:
        design: the wheel.
        name: the pulley that is shifted.
        band: the band; it has a path.
        index: place in its route of the pulley at which the run arrives.
        backing_off: the wheel is turned back.
    """

    def lead_deg(offset_mm: float) -> float | None:
        moved = apply_edits(design, [edit(design, "pulley", name, "offset", offset_mm)])
        path = solve_drive(moved).band(band).path
        if path is None:
            return None
        return path.leaving_deg(index) if backing_off else path.arriving_deg(index)

    last = design.pulley(name).offset_mm
    lead, there = lead_deg(last), last + 1.0
    # The angle is all but straight over the place, so that the secant rule needs a few steps.
    for _ in range(_SECANTS):
        now = lead_deg(there)
        if now is None or lead is None or abs(now - lead) < _FLAT_DEG:
            return
        there, last, lead = there - now * (there - last) / (now - lead), there, now
        if abs(there - last) < _SET_WITHIN_MM:
            true = round(there, 1) + 0.0  # never -0.0
            yield only(edit(design, "pulley", name, "offset", true), amount=1e-3)
            return
