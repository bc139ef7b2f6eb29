"""The page as a user sees it and works with it, held against the library."""

import re
from pathlib import Path

import pytest

import wheelgeo
from tests.page.conftest import DESIGNS, Served
from tests.page.hands import (
    all_told,
    draw,
    fill,
    handle,
    listen,
    on,
    press,
    ready,
    set_number,
    step,
    told,
    typed,
    until,
)
from wheelgeo.check.told_together import begin_with, told_ways
from wheelgeo.shop.old_wheel_told import old_wheel_told
from wheelgeo.units.written import grouped, in_both, thousands_apart, turned_length


def test_the_page_shows_what_the_library_says(page, served):
    wheel = wheelgeo.load(served.folder / "wheel.toml")
    numbers = told(page)
    assert float(numbers["ratio"]) == wheel.get("ratio")
    assert float(numbers["second band.cut_with_joint"]) == wheel.get("second band.cut_with_joint")
    assert float(numbers["run.effort"]) == wheel.run().load.force_n
    rules = page.execute_script("return document.querySelectorAll('#findings > li').length")
    assert rules == len(wheel.check().findings)


def box(served):
    return wheelgeo.load(served.folder / "wheel.toml")


def test_a_rim_drawn_by_hand_is_what_the_library_then_has(page, served):
    listen(page)
    ring = handle(page, "plan", "pulley:accelerator.rim")
    step(page, lambda: draw(page, ring, 30, -20))
    numbers = told(page)
    rim = float(handle(page, "plan", "pulley:accelerator.rim").get_attribute("aria-valuenow"))
    assert rim > 80.0
    bigger = box(served).put("accelerator.rim", rim)
    for key, value in numbers.items():
        if not key.startswith("run."):
            assert float(value) == pytest.approx(abs(bigger.get(key)), rel=1e-12), key
    assert float(numbers["run.effort"]) == bigger.run().load.force_n
    before = f"{box(served).get('ratio'):.2f}"
    assert before in page.find_element("css selector", "#numbers tr.moved .was").text
    all_that_moved_is_said(page, "accelerator, diameter of the rim: ")
    step(page, lambda: press(page, "#undo"))
    assert float(told(page)["ratio"]) == box(served).get("ratio")
    all_that_moved_is_said(page, "Undone: accelerator, diameter of the rim: 75.0 mm, was ")
    step(page, lambda: press(page, "#redo"))
    assert float(told(page)["ratio"]) == bigger.get("ratio")
    all_that_moved_is_said(page, "Done again: accelerator, diameter of the rim: ")


def all_that_moved_is_said(page, step_taken):
    """Every number that is another one in the table is named at the page's foot, or counted."""
    said = page.execute_script("return window.heard").replace("\u00a0", " ")
    assert said.startswith(step_taken)
    rows = page.find_elements("css selector", "#numbers tr.moved")
    cells = [[cell.text for cell in row.find_elements("css selector", "th, td")] for row in rows]
    assert cells
    told = [f"{name.partition(chr(10))[0]} {now}, was {was}" for name, now, was in cells]
    named = [words for words in told if words in said]
    more = sum(map(int, re.findall(r"and (\d+) more", said)))
    assert len(named) >= min(3, len(cells))
    assert len(named) + more == len(cells), (said, cells)


def sticking_out(page, selector, view="plan"):
    """How many lines are drawn beyond the edge of the picture of a view."""
    return page.execute_script(
        "const edge = document.getElementById(arguments[1]).getBoundingClientRect();"
        "return [...document.querySelectorAll(arguments[0])].filter((line) => {"
        "const box = line.getBoundingClientRect();"
        "return box.width + box.height > 0 && (box.left < edge.left - 2"
        " || box.right > edge.right + 2 || box.top < edge.top - 2"
        " || box.bottom > edge.bottom + 2) }).length", selector, view)


def test_a_shaft_drawn_out_of_the_picture_is_brought_back_when_the_hand_lets_go(page, served):
    ring = page.find_element("css selector", '#plan .handle[data-key^="shaft:main.at"]')
    edge = page.find_element("id", "plan").rect
    far = edge["x"] + edge["width"] - ring.rect["x"]
    step(page, lambda: draw(page, ring, far, 0))
    assert not sticking_out(page, "#plan .lines path")


LETTERED = """const labels = [...document.querySelectorAll("#plan .label")];
return Object.fromEntries(labels.map((label) => {
  const box = label.getBoundingClientRect();
  return [label.textContent, box.x + box.width / 2];
}))"""


def test_names_go_with_a_shaft_that_is_drawn_and_no_distance_stays_that_is_none(page, served):
    from selenium.webdriver import ActionChains

    before = page.execute_script(LETTERED)
    page.execute_script(
        "window.gone = []; new MutationObserver((all) => window.gone.push(...all.filter("
        "({target}) => getComputedStyle(target).visibility === 'hidden')"
        ".map(({target}) => target.textContent))).observe(document.querySelector('#plan .labels'),"
        " {subtree: true, attributeFilter: ['class']})"
    )
    ring = page.find_element("css selector", '#plan .handle[data-key^="shaft:main.at"]')
    hand = ActionChains(page, duration=0).move_to_element(ring).click_and_hold()
    hand.move_by_offset(20, 0).move_by_offset(20, 0).perform()
    until(page, lambda d: d.execute_script(LETTERED)["main"] > before["main"] + 30)
    drawn = page.execute_script(LETTERED)
    assert drawn["main"] == pytest.approx(before["main"] + 40, abs=2)
    assert drawn["spindle"] == before["spindle"]
    assert set(page.execute_script("return window.gone")) == {"135.4 mm"}, "from middle to main"
    step(page, lambda: ActionChains(page, duration=0).release().perform())
    until(page, lambda d: not d.find_elements("css selector", "#plan .untrue"))
    assert sum(text.endswith(" mm") for text in page.execute_script(LETTERED)) == sum(
        text.endswith(" mm") for text in before
    )


def test_a_hand_that_goes_too_far_is_stopped_at_the_limit_and_told_why(page, served):
    ring, why_not = handle(page, "plan", "pulley:hub.rim"), []

    def too_far():
        draw(page, ring, -60, 60)
        stopped = "return document.getElementById('status').textContent.match(/^It stops.*/)?.[0]"
        why_not.append(until(page, lambda d: d.execute_script(stopped)))  # it is soon taken away

    step(page, too_far)
    rim = float(handle(page, "plan", "pulley:hub.rim").get_attribute("aria-valuenow"))
    wheel = box(served)
    wheel.put("hub.rim", rim)
    with pytest.raises(wheelgeo.DesignError) as wrong:
        wheel.put("hub.rim", rim - 0.02)
    why = wrong.value.faults[0].says.rpartition(", ")[2]
    assert why in why_not[0]


