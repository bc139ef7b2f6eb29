"""A flyer and its bobbin as they are made, along the flyer's axis.

The flyer is a bar on the end of its rod with two arms of round steel, which reach back beside the
bobbin; hooks on both arms lead the yarn. The orifice is bored into the rod's front end, and an eye
through the edge of the bar lets the yarn out beside the arm. A brake's groove is turned into the
bobbin's hind end, or into a disc before the bar. All sizes are common practice, no source.
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
BRAKE_MM = 8.0
"""Width of what carries a brake's groove: a cord of 2.5 mm with its play, and two lips."""
BRAKE_LIP_MM = 2.0
"""Height and width of each lip."""
BRAKE_CORD_MM = 2.5
ORIFICE_SHARE = 0.6
"""Diameter of the orifice, and of its eye, over that of the rod that it is in."""
EYE_MM = 5.0
"""From the bar's front face to the middle of the eye."""
BAR_PIN_MM = 3.0
"""From the bar's hind face to the middle of the pin that holds it on the rod."""
HOOK_GAP_MM = 14.0
"""Between two hooks of an arm."""
HOOK_MM = 9.0
"""How far a hook stands off its arm."""
HOOK_WIRE_MM = 1.6
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
        bobbin_brake: diameter at the bottom of the groove at the bobbin's hind end; 0 without.
        flyer_brake: the same of the disc before the bar.
    """

    bobbin: str
    bobbin_from: float
    bobbin_to: float
    bar_from: float
    bar_to: float
    arm_radius: float
    bobbin_brake: float = 0.0
    flyer_brake: float = 0.0

    @property
    def yarn_from(self) -> float:
        """Where the yarn's room on the bobbin begins, before its hind flange."""
        return self.bobbin_from + (BRAKE_MM if self.bobbin_brake else 0.0) + FLANGE_MM

    @property
    def yarn_to(self) -> float:
        """Where it ends, behind the front flange."""
        return self.bobbin_to - FLANGE_MM

    @property
    def front(self) -> float:
        """The foremost face of bar and brake: the front bearing stands before it."""
        return self.bar_to + (BRAKE_MM if self.flyer_brake else 0.0)

    @property
    def hooks(self) -> tuple[float, ...]:
        """Where the hooks of each arm stand along the axis, evenly along the yarn's room."""
        room = self.yarn_to - self.yarn_from
        count = max(2, round(room / HOOK_GAP_MM))
        return tuple(self.yarn_from + (n + 0.5) * room / count for n in range(count))

    @property
    def eye(self) -> float:
        """Where the eye goes into the orifice along the axis, clear of the bar's pin behind it."""
        return self.bar_to - EYE_MM


def brake_outside(low: float, diameter: float) -> tuple[tuple[float, float], ...]:
    """Return the outside of what carries a brake's groove, from its hind end: (place, radius)."""
    deep, lip, high = 0.5 * diameter, BRAKE_LIP_MM, low + BRAKE_MM
    rim = deep + lip
    return (
        (low, rim), (low + lip, rim), (low + lip, deep), (high - lip, deep), (high - lip, rim),
        (high, rim),
    )  # fmt: skip


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
    # a brake no larger than what it lies on needs no groove: its cord lies on the rod itself
    brakes = {d.shaft: d.diameter_mm for d in design.drags
              if d.diameter_mm > design.shaft(d.shaft).diameter_mm + 1.0}  # fmt: skip
    on_bobbin, on_flyer = brakes.get(sleeve.name, 0.0), brakes.get(spindle.shaft, 0.0)
    least = 4.0 * FLANGE_MM + (BRAKE_MM if on_bobbin else 0.0)
    own = [x for p in pulleys if p.pulley.shaft == sleeve.name for x in p.faces_mm]
    behind = [x for p in pulleys if p.pulley.shaft == spindle.shaft for x in p.faces_mm]
    start = max([0.0, *own, *behind]) + 1.0
    stop = start + USUAL_BOBBIN_MM
    if sleeve.ends_mm is not None:
        stop = max(*sleeve.ends_mm, start + least)
        if not own:
            start = max(start, min(sleeve.ends_mm))
    full = USUAL_FULL_MM if design.bobbin is None else design.bobbin.full_mm
    radius = 0.5 * full + ARM_ROOM_MM + 0.5 * ARM_MM
    bar = stop + WASHER_MM
    return FlyerPlan(sleeve.name, start, stop, bar, bar + BAR_MM, radius, on_bobbin, on_flyer)
