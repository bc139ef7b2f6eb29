"""What is said of an old wheel's band, on its card as on the terminal: how it lies, stays, is tied.

``said`` writes a length in mm for who reads it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from wheelgeo.built.as_built import build
from wheelgeo.check.answer_parts import BandAnswer
from wheelgeo.design.joints import CLOSED_RING, Joint, joint_of
from wheelgeo.design.model import Design
from wheelgeo.design.rings import nearest_ring
from wheelgeo.tune.old_wheel import ALIKE, IfRound, OldWheelAnswer
from wheelgeo.units import FORCE_N
from wheelgeo.units.in_full import figures
from wheelgeo.units.quantity import INCHES
from wheelgeo.units.written import MM_PER_INCH, with_lengths

Said = Callable[[float], str]
RINGS_KNOWN = (
    "Rings are AS568 sizes as known here, most of them from memory: hold them against a maker's "
    "table before you buy."
)


def to_take(band: BandAnswer, design: Design, said: Said) -> str:
    """Say what to cut of a band's cord, or which ring to take."""
    if band.joint != CLOSED_RING:
        told = f"cut {shown(band.cut_with_joint_mm, said)}, joint included"
        return f"{told}{band.to_tie_by(said)}"
    if band.cut_length_mm is None or band.length_mm is None:
        return "take no ring: the band has no path"
    cord_mm = build(design).bands[band.name].bought_diameter_mm
    inside = said(band.cut_length_mm / math.pi - cord_mm)
    thick = bored_size((cord_mm,), design.unit)
    says = f"take a ring {inside} across, inside, {thick} thick as bought"
    near = nearest_ring(band.cut_length_mm, cord_mm)
    if near is None:
        return f"{says}; no standard ring known here comes near"
    stretch = 100.0 * (band.length_mm / near.slack_length_mm - 1.0)
    return (
        f"{says}; the nearest standard ring known here is -{near.name}, "
        f"{bored_size((near.inside_mm, near.section_mm), design.unit)}, stretched on by "
        f"{stretch:.1f} %"
    )


def bored_size(sizes_mm: Sequence[float], unit: str) -> str:
    """Return the size of a thing that is bought by it, in mm and inches, those of the file first.

    A 64th of an inch is too coarse for it.
    """
    inches = f"{' x '.join(f'{mm / MM_PER_INCH:.3f}' for mm in sizes_mm)} in"
    metric = f"{' x '.join(f'{mm:.2f}' for mm in sizes_mm)} mm"
    return f"{inches} ({metric})" if unit in INCHES else f"{metric} ({inches})"


def joint_in(design: Design, band: str) -> Joint:
    """Return how a band's ends are joined."""
    cord = design.band(band)
    return joint_of(cord.material, cord.joined)


def shown(mm: float | None, said: Said) -> str:
    """Write a length; "nothing" where there is none."""
    return "nothing" if mm is None else said(mm)


def what_endangers_the_fit(design: Design) -> str:
    """Say which part of a cut length's uncertainty matters."""
    usual = build(design).bands[design.bands[0].name].usual_stretch.value
    return (
        f"A band stretched on by anything from {100 * usual.low:g} to {100 * usual.high:g} % runs, "
        "so that the stretch's part does no harm: what measuring may be off is what slide or joint "
        "have to make good."
    )


def near_end_mm(band: BandAnswer) -> float | None:
    """Return what to cut, joint included, for the end of the slide next to the wheel; or None."""
    if band.slide is None or band.slide.path_at_from_mm is None:
        return None
    return band.cut_over_mm(band.slide.path_at_from_mm)


def of_the_wheel(found: OldWheelAnswer, said: Said) -> Iterator[str]:
    """Say what comes out beside the lengths: ratio, distance, grooves, how to lay and tie."""
    design, (band,) = found.answer.design, found.answer.bands
    yield f"Ratio: {ratios(found)}."
    if found.measured.apart_by_fit:
        apart, off = found.apart_mm
        sure = "" if off is None else f" ± {said(off)}"
        yield f"By the band that fits, axle and spindle are {said(apart)}{sure} apart."
    yield from not_used(found)
    if found.if_round is not None:
        yield if_round(found.if_round, band.joint == CLOSED_RING, said)
    if lay := laying(design):
        yield lay
    if (tight := tightness(found, said)) is not None:
        yield tight
    if band.slide is None:
        return
    where = "that band fits" if found.measured.apart_by_fit else "you measured"
    where = f"the spindle where {where}, taken as the middle of its slide."
    if band.joint == CLOSED_RING:
        yield f"All this is for {where}"
        return
    tie = f"Tie it with {where}"
    if (near := near_end_mm(band)) is not None:
        tie += (
            " To have the whole slide for growth, tie it with the spindle at the end next to the "
            f"wheel and cut {said(near)}{joint_in(design, band.name).to_tie_by(near, said)}."
        )
    yield tie


