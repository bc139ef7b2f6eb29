"""Searching for a brief: against trying every combination, and what it promises."""

import math
import zlib
from dataclasses import replace
from functools import cache
from itertools import combinations, count, product
from operator import itemgetter

import numpy as np
import pytest

from wheelgeo.check.every_rule import MECHANICS_RULES, QUICK_RULES
from wheelgeo.check.finding import Finding
from wheelgeo.check.report import check_whole, put_under_check
from wheelgeo.check.rules_parts import thin_wall
from wheelgeo.check.rules_running import slip
from wheelgeo.design.model import Bearing, Cop, Count, Spindle, Yarn
from wheelgeo.drive.running import load_wheel
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.geometry.convex import gap_mm
from wheelgeo.geometry.path_array import solve_paths
from wheelgeo.tune import two_stages
from wheelgeo.tune.brief import Brief, Choice, Cord, Rods, Sizes
from wheelgeo.tune.brief_quality import (
    WARNING,
    bend_mm,
    flat_wrap_deg,
    measure,
    quarter_turn,
    weights_of,
)
from wheelgeo.tune.brief_slip import margins
from wheelgeo.tune.rule_check import fault_rules
from wheelgeo.tune.shaft_places import plan_of
from wheelgeo.tune.size import brief_figures, size, space_of
from wheelgeo.tune.wheel_from_choice import apart_mm, cop_radius_mm, heights, lay_out, parts_of

THICK = Cord("thick", "cotton cord", 2.0, 0.01, 0.01)
THIN = Cord("thin", "cotton cord", 1.2, 0.02, 0.01)

BOX = Brief(
    title="Box", unit="mm", stages=2, lies="horizontal", ratio=150.0,
    yarn=Yarn(Count(44.0, "Nm"), "cotton", "Z", turns_per_metre=900.0, draw_mm=600.0),
    hand_rpm=60.0, crank_mm=60.0, inside_mm=(385.0, 190.0, 70.0), cords=(THICK, THIN),
    sizes=Sizes((160.0, 176.0), (14.0, 15.0, 16.0), (70.0, 76.0), (9.6, 10.2), 45.0),
    rods=Rods(8.0, 6.0, 4.0),
    spindle=Spindle(
        "spindle", "tip", bearings=(Bearing(-14.0, "brass"), Bearing(24.0, "brass")),
        cop=Cop(65.0, 120.0, 24.0, 9.0),
    ),
    spindle_ends_mm=(-20.0, 175.0), disc_mm=None, sheets=(), matters=("ratio", "slip", "wood"),
    wheels=1,
)  # fmt: skip
FINE = replace(BOX, sizes=Sizes(
    tuple(range(150, 180, 2)), (14.0, 15.0, 16.0), tuple(range(66, 80, 2)), (9.6, 10.2), 5.0
))  # fmt: skip
FLAT = replace(
    BOX, lies="flat", ratio=80.0, cords=(THICK,), inside_mm=(330.0, 190.0, 70.0),
    sizes=Sizes((150.0, 176.0), (16.0, 17.0), (70.0, 84.0), (12.0, 13.0), 40.0),
)  # fmt: skip
SINGLE = replace(
    FLAT, stages=1, ratio=18.0, cords=(THICK, THIN), inside_mm=(500.0, 300.0, 80.0),
    sizes=Sizes((200.0, 210.0, 230.0, 250.0), (), (), (12.0, 13.0, 14.0, 15.0), 25.0),
)  # fmt: skip
FEW = replace(SINGLE, sizes=Sizes((200.0, 230.0), (), (), (12.0, 14.0), 25.0))
LEVEL = replace(SINGLE, lies="horizontal", ratio=12.0, inside_mm=(900.0, 300.0, 80.0),
                sizes=Sizes((200.0, 210.0), (), (), (18.0, 20.0, 22.0), 40.0))  # fmt: skip
BRIEFS = {"box": BOX, "flat": FLAT, "single": SINGLE, "level": LEVEL}


