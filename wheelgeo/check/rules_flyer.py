"""Rules on flyer wheels: whether they take in yarn as fast as it is made, and leave it whole."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.check.adjustments import Adjustment, by_steps, larger_rim, smaller_rim
from wheelgeo.check.adjustments_running import eased_brakes
from wheelgeo.check.finding import Finding, advice, pull_in_words
from wheelgeo.check.pull_of_yarn import aimed_pull
from wheelgeo.check.remedies import mend
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.units.in_full import full, plain
from wheelgeo.yarn.fibre import FIBRES, FibreName, singles_strength_n
from wheelgeo.yarn.wheel_wind_on import (
    WheelWindOn,
    missing_for_wind_on,
    slipped_take_in_mm,
)
from wheelgeo.yarn.whorl_steps import whorl_pairs

WIND_ON = "yarn taken in = difference of bobbin and flyer x girth of the bobbin"
TENACITY = (
    "fibre tenacity: Morton & Hearle, Physical Properties of Textile Fibres, from memory; singles "
    "bear a third to a half of it"
)


def flyer_winds_on(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a flyer wheel winds nothing on, unwinds, or cannot keep up with its twist."""
    if wheel.design.spindle.kind != "flyer":
        return
    missing = missing_for_wind_on(wheel.solution)
    found = wheel.wind_on
    if found is None:
        yield Finding(
            "wind-on-unknown", "note", "bobbin", None, None, "",
            "how the flyer winds on cannot be computed: the file does not tell "
            f"{missing.partition(':')[0]}", WIND_ON, advice(missing.partition(": ")[2]),
        )  # fmt: skip
        return
    yield from _equal(wheel, found)
    yield from _too_slow(wheel, found)
    yield from _slipped(wheel, found)
    if found.empty.trouble == "bobbin must turn backwards":
        yield Finding(
            "bobbin-backwards", "fault", "bobbin", found.empty.bobbin_diameter_mm, None, "mm",
            "one turn of the flyer makes more yarn than one turn of the empty bobbin takes up: the "
            "brake would have to turn the bobbin backwards", WIND_ON,
            advice("take a thicker core for the bobbin, or ask for more twist"),
        )  # fmt: skip


def _equal(wheel: WheelUnderCheck, found: WheelWindOn) -> Iterator[Finding]:
    if found.empty.trouble != "equal speeds":
        return
    turns = found.empty.flyer_turns_per_drive_turn
    yield Finding(
        "equal-speeds", "fault", "flyer and bobbin", turns, turns, "turns per drive turn",
        f"flyer and bobbin both turn {plain(turns, 3)} times per turn of the drive: nothing is "
        "wound on", WIND_ON,
        mend(
            wheel, flyer_winds_on, other_bobbin_whorl(wheel),
            "give the bobbin a smaller whorl than the flyer, or a brake",
        ),
    )  # fmt: skip


def _too_slow(wheel: WheelUnderCheck, found: WheelWindOn) -> Iterator[Finding]:
    """Say where the wheel cannot take in as fast as the wanted twist asks, told at the worst."""
    worst = min((found.empty, found.full), key=lambda at: at.slip_share or 0.0)
    if worst.trouble != "takes in too slowly" or worst.least_turns_per_metre is None:
        return
    yarn = wheel.design.yarn
    wanted = None if yarn is None else wanted_turns_per_metre(yarn)
    assert wanted is not None  # without a wanted twist nothing is too slow for it
    which = "empty" if worst is found.empty else "full"
    yield Finding(
        "takes-in-too-slowly", "fault", "flyer and bobbin", wanted, worst.least_turns_per_metre,
        "turns/m",
        f"with the {which} bobbin the wheel takes in so slowly that no less than "
        f"{plain(worst.least_turns_per_metre, 0)} turns per metre come out; {plain(wanted, 0)} are "
        "wanted", WIND_ON,
        mend(
            wheel, flyer_winds_on, other_bobbin_whorl(wheel),
            "make the whorls of flyer and bobbin differ more, or ask for more twist",
        ),
    )  # fmt: skip


def _slipped(wheel: WheelUnderCheck, found: WheelWindOn) -> Iterator[Finding]:
    """Say where bands that slip differently leave too little of the lead, or turn it round."""
    take_in = slipped_take_in_mm(wheel.solution, found)
    yarn = wheel.design.yarn
    wanted = None if yarn is None else wanted_turns_per_metre(yarn)
    asked = 0.0 if wanted is None else 1000.0 / wanted
    if found.empty.trouble is not None or take_in is None or take_in >= asked:
        return
    other = "flyer" if found.leads == "bobbin" else "bobbin"
    says = f"leaves {full(take_in)} mm of yarn a turn of the flyer, and {full(asked)} mm are made"
    if take_in < 0.0:
        says = f"lets the {other} lead in place of the {found.leads}: yarn is wound off, not on"
    yield Finding(
        "slip-takes-lead", "fault", "flyer and bobbin", take_in, asked, "mm",
        f"the slip that the bands of flyer and bobbin have {says}, with the empty bobbin", WIND_ON,
        mend(
            wheel, flyer_winds_on, other_bobbin_whorl(wheel),
            "make the whorls of flyer and bobbin differ more, or pull the band that slips tighter",
        ),
    )  # fmt: skip


