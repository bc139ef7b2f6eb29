"""Standing words of the shop sheet: how bands are joined, the order of work, the cautions.

All of it is common practice of the workshop, without a source.
"""

from __future__ import annotations

from wheelgeo.design.joints import usual_joint

_CODES = (
    "Local building, electrical and workplace codes, and the practice of licensed trades, come "
    "before anything on this sheet."
)
_DUST = "Wood dust, glue and the fumes of hot plastic harm the lungs: mask and moving air."
_PINCH = (
    "Bands pinch where they run on to a pulley. Keep fingers, hair, sleeves and yarn clear; never "
    "lift a band off or on while anything turns."
)
_ENDS = {
    "tip": (
        "A spindle tip is a spike that turns thousands of times a minute: blunt it, cap it when it "
        "is not in use, keep eyes, hands and children away from it."
    ),
    "flyer": (
        "A flyer's arms are a blur when it runs, and strike hard: keep hands, hair and loose yarn "
        "out of their circle, and stop the wheel before a hook is changed."
    ),
}
_TURNED_BY = {
    "crank": "Let go of the crank to stop, never by grasping the wheel; keep knuckles off wall and "
    "lid.",
    "treadle": "Keep bare toes, animals and children from under the treadle: its rod comes down "
    "with the whole foot's weight.",
    "motor": "The motor starts without warning: switch and fuse within reach, the plug drawn "
    "before a band is touched; mains wiring is the work of a licensed electrician.",
    "hand": "Push the rim at its outside, never between spokes or holes, with the band clear of "
    "the hand.",
}
_TURNED_WOOD = (
    "At the lathe: face shield, no gloves, no loose clothes, tool rest close, the blank checked "
    "for cracks and turned by hand once before the motor is switched on. A disc wider than the "
    "lathe swings is trued on its own axle, slowly."
)
_TURNED_METAL = (
    "Metal comes off the lathe as hot, sharp ribbons: never by hand, brush them away at rest."
)
_BURST = (
    "A wooden rim that turns fast can burst along its grain. Use sound, dry wood without knots or "
    "shakes, bring it up to speed slowly the first time, and stand out of its plane."
)
_SHEET = (
    "With a laser, router or saw: follow its maker's rules, watch it while it cuts, keep an "
    "extinguisher by it, draw off smoke and dust. Never cut sheet whose make-up is not known."
)
_SEGMENTS = (
    "Saw short segments with a sled and a stop, fingers well away: a short piece held by hand is "
    "thrown."
)


def cautions(
    kind: str, by: str, wood: bool, turned: bool, metal: bool, segments: bool
) -> tuple[str, ...]:
    """Return what can hurt in making and using a wheel that has these things.

    Args:
        kind: ``tip`` or ``flyer``.
        by: what turns it.
        wood: whether any pulley is of wood.
        turned: whether anything is turned.
        metal: whether any of that is of metal.
        segments: whether a rim is built from segments.
    """
    chosen = [
        (_CODES, True),
        (_ENDS[kind], True),
        (_PINCH, True),
        (_TURNED_BY[by], True),
        (_BURST, wood),
        (_TURNED_WOOD, turned),
        (_TURNED_METAL, metal),
        (_SEGMENTS, segments),
        (_SHEET, True),
        (_DUST, True),
    ]
    return tuple(text for text, has in chosen if has)


def joining(material: str) -> str:
    """Return how a band of a material is joined, and what to mind."""
    joint = usual_joint(material)
    return f"{joint.name}. {joint.made} {joint.caution}"


def order_of_work(
    layered: bool, turned: bool, drilled: bool, slides: bool, kind: str, twist: str | None
) -> tuple[str, ...]:
    """Return the order of work, one step a sentence.

    Args:
        layered: whether pulleys are glued up from sheet.
        turned: whether pulleys are turned.
        drilled: whether shafts stand in holes of a floor.
        slides: whether a shaft slides for tensioning.
        kind: ``tip`` or ``flyer``.
        twist: S or Z, the twist that comes out, where it is known.
    """
    steps = [
        "Check every printed or opened sheet before cutting: its square or bar must measure what "
        "is written in it.",
        "Cut one thing first that is quick to replace, and measure it.",
    ]
    if layered:
        steps.append(
            "Cut cores and cheeks, glue them up on their dowels on a true rod, clamp between flat "
            "boards, and let the glue harden before trueing the rim."
        )
    if turned:
        steps.append(
            "Bore each blank first, mount it on a true rod, then turn rim, faces and groove; try "
            "the groove gauge until no light shows, and measure the rim."
        )
    if drilled:
        steps.append(
            "Mark the floor from its left and front edges by the drilling table and drill."
        )
    steps.append(
        "Cut the other flat parts of the cut list; fit supports and bearings at their places on "
        "the floor."
    )
    if kind == "tip":
        steps.append(
            "Point the spindle, round the point off a little, and keep a cork on it until the "
            "wheel is tried."
        )
    steps.append(
        "Set each pulley on its rod with the middle of its groove where the table of grooves says, "
        "and fix it as the table of fixings says: it must not turn on the rod."
    )
    steps.append(
        "Mount the shafts; they turn freely and without play. Spin each by hand and look along the "
        "rim: it must not wobble."
    )
    if slides:
        steps.append("Set the sliding shaft to the slack end of its travel.")
    steps += [
        "Cut and join the bands, put them on in the order of the drive, and take up the slack.",
        "Turn the wheel slowly by hand, forwards and then backwards as for backing off: every band "
        "must stay in its groove both ways.",
        _last_step(kind, twist),
        "Oil the bearings; bring the wheel up to full speed only when all of this is right.",
    ]
    return tuple(steps)


def _last_step(kind: str, twist: str | None) -> str:
    where = "at the spindle's tip" if kind == "tip" else "at the orifice"
    if twist is None:
        return f"Hold a length of yarn {where} and see which way it is twisted."
    stroke = "the middle stroke of the letter " + twist
    return (
        f"Hold a length of untwisted yarn {where} and turn: held upright, its fibres must slope as "
        f"{stroke}."
    )