def test_what_is_typed_is_read_as_on_the_rule(page, served):
    handle(page, "plan", "pulley:whorl.rim").send_keys("\ue007")
    step(page, lambda: typed(page, "3/8 in"))
    wheel = box(served).put("whorl.rim", "3/8 in")
    assert float(told(page)["ratio"]) == wheel.get("ratio")
    handle(page, "plan", "pulley:whorl.rim").send_keys("\ue007")
    assert "ten" in typed(page, "ten", refused=True)
    page.find_element("css selector", "#typing input").send_keys("\ue00c")
    assert not page.find_elements("id", "typing")


VERDICTS = """window.verdicts = [];
new MutationObserver(() => verdicts.push([document.body.dataset.ready,
  document.getElementById("amiss").textContent, document.getElementById("nothing").textContent]))
  .observe(document.getElementById("wrong"), {childList: true, subtree: true});"""
"""What is said of what is wrong, whenever it is said anew, and which answer was whole by then."""


def test_the_keyboard_alone_moves_what_a_hand_can(page, served):
    page.execute_script(VERDICTS)
    old = page.execute_script("return document.body.dataset.ready")
    step(page, lambda: handle(page, "plan", "drive:radius").send_keys("\ue013"))
    said = page.execute_script("return verdicts")
    assert said[0] == [old, "What is wrong (still being checked)", said[0][2]]
    assert "so far" in said[0][2]
    assert page.find_element("id", "amiss").text == "What is wrong"
    assert "so far" not in page.find_element("id", "nothing").get_attribute("textContent")
    now = float(handle(page, "plan", "drive:radius").get_attribute("aria-valuenow"))
    assert now == box(served).get("drive.radius") + 0.5
    stops = "return document.querySelectorAll('#plan .handle[tabindex=\"0\"]').length"
    ring = handle(page, "plan", "shaft:middle.at.x shaft:middle.at.y")
    for _ in range(30):  # one stop of the tabulator, and from ring to ring within the view
        if page.switch_to.active_element == ring:
            break
        page.switch_to.active_element.send_keys("\ue00e")
    assert page.execute_script(stops) == 1
    step(page, lambda: ring.send_keys("\ue014"))
    x = box(served).get("middle.at.x")
    moved = box(served).put({"drive.radius": now, "middle.at.x": x + 0.5})
    assert float(told(page)["first band.cut_with_joint"]) == moved.get("first band.cut_with_joint")


def test_in_inches_everything_is_in_inches(page, served):
    step(page, lambda: press(page, "[name=unit][value='in/64']"))
    cell = page.find_element("css selector", '[data-key="first band.cut_with_joint"]')
    assert cell.text.endswith(" in")
    drawn = page.execute_script("return document.getElementById('sheet').textContent")
    wrong = page.execute_script("return document.getElementById('findings').textContent")
    assert " mm" not in drawn.replace("Lengths in mm", "").replace(" mm\n", "")
    assert " mm" not in wrong
    handle(page, "plan", "pulley:whorl.rim").send_keys("\ue007")
    step(page, lambda: typed(page, "3/8"))
    assert float(told(page)["ratio"]) == box(served).put("whorl.rim", "3/8 in").get("ratio")
    a_hand_sets_whole_parts_of_an_inch(page, served)
    page.refresh()
    ready(page)
    assert page.find_element("css selector", "[value='in/64']").is_selected(), "it is remembered"
    # Long numbers beside each other break before what is doubtful of them; no name gives way.
    page.execute_script(
        "const row = document.querySelector('#numbers tr.moved'); for (const cell of"
        " row.querySelectorAll('td')) cell.innerHTML = '<span class=whole>160 9/32 in</span>"
        " <span class=whole>± 1 45/64 in</span>'"
    )
    name = page.find_element("css selector", "#numbers th[scope=row]").rect
    assert name["width"] > 7 * 15
    slip, table = page.find_element("id", "what").rect, page.find_element("id", "numbers").rect
    assert table["x"] + table["width"] <= slip["x"] + slip["width"]


def a_hand_sets_whole_parts_of_an_inch(page, served):
    """A rim is told on its label while it is drawn; the arrows go from mark to mark of a rule."""
    from selenium.webdriver import ActionChains

    ring = handle(page, "plan", "pulley:accelerator.rim")
    hand = ActionChains(page, duration=0).move_to_element(ring).click_and_hold()
    hand.move_by_offset(9, -6).move_by_offset(9, -6).perform()
    both = """return [[...document.querySelectorAll("#plan .label.key")]
        .map((one) => one.textContent).find((told) => told.startsWith("accelerator")),
        Number(arguments[0].getAttribute("aria-valuenow"))]"""

    def drawn(_=None):
        label, rim = page.execute_script(both, ring)
        assert label == f"accelerator ⌀{turned_length('in/64')(rim)}"
        return rim if rim != box(served).get("accelerator.rim") else None

    until(page, drawn)
    step(page, lambda: ActionChains(page, duration=0).release().perform())
    ring = handle(page, "plan", "pulley:accelerator.rim")
    marks = drawn() * 64 / 25.4
    assert marks == pytest.approx(round(marks), abs=1e-9)
    ring = handle(page, "plan", "drive:radius")
    step(page, lambda: ring.send_keys("\ue013"))  # from 60 mm, 151.2 marks, to the next
    assert float(handle(page, "plan", "drive:radius").get_attribute("aria-valuenow")) == 60.325


def test_cord_wood_and_groove_are_chosen(page, served):
    listen(page)
    press(page, "#every summary")
    for key, value in (("band:first band.material", "hemp cord"), ("groove:wheel", "round"),
                       ("drive.turns", "counter-clockwise")):  # fmt: skip
        choice = f'[data-key="{key}"] option[value="{value}"]'
        step(page, page.find_element("css selector", choice).click)
    assert "S twist, but Z is wanted" in page.find_element("id", "twist").text
    assert ": counter-clockwise, was clockwise" in page.execute_script("return window.heard")
    assert "new: 1 fault" in page.execute_script("return window.heard")
    assert page.find_elements("css selector", "#findings li.fault, #findings li.warning")
    step(page, lambda: press(page, "#undo"))
    assert served.ask("show", wheel="1")["undo"] == 2
    assert "Z twist" in page.find_element("id", "twist").text


