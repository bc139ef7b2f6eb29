"""Counts and numbers that a person gives an input in other units than the file's."""

from __future__ import annotations

from pathlib import Path

import pytest

import wheelgeo

DESIGNS = Path(__file__).parents[2] / "designs"


def test_a_count_of_another_system_is_as_much_in_the_files():
    # 1 Ne is 840 yards to the pound: 768.096 m to 453.59237 g, 1.69336 Nm.
    text = (DESIGNS / "flyer-wheel.toml").read_text(encoding="utf-8")
    wheel = wheelgeo.read(text.replace('"6 Nm"', '"3.5 Ne"'))
    finer = wheel.put("yarn.count", "20 Nm")
    assert finer.get("yarn.count") == pytest.approx(20.0 / 1.69336, rel=1e-5)
    assert finer.design.yarn.count.system == "Ne"
    plied = wheel.put("yarn.count", "2 x 20 Nm")
    assert plied.design.yarn.count.plies == 2


def test_a_number_out_of_its_range_is_told_in_the_unit_of_the_range():
    text = (DESIGNS / "flyer-wheel.toml").read_text(encoding="utf-8")
    wheel = wheelgeo.read(text)
    with pytest.raises(wheelgeo.DesignError, match=r"322\.58 mm is out of range .* mm"):
        wheel.put("flyer.travel", 322.58)
    with pytest.raises(wheelgeo.DesignError, match=r'"12\.7 in" is out of range'):
        wheel.put("flyer.travel", "12.7 in")


def test_a_linen_band_is_told_what_is_most_like_it():
    text = (DESIGNS / "flyer-wheel.toml").read_text(encoding="utf-8")
    with pytest.raises(wheelgeo.DesignError, match="hemp cord is the most like it"):
        wheelgeo.read(text.replace("cotton cord", "linen cord"))
