"""Bands at hand, against the open belt's own formula and Hooke's law."""

import math

import pytest

import wheelgeo
from wheelgeo.design.materials import CORDS
from wheelgeo.errors import WheelError

WHEEL = """
title = "Bench wheel"
drive = { shaft = "axle", by = "treadle", speed = "60 rpm", turns = "clockwise" }
spindle = { shaft = "spindle", kind = "tip" }

[[shaft]]
name = "axle"
at = [0, 0, 0]
axis = [0, 1, 0]
diameter = 10

[[shaft]]
name = "spindle"
at = [450, 0, 0]
axis = [0, 1, 0]
diameter = 8
slide = { along = [1, 0, 0], from = -5, to = 15 }

[[pulley]]
name = "wheel"
shaft = "axle"
offset = 0
pitch = 500

[[pulley]]
name = "whorl"
shaft = "spindle"
offset = 0
pitch = 30

[[band]]
name = "drive band"
route = ["wheel", "whorl"]
material = "cotton cord"
diameter = 3
joint = 20
"""


def open_belt_mm(r1, r2, apart):
    """Exact length of an open belt."""
    lean = math.asin((r1 - r2) / apart)
    straight = math.sqrt(apart**2 - (r1 - r2) ** 2)
    return 2 * straight + math.pi * (r1 + r2) + 2 * lean * (r1 - r2)


@pytest.fixture
def wheel():
    return wheelgeo.read(WHEEL)


def test_stretch_and_pull_at_both_ends_of_the_slide(wheel):
    (band,) = wheel.bands_to_have("drive band", "1800 mm").bands
    slack = 1800 - 20
    for at, apart in ((band.at_from, 445), (band.at_to, 465)):
        stretch = open_belt_mm(250, 15, apart) / slack - 1
        assert at.stretch == pytest.approx(stretch, abs=1e-12)
        assert at.pull_n == pytest.approx(300 * math.pi / 4 * 9 * max(stretch, 0), rel=1e-9)


def test_where_to_tie_is_where_the_stretch_is_right(wheel):
    slack = open_belt_mm(250, 15, 455) / 1.02  # cotton is put on with 1 to 3 %
    answer = wheel.bands_to_have("drive band", [f"{slack + 20!r} mm"])
    (band,) = answer.bands
    assert band.fits
    assert (answer.stretch_from, answer.stretch_to) == (0.01, 0.03)
    for place, stretch in ((band.tie_from_mm, 0.01), (band.tie_to_mm, 0.03)):
        if -5 < place < 15:
            length = open_belt_mm(250, 15, 450 + place)
            assert length / slack - 1 == pytest.approx(stretch, abs=1e-9)
    longest = open_belt_mm(250, 15, 465)
    assert band.room_left == pytest.approx(longest / (1.01 * slack) - 1, abs=1e-9)


@pytest.mark.parametrize(
    ("have", "says"), [("2500", "too long: it hangs slack"), ("1500", "too short")]
)
def test_what_does_not_fit_is_told(wheel, have, says):
    (band,) = wheel.bands_to_have("drive band", have).bands
    assert not band.fits
    assert says in band.says
    assert band.tie_from_mm is None


def test_those_that_fit_come_first(wheel):
    bands = wheel.bands_to_have("drive band", "2500, 1800, 1500").bands
    assert [b.fits for b in bands] == sorted((b.fits for b in bands), reverse=True)
    assert bands[0].name == "1800 mm"  # in the unit of the file


@pytest.mark.parametrize("have", ["", "9 mm", "seven", "10"])
def test_what_is_no_band_is_refused(wheel, have):
    with pytest.raises(WheelError):
        wheel.bands_to_have("drive band", have)


def test_an_unknown_band_is_named(wheel):
    with pytest.raises(wheelgeo.SearchError, match="drive band"):
        wheel.bands_to_have("band", "1800")


def test_rings_are_nitrile_and_the_nearest_are_told():
    small = wheelgeo.load("designs/travel-wheel.toml").put("second band.diameter", 1.7)
    answer = small.bands_to_have("second band", "rings")
    assert answer.material == "nitrile ring"
    assert (answer.stretch_from, answer.stretch_to) == (0.08, 0.12)
    assert 1 <= len(answer.bands) <= 6
    assert all(b.section_in_place_mm <= b.section_mm for b in answer.bands)


