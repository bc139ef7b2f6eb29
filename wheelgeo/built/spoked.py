"""A wheel of rim, spokes and hub: its sizes, its mass, and its hub and spokes as bodies.

The rim is of segments as ``wheelgeo.built.built_up`` has it; the hub is a disc as wide as the rim,
of one piece of wood; round spokes stand between them, their ends turned down to tenons that are
glued in holes bored towards the axis. Sizes are common practice, no source.
"""

from __future__ import annotations

import math

from wheelgeo.built.built_up import rim_of_segments
from wheelgeo.built.inertia import Inertia, cylinder
from wheelgeo.design.file_kinds import MOST_SPOKES
from wheelgeo.geometry.built_rim import SegmentedRing
from wheelgeo.immutable import dataclass

HUB_SHARE = 0.13
"""Diameter of the hub over the wheel's."""
LEAST_HUB_MM = 60.0
SPOKE_SHARE = 0.03
"""Diameter of a spoke over the wheel's."""
SPOKE_MM = (10.0, 24.0)
"""Least and greatest diameter of a spoke, mm."""
SPOKE_OF_WIDTH = 0.75
"""Diameter of a spoke over the width of its wheel, at most."""
TENON_OF_SPOKE = 0.65
"""Diameter of the tenon over the spoke's, so that it has a shoulder."""
TENON_MM = (18.0, 10.0)
"""How deep a tenon goes into the hub and into the rim, mm."""
APART = 1.5
"""Between the middles of two spokes at the hub, in their diameters, at least."""


def usual_spokes(rim_mm: float) -> int:
    """Return how many spokes a wheel usually has: 8, and 2 more for every 200 mm above 600.

    Never more than a file may give: metres written for millimetres would else make thousands.
    """
    return min(8 + 2 * max(0, math.ceil((rim_mm - 600.0) / 200.0)), MOST_SPOKES)


@dataclass(frozen=True)
class SpokedWheel:
    """Rim, spokes and hub of a wheel.

    Attributes:
        rim: the rim of segments.
        count: how many spokes.
        spoke_mm: diameter of a spoke.
        hub_mm: diameter of the hub.
    """

    rim: SegmentedRing
    count: int
    spoke_mm: float
    hub_mm: float

    @property
    def between_mm(self) -> float:
        """Length of a spoke from the hub to the rim, its tenons left out, mm."""
        return 0.5 * (self.rim.inner_mm - self.hub_mm)

    @property
    def tenon_mm(self) -> float:
        """Diameter of a spoke's tenons, mm."""
        return TENON_OF_SPOKE * self.spoke_mm

    @property
    def long_mm(self) -> float:
        """Length of a spoke as it is sawn, mm."""
        return self.between_mm + sum(TENON_MM)


def spoked_wheel(rim_mm: float, bottom_mm: float, width_mm: float, count: int) -> SpokedWheel:
    """Return rim, spokes and hub of a wheel.

    Args:
        rim_mm: its diameter.
        bottom_mm: diameter at the bottom of its groove.
        width_mm: its width along the axis.
        count: how many spokes.
    """
    low, high = SPOKE_MM
    spoke = min(max(SPOKE_SHARE * rim_mm, low), high, SPOKE_OF_WIDTH * width_mm)
    hub = max(HUB_SHARE * rim_mm, LEAST_HUB_MM, count * APART * spoke / math.pi)
    return SpokedWheel(rim_of_segments(rim_mm, bottom_mm), count, spoke, hub)


def hub_and_spokes(
    made: SpokedWheel, width_mm: float, bore_mm: float, density_kg_m3: float, grooves: int = 1
) -> Inertia:
    """Return mass and moments of hub and spokes, about the wheel's middle.

    Args:
        made: the wheel's sizes.
        width_mm: width of the hub.
        bore_mm: its bore.
        density_kg_m3: of its wood; the tenons fill their holes.
        grooves: how many grooves share the spokes: one of these is counted.
    """
    hub = cylinder(made.hub_mm, width_mm, density_kg_m3, bore_mm)
    one = cylinder(made.spoke_mm, made.between_mm, density_kg_m3)
    out = 0.25 * (made.hub_mm + made.rim.inner_mm) / 1e3
    # A spoke's own axis is along the radius: about the wheel's axis it turns end over end, and its
    # middle goes round at ``out``. At an angle t from a diameter it has Ip cos2 t + (Id + m out2)
    # sin2 t about that, of which the mean over three or more spokes is half of either.
    about = one.diametral_kg_m2 + one.mass_kg * out**2
    n = made.count / grooves
    return hub + Inertia(n * one.mass_kg, n * about, 0.5 * n * (about + one.polar_kg_m2))
