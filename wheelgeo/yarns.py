"""Yarn without a wheel: its facts, hanks and reels, cloth, and spindles turned by the fingers."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from wheelgeo.door import door
from wheelgeo.errors import DesignError, QuantityError
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.built.assumed import Assumption
    from wheelgeo.check.answer_yarn import YarnAnswer
    from wheelgeo.design.file_kinds import Count
    from wheelgeo.wheel import Wheel
    from wheelgeo.yarn.hand_spindle_file import HandSpindleAnswer
    from wheelgeo.yarn.hank import ReelParts
    from wheelgeo.yarn.weighed_hank import WeighedAnswer

TURNS = 200
"""Turns of a reel to a bunch."""
LANES_MM = 30.0
"""Width over which a bunch is laid on the reel; common practice, no source."""
PEG_MM = 12.0
ARMS = 4
SCALE_G = 0.05
"""Standard uncertainty of a kitchen scale of 0.1 g; common practice, no source."""


class _Answer:
    """What a command prints with ``--json``."""

    def to_json(self) -> dict[str, Any]:
        """Return the answer as JSON."""
        from wheelgeo.as_json import to_json

        document: dict[str, Any] = to_json(self)
        return document


@dataclass(frozen=True)
class HankAnswer(_Answer):
    """A hank on the reel.

    Attributes:
        turns: of the reel.
        round_mm: way once about the bare reel.
        length_m: yarn really wound, each layer over the one below; None without a count.
        nominal_m: turns times the way about.
        layers: how many lie over one another; None without a count.
        mass_g: its mass; None without a count.
        reel: what the reel is cut to.
        weighed: the count from its weight; None where it was not weighed.
        on_wheel: the reel on a shaft of a wheel; None where no wheel is given.
        plies: strands of the yarn.
        expected_nm: metric count that was written, of all strands; None where none was.
        counts_plying: in that is what plying takes up or gives; False where no twist is known.
    """

    turns: int
    round_mm: float
    length_m: float | None
    nominal_m: float
    layers: int | None
    mass_g: float | None
    reel: ReelParts
    weighed: WeighedAnswer | None
    on_wheel: ReelOnWheel | None = None
    plies: int = 1
    expected_nm: float | None = None
    counts_plying: bool = False

    def arm_dxf(self) -> bytes:
        """Return an arm of the reel as a cut file, in millimetres; its notes tell the rest."""
        from wheelgeo.shop.dxf import dxf_bytes
        from wheelgeo.shop.part_files import part_sheet
        from wheelgeo.shop.reel import reel_arm

        return dxf_bytes(part_sheet("reel arm", [reel_arm(self.reel)]))


@dataclass(frozen=True)
class ReelOnWheel:
    """A reel that sits on a shaft of a wheel.

    Attributes:
        shaft: the shaft.
        drive_turns: turns of the hand for all turns of the reel.
        reel_rpm: how fast it turns at the hand speed of the file.
        wound_by: 1 where the reel turns as the drive does, -1 where it turns the other way.
    """

    shaft: str
    drive_turns: float
    reel_rpm: float
    wound_by: int


@dataclass(frozen=True)
class ClothAnswer(_Answer):
    """Yarn for a piece of cloth.

    Attributes:
        warp_m: warp, waste counted.
        weft_m: weft.
        together_m: both.
        metric_hanks: both, in hanks of 1 000 m, begun ones whole.
        grams: mass of both.
        grams_per_m2: mass of a square metre of cloth.
        closest_sett_per_inch: closest plain sett of the warp (Ashenhurst).
        too_close: ends and picks are both more than that of their own yarn: it cannot be woven
            in plain weave.
        warp_nm: metric count of the warp, of all its strands.
        weft_nm: of the weft.
        counts_plying: in both is what plying takes up or gives; False where no twist is known.
        hours: time to spin it, and to ply what is plied, on the wheel, at the twist factor of the
            wheel's own yarn; None without a wheel.
        drive_turns: turns of the hand for that; None likewise.
        assumed: what all of it rests on, beside what was said.
        fibre: what the warp is of, by which its closest sett goes.
    """

    warp_m: float
    weft_m: float
    together_m: float
    metric_hanks: int
    grams: float
    grams_per_m2: float
    closest_sett_per_inch: float
    too_close: bool
    warp_nm: float
    weft_nm: float
    counts_plying: bool
    hours: float | None
    drive_turns: float | None
    assumed: tuple[Assumption, ...] = ()
    fibre: str = "cotton"


@door(QuantityError)
def yarn_facts(
    count: str,
    *,
    fibre: str = "cotton",
    twist: Literal["S", "Z"] = "Z",
    turns_per_metre: float | str | None = None,
    fineness: str | None = None,
    method: str = "hand",
) -> YarnAnswer:
    """Return what is to be known of a yarn.

    Args:
        count: its count, such as "40 Nm" or "2/28 Nm".
        fibre: cotton, wool, flax, hemp or silk.
        twist: S or Z.
        turns_per_metre: its twist, or text such as "20 tpi"; left out, that is not told of which
            it decides.
        fineness: of its fibres, such as "21 um" or "4.2 micronaire".
        method: how it is spun: hand, combed ring, carded ring or rotor.

    Raises:
        QuantityError: something of it cannot be read.
    """
    from wheelgeo.check.answer_yarn import yarn_facts as facts_of
    from wheelgeo.design.counts import checked_positive
    from wheelgeo.design.file_kinds import FinenessKind, read_count
    from wheelgeo.design.model import Yarn
    from wheelgeo.units import TWIST_PER_M, parse_quantity
    from wheelgeo.units.kind import RefusedError
    from wheelgeo.yarn.fibre import FIBRES, LEAST_FIBRES
    from wheelgeo.yarn.words import one_of

    one_of(fibre, tuple(FIBRES), "fibre")
    one_of(twist, ("S", "Z"), "direction of twist")
    one_of(method, tuple(LEAST_FIBRES), "way of spinning")
    turns = None
    if turns_per_metre is not None:
        turns = parse_quantity(turns_per_metre, TWIST_PER_M, TWIST_PER_M.unit)
        checked_positive(turns, "the twist in turns per metre")
    try:
        fine = None if fineness is None else FinenessKind().read(fineness, "mm")
    except RefusedError as error:
        raise QuantityError(f"{error.says}: {error.remedy}") from error
    yarn = Yarn(
        read_count(count), fibre, twist, turns, fineness=fine, method=method  # type: ignore[arg-type]
    )
    return facts_of(yarn)


MOST_SETT = 1000.0
"""Threads per cm of a finer cloth than any: 10 micrometres from one to the next."""
MOST_M = 1e6
"""A longer warp is a slip of the pen."""


def _at_most(value: float, most: float, what: str) -> None:
    if value > most:
        raise QuantityError(f"{what} is {value:g}; it must be {most:g} or less")


@door(QuantityError)
def hank(
    count: str | None = None,
    *,
    turns: int = TURNS,
    round_mm: float = 1000.0,
    lanes_mm: float = LANES_MM,
    arms: int = ARMS,
    peg_mm: float = PEG_MM,
    weighed_g: float | str | None = None,
    weighed_off_g: float | None = None,
    regain_now: float | None = None,
    fibre: str = "cotton",
    standard: str = "ASTM D1909",
    wheel: Wheel | None = None,
    shaft: str | None = None,
) -> HankAnswer:
    """Return a hank as it is wound, the reel for it, and the count that its weight gives.

    Args:
        count: the yarn's count; None where the weight is to tell it.
        turns: turns of the reel.
        round_mm: way once about the bare reel.
        lanes_mm: width over which the yarn is laid.
        arms: arms of the reel.
        peg_mm: diameter of its pegs.
        weighed_g: mass of the hank, or text such as "2 1/4 oz" or "5.1 +- 0.1 g".
        weighed_off_g: its standard uncertainty; None: what the text says after +-, else what its
            last digit leaves open; of a bare number that of a scale of 0.1 g.
        regain_now: water in it over its dry mass when weighed; None: at the commercial regain.
        fibre: its fibre, for the regain.
        standard: of the commercial regain.
        wheel: the wheel on which the reel sits; None: it is turned by itself.
        shaft: the shaft that it sits on; None: the first between drive and spindle, or the drive's.

    Raises:
        QuantityError: something of it cannot be.
    """
    from wheelgeo.design.counts import diameter_mm, metric_count
    from wheelgeo.design.file_kinds import read_count
    from wheelgeo.yarn.hank import reel_parts, windings
    from wheelgeo.yarn.winders import yarn_mass_g

    reel = reel_parts(arms, peg_mm, lanes_mm, round_mm)
    written = None if count is None else read_count(count)
    yarn, counts_plying = (None, False) if written is None else _all_strands(written, wheel)
    expected = None if yarn is None else metric_count(yarn)
    weighed = None
    if weighed_g is not None:
        from wheelgeo.yarn.weighed_hank import Weighing, read_weighing, weighed_hank

        weighing = read_weighing(weighed_g, SCALE_G)
        if weighed_off_g is not None:
            weighing = Weighing(weighing.mass_g, weighed_off_g, "as given")
        weighed, yarn = weighed_hank(
            weighing, turns, round_mm, lanes_mm, regain_now, fibre, standard
        )
    wound = None if yarn is None else windings(turns, yarn, lanes_mm, round_mm)
    if wound is not None and yarn is not None:
        _build_up_fits(wound.layers * diameter_mm(yarn), reel)
    return HankAnswer(
        turns, round_mm,
        None if wound is None else wound.length_m,
        turns * round_mm / 1000.0,
        None if wound is None else wound.layers,
        None if wound is None or yarn is None else yarn_mass_g(wound.length_m, yarn),
        reel, weighed,
        None if wheel is None else _on_wheel(wheel, shaft, turns),
        1 if written is None else written.plies, expected, counts_plying,
    )  # fmt: skip


def _all_strands(count: Count, wheel: Any) -> tuple[Count, bool]:
    from wheelgeo.yarn.strands import all_strands

    return all_strands(count) if wheel is None else all_strands(
        count, wheel.design.yarn, wheel.design.fibres
    )  # fmt: skip


def _build_up_fits(thick_mm: float, reel: ReelParts) -> None:
    """Raise QuantityError where the yarn would lie thicker on the reel than its arms are long."""
    if thick_mm > reel.radius_mm:
        raise QuantityError(
            f"so much yarn would lie {thick_mm:.0f} mm thick on a reel of {reel.radius_mm:.0f} mm "
            "radius: take fewer turns or wider lanes"
        )


def _on_wheel(wheel: Any, shaft: str | None, turns: int) -> ReelOnWheel:
    """Return the reel on a shaft of a wheel; QuantityError where that shaft does not turn."""
    from wheelgeo.yarn.hank import reeling_turns
    from wheelgeo.yarn.words import one_of

    design, answer = wheel.design, wheel.solve()
    drive, ends = design.drive.shaft, (design.drive.shaft, design.spindle.shaft)
    between = [s.name for s in design.shafts if s.name not in (*ends, design.spindle.bobbin)]
    name = shaft if shaft is not None else (between or [drive])[0]
    one_of(name, tuple(s.name for s in design.shafts), "shaft")
    gear = answer.shaft(name).turns_per_drive_turn
    if not gear:
        raise QuantityError(f'no band turns the shaft "{name}"')
    hand = reeling_turns(turns, gear)
    same = gear * answer.shaft(drive).turns_per_drive_turn > 0.0
    return ReelOnWheel(name, hand, abs(gear) * design.drive.speed_rpm, 1 if same else -1)


@door(QuantityError)
def cloth(
    warp: str,
    weft: str | None = None,
    *,
    ends_per_cm: float | str,
    picks_per_cm: float | str | None = None,
    length_m: float = 1.0,
    width_m: float = 1.0,
    warp_crimp: float | None = None,
    weft_crimp: float | None = None,
    loom_waste_m: float | None = None,
    waste: float | None = None,
    wheel: Wheel | None = None,
    fibre: str | None = None,
) -> ClothAnswer:
    """Return the yarn for a piece of cloth, its weight, and the hours at a wheel.

    Args:
        warp: count of the warp, such as "40 Nm".
        weft: count of the weft; None: as the warp.
        ends_per_cm: sett, or text such as "60 epi".
        picks_per_cm: picks, or text such as "58 ppi"; None: as the ends.
        length_m: length of the cloth off the loom.
        width_m: its width.
        warp_crimp: how much longer a warp thread is than the cloth, fraction; None: the usual.
        weft_crimp: the same of the weft.
        loom_waste_m: warp that cannot be woven off; None: none.
        waste: part of all yarn that is lost; None: none.
        wheel: the wheel that spins it, for the hours; None: not told.
        fibre: what the warp is of, for its closest sett; None: the wheel's, or cotton.

    Raises:
        QuantityError: a number is out of range, or there is no such fibre.
    """
    import math

    from wheelgeo.design.counts import checked_positive, metric_count
    from wheelgeo.design.file_kinds import read_count
    from wheelgeo.units import SETT_PER_CM, parse_quantity
    from wheelgeo.yarn.cloth import (
        CRIMP,
        Threads,
        assumed_of_cloth,
        cloth_mass_g_m2,
        sett_per_inch,
        sett_share,
        yarn_for_cloth,
    )
    from wheelgeo.yarn.winders import yarn_mass_g

    said = {
        "weft": weft, "picks": picks_per_cm, "crimp of the warp": warp_crimp,
        "crimp of the weft": weft_crimp, "loom waste": loom_waste_m, "waste of all yarn": waste,
        "fibre": wheel if fibre is None else fibre,
    }  # fmt: skip
    of = _cloth_fibre(fibre, wheel)
    share = sett_share(of)
    counts = read_count(warp), read_count(warp if weft is None else weft)
    setts = [
        parse_quantity(sett, SETT_PER_CM, SETT_PER_CM.unit)
        for sett in (ends_per_cm, ends_per_cm if picks_per_cm is None else picks_per_cm)
    ]
    for sett in setts:
        _at_most(checked_positive(sett, "the sett in threads per cm"), MOST_SETT, "the sett per cm")
    off_loom_m, lost = loom_waste_m or 0.0, waste or 0.0
    for metres in (length_m, width_m, off_loom_m):
        _at_most(metres, MOST_M, "a length of cloth or warp in m")
    crimps = [CRIMP if crimp is None else crimp for crimp in (warp_crimp, weft_crimp)]
    plied = [_all_strands(count, wheel) for count in counts]
    one, other = (
        Threads(count, 2.54 * sett, crimp)
        for (count, _), sett, crimp in zip(plied, setts, crimps, strict=True)
    )
    yarn = yarn_for_cloth(one, other, length_m, width_m, off_loom_m, lost)
    hours = turns = None
    if wheel is not None:
        each = zip(counts, (yarn.warp_m, yarn.weft_m), strict=True)
        parts = [_spun(wheel, count, metres) for count, metres in each]
        hours, turns = sum(part[0] for part in parts), sum(part[1] for part in parts)
    return ClothAnswer(
        yarn.warp_m, yarn.weft_m, yarn.together_m, math.ceil(yarn.hanks - 1e-9),
        yarn_mass_g(yarn.warp_m, one.count) + yarn_mass_g(yarn.weft_m, other.count),
        cloth_mass_g_m2(one, other),
        sett_per_inch(one.count, share=share),
        all(t.per_inch > sett_per_inch(t.count, share=share) for t in (one, other)),
        metric_count(one.count), metric_count(other.count), any(counted for _, counted in plied),
        hours, turns,
        assumed_of_cloth(
            [what for what, value in said.items() if value is None], of, wheel is not None
        ),
        of,
    )  # fmt: skip


def _cloth_fibre(fibre: str | None, wheel: Wheel | None) -> str:
    """Return the fibre of a cloth; QuantityError where none of that name is known."""
    from wheelgeo.yarn.fibre import FIBRES

    own = () if wheel is None else wheel.design.fibres
    if fibre is not None and fibre not in (*FIBRES, *(each.name for each in own)):
        raise QuantityError(f'there is no fibre "{fibre}"; known: {", ".join(FIBRES)}')
    spun = None if wheel is None or wheel.design.yarn is None else wheel.design.yarn.fibre
    return fibre or spun or "cotton"


def _spun(wheel: Any, count: Count, metres: float) -> tuple[float, float]:
    """Return hours and turns of the hand for a length of yarn of a count, plied where it is plied.

    A yarn of another count has the twist factor of the wheel's own. QuantityError where the
    wheel's file does not say how it spins.
    """
    from dataclasses import replace

    from wheelgeo.yarn.strands import twist_on
    from wheelgeo.yarn.winders import HANK_M

    yarn = wheel.design.yarn
    turns = None if yarn is None else twist_on(yarn, count)
    if yarn is None or turns is None:
        raise QuantityError("the wheel's file does not say how it spins: twist and draw in [yarn]")
    other = replace(yarn, count=count, turns_per_metre=turns, twist_factor=None)
    spinning = wheel.with_design(replace(wheel.design, yarn=other)).solve().yarn.spinning
    if spinning is None:
        raise QuantityError("the wheel's file does not say how it spins: twist and draw in [yarn]")
    work = spinning.metric_hank if spinning.plying is None else spinning.plying.metric_hank
    share = metres / HANK_M
    return work.hours * share, work.drive_turns * share


@door(DesignError)
def hand_spindle(path: str | os.PathLike[str]) -> HandSpindleAnswer:
    """Return how a support or drop spindle spins, from its file.

    Raises:
        DesignError: the file is at fault; holds every fault found.
    """
    from wheelgeo.yarn.hand_spindle_file import hand_spindle_answer, read_hand_spindle

    return hand_spindle_answer(read_hand_spindle(Path(path)))
