"""No rule breaks on an odd wheel: random small designs are checked, their facts sound JSON."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelgeo.check.answering import answer_of
from wheelgeo.check.report import check_design
from wheelgeo.design.model import (
    Band,
    Case,
    Count,
    Design,
    Drive,
    FlatRim,
    GivenPitch,
    Pulley,
    RoundGroove,
    Shaft,
    Slide,
    Spindle,
    Stop,
    VeeGroove,
    Yarn,
)

AXES = [
    (0.0, 0.0, 1.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0), (0.6, 0.0, 0.8),
    (0.0, -0.6, 0.8),
]  # fmt: skip
PLACES = [0.0, 0.0, 10.0, 60.0, 150.0, -150.0, 400.0]
names = st.sampled_from(["wheel", "[red]x[/red]", 'a "b"', "Spule Ü", "rim\\1", "%s {0}"])

grooves = st.one_of(
    st.builds(
        VeeGroove, st.floats(6.0, 300.0), st.floats(0.5, 2.9), st.floats(10.0, 90.0),
        st.floats(0.0, 3.0),
    ),
    st.builds(RoundGroove, st.floats(6.0, 300.0), st.floats(0.5, 2.9), st.floats(0.3, 3.0)),
    st.builds(FlatRim, st.floats(6.0, 300.0), st.floats(1.0, 20.0)),
    st.builds(GivenPitch, st.floats(4.0, 300.0)),
)  # fmt: skip
yarns = st.one_of(
    st.none(),
    st.builds(
        Yarn, st.builds(Count, st.floats(1.0, 200.0), st.sampled_from(["Nm", "Ne", "tex"])),
        st.just("wool"), st.sampled_from("SZ"),
        turns_per_metre=st.one_of(st.none(), st.floats(50.0, 2000.0)),
        draw_mm=st.one_of(st.none(), st.floats(100.0, 2000.0)),
    ),
)  # fmt: skip
cases = st.one_of(
    st.none(),
    st.builds(
        Case, st.tuples(*[st.floats(10.0, 900.0)] * 3), st.tuples(*[st.floats(-300.0, 50.0)] * 3)
    ),
)


@st.composite
def shafts(draw, index):
    at = tuple(draw(st.sampled_from(PLACES)) for _ in range(3))
    slide = draw(st.one_of(st.none(), st.just(Slide((1.0, 0.0, 0.0), -2.0, 5.0))))
    ends = draw(st.one_of(st.none(), st.just((-30.0, 60.0))))
    return Shaft(
        f"shaft {index}", at, draw(st.sampled_from(AXES)), draw(st.floats(1.0, 20.0)), slide, ends
    )


@st.composite
def pulleys(draw, index, shaft, word):
    groove = draw(grooves)
    layered = draw(st.booleans()) and not isinstance(groove, GivenPitch)
    return Pulley(
        f"{word} {index}", shaft, draw(st.sampled_from([-40.0, 0.0, 0.0, 12.0, 30.0])), groove,
        width_mm=draw(st.one_of(st.none(), st.floats(1.0, 30.0))),
        build="layers" if layered else None,
    )  # fmt: skip


@st.composite
def wheels(draw):
    made = [draw(shafts(i)) for i in range(draw(st.integers(2, 4)))]
    word = draw(names)
    grooved = [
        draw(pulleys(i, draw(st.sampled_from(made)).name, word))
        for i in range(draw(st.integers(2, 6)))
    ]
    bands = []
    for i in range(draw(st.integers(0, 3))):
        order = draw(st.permutations(grooved))[: draw(st.integers(2, 4))]
        route = [order[0]]
        for pulley in order[1:]:
            if pulley.shaft != route[-1].shaft:
                route.append(pulley)
        if len(route) < 2 or (len(route) > 2 and route[0].shaft == route[-1].shaft):
            continue
        stops = tuple(
            Stop(p.name, draw(st.sampled_from(["with", "against"])) if k else "with")
            for k, p in enumerate(route)
        )
        material = draw(st.sampled_from(["cotton cord", "rubber cord", "no such cord"]))
        slip, cord = draw(st.sampled_from([None, 0.02])), draw(st.floats(0.4, 6.0))
        bands.append(Band(f"band {i}", stops, material, cord, slip=slip))
    drive = Drive(
        draw(st.sampled_from(made)).name, draw(st.sampled_from(["crank", "treadle", "motor"])),
        draw(st.floats(1.0, 300.0)), draw(st.sampled_from(["clockwise", "counter-clockwise"])),
        draw(st.one_of(st.none(), st.floats(5.0, 200.0))),
        draw(st.one_of(st.none(), st.floats(-60.0, 60.0))),
    )  # fmt: skip
    spindle = Spindle(draw(st.sampled_from(made)).name, draw(st.sampled_from(["tip", "flyer"])))
    return Design(
        "Odd", "mm", drive, tuple(made), tuple(grooved), tuple(bands), spindle, draw(yarns),
        draw(cases),
    )  # fmt: skip


KEYS = {
    "": {
        "title", "ratio", "ratio_without_slip", "shafts", "bands", "spindle", "twist", "yarn",
        "findings",
    },
    "shafts": {"name", "speed_rpm", "turns_per_drive_turn"},
    "bands": {"name", "length_mm", "speed_m_s", "pulleys", "runs"},
    "pulleys": {"name", "pitch_diameter_mm", "wrap_deg", "arriving_deg", "leaving_deg"},
    "runs": {"from", "to", "length_mm"},
    "spindle": {"speed_rpm", "turns"},
    "twist": {
        "direction", "wanted", "turns_per_metre", "drive_turns_per_metre", "drive_turns_per_draw",
    },
    "findings": {
        "rule", "level", "where", "value", "limit", "unit", "says", "remedy", "source",
    },
}  # fmt: skip


def assert_keys(document, table=""):
    assert set(document) >= KEYS[table]
    for key in KEYS[table] & set(KEYS):
        inner = document[key]
        for item in inner if isinstance(inner, list) else [inner]:
            assert_keys(item, key)


def assert_nulls_are_explained(document):
    said = {f["rule"]: f for f in document["findings"]}
    texts = [f["says"] + f["where"] for f in document["findings"]]

    def explained(name):
        return any(f'"{name}"' in text for text in texts)

    if document["ratio"] is None:
        assert "spindle-not-reached" in said
        assert document["spindle"] == {"speed_rpm": None, "turns": None}
    for shaft in document["shafts"]:
        assert shaft["speed_rpm"] is not None or explained(shaft["name"])
    for band in document["bands"]:
        assert band["length_mm"] is not None or explained(band["name"])
        assert band["speed_m_s"] is not None or explained(band["name"])
    twist = document["twist"]
    if twist["wanted"] is None:
        assert "yarn-not-given" in said
    if twist["turns_per_metre"] is None:
        assert {"yarn-not-given", "twist-not-given"} & set(said)
    if twist["drive_turns_per_draw"] is None:
        reasons = {"yarn-not-given", "twist-not-given", "draw-not-given", "spindle-not-reached"}
        assert reasons & set(said)


@given(wheels())
@settings(max_examples=12, deadline=None)
def test_any_wheel_is_checked_and_its_facts_are_sound_json(design):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("wheelgeo.check.wheel_under_check.MOST_TRIALS", 6)  # in little time
        document = answer_of(check_design(design)).to_json()
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    assert_keys(document)
    assert_nulls_are_explained(document)
    for finding in document["findings"]:
        assert all(finding[key] for key in ("rule", "level", "where", "says", "remedy", "source"))


@given(wheels())
@settings(max_examples=3, deadline=None)
def test_remedies_of_any_wheel_are_found_without_a_mishap_and_change_no_finding(design):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("wheelgeo.check.wheel_under_check.MOST_TRIALS", 25)  # in little time
        with_remedies = check_design(design)
        assert all(f.remedy.says for f in with_remedies.findings)
    without = check_design(design)
    assert [(f.rule, f.where, f.level) for f in with_remedies.findings] == [
        (f.rule, f.where, f.level) for f in without.findings
    ]


@given(wheels(), st.randoms(use_true_random=False))
@settings(max_examples=12, deadline=None)
def test_the_order_of_bands_in_the_file_changes_no_finding(design, random):
    shuffled = list(design.bands)
    random.shuffle(shuffled)
    one = check_design(design).findings
    other = check_design(replace(design, bands=tuple(shuffled))).findings
    assert {(f.rule, f.level, frozenset(f.where.split(", "))) for f in one} == {
        (f.rule, f.level, frozenset(f.where.split(", "))) for f in other
    }


def test_findings_come_worst_first():
    order = {"fault": 0, "warning": 1, "note": 2}

    @given(wheels())
    @settings(max_examples=30, deadline=None)
    def check(design):
        levels = [order[f.level] for f in check_design(design).findings]
        assert levels == sorted(levels)

    check()


@pytest.mark.parametrize("table", sorted(KEYS))
def test_keys_hold_no_upper_case_and_no_unknown_unit(table):
    assert all(key == key.lower() for key in KEYS[table])
