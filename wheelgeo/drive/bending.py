"""What a cord takes to be bent round a pulley and straightened again.

Two laws, each for what a cord is made of. The fibres of a twisted or braided cord rub on one
another as it bends, pressed together by its own pull: a share of the pull is lost that goes with
the cord's diameter over the pulley's. An elastomer gives back less than bending stores in it: of
the energy E I / (2 R^2) in each metre of a bent cord the part pi/2 tan(delta) is lost, that of one
swing from straight to bent and back (half the swing's height about its middle; Ferry, Viscoelastic
Properties of Polymers, from memory).

The loss acts as a torque that holds the pulley back, and the band has to carry it with the load.
"""

from __future__ import annotations

import math


def fibre_share(share: float, cord_mm: float, pitch_mm: float) -> float:
    """Return what part of its pull a cord of fibres loses at a pulley.

    Args:
        share: the part that it would lose at a pulley as large as itself.
        cord_mm: diameter of the cord.
        pitch_mm: pitch diameter of the pulley.
    """
    return share * cord_mm / pitch_mm


def elastic_loss_n(
    loss_factor: float, modulus_mpa: float, cord_mm: float, pitch_mm: float
) -> float:
    """Return what pull an elastic cord loses at a pulley, whatever its pull, N.

    Args:
        loss_factor: tan(delta) of the material.
        modulus_mpa: its modulus.
        cord_mm: diameter of the cord.
        pitch_mm: pitch diameter of the pulley.
    """
    stiffness_n_mm2 = modulus_mpa * math.pi * cord_mm**4 / 64.0
    stored_n = stiffness_n_mm2 / (2.0 * (0.5 * pitch_mm) ** 2)  # energy per length is a force
    return 0.5 * math.pi * loss_factor * stored_n
