"""What the library answers is what the commands print."""

import json
import re

import pytest

import wheelgeo

from .conftest import DESIGNS

BOX = DESIGNS / "box-wheel.toml"


OF_EACH_KIND = ("box-wheel", "flyer-wheel", "braked-bobbin-wheel", "floor-wheel")
"""A tip in a box, a double band, a brake, and a treadle on a stand."""


@pytest.mark.parametrize("name", OF_EACH_KIND)
@pytest.mark.parametrize("command", ["solve", "check", "bands", "run"])
def test_an_answer_is_what_the_command_prints(name, printed, command):
    path = DESIGNS / f"{name}.toml"
    answer = getattr(wheelgeo.load(path), command)()
    document = answer.to_json()
    assert document == printed(command, path)
    assert json.loads(json.dumps(document, allow_nan=False)) == document


def test_find_is_what_the_command_prints(box, printed):
    found = box.find("whorl.rim", "ratio", 140)
    assert found.to_json() == printed("find", BOX, "whorl.rim", "for", "ratio=140")
    assert found.wheel.get("ratio") == pytest.approx(140.0)
    back = box.find("second band.length", "spindle.at.x", "380 mm")
    assert back.to_json() == printed("find", BOX, "second band.length", "for", "spindle.at.x=380")


def test_a_place_that_cuts_into_a_pulley_or_betters_nothing_is_no_help():
    """Two grooves a band runs through in turn cannot both be in line with one whorl."""
    flyer = wheelgeo.load(DESIGNS / "flyer-wheel.toml")
    found = flyer.place("double band")
    assert found.stays_on
    (row,) = found.rows
    assert not row.helps
    assert any('"bobbin whorl" overlap' in fault for fault in row.faults)
    faults = {f.says for f in row.wheel.check().findings if f.level == "fault"}
    assert set(row.faults) == faults  # it has none as it is
    assert max(map(abs, row.arriving_deg)) == pytest.approx(max(map(abs, found.now.arriving_deg)))


def test_places_of_a_crooked_band_help_one_way_without_a_fault(box):
    rows = box.place("second band", "whorl.offset").rows
    assert {row.helps for row in rows} == {True, False}
    for row in rows:
        worst = max(map(abs, row.arriving_deg)), max(map(abs, row.arriving_back_deg))
        assert not row.helps or (not row.faults and min(worst) < 13.0)


def _refusing(monkeypatch, refuses):
    """Let the search have no place for some things, whatever the wheel is."""
    from wheelgeo.tune import place_answer

    search = place_answer.place

    def place(design, band, moves):
        if refuses(moves[0].what):
            raise wheelgeo.SearchError("no place is best")
        return search(design, band, moves)

    monkeypatch.setattr(place_answer, "place", place)


def test_what_was_tried_of_itself_and_has_no_place_is_told_and_the_next_is_taken(box, monkeypatch):
    aside = box.put("hub.offset", box.get("hub.offset") + 3.0)
    first, then = aside.place("first band").helpful[:2]
    _refusing(monkeypatch, lambda what: what == first)
    found = aside.place("first band")
    assert found.moves == (then,)
    assert found.left_out == (f"{first}: no place is best",)
    assert found.to_json()["left_out"] == [f"{first}: no place is best"]
    with pytest.raises(wheelgeo.SearchError, match="no place is best"):  # it was asked for
        aside.place("first band", first)


def test_where_nothing_that_helps_has_a_place_that_is_the_answer(box, monkeypatch):
    aside = box.put("hub.offset", box.get("hub.offset") + 3.0)
    keys = aside.place("first band").helpful
    _refusing(monkeypatch, keys.__contains__)
    with pytest.raises(wheelgeo.SearchError) as refused:
        aside.place("first band")
    assert all(f"{key}: no place is best" in str(refused.value) for key in keys)


def test_what_place_left_out_is_said_to_who_reads_it(box, monkeypatch, capfdbinary):
    from wheelgeo_cli.place import _print
    from wheelgeo_cli.terminal import Terminal

    aside = box.put("hub.offset", box.get("hub.offset") + 3.0)
    _refusing(monkeypatch, lambda what: what == "hub.offset")
    _print(Terminal(), aside, aside.place("first band"))
    said = " ".join(capfdbinary.readouterr().out.decode().split())
    assert "Left out: hub.offset: no place is best." in said


def test_place_is_what_the_command_prints(box, printed):
    found = box.place("second band", "whorl.offset from -3 to 5")
    words = ("place", BOX, "second band", "--move", "whorl.offset from -3 to 5")
    assert found.to_json() == printed(*words)
    row = found.rows[-1]
    assert row.wheel.get("whorl.arriving_back") == pytest.approx(row.arriving_back_deg[1])


def test_retune_is_what_the_command_prints(box, printed):
    found = box.retune(turns_per_metre=850, most=3)
    assert found.to_json() == printed("retune", BOX, "--turns-per-metre", "850", "--most", "3")
    best = found.options[0]
    assert best.wheel.get("ratio") == pytest.approx(best.ratio)


