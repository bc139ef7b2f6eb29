"""Rules on the parts themselves: whether enough is left of them to be made."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.check.adjustments import Adjustment, grown, only
from wheelgeo.check.edits import edit
from wheelgeo.check.finding import Finding
from wheelgeo.check.remedies import mend
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.model import Pulley
from wheelgeo.geometry.extents import bore_mm, groove_bottom_mm, is_metal, wall_mm


def thin_wall(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where too little is left between the bore of a pulley and the bottom of its groove."""
    for pulley in wheel.design.pulleys:
        name = "metal_wall_mm" if is_metal(wheel.design, pulley) else "wood_wall_mm"
        limit = wheel.limit(name)
        wall = wall_mm(wheel.design, pulley)
        if wall < limit - 1e-9:
            bottom = groove_bottom_mm(wheel.design, pulley)
            yield Finding(
                "thin-wall",
                "warning",
                f'pulley "{pulley.name}"',
                wall,
                limit,
                "mm",
                f'only {wall:.2f} mm are left of "{pulley.name}" between its bore and the bottom '
                "of its groove",
                LIMITS[name].source,
                mend(
                    wheel,
                    thin_wall,
                    _stouter(wheel, pulley, wall, limit),
                    f"bore it {max(bottom - 2.0 * limit, 0.0):.2f} mm or less, for a thinner shaft",
                ),
            )


def _stouter(
    wheel: WheelUnderCheck, pulley: Pulley, wall: float, limit: float
) -> Iterator[Adjustment]:
    """Yield the thinner rod, metal where that is enough, or the larger pulley."""
    design, short = wheel.design, 2.0 * (limit - wall)
    thinner = math.floor(100.0 * (design.shaft(pulley.shaft).diameter_mm - short) + 1e-6) / 100.0
    if thinner > 0.0 and pulley.bore_mm is None:
        yield only(edit(design, "shaft", pulley.shaft, "diameter", thinner))
    bore = math.floor(100.0 * (bore_mm(design, pulley) - short) + 1e-6) / 100.0
    if pulley.bore_mm is not None and bore >= design.shaft(pulley.shaft).diameter_mm:
        yield only(edit(design, "pulley", pulley.name, "bore", bore))
    if not is_metal(design, pulley) and wall >= wheel.limit("metal_wall_mm"):
        yield only(edit(design, "pulley", pulley.name, "material", "brass"))
    yield grown(design, pulley.name, math.ceil(100.0 * short - 1e-6) / 100.0)
