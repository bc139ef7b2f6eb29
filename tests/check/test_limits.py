"""Every limit: an override in the file is what the finding is held against."""

from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.check.report import check_design, check_whole
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.model import Fineness, FlatRim
from wheelgeo.design.reader import parse_design, read_design

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


@pytest.fixture(scope="module")
def box():
    return read_design(DESIGNS / "box-wheel.toml")


def held_against(design, limit):
    return {
        (f.rule, f.level): f
        for f in check_design(design).findings
        if f.limit == pytest.approx(limit)
    }


@pytest.mark.parametrize(
    ("name", "value", "rule", "level"),
    [
        ("arriving_deg", 3.0, "arriving-angle", "warning"),
        ("leaving_deg", 3.5, "leaving-angle", "warning"),
        ("wrap_deg", 175.0, "wrap", "warning"),
        ("least_wrap_deg", 170.0, "wrap", "fault"),
        ("clearance_mm", 25.0, "outside-case", "warning"),
        ("knuckle_room_mm", 77.0, "hand-room", "fault"),
    ],
)
def test_a_stricter_limit_in_the_file_is_the_one_a_finding_names(box, name, value, rule, level):
    assert not held_against(box, value)
    strict = replace(box, limits={name: value})
    assert (rule, level) in held_against(strict, value)


def test_a_flat_rim_holds_what_its_limit_says(box):
    pulleys = tuple(
        replace(p, offset_mm=p.offset_mm + 4.0, groove=FlatRim(12.0, 6.0)) if p.name == "hub" else p
        for p in box.pulleys
    )
    flat = replace(box, pulleys=pulleys)
    found = [f for f in check_design(flat).findings if f.rule == "mouth-spinning"]
    assert [f.limit for f in found] == [1.0]
    lenient = replace(flat, limits={"flat_arriving_deg": 10.0})
    assert "mouth-spinning" not in {f.rule for f in check_design(lenient).findings}


def test_a_low_hand_passes_where_a_high_one_does_not(box):
    # A run above the crank's plane by 20 mm: a fist 60 mm high meets it, one of 15 mm does not.
    spindle = replace(box.shaft("spindle"), at_mm=(233.0, 40.0, 70.0), axis=(0.0, 1.0, 0.0))
    shafts = tuple(spindle if s.name == "spindle" else s for s in box.shafts)
    crank = replace(box.drive, offset_mm=46.0)
    design = replace(box, shafts=shafts, drive=crank)

    def hits(height):
        limited = replace(design, limits={"hand_height_mm": height})
        findings = check_design(limited).findings
        return {f.where for f in findings if f.rule == "hand-room"}

    assert 'drive, the spindle "spindle"' in hits(60.0)
    assert 'drive, the spindle "spindle"' not in hits(15.0)


class Asked(dict):
    """Limits of a file that remember which of them were asked for."""

    def __init__(self):
        super().__init__()
        self.names = set()

    def get(self, name, default=None):
        self.names.add(name)
        return default


def test_every_limit_is_asked_for_by_some_rule(box):
    floor = read_design(DESIGNS / "floor-wheel.toml")  # driven by a treadle
    rim = tuple(replace(p, groove=FlatRim(560.0, 20.0)) for p in floor.pulleys[:1])
    flat = replace(floor, pulleys=(*rim, *floor.pulleys[1:]))
    box = replace(box, yarn=replace(box.yarn, fineness=Fineness(4.2, "micronaire")))
    asked = Asked()
    great = replace(floor, drive=replace(floor.drive, by="hand"))
    braked = read_design(DESIGNS / "braked-bobbin-wheel.toml")
    for design in (box, floor, flat, great, braked):
        check_whole(replace(design, limits=asked))
    assert asked.names == set(LIMITS)


@pytest.mark.parametrize("name", sorted(LIMITS))
def test_every_limit_can_be_set_in_a_file(name):
    text = (DESIGNS / "box-wheel.toml").read_text(encoding="utf-8")
    unit = LIMITS[name].unit
    number = LIMITS[name].default * (0.5 if unit == "" else 1.25)
    design = parse_design(f"{text}\n[limits]\n{name} = {number:.6f}\n")
    assert design.limits[name] == pytest.approx(number, rel=1e-5)


@pytest.mark.parametrize("name", sorted(LIMITS))
def test_every_limit_has_a_name_with_its_unit_a_meaning_and_a_source(name):
    limit = LIMITS[name]
    assert limit.means
    assert limit.source
    tail = {"deg": "_deg", "mm": "_mm", "N": "_n", "W": "_w", "s": "_s", "m/s": "_m_s"}
    assert name.endswith(tail.get(limit.unit, "")), limit.unit