def not_used(found: OldWheelAnswer) -> Iterator[str]:
    """Say which depths of grooves change nothing, the girth of a thread having been told."""
    told = found.measured
    for girth, depth, what in ((told.girth, told.groove, "wheel"),
                               (told.whorl_girth, told.whorl_groove, "whorl")):  # fmt: skip
        if girth and depth:
            beside = " but for the distance of the rims' edges" if told.edge_to_edge else ""
            yield (
                f"The depth of the {what}'s groove ({depth.strip()}) is not used{beside}: the "
                "thread's girth tells already how deep the cord lies."
            )


def faults_of(found: OldWheelAnswer, said: Said) -> tuple[str, ...]:
    """Return the faults of the wheel as it was measured, each a sentence.

    Two ways to the distance of the axes that contradict each other are one of them.
    """
    faults = (f for f in found.answer.findings
              if f.level == "fault" or f.rule == "distances-disagree")  # fmt: skip
    says = (with_lengths(f.says, said) for f in faults)
    return tuple(f"{text[0].upper()}{text[1:]}." for text in says)


PUSH_N = {"in": FORCE_N.factors["lbf"], "mm": 0.5 * FORCE_N.factors["kgf"]}
"""What a thumb tries a run with, N: the weight of 1 lb or of 500 g; common practice, no source."""


PUSH_SAID = {"in": "1 lb", "mm": "500 g"}


def sag_mm(push_n: float, run_mm: float, pull_n: float) -> float:
    """Return how far a run gives that is pressed in its middle, mm, for a small push.

    Both halves lean by 2 s / L and hold the push between them: F = 2 T (2 s / L), s = F L / (4 T).
    """
    return push_n * run_mm / (4.0 * pull_n)


def tightness(found: OldWheelAnswer, said: Said) -> str | None:
    """Say how tight the band is when put on as told, and how a thumb tries it; None: no runs."""
    design, (band,) = found.answer.design, found.answer.bands
    pull_n, run_mm = _pull_and_run(found)
    if pull_n <= 0.0 or run_mm <= 0.0:
        return None
    modulus = build(design).bands[band.name].modulus.value
    least, most = (pull_n * end / modulus.value for end in (modulus.low, modulus.high))
    sag = said(sag_mm(PUSH_N[design.unit], run_mm, pull_n))
    return (
        f"How tight: stretched on by {100 * band.stretch:g} % each run pulls with about "
        f"{_pull(pull_n, design.unit)}, by the cord anything from {_pull(least, design.unit)} to "
        f"{_pull(most, design.unit)}; pressed in its middle as by a weight of "
        f"{PUSH_SAID[design.unit]}, a run of {said(run_mm)} then gives about {sag}. It need be no "
        "tighter than that it does not slip: slacken it until it just holds."
    )


def tight_in_short(found: OldWheelAnswer, said: Said) -> str | None:
    """Say the same in one line, for paper."""
    unit, (pull_n, run_mm) = found.answer.design.unit, _pull_and_run(found)
    if pull_n <= 0.0 or run_mm <= 0.0:
        return None
    sag = said(sag_mm(PUSH_N[unit], run_mm, pull_n))
    push = PUSH_SAID[unit]
    return f"a run pressed by {push} in its middle gives {sag}; slacken till it just holds"


def _pull_and_run(found: OldWheelAnswer) -> tuple[float, float]:
    """Return the pull of each run as put on, N, and the length of the longest run, mm."""
    (band,) = found.answer.bands
    made = build(found.answer.design).bands[band.name]
    return made.stiffness_n * band.stretch, max((r.length_mm for r in band.runs), default=0.0)


def _pull(newton: float, unit: str) -> str:
    """Return a pull in N, and in the weight that somebody knows."""
    name, own = ("lb", "lbf") if unit == "in" else ("kg", "kgf")
    weight = f"as {figures(newton / FORCE_N.factors[own])} {name} weigh"
    return f"{newton:.0f} N ({weight})" if newton >= 10.0 else f"{newton:.1f} N ({weight})"


def laying(design: Design) -> str:
    """Say how the cord lies, where it is more than once round; empty where that is plain."""
    band = design.bands[0]
    if band.crossed:
        return (
            "The band crosses once between wheel and whorl: lay it as a figure of eight before it "
            "is joined."
        )
    if len(band.route) == 2:
        return ""
    return (
        "The band goes twice round and is joined once: lay the cord first, from the wheel's one "
        "groove over the flyer's whorl to its other groove, over the bobbin's whorl and home."
    )


def ratios(found: OldWheelAnswer) -> str:
    """Say how often spindle, or flyer and bobbin, turn for one turn of the wheel."""
    answer = found.answer
    assert answer.ratio is not None
    half = "" if answer.ratio_uncertainty is None else f" ± {answer.ratio_uncertainty:.2f}"
    turns = {s.name: s.turns_per_drive_turn for s in answer.shafts}
    bobbin = turns.get("bobbin")
    if bobbin is None:
        return f"{answer.ratio:.2f}{half} turns of the spindle per turn of the wheel"
    more = abs(bobbin) - answer.ratio
    if abs(more) <= ALIKE * answer.ratio:
        return (
            f"{answer.ratio:.2f}{half} turns of the flyer and as many of the bobbin per turn of "
            "the wheel: nothing draws the yarn in"
        )
    faster = "bobbin" if more > 0.0 else "flyer"
    return (
        f"{answer.ratio:.2f}{half} turns of the flyer and {abs(bobbin):.2f} of the bobbin per turn "
        f"of the wheel; the {faster} gains {abs(more):.2f}, which is what draws the yarn in"
    )