def test_tolerance_is_what_the_command_prints(box, printed):
    found = box.tolerance(general="f", own={"whorl.rim": "0.05 mm"}, trials=10_000)
    words = ("--class", "f", "--own", "whorl.rim=0.05", "--trials", "10000")
    assert found.to_json() == printed("tolerance", BOX, *words)


def test_size_is_what_the_command_prints(printed):
    brief = DESIGNS / "briefs" / "wool-table.toml"
    found = wheelgeo.size(brief, wheels=1)
    assert found.to_json() == printed("size", brief, "--wheels", "1")
    assert found.wheels[0].wheel.get("ratio") == pytest.approx(found.wheels[0].ratio)


def test_make_is_what_the_command_prints(box, printed, tmp_path):
    made = box.make(tmp_path / "a", only=["tables", "facts"])
    there = printed("make", BOX, "--to", tmp_path / "b", "--only", "tables,facts")
    assert {**made.to_json(), "folder": there["folder"]} == there
    assert json.loads((tmp_path / "a" / "facts.json").read_text("utf-8")) == box.check().to_json()


def test_inputs_and_results_are_what_find_lists(path, printed):
    wheel, listed = wheelgeo.load(path), printed("find", path, "--list")
    for mine, theirs in ((wheel.inputs(), listed["numbers"]), (wheel.results(), listed["results"])):
        assert [(n.key, n.value, n.unit, n.means) for n in mine] == [
            tuple(row.values()) for row in theirs
        ]
        assert all(wheel.get(n.key) == n.value for n in mine)


def test_every_result_is_had_by_name(path):
    wheel = wheelgeo.load(path)
    answer = wheel.solve()
    for result in wheel.results():
        assert answer[result.key] == result.value
    for band in answer.bands:
        assert answer[f"{band.name}.length"] == band.length_mm
        assert answer[f"{band.name}.cut_length"] == band.cut_length_mm
        assert answer[f"{band.name}.cut_with_joint"] == band.cut_with_joint_mm


def test_keys_of_a_band(path):
    document = wheelgeo.load(path).solve().to_json()
    assert document["format"] == 1
    assert document["ratio_uncertainty"] is None
    for band in document["bands"]:
        cut = band["length_mm"] / (1.0 + band["stretch"])
        assert band["cut_length_mm"] == pytest.approx(cut, rel=1e-12)
        assert band["cut_with_joint_mm"] == band["cut_length_mm"] + band["joint_mm"]
        slide = band["slide"]
        if slide is not None:
            assert list(slide) == [
                "shaft", "from_mm", "to_mm", "path_at_from_mm", "path_at_to_mm",
            ]  # fmt: skip
            assert slide["path_at_from_mm"] != slide["path_at_to_mm"]


def test_a_slide_gives_the_path_that_the_moved_wheel_has(box):
    (band,) = (b for b in box.solve().bands if b.slide is not None and b.name == "second band")
    slide = band.slide
    ends = ((slide.from_mm, slide.path_at_from_mm), (slide.to_mm, slide.path_at_to_mm))
    for end, path_mm in ends:
        moved = box.put(f"{slide.shaft}.travel", end - slide.from_mm)
        assert moved.get("second band.length") == pytest.approx(path_mm, rel=1e-9)


def test_a_stretch_left_out_is_the_usual_one_and_said_to_be_assumed(box):
    text = box.text.replace('stretch = "1 %"', "", 1)
    text = re.sub(r'material = "\w+ cord"', 'material = "polyurethane cord"', text, count=1)
    band = wheelgeo.read(text).solve().bands[0]
    assert band.stretch_assumed
    assert band.stretch == 0.06  # the material's usual stretch, as ``run`` reckons with it
    assert any(a.what == 'stretch of band "first band"' for a in band.assumed)
    assert not box.solve().bands[0].stretch_assumed


def test_what_was_wanted_and_who_turns_are_of_a_run_too(box):
    run, solved = box.run(), box.solve()
    assert (run.ratio, run.twist) == (solved.ratio, solved.twist)
    assert run["whorl.wrap"] == solved["whorl.wrap"]
    assert run.band("second band").margin == min(p.margin for p in run.tension[1].pulleys)


def test_reprs_are_short_and_notebooks_are_shown_something(path):
    wheel = wheelgeo.load(path)
    for thing in (wheel, wheel.solve(), wheel.check(), wheel.run()):
        assert len(repr(thing)) < 160
        assert wheel.title in repr(thing)
    assert wheel._repr_svg_().rstrip().endswith("</svg>")
    assert "<table>" in wheel.solve()._repr_html_()
    odd = wheelgeo.read(wheel.text.replace(wheel.title, "a <b> & c"))
    assert "a &lt;b&gt; &amp; c" in odd.solve()._repr_html_()


def test_a_new_band_of_retune_is_cut_as_solve_then_says(box):
    for option in box.retune(count="60 Nm", most=3).options:
        solved = {band.name: band for band in option.wheel.solve().bands}
        for band in option.bands:
            if band.remade:
                told = solved[band.name]
                assert band.cut_with_joint_mm == pytest.approx(told.cut_with_joint_mm, abs=1e-6)
