"""The card of an old wheel: one page that hangs by the bench, with a paper strip to measure by."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from wheelgeo.design.joints import CLOSED_RING, Joint, growth_of, joint_of
from wheelgeo.drawing.figure import PaperFigure
from wheelgeo.drawing.marks import dimension
from wheelgeo.drawing.strokes import Ink, InkArc, Pen, Point, Stroke, Text
from wheelgeo.shop import old_wheel_words as words
from wheelgeo.shop.band_words import stretch_known
from wheelgeo.shop.old_wheel_oddities import mind
from wheelgeo.shop.old_wheel_true_words import truing, whether_it_stays_on
from wheelgeo.shop.sheet import Heading, Listing, Notice, Pairs, Picture, Sheet
from wheelgeo.tune.old_wheel import OldWheelAnswer
from wheelgeo.units.inches import in_inches_alike
from wheelgeo.units.written import MM_PER_INCH, LengthUnit, length_with_unit

WIDE_MM = 174.0
"""Width of the figures: what both papers hold between their margins, so that 1:1 stays 1:1."""
_SKETCH_MM = (28.0, 42.0)
"""Height of the sketch: where the wheel is untrue, which takes lines, and where it is true."""
_CAPITAL_MM = 2.2
_STRIP_MM = 13.0
_MEASURED = (
    ("Wheel", (("wheel", "a {} across"), ("girth", "a {} girth in the groove"),
               ("least", "least {}"), ("groove", "b groove {} deep"),
               ("groove_shape", "shape {}"), ("mouth", "mouth {}"))),
    ("Whorl", (("whorl", "c {} across"), ("whorl_girth", "c {} girth in the groove"),
               ("whorl_groove", "d groove {} deep"), ("whorl_shape", "shape {}"),
               ("whorl_mouth", "mouth {}"),
               ("double", "bobbin's whorl {} across"),
               ("whorls_apart", "whorls {} apart"), ("grooves_apart", "grooves {} apart"))),
    ("Apart", (("apart", "e {} axle to spindle"), ("edge_to_edge", "{} between near edges"),
               ("over_axles", "{} over both axles"), ("fits", "fits: {}"),
               ("axle", "axle {}"), ("rod", "spindle {}"),
               ("slide", "slides {} in all"))),
    ("Untrue", (("wobble", "rim {} sideways in all"), ("eccentric", "rim {} in and out in all"),
                ("aside", "whorl {} aside"))),
)  # fmt: skip
"""What the card shows of what was measured, row by row: keys, and how each is told."""


_IN_ONE_PLANE = "It runs off: look along the rim whether wheel and whorl lie in one plane."


def old_wheel_card(found: OldWheelAnswer) -> Sheet:
    """Return the card of an old wheel.

    Args:
        found: its band; it has a path.

    Raises:
        ValueError: the band has no path.
    """
    answer, (band,) = found.answer, found.answer.bands
    if band.length_mm is None or band.cut_with_joint_mm is None or answer.ratio is None:
        raise ValueError("a wheel without a band has no card")
    design = answer.design
    unit: LengthUnit = "in/64" if design.unit == "in" else "mm"
    length = length_with_unit(unit)
    cord = design.bands[0]
    joint, growth = joint_of(cord.material, cord.joined), growth_of(cord.material)
    half = band.cut_length_uncertainty_mm
    sure = "" if half is None else f" ± {length(half)}"
    take = (
        f"Cut {length(band.cut_with_joint_mm)}{sure} of {found.measured.cord.strip()}, "
        f"joint included{_off_the_reel(band.cut_with_joint_mm, joint, length)}."
    )
    when = "when the slide stands at its far end" if band.slide else "when it begins to slip"
    then = f"Shorten it {when}"
    if joint.name == CLOSED_RING:
        to_take = words.to_take(band, design, length)
        take = f"{to_take[0].upper()}{to_take[1:]}."
        then = f"Change it for a smaller one {when}"
    untrue: tuple[str, ...] = ()
    if found.staying_on is not None:
        true = truing(found.staying_on, design.unit)
        untrue = (whether_it_stays_on(found.staying_on), *true)
    return Sheet(
        design.title,
        take if joint.spare_mm else f"{take} In place the band is {length(band.length_mm)} long.",
        (
            Picture(_sketch(found, unit), ""),
            Pairs((*_measured(found), *_results(found, unit))),
            Heading("Order of fitting" if joint.name == CLOSED_RING else "Order of tying"),
            Listing(tuple(_order(found, unit)), numbered=True),
            Notice(
                "When to worry",
                (
                    *mind(found, length),
                    *words.faults_of(found, length),
                    "It lies slack or will not go on, though made as told: measure again, axle to "
                    "spindle first.",
                    f"{joint.name.capitalize()}: {joint.caution}",
                    f"In its first months it grows by about "
                    f"{length(growth.creep * band.length_mm)}; {growth.says}. {then}.",
                    *(untrue or (_IN_ONE_PLANE,)),
                    "Keep fingers, hair and sleeves clear, and never lift a band while it runs.",
                ),
            ),
            Picture(
                strip(),
                "Print at 100 %. Strip: cut it out, wrap it round the whorl, read the diameter at "
                "zero. Tongue: the groove's depth.",
            ),
        ),
    )


def _off_the_reel(cut_mm: float, joint: Joint, length: Callable[[float], str]) -> str:
    """Say what to take off the reel, where more is needed to tie by than is cut."""
    return f" ({length(cut_mm + joint.tails_mm)} off the reel)" if joint.spare_mm else ""


def _measured(found: OldWheelAnswer) -> Iterator[tuple[str, str]]:
    for name, parts in _MEASURED:
        told = [words.format(text) for key, words in parts
                if (text := getattr(found.measured, key))]  # fmt: skip
        if told:
            yield (name, ", ".join(told))


def _results(found: OldWheelAnswer, unit: LengthUnit) -> Iterator[tuple[str, str]]:
    (band,) = found.answer.bands
    length = length_with_unit(unit)
    assert band.cut_length_mm is not None
    ring = band.joint == CLOSED_RING
    crossed = ", crossed" if found.measured.crossed else ""
    without = "along its centre-line" if ring else "without its joint"
    if band.length_mm is not None and words.joint_in(found.answer.design, band.name).spare_mm:
        without += f", {length(band.length_mm)} in place"  # the head of the card is full
    yield (
        "Cord", f"{found.measured.cord}{crossed}; {length(band.cut_length_mm)} {without}"
    )
    if band.from_measuring_mm is not None and band.from_stretch_mm is not None:
        stretch = f"stretch, taken as {100 * band.stretch:g} %"
        halves = (band.from_measuring_mm, band.from_stretch_mm)
        off = length if unit == "mm" else in_inches_alike(halves)
        stretch = (f"none from {stretch}" if stretch_known(band)
                   else f"± {off(band.from_stretch_mm)} from {stretch}")  # fmt: skip
        yield ("How sure (95 %)", f"± {off(band.from_measuring_mm)} from measuring, {stretch}")
    yield ("Ratio", words.ratios(found))
    if tight := words.tight_in_short(found, length):
        yield ("How tight", tight)
    if found.if_round is not None:
        yield ("Grooves", words.if_round_in_short(found.if_round, ring, length))


def _order(found: OldWheelAnswer, unit: LengthUnit) -> Iterator[str]:
    (band,) = found.answer.bands
    cord, length = found.answer.design.bands[0], length_with_unit(unit)
    joint = joint_of(cord.material, cord.joined)
    assert band.cut_with_joint_mm is not None
    near = words.near_end_mm(band)
    if near is not None and joint.name != CLOSED_RING:
        yield (
            "Set the spindle to the middle of its slide or, for most growth, next to the wheel: "
            f"then cut {length(near)}."
        )
    elif band.slide is not None:
        yield "Set the spindle to the middle of its slide."
    lay = words.laying(found.answer.design)
    if joint.name == CLOSED_RING:
        yield joint.made
        if lay:
            yield lay
        yield f"Turn the wheel by hand, forwards and back: the band must stay in. {joint.caution}"
        return
    yield words.cutting(band, joint, length)
    yield lay or (
        "Where a closed band cannot be slipped on, lay the cord round wheel and whorl first."
    )
    yield f"Join it: {joint.name}. {joint.made}"
    turn = "Turn the wheel slowly by hand, forwards and back: the band must stay in its grooves."
    if band.slide is not None:
        turn += " Take up what is slack with the slide, no more than the whorl needs not to slip."
    yield turn


def _sketch(found: OldWheelAnswer, unit: LengthUnit) -> PaperFigure:
    """Return wheel, whorl and band, with the letters of what was measured."""
    answer = found.answer
    motion = answer.report.solution.bands[0]
    assert motion.path is not None
    wheel, whorl = motion.path.circles[:2]
    apart = math.dist(wheel.centre_mm, whorl.centre_mm)
    wide = wheel.radius_mm + apart + whorl.radius_mm
    tall = _SKETCH_MM[found.staying_on is None]
    scale = min((WIDE_MM - 40.0) / wide, (tall - 14.0) / (2.0 * wheel.radius_mm))
    big, small = wheel.radius_mm * scale, max(whorl.radius_mm * scale, 1.0)
    reach = apart * scale
    left = 0.5 * (WIDE_MM - wide * scale)
    a: Point = (left + big, 9.5 + big)
    b: Point = (a[0] + reach, a[1])
    ink: list[Ink] = [
        InkArc(a, big, 0.0, 360.0, Pen.OUTLINE), InkArc(b, small, 0.0, 360.0, Pen.OUTLINE),
        InkArc(a, 1.2, 0.0, 360.0, Pen.FINE), InkArc(b, 0.6, 0.0, 360.0, Pen.FINE),
    ]  # fmt: skip
    crossed = answer.design.bands[0].crossed
    lean = math.asin(min(1.0, (big + small if crossed else big - small) / reach))
    for side in (1.0, -1.0):
        # Both ends of a run lie across its direction; crossed, the far end on the other side.
        ox, oy = math.sin(lean), side * math.cos(lean)
        far = -1.0 if crossed else 1.0
        leaves, arrives = big, far * small
        run = (a[0] + leaves * ox, a[1] + leaves * oy), (b[0] + arrives * ox, b[1] + arrives * oy)
        ink.append(Stroke(run, Pen.CORD))
    shown = length_with_unit(unit)
    for start, end, offset, text in (
        ((a[0] - big, a[1]), (a[0] + big, a[1]), big + 4.0, "a"),
        (a, b, -(big + 5.0), f"e  {shown(apart)}"),
    ):
        drawn = dimension(start, end, offset, text, _CAPITAL_MM)
        ink += [*drawn.ink, Text(text, drawn.label.spots[0], _CAPITAL_MM)]
    ink.append(Text("c, d", (b[0] + small + 6.0, b[1]), _CAPITAL_MM))
    ink.append(Text("b", (a[0] - big - 3.0, a[1]), _CAPITAL_MM))
    return PaperFigure(
        WIDE_MM, 2.0 * big + 17.5, tuple(ink), "The old wheel",
        "Wheel, whorl and band seen along the axle, with the letters of what was measured.",
    )  # fmt: skip


def strip() -> PaperFigure:
    """Return the paper strip, 1:1: whorl diameters by wrapping, groove depths by pushing in."""
    ink: list[Ink] = []
    low, zero = 14.0, 8.0
    ink.append(_box(0.0, low, WIDE_MM, _STRIP_MM))
    ink.append(Stroke(((zero, low), (zero, low + _STRIP_MM)), Pen.FRAME))
    ink.append(Text("0", (0.5 * zero, low + 0.5 * _STRIP_MM), _CAPITAL_MM, bold=True))
    # A girth of pi times a diameter: the scale is written in diameters.
    most = int((WIDE_MM - zero - 2.0) / math.pi)
    for mm in range(8, most + 1):
        tall = 3.2 if mm % 5 == 0 else 1.8
        ink.append(_tick(zero + math.pi * mm, low + _STRIP_MM, -tall))
        if mm % 5 == 0:
            words = "mm" if mm == 10 else f"{mm}"
            at = (zero + math.pi * mm, low + _STRIP_MM - 4.6)
            ink.append(Text(f"{mm} mm" if words == "mm" else words, at, 1.7))
    for sixteenth in range(6, int(16 * most / MM_PER_INCH) + 1):
        tall = 3.2 if sixteenth % 4 == 0 else 2.0 if sixteenth % 2 == 0 else 1.2
        x = zero + math.pi * sixteenth * MM_PER_INCH / 16.0
        ink.append(_tick(x, low, tall))
        if sixteenth % 4 == 0:
            whole, part = divmod(sixteenth // 4, 4)
            words = f"{whole or ''}{('', '¼', '½', '¾')[part]}"
            ink.append(Text(f"{words} in" if sixteenth == 8 else words, (x, low + 4.4), 1.7))
    # The tongue: 60 degrees at its point, so that it reaches the bottom of a vee.
    middle, half, body = 6.0, 4.0, 50.0
    point = half / math.tan(math.radians(30.0))
    outline = ((0.0, middle), (point, middle + half), (body, middle + half),
               (body, middle - half), (point, middle - half), (0.0, middle))  # fmt: skip
    ink.append(Stroke(outline, Pen.FINE))
    # Two scales: mm from the upper edge inwards, sixteenths of an inch from the lower one; the
    # numbers stand inside, clear of both.
    quarters = {0: "", 1: "¼", 2: "½", 3: "¾"}
    inch = MM_PER_INCH
    marks = [(float(mm), 1.0, mm % 5 == 0, f"{mm}" if mm % 10 == 0 else "") for mm in range(2, 36)]
    marks += [
        (n * inch / 16.0, -1.0, n % 4 == 0,
         f"{n // 16 or ''}{quarters[n % 16 // 4]}" if n % 4 == 0 else "")
        for n in range(2, 21)
    ]  # fmt: skip
    for x, side, long, words_there in marks:
        edge = min(half, x * half / point)
        deep = min(edge, 1.9 if long else 1.1)
        tick = ((x, middle + side * edge), (x, middle + side * (edge - deep)))
        ink.append(Stroke(tick, Pen.DIMENSION))
        if words_there:
            ink.append(Text(words_there, (x, middle + side * 0.95), 1.5))
    for text, at in (("mm", (body - 11.0, middle + 1.2)), ("in", (body - 11.0, middle - 1.2)),
                     ("depth", (body - 4.0, middle))):  # fmt: skip
        ink.append(Text(text, at, 1.6))
    bar = 68.0
    ink += [Stroke(((bar, 6.0), (bar + 100.0, 6.0)), Pen.FRAME),
            _tick(bar, 4.0, 4.0), _tick(bar + 100.0, 4.0, 4.0),
            Text("this bar measures 100 mm", (bar + 50.0, 10.0), _CAPITAL_MM)]  # fmt: skip
    return PaperFigure(
        WIDE_MM, low + _STRIP_MM + 1.0, tuple(ink), "Paper strip, 1:1",
        "A strip that tells a whorl's diameter when wrapped round it, a tongue for the depth of "
        "grooves, and a bar of 100 mm to check the print.",
    )  # fmt: skip


def _box(x: float, y: float, wide: float, tall: float) -> Stroke:
    corners = ((x, y), (x + wide, y), (x + wide, y + tall), (x, y + tall), (x, y))
    return Stroke(corners, Pen.FINE)


def _tick(x: float, y: float, tall: float) -> Stroke:
    return Stroke(((x, y), (x, y + tall)), Pen.DIMENSION)
