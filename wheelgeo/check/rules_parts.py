"""Rules on the parts themselves: whether enough is left of them to be made."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.check.finding import Finding
from wheelgeo.check.subject import Subject
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.model import Pulley
from wheelgeo.geometry.extents import bore_mm, groove_bottom_mm, is_metal, wall_mm


def thin_wall(subject: Subject) -> Iterator[Finding]:
    """Warn where too little is left between the bore of a pulley and the bottom of its groove."""
    for pulley in subject.design.pulleys:
        name = "metal_wall_mm" if is_metal(subject.design, pulley) else "wood_wall_mm"
        limit = subject.limit(name)
        wall = wall_mm(subject.design, pulley)
        if wall < limit - 1e-9:
            yield Finding(
                "thin-wall",
                "warning",
                f'pulley "{pulley.name}"',
                wall,
                limit,
                "mm",
                f'only {wall:.2f} mm are left of "{pulley.name}" between its bore and the bottom '
                "of its groove",
                _remedy(subject, pulley, wall, limit),
                LIMITS[name].source,
            )


def _remedy(subject: Subject, pulley: Pulley, wall: float, limit: float) -> str:
    """Name the thinner rod, or metal where that is enough, or the larger pulley."""
    design = subject.design
    bottom, bore = groove_bottom_mm(design, pulley), bore_mm(design, pulley)
    rod = design.shaft(pulley.shaft).diameter_mm
    thinner = rod - 2.0 * (limit - wall)
    ways = []
    if thinner > 0.0 and pulley.bore_mm is None:
        ways.append(f'make shaft "{pulley.shaft}" {thinner:.2f} mm thick or less')
    elif bottom - 2.0 * limit > 0.0:
        ways.append(f"bore it {bottom - 2.0 * limit:.2f} mm or less, for a thinner shaft")
    if not is_metal(design, pulley) and wall >= subject.limit("metal_wall_mm"):
        ways.append('make the pulley of metal (material = "brass")')
    ways.append(f"make the pulley larger: {bore + 2.0 * limit:.2f} mm at the bottom of its groove")
    return "; or ".join(ways)
