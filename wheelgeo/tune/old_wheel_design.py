"""An old wheel as a design, from what was measured of it, mm."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from wheelgeo.built.as_built import build
from wheelgeo.design.file_forms import SLEEVE_WALL_MM
from wheelgeo.design.model import (
    Band,
    Design,
    Drive,
    Pulley,
    Relative,
    Shaft,
    Shop,
    Slide,
    Spindle,
    Stop,
)
from wheelgeo.design.possible import faults
from wheelgeo.drive.slides import length_on_slide
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import DesignError, Fault
from wheelgeo.geometry.groove import Groove
from wheelgeo.geometry.tangent import NEARLY_TOUCHING
from wheelgeo.immutable import dataclass
from wheelgeo.tune.old_wheel_grooves import Shape, Values, groove_of, side_by_side

MEASURED = "what was measured"
"""What is at fault, in place of a file."""
BAND_THAT_FITS = (
    "One that runs well: the old band, or cord tied round both wheels as tight as it shall run. "
    "Its length gives the distance from axle to axle, where that cannot be measured. Take it off "
    "and measure it slack: a joined one laid flat and double, twice from fold to fold; one that "
    "you can untie, straight along a tape."
)
"""What is meant by a band that fits, for whoever is asked for one; the page has the same words."""
FitsAs = Literal["loop", "cord", "reel"]
"""How a band that fits was measured: once round; untied, its joint in it, its ends trimmed; or off
the reel, before it was tied, with what it was tied by."""
DrivenBy = Literal["crank", "treadle", "motor", "hand"]
DRIVEN: Mapping[str, DrivenBy] = {
    "hand": "hand", "crank": "crank", "foot": "treadle", "motor": "motor"
}  # fmt: skip
"""By what a wheel is turned, as somebody says it, and as its file does."""
WAYS = ("apart", "edge_to_edge", "over_axles", "fits")
"""The ways to the distance of the two axes, the straightest first."""
BAND = "drive band"
"""Name of the one band of an old wheel."""
CALLED = {
    "wheel": "the wheel's diameter", "girth": "the girth in the wheel's groove",
    "groove": "the depth of the wheel's groove", "mouth": "the width of the wheel's groove",
    "whorl": "the whorl's diameter", "whorl_girth": "the girth in the whorl's groove",
    "whorl_groove": "the depth of the whorl's groove",
    "whorl_mouth": "the width of the whorl's groove",
    "apart": "axle to spindle", "edge_to_edge": "rim to rim",
    "over_axles": "over both axles", "fits": "a band that fits", "cord": "the cord",
    "double": "the bobbin's whorl", "axle": "the axle", "rod": "the spindle's rod",
    "slide": "the slide", "joint": "the joint",
    "groove_shape": "the shape of the grooves", "whorl_shape": "the shape of the whorl's groove",
    "crossed": "the band crosses", "grooves_apart": "the wheel's two grooves apart",
    "whorls_apart": "the two whorls apart", "least": "the least diameter of the oval rim",
    "wobble": "how far the rim moves sideways", "eccentric": "how far the rim moves in and out",
    "aside": "how far the whorl stands aside", "driven": "what turns the wheel",
    "unit": "the unit",
}  # fmt: skip
"""What was measured, as somebody calls it who knows no option's name."""


