"""How hard a flyer may pull its yarn, and brake, band or core of the bobbin set for it.

The torque on the bobbin is the same from empty to full, so that the yarn is pulled hardest on the
bare core: what it bears there, and what draws it in on the full bobbin, bound the torque.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from wheelgeo.built.as_built import build
from wheelgeo.check.adjustments import Adjustment, Edits, only
from wheelgeo.check.edits import Edit, apply_edits, edit
from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Design
from wheelgeo.drive.running import load_wheel
from wheelgeo.drive.train import solve_drive
from wheelgeo.geometry.groove import GivenPitch
from wheelgeo.immutable import dataclass
from wheelgeo.yarn.fibre import FIBRES, FibreName, singles_strength_n
from wheelgeo.yarn.head_at_work import flyer_at_work
from wheelgeo.yarn.wheel_wind_on import wheel_wind_on

DRAFT_SHARE = 1.0 / 3.0
"""Share of what the weakest such yarn bears with which it is best drawn in; common practice, no
source."""
INSIDE = 0.02
"""How far within its bounds a pull is set, as a fraction."""
_STEP_N = 0.01
_STRETCH_DIGITS = 5
_ROUNDS = 4
_HALF_FULL = math.sqrt(0.5)
"""A core over full diameter with which the bobbin still holds half of what a bare rod would."""


@dataclass(frozen=True)
class PullRoom:
    """Between what the torque that draws yarn in must lie.

    Attributes:
        least_nm: draws in on the full bobbin.
        most_nm: what the weakest such yarn bears on the bare core.
    """

    least_nm: float
    most_nm: float

    @property
    def aim_nm(self) -> float:
        """Return what is best set: a third of what the yarn bears, if that draws in."""
        aim = max(self.most_nm * DRAFT_SHARE, self.least_nm * (1.0 + INSIDE))
        return min(aim, self.most_nm * (1.0 - INSIDE))


def pull_room(design: Design) -> PullRoom | None:
    """Return what the torque on a flyer's bobbin must lie between; None where it is not known."""
    yarn, bobbin = design.yarn, design.bobbin
    if yarn is None or bobbin is None or yarn.fibre not in FIBRES:
        return None
    fibre: FibreName = yarn.fibre  # type: ignore[assignment]
    weakest_n = singles_strength_n(yarn.count, fibre)[0]
    least_n = limit_value("yarn_pull_n", design.limits)
    return PullRoom(least_n * bobbin.full_mm / 2e3, weakest_n * bobbin.empty_mm / 2e3)


def core_that_bears_mm(design: Design) -> float | None:
    """Return the core on which one pull draws in when full and spares the yarn when empty, mm.

    The pull falls from empty to full as the radius grows: least pull over what the yarn bears is
    core over full. Thick enough to draft lightly, where half the bobbin is then still free; else
    just so thick that the yarn bears it. None where it is thick enough, or none would be.
    """
    room, bobbin = pull_room(design), design.bobbin
    if room is None or bobbin is None or room.least_nm <= room.most_nm:
        return None
    bare = bobbin.empty_mm * room.least_nm / room.most_nm * (1.0 + 2.0 * INSIDE)
    light = bare / limit_value("draft_pull_fraction", design.limits)
    core = float(math.ceil(light if light <= _HALF_FULL * bobbin.full_mm else bare))
    return core if core < bobbin.full_mm else None


def with_core(design: Design, core_mm: float | None) -> Design:
    """Return a wheel whose bobbin has another core; the same where there is none to take."""
    if core_mm is None or design.bobbin is None:
        return design
    return replace(design, bobbin=replace(design.bobbin, empty_mm=core_mm))


def brakes_at(
    design: Design, least_nm: float, wanted_nm: float
) -> tuple[tuple[int, float], ...]:
    """Return the pulls of the brakes of one part, set alike to a torque: number from 1, and N.

    Args:
        design: the wheel.
        least_nm: torque that draws in on the full bobbin; near it pulls are rounded up.
        wanted_nm: torque of all of them.
    """
    solution = solve_drive(design)
    held = [
        (number, drag) for number, drag in enumerate(design.drags, start=1)
        if solution.shaft(drag.shaft).driven_by is None
    ]  # fmt: skip
    torque = sum(drag.pull_n * drag.diameter_mm / 2e3 for _, drag in held)
    if torque <= 0.0:
        return ()
    rounded = math.ceil if wanted_nm <= least_nm * (1.0 + 2.0 * INSIDE) else math.floor
    steps = ((n, rounded(d.pull_n * wanted_nm / torque / _STEP_N)) for n, d in held)
    return tuple((number, round(_STEP_N * count, 2)) for number, count in steps)


