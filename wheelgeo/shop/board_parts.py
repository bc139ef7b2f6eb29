"""Boards of the wheel as built, as parts to cut: floor, walls, lid, blocks, bridges, stand, crank.

Nothing is computed here that the bodies do not hold. A board is laid down so that its grain runs
along x: up a post, a support, a maiden or a leg, since one with its grain across snaps at the bush;
along the length of everything else.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import RUNNING_MM, bodies
from wheelgeo.built.body import BoardShape, BuiltBody, TurnedShape
from wheelgeo.built.crank_arm import RECESS_MM
from wheelgeo.built.wall import fingered
from wheelgeo.design.model import Design
from wheelgeo.shop.board_sides import in_hole, sides_of
from wheelgeo.shop.bolt_cuts import bolt_cuts, in_slots
from wheelgeo.shop.brake_places import brake_places
from wheelgeo.shop.drafting import text_width_mm
from wheelgeo.shop.fastenings import (
    BARREL_MM,
    BARREL_UP_MM,
    KNOB_SCREW_LONG_MM,
    KNOB_WASHER_OVER_MM,
    bolts,
    cap_screws_mm,
    corner_words,
    knob_screw_mm,
    pin_words,
    post_bolts,
    screwed,
)
from wheelgeo.shop.outlines import (
    Circle,
    Label,
    Outline,
    Part,
    Place,
    Point,
    polygon_outline,
)
from wheelgeo.shop.screw_places import edge_screws_mm, screw_holes, screw_notes
from wheelgeo.shop.treadle_words import treadle_words
from wheelgeo.units.in_full import figures, full

UPRIGHTS = ("post", "support", "maiden", "leg", "footman")
"""Kinds of board whose grain runs up."""
_FROM_SHEET = ("plywood",)
"""Materials whose grain does not matter: their layers cross."""
_OF_SHEET = ("reel arm", "core", "cheek", "flange cheek")
"""What is cut from sheet or a thin planed board though its grain matters."""
_HELD_DOWN = "No glue: hold it on the floor by {screws} from below, so that it comes off again."
_GLUED = {
    "wall": "Front and back lap the ends of left and right{corner}. " + _HELD_DOWN,
    "lid": "Hinge it at the side opposite the spinner, two small butt hinges, a sixth of that side "
    "from its ends: {screws}; nip off those in the lid where they come through.",
    "block": "Glue it on the floor where it is pricked out; from below {screws}.",
    "bridge": "Hold it between the walls by {screws} through the walls into its ends, no glue: it "
    "comes off for the band.",
    "support": "From below {screws}, no glue: it comes off for the band.",
    "slide": "Bolts of 5 mm hold it, {bolts}: from below, button heads and broad washers under the "
    "slots of the floor, each nut let flush into the upper face of the slide. Slack them with a "
    "hex key from below to take up a band.",
    "post": "From below {screws} and glue.",
    "maiden": "From below through the mother-of-all {screws}, no glue and no tenon: to reach them "
    "it is unbolted and lifted.",
    "mother-of-all": "Bolts through slots in the bed hold it, {bolts}, wing nuts below; slack them "
    "to take up a band.",
    "bed": "Glue it on the sloping end of its post, {screws} from above, their heads sunk.",
    "leg": "Glue it under the table, square; from above {screws}.",
    "trestle foot": "Glue it under its two legs; from below {screws}, one for each, {legs} on the "
    "middle of its width, heads let in. Plane its underside hollow by 2 mm in the middle, so that "
    "it stands on its ends.",
    "flyer": "Glue its two arms of steel rod in the outer holes; glue it on the rod, and drive "
    "{pin} through both, behind the orifice.",
    "footman": "It hangs on the crank's pin by its hole; tie its point to the treadle with "
    "leather.",
    "treadle": "{lever}",
    "hinge rail": "{rail}",
    "crank": "Fix it on the rod with {pin}, drilled through both, tight but without glue: tapped "
    "out, it lets the crank off, before anything else and for packing.",
}
"""How a board is held, by kind: common practice, no source."""


def boards(design: Design) -> tuple[BuiltBody, ...]:
    """Return every body of a wheel that is cut from a board.

    One that is split stands here whole, as it is cut and drilled before it is sawn through.
    """
    found = (b for b in bodies(build(design)) if isinstance(b.shape, BoardShape))
    whole = (b if b.whole is None else replace(b, shape=b.whole) for b in found)
    return tuple(b for b in whole if b.kind != "cap")


def board_parts(design: Design) -> tuple[Part, ...]:
    """Return the boards as parts, like ones once with how many are needed.

    The board that everything stands on is not among them: it has its plan.
    """
    found: list[Part] = []
    for body in boards(design):
        if body.kind in ("floor", "table"):
            continue
        part = board_part(design, body)
        for i, other in enumerate(found):
            if same_part(part, other):
                found[i] = replace(
                    other, name=both_names(other.name, part.name), quantity=other.quantity + 1
                )
                break
        else:
            found.append(part)
    return tuple(found)


def both_names(name: str, more: str) -> str:
    """Return a name for one more of the same: "leg 1 to 4", "wall left + wall right"."""
    stem, _, number = more.rpartition(" ")
    first = name.removeprefix(f"{stem} ").split(" to ")[0]
    counted = number.isdigit() and first.isdigit()
    return f"{stem} {first} to {number}" if counted else f"{name} + {more}"


def board_part(design: Design, body: BuiltBody) -> Part:
    """Return a board as a part, its grain along x, its lowest corner at the origin."""
    shape = body.shape
    assert isinstance(shape, BoardShape)
    outside = polygon_outline(shape.outline)
    bores = tuple(Circle(centre, radius) for centre, radius in shape.holes)
    screws = screw_holes(design, body)
    brakes = [b for b in brake_places(design) if b.board == body.name]
    cuts = bolt_cuts(design, body, [b for b in boards(design) if body.name in b.fits_in]) \
        if body.kind in ("bed", "wall") else ()
    flat = body.material in _FROM_SHEET
    part = Part(
        name=body.name,
        role=body.kind,
        outside=outside,
        holes=tuple(cut for _, cut in cuts),
        drills=(*bores, *(b.peg for b in brakes), *(c for one in screws for c in one.circles)),
        marks=(*(d.centre for d in bores), *(b.hook for b in brakes)),
        thickness_mm=shape.thickness_mm,
        material=body.material,
        grain="any" if flat else "along",
        notes=(*_bush_notes(design, body), *_held_by(design, body), *screw_notes(screws),
               *(b.note for b in brakes)),
    )
    lying = laid_down(body)
    # a lid is drawn open, where its edges are called other than when it is closed
    sides = () if body.kind == "lid" else sides_of(shape)
    if sides and lying.turn_deg:  # by -90 degrees: what was its upper edge is its right one
        sides = (*sides[1:4], sides[0], sides[4])
    part = replace(part.moved(lying), sides=sides, turned_deg=0.0)
    return replace(part, labels=_label(part))


def laid_down(body: BuiltBody) -> Place:
    """Return the move that lays a board down, its grain along x, its lowest corner at 0."""
    shape = body.shape
    assert isinstance(shape, BoardShape)
    outside = polygon_outline(shape.outline)
    lying = Place(turn_deg=-90.0) if _turned(body, outside) else Place()
    x, y = outside.moved(lying).box[:2]
    return replace(lying, shift_mm=(-x, -y))


def from_sheet(part: Part) -> bool:
    """Return whether a part is cut from sheet; the rest is sawn from boards of solid wood."""
    return part.grain == "any" or part.material is None or part.role in _OF_SHEET


def _turned(body: BuiltBody, outside: Outline) -> bool:
    """Return whether a board is laid over: its grain runs up, or it is longer than wide."""
    x1, y1, x2, y2 = outside.box
    return body.kind in UPRIGHTS or y2 - y1 > x2 - x1


def same_part(a: Part, b: Part) -> bool:
    """Return whether two parts may be exchanged: the same outline, holes, thickness and wood."""
    same = (a.role, a.thickness_mm, a.material, a.notes) == (
        b.role, b.thickness_mm, b.material, b.notes,
    )  # fmt: skip
    if not same or len(a.drills) != len(b.drills) or len(a.holes) != len(b.holes):
        return False
    cuts = [(*p.box, *q.box) for p, q in zip(a.holes, b.holes, strict=True)]
    if any(math.dist(c[:4], c[4:]) > 1e-6 for c in cuts):
        return False
    assert a.outside is not None
    assert b.outside is not None
    first, second = a.outside.segments, b.outside.segments
    if len(first) != len(second):
        return False
    numbers = [(*p.start, *q.start) for p, q in zip(first, second, strict=True)]
    numbers += [(*p.centre, *q.centre) for p, q in zip(a.drills, b.drills, strict=True)]
    round_ones = zip(a.drills, b.drills, strict=True)
    return (
        all(math.dist(n[:2], n[2:]) < 1e-6 for n in numbers)
        and all(abs(p.radius_mm - q.radius_mm) < 1e-9 for p, q in round_ones)
    )


def _held_by(design: Design, body: BuiltBody) -> Iterable[str]:
    """Yield how a board is held: by its kind, and where its shaft slides so that it can too."""
    found = {b.name: b for b in bodies(build(design))}
    slide = design.shaft(body.part).slide if body.part else None
    own, bolt = screwed(body, found), {b.board: b for b in bolts(found)}.get(body.name)
    size = {
        "screws": "glue alone, since no screw bites" if own is None else own.words,
        "bolts": "" if bolt is None else bolt.words,
        "pin": pin_words(body),
        "corner": corner_words(found),
        "legs": _edge_words(body, found.values()),
        **treadle_words(design, body, found, own),
    }
    walls = [name for name in sorted(body.fits_in) if name.startswith("wall ")]
    slots = "" if slide is None else (
        f", in slots: it slides with its shaft from {slide.from_mm:g} to {slide.to_mm:g} mm of "
        "where it is drawn"
    )
    sliding = in_slots(design, body)
    heads = ", pan-headed, on washers" if sliding else ""
    if body.kind == "bridge" and len(walls) == 1:
        yield (
            f"It reaches out from {walls[0]} alone, since nothing lets it right across: "
            f"{size['screws']} through that wall into its end{heads}, no glue, as far apart as "
            f"its width lets them be{slots}."
        )
    elif sliding:
        through = "through the walls into its ends" if walls else "from below through the floor"
        yield f"Hold it by {size['screws']} {through}{heads}, no glue{slots}."
    elif body.kind == "wall" and fingered(build(design)):
        yield (
            "Its corners go finger in finger: front and back have gaps where left and right reach "
            f"through. Saw close, and pare to fit. {_HELD_DOWN.format(**size)}"
        )
    elif body.kind == "support" and f"slide {body.part}" in body.fits_in:
        yield (
            f"From below through the slide {size['screws']}, no glue: to reach them the slide is "
            "unbolted and lifted with all that stands on it."
        )
    elif (held := post_bolts(body, found)) is not None:
        raised = any(b.kind == "leg" for b in found.values())
        let_in = "" if raised else ", heads let in flush since the table lies on the floor"
        deep = held.long_mm - held.through_mm + 15.0
        yield (
            f"From below {held.words} with washers{let_in}, through holes of "
            f"{held.across_mm + 0.5:g} mm where the table of drilling has them, on the middle of "
            f"its thickness; drill them on, {full(deep, 1)} mm deep, into the post, and "
            f"{BARREL_UP_MM:g} mm over its foot across them {BARREL_MM:g} mm for their cross "
            "dowels. No glue: it comes off again."
        )
    elif body.kind in _GLUED and (body.kind != "slide" or bolt is not None):
        yield _GLUED[body.kind].format(**size)


def _edge_words(foot: BuiltBody, found: Iterable[BuiltBody]) -> str:
    """Return where the screws of legs go up through a trestle foot, in words."""
    if foot.kind != "trestle foot":
        return ""
    places = " and ".join(f"{full(x, 1)} mm" for x in edge_screws_mm(foot, found))
    assert isinstance(foot.shape, BoardShape)
    return f"{places} from its {sides_of(foot.shape)[2]} end"


def _bush_notes(design: Design, body: BuiltBody) -> Iterable[str]:
    """Yield what its holes are for: bushes by their names, else the rod that passes."""
    shape = body.shape
    assert isinstance(shape, BoardShape)
    bushes = sorted(name for name in body.fits_in if name.startswith("bearing "))
    turned = {
        b.name: b.shape for b in bodies(build(design)) if isinstance(b.shape, TurnedShape)
    }
    for (_, radius), bush in zip(shape.holes, bushes, strict=False):
        bore = f"{2.0 * min(r for _, r in turned[bush].outline):.4g} mm"
        if body.whole is not None:
            yield (
                f"Hole {2.0 * radius:.4g} mm for the bush: drill square. Ream the bush to "
                f"{bore} by itself: it goes on the rod, and lies in the split hole with it"
                f"{in_hole(shape, turned[bush])}."
            )
            continue
        yield (
            f"Hole {2.0 * radius:.4g} mm for the bush: drill square, press the bush in with glue"
            f"{in_hole(shape, turned[bush])}, then ream it to {bore}: {RUNNING_MM:g} mm over its "
            "rod."
        )
    if body.key == "bearings" and body.part and design.shaft(body.part).fixed:
        for _, radius in shape.holes:
            yield (
                f"Hole {2.0 * radius:.4g} mm, a drive fit: its pin stands still. Drill a trial "
                "hole in waste first."
            )
    if body.whole is not None:
        found = {b.name: b for b in bodies(build(design))}
        cap = next(b for b in found.values() if b.kind == "cap" and body.name in b.fits_in)
        own, (_, off) = screwed(cap, found), cap_screws_mm(cap)
        size = "by waxed thread wound round both, since no screw bites" if own is None else (
            f"from above by {own.words}, {full(off, 1)} mm to either side of the hole's middle"
        )
        yield (
            "Then saw it through level, through the middle of the hole, and plane both halves: the "
            f"upper one is its cap, held {size}; it nips the bush."
        )
        assert isinstance(body.whole, BoardShape)
        ((_, middle), radius), *_ = body.whole.holes
        over = max(y for _, y in body.whole.outline) - middle - radius
        if body.material not in _FROM_SHEET and over < 2.0 * radius:
            yield (
                f"Only {full(over, 1)} mm of short grain lie over the hole, which split easily: "
                "better make the cap of another piece of its size, of plywood or with its grain "
                "level, screwed on before the hole is drilled on the joint."
            )
    if body.kind == "slide" and not shape.holes:
        yield "Its supports leave no room for bolts: clamp it to the floor at both ends."
    if body.kind == "crank":
        (_, rod), (_, pin) = shape.holes
        treadled = design.drive.by == "treadle"
        held = "its pin" if treadled else "the knob"
        yield f"Holes: {2.0 * rod:.4g} mm push fit on the rod, {2.0 * pin:.4g} mm for {held}."
        if not treadled:
            yield (
                f"In the face away from the knob sink a recess round the knob's hole, "
                f"{figures(2.0 * pin + KNOB_WASHER_OVER_MM + 1.0, 3)} mm across and "
                f"{RECESS_MM:g} mm deep."
            )
            yield (
                "Put the knob in, drill up the middle of its end "
                f"{figures(0.75 * knob_screw_mm(2.0 * pin))} mm, {KNOB_SCREW_LONG_MM:g} mm deep, "
                "and screw its washer on there, before the crank goes on its rod: the knob turns "
                "freely, with some shake."
            )


def _label(part: Part) -> tuple[Label, ...]:
    """Return the part's name where it fits within the outline and clear of its holes."""
    x1, y1, x2, y2 = part.box
    height = min(4.0, 0.3 * (y2 - y1))
    half = 0.5 * text_width_mm(part.name, height)
    if height < 2.0 or part.outside is None:
        return ()
    for share in (0.5, 0.25, 0.75):
        at = (x1 + share * (x2 - x1), y1 + max(0.25 * (y2 - y1), 0.5 * height + 1.0))
        inside = x1 + 2.0 < at[0] - half and at[0] + half < x2 - 2.0
        clear = all(
            abs(d.centre[0] - at[0]) > half + d.radius_mm + 1.0
            or abs(d.centre[1] - at[1]) > height + d.radius_mm
            for d in part.drills
        ) and all(
            x > at[0] + half + 1.0 or u < at[0] - half - 1.0
            or y > at[1] + height or v < at[1] - height
            for x, y, u, v in (cut.box for cut in part.holes)
        )
        if inside and clear:
            return (Label(part.name, at, height),)
    return ()


