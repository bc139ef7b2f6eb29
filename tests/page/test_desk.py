"""The desk answers as the library does, whatever is done to the wheels on it."""

import base64
import gc
import json
import math
import random
import re
import shutil
import threading
import tracemalloc
from dataclasses import fields
from urllib.parse import quote

import pytest

import wheelgeo
from tests.page.conftest import DESIGNS
from wheelgeo.numbers.inputs import inputs
from wheelgeo.page.desk import MOST_WHEELS, QUESTIONS, Desk
from wheelgeo.page.links import link_of, text_of
from wheelgeo.page.making import SetInWork
from wheelgeo.page.open_wheel import Ghost
from wheelgeo.page.reading import BadAskError
from wheelgeo.page.steps import step_in_words
from wheelgeo.page.told import input_text, written
from wheelgeo.shop.bench_set import MadeFile
from wheelgeo.units.written import in_both, thousands_apart
from wheelgeo_cli.bands_to_have import print_bands_to_have

PATHS = sorted(DESIGNS.glob("*-wheel.toml"))
FOUR = [DESIGNS / f"{name}-wheel.toml" for name in ("box", "flyer", "floor", "braked-flyer")]
"""Quarter turn and case; double band and treadle; crossed band; sleeve, brake and hand."""
VIEWS = [{"name": name, "capital": 5.0} for name in ("plan", "side", "turned")]


def desk_with(path, folder):
    desk = Desk(folder)
    desk.lay_file(path)
    return desk


def ask(desk, question, **more):
    return desk.ask(question, {"wheel": "1", "views": VIEWS, **more})


@pytest.mark.parametrize("path", FOUR, ids=lambda p: p.stem)
def test_all_that_is_told_of_a_shipped_design_is_what_the_library_says(path, tmp_path):
    desk, wheel = desk_with(path, tmp_path), wheelgeo.load(path)
    first, whole = ask(desk, "show", fit=True), ask(desk, "whole")
    json.dumps([first, whole, ask(desk, "view", back=True)], allow_nan=False)
    for row in first["numbers"]:
        told = wheel.get(row["key"])
        told = abs(told) if row["key"].endswith(".speed") else told
        assert row["value"] == pytest.approx(told, rel=1e-12), row
        assert row["name"]
        assert row["means"]
    checked = wheel.check()
    assert [f["rule"] for f in whole["findings"]] == [f.rule for f in checked.findings]
    more = whole["findings"]
    assert [f.get("later") for f in more] == [f.get("later") for f in looked_for(desk, [])]
    while any(f.get("later") for f in more):  # each answer goes on where the last was left
        more = looked_for(desk, None)
    assert [f["remedy"] for f in more] == [thousands_apart(f.remedy.says) for f in checked.findings]
    assert ask(desk, "whole")["findings"] == more
    told = {row["key"]: row["value"] for row in whole["mechanics"]}
    assert told["run.effort"] == wheel.run().load.force_n
    for view in first["views"].values():
        left, top, right, bottom = view["box"]
        assert left < right
        assert top < bottom
        assert view["lines"]
        assert view["handles"]
        for handle in view["handles"]:
            for pull in handle["pulls"]:
                assert pull["value"] == pytest.approx(wheel.get(pull["key"]))


@pytest.mark.parametrize("path", FOUR, ids=lambda p: p.stem)
def test_a_ring_stands_where_its_number_says(path, tmp_path):
    """A number put to what the hand's way asks moves the ring by that way."""
    desk = desk_with(path, tmp_path)
    moved = 0
    for name, view in ask(desk, "show")["views"].items():
        for handle in view["handles"]:
            pull = handle["pulls"][0]
            said = ask(desk, "drag", put={pull["key"]: pull["value"] + 0.25 * pull["gain"]})
            if said["limit"]:
                continue
            after = next(h for h in said["views"][name]["handles"] if h["name"] == handle["name"])
            by = [b - a for a, b in zip(handle["at"], after["at"], strict=True)]
            along = [0.25 * part for part in pull["along"]]
            assert by == pytest.approx(along, abs=0.02), (name, handle["name"])
            moved += 1
    assert moved > 5


@pytest.mark.parametrize("path", PATHS, ids=lambda p: p.stem)
def test_a_number_that_was_set_is_told_so_that_typed_again_it_is_the_same(path):
    """Here of all that is no length, which the page's list tells as a tape or a lathe has it."""
    wheel = wheelgeo.load(path)
    for one in inputs(wheel.design):
        if one.value is None or one.unit == "mm":
            continue
        for value in (one.value, 0.987 * one.value):
            text = input_text(one.kind, one.field, value, one.unit, "mm").replace("°", " deg")
            assert float(text.replace(" ", "").rstrip(" abcdefghijklmnopqrstuvwxyz/²³N%×")) == (
                pytest.approx(value, rel=1e-5, abs=1e-6)
            ), (one.key, text)


def test_a_label_tells_a_rim_as_the_list_has_it_and_follows_the_hand(tmp_path):
    desk, unit = desk_with(FOUR[0], tmp_path), "in/64"
    drawn = ask(desk, "drag", put={"whorl.rim": 9.2}, unit=unit)["views"]["plan"]
    assert drawn["sizes"]["pulley:whorl.rim"] == "0.362 in", "23/64 in is 1 % less ratio"
    ask(desk, "change", put={"whorl.rim": "9.2 mm"}, unit=unit)
    whole = ask(desk, "whole", unit=unit)
    listed = {row["key"]: row.get("text") for row in whole["settable"]}
    for label in whole["views"]["plan"]["labels"]:
        kind, _, key = label["key"].partition(":")
        if kind == "pulley":
            assert label["text"].endswith(f"⌀{listed[key]}"), key


def looked_for(desk, seen):
    return ask(desk, "remedies", seen=seen)["findings"]


def test_remedies_are_looked_for_of_what_is_seen_alone_a_little_at_a_time(tmp_path, monkeypatch):
    desk = desk_with(PATHS[1], tmp_path)
    ask(desk, "change", put={"whorl.offset": wheelgeo.load(PATHS[1]).get("whorl.offset") + 9.0})
    findings = desk.wheels["1"].now.check().findings
    later = [i for i, f in enumerate(ask(desk, "whole")["findings"]) if f.get("later")]
    assert len(later) > 1
    monkeypatch.setattr("wheelgeo.page.desk.PATIENCE_S", 1e-4)
    answers = 0
    while looked_for(desk, later[-1:])[later[-1]].get("later"):
        answers += 1
    assert answers > 3  # it was gone on with, a step at a time
    seen = looked_for(desk, [])
    assert [i for i, f in enumerate(seen) if f.get("later")] == later[:-1]
    assert seen[later[-1]]["remedy"] == findings[later[-1]].remedy.says


