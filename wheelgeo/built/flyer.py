"""A flyer and its bobbin as they are made, along the flyer's axis.

The flyer is a bar on the end of its rod with two arms of round steel, which reach back beside the
bobbin. All sizes are common practice, no source.
"""

from __future__ import annotations

from wheelgeo.built.held import WASHER_MM
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.design.model import Design
from wheelgeo.immutable import dataclass

BAR_MM = 14.0
"""Thickness of the bar along the axis."""
BAR_WIDTH_MM = 22.0
ARM_MM = 5.0
"""Diameter of an arm."""
ARM_ROOM_MM = 6.0
"""Between the full bobbin and the arms."""
FLANGE_MM = 5.0
"""Thickness of the bobbin's two flanges."""
USUAL_BOBBIN_MM = 90.0
"""Length of a bobbin whose file does not say it."""
USUAL_FULL_MM = 80.0


@dataclass(frozen=True)
class FlyerPlan:
    """Where flyer and bobbin stand along the axis of the flyer, mm.

    Attributes:
        bobbin: the shaft that the bobbin is on.
        bobbin_from: the bobbin's hind end.
        bobbin_to: its front end.
        bar_from: hind face of the bar.
        bar_to: its front face.
        arm_radius: from the axis to the middle of an arm.
    """

    bobbin: str
    bobbin_from: float
    bobbin_to: float
    bar_from: float
    bar_to: float
    arm_radius: float


def flyer_plan(design: Design, pulleys: tuple[BuiltPulley, ...]) -> FlyerPlan | None:
    """Return where flyer and bobbin stand; None where the wheel has none.

    Args:
        design: the wheel.
        pulleys: every pulley of it.
    """
    spindle = design.spindle
    if spindle.kind != "flyer" or spindle.bobbin is None:
        return None
    sleeve = design.shaft(spindle.bobbin)
    own = [x for p in pulleys if p.pulley.shaft == sleeve.name for x in p.faces_mm]
    behind = [x for p in pulleys if p.pulley.shaft == spindle.shaft for x in p.faces_mm]
    start = max([0.0, *own, *behind]) + 1.0
    stop = start + USUAL_BOBBIN_MM
    if sleeve.ends_mm is not None:
        stop = max(*sleeve.ends_mm, start + 4.0 * FLANGE_MM)
        if not own:
            start = max(start, min(sleeve.ends_mm))
    full = USUAL_FULL_MM if design.bobbin is None else design.bobbin.full_mm
    radius = 0.5 * full + ARM_ROOM_MM + 0.5 * ARM_MM
    bar = stop + WASHER_MM
    return FlyerPlan(sleeve.name, start, stop, bar, bar + BAR_MM, radius)
