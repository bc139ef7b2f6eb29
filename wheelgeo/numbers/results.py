"""Every result of a solved wheel by a name that a person can type; a search may aim at each.

They look like the names of inputs: ``ratio``, ``spindle.speed``, ``second band.length``,
``whorl.arriving``, ``drive.turns_per_draw``. Angles are signed, positive along the pulley's axis;
``arriving_back`` is the angle at which the band arrives when the wheel is turned the other way, as
in backing off: the same path run through the other way, so that a leaving run arrives.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace

from wheelgeo.built.kept import kept_with
from wheelgeo.design.drive_parts import COUNTED
from wheelgeo.design.joints import joint_of
from wheelgeo.design.model import Design
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.drive.slides import take_up
from wheelgeo.drive.train import BandMotion, Solution
from wheelgeo.errors import DesignError, Fault, SearchError
from wheelgeo.geometry.path import Path
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.nearest import nearest_keys
from wheelgeo.units import ANGLE_DEG, FORCE_N, LENGTH_MM, SPEED_RPM, Dimension
from wheelgeo.yarn.wheel_wind_on import wheel_wind_on


@dataclass(frozen=True)
class Result:
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


def _result(
    key: str, means: str, quantity: Dimension | None, of: Callable[[Solution], float | None]
) -> Result:
    return Result(key, means, quantity.unit if quantity else "", quantity, of)


def results(design: Design) -> tuple[Result, ...]:
    """Return everything that a search may aim at, in the order whole wheel, shafts, bands.

    Where two results would have one key, each has its full key, with kind and band in front.
    """
    return kept_with(design, "results", lambda: _results(design))


def _results(design: Design) -> tuple[Result, ...]:
    listed = _listed(design)
    short = Counter(result.key for result, _ in listed)
    return tuple(
        result if short[result.key] == 1 else replace(result, key=full)
        for result, full in listed
    )


def find_result(design: Design, key: str) -> Result:
    """Return the result of that key, short or full.

    Raises:
        SearchError: there is none; names the nearest that there are.
    """
    known, asked = _known(design), key.strip()
    found = known.get(asked)
    if found is None:
        near = nearest_keys(asked, known) or [t.key for t in results(design)][:4]
        hint = " or ".join(f'"{k}"' for k in near)
        raise SearchError(f'a search cannot aim at "{key}"; did you mean {hint}?')
    return found if found.key == asked else replace(found, key=asked)


def is_result(design: Design, key: str) -> bool:
    """Tell whether a search may aim at that key."""
    return key.strip() in _known(design)


def _known(design: Design) -> dict[str, Result]:
    """Return every result by its full key, and by its short one where that is no other's."""
    def known() -> dict[str, Result]:
        full = {full: result for result, full in _listed(design)}
        return full | {result.key: result for result in results(design)}

    return kept_with(design, "results by name", known)


def _listed(design: Design) -> list[tuple[Result, str]]:
    """Return every result with its full key, which stays unambiguous whatever the names are."""
    listed = [(result, result.key) for result in _whole(design)]
    listed += [(result, f"shaft:{result.key}") for result in _shafts(design)]
    listed += [(result, f"band:{result.key}") for result in _bands(design)]
    listed += [(result, f"band:{band}/{result.key}") for band, result in _stops(design)]
    return listed


# --- the whole wheel -----------------------------------------------------------------------------


def _whole(design: Design) -> Iterator[Result]:
    turned = COUNTED[design.drive.by]
    yield _result("ratio", f"spindle turns per turn of the {turned}", None, lambda s: s.ratio)
    yield _result(
        "ratio_without_slip",
        "the same for bands that do not slip",
        None,
        lambda s: s.ratio_without_slip,
    )
    if _bobbin_is_led(design):
        yield _result(
            "bobbin_ratio", f"turns of the bobbin per turn of the {turned}, held by no yarn", None,
            _bobbin_ratio,
        )
        yield _result(
            "bobbin_gain", "by how much more the bobbin turns than the flyer per turn of the "
            f"{turned}, which draws the yarn in", None, _bobbin_gain,
        )  # fmt: skip
    if all(shaft.name != "spindle" for shaft in design.shafts):
        yield _result("spindle.speed", "speed of the spindle", SPEED_RPM, _spindle_speed)
    if design.yarn is not None:
        yield _result(
            "drive.turns_per_metre", f"turns of the {turned} per metre of yarn", None, _per_metre
        )
        yield _result("drive.turns_per_draw", f"turns of the {turned} per draw", None, _per_draw)
    if design.spindle.bobbin is not None and design.bobbin is not None:
        for size in ("empty", "full"):
            means = f"pull on the yarn as it is wound on, with the {size} bobbin"
            yield _result(f"yarn.pull_{size}", means, FORCE_N, _pull_with(size))


def _pull_with(size: str) -> Callable[[Solution], float | None]:
    """Return what gives the yarn's pull: the brake's, or that of the whorl that slips."""

    def pull(solution: Solution) -> float | None:
        wind_on = wheel_wind_on(solution)
        braked: float | None = None if wind_on is None else getattr(wind_on, size).yarn_pull_n
        if wind_on is None or braked is not None:
            return braked
        # what a band lets a whorl hold hangs on every pull and bearing: it takes a while to load
        from wheelgeo.drive.running import load_wheel
        from wheelgeo.yarn.head_at_work import flyer_at_work

        work = flyer_at_work(load_wheel(solution.design, solution), wind_on)
        return None if work is None else getattr(work, size).yarn_pull_n

    return pull