@dataclass(frozen=True)
class OldWheelMeasured:
    """What was measured of an old wheel, as written; empty: not measured.

    Attributes:
        wheel: diameter of the wheel's rim, outside.
        girth: girth of a thin thread laid in the wheel's groove, instead.
        groove: depth of the wheel's groove.
        groove_shape: its shape and the whorl's: "vee", "round" or "worn"; of a round or worn one
            the cord lies on the bottom.
        mouth: width of that groove at the rim.
        whorl: diameter of the whorl, outside.
        whorl_girth: girth of a thin thread laid in the whorl's groove, instead.
        whorl_groove: depth of the whorl's groove.
        whorl_mouth: its width at the rim.
        whorl_shape: its shape, where it is not the wheel's; "unknown": nobody has looked into it.
        apart: from the middle of the axle to the middle of the spindle.
        edge_to_edge: between the near edges of the two rims, instead.
        over_axles: over both axles, from the far side of the one to the far side of the other.
        fits: a band that is known to fit, instead: "75 1/8 in loop", "76 in cord" (untied,
            its joint in it) or "84 in off the reel".
        axle: diameter of the axle, for ``over_axles``.
        rod: diameter of the spindle's rod, likewise.
        cord: the cord, as in "3 mm cotton cord".
        joint: how its ends are joined ("splice"), or the length of cord that this takes.
        crossed: the band crosses.
        double: diameter of the bobbin's whorl, where one band goes twice round.
        grooves_apart: of such a wheel, from the middle of its one groove to that of its other.
        whorls_apart: likewise from the flyer's whorl to the bobbin's.
        slide: how far the spindle can be slid, in all.
        least: least diameter of an oval rim; ``wheel`` is then its greatest.
        wobble: how far the rim moves sideways over a turn, in all.
        eccentric: how far the rim moves in and out over a turn, in all.
        aside: how far the whorl's groove stands aside of the wheel's, towards the spindle's tip.
        driven: by what it is turned: "hand" (on the rim, as a great wheel's), "crank", "foot" or
            "motor"; empty: by foot.
        unit: of a length that was written without one: "mm", "cm" or "in"; empty: each has its own.
    """

    wheel: str = ""
    girth: str = ""
    groove: str = ""
    groove_shape: str = ""
    mouth: str = ""
    whorl: str = ""
    whorl_girth: str = ""
    whorl_groove: str = ""
    whorl_shape: str = ""
    whorl_mouth: str = ""
    apart: str = ""
    edge_to_edge: str = ""
    over_axles: str = ""
    fits: str = ""
    axle: str = ""
    rod: str = ""
    cord: str = ""
    joint: str = ""
    crossed: bool = False
    double: str = ""
    grooves_apart: str = ""
    whorls_apart: str = ""
    slide: str = ""
    least: str = ""
    wobble: str = ""
    eccentric: str = ""
    aside: str = ""
    driven: str = ""
    unit: str = ""

    @property
    def ways(self) -> tuple[str, ...]:
        """Return which ways to the distance of the axes were told; the first is gone by."""
        return tuple(way for way in WAYS if getattr(self, way).strip())

    @property
    def apart_by_fit(self) -> bool:
        """Return whether the distance of the axes comes from the band that fits."""
        return self.ways[:1] == ("fits",)


@dataclass(frozen=True)
class OldWheelKind:
    """What an old wheel is, beside its sizes.

    Attributes:
        material: of the cord.
        joined: how its ends are joined; None: as is usual.
        crossed: the band crosses.
        unit: in which its file is written.
        wheel_shape: shape of the wheel's groove; None: not known, a vee is taken.
        whorl_shape: shape of the grooves of whorl and bobbin; None likewise.
        fits_as: how the band that fits was measured.
        driven: by what it is turned.
    """

    material: str
    joined: str | None
    crossed: bool
    unit: str
    wheel_shape: Shape | None
    whorl_shape: Shape | None
    fits_as: FitsAs
    driven: DrivenBy