def test_a_remedy_is_tried_as_a_ghost_and_taken(page, served):
    offset = box(served).get("whorl.offset") + 9.0
    body = {"wheel": "1", "put": {"whorl.offset": offset}}
    served.ask("change", **body)
    bent = box(served).put("whorl.offset", offset)
    every = bent.check().findings
    found, ways = next((f, w) for f, w in zip(every, told_ways(every, look=True), strict=True)
                       if f.remedy.edits)  # fmt: skip
    listed = "return document.getElementById('findings').textContent"
    until(page, lambda d: all(way.says in d.execute_script(listed) for way in ways))
    assert found.says in page.execute_script(listed)
    assert page.find_elements("css selector", "#plan .mark.warning")
    for end in ("#leave", "#take"):
        button = page.find_element("css selector", "#findings li.warning button")
        name = button.get_attribute("aria-label")
        assert name.startswith(button.text)
        page.execute_script(
            "arguments[0].closest('li').dispatchEvent(new PointerEvent('pointerenter'))", button
        )
        assert page.find_elements("css selector", "#plan .pointed")
        button.send_keys("\ue007")
        until(page, lambda d: d.find_elements("css selector", "#plan .ghost path"))
        assert not page.find_elements("css selector", "#plan .pointed"), "it is spoken of no more"
        if end == "#leave":
            press(page, end)
            assert page.switch_to.active_element.get_attribute("aria-label") == name
    step(page, lambda: press(page, "#take"))
    mended = found.remedy.apply()
    assert float(told(page)["ratio"]) == mended.get("ratio")
    shown = page.execute_script("return document.querySelectorAll('#findings > li').length")
    assert shown == len(mended.check().findings)


def test_a_wheel_that_cannot_run_says_so_before_any_number_and_none_is_bold(page, served):
    listen(page)
    step(page, lambda: set_number(page, "middle.at.x", "268 mm"))
    cannot = page.find_element("id", "cannot")
    assert cannot.text.startswith('"first band" has no path')
    assert cannot.rect["y"] < page.find_element("id", "twist").rect["y"]
    step(page, lambda: set_number(page, "whorl.rim", "10 mm"))
    assert "ratio (if it ran)" in page.find_element("css selector", "#numbers tr.moved").text
    weights = (
        "return [...document.querySelectorAll('#numbers tr.would td')].map((cell) =>"
        " getComputedStyle(cell).fontWeight)"
    )
    assert set(page.execute_script(weights)) == {"400"}
    step(page, lambda: press(page, "#undo"))
    step(page, lambda: press(page, "#undo"))
    assert cannot.text == ""
    step(page, lambda: press(page, "#redo"))
    said = page.execute_script("return window.heard")
    assert re.search(r'"first band" has no path.*; second band, to cut.*new: \d faults?', said)
    assert said.count("new: ") == 1, "it is counted once, when all of it is known"


def test_a_finer_yarn_is_asked_for_and_a_way_taken(page, served):
    fill(page, "retune", count="80")
    refused = until(page, lambda d: d.find_element("css selector", "#retune .refused"))
    blank = page.find_element("css selector", "#retune [name=count]")
    assert "no known unit of count" in refused.text
    assert blank.get_attribute("aria-invalid") == "true"
    assert blank.get_attribute("aria-describedby") == refused.get_attribute("id")
    press(page, "#retune .refused button")  # 80 Nm, as this wheel's yarn
    until(page, lambda d: d.find_elements("css selector", "#said ol button"))
    assert blank.get_attribute("value") == "80 Nm"
    assert not page.find_elements("css selector", "#retune .refused, #retune [aria-invalid]")
    assert on(page) == page.find_element("css selector", "#said h3").text
    names = [b.text for b in page.find_elements("css selector", "#said [aria-pressed]")]
    assert len(set(names)) == len(names) > 1
    for end in ("#leave", "#take"):
        page.find_element("css selector", "[data-ghost='way 1']").send_keys("\ue007")
        until(page, lambda d: d.find_elements("css selector", "#plan .ghost path"))
        assert on(page) == "take"
        if end == "#leave":
            press(page, end)
            until(page, lambda d: on(d) == "Lay way 1 over")  # back where it was laid over from
    # on paper stands what is laid over it
    assert page.find_element("id", "over-it").get_attribute("textContent").endswith(
        page.find_element("id", "ghost-says").text
    )
    # all that is told of a wheel is told of the one laid over
    all_told(page)
    best = box(served).retune(count="80 Nm").options[0].wheel
    assert float(told(page)["run.effort"]) == best.run().load.force_n
    finer = 900.0 * (80.0 / 44.0) ** 0.5  # the twist factor is kept
    assert f"{grouped(finer)} turns per metre" in page.find_element("id", "twist").text
    listed = page.execute_script("return document.querySelectorAll('#findings > li').length")
    assert listed == len(best.check().findings)
    step(page, lambda: press(page, "#take"))
    assert on(page) == "does"
    assert float(told(page)["ratio"]) == best.get("ratio")
    assert page.find_element("css selector", "#said button").text == "Ask again"
    press(page, "#said button")
    until(page, lambda d: d.find_elements("css selector", "[data-ghost='way a']"))
    # a wheel that changes is no longer the one that something was laid over
    press(page, "[data-ghost='way a']")
    until(page, lambda d: d.find_element("id", "ghosting").is_displayed())
    step(page, lambda: press(page, "#undo"))
    assert not page.find_element("id", "ghosting").is_displayed()
    assert page.find_element("id", "beside").get_attribute("textContent") == "before"
    assert not page.find_elements("css selector", "#said [data-ghost]")


def test_the_ways_are_counted_by_what_becomes_of_them(page, served):
    fill(page, "retune", ratio="200")
    until(page, lambda d: d.find_elements("css selector", "#said [data-ghost='way 1']"))
    answer = box(served).retune(ratio=200.0)
    ways = [way for way in answer.options if not answer.pathless(way)]
    faulty = sum(bool(way.faults) for way in ways)
    warned = sum(bool(way.warnings) and not way.faults for way in ways)
    kinds = {"sound": len(ways) - faulty - warned, "with a warning": warned,
             "that cannot be built so": faulty}  # fmt: skip
    told = ", ".join(f"{n} {kind}" for kind, n in kinds.items() if n)
    head = page.find_element("css selector", "#said h3").text
    assert head.endswith(f"to change the wheel: {told}"), (head, told)


