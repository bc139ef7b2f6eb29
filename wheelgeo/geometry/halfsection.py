"""The half-section of a pulley as it is cut, and its exact mass figures.

The section runs round the wood on one side of the axis: z along the axis from the groove's
mid-plane, r from the axis, counter-clockwise, from the bore at the lower face. A layered pulley has
the same kind of section: its square groove is a vee whose flanks are parallel.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from wheelgeo.design.model import Design, FlatRim, Lightening, Pulley, RoundGroove, VeeGroove
from wheelgeo.geometry.extents import CutGroove, groove_to_cut, mouth_mm, pulley_width_mm
from wheelgeo.geometry.revolve import Corner, Section, Solid, solid_of_revolution


def pulley_section(pulley: Pulley, cord_mm: float, bore_mm: float) -> Section:
    """Return the half-section of a pulley.

    Args:
        pulley: the pulley.
        cord_mm: diameter of the thickest cord that runs on it, mm; 0 where none does.
        bore_mm: diameter of the bore, mm.

    Returns:
        The corners, counter-clockwise, real arcs where the groove is round.

    Raises:
        ValueError: the groove reaches down to the bore, or its mouth is wider than the pulley.
    """
    groove = groove_to_cut(pulley, cord_mm)
    return section_of(groove, pulley_width_mm(pulley, cord_mm), bore_mm)


def section_of(groove: CutGroove, width_mm: float, bore_mm: float) -> Section:
    """Return the half-section of a groove on a body of a given width and bore, all mm.

    Raises:
        ValueError: the groove reaches down to the bore, or its mouth is wider than the body.
    """
    rim, bore, half = 0.5 * groove.rim_mm, 0.5 * bore_mm, 0.5 * width_mm
    valley = tuple(_valley(groove))
    lowest = min((corner.r_mm for corner in valley), default=rim)
    if isinstance(groove, RoundGroove):
        lowest = rim - groove.depth_mm
    if lowest <= bore:
        raise ValueError(
            f"the groove's bottom, {2 * lowest:g} mm, lies within the bore, {bore_mm:g} mm"
        )
    if mouth_mm(groove) > width_mm * (1.0 + 1e-12):
        raise ValueError(
            f"the groove's mouth, {mouth_mm(groove):g} mm, is wider than the body, {width_mm:g} mm"
        )
    body = (Corner(-half, bore), Corner(half, bore), Corner(half, rim))
    return _without_doubles((*body, *valley, Corner(-half, rim)))


def _valley(groove: CutGroove) -> Iterable[Corner]:
    """Yield the corners of the groove from its upper edge to its lower."""
    if isinstance(groove, FlatRim):
        return
    rim = 0.5 * groove.rim_mm
    mouth = 0.5 * mouth_mm(groove)
    if isinstance(groove, VeeGroove):
        floor, bottom = 0.5 * groove.bottom_mm, rim - groove.depth_mm
        yield Corner(mouth, rim)
        yield Corner(floor, bottom)
        yield Corner(-floor, bottom)
        yield Corner(-mouth, rim)
        return
    yield from _round_valley(groove, rim, mouth)


def _round_valley(groove: RoundGroove, rim: float, mouth: float) -> Iterable[Corner]:
    """Yield a round groove: an arc through the bottom, with straight walls where it is deep."""
    if groove.depth_mm > groove.radius_mm:
        springing = rim - groove.depth_mm + groove.radius_mm
        yield Corner(mouth, rim)
        yield Corner(mouth, springing, -1.0)
        yield Corner(-mouth, springing)
        yield Corner(-mouth, rim)
        return
    yield Corner(mouth, rim, -groove.depth_mm / mouth)
    yield Corner(-mouth, rim)


def _without_doubles(corners: tuple[Corner, ...]) -> Section:
    """Return the corners without those that stand where the next one stands."""
    following = (*corners[1:], corners[0])
    return tuple(
        a
        for a, b in zip(corners, following, strict=True)
        if math.hypot(a.z_mm - b.z_mm, a.r_mm - b.r_mm) > 1e-9
    )


def pulley_solid(design: Design, pulley: Pulley) -> Solid:
    """Return the exact mass figures of a pulley, z from the groove's mid-plane.

    The bore is the file's, or the shaft's diameter. Lightening holes are taken out as plain holes
    from face to face.

    Args:
        design: the wheel.
        pulley: one of its pulleys.

    Raises:
        ValueError: the pulley cannot be cut (see ``section_of``).
    """
    bore = design.shaft(pulley.shaft).diameter_mm if pulley.bore_mm is None else pulley.bore_mm
    cord = design.cord_on(pulley.name)
    whole = solid_of_revolution(pulley_section(pulley, cord, bore))
    if pulley.lightening is None:
        return whole
    return _lightened(whole, pulley.lightening, pulley_width_mm(pulley, cord))


def _lightened(whole: Solid, holes: Lightening, width_mm: float) -> Solid:
    """Return a solid less holes from face to face, evenly spaced on a circle.

    Across the axis the mean over all directions is taken; from three holes on all directions are
    equal. The solid's centre stays, since section and holes are even about the mid-plane.
    """
    radius, circle = 0.5 * holes.diameter_mm, 0.5 * holes.circle_mm
    volume = holes.holes * math.pi * radius**2 * width_mm
    axial = volume * (0.5 * radius**2 + circle**2)
    transverse = volume * (0.25 * radius**2 + width_mm**2 / 12.0 + 0.5 * circle**2)
    return Solid(
        whole.volume_mm3 - volume,
        whole.centroid_mm,
        whole.axial_mm5 - axial,
        whole.transverse_mm5 - transverse,
    )