def test_rings_lengths_and_cord_off_the_reel_stand_in_one_list(wheel):
    small = wheel.put("wheel.pitch", 400)  # the longest rings are some 1.4 m long, slack
    answer = small.bands_to_have("drive band", "1800 mm, rings, 5 mm polyurethane cord")
    names = [b.name for b in answer.bands]
    assert {"1800 mm", "5 mm polyurethane cord"} < set(names)
    assert sum(n.startswith("ring ") for n in names) == len(names) - 2 > 0
    assert [b.fits for b in answer.bands] == sorted((b.fits for b in answer.bands), reverse=True)


@pytest.mark.parametrize("text", ["-264", "ring -264", "AS568-264", "as568 264", "O-ring 264"])
def test_a_ring_is_named_by_its_dash_number(wheel, text):
    # AS568 -264 from memory, as is its table here: 7.484 in inside, 0.139 in thick
    (ring,) = wheel.bands_to_have("drive band", text).bands
    assert (ring.name, ring.taken_as, ring.material) == ("ring -264", "ring", "nitrile ring")
    assert ring.slack_length_mm == pytest.approx(math.pi * (7.484 + 0.139) * 25.4, abs=0.1)


def test_a_ring_is_told_by_its_inside_diameter(wheel):
    (ring,) = wheel.bands_to_have("drive band", "7 1/2 in ring").bands
    assert ring.taken_as == "ring"
    assert ring.slack_length_mm == pytest.approx(math.pi * (7.5 * 25.4 + 3.0))  # cord of 3 mm


@pytest.mark.parametrize(("text", "says"), [("-999", "no ring -999"), ("0 mm ring", "no inside")])
def test_a_ring_that_there_is_not_is_refused(wheel, text, says):
    with pytest.raises(wheelgeo.SearchError, match=says):
        wheel.bands_to_have("drive band", text)


def test_a_ring_that_no_hand_would_stretch_on_is_no_candidate(wheel):
    far = wheel.put("spindle.at.x", 1500.0)  # a path of some 3.8 m, the longest ring is 1.4 m
    with pytest.raises(wheelgeo.SearchError, match="comes near: the nearest, ring -284"):
        far.bands_to_have("drive band", "rings")


def test_a_cord_off_the_reel_is_cut_for_the_middle_of_the_slide(wheel):
    (reel,) = wheel.bands_to_have("drive band", "5 mm polyurethane cord").bands
    stretch = next(c for c in CORDS if c.name == "polyurethane cord").stretch.value
    slack = open_belt_mm(250, 15, 455) / (1 + stretch)  # the pitch is given: the cord is not in it
    assert reel.slack_length_mm == pytest.approx(slack)
    assert reel.cut_with_joint_mm == pytest.approx(slack + 5.0 / math.sqrt(1 + stretch))
    assert reel.fits


def test_a_ring_thins_as_it_is_put_on_and_lies_deeper():
    small = wheelgeo.load("designs/travel-wheel.toml").put("second band.diameter", 1.7)
    (first, *_) = small.bands_to_have("second band", "rings").bands
    thin = small.put("second band.diameter", first.section_mm / math.sqrt(1.1))
    path = thin.solve()["second band.length"]  # 10 % is the usual stretch of such a ring
    low, high = sorted(e.stretch for e in (first.at_from, first.at_to))
    assert low - 1e-9 <= path / first.slack_length_mm - 1 <= high + 1e-9


def test_no_ring_of_that_thickness_does_not_hide_the_rest(wheel):
    thick = wheel.put("drive band.diameter", 12)
    answer = thick.bands_to_have("drive band", "rings, 1800 mm")
    assert {b.name for b in answer.bands} == {"rings", "1800 mm"}
    row = next(b for b in answer.bands if b.name == "rings")
    assert not row.fits
    assert "no standard ring known here is about 12 mm" in row.says
    with pytest.raises(wheelgeo.SearchError, match="no standard ring"):
        thick.bands_to_have("drive band", "rings")


