"""Rules on the parts themselves: whether enough is left of them to be made."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.check.finding import Finding
from wheelgeo.check.subject import Subject
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.materials import find_material
from wheelgeo.design.model import Design, FlatRim, Pulley
from wheelgeo.geometry.extents import groove_to_cut


def thin_wall(subject: Subject) -> Iterator[Finding]:
    """Warn where too little is left between the bore of a pulley and the bottom of its groove."""
    for pulley in subject.design.pulleys:
        name = "metal_wall_mm" if _is_metal(subject.design, pulley) else "wood_wall_mm"
        limit = subject.limit(name)
        bottom, bore = _bottom_mm(subject.design, pulley), _bore_mm(subject.design, pulley)
        wall = 0.5 * (bottom - bore)
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
                _remedy(subject, pulley, bottom, limit),
                LIMITS[name].source,
            )


def _is_metal(design: Design, pulley: Pulley) -> bool:
    """Tell whether a pulley is of metal; where the file is silent it is of wood."""
    material = find_material(pulley.material or "", design.materials)
    return material is not None and material.kind == "shaft"


def _bottom_mm(design: Design, pulley: Pulley) -> float:
    groove = groove_to_cut(pulley, design.cord_on(pulley.name))
    return groove.rim_mm if isinstance(groove, FlatRim) else groove.rim_mm - 2.0 * groove.depth_mm


def _bore_mm(design: Design, pulley: Pulley) -> float:
    if pulley.bore_mm is not None:
        return pulley.bore_mm
    return design.shaft(pulley.shaft).diameter_mm


def _remedy(subject: Subject, pulley: Pulley, bottom: float, limit: float) -> str:
    """Name the thinner rod, or metal where that is enough."""
    thinner = bottom - 2.0 * limit
    ways = [f'make shaft "{pulley.shaft}" {thinner:.2f} mm thick or less'] if thinner > 0.0 else []
    wall = 0.5 * (bottom - _bore_mm(subject.design, pulley))
    if not _is_metal(subject.design, pulley) and wall >= subject.limit("metal_wall_mm"):
        ways.append('make the pulley of metal (material = "brass")')
    deeper = _bore_mm(subject.design, pulley) + 2.0 * limit
    ways.append(f"make the pulley larger: {deeper:.2f} mm at the bottom of its groove")
    return "; or ".join(ways)