def every_choice(brief):
    """Every combination, one by one."""
    sizes, cords = brief.sizes, range(len(brief.cords))
    xs, ys = (
        [k * sizes.place_mm for k in range(1, math.ceil(side / sizes.place_mm))]
        for side in brief.inside_mm[:2]
    )
    gap = apart_mm(brief)
    level = brief.lies == "horizontal"
    for wheel in sizes.wheel:
        # the first place of the grid that clears the wall, on the line nearest to the middle
        main = (
            min(x for x in [*xs, xs[-1] + sizes.place_mm] if x >= wheel / 2.0 + gap - 1e-9),
            min(ys, key=lambda y: abs(y - brief.inside_mm[1] / 2.0)),
        )
        if brief.stages == 1:
            for c, whorl, x in product(cords, sizes.whorl, xs):
                for y in [main[1]] if level else ys:
                    yield Choice(c, None, wheel, None, None, whorl, main, None, (x, y))
            continue
        rims = product(cords, cords, sizes.hub, sizes.accelerator, sizes.whorl, xs, ys)
        for c1, c2, hub, disc, whorl, x1, y1 in rims:
            for x, y in product(xs, [y1] if level else ys):
                yield Choice(c1, c2, wheel, hub, disc, whorl, main, (x1, y1), (x, y))


def fits(brief, choice):
    """Whether the parts of a choice keep the layout's gaps, from the words of the layout."""
    if not fits_in_plan(brief, choice):
        return False
    layers = heights(brief, parts_of(brief, choice))
    highest = max(layers.top, layers.crank + 4.0)  # the crank's arm is 8 mm thick
    return highest + apart_mm(brief) <= brief.inside_mm[2]


def fits_in_plan(brief, choice):
    gap, cop = apart_mm(brief), cop_radius_mm(brief)
    long, broad, _ = brief.inside_mm
    wheel, whorl = choice.wheel / 2.0, choice.whorl / 2.0
    if wheel + gap > min(choice.main[1], broad - choice.main[1], long - choice.main[0]) + 1e-9:
        return False

    def inside(at, radius):
        edges = (at[0], at[1], long - at[0], broad - at[1])
        return min(edges) >= radius + gap - 1e-9

    disc, second = wheel, choice.main
    if choice.middle is not None:
        disc, second, hub = choice.accelerator / 2.0, choice.middle, choice.hub / 2.0
        apart = math.dist(choice.main, choice.middle)
        if not inside(choice.middle, max(hub, disc)) or apart < gap + wheel + hub:
            return False
        if apart < gap + disc + brief.rods.main / 2.0:
            return False
    if brief.lies == "horizontal":
        beyond = choice.spindle[0] >= choice.main[0] + wheel + cop + gap
        ends = choice.spindle[0] + max(whorl, cop) + gap <= long
        return beyond and ends and choice.spindle[0] - second[0] >= disc + max(whorl, cop) + gap
    from_main = math.dist(choice.main, choice.spindle)
    hand = brief.crank_mm + brief.limit("knuckle_room_mm") + cop
    own = whorl if brief.stages == 1 else brief.rods.spindle / 2.0
    return (
        inside(choice.spindle, max(whorl, cop))
        and from_main >= max(wheel + own + gap, hand, whorl + brief.rods.main / 2.0 + gap)
        and math.dist(second, choice.spindle) >= disc + whorl + gap
    )


def runs_clear(brief, choice, subject):
    """Whether the runs of a flat wheel of two stages keep the gap from the other rods."""
    if brief.lies == "horizontal" or choice.middle is None:
        return True
    first, second = subject.solution.bands
    pairs = [(first, "spindle"), (second, "main")]
    return all(
        gap_mm(body, subject.shaft_bodies[rod]) >= apart_mm(brief) - 1e-9
        for motion, rod in pairs
        for _, body in subject.run_bodies(motion)
    )


def practice(brief, design, solution):
    """Whether wraps, leads, bends and walls are as practice wants."""
    for motion in solution.bands:
        material, cord = motion.band.material, motion.band.diameter_mm
        for index, seat in enumerate(motion.seats):
            pulley = design.pulley(motion.band.route[index].pulley)
            groove, rod = pulley.groove, design.shaft(pulley.shaft).diameter_mm
            lead = max(abs(motion.path.arriving_deg(index)), abs(motion.path.leaving_deg(index)))
            if (
                motion.path.wraps_deg[index] < brief.limit("wrap_deg")
                or lead > min(brief.limit("arriving_deg"), seat.catch_deg)
                or seat.pitch_diameter_mm - cord < bend_mm(material, cord) - 1e-9
                or groove.rim_mm - 2.0 * (groove.depth_mm + 0.4) < rod
            ):
                return False
    return True


