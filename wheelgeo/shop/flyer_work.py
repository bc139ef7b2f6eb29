"""What is to be done to a flyer, its bobbin and their brake, in words and sizes.

Places come from the plan of the flyer as built; all else is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.built.as_built import build
from wheelgeo.built.flyer import (
    BAR_PIN_MM,
    BRAKE_CORD_MM,
    BRAKE_LIP_MM,
    BRAKE_MM,
    EYE_MM,
    HOOK_MM,
    HOOK_WIRE_MM,
    ORIFICE_SHARE,
    FlyerPlan,
)
from wheelgeo.design.model import Design
from wheelgeo.design.other_parts import DragBrake
from wheelgeo.drive.running import load_wheel
from wheelgeo.drive.train import Solution
from wheelgeo.shop.brake_places import EDGE_MM, PEG_MM, brake_places
from wheelgeo.units.in_full import figures
from wheelgeo.yarn.head_at_work import flyer_at_work
from wheelgeo.yarn.wheel_wind_on import wheel_wind_on

PEG_OVER_MM = 20.0
"""What a brake's peg stands over the mother-of-all: below the arms of the flyer."""
CORD_OVER_MM = 250.0
"""What a brake's cord is longer than its way over the groove and down on both sides."""
HOOK_WIRE_LONG_MM = 30.0


def orifice_note(design: Design) -> str:
    """Return how the flyer's rod is bored for the yarn; empty of a spindle with a tip."""
    made = build(design).spindle
    plan = made.flyer_plan
    if plan is None:
        return ""
    hole, deep = ORIFICE_SHARE * made.diameter_mm, made.ends_mm[1] - plan.eye
    return (
        f"orifice: bore the front end {figures(hole, 3)} mm, {deep:.4g} mm deep, and smooth its "
        f"mouth; with the bar on, drill the eye, {figures(hole, 3)} mm, square through one long "
        f"edge of the bar into it, {EYE_MM:g} mm behind the bar's front face, and round its edge"
    )


def flyer_steps(design: Design) -> Iterator[str]:
    """Yield what is done to a flyer before anything is put together."""
    made = build(design).spindle
    plan = made.flyer_plan
    if plan is None:
        return
    yield (
        f"Glue the bar of the flyer on its rod and pin it {BAR_PIN_MM:g} mm from its hind face, "
        "behind the orifice; then bore orifice and eye as the table of rods says: a thread drawn "
        "through must catch nowhere. Glue the arms in the bar."
    )
    first, gap = plan.hooks[0] - plan.yarn_from, plan.hooks[1] - plan.hooks[0]
    yield (
        f"Set {len(plan.hooks)} hooks in each arm, in holes of {HOOK_WIRE_MM:g} mm drilled square "
        f"through it, the first {figures(first, 3)} mm from the arm's free end, then every "
        f"{figures(gap, 3)} mm; "
        f"bend each {HOOK_MM:g} mm high, those of the two arms pointing opposite ways round, and "
        "glue them with epoxy. Balance it like the other rods: what comes down has too much wood "
        "on the bar, or hooks too long."
    )
    yield from (_groove_step(plan, d) for d in design.drags if _grooved(plan, d))
    if made.bearings and all(b.split for b in made.bearings):
        own = ", ".join(f'"{p.name}"' for p in made.carries)
        whorl = f"; then whorl {own}, by its mark, fastened without glue" if own else ""
        yield (
            "On the bench, slide on the flyer's rod from behind: the bobbin, which turns freely "
            f"there{whorl}; last the hind bush. To change the bobbin later, take the caps off the "
            "maidens, lift the flyer out and draw this off again."
        )


