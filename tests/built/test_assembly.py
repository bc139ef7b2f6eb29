"""In which order a wheel goes together: what encloses what, endless bands included."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.built.assembly import assembly, first_off, units
from wheelgeo.built.bodies import bodies
from wheelgeo.built.drawn_out import WaysOut
from wheelgeo.check.report import check_whole
from wheelgeo.design.model import Bearing, Washer
from wheelgeo.design.reader import read_design
from wheelgeo.shop.body_meshes import body_mesh
from wheelgeo.shop.order_of_work import step_words, way_words

DESIGNS = Path(__file__).parents[2] / "designs"
BOX = read_design(DESIGNS / "box-wheel.toml")


def with_bearings(name, *places):
    bearings = tuple(Bearing(at, "brass") for at in places)
    shafts = tuple(replace(s, bearings=bearings) if s.name == name else s for s in BOX.shafts)
    return replace(BOX, shafts=shafts)


def test_what_is_asked_while_answers_are_handed_over_does_no_harm():
    all_units = tuple(units([b for b in bodies(build(BOX)) if b.kind != "cop"]))
    ways, others = WaysOut(all_units), iter(all_units[2:])
    ways.rests_on(all_units[1], all_units[0])

    class AskedMeanwhile(dict):
        def setdefault(self, *args):
            ways.rests_on(next(others), all_units[0])  # as another thread would
            return super().setdefault(*args)

    ways._asked_about = AskedMeanwhile()
    ways.stand_alone()
    assert set(ways._asked_about) == {all_units[0].name, all_units[1].name}


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.toml")), ids=lambda p: p.stem)
def test_every_shipped_wheel_comes_apart_to_the_last_body(path):
    built = build(read_design(path))
    found = assembly(built)
    assert found.stuck == ()
    taken = [name for step in found.apart for name in step.parts]
    whole = {b.name for b in bodies(built) if b.kind != "cop"}
    assert whole | {band.name for band in built.design.bands} == set(taken)
    assert len(taken) == len(set(taken))


def test_a_band_goes_on_before_the_last_holder_of_its_rods():
    order = [step.what for step in assembly(build(BOX)).together]
    for band, after, before in (
        ("first band", "rod main", "bridge main"),
        ("first band", "rod middle", "bridge middle"),
        ("second band", "rod spindle", "cap spindle 2"),
    ):
        assert order.index(after) < order.index(band) < order.index(before)
    assert order.index("bridge main") < order.index("crank")
    crank = next(step for step in assembly(build(BOX)).together if step.kind == "crank")
    assert crank.parts == ("crank", "knob")  # its screw is reached from below alone
    assert order[0] == "floor"


@pytest.mark.parametrize(
    "name", ["box-wheel", "book-wheel", "sheet-wheel", "travel-wheel", "parallel-box-wheel"]
)
def test_the_band_that_lies_deeper_on_a_rod_goes_on_first(name):
    """The rods stand in their blocks, so each is free at its upper end alone: "hub" lies below.

    Shifted above it, the hub's band must go on last.
    """
    design = read_design(DESIGNS / f"{name}.toml")
    order = [step.what for step in assembly(build(design)).together]
    assert design.pulley("hub").offset_mm < design.pulley("accelerator").offset_mm
    assert order.index("first band") < order.index("second band")


def swapped(*changed):
    """Return the box wheel with pulleys in other places along their rods, mm."""
    places = dict(changed)
    pulleys = tuple(replace(p, offset_mm=places.get(p.name, p.offset_mm)) for p in BOX.pulleys)
    return replace(BOX, pulleys=pulleys)


def test_which_band_goes_on_first_hangs_on_the_places_of_their_grooves():
    found = assembly(build(swapped(("hub", 30.0), ("accelerator", 14.0))))
    order = [step.what for step in found.together]
    assert order.index("second band") < order.index("first band")


def test_bands_that_each_lie_under_the_other_cannot_go_on():
    """On one rod the first band lies deeper, on the other the second: neither can go on first."""
    routes = {"first band": ("wheel", "hub"), "second band": ("side", "accelerator")}
    bands = tuple(
        replace(b, route=tuple(replace(s, pulley=p) for s, p in zip(b.route, routes[b.name],
                                                                    strict=True)))
        for b in BOX.bands
    )  # fmt: skip
    side = replace(BOX.pulley("wheel"), name="side")

    def put(wheel_mm: float, side_mm: float):
        high = swapped(("wheel", wheel_mm))
        pulleys = (*high.pulleys, replace(side, offset_mm=side_mm))
        return assembly(build(replace(high, bands=bands, pulleys=pulleys)))

    stuck = {one.what: one.held_by for one in put(30.0, 14.0).stuck}
    assert stuck["first band"] == ("second band",)
    assert stuck["second band"] == ("first band",)
    near = put(14.0, 30.0)
    assert near.stuck == ()
    assert [s.what for s in near.together if s.kind == "band"] == ["first band", "second band"]


def test_a_band_on_a_sleeve_minds_one_on_the_rod_that_it_turns_on():
    """Both come off the flyer behind: the bobbin's band lies deeper, and goes on first."""
    two = read_design(DESIGNS / "two-band-wheel.toml")
    order = [step.what for step in assembly(build(two)).together]
    assert order.index("bobbin band") < order.index("flyer band")


