"""Every rule there is: one rule, one small function, one line.

To add a rule, write a function that takes a ``WheelUnderCheck`` and yields findings, and put it
here. The *quick* ones look at shapes, places and speeds alone; those on *mechanics* take pulls, the
start and the spindle's vibration, which a command that asks for speeds alone should not wait for.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelgeo.check import (
    rules_bands,
    rules_bodies,
    rules_built,
    rules_drive,
    rules_effort,
    rules_flyer,
    rules_hand,
    rules_parts,
    rules_running,
    rules_space,
    rules_spinning,
    rules_treadle,
)
from wheelgeo.check.wheel_under_check import Find


@dataclass(frozen=True, slots=True)
class Rule:
    """One line of the table.

    Attributes:
        asks: the question that the rule answers, for people.
        find: the function that yields its findings.
    """

    asks: str
    find: Find


QUICK_RULES: tuple[Rule, ...] = (
    Rule("Is the spindle driven?", rules_drive.spindle_reached),
    Rule("Does every shaft turn?", rules_drive.undriven_shafts),
    Rule("Do two bands fight over a shaft?", rules_drive.bands_fight),
    Rule("Has every band a path?", rules_drive.no_path),
    Rule("Is a route written backwards?", rules_drive.route_backwards),
    Rule("Is a run the only one possible?", rules_drive.several_runs),
    Rule("Does the twist come out as wanted?", rules_drive.wrong_twist),
    Rule("Does the file say enough of the yarn?", rules_drive.no_yarn),
    Rule("Is the twist one that yarn bears?", rules_drive.twist_unusual),
    Rule("Do enough fibres hold the yarn together?", rules_drive.too_few_fibres),
    Rule("Is the fineness of its fibres known?", rules_drive.fineness_unknown),
    Rule("Does the twist suit what the yarn is for?", rules_drive.twist_for_use),
    Rule("Does the flyer wind on?", rules_flyer.flyer_winds_on),
    Rule("Does the brake pull at all?", rules_flyer.brake_holds),
    Rule("Does another step of the whorls turn the lead?", rules_flyer.lead_changes),
    Rule("Does the yarn bear its brake?", rules_flyer.yarn_bears_brake),
    Rule("Does every cord get into its groove?", rules_bands.cord_seats),
    Rule("Does the groove catch the band in spinning?", rules_bands.mouth_spinning),
    Rule("And in backing off?", rules_bands.mouth_backing_off),
    Rule("Does it arrive as practice wants?", rules_bands.arriving_practice),
    Rule("Does it leave as practice wants?", rules_bands.leaving_practice),
    Rule("Does the band touch enough of each pulley?", rules_bands.wrap_small),
    Rule("Is the cord thin enough for the pulley?", rules_bands.cord_bends),
    Rule("Is every groove known?", rules_bands.groove_unknown),
    Rule("Is enough left of every pulley?", rules_parts.thin_wall),
    Rule("Do parts collide?", rules_space.parts_collide),
    Rule("Do pulleys on one axis overlap?", rules_space.grooves_overlap),
    Rule("Does a run hit a part?", rules_space.runs_hit_parts),
    Rule("Do runs of two bands touch?", rules_space.runs_touch),
    Rule("Do the runs of one band rub?", rules_space.crossed_runs_rub),
    Rule("Does everything fit the case?", rules_space.outside_case),
    Rule("Has the hand room?", rules_hand.hand_room),
    Rule("Does the treadle let its crank turn?", rules_treadle.treadle_turns),
    Rule("Does the treadle suit a foot?", rules_treadle.treadle_suits_foot),
)
"""The rules on shapes, places and speeds."""

MECHANICS_RULES: tuple[Rule, ...] = (
    Rule("Is the pull of every band known?", rules_running.pull_unknown),
    Rule("Is a cord stretched too far?", rules_running.stretch_unusual),
    Rule("Does a cord come near to breaking?", rules_running.cord_strained),
    Rule("Does a band slip at speed?", rules_running.slip),
    Rule("Would it, with the softest cord?", rules_running.slip_doubtful),
    Rule("Does the wheel come up to speed?", rules_running.start_fails),
    Rule("Can a person keep it up?", rules_effort.effort_large),
    Rule("Could it, with the stiffest cords?", rules_effort.effort_doubtful),
    Rule("Is it carried over its dead points?", rules_treadle.carries_over),
    Rule("Does a treadle wheel turn evenly?", rules_effort.treadle_uneven),
    Rule("Are the spindle's bearings known?", rules_spinning.spindle_bearings),
    Rule("Does the spindle shake?", rules_spinning.whirl),
    Rule("Might it, with other bearings?", rules_spinning.whirl_doubtful),
    Rule("Does it pass a speed at which it shakes?", rules_spinning.whirl_passed),
    Rule("How true must the bores be?", rules_spinning.unbalance),
    Rule("Can a rim burst?", rules_spinning.bursting),
    Rule("Does the wood move too far?", rules_parts.wood_moves),
    Rule("Can it be put together?", rules_parts.put_together),
)
"""The rules on a wheel under a hand; they need a spindle that is driven."""

BUILT_RULES: tuple[Rule, ...] = (
    Rule("Does everything stand on its rod?", rules_built.beyond_rod),
    Rule("Is every shaft held well?", rules_built.held_well),
    Rule("Do bodies of the wheel as built collide?", rules_bodies.bodies_collide),
    Rule("Does the lid close?", rules_bodies.lid_closes),
    Rule("Is the tip clear, at the spinner's side?", rules_built.tip_clear),
    Rule("Can every band be taken up?", rules_built.no_take_up),
    Rule("Does the right hand turn it?", rules_built.other_hand),
    Rule("What comes off for packing?", rules_built.packing),
)
"""The rules on the wheel as it stands, with everything that holds and surrounds it; for a check."""

RULES: tuple[Rule, ...] = (*QUICK_RULES, *BUILT_RULES, *MECHANICS_RULES)
"""Every rule, in the order in which findings are listed within a level."""