def old_wheel_design(values: Values, kind: OldWheelKind, title: str) -> Design:
    """Return the wheel of what was measured.

    Args:
        values: by the names of ``OldWheelMeasured``, mm; ``stretch`` is a fraction.
        kind: what it is beside its sizes.
        title: its title.

    Raises:
        DesignError: no distance of the axes makes the band fit that is said to.
    """
    if "least" in values:  # an oval rim is reckoned as the round one between
        values = {**values, "wheel": round(0.5 * (values["wheel"] + values["least"]), 9)}
    cord, double = values["cord"], "double" in values
    wheel = groove_of(values, "wheel", "girth", "groove", kind.wheel_shape)
    whorl = groove_of(values, "whorl", "whorl_girth", "whorl_groove", kind.whorl_shape)
    aside = values.get("aside", 0.0)
    turns: Relative = "against" if kind.crossed else "with"
    shop = Shop(old_wheel=True)
    shafts = [_axle(values), _spindle(values, "flyer" if double else "spindle")]
    if double:
        flyer = shafts[1]
        sleeve_mm = flyer.diameter_mm + 2.0 * SLEEVE_WALL_MM  # as the file, which leaves it out
        shafts.append(
            replace(
                flyer, name="bobbin", runs_on="flyer", diameter_mm=sleeve_mm, diameter_given=False
            )
        )
        bobbin = groove_of(values, "double", "", "whorl_groove", kind.whorl_shape)
        pulleys = _pairs(values, (wheel, wheel), (whorl, bobbin))
        shop = _with_assumed(shop, values, pulleys)
        route = tuple(Stop(n) for n in ("wheel", "whorl", "second groove", "bobbin whorl"))
        spindle = Spindle("flyer", "flyer", bobbin="bobbin")
    else:
        pulleys = Pulley("wheel", "axle", 0.0, wheel), Pulley("whorl", "spindle", aside, whorl)
        route, spindle = (Stop("wheel"), Stop("whorl", turns)), Spindle("spindle", "tip")
    band = Band(
        BAND, route, kind.material, cord, crossed=kind.crossed and not double,
        stretch=values.get("stretch"), joint_mm=values.get("joint"), joined=kind.joined,
    )
    made = Design(
        title=title or "Old wheel", unit=kind.unit,
        drive=Drive("axle", kind.driven, 60.0, "clockwise"), shafts=tuple(shafts),
        pulleys=pulleys, bands=(band,), spindle=spindle, shop=shop,
    )  # fmt: skip
    if "fits" not in values or faults(made):  # round what cannot be no band is fitted
        return made
    built = build(made).bands[BAND]
    taken_mm = 0.0 if kind.fits_as == "loop" else built.joint.value
    if kind.fits_as == "reel":  # an old band untied has lost its tails: they were trimmed
        taken_mm += built.joint_kind.tails_mm
    return _where_it_fits(made, (values["fits"] - taken_mm) * (1.0 + values["stretch"]))


def _pairs(
    values: Values, on_wheel: tuple[Groove, Groove], whorls: tuple[Groove, Groove]
) -> tuple[Pulley, ...]:
    """Return the pulleys of a double band: two grooves on the wheel, flyer's and bobbin's whorl."""
    cord, aside = values["cord"], values.get("aside", 0.0)
    apart, (one, other), wide = side_by_side(on_wheel, cord, values.get("grooves_apart"), False)
    between, (flyer, bobbin), thick = side_by_side(whorls, cord, values.get("whorls_apart"), True)
    half, out = round(0.5 * apart, 6), round(0.5 * between, 6)
    return (
        Pulley("wheel", "axle", -half, one, wide),
        Pulley("second groove", "axle", half, other, wide),
        Pulley("whorl", "flyer", aside - out, flyer, thick),
        Pulley("bobbin whorl", "bobbin", aside + out, bobbin, thick),
    )


def _with_assumed(shop: Shop, values: Values, pulleys: tuple[Pulley, ...]) -> Shop:
    """Return what a file keeps of the two distances of a double band: which were only assumed."""
    groove, second, whorl, bobbin = (pulley.offset_mm for pulley in pulleys)
    grooves, whorls = round(second - groove, 6), round(bobbin - whorl, 6)
    return replace(
        shop,
        grooves_apart_assumed_mm=None if "grooves_apart" in values else grooves,
        whorls_apart_assumed_mm=None if "whorls_apart" in values else whorls,
    )


def _apart_mm(values: Values) -> float:
    if "apart" in values:
        return values["apart"]
    if "edge_to_edge" in values:
        rims = (_rim_mm(values, *keys) for keys in (("wheel", "girth", "groove"),
                                                    ("whorl", "whorl_girth", "whorl_groove")))
        return values["edge_to_edge"] + 0.5 * sum(rims)
    if "over_axles" in values:
        return values["over_axles"] - 0.5 * (values["axle"] + values["rod"])
    return values["fits"]  # a beginning only: see _where_it_fits


