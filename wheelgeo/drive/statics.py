"""Forces in balance: bearings of one shaft, the runs of one band, and when a pulley slips."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from wheelgeo.built.shaft import BuiltBearing
from wheelgeo.geometry.vectors import Vector, norm


def reactions(
    axis: Vector, journals: Sequence[BuiltBearing], pulls: Sequence[tuple[float, Vector]]
) -> tuple[tuple[Vector, ...], float]:
    """Return the force across the axis on each bearing, and the thrust, signed along it, N.

    Args:
        axis: unit vector of the shaft.
        journals: its bearings; of more than two the outermost carry, the rest nothing.
        pulls: place along the axis, mm, and force, N, of each pull.
    """
    held = HeldRod(axis, journals)
    return held.reactions(held.added(NO_PULL, pulls))


PullSum = tuple[float, float, float, float, float, float, float]
"""Pulls on a rod together, N: along its axis, across it, and what of that the outer bearing takes,
which is their moment about the first one over the distance of the two."""
NO_PULL: PullSum = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


class HeldRod:
    """A rod in its bearings, ready to be asked for the forces on them many times over.

    Args:
        axis: unit vector of the shaft.
        journals: its bearings.
    """

    def __init__(self, axis: Vector, journals: Sequence[BuiltBearing]) -> None:
        places = [journal.at_mm for journal in journals]
        self._axis, self._low, high = axis, min(places), max(places)
        self._first, self._last = places.index(self._low), places.index(high)
        self._span, self._count = high - self._low, len(places)

    def added(self, before: PullSum, pulls: Iterable[tuple[float, Vector]]) -> PullSum:
        """Return pulls together with those before: places along the axis, mm, and forces, N."""
        # Written out in plain floats: the load of a wheel asks this some hundred times.
        (ax, ay, az), low, span = self._axis, self._low, self._span
        thrust, tx, ty, tz, fx, fy, fz = before
        for place, (px, py, pz) in pulls:
            along = px * ax + py * ay + pz * az
            thrust += along
            x, y, z = px - along * ax, py - along * ay, pz - along * az
            tx, ty, tz = tx + x, ty + y, tz + z
            if span > 0.0:
                lever = (place - low) / span
                fx, fy, fz = fx + lever * x, fy + lever * y, fz + lever * z
        return thrust, tx, ty, tz, fx, fy, fz

    def reactions(self, together: PullSum) -> tuple[tuple[Vector, ...], float]:
        """Return the force across the axis on each bearing, and the thrust; see ``reactions``."""
        thrust, tx, ty, tz, fx, fy, fz = together
        forces: list[Vector] = [(0.0, 0.0, 0.0)] * self._count
        forces[self._last] = (fx, fy, fz)
        forces[self._first] = (tx - fx, ty - fy, tz - fz)
        return tuple(forces), thrust


def bearing_forces(
    axis: Vector, journals: Sequence[BuiltBearing], pulls: Sequence[tuple[float, Vector]]
) -> tuple[tuple[float, ...], float]:
    """Return the size of the force on each bearing, and of the thrust, N; see ``reactions``."""
    forces, thrust = reactions(axis, journals, pulls)
    return tuple(norm(f) for f in forces), abs(thrust)


def pulls_under_load(
    radii_m: Sequence[float],
    stops: Sequence[str],
    source: str,
    asked_nm: Mapping[str, float],
    shares: Sequence[float],
) -> tuple[float, ...]:
    """Return what the load adds to the pull of each run of a band, N.

    On a driven pulley the run that leaves is the tighter by torque over radius. Where a shaft
    meets the band more than once (a double drive), the cord arrives at each of its grooves with
    the same stretch, for it arrives with the groove's speed: so with the same pull. The shares
    times the changes add to nothing.

    Args:
        radii_m: pitch radius at each stop, m.
        stops: shaft of each stop; run k leaves stop k.
        source: the shaft that drives.
        asked_nm: torque asked by each other shaft.
        shares: weight of each run in the rule that holds the pulls together.
    """
    count = len(stops)
    rows: list[list[float]] = []
    for shaft in dict.fromkeys(stops):
        places = [k for k in range(count) if stops[k] == shaft]
        rows += [_row(count, {places[0] - 1: 1.0}, {k - 1: -1.0}, 0.0) for k in places[1:]]
        if shaft != source:
            leaving = {k: radii_m[k] for k in places}
            arriving = {k - 1: -radii_m[k] for k in places}
            rows.append(_row(count, leaving, arriving, asked_nm[shaft]))
    rows.append([*shares, 0.0])
    return solve_linear(rows)


def _row(
    count: int, first: Mapping[int, float], second: Mapping[int, float], right: float
) -> list[float]:
    row = [0.0] * (count + 1)
    for part in (first, second):
        for index, value in part.items():
            row[index % count] += value
    row[count] = right
    return row


def solve_linear(rows: list[list[float]]) -> tuple[float, ...]:
    """Solve a few linear equations by elimination with row exchange; the last column is right."""
    rows = [list(r) for r in rows]
    count = len(rows)
    for i in range(count):
        pivot = max(range(i, count), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for r in range(i + 1, count):
            factor = rows[r][i] / rows[i][i]
            rows[r] = [a - factor * b for a, b in zip(rows[r], rows[i], strict=True)]
    answer = [0.0] * count
    for i in reversed(range(count)):
        known = sum(rows[i][j] * answer[j] for j in range(i + 1, count))
        answer[i] = (rows[i][count] - known) / rows[i][i]
    return tuple(answer)


def margin_at(net_n: float, ratio: float, tight_n: float, slack_n: float) -> float | None:
    """Return how many times its load a pulley carries before it slips; None where it never does.

    Args:
        net_n: net pull of the band without load; 0 or less holds nothing.
        ratio: greatest tension ratio.
        tight_n: what the load adds to the tight run's pull.
        slack_n: what it adds to the slack run's.
    """
    if net_n <= 0.0:
        return 0.0
    grows = tight_n - ratio * slack_n
    return None if grows <= 0.0 or tight_n == slack_n else net_n * (ratio - 1.0) / grows


def torque_at_slip_nm(
    net_n: float, ratios: Sequence[float], still_n: Sequence[float], grows_n: Sequence[float]
) -> tuple[float, ...]:
    """Return how much of a growing torque each pulley of a band bears before it slips, N m.

    Pulls are linear in that torque, so that a pulley's edge of slip (tight side = greatest tension
    ratio x slack side, both net of the centrifugal part) is one equation of it.

    Args:
        net_n: net pull of the band without load.
        ratios: greatest tension ratio at each stop.
        still_n: what the load adds to the pull of each run without the torque.
        grows_n: what each N m of it adds.

    Returns:
        By stop; 0 where it slips without that torque, infinite where none makes it slip.
    """
    found = []
    for k, ratio in enumerate(ratios):
        least = math.inf
        for tight, slack in ((k, k - 1), (k - 1, k)):
            slope = grows_n[tight] - ratio * grows_n[slack]
            held = net_n * (ratio - 1.0) - (still_n[tight] - ratio * still_n[slack])
            if slope > 0.0:
                least = min(least, max(held, 0.0) / slope)
        found.append(least)
    return tuple(found)
