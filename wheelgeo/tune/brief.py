"""A brief: what a wheel must do, where it must fit, and what there is to make it of.

Plain data, lengths in millimetres, angles in degrees. ``brief_file`` reads it from a file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Literal

from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Spindle, Stock, Vector, Yarn
from wheelgeo.units.keys import fraction, record, size, text

Lies = Literal["horizontal", "flat"]
Matter = Literal["ratio", "slip", "lead", "bend", "wood"]

MATTERS: Mapping[Matter, str] = {
    "ratio": "the ratio is the wanted one, as near as its rims can be turned",
    "slip": "the bands touch much of the small pulleys",
    "lead": "the bands arrive near the mid-planes",
    "bend": "the cords are bent gently",
    "wood": "the discs are small",
}
"""What may matter in a wheel, in plain words."""


@record
class Cord:
    """A cord at hand.

    Attributes:
        name: its name in the brief.
        material: name of its material.
        diameter_mm: its diameter.
        slip: fraction by which a pulley that it drives is slower.
        stretch: installed stretch.
    """

    name: str = text("name of the cord", '"thin cotton"')
    material: str = text("its material", '"cotton cord"')
    diameter_mm: float = size("its diameter", "1.2")
    slip: float = fraction(
        "fraction by which each driven pulley is slower", '"2 %"', below_one=True, default=0.0
    )
    stretch: float = fraction("installed stretch", '"1 %"', default=0.0)


@record
class Rods:
    """Diameters of the shafts, mm."""

    main: float
    middle: float
    spindle: float


@record
class Sizes:
    """Rim diameters that can be made, mm, rising, and the step of the places of the shafts.

    Attributes:
        wheel: of the wheel, which the hand turns.
        hub: of the small pulley that it drives; empty for one stage.
        accelerator: of the large pulley beside the hub; empty for one stage.
        whorl: of the small pulley on the spindle.
        place_mm: shafts stand at whole multiples of this from the corner of the case.
    """

    wheel: tuple[float, ...]
    hub: tuple[float, ...]
    accelerator: tuple[float, ...]
    whorl: tuple[float, ...]
    place_mm: float


@record
class Brief:
    """What is wanted.

    Attributes:
        title: title of the wheels.
        unit: unit of the files that are written.
        stages: one band or two.
        lies: the spindle lies level over discs that lie flat, so that its band makes a quarter
            turn (``horizontal``); or all discs lie in parallel planes (``flat``).
        ratio: wanted spindle turns per turn of the hand, slip included.
        yarn: the yarn.
        hand_rpm: speed of the hand.
        crank_mm: throw of the crank.
        inside_mm: inside of the case.
        cords: the cords at hand; each band may be made of any of them.
        sizes: what can be made.
        rods: the shafts.
        spindle: the spindle as it will be mounted, places counted from the whorl towards the tip.
        spindle_ends_mm: the spindle's ends, counted likewise.
        disc_mm: thickness of the sheet that the discs are cut from; None: as thick as the groove
            needs.
        sheets: the sheets at hand.
        matters: what matters most, first.
        wheels: how many different wheels to look for.
        limits: practice limits that differ from the usual ones.
    """

    title: str
    unit: str
    stages: Literal[1, 2]
    lies: Lies
    ratio: float
    yarn: Yarn
    hand_rpm: float
    crank_mm: float
    inside_mm: Vector
    cords: tuple[Cord, ...]
    sizes: Sizes
    rods: Rods
    spindle: Spindle
    spindle_ends_mm: tuple[float, float]
    disc_mm: float | None
    sheets: tuple[Stock, ...]
    matters: tuple[Matter, ...]
    wheels: int = 4
    limits: Mapping[str, float] = field(default_factory=dict)

    def limit(self, name: str) -> float:
        """Return the limit in force, the brief's own before the usual one."""
        return limit_value(name, self.limits)


@record
class Choice:
    """One combination: which cords, which rims, and where the shafts stand in plan, mm.

    ``first`` is the cord of the band from the wheel, ``second`` that of the band to the spindle
    of a wheel of two stages; with one stage hub, accelerator, middle and ``second`` are None.
    """

    first: int
    second: int | None
    wheel: float
    hub: float | None
    accelerator: float | None
    whorl: float
    main: tuple[float, float]
    middle: tuple[float, float] | None
    spindle: tuple[float, float]
