"""Retuning: options against plain enumeration, re-solved from their written files, faults said."""

import math
import re
from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest

from wheelgeo.built.as_built import build
from wheelgeo.check.finding import Finding
from wheelgeo.check.report import check_whole
from wheelgeo.design.model import Band, Count, FlatRim, GivenPitch, Pulley, Stop
from wheelgeo.design.reader import parse_design
from wheelgeo.design.writer import rewrite_as
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.tune.bandfit import fit, reaches
from wheelgeo.tune.makeable import Makeable
from wheelgeo.tune.path_lengths import path_lengths
from wheelgeo.tune.remakes import exponents, made_parts, power_path, with_sizes
from wheelgeo.tune.retune import Limits, retune
from wheelgeo.tune.retune_answer import retune_answer
from wheelgeo.tune.rule_check import Checks, fault_rules
from wheelgeo.tune.wanted_ratio import Wish

SIZES = Makeable(None, (10.0, 12.0, 14.0, 15.0, 18.0, 60.0, 70.0, 81.0, 84.5, 99.0, 170.0, 190.0))
FINER = Wish(count=Count(80.0, "Nm"))

TEXT = """\
# A wheel of our own for these tests; comments must survive.
title = "Retuning test wheel"
unit = "mm"

[drive]
shaft = "main"
by = "crank"
speed = "60 rpm"              # once a second
turns = "clockwise"
radius = 60
offset = 46

[[shaft]]
name = "main"
at = [95, 95, 0]
axis = [0, 0, 1]
diameter = 8

[[shaft]]
name = "middle"
at = [220, 43, 0]
axis = [0, 0, 1]
diameter = 6

[[shaft]]
name = "spindle"
# Square to the middle shaft.
at = [370, 43, 30]
axis = [0, 1, 0]
diameter = 4
ends = [-20, 175]
slide = { along = [1, 0, 0], from = -6, to = 2 }

[[pulley]]
name = "wheel"
shaft = "main"
offset = 14
groove = { shape = "vee", rim = 182, depth = 3.5, angle = 40, bottom = 0.6 }

[[pulley]]
name = "hub"
shaft = "middle"
offset = 14
groove = { shape = "vee", rim = 16.5, depth = 3.5, angle = 40, bottom = 0.6 }

[[pulley]]
name = "accelerator"
shaft = "middle"
offset = 30
groove = { shape = "vee", rim = 75, depth = 4, angle = 40, bottom = 0.6 }

[[pulley]]
name = "whorl"
shaft = "spindle"
offset = 0
groove = { shape = "vee", rim = 9.6, depth = 2.4, angle = 60, bottom = 0.6 }

[[band]]
name = "first band"
route = ["wheel", "hub"]
material = "cotton cord"
diameter = 2
slip = "1 %"
stretch = "1 %"

[[band]]
name = "second band"
# Thin, for the small whorl.
route = ["accelerator", "whorl"]
material = "cotton cord"
diameter = 1.2
slip = "2 %"
stretch = "1 %"

[spindle]
shaft = "spindle"
kind = "tip"
bearings = [{ at = -14, kind = "brass" }, { at = 24, kind = "brass" }]
cop = { from = 65, to = 120, diameter = 24, mass = "9 g" }

[yarn]
count = "44 Nm"
fibre = "cotton"
twist = "Z"
turns_per_metre = 900
draw = 600

[case]
inside = [385, 190, 70]
spinner = "back"
corner = [0, 0, 0]

[limits]
start_force_n = 20            # a strong hand: a band that is kept may pull three times as hard
"""


@pytest.fixture(scope="module")
def wheel():
    return parse_design(TEXT)


@pytest.fixture(scope="module")
def finer(wheel):
    return retune(wheel, FINER, Limits(Makeable(0.5)))


NO_FINDINGS = Checks(lambda _: (), lambda _: ())


