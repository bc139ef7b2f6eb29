"""A rubber-like cord lies thinner than it is bought: by constant volume, in every answer alike."""

import csv
import io
import math
from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.design.material import Figure, Material
from wheelgeo.design.materials import find_material
from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.shop.tables import band_rows, bands_csv

BOX = Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml"


def rubber(material="rubber cord", stretch=0.1, diameter=2.0):
    design = read_design(BOX)
    first = replace(design.bands[0], material=material, stretch=stretch, diameter_mm=diameter)
    return replace(design, bands=(first, *design.bands[1:]))


def told(design):
    return wheelgeo.load(BOX).with_design(design)


def test_a_cord_of_constant_volume():
    # Poisson's ratio 0.5: a piece of length L and section A becomes L (1 + e) and A / (1 + e).
    made = build(rubber(stretch=0.21)).bands["first band"]
    assert made.bought_diameter_mm == pytest.approx(2.0 * 1.1, rel=1e-12)
    volume = math.pi / 4 * made.bought_diameter_mm**2 * 100.0
    assert math.pi / 4 * 2.0**2 * 121.0 == pytest.approx(volume, rel=1e-12)


@pytest.mark.parametrize("stretch", [0.02, 0.05, 0.1, 0.15, 0.2])
def test_pull_of_an_ideal_rubber(stretch):
    # Treloar, The Physics of Rubber Elasticity: pull over the slack section E/3 (l - 1/l^2).
    made = build(rubber(stretch=stretch)).bands["first band"]
    slack, long = math.pi / 4 * made.bought_diameter_mm**2, 1 + stretch
    pull = made.modulus.value.value / 3 * (long - long**-2) * slack
    assert made.stiffness_n * stretch == pytest.approx(pull, rel=0.012)


def test_fibres_and_leather_are_bought_as_they_lie():
    thins = {m: build(rubber(m)).bands["first band"].bought_diameter_mm > 2.0 for m in (
        "cotton cord", "hemp cord", "leather cord", "rubber cord", "nitrile ring",
        "silicone cord", "polyurethane cord",
    )}  # fmt: skip
    assert list(thins.values()) == [False] * 3 + [True] * 4
    assert Material("own", "cord", modulus_mpa=Figure(8.0, 8.0, 8.0, "test")).keeps_volume
    assert not Material("own", "cord", modulus_mpa=Figure(80.0, 80.0, 80.0, "test")).keeps_volume
    assert not Material("own", "wheel", modulus_mpa=Figure(8.0, 8.0, 8.0, "test")).keeps_volume


def test_every_file_means_what_it_meant():
    # The file's diameter is that of the cord as it lies: pitch diameters do not hang on stretch.
    thin, thick = (solve_drive(rubber(stretch=s)) for s in (0.0, 0.15))
    assert thin.ratio == thick.ratio


def test_every_answer_says_it_alike():
    wheel = told(rubber())
    bought = 2.0 * math.sqrt(1.1)
    assert wheel.solve().band("first band").bought_diameter_mm == pytest.approx(bought)
    assert wheel.solve().to_json()["bands"][0]["bought_diameter_mm"] == pytest.approx(bought)
    assert wheel.bands().bands[0].bought_diameter_mm == pytest.approx(bought)
    rows = csv.DictReader(io.StringIO(bands_csv(band_rows(solve_drive(wheel.design))).decode()))
    assert [float(r["bought_diameter_mm"]) for r in rows] == pytest.approx([bought, 1.2], abs=5e-4)


def test_what_a_slack_diameter_would_do_is_noted():
    def notes(design):
        return [f for f in told(design).solve().findings if f.rule == "cord-thins"]

    (note,) = notes(rubber())
    assert note.certainty == "possible"
    slack = 2.0 / math.sqrt(1.1)
    by_hand = solve_drive(rubber(diameter=slack)).ratio / solve_drive(rubber()).ratio - 1.0
    assert note.value == pytest.approx(100 * by_hand, rel=1e-9)
    assert f"{slack:.2f}".rstrip("0") in note.says
    assert notes(rubber("cotton cord")) == []
    assert notes(rubber(stretch=0.001)) == []
    assert find_material("rubber cord").keeps_volume