def test_round_belting_is_told_in_the_usual_diameters_beside_the_cord(wheel):
    # Off the reel it is cut for the middle of the slide: the usual stretch is right there.
    cord_mm = wheel.design.bands[0].diameter_mm
    found = wheel.bands_to_have("drive band", "round belting").bands
    sections = sorted(b.section_mm for b in found)
    assert len(sections) == 2
    assert sections[0] <= cord_mm < sections[1]
    assert {b.material for b in found} == {"polyurethane cord"}
    for one in found:
        assert one.cut_with_joint_mm > one.slack_length_mm
        assert one.fits


def test_a_loop_is_measured_without_its_joint_and_a_cord_with_it(wheel):
    """The same band told both ways: a cord of 1 800 mm is a loop of 1 780 mm and a joint of 20."""
    cord, loop = (wheel.bands_to_have("drive band", have).bands[0]
                  for have in ("1800 mm cord", "1780 mm loop"))  # fmt: skip
    assert (cord.taken_as, loop.taken_as) == ("cord", "loop")
    assert cord.slack_length_mm == loop.slack_length_mm == 1780
    assert (cord.at_from, cord.at_to) == (loop.at_from, loop.at_to)


@pytest.mark.parametrize(
    ("text", "taken_as"),
    [("1780 mm", "cord"), ("a cord of 1780 mm", "cord"), ("i have a loop of 1780 mm", "loop"),
     ("1780 mm loops", "loop"), ("1780 loop", "loop"), ("a band of 1780 mm", "cord")],
)  # fmt: skip
def test_what_a_length_is_taken_as_is_told(wheel, text, taken_as):
    assert wheel.bands_to_have("drive band", text).bands[0].taken_as == taken_as


def test_a_length_of_what_comes_as_a_ring_is_a_loop(wheel):
    ring = wheel.put("drive band.material", "nitrile ring")
    (band,) = ring.bands_to_have("drive band", "1700 mm").bands
    assert (band.taken_as, band.slack_length_mm) == ("loop", 1700)


def test_a_band_without_room_to_grow_does_not_last():
    """Cotton grows by some 3 % in a year: at the near end of the slide there is room for more."""
    wheel = wheelgeo.read(WHEEL.replace("to = 15", "to = 25"))
    near, far = open_belt_mm(250, 15, 445), open_belt_mm(250, 15, 475)
    long, short = far / 1.012 + 20, near / 1.02 + 20
    band = wheel.bands_to_have("drive band", [f"{long!r} mm"]).bands[0]
    assert (band.fits, band.lasts) == (True, False)
    assert "too long after some months" in band.says
    assert band.cut_for_room_mm == pytest.approx(short)
    lasting = wheel.bands_to_have("drive band", [f"{short!r} mm"]).bands[0]
    assert lasting.room_left == pytest.approx(far / (1.01 * near / 1.02) - 1)
    assert lasting.lasts
    assert lasting.says == "fits"
    assert lasting.cut_for_room_mm is None
    assert wheel.bands_to_have("drive band", "1780 mm loop").bands[0].cut_for_room_mm is None


def test_a_cord_that_may_be_stretched_far_is_cut_tighter_to_last():
    """Without a slide only the stretch has room: polyurethane is put on with 5 to 10 %."""
    fixed = wheelgeo.read(WHEEL.replace("slide = { along = [1, 0, 0], from = -5, to = 15 }", ""))
    (reel,) = fixed.bands_to_have("drive band", "5 mm polyurethane cord").bands
    assert (reel.fits, reel.lasts) == (True, False)
    tight = open_belt_mm(250, 15, 450) / 1.10
    joint = reel.cut_with_joint_mm - reel.slack_length_mm
    assert reel.cut_for_room_mm == pytest.approx(tight + joint)
    assert 1.10 / 1.05 - 1 > 0.03  # the growth that such a cord is told to have
    cotton = fixed.bands_to_have("drive band", "3 mm cotton cord").bands[0]
    assert cotton.cut_for_room_mm is None  # 1 to 3 % leave room for 2 % at the most
