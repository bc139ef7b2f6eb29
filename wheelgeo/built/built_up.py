"""How a large wooden wheel is built up before it is turned: from segments, or from boards.

Glossary: *segments* make the rim in two layers, mitred, the joints of one over the middles of the
other, round a middle of plywood; *boards* are glued edge to edge, held flat by two battens across
them, let flush into the back. Either way a solid blank comes of it, as thick as the wheel is wide.
Sizes are common practice, no source.
"""

from __future__ import annotations

import math
from typing import Literal

from wheelgeo.built.assumed import Assumption, Chosen
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.possible_drive import DEEP_BUILT_UP, DEEP_SPOKED
from wheelgeo.design.wood import find_species
from wheelgeo.geometry.built_rim import SegmentedRing, least_segments
from wheelgeo.immutable import dataclass

Making = Literal["turned", "layers", "segments", "boards", "spokes"]

GLUED_UP = {"segments": "segments", "boards": "boards", "spokes": "segments, spokes and a hub"}
"""What a wheel is glued up from, in words, by how it is made; of what is glued at all."""
LARGE_MM = 250.0
"""A wheel of solid wood as large as this is built from segments, not turned from one board."""
SPOKED_MM = 700.0
"""A wheel of solid wood as large as this has spokes: a middle of plywood outweighs its rim."""
BOARD_MM = 100.0
"""Width of board that segments are sawn from."""
RIM_SHARE = 0.12
"""Height of a rim of segments over the wheel's diameter."""
SPARE_MM = 3.0
"""Wood left for turning, on the radius."""
LAYERS = 2
LEAST_SEGMENTS = 8
"""With fewer the grain runs out of the rim at more than 22.5 degrees, and the ends split off."""
GLUED_MM = 120.0
"""Greatest width of a board that is glued to others: a wider one cups."""
BATTEN_MM = 40.0
"""Width of a batten."""


def making_of(
    given: Making | None, material: str, rim_mm: float, bottom_mm: float, called: str
) -> Chosen[Making]:
    """Return how a pulley is made: as the file says, or by its size and wood, with the reason.

    Args:
        given: the file's choice; None where it is silent.
        material: name of its material.
        rim_mm: its outside diameter.
        bottom_mm: diameter at the bottom of its deepest groove.
        called: its place, as messages have it.
    """
    if given is not None:
        return Chosen(given)
    deep = 0.5 * (rim_mm - bottom_mm) / rim_mm
    if rim_mm < LARGE_MM or deep > DEEP_BUILT_UP or find_species(material) is None:
        return Chosen("turned")
    if rim_mm >= SPOKED_MM and deep <= DEEP_SPOKED:
        why = f"{PRACTICE}: a middle of plywood in a rim of {rim_mm:g} mm outweighs the rim"
        taken = "a rim of segments, spokes and a hub"
        return Chosen("spokes", (Assumption(f"how {called} is built", taken, why),))
    why = f"{PRACTICE}: a board as wide as {rim_mm:g} mm goes out of round over a year"
    taken = "a rim of segments round a middle of plywood"
    return Chosen("segments", (Assumption(f"how {called} is built", taken, why),))


def rim_of_segments(rim_mm: float, bottom_mm: float) -> SegmentedRing:
    """Return the rim of segments of a wheel: two layers, of boards about 100 mm wide.

    Args:
        rim_mm: diameter outside.
        bottom_mm: diameter at the bottom of the deepest groove: the rim goes 10 mm deeper.
    """
    high = max(RIM_SHARE * rim_mm, 0.5 * (rim_mm - bottom_mm) + 10.0)
    inner = rim_mm - 2.0 * high
    count = max(LEAST_SEGMENTS, least_segments(rim_mm, inner, BOARD_MM + high, SPARE_MM))
    return SegmentedRing(rim_mm, inner, count, LAYERS, SPARE_MM)


@dataclass(frozen=True)
class GluedBoards:
    """A blank of boards glued edge to edge.

    Attributes:
        count: how many boards.
        width_mm: width of each.
        long_mm: length of each.
        batten_mm: length, width and depth of each of the two battens.
    """

    count: int
    width_mm: float
    long_mm: float
    batten_mm: tuple[float, float, float]


def glued_boards(rim_mm: float, width_mm: float) -> GluedBoards:
    """Return the boards of a wheel's blank and its two battens.

    The battens lie a quarter of the diameter off the axle, where their housing is within the
    wheel by less than half its diameter to either side: a chord of 0.86 of it.

    Args:
        rim_mm: diameter outside.
        width_mm: the wheel's width along its axis.
    """
    blank = rim_mm + 2.0 * SPARE_MM
    count = math.ceil(blank / GLUED_MM)
    chord = 2.0 * math.sqrt((0.5 * rim_mm) ** 2 - (0.25 * rim_mm + 0.5 * BATTEN_MM) ** 2)
    # short of the groove at both ends, which would lay the batten bare
    long = math.floor(chord - 0.1 * rim_mm)
    return GluedBoards(count, blank / count, blank, (long, BATTEN_MM, width_mm / 3.0))