def random_step(desk, chance):
    """Do something that a hand may do; return the answer."""
    opened = desk.wheels["1"]
    what = chance.random()
    if what < 0.12:
        return ask(desk, "undo")
    if what < 0.2:
        return ask(desk, "redo")
    numbers = [i for i in opened.now.inputs() if i.value is not None]
    if what < 0.3:
        one = chance.choice(numbers)
        word = chance.choice(["9 mm", "3/8 in", "x", "", "-4", "1e9", "2 %", "50 rpm"])
        return ask(desk, "change", put={one.key: word})
    if what < 0.35:
        pulley = chance.choice(opened.now.design.pulleys).name
        shape = chance.choice(["vee", "round", "flat"])
        return ask(desk, "groove", pulley=pulley, shape=shape)
    view = chance.choice(list(ask(desk, "show")["views"].values()))
    handle = chance.choice(view["handles"])
    put = {p["key"]: p["value"] + chance.gauss(0.0, 20.0) for p in handle["pulls"]}
    return ask(desk, "drag", put=put, last=chance.random() < 0.6)


def agree(desk, said):
    """The page's numbers are those of a wheel that is read from what would be saved."""
    opened = desk.wheels["1"]
    fresh = wheelgeo.read(opened.now.to_toml())
    for row in said["numbers"]:
        same(fresh.get(row["key"]), row)


def same(told, row):
    if told is None or row["value"] is None:
        assert told is row["value"] is None, row
    elif isinstance(told, float):
        assert math.isclose(abs(told), abs(row["value"]), rel_tol=1e-6, abs_tol=1e-6), row
    else:
        assert told == row["value"], row


def agree_wholly(desk):
    """So are pulls and effort, every result that has a name, and what is wrong."""
    fresh = wheelgeo.read(desk.wheels["1"].now.to_toml())
    said = ask(desk, "whole")
    rows = {row["key"]: row for row in said["mechanics"]}
    run = fresh.run()
    same(run.load.force_n, rows["run.effort"])
    for band in run.tension:
        same(band.rest_n, rows[f"run.{band.name}.rest"])
        same(band.margin, rows[f"run.{band.name}.margin"])
    for row in said["results"]:
        same(fresh.get(row["key"]), row)
    assert [(f["rule"], f["level"], f["where"]) for f in said["findings"]] == [
        (f.rule, f.level, f.where) for f in fresh.check().findings
    ]


def run_at_random(path, folder, steps, seed):
    desk, chance = desk_with(path, folder), random.Random(seed)
    refused = 0
    for number in range(steps):
        said = random_step(desk, chance)
        json.dumps(said, allow_nan=False)
        refused += "refused" in said
        if "refused" not in said and number % 10 == 0:
            agree(desk, ask(desk, "show"))
        if number % 50 == 20:
            agree_wholly(desk)
    assert 0 < refused < steps
    while desk.wheels["1"].undo():
        pass
    assert desk.wheels["1"].now.design == wheelgeo.load(path).design
    return desk


@pytest.mark.parametrize("path", [PATHS[1], PATHS[-1]], ids=lambda p: p.stem)
def test_random_drags_edits_and_undos_agree_with_the_library(path, tmp_path):
    run_at_random(path, tmp_path, 40, 7)


def test_a_step_that_can_be_taken_back_keeps_next_to_nothing(tmp_path):
    """Its changed parts, nothing of what was computed of it: undo may go on for ever."""
    desk = desk_with(PATHS[1], tmp_path)
    for rim in (9.1, 9.2, 9.3):
        ask(desk, "drag", put={"whorl.rim": rim}, last=True)
        ask(desk, "whole")
    ask(desk, "undo")
    ask(desk, "whole")
    opened = desk.wheels["1"]
    assert (len(opened.before), len(opened.after)) == (2, 1)
    for wheel in (step.wheel for step in (*opened.before, *opened.after)):
        assert set(vars(wheel)) == {field.name for field in fields(wheel)}
        assert set(vars(wheel.design)) == {field.name for field in fields(wheel.design)}


