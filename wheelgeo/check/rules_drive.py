"""Rules on the train and on twist: what turns what, and which way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelgeo.check.adjustments import Adjustment, grown, move_apart, only, other_run
from wheelgeo.check.edits import Edit, edit
from wheelgeo.check.finding import Finding, Looking, Mend, advice
from wheelgeo.check.remedies import mend, mend_by_each
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.counts import convert, metric_count
from wheelgeo.design.limits import LIMITS, PRACTICE
from wheelgeo.design.model import Band, Design, Fineness, Turning
from wheelgeo.design.twist import direction, factor_from_turns, wanted_turns_per_metre
from wheelgeo.drive.lay import laid_other_way, last_band, lays_of, other_lay
from wheelgeo.drive.train import Fight
from wheelgeo.units.in_full import figures, full, part_of, plain
from wheelgeo.yarn.fibre import FIBRES, LEAST_FIBRES_SOURCE, usual_twist_per_metre

MECHANICS = "kinematics of belt drives"
ISO_TWIST = "ISO 2: direction of twist"
SILENT = "what the design file says"


def undriven_shafts(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Name every shaft that no band drives, the spindle apart."""
    for shaft in wheel.solution.shafts:
        if shaft.speed_rpm is None and shaft.name != wheel.design.spindle.shaft:
            yield Finding(
                "shaft-not-driven", "fault", f'shaft "{shaft.name}"', None, None, "",
                f'nothing drives shaft "{shaft.name}": no band leads to it from '
                f'"{wheel.design.drive.shaft}"{_idle_bands(wheel, shaft.name)}',
                MECHANICS, advice("lead a band to one of its pulleys, or leave the shaft out"),
            )  # fmt: skip


