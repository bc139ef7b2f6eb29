"""What bending a cord takes: Coulomb's rope, a viscoelastic rod by its stress, and by hand."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.design.material import Figure
from wheelgeo.design.materials import find_material
from wheelgeo.design.reader import read_design
from wheelgeo.drive.bending import elastic_loss_n, fibre_share
from wheelgeo.drive.running import load_wheel

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


def test_a_tarred_rope_of_coulombs():
    # J. Gwilt, An Encyclopaedia of Architecture, art. 1340, after Coulomb: a tarred rope of six
    # yarns, 12 1/2 lines round, on an axis of 4 inches took "one fiftieth of the weight"; twelve
    # lines are an inch. The range of cords of fibres must hold it.
    cord = 12.5 / math.pi / 12.0
    share = find_material("hemp cord").bending_share
    assert share.low < share.value < share.high
    assert fibre_share(share.high, cord, 4.0 + cord) == pytest.approx(1.0 / 50.0, rel=0.01)


def test_the_square_of_the_diameter_after_eytelwein():
    # 0.018 d^2 / R, mm (from memory), of a hemp rope: near Coulomb's at his rope's size, and the
    # low end of the range at a cord of 1 mm round 10 mm.
    share = find_material("cotton cord").bending_share
    rope, radius = 25.4 * 12.5 / math.pi / 12.0, 25.4 * 2.17
    assert 0.018 * rope**2 / radius == pytest.approx(0.02, rel=0.3)
    assert fibre_share(share.low, 1.0, 10.0) == pytest.approx(0.018 / 5.0, rel=0.15)


def test_an_elastic_cord_by_its_fibres_stresses():
    # Each fibre at the height z goes from strain 0 to z/R and back: a swing of half that about its
    # middle, in which a linear viscoelastic body loses pi E tan(delta) (z / 2R)^2 a volume. Summed
    # here over strips of the section, per length of cord: that is the pull.
    d, big, modulus, tan = 3.0, 24.0, 4.0, 0.1
    strips, lost = 2000, 0.0
    for i in range(strips):
        z = (i + 0.5) / strips * d - d / 2
        area = 2 * math.sqrt(d * d / 4 - z * z) * d / strips
        lost += math.pi * modulus * tan * (z / big) ** 2 * area  # R is half of the pitch diameter
    assert elastic_loss_n(tan, modulus, d, big) == pytest.approx(lost, rel=1e-4)


def test_the_hand_gives_what_bending_takes():
    # By power: share of the pull times the band's speed, at every pulley; the second band of the
    # box wheel drives the spindle, so that its whole loss is felt at the hand.
    design = read_design(DESIGNS / "box-wheel.toml")
    limp = replace(find_material("cotton cord"), name="limp", bending_share=Figure(0, 0, 0, "test"))
    bands = tuple(replace(b, material="limp") for b in design.bands)
    without = load_wheel(replace(design, bands=bands, materials=(limp,)))
    loaded = load_wheel(design)
    taken = 0.0
    for shaft in loaded.load.shafts:
        taken += shaft.bending_nm * shaft.omega_rad_s
    by_hand = 0.0
    for band in loaded.load.bands:
        cord = band.rest.band.diameter_mm
        pull = sum(band.pulls_n) / len(band.pulls_n)
        speed = band.rest.motion.speed_m_s
        share = find_material(band.rest.band.material).bending_share.value
        by_hand += sum(share * cord / (2 * c.radius_mm) for c in band.rest.contacts) * pull * speed
    # slip makes the whorls a little slower than their bands
    assert taken == pytest.approx(by_hand, rel=0.02)
    more = (loaded.load.hand_nm - without.load.hand_nm) * loaded.load.shafts[0].omega_rad_s
    assert taken < more < 1.3 * taken  # bearings and slip take their part of it too
    assert [s.bending_nm for s in without.load.shafts] == [0.0] * 3


def test_a_rubber_band_loses_by_its_hysteresis_alone():
    design = read_design(DESIGNS / "box-wheel.toml")
    bands = (replace(design.bands[0], material="rubber cord", stretch=0.1), *design.bands[1:])
    loaded = load_wheel(replace(design, bands=bands))
    rubber, made = find_material("rubber cord"), loaded.load.bands[0].rest
    for contact in made.contacts:
        assert contact.bending_share == 0.0
        assert contact.bending_n == pytest.approx(
            elastic_loss_n(rubber.loss_factor.value, rubber.modulus_mpa.value, 2.0,
                           2 * contact.radius_mm)
        )  # fmt: skip