@pytest.mark.long
def test_ten_thousand_random_steps_agree_and_memory_stays(tmp_path):
    """What is kept of parts is bounded: the second half of the steps adds next to nothing."""
    tracemalloc.start()
    held = []
    for half in range(2):
        for seed, path in enumerate(PATHS, 100 * half):
            run_at_random(path, tmp_path, 5100 // len(PATHS), seed)
        gc.collect()
        held.append(tracemalloc.get_traced_memory()[0])
    tracemalloc.stop()
    assert held[1] < held[0] + 5_000_000, held


def test_no_folder_is_tried_nor_written_while_somebody_else_writes_or_the_program_ends(
    tmp_path, monkeypatch
):
    planned, go_on = threading.Event(), threading.Event()

    def plan(*_):
        planned.set()
        assert go_on.wait(60.0)
        return [MadeFile("one.txt", b"made", "one", "tables")]

    monkeypatch.setattr("wheelgeo.shop.folder.plan_make", plan)
    tried = []
    monkeypatch.setattr("wheelgeo.shop.folder.try_folder", lambda *words: tried.append(words))
    writing, made = threading.Lock(), tmp_path / "set"
    with writing:
        work = SetInWork.begin(wheelgeo.load(FOUR[0]), made, "in", writing)
        work.thread.join(0.1)
        assert work.state()["running"]
        assert not tried
    assert planned.wait(60.0)
    assert tried
    with writing:
        go_on.set()
        work.thread.join(0.1)
        assert work.state()["running"]
        assert not made.exists()
    work.thread.join()
    assert (made / "one.txt").read_bytes() == b"made"
    assert not writing.locked()


# --- files, links, refusals -----------------------------------------------------------------------


def test_what_is_undone_keeps_the_comments_that_an_editor_wrote(tmp_path):
    path = tmp_path / "wheel.toml"
    path.write_text(PATHS[1].read_text())
    desk = desk_with(path, tmp_path)
    ask(desk, "change", put={"whorl.rim": 10.0})
    path.write_text("# from the editor\n" + path.read_text())
    assert disk(desk)["disk"] == "changed"
    said = ask(desk, "save")
    assert "was changed since it was read" in said["refused"][0]["says"]
    assert "# from the editor" in path.read_text()
    ask(desk, "reload")
    ask(desk, "undo")
    assert desk.wheels["1"].now.get("whorl.rim") == 10.0
    ask(desk, "save")
    assert path.read_text().startswith("# from the editor\n")
    assert wheelgeo.load(path).get("whorl.rim") == 10.0
    path.unlink()
    assert disk(desk)["disk"] == "gone"
    ask(desk, "save")
    assert disk(desk)["disk"] == "same"


def disk(desk):
    return ask(desk, "disk", holds={})


def test_what_is_written_over_can_be_had_back_comments_and_all(tmp_path):
    path = tmp_path / "wheel.toml"
    path.write_text(PATHS[1].read_text())
    desk = desk_with(path, tmp_path)
    ask(desk, "change", put={"whorl.rim": 12.0})
    theirs = wheelgeo.load(path).put({"wheel.rim": 185.0}).to_toml()
    path.write_text("# from the editor\n" + theirs)
    assert "refused" not in ask(desk, "save", over=True)
    assert path.read_text().startswith("# from the editor\n")
    assert wheelgeo.load(path).get("whorl.rim") == 12.0
    ask(desk, "undo")
    assert desk.wheels["1"].now.design == wheelgeo.read(theirs).design
    assert disk(desk)["disk"] == "same"
    ask(desk, "undo")
    assert desk.wheels["1"].now.get("whorl.rim") == 12.0
    ask(desk, "undo")
    assert desk.wheels["1"].now.design == wheelgeo.load(PATHS[1]).design


def spoilt(path):
    path.write_text("title = 3\n")


def a_folder(path):
    path.unlink()
    path.mkdir()


def a_loop(path):
    path.unlink()
    path.symlink_to(path.name)


def its_folder_gone(path):
    shutil.rmtree(path.parent)


def its_folder_a_file(path):
    shutil.rmtree(path.parent)
    path.parent.write_text("")


def a_link_to_nothing(path):
    path.unlink()
    path.symlink_to("nowhere")


def bytes_of_no_text(path):
    path.write_bytes(b"\xff")


@pytest.mark.parametrize(("what", "says"), [
    (spoilt, ""), (a_folder, "is a folder"), (a_loop, "cannot be reached"),
    (its_folder_gone, "no longer there: make it again"), (a_link_to_nothing, "leads to none"),
    (its_folder_a_file, "no longer there: make it again"), (bytes_of_no_text, "not UTF-8"),
], ids=lambda x: getattr(x, "__name__", ""))  # fmt: skip
@pytest.mark.parametrize("over", [False, True])
def test_a_file_that_cannot_be_kept_in_is_told_with_a_way_out_and_left(what, says, over, tmp_path):
    path = tmp_path / "in" / "wheel.toml"
    path.parent.mkdir()
    path.write_text(PATHS[1].read_text())
    desk = desk_with(path, tmp_path)
    ask(desk, "change", put={"whorl.rim": 12.0})
    what(path)
    before = sorted(tmp_path.rglob("*"))
    told = disk(desk)["says"]
    (refused,) = ask(desk, "save", over=over)["refused"]
    assert sorted(tmp_path.rglob("*")) == before
    assert says in (refused["says"] if over else told)
    assert over or told in refused["says"]
    assert "write another name" in refused["says"].lower()
    assert "refused" not in ask(desk, "save", path="mine.toml")
    assert disk(desk)["disk"] == "same"


def test_a_wheel_in_no_file_is_told_with_a_link_once(tmp_path):
    desk = desk_with(PATHS[1], tmp_path)
    assert disk(desk)["unkept"] == []
    ask(desk, "change", put={"whorl.rim": 12.0})
    ask(desk, "old", measured={"wheel": "20 in", "whorl": "2 in", "apart": "18 in",
                               "cord": "3 mm cotton cord"}, open=True)  # fmt: skip
    first, second = disk(desk)["unkept"]
    assert "link" not in second  # one at a time
    assert wheelgeo.read(text_of(first["link"])).get("whorl.rim") == 12.0
    first, second = ask(desk, "disk", holds={"1": first["revision"]})["unkept"]
    assert "link" not in first
    assert text_of(second["link"])


@pytest.mark.parametrize("stands", [None, "[broken"])
def test_a_wheel_whose_file_holds_it_no_more_is_told_with_a_link(stands, tmp_path):
    path = tmp_path / "wheel.toml"
    path.write_text(PATHS[1].read_text())
    desk = desk_with(path, tmp_path)
    assert disk(desk)["unkept"] == []
    path.unlink() if stands is None else path.write_text(stands)
    (row,) = disk(desk)["unkept"]
    assert wheelgeo.read(text_of(row["link"])).design == wheelgeo.load(PATHS[1]).design


def test_a_wheel_is_put_away_and_no_other_takes_its_number(tmp_path):
    desk = desk_with(PATHS[1], tmp_path)
    ask(desk, "open", design="box-wheel")
    ask(desk, "change", put={"whorl.rim": 12.0})
    assert "changed since" in ask(desk, "away")["lies_in"]
    assert "1" in desk.wheels
    assert [w["wheel"] for w in ask(desk, "away", anyway=True)["wheels"]] == ["2"]
    assert ask(desk, "open", design="sheet-wheel")["wheel"] == "3"
    assert "was put away" in ask(desk, "show")["refused"][0]["says"]


def test_a_wheel_of_too_many_parts_is_neither_laid_nor_read_again(tmp_path, monkeypatch):
    path = tmp_path / "wheel.toml"
    path.write_text(PATHS[1].read_text())
    desk = desk_with(path, tmp_path)
    path.write_text("# anew\n" + path.read_text())
    monkeypatch.setattr("wheelgeo.page.open_wheel.MOST_PARTS", 8)
    for question, more in (("open", {"design": "box-wheel"}), ("reload", {})):
        assert "8 shafts" in ask(desk, question, **more)["refused"][0]["says"]
    assert set(desk.wheels) == {"1"}
    assert disk(desk)["disk"] == "changed"


def test_nothing_is_asked_for_without_end(tmp_path):
    """Each is refused at once; labels a thousandth of a millimetre high took all memory."""
    desk = desk_with(PATHS[1], tmp_path)
    said = ask(desk, "have", band="second band", have="3 in, " * 20_000)["refused"]
    assert "2000 characters" in said[0]["says"]
    for capital in (1e-300, 1e-9, 0.01, 0.1):
        with pytest.raises(BadAskError):
            desk.ask("whole", {"wheel": "1", "views": [{"name": "plan", "capital": capital}]})
    for more in ({"put": dict.fromkeys(map(str, range(1000)), 1.0)}, {"seen": [1] * 1000}):
        with pytest.raises(BadAskError):
            desk.ask("change" if "put" in more else "remedies", {"wheel": "1", **more})


def test_a_file_of_somebody_else_is_never_written_over(tmp_path):
    desk = desk_with(PATHS[1], tmp_path)
    (tmp_path / "mine.toml").write_text("precious")
    assert "exists already" in ask(desk, "save", path="mine.toml")["refused"][0]["says"]
    assert (tmp_path / "mine.toml").read_text() == "precious"
    assert "file" in ask(desk, "save", path="new.toml")
    assert wheelgeo.load(tmp_path / "new.toml").design == wheelgeo.load(PATHS[1]).design


def test_comments_beside_what_was_changed_are_told_when_it_is_kept(tmp_path):
    desk = desk_with(DESIGNS / "box-wheel.toml", tmp_path)
    assert ask(desk, "save", path="mine.toml")["comments"] == ""
    ask(desk, "change", put={"drive.speed": 40.0})
    assert ask(desk, "save")["comments"].startswith("The comment beside drive.speed stands as")
    assert ask(desk, "save")["comments"] == ""


def test_a_knotted_band_is_told_with_what_it_is_tied_by(tmp_path):
    desk = Desk(tmp_path)
    old = {"wheel": "20 in", "whorl": "2 in", "apart": "18 in", "cord": "3 mm cotton cord",
           "joint": "knot", "slide": "1 in"}  # fmt: skip
    told, found = desk.ask("old", {"measured": old}), wheelgeo.old_wheel(**old)
    reel = found.wheel.get("drive band.off_reel")
    assert reel == found.answer.bands[0].off_reel_mm
    assert in_both(reel, "in") + " off the reel" in told["take"]
    assert "more at each end to tie by" in " ".join(told["then"])
    found.wheel.save(tmp_path / "old.toml")
    rows = ask(desk_with(tmp_path / "old.toml", tmp_path), "show", fit=True)["numbers"]
    (row,) = (row for row in rows if row["key"] == "drive band.off_reel")
    assert row["value"] == pytest.approx(reel, abs=1e-6)


@pytest.mark.parametrize("path", PATHS, ids=lambda p: p.stem)
def test_a_link_holds_the_whole_wheel_comments_and_all(path):
    text = path.read_text(encoding="utf-8")
    link = link_of(text)
    for pasted in (link, f"#wheel={link}", f"http://127.0.0.1:1/gone/#wheel={link}\n"):
        assert text_of(pasted) == text
    assert text_of("\r\n".join(link[i : i + 76] for i in range(0, len(link), 76))) == text
    whole = f"http://127.0.0.1:1/gone/#wheel={link}"
    for one in (whole, link):
        for around in ("<{}>", "‹{}>", "‹{}›", "«{}»", '"{}"', "“{}”", "„{}“", "({}).", "<{}>,"):
            assert text_of(around.format(one)) == text, around
    assert text_of("> <" + "\n> ".join(whole[i : i + 70] for i in range(0, len(whole), 70)) + ">\n")
    assert text_of(quote(f"{whole}=")) == text, "as an address is written in another"
    assert len(link) < len(text)
    with pytest.raises(wheelgeo.DesignError, match="cut short"):
        text_of(link[:-9])


def test_a_link_of_which_one_letter_is_another_is_no_link():
    link, chance = link_of(PATHS[1].read_text(encoding="utf-8")), random.Random(7)
    letters = sorted({*link})
    for at in (0, 1, 2, len(link) - 1, *chance.sample(range(len(link)), 300)):
        other = chance.choice([one for one in letters if one != link[at]])
        changed = link[:at] + other + link[at + 1 :]
        if base64.urlsafe_b64decode(changed + "==") == base64.urlsafe_b64decode(link + "=="):
            continue  # the last letter has bits that hold nothing
        with pytest.raises(wheelgeo.DesignError, match="a letter of it is another one"):
            text_of(changed)


def test_a_link_that_would_burst_is_refused():
    with pytest.raises(wheelgeo.DesignError, match="too long"):
        text_of(link_of("x" * 20_000_000))


def test_of_thousands_of_faults_some_are_told_and_the_rest_counted(tmp_path):
    text = 'title = "x"\n' + "[[shaft]]\n" * 500
    said = ask(desk_with(PATHS[1], tmp_path), "open", link=link_of(text))["refused"]
    assert len(said) == 31
    assert said[-1]["says"].endswith(" more are wrong")


@pytest.mark.parametrize(("question", "body"), [
    ("no such", {}), ("show", {"wheel": "9"}), ("show", {"wheel": None}), ("change", {}),
    ("change", {"put": {"whorl.rim": [1]}}), ("show", {"unit": "ell"}),
    ("open", {"design": "../x"}),
    ("show", {"views": [{"name": "inside"}]}), ("show", {"views": [{"name": "plan", "turn": "x"}]}),
    ("whole", {"views": [{"name": "plan", "capital": 0}]}), ("ghost", {"ghost": "none"}),
    ("remedy", {"rule": "none", "where": "x"}), ("remedies", {"seen": 3}),
    ("remedies", {"seen": ["x"]}), ("progress", {"set": "7"}), ("save", {"path": 3}),
])  # fmt: skip
def test_a_question_without_sense_is_none_of_ours(question, body, tmp_path):
    desk = desk_with(PATHS[1], tmp_path)
    with pytest.raises(BadAskError):
        desk.ask(question, {"wheel": "1", **body})


JUNK = [None, True, 0, -1, 3.5, 1e300, 10**400, "", "x", "1", "whorl.rim", "\ud800", "\0",
        "~nobody/x", "a" * 3000, "<b>", [], {}, [1], {"a": 1}, "vee", "3/8 in", "80 Nm",
        "second band", "1e999"]  # fmt: skip
PUT = ["whorl.rim", "pulley:hub.rim", "shaft:spindle.at.x", "first band.material", "title",
       "drive.turns", "yarn.count", "first band.route", "case.inside", "no name"]  # fmt: skip
WORDS = ["views", "put", "last", "pulley", "shape", "ghost", "rule", "where", "way", "other",
         "path", "count", "twist", "draw", "ratio", "band", "have", "move", "measured", "link",
         "text", "set"]  # fmt: skip


def test_whatever_is_asked_is_answered_or_refused(tmp_path):
    desk, chance = desk_with(PATHS[1], tmp_path), random.Random(5)
    desk.wheels["1"].path = None
    questions = sorted(set(QUESTIONS) - {"make"})
    refused = 0
    for _ in range(150):
        body = {key: chance.choice(JUNK) for key in chance.sample(WORDS, 5)} | {"wheel": "1"}
        if chance.random() < 0.5:
            body["put"] = {chance.choice(PUT): chance.choice(JUNK)}
            body["measured"] = {chance.choice(["wheel", "cord", "crossed"]): chance.choice(JUNK)}
            body["views"] = [{"name": "turned", "turn": chance.choice(JUNK)}]
        try:
            json.dumps(desk.ask(chance.choice(questions), body), allow_nan=False)
        except BadAskError:
            refused += 1
    assert 0 < refused < 150


@pytest.mark.parametrize(("question", "body", "says"), [
    ("change", {"put": {"nothing.rim": 3}}, "no number"),
    ("change", {"put": {"ratio": 3}}, "result"),
    ("change", {"put": {"whorl.rim": "broad"}}, "broad"),
    ("drag", {"put": {"whorl.rim": "wide"}}, "wide"),
    ("groove", {"pulley": "none", "shape": "vee"}, "no pulley"),
    ("groove", {"pulley": "whorl", "shape": "star"}, "star"),
    ("retune", {}, "say what shall be different"),
    ("retune", {"ratio": "much"}, "no number"),
    ("have", {"band": "no band", "have": "3 in"}, "no band"),
    ("place", {"band": "no band"}, "no band"),
    ("place", {"band": "second band", "move": "axle.at.x"}, "axle.at.x"),
    ("old", {"measured": {"wheel": "20 in"}}, ""),
    ("open", {"path": "none.toml"}, "there is no file"),
    ("open", {"link": "!"}, "no wheel"),
    ("open", {"text": "title ="}, ""),
    ("save", {"path": " "}, "name of a file"),
])  # fmt: skip
def test_what_the_library_refuses_is_told_in_its_words(question, body, says, tmp_path):
    desk = desk_with(PATHS[1], tmp_path)
    before = desk.wheels["1"].now.design
    told = desk.ask(question, {"wheel": "1", **body})
    assert says in " ".join(fault["says"] for fault in told["refused"])
    assert desk.wheels["1"].now.design == before


def test_the_same_link_lays_no_second_wheel(tmp_path):
    desk = desk_with(PATHS[1], tmp_path)
    link = ask(desk, "link")["link"]
    assert ask(desk, "open", link=link)["wheel"] == "1"
    elsewhere = Desk(tmp_path)
    elsewhere.ask("open", {"link": link})
    assert [w.lies_in for w in elsewhere.unkept()] == ["in no file yet"], "told at the end"
    ask(desk, "change", put={"whorl.rim": "9 mm"})
    names = {ask(desk, "open", link=link)["wheel"] for _ in range(3)}
    assert names == {"2"}


def test_a_file_or_a_design_as_it_came_lies_on_the_page_once(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(PATHS[1].read_text())
    desk = desk_with(path, tmp_path)
    (tmp_path / "link.toml").symlink_to(path)
    for name in (path.name, f"./{path.name}", str(path), "link.toml"):
        said = ask(desk, "open", path=name)
        assert (said["wheel"], said["already"]) == ("1", True)
    said = ask(desk, "open", design="sheet-wheel")
    assert (said["wheel"], said["already"]) == ("2", False)
    assert ask(desk, "open", design="sheet-wheel")["wheel"] == "2"
    desk.ask("change", {"wheel": "2", "put": {"whorl.rim": "13 mm"}})
    assert ask(desk, "open", design="sheet-wheel")["wheel"] == "3", "it is another one by now"
    desk.ask("save", {"wheel": "2", "path": "mine.toml"})
    assert ask(desk, "open", path="mine.toml")["wheel"] == "2"


@pytest.mark.parametrize(("how", "unit", "shown"), [
    ("path", None, "in/64"), ("path", "mm", "mm"), ("path", "in", "in/64"), ("text", None, "in/64"),
    ("text", "mm", "mm"), ("design", "mm", "in/64"),
])  # fmt: skip
def test_a_wheel_is_laid_in_the_unit_of_the_page_where_its_file_says_none(
    how, unit, shown, tmp_path
):
    text = (DESIGNS / "sheet-wheel.toml").read_text()
    says = "" if unit is None else f'unit = "{unit}"\n'
    (tmp_path / "a.toml").write_text(text.replace('unit = "mm"\n', says))
    given = {"path": "a.toml", "text": (tmp_path / "a.toml").read_text(), "design": "sheet-wheel"}
    desk = Desk(tmp_path)
    assert desk.ask("open", {how: given[how], "unit": "in/64"})["unit"] == shown
    assert ask(desk, "show")["unit"] == shown
    first = Desk(tmp_path).ask("open", {how: given[how]})
    assert first["unit"] == ("in/64" if unit == "in" else "mm"), "there is no page yet"


def test_a_page_full_of_wheels_says_so(tmp_path):
    desk = desk_with(PATHS[1], tmp_path)
    text = PATHS[1].read_text()
    for _ in range(MOST_WHEELS - 1):
        ask(desk, "open", text=text)
    (wrong,) = ask(desk, "open", text=text)["refused"]
    assert f"{MOST_WHEELS} wheels lie on the page" in wrong["says"]


@pytest.mark.parametrize("words", ["17 in", "a band of 17 in", "I have a band of 17 in"])
def test_a_band_at_hand_may_be_asked_for_in_a_sentence(words, tmp_path):
    told = ask(desk_with(PATHS[1], tmp_path), "have", band="second band", have=words)
    truth = wheelgeo.load(PATHS[1]).bands_to_have("second band", "17 in").bands[0]
    (band,) = told["bands"]
    ends = [f"{100 * end.stretch:.1f} %" for end in (truth.at_from, truth.at_to)]
    assert band["stretch"] == " to ".join(dict.fromkeys(ends))
    assert band["says"]


def test_bands_at_hand_are_told_in_the_words_of_the_command(capsys, tmp_path):
    """The right stretch is each material's own, and a place of the slide is nearer or farther."""
    desk, old = Desk(tmp_path), {**OLD, "groove_shape": "round", "slide": "1 in"}
    desk.ask("old", {"measured": old, "unit": "in/64", "open": True})
    have, wheel = "75 in, 78 in loop, round belting", desk.wheels["1"].now
    told = ask(desk, "have", band="drive band", have=have, unit="in/64")
    print_bands_to_have(wheel, wheel.bands_to_have("drive band", have))
    printed = " ".join(capsys.readouterr().out.split())
    assert "polyurethane cord by 5 to 10 %" in told["read"][0]
    assert all(line in printed for line in told["read"])
    assert any("nearer to" in band["tie"] for band in told["bands"])
    assert all(band["tie"] in printed for band in told["bands"])
    assert any(", or cut " in band["says"] for band in told["bands"])
    metric = re.sub(r" \([0-9 .]+ mm\)", "", printed)
    assert all(band["says"] in metric for band in told["bands"])


def test_what_has_no_unit_is_in_the_pages_and_told_so(tmp_path):
    """Of a bare number the unit of the page is told; a file's own unit is nothing to be seen."""
    old = {"wheel": "546.1", "whorl": "34.925", "apart": "17 3/4", "cord": "3 cotton cord"}
    desk = Desk(tmp_path)
    said = desk.ask("old", {"measured": old, "unit": "mm", "open": True})
    assert desk.wheels["1"].now.get("spindle.at.x") == 450.85
    assert {"546.1 mm", "17 3/4 in", "3 mm"} <= {a["taken"] for a in said["assumed"]}
    for unit, have, name in (("mm", "1964", "1964 mm"), ("in/64", "77 1/4", "77 1/4 in"),
                             ("mm", "77 1/4", "77 1/4 in"), ("in/64", "77.2", "77.2 in")):
        (band,) = ask(desk, "have", band="drive band", have=have, unit=unit)["bands"]
        assert band["name"].startswith(name)
        assert band["fits"]


def test_of_an_old_wheel_with_a_ring_the_ring_is_told_and_of_one_with_a_cord_none(tmp_path):
    desk = desk_with(PATHS[1], tmp_path)
    measured = {"wheel": "14 in", "whorl": "1 3/8 in", "apart": "12 in"}
    ring, cord = (ask(desk, "old", measured={**measured, "cord": cord}, unit="in")
                  for cord in ("3.53 mm nitrile ring", "3 mm cotton cord"))  # fmt: skip
    assert ring["take"].startswith("Take a ring ")
    assert " across, inside" in ring["take"]
    assert cord["take"].startswith("Cut the cord ")


OLD = {"wheel": "21 1/2 in", "groove": "1/4 in", "whorl": "1 3/8 in", "whorl_groove": "3/16 in",
       "apart": "17 3/4 in", "cord": "3 mm cotton cord"}  # fmt: skip


@pytest.mark.parametrize(("unit", "long"), [("mm", "30 mm"), ("in/64", "1 3/16 in"),
                                            ("in", "1.181 in")])  # fmt: skip
def test_what_is_assumed_is_told_in_the_unit_of_the_page(unit, long, tmp_path):
    desk = Desk(tmp_path)
    desk.ask("old", {"measured": OLD, "unit": "mm", "open": True})
    told = {a["what"]: a["taken"] for a in ask(desk, "whole", unit=unit)["assumed"]}
    assert told['joint of band "drive band"'] == f"whipped overlap, {long}"


def test_what_a_laid_wheel_does_not_keep_of_its_measurements_is_told(tmp_path):
    desk = Desk(tmp_path)
    told = {**OLD, "fits": "70 in", "fits_as": "loop", "edge_to_edge": "8"}
    said = desk.ask("old", {"measured": told, "unit": "in/64", "open": True})
    assert "rim to rim (8 in) is not kept" in said["unkept"]
    assert "measurements-disagree" in {f.rule for f in desk.wheels["1"].now.check().findings}
    assert not desk.ask("old", {"measured": OLD, "unit": "in/64"})["unkept"]


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({}, "say the shape of the grooves: round"),
        ({"double": "1 1/8 in"}, "goes twice round"),
        ({"slide": "3/4 in"}, "To have the whole slide for growth"),
        ({"driven": "tail"}, '"tail" turns no wheel'),
        ({"edge_to_edge": "8 in"}, "they differ by 1 11/16 in (42.9 mm)"),
        ({"fits": "76 in", "fits_as": "loop"}, "by a band that fits"),
        ({"apart": "177 in"}, "did you mean 17.7 in"),
        ({"apart": "5 in"}, "no band fits what was measured"),
        ({"wheel": "66 in"}, '"key": "wheel"'),
        ({"wheel": "66 in"}, "did you mean 66 in for the girth round the wheel"),
        ({"fits": "76 in"}, "is it joined, or untied?"),
        ({"groove": "", "mouth": "1/2 in"}, "give the depth of the wheel's groove"),
        ({"apart": ""}, "or a band that fits: "),
        ({"whorl_groove": "3/4 in"}, "the depth of the whorl's groove"),
        ({"whorl_groove": "3/4 in"}, "reaches the middle of a rim of 1 3/8 in"),
        ({"girth": "60 in"}, "give the wheel's diameter or the girth in the wheel's groove"),
    ],
)
def test_an_old_wheel_is_told_in_the_words_of_the_command_and_of_no_option(more, says, tmp_path):
    """All that the command knows can be asked, and nobody is told to give an option's name."""
    told = Desk(tmp_path).ask("old", {"measured": {**OLD, **more}, "open": True})
    text = json.dumps(told, ensure_ascii=False).replace('\\"', '"')
    assert says in text
    assert "--" not in text


