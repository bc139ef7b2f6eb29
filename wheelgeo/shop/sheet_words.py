"""Standing words of the shop sheet: how bands are joined, the order of work.

All of it is common practice of the workshop, without a source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from wheelgeo.design.joints import Joint
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass

Bushes = Literal["in boards", "in a stand of one's own", "none"]
"""What holds the bushes of a wheel: its own boards, a stand that is the builder's, or there are
none."""


def joining(joint: Joint) -> str:
    """Return how a band is joined, and what to mind."""
    spare = ""
    if joint.spare_mm > 0.0:
        spare = (
            f"Cut {joint.spare_mm:.0f} mm more at each end to tie by, and mark the length without "
            "the joint in the middle. "
        )
    return f"{joint.name}. {spare}{joint.made} {joint.caution}"


_DRILLED_ONLY = (
    " A flyer's whorl that comes off again (that table says so) is only drilled with its rod now, "
    "and goes on behind the bobbin."
)


_BUT_SPLIT = (
    ", but none into one that is split: its note in the cut list says so. There the bush stays "
    "loose and whole and rides on its rod; drill that hole, drill for the screws of its cap, and "
    "only then saw the board through."
)
_LOOSE_BUSH = (
    "In a split board the bush goes in with the rod, without glue, and the cap over both. "
)


@dataclass(frozen=True)
class BoardWork:
    """What there is of a wheel's boards to saw, drill and put together.

    Attributes:
        sawn: whether boards are sawn at all.
        base: whether a board is made that all stands on.
        bushes: what holds the bushes that the rods turn in.
        split: whether boards are sawn through at a hole, so that a rod is laid in with its bush.
        unplaced: boards whose screws no drawing has.
    """

    sawn: bool = True
    base: bool = True
    bushes: Bushes = "in boards"
    split: bool = False
    unplaced: tuple[str, ...] = ()


_ALL = BoardWork()


def before_assembly(
    layered: bool, turned: bool, kind: str, built_up: bool = False, wood: BoardWork = _ALL
) -> tuple[str, ...]:
    """Return what is done before anything is put together, one step a sentence.

    Args:
        layered: whether pulleys are glued up from sheet.
        turned: whether pulleys are turned.
        kind: ``tip`` or ``flyer``.
        built_up: whether a wheel is glued up from segments or boards before it is turned.
        wood: what there is of boards.
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
    if built_up:
        steps.append(
            "Glue up the large wheel first, as the notes of its pieces in the cut list say; let "
            "it rest in the room where it will stand for some days before it is bored and turned."
        )
    if turned:
        steps.append(
            "Bore each blank first, mount it on a true rod, then turn rim, faces and groove; try "
            "the groove gauge until no light shows, and measure the rim."
        )
    if wood.sawn:
        pressed = ", and press each bush into its hole with glue" + (
            _BUT_SPLIT if wood.split else "."
        )
        in_boards = wood.bushes == "in boards"
        steps.append("Saw and drill the boards of the cut list" + (pressed if in_boards else "."))
    steps += _bush_steps(wood.bushes, wood.split)
    if wood.base:
        steps += _base_steps(wood.unplaced)
    if kind == "tip":
        steps.append(
            "Point the spindle, round the point off a little, and keep a cork on it until the "
            "wheel is tried."
        )
    steps += [
        "Set each pulley on its rod with the middle of its groove where the table of grooves says, "
        "and fix it as the table of fixings says: it must not turn on the rod."
        + (_DRILLED_ONLY if kind == "flyer" else ""),
        "Lay each rod, with what is fixed on it, on two level straight edges: it must stay however "
        "it is turned. Where the same side always comes down, take wood off its face there, never "
        "out of the groove, until none does.",
        "Oil or varnish all wood now. Leave bare, under tape, every place where a step below or a "
        "note in the cut list still glues something: glue does not hold on finish. Leave bores and "
        "grooves bare too: finish makes a cord slip.",
        "Cut and join the bands; each goes on whole, as the steps below say.",
    ]
    return tuple(steps)


