"""Flags of what is wrong: where a finding points, and how flags stand in the drawing."""

import itertools
from functools import cache

import pytest

import wheelgeo
from tests.page.conftest import DESIGNS, Served
from tests.page.hands import ready, until
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drawing.view import PLAN
from wheelgeo.page.pointing import parts_of, places

SPOILT = {
    "box-wheel": {"middle.at.x": 268.0, "middle.at.y": 100.0},  # it stands within the wheel
    "flyer-wheel": {"flyer whorl.offset": 8.0},  # 15 mm further, into the bobbin's
    "travel-wheel": {"spindle.at.x": 174.0},  # 30 mm further, into the wall
}


def spoilt(name):
    return wheelgeo.load(DESIGNS / f"{name}.toml").put(SPOILT[name])


@cache
def checked(name):
    """A spoilt wheel, checked once for all that ask."""
    return spoilt(name).check()


@cache
def points_at(name):
    """Of each finding the part that its flag stands by, by where it is."""
    answer = checked(name)
    found = places(answer.solution, scene_of(answer.solution), PLAN)
    return {
        f.where: min((part for part in parts_of(f, answer.design) if part in found),
                     key=lambda part: found[part][2], default=None)
        for f in answer.findings
    }  # fmt: skip


@pytest.mark.parametrize(("name", "where", "part"), [
    ("flyer-wheel", 'run of "double band" from "front groove" to "bobbin whorl", '
                    'pulley "flyer whorl"', "flyer whorl"),
    ("flyer-wheel", 'pulley "flyer whorl", shaft "bobbin"', "flyer whorl"),
    ("flyer-wheel", 'band "double band"', "double band"),
    ("box-wheel", 'band "first band"', "first band"),
    ("box-wheel", 'band "second band" at "whorl"', "whorl"),
    ("box-wheel", "bearing middle 2, crank", "bearing middle 2"),
    ("box-wheel", "spindle", "spindle"),
    ("box-wheel", "drive", None),
    ("travel-wheel", "bearing spindle 1, wall right", "bearing spindle 1"),
    ("travel-wheel", "wall right, block spindle", "block spindle"),
])  # fmt: skip
def test_a_finding_points_at_the_smallest_part_that_it_speaks_of(name, where, part):
    assert points_at(name)[where] == part


def test_a_piece_is_pointed_at_by_all_its_grooves():
    bearings = 'bearings = [{ at = 20, kind = "brass" }, { at = -27, kind = "brass" }]'
    text = (DESIGNS / "flyer-wheel.toml").read_text(encoding="utf-8")
    wheel = wheelgeo.read(text.replace('name = "axle"\n', f'name = "axle"\n{bearings}\n', 1))
    parts = {f.where: parts_of(f, wheel.design) for f in wheel.check().findings}
    of_both = parts['pulley "back groove, front groove", bearing axle 1']
    assert of_both == ["back groove", "front groove", "bearing axle 1"]


def test_a_band_without_a_path_is_missed_at_the_smallest_pulley_that_it_should_go_over():
    solution = spoilt("box-wheel").solve().solution
    found = places(solution, scene_of(solution), PLAN)
    assert found["first band"] == found["hub"]


SEEN = """return Object.fromEntries(["plan", "side", "turned"].map((view) => {
  const svg = document.getElementById(view), box = (one) => {
    const { left, top, right, bottom } = one.getBoundingClientRect();
    return [left, top, right, bottom];
  };
  const along = (line) => {
    const long = line.getTotalLength(), place = line.getScreenCTM();
    return Array.from({ length: 60 }, (_, i) => line.getPointAtLength(long * i / 59))
      .map((point) => point.matrixTransform(place)).map(({ x, y }) => [x, y]);
  };
  const cords = [...svg.querySelectorAll(".lines path[class^=cord]")].flatMap(along);
  return [view, {
    flags: [...svg.querySelectorAll(".mark")].map((mark) => ({
      of: mark.dataset.of.split(" ").map(Number), says: mark.textContent,
      box: box(mark.querySelector("rect")) })),
    kept: [...svg.querySelectorAll(".label text, .handle circle:not(.grip)")].map(box),
    leads: [...svg.querySelectorAll(".flags .lead")].map((lead) => along(lead)),
    words: [...svg.querySelectorAll(".label text")].map(box),
    cords, paper: box(svg),
  }];
}))"""