FOR_EVER = 1e9


def findings_to_first_fault(design):
    """Findings of the rules on shapes, speeds and mechanics: these briefs are of no real case."""
    subject = put_under_check(design)
    found = []
    for rule in (*QUICK_RULES, *MECHANICS_RULES):
        found += rule.find(subject)
        if fault_rules(found):
            break
    return found


FIGURES = {}


def figures_for(brief):
    """The figures of a brief, worked out once."""
    key = repr(brief)
    if key not in FIGURES:
        FIGURES[key] = brief_figures(brief)
    return FIGURES[key]


def measured_cost(brief, choice):
    """What a choice costs without its findings, and its design; None where it is not allowed."""
    if not fits(brief, choice):
        return None
    design = lay_out(brief, choice)
    quality = measure(brief, figures_for(brief), choice, design)
    if quality is None or not math.isfinite(quality.terms["ratio"]) or min(quality.margins) < 1.0:
        return None
    return quality.total(weights_of(brief.matters)), design


def cost_of(brief, choice, below=math.inf):
    """What a choice costs, from its solved design; None where it is not allowed."""
    known = measured_cost(brief, choice)
    if known is None:
        return None
    cost, design = known
    if cost >= below or not practice(brief, design, solve_drive(design)):
        return None
    if not runs_clear(brief, choice, put_under_check(design)):
        return None
    findings = findings_to_first_fault(design)
    if fault_rules(findings):
        return None
    return cost + WARNING * sum(f.level == "warning" for f in findings)


@cache
def every_cost(name):
    """Every combination of a brief that is allowed but for its findings, the cheapest first."""
    brief = BRIEFS[name]
    known = ((c, measured_cost(brief, c)) for c in every_choice(brief))
    return sorted(((found[0], c) for c, found in known if found), key=itemgetter(0))


def best_of_all(name):
    """The least cost of all combinations, findings counted; no finding makes one cheaper."""
    best = math.inf
    for least, choice in every_cost(name):
        if least >= best:
            break
        cost = cost_of(BRIEFS[name], choice, best)
        best = best if cost is None else min(best, cost)
    return best


@cache
def searched(name):
    return size(BRIEFS[name], seconds=FOR_EVER, checker=findings_to_first_fault)


@pytest.mark.parametrize(
    "name", ["box", "single", "level", pytest.param("flat", marks=pytest.mark.long)]
)
def test_the_best_is_the_best_of_all_combinations(name):
    brief, best = BRIEFS[name], best_of_all(name)
    found = searched(name)
    assert found.proven
    assert found.combinations == sum(1 for _ in every_choice(brief))
    assert found.wheels[0].total == pytest.approx(best, rel=1e-9)
    assert cost_of(brief, found.wheels[0].choice) == pytest.approx(best, rel=1e-9)


def what_bounds_know(design):
    """Findings by the rules alone that the search can tell beforehand."""
    subject = put_under_check(design)
    return [f for rule in (thin_wall, slip) for f in rule(subject)]


def refuses_some(design):
    """Find a fault in four wheels of five, by their rims and places."""
    key = "".join(f"{p.groove.rim_mm:g}" for p in design.pulleys)
    key += "".join(f"{s.at_mm[0]:g},{s.at_mm[1]:g}" for s in design.shafts)
    known = what_bounds_know(design)
    if zlib.crc32(f"seed {key}".encode()) % 5:
        return [*known, Finding("refused", "fault", "", None, None, "", "", "")]
    return known


@pytest.mark.parametrize("name", ["box", pytest.param("flat", marks=pytest.mark.long), "single"])
def test_the_best_is_the_best_of_those_that_the_findings_let_through(name, monkeypatch):
    monkeypatch.setitem(globals(), "findings_to_first_fault", refuses_some)
    best = best_of_all(name)
    found = size(BRIEFS[name], checker=refuses_some, seconds=FOR_EVER)
    assert found.refused["refused"] > 0
    assert found.wheels[0].total == pytest.approx(best, rel=1e-9)


