"""What holds every board on the one it stands on: screws and bolts, by the wood they go through.

A screw is as long as the two boards together let it be, so that none comes out on the other side.
Wood screws by the lengths of DIN 97 and their inch numbers by ASME B18.6.1, bolts by the lengths of
ISO 7380: both from memory. How deep a screw must bite is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from wheelgeo.built.body import BoardShape, BuiltBody
from wheelgeo.built.crank_arm import KNOB_PLAY_MM
from wheelgeo.design.rod_fits import PINS_MM, pin_mm
from wheelgeo.design.ways_to_fix import PIN_WIDTH
from wheelgeo.geometry.vectors import dot
from wheelgeo.immutable import dataclass
from wheelgeo.units.written import LengthUnit, bought_length, length_with_unit

SCREWS_MM = (2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0)
LENGTHS_MM = (6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120)
BOLTS_MM = (8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 70, 80)
_NUMBERS = {2.0: 2, 2.5: 3, 3.0: 4, 3.5: 6, 4.0: 8, 5.0: 10, 6.0: 14}
LEFT_MM = 2.0
"""Wood left over a screw's point."""
BITE = 7.0
"""How deep a screw bites at most, in its diameters: more holds no better."""
LEAST_BITE = 2.0
"""Below so many diameters a screw holds nothing."""
SPLITS = 2.5
"""A screw into an edge or an end splits wood that is not so many of its diameters thick."""
BOLT_WASHER_MM = 1.0


@dataclass(frozen=True)
class Screwed:
    """The wood screws of one board.

    Attributes:
        board: its name.
        count: how many.
        across_mm: their diameter.
        long_mm: their length, head included.
        through_mm: thickness of the wood that they go through first.
        into_mm: depth of the wood that they bite in.
    """

    board: str
    count: int
    across_mm: float
    long_mm: float
    through_mm: float
    into_mm: float

    @property
    def words(self) -> str:
        """How many and of what size, in words (those that every drawing's letters have)."""
        size = f"{self.across_mm:g} x {self.long_mm:g} mm"
        return f"{self.count} wood screw{'s' if self.count > 1 else ''} {size}"

    def size_in(self, unit: LengthUnit) -> str:
        """Return their size: by diameter and length, or by number and length in inches."""
        return screw_size(self.across_mm, self.long_mm, unit)


def screw_size(across_mm: float, long_mm: float, unit: LengthUnit) -> str:
    """Return a wood screw's size: diameter and length, or number and length in inches."""
    if unit == "mm":
        return f"{across_mm:g} × {long_mm:g} mm"
    long = math.floor(long_mm / 25.4 * 8.0) / 8.0
    return f"No {_NUMBERS[across_mm]} × {length_with_unit(unit)(25.4 * long)}"


KNOB_WASHER_OVER_MM = 4.0
"""How much wider the washer of a knob is than the hole that it keeps it in, on the diameter."""
KNOB_WASHER_MM = 1.0
"""Its thickness."""
KNOB_SCREW_LONG_MM = 20.0


def knob_screw_mm(hole_mm: float) -> float:
    """Return the diameter of the round-head screw in a knob's end: what does not split its spigot.

    Args:
        hole_mm: the hole that the spigot turns in.
    """
    most = (hole_mm - KNOB_PLAY_MM) / SPLITS
    return max((s for s in SCREWS_MM if s <= most), default=SCREWS_MM[0])


@dataclass(frozen=True)
class Bolted:
    """The bolts of a board that slides, or of a post: their length, and what they go through."""

    board: str
    count: int
    long_mm: float
    through_mm: float
    across_mm: float = 5.0

    @property
    def words(self) -> str:
        """How many and of what size, in words."""
        return f"{self.count} of M{self.across_mm:g} x {self.long_mm:g} mm"

    def size_in(self, unit: LengthUnit) -> str:
        """Return their size; what is sold by millimetres keeps that size."""
        return f"M{self.across_mm:g} × {bought_length(unit)(self.long_mm)}"


