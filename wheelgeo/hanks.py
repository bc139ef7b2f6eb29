"""A hank on a reel: how it is wound, what its weight says, and the reel for it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wheelgeo.as_json import AsJson
from wheelgeo.door import door
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.wheel import Wheel
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


@dataclass(frozen=True)
class HankAnswer(AsJson):
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
    from wheelgeo.yarn.strands import all_strands
    from wheelgeo.yarn.winders import yarn_mass_g

    reel = reel_parts(arms, peg_mm, lanes_mm, round_mm)
    written = None if count is None else read_count(count)
    spinner = None if wheel is None else wheel.design
    yarn, counts_plying = (None, False) if written is None else all_strands(written, spinner)
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
