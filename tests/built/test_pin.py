"""A pin that stands still, on which a wheel turns: held, bored, put together, reckoned."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.built.assembly import assembly
from wheelgeo.built.bodies import bodies
from wheelgeo.design.reader import read_design
from wheelgeo.drive.rotor import rotor
from wheelgeo.drive.running import load_wheel
from wheelgeo.drive.train import solve_drive
from wheelgeo.shop.bores import bore_of

DESIGNS = Path(__file__).parents[2] / "designs"
TEXT = (DESIGNS / "box-wheel.toml").read_text(encoding="utf-8")


def pinned(hub: float = 28.0, wide: float = 16.0) -> str:
    """Return the box wheel, its middle rod a pin, its hub so large and both pulleys so wide."""
    text = TEXT.replace('name = "middle"', 'name = "middle"\nfixed = true')
    text = text.replace("rim = 15.8", f"rim = {hub}")
    text = text.replace("offset = 14                   #", f"width = {wide}\noffset = 14  #")
    return text.replace("offset = 30\n", f"offset = 30\nwidth = {wide}\n")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    path = tmp_path_factory.mktemp("pin") / "pin.toml"
    path.write_text(pinned(), encoding="utf-8")
    return read_design(path)


def test_block_and_bridge_hold_the_pin_and_the_bushes_sit_in_what_turns_on_it(wheel):
    found = {b.name: b for b in bodies(build(wheel))}
    block, bridge, rod = (found[f"{k} middle"] for k in ("block", "bridge", "rod"))
    assert [radius for _, radius in (*block.shape.holes, *bridge.shape.holes)] == [3.0, 3.0]
    assert not rod.turns
    piece = found["pulley hub, accelerator"]
    assert piece.turns
    for number in (1, 2):
        bush = found[f"bearing middle {number}"]
        assert bush.turns
        assert piece.may_touch(bush)
        assert bush.may_touch(rod)
        assert max(r for _, r in bush.shape.outline) == min(r for _, r in piece.shape.outline)
    low, high = build(wheel).shafts["middle"].faces_mm
    assert [b.at_mm for b in build(wheel).shafts["middle"].bearings] == [low + 3.0, high - 3.0]


def test_it_is_bored_for_its_bushes(wheel):
    bore = bore_of(wheel, wheel.pulley("hub"))
    assert bore.diameter_mm == 10.0
    assert "bushes" in bore.note


def test_it_is_put_on_its_pin_after_the_pin_and_before_its_band(wheel):
    steps = {s.what: (i, s.kind) for i, s in enumerate(assembly(build(wheel)).together)}
    assert not assembly(build(wheel)).stuck
    (pin, kind), (turning, told) = steps["rod middle"], steps["pulley hub, accelerator"]
    assert (kind, told) == ("pin", "wheel")
    assert pin < turning < steps["first band"][0] < steps["bridge middle"][0]


def test_a_pin_weighs_on_nothing_and_stores_nothing(wheel):
    turning = replace(wheel, shafts=tuple(replace(s, fixed=False) for s in wheel.shafts))
    still, turns = (rotor(build(d).shafts["middle"]) for d in (wheel, turning))
    rod = build(turning).shafts["middle"]
    low, high = rod.ends_mm
    mass = rod.density.value.value * math.pi / 4.0 * 0.006**2 * (high - low) / 1e3
    bore = build(wheel).pulleys["hub"].density.value.value * math.pi / 4.0 * (0.01**2 - 0.006**2)
    assert turns.inertia.mass_kg - still.inertia.mass_kg == pytest.approx(
        mass + bore * 0.032, rel=0.01
    )


def test_its_collar_carries_what_turns_and_not_the_pin(wheel):
    shaft = next(
        s for s in load_wheel(wheel, solve_drive(wheel)).load.shafts if s.shaft == "middle"
    )
    turning = sum(build(wheel).pulleys[n].inertia.mass_kg for n in ("hub", "accelerator"))
    assert [at for at, _ in shaft.bearings_n] == [9.0, 35.0]
    # the quarter-turned band pulls a little along it; the pin itself would weigh a fifth more
    assert shaft.thrust_n == pytest.approx(turning * 9.80665, rel=0.05)


@pytest.mark.parametrize(
    ("text", "rule"),
    [(pinned(wide=10.0), "pin-pieces"), (pinned(hub=15.8), "thin-wall"), (pinned(), None)],
)
def test_a_wheel_that_cannot_turn_on_its_pin_is_told(tmp_path, text, rule):
    path = tmp_path / "pin.toml"
    path.write_text(text, encoding="utf-8")
    rules = {f.rule: f for f in wheelgeo.load(path).check().findings if f.level == "fault"}
    found = {"pin-pieces", "thin-wall", "bearings-too-few"} & set(rules)
    assert found == ({rule} if rule else set())
    if rule == "pin-pieces":
        mended = rules[rule].remedy.apply()
        assert not [f for f in mended.check().findings if f.rule == rule]


@pytest.mark.parametrize(
    ("shaft", "why"), [("main", "its crank turns the rod"), ("spindle", "turns with its rod")]
)
def test_a_rod_that_must_turn_cannot_stand_still(tmp_path, shaft, why):
    path = tmp_path / "pin.toml"
    path.write_text(TEXT.replace(f'name = "{shaft}"', f'name = "{shaft}"\nfixed = true', 1))
    with pytest.raises(wheelgeo.DesignError, match=why):
        wheelgeo.load(path)
