"""What a remedy shifts or cuts may be half a mark, or half a step, short of it, and is mended."""

from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.check.lessening import Lessening
from wheelgeo.check.stood_before import stood_before

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
SPOILT = [
    ("box-wheel", {"accelerator.offset": 15.0}),
    ("box-wheel", {"whorl.offset": -9.0}),
    ("two-band-wheel", {"front groove.offset": -8.3}),
]
SHORT_MM = {"mm": 0.045, "in": 0.19}
"""A little less than half of what is marked: a tenth of a millimetre, a sixty-fourth of an inch."""


@pytest.mark.parametrize("unit", SHORT_MM)
@pytest.mark.parametrize(("name", "put"), SPOILT, ids=str)
def test_set_down_a_little_short_of_its_place_a_groove_still_mends(name, put, unit):
    design = wheelgeo.load(DESIGNS / f"{name}.toml").put(put).design
    wheel, tried = wheelgeo.Wheel(replace(design, unit=unit)), 0
    for finding in wheel.check().findings:
        for way in finding.remedy.ways if finding.level != "note" else ():
            if not all(one.key.endswith(".offset") for one in way.edits):
                continue
            back = -SHORT_MM[unit] if way.edits[0].after > way.edits[0].before else SHORT_MM[unit]
            short = wheel.put({one.key: one.after + back for one in way.edits})
            assert not any(stood_before(f, finding) for f in short.check().findings), way.says
            tried += 1
    assert tried > 3


OF_SIZE = [
    ("box-wheel", {"accelerator.rim": 150.0}),
    ("box-wheel", {"hub.rim": 13.8}),
    ("box-wheel", {"drive.radius": 95.0}),
    ("box-wheel", {"accelerator.rim": 139.7, "case.inside.y": 218.0}),
]
SHORT = {".rim": 0.045, ".angle": 0.45, "drive.radius": 0.045}
"""A little less than half of the step in which each is named, mm or degrees."""


def test_cut_a_little_short_of_its_size_a_part_still_mends():
    tried = set()
    for name, put in OF_SIZE:
        wheel = wheelgeo.load(DESIGNS / f"{name}.toml").put(put)
        for finding in wheel.check().findings:
            for way in finding.remedy.ways if finding.level != "note" else ():
                kind = next((k for k in SHORT if way.edits[0].key.endswith(k)), None)
                if kind is None:
                    continue
                (one,) = way.edits
                back = -SHORT[kind] if one.after > one.before else SHORT[kind]
                short = wheel.put({one.key: one.after + back})
                assert not any(stood_before(f, finding) for f in short.check().findings), way.says
                tried.add(kind)
    assert tried == {".rim", ".angle", "drive.radius"}


@pytest.mark.parametrize(
    ("name", "put", "rule", "warns"),
    [("box-wheel", {"accelerator.offset": 15.0}, "mouth-spinning", "mouth-barely"),
     ("floor-wheel", {"drive.radius": 30.0}, "start", "start-slow")],
    ids=str,
)  # fmt: skip
def test_a_fault_is_mended_as_far_as_leaves_no_warning_in_its_place(name, put, rule, warns):
    """A band thrown off at 26.4 degrees was brought to 26.4 degrees, where it just is not."""
    wheel = wheelgeo.load(DESIGNS / f"{name}.toml").put(put)
    fault = next(f for f in wheel.check().findings if f.rule == rule)
    assert fault.level == "fault"
    assert len(fault.remedy.ways) == 2
    for way in fault.remedy.ways:
        assert not [f.says for f in way.apply().check().findings if f.rule in (rule, warns)]


def test_where_a_finding_lessens_evenly_its_edge_is_known_between_two_steps():
    lessens = Lessening()
    assert lessens.edge() is None
    for steps in (10, 12):
        lessens.at(steps, 0.5 * (14.25 - steps))
    assert lessens.edge() == pytest.approx(14.25)
    assert lessens.leads_to() == 15
    lessens.at(13, 2.0)  # it grows again
    assert lessens.edge() is None
