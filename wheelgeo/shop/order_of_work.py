"""The order of work in words: the computed assembly, told to somebody who was not there.

All that is not computed here is common practice of the workshop, without a source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import reduce

from wheelgeo.built.as_built import Built
from wheelgeo.built.assembly import Assembly, Step
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape
from wheelgeo.geometry.vectors import Vector, dot, sub
from wheelgeo.shop.board_parts import both_names
from wheelgeo.shop.sheet_words import Bushes
from wheelgeo.units.in_full import figures

_HOW = {
    "floor": "Lay {what} on the bench{parts}.",
    "table": "Lay {what} on the bench{parts}.",
    "foot": "Glue {what} under the floor.",
    "wall": "Set {what} on the floor {way}, and screw it as its note in the cut list says, and to "
    "any bridge that stands there already: no glue.",
    "block": "Fix {what} on its place {way}, as its note in the cut list says{parts}.",
    "slide": "Lay {what} on its place; it is bolted down when all stands on it that it carries.",
    "bed": "Glue {what} on its post {way}.",
    "mother-of-all": "Lay {what} on its bed {way}; it is bolted when its maidens stand on it.",
    "post": "Put {what} in place {way}{parts}, and fix it from below, as its note in the cut list "
    "says.",
    "leg": "Glue {what} under the table, square, and screw it from above.",
    "trestle foot": "Glue {what} across under its two legs, and hold each by a long screw from "
    "below, its head let in.",
    "hinge rail": "Set {what} on the floor against its foot, as its note in the cut list "
    "says, and screw it through the foot.",
    "support": "Put {what} in place {way}{parts}, and screw it from below{lifted}: no glue, it "
    "comes off to change a band.",
    "maiden": "Put {what} in place {way}{parts}, and screw it from below, the mother-of-all lifted "
    "for it and then bolted: no glue, it comes off to free the rod.",
    "bridge": "Put {what} in place {way}{parts}, and screw it through the walls: no glue, it comes "
    "off to change a band.",
    "cap": "Lay {what} over its bush and hold it down by its screws, as its board's note says: it "
    "comes off to free the rod.",
    "crank": "Put {what}{parts} on its rod {way}, line it up and pin it.",
    "crank pin": "Glue the crank's pin ({what}) in its arm {way}: it stands fast there.",
    "footman": "Hang {what} on the crank's pin {way}, between two washers; a split pin, through a "
    "hole of its size just outside them, keeps it there. It turns freely.",
    "treadle": "Hinge {what} with leather, as its note in the cut list says, and "
    "tie the footman's point to it with leather.",
    "whorl": "Put {what} on its rod {way}, by its mark, and fasten it without glue: it is undone "
    "again, since the bobbin comes off behind it.",
    "pin": "Push {what} {way} through the holes that hold it and through what turns on it; it is "
    "held fast, with a drop of glue at one end.",
    "wheel": "Put {what}{parts} on its pin {way}, with a washer at either face; it must turn there "
    "freely by hand.",
    "sleeve": "Put {what} with all that is glued on it{parts} on the rod that it turns on, {way}; "
    "it must turn there freely by hand.",
    "flyer": "Put {what} on its rod {way}.",
    "lid": "Hang {what} on its hinges.",
}
_ROD = (
    "Bring in {what} with all that is fixed on it{parts}, {way}; it turns freely in its bearings."
)
_IN_OWN_STAND = (
    "Put {what} in place {way} in your own stand, so that it can come off again to change a band."
)
"""Of a bush that no board of the wheel holds."""

_PROP = (
    " Until its other post stands it hangs in one bush and tilts: prop its rim on a block from "
    "below, and keep fingers from between rim and post."
)
_TILT = 0.02
"""Room beside a rim over its radius, below which a tilt of its rod may make it touch: about one
degree; common practice, no source."""


def assembly_steps(found: Assembly) -> tuple[str, ...]:
    """Return the steps of putting a wheel together, one sentence or two each; like ones as one.

    Args:
        found: how it comes apart.
    """
    merged: list[list[Step]] = []
    for step in found.together:
        last = merged[-1][-1] if merged else None
        same = last is not None and (last.kind, last.along) == (step.kind, step.along)
        if same and step.kind in ("foot", "trestle foot", "leg", "wall"):
            merged[-1].append(step)
        else:
            merged.append([step])
    slides = slides_in(found)
    said = []
    for i, steps in enumerate(merged):
        rod = steps[0].what.removeprefix("rod ")
        later = {s.what.rpartition(" ")[0] for some in merged[i + 1 :] for s in some}
        hangs = steps[0].kind == "rod" and f"post {rod}" in later and any(
            n.startswith("pulley ") for n in steps[0].parts
        )  # fmt: skip
        said.append(_told(steps, slides) + (_PROP if hangs else ""))
    return tuple(said)


def slides_in(found: Assembly) -> frozenset[str]:
    """Return the slides of a wheel, by name."""
    return frozenset(step.what for step in found.together if step.kind == "slide")


def bushes_in(found: Assembly) -> Bushes:
    """Return what holds the bushes of a wheel."""
    steps = [*found.together]
    names = [name for step in steps for name in step.parts if name.startswith("bearing ")]
    loose = {step.what for step in steps}
    if not names:
        return "none"
    return "in a stand of one's own" if loose.issuperset(names) else "in boards"


def step_words(step: Step, slides: frozenset[str] = frozenset()) -> str:
    """Return one step of putting a wheel together, in words.

    Args:
        step: the step.
        slides: the names of the wheel's slides.
    """
    return _told([step], slides)


def _told(steps: Sequence[Step], slides: frozenset[str]) -> str:
    first = steps[0]
    names = f'"{reduce(both_names, sorted(s.what for s in steps))}"'
    if first.kind == "band":
        rods = reduce(both_names, first.lifted) if first.lifted else ""
        lifted = f'; lift "{rods}" out of its open holders for it, and lay it back' if rods else ""
        return f"Lay {names} round its pulleys, in their grooves: it goes on whole, over the free "\
            f"ends of its rods{lifted}."
    words = _ROD if first.kind == "rod" else _HOW.get(first.kind, "Put {what} in place {way}.")
    if first.what.startswith("bearing "):
        words = _IN_OWN_STAND
    way = "" if first.along is None else way_words(first.along)
    shaft = first.what.removeprefix("support ").rpartition(" ")[0]
    on_slide = ", its slide lifted for it and then bolted down"
    lifted = on_slide if f"slide {shaft}" in slides else ""
    return words.format(
        what=names, way=way, parts=_with(first), lifted=lifted
    ).replace("  ", " ")


def _with(step: Step) -> str:
    """Return what is already in or on it, in words."""
    within = ("hub ", "spoke ")  # glued up with their rim before
    others = [n for n in step.parts if n != step.what and not n.startswith(within)]
    return f" (with {', '.join(others)})" if others else ""


def way_words(apart: Vector) -> str:
    """Return the way in which a thing is put in place, from the way in which it is drawn out."""
    x, y, z = apart
    ways = {
        (0, 0, 1): "from above", (0, 0, -1): "from below", (0, -1, 0): "from the front",
        (0, 1, 0): "from the back", (-1, 0, 0): "from the left", (1, 0, 0): "from the right",
    }  # fmt: skip
    whole = (round(x), round(y), round(z))
    if math.dist(apart, whole) < 1e-6 and whole in ways:
        return ways[whole]
    if abs(z) > 0.7:  # more up than aside: off the face of a slope
        return f"{ways[0, 0, round(z)]}, square to its slope"
    level = ways.get((round(x), round(y), 0), "aside")
    return f"{level}, along its slope"


def stuck_words(found: Assembly) -> Iterator[str]:
    """Yield what cannot be put together, and what to open, one sentence each."""
    for stuck in found.stuck:
        held = ", ".join(f'"{name}"' for name in stuck.held_by)
        yield (
            f'"{stuck.what}" is enclosed by {held}: split or open one of these; a band among them '
            "can be joined in place."
        )


def wobble_words(built: Built) -> tuple[str, ...]:
    """Return how far each rim that runs close beside a post may wobble: half its room, each way.

    Args:
        built: the wheel as built.
    """
    least: dict[str, float] = {}
    for body in (b for b in bodies(built) if b.kind == "post"):
        shape = body.shape
        assert isinstance(shape, BoardShape)
        shaft = built.shafts[body.part].shaft
        ends = [dot(sub(shape.point(0.0, 0.0, z), shaft.at_mm), shaft.axis)
                for z in (shape.low, shape.high)]  # fmt: skip
        for name, made in built.pulleys.items():
            if made.pulley.shaft != body.part:
                continue
            room = max(min(made.faces_mm) - max(ends), min(ends) - max(made.faces_mm))
            if 0.0 < room < _TILT * 0.5 * made.rim_mm:
                least[name] = min(room, least.get(name, room))
    return tuple(
        f'"{name}" has {figures(room)} mm beside its post: at its rim it may wobble '
        f"{figures(0.5 * room)} mm to either side" for name, room in least.items()
    )