def _bobbin_is_led(design: Design) -> bool:
    """Tell whether both flyer and bobbin have a whorl under a band."""
    under = {design.pulley(s.pulley).shaft for b in design.bands for s in b.route}
    return design.spindle.bobbin in under and design.spindle.shaft in under


def _bobbin_ratio(solution: Solution) -> float | None:
    bobbin = solution.design.spindle.bobbin
    turns = None if bobbin is None else solution.shaft(bobbin).turns_per_drive_turn
    return None if turns is None else abs(turns)


def _bobbin_gain(solution: Solution) -> float | None:
    turns, ratio = _bobbin_ratio(solution), solution.ratio
    return None if turns is None or ratio is None else turns - ratio


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


def _shafts(design: Design) -> Iterator[Result]:
    for shaft in design.shafts:
        yield _result(f"{shaft.name}.speed", "speed of the shaft", SPEED_RPM, _speed_of(shaft.name))


def _speed_of(name: str) -> Callable[[Solution], float | None]:
    def speed(solution: Solution) -> float | None:
        rpm = solution.shaft(name).speed_rpm
        return None if rpm is None else abs(rpm)

    return speed


def _bands(design: Design) -> Iterator[Result]:
    for band in design.bands:
        yield _result(
            f"{band.name}.length",
            "length of the band in place",
            LENGTH_MM,
            _of_band(band.name, _length),
        )
        yield _result(
            f"{band.name}.cut_length",
            "length of the band before it is stretched on, without its joint",
            LENGTH_MM,
            _cut_of(band.name, joint=False),
        )
        yield _result(
            f"{band.name}.cut_with_joint",
            "length of cord to cut for the band, its joint included",
            LENGTH_MM,
            _cut_of(band.name, joint=True),
        )
        if tails_mm := joint_of(band.material, band.joined).tails_mm:
            yield _result(
                f"{band.name}.off_reel",
                "length of cord off the reel: as cut, and the ends that its knot is tied by",
                LENGTH_MM,
                _cut_of(band.name, joint=True, tails_mm=tails_mm),
            )
        yield _result(
            f"{band.name}.take_up",
            "by how much the band may grow until it hangs slack, on its slide and by its stretch",
            LENGTH_MM,
            _room_of(band.name),
        )
        yield _result(
            f"{band.name}.speed",
            "speed of the band, m/s",
            None,
            _of_band(band.name, lambda m: m.speed_m_s),
        )


def _length(motion: BandMotion) -> float | None:
    return None if motion.path is None else motion.path.length_mm


def _cut_of(
    name: str, joint: bool, tails_mm: float = 0.0
) -> Callable[[Solution], float | None]:
    """Return what gives the length of cord that a band is cut from, with its joint or without.

    Args:
        name: of the band.
        joint: with its joint.
        tails_mm: what it is tied by besides.
    """

    def cut(solution: Solution) -> float | None:
        motion = solution.band(name)
        if motion.path is None:
            return None
        made, path = solution.built.bands[name], motion.path.length_mm
        return (made.cut_with_joint_mm(path) if joint else made.cut_length_mm(path)) + tails_mm

    return cut


def _room_of(name: str) -> Callable[[Solution], float | None]:
    def room(solution: Solution) -> float | None:
        taken = take_up(solution, name)
        return None if taken is None else taken.room_mm

    return room


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
    (
        "girth", "girth of a thin thread laid in the groove where the band lies", LENGTH_MM,
        lambda m, i: math.pi * (m.seats[i].pitch_diameter_mm - m.band.diameter_mm),
    ),
    ("wrap", "arc of contact", ANGLE_DEG, _on_path(lambda path, i: path.wraps_deg[i])),
    ("arriving", "angle at which the band arrives", ANGLE_DEG, _on_path(Path.arriving_deg)),
    ("leaving", "angle at which the band leaves", ANGLE_DEG, _on_path(Path.leaving_deg)),
    (
        "arriving_back", "angle at which the band arrives in backing off", ANGLE_DEG,
        _on_path(lambda path, i: -path.leaving_deg(i)),
    ),
)  # fmt: skip


def _stops(design: Design) -> Iterator[tuple[str, Result]]:
    """Yield, for each band and stop, the band's name and the result."""
    for band in design.bands:
        for index, stop in enumerate(band.route):
            for name, means, quantity, of in _STOP:
                at = _of_stop(band.name, index, of)
                yield band.name, _result(f"{stop.pulley}.{name}", means, quantity, at)


def _of_stop(band: str, index: int, of: _Of) -> Callable[[Solution], float | None]:
    return lambda solution: of(solution.band(band), index)


def number_of(result: Result, solution: Solution) -> float:
    """Return a result's number; NaN where the wheel has none."""
    value = result.of(solution)
    return math.nan if value is None else value


def result_of(solution: Solution, key: str) -> float | None:
    """Return a result by its name; None where the wheel has none.

    Raises:
        DesignError: there is no result of that name; names the nearest that there are.
    """
    known, asked = _known(solution.design), key.strip()
    if asked not in known:
        near = nearest_keys(asked, known) or ["ratio"]
        hint = " or ".join(f'"{k}"' for k in near)
        fault = Fault(key, "the wheel has no result of that name", f"did you mean {hint}?")
        raise DesignError((fault,))
    return known[asked].of(solution)
