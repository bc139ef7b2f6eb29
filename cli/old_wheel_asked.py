"""The questions of ``wheelgeo bands``: what it asks on a terminal where too little was told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from wheelgeo.immutable import dataclass
from wheelgeo_cli.common import console

SKETCH = """\
             a                             c
      |<----------->|                    |<->|
       _____________
      /             \\  ==== the band ====  _
     |               |                    / \\
    b|->    (o)      |                   | o |  spindle, on its slide: f
     |      axle     |                    \\_/
      \\_____________/  ==================   d: depth of the whorl's groove
             |<------------- e ------------>|

  b: depth of the wheel's groove. Where callipers do not reach, lay a thread
  in the groove once round, and measure its girth instead. Look into both
  grooves: in a vee (v) the cord hangs between the sides; in a round (r) or
  worn (w) one it lies on the bottom.
"""


@dataclass(frozen=True)
class Question:
    """A question.

    Attributes:
        key: of the measurement, as ``wheelgeo.old_wheel`` calls it.
        asks: the question.
        unless: asked only where none of these is told.
        once: asked only where all of these are told.
        explained: what is asked for needs to be told in words of its own first.
    """

    key: str
    asks: str
    unless: tuple[str, ...] = ()
    once: tuple[str, ...] = ()
    explained: bool = False


Told = dict[str, str]
WHEEL = (
    Question("wheel", "a  Across the wheel's rim, outside (Enter: I have its girth)", ("girth",)),
    Question("girth", "   Girth of a thread laid once round in the wheel's groove (Enter: I "
             "cannot)", ("wheel",)),
)  # fmt: skip
WHORL = (
    Question("whorl", "c  Across the whorl, outside (Enter: I have its girth)", ("whorl_girth",)),
    Question("whorl_girth", "   Girth of a thread laid once round in the whorl's groove (Enter: I "
             "cannot)", ("whorl",)),
)  # fmt: skip
_WAYS = ("apart", "edge_to_edge", "over_axles", "fits")
_MOUTH = "   Its width at the rim, from lip to lip (Enter: not measured)"
_SHAPES = "v, r or w (Enter: not looked)"
APART = (
    Question("apart", "e  From the middle of the axle to the middle of the spindle (Enter: I "
             "cannot)", _WAYS[1:]),
    Question("edge_to_edge", "   Then between the near edges of the two rims (Enter: I cannot)",
             ("apart", "over_axles", "fits"), ("wheel", "whorl")),
    Question("over_axles", "   Then over both axles, from far side to far side (Enter: I cannot)",
             ("apart", "edge_to_edge", "fits")),
    Question("fits", "   Or a band that fits: 75 in loop (once round), 76 in cord (untied) (Enter: "
             "I have none)", _WAYS[:3], explained=True),
)  # fmt: skip
CORD = (Question("cord", "   The cord, as in: 3 mm cotton cord"),)
NEEDED = (WHEEL, WHORL, APART, CORD)
"""Of each of these one answer is needed."""

QUESTIONS: tuple[tuple[Question, ...], ...] = (
    WHEEL,
    (Question("groove", "b  Depth of the wheel's groove (Enter: a plain rim)", ("girth",)),
     Question("groove_shape", f"   Its shape: {_SHAPES}", once=("groove",)),
     Question("mouth", _MOUTH, once=("groove",)),
     Question("groove_shape", f"   Shape of the wheel's groove: {_SHAPES}", ("groove",),
              ("girth",))),
    WHORL,
    (Question("whorl_groove", "d  Depth of the whorl's groove (Enter: a plain rim)",
              ("whorl_girth",)),
     Question("whorl_shape", f"   Its shape: {_SHAPES}", once=("whorl_groove",)),
     Question("whorl_mouth", _MOUTH, once=("whorl_groove",)),
     Question("whorl_shape", f"   Shape of the whorl's groove: {_SHAPES}", ("whorl_groove",),
              ("whorl_girth",))),
    APART,
    (
        Question("axle", "   Diameter of the axle (Enter: not measured)", once=("over_axles",)),
        Question("rod", "   Diameter of the spindle (Enter: not measured)", once=("over_axles",)),
        Question("slide", "f  How far the spindle can slide, in all (Enter: not at all)"),
        Question("double", "   Band twice round, also over a bobbin: across that whorl (Enter: no)",
                 ("crossed",)),
        Question("grooves_apart", "   The wheel's two grooves, middle to middle (Enter: not "
                 "measured)", once=("double",)),
        Question("whorls_apart", "   The two whorls, middle to middle (Enter: not measured)",
                 once=("double",)),
    ),
    CORD,
)  # fmt: skip
"""What is asked, in the order in which one goes round the wheel."""


def is_enough(told: Mapping[str, str]) -> bool:
    """Tell whether something is told of all that is needed."""
    return all(any(told.get(q.key) for q in group) for group in NEEDED)


def asked(
    told: Mapping[str, str], crossed: bool, kept: Mapping[str, str]
) -> tuple[Told, bool]:
    """Ask for what is not told, one at a time; each answer is read before the next question.

    Args:
        told: what is known already.
        crossed: the band is known to cross.
        kept: what was answered before, where all is asked once more; Enter keeps it.

    Returns:
        Everything told, and whether the band crosses.
    """
    out = console()
    if kept:
        out.print(
            "  Once more: Enter keeps what stands in brackets, - takes it away."
        )
    else:
        out.print(SKETCH)
        out.print(
            "Write lengths with their unit, as on the rule: 21 1/2 in, 1 ft 9 in or 545 mm; and "
            "how sure they are, if you know: 21 1/2 +- 1/8 in."
        )
    if any(told.values()):
        given = ", ".join(f"{key.replace('_', '-')} {text}" for key, text in told.items() if text)
        out.labelled("  ", f"Told already: {given}{', crossed' if crossed else ''}.")
    found: Told = {key: text for key, text in {**kept, **told}.items() if key not in _ASKED}
    found |= {key: text for key, text in told.items() if text}
    for group in QUESTIONS:
        while True:
            for question in _open(group, found, crossed):
                found[question.key] = _answer_to(question, kept.get(question.key, ""))
            if group not in NEEDED or any(found.get(q.key) for q in group):
                break
            out.print(f"   {'one of these' if len(group) > 1 else 'this one'} is needed")
    if found.get("groove_shape") and (found.get("whorl_groove") or found.get("whorl_girth")):
        # Told of the wheel's alone it would be taken for both; here the whorl's was asked for.
        found["whorl_shape"] = found.get("whorl_shape") or "unknown"
    if not crossed and not found.get("double"):
        crossed = _crosses(kept.get("crossed", "n"))
    found.pop("crossed", None)
    return found, crossed


_ASKED = frozenset(question.key for group in QUESTIONS for question in group)


def _crosses(before: str) -> bool:
    choice = "(Y/n)" if before == "y" else "(y/N)"
    text = input(f"   Does the band cross? {choice}: ").strip().casefold()
    return (text or before).startswith("y")


def _open(group: tuple[Question, ...], found: Told, crossed: bool) -> Iterator[Question]:
    """Yield what is still to be asked; ``found`` grows while it does."""
    for question in group:
        known = {**found, "crossed": "yes" if crossed else ""}
        told = known.get(question.key) or any(known.get(key) for key in question.unless)
        if not told and all(known.get(key) for key in question.once):
            yield question


_NO = ("-", "no", "none", "0")
"""What takes an answer away, or says that there is nothing to measure."""


def _answer_to(question: Question, kept: str) -> str:
    """Return what was answered, or nothing; asks again where it cannot be read."""
    from wheelgeo.old_wheels import measurement_faults

    asks = f"{question.asks} [{kept}]" if kept else question.asks
    if question.explained:
        from wheelgeo.tune.old_wheel_design import BAND_THAT_FITS

        console().labelled("   A band that fits? ", BAND_THAT_FITS)
    while True:
        text = input(f"{asks}: ").strip()
        if not text:
            return kept
        if text.casefold() in _NO:
            return ""
        wrong = measurement_faults(question.key, text)
        for fault in wrong:
            console().print(f"   {fault.says}{f' - {fault.remedy}' if fault.remedy else ''}")
        if not wrong:
            return text
