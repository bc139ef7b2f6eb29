"""Every rule there is: one rule, one small function, one line.

To add a rule, write a function that takes a ``WheelUnderCheck`` and yields findings, and put it
here. The *quick* ones, on a page of their own, look at shapes, places and speeds alone; those on
*mechanics* take pulls, the start and the spindle's vibration, which a command that asks for speeds
alone should not wait for.
"""

from __future__ import annotations

from wheelgeo.check import (
    rules_bodies,
    rules_built,
    rules_effort,
    rules_flyer_work,
    rules_parts,
    rules_running,
    rules_spinning,
    rules_stand,
    rules_start,
    rules_take_up,
    rules_treadle,
)
from wheelgeo.check.quick_rules import FILE_RULES, QUICK_RULES, Rule

MECHANICS_RULES: tuple[Rule, ...] = (
    Rule("Is the pull of every band known?", rules_running.pull_unknown),
    Rule("Is a cord stretched too far?", rules_running.stretch_unusual),
    Rule("Does a cord come near to breaking?", rules_running.cord_strained),
    Rule("Does a band slip at speed?", rules_running.slip),
    Rule("Would it, with the softest cord?", rules_running.slip_doubtful, notes_only=True),
    Rule("Does the wheel come up to speed?", rules_start.start_fails, of_building=True),
    Rule("Can a person keep it up?", rules_effort.effort_large, of_building=True),
    Rule(
        "Could it, with the stiffest cords?",
        rules_effort.effort_doubtful,
        notes_only=True,
        of_building=True,
    ),
    Rule("Is it carried over its dead points?", rules_treadle.carries_over, of_building=True),
    Rule("Does a treadle wheel turn evenly?", rules_effort.treadle_uneven, of_building=True),
    Rule(
        "Are the spindle's bearings known?",
        rules_spinning.spindle_bearings,
        of_spindle=True,
        of_building=True,
    ),
    Rule("Can it sound as was heard?", rules_spinning.tap_unlikely, of_spindle=True),
    Rule("Does the spindle shake?", rules_spinning.whirl, of_spindle=True, of_building=True),
    Rule(
        "Might it, with other bearings?",
        rules_spinning.whirl_doubtful,
        notes_only=True,
        of_building=True,
    ),
    Rule("Does the brake let go before the band?", rules_flyer_work.brake_locks),
    Rule(
        "What does the brake pull, turned back to ply?",
        rules_flyer_work.brake_turned_back,
        notes_only=True,
    ),
    Rule("What would unscrew, turned back to ply?", rules_flyer_work.screws_turned_back),
    Rule("Does the whorl slip before the yarn breaks?", rules_flyer_work.slips_too_hard),
    Rule("Does it pull too hard to draft?", rules_flyer_work.hard_to_draft),
    Rule("Is the work lost in slip?", rules_flyer_work.lead_wasted, notes_only=True),
    Rule("Does the flyer turn as its ratio says?", rules_flyer_work.flyer_slips),
    Rule("Is the full bobbin still drawn in?", rules_flyer_work.draws_in_weakly),
    Rule(
        "Does it pass a speed at which it shakes?",
        rules_spinning.whirl_passed,
        notes_only=True,
        of_building=True,
    ),
    Rule("How true must the bores be?", rules_spinning.unbalance, of_building=True),
    Rule(
        "Does an untrue cop shake it?",
        rules_spinning.cop_unbalance,
        of_spindle=True,
        of_building=True,
    ),
    Rule("Can a rim burst?", rules_spinning.bursting, of_building=True),
    Rule("Is every pulley held on its rod?", rules_parts.held_on_rod, of_building=True),
    Rule("Does the wood move too far?", rules_parts.wood_moves, notes_only=True, of_building=True),
    Rule("Can it be put together?", rules_parts.put_together, of_building=True),
)
"""The rules on a wheel under a hand; they need a spindle that is driven."""

BUILT_RULES: tuple[Rule, ...] = (
    Rule("Does everything stand on its rod?", rules_built.beyond_rod, of_building=True),
    Rule("Is every shaft held well?", rules_built.held_well, of_building=True),
    Rule("Does something carry every upright rod?", rules_built.rod_sinks, of_building=True),
    Rule("Do bodies of the wheel as built collide?", rules_bodies.bodies_collide, of_building=True),
    Rule("Does the lid close?", rules_bodies.lid_closes, of_building=True),
    Rule("Is the tip clear, at the spinner's side?", rules_built.tip_clear, of_building=True),
    Rule("Is it an old wheel?", rules_built.not_judged, notes_only=True),
    Rule("Can every band be taken up?", rules_take_up.no_take_up),
    Rule("Does the right hand turn it?", rules_built.other_hand, of_building=True),
    Rule("What comes off for packing?", rules_built.packing, of_building=True),
    Rule("Are its posts joined by a table?", rules_stand.posts_joined, of_building=True),
    Rule("Does the stand stand firm?", rules_stand.stands_firm, of_building=True),
    Rule("Does hand or foot pull it over?", rules_stand.pulled_over, of_building=True),
    Rule(
        "Does the hand tip its case over?",
        rules_stand.case_tipped,
        notes_only=True,
        of_building=True,
    ),
)
"""The rules on the wheel as it stands, with everything that holds and surrounds it; for a check."""

__all__ = ["BUILT_RULES", "MECHANICS_RULES", "QUICK_RULES", "RULES", "Rule"]

RULES: tuple[Rule, ...] = (*QUICK_RULES, *FILE_RULES, *BUILT_RULES, *MECHANICS_RULES)
"""Every rule, in the order in which findings are listed within a level."""
