"""A slender beam on supports: its elements, its stiffness and its mass.

Euler-Bernoulli elements with cubic shapes: two nodes, deflection and slope at each. A thin rod
turning in isotropic supports shakes the same way in every plane, so one plane is enough.

SI units: m, kg, N. Sources: Przemieniecki, Theory of Matrix Structural Analysis (elements);
Childs, Turbomachinery Rotordynamics (synchronous whirl); both from memory.
"""

from __future__ import annotations

import itertools
from bisect import bisect
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Matrix = NDArray[np.float64]

GRID = 1e-7
"""Two places on a beam closer than this, m, are one place."""
NODED_DISCS = 40
"""Most discs that have a node each; of more, each moves with the cubic shapes of its element."""


@dataclass(frozen=True)
class Stretch:
    """A uniform piece of beam, or of mass upon it.

    Attributes:
        from_m: where it begins.
        to_m: where it ends.
        stiffness_n_m2: bending stiffness EI; 0 for mass that does not stiffen the rod (a cop).
        mass_kg_m: mass per length.
        diametral_kg_m: moment of inertia per length about a diameter, kg m2 per m.
        polar_kg_m: moment of inertia per length about the axis, kg m2 per m.
    """

    from_m: float
    to_m: float
    stiffness_n_m2: float
    mass_kg_m: float
    diametral_kg_m: float = 0.0
    polar_kg_m: float = 0.0


@dataclass(frozen=True)
class Disc:
    """A body fixed at one place.

    Attributes:
        at_m: where.
        mass_kg: its mass.
        diametral_kg_m2: moment of inertia about a diameter through its centre of mass.
        polar_kg_m2: moment of inertia about the axis.
    """

    at_m: float
    mass_kg: float
    diametral_kg_m2: float = 0.0
    polar_kg_m2: float = 0.0


@dataclass(frozen=True)
class Support:
    """What holds the beam at one place.

    Attributes:
        at_m: where.
        stiffness_n_m: sideways stiffness; None holds it fast.
        tilts: the beam may slope there; False clamps it.
    """

    at_m: float
    stiffness_n_m: float | None = None
    tilts: bool = True


@dataclass(frozen=True)
class Eccentric:
    """Mass that turns about a line beside its centre: from where to where, m, and kg m per m."""

    from_m: float
    to_m: float
    unbalance_kg_m_m: float


@dataclass(frozen=True)
class Beam:
    """A beam whole; at least one stretch has stiffness, and those join end to end."""

    stretches: tuple[Stretch, ...]
    supports: tuple[Support, ...] = ()
    discs: tuple[Disc, ...] = ()


def nodes_m(beam: Beam, elements: int) -> tuple[float, ...]:
    """Return the places of the nodes, m: every place where something changes, and between.

    Args:
        beam: the beam.
        elements: at least so many elements over the whole length.
    """
    elastic = [s for s in beam.stretches if s.stiffness_n_m2 > 0.0]
    low, high = min(s.from_m for s in elastic), max(s.to_m for s in elastic)
    places = {x for s in beam.stretches for x in (s.from_m, s.to_m)}
    places |= {s.at_m for s in beam.supports}
    discs = {d.at_m for d in beam.discs}
    if min(places | discs) < low - GRID or max(places | discs) > high + GRID:
        raise ValueError("a support, a disc or a mass lies beyond the ends of the beam")
    # The cost grows with the cube of the nodes, and the shapes are no better for more of them.
    if len(discs) <= NODED_DISCS:
        places |= discs
    else:
        elements = max(elements, NODED_DISCS)
    breaks = [low]
    for place in sorted(places):
        if place - breaks[-1] > GRID:
            breaks.append(place)
    return tuple(_fill(breaks, (high - low) / elements))


def _fill(breaks: list[float], step: float) -> list[float]:
    filled = [breaks[0]]
    for a, b in itertools.pairwise(breaks):
        pieces = max(1, round((b - a) / step + 0.499999))
        filled += [a + (b - a) * (i + 1) / pieces for i in range(pieces)]
    return filled


def stiffness_matrices(beams: Sequence[Beam], nodes: tuple[float, ...]) -> Matrix:
    """Return the stiffness matrices of beams of the same nodes, shape (beams, 2 n, 2 n).

    Row and column 2 i are the deflection (m) of node i, 2 i + 1 its slope.
    """
    bending, _, _ = _elements(nodes)
    ei, *_ = _per_element(beams, nodes)
    matrices: Matrix = _assembled(bending * ei[..., None, None])
    for i, beam in enumerate(beams):
        for support in beam.supports:
            if support.stiffness_n_m is not None:
                k = 2 * _index(nodes, support.at_m)
                matrices[i, k, k] += support.stiffness_n_m
    return matrices