def alike(one, other):
    pairs = [(getattr(one, n), getattr(other, n)) for n in ("wheel", "hub", "accelerator", "whorl")]
    return all(a is None or abs(a / b - 1.0) < 0.08 for a, b in pairs)


def test_the_other_wheels_are_the_best_of_their_kind_and_unlike_each_other():
    sizes = Sizes((200.0, 230.0, 250.0), (), (), (12.0, 13.0, 15.0), 40.0)
    brief = replace(SINGLE, sizes=sizes, wheels=3)
    found = size(brief, seconds=FOR_EVER, checker=findings_to_first_fault)
    before = []
    for wheel in found.wheels:
        allowed = [c for c in every_choice(brief) if not any(alike(c, b.choice) for b in before)]
        own = replace(brief, matters=wheel.matters)
        best = math.inf
        for choice in allowed:
            cost = cost_of(own, choice, best)
            best = best if cost is None else min(best, cost)
        assert wheel.total == pytest.approx(best, rel=1e-9)
        before.append(wheel)
    assert len({w.matters[0] for w in found.wheels}) == len(found.wheels) == 3


def test_the_other_wheels_of_two_stages_are_unlike_each_other():
    sizes = Sizes((150.0, 165.0, 180.0), (14.0, 16.0), (66.0, 73.0, 80.0), (9.6, 10.6, 12.0), 19.0)
    brief = replace(BOX, sizes=sizes, wheels=4)
    found = size(brief, seconds=FOR_EVER, checker=findings_to_first_fault)
    choices = [w.choice for w in found.wheels]
    assert len(choices) > 2
    assert not any(alike(a, b) for a, b in combinations(choices, 2))


@pytest.mark.parametrize("seed", range(20))
def test_the_rectangles_hold_every_place_for_the_middle_shaft(seed):
    draw = np.random.default_rng(seed)
    width = float(draw.uniform(250.0, 500.0))
    plan = plan_of(replace(BOX, inside_mm=(width, float(draw.uniform(190.0, width)), 70.0)))
    plan = replace(plan, x=np.arange(3.0, plan.width, 3.0), y=np.arange(3.0, plan.depth, 3.0))
    wheel, hub = float(draw.uniform(30.0, 90.0)), float(draw.uniform(5.0, 20.0))
    discs = draw.uniform(20.0, 140.0, 12)
    main = (wheel + plan.gap + float(draw.uniform(0.0, 100.0)), plan.depth / 2.0)
    rectangles = plan.around_middle(main, wheel, hub, discs).T
    for disc, (x0, x1, y0, y1) in zip(discs, rectangles, strict=True):
        places = plan.middle(main, wheel, hub, float(disc))
        x, y = plan.x[places.any(axis=1)], plan.y[places.any(axis=0)]
        if len(x):
            assert x0 <= x[0] <= x[-1] <= x1
            assert y0 <= y[0] <= y[-1] <= y1


def test_every_wheel_passes_every_rule_and_spins_the_wanted_way():
    for twist in ("S", "Z"):
        brief = replace(BOX, wheels=3, yarn=replace(BOX.yarn, twist=twist))
        for wheel in size(brief, seconds=FOR_EVER).wheels:
            findings = check_whole(wheel.design).findings
            assert not fault_rules(findings)
            assert {f.rule for f in wheel.findings} == {f.rule for f in findings}


@pytest.mark.parametrize(
    "name", ["box", "single", "level", pytest.param("flat", marks=pytest.mark.long)]
)
def test_the_search_reckons_what_the_solved_wheel_measures(name):
    brief = BRIEFS[name]
    for wheel in searched(name).wheels:
        solved = measure(brief, figures_for(brief), wheel.choice, wheel.design)
        assert wheel.cost == pytest.approx(solved.total(weights_of(brief.matters)), rel=1e-12)


def test_no_bound_is_above_what_its_box_holds(monkeypatch):
    monkeypatch.setitem(globals(), "findings_to_first_fault", what_bounds_know)
    for brief in (FEW,):
        space = space_of(brief, brief_figures(brief), weights_of(brief.matters))
        costs = {}
        for choice in every_choice(brief):
            cost = cost_of(brief, choice)
            if cost is not None:
                key = (choice.wheel, choice.accelerator)
                costs[key] = min(cost, costs.get(key, math.inf))
        boxes = {
            (
                brief.sizes.wheel[b.wheel],
                brief.sizes.accelerator[b.accelerator] if brief.stages == 2 else None,
            ): b.bound
            for b in space.boxes()
        }
        assert len(costs) == len(brief.sizes.wheel)
        for key, cost in costs.items():
            assert boxes[key] <= cost + 1e-12