# --- the board that the rest stands on -----------------------------------------------------------


def base_of(design: Design) -> BuiltBody | None:
    """Return the board that everything stands on: the case's floor, a table; None without one."""
    kinds = {b.kind: b for b in boards(design)}
    return kinds.get("floor") or kinds.get("table")


def standing_on(design: Design, base: BuiltBody) -> tuple[BuiltBody, ...]:
    """Return the boards that stand on the base, walls and legs left out."""
    beside = ("wall", "leg", "trestle foot", "lid")
    return tuple(
        b
        for b in boards(design)
        if b is not base and b.kind not in beside and base.name in b.fits_in
    )


def footprint(base: BuiltBody, body: BuiltBody) -> tuple[Point, Point]:
    """Return the rectangle that a board covers of the base, in the base's own x and y, mm.

    Measured from the base's left and front edge.
    """
    shape, other = base.shape, body.shape
    assert isinstance(shape, BoardShape)
    assert isinstance(other, BoardShape)
    left, front, *_ = shape.flat_box
    corners = [
        shape.flat_place(other.point(x, y, z))
        for x, y in other.outline for z in (other.low, other.high)
    ]  # fmt: skip
    xs, ys = [x - left for x, _ in corners], [y - front for _, y in corners]
    return (min(xs), min(ys)), (max(xs), max(ys))
