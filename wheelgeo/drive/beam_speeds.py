"""Natural frequencies, critical speeds and bent shapes of a beam, or of several at once.

Glossary: a *natural frequency* is that of the rod at rest, struck; a *critical speed* is one at
which the rod, turning, is bent by its own unbalance and whirls round with itself (synchronous
forward whirl). A disc that is tilted by the bending resists by its spin: in forward whirl it acts
as a rotary inertia of diametral less polar moment, which is negative for a thin disc and lifts the
critical speed.

SI units: m, kg, N. Sources as in :mod:`wheelgeo.drive.beam`.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from wheelgeo.drive.beam import (
    GRID,
    Beam,
    Eccentric,
    free_to_move,
    mass_matrices,
    nodes_m,
    stiffness_matrices,
)
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.drive.beam import Matrix


@dataclass(frozen=True)
class _Alike:
    """Beams of the same nodes, as a spindle's are while its cop grows and at the ends of a range.

    Attributes:
        numbers: which they are of those that were asked for.
        nodes: their nodes, m.
        free: the indices of what may move of these.
        stiffness: the matrices of that, shape (beams, free, free); one where it serves all.
        masses: likewise, always of all.
    """

    numbers: tuple[int, ...]
    nodes: tuple[float, ...]
    free: list[int]
    stiffness: Matrix
    masses: Matrix


def _alike(beams: Sequence[Beam], elements: int, whirling: Sequence[bool]) -> Iterator[_Alike]:
    """Yield the beams in groups of the same nodes, each worked out in one go."""
    groups: dict[Any, list[int]] = {}
    for i, beam in enumerate(beams):
        places = tuple((s.from_m, s.to_m, s.stiffness_n_m2 > 0.0) for s in beam.stretches)
        holds = tuple((s.at_m, s.stiffness_n_m is None, s.tilts) for s in beam.supports)
        groups.setdefault((places, holds, tuple(d.at_m for d in beam.discs)), []).append(i)
    for numbers in groups.values():
        members = [beams[i] for i in numbers]
        nodes = nodes_m(members[0], elements)
        free = free_to_move(members[0], nodes)
        # a spindle whose cop grows: one matrix serves all
        stiff = {(b.supports, tuple(s.stiffness_n_m2 for s in b.stretches)) for b in members}
        stiffness = stiffness_matrices(members[:1] if len(stiff) == 1 else members, nodes)
        masses = mass_matrices(members, nodes, [whirling[i] for i in numbers])
        if len(free) < 2 * len(nodes):
            stiffness, masses = (m[:, free][..., free] for m in (stiffness, masses))
        yield _Alike(tuple(numbers), nodes, free, stiffness, masses)


def _held(beam: Beam) -> bool:
    """Tell whether the supports leave a beam no way to move without bending."""
    firm = [s for s in beam.supports if s.stiffness_n_m is None or s.stiffness_n_m > 0.0]
    places = [s.at_m for s in firm]
    apart = bool(places) and max(places) - min(places) > GRID
    return apart or (bool(firm) and any(not s.tilts for s in beam.supports))


def natural_frequencies_rad_s(beam: Beam, count: int = 3, elements: int = 40) -> tuple[float, ...]:
    """Return the lowest natural frequencies, rad/s; 0 for each way in which the beam is loose.

    Args:
        beam: the beam.
        count: how many.
        elements: at least so many elements.
    """
    return lowest_speeds_rad_s((beam,), (False,), count, elements)[0]


def critical_speeds_rad_s(beam: Beam, count: int = 3, elements: int = 40) -> tuple[float, ...]:
    """Return the lowest critical speeds, rad/s, in synchronous forward whirl.

    Args:
        beam: the beam; its supports must hold it.
        count: at most how many; there are fewer where discs resist all further whirl.
        elements: at least so many elements.

    Returns:
        The speeds, ascending.

    Raises:
        ValueError: the supports leave the beam loose.
    """
    return lowest_speeds_rad_s((beam,), (True,), count, elements)[0]


def lowest_speeds_rad_s(
    beams: tuple[Beam, ...], whirling: tuple[bool, ...], count: int, elements: int
) -> tuple[tuple[float, ...], ...]:
    """Return the critical speeds or the natural frequencies of several beams, rad/s, ascending.

    Args:
        beams: the beams.
        whirling: of each, whether its critical speeds are asked for; else how it shakes at rest.
        count: how many of each, at most.
        elements: at least so many elements of each.

    Raises:
        ValueError: the supports leave a beam loose whose critical speeds are asked for.
    """
    import numpy as np

    if any(whirls and not _held(beam) for beam, whirls in zip(beams, whirling, strict=True)):
        raise ValueError("the supports leave the beam loose")
    speeds: list[tuple[float, ...]] = [()] * len(beams)
    for alike in _alike(beams, elements, whirling):
        stiffness, masses = alike.stiffness, alike.masses
        # Turned over, the lowest frequencies become the largest eigenvalues, which are exact to
        # rounding; a loose beam is shifted first, since its stiffness cannot be inverted.
        shifts = [0.0] * len(alike.numbers)
        loose = np.array([0.0 if _held(beams[i]) else 1e-8 for i in alike.numbers])
        if loose.any():
            shift = loose * np.trace(stiffness, axis1=1, axis2=2)
            shift = shift / np.trace(masses, axis1=1, axis2=2)
            stiffness, shifts = stiffness + shift[:, None, None] * masses, shift.tolist()
        largest = _largest(masses, stiffness, count).tolist()
        for i, by, values in zip(alike.numbers, shifts, largest, strict=True):
            squares = [1.0 / value - by for value in values if value > 0.0]
            speeds[i] = tuple([0.0 if s < 1e-4 * by else math.sqrt(s) for s in squares])
    return tuple(speeds)


def turned_shapes_m(
    beams: Sequence[Beam], speed_rad_s: float, off_centre: Sequence[Eccentric], elements: int = 40
) -> tuple[dict[float, float], ...]:
    """Return how far turning beams are bent by an unbalance, m, at each node, by its place, m.

    Undamped, as it whirls round with itself: (K - omega^2 M) x = omega^2 U. Above a critical speed
    the sign turns over, and the mass seeks to turn about its own centre.

    Args:
        beams: the beams; their supports must hold them.
        speed_rad_s: how fast they turn; at a critical speed there is no answer.
        off_centre: the unbalance of each.
        elements: at least so many elements.
    """
    import numpy as np

    shapes: list[dict[float, float]] = [{}] * len(beams)
    for alike in _alike(beams, elements, [True] * len(beams)):
        loads = np.array([_line_load(off_centre[i], alike.nodes) for i in alike.numbers])
        bent = np.linalg.solve(
            alike.stiffness - speed_rad_s**2 * alike.masses,
            speed_rad_s**2 * loads[:, alike.free, None],
        )
        for i, found in zip(alike.numbers, bent[..., 0], strict=True):
            whole = np.zeros(2 * len(alike.nodes))
            whole[alike.free] = found
            shapes[i] = dict(zip(alike.nodes, whole[::2].tolist(), strict=True))
    return tuple(shapes)


def _line_load(off_centre: Eccentric, nodes: tuple[float, ...]) -> list[float]:
    """Return the nodal forces and moments of an even line load that do the same work."""
    load = [0.0] * (2 * len(nodes))
    for i, (a, b) in enumerate(itertools.pairwise(nodes)):
        if off_centre.from_m < 0.5 * (a + b) < off_centre.to_m:
            half, arm = 0.5 * (b - a), (b - a) ** 2 / 12.0
            for k, share in enumerate((half, arm, half, -arm)):
                load[2 * i + k] += off_centre.unbalance_kg_m_m * share
    return load


def _largest(masses: Matrix, stiffness: Matrix, count: int) -> Matrix:
    """Return the largest eigenvalues of each mass against its stiffness, the largest first.

    By Cholesky's factor L of the stiffness, as LAPACK reduces the generalised symmetric problem
    (xSYGST), to L^-1 M L^-T; numpy is at hand, while scipy takes longer to load than all else takes
    to compute. Deflections and slopes are measured so that every stiffness is near 1, by powers of
    two, which cost no digit: the inverse is then good to rounding.

    Args:
        masses: the mass matrices, shape (beams, n, n).
        stiffness: their stiffness matrices, likewise.
        count: how many of each.
    """
    import numpy as np

    scale = np.exp2(np.round(-0.5 * np.log2(np.diagonal(stiffness, axis1=1, axis2=2))))
    both = scale[:, :, None] * scale[:, None, :]
    # Only its lower triangle is not 0, so that what has no mass stays without any.
    inverse = np.tril(np.linalg.inv(np.linalg.cholesky(stiffness * both)))
    whole = inverse @ (masses * both) @ inverse.transpose(0, 2, 1)
    values = np.asarray(np.linalg.eigvalsh(0.5 * (whole + whole.transpose(0, 2, 1))), np.float64)
    return values[:, ::-1][:, :count]
