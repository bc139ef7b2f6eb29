"""Wheels of rim, spokes and hub, and of segments: what they weigh, how they are cut and stand."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.spoked import hub_and_spokes, spoked_wheel, usual_spokes
from wheelgeo.design.model import VeeGroove
from wheelgeo.design.reader import read_design
from wheelgeo.shop.body_meshes import body_mesh
from wheelgeo.shop.built_up_parts import built_up_parts
from wheelgeo.shop.section import wheels
from wheelgeo.shop.solids import mass_row

DESIGNS = Path(__file__).parents[2] / "designs"
FARM = read_design(DESIGNS / "farm-wheel.toml")
FLYER = read_design(DESIGNS / "flyer-wheel.toml")


def made(design, build_as, **more):
    """Return a wheel whose large pulleys are built so."""
    return replace(
        design,
        pulleys=tuple(
            replace(p, build=build_as, **more) if p.groove.size_mm > 400.0 else p
            for p in design.pulleys
        ),
    )


@pytest.mark.parametrize(
    ("rim", "depth", "making"),
    [(2416.0, 100.0, "spokes"), (2416.0, 400.0, "segments"), (2416.0, 1200.0, "turned"),
     (300.0, 20.0, "segments"), (300.0, 80.0, "turned"), (300.0, 145.0, "turned")],
)  # fmt: skip
def test_a_wheel_is_glued_up_only_where_its_groove_leaves_room(rim, depth, making):
    wheel = wheelgeo.load(DESIGNS / "box-wheel.toml")
    whole = wheel.put({"wheel.rim": rim, "wheel.depth": depth})
    pulley = next(p for s in build(whole.design).shafts.values() for p in s.carries
                  if p.name == "wheel")  # fmt: skip
    assert pulley.making.value == making
    assert pulley.inertia.mass_kg > 0.0
    assert whole.solve().ratio_without_slip == pytest.approx(
        wheel.solve().ratio_without_slip * whole.get("wheel.pitch") / wheel.get("wheel.pitch")
    )


@pytest.mark.parametrize("design", [FARM, FLYER], ids=["one groove", "two grooves"])
def test_mass_and_moments_are_those_of_the_bodies(design):
    """Checked by the other way: meshes of the bodies, integrated over their surfaces."""
    spoked = made(design, "spokes")
    built = build(spoked)
    large = [p for p in built.pulleys.values() if p.spoked is not None]
    density = large[0].density.value.value * 1e-9
    found = [b for b in bodies(built) if b.kind in ("hub", "spoke")]
    found += [b for b in bodies(built) if b.kind == "pulley" and large[0].name in b.name]
    axis, at = (np.array(x) for x in (large[0].shaft.axis, large[0].shaft.at_mm))
    mass = polar = 0.0
    for body in found:
        mesh = body_mesh(body, 0.1)
        mass += density * mesh.volume
        away = mesh.center_mass - at
        away -= axis * (away @ axis)
        polar += density * (axis @ mesh.moment_inertia @ axis + mesh.volume * (away @ away))
    assert sum(p.inertia.mass_kg for p in large) == pytest.approx(mass, rel=0.01)
    assert sum(p.inertia.polar_kg_m2 for p in large) == pytest.approx(polar / 1e6, rel=0.01)
    (wheel,) = [w for w in wheels(spoked) if large[0].pulley in w.pulleys]
    assert mass_row(spoked, wheel).mass_g == pytest.approx(1e3 * mass, rel=0.01)


def test_a_thin_ring_on_thin_spokes_has_the_moments_of_the_textbook():
    """Rods end over end, m L2 / 12 + m r2 (Meriam & Kraige, table D/4); of a plane lattice the
    polar moment is the sum of those about two diameters (perpendicular axes)."""
    one = spoked_wheel(600.0, 588.0, 22.0, 8)
    thin = replace(one, spoke_mm=0.01)
    both = hub_and_spokes(thin, 1e-12, 14.0, 700.0)
    mass = 8 * 700.0 * math.pi / 4.0 * 1e-10 * one.between_mm / 1e3
    out, long = 0.25 * (one.hub_mm + one.rim.inner_mm) / 1e3, one.between_mm / 1e3
    assert both.polar_kg_m2 == pytest.approx(mass * (long**2 / 12.0 + out**2), rel=1e-3)
    assert both.polar_kg_m2 == pytest.approx(2.0 * both.diametral_kg_m2, rel=1e-3)


def test_the_middle_of_a_wheel_of_segments_weighs_what_plywood_weighs():
    wheel = build(made(FARM, "segments", material="teak")).pulleys["rim"]
    solid = build(made(FARM, "turned", material="teak")).pulleys["rim"]
    inner = wheel.inertia.mass_kg - solid.inertia.mass_kg
    assert inner > 0.0  # plywood is heavier than teak
    ring = 0.5 * (600.0 - 2.0 * 0.12 * 600.0)
    middle = math.pi * (ring**2 - 7.0**2) * wheel.width_mm * 1e-9
    teak = wheel.density.value.value
    assert inner == pytest.approx(middle * (680.0 - teak), rel=1e-6)


def test_a_great_wheel_has_spokes_and_says_why():
    rim = VeeGroove(760.0, 6.0, 50.0, 1.0)
    great = replace(FARM, pulleys=tuple(
        replace(p, groove=rim, build=None) if p.name == "rim" else p for p in FARM.pulleys
    ))  # fmt: skip
    pulley = build(great).pulleys["rim"]
    assert pulley.making.value == "spokes"
    assert "outweighs the rim" in str(pulley.making.assumed[0])
    assert pulley.spoked.count == usual_spokes(760.0) == 10
    assert usual_spokes(480e3) == 40  # a file's unit may be wrong; it still may give no more
    assert build(FARM).pulleys["rim"].spoked is None


def test_its_pieces_are_cut():
    design = made(FARM, "spokes", spokes=10)
    (wheel,) = [w for w in wheels(design) if w.name == "rim"]
    parts = {p.role: p for p in built_up_parts(design, wheel)}
    assert set(parts) == {"segment", "hub", "spoke"}
    one = build(design).pulleys["rim"].spoked
    assert parts["spoke"].quantity == 10
    x1, _, x2, _ = parts["spoke"].outside.box
    assert x2 - x1 == pytest.approx(0.5 * (one.rim.inner_mm - one.hub_mm) + 18.0 + 10.0)
    assert len(parts["hub"].engraved) == 10


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ('build = "turned"\nspokes = 10', "for a wheel with spokes only"),
        ('build = "spokes"\nspokes = 3', "from 5 to 40"),
        ('build = "spokes"\nlightening = { holes = 5, diameter = 30, circle = 300 }', "lighten"),
    ],
)
def test_what_cannot_be_is_told(tmp_path, more, says):
    text = (DESIGNS / "farm-wheel.toml").read_text(encoding="utf-8")
    path = tmp_path / "spokes.toml"
    path.write_text(text.replace('name = "rim"', f'name = "rim"\n{more}'), encoding="utf-8")
    with pytest.raises(wheelgeo.DesignError, match=says):
        wheelgeo.load(path)
