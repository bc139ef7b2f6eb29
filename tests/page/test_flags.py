"""Flags of what is wrong: where a finding points, and how flags stand in the drawing."""

import itertools

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


def points_at(name):
    """Of each finding the part that its flag stands by, by where it is."""
    answer = spoilt(name).check()
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
  const cords = [...svg.querySelectorAll(".lines path[class^=cord]")].flatMap((line) => {
    const long = line.getTotalLength(), place = line.getScreenCTM();
    return Array.from({ length: 60 }, (_, i) => line.getPointAtLength(long * i / 59))
      .map((point) => point.matrixTransform(place)).map(({ x, y }) => [x, y]);
  });
  return [view, {
    flags: [...svg.querySelectorAll(".mark")].map((mark) => ({
      of: mark.dataset.of.split(" ").map(Number), says: mark.textContent,
      box: box(mark.querySelector("rect")) })),
    kept: [...svg.querySelectorAll(".label text, .handle circle:not(.grip)")].map(box),
    cords, paper: box(svg),
  }];
}))"""


@pytest.fixture
def laid(chromium, tmp_path, sized):
    """Lay a spoilt wheel on a board of its own, in a window of a size."""
    programs = []

    def do(name, wide, high):
        programs.append(Served(DESIGNS / f"{name}.toml", folder=tmp_path))
        programs[0].ask("change", wheel="1", put=SPOILT[name])
        sized(wide, high)
        chromium.get(programs[0].address)
        ready(chromium)
        all_of_it = len(spoilt(name).check().findings)
        listed = "return document.querySelectorAll('#findings > li').length"
        until(chromium, lambda d: d.execute_script(listed) == all_of_it)
        until(chromium, lambda d: d.find_elements("css selector", "#turned .mark"))
        return chromium

    yield do
    chromium.get("about:blank")
    for program in programs:
        program.stop()


def over(one, other):
    return min(one[2], other[2]) > max(one[0], other[0]) and (
        min(one[3], other[3]) > max(one[1], other[1])
    )


@pytest.mark.parametrize("wide", [1500, 390])
@pytest.mark.parametrize("name", SPOILT)
def test_findings_of_one_place_share_a_flag_and_none_lies_on_another(laid, name, wide):
    page = laid(name, wide, 1000)
    found = spoilt(name).check().findings
    listed = "return [...document.querySelectorAll('#findings .flag')].map((f) => +f.textContent)"
    assert page.execute_script(listed) == list(range(1, len(found) + 1))
    pointed = {n for n, f in enumerate(found, start=1) if points_at(name)[f.where] is not None}
    assert len(pointed) > 2
    for view, seen in page.execute_script(SEEN).items():
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
    page = laid(name, 1500, 1000)
    for view, seen in page.execute_script(SEEN).items():
        for flag in seen["flags"]:
            left, top, right, low = flag["box"]
            on_it = [at for at in seen["cords"] if left < at[0] < right and top < at[1] < low]
            assert not on_it, (view, flag)
