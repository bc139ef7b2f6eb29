"""Every step of a flyer wheel's whorls with its band on it: ratio, slide, whether a loop serves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from wheelgeo.built.band import BuiltBand
from wheelgeo.design.model import Band, Design
from wheelgeo.drive.slides import SlideRange, length_on_slide, slide_range
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.immutable import dataclass

_PASSES = 6
"""Of the secant rule; a path is nearly straight in the travel."""
_ROUNDING = 1e-6
"""A stretch this far outside its range is within it."""


@dataclass(frozen=True)
class WhorlStep:
    """One step of the flyer's whorl, or the bobbin's, or one of each, with its band on it.

    Attributes:
        flyer_whorl: the flyer's pulley; None where no band drives the flyer.
        bobbin_whorl: the bobbin's; None where no band drives the bobbin.
        in_use: the bands lie there today.
        ratio: spindle turns per turn of the drive, slip included; None where nothing turns it.
        slides: the shaft that is slid to tension the band; None where none slides.
        travel_mm: its place along its slide, from the slide's start, with the band as tight as
            today, or at the end that comes nearest to that; None where none slides, or a band has
            no path.
        band_serves: the loops of today serve there, within the stretch that their cords are used
            at; False also where a band has no path there.
    """

    flyer_whorl: str | None
    bobbin_whorl: str | None
    in_use: bool
    ratio: float | None
    slides: str | None
    travel_mm: float | None
    band_serves: bool

    @property
    def whorls(self) -> str:
        """The pulleys that bands lie on."""
        return " and ".join(name for name in (self.flyer_whorl, self.bobbin_whorl) if name)

    @property
    def says(self) -> str:
        """The ratio, where the slide stands, and whether today's band serves, in words."""
        ratio = "no ratio" if self.ratio is None else f"ratio {self.ratio:.2f}"
        at = ""
        if self.travel_mm is not None:
            at = f', "{self.slides}" {self.travel_mm:.1f} mm along its slide'
        serves = "serves" if self.band_serves else "does not serve"
        return f"{ratio}{at}; today's band {serves}"


def whorl_steps(solution: Solution) -> tuple[WhorlStep, ...]:
    """Return every step that bands can lie on, the flyer's in file order, each with the bobbin's.

    Args:
        solution: the solved wheel.

    Returns:
        The steps; empty for what is no flyer wheel, and where there is one step only.
    """
    design = solution.design
    bobbin = design.spindle.bobbin
    if design.spindle.kind != "flyer" or bobbin is None:
        return ()
    used = [_used(solution, shaft) for shaft in (design.spindle.shaft, bobbin)]
    steps = [
        [None] if now is None else [
            p.name for p in design.pulleys_on(shaft) if p.name in (now, *free_steps(design, now))
        ]
        for now, shaft in zip(used, (design.spindle.shaft, bobbin), strict=True)
    ]
    names = [solution.shaft(shaft).driven_by for shaft in (design.spindle.shaft, bobbin)]
    bands = [name for name in dict.fromkeys(names) if name is not None]
    if len(steps[0]) * len(steps[1]) < 2:
        return ()
    return tuple(
        _step(solution, bands, (used[0], used[1]), (flyer, its)) for flyer in steps[0]
        for its in steps[1]
    )  # fmt: skip


def free_steps(design: Design, pulley: str) -> list[str]:
    """Return the other pulleys of the same shaft that no band lies on."""
    taken = {s.pulley for band in design.bands for s in band.route}
    return [p.name for p in design.pulleys_on(design.pulley(pulley).shaft) if p.name not in taken]


Whorls = tuple[str | None, str | None]


def _used(solution: Solution, shaft: str) -> str | None:
    """Return the pulley of a shaft that its driving band lies on."""
    by = solution.shaft(shaft).driven_by
    if by is None:
        return None
    route = solution.design.band(by).route
    return next(s.pulley for s in route if solution.design.pulley(s.pulley).shaft == shaft)


def _step(solution: Solution, names: list[str], now: Whorls, then: Whorls) -> WhorlStep:
    laid = solution if now == then else solve_drive(_laid(solution.design, now, then))
    made = solution.built.bands
    paths = {n: _length(solution, n) for n in names}
    length_at = {n: length_on_slide(laid, n) for n in names}
    ranges = ((n, slide_range(laid, n)) for n in names)
    slides, along = next(((n, found) for n, found in ranges if found is not None), ("", None))
    wanted, place = paths.get(slides), 0.0
    if along is not None and wanted is not None and now != then:
        place = _place(length_at[slides], wanted, along)
    there = {n: length_at[n](place) for n in names}
    serves = all(_serves(made[n], paths[n], there[n]) for n in names)
    shaft = None if along is None else along.shaft
    travel = None if along is None or None in there.values() else place - along.from_mm
    return WhorlStep(*then, now == then, laid.ratio, shaft, travel, serves)


def _laid(design: Design, now: Whorls, then: Whorls) -> Design:
    """Return the wheel with its bands over from some whorls to others."""
    to = {old: new for old, new in zip(now, then, strict=True) if old is not None}

    def over(band: Band) -> Band:
        route = (replace(s, pulley=to.get(s.pulley) or s.pulley) for s in band.route)
        return replace(band, route=tuple(route))

    return replace(design, bands=tuple(over(band) for band in design.bands))


def _length(solution: Solution, name: str) -> float | None:
    path = solution.band(name).path
    return None if path is None else path.length_mm


def _place(
    length_at: Callable[[float], float | None], wanted_mm: float, along: SlideRange
) -> float:
    """Return where along its slide a band's path has a length, or the end nearest to that."""
    low, high = along.from_mm, along.to_mm
    at = (low, along.path_at_from_mm), (high, along.path_at_to_mm)
    known = [(place, length - wanted_mm) for place, length in at if length is not None]
    if len(known) < 2 or known[0][1] == known[1][1]:
        return min(known, key=lambda one: abs(one[1]), default=(0.0, 0.0))[0]
    (before, off_before), (place, off) = known
    for _ in range(_PASSES):
        if off == off_before:
            break
        wished = place - off * (place - before) / (off - off_before)
        before, off_before = place, off
        place = min(max(wished, low), high)
        length = length_at(place)
        if length is None:
            break
        off = length - wanted_mm
    return place


def _serves(made: BuiltBand, today_mm: float | None, then_mm: float | None) -> bool:
    """Tell whether a loop that lies on one path today serves another."""
    if today_mm is None or then_mm is None:
        return False
    usual, stretch = made.usual_stretch.value, made.stretch.value
    then = then_mm / made.cut_length_mm(today_mm) - 1.0
    low, high = min(usual.low, stretch), max(usual.high, stretch)
    return low - _ROUNDING <= then <= high + _ROUNDING
