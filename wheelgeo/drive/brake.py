"""Brakes of cord, leather or felt over a groove: what they hold, and what changes it.

The law of the rope on a post: the tight end pulls exp(friction x wrap) times as hard as the slack
end. Source: Euler and Eytelwein; in Khurmi & Gupta, Theory of Machines, simple band brake.
"""

from __future__ import annotations

import math
from typing import Literal

from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class BandBrake:
    """A brake band on a groove.

    Attributes:
        tight_n: pull of the end that the turning groove tightens.
        slack_n: pull of the other end.
        diameter_mm: of the groove, where the band lies.
    """

    tight_n: float
    slack_n: float
    diameter_mm: float

    @property
    def net_n(self) -> float:
        """Net pull at the groove, N."""
        return self.tight_n - self.slack_n

    @property
    def torque_nm(self) -> float:
        """Braking torque, N m."""
        return self.net_n * self.diameter_mm / 2e3


def tension_ratio(friction: float, wrap_deg: float, wedge: float = 1.0) -> float:
    """Return the greatest ratio of tight to slack pull.

    Args:
        friction: coefficient of friction.
        wrap_deg: arc of contact; more than a turn counts in full.
        wedge: by how much the groove's flanks press harder than a flat would (1 on a flat).
    """
    return math.exp(friction * wedge * math.radians(wrap_deg))


def band_brake(
    spring_n: float,
    spring_on: Literal["slack", "tight"],
    diameter_mm: float,
    friction: float,
    wrap_deg: float,
    wedge: float = 1.0,
) -> BandBrake:
    """Return the brake that a cord makes which is fixed at one end and held by a spring.

    Args:
        spring_n: pull of the spring (or of the knob that tightens the cord).
        spring_on: the end that the spring holds. The groove turns towards the slack end: a spring
            there is helped by the turning; one on the tight end gives way, and holds less.
        diameter_mm: of the groove, where the cord lies.
        friction: coefficient of friction.
        wrap_deg: arc of contact.
        wedge: as in ``tension_ratio``.
    """
    ratio = tension_ratio(friction, wrap_deg, wedge)
    if spring_on == "slack":
        return BandBrake(spring_n * ratio, spring_n, diameter_mm)
    return BandBrake(spring_n, spring_n / ratio, diameter_mm)


def spring_for_n(
    net_n: float,
    spring_on: Literal["slack", "tight"],
    friction: float,
    wrap_deg: float,
    wedge: float = 1.0,
) -> float:
    """Return the spring's pull that gives a net pull at the groove, N."""
    unit = band_brake(1.0, spring_on, 1.0, friction, wrap_deg, wedge)
    return net_n / unit.net_n


def sensitivity(
    spring_on: Literal["slack", "tight"], friction: float, wrap_deg: float, wedge: float = 1.0
) -> float:
    """Return by how many per cent the net pull changes where friction changes by one per cent.

    With x = friction x wrap the net pull goes as exp(x) - 1 with the spring on the slack end, and
    as 1 - exp(-x) on the tight end; this is x times its slope over itself. Over 1 the brake grabs.
    """
    x = math.log(tension_ratio(friction, wrap_deg, wedge))
    if spring_on == "slack":
        return x * math.exp(x) / math.expm1(x)
    return x * math.exp(-x) / -math.expm1(-x)