def test_a_yarn_that_the_file_does_not_tell_is_asked_for_in_its_place(opened, served):
    text = (DESIGNS / "box-wheel.toml").read_text()
    bare = re.sub(r"(?ms)^\[yarn\].*?(?=^\[)", "", text).replace("Larkfield", "Bare")
    served.ask("open", text=bare)
    page = opened()
    step(page, lambda: press(page, "#tags button:last-child"))
    fill(page, "retune", count="80 Nm")
    until(page, lambda d: on(d) == "yarn.count")
    assert "no [yarn]" in page.find_element("css selector", "#retune .refused").text
    for name, words in (("count", "44"), ("fibre", "cotton"), ("twist", "Z")):
        page.find_element("css selector", f"#retune [name='yarn.{name}']").send_keys(words)
    press(page, ".untold button")
    count = page.find_element("css selector", "#retune [name='yarn.count']")
    until(page, lambda _: count.get_attribute("aria-invalid") == "true")
    step(page, lambda: count.send_keys(" Nm\ue007"))
    until(page, lambda d: d.find_elements("css selector", "#said ol button"))
    assert not page.find_elements("css selector", "#retune .untold, #retune .refused")
    fill(page, "retune", count="", ratio="99")
    until(page, lambda d: "Ratio wanted" in d.find_element("id", "said").text)
    assert ": 99.00;" in page.find_element("id", "said").text


HOLD_UP = """
const asked = window.fetch;
window.fetch = (...all) => {
  if (!String(all[0]).endsWith('retune')) return asked(...all);
  window.fetch = asked;
  return asked(...all).then((reply) => new Promise((go) => { window.come = () => go(reply); }));
};"""
"""The answer to the next question of another yarn is shown when it is let come."""


def test_the_newest_question_wins_and_an_older_answer_is_never_shown(page, served):
    page.execute_script(HOLD_UP)
    fill(page, "retune", count="12 Nm")
    said = page.find_element("id", "said")
    assert said.text == "Looking for an answer: what must change for 12 Nm …"
    until(page, lambda d: d.execute_script("return Boolean(window.come)"))
    fill(page, "retune", count="15 Nm")
    until(page, lambda _: "singles of 15 Nm" in said.text)
    page.execute_async_script("come(); setTimeout(arguments[0], 200);")
    assert "singles of 15 Nm" in said.text
    assert not page.find_elements("css selector", "#ask [aria-busy], #ask .refused")


def test_bands_at_hand_and_a_true_run_are_asked_for(page, served):
    fill(page, "have", band="second band", have="435 mm, 17 in")
    until(page, lambda d: d.find_elements("css selector", "#said h3"))
    answer = box(served).bands_to_have("second band", "435 mm, 17 in")
    fit = sum(band.fits for band in answer.bands)
    head = ("None of 2 bands fits", "1 of 2 bands fits", "Both bands fit")[fit]
    assert page.find_element("css selector", "#said h3").text == head
    said = page.find_element("id", "said").text
    assert all(thousands_apart(band.says) in said for band in answer.bands)
    fill(page, "place", band="second band", move="whorl.offset")
    until(page, lambda d: "stays on" in d.find_element("id", "said").text)
    press(page, "#said ol button")
    until(page, lambda d: d.find_elements("css selector", "#plan .ghost path"))
    step(page, lambda: press(page, "#take"))
    row = next(r for r in box(served).place("second band", "whorl.offset").rows if r.helps)
    name = "second band.cut_with_joint"
    assert float(told(page)[name]) == row.wheel.get(name)


def what_no_wheel_has_is_minded_above_the_cut(page):
    """The cut is folded away until that is answered."""
    assert page.find_element("id", "old-cut").is_displayed()
    blank = page.find_element("css selector", "#old [name=apart]")
    blank.clear()
    blank.send_keys("177 in")
    press(page, "#old button")
    until(page, lambda d: d.find_element("css selector", "#old-said p").text.startswith("Mind: "))
    assert not page.find_element("id", "old-cut").is_displayed()
    press(page, "#old-said .doubted summary")
    assert page.find_element("id", "old-cut").is_displayed()


def test_a_band_that_fits_is_explained_beside_its_blank_refused_or_not(page, served):
    press(page, "#old-begin")
    press(page, "#old-more summary")
    blank = page.find_element("css selector", "#old [name=fits]")
    means = page.find_element("id", blank.get_attribute("aria-describedby"))
    assert means.is_displayed()
    assert "twice from fold to fold" in means.text
    blank.send_keys("18.1/2 loop")
    press(page, "#old button")
    until(page, lambda _: blank.get_attribute("aria-invalid"))
    said = [page.find_element("id", one) for one in blank.get_attribute("aria-describedby").split()]
    assert said[0] == means
    assert 'did you mean "18 1/2 in"?' in said[1].text
    blank.send_keys("x")
    until(page, lambda _: blank.get_attribute("aria-invalid") is None)
    assert blank.get_attribute("aria-describedby") == means.get_attribute("id")
    blank.clear()  # what was typed is kept for whoever comes after


def test_from_nothing_to_a_band_for_an_old_wheel(page, served):
    press(page, "#old-begin")
    measured = {
        "wheel": "21 1/2 +- 1/8 in", "groove": "1/4 in", "whorl": "1 3/8 in",
        "whorl_groove": "3/16 in", "apart": "17 3/4 in", "cord": "3 mm cotton cord",
    }  # fmt: skip
    for name, words in {**measured, "apart": "far", "cord": ""}.items():
        page.find_element("css selector", f"#old [name={name}]").send_keys(words)
    press(page, "#old button")
    wrong = "#old [name=apart][aria-invalid], #old [name=cord][aria-invalid]"
    until(page, lambda d: d.find_elements("css selector", wrong)[1:])
    at_fault = page.find_elements("css selector", wrong)
    assert on(page) == "apart"
    for blank in at_fault:
        blank.clear()
        blank.send_keys(measured[blank.get_attribute("name")])
    assert not page.find_elements("css selector", "#old .refused")
    press(page, "#old button")
    found = wheelgeo.old_wheel(**measured)
    shown = old_wheel_told(found, lambda mm: in_both(mm, "in"))
    assert until(page, lambda d: d.find_elements("id", "old-cut"))[0].text == shown.take
    paper = page.find_element("id", "old-said")
    for text in (*shown.cut, *shown.then):  # the command's own words, but for its options
        assert "--" in text or text in paper.text
    assert page.switch_to.active_element == paper
    what_no_wheel_has_is_minded_above_the_cut(page)
    # Another size makes the answer an old one, and a length without a unit is told in which.
    blank = page.find_element("css selector", "#old [name=apart]")
    blank.clear()
    blank.send_keys("17 1/2\t")
    assert page.find_element("id", "old-stale").is_displayed()
    read = page.find_element("css selector", "li:has([name=apart]) .read")
    until(page, lambda _: read.text == "taken as 17 1/2 in")
    page.refresh()  # what was filled in is not lost
    ready(page)
    blank = page.find_element("css selector", "#old [name=apart]")
    assert blank.get_attribute("value") == "17 1/2"
    blank.clear()
    blank.send_keys(measured["apart"])
    step(page, lambda: press(page, "#old-open"))
    assert not page.find_element("id", "old-open").is_displayed()
    assert page.execute_script("return sessionStorage.length") == 0, "it lies on the board"
    assert page.execute_script("return document.querySelector('#strip [name=unit]:checked').value"
                               ) == "in/64"  # fmt: skip
    assert page.find_element("css selector", "#numbers td[data-key=ratio]").text == (
        f"{found.answer.ratio:.2f} ± {found.answer.ratio_uncertainty:.2f}"
    )
    assert page.find_element("id", "title").text == "Old wheel"
    assert len(page.find_elements("css selector", "#tags button")) >= 2
    other = "Larkfield box wheel"
    fill(page, "over", other="1")
    until(page, lambda d: d.find_elements("css selector", "#plan .ghost path"))
    assert page.find_element("id", "ghost-says").text == other
    assert on(page) == "leave"  # it is compared: it lies on the board already
    assert not page.find_element("id", "take").is_displayed()
    assert not sticking_out(page, "#plan .lines path, #plan .ghost path")
    fill(page, "make", folder="set")  # and the set is written where the user says
    until(page, lambda d: "Open band_cards.pdf" in d.find_element("id", "making").text, 120.0)
    listed = page.find_elements("css selector", "#made:not([open]) li")
    written = {path.name for path in (served.folder / "set").iterdir()}
    assert len(listed) == len(written) - 1 == len(written - {"index.json"})


