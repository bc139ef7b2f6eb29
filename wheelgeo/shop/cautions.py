"""What can hurt in making and using a wheel: on the shop sheet, and on the page.

All of it is common practice of the workshop, without a source.
"""

from __future__ import annotations

from wheelgeo.design.model import Design

DANGERS = (
    "Spindle points stab; bands pinch fingers at the place where they run on; a wooden rim that "
    "turns fast can burst; lathes and cutters take more than they are given."
)
"""Said of every wheel, in short."""
CARE = (
    "Wear eye protection, keep guards on, keep hair and sleeves away, cover the spindle point when "
    "you are not spinning. Local codes and licensed practice come before anything that is printed "
    "here."
)
"""What is done against it."""
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
    "crank": "Let go of the crank to stop, never by grasping the wheel.",
    "treadle": "Keep bare toes, animals and children from under the treadle: its rod comes down "
    "with the whole foot's weight.",
    "motor": "The motor starts without warning: switch and fuse within reach, the plug drawn "
    "before a band is touched; mains wiring is the work of a licensed electrician.",
    "hand": "Push the rim at its outside, never between spokes or holes, with the band clear of "
    "the hand.",
}
_KNUCKLES = "Keep the knuckles of the hand that cranks off wall and lid."
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


def _chosen(
    kind: str, by: str, wood: bool, turned: bool, metal: bool, segments: bool, cased: bool
) -> tuple[str, ...]:
    """Return what can hurt in making and using a wheel that has these things.

    Args:
        kind: ``tip`` or ``flyer``.
        by: what turns it.
        wood: whether any pulley is of wood.
        turned: whether anything is turned.
        metal: whether any of that is of metal.
        segments: whether a rim is built from segments.
        cased: whether it stands in a case.
    """
    chosen = [
        (_CODES, True),
        (_ENDS[kind], True),
        (_PINCH, True),
        (_TURNED_BY[by], True),
        (_KNUCKLES, cased and by == "crank"),
        (_BURST, wood),
        (_TURNED_WOOD, turned),
        (_TURNED_METAL, metal),
        (_SEGMENTS, segments),
        (_SHEET, True),
        (_DUST, True),
    ]
    return tuple(text for text, has in chosen if has)


def cautions(design: Design) -> tuple[str, ...]:
    """Return what can hurt in making and using a wheel, and what is done against it."""
    from wheelgeo.built.as_built import build  # the page says the dangers before it needs these
    from wheelgeo.shop.built_up_parts import making
    from wheelgeo.shop.section import wheels

    pieces, made = wheels(design), build(design).pulleys
    return _chosen(
        design.spindle.kind,
        design.drive.by,
        wood=any(not p.is_metal for p in made.values()),
        turned=any(not w.layered for w in pieces),
        metal=any(made[w.pulleys[0].name].is_metal for w in pieces if not w.layered),
        segments=any(making(design, w) in ("segments", "spokes") for w in pieces),
        cased=design.case is not None,
    )