def test_the_power_path_runs_from_hand_to_spindle(wheel):
    links = power_path(solve_drive(wheel))
    assert [(k.driving, k.driven) for k in links] == [("wheel", "hub"), ("accelerator", "whorl")]


def test_exponents_give_the_ratio_of_the_solved_drive(wheel):
    solution = solve_drive(wheel)
    radii = {
        (stop.pulley, m.band.name): seat.pitch_radius_mm
        for m in solution.bands
        for stop, seat in zip(m.band.route, m.seats, strict=True)
    }
    product_ = math.prod(radii[stop] ** power for stop, power in exponents(solution).items())
    assert product_ == pytest.approx(solution.ratio_without_slip, rel=1e-12)


def brute_force(wheel, goal, allowed):
    """Every single size and every pair of sizes whose solved ratio comes near enough."""
    now = abs(solve_drive(wheel).ratio / goal - 1.0)
    parts = made_parts(solve_drive(wheel), SIZES)
    found = []
    for group in [*((p,) for p in parts), *combinations(parts, 2)]:
        for sizes in product(*(p.sizes_mm for p in group)):
            ratio = solve_drive(with_sizes(wheel, zip(group, sizes, strict=True))).ratio
            if abs(ratio / goal - 1.0) < min(allowed, now):
                found.append((tuple(p.name for p in group), sizes))
    return found


def test_as_many_combinations_as_plain_enumeration_finds(wheel):
    found = retune(wheel, FINER, Limits(SIZES, most=200, each=50), NO_FINDINGS)
    expected = brute_force(wheel, found.need.ratio_needed, 0.05)
    assert found.looked_at == len(expected)
    sets = {tuple(c.what.removesuffix(".rim") for c in o.changes) for o in found.options}
    known = {names for names, _ in expected}
    assert {names for names in known if len(names) == 1} <= sets <= known  # two must earn it


def test_the_first_of_each_set_is_the_best_by_plain_enumeration(wheel):
    found = retune(wheel, FINER, Limits(SIZES, most=200, each=1), NO_FINDINGS)
    for option in found.options:
        names = tuple(c.what.removesuffix(".rim") for c in option.changes)
        rivals = [
            retune_of(wheel, dict(zip(n, s, strict=True)), found)
            for n, s in brute_force(wheel, found.need.ratio_needed, 0.05)
            if n == names
        ]
        same_bands = [error for remade, error in rivals if remade == option.remade]
        assert min(remade for remade, _ in rivals) == option.remade
        assert min(same_bands) == pytest.approx(option.error, rel=1e-9)


def retune_of(wheel, sizes, found):
    """Bands remade and error of one combination, built by itself."""
    parts = {p.name: p for p in made_parts(solve_drive(wheel), SIZES)}
    changed = with_sizes(wheel, [(parts[n], s) for n, s in sizes.items()])
    made = fit(replace(changed, yarn=found.need.yarn), reaches(solve_drive(wheel)))
    return made.remade, found.need.error_of(solve_drive(made.design).ratio)


def test_options_are_ranked_by_soundness_work_bands_and_error(finer):
    ranks = [
        (len(o.faults), len(o.warnings), o.labour_h, o.parts, o.remade, round(o.error, 12))
        for o in finer.options
    ]
    assert ranks == sorted(ranks)
    assert {o.parts for o in finer.options} == {1, 2}


def test_a_second_part_earns_its_place(finer):
    for one in finer.options:
        for two in finer.options:
            made = [{c.what for c in o.changes} for o in (one, two)]
            if one.parts < two.parts and made[0] <= made[1]:
                earns = (
                    len(two.faults) < len(one.faults)
                    or len(two.warnings) < len(one.warnings)
                    or two.remade < one.remade
                    or two.error < one.error - 0.01
                )
                assert earns, (made, one.rank, two.rank)


def test_no_fault_is_left_unsaid(finer):
    assert any(o.faults for o in finer.options)  # a larger accelerator does not fit this case
    assert any(not o.faults for o in finer.options)
    for option in finer.options:
        assert option.faults == fault_rules(check_whole(option.design).findings)