@pytest.fixture
def beside(opened, served):
    """Lay another wheel on the board, and it over the first one; return the page and its number."""

    def do(text, *size, **kind):
        other = served.ask("open", text=text)["wheel"]
        page = opened(*size, **kind)
        fill(page, "over", other=other)
        until(page, lambda d: d.find_element("id", "ghosting").is_displayed())
        return page, other

    return do


@pytest.mark.parametrize("wide", [390, 1500])
def test_a_larger_case_is_laid_over_in_dashes_on_every_width(beside, wide):
    text = (DESIGNS / "box-wheel.toml").read_text().replace("Larkfield", f"Larger {wide}")
    text = text.replace("inside = [388, 190, 70]", "inside = [420, 230, 90]")
    page, _ = beside(text, wide, 900, mobile=wide < 800)
    until(page, lambda d: d.find_elements("css selector", "#turned .ghost path"))
    styles = page.execute_script(
        "return [...document.querySelectorAll('.view .ghost path')].map((line) =>"
        " [line.closest('svg').id, line.getAttribute('class'),"
        " getComputedStyle(line).strokeDasharray, getComputedStyle(line).stroke])"
    )
    assert {view for view, *_ in styles} == {"plan", "side", "turned"}
    assert {kind for _, kind, *_ in styles} == {"case"}, "all else is the same in both"
    assert {dashes for *_, dashes, _ in styles} == {"7px, 3px"}
    assert len({colour for *_, colour in styles}) == 1


