"""Of a pulley built from layers the groove is what core and cheeks make, and its numbers are so."""

from __future__ import annotations

from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.page.choices import settable

TRAVEL = Path(__file__).parents[2] / "designs" / "travel-wheel.toml"


@pytest.fixture(scope="module")
def travel() -> wheelgeo.Wheel:
    return wheelgeo.load(TRAVEL)


def test_numbers_that_change_nothing_are_left_out(travel):
    keys = {one.key for one in travel.inputs()}
    assert {"wheel.core", "wheel.depth", "wheel.rim", "hub.angle", "hub.bottom"} <= keys
    assert not {"wheel.angle", "wheel.bottom", "accelerator.angle"} & keys
    rows = {row["key"]: row for row in settable(travel.design, "mm")}
    assert rows["groove:wheel"]["value"] == "square, as wide as its core is thick"
    assert rows["groove:wheel"]["of"] == [rows["groove:wheel"]["value"]]
    assert rows["groove:hub"]["of"] == ["vee", "round", "worn round", "flat"]


def test_they_are_read_but_refused_to_be_set_or_searched(travel):
    assert travel.get("wheel.angle") == 40.0
    assert travel.put("wheel.angle", 40).design == travel.design  # as it stands
    with pytest.raises(wheelgeo.DesignError, match="square groove, as wide as its core is thick"):
        travel.put("wheel.angle", 60)
    with pytest.raises(wheelgeo.SearchError, match="changes nothing"):
        travel.find("wheel.angle", "ratio", 20)


def test_how_a_pulley_is_built_is_asked_as_it_will_be(travel):
    turned = {"wheel.build": "turned", "wheel.core": None, "wheel.cheek": None, "wheel.angle": 60}
    assert travel.put(turned).get("wheel.angle") == 60.0
    with pytest.raises(wheelgeo.DesignError, match="changes nothing"):
        travel.put({"hub.build": "layers", "hub.angle": 50})