def test_what_stands_on_something_comes_after_it():
    order = [s.what for s in assembly(build(read_design(DESIGNS / "flyer-wheel.toml"))).together]
    for below, above in (
        ("post flyer", "bed flyer"),
        ("bed flyer", "mother-of-all flyer"),
        ("mother-of-all flyer", "maiden flyer 1"),
    ):
        assert order.index(below) < order.index(above)


def test_a_closed_hole_between_two_pulleys_of_one_rod_is_found():
    """Hub at 14 and accelerator at 30, fixed; a bridge at 22 between them cannot pass either."""
    found = assembly(build(with_bearings("middle", 5.0, 22.0)))
    stuck = {one.what: one.held_by for one in found.stuck}
    assert "rod middle" in stuck["bridge middle"] or "bridge middle" in stuck["rod middle"]
    findings = [f for f in check_whole(with_bearings("middle", 5.0, 22.0)).findings
                if f.rule == "put-together"]  # fmt: skip
    assert any("bridge middle" in f.says for f in findings)
    assert all(f.remedy.says.startswith("split") for f in findings)


def test_while_bodies_collide_all_that_they_hold_fast_is_one_finding():
    """A wheel too large for its box holds walls, rods and blocks; with the box made larger none."""
    wheel = wheelgeo.load(DESIGNS / "travel-wheel.toml").put({"wheel.rim": "130 mm"})
    findings = wheel.check().findings
    collide = [f for f in findings if f.rule == "bodies-collide" and f.level == "fault"]
    assert collide
    (held,) = (f for f in findings if f.rule == "put-together")
    assert held.value == len(assembly(build(wheel.design)).stuck) > 1
    assert not held.remedy.edits


def test_what_only_waits_for_what_stands_on_it_is_not_told():
    """A whorl held fast between its supports keeps the board under them in place: they are told."""
    spindle = replace(BOX.spindle, bearings=(Bearing(-14.0, "brass"), Bearing(4.0, "brass")))
    stuck = {one.what: one.held_by for one in assembly(build(replace(BOX, spindle=spindle))).stuck}
    assert "support spindle 2" in stuck
    assert "slide spindle" not in stuck
    assert all(stuck.values())


def test_a_split_support_lets_a_whorl_between_two_supports_out_and_is_the_remedy():
    """Closed, one is caught between whorl and washer; split, the rod is lifted out of it."""
    closed = tuple(Bearing(at, "brass") for at in (-14.0, 24.0))
    washer = Washer(at_mm=40.0, diameter_mm=20.0, thickness_mm=2.0)
    spindle = replace(BOX.spindle, bearings=closed, washers=(washer,))
    wheel = replace(BOX, spindle=spindle)
    found = [f for f in check_whole(wheel).findings if f.rule == "put-together"]
    assert found
    edits = found[0].remedy.edits
    assert [e.key for e in edits] == ["spindle:bearings"]
    assert "brass, split)" in found[0].remedy.says
    opened = replace(wheel, spindle=replace(wheel.spindle, bearings=edits[0].after))
    assert any(b.split for b in opened.spindle.bearings)
    assert assembly(build(opened)).stuck == ()


def test_the_halves_of_a_split_support_are_the_whole_less_what_the_saw_takes():
    made = {b.name: b for b in bodies(build(BOX))}
    low, cap, bush = made["support spindle 1"], made["cap spindle 1"], made["bearing spindle 1"]
    whole = body_mesh(replace(low, shape=low.whole), 0.01).volume
    assert body_mesh(low, 0.01).volume + body_mesh(cap, 0.01).volume == pytest.approx(
        whole, rel=2e-3
    )
    assert cap.may_touch(bush)
    assert cap.may_touch(low)
    steps = [s.what for s in assembly(build(BOX)).together]
    assert steps.index("support spindle 1") < steps.index("rod spindle")
    assert steps.index("second band") < steps.index("cap spindle 1")
    rod = next(s for s in assembly(build(BOX)).together if s.what == "rod spindle")
    assert {"bearing spindle 1", "bearing spindle 2"} <= set(rod.parts)


def test_what_holds_an_upright_rod_is_not_split(tmp_path):
    text = (DESIGNS / "box-wheel.toml").read_text(encoding="utf-8")
    split = 'name = "main"\nbearings = [{ at = 5, kind = "brass", split = true }]'
    path = tmp_path / "split.toml"
    path.write_text(text.replace('name = "main"', split, 1), encoding="utf-8")
    with pytest.raises(wheelgeo.DesignError, match="a bridge lifts off"):
        wheelgeo.load(path)