def screw_mm(nominal: float, thin: float, through: float, into: float) -> tuple[float, float]:
    """Return diameter and length of a screw; 0, 0 where none bites.

    Args:
        nominal: the diameter that is usual there, mm.
        thin: thickness of the wood that it goes into lengthways, mm.
        through: thickness of the wood that it goes through, mm.
        into: depth of the wood behind it, mm.
    """
    for across in reversed([s for s in SCREWS_MM if s <= min(nominal, thin / SPLITS) + 1e-9]):
        most = through + min(into - LEFT_MM, BITE * across)
        lengths = [x for x in LENGTHS_MM if through + LEAST_BITE * across <= x <= most + 1e-9]
        if lengths:
            return across, float(lengths[-1])
    return 0.0, 0.0


def screwed(body: BuiltBody, found: Mapping[str, BuiltBody]) -> Screwed | None:
    """Return the wood screws of one board; None of what is held otherwise, or where none bites.

    Args:
        body: the board.
        found: the bodies of the wheel by name.
    """
    joint = _JOINTS.get(body.kind)
    if joint is None or not isinstance(body.shape, BoardShape):
        return None
    if post_bolts(body, found) is not None:
        return None
    count, nominal, wood = joint
    thin, through, into = wood(body, found)
    across, long = screw_mm(nominal, thin, through, into)
    if body.kind == "bridge":
        count *= sum(n.startswith("wall ") for n in body.fits_in)
    return Screwed(body.name, count, across, long, through, into) if long and count else None


def corner_screws(found: Mapping[str, BuiltBody]) -> tuple[Screwed, ...]:
    """Return what holds the corners of a case whose walls are butted: two screws at each.

    Args:
        found: the bodies of the wheel by name.
    """
    made = []
    for lapping, ended in (("wall front", "wall left"), ("wall back", "wall right")):
        if lapping in found and ended in found:
            thick, into = _thick(found[lapping]), _thick(found[ended])
            across, long = screw_mm(3.0, into, thick, 40.0)
            if long:
                made.append(Screwed(lapping, 4, across, long, thick, 40.0))
    return tuple(made)


def corner_words(found: Mapping[str, BuiltBody]) -> str:
    """Return how butted corners of a case are held, in words; empty where no screw bites."""
    return "".join(
        f": at each corner 2 wood screws {one.across_mm:g} x {one.long_mm:g} mm through them, a "
        "quarter of the height from top and bottom" for one in corner_screws(found)[:1]
    )


def screws(found: Mapping[str, BuiltBody]) -> tuple[Screwed, ...]:
    """Return the wood screws of every board that is held by some.

    Args:
        found: the bodies of the wheel by name.
    """
    made = (screwed(body, found) for body in found.values())
    return tuple(one for one in made if one is not None)


def cross_pin_mm(body: BuiltBody) -> tuple[float, float]:
    """Return diameter and length of the pin across a bar on its rod, mm; 0, 0 of what has none.

    It goes in through the bar's edge: a third of its thickness at most, a quarter of the rod.

    Args:
        body: the crank or the bar of a flyer, its rod's hole the first.
    """
    if body.kind not in ("crank", "flyer") or not isinstance(body.shape, BoardShape):
        return 0.0, 0.0
    (_, rod), *_ = body.shape.holes
    sides = [y for _, y in body.shape.outline]
    pins = [p for p in PINS_MM if p <= min(pin_mm(2.0 * rod), body.shape.thickness_mm / PIN_WIDTH)]
    return max(pins, default=PINS_MM[0]), max(sides) - min(sides)


def pin_words(body: BuiltBody) -> str:
    """Return the pin across a bar on its rod, in words; empty of what has none."""
    across, long = cross_pin_mm(body)
    return f"a {across:g} mm pin, {long:g} mm long" if across else ""


