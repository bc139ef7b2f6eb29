"""A groove that is shifted as a remedy says may stand half a mark short of it, and is mended."""

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


def test_where_a_finding_lessens_evenly_its_edge_is_known_between_two_steps():
    lessens = Lessening()
    assert lessens.edge() is None
    for steps in (10, 12):
        lessens.at(steps, 0.5 * (14.25 - steps))
    assert lessens.edge() == pytest.approx(14.25)
    assert lessens.leads_to() == 15
    lessens.at(13, 2.0)  # it grows again
    assert lessens.edge() is None