def test_the_findings_are_the_checkers(wheel):
    fault = Finding("of-our-own", "fault", "", None, None, "", "", "", "")
    found = retune(wheel, FINER, Limits(SIZES), Checks(lambda _: [fault], lambda _: []))
    assert {o.faults for o in found.options} == {("of-our-own",)}
    assert found.without_change.turning.faults == ("of-our-own",)
    assert not found.without_change.enough


@pytest.mark.parametrize("wish", [FINER, Wish(twist="S"), Wish(ratio=120.0), Wish(draw_mm=500.0)])
def test_written_files_solve_to_what_their_options_say(wheel, wish):
    found = retune(wheel, wish, Limits(Makeable(1.0), most=6), NO_FINDINGS)
    assert found.options
    for number, option in enumerate(found.options, start=1):
        written = rewrite_as(TEXT, found.options[number - 1].design)
        solution = solve_drive(parse_design(written))
        assert solution.ratio == pytest.approx(option.ratio, rel=1e-12)
        for fate, motion in zip(option.bands, solution.bands, strict=True):
            assert (motion.path is None) == (fate.length_mm is None)
            if motion.path is not None:
                assert motion.path.length_mm == pytest.approx(fate.length_mm, abs=1e-9)
        # No number in it pretends to more figures than anybody measures or counts.
        assert not re.search(r"\d\.\d{4}", written[written.index("[yarn]") :])
        assert [line for line in TEXT.splitlines() if line.startswith("#")] == [
            line for line in written.splitlines() if line.startswith("#")
        ]


def test_a_kept_band_stays_within_the_stretch_of_its_material(wheel, finer):
    before = {m.band.name: m.path.length_mm for m in solve_drive(wheel).bands}
    stretches = {"first band": (0.01, 0.01, 0.03), "second band": (0.01, 0.01, 0.03)}
    kept = [b for o in finer.options for b in o.bands if not b.remade]
    assert kept
    for band in kept:
        was, low, high = stretches[band.name]
        rest = before[band.name] / (1.0 + was)
        assert rest * (1.0 + low) - 1e-6 <= band.length_mm <= rest * (1.0 + high) + 1e-6
        assert band.length_mm == pytest.approx(rest * (1.0 + band.stretch), rel=1e-6)


def test_ratio_alone_keeps_the_turns_of_the_hand(wheel):
    option = retune(wheel, Wish(ratio=120.0), Limits(Makeable(1.0)), NO_FINDINGS).options[0]
    now = solve_drive(wheel).ratio
    assert option.turns_per_metre == pytest.approx(900.0 * option.ratio / now)


def test_only_and_keep_are_obeyed(wheel):
    only = retune(wheel, FINER, Limits(Makeable(0.5), only=("hub", "accelerator")), NO_FINDINGS)
    assert {c.what for o in only.options for c in o.changes} <= {"hub.rim", "accelerator.rim"}
    kept = retune(wheel, FINER, Limits(Makeable(0.5), keep=("hub",)), NO_FINDINGS)
    assert "hub.rim" not in {c.what for o in kept.options for c in o.changes}


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        (Limits(SIZES, only=("hubb",)), 'did you mean "hub"'),
        (Limits(SIZES, keep=("wheel", "hub", "accelerator", "whorl")), "no pulley that may change"),
    ],
)
def test_names_that_cannot_be_meant(wheel, limits, words):
    with pytest.raises(SearchError, match=words):
        retune(wheel, FINER, limits)


def test_the_other_twist_comes_from_hand_or_band_and_makes_no_part(wheel):
    found = retune(wheel, Wish(twist="S"), Limits(Makeable(0.5)))
    assert found.without_change.enough
    assert found.without_change.turn_the_other_way
    whats = [o.changes[0].what for o in found.options]
    assert whats[0] == "drive.turns"
    assert set(whats) == {"drive.turns", "first band.crossed", "second band.whorl.turns"}
    for option in found.options:
        assert option.parts == 0
        assert solve_drive(option.design).spindle_turns == "counter-clockwise"