def test_what_is_laid_over_turns_with_the_wheel_and_no_turn_leaves_the_paper(
    served, beside
):
    page, other = beside((DESIGNS / "floor-wheel.toml").read_text())
    until(page, lambda d: d.find_elements("css selector", "#turned .ghost path"))
    spun = page.find_element("id", "turned")
    name = served.ask("over", wheel="1", other=other)["ghost"]
    drawn = (
        "return [...document.querySelectorAll('#turned .ghost path')].map((line) =>"
        " line.getAttribute('d'))"
    )
    for turn in (60, 105, 150, 195, 240):  # from 30, in steps of 5 degrees
        spun.send_keys("\ue012" * ((turn - 30) // 5 - (0 if turn == 60 else (turn - 75) // 5)))
        view = {"name": "turned", "capital": 5.0, "turn": turn, "tilt": 28}
        told = served.ask("ghost", wheel="1", ghost=name, views=[view])["views"]["turned"]
        lines = {line[3] for line in told["lines"]}
        until(page, lambda d, lines=lines: lines <= set(d.execute_script(drawn)))
        shift = page.execute_script(
            "return document.querySelector('#turned .ghost').getAttribute('transform')"
        )
        assert shift == "translate({:g} {:g})".format(*told["shift"])
        assert not sticking_out(page, "#turned .lines path, #turned .ghost path", "turned"), turn
    press(page, "#leave")
    until(page, lambda d: not sticking_out(d, "#turned .lines path", "turned"))


def test_under_a_blank_stands_what_was_used_and_nothing_of_what_was_refused_or_changed(page):
    from selenium.webdriver.support.expected_conditions import staleness_of

    page.execute_script("sessionStorage.clear()")
    press(page, "#old-begin")
    press(page, "#old [name=bare][value='in/64']")
    filled = {"wheel": "18 1/2", "whorl": "2 1/4", "apart": "16 1/4", "cord": "3 mm cotton cord"}
    blanks = {name: page.find_element("css selector", f"#old [name={name}]") for name in filled}
    reads = {n: page.find_element("css selector", f"li:has([name={n}]) .read") for n in filled}
    for name, words in filled.items():
        blanks[name].send_keys(words)
    press(page, "#old button")
    until(page, lambda d: d.find_elements("id", "old-cut"))
    until(page, lambda _: reads["wheel"].text == "taken as 18 1/2 in")
    wheel = blanks["wheel"]
    for words, taken in (("470 mm", ""), ("19 1/2", "taken as 19 1/2 in")):
        wheel.send_keys("\ue009a\ue000", words)  # all of it chosen, and typed over
        assert not reads["wheel"].text
        before = page.find_element("id", "old-cut")
        wheel.send_keys("\ue007")
        until(page, staleness_of(before))
        until(page, lambda _, taken=taken: reads["wheel"].text == taken)
        assert page.find_element("id", "old-stale").get_attribute("hidden")
    wheel.send_keys("\ue009a\ue000", "wide\ue007")
    until(page, lambda d: d.find_elements("css selector", "#old [name=wheel][aria-invalid]"))
    assert not reads["wheel"].text
    until(page, lambda _: reads["apart"].text == "taken as 16 1/4 in")
    # What is read well by itself may be refused beside the others.
    wheel.send_keys("\ue009a\ue000", "18 1/2\t")
    until(page, lambda _: reads["wheel"].text == "taken as 18 1/2 in")
    page.execute_script("document.getElementById('old-more').open = true")
    page.find_element("css selector", "#old [name=girth]").send_keys("58\ue007")
    refused = "#old [name=wheel][aria-invalid]"
    until(page, lambda d: d.find_elements("css selector", refused))
    assert not reads["wheel"].text
    page.execute_script("sessionStorage.clear()")


def test_whole_numbers_beside_an_eighth_are_inches_where_a_wheel_may_be_so_wide(page):
    page.execute_script("sessionStorage.clear()")  # what another test filled in
    press(page, "#old-begin")
    wheel, apart = (page.find_element("css selector", f"#old [name={name}]")
                    for name in ("wheel", "apart"))  # fmt: skip
    chosen = "return document.querySelector('#old [name=bare]:checked').value"
    wheel.send_keys("68\t")  # over 1700 mm: common practice, no source
    apart.send_keys("17 3/4\t")
    assert page.execute_script(chosen) == "mm"
    wheel.clear()
    wheel.send_keys("67\t")
    assert page.execute_script(chosen) == "in/64"
    page.execute_script("sessionStorage.clear()")


@pytest.mark.parametrize("wide", [390, 335])
def test_no_slip_to_type_on_runs_under_a_scroll_bar_or_the_ledge_at_the_foot(opened, wide):
    page = opened(wide, 780)
    # What a number was before a step stands beside it.
    handle(page, "plan", "pulley:whorl.rim").send_keys("\ue007")
    step(page, lambda: typed(page, "3/8 in"))
    root = page.find_element("tag name", "html")
    assert page.execute_script("return innerWidth - arguments[0].clientWidth", root) > 0
    for ring in page.find_elements("css selector", "#plan .handle, #side .handle"):
        ring.send_keys("\ue007")
        left, right, low = page.execute_script(
            "const slip = document.getElementById('typing').getBoundingClientRect();"
            "return [slip.left, document.documentElement.clientWidth - slip.right,"
            " document.getElementById('foot').getBoundingClientRect().top - slip.bottom]"
        )
        assert min(left, right, low) >= 0.0, ring.get_attribute("data-key")
        wider = "return arguments[0].scrollWidth - arguments[0].clientWidth"
        assert page.execute_script(wider, root) <= 0
        press(page, "#typing .off")


LEDGE = (
    "const foot = document.getElementById('foot').getBoundingClientRect(),"
    " said = document.getElementById('status'), words = document.createRange(),"
    " on = document.activeElement.getBoundingClientRect(); words.selectNodeContents(said);"
    "return {before: words.getBoundingClientRect().top - foot.top,"
    " lost: said.scrollHeight - said.clientHeight, high: foot.height / innerHeight,"
    " free: foot.top - on.bottom}"
)
"""Of the ledge: room before its first line, lines not seen, its height, and what is above it."""


@pytest.mark.parametrize(("wide", "high"), [(1400, 757), (390, 780)])
def test_what_a_step_did_is_read_whole_and_covers_nothing_that_has_focus(opened, wide, high):
    page = opened(wide, high)
    handle(page, "plan", "shaft:middle.at.x shaft:middle.at.y").send_keys("\ue007")
    x, y = page.find_elements("css selector", "#typing input")
    for field, words in ((x, "268 mm"), (y, "100 mm\ue007")):
        field.clear()
        field.send_keys(words)
    until(page, lambda d: "more." in d.find_element("id", "status").text)
    told = until(page, lambda d: (at := d.execute_script(LEDGE))["lost"] <= 0 and at)
    assert told["before"] >= 0, "it is read from its beginning"
    long = "document.getElementById('status').textContent = 'What is very long. '.repeat(200)"
    for selector in ("#print", "#from-link button"):
        page.execute_script("document.getElementById('status').textContent = ''")
        until(page, lambda d: d.execute_script(LEDGE)["high"] < 0.1)
        on_it = page.find_element("css selector", selector)
        page.execute_script("arguments[0].scrollIntoView({block: 'end'})", on_it)
        page.execute_script("arguments[0].focus()", on_it)
        page.execute_script(long)
        until(page, lambda d: d.execute_script(LEDGE)["high"] > 0.2)
        told = until(page, lambda d: (at := d.execute_script(LEDGE))["free"] >= 0 and at)
        assert told["before"] >= 0
        assert told["high"] < 0.34, "it leaves two thirds of the window"


HURRIED = """const wait = window.setTimeout, ask = window.fetch;
window.setTimeout = (work, ms) => wait(work, ms < 500 ? 3 * ms : ms / 5);
window.fetch = (...words) => new Promise((done) => wait(done, words[0] === "ask/save" ? 0 : 2000))
  .then(() => ask(...words));"""
"""A save is answered before, and what is drawn after it long after, one is told to wait; what is
told for a time is told for a fifth of it."""


def test_what_a_save_did_stays_told_until_something_else_is_done(chromium, tmp_path):
    own = Served(DESIGNS / "box-wheel.toml", folder=tmp_path)
    try:
        chromium.get(own.address)
        ready(chromium)
        status, beside = (chromium.find_element("id", name) for name in ("status", "kept"))
        chromium.execute_script(HURRIED)
        chromium.find_element("css selector", "#save [name=path]").send_keys("five.toml\ue007")
        words = "Kept in five.toml"
        until(chromium, lambda _: beside.text)
        for _ in range(20):  # longer than what is told for a time
            assert (status.text, beside.text) == (words, words)
            chromium.execute_async_script("setTimeout(arguments[0], 1000)")
        handle(chromium, "plan", "pulley:whorl.rim").send_keys("\ue007")
        step(chromium, lambda: typed(chromium, "10 mm"))
        assert "Kept" not in status.text + beside.text, "it is another wheel now"
    finally:
        chromium.get("about:blank")
        own.stop()


NOTE = """const top = () => document.getElementById('disk').getBoundingClientRect().top;
const first = document.getElementById('jumps').getBoundingClientRect();
const free = first.top + scrollY - document.getElementById('disk').offsetHeight;
scrollTo(0, document.body.scrollHeight);
return [scrollY, top(), free];"""
"""At the end of the page: how far that is, where the note is, and the room below it at the top."""


def test_a_file_is_kept_with_its_comments_and_seen_when_an_editor_changes_it(
    page, served, sized
):
    handle(page, "plan", "pulley:whorl.rim").send_keys("\ue007")
    step(page, lambda: typed(page, "10 mm"))
    strip = page.execute_script("return document.getElementById('status').textContent")
    spindle = re.search(r"spindle (.*?), was", strip)[1]
    assert spindle.endswith("rpm")
    assert " " not in spindle, "no line ends within a number, or between it and its unit"
    press(page, "#save button")
    path = served.folder / "wheel.toml"
    until(page, lambda _: "rim = 10," in path.read_text())
    text = path.read_text()
    assert text.count("#") == (DESIGNS / "box-wheel.toml").read_text().count("#")
    rim = wheelgeo.load(path).get("accelerator.rim")
    path.write_text(text.replace(f"rim = {rim:g},", f"rim = {rim + 1:g},"))
    until(page, lambda d: told(d)["ratio"] == repr(wheelgeo.load(path).get("ratio")))
    all_told(page)
    handle(page, "plan", "pulley:whorl.rim").send_keys("\ue007")
    step(page, lambda: typed(page, "11 mm"))
    path.rename(path.with_suffix(".old"))  # as editors do that write a file anew
    until(page, lambda d: "no longer there" in d.find_element("id", "disk").text)
    path.write_text(text.replace(f"rim = {rim:g},", f"rim = {rim + 2:g},"))
    until(page, lambda d: d.find_elements("css selector", "#disk button"))
    at = page.execute_script("const at = document.getElementById('disk').getBoundingClientRect();"
                             "return [at.top, at.bottom]")  # fmt: skip
    edge = page.find_element("id", "foot").rect["y"] - page.execute_script("return scrollY")
    assert 0 < at[0] < at[1] < edge, "the choice stands in view, wherever one is on the page"
    sized(400, 800)
    until(page, lambda d: d.execute_script(NOTE)[2] >= 0)
    down, top, _ = page.execute_script(NOTE)
    assert down > 800
    assert top == 0, "in a narrow window too"
    sized(1500, 1000)
    ring = handle(page, "plan", "pulley:accelerator.rim")
    assert float(ring.get_attribute("aria-valuenow")) == rim + 1
    press(page, "#disk button")
    until(page, lambda d: told(d)["ratio"] == repr(wheelgeo.load(path).get("ratio")))
    path.write_text((DESIGNS / "box-wheel.toml").read_text())
    until(page, lambda d: told(d)["ratio"] == repr(box(served).get("ratio")))


def test_a_link_holds_the_whole_wheel(page, served):
    press(page, "#link button")
    link = until(page, lambda d: d.find_element("id", "linked").get_attribute("value"))
    page.get("about:blank")
    page.get(link)
    ready(page)
    assert float(told(page)["ratio"]) == box(served).get("ratio")
    # the same wheel lies there already, and serves
    assert page.find_element("id", "file").text == "wheel.toml"
    # what is changed then is no longer the link's, and is there when the page is loaded again
    step(page, lambda: handle(page, "plan", "drive:radius").send_keys("\ue013"))
    assert "wheel=" not in page.current_url
    assert not page.find_element("id", "linked").get_attribute("value")
    page.refresh()
    ready(page)
    drawn = float(handle(page, "plan", "drive:radius").get_attribute("aria-valuenow"))
    assert drawn == box(served).get("drive.radius") + 0.5
    # of another program, under another key, the link is pasted: the wheel of the link comes back
    step(page, lambda: fill(page, "from-link", link=link.replace(served.key, "K" * 22)))
    assert float(told(page)["run.effort"]) == box(served).run().load.force_n
    until(page, lambda d: on(d) == "title")
    tags = [tag.text for tag in page.find_elements("css selector", "#tags button")]
    assert len(set(tags)) == len(tags) > 1
    kept_in = page.find_element("css selector", "#save input")
    kept_in.send_keys("mine.toml")
    step(page, lambda: press(page, "#tags button:first-child"))
    assert kept_in.get_attribute("value") == "", "no wheel is kept under the name of another"
    step(page, lambda: press(page, "#tags button:last-child"))
    assert kept_in.get_attribute("value") == "mine.toml"
    assert page.find_element("css selector", "#tags [aria-current]").text == tags[-1]
    page.refresh()
    ready(page)
    assert page.find_element("css selector", "#tags [aria-current]").text == tags[-1]
    page.get("about:blank")


def test_it_turns_and_stands_still(page, served):
    drawn = "return document.querySelector('#turned .lines').innerHTML"
    before = page.execute_script(drawn)
    page.find_element("id", "turned").send_keys("\ue014")
    until(page, lambda d: d.execute_script(drawn) != before)
    runs = "return getComputedStyle(document.querySelector('#plan .running')).animationName"
    assert page.execute_script(runs) == "none", "whoever asks for less motion has none"
    features = [{"name": "prefers-reduced-motion", "value": "no-preference"}]
    page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})
    assert page.execute_script(runs) == "run"
    step(page, lambda: press(page, "[value=back]"))
    turned = page.find_element("id", "twist").text
    assert "S twist" in turned
    assert turned in page.find_element("id", "described").get_attribute("textContent")
    until(page, lambda d: d.find_element("id", "status").text == turned)
    step(page, lambda: press(page, "[value=still]"))
    assert page.execute_script(runs) == "none"
    page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    path = "return document.querySelector('#plan .running').getAttribute('d')"
    forwards = page.execute_script(path)
    step(page, lambda: press(page, "[value=back]"))
    assert page.execute_script(path) != forwards


