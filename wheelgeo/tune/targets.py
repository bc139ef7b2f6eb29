"""What a search may aim at: every result of a solved wheel by a key that a person can type.

Keys look like those of ``parameters``: ``ratio``, ``spindle.speed``, ``second band.length``,
``whorl.arriving``, ``drive.turns_per_draw``. Angles are signed, positive along the pulley's axis;
``arriving_back`` is the angle at which the band arrives when the wheel is turned the other way, as
in backing off: the same path run through the other way, so that a leaving run arrives.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from wheelgeo.design.model import Design
from wheelgeo.drive.train import BandMotion, Solution
from wheelgeo.errors import SearchError
from wheelgeo.geometry.path import Path
from wheelgeo.tune.parameters import nearest_keys
from wheelgeo.units import ANGLE_DEG, LENGTH_MM, SPEED_RPM, Dimension
from wheelgeo.yarn.twist import wanted_turns_per_metre


@dataclass(frozen=True, slots=True)
class Target:
    """One result of a solved wheel.

    Attributes:
        key: its key.
        means: what it is, in plain words.
        unit: its unit; empty where it has none.
        quantity: the units in which a person may write it; None: a bare number.
        of: the number, from the solution; None where it cannot be had.
    """

    key: str
    means: str
    unit: str
    quantity: Dimension | None
    of: Callable[[Solution], float | None]


def _target(
    key: str, means: str, quantity: Dimension | None, of: Callable[[Solution], float | None]
) -> Target:
    return Target(key, means, quantity.unit if quantity else "", quantity, of)


def targets(design: Design) -> tuple[Target, ...]:
    """Return everything that a search may aim at, in the order whole wheel, shafts, bands.

    Where two results would have one key, each has its full key, with kind and band in front.
    """
    listed = _listed(design)
    short = [target.key for target, _ in listed]
    return tuple(
        target if short.count(target.key) == 1 else replace(target, key=full)
        for target, full in listed
    )


def find_target(design: Design, key: str) -> Target:
    """Return the target of that key, short or full.

    Raises:
        SearchError: there is none; names the nearest that there are.
    """
    known = {full: replace(target, key=full) for target, full in _listed(design)}
    known |= {target.key: target for target in targets(design)}
    found = known.get(key.strip())
    if found is None:
        near = nearest_keys(key.strip(), known) or [t.key for t in targets(design)][:4]
        hint = " or ".join(f'"{k}"' for k in near)
        raise SearchError(f'a search cannot aim at "{key}"; did you mean {hint}?')
    return found


def is_target(design: Design, key: str) -> bool:
    """Tell whether a search may aim at that key."""
    return any(key.strip() in (target.key, full) for target, full in _listed(design))


def _listed(design: Design) -> list[tuple[Target, str]]:
    """Return every target with its full key, which stays unambiguous whatever the names are."""
    listed = [(target, target.key) for target in _whole(design)]
    listed += [(target, f"shaft:{target.key}") for target in _shafts(design)]
    listed += [(target, f"band:{target.key}") for target in _bands(design)]
    listed += [(target, f"band:{band}/{target.key}") for band, target in _stops(design)]
    return listed


# --- the whole wheel -----------------------------------------------------------------------------


def _whole(design: Design) -> Iterator[Target]:
    yield _target("ratio", "spindle turns per turn of the hand", None, lambda s: s.ratio)
    yield _target(
        "ratio_without_slip",
        "the same for bands that do not slip",
        None,
        lambda s: s.ratio_without_slip,
    )
    if all(shaft.name != "spindle" for shaft in design.shafts):
        yield _target("spindle.speed", "speed of the spindle", SPEED_RPM, _spindle_speed)
    if design.yarn is not None:
        yield _target(
            "drive.turns_per_metre", "turns of the hand per metre of yarn", None, _per_metre
        )
        yield _target("drive.turns_per_draw", "turns of the hand per draw", None, _per_draw)


def _spindle_speed(solution: Solution) -> float | None:
    speed = solution.spindle.speed_rpm
    return None if speed is None else abs(speed)


def _per_metre(solution: Solution) -> float | None:
    yarn, ratio = solution.design.yarn, solution.ratio
    wanted = None if yarn is None else wanted_turns_per_metre(yarn)
    return None if wanted is None or not ratio else wanted / ratio


def _per_draw(solution: Solution) -> float | None:
    turns, yarn = _per_metre(solution), solution.design.yarn
    draw = None if yarn is None else yarn.draw_mm
    return None if turns is None or draw is None else turns * draw / 1000.0


# --- shafts and bands ----------------------------------------------------------------------------


def _shafts(design: Design) -> Iterator[Target]:
    for shaft in design.shafts:
        yield _target(f"{shaft.name}.speed", "speed of the shaft", SPEED_RPM, _speed_of(shaft.name))


def _speed_of(name: str) -> Callable[[Solution], float | None]:
    def speed(solution: Solution) -> float | None:
        rpm = solution.shaft(name).speed_rpm
        return None if rpm is None else abs(rpm)

    return speed


def _bands(design: Design) -> Iterator[Target]:
    for band in design.bands:
        yield _target(
            f"{band.name}.length",
            "length of the band in place",
            LENGTH_MM,
            _of_band(band.name, _length),
        )
        yield _target(
            f"{band.name}.cut_length",
            "length of the band before it is stretched on",
            LENGTH_MM,
            _of_band(band.name, _cut_length),
        )
        yield _target(
            f"{band.name}.speed",
            "speed of the band, m/s",
            None,
            _of_band(band.name, lambda m: m.speed_m_s),
        )


def _length(motion: BandMotion) -> float | None:
    return None if motion.path is None else motion.path.length_mm


def _cut_length(motion: BandMotion) -> float | None:
    length = _length(motion)
    return None if length is None else length / (1.0 + (motion.band.stretch or 0.0))


def _of_band(
    name: str, of: Callable[[BandMotion], float | None]
) -> Callable[[Solution], float | None]:
    return lambda solution: of(solution.band(name))


# --- where a band meets a pulley -----------------------------------------------------------------

_Of = Callable[[BandMotion, int], float | None]


def _on_path(of: Callable[[Path, int], float]) -> _Of:
    """Return what a path gives at a stop; None where there is no path."""
    return lambda motion, index: None if motion.path is None else of(motion.path, index)


_STOP: tuple[tuple[str, str, Dimension, _Of], ...] = (
    ("pitch", "pitch diameter", LENGTH_MM, lambda m, i: m.seats[i].pitch_diameter_mm),
    ("wrap", "arc of contact", ANGLE_DEG, _on_path(lambda path, i: path.wraps_deg[i])),
    ("arriving", "angle at which the band arrives", ANGLE_DEG, _on_path(Path.arriving_deg)),
    ("leaving", "angle at which the band leaves", ANGLE_DEG, _on_path(Path.leaving_deg)),
    (
        "arriving_back", "angle at which the band arrives in backing off", ANGLE_DEG,
        _on_path(lambda path, i: -path.leaving_deg(i)),
    ),
)  # fmt: skip


def _stops(design: Design) -> Iterator[tuple[str, Target]]:
    """Yield, for each band and stop, the band's name and the target."""
    for band in design.bands:
        for index, stop in enumerate(band.route):
            for name, means, quantity, of in _STOP:
                at = _of_stop(band.name, index, of)
                yield band.name, _target(f"{stop.pulley}.{name}", means, quantity, at)


def _of_stop(band: str, index: int, of: _Of) -> Callable[[Solution], float | None]:
    return lambda solution: of(solution.band(band), index)


def number_of(target: Target, solution: Solution) -> float:
    """Return a target's number; NaN where the wheel has none."""
    value = target.of(solution)
    return math.nan if value is None else value
