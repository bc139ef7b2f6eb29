"""The whole set: what is in it, that it is the same every time, and when there is none."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from wheelgeo.check.answering import answer_of
from wheelgeo.check.report import check_design
from wheelgeo.design.model import Design
from wheelgeo.errors import OutputError
from wheelgeo.shop.bench_set import GROUPS, MakeOptions, plan_make

DXF_ONLY = MakeOptions(only=("dxf", "tables", "facts"))


def make(design: Design, options: MakeOptions = DXF_ONLY) -> dict[str, bytes]:
    report = check_design(design)
    return {f.name: f.content for f in plan_make(answer_of(report), options)}


def test_the_set_holds_a_file_for_every_pulley_the_floor_the_tables_and_the_facts(
    bench: Design,
) -> None:
    assert set(make(bench)) >= {
        "pulley-wheel.dxf", "pulley-hub.dxf", "pulley-disc.dxf", "pulley-whorl.dxf",
        "floor.dxf", "bands.csv", "bands.dxf", "facts.json",
    }  # fmt: skip


def test_there_is_exactly_one_csv(bench: Design) -> None:
    assert [name for name in make(bench) if name.endswith(".csv")] == ["bands.csv"]


def test_the_same_design_gives_the_same_bytes(bench: Design) -> None:
    assert make(bench) == make(bench)


def test_the_facts_are_json_without_nan(bench: Design) -> None:
    read = json.loads(make(bench)["facts.json"])
    assert read["title"] == "Bench wheel"
    assert {"ratio", "shafts", "bands", "findings"} <= set(read)


def test_only_what_is_asked_for_is_made(bench: Design) -> None:
    assert set(make(bench, MakeOptions(only=("facts",)))) == {"facts.json"}
    with pytest.raises(OutputError, match="no group is named"):
        make(bench, MakeOptions(only=()))


def test_an_unknown_group_is_named_with_the_nearest(bench: Design) -> None:
    with pytest.raises(OutputError, match='"tabels"; did you mean "tables"'):
        make(bench, MakeOptions(only=("tabels",)))


def test_old_machines_get_the_old_release(bench: Design) -> None:
    files = make(bench, MakeOptions(only=("dxf",), dxf="R12"))
    assert all(b"AC1009" in content for content in files.values())


def test_progress_is_told_before_each_group_and_at_the_end(bench: Design) -> None:
    report, told = check_design(bench), []
    plan_make(answer_of(report), DXF_ONLY, lambda what, i, n: told.append((what, i, n)))
    assert [i for _, i, _ in told] == [0, 1, 2, 3]
    assert told[-1] == ("done", 3, 3)


def test_a_band_without_a_path_means_no_set_at_all(bench: Design) -> None:
    near = replace(bench.shafts[1], at_mm=(110.0, 90.0, 0.0))
    design = replace(bench, shafts=(bench.shafts[0], near, bench.shafts[2]))
    with pytest.raises(OutputError, match='"wheel", "hub" has no path'):
        make(design, MakeOptions(only=("facts",)))


def test_pulleys_with_wild_names_get_files_of_their_own(bench: Design) -> None:
    names = {"wheel": "../wheel", "hub": "Whorl", "disc": "whorl", "whorl": "whorl!"}
    pulleys = tuple(replace(p, name=names[p.name]) for p in bench.pulleys)
    bands = tuple(
        replace(b, route=tuple(replace(s, pulley=names[s.pulley]) for s in b.route))
        for b in bench.bands
    )
    files = make(replace(bench, pulleys=pulleys, bands=bands), MakeOptions(only=("dxf",)))
    assert set(files) == {
        "pulley-wheel.dxf", "pulley-whorl.dxf", "pulley-whorl-2.dxf", "pulley-whorl-3.dxf",
        "floor.dxf",
    }  # fmt: skip


def test_groups_have_names_of_their_own() -> None:
    assert len({group.name for group in GROUPS}) == len(GROUPS)


WORDY = MakeOptions(only=("drawings", "templates", "dxf"))


@pytest.mark.parametrize("title", ["\u200b", "W" * 4_000], ids=["no width", "4 000"])
def test_titles_of_no_width_and_of_any_length_are_drawn(bench: Design, title: str) -> None:
    assert make(replace(bench, title=title), WORDY)


@pytest.mark.parametrize(
    "name", ["\u200b", "M" * 2_000, "x y " * 1_000], ids=["no width", "2 000", "4 000"]
)
def test_names_of_no_width_and_of_any_length_are_drawn(bench: Design, name: str) -> None:
    first = bench.pulleys[0].name
    pulleys = tuple(replace(p, name=name) if p.name == first else p for p in bench.pulleys)
    bands = []
    for band in bench.bands:
        route = tuple(replace(s, pulley=name) if s.pulley == first else s for s in band.route)
        bands.append(replace(band, route=route, name=name if band is bench.bands[0] else band.name))
    assert make(replace(bench, pulleys=pulleys, bands=tuple(bands)), WORDY)