def test_names_from_a_file_are_text(opened, served):
    title = '<img src=x onerror="window.bad=1"><script>window.bad=1</script>'
    text = (DESIGNS / "box-wheel.toml").read_text().replace('"Larkfield box wheel"', f"'{title}'")
    text = text.replace('"whorl"', "'<b onclick=alert(1)>whorl'")
    served.ask("open", text=text)
    page = opened()
    step(page, lambda: press(page, "#tags button:last-child"))
    assert page.find_element("id", "title").text == title
    assert page.execute_script("return window.bad") is None
    assert not page.find_elements("css selector", "#board b, #board img, #board script")


ROOM = """const high = (what) => [...document.querySelectorAll(what)]
  .map((one) => one.getBoundingClientRect().height);
const wide = [document.documentElement, ...document.querySelectorAll("#foot p, .slip")];
const most = (what) => Math.max(...high(what));
return { title: most("#title"), tags: most("#tags button"), foot: most("#foot"),
  rows: most("#numbers tr, #results tr, #rows h3"), findings: most("#findings li"),
  over: wide.filter((one) => one.scrollWidth > one.clientWidth).map((one) => one.id) };"""


def test_long_names_from_a_file_fill_no_page(opened, served, sized):
    text = (DESIGNS / "box-wheel.toml").read_text()
    long = {"Larkfield box wheel": "W" * 2500 + " and words" * 250, "second band": "A band " * 150,
            "wheel": "Drive wheel " * 100, "main": "mainshaft" * 100}  # fmt: skip
    for short, name in long.items():
        text = text.replace(f'"{short}"', f'"{name.strip()}"')
    other = served.ask("open", text=text)["wheel"]
    page = opened()
    step(page, lambda: press(page, "#tags button:last-child"))
    press(page, "#every summary")
    page.execute_script("document.getElementById('results').open = true")
    ring = handle(page, "plan", f"pulley:{long['wheel'].strip()}.rim")
    ring.send_keys("\ue007")
    step(page, lambda: typed(page, "185 mm"))
    for wide in (1280, 390):
        sized(wide, 844)
        room = page.execute_script(ROOM)
        assert room["title"] < 90
        assert room["tags"] < 60
        assert room["rows"] < 130
        assert room["findings"] < 400
        assert room["foot"] < 844 / 3
        assert not room["over"]
    title, whole = page.find_element("id", "title"), long["Larkfield box wheel"]
    assert title.get_attribute("title") == title.get_attribute("textContent") == whole
    assert len(page.title) < 60
    said = page.execute_script("return document.getElementById('status').textContent")
    assert long["wheel"].strip() in said, "it is whole to who listens"
    served.ask("away", wheel=other, anyway=True)


