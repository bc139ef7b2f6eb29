"""Measurements of an old wheel, adjusted together."""

from __future__ import annotations

import math

import numpy as np
import pytest

import wheelgeo
from wheelgeo.errors import SearchError
from wheelgeo.numbers.inputs import find_input
from wheelgeo.numbers.results import find_result
from wheelgeo.tune.measured import measure
from wheelgeo.tune.measured_at_once import rows_of

OLD = """
title = "Old wheel on the bench"
unit = "in"
drive = { shaft = "axle", by = "treadle", speed = "60 rpm", turns = "clockwise" }
shaft = [
  { name = "axle", at = [0, 0, 0], axis = [0, 1, 0], diameter = "1/2" },
  { name = "spindle", at = ["17 3/4 +- 1/8 in", 0, 0], axis = [0, 1, 0], diameter = "3/8" },
]
pulley = [
  { name = "wheel", shaft = "axle", offset = 0, groove = { shape = "vee", rim = "21 1/2 +- 1/8 in", depth = "1/4", angle = 60 } },
  { name = "whorl", shaft = "spindle", offset = 0, groove = { shape = "vee", rim = "1 3/8 +- 1/32 in", depth = "3/16", angle = 60 } },
]
band = [{ name = "drive band", route = ["wheel", "whorl"], material = "cotton cord", diameter = "3 mm", stretch = "2 %" }]
spindle = { shaft = "spindle", kind = "tip" }
"""  # noqa: E501 - a file as it is written


def with_measured(*entries: tuple[str, str]) -> wheelgeo.Wheel:
    tables = "".join(f'[[measured]]\nwhat = "{w}"\nis = "{i}"\n' for w, i in entries)
    return wheelgeo.read(OLD + tables)


def test_an_old_band_makes_the_distance_surer() -> None:
    alone = measure(with_measured())
    answer = measure(with_measured(("drive band.length", "76 1/2 +- 1/16 in")))
    assert answer.spare == 1
    assert answer.disagree == ()
    by_name = {v.name: v for v in answer.values}
    assert by_name["spindle.at.x"].before == pytest.approx(17.75 * 25.4)
    before = next(v for v in alone.values if v.name == "spindle.at.x")
    assert before.uncertainty == pytest.approx(3.175)
    assert by_name["spindle.at.x"].uncertainty < 0.95 * before.uncertainty
    assert answer.bands[0].length_uncertainty_mm < 1.5875  # better than the string alone
    assert abs(answer.measured[0].residual) < 1.0


def test_nothing_checks_what_was_measured_once() -> None:
    answer = measure(with_measured())
    assert answer.spare == 0
    assert all(v.normalised is None and v.after == v.before for v in answer.values)


def test_a_wrong_length_is_told_with_what_cannot_be_told_from_it() -> None:
    answer = measure(with_measured(("drive band.length", "79 +- 1/8 in")))
    assert {"drive band.length", "spindle.at.x", "wheel.rim"} <= set(answer.disagree)
    assert abs(answer.measured[0].normalised) > 3.0


def test_two_strings_and_a_count_tell_which_is_wrong() -> None:
    right = ("drive band.length", "76 19/32 +- 1/16 in")
    wrong = ("drive band.length", "78 +- 1/16 in")
    answer = measure(with_measured(right, right, ("ratio", "16.98 +- 0.2"), wrong))
    assert answer.disagree == ("drive band.length (3)",)
    assert len(answer.measured) == 4


def test_the_wheel_after_has_the_values_after_and_counts_nothing_twice() -> None:
    answer = measure(with_measured(("drive band.length", "76 1/2 +- 1/16 in")))
    again = wheelgeo.read(answer.wheel.to_toml())
    for value in answer.values:
        assert again.get(value.name) == pytest.approx(value.after, abs=2e-3)
    assert set(again.design.uncertainties) == set(answer.wheel.design.uncertainties)
    once_more = measure(again)
    for one, other in zip(answer.values, once_more.values, strict=True):
        assert other.after == pytest.approx(one.after, abs=1e-5)
        assert other.uncertainty == pytest.approx(one.uncertainty, rel=1e-3)
    assert once_more.measured[0].residual == pytest.approx(0.0, abs=1e-5)


