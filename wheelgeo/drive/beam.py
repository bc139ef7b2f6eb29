"""A slender beam on supports: its natural frequencies and its critical speeds.

Euler-Bernoulli elements with cubic shapes: two nodes, deflection and slope at each. A thin rod
turning in isotropic supports shakes the same way in every plane, so one plane is enough.

Glossary: a *natural frequency* is that of the rod at rest, struck; a *critical speed* is one at
which the rod, turning, is bent by its own unbalance and whirls round with itself (synchronous
forward whirl). A disc that is tilted by the bending resists by its spin: in forward whirl it acts
as a rotary inertia of diametral less polar moment, which is negative for a thin disc and lifts the
critical speed.

SI units: m, kg, N. Sources: Przemieniecki, Theory of Matrix Structural Analysis (elements);
Childs, Turbomachinery Rotordynamics (synchronous whirl); both from memory.
"""

from __future__ import annotations

import itertools
from bisect import bisect
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Matrix = NDArray[np.float64]
    Vector = NDArray[np.float64]

GRID = 1e-7
"""Two places on a beam closer than this, m, are one place."""


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
    places |= {s.at_m for s in beam.supports} | {d.at_m for d in beam.discs}
    if min(places) < low - GRID or max(places) > high + GRID:
        raise ValueError("a support, a disc or a mass lies beyond the ends of the beam")
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


def stiffness_matrix(beam: Beam, nodes: tuple[float, ...]) -> Matrix:
    """Return the stiffness matrix, shape (2 n, 2 n): deflection (m) and slope at each node."""
    import numpy as np

    lengths = np.diff(nodes)
    ei = _per_element(beam, nodes, "stiffness_n_m2")
    matrix = _assemble(_bending(lengths) * ei[:, None, None])
    for support in beam.supports:
        if support.stiffness_n_m is not None:
            k = 2 * _index(nodes, support.at_m)
            matrix[k, k] += support.stiffness_n_m
    return matrix


def mass_matrix(beam: Beam, nodes: tuple[float, ...], whirling: bool) -> Matrix:
    """Return the consistent mass matrix, shape (2 n, 2 n).

    Args:
        beam: the beam.
        nodes: places of the nodes, m.
        whirling: rotary inertia as it acts in synchronous forward whirl (diametral less polar)
            rather than at rest (diametral).
    """
    import numpy as np

    lengths = np.diff(nodes)
    spin = 1.0 if whirling else 0.0
    rotary = _per_element(beam, nodes, "diametral_kg_m") - spin * _per_element(
        beam, nodes, "polar_kg_m"
    )
    mass = _per_element(beam, nodes, "mass_kg_m")
    matrix = _assemble(
        _translating(lengths) * mass[:, None, None] + _rotating(lengths) * rotary[:, None, None]
    )
    for disc in beam.discs:
        k = 2 * _index(nodes, disc.at_m)
        matrix[k, k] += disc.mass_kg
        matrix[k + 1, k + 1] += disc.diametral_kg_m2 - spin * disc.polar_kg_m2
    return matrix


def _index(nodes: tuple[float, ...], place: float) -> int:
    after = bisect(nodes, place)  # they ascend
    near = range(max(after - 1, 0), min(after + 1, len(nodes)))
    return min(near, key=lambda i: abs(nodes[i] - place))


def _per_element(beam: Beam, nodes: tuple[float, ...], name: str) -> Any:
    """Return the sum of a property of all stretches over each element, shape (elements,)."""
    import numpy as np

    middles = 0.5 * (np.asarray(nodes[1:]) + np.asarray(nodes[:-1]))
    total = np.zeros(len(middles))
    for s in beam.stretches:
        total += getattr(s, name) * ((middles > s.from_m) & (middles < s.to_m))
    return total


def _assemble(elements: Matrix) -> Matrix:
    import numpy as np

    count, here = len(elements), np.arange(len(elements))
    matrix = np.zeros((count + 1, 2, count + 1, 2))
    matrix[here, :, here] += elements[:, :2, :2]
    matrix[here, :, here + 1] += elements[:, :2, 2:]
    matrix[here + 1, :, here] += elements[:, 2:, :2]
    matrix[here + 1, :, here + 1] += elements[:, 2:, 2:]
    return matrix.reshape(2 * count + 2, 2 * count + 2)


def _pattern(length: Any, entries: tuple[tuple[float, ...], ...]) -> Any:
    """Return matrices of the given numbers times length**(number of slopes in each place)."""
    import numpy as np

    powers = np.array([0, 1, 0, 1])
    scale = length[:, None, None] ** (powers[:, None] + powers[None, :])
    return np.array(entries) * scale


def _bending(length: Any) -> Any:
    entries = ((12, 6, -12, 6), (6, 4, -6, 2), (-12, -6, 12, -6), (6, 2, -6, 4))
    return _pattern(length, entries) / length[:, None, None] ** 3


def _translating(length: Any) -> Any:
    entries = ((156, 22, 54, -13), (22, 4, 13, -3), (54, 13, 156, -22), (-13, -3, -22, 4))
    return _pattern(length, entries) * length[:, None, None] / 420.0