def test_an_old_wheel_is_kept_with_what_was_assumed_of_it(tmp_path):
    desk = Desk(tmp_path)
    for name in ("Old wheel", "Old wheel 2"):
        desk.ask("old", {"measured": OLD, "open": True})
        assert name in {wheel.now.title for wheel in desk.wheels.values()}
    desk.ask("save", {"wheel": "1", "path": "old"})
    text = (tmp_path / "old.toml").read_text(encoding="utf-8")
    assert "# how the wheel is driven: by a treadle" in text
    assert '# diameter of shaft "axle": 43/64 in (17.1 mm): measure it' in text
    assert 'rim = "21.5 in +- 3 mm"' in text, "as it was typed"
    assert wheelgeo.load(tmp_path / "old.toml").design == wheelgeo.old_wheel(**OLD).wheel.design


def test_how_sure_a_measured_wheel_is_stands_beside_its_numbers(tmp_path):
    desk = Desk(tmp_path)
    desk.ask("old", {"measured": OLD, "open": True})
    answer = wheelgeo.old_wheel(**OLD).wheel.solve()
    assert ask(desk, "show", fit=True)["unit"] == "in/64", "as it was measured, until one is chosen"
    said = ask(desk, "show", fit=True, unit="mm")
    rows = {row["key"]: row["text"] for row in said["numbers"]}
    assert ask(desk, "show", fit=True)["numbers"] == said["numbers"], "it is remembered"
    half = answer.bands[0].cut_length_uncertainty_mm
    assert rows["drive band.cut_with_joint"].endswith(f"± {half:.1f} mm")
    assert rows["ratio"] == f"{answer.ratio:.2f} ± {answer.ratio_uncertainty:.2f}"


