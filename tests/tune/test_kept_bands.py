"""A changed flyer wheel: the pull of the bands it keeps, and whether it turns as its ratio says."""

from pathlib import Path

import pytest

import wheelgeo

FLYER = Path(__file__).parents[2] / "designs" / "flyer-wheel.toml"


def test_a_measured_pull_grows_with_the_stretch_of_a_kept_band():
    """Hooke's law: a cord stretched n times as far pulls n times as hard."""
    wheel = wheelgeo.load(FLYER)
    before = wheel.design.bands[0]
    assert before.tension.kind == "measured"
    moved = 0
    for option in wheel.retune(count="10 Nm").options:
        told, band = option.bands[0], option.design.bands[0]
        if told.remade or told.stretch == pytest.approx(before.stretch, abs=1e-5):
            continue
        factor = told.stretch / before.stretch
        assert told.pull_n == pytest.approx(before.tension.pull_n * factor, rel=1e-3)
        assert band.tension.pull_n == told.pull_n
        assert told.pull_was_n == before.tension.pull_n
        moved += factor > 2.0
    assert moved


def test_a_ratio_that_slips_away_is_not_found_in_silence():
    found = wheelgeo.load(FLYER).find("flyer whorl.rim", "ratio", 11.9)
    assert "flyer-slips" in found.new_faults
    near = wheelgeo.load(FLYER).find("flyer whorl.rim", "ratio", 8.8)
    assert "flyer-slips" not in near.new_faults