def test_other_twist_and_finer_yarn_at_once(wheel):
    found = retune(wheel, Wish(twist="S", count=Count(80.0, "Nm")), Limits(Makeable(1.0), each=1))
    assert all(o.changes[0].unit == "" and o.changes[1].unit == "mm" for o in found.options)
    assert all("wrong-twist" not in o.faults for o in found.options)


def test_working_otherwise_is_enough_while_the_hand_can_keep_it_up(wheel):
    small = retune(wheel, Wish(turns_per_metre=1000.0), Limits(SIZES)).without_change
    assert small.enough
    assert small.turning.hand_rpm == round(60.0 * 1000.0 / 900.0)
    assert small.drive_turns_per_metre == pytest.approx(1000.0 / solve_drive(wheel).ratio)
    assert small.drive_turns_per_draw == pytest.approx(small.drive_turns_per_metre * 0.6)
    assert not retune(wheel, Wish(turns_per_metre=2000.0), Limits(SIZES)).without_change.enough


def test_a_ratio_asked_for_is_not_had_by_turning_faster(wheel):
    ratio = solve_drive(wheel).ratio * 1.02
    asked = retune(wheel, Wish(ratio=ratio), Limits(SIZES), NO_FINDINGS).without_change
    assert not asked.enough
    assert asked.turning.hand_rpm == round(60.0 * 1.02)


def double_grooves(wheel):
    """The box wheel with a second, equal groove on its wheel and hub for the first band."""
    pulleys = tuple(
        replace(p, name=f"{p.name} two", offset_mm=p.offset_mm + 7.0)
        for p in wheel.pulleys
        if p.name in ("wheel", "hub")
    )
    route = (Stop("wheel"), Stop("hub"), Stop("wheel two"), Stop("hub two"))
    bands = tuple(replace(b, route=route) if b.name == "first band" else b for b in wheel.bands)
    return replace(wheel, pulleys=(*wheel.pulleys, *pulleys), bands=bands)


def test_equal_grooves_of_one_wheel_are_one_part(wheel):
    parts = made_parts(solve_drive(double_grooves(wheel)), SIZES)
    assert [p.pulleys for p in parts][:2] == [("wheel", "wheel two"), ("hub", "hub two")]
    found = retune(double_grooves(wheel), Wish(ratio=140.0), Limits(Makeable(0.5)), NO_FINDINGS)
    single = next(o for o in found.options if o.changes[0].what == "wheel.rim")
    assert [c.what for c in single.changes] == ["wheel.rim", "wheel two.rim"]
    assert single.parts == 1
    assert not solve_drive(single.design).fights


def test_a_pulley_outside_the_power_path_is_no_way_to_change_the_ratio(wheel):
    extra = Pulley("idler", "middle", 50.0, FlatRim(30.0, 8.0))
    spare = Band("spare", (Stop("accelerator"), Stop("idler")), "cotton cord", 1.2)
    parts = made_parts(
        solve_drive(replace(wheel, pulleys=(*wheel.pulleys, extra), bands=(*wheel.bands, spare))),
        SIZES,
    )
    assert "idler" not in {p.name for p in parts}


def test_the_document_has_its_fixed_keys(finer):
    document = retune_answer(finer, finer.options[0].design, lambda design: design).to_json()
    option = document["options"][0]
    assert document["ratio_needed"] == pytest.approx(document["ratio_now"] * math.sqrt(80 / 44))
    assert {"changes", "ratio", "turns_per_metre", "bands", "faults"} <= set(option)
    assert set(option["changes"][0]) == {"what", "from", "to", "unit"}
    assert {"name", "length_mm", "remade"} <= set(option["bands"][0])