MARY = {
    "wheel": "22 +- 1/8 in", "groove": "1/4 in", "whorl": "2 1/2 +- 1/32 in",
    "whorl_groove": "1/4 in", "double": "2 1/8 +- 1/32 in", "apart": "19 1/2 +- 1/8 in",
    "cord": "1/8 in cotton cord", "slide": "1 in", "groove_shape": "round",
}  # fmt: skip
"""A double band as measured with a rule."""


@pytest.fixture
def mary(tmp_path):
    desk = Desk(tmp_path)
    assert "refused" not in desk.ask("old", {"measured": MARY, "open": True})
    return desk


@pytest.mark.parametrize(
    ("question", "put", "said"),
    [
        ("change", {"wheel.rim": "23"}, "diameter of the rim: 23 in ± 1/8 in, was 22 in ± 1/8 in"),
        ("drag", {"pulley:second groove.rim": 584.2}, "23 in ± 1/8 in, was 22 in ± 1/8 in"),
        ("change", {"wheel.rim": "22 +- 1/4"}, "wheel, diameter of the rim: 22 in ± 1/4 in, was 22"
         " in ± 1/8 in; second groove"),
        ("change", {"flyer.at.x": 508.0}, "x: 20 in ± 1/8 in, was 19 1/2 in ± 1/8 in"),
    ],
)  # fmt: skip
def test_a_number_is_as_sure_as_it_was_where_nothing_is_said_of_it(mary, question, put, said):
    before = mary.wheels["1"].now.design
    did = ask(mary, question, put=put, unit="in/64", last=True)["did"]
    now = mary.wheels["1"].now.design
    assert said in did
    assert set(now.uncertainties) == set(before.uncertainties)
    assert now.pulley("wheel").groove == now.pulley("second groove").groove, "one lathe cut both"
    held = ask(mary, "show", unit="in/64")["views"]["side"]["handles"]
    texts = {pull["key"]: pull["text"] for one in held for pull in one["pulls"]}
    rows = {row["key"]: row for row in ask(mary, "whole", unit="in/64")["settable"]}
    assert texts["pulley:wheel.rim"] == rows["wheel.rim"]["text"]
    assert " ± 1/" in rows["wheel.rim"]["text"]
    again = {"wheel.rim": rows["wheel.rim"]["text"]}
    assert ask(mary, "change", put=again, unit="in/64")["did"] == "", "it can be typed"