@pytest.mark.parametrize(
    "entries",
    [[("drive band.length", "76 1/2 +- 1/16 in")],
     [("drive band.cut_with_joint", "76 1/4 +- 1/8 in"), ("ratio", "17.1 +- 0.2"),
      ("drive band.cut_with_joint", "76 3/8 +- 1/4 in"), ("spindle.speed", "1020 +- 20 rpm")]],
)  # fmt: skip
def test_what_was_adjusted_is_as_sure_in_every_command(entries: list[tuple[str, str]]) -> None:
    """Reading by reading, against the singular values of the whole adjustment."""
    answer = measure(with_measured(*entries))
    again = wheelgeo.read(answer.wheel.to_toml()).solve()
    assert again.ratio_uncertainty == pytest.approx(answer.ratio_uncertainty, rel=2e-3)
    for mine, other in zip(again.bands, answer.bands, strict=True):
        assert mine.length_uncertainty_mm == pytest.approx(other.length_uncertainty_mm, rel=2e-3)
        assert mine.cut_length_uncertainty_mm == pytest.approx(
            other.cut_length_uncertainty_mm, rel=2e-3
        )
    apart = measure(with_measured()).bands[0]
    assert again.bands[0].length_uncertainty_mm < apart.length_uncertainty_mm


@pytest.mark.parametrize(
    ("what", "is_"),
    [("drive band.length", "76 +- 1 rpm"), ("drive band.length", "76 in"), ("no such", "1 +- 1"),
     ("drive band.length", "1e300 +- 1e300 in"), ("ratio", "17 +- 1 %"), ("whorl.rim", "1 +- 1 in"),
     ("drive.turns_per_metre", "12 +- 1"), ("drive band.length", "76 1/2 +- 1e-300 in")],
)  # fmt: skip
def test_an_entry_that_cannot_be_used_ties_nothing_and_stops_no_other_command(
    what: str, is_: str
) -> None:
    unusable, plain = with_measured((what, is_)), with_measured()
    assert unusable.solve().to_json()["bands"] == plain.solve().to_json()["bands"]
    assert unusable.check().to_json()["bands"] == plain.check().to_json()["bands"]
    assert unusable.put("whorl.rim", "1 in").design.measured == unusable.design.measured


def test_a_reading_finer_than_numbers_are_held_ties_nothing() -> None:
    text = OLD.replace(" +- 1/8 in\", depth", "\", depth").replace(" +- 1/32 in", "")
    ratio = wheelgeo.read(text).solve().ratio
    entry = f'[[measured]]\nwhat = "ratio"\nis = "{ratio!r} +- 1e-200"\n'
    assert wheelgeo.read(text + entry).solve().ratio_uncertainty == 0.0


def test_numbers_that_do_not_fit_what_was_measured_are_told_as_measured_apart() -> None:
    apart, unfit = (with_measured(*e).solve().bands[0] for e in
                    ([], [("drive band.length", "76 1/2 +- 1/16 in")]))  # fmt: skip
    assert unfit.length_uncertainty_mm == apart.length_uncertainty_mm


def test_json_has_its_keys() -> None:
    document = measure(with_measured(("ratio", "16.9 +- 0.3"))).to_json()
    fixed = {"values", "measured", "disagree", "bands", "ratio", "ratio_uncertainty"}
    assert fixed <= set(document)
    assert set(document["measured"][0]) == {
        "what", "unit", "is", "after", "residual", "normalised"
    }  # fmt: skip


def test_without_uncertainties_nothing_can_be_adjusted() -> None:
    bare = OLD.replace(" +- 1/8 in", "").replace(" +- 1/32 in", "")
    with pytest.raises(SearchError, match="has an uncertainty"):
        measure(wheelgeo.read(bare))
    with pytest.raises(SearchError, match="without saying how well"):
        measure(with_measured(("ratio", "16.9")))


def test_a_short_band_on_a_large_wheel_is_simulated() -> None:
    near = OLD.replace("17 3/4 +- 1/8 in", "10 1/2 +- 1 in")
    tables = '[[measured]]\nwhat = "drive band.length"\nis = "67 +- 1/2 in"\n'
    answer = measure(wheelgeo.read(near + tables))
    assert "spindle.at.x" in answer.simulated
    distance = next(v for v in answer.values if v.name == "spindle.at.x")
    assert distance.low is not None
    assert distance.low < distance.after < distance.high
    # What hangs on the distance is simulated with it: bands and ratio have its curve too.
    band = next(r for r in answer.results if r.name == "drive band.length")
    assert band.low is not None
    assert band.high - band.after > 1.15 * (band.after - band.low)
    assert answer.bands[0].length_uncertainty_mm == pytest.approx((band.high - band.low) / 2)


def test_a_band_too_short_for_the_wheel_is_named() -> None:
    near = OLD.replace("17 3/4 +- 1/8 in", "10 1/2 +- 1 in")
    tables = '[[measured]]\nwhat = "drive band.length"\nis = "65 +- 1/2 in"\n'
    answer = measure(wheelgeo.read(near + tables))
    assert "drive band.length" in answer.disagree


