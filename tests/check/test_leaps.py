"""A groove that leaps over another is told so, and gives way to one that need not."""

from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.check.leaps import leapt_over

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
SPOILT = [
    ("box-wheel", {"accelerator.offset": 12.0}),  # below the hub, which it stood above
    ("two-band-wheel", {"front groove.offset": -8.3}),
]


def passed(way, before):
    """Of the pulleys the pairs on one shaft that stand the other way round then."""
    (was, now) = ({p.name: p for p in d.pulleys} for d in (before, way.apply().design))
    moved = {e.key.removesuffix(".offset") for e in way.edits}
    return {
        q.name
        for p in was.values() if p.name in moved
        for q in was.values() if q.shaft == p.shaft
        if (p.offset_mm - q.offset_mm) * (now[p.name].offset_mm - now[q.name].offset_mm) < 0.0
    }  # fmt: skip


@pytest.mark.parametrize(("name", "put"), SPOILT, ids=str)
def test_a_groove_that_leaps_over_another_is_said_to(name, put):
    wheel = wheelgeo.load(DESIGNS / f"{name}.toml").put(put)
    leaps = 0
    for finding in wheel.check().findings:
        ways = [w for w in finding.remedy.ways if w.edits[0].key.endswith(".offset")]
        over = [passed(way, wheel.design) for way in ways]
        for way, names in zip(ways, over, strict=True):
            assert all(f'"{one}"' in way.says.partition(", past ")[2] for one in names), way.says
            assert (", past " in way.says) == bool(names)
        leaps += any(over)
    assert leaps


def test_one_that_need_not_leap_is_named_alone():
    wheel = wheelgeo.load(DESIGNS / "box-wheel.toml").put("accelerator.offset", 12.0)
    finding = next(f for f in wheel.check().findings if f.rule == "pulleys-overlap")
    mends = {offset: wheel.put("accelerator.offset", offset).check() for offset in (20.0, 30.0)}
    assert not any(f.rule == "pulleys-overlap" for f in mends[30.0].findings)  # over it, it would
    assert [[e.key for e in way.edits] for way in finding.remedy.ways] == [["hub.offset"]]
    assert ", past " not in finding.remedy.says


def test_bearings_and_the_crank_are_leapt_over_and_a_sleeves_own_bushes_are_not():
    travel = wheelgeo.load(DESIGNS / "travel-wheel.toml")
    text = (DESIGNS / "flyer-wheel.toml").read_text(encoding="utf-8")
    bearings = 'bearings = [{ at = 20, kind = "brass" }, { at = -27, kind = "brass" }]'
    flyer = wheelgeo.read(text.replace('name = "axle"\n', f'name = "axle"\n{bearings}\n', 1))
    for wheel, key, to, over in (
        (travel, "wheel.offset", 60.0, {"the crank"}),
        (travel, "wheel.offset", 15.0, set()),
        (flyer, "front groove.offset", 30.0, {"bearing axle 1"}),
        (flyer, "bobbin whorl.offset", 60.0, set()),
        (flyer, "bobbin whorl.offset", -20.0, {'"flyer whorl"'}),
    ):
        after = wheel.put(key, to)
        edits = (wheelgeo.Edit(key, wheel.get(key), to),)
        found = set(leapt_over(build(wheel.design), build(after.design), edits))
        assert found >= over
        assert bool(found) == bool(over)
        assert not any("bobbin " in name and "bearing" in name for name in found)
