"""Do to a design what a printed remedy says, read from its words alone."""

import re
import tomllib
from dataclasses import replace

import pytest

from wheelgeo.design.model import Case, GivenPitch, Stop

NUMBER = r"([+-]?\d+(?:\.\d+)?)"
LIST = r"\[([^\]]*)\]"


def _numbers(text):
    return tuple(float(part) for part in text.split(","))


def _pulley(design, name, **fields):
    return replace(
        design, pulleys=tuple(replace(p, **fields) if p.name == name else p for p in design.pulleys)
    )


def _band(design, name, **fields):
    return replace(
        design, bands=tuple(replace(b, **fields) if b.name == name else b for b in design.bands)
    )


def _shift(design, name, by, offset):
    moved = design.pulley(name).offset_mm + float(by)
    assert moved == pytest.approx(float(offset), abs=6e-3)
    return _pulley(design, name, offset_mm=float(offset))


def _shift_all(design, names, by):
    for name in re.findall(r'"([^"]+)"', names):
        design = _pulley(design, name, offset_mm=design.pulley(name).offset_mm + float(by))
    return design


def _move(design, names, distance, by):
    by = _numbers(by)
    assert sum(c * c for c in by) ** 0.5 == pytest.approx(float(distance), abs=6e-3)
    names = re.findall(r'"([^"]+)"', names)
    shafts = tuple(
        replace(s, at_mm=tuple(a + b for a, b in zip(s.at_mm, by, strict=True)))
        if s.name in names
        else s
        for s in design.shafts
    )
    return replace(design, shafts=shafts)


def _groove(key):
    def change(design, name, value):
        groove = replace(design.pulley(name).groove, **{key: float(value)})
        return _pulley(design, name, groove=groove)

    return change


def _size(design, name, what, value):
    if what == "pitch":
        return _pulley(design, name, groove=GivenPitch(float(value)))
    return _groove("rim_mm")(design, name, value)


def _cord(design, value, name):
    return _band(design, name, diameter_mm=float(value))


def _cross(design, un, name):
    first, last = design.band(name).route
    last = replace(last, turns="with" if un else "against")
    return _band(design, name, route=(first, last), crossed=not un)


def _other_run(design, name, pulley, turns):
    first, last = design.band(name).route
    assert last.pulley == pulley
    assert last.turns != turns
    return _band(design, name, route=(first, replace(last, turns=turns)))


def _case(design, inside, corner):
    corner = _numbers(corner) if corner else design.case.corner_mm
    return replace(design, case=Case(_numbers(inside), corner))


def _crank(design, offset):
    return replace(design, drive=replace(design.drive, offset_mm=float(offset)))


def _shorter(design, radius):
    return replace(design, drive=replace(design.drive, radius_mm=float(radius)))


def _tilt(design, name, _, axis, route, band):
    axis = _numbers(axis)
    length = sum(c * c for c in axis) ** 0.5
    shafts = tuple(
        replace(s, axis=tuple(c / length for c in axis)) if s.name == name else s
        for s in design.shafts
    )
    design = replace(design, shafts=shafts)
    if band is None:
        return design
    band = replace(design.band(band), route=_stops(route), crossed=False)
    return replace(design, bands=tuple(band if b.name == band.name else b for b in design.bands))


def _stops(text):
    route = tomllib.loads(f"route = [{text}]")["route"]
    return tuple(Stop(s) if isinstance(s, str) else Stop(s["pulley"], s["turns"]) for s in route)


def _turn(design, turns, rest):
    assert turns != design.drive.turns
    for name, route in re.findall(rf'the route of "([^"]+)" the other way round, {LIST}', rest):
        design = _band(design, name, route=_stops(route))
    return replace(design, drive=replace(design.drive, turns=turns))


def _route(design, text):
    stops = _stops(text)
    names = {s.pulley for s in stops}
    (band,) = [b for b in design.bands if {s.pulley for s in b.route} == names]
    return _band(design, band.name, route=stops)


WORDS = (
    (rf'shift "([^"]+)" by {NUMBER} mm along its shaft \(offset {NUMBER} mm\)', _shift),
    (rf'shift ("[^"]+"(?: and "[^"]+")+) by {NUMBER} mm along their shafts', _shift_all),
    (rf'move shafts? ("[^"]+"(?: and "[^"]+")*) {NUMBER} mm [^(]*\(by {LIST} mm\)', _move),
    (rf'open the groove of "([^"]+)" to angle {NUMBER}°', _groove("angle_deg")),
    (rf'(?:open|cut) the groove of "([^"]+)" to radius {NUMBER} mm', _groove("radius_mm")),
    (rf'cut the groove of "([^"]+)" {NUMBER} mm deep', _groove("depth_mm")),
    (rf'make the rim of "([^"]+)" {NUMBER} mm wide', _groove("width_mm")),
    (rf'make "([^"]+)" (?:larger|smaller), (rim|pitch) {NUMBER} mm', _size),
    (rf'give "([^"]+)" a (rim|pitch) of {NUMBER} mm', _size),
    (rf'take a cord of {NUMBER} mm for "([^"]+)"', _cord),
    (r'(un)?cross band "([^"]+)"', _cross),
    (
        r'lead the other run of "([^"]+)" over "([^"]+)" '
        r'\(\{ pulley = "[^"]+", turns = "(\w+)" \}\)',
        _other_run,
    ),
    (rf"make the case larger, inside = {LIST} mm(?: from corner = {LIST} mm)?", _case),
    (rf"let the crank turn at offset {NUMBER} mm \(under \[drive\]\)", _crank),
    (rf"let the crank turn outside the case, offset = {NUMBER} mm under \[drive\]", _crank),
    (rf"shorten the crank to {NUMBER} mm", _shorter),
    (
        rf'tilt shaft "([^"]+)" by {NUMBER}° \(axis = {LIST}\)'
        r'(?:, with route = \[(.*)\] in place of crossed = true in band "([^"]+)")?',
        _tilt,
    ),
    (r'turn the \w+ [\w-]+ \(drive: turns = "([\w-]+)"\)(.*)', _turn),
    (r"write route = \[(.*)\], the order in which the moving band meets them", _route),
)


@pytest.fixture(scope="session")
def apply():
    """Return the function that does what one remedy says; None where it names no change to try."""

    def do(design, words):
        for pattern, change in WORDS:
            match = re.fullmatch(pattern, words)
            if match:
                return change(design, *match.groups())
        return None

    return do
