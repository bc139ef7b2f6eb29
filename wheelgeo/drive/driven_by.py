"""The driver of a wheel, from its file: the treadle's linkage with what is left out, told.

The treadle rocks in the plane of the crank, drawn as seen with the driven shaft's axis towards the
viewer: x to the right, y up, the axle at the origin. A treadle whose bar lies across that plane
moves its pin as far, but for the small angle that its footman then takes.
"""

from __future__ import annotations

import math
from typing import Literal

from wheelgeo.built.as_built import Built
from wheelgeo.built.assumed import Assumption
from wheelgeo.built.treadle import treadle_lengths
from wheelgeo.design.model import Drive, Treadle
from wheelgeo.drive.driver import (
    Driver,
    crank_driver,
    hand_driver,
    motor_driver,
    treadle_driver,
)
from wheelgeo.drive.linkage import Linkage
from wheelgeo.errors import ShapeError
from wheelgeo.immutable import dataclass

PRACTICE = "common practice, no source"
HAND_STROKE_DEG = 120.0
"""Part of a turn through which a hand pushes the rim of a great wheel."""
SAMPLES = 24
"""Angles of a turn that are told."""


@dataclass(frozen=True)
class TreadleGeometry:
    """The treadle as a linkage, nothing left out.

    Attributes:
        linkage: crank, footman, lever and pivot.
        treadles: one or two.
        assumed: what the file does not say.
    """

    linkage: Linkage
    treadles: Literal[1, 2]
    assumed: tuple[Assumption, ...]


def treadle_geometry(built: Built) -> TreadleGeometry | None:
    """Return the linkage of a treadle wheel; None where it has none, or the throw is not known.

    Raises:
        ShapeError: the crank cannot turn fully; says by how much.
    """
    found = treadle_lengths(built)
    if found is None:
        return None
    linkage = Linkage(found.throw_mm, found.footman_mm, found.lever_mm, found.pivot_mm, found.side,
                      found.foot_mm)  # fmt: skip
    given = built.design.drive.treadle or Treadle()
    return TreadleGeometry(linkage, 2 if given.kind == "double" else 1, found.assumed)


def treadle_trouble(built: Built) -> str:
    """Return why the crank of a treadle cannot turn; empty where it can."""
    try:
        treadle_geometry(built)
    except ShapeError as error:
        return str(error)
    return ""


def driver_of(built: Built) -> Driver | None:
    """Return what drives a wheel; None where its throw is not known or its treadle jams."""
    drive = built.design.drive
    if drive.by == "motor":
        return motor_driver()
    if drive.radius_mm is None or treadle_trouble(built):
        return None
    if drive.by == "crank":
        return crank_driver(drive.radius_mm)
    if drive.by == "hand":
        return hand_driver(drive.radius_mm, HAND_STROKE_DEG)
    found = treadle_geometry(built)
    assert found is not None  # a treadle whose throw is known
    # A foot presses the lever down: to the pivot's left that is counter-clockwise.
    falls: Literal[1, -1] = 1 if found.linkage.side < 0 else -1
    return treadle_driver(found.linkage, _turns(drive), found.treadles, falls)


def _turns(drive: Drive) -> Literal[1, -1]:
    return 1 if drive.turns == "counter-clockwise" else -1


def least_inertia_kg_m2(driver: Driver, load_nm: float, omega_rad_s: float) -> float:
    """Return the inertia that just carries a wheel over its longest idle angle, kg m2.

    What turns at working speed gives half I omega squared; the load takes its torque times the
    angle in which nothing drives.
    """
    return 2.0 * load_nm * math.radians(driver.longest_idle_deg) / omega_rad_s**2


def assumed_of_driver(built: Built) -> tuple[Assumption, ...]:
    """Return what is assumed of treadle or hand, because the file does not say."""
    drive = built.design.drive
    if drive.by == "hand" and drive.radius_mm is not None:
        taken = f"through {HAND_STROKE_DEG:g} degrees of each turn"
        return (Assumption("push of the hand at the rim", taken, PRACTICE),)
    if drive.by != "treadle" or drive.radius_mm is None or treadle_trouble(built):
        return ()
    found = treadle_geometry(built)
    return () if found is None else found.assumed