def test_a_stretch_that_is_not_known_is_in_the_cut_length() -> None:
    sure = measure(with_measured()).bands[0]
    text = OLD.replace('stretch = "2 %"', 'stretch = "2 +- 1 %"')
    unsure = measure(wheelgeo.read(text)).bands[0]
    assert unsure.length_uncertainty_mm == pytest.approx(sure.length_uncertainty_mm, rel=1e-6)
    by_stretch = 0.01 * unsure.length_mm / 1.02**2
    both = (sure.cut_length_uncertainty_mm**2 + by_stretch**2) ** 0.5
    assert unsure.cut_length_uncertainty_mm == pytest.approx(both, rel=1e-4)


@pytest.mark.parametrize("length", ["10 +- 1/8 in"])
def test_a_band_that_would_need_a_rim_below_its_groove_is_named(length: str) -> None:
    answer = measure(with_measured(("drive band.length", length)))
    assert "drive band.length" in answer.disagree


def test_a_length_at_which_no_best_fit_is_found_is_named() -> None:
    says = r"drive band\.length = 26 in \(by the others 76 19/32 in"
    with pytest.raises(SearchError, match=says):
        measure(with_measured(("drive band.length", "26 +- 1/8 in")))


def test_what_tells_nothing_checks_nothing() -> None:
    assert measure(with_measured(("drive band.length", "76 1/2 +- 90 in"))).spare == 0


def test_many_wheels_at_once_are_the_wheels_one_by_one() -> None:
    wheel = with_measured(("drive band.length", "76 1/2 +- 1/16 in"), ("ratio", "17 +- 0.2"))
    names = ["drive band.length", "drive band.cut_length", "ratio"]
    wanted = [find_result(wheel.design, name) for name in names]
    keys = list(wheel.design.uncertainties)
    short = [find_input(wheel.design, key).key for key in keys]

    def one(x: np.ndarray) -> np.ndarray:
        moved = wheel.put({name: float(v) for name, v in zip(short, x, strict=True)})
        return np.array([moved.solve()[name] for name in names])

    here = np.array([wheel.get(name) for name in short])
    drawn = here * np.array([[0.97, 1.02, 1.01], [1.05, 0.99, 0.9], [1.0, 1.03, 1.08]])
    found = rows_of(wheel.design, [(key,) for key in keys], wanted, one, here)(drawn)
    assert found == pytest.approx(np.array([one(x) for x in drawn]), rel=1e-9)


def test_a_length_that_no_wheel_near_has_is_not_blamed_on_the_distance() -> None:
    answer = measure(with_measured(("drive band.length", "1000 +- 1/4 in")))
    assert set(answer.disagree) == {"drive band.length", "spindle.at.x"}
    assert answer.suspicions[0].names[0] == "drive band.length"
    assert 25400 - answer.suspicions[0].errors[0] == pytest.approx(1945.6, abs=0.1)


@pytest.mark.parametrize("length", ["-5 +- 1/4 in", "0 +- 1/4 in"])
def test_a_length_is_more_than_nothing(length: str) -> None:
    with pytest.raises(SearchError, match="more than 0"):
        measure(with_measured(("drive band.length", length)))


def test_with_what_a_suspect_should_be_nothing_disagrees() -> None:
    """Each way out is gone once: the file with that figure in place of the one that was read."""
    wrong = with_measured(("drive band.length", "77 1/4 +- 1/16 in"))
    (found,) = measure(wrong).suspicions
    assert set(found.names) >= {"drive band.length", "spindle.at.x"}
    for name, error in zip(found.names, found.errors, strict=True):
        if name == "drive band.length":
            length = (77.25 * 25.4 - error) / 25.4
            mended = with_measured((name, f"{length:.6f} +- 1/16 in"))
        else:
            half = wrong.design.uncertainties[find_input(wrong.design, name).full_key]
            mended = wrong.put(name, f"{wrong.get(name) - error:.6f} +- {half} mm")
        assert mended.design.measured
        after = measure(mended)
        assert after.disagree == ()
        assert all(abs(m.normalised or 0.0) < 0.1 for m in after.measured)


def test_a_reading_written_twice_is_said() -> None:
    same, other = ("drive band.length", "76 1/2 +- 1/16 in"), ("ratio", "17 +- 0.2")
    assert measure(with_measured(same, other)).notes == ()
    (note,) = measure(with_measured(same, other, same)).notes
    assert "drive band.length (2) is drive band.length once more" in note


def test_what_tells_nothing_is_said() -> None:
    (note,) = measure(with_measured(("drive band.length", "76 1/2 +- 500 in"))).notes
    assert note.startswith("drive band.length is as unsure as it is large")