def test_bounds_rule_out_nearly_all():
    fine = replace(BOX, sizes=replace(BOX.sizes, place_mm=5.0))
    found = size(fine, seconds=FOR_EVER, checker=findings_to_first_fault)
    assert found.combinations > 1e7
    assert found.combinations - found.ruled_out < 1e-3 * found.combinations


def test_progress_is_told_and_grows():
    told = []
    size(replace(BOX, wheels=2), told.append)
    first = [p for p in told if p.wheel == 1]
    done = [p.boxes_done for p in first]
    assert done == sorted(done)
    assert sorted(set(done) - {0}) == list(range(1, done[-1] + 1))
    bests = [p.best for p in first if p.best is not None]
    assert bests == sorted(bests, reverse=True)
    assert all(p.of == 2 and p.boxes_done <= p.boxes for p in told)


def stop_at(number):
    """A listener that presses Ctrl-C when it is told the n-th time."""
    told = []

    def tell(progress):
        told.append(progress)
        if len(told) == number:
            raise KeyboardInterrupt

    return tell


def test_ctrl_c_hands_over_the_best_so_far_unproven():
    whole = size(FINE, seconds=FOR_EVER, checker=findings_to_first_fault)
    told = []
    size(FINE, told.append)
    with_wheel = next(i for i, p in enumerate(told, start=1) if p.best is not None)
    stopped = size(FINE, stop_at(with_wheel))
    assert whole.proven
    assert not stopped.proven
    assert [w.proven for w in stopped.wheels] == [False]
    assert stopped.wheels[0].cost >= whole.wheels[0].cost
    assert not fault_rules(check_whole(stopped.wheels[0].design).findings)


def test_ctrl_c_after_the_best_keeps_its_proof():
    told = []
    size(replace(BOX, wheels=2), told.append)
    second = next(i for i, p in enumerate(told, start=1) if p.wheel == 2)
    stopped = size(replace(BOX, wheels=2), stop_at(second))
    assert not stopped.proven
    assert stopped.wheels[0].proven


@pytest.mark.parametrize(
    "brief", [replace(BOX, ratio=2000.0), replace(BOX, inside_mm=(385.0, 190.0, 20.0))]
)
def test_a_brief_that_nothing_suits_says_so(brief):
    with pytest.raises(SearchError, match=r"none of .* combinations has the ratio, fits"):
        size(brief, seconds=FOR_EVER, checker=findings_to_first_fault)


@pytest.mark.parametrize(
    ("name", "thick_mm"), [("single", 6.0), ("single", 400.0), ("level", 25.0)]
)
def test_a_cord_too_thick_for_every_whorl_takes_no_wheel_away(name, thick_mm):
    brief = BRIEFS[name]
    rope = Cord("rope", "cotton cord", thick_mm, 0.01, 0.01)
    one, other = size(brief), size(replace(brief, cords=(rope, *brief.cords)))
    assert other.proven
    assert other.wheels[0].choice == replace(
        one.wheels[0].choice, first=one.wheels[0].choice.first + 1
    )


def test_faults_that_refuse_all_are_named():
    fault = [Finding("our-own", "fault", "", None, None, "", "", "")]
    with pytest.raises(SearchError, match='has a fault: "our-own" in'):
        size(BOX, checker=lambda _: fault)


def clock_of(step):
    """A clock that goes on by a step whenever it is asked."""
    time = count(0.0, step)
    return lambda: next(time)


def test_when_time_is_up_the_best_so_far_is_handed_over_unproven():
    whole = size(FINE, seconds=FOR_EVER, checker=findings_to_first_fault)
    stopped = size(
        FINE, seconds=8.0, clock=clock_of(1.0), checker=findings_to_first_fault
    )
    assert whole.proven
    assert not stopped.proven
    assert [w.proven for w in stopped.wheels] == [False]
    assert stopped.wheels[0].bound <= whole.wheels[0].total <= stopped.wheels[0].total