def spindle_reached(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say that the spindle does not turn, and where the chain of bands ends."""
    if wheel.solution.ratio is not None:
        return
    spindle = wheel.design.spindle.shaft
    turning = [f'"{s.name}"' for s in wheel.solution.shafts if s.speed_rpm is not None]
    reach = (
        f"from {turning[0]} no band leads on" if len(turning) == 1
        else f"the bands reach only {' and '.join(turning)}"
    )  # fmt: skip
    yield Finding(
        "spindle-not-reached", "fault", f'shaft "{spindle}"', None, None, "",
        f"the spindle is not driven: {reach}; ratio, spindle speed and twist cannot be computed"
        f"{_idle_bands(wheel, spindle)}",
        MECHANICS,
        advice(
            "lead a band from one of the shafts that turn to a pulley on the spindle"
        ),
    )  # fmt: skip


def _idle_bands(wheel: WheelUnderCheck, shaft: str) -> str:
    """Say which bands on a shaft have no speed, since nothing drives them."""
    pulleys = {p.name for p in wheel.design.pulleys_on(shaft)}
    idle = [
        f'"{m.band.name}"'
        for m in wheel.solution.bands
        if m.driver is None and any(s.pulley in pulleys for s in m.band.route)
    ]
    if len(idle) == 1:
        return f"; band {idle[0]} stands still"
    return f"; bands {' and '.join(idle)} stand still" if idle else ""


def bands_fight(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which two bands ask different speeds of one shaft."""
    for fight in wheel.solution.fights:
        known, asked = fight.speeds_rpm
        where = f'shaft "{fight.shaft}"'
        yield Finding(
            "bands-fight", "fault", where, asked, known, "rpm", _fight_in_words(wheel, fight),
            MECHANICS,
            mend(
                wheel, bands_fight, _ways_to_agree(wheel, fight),
                "take one of the two off, or give both the same ratio",
            ),
        )  # fmt: skip


def _fight_in_words(wheel: WheelUnderCheck, fight: Fight) -> str:
    known, asked = (f"{plain(v, 1)} rpm" for v in fight.speeds_rpm)
    one, other = fight.bands
    if fight.shaft == wheel.design.drive.shaft and one == other:
        return f'band "{other}" asks {asked} of shaft "{fight.shaft}", which is turned at {known}'
    if one == other:
        return f'band "{one}" asks two speeds of shaft "{fight.shaft}": {known} and {asked}'
    return f'bands "{one}" and "{other}" fight over shaft "{fight.shaft}": {known} and {asked}'


def _ways_to_agree(wheel: WheelUnderCheck, fight: Fight) -> Iterator[Adjustment]:
    """Yield other sizes of the fighting pulleys, and the other run of either band."""
    design = wheel.design
    motion = wheel.solution.band(fight.bands[1])
    factor = abs(fight.speeds_rpm[1] / fight.speeds_rpm[0])
    for index, stop in enumerate(motion.band.route):
        pulley = design.pulley(stop.pulley)
        if pulley.shaft == fight.shaft and index != motion.driver:
            pitch_mm = motion.seats[index].pitch_diameter_mm
            yield grown(design, pulley.name, pitch_mm * (factor - 1.0))
    for name in dict.fromkeys(fight.bands):
        yield from other_run(design, design.band(name))


def no_path(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say between which two pulleys no run is possible, and by how much."""
    for motion in wheel.solution.bands:
        error = motion.no_path
        if error is not None:
            where = f'band "{motion.band.name}"'
            yield Finding(
                "no-path", "fault", where, -error.shortfall_mm, 0.0, "mm",
                f"{where} has no path: {error}; its length, runs, wraps and angles cannot be "
                "computed",
                "a run must touch both pitch circles",
                mend(
                    wheel, no_path, _ways_apart(wheel, error.first, error.second),
                    f'move "{error.first}" and "{error.second}" further apart, or make one of '
                    "them smaller",
                ),
            )  # fmt: skip


def _ways_apart(wheel: WheelUnderCheck, first: str, second: str) -> Iterator[Adjustment]:
    one, other = (wheel.design.pulley(name).shaft for name in (first, second))
    yield from move_apart(wheel.design, other, one)
    yield from move_apart(wheel.design, one, other)


def route_backwards(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say that a route looks written against the travel of its band."""
    for motion in wheel.solution.bands:
        if motion.shorter_backwards_mm > 0.0:
            where = f'band "{motion.band.name}"'
            yield Finding(
                "route-backwards", "warning", where, motion.shorter_backwards_mm, 0.0, "mm",
                f"the route of {where} looks written backwards: solved as written, the band winds "
                f"round its pulleys from inside and is {full(motion.shorter_backwards_mm, 1)} mm "
                "longer than the other way round",
                MECHANICS,
                mend(
                    wheel, route_backwards, [only(_other_way_round(wheel.design, motion.band))],
                    "write the route in the order in which the moving band meets its pulleys",
                ),
            )  # fmt: skip


def _other_way_round(design: Design, band: Band) -> Edit:
    """Write a route in the opposite order; its first pulley, which the others refer to, stays."""
    first, *rest = band.route
    return edit(design, "band", band.name, "route", (first, *reversed(rest)))


def several_runs(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where two pulleys allow more than one run, so that the longest was taken."""
    for motion in wheel.paths():
        assert motion.path is not None
        for run in motion.path.runs:
            if run.choices > 1:
                one, other = (motion.band.route[i].pulley for i in (run.first, run.second))
                where = f'band "{motion.band.name}" from "{one}" to "{other}"'
                yield Finding(
                    "several-runs", "note", where, run.choices, 1, "runs",
                    f'between "{one}" and "{other}" {run.choices} runs are possible; the '
                    "longest was taken, the one that stays when the pulleys are drawn apart",
                    "count of the roots of the tangency equations",
                    mend(
                        wheel, several_runs, _ways_apart(wheel, one, other),
                        "move the two pulleys further apart",
                    ),
                )  # fmt: skip


def no_yarn(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which twist numbers cannot be computed because the file is silent."""
    yarn = wheel.design.yarn
    if yarn is None:
        yield _silent(
            "yarn-not-given",
            "the file says nothing of the yarn: whether the twist is the wanted one, and how much "
            "of it, cannot be said",
            "add the yarn: its count, fibre, twist and turns_per_metre",
        )
        return
    if wanted_turns_per_metre(yarn) is None:
        yield _silent(
            "twist-not-given",
            "the file gives neither turns_per_metre nor twist_factor: turns of the hand per metre "
            "and per draw cannot be said",
            "give one of the two with the yarn",
        )
    if yarn.draw_mm is None:
        yield _silent(
            "draw-not-given",
            "the file does not say how long a draw is: turns of the hand per draw cannot be said",
            "give the length of a draw (yarn.draw)",
        )


def _silent(rule: str, says: str, add: str) -> Finding:
    return Finding(rule, "note", "yarn", None, None, "", says, SILENT, advice(add))


def twist_unusual(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn of a twist so far from the usual that its unit was probably meant otherwise."""
    yarn = wheel.design.yarn
    per_metre = None if yarn is None else wanted_turns_per_metre(yarn)
    if yarn is None or per_metre is None:
        return
    factor = factor_from_turns(per_metre, convert(yarn.count, "Nm"))
    least, most = wheel.limit("least_twist_factor"), wheel.limit("greatest_twist_factor")
    if least <= factor <= most:
        return
    limit = least if factor < least else most
    root = metric_count(yarn.count) ** 0.5
    yield Finding(
        "twist-unusual", "warning", "yarn", factor, limit, "turns/m/sqrt(Nm)",
        f"{per_metre:.0f} turns per metre is far from what such a yarn bears: its metric twist "
        f"factor is {factor:.0f}, and yarns keep between {least:g} and {most:g}",
        LIMITS["least_twist_factor"].source,
        advice(
            f"ask for {least * root:.0f} to {most * root:.0f} turns per metre; a twist_factor is "
            "read by the count's system: turns per metre with Nm, per inch with Ne, per centimetre "
            "with tex"
        ),
    )  # fmt: skip


def too_few_fibres(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn of a yarn so fine that too few of its fibres lie side by side to hold together."""
    yarn = wheel.design.yarn
    if yarn is None:
        return
    from wheelgeo.check.answer_yarn import fibres_of  # which much hangs on

    # Where the file is silent the finest there are are taken: what those cannot make, none can.
    finest = None
    if yarn.fineness is None and yarn.fibre in FIBRES:
        finest = FIBRES[yarn.fibre].finest_dtex  # type: ignore[index]
        yarn = replace(yarn, fineness=Fineness(finest, "dtex"))
    fibres = fibres_of(yarn, wheel.design.limits, wheel.design.fibres)
    if fibres is None or fibres.in_section >= fibres.least:
        return
    hand = yarn.method == "hand"
    of = "" if finest is None else f"even of the finest {yarn.fibre}, {finest:g} dtex, "
    source = LIMITS["least_fibres"].source if hand else LEAST_FIBRES_SOURCE
    dtex = figures(fibres.fineness_dtex * fibres.in_section / fibres.least)
    finer = f", or take finer fibres: {dtex} dtex or less" if finest is None else ""
    yield Finding(
        "too-few-fibres", "warning", "yarn", fibres.in_section, fibres.least, "",
        f"{of}only {fibres.in_section:.0f} fibres lie side by side in the yarn; spun by "
        f"{yarn.method} it takes {fibres.least:.0f}",
        source if finest is None else f"{source}; finest fibres: from memory",
        advice(f"spin {figures(fibres.finest_count_nm, 3)} Nm or coarser{finer}"),
    )  # fmt: skip


def fineness_unknown(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note a fineness in um of a fibre whose density the file does not give."""
    design, yarn = wheel.design, wheel.design.yarn
    if yarn is None or yarn.fineness is None:
        return
    from wheelgeo.check.answer_yarn import fibres_of  # which much hangs on

    if fibres_of(yarn, design.limits, design.fibres):
        return
    yield _silent(
        "fineness-unknown",
        f"how many fibres lie in the yarn cannot be said: the density of {yarn.fibre} is not known",
        "add that fibre with its density in kg/m3, or its fineness in dtex",
    )


def twist_for_use(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note a twist outside the usual for that fibre and use."""
    yarn = wheel.design.yarn
    turns = None if yarn is None else wanted_turns_per_metre(yarn)
    mine = {fibre.name for fibre in wheel.design.fibres}
    if yarn is None or turns is None or yarn.use is None or yarn.fibre in mine:
        return
    low, high = usual_twist_per_metre(metric_count(yarn.count), yarn.fibre, yarn.use)  # type: ignore[arg-type]
    if low <= turns <= high:
        return
    yield Finding(
        "twist-for-use", "note", "yarn", turns, low if turns < low else high, "turns/m",
        f"{turns:.0f} turns per metre is {'less' if turns < low else 'more'} than {yarn.fibre} of "
        f"that count usually has for {yarn.use}: {low:.0f} to {high:.0f}",
        PRACTICE,
        advice(f"ask for {low:.0f} to {high:.0f} turns per metre, or leave use out"),
    )  # fmt: skip


def wrong_twist(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say that the twist comes out the other way, and the smallest change that turns it."""
    yarn, speed = wheel.design.yarn, wheel.solution.spindle.speed_rpm
    if yarn is None or speed is None or direction(speed) == yarn.twist:
        return
    other = _opposite(wheel.design.drive.turns)
    yield Finding(
        "wrong-twist", "fault", "twist", None, None, "",
        f"the yarn comes out {direction(speed)}, and {yarn.twist} is wanted: the spindle turns "
        f"{wheel.solution.spindle_turns} as seen from the yarn{_at_the_band(wheel)}",
        ISO_TWIST,
        _with_pathless(
            wheel,
            mend_by_each(
                wheel, wrong_twist, _ways_to_turn_it(wheel),
                f"turn the drive {other}, or cross one band more", _twist_after,
            ),
        ),
    )  # fmt: skip


def _opposite(turns: Turning) -> Turning:
    return "clockwise" if turns == "counter-clockwise" else "counter-clockwise"


def _ways_to_turn_it(wheel: WheelUnderCheck) -> Iterator[Adjustment]:
    """Yield the changes that turn the twist: turn the hand, cross a band, lead its other run."""
    yield _turn_hand(wheel.design)
    solution, design = wheel.solution, wheel.design
    bobbin = design.spindle.bobbin
    beside = None if bobbin is None else solution.shaft(bobbin).driven_by
    for motion in solution.bands:
        name = motion.band.name
        if name in solution.to_spindle:
            # A bobbin that has a band of its own is turned with the flyer, or winds nothing on.
            alike = name == last_band(solution) and beside not in (None, *solution.to_spindle)
            bands = (name, beside or "") if alike else (name,)
            yield only(*(e for each in bands for e in _lay_other_way(wheel, each)))


def _lay_other_way(wheel: WheelUnderCheck, name: str) -> tuple[Edit, ...]:
    """Return the edits that lay a band the other way over all that it drives."""
    band = wheel.design.band(name)
    if len(band.route) == 2:
        return tuple(e for way in other_run(wheel.design, band) for e in way.edits(1.0) or ())
    route = laid_other_way(wheel.solution, name).band(name).route
    return (edit(wheel.design, "band", name, "route", route),)


def _turn_hand(design: Design) -> Adjustment:
    """Turn the drive the other way; a route of three or more is then met in the other order."""
    turned = [_other_way_round(design, band) for band in design.bands if len(band.route) > 2]
    return only(edit(design, "drive", "", "turns", _opposite(design.drive.turns)), *turned)


def _at_the_band(wheel: WheelUnderCheck) -> str:
    """Say by which part of the last band it is seen."""
    band = last_band(wheel.solution)
    lays = () if band is None else lays_of(wheel.solution, band)
    return "" if not lays else f" ({lays[0].passes})"


def _with_pathless(wheel: WheelUnderCheck, look: Mend) -> Mend:
    """Add to a remedy which band cannot be laid the other way, and why."""

    def told(finding: Finding) -> Looking:
        found = yield from look(finding)
        cannot = [
            f'; band "{name}" {other.how} is no way: {other.no_path}'
            for name in sorted(wheel.solution.to_spindle)
            if (other := other_lay(wheel.solution, name)) is not None and other.no_path
        ]
        return replace(found, says=part_of(found.says) + "".join(cannot))

    return told


def _twist_after(changed: WheelUnderCheck) -> str:
    """Say how true the bands of a changed wheel arrive, and which way it backs off."""
    paths = [motion.path for motion in changed.paths() if motion.path is not None]
    stops = [(path, i) for path in paths for i in range(len(path.circles))]
    if not stops:
        return ""
    spinning = max(abs(path.arriving_deg(i)) for path, i in stops)
    back = max(abs(path.leaving_deg(i)) for path, i in stops)
    turns = _opposite(changed.design.drive.turns)
    limit = changed.limit("arriving_deg")
    flyer = changed.design.spindle.kind == "flyer"
    return (
        f"with which bands arrive {_true(spinning, limit)} in spinning, and {_true(back, limit)} "
        f"in {'plying' if flyer else 'backing off'} (drive {turns})"
    )


def _true(angle_deg: float, limit_deg: float) -> str:
    far = "true" if angle_deg <= limit_deg else "too far off the mid-plane"
    return f"{far}, at most {angle_deg:.1f}° off"
