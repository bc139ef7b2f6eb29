"""A number drawn to its limit stops there, in round figures, and is told why in words."""

from __future__ import annotations

from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.page.moving import farthest

DESIGNS = Path(__file__).parents[2] / "designs"


@pytest.fixture(scope="module")
def travel() -> wheelgeo.Wheel:
    return wheelgeo.load(DESIGNS / "travel-wheel.toml")


@pytest.mark.parametrize(
    ("wanted", "unit", "stops", "says"),
    [
        ({"middle.travel": 17.3}, "mm", 5.0, "the slide of middle ends, 5 mm from its start"),
        ({"middle.travel": 17.3}, "in", 5.0, "the slide of middle ends, 0.197 in from its start"),
        ({"drive.radius": -9.0}, "mm", 0.01, "the throw of the crank goes no further than 0.01 mm"),
        ({"whorl.rim": 1.0}, "mm", 6.11, "lies inside the shaft of 2.5 mm"),
    ],
)
def test_a_drag_beyond_a_limit_stops_at_a_round_number(travel, wanted, unit, stops, says):
    wheel, values, (why,) = farthest(travel, wanted, unit)
    (key,) = wanted
    assert values == {key: stops}
    assert wheel.get(key) == stops
    assert says in why.says


def test_a_slide_drawn_to_its_end_and_back_leaves_no_noise_in_the_file(travel):
    """The rod stands 5 mm from the slide's start: as the file would have it, x = 120 + 5."""
    at_end = farthest(travel, {"middle.travel": 5.3 + 1e-7})[0]
    text = at_end.to_toml()
    assert "at = [125, 35, 0]" in text
    assert "from = -5, to = 0 }" in text
    assert farthest(at_end, {"middle.travel": 2.0})[0].to_toml() == travel.to_toml()


def test_inches_sums_and_halves_are_saved_as_they_are_meant(travel):
    """4 1/8 in are 104.775 mm exactly; 0.1 + 0.2 is meant as 0.3."""
    assert "rim = 104.775," in travel.put("wheel.rim", "4 1/8 in").to_toml()
    assert "offset = 10.3\n" in travel.put("wheel.offset", 10.1 + 0.2).to_toml()
    assert "bottom = 0.3 }" in travel.put("hub.bottom", 0.1 + 0.2).to_toml()
    third = travel.put("hub.bottom", 1.0 / 3.0)
    assert third.get("hub.bottom") == 1.0 / 3.0  # no noise: what was asked for
