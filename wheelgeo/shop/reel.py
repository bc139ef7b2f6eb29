"""The arms of a reel as a part to cut, one peg of which slides in so that the hank comes off."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.built.pulley import WOOD_GAP_MM
from wheelgeo.design.model import Design
from wheelgeo.shop.floor import slot
from wheelgeo.shop.outlines import Circle, Label, Part
from wheelgeo.yarn.hank import ReelParts, reel_parts
from wheelgeo.yarn.winders import (
    BUNCH_TURNS,
    HANK_BUNCHES,
    HANK_M,
    REEL_ROUND_MM,
    reel_turns,
)

ARM_MM = 9.0
"""Thickness of the arms of a reel, mm, where no sheet decides."""
ARM_WIDTH_MM = 24.0
"""Least width of the arms of a reel, mm; three pegs wide where that is more."""
REEL_PEG_MM = 8.0
"""Diameter of the usual reel's pegs, mm; the axle is as thick."""
REEL_ARMS = 4
REEL_LANES_MM = 30.0
"""Width over which the yarn is laid on it, mm."""
_SCREW = ((8.0, 5.0), (0.0, 3.0))
"""A peg at least so thick, mm, that slides takes a hanger screw so thick, mm; common practice, no
source."""
_PLAY_MM = 0.5
"""What its slot is wider than the screw, mm."""


_SCREW_LONG_MM = 40.0
"""Length of that screw, mm: half in the peg, half through arm, washer and nut."""
_AXLE_MM = 120.0
"""Length of the axle, mm: the arms, what holds it, and a hand's hold on it; common practice, no
source."""


def usual_reel(round_mm: float) -> ReelParts:
    """Return the reel that a wheel's set of parts holds: four arms, pegs of 8 mm.

    Args:
        round_mm: yarn that one turn takes.
    """
    return reel_parts(REEL_ARMS, REEL_PEG_MM, REEL_LANES_MM, round_mm)


def screw_mm(reel: ReelParts) -> float:
    """Return the thickness of the screw that a sliding peg stands on, mm."""
    return next(screw for least, screw in _SCREW if reel.peg_diameter_mm >= least)


def reel_rows(design: Design) -> Iterator[tuple[str, str, float, float, str]]:
    """Yield what to buy for a wanted reel: what, how many, diameter and length in mm, for."""
    if design.shop.reel:
        reel = usual_reel(design.shop.reel_round_mm)
        peg = reel.peg_diameter_mm
        yield "hardwood dowel", str(reel.arms), peg, reel.peg_mm, "pegs of the reel"
        yield "hardwood dowel", "1", peg, _AXLE_MM, "axle of the reel"
        what = "hanger screw, washer and wing nut"
        yield what, str(reel.arms // 2), screw_mm(reel), _SCREW_LONG_MM, "pegs in slots of the reel"


def reel_arm(reel: ReelParts, thickness_mm: float = ARM_MM) -> Part:
    """Return the arm of a reel: two pegs to an arm where their number is even, else one.

    Args:
        reel: its sizes.
        thickness_mm: of the board.
    """
    peg, on = reel.peg_diameter_mm, reel.radius_mm
    paired = reel.arms % 2 == 0
    far = -on if paired else 0.0
    screw = screw_mm(reel)
    hole = 0.5 * (peg + WOOD_GAP_MM)
    girth = reel.round_mm
    count = reel.arms // 2 if paired else reel.arms
    return Part(
        name="reel arm",
        role="reel arm",
        outside=slot((far, 0.0), (on, 0.0), max(ARM_WIDTH_MM, 3.0 * peg)),
        holes=(slot((on - reel.slides_mm, 0.0), (on, 0.0), screw + _PLAY_MM),),
        drills=tuple(Circle((x, 0.0), hole) for x in sorted({far, 0.0})),
        labels=(Label(f"reel {girth:g} mm a turn", (0.5 * on, 0.0), 4.0),),
        thickness_mm=thickness_mm,
        quantity=count,
        grain="along",
        notes=(
            f"{reel.arms} pegs of {peg:g} mm, {on:.2f} mm from the axle and {reel.peg_mm:.0f} mm "
            f"long; one turn takes {girth:g} mm of yarn; {_bunches(girth)}.",
            f"Cross the {count} arms on an axle of {peg:g} mm, their pegs evenly spaced"
            + (", let into one another so that all lie in one plane." if paired else "."),
            f"The peg in a slot stands on a hanger screw of {screw:g} mm with a washer and a wing "
            f"nut: reel with it at the outer end of its slot. To take a hank off, tie it, slacken "
            f"one wing nut and slide that peg in by {reel.slides_mm:.0f} mm: once about is then "
            f"{reel.slack_mm:.0f} mm shorter.",
        ),
    )


def _bunches(girth_mm: float) -> str:
    if girth_mm == REEL_ROUND_MM:
        return f"{BUNCH_TURNS} turns make a bunch, {HANK_BUNCHES} bunches a metric hank"
    return f"{reel_turns(HANK_M, girth_mm):.1f} turns take {HANK_M:g} m"