def brake_steps(design: Design) -> Iterator[str]:
    """Yield how each brake of a flyer wheel is fitted when all stands."""
    plan = build(design).spindle.flyer_plan
    if plan is None:
        return
    places = {place.drag.shaft: place for place in brake_places(design)}
    for drag in design.drags:
        what = "bobbin" if drag.shaft == plan.bobbin else "flyer"
        held = " The spring or rubber ring goes into its " + (
            "tight" if drag.spring == "tight" else "slack") + " end."
        pull = "" if not drag.pull_n else (
            f" Turn the peg until a spring balance, pulled by a thread round the groove, shows "
            f"{figures(drag.pull_n, 3)} N when the {what} just turns."
        )
        here = places.get(drag.shaft)
        where = (
            f"in what the {what} stands on, straight under its groove, a small hook on one side of "
            f"the axis and a hole of {PEG_MM:g} mm for the peg on the other"
        ) if here is None else (
            f"in {here.board}, straight under its groove, the hole of {PEG_MM:g} mm for the peg as "
            f"drawn, and opposite, {EDGE_MM:g} mm in from the other long edge, a small hook"
        )
        yield (
            f"The brake of the {what}: {where}; lay the cord from the hook up over the groove and "
            f"down to the peg.{held}{pull}"
        )


def pull_steps(solution: Solution) -> Iterator[str]:
    """Yield how the band is set whose whorl must slip for the yarn to be drawn in."""
    loaded = load_wheel(solution.design, solution)
    work = flyer_at_work(loaded, wheel_wind_on(solution))
    if work is None or work.empty.slips is None:
        return
    shaft = loaded.load.whorl_slips or solution.design.spindle.bobbin or ""
    yield (
        f'Tie a yarn to the bare bobbin, lead it over a hook and out of the orifice, turn the '
        f"wheel slowly and hold the yarn back with a spring balance. Tighten or slacken "
        f'"{solution.shaft(shaft).driven_by}" until it shows about '
        f"{figures(work.empty.yarn_pull_n)} N: "
        f"the {work.empty.slips}'s whorl then slips all the time, as it must; on the full bobbin "
        f"the same band pulls with {figures(work.full.yarn_pull_n)} N."
    )


def brake_rows(design: Design) -> Iterator[tuple[str, str, float, float, str]]:
    """Yield what to buy for flyer and brakes: what, how many, diameter and length in mm, for."""
    plan = build(design).spindle.flyer_plan
    if plan is None:
        return
    yield "wire for hooks", f"{2 * len(plan.hooks)}", HOOK_WIRE_MM, HOOK_WIRE_LONG_MM, "flyer"
    thick = {place.drag.shaft: place.thick_mm for place in brake_places(design)}
    for drag in design.drags:
        what = f"brake of {drag.shaft}"
        peg = math.ceil(thick.get(drag.shaft, 40.0) + PEG_OVER_MM)
        over = 0.5 * math.pi * drag.diameter_mm + 2.0 * _down_mm(design) + CORD_OVER_MM
        yield drag.material, "1", BRAKE_CORD_MM, over, what
        yield "hardwood peg, tapered 1 in 20", "1", PEG_MM, float(peg), what
        yield "small hook and a soft spring or rubber ring", "1 each", BRAKE_CORD_MM, 20.0, what


def _grooved(plan: FlyerPlan, drag: DragBrake) -> bool:
    return bool(plan.bobbin_brake if drag.shaft == plan.bobbin else plan.flyer_brake)


def _groove_step(plan: FlyerPlan, drag: DragBrake) -> str:
    where = "at the hind end of the bobbin" if drag.shaft == plan.bobbin else (
        "in the disc that is glued on the flyer's rod before its bar"
    )
    return (
        f"Turn the brake's groove {where}: {drag.diameter_mm:g} mm at its bottom, "
        f"{BRAKE_MM - 2.0 * BRAKE_LIP_MM:g} mm wide between two lips of {BRAKE_LIP_MM:g} mm, its "
        "bottom bare of finish."
    )


def _down_mm(design: Design) -> float:
    """Return the way from the flyer's axis down to what it stands on, mm."""
    from wheelgeo.built.bodies import bodies
    from wheelgeo.built.body import BoardShape

    built = build(design)
    for body in bodies(built):
        if body.kind in ("maiden", "support") and body.part == built.spindle.name:
            assert isinstance(body.shape, BoardShape)
            return -min(y for _, y in body.shape.outline)
    return 0.0
