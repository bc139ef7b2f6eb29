"""How the ends of a band are joined, and how a band grows: one table for every command.

All of it is common practice of the workshop, without a source; a joint's strength differs from
hand to hand by more than what is told here.
"""

from __future__ import annotations

from collections.abc import Callable

from wheelgeo.design.materials import PRACTICE
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class Joint:
    """A way to join the ends of a cord.

    Attributes:
        name: its name.
        cord_diameters: cord that it takes up, in diameters of the cord.
        strength: its strength against that of plain cord, a fraction.
        made: how it is made, in two lines.
        caution: what to mind.
        spare_mm: cord beyond all that, at each end, to hold it by while it is made; trimmed off.
        source: where all this comes from.
    """

    name: str
    cord_diameters: float
    strength: float
    made: str
    caution: str
    spare_mm: float = 0.0
    source: str = PRACTICE

    def taken_mm(self, cord_mm: float) -> float:
        """Return the length of cord that it takes up, mm, in a cord of a diameter, mm."""
        return self.cord_diameters * cord_mm

    @property
    def tails_mm(self) -> float:
        """Cord that both ends need to be held by, mm: off the reel, beyond the length to cut."""
        return 2.0 * self.spare_mm

    def to_tie_by(self, cut_mm: float | None, said: Callable[[float], str]) -> str:
        """Say what is needed at the ends beyond a length to cut, mm; empty where that is nothing.

        Args:
            cut_mm: the length, joint included; None where there is none.
            said: writes a length.
        """
        if cut_mm is None or not self.spare_mm:
            return ""
        return (
            f", and {said(self.spare_mm)} more at each end to tie by: "
            f"{said(cut_mm + self.tails_mm)} off the reel"
        )


CLOSED_RING = "closed ring"
"""Name of the joint that is none: the band is bought as a ring."""

_KNOT = Joint(
    # Two overhand knots of some 8 diameters each, 6 where the ends pass one another, tails of 2.
    "knot", 26.0, 0.5,
    "Tie the ends with a fisherman's knot: each end makes an overhand knot round the other, so "
    "that the marks meet when both are drawn together. Pull hard, and trim to two cord diameters.",
    "It ticks at the whorl at every turn and wears first: good enough to try a wheel with.",
    spare_mm=101.6,
)  # fmt: skip
_SPLICE = Joint(
    "splice", 20.0, 0.85,
    "Unlay both ends over ten cord diameters, marry the strands, and tuck each three times over "
    "one and under one. Thin the strands at each tuck and roll the splice under the foot.",
    "Laid cord only; a fat splice climbs out of a narrow groove.",
)  # fmt: skip
_WHIPPED = Joint(
    "whipped overlap", 10.0, 0.7,
    "Wax the cord and overlap the ends by ten cord diameters, tapered. Whip them together tightly "
    "with thread over the whole overlap and pull the thread's end under.",
    "Feel that it passes the whorl's groove; renew the whipping when a thread breaks.",
)  # fmt: skip
_SEWN = Joint(
    "sewn lap", 10.0, 0.6,
    "Cut both ends to a long slope over ten cord diameters and glue them with contact cement. "
    "Stitch through the lap lengthwise with waxed thread, the ends turned back.",
    "Lay the lap so that its outer end trails; stitches across the cord would cut it.",
)  # fmt: skip
_HOOK = Joint(
    "hook", 0.0, 0.4,
    "Pierce each end two cord diameters from its end and set a wire hook so that the ends just "
    "meet. Close it with pliers, its points on the outer side.",
    "The hook must not touch the groove, and never a finger: do not stop the band by hand.",
)  # fmt: skip
_WELD = Joint(
    "welded butt", 1.0, 0.6,
    "Cut the ends square, melt both on a hot blade and press them together in line. Let them cool "
    "a few minutes under light pressure and trim the bead flush.",
    "Weld in moving air: the fumes are harmful.",
)  # fmt: skip
_GLUED = Joint(
    "glued butt", 0.0, 0.5,
    "Cut the ends square with a sharp blade, clean them and butt-join them in a V-block with a "
    "trace of cyanoacrylate. Let it stand a day before it is stretched.",
    "It lets go suddenly: stand aside of the band's plane at the first run.",
)  # fmt: skip
_SILICONE = Joint(
    "glued butt, silicone", 0.0, 0.4,
    "Cut the ends square, clean them and butt-join them with silicone adhesive, the only one that "
    "holds. Let it cure as its maker says.",
    "It lets go suddenly: stand aside of the band's plane at the first run.",
)  # fmt: skip
_RING = Joint(
    CLOSED_RING, 0.0, 1.0,
    "Comes as a closed ring, nothing is to be joined: choose the ring whose inside circumference "
    "and section come nearest. Thread it on before the shafts are mounted.",
    "To change it the shafts must come out.",
)  # fmt: skip
OTHER = Joint(
    "as its maker says", 0.0, 0.5,
    "Join it as the maker of the cord says. The joint must pass every groove smoothly.",
    "What this joint takes and bears is not known here: try it on a spare piece.",
)  # fmt: skip