def test_when_time_is_up_without_a_sound_wheel_the_nearest_is_handed_over_with_its_fault():
    fault = [Finding("whirl", "fault", "", None, None, "", "it shakes", "")]
    found = size(BOX, checker=lambda _: fault, seconds=12.0, clock=clock_of(1.0))
    assert not found.proven
    assert [w.faults for w in found.wheels] == [("whirl",)]
    assert found.checked == found.refused["whirl"] > 1


def test_where_every_combination_has_a_fault_that_is_proven_and_the_nearest_is_named():
    fault = [Finding("whirl", "fault", "", None, None, "", "it shakes", "")]
    with pytest.raises(SearchError, match=r'has a fault: "whirl" .*it shakes') as e:
        size(BOX, checker=lambda _: fault)
    assert "thicker or shorter" in str(e.value)


def test_pairs_that_are_refused_again_and_again_do_not_hold_a_search_up():
    # All wheels of the cheaper whorl have a fault: few are tried before another whorl's turn.
    brief = replace(BOX, sizes=replace(BOX.sizes, place_mm=10.0))
    wanted = size(brief, seconds=FOR_EVER, checker=findings_to_first_fault).wheels[0].choice.whorl

    def refuses_a_whorl(design):
        whorl = next(p for p in design.pulleys if p.name == "whorl").groove.rim_mm
        bad = [Finding("whorl", "fault", "", None, None, "", "", "")] if whorl == wanted else []
        return [*what_bounds_know(design), *bad]

    asked = []
    found = size(brief, checker=refuses_a_whorl, tell=asked.append, seconds=FOR_EVER)
    assert found.proven
    assert found.wheels[0].choice.whorl != wanted
    first = next(k for k, told in enumerate(asked) if told.best is not None)
    assert asked[first].in_the_way == "whorl"
    assert first < 1000


def test_a_search_that_finds_no_wheel_tells_what_is_in_the_way_while_it_runs_and_when_stopped():
    fault = [Finding("whirl", "fault", "", None, None, "", "", "")]
    told = []
    tell = stop_at(4)

    def both(progress):
        told.append(progress)
        tell(progress)

    found = size(BOX, both, checker=lambda _: fault)
    assert not found.proven
    assert found.wheels[0].faults == ("whirl",)
    assert told[-1].best is None
    assert told[-1].in_the_way == "whirl"


def test_angles_of_flat_and_quarter_turn_bands_are_those_of_the_solved_paths():
    draw = np.random.default_rng(7)
    large, small = draw.uniform(20.0, 100.0, 200), draw.uniform(2.0, 15.0, 200)
    apart = large + small + draw.uniform(5.0, 300.0, 200)
    up, across = (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)
    for second, centre in ((up, 7.0), (across, 0.0)):
        centres = np.zeros((200, 2, 3))
        centres[:, 1, 0] = apart
        centres[:, :, 2] = centre
        radii = np.stack([large, small], axis=1)
        paths = solve_paths(centres, [up, second], radii, [1, 1])
        if second == up:
            wraps = np.degrees(paths.wrap_rad).min(axis=1)
            np.testing.assert_allclose(flat_wrap_deg(large, small, apart), wraps, rtol=1e-12)
            continue
        angles = quarter_turn(large, small, apart)
        solved = (
            np.abs(np.degrees(paths.leaving_rad[:, 0])),
            np.abs(np.degrees(paths.arriving_rad[:, 1])),
            np.degrees(paths.wrap_rad[:, 0]), np.degrees(paths.wrap_rad[:, 1]),
        )  # fmt: skip
        far = paths.unique.all(axis=1)
        assert far.sum() > 100
        for ours, theirs in zip(angles, solved, strict=True):
            np.testing.assert_allclose(ours[far], theirs[far], rtol=1e-9)


STEPS = {(2, "horizontal"): (27.0, 33.0), (2, "flat"): (46.0, 60.0), (1, "flat"): (16.0, 24.0)}


