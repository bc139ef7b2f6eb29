"""The belt equation, for one drive and for many.

Glossary: *tight* and *slack* are the runs with more and with less pull; the greatest *tension
ratio* is the largest ratio of their pulls that friction holds, exp(mu * wrap); the *net* pull is
the pull less the centrifugal part, which presses on no pulley; the *force* of a band is tight less
slack; the *margin* of a pulley is the force at which it begins to slip over the force that it
carries.

Every function takes floats with ``xp = math`` or arrays of one shape with ``xp = numpy``.
Sources: Euler's belt equation, and Budynas & Nisbett, Shigley's Mechanical Engineering Design
ch. 17, for the centrifugal part.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from wheelgeo.immutable import dataclass

Number = Any
"""A float, or a numpy array of floats."""


def tension_ratio(friction: Number, wrap_rad: Number, xp: Any) -> Number:
    """Return the largest ratio of net pulls, tight over slack; ``friction`` with its wedge."""
    return xp.exp(friction * wrap_rad)


def centrifugal_n(density_kg_m3: Number, diameter_mm: Number, speed_m_s: Number) -> Number:
    """Return the pull that a cord's own mass makes in going round, N: mass per metre times v^2."""
    return density_kg_m3 * math.pi / 4.0 * (diameter_mm / 1e3) ** 2 * speed_m_s**2


def force_at_slip_n(net_n: Number, ratio: Number) -> Number:
    """Return the force at which a two-pulley band of fixed length begins to slip, N.

    What one run gains the other loses, so tight plus slack stays twice the pull at rest.

    Args:
        net_n: pull at rest less the centrifugal part; 0 or less grips nothing.
        ratio: greatest tension ratio of the pulley.
    """
    return 2.0 * net_n * (net_n > 0.0) * (ratio - 1.0) / (ratio + 1.0)


def creep(stiffness_n: Number, tight_n: Number, slack_n: Number) -> Number:
    """Return by what fraction a driven pulley is slower because the cord is elastic.

    The cord arrives at the driver stretched by the tight pull and leaves it stretched by the
    slack one; the same mass passes everywhere, so speeds are as the stretched lengths.

    Args:
        stiffness_n: modulus times section, N.
        tight_n: pull of the tight run.
        slack_n: pull of the slack run.
    """
    return (tight_n - slack_n) / (stiffness_n + tight_n)


@dataclass(frozen=True)
class BandLink:
    """One band of a chain of two-pulley bands, floats or arrays of one shape.

    Attributes:
        driver_radius_mm: pitch radius of the pulley that drives.
        driven_radius_mm: pitch radius of the driven one.
        driver_ratio: greatest tension ratio of the pulley that drives.
        driven_ratio: greatest tension ratio of the driven one.
        rest_n: pull of a strand at rest.
        centrifugal_n: centrifugal part.
        torque_nm: what the driven shaft takes itself, besides what the next band takes from it.
    """

    driver_radius_mm: Number
    driven_radius_mm: Number
    driver_ratio: Number
    driven_ratio: Number
    rest_n: Number
    centrifugal_n: Number
    torque_nm: Number


@dataclass(frozen=True)
class CordPutOn:
    """A cord as put on, floats or arrays: what its pull and its grip depend on.

    Attributes:
        diameter_mm: diameter.
        stretch: installed stretch, a fraction.
        modulus_mpa: modulus over the full circle of its diameter.
        density_kg_m3: density.
        friction: coefficient of friction, without the wedge.
    """

    diameter_mm: Number
    stretch: Number
    modulus_mpa: Number
    density_kg_m3: Number
    friction: Number


@dataclass(frozen=True)
class WrapArc:
    """One pulley of a band, floats or arrays: pitch radius, mm, wrap, rad, and wedge factor."""

    radius_mm: Number
    wrap_rad: Number
    wedge: Number = 1.0


def link(
    cord: CordPutOn,
    driver: WrapArc,
    driven: WrapArc,
    driver_omega: Number,
    torque_nm: Number,
    xp: Any,
) -> BandLink:
    """Return the link that a stretched cord makes between two pulleys.

    Args:
        cord: the cord.
        driver: the pulley that drives.
        driven: the driven pulley.
        driver_omega: speed of the driver, rad/s.
        torque_nm: what the driven shaft takes itself.
        xp: ``math`` for floats or ``numpy`` for arrays of one shape.
    """
    section = math.pi / 4.0 * cord.diameter_mm**2
    speed = driver_omega * driver.radius_mm / 1e3
    return BandLink(
        driver.radius_mm,
        driven.radius_mm,
        tension_ratio(cord.friction * driver.wedge, driver.wrap_rad, xp),
        tension_ratio(cord.friction * driven.wedge, driven.wrap_rad, xp),
        cord.modulus_mpa * section * cord.stretch,
        centrifugal_n(cord.density_kg_m3, cord.diameter_mm, speed),
        torque_nm,
    )


@dataclass(frozen=True)
class Carried:
    """What one band of a chain carries, floats or arrays.

    Attributes:
        force_n: tight less slack.
        driver_margin: force at which the driver slips over the force carried.
        driven_margin: the same for the driven pulley.
    """

    force_n: Number
    driver_margin: Number
    driven_margin: Number


def carry(chain: Sequence[BandLink]) -> tuple[tuple[Carried, ...], Number]:
    """Carry the load of a chain of two-pulley bands of fixed length back to its first shaft.

    Args:
        chain: the bands from the hand to the spindle; no torque may be 0.

    Returns:
        What each band carries, in the same order, and the torque at the first shaft, N m.
    """
    torque: Number = 0.0
    carried: list[Carried] = []
    for link in reversed(chain):
        force = (torque + link.torque_nm) / (link.driven_radius_mm / 1e3)
        net = link.rest_n - link.centrifugal_n
        driver, driven = (
            force_at_slip_n(net, r) / force for r in (link.driver_ratio, link.driven_ratio)
        )
        carried.append(Carried(force, driver, driven))
        torque = force * link.driver_radius_mm / 1e3
    return tuple(reversed(carried)), torque
