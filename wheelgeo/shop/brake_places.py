"""Where the hook and the peg of a flyer's brake stand, in what carries its holders.

Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape
from wheelgeo.built.flyer import BRAKE_MM
from wheelgeo.design.model import Design
from wheelgeo.design.other_parts import DragBrake
from wheelgeo.geometry.vectors import along
from wheelgeo.immutable import dataclass
from wheelgeo.shop.outlines import Circle, Point

PEG_MM = 10.0
"""Diameter of a brake's peg; it tapers 1 in 20, so that it holds where it is turned to."""
EDGE_MM = 12.0
"""From a long edge of the mother-of-all to hook and peg."""


@dataclass(frozen=True)
class BrakePlace:
    """A brake on the mother-of-all, in her own x and y, mm.

    Attributes:
        drag: the brake.
        board: her name.
        hook: the place of its hook.
        peg: the hole of its peg.
        thick_mm: her thickness.
    """

    drag: DragBrake
    board: str
    hook: Point
    peg: Circle
    thick_mm: float

    @property
    def note(self) -> str:
        """What is told of it among the notes of the board."""
        return (
            f"Its hole of {PEG_MM:g} mm, taken out 1 in 20 from above, is for the peg of the brake "
            f"of {self.drag.shaft}; the hook stands opposite, {EDGE_MM:g} mm in from the other "
            "edge."
        )


def brake_places(design: Design) -> Iterator[BrakePlace]:
    """Yield where the brakes of a flyer on a mother-of-all stand, straight under their grooves.

    Args:
        design: the wheel.
    """
    made = build(design).spindle
    plan, name = made.flyer_plan, f"mother-of-all {made.name}"
    mother = next((b for b in bodies(build(design)) if b.name == name), None)
    if plan is None or mother is None:
        return
    shape = mother.shape
    assert isinstance(shape, BoardShape)
    left, low, right, high = shape.flat_box
    for drag in design.drags:
        at = 0.5 * BRAKE_MM + (plan.bobbin_from if drag.shaft == plan.bobbin else plan.bar_to)
        under = along(made.shaft.at_mm, made.shaft.axis, at)
        x, _ = shape.flat_place(under)
        if left + PEG_MM < x < right - PEG_MM:
            peg = Circle((x, high - EDGE_MM), 0.5 * PEG_MM)
            yield BrakePlace(drag, name, (x, low + EDGE_MM), peg, shape.thickness_mm)
