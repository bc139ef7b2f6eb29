"""The quick rules: on shapes, places and speeds alone, without what the others take to load."""

from __future__ import annotations

from wheelgeo.check import (
    rules_bands,
    rules_crossed,
    rules_drive,
    rules_flyer,
    rules_hand,
    rules_measured,
    rules_parts,
    rules_space,
    rules_treadle,
)
from wheelgeo.check.wheel_under_check import Find
from wheelgeo.design.model import Design
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class Rule:
    """One line of the table.

    Attributes:
        asks: the question that the rule answers, for people.
        find: the function that yields its findings.
        notes_only: it yields notes and nothing graver, so that no change can be unsound by it.
        of_spindle: it hangs on the spindle and its speed alone, and is slow to ask.
        of_building: it hangs on rods, bearings, wood or the driver, of which an old wheel's file
            knows nothing.
    """

    asks: str
    find: Find
    notes_only: bool = False
    of_spindle: bool = False
    of_building: bool = False

    def asked_of(self, design: Design) -> bool:
        """Tell whether the rule is asked of a wheel; of an old one, none that is of building."""
        return not (self.of_building and design.shop.old_wheel)


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
    Rule("Does the twist stay as the bobbin fills?", rules_flyer.twist_grows),
    Rule("Does every cord get into its groove?", rules_bands.cord_seats),
    Rule("Does the groove catch the band in spinning?", rules_bands.mouth_spinning),
    Rule("And turned back, in backing off or plying?", rules_bands.mouth_backing_off),
    Rule("Does it arrive as practice wants?", rules_bands.arriving_practice),
    Rule("Does it leave as practice wants?", rules_bands.leaving_practice),
    Rule("Does the band touch enough of each pulley?", rules_bands.wrap_small),
    Rule("Is the cord thin enough for the pulley?", rules_bands.cord_bends),
    Rule("Does stretching thin a cord?", rules_bands.cord_thins),
    Rule("Is every groove known?", rules_bands.groove_unknown),
    Rule("Is enough left of every pulley?", rules_parts.thin_wall, of_building=True),
    Rule("Do parts collide?", rules_space.parts_collide),
    Rule("Do pulleys on one axis overlap?", rules_space.grooves_overlap),
    Rule("Does a run hit a part?", rules_space.runs_hit_parts),
    Rule("Do runs of two bands touch?", rules_space.runs_touch),
    Rule("Do the runs of one band rub?", rules_crossed.crossed_runs_rub),
    Rule("Does everything fit the case?", rules_space.outside_case),
    Rule("Can a person keep that speed?", rules_hand.cadence),
    Rule("Has the hand room?", rules_hand.hand_room),
    Rule("Does the treadle let its crank turn?", rules_treadle.treadle_turns),
    Rule("Does the treadle suit a foot?", rules_treadle.treadle_suits_foot),
)
"""The rules on shapes, places and speeds."""
FILE_RULES: tuple[Rule, ...] = (
    Rule("Does what was measured agree?", rules_measured.measurements_together),
)
"""The rules on what the file says of a wheel that exists: no change of the wheel is asked them."""
