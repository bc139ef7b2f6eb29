"""Pitch radii of many pulleys at once: ``geometry.grooves.seat`` on arrays.

Every number may be a float or an array of one shape; lengths in mm, angles in degrees. A cord that
no flank holds rides on the edges of the mouth, or lies on the bottom between them, as there.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from wheelgeo.geometry.grooves import EPSILON_MM

Number = Any
"""A float, or a numpy array of floats."""


def flat_pitch_radius(rim: Number, cord: Number) -> Number:
    """Return the pitch radius of a cord on a flat rim."""
    return 0.5 * (rim + cord)


def round_pitch_radius(rim: Number, depth: Number, radius: Number, cord: Number) -> Number:
    """Return the pitch radius of a cord in a round groove."""
    half = 0.5 * cord
    seated = 0.5 * rim - depth + half
    outside = half > radius + EPSILON_MM
    if not np.any(outside):
        return seated
    rise = np.maximum(radius - depth, 0.0)
    return np.where(
        outside, _above(rim, depth, half, np.sqrt(radius * radius - rise * rise)), seated
    )


def vee_pitch_radius(
    rim: Number, depth: Number, angle: Number, bottom: Number, cord: Number
) -> Number:
    """Return the pitch radius of a cord in a vee groove with a flat bottom."""
    half_angle = angle * (math.pi / 360.0)
    sine, half = np.sin(half_angle), 0.5 * cord
    cosine = np.sqrt(1.0 - sine * sine)
    height = np.maximum((half - 0.5 * bottom * cosine) / sine, half)
    seated = 0.5 * rim - depth + height
    outside = height - half * sine > depth + EPSILON_MM
    if not np.any(outside):
        return seated
    half_mouth = 0.5 * bottom + depth * sine / cosine
    return np.where(outside, _above(rim, depth, half, half_mouth), seated)


def square_pitch_radius(rim: Number, depth: Number, width: Number, cord: Number) -> Number:
    """Return the pitch radius of a cord in a groove with parallel sides."""
    half = 0.5 * cord
    outside = cord > width + EPSILON_MM
    seated = 0.5 * rim - depth + half
    return np.where(outside, _above(rim, depth, half, 0.5 * width), seated)


def _above(rim: Number, depth: Number, half: Number, half_mouth: Number) -> Number:
    """Return the pitch radius of a cord that no flank holds: on the edges, or on the bottom."""
    edges = np.sqrt(np.maximum(half * half - half_mouth * half_mouth, 0.0))
    return 0.5 * rim + np.maximum(edges, half - depth)