def _bush_steps(bushes: Bushes, split: bool) -> Iterator[str]:
    """Yield how bushes are fitted to their rods, in the boards or the stand that hold them."""
    if bushes == "none":
        return
    in_boards = bushes == "in boards"
    if not in_boards:
        yield (
            "Bore the holders of your own stand for the bushes, the middles of their holes where "
            "the plan and the heights in its notes have the rods, and press each bush in with glue."
        )
    off = (
        "its board off the wheel and over a hole in waste, to the size in its board's note: with"
        if in_boards else "its holder off the stand: with"
    )
    yield (
        f"When the glue is hard, and no rod is in yet, ream each bush right through, {off} an "
        "adjustable reamer, or one of the rod's size and then a spare end of the rod with fine "
        "abrasive paste, washed out, until the rod falls through by its own weight and does not "
        "rattle."
    )
    hold = "boards" if in_boards else "holders"
    yield (
        f"Set the {hold} that hold one rod in place, dry, and pass the rod through all its bushes: "
        "flicked, it spins on by itself for some turns. "
        + (_LOOSE_BUSH if split else "")
        + f"Where it binds, line the {hold} up or pass the reamer through them in line. Take them "
        "off again and brush out every chip."
    )


def _base_steps(unplaced: Sequence[str]) -> Iterator[str]:
    """Yield what is drilled in the board that all stands on, and through it."""
    names = ", ".join(f'"{name}"' for name in unplaced)
    yield (
        "Prick out the board that all stands on, from its left and its front edge, and drill or "
        "slot it where the table of drilling says so."
    )
    yield (
        "Drill for every screw as its board's note says: its own diameter through the first board, "
        "where the table of drilling or that board's drawing has it, sunk for the head; then, both "
        "boards held in their places, two thirds of it into the second through that hole."
        + (f" No place was found for those of {names}: set them where nothing is in their way."
           if unplaced else "")
    )


def after_assembly(
    kind: str, twist: str | None, slides: bool, lies: tuple[str, ...] = (),
    pulls: tuple[str, ...] = (), wobbles: tuple[str, ...] = (), bolted: bool = True,
) -> tuple[str, ...]:  # fmt: skip
    """Return what is done once all stands: taking up, oil, and turning it for the first time.

    Args:
        kind: ``tip`` or ``flyer``.
        twist: S or Z, the twist that comes out, where it is known.
        slides: whether a shaft slides for tensioning.
        lies: how each band lies on what it drives, a sentence each.
        pulls: how hard the bands are to pull, a sentence each.
        wobbles: how far rims that run close to a post may wobble, a sentence each.
        bolted: whether what slides is the wheel's, on bolts or screws, and not the builder's own.
    """
    steps = [
        "Spin each rod by hand and look along the rim: it must not wobble."
        + "".join(f" {words}." for words in wobbles)
    ]
    if slides:
        steps.append(
            "Take up the slack of the bands with the slide, and "
            + ("tighten its bolts or screws again." if bolted else "make it fast again.")
        )
    steps += [
        "A drop of thin oil in every bush before the first turn, and again each hour of spinning.",
        *(f"Turn the drive as it should turn and see how the band lies. {line}." for line in lies),
        "Turn the wheel slowly by hand, forwards and then backwards"
        f"{' as for backing off' if kind == 'tip' else ''}: every band must stay in its groove "
        "both ways.",
        _last_step(kind, twist),
        *pulls,
        "Bring it up to full speed only when all of this is right; wipe off the oil that is "
        "thrown, away from bands and yarn.",
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


def by_stages(solution: Solution, turned: str) -> str:
    """Return how the turns of a spindle are counted band by band; empty where one drives it.

    Args:
        solution: the solved wheel.
        turned: what a person turns.
    """
    design, shaft, told = solution.design, solution.spindle, list[str]()
    while (band := shaft.driven_by) is not None and len(told) < len(design.shafts):
        motion = solution.band(band)
        source = solution.shaft(design.pulley(motion.band.route[motion.driver or 0].pulley).shaft)
        if not shaft.turns_without_slip or not source.turns_without_slip:
            return ""
        ratio = abs(shaft.turns_without_slip / source.turns_without_slip)
        of = f'"{source.name}"' if source.driven_by else f"the {turned}"
        told.insert(0, f'"{shaft.name}" {ratio:.1f} times in a turn of {of}')
        shaft = source
    return "" if len(told) < 2 else f" Count it by stages: {', '.join(told)}."