def _grooves(found: IfRound) -> str:
    if len(found.grooves) > 1:
        return "the grooves of wheel and whorl"
    return f"the groove of the {found.grooves[0]}"


def _cut_or_take(found: IfRound, ring: bool, said: Said) -> str:
    length = shown(found.cut_with_joint_mm, said)
    return f"take a ring of {length} along its centre-line" if ring else f"cut {length}"


def if_round(found: IfRound, ring: bool, said: Said) -> str:
    """Say what comes out if the grooves that nobody looked into are round."""
    if found.length_mm is None or found.cut_with_joint_mm is None or found.ratio is None:
        return f"Look into {_grooves(found)}: {_if_other(found)}, no band fits."
    shape = "vee" if found.vees == found.grooves else "round"
    option = "--whorl-shape" if found.grooves == ("whorl",) else "--groove-shape"
    until = ""
    if found.ratio_low is not None and found.ratio_high is not None:
        until = (
            f" Until somebody has looked, the ratio may be anything from {found.ratio_low:.1f} to "
            f"{found.ratio_high:.1f}."
        )
    say = f"say {option} {shape}"
    if 0 < len(found.vees) < len(found.grooves):
        say = "say --groove-shape and --whorl-shape"
    return (
        f"All that is for {_taken(found)}. Look into {_grooves(found)}: {_if_other(found)}, "
        f"{_cut_or_take(found, ring, said)} (in place {said(found.length_mm)}), and the ratio is "
        f"{found.ratio:.2f}: {say}.{until}"
    )


_VEE, _BOTTOM = "the cord held between its sides", "a thread that lay on the bottom"


def _taken(found: IfRound) -> str:
    """Say what each groove was taken for that nobody has looked into."""
    if len(found.grooves) > 1 and not found.vees:
        return f"a vee, {_VEE}, at wheel and whorl"
    if len(found.grooves) > 1 and found.vees == found.grooves:
        return f"{_BOTTOM}, as in a round groove, at wheel and whorl"
    return ", and for ".join(
        f"{_BOTTOM} of the {groove}'s groove, as in a round one" if groove in found.vees
        else f"a vee as the {groove}'s groove, {_VEE}"
        for groove in found.grooves
    )


def _if_other(found: IfRound) -> str:
    """Say what the grooves may be that nobody has looked into."""
    vee = "a vee, the thread in its point and the cord above it on its sides"
    bottom = "round, or so worn that the cord lies on the bottom"
    if not found.vees:
        return f"if {bottom}"
    if len(found.vees) == len(found.grooves):
        return f"if {vee}"
    deep = next(groove for groove in found.grooves if groove not in found.vees)
    return f"if the {deep}'s, taken as a vee, is {bottom}, and the {found.vees[0]}'s is {vee}"


def if_round_in_short(found: IfRound, ring: bool, said: Said) -> str:
    """Say the same in one line, for paper."""
    if found.cut_with_joint_mm is None or found.ratio is None:
        return f"look into {_grooves(found)}: {_if_other(found)}, no band fits"
    vees = "taken as vees" if len(found.grooves) > 1 else "taken as a vee"
    taken, other = f"{vees}; look", "if the cord lies on a round bottom"
    if found.vees:
        taken, other = "look", _if_other(found)
    return (
        f"{taken} into {_grooves(found)}: {other}, "
        f"{_cut_or_take(found, ring, said)}, and the ratio is {found.ratio:.2f}"
    )


def cutting(band: BandAnswer, joint: Joint, said: Said) -> str:
    """Say how to cut and mark the cord for its joint."""
    assert band.cut_with_joint_mm is not None
    assert band.cut_length_mm is not None
    cut = f"Cut {said(band.cut_with_joint_mm)}, slack and straight"
    marks = marking(band, joint, said)
    if joint.spare_mm > 0.0:
        return f"{cut}, and {said(joint.spare_mm)} more at each end to tie by. {marks}"
    return f"{cut}. {marks}".rstrip()


def marking(band: BandAnswer, joint: Joint, said: Said) -> str:
    """Say where to mark the cord, so that the marks meet in the joint; empty where there are none.

    A knot draws in cord from both sides: the band's own length stands in the middle between marks.
    """
    if joint.spare_mm > 0.0 and band.cut_length_mm is not None:
        return (
            f"Mark the band's own length, {said(band.cut_length_mm)}, in the middle of it: the two "
            "marks meet in the joint."
        )
    if band.joint_mm > 0.0:
        return (
            f"Mark {said(0.5 * band.joint_mm)} at both ends: the marks come together in the joint."
        )
    return ""
