"""What the notes of a treadle say: where its hinge lies, where the footman is tied to it."""

from __future__ import annotations

from collections.abc import Mapping

from wheelgeo.built.as_built import build
from wheelgeo.built.body import BoardShape, BuiltBody
from wheelgeo.built.treadle import treadle_lengths
from wheelgeo.design.model import Design
from wheelgeo.geometry.vectors import dot
from wheelgeo.shop.board_sides import FLUSH_MM
from wheelgeo.shop.fastenings import Screwed
from wheelgeo.units.in_full import full


def treadle_words(
    design: Design, body: BuiltBody, found: Mapping[str, BuiltBody], own: Screwed | None
) -> dict[str, str]:
    """Return the words that the notes of treadle and hinge rail need; none of other boards.

    Args:
        design: the wheel.
        body: the board whose note it is.
        found: the bodies of the wheel by name.
        own: its screws, where it has some.
    """
    if body.kind == "hinge rail":
        return {"rail": _against(body, found, own)}
    lengths = treadle_lengths(build(design)) if body.kind == "treadle" else None
    if lengths is None:
        return {}
    assert isinstance(body.shape, BoardShape)
    gap = min(x for x, _ in body.shape.outline)
    hinged = (
        f"on the upper edge of the hinge rail: leather over both upper faces, with a gap of "
        f"{full(gap, 1)} mm for its lower edge"
        if "hinge rail" in found else "on the floor with leather"
    )
    return {
        "lever": f"Hinge it {hinged}. Tie the footman's point to it {full(lengths.lever_mm, 1)} mm "
        f"from the hinge; the foot rests {full(lengths.foot_mm, 1)} mm from there."
    }


def _against(rail: BuiltBody, found: Mapping[str, BuiltBody], own: Screwed | None) -> str:
    feet = [found[n] for n in sorted(rail.fits_in) if found.get(n, rail).kind == "trestle foot"]
    if not feet or own is None:
        return "Screw it upright on a board that lies fast on the floor: no foot is near it."
    ends = []
    for body in (rail, feet[0]):
        shape = body.shape
        assert isinstance(shape, BoardShape)
        along = [dot(shape.point(x, y, 0.0), shape.x_axis) for x, y in shape.outline]
        ends.append((min(along), max(along)))
    (low, high), (first, last) = ends
    apart = min(low - first, last - high)
    where = "flush with" if apart < FLUSH_MM else f"{full(apart, 1)} mm from"
    return (
        f"Glue it against the inner side of {feet[0].name}, both on the floor, its end {where} the "
        f"foot's end on the crank's side; from outside through the foot {own.words}."
    )
