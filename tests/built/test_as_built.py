"""What a band is taken to be where its file does not say."""

from __future__ import annotations

from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build

DESIGNS = Path(__file__).parents[2] / "designs"


@pytest.mark.parametrize(("stretch", "least"), [(0.03, 0.01), (0.01, 0.01), (0.005, 0.0025)])
def test_a_band_put_on_slack_may_grow_to_half_of_its_own_stretch(stretch, least):
    # Cotton cord is put on with 1 to 3 % (common practice, no source).
    wheel = wheelgeo.load(DESIGNS / "flyer-wheel.toml").put("double band.stretch", stretch)
    assert build(wheel.design).bands["double band"].least_stretch == pytest.approx(least)
