"""The spinner's facts from a design file: fibres, use, plies, and who makes the yarn uneven."""

import json
import math
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.errors import DesignError

BOX = (Path(__file__).parents[2] / "designs" / "box-wheel.toml").read_text(encoding="utf-8")


def of_yarn(count, *more, fibre="cotton", tables=""):
    """Return the box wheel with another yarn."""
    lines = "\n".join((f'count = "{count}"', *more))
    text = BOX.replace('count = "44 Nm"', lines).replace('fibre = "cotton"', f'fibre = "{fibre}"')
    return wheelgeo.read(text + tables)


def rules(wheel):
    return {f.rule: f for f in wheel.solve().findings}


def test_a_method_sets_the_least_number_of_fibres():
    combed = of_yarn("80 Nm", 'fineness = "21 um"', 'method = "combed ring"', fibre="wool")
    assert rules(combed)["too-few-fibres"].limit == 33  # Rieter, combed ring
    assert "rikipedia" in rules(combed)["too-few-fibres"].source


def test_a_fibre_of_ones_own_does_not_pass_in_silence():
    own = '\n[[fibre]]\nname = "alpaca"\n'
    unknown = of_yarn("120 Nm", 'fineness = "22 um"', fibre="alpaca", tables=own)
    assert "density" in rules(unknown)["fineness-unknown"].remedy.says
    known = of_yarn("120 Nm", 'fineness = "22 um"', fibre="alpaca", tables=own + "density = 1300\n")
    found = rules(known)
    assert "fineness-unknown" not in found
    # round fibres of 22 um and 1.3 g/cm3: pi/4 d2 rho in tex of one, by the definition of tex
    one_tex = math.pi / 4.0 * (22e-6) ** 2 * 1.3e6 * 1000.0
    assert found["too-few-fibres"].value == pytest.approx(1000.0 / 120.0 / one_tex, rel=1e-9)
    given = of_yarn("120 Nm", 'fineness = "5 dtex"', fibre="alpaca", tables=own)
    assert rules(given)["too-few-fibres"].value == pytest.approx(1e4 / 120.0 / 5.0, rel=1e-12)


@pytest.mark.parametrize(("use", "told"), [("warp", False), ("weft", True), ("knitting", True)])
def test_twist_out_of_the_usual_for_a_use_is_noted(use, told):
    # 900 turns are 136 times the root of 44: within warp's 115 to 145, beyond the others'
    assert ("twist-for-use" in rules(of_yarn("44 Nm", f'use = "{use}"'))) is told


def test_wool_lies_less_densely_than_cotton_by_its_own_density():
    # as much fibre in the section as in Peirce's cotton: thickness as one over root of density
    cotton, wool = of_yarn("44 Nm").solve().yarn, of_yarn("44 Nm", fibre="wool").solve().yarn
    assert wool.diameter_mm / cotton.diameter_mm == pytest.approx(math.sqrt(1.52 / 1.31), rel=1e-9)
    assert wool.wraps_per_inch == pytest.approx(25.4 / wool.diameter_mm, rel=1e-12)


def test_a_share_of_ones_own_sets_the_ply_twist():
    plied = of_yarn("2 x 44 Nm", "ply_share = 0.6").solve().yarn.plied
    assert plied.turns_per_metre == pytest.approx(0.6 * 900.0, rel=1e-12)
    assert (plied.balance_from, plied.balance_to) == (pytest.approx(585.0), pytest.approx(630.0))
    spinning = of_yarn("2 x 44 Nm", "ply_share = 0.6").solve().yarn.spinning
    usual = of_yarn("2 x 44 Nm").solve().yarn.spinning
    assert spinning.plying.drive_turns_per_metre < usual.plying.drive_turns_per_metre


@pytest.mark.parametrize(
    "line",
    ["ply_share = 0", "ply_share = 1e9", 'use = "rope"', 'fineness = "21 mm"', "fineness = 21",
     'fineness = "-4 um"'],
)  # fmt: skip
def test_what_no_yarn_can_be_is_refused(line):
    with pytest.raises(DesignError):
        of_yarn("2 x 44 Nm", line)


@pytest.mark.parametrize("count", ["0.00001 Nm", "1000000 Nm", "12 x 0.001 Nm", "12 x 1000000 Nm"])
@pytest.mark.parametrize("turns", ["0.001", "1e9"])
def test_a_yarn_that_nobody_spins_is_solved_all_the_same(count, turns):
    wheel = of_yarn(count, 'fineness = "0.01 dtex"', "ply_share = 2")
    answer = wheel.put("yarn.turns_per_metre", float(turns)).solve()
    json.dumps(answer.to_json(), allow_nan=False)


