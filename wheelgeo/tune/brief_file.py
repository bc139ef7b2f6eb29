"""Read a brief: all its faults at once, or the brief."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from wheelgeo.design.bounds import wrong_values
from wheelgeo.design.from_toml import Reading
from wheelgeo.design.key_places import FILE, Located, as_written, in_file_order
from wheelgeo.design.materials import BEARINGS, MATERIALS, find_bearing, find_material
from wheelgeo.design.model import Spindle, Yarn
from wheelgeo.design.possible_drive import span
from wheelgeo.design.reader import is_wheel, parse_toml, read_text, unit_of
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.errors import DesignError, Fault, SearchError
from wheelgeo.tune.brief import Brief, Rods, Sizes
from wheelgeo.tune.brief_grooves import disc_groove, holds, least_disc_mm
from wheelgeo.tune.brief_tables import BRIEF, PART_SIZES, BriefTables, SizeRange
from wheelgeo.tune.makeable import Makeable
from wheelgeo.units.wording import suggestion

MOST_PLACES = 250_000
"""Places for a shaft on the grid; a step that makes more was written by mistake."""
MOST_PAIRS = 250_000
"""Pairs of rims of the two discs, and of the two small pulleys; likewise."""
SHEET_MARGIN_MM = 5.0
"""Left at each edge of a sheet that a disc is cut from, mm; common practice, no source."""


def read_brief(path: Path) -> Brief:
    """Read the brief at a path; see ``parse_brief``."""
    return parse_brief(read_text(path), str(path))


def parse_brief(text: str, source: str = "") -> Brief:
    """Read a brief from the text of its file.

    Args:
        text: the TOML text.
        source: name of the file, for messages.

    Returns:
        The brief; lengths in mm, angles in degrees, speeds in rpm.

    Raises:
        DesignError: the text is at fault; holds every fault found.
    """
    raw = parse_toml(text, source)
    if is_wheel(raw):
        says, remedy = "it is a wheel, not a brief", "wheelgeo solve, check, run and make read it"
        raise DesignError((Fault(FILE, says, remedy),), source)
    reading = Reading(BRIEF, unit_of(raw))
    parsed: BriefTables = reading.file(raw)
    wrong = wrong_values(BRIEF, parsed, (), lambda place: as_written(raw, place))
    faults = [*reading.faults, *wrong] or list(_cross_check(parsed))
    if faults:
        raise DesignError(in_file_order(faults, raw), source)
    return _build(parsed)


def _cross_check(parsed: BriefTables) -> Iterator[Located]:
    yield from _ratio_faults(parsed)
    yield from _stage_faults(parsed)
    yield from _cord_faults(parsed)
    yield from _size_faults(parsed)
    yield from _sheet_faults(parsed)
    yield from _count_faults(parsed)
    for index, bearing in enumerate(parsed.spindle.bearings):
        if find_bearing(bearing.kind) is None:
            here = ("spindle", "bearings", index, "kind")
            known = [pair.name for pair in BEARINGS]
            yield here, f'"{bearing.kind}" is not known', suggestion(bearing.kind, known)
    if parsed.spindle.cop is not None:
        yield from span(("spindle", "cop"), parsed.spindle.cop.from_mm, parsed.spindle.cop.to_mm)
    if len(set(parsed.matters)) < len(parsed.matters):
        yield (("matters",), "a word stands there twice", "name each once")


def _ratio_faults(parsed: BriefTables) -> Iterator[Located]:
    yarn, seconds = parsed.yarn, parsed.hand.seconds_per_draw
    if yarn.turns_per_metre is not None and yarn.twist_factor is not None:
        yield (("yarn",), "turns_per_metre and twist_factor stand both", "keep one")
    if (parsed.ratio is None) == (seconds is None):
        yield (
            (), "there must be either a ratio or the time of a draw",
            "give ratio, or seconds_per_draw under [hand]",
        )  # fmt: skip
    if seconds is not None and wanted(yarn) is None:
        yield (("yarn",), "no twist is given", "add turns_per_metre or twist_factor")
    if seconds is not None and yarn.draw_mm is None:
        yield (("yarn",), "no draw is given", "add for example draw = 600")


def wanted(yarn: Any) -> float | None:
    """Return 1.0 where the table of a yarn gives a twist, None where it gives none."""
    return None if yarn.turns_per_metre is None and yarn.twist_factor is None else 1.0


def _stage_faults(parsed: BriefTables) -> Iterator[Located]:
    for name in ("hub", "accelerator"):
        given = getattr(parsed.sizes, name) is not None
        if given and parsed.stages == 1:
            yield (("sizes", name), "a wheel of one stage has none", "leave it out")
        if not given and parsed.stages == 2:
            yield (("sizes", name), "it is missing", f"add for example {name} = [14, 16, 18]")


def _cord_faults(parsed: BriefTables) -> Iterator[Located]:
    if not parsed.cord:
        yield (("cord",), "there is no cord", "add at least one table [[cord]]")
    names = [c.name for c in parsed.cord]
    known = [m.name for m in MATERIALS if m.kind == "cord"]
    for index, cord in enumerate(parsed.cord):
        if names.index(cord.name) < index:
            yield (("cord", index, "name"), "another cord has that name", "rename it")
        material = find_material(cord.material)
        if material is None or material.kind != "cord":
            says = f'"{cord.material}" is no known cord'
            yield (("cord", index, "material"), says, suggestion(cord.material, known))


def _sheet_faults(parsed: BriefTables) -> Iterator[Located]:
    """Say that the sheet is too thin for the groove of every cord."""
    if not parsed.sheet or not parsed.cord:
        return
    thickness = parsed.sheet[0].thickness_mm
    if not any(holds(disc_groove(1e3, c.diameter_mm), thickness) for c in parsed.cord):
        least = min(least_disc_mm(disc_groove(1e3, c.diameter_mm)) for c in parsed.cord)
        yield (
            ("sheet", 0, "thickness"), f"{thickness:g} mm hold the groove of no cord at hand",
            f"take a sheet of {least:.1f} mm or more, or a thinner cord",
        )  # fmt: skip


def _size_faults(parsed: BriefTables) -> Iterator[Located]:
    for name in PART_SIZES:
        given: SizeRange | None = getattr(parsed.sizes, name)
        if given is None:
            continue
        place = ("sizes", name)
        by_range = (given.from_, given.to, given.step)
        if given.sizes is None and None in by_range:
            yield (
                place, "neither a list nor a whole range",
                "write [ … ], or from, to and step",
            )  # fmt: skip
        elif given.sizes is not None and by_range != (None, None, None):
            yield (place, "a list and a range stand both", "keep one of the two")
        elif given.from_ is not None and given.to is not None and given.from_ > given.to:
            yield from span(place, given.from_, given.to)
        else:
            yield from _unmakeable(parsed, name, given)


def _count_faults(parsed: BriefTables) -> Iterator[Located]:
    """Say that a step is so fine that there is no end to the combinations."""
    step = parsed.sizes.place
    places = math.ceil(parsed.case.inside[0] / step) * math.ceil(parsed.case.inside[1] / step)
    if places > MOST_PLACES:
        yield (
            ("sizes", "place"), f"a step of {step:g} mm makes {places} places for each shaft",
            f"take a coarser step; {MOST_PLACES} places are allowed",
        )  # fmt: skip
    for first, second in (("wheel", "accelerator"), ("hub", "whorl")):
        pairs = _how_many(parsed, first) * _how_many(parsed, second)
        if pairs > MOST_PAIRS:
            yield (
                ("sizes", first), f'with "{second}" these make {pairs} pairs of rims',
                f"take coarser steps; {MOST_PAIRS} pairs are allowed",
            )  # fmt: skip


def _how_many(parsed: BriefTables, name: str) -> int:
    """Return how many sizes a part has; 1 where it has none, or where that is a fault already."""
    given: SizeRange | None = getattr(parsed.sizes, name)
    by_range = given is not None and None not in (given.from_, given.to, given.step)
    if given is None or (given.sizes is None and not by_range):
        return 1
    try:
        return max(len(_sizes(parsed, name)), 1)
    except SearchError:
        return 1


def _unmakeable(parsed: BriefTables, name: str, given: SizeRange) -> Iterator[Located]:
    try:
        sizes = _all_sizes(given)
    except SearchError as error:
        yield (("sizes", name), str(error), "")
        return
    largest = _largest(parsed, name)
    if not any(s <= largest for s in sizes):
        what = "sheets" if name in ("wheel", "accelerator") else "stock and the case"
        yield (
            ("sizes", name), f"no size is left: the {what} give at most {largest:g} mm",
            "make it smaller",
        )  # fmt: skip


def _all_sizes(given: SizeRange) -> tuple[float, ...]:
    if given.sizes is not None:
        return tuple(sorted({round(s, 9) for s in given.sizes}))
    assert given.from_ is not None
    assert given.to is not None
    assert given.step is not None
    first, step = given.from_, given.step
    steps = Makeable(step).between(0.0, max(given.to - first, -step))
    return tuple(round(first + s, 9) for s in steps)


def _largest(parsed: BriefTables, name: str) -> float:
    """Return the largest rim that sheet, stock and case allow, mm."""
    case = min(parsed.case.inside[0], parsed.case.inside[1])
    if name in ("wheel", "accelerator"):
        sheets = [min(s.length_mm, s.width_mm) - 2.0 * SHEET_MARGIN_MM for s in parsed.sheet]
        return min(case, max(sheets)) if sheets else case
    return case if parsed.sizes.rod is None else min(case, parsed.sizes.rod)


def _sizes(parsed: BriefTables, name: str) -> tuple[float, ...]:
    given: SizeRange | None = getattr(parsed.sizes, name)
    if given is None:
        return ()
    largest = _largest(parsed, name)
    return tuple(s for s in _all_sizes(given) if s <= largest)


def _build(parsed: BriefTables) -> Brief:
    yarn, mount = parsed.yarn, parsed.spindle
    sheets = parsed.sheet
    disc = sheets[0].thickness_mm if sheets else None
    return Brief(
        title=parsed.title, unit=parsed.unit, stages=parsed.stages, lies=mount.lies,
        ratio=_ratio(parsed, yarn), yarn=yarn, hand_rpm=parsed.hand.speed,
        crank_mm=parsed.hand.crank, inside_mm=parsed.case.inside,
        cords=parsed.cord,
        sizes=Sizes(
            wheel=_sizes(parsed, "wheel"),
            hub=_sizes(parsed, "hub"),
            accelerator=_sizes(parsed, "accelerator"),
            whorl=_sizes(parsed, "whorl"),
            place_mm=parsed.sizes.place,
        ),
        rods=Rods(parsed.rods.main, parsed.rods.middle, mount.diameter),
        spindle=Spindle(
            "spindle", mount.kind,
            bearings=mount.bearings, washers=mount.washers, cop=mount.cop,
        ),
        spindle_ends_mm=mount.ends, disc_mm=disc, sheets=sheets, matters=parsed.matters,
        wheels=parsed.wheels, limits=parsed.limits,
    )  # fmt: skip


def _ratio(parsed: BriefTables, yarn: Yarn) -> float:
    if parsed.ratio is not None:
        return parsed.ratio
    turns, seconds = wanted_turns_per_metre(yarn), parsed.hand.seconds_per_draw
    assert turns is not None
    assert seconds is not None
    assert yarn.draw_mm is not None
    return turns * yarn.draw_mm / 1000.0 * 60.0 / (parsed.hand.speed * seconds)