def _rim_mm(values: Values, rim: str, girth: str, depth: str) -> float:
    """Return a rim's diameter; by a thread in its groove that is as much deeper all round."""
    if rim in values:
        return values[rim]
    return values[girth] / math.pi + 2.0 * values[depth]


def _where_it_fits(design: Design, path_mm: float) -> Design:
    """Return the wheel with its axes so far apart that the band's path has a length, mm.

    Raises:
        DesignError: the path is longer at any distance.
    """
    free = Slide((1.0, 0.0, 0.0), -design.shafts[1].at_mm[0], path_mm)
    sliding = tuple(s if i == 0 else replace(s, slide=free) for i, s in enumerate(design.shafts))
    solution = solve_drive(replace(design, shafts=sliding))
    length_at = length_on_slide(solution, BAND)
    start = design.shafts[1].at_mm[0]
    radii = [0.5 * seat.pitch_diameter_mm for seat in solution.bands[0].seats]
    big, *others = radii[:1] + radii[1::2]
    touching = big + max(others) if design.bands[0].crossed else big - min(others)

    def too_long(apart_mm: float) -> float | None:
        length = length_at(apart_mm - start)
        return None if length is None else length - path_mm

    # A path is at least twice as long as its axes are apart (twice that, gone twice round), and it
    # grows steadily with them: the root is between touching pulleys and half the path.
    low = abs(touching) + 1.01 * NEARLY_TOUCHING * (big + max(others))
    high = 0.5 * path_mm / len(others)
    here = too_long(low)
    if high <= low or (here is not None and here > 0.0):
        says = "no distance makes such a band fit this wheel and whorl: it is too short"
        how = "measure the band, wheel and whorl again"
        raise DesignError((Fault("fits", says, how),), MEASURED)
    apart, before = high, None
    for _ in range(60):
        miss = too_long(apart)
        if miss is None or miss < 0.0:
            low = apart
        else:
            high = apart
        if miss is not None and abs(miss) <= 1e-9 * path_mm:
            break
        # The secant through the last two places, kept between the ends; halving where it leaves.
        at = 0.5 * (low + high)
        if before is not None and miss is not None and before[1] != miss:
            guess = apart - miss * (apart - before[0]) / (miss - before[1])
            at = guess if low < guess < high else at
        before = None if miss is None else (apart, miss)
        apart = at
    else:  # never an answer that is not the band's: its path was looked for and not met
        says = "no distance was found that makes such a band fit this wheel and whorl"
        how = "measure the band, wheel and whorl again"
        raise DesignError((Fault("fits", says, how),), MEASURED)
    apart = round(apart, 9)  # as a file has it
    placed = (s if i == 0 else replace(s, at_mm=(apart, 0.0, 0.0))
              for i, s in enumerate(design.shafts))  # fmt: skip
    return replace(design, shafts=tuple(placed))


ROD_SHARE = 0.25
"""Rods are not measured: a thin one, this part of what it carries at most, is in no band's way."""


def _axle(values: Values) -> Shaft:
    size = values.get("wheel", values.get("girth", 0.0) / math.pi)
    rod = values.get("axle", round(ROD_SHARE * size / 8.0, 1))
    return Shaft("axle", (0.0, 0.0, 0.0), (0.0, 1.0, 0.0), rod)


def _spindle(values: Values, name: str) -> Shaft:
    size = min(
        values.get("whorl", values.get("whorl_girth", 0.0) / math.pi),
        values.get("double", math.inf),
    ) - 2.0 * values.get("whorl_groove", 0.0)
    slide = None
    if "slide" in values:
        slide = Slide((1.0, 0.0, 0.0), -0.5 * values["slide"], 0.5 * values["slide"])
    rod = min(values.get("rod", math.inf), max(round(ROD_SHARE * size, 1), 0.01))
    return Shaft(name, (_apart_mm(values), 0.0, 0.0), (0.0, 1.0, 0.0), rod, slide)