def whorl_at(
    design: Design, wanted_nm: float, pulled: Callable[[Design, str, float], Design | None]
) -> Design | None:
    """Return a wheel whose whorl that slips holds the bobbin with a torque.

    Args:
        design: the wheel.
        wanted_nm: that torque.
        pulled: makes a wheel with a band, by its name, that pulls so many times as hard; None
            where it cannot be set so.

    Returns:
        The wheel; None where no whorl slips, or ``pulled`` gives none.
    """
    now, arm_m = design, 0.0 if design.bobbin is None else design.bobbin.empty_mm / 2e3
    for _ in range(_ROUNDS):
        solution = solve_drive(now)
        loaded = load_wheel(now, solution)
        work, slips = flyer_at_work(loaded, wheel_wind_on(solution)), loaded.load.whorl_slips
        if work is None or slips is None or not work.empty.yarn_pull_n:
            return None
        # What the whorl holds is nearly in proportion to the band's pull: bearings take a little.
        times = wanted_nm / (work.empty.yarn_pull_n * arm_m)
        set_anew = pulled(now, solution.shaft(slips).driven_by or "", times)
        if set_anew is None:
            return None
        now = set_anew
    return now


def pulled_in_file(design: Design, name: str, times: float) -> Design:
    """Return a wheel with a band that pulls so many times as hard, by the number its file has."""
    band = design.band(name)
    if band.tension is not None:
        tension = replace(band.tension, pull_n=round(band.tension.pull_n * times, 3))
        band = replace(band, tension=tension)
    else:
        stretch = build(design).bands[name].stretch.value
        band = replace(band, stretch=round(stretch * times, _STRETCH_DIGITS))
    return replace(design, bands=tuple(band if b.name == name else b for b in design.bands))


def rounder_whorl(design: Design, name: str) -> Edits:
    """Return the edits that cut a whorl's groove round, at its pitch: a cord lies in it unwedged.

    Empty where it is round or flat already, or no cord lies on it.
    """
    groove, cord = design.pulley(name).groove, design.cord_on(name)
    if groove.lies_free or cord == 0.0:
        return ()
    pitch = GivenPitch(round(groove.seat(cord).pitch_diameter_mm, 2))
    return (edit(design, "pulley", name, "groove", pitch.to_cut(cord)),)


def aimed_pull(design: Design, first: Edits = ()) -> Iterator[Adjustment]:
    """Yield the way to set brake or band so that the yarn is pulled as it is best drawn in.

    With a thicker core where the bobbin's is too thin for any pull to draw in when full and spare
    the yarn when empty: the pull alone would mend the one and bring the other.

    Args:
        design: the wheel.
        first: what else is to be set with it.
    """
    core = core_that_bears_mm(design)
    cored = with_core(apply_edits(design, first), core)
    room = pull_room(cored)
    if room is None or room.least_nm > room.most_nm:
        return
    if wheel_brakes(design):
        edits = tuple(
            edit(design, "drag", str(number), "pull", pull)
            for number, pull in brakes_at(cored, room.least_nm, room.aim_nm)
        )
        if edits:
            yield only(*first, *_core_edit(design, core), *edits)
        return

    def band_edits(_: float) -> Edits | None:
        made = whorl_at(cored, room.aim_nm, pulled_in_file)
        told = () if made is None else tuple(_band_edits(design, made))
        return (*first, *_core_edit(design, core), *told) if told else None

    yield Adjustment(band_edits, 1.0, 1.0)


def wheel_brakes(design: Design) -> bool:
    """Tell whether a brake makes flyer and bobbin of a wheel differ."""
    wound = wheel_wind_on(solve_drive(design))
    return wound is not None and wound.by in ("bobbin brake", "flyer brake")


def _core_edit(design: Design, core_mm: float | None) -> tuple[Edit, ...]:
    return () if core_mm is None else (edit(design, "bobbin", "", "empty", core_mm),)


def _band_edits(before: Design, after: Design) -> Iterator[Edit]:
    """Yield the edits of the bands that pull otherwise, with the pull rounded as it is read."""
    for one, other in zip(before.bands, after.bands, strict=True):
        if one.tension != other.tension and other.tension is not None:
            yield edit(before, "band", one.name, "pull", round(other.tension.pull_n, 2))
        elif one.stretch != other.stretch and other.stretch is not None:
            yield edit(before, "band", one.name, "stretch", round(other.stretch, 4))