def other_bobbin_whorl(wheel: WheelUnderCheck) -> Iterator[Adjustment]:
    """Yield other sizes of the whorls on bobbin and flyer."""
    design = wheel.design
    for shaft, ways in (
        (design.spindle.bobbin or "", (smaller_rim, larger_rim)),
        (design.spindle.shaft, (larger_rim, smaller_rim)),
    ):
        for pulley in design.pulleys_on(shaft):
            for way in ways:
                yield from way(design, pulley.name)


def yarn_bears_n(wheel: WheelUnderCheck) -> tuple[float, float] | None:
    """Return the pull that the weakest and the strongest singles of the file bear, N, or None."""
    yarn = wheel.design.yarn
    if yarn is None or yarn.fibre not in FIBRES:
        return None
    fibre: FibreName = yarn.fibre  # type: ignore[assignment]
    return singles_strength_n(yarn.count, fibre)


def bears_in_words(wheel: WheelUnderCheck, least_n: float, most_n: float) -> str:
    """Return what the file's yarn bears, in words."""
    yarn = wheel.design.yarn
    assert yarn is not None
    return (
        f"a singles of {yarn.fibre}, {yarn.count.value:g} {yarn.count.system}, bears "
        f"{plain(least_n)} to {plain(most_n)} N"
    )


def yarn_bears_brake(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where the brake pulls the yarn harder than it bears: a fault at its most, else a warning.

    The pull is greatest on the empty bobbin, whose radius is least.
    """
    found, bears = wheel.wind_on, yarn_bears_n(wheel)
    pull = None if found is None else found.empty.yarn_pull_n
    if pull is None or bears is None or pull <= bears[0]:
        return
    breaks = pull > bears[1]
    yield Finding(
        "yarn-breaks", "fault" if breaks else "warning", "drag", pull, bears[breaks], "N",
        f"the brake pulls the yarn with {pull_in_words(pull)} on the empty bobbin; "
        f"{bears_in_words(wheel, *bears)}",
        TENACITY,
        mend(
            wheel, yarn_bears_brake,
            list(aimed_pull(wheel.design)) or list(eased_brakes(wheel.design)),
            f"ease the brake to {plain(bears[0] / pull * 100, 0)} % of its pull or less; it holds "
            "the yarn best where it just winds on",
        ),
    )  # fmt: skip


def brake_holds(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a brake is off: flyer and bobbin then turn as one, and nothing is wound on."""
    found = wheel.wind_on
    if found is None or found.empty.yarn_pull_n != 0.0:
        return
    held = "bobbin" if found.by == "bobbin brake" else "flyer"
    other = "flyer" if held == "bobbin" else "bobbin"
    yield Finding(
        "brake-off", "fault", "drag", 0.0, None, "N",
        f"the brake does not pull: the {held} turns with the {other}, and nothing is wound on",
        WIND_ON, advice("tighten the brake until it just winds on, and write its pull"),
    )  # fmt: skip


def lead_changes(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where another step of the whorls would turn the lead: what is wound then unwinds."""
    found = wheel.wind_on
    if found is None or found.leads == "neither":
        return
    for pair in whorl_pairs(wheel.solution):
        if pair.leads == found.leads:
            continue
        then = "nothing is wound on" if pair.leads == "neither" else f"the {pair.leads} leads"
        yield Finding(
            "lead-changes", "warning", f"{pair.flyer_whorl} with {pair.bobbin_whorl}",
            pair.bobbin_turns_per_drive_turn, pair.flyer_turns_per_drive_turn,
            "turns per drive turn",
            f'with the band on "{pair.flyer_whorl}" and "{pair.bobbin_whorl}" {then}, where now '
            f"the {found.leads} does: yarn wound on before unwinds",
            WIND_ON, advice("do not use these two steps together, or start a new bobbin on them"),
        )  # fmt: skip


def twist_grows(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where a filling bobbin that draws its flyer on puts too much more twist in."""
    found, bobbin, most = wheel.wind_on, wheel.design.bobbin, wheel.limit("twist_error_fraction")
    if found is None or bobbin is None or found.twist_growth <= most:
        return
    empty, full = found.empty.turns_per_metre or 0.0, found.full.turns_per_metre or 0.0
    where, core = ("bobbin", "", "empty"), bobbin.empty_mm
    thicker = by_steps(wheel.design, where, core, 1.0, bobbin.full_mm - core - 1.0, 1.0)
    yield Finding(
        "twist-grows", "warning", "bobbin", full, empty * (1.0 + most), "turns/m",
        f"the bobbin draws the flyer on: as many turns of the drive to a metre as make "
        f"{plain(empty, 0)} turns per metre on the empty bobbin make {plain(full, 1)} on the full "
        f"one, {plain(100.0 * found.twist_growth, 1)} % more",
        WIND_ON,
        mend(
            wheel, twist_grows, [thicker],
            "take a bobbin with a thicker core, or draft faster as it fills",
        ),
    )  # fmt: skip
