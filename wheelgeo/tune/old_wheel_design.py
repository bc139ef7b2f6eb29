"""An old wheel as a design, from what was measured of it, mm."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from wheelgeo.design.file_forms import SLEEVE_WALL_MM
from wheelgeo.design.model import Band, Design, Drive, Pulley, Relative, Shaft, Slide, Spindle, Stop
from wheelgeo.geometry.groove import FlatRim, GivenPitch, Groove, VeeGroove
from wheelgeo.immutable import dataclass

OLD_VEE_DEG = 60.0
"""Angle of a groove known by its depth alone."""
BAND = "drive band"
"""Name of the one band of an old wheel."""
SIDE_BY_SIDE_MM = 12.0
"""Distance of the two grooves of a double band, side by side, where nothing is told."""

Values = Mapping[str, float]


@dataclass(frozen=True)
class OldWheelMeasured:
    """What was measured of an old wheel, as written; empty: not measured.

    Attributes:
        wheel: diameter of the wheel's rim, outside.
        girth: girth of a thin thread laid in the wheel's groove, instead.
        groove: depth of the wheel's groove.
        whorl: diameter of the whorl, outside.
        whorl_girth: girth of a thin thread laid in the whorl's groove, instead.
        whorl_groove: depth of the whorl's groove.
        apart: from the middle of the axle to the middle of the spindle.
        edge_to_edge: between the near edges of the two rims, instead.
        over_axles: over both axles, from the far side of the one to the far side of the other.
        axle: diameter of the axle, for ``over_axles``.
        rod: diameter of the spindle's rod, likewise.
        cord: the cord, as in "3 mm cotton cord".
        joint: how its ends are joined ("splice"), or the length of cord that this takes.
        crossed: the band crosses.
        double: diameter of the bobbin's whorl, where one band goes twice round.
        slide: how far the spindle can be slid, in all.
        least: least diameter of an oval rim; ``wheel`` is then its greatest.
        wobble: how far the rim moves sideways over a turn, in all.
        eccentric: how far the rim moves in and out over a turn, in all.
        aside: how far the whorl's groove stands aside of the wheel's, towards the spindle's tip.
    """

    wheel: str = ""
    girth: str = ""
    groove: str = ""
    whorl: str = ""
    whorl_girth: str = ""
    whorl_groove: str = ""
    apart: str = ""
    edge_to_edge: str = ""
    over_axles: str = ""
    axle: str = ""
    rod: str = ""
    cord: str = ""
    joint: str = ""
    crossed: bool = False
    double: str = ""
    slide: str = ""
    least: str = ""
    wobble: str = ""
    eccentric: str = ""
    aside: str = ""


def old_wheel_design(
    values: Values, material: str, joined: str | None, crossed: bool, unit: str, title: str
) -> Design:
    """Return the wheel of what was measured.

    Args:
        values: by the names of ``OldWheelMeasured``, mm.
        material: of the cord.
        joined: how its ends are joined; None: as is usual.
        crossed: the band crosses.
        unit: in which its file is written.
        title: its title.
    """
    if "least" in values:  # an oval rim is reckoned as the round one between
        values = {**values, "wheel": 0.5 * (values["wheel"] + values["least"])}
    cord, double = values["cord"], "double" in values
    wheel = _groove(values, "wheel", "girth", "groove", cord)
    whorl = _groove(values, "whorl", "whorl_girth", "whorl_groove", cord)
    aside = values.get("aside", 0.0)
    turns: Relative = "against" if crossed else "with"
    shafts = [_axle(values), _spindle(values, "flyer" if double else "spindle")]
    if double:
        flyer = shafts[1]
        sleeve_mm = flyer.diameter_mm + 2.0 * SLEEVE_WALL_MM  # as the file, which leaves it out
        shafts.append(
            replace(
                flyer, name="bobbin", runs_on="flyer", diameter_mm=sleeve_mm, diameter_given=False
            )
        )
        half = 0.5 * _side_by_side_mm(values)
        bobbin = _whole(values["double"], values.get("whorl_groove"), cord)
        pulleys: tuple[Pulley, ...] = (
            Pulley("wheel", "axle", -half, wheel), Pulley("second groove", "axle", half, wheel),
            Pulley("whorl", "flyer", aside - half, whorl),
            Pulley("bobbin whorl", "bobbin", aside + half, bobbin),
        )  # fmt: skip
        route = tuple(Stop(n) for n in ("wheel", "whorl", "second groove", "bobbin whorl"))
        spindle = Spindle("flyer", "flyer", bobbin="bobbin")
    else:
        pulleys = Pulley("wheel", "axle", 0.0, wheel), Pulley("whorl", "spindle", aside, whorl)
        route, spindle = (Stop("wheel"), Stop("whorl", turns)), Spindle("spindle", "tip")
    band = Band(
        BAND, route, material, cord, crossed=crossed and not double,
        joint_mm=values.get("joint"), joined=joined,
    )
    return Design(
        title=title or "Old wheel", unit=unit,
        drive=Drive("axle", "treadle", 60.0, "clockwise"), shafts=tuple(shafts),
        pulleys=pulleys, bands=(band,), spindle=spindle,
    )  # fmt: skip



def _groove(values: Values, rim: str, girth: str, depth: str, cord_mm: float) -> Groove:
    """Return the groove of a wheel or whorl.

    A thread laid where the band lies is thin: the cord's centre runs half a cord above it.
    """
    if girth in values:
        return GivenPitch(values[girth] / math.pi + cord_mm)
    return _whole(values[rim], values.get(depth), cord_mm)


def _side_by_side_mm(values: Values) -> float:
    """Return how far apart two grooves side by side stand: the widest mouth and its cheeks."""
    depth = max(values.get("groove", 0.0), values.get("whorl_groove", 0.0))
    mouth = VeeGroove(2.0, depth, OLD_VEE_DEG).mouth_mm if depth else 2.0 * values["cord"]
    return max(SIDE_BY_SIDE_MM, 3.0 * values["cord"], mouth + 2.0 * max(3.0, 0.3 * depth))


def _whole(rim_mm: float, depth_mm: float | None, cord_mm: float) -> Groove:
    """Return a vee of that depth; without a depth the cord lies on the rim."""
    if depth_mm is None:
        return FlatRim(rim_mm, 2.0 * cord_mm)
    return VeeGroove(rim_mm, depth_mm, OLD_VEE_DEG)


def _apart_mm(values: Values) -> float:
    if "apart" in values:
        return values["apart"]
    if "edge_to_edge" in values:
        return values["edge_to_edge"] + 0.5 * (values["wheel"] + values["whorl"])
    return values["over_axles"] - 0.5 * (values["axle"] + values["rod"])


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