def random_brief(seed):
    """A small brief with few sizes far apart, in which much is allowed and anything may matter."""

    draw = np.random.default_rng(seed)

    def some(low, high, count):
        return tuple(sorted({round(x, 1) for x in draw.uniform(low, high, count)}))

    base = BRIEFS[("box", "flat", "box", "single")[seed % 4]]
    stages = base.stages
    sizes = Sizes(
        some(100.0, 186.0, 2), some(12.0, 50.0, 2) if stages == 2 else (),
        some(40.0, 100.0, 2) if stages == 2 else (), some(9.6, 25.0, 2 if stages == 2 else 5),
float(draw.uniform(*STEPS[base.stages, base.lies])),
    )  # fmt: skip
    matters = draw.permutation(["ratio", "slip", "lead", "bend", "wood"])[: draw.integers(1, 6)]
    return replace(
        base, inside_mm=(float(draw.uniform(300.0, 400.0)), 190.0, 70.0), cords=(THIN,),
        crank_mm=float(draw.uniform(20.0, 50.0)), sizes=sizes,
        ratio=float(draw.uniform(30.0, 90.0) if stages == 2 else draw.uniform(8.0, 15.0)),
        matters=tuple(map(str, matters)), limits={"twist_error_fraction": 3.0},
    )  # fmt: skip


@pytest.mark.parametrize(
    "seed", [0, 1, 2, *(pytest.param(s, marks=pytest.mark.long) for s in (3, 4, 5))]
)
def test_random_small_briefs_against_trying_every_combination(seed, monkeypatch):
    monkeypatch.setitem(globals(), "findings_to_first_fault", refuses_some)
    monkeypatch.setattr(two_stages, "MOST_AT_ONCE", 1)  # one place of the middle shaft at a time
    brief = random_brief(seed)
    best, tried = math.inf, 0
    for choice in every_choice(brief):
        tried += 1
        cost = cost_of(brief, choice, best)
        best = best if cost is None else min(best, cost)
    if best == math.inf:
        with pytest.raises(SearchError):
            size(brief, checker=refuses_some, seconds=FOR_EVER)
        return
    found = size(brief, checker=refuses_some, seconds=FOR_EVER)
    assert found.combinations == tried
    assert found.wheels[0].total == pytest.approx(best, rel=1e-9)


@pytest.mark.parametrize(
    "seed", [1, *(pytest.param(s, marks=pytest.mark.long) for s in (2, 3))]
)
def test_without_a_bound_the_boxes_hold_every_combination_that_is_allowed(seed, monkeypatch):
    brief = random_brief(seed)
    limit, figures = brief.limit("slip_margin"), brief_figures(brief)

    def closed_form(design):
        """Warnings as the search reckons them: of slip in closed form."""
        cords = (0,) * len(design.bands)
        short = [m for m in margins(figures, cords, solve_drive(design)) if m < limit]
        warned = Finding("slip", "warning", "", None, None, "", "", "")
        return [*thin_wall(put_under_check(design)), *[warned] * len(short)]

    monkeypatch.setitem(globals(), "findings_to_first_fault", closed_form)
    space = space_of(brief, figures, weights_of(brief.matters))
    held = {
        found.choice: found.cost
        for box in space.boxes()
        for found in space.candidates(box, lambda: math.inf, lambda *_: False)
    }
    tried = {c: cost for c in every_choice(brief) if (cost := cost_of(brief, c)) is not None}
    assert held.keys() == tried.keys()
    assert len(held) > 40
    for choice, cost in tried.items():
        assert held[choice] == pytest.approx(cost, rel=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_no_true_slip_margin_is_above_the_closed_form(seed):
    # The closed form leaves out weight, air and the other shafts' friction, which only add load.
    brief = random_brief(seed)
    figures, choices = brief_figures(brief), list(every_choice(brief))
    draw = np.random.default_rng(seed)
    compared = 0
    for k in draw.permutation(len(choices)):
        choice = choices[k]
        if not fits(brief, choice):
            continue
        solution = solve_drive(lay_out(brief, choice))
        if any(m.path is None for m in solution.bands):
            continue
        closed = margins(figures, (0,) * len(solution.bands), solution)
        true = [b.margin for b in load_wheel(solution.design, solution).load.bands]
        for ours, theirs in zip(closed, true, strict=True):
            assert theirs <= ours * (1.0 + 1e-9)
            compared += 1
        if compared > 40:
            break
    assert compared > 5
