"""Slip margins of a brief's wheels in closed form: what a search can bound before it lays one out.

The thin band carries what the yarn takes and the friction of the spindle's bearings, into which
the band itself pulls it, and what bending takes of a cord of fibres there; the first band carries
that, geared up. Air, other bending and the friction of the other shafts only add to the load; the
spindle's weight and the yarn's pull may lift it off its bearings,
and what they could at most take off its friction is taken off, so that the true margin is never
above the one told here.

    force at slip = 2 × pull × tanh(friction × wedge × wrap / 2)     (Euler and Eytelwein)
    margin        = force at slip / force carried
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wheelgeo.built.as_built import build
from wheelgeo.built.shaft import BuiltBearing
from wheelgeo.design.model import Design
from wheelgeo.drive.bearing_load import weights, yarn_on_tip
from wheelgeo.drive.rotor import rotor
from wheelgeo.drive.statics import bearing_forces
from wheelgeo.drive.train import Solution
from wheelgeo.drive.yarn_hold import yarn_torque_nm
from wheelgeo.geometry.vectors import Vector, across
from wheelgeo.immutable import dataclass

Array = NDArray[np.float64]


@dataclass(frozen=True)
class SlipFigures:
    """What the slip of a brief's bands hangs on, beside shapes and places.

    Attributes:
        pull_n: pull at rest of each cord of the brief.
        friction: coefficient of friction of each.
        yarn_nm: what the yarn takes of the spindle.
        eased_nm: the most that weight and the yarn's pull could take off its bearings' friction.
        arm_m: torque of the spindle's bearings per newton that the band presses on it.
        bend_n_mm: of each cord, what its bending takes times the pitch diameter, N mm.
    """

    pull_n: tuple[float, ...]
    friction: tuple[float, ...]
    yarn_nm: float
    eased_nm: float
    arm_m: float
    bend_n_mm: tuple[float, ...]


_EVEN = 0.98
"""Mean of a band's two pulls over its pull at rest, at least: its runs are not quite equal."""


def slip_figures(designs: Sequence[Design]) -> SlipFigures:
    """Return the figures from one wheel for each cord, whose last band is made of it."""
    bands = [build(d).bands[d.bands[-1].name] for d in designs]
    built = build(designs[0])
    shaft = designs[0].spindle.shaft
    turning, axis = rotor(built.shafts[shaft]), designs[0].shaft(shaft).axis
    whorl = designs[0].pulleys_on(shaft)[0].offset_mm
    # The weight twice: other whorls of the brief may be heavier than the first wheel's.
    heavy = [*weights(turning), *weights(turning)]
    yarn = [yarn_on_tip(built, built.limit("yarn_pull_n"))]
    arm = _friction_nm(axis, turning.journals, [(whorl, across(axis)[0])])
    eased = sum(_friction_nm(axis, turning.journals, forces) for forces in (heavy, yarn))
    return SlipFigures(
        tuple(b.stiffness_n * b.stretch.value for b in bands),
        tuple(b.friction.value.value for b in bands),
        yarn_torque_nm(built),
        eased,
        arm,
        tuple(
            _EVEN * b.bending_share.value.value * b.band.diameter_mm * b.stiffness_n
            * b.stretch.value
            for b in bands
        ),
    )  # fmt: skip


def _friction_nm(
    axis: Vector, journals: Sequence[BuiltBearing], pulls: Sequence[tuple[float, Vector]]
) -> float:
    """Return the friction of a shaft's bearings under pulls across its axis alone, N m."""
    forces, _ = bearing_forces(axis, journals, pulls)
    return math.fsum(
        j.friction.value * f * j.diameter_mm / 2e3 for j, f in zip(journals, forces, strict=True)
    )


def force_at_slip_n(pull_n: Any, grip: Any, wrap_deg: Any) -> Array:
    """Return the force at which a pulley slips, N; arrays that fit each other.

    Args:
        pull_n: pull of the band at rest.
        grip: coefficient of friction times the wedge factor.
        wrap_deg: arc of contact.
    """
    force: Array = 2.0 * pull_n * np.tanh(0.5 * grip * np.radians(wrap_deg))
    return force


def spindle_force_n(
    figures: SlipFigures, pull_n: Any, bend_n_mm: Any, radius_mm: Any, wrap_deg: Any, lead_deg: Any
) -> Array:
    """Return the least force that the band at the spindle carries, N; arrays that fit.

    Args:
        figures: the brief's.
        pull_n: pull of the band at rest.
        bend_n_mm: what its bending takes times the pitch diameter.
        radius_mm: pitch radius of the whorl.
        wrap_deg: arc of contact on it.
        lead_deg: lead angle there, which takes from what presses on the bearings.
    """
    half = 0.5 * np.radians(wrap_deg)
    presses = 2.0 * pull_n * np.sin(half) * np.cos(np.radians(lead_deg))
    bearings = np.maximum(figures.arm_m * presses - figures.eased_nm, 0.0)
    force: Array = (figures.yarn_nm + bearings) / (radius_mm / 1e3) + 0.5 * bend_n_mm / radius_mm
    return force


def margins(figures: SlipFigures, cords: Sequence[int], solution: Solution) -> tuple[float, ...]:
    """Return the margin of each band of a wheel that was laid out, from the hand to the spindle.

    Args:
        figures: the brief's.
        cords: which of the brief's cords each band is made of.
        solution: the solved wheel; every band has a path.
    """
    found: list[float] = []
    torque: float | None = None
    for motion, cord in reversed(list(zip(solution.bands, cords, strict=True))):
        path = motion.path
        assert path is not None
        pull, bend = figures.pull_n[cord], figures.bend_n_mm[cord]
        large, small = (seat.pitch_radius_mm for seat in motion.seats)
        if torque is None:
            lead = abs(path.arriving_deg(1))
            force = float(spindle_force_n(figures, pull, bend, small, path.wraps_deg[1], lead))
        else:
            force = torque / small
        grips = [figures.friction[cord] * seat.wedge for seat in motion.seats]
        at_slip = min(
            float(force_at_slip_n(pull, grip, wrap))
            for grip, wrap in zip(grips, path.wraps_deg, strict=True)
        )
        found.append(at_slip / force)
        torque = force * large
    return tuple(reversed(found))