def test_a_double_band_of_an_old_wheel_is_told_with_its_bobbin_and_without_its_pulls(mary):
    rows = {row["key"]: row["value"] for row in ask(mary, "show", fit=True)["numbers"]}
    wheel, whorl, bobbin = 22 - 0.5 + 0.125, 2.5 - 0.5 + 0.125, 2.125 - 0.5 + 0.125
    # A cord on the bottom of its groove runs with its middle half a cord above it.
    assert rows["bobbin_ratio"] == pytest.approx(wheel / bobbin, rel=1e-3)
    assert rows["bobbin_gain"] == pytest.approx(wheel / bobbin - wheel / whorl, rel=1e-3)
    whole = ask(mary, "whole")
    assert whole["mechanics"] == []
    shapes = {row["key"]: row["value"] for row in whole["settable"] if "groove:" in row["key"]}
    assert set(shapes.values()) == {"worn round"}
    ask(mary, "groove", pulley="wheel", shape="worn round")
    now = mary.wheels["1"].now.design
    assert now.pulley("second groove").groove == now.pulley("wheel").groove
    assert now.pulley("wheel").groove.shape == "worn"


@pytest.mark.parametrize(
    ("put", "said"),
    [
        ({"accelerator.rim": "82 mm"}, "accelerator, diameter of the rim: 82.0 mm, was 75.0 mm"),
        ({"first band.material": "rubber cord"}, "first band, material of the cord: rubber cord"),
        ({"middle.at.x": 3.0, "hub.offset": 20.0}, "middle, place of the shaft, x: 3.0 mm, was "),
        ({"yarn.turns_per_metre": "30 tpi"}, ": 1 181 per m, was 900 per m"),
        ({"accelerator.rim": "75.004 mm"}, "rim: 75.004 mm, was 75.000 mm"),
        ({"accelerator.rim": "1 000.5 mm"}, "rim: 1 000.5 mm, was 75.0 mm"),
        ({"title": "Another"}, "title: Another, was Larkfield box wheel"),
    ],
)
def test_a_step_and_what_takes_it_back_are_said_by_the_name_of_their_number(tmp_path, put, said):
    desk = desk_with(FOUR[0], tmp_path)
    did = ask(desk, "change", put=put)["did"]
    assert said in did
    assert ask(desk, "change", put=put)["did"] == "", "it was so already"
    undone = ask(desk, "undo")["did"]
    name, now, was = re.match(r"(.*?): (.*?), was ([^;]*)", did).groups()
    assert undone.startswith(f"{name}: {was}, was {now}")
    assert ask(desk, "redo")["did"] == did
    assert ask(desk, "undo")["undo"] == 0
    assert ask(desk, "undo")["did"] == ""