LISTED = "return [...document.querySelectorAll('#findings .flag')].map((f) => +f.textContent)"


@pytest.fixture(scope="module")
def laid(chromium, tmp_path_factory):
    """What is seen of a spoilt wheel in a window of a width: its list of findings, its views.

    It is laid on a board of its own, and looked at once for all that ask.
    """
    programs = {}

    @cache
    def seen(name, wide):
        if name not in programs:
            folder = tmp_path_factory.mktemp("flags")
            programs[name] = Served(DESIGNS / f"{name}.toml", folder=folder)
            programs[name].ask("change", wheel="1", put=SPOILT[name])
        size = {"width": wide, "height": 1000, "deviceScaleFactor": 1, "mobile": False}
        chromium.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        try:
            chromium.get(programs[name].address)
            ready(chromium)
            all_of_it = len(checked(name).findings)
            until(chromium, lambda d: len(d.execute_script(LISTED)) == all_of_it)
            until(chromium, lambda d: d.find_elements("css selector", "#turned .mark"))
            return chromium.execute_script(LISTED), chromium.execute_script(SEEN)
        finally:
            chromium.get("about:blank")
            chromium.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})

    yield seen
    for program in programs.values():
        program.stop()


def over(one, other):
    return min(one[2], other[2]) > max(one[0], other[0]) and (
        min(one[3], other[3]) > max(one[1], other[1])
    )


@pytest.mark.parametrize("wide", [1500, 390])
@pytest.mark.parametrize("name", SPOILT)
def test_findings_of_one_place_share_a_flag_and_none_lies_on_another(laid, name, wide):
    listed, views = laid(name, wide)
    found = checked(name).findings
    assert listed == list(range(1, len(found) + 1))
    pointed = {n for n, f in enumerate(found, start=1) if points_at(name)[f.where] is not None}
    assert len(pointed) > 2
    for view, seen in views.items():
        flags = seen["flags"]
        assert sorted(n for flag in flags for n in flag["of"]) == sorted(pointed), view
        assert len(flags) < len(pointed), "some are of one place"
        for flag in flags:
            first, *more = flag["of"]
            assert flag["says"] == (f"{first} +{len(more)}" if more else str(first))
        for one, other in itertools.combinations(flags, 2):
            assert not over(one["box"], other["box"]), (view, one, other)
        assert not [flag for flag in flags if any(over(flag["box"], k) for k in seen["kept"])]
        left, top, right, low = seen["paper"]
        for flag in flags:
            assert left <= flag["box"][0] < flag["box"][2] <= right, (view, flag)
            assert top <= flag["box"][1] < flag["box"][3] <= low, (view, flag)


@pytest.mark.parametrize("name", SPOILT)
def test_flags_stand_clear_of_the_bands_where_there_is_room(laid, name):
    _, views = laid(name, 1500)
    for view, seen in views.items():
        for flag in seen["flags"]:
            left, top, right, low = flag["box"]
            on_it = [at for at in seen["cords"] if left < at[0] < right and top < at[1] < low]
            assert not on_it, (view, flag)


@pytest.mark.parametrize("name", SPOILT)
def test_hardly_a_line_of_a_flag_runs_through_words(laid, name):
    """One of all, where there is no room: where words lie over the very place it leaves them."""
    _, views = laid(name, 1500)
    leads = [(lead, words) for seen in views.values() for lead in seen["leads"]
             for words in seen["words"]]  # fmt: skip
    assert leads
    crossed = [
        lead for lead, (left, top, right, low) in leads
        if not (left < lead[0][0] < right and top < lead[0][1] < low)
        and any(left + 1 < x < right - 1 and top < y < low for x, y in lead)
    ]  # fmt: skip
    assert len(crossed) <= 1