def _rotating(length: Any) -> Any:
    entries = ((36, 3, -36, 3), (3, 4, -3, -1), (-36, -3, 36, -3), (3, -1, -3, 4))
    return _pattern(length, entries) / (30.0 * length[:, None, None])


def _free(beam: Beam, nodes: tuple[float, ...]) -> list[int]:
    """Return the indices of what may move."""
    held: set[int] = set()
    for support in beam.supports:
        k = 2 * _index(nodes, support.at_m)
        held |= {k} if support.stiffness_n_m is None else set()
        held |= set() if support.tilts else {k + 1}
    return [i for i in range(2 * len(nodes)) if i not in held]


def _reduced(beam: Beam, elements: int, whirling: bool) -> tuple[Matrix, Matrix]:
    nodes = nodes_m(beam, elements)
    free = _free(beam, nodes)
    pick = (slice(None), free)
    stiffness = stiffness_matrix(beam, nodes)[free][pick]
    return stiffness, mass_matrix(beam, nodes, whirling)[free][pick]


def _held(beam: Beam) -> bool:
    """Tell whether the supports leave a beam no way to move without bending."""
    firm = [s for s in beam.supports if s.stiffness_n_m is None or s.stiffness_n_m > 0.0]
    places = [s.at_m for s in firm]
    apart = bool(places) and max(places) - min(places) > GRID
    return apart or (bool(firm) and any(not s.tilts for s in beam.supports))


@lru_cache(maxsize=256)
def natural_frequencies_rad_s(beam: Beam, count: int = 3, elements: int = 40) -> tuple[float, ...]:
    """Return the lowest natural frequencies, rad/s; 0 for each way in which the beam is loose.

    Remembered, as the critical speeds are: a wheel that is changed often keeps its spindle.

    Args:
        beam: the beam.
        count: how many.
        elements: at least so many elements.
    """
    import numpy as np

    stiffness, mass = _reduced(beam, elements, whirling=False)
    # Turned over, the lowest frequencies become the largest eigenvalues, which are exact to
    # rounding; a loose beam is shifted first, since its stiffness cannot be inverted.
    shift = 0.0 if _held(beam) else float(np.trace(stiffness) / np.trace(mass)) * 1e-8
    squares = 1.0 / _largest(mass, stiffness + shift * mass, count) - shift
    loose = squares < 1e-4 * shift
    return tuple(float(v) for v in np.sqrt(np.where(loose, 0.0, squares)))


@lru_cache(maxsize=256)
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
    if not _held(beam):
        raise ValueError("the supports leave the beam loose")
    stiffness, mass = _reduced(beam, elements, whirling=True)
    return tuple(float(v) ** -0.5 for v in _largest(mass, stiffness, count) if v > 0.0)


def turned_shape_m(
    beam: Beam, speed_rad_s: float, off_centre: Eccentric, elements: int = 40
) -> dict[float, float]:
    """Return how far a turning beam is bent by an unbalance, m, at each node, by its place, m.

    Undamped, as it whirls round with itself: (K - omega^2 M) x = omega^2 U. Above a critical speed
    the sign turns over, and the mass seeks to turn about its own centre.

    Args:
        beam: the beam; its supports must hold it.
        speed_rad_s: how fast it turns; at a critical speed there is no answer.
        off_centre: the unbalance.
        elements: at least so many elements.
    """
    import numpy as np

    nodes, free = nodes_m(beam, elements), _free(beam, nodes_m(beam, elements))
    stiffness, mass = _reduced(beam, elements, whirling=True)
    load = np.zeros(2 * len(nodes))
    for i, (a, b) in enumerate(itertools.pairwise(nodes)):
        if off_centre.from_m < 0.5 * (a + b) < off_centre.to_m:
            # The nodal forces and moments of an even line load that do the same work.
            half, arm = 0.5 * (b - a), (b - a) ** 2 / 12.0
            load[2 * i : 2 * i + 4] += off_centre.unbalance_kg_m_m * np.array(
                (half, arm, half, -arm)
            )
    found = np.zeros(2 * len(nodes))
    found[free] = np.linalg.solve(
        stiffness - speed_rad_s**2 * mass, speed_rad_s**2 * load[free]
    )
    return dict(zip(nodes, (float(x) for x in found[::2]), strict=True))


def _largest(mass: Matrix, stiffness: Matrix, count: int) -> Vector:
    """Return the largest eigenvalues of a mass against a stiffness, the largest first.

    By Cholesky's factor of the stiffness, as LAPACK reduces the generalised symmetric problem
    (xSYGST); numpy is at hand, while scipy takes longer to load than all else takes to compute.
    """
    import numpy as np

    factor = np.asarray(np.linalg.cholesky(stiffness), np.float64)
    whole = _substituted(factor, _substituted(factor, mass).T)
    values = np.asarray(np.linalg.eigvalsh(0.5 * (whole + whole.T)), np.float64)
    return values[::-1][:count]


def _substituted(lower: Matrix, right: Matrix) -> Matrix:
    """Solve a lower triangular system by rows: far more exact than a general solver would."""
    found = right.copy()
    for row, values in enumerate(lower):
        found[row] -= values[:row] @ found[:row]
        found[row] /= values[row]
    return found