def test_a_change_smaller_than_a_thousandth_of_an_inch_is_told_with_more_digits(tmp_path):
    desk = desk_with(FOUR[0], tmp_path)
    ask(desk, "change", put={"whorl.rim": "0.362 in"})
    did = ask(desk, "change", put={"whorl.rim": "9.2 mm"}, unit="in/64")["did"]
    assert did == "whorl, diameter of the rim: 0.3622 in, was 0.3620 in"


def test_what_a_step_set_is_told_before_what_only_followed_from_it(tmp_path):
    desk = desk_with(FOUR[0], tmp_path)
    opened = desk.wheels["1"]
    other = opened.now.put({"main.diameter": "9 mm", "middle.at.x": 170.0, "whorl.rim": "10 mm"})
    for sets, first in (((), "main"), (("whorl.rim",), "whorl"), (("middle.at",), "middle")):
        laid = opened.lay_over(Ghost(other, sets=sets))
        for did in (ask(desk, "take", ghost=laid), ask(desk, "undo"), ask(desk, "redo")):
            assert did["did"].startswith(f"{first}, "), sets
            assert did["did"].endswith("; and 1 more")
        ask(desk, "undo")


def test_what_a_remedy_a_way_and_a_place_set_is_kept_with_them(tmp_path):
    desk = desk_with(FOUR[0], tmp_path)
    ask(desk, "change", put={"whorl.offset": desk.wheels["1"].now.get("whorl.offset") + 9.0})
    opened = desk.wheels["1"]
    finding = next(f for f in opened.checked(opened.now).findings if f.remedy.edits)
    laid = ask(desk, "remedy", rule=finding.rule, where=finding.where, way=0)["ghost"]
    assert opened.ghosts[laid].sets == tuple(edit.key for edit in finding.remedy.ways[0].edits)
    told, answer = ask(desk, "retune", ratio="160"), opened.now.retune(ratio=160.0, most=6)
    laid = {way["number"]: way["ghost"] for way in told["ways"]}
    for number, option in enumerate(answer.options, start=1):
        if laid[number] is not None:
            assert opened.ghosts[laid[number]].sets == tuple(
                c.what for c in (*option.changes, *option.settings)
            )
    rows = ask(desk, "place", band="second band", move="whorl.offset")["rows"]
    placed = [opened.ghosts[row["ghost"]].sets for row in rows if row["ghost"]]
    assert placed
    assert set(placed) == {("whorl.offset",)}