def test_each_way_with_the_wheel_as_it_is_is_a_wheel_and_takes_its_time(finer):
    without = retune_answer(finer, finer.options[0].design, lambda design: design).without_change
    turned, drafted = without.ways()
    assert f"{turned.says}, or {drafted.says}" == without.ways_in_words()
    assert turned.wheel.drive.speed_rpm == round(60.0 * math.sqrt(80 / 44))
    assert turned.warnings == without.warnings
    assert drafted.wheel.drive.speed_rpm == 60.0
    assert drafted.draw_seconds == pytest.approx(without.drive_turns_per_draw)  # a turn a second
    assert turned.draw_seconds == pytest.approx(drafted.draw_seconds * 60.0 / 81.0)
    assert all(way.wheel.yarn.count == Count(80.0, "Nm") for way in (turned, drafted))


@pytest.mark.parametrize("number", [0, 99, -1])
def test_an_option_that_is_not_there(finer, number):
    with pytest.raises(SearchError, match="there is no option"):
        retune_answer(finer, finer.options[0].design, lambda design: design).option(number)


def test_path_lengths_by_arrays_are_those_of_single_wheels(wheel):
    crossed = replace(wheel.band("first band"), route=(Stop("wheel"), Stop("hub", "against")))
    wheel = replace(wheel, bands=(crossed, wheel.band("second band")))
    for band in wheel.bands:
        radii = np.array([[40.0, 5.0], [80.0, 9.0], [10.0, 30.0]])
        lengths = path_lengths(wheel, band, radii)
        for row, length in zip(radii, lengths, strict=True):
            pitches = {s.pulley: GivenPitch(2.0 * r) for s, r in zip(band.route, row, strict=True)}
            pulleys = (replace(p, groove=pitches.get(p.name, p.groove)) for p in wheel.pulleys)
            motion = solve_drive(replace(wheel, pulleys=tuple(pulleys))).band(band.name)
            assert length == pytest.approx(motion.path.length_mm, rel=1e-12)


def test_a_path_that_is_not_there_is_no_number(wheel):
    band = wheel.band("first band")
    assert np.isnan(path_lengths(wheel, band, np.array([[400.0, 5.0]]))).all()


def test_a_slide_takes_up_what_stretch_cannot(wheel):
    today = solve_drive(wheel)
    parts = {p.name: p for p in made_parts(today, Makeable(0.5))}
    made = fit(with_sizes(wheel, [(parts["accelerator"], 82.0)]), reaches(today))
    assert made.slid["spindle"] < 0.0
    assert made.slid["spindle"] == round(made.slid["spindle"], 2)
    assert made.remade == 0
    assert made.design.shaft("spindle").at_mm[0] == pytest.approx(370.0 + made.slid["spindle"])


def test_no_shaft_is_slid_in_vain(wheel):
    today = solve_drive(wheel)
    parts = {p.name: p for p in made_parts(today, Makeable(0.1))}
    for size, remade in ((75.1, 0), (120.0, 1)):
        made = fit(with_sizes(wheel, [(parts["accelerator"], size)]), reaches(today))
        assert made.slid == {}
        assert made.remade == remade


def test_a_band_that_would_pull_harder_is_let_in(wheel):
    # 76 mm leaves the second band within its usual stretch, but pulling half as hard again.
    today = solve_drive(wheel)
    parts = {p.name: p for p in made_parts(today, Makeable(0.5))}
    made = fit(with_sizes(wheel, [(parts["accelerator"], 76.0)]), reaches(today))
    assert made.slid["spindle"] < 0.0
    assert made.remade == 0
    before = build(wheel).bands["second band"].stretch.value
    assert made.bands[1].stretch == pytest.approx(before, rel=0.03)


def test_a_remade_band_has_the_stretch_of_the_file(wheel):
    today = solve_drive(wheel)
    parts = {p.name: p for p in made_parts(today, Makeable(0.5))}
    made = fit(with_sizes(wheel, [(parts["accelerator"], 120.0)]), reaches(today))
    second = made.bands[1]
    assert second.remade
    assert second.rest_mm == pytest.approx(second.length_mm / 1.01)
