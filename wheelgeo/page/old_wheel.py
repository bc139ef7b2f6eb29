"""An old wheel on the page: its questions answered, in the words of the command."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import asdict, fields, replace
from itertools import count
from typing import TYPE_CHECKING, Any

import wheelgeo
from wheelgeo.errors import DesignError, Fault
from wheelgeo.old_wheels import as_file, measurement_read, refuse_without_band
from wheelgeo.page.reading import Ask, BadAskError, Said, text_in
from wheelgeo.units.written import MM_PER_INCH, LengthUnit, bare_unit, in_both
from wheelgeo.wheel import Wheel

if TYPE_CHECKING:
    from wheelgeo.shop.old_wheel_told import OldWheelTold

_OPTION = re.compile(r"--([a-z][a-z-]*[a-z])( (?=[\"a-z0-9])(?!(?:or|and|not|by|as)\b))?")


def old_wheel(ask: Ask, unit: LengthUnit) -> tuple[Said, Wheel]:
    """Return what the command says of an old wheel's band, and the wheel as its file has it.

    Raises:
        DesignError: something is missing or makes no wheel; holds every fault.
        BadAskError: what was measured is no table of texts.
    """
    from wheelgeo.shop.old_wheel_told import old_wheel_told
    from wheelgeo.tune.old_wheel_file import not_in_file

    try:
        found = wheelgeo.old_wheel(**_measured(ask, unit))

        def said(mm: float) -> str:
            return in_both(mm, found.wheel.design.unit)

        refuse_without_band(found, said)
    except DesignError as error:
        raise DesignError(tuple(_in_form(fault) for fault in error.faults)) from error
    told = _told(old_wheel_told(found, said)) | {"unkept": not_in_file(found.measured)}
    return told, as_file(found)


def with_own_title(wheel: Wheel, titles: Collection[str]) -> Wheel:
    """Return the wheel with a title that no other one on the page has: its tag tells it apart."""
    if wheel.title not in titles:
        return wheel
    numbers = (n for n in count(2) if f"{wheel.title} {n}" not in titles)
    return wheel.put("title", f"{wheel.title} {next(numbers)}")


def widest_in() -> int:
    """Return the width in inches that no wheel in use is over: a greater number is of mm."""
    from wheelgeo.tune.old_wheel_likely import WHEEL_MM

    return round(WHEEL_MM[1] / MM_PER_INCH)


def _measured(ask: Ask, unit: LengthUnit) -> dict[str, Any]:
    """Return what stands in the form; a length without a unit is in that of the page."""
    from wheelgeo.tune.old_wheel_design import OldWheelMeasured

    given = ask.get("measured")
    known = {f.name for f in fields(OldWheelMeasured)} | {"title", "fits_as"}
    if not isinstance(given, dict) or not set(given) <= known:
        raise BadAskError("no measurements")
    told: dict[str, Any] = {k: v for k, v in given.items() if isinstance(v, str) and v.strip()}
    told |= {"unit": bare_unit(unit), "crossed": given.get("crossed") is True}
    fits_as = told.pop("fits_as", "")
    if "fits" in told and not _says_what_it_is(told["fits"]):
        if not fits_as:
            says, how = "is it joined, or untied?", "say how it was measured"
            raise DesignError((Fault("fits", says, how),))
        told["fits"] = f"{told['fits']} {fits_as}"
    return told


def _says_what_it_is(text: str) -> bool:
    """Tell whether a band that fits is said to be a loop, a cord or a ring."""
    from wheelgeo.tune.bands_at_hand import loop_or_cord, ring_told

    if loop_or_cord(text)[1] is not None:
        return True
    try:
        return ring_told(text, 1.0, "mm") is not None
    except wheelgeo.WheelError:  # a ring that is not known: the library says so
        return True


def read_one(ask: Ask, unit: LengthUnit) -> Said:
    """Return how one measurement is read by itself: what it is taken as, and what is wrong."""
    name, text = text_in(ask, "name"), text_in(ask, "text")
    taken, wrong = measurement_read(name, text, bare_unit(unit))
    return {"taken": taken, "wrong": [asdict(replace(_in_form(f), place="")) for f in wrong]}


def _told(told: OldWheelTold) -> Said:
    return {
        "mind": [in_form_words(text) for text in told.mind],
        "doubted": told.doubted,
        "take": in_form_words(told.take),
        "cut": [in_form_words(text) for text in told.cut],
        "then": [in_form_words(text) for text in told.then],
        "wrong": [{"level": level, "says": in_form_words(says)} for level, says in told.wrong],
        "last": told.last,
        "assumed": [
            {"what": _called_in(a.what), "taken": a.taken, "source": a.source}
            for a in (*told.assumed, *told.in_file)
        ],
    }


# --- words ----------------------------------------------------------------------------------------


def in_form_words(text: str) -> str:
    """Return a sentence that names the command's options with what the form calls them."""
    from wheelgeo.tune.old_wheel_design import CALLED

    def called(found: re.Match[str]) -> str:
        name = CALLED.get(found[1].replace("-", "_"))
        if name is None:  # an option of another command
            return found[0]
        return f"{name}: " if found[2] else name

    return _OPTION.sub(called, text)


def _in_form(fault: Fault) -> Fault:
    """Return a fault in the form's words; its key is the blank that it stands in."""
    from wheelgeo.tune.old_wheel_design import CALLED

    key = fault.place.replace("-", "_")
    place = CALLED.get(key, fault.place)
    says, remedy = in_form_words(fault.says), in_form_words(fault.remedy)
    return Fault(place, says, remedy, key if key in CALLED else "")


def _called_in(what: str) -> str:
    """Return what an assumption is of, as the form calls it: "reading of whorl-groove"."""
    from wheelgeo.tune.old_wheel_design import CALLED

    before, of, name = what.partition(" of ")
    return f"{before}{of}{CALLED.get(name.replace('-', '_'), name)}" if of else what