def mass_matrices(
    beams: Sequence[Beam], nodes: tuple[float, ...], whirling: Sequence[bool]
) -> Matrix:
    """Return the consistent mass matrices of beams of the same nodes, shape (beams, 2 n, 2 n).

    Args:
        beams: the beams; as many stretches in each, from and to the same places.
        nodes: places of the nodes, m.
        whirling: of each beam, rotary inertia as it acts in synchronous forward whirl (diametral
            less polar) rather than at rest (diametral).
    """
    import numpy as np

    _, translating, rotating = _elements(nodes)
    _, mass, diametral, polar = _per_element(beams, nodes)
    spins = np.array([1.0 if whirls else 0.0 for whirls in whirling])
    spun = diametral - spins * polar
    matrices: Matrix = _assembled(
        translating * mass[..., None, None] + rotating * spun[..., None, None]
    )
    for i, beam in enumerate(beams):
        for disc in beam.discs:
            k = 2 * _index(nodes, disc.at_m)
            rotary = disc.diametral_kg_m2 - spins[i] * disc.polar_kg_m2
            if abs(nodes[k // 2] - disc.at_m) <= GRID:
                matrices[i, k, k] += disc.mass_kg
                matrices[i, k + 1, k + 1] += rotary
            else:
                k = 2 * (bisect(nodes, disc.at_m) - 1)
                move, tilt = _shapes(nodes[k // 2], nodes[k // 2 + 1], disc.at_m)
                matrices[i, k : k + 4, k : k + 4] += disc.mass_kg * np.outer(move, move)
                matrices[i, k : k + 4, k : k + 4] += rotary * np.outer(tilt, tilt)
    return matrices


def _shapes(begin: float, end: float, place: float) -> tuple[list[float], list[float]]:
    """Return deflection and slope at a place of an element for each of its four freedoms at 1.

    Hermite's cubics. Mass that moves with them is added as by Rayleigh and Ritz: the speeds found
    are never too low, and as good as the elements themselves.
    """
    length = end - begin
    x = (place - begin) / length
    move = [
        1 - 3 * x**2 + 2 * x**3, length * x * (1 - x) ** 2,
        x**2 * (3 - 2 * x), length * x**2 * (x - 1),
    ]  # fmt: skip
    slope = 6 * x * (1 - x) / length
    return move, [-slope, (1 - x) * (1 - 3 * x), slope, x * (3 * x - 2)]


def _index(nodes: tuple[float, ...], place: float) -> int:
    after = bisect(nodes, place)  # they ascend
    near = range(max(after - 1, 0), min(after + 1, len(nodes)))
    return min(near, key=lambda i: abs(nodes[i] - place))


@lru_cache(maxsize=64)
def _elements(nodes: tuple[float, ...]) -> tuple[Any, Any, Any]:
    """Return each element's matrices for a stiffness and masses of 1: bending, moving, turning.

    Shape (elements, 1, 4, 4), one for all beams; the ranges of a spindle share its nodes.
    """
    import numpy as np

    places = np.asarray(nodes)
    length = (places[1:] - places[:-1])[:, None, None, None]
    slopes = np.array([0, 1, 0, 1])
    powers = length ** (slopes[:, None] + slopes)  # each number's, by how many slopes it has
    made = _bending(length, powers), _translating(length, powers), _rotating(length, powers)
    for matrices in made:
        matrices.flags.writeable = False
    return made


def _per_element(beams: Sequence[Beam], nodes: tuple[float, ...]) -> Any:
    """Return EI, mass, diametral and polar moment of inertia of each element of each beam.

    Each the sum over all stretches; shape (4, elements, beams).
    """
    import numpy as np

    places = np.asarray(nodes)
    middles = 0.5 * (places[1:] + places[:-1])
    stretches = beams[0].stretches
    begin = np.array([s.from_m for s in stretches])
    end = np.array([s.to_m for s in stretches])
    covers = ((middles[:, None] > begin) & (middles[:, None] < end)).astype(float)
    values = np.array(
        [
            [[s.stiffness_n_m2, s.mass_kg_m, s.diametral_kg_m, s.polar_kg_m] for s in b.stretches]
            for b in beams
        ]
    )
    return covers @ values.transpose(2, 1, 0)


def _assembled(elements: Any) -> Any:
    """Return whole matrices, shape (beams, 2 n, 2 n), of those of (elements, beams, 4, 4)."""
    import numpy as np

    count, beams = elements.shape[:2]
    here = np.arange(count + 1)
    matrix = np.zeros((beams, count + 1, 2, count + 1, 2))
    nodes = np.zeros((count + 1, beams, 2, 2))  # both elements that meet at a node add to it
    nodes[:-1] = elements[..., :2, :2]
    nodes[1:] += elements[..., 2:, 2:]
    matrix[:, here, :, here] = nodes
    matrix[:, here[:-1], :, here[1:]] = elements[..., :2, 2:]
    matrix[:, here[1:], :, here[:-1]] = elements[..., 2:, :2]
    return matrix.reshape(beams, 2 * count + 2, 2 * count + 2)


def _pattern(powers: Any, entries: tuple[tuple[float, ...], ...]) -> Any:
    """Return matrices of the given numbers times length**(number of slopes in each place)."""
    import numpy as np

    return np.array(entries) * powers


def _bending(length: Any, powers: Any) -> Any:
    entries = ((12, 6, -12, 6), (6, 4, -6, 2), (-12, -6, 12, -6), (6, 2, -6, 4))
    return _pattern(powers, entries) / length**3


def _translating(length: Any, powers: Any) -> Any:
    entries = ((156, 22, 54, -13), (22, 4, 13, -3), (54, 13, 156, -22), (-13, -3, -22, 4))
    return _pattern(powers, entries) * length / 420.0


def _rotating(length: Any, powers: Any) -> Any:
    entries = ((36, 3, -36, 3), (3, 4, -3, -1), (-36, -3, 36, -3), (3, -1, -3, 4))
    return _pattern(powers, entries) / (30.0 * length)


def free_to_move(beam: Beam, nodes: tuple[float, ...]) -> list[int]:
    """Return the indices of what may move."""
    held: set[int] = set()
    for support in beam.supports:
        k = 2 * _index(nodes, support.at_m)
        held |= {k} if support.stiffness_n_m is None else set()
        held |= set() if support.tilts else {k + 1}
    return [i for i in range(2 * len(nodes)) if i not in held]