def bolts(found: Mapping[str, BuiltBody]) -> tuple[Bolted, ...]:
    """Return the bolts of every board that slides and has holes for them.

    Those of a case come from under the floor, their nuts let into the slide: none stands out of it
    above. Those of a stand go down through mother-of-all and bed, with wing nuts below.

    Args:
        found: the bodies of the wheel by name.
    """
    made = []
    for body in found.values():
        if body.kind not in ("slide", "mother-of-all") or not isinstance(body.shape, BoardShape):
            continue
        under = found.get(f"bed {body.part}") or found.get("floor")
        through = _height(body) + (0.0 if under is None else _height(under))
        if body.kind == "slide":
            count = len(body.shape.holes)
            long = max(x for x in BOLTS_MM if x <= through + BOLT_WASHER_MM + 1e-9)
        else:
            count = len(body.shape.holes)
            long = min(x for x in BOLTS_MM if x >= through + WING_MM)
        if count:
            made.append(Bolted(body.name, count, float(long), through))
    return tuple(made)


POST_BOLT_MM, BARREL_MM, BARREL_UP_MM, BARREL_IN_MM = 6.0, 10.0, 35.0, 15.0
"""Bolts of a post, the cross dowels that they screw into, how high those sit over its foot and how
far from its edge: common practice, no source."""
BOLT_BEYOND_MM = 5.0
"""From the middle of a cross dowel to the bolt's end."""
POST_FOOT_MM, POST_THICK_MM = 60.0, 15.0
"""Least wood from a post's foot to its bush, and least thickness, for such bolts."""


def post_bolts(body: BuiltBody, found: Mapping[str, BuiltBody]) -> Bolted | None:
    """Return the bolts up into a post; None of what is no post, or is too small for them.

    The pull of the bands bends a post at its foot. A wood screw in end grain hardly holds against
    that; a cross dowel bears on the fibres above it, as the bolt draws it down.

    Args:
        body: the board.
        found: the bodies of the wheel by name.
    """
    if body.kind != "post" or not isinstance(body.shape, BoardShape):
        return None
    through = _below(body, found)
    if through == 0.0 or _foot_mm(body) < POST_FOOT_MM or _thick(body) < POST_THICK_MM:
        return None
    long = min(x for x in BOLTS_MM if x >= through + BARREL_UP_MM + BOLT_BEYOND_MM)
    return Bolted(body.name, 2, float(long), through, POST_BOLT_MM)


WING_MM = 8.0
"""What two washers and a wing nut take of a bolt of 5 mm: common practice, no source."""


def _height(body: BuiltBody) -> float:
    """Return how thick a board is along the way that is most nearly up, mm."""
    shape = body.shape
    assert isinstance(shape, BoardShape)
    up = (0.0, 0.0, 1.0)
    ways = {
        "x": max(x for x, _ in shape.outline) - min(x for x, _ in shape.outline),
        "y": max(y for _, y in shape.outline) - min(y for _, y in shape.outline),
        "z": shape.thickness_mm,
    }
    axes = {"x": shape.x_axis, "y": shape.y_axis, "z": shape.z_axis}
    return ways[max(ways, key=lambda way: abs(dot(axes[way], up)))]


def _below(body: BuiltBody, found: Mapping[str, BuiltBody]) -> float:
    """Return the thickness of the board that one stands on, mm; 0 of none."""
    kinds = ("slide", "mother-of-all", "floor", "table")
    names = ("floor",) if body.kind == "wall" else body.fits_in
    under = [found[n] for n in names if n in found and found[n].kind in kinds]
    return min((_height(b) for b in under), default=0.0)


def _foot_mm(body: BuiltBody) -> float:
    """Return how much wood a board has from its foot up to its hole, mm."""
    shape = body.whole or body.shape
    assert isinstance(shape, BoardShape)
    lowest = min(y for _, y in shape.outline)
    return min((y - r - lowest for (_, y), r in shape.holes), default=60.0)


Wood = tuple[float, float, float]
"""What a screw meets: thickness of what it goes into, what it goes through, depth behind, mm."""


def _thick(body: BuiltBody) -> float:
    assert isinstance(body.shape, BoardShape)
    return body.shape.thickness_mm