def test_a_travel_that_was_not_there_is_said_in_the_unit_of_the_page(tmp_path):
    desk = desk_with(FOUR[0], tmp_path)
    whole = {"middle.slide": {"along": [1, 0, 0], "from": "-2 mm", "to": "16 mm"}}
    now = desk.wheels["1"].now.put(whole).design
    was = desk.wheels["1"].now.design
    for unit, travel in (("mm", "from -2 to 16 mm"), ("in/64", "from -5/64 to 5/8 in")):
        what = "middle, travel for tensioning: "
        assert step_in_words(was, now, unit) == f"{what}{travel}, was not given"
        assert step_in_words(now, was, unit) == f"{what}not given, was {travel}"


@pytest.mark.parametrize("kind", ["mm", "rpm", "deg", "", "N"])
def test_no_minus_stands_before_a_nought(kind):
    assert "-" not in written(-0.001, kind, "mm")
    assert "-" not in written(-0.0, kind, "in/64")
    assert written(-12.0, kind, "mm").startswith("-12")


def test_a_wheel_whose_band_has_no_path_is_told_as_it_would_be_and_stands_still(tmp_path):
    desk = desk_with(FOUR[0], tmp_path)
    sound = ask(desk, "show")
    assert sound["cannot_run"] == ""
    assert not any(row["would"] for row in sound["numbers"] if "would" in row)
    inside = {"middle.at.x": 268.0, "middle.at.y": 100.0}
    told, whole = ask(desk, "change", put=inside), ask(desk, "whole")
    assert told["cannot_run"].startswith('"first band" has no path')
    assert told["cannot_run"] in told["described"]
    assert "running" not in told["described"]
    would = {row["key"] for row in told["numbers"] if row.get("would")}
    assert {"ratio", "spindle.speed", "drive.turns_per_draw"} <= would
    assert not {key for key in would if key.startswith(("first band", "second band"))}
    rows = {row["key"]: row for row in [*told["numbers"], *whole["mechanics"]]}
    assert rows["ratio"]["name"] == "ratio (if it ran)"
    assert rows["run.second band.margin"]["would"]
    assert "would" not in rows["run.second band.rest"]  # it is stretched, whatever turns
    assert not rows["run.effort"]["would"]  # of what cannot be known nothing is said
    assert not any(view["running"] for view in told["views"].values())
    assert not any(view["marks"] for view in whole["views"].values())
    other = ask(desk, "undo")
    assert other["cannot_run"] == ""
    laid = desk.wheels["1"].lay_over(Ghost(wheelgeo.load(FOUR[0]).put(inside)))
    assert ask(desk, "ghost", ghost=laid)["cannot_run"] == told["cannot_run"]


def test_the_dangers_are_told_of_every_wheel_as_on_its_shop_sheet(tmp_path):
    from wheelgeo.shop.cautions import CARE, DANGERS, cautions

    desk = desk_with(FOUR[1], tmp_path)
    assert ask(desk, "start")["dangers"] == DANGERS
    first, *each = ask(desk, "whole")["cautions"]
    assert first == CARE
    assert tuple(each) == cautions(wheelgeo.load(FOUR[1]).design)
    assert any("flyer's arms" in words for words in each)


def test_each_shipped_design_is_told_by_what_it_is_and_its_ratio(tmp_path):
    told = {one["name"]: one for one in Desk(tmp_path).ask("shipped", {})["designs"]}
    assert set(told) == {path.stem for path in PATHS}
    for path in PATHS:
        assert told[path.stem]["ratio"] == f"{wheelgeo.load(path).get('ratio'):.2f}"
        sentence = told[path.stem]["is"]
        first = " ".join(path.read_text(encoding="utf-8").replace("\n#", "").split())
        assert first.startswith(f"# {sentence}")


def test_on_a_narrow_page_labels_keep_off_the_rims(tmp_path):
    desk, design = desk_with(FOUR[0], tmp_path), wheelgeo.load(FOUR[0]).design
    told = {}
    for which in ("few", "sizes", True):
        views = [{"name": "plan", "capital": 11.0, "labels": which}]  # as on a telephone
        told[which] = ask(desk, "whole", views=views)["views"]["plan"]["labels"]
    few, sizes, every = ({label["text"] for label in labels} for labels in told.values())
    assert few < sizes < every
    assert any("wheel ⌀181.3" in text for text in sizes)
    for name in ("wheel", "accelerator"):
        pulley = design.pulley(name)
        x, y, _ = design.shaft(pulley.shaft).at_mm
        radius = 0.5 * pulley.groove.rim_mm
        for label in told["sizes"]:
            (lx, ly), (w, h) = label["at"], label["size"]
            across, along = abs(lx - x), abs(-ly - y)
            near = math.hypot(max(across - w / 2, 0.0), max(along - h / 2, 0.0))
            far = math.hypot(across + w / 2, along + h / 2)
            assert not near < radius < far, (name, label["text"])