def test_tolerance_says_who_makes_the_yarn_uneven():
    steady = of_yarn("44 Nm", tables="\n[habits]\nturns_off = 0.002\ndraw_off = 0.0001\n")
    slack = steady.tolerance(trials=10_000, slip="90 %").uneven
    assert slack.most_by == "wheel"
    uneven = of_yarn("44 Nm").tolerance(trials=10_000)
    by = uneven.uneven
    turns = of_yarn("44 Nm").solve().twist.drive_turns_per_draw
    assert (by.most_by, by.draw) == ("hand", pytest.approx(0.05))
    assert by.hand == pytest.approx(0.5 / turns, rel=1e-12)  # half a turn in 3.6
    assert by.together == pytest.approx(math.hypot(by.hand, by.draw, by.wheel), rel=1e-12)
    ratio = uneven.ratio
    off = ratio.standard_uncertainty / abs(ratio.value)
    assert math.hypot(by.wheel, by.wheel_lasting) == pytest.approx(off, rel=1e-9)


def test_a_habit_that_the_file_gives_is_not_assumed():
    silent = of_yarn("44 Nm")
    told = of_yarn("44 Nm", tables='\n[habits]\nbacking = "30 rpm"\n')  # it is the usual one
    assumed = [w.solve().yarn.spinning.assumed[0].taken for w in (silent, told)]
    assert "backing 30 rpm" in assumed[0]
    assert "backing" not in assumed[1]
    assert "winding 30 rpm" in assumed[1]
    put = silent.put("habits.winding", "30 rpm").solve().yarn.spinning.assumed[0].taken
    assert "winding" not in put
    assert told.design == silent.design


def test_a_plied_yarn_is_told_as_a_whole_too():
    # 2 x 44 Nm are 22 Nm but for what plying takes up or gives, which its twist decides.
    told = of_yarn("2 x 44 Nm").solve().yarn
    whole, plied = told.together, told.plied
    assert whole.count == plied.count == pytest.approx(22.0 * plied.length_share, rel=1e-12)
    assert whole.metres_per_100_g == pytest.approx(100.0 * whole.count, rel=1e-12)
    assert plied.balance_from < plied.turns_per_metre < plied.balance_to
    bare = wheelgeo.yarn_facts("2 x 44 Nm")
    assert (bare.together.count, bare.together.counts_plying) == (22.0, False)
    assert wheelgeo.yarn_facts("44 Nm").together is None


def test_hank_cloth_and_yarn_have_one_count_of_a_plied_yarn():
    wheel = of_yarn("2 x 44 Nm")
    whole = wheel.solve().yarn.together.count
    hank = wheelgeo.hank("2 x 44 Nm", wheel=wheel)
    cloth = wheelgeo.cloth("2 x 44 Nm", ends_per_cm=12.0, wheel=wheel)
    assert hank.expected_nm == pytest.approx(whole, rel=1e-12)
    assert cloth.warp_nm == cloth.weft_nm == pytest.approx(whole, rel=1e-12)
    assert wheelgeo.cloth("2 x 44 Nm", ends_per_cm=12.0).warp_nm == 22.0


def test_a_sett_closer_than_plain_weave_takes_is_told():
    # Ashenhurst: 0.9 of the root of yards to the pound lie in an inch, half of them in plain weave.
    closest = 0.45 * math.sqrt(40.0 * 496.05465) / 2.54
    for ends, told in ((closest - 0.1, False), (closest + 0.1, True)):
        assert wheelgeo.cloth("40 Nm", ends_per_cm=ends).too_close is told
        assert wheelgeo.cloth("40 Nm", ends_per_cm=ends, picks_per_cm=9.0).too_close is False


def test_a_hand_spinner_counts_fewer_wraps():
    # 6 Nm of wool: 166.7 tex at 8 and at 2.5 cm3/g are 1.303 and 0.728 mm thick.
    low, high = wheelgeo.yarn_facts("6 Nm", fibre="wool").wraps_on_a_ruler
    assert low == pytest.approx(25.4 / 1.3029, rel=1e-3)
    assert high == pytest.approx(25.4 / 0.7284, rel=1e-3)