def test_a_stretch_that_was_assumed_is_in_the_cut_length_of_every_command() -> None:
    wheel = wheelgeo.read(OLD.replace(', stretch = "2 %"', ""))
    solved, measured = wheel.solve().bands[0], measure(wheel).bands[0]
    by_range = solved.length_mm * (1 / 1.01 - 1 / 1.03) / 2  # cotton is put on by 1 to 3 %
    assert solved.from_stretch_mm == pytest.approx(by_range)
    for band in (solved, measured):
        both = (band.from_measuring_mm**2 + by_range**2) ** 0.5
        assert band.cut_length_uncertainty_mm == pytest.approx(both)
    assert measured.cut_length_uncertainty_mm == pytest.approx(
        solved.cut_length_uncertainty_mm, rel=1e-3
    )


def test_of_three_lengths_the_two_that_no_other_bears_out_are_named() -> None:
    lengths = ("76 1/2", "90", "120")
    answer = measure(with_measured(*(("drive band.length", f"{n} +- 1/8 in") for n in lengths)))
    assert {"drive band.length (2)", "drive band.length (3)"} <= set(answer.disagree)
    assert len(answer.suspicions) == 2


def test_what_no_wheel_has_is_told_and_no_traceback() -> None:
    far = ("drive band.length", "1e9 +- 1/8 in"), ("ratio", "3 +- 0.001")
    answer = measure(with_measured(*far))
    assert "drive band.length" in answer.disagree


@pytest.mark.parametrize(
    ("what", "is_", "says"),
    [
        ("ratio", "-17 +- 1", "a ratio is more than 0"),
        ("wheel.rim", "21 +- 1 in", "is a number of the file"),
        ("drive band.lenght", "76 +- 1 in", 'no result "drive band.lenght"'),
    ],
)
def test_what_cannot_be_measured_is_said(what: str, is_: str, says: str) -> None:
    with pytest.raises(SearchError, match=says):
        measure(with_measured((what, is_)))


def test_a_girth_is_of_the_thread_half_a_cord_below_the_centre() -> None:
    wheel = with_measured()
    assert wheel.get("wheel.girth") == pytest.approx(math.pi * (wheel.get("wheel.pitch") - 3.0))
    answer = measure(with_measured(("wheel.girth", "66 1/4 +- 1/8 in")))
    assert answer.spare == 1


def test_an_old_cord_as_cut_is_no_less_sure_after_for_a_stretch_that_nobody_measured() -> None:
    text = OLD.replace("17 3/4 +- 1/8 in", "18 +- 3 in")
    text += '[[measured]]\nwhat = "drive band.cut_length"\nis = "75 1/8 +- 1/4 in"\n'
    told, left_out = (
        wheelgeo.read(text.replace('stretch = "2 %"', f"{stretch}joint = 30"))
        for stretch in ('stretch = "2 +- 1 %", ', "")
    )
    answer = measure(left_out)
    (band,) = answer.bands
    assert band.cut_length_uncertainty_mm == pytest.approx(0.25 * 25.4, rel=0.01)
    assert band.length_uncertainty_mm == pytest.approx(0.01 * band.length_mm, rel=0.1)
    assert [v.name for v in answer.values if "stretch" in v.name] == ["drive band.stretch"]
    assert any("stretch of drive band was not measured" in note for note in answer.notes)
    for mine, theirs in zip(answer.values, measure(told).values, strict=True):
        assert mine.after == pytest.approx(theirs.after, rel=1e-6)
        assert mine.uncertainty == pytest.approx(theirs.uncertainty, rel=1e-3)


def test_a_stretch_left_out_is_no_measurement_where_none_depends_on_it() -> None:
    text = OLD.replace(', stretch = "2 %"', "")
    text += '[[measured]]\nwhat = "drive band.length"\nis = "76 1/2 +- 1/16 in"\n'
    assert not [v.name for v in measure(wheelgeo.read(text)).values if "stretch" in v.name]


def test_the_shape_of_a_groove_is_suspected_where_it_would_make_all_agree() -> None:
    """A wheel with round grooves, whose file has vees: (546.1 - 12.7 + 3) / (34.9 - 9.5 + 3)."""
    lengths = [("drive band.length", "1936.2 +- 1 mm"), ("ratio", "18.89 +- 0.1")]
    answer = measure(with_measured(*lengths))
    assert answer.disagree
    (note,) = [note for note in answer.notes if "shape of a groove" in note]
    assert "(that of whorl)" in note
    assert "round" in note
    # far more than a cord's thickness is no matter of shape, and what agrees is not doubted
    for other in ("12.1 +- 0.1", "17.18 +- 0.5"):
        answer = measure(with_measured(("ratio", other)))
        assert not [note for note in answer.notes if "shape of a groove" in note]