def test_the_same_bridge_beyond_both_pulleys_is_no_fault():
    assert assembly(build(with_bearings("middle", 5.0, 40.0))).stuck == ()


def test_a_rod_goes_with_what_is_fixed_on_it_and_a_board_with_its_bush():
    found = {u.name: [b.name for b in u.parts] for u in units(bodies(build(BOX)))}
    assert found["rod middle"] == ["rod middle", "pulley hub", "pulley accelerator"]
    assert found["bridge main"] == ["bridge main", "bearing main 2"]
    assert found["floor"] == ["floor"]


def test_the_bobbin_and_its_whorl_are_glued_on_one_sleeve_that_comes_off_whole():
    """A bobbin that turns freely on its sleeve is reached by neither whorl nor brake."""
    for name in ("flyer-wheel", "braked-bobbin-wheel"):
        steps = assembly(build(read_design(DESIGNS / f"{name}.toml"))).together
        sleeve = next(s for s in steps if s.kind == "sleeve")
        assert "bobbin" in sleeve.parts
        assert {"pulley bobbin whorl"} <= set(sleeve.parts) or name == "braked-bobbin-wheel"
        assert not any(s.what == "bobbin" for s in steps)


def test_what_is_taken_off_before_a_spindle_comes_out_is_named():
    """The box's supports are split: their caps. Closed ones come off whole; upright, the bridge."""
    assert set(first_off(build(BOX), "spindle")) == {"cap spindle 1", "cap spindle 2"}
    closed = replace(BOX, spindle=replace(
        BOX.spindle, bearings=tuple(replace(b, split=False) for b in BOX.spindle.bearings)
    ))
    assert set(first_off(build(closed), "spindle")) == {"support spindle 1", "support spindle 2"}
    upright = read_design(DESIGNS / "parallel-box-wheel.toml")
    assert first_off(build(upright), "spindle") == ("bridge spindle",)
    told = {f.rule: f for f in check_whole(upright).findings}["packing"]
    assert 'comes out when "bridge spindle" is off' in told.says
    assert "draws out" not in told.says


def test_a_spindle_that_stays_within_the_case_is_not_taken_out():
    spindle = BOX.shaft("spindle")
    short = replace(spindle, ends_mm=(spindle.ends_mm[0], 140.0))
    inside = replace(BOX, shafts=tuple(short if s.name == "spindle" else s for s in BOX.shafts))
    assert "packing" not in {f.rule for f in check_whole(inside).findings}


def test_a_flyer_lifts_out_of_split_maidens_with_its_bobbin_on_it():
    """So the bobbin is changed without a maiden off: what rides on the rod goes in with it."""
    farm = read_design(DESIGNS / "farm-wheel.toml")
    steps = assembly(build(farm)).together
    flyer = next(s for s in steps if s.what == "rod flyer")
    assert {"rod bobbin", "bobbin", "pulley flyer whorl", "bearing flyer 1"} <= set(flyer.parts)
    assert flyer.along == (0.0, 0.0, 1.0)
    order = [s.what for s in steps]
    assert order.index("rod flyer") < order.index("drive band") < order.index("cap flyer 1")
    one = replace(farm, spindle=replace(farm.spindle, bearings=tuple(
        replace(b, split=False) for b in farm.spindle.bearings
    )))
    assert "rod bobbin" in [s.what for s in assembly(build(one)).together]


def test_a_rod_in_open_holders_on_both_sides_is_lifted_out_for_its_band():
    """A band passes no half that is still there; one at its side alone it goes round."""
    steps = {s.what: s for s in assembly(build(BOX)).together}
    assert steps["second band"].lifted == ("rod spindle",)
    assert steps["first band"].lifted == ()
    assert 'lift "rod spindle" out of its open holders' in step_words(steps["second band"])
    assert "lift" not in step_words(steps["first band"])
    # with one support closed the rod cannot be lifted: its band goes on before that support
    first, second = BOX.spindle.bearings
    mixed = replace(BOX, spindle=replace(
        BOX.spindle, bearings=(first, replace(second, split=False))
    ))
    found = assembly(build(mixed))
    order = [s.what for s in found.together]
    assert found.stuck == ()
    assert order.index("second band") < order.index("support spindle 2")
    assert next(s for s in found.together if s.what == "second band").lifted == ()


def test_a_way_off_a_slope_is_told_as_what_it_is():
    """Square to a slope of 17 degrees it comes from above; along one of 35 from a side."""
    assert way_words((0.29, 0.0, 0.957)) == "from above, square to its slope"
    assert way_words((-0.29, 0.0, -0.957)) == "from below, square to its slope"
    assert way_words((0.82, 0.0, 0.57)) == "from the right, along its slope"
    assert way_words((0.0, 0.0, 1.0)) == "from above"