def _upright(body: BuiltBody, found: Mapping[str, BuiltBody]) -> Wood:
    """Return the wood of a screw from below into the foot of a board that stands."""
    return _thick(body), _below(body, found), _foot_mm(body)


def _flat(body: BuiltBody, found: Mapping[str, BuiltBody]) -> Wood:
    """Return the wood of a screw from below into a block that lies on the floor."""
    return 24.0, _below(body, found), _height(body)


def _bridge(body: BuiltBody, found: Mapping[str, BuiltBody]) -> Wood:
    """Return the wood of a screw through a wall into the end of a bridge."""
    walls = [_thick(found[n]) for n in body.fits_in if n in found and found[n].kind == "wall"]
    return _thick(body), min(walls, default=0.0), 40.0


def _leg(body: BuiltBody, found: Mapping[str, BuiltBody]) -> Wood:
    """Return the wood of a screw down through the table into the end of a leg."""
    feet = any(b.kind == "trestle foot" for b in found.values())
    return 36.0, _below(body, found), _thick(body) * (0.5 if feet else 1.0)


def _trestle(body: BuiltBody, found: Mapping[str, BuiltBody]) -> Wood:
    """Return the wood of a screw up through a foot into the end of a leg: its lower half."""
    legs = [_thick(found[n]) for n in body.fits_in if n in found and found[n].kind == "leg"]
    return _thick(body), _height(body), 0.5 * min(legs, default=0.0)


def _rail(body: BuiltBody, found: Mapping[str, BuiltBody]) -> Wood:
    """Return the wood of a screw through a trestle foot into the rail of a treadle."""
    feet = [_thick(found[n]) for n in body.fits_in if n in found and found[n].kind != "treadle"]
    return 36.0, min(feet, default=0.0), _thick(body) if feet else 0.0


def _bed(body: BuiltBody, _: Mapping[str, BuiltBody]) -> Wood:
    """Return the wood of a screw down through the bed into its post."""
    return 45.0, _height(body), 60.0


def _lid(_: BuiltBody, found: Mapping[str, BuiltBody]) -> Wood:
    """Return the wood of a hinge's screws into the edge of a wall."""
    return min((_thick(b) for b in found.values() if b.kind == "wall"), default=9.0), 1.0, 30.0


def _cap(body: BuiltBody, found: Mapping[str, BuiltBody]) -> Wood:
    """Return the wood of a screw down through a cap, beside its bush, into the board's other half.

    It reaches half of that at most: screws from below come up through its foot.
    """
    beside, _ = cap_screws_mm(body)
    assert isinstance(body.shape, BoardShape)
    top = max(y for _, y in body.shape.outline) - min(y for _, y in body.shape.outline)
    half = min(_height(found[n]) for n in body.fits_in if found[n].kind in ("support", "maiden"))
    return min(_thick(body), 2.0 * beside), top, 0.5 * half


def cap_screws_mm(body: BuiltBody) -> tuple[float, float]:
    """Return half the wood beside the hole of a split board, and how far off its middle that is.

    Args:
        body: either half, or the board whole.
    """
    shape = body.whole or body.shape
    assert isinstance(shape, BoardShape)
    ((x, _), radius), *_ = shape.holes
    beside = 0.5 * (max(p for p, _ in shape.outline) - x - radius)
    return beside, radius + beside


_JOINTS: Mapping[str, tuple[int, float, Callable[[BuiltBody, Mapping[str, BuiltBody]], Wood]]] = {
    "wall": (4, 3.0, _upright), "block": (2, 3.0, _flat), "support": (2, 3.0, _upright),
    "bridge": (2, 3.0, _bridge), "post": (2, 5.0, _upright), "maiden": (2, 4.0, _upright),
    "bed": (2, 4.0, _bed), "leg": (1, 6.0, _leg), "cap": (2, 3.0, _cap),
    "trestle foot": (2, 6.0, _trestle), "lid": (8, 2.5, _lid),
    "hinge rail": (2, 5.0, _rail),
}  # fmt: skip
"""Screws of each kind of board: how many (of a bridge: for each wall), how thick at
most, and the wood that they meet."""