JOINTS_OF: dict[str, tuple[Joint, ...]] = {
    "cotton cord": (_WHIPPED, _SPLICE, _SEWN, _KNOT),
    "hemp cord": (_WHIPPED, _SPLICE, _KNOT),
    "leather cord": (_SEWN, _HOOK),
    "rubber cord": (_GLUED,),
    "nitrile ring": (_RING,),
    "silicone cord": (_SILICONE,),
    "polyurethane cord": (_WELD, _HOOK),
}
"""Joints that a cord of a material takes, the usual one first."""


_ALL = {joint.name: joint for joints in JOINTS_OF.values() for joint in joints}
JOINT_NAMES = tuple(_ALL)
"""Names of all joints that a band may be joined by."""


def joints_of(material: str) -> tuple[Joint, ...]:
    """Return the joints that a cord of a material takes, the usual one first."""
    return JOINTS_OF.get(material, (OTHER,))


def joint_of(material: str, name: str | None = None) -> Joint:
    """Return the joint of that name, or where none is named the usual one of a material."""
    return joints_of(material)[0] if name is None else _ALL[name]


@dataclass(frozen=True)
class CordGrowth:
    """How much longer a band gets, which its slide must take up.

    Attributes:
        creep: in its first months under its usual pull, a fraction.
        season: between the dampest and the driest weeks of a year, a fraction; 0 where the air
            does nothing to it.
        says: what the air does, in a few words.
        source: where all this comes from; new bands differ by more than this.
    """

    creep: float
    season: float
    says: str
    source: str = PRACTICE

    @property
    def in_all(self) -> float:
        """Both together, a fraction."""
        return self.creep + self.season


_TEXTILE = "damp air tightens it, dry air slackens it"
_NO_AIR = "the air does little to it; cold makes it stiff"
GROWTH_OF: dict[str, CordGrowth] = {
    "cotton cord": CordGrowth(0.02, 0.01, _TEXTILE),
    "hemp cord": CordGrowth(0.01, 0.01, _TEXTILE),
    "leather cord": CordGrowth(0.03, 0.01, "damp air slackens it, dry air tightens it"),
    "rubber cord": CordGrowth(0.03, 0.0, f"{_NO_AIR}; it perishes in the sun"),
    "nitrile ring": CordGrowth(0.03, 0.0, _NO_AIR),
    "silicone cord": CordGrowth(0.02, 0.0, _NO_AIR),
    "polyurethane cord": CordGrowth(0.03, 0.0, _NO_AIR),
}
_OTHER_GROWTH = CordGrowth(0.03, 0.01, "what the air does to it is not known here")


def growth_of(material: str) -> CordGrowth:
    """Return how a band of a material grows."""
    return GROWTH_OF.get(material, _OTHER_GROWTH)
