"""What a question finds untold of a wheel is asked for in its place, and told as a step."""

import pytest

import wheelgeo
from wheelgeo.design.model import Yarn
from wheelgeo.page.desk import Desk
from wheelgeo.page.reading import BadAskError
from wheelgeo.units.keys import keys_of

OLD = {"wheel": "20 in", "whorl": "2 in", "apart": "18 in", "cord": "3 mm cotton cord"}
SPUN = {"yarn.count": "20 Nm", "yarn.fibre": "wool", "yarn.twist": "Z"}


@pytest.fixture
def desk(tmp_path):
    """A desk with an old wheel, of which nobody said what is spun on it."""
    desk = Desk(tmp_path)
    desk.ask("old", {"measured": OLD, "open": True})
    return desk


def ask(desk, question, **more):
    return desk.ask(question, {"wheel": "1", **more})


@pytest.mark.parametrize(
    ("wish", "more"), [({"count": "40 Nm"}, []), ({"turns_per_metre": "400"}, ["turns_per_metre"])]
)
def test_a_refusal_asks_for_what_a_yarn_must_have_and_for_what_is_compared(desk, wish, more):
    refused = ask(desk, "retune", **wish)
    must = [key.name for key in keys_of(Yarn) if key.required]
    assert [blank["key"] for blank in refused["untold"]] == [f"yarn.{n}" for n in [*must, *more]]
    of = {blank["key"]: blank["of"] for blank in refused["untold"]}
    assert of["yarn.twist"] == ["S", "Z"]
    assert of["yarn.count"] is None


def test_what_is_told_is_a_step_and_the_question_goes_on(desk):
    told = ask(desk, "tell", given=SPUN)
    assert told["did"] == "yarn: told"
    yarn = desk.wheels["1"].now.design.yarn
    assert (yarn.count.value, yarn.count.system, yarn.fibre, yarn.twist) == (20, "Nm", "wool", "Z")
    finer = ask(desk, "retune", count="80 Nm")
    assert finer["ratio_needed"] / finer["ratio_now"] == pytest.approx(2.0)  # the root of four
    (twist,) = ask(desk, "retune", turns_per_metre="400")["untold"]
    assert twist["key"] == "yarn.turns_per_metre"
    assert ask(desk, "tell", given={twist["key"]: "20 tpi"})["undo"] == 2
    more = ask(desk, "retune", turns_per_metre="40 tpi")
    assert more["ratio_needed"] / more["ratio_now"] == pytest.approx(2.0)
    for _ in range(2):
        ask(desk, "undo")
    assert desk.wheels["1"].now.design.yarn is None


def test_a_ratio_alone_needs_no_yarn(desk):
    answer = ask(desk, "retune", ratio="14")
    assert answer["ratio_needed"] == 14.0
    assert answer["ways"]


def test_a_length_is_told_in_the_unit_of_the_page(desk):
    ask(desk, "tell", given={**SPUN, "yarn.draw": "24"}, unit="in/64")
    assert desk.wheels["1"].now.design.yarn.draw_mm == pytest.approx(24 * 25.4)


def test_what_cannot_be_read_or_is_left_out_is_refused_at_its_blank(desk):
    refused = ask(desk, "tell", given={"yarn.count": "20", "yarn.twist": ""})["refused"]
    assert [fault["place"] for fault in refused] == ["yarn.count", "yarn.fibre", "yarn.twist"]
    assert desk.wheels["1"].now.design.yarn is None


@pytest.mark.parametrize("given", [None, "wool", {"yarn.count": 20}, {"pulley:whorl.rim": "9 mm"}])
def test_nothing_else_is_told_so(desk, given):
    with pytest.raises(BadAskError):
        ask(desk, "tell", given=given)


def test_the_library_says_by_name_what_it_is_not_told():
    wheel = wheelgeo.old_wheel(**OLD).wheel
    with pytest.raises(wheelgeo.SearchError, match="a ratio alone") as error:
        wheel.retune(draw="700 mm", ratio=12.0)
    assert "yarn.draw" in error.value.keys