def test_a_hand_that_thinks_better_of_it_changes_nothing(page, served):
    from selenium.webdriver import ActionChains

    value = (
        "return document.querySelector('#plan .handle[data-key=\"pulley:accelerator.rim\"]')"
        ".getAttribute('aria-valuenow')"
    )
    before = page.execute_script(value)
    ring = handle(page, "plan", "pulley:accelerator.rim")
    hand = ActionChains(page, duration=0).move_to_element(ring).click_and_hold()
    hand.move_by_offset(10, -8).move_by_offset(10, -8).perform()
    until(page, lambda d: d.execute_script(value) != before)

    def effort_is_told(driver):
        drawn = box(served).put("accelerator.rim", float(driver.execute_script(value)))
        return told(driver)["run.effort"] == repr(drawn.run().load.force_n)

    until(page, effort_is_told)
    ActionChains(page).send_keys("\ue00c").perform()
    until(page, lambda d: d.execute_script(value) == before)
    ActionChains(page, duration=0).release().perform()
    assert served.ask("show", wheel="1")["undo"] == 0


GRIPS = (
    "return [...document.querySelectorAll('.handle .grip')].map((grip) =>"
    " grip.getBoundingClientRect().width)"
)


def test_on_a_phone_nothing_sticks_out(opened):
    page = opened(360, 780, mobile=True)
    press(page, "#every summary")
    press(page, "#old-begin")
    wide = "return [document.documentElement.scrollWidth, innerWidth]"
    assert page.execute_script(wide) == [360, 360]
    assert min(page.execute_script(GRIPS)) >= 24.0  # WCAG 2.2, criterion 2.5.8
    assert not audit(page, "wcag21aa", "wcag22aa")  # reflow, spacing and sizes to touch


def audit(page, *tags):
    """Return what axe-core (by Deque, MPL-2.0) finds of the rules with some tags."""
    axe = Path(pytest.importorskip("axe_core_python").__file__).parent / "axe.min.js"
    page.execute_script(axe.read_text(encoding="utf-8"))
    return page.execute_async_script(
        "const done = arguments[1]; axe.run(document, {runOnly: arguments[0]}).then((r) =>"
        " done(r.violations.map((v) =>"
        " [v.id, v.help, v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160))])))", tags,
    )  # fmt: skip


ALL_OF_IT = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")


@pytest.mark.parametrize(("scheme", "tags"), [("light", ALL_OF_IT), ("dark", ("wcag2aa",))])
def test_a_general_audit_finds_nothing(page, served, scheme, tags):
    """WCAG 2.2, levels A and AA; in the dark, what has to do with contrast."""
    features = [{"name": "prefers-color-scheme", "value": scheme}]
    page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})
    try:
        press(page, "#every summary")
        press(page, "#old-begin")
        handle(page, "plan", "pulley:whorl.rim").send_keys("\ue007")
        assert not audit(page, *tags)
        press(page, "#typing .off")
    finally:
        page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})


def test_the_slip_to_type_on_opens_by_its_ring_and_the_page_stays_where_it_is(page, served):
    ring = handle(page, "plan", "pulley:whorl.rim")
    ring.send_keys("\ue007")
    before, after = ring.rect, page.find_element("id", "typing").rect
    assert page.execute_script("return scrollY") == 0
    assert abs(after["y"] - before["y"]) < 20
    assert page.switch_to.active_element.get_attribute("value").endswith("mm")


def test_every_remedy_is_found_before_it_is_printed(page, served):
    served.ask("change", wheel="1", put={"whorl.offset": box(served).get("whorl.offset") + 9.0})
    until(page, lambda d: d.find_elements("css selector", "#findings li.warning"))
    until(page, lambda d: d.find_elements("css selector", "#findings button"))
    page.execute_script("document.querySelector('#findings button').dataset.first = '1'")
    page.execute_script("window.print = () => { document.body.dataset.printed = '1' }")
    press(page, "#print")
    until(page, lambda d: d.execute_script("return document.body.dataset.printed"))
    assert "Looking for a remedy" not in page.find_element("id", "findings").text
    assert page.find_elements("css selector", "#findings [data-first]"), "it stays to be pressed"
    said = page.execute_script("return document.getElementById('findings').textContent")
    found = served_wheel(served).check().findings
    for ways in told_ways(found, look=True):
        assert ways
        assert all(thousands_apart(way.says) in said for way in ways)
    begin = begin_with(found)
    assert page.find_element("id", "begin").text == (begin and f"{begin}.")
    rows = page.find_elements("css selector", "#findings li > div:has(button)")
    assert all(len(row.find_elements("css selector", "button")) == 1 for row in rows)


def test_what_the_browser_prints_by_itself_says_what_is_known_and_no_more(page, served):
    served.ask("change", wheel="1", put={"middle.at.x": 268.0, "middle.at.y": 100.0})
    until(page, lambda d: d.find_elements("css selector", "#findings .fault ~ li .later"))
    words = page.find_element("css selector", "#findings .later").get_attribute("textContent")
    page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    try:
        printed = page.execute_script("return document.getElementById('findings').innerText")
        hidden = page.execute_script(
            "return [...document.querySelectorAll('#findings .later')].filter((one) =>"
            " one.getClientRects().length).length"
        )
    finally:
        page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert "has no path" in printed
    assert words not in printed
    assert "remedy was looked for" not in printed
    assert hidden == 0


def served_wheel(served):
    return box(served).put("whorl.offset", box(served).get("whorl.offset") + 9.0)
