"""A remedy changes the wheel: none sets a limit anew or states what was reckoned with already."""

import json
from pathlib import Path

import pytest

import wheelgeo

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


def old_wheel():
    return wheelgeo.old_wheel(
        wheel="560 mm", groove="5 mm", whorl="48 mm", whorl_groove="4 mm", apart="465 mm",
        cord="3 mm cotton cord", crossed=True,
    ).wheel  # fmt: skip


def travel_for_finer_yarn():
    """It runs near its critical speed: its cop would have to be wound truer than a hand can."""
    changes = {"hub.rim": 11.0, "accelerator.rim": 64.0, "middle.at.x": 125.19}
    return wheelgeo.load(DESIGNS / "travel-wheel.toml").put(changes)


WHEELS = {
    "box": lambda: wheelgeo.load(DESIGNS / "box-wheel.toml"),
    "floor": lambda: wheelgeo.load(DESIGNS / "floor-wheel.toml"),
    "old": old_wheel,
    "finer": travel_for_finer_yarn,
}


def figures(wheel):
    """All that is told of a wheel, solved and running, without what is found of it."""
    told = {**wheel.solve().to_json(), **wheel.run().to_json()}
    told = {key: value for key, value in told.items() if key not in ("findings", "assumed")}
    return json.dumps(told, sort_keys=True, default=str)


@pytest.mark.parametrize(
    "name", [*list(WHEELS)[:-1], pytest.param("finer", marks=pytest.mark.long)]
)
def test_every_way_changes_a_figure(name):
    wheel = WHEELS[name]()
    now, ways = figures(wheel), 0
    for finding in wheel.check().findings:
        for way in finding.remedy.ways:
            ways += 1
            assert not [e.key for e in way.edits if e.key.startswith("limits")], way.says
            changed = way.apply()
            if wheel.get("shop.old_wheel") and not changed.get("shop.old_wheel"):
                assert len(changed.check().findings) > len(wheel.check().findings)  # no silence
            else:
                assert figures(changed) != now, way.says
    assert ways > 1
