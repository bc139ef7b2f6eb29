"""What is said at the foot of the page and beside what was done, and what lies over what."""

import shutil

import pytest

from tests.page.conftest import DESIGNS, Served
from tests.page.hands import fill, handle, on, press, ready, step, typed, until

ENTER, ESCAPE, TAB = "\ue007", "\ue00c", "\ue004"
SAID = "return document.getElementById('status').textContent"


@pytest.fixture
def own(chromium, tmp_path):
    """A program of its own, with the box wheel in a file; open it in a window of a size."""
    shutil.copy(DESIGNS / "box-wheel.toml", tmp_path / "wheel.toml")
    program = Served("wheel.toml", folder=tmp_path)
    program.folder = tmp_path
    chromium.get(program.address)
    ready(chromium)
    yield program
    chromium.get("about:blank")
    program.stop()


def keys(page, *pressed):
    from selenium.webdriver import ActionChains

    ActionChains(page).send_keys(*pressed).perform()


@pytest.mark.parametrize("wide", [1500, 390])
def test_what_is_said_at_the_foot_is_put_away_by_a_press_or_by_escape(page, sized, wide):
    sized(wide, 844)
    hush = page.find_element("id", "hush")
    assert not hush.is_displayed(), "there is nothing to put away"
    undo = page.find_element("css selector", "#sieve")
    long = (
        "import('./asking.js').then(({ tell }) => {"
        " tell('What is said for a while. '.repeat(20), false, true); arguments[0](); })"
    )
    page.execute_script("document.querySelector('#every details').open = true")
    for way in ("press", "keyboard", ESCAPE):
        page.execute_script("arguments[0].focus()", undo)
        page.execute_async_script(long)
        until(page, lambda _: hush.is_displayed())
        assert min(hush.size.values()) >= 24, "WCAG 2.2, criterion 2.5.8"
        assert hush.accessible_name
        if way == "press":
            hush.click()
        elif way == "keyboard":
            hush.send_keys(ENTER)
        else:
            keys(page, way)
        assert page.execute_script(SAID) == ""
        assert not hush.is_displayed()
        assert on(page) == "sieve", "the keyboard is where it was"


def test_escape_leaves_what_is_said_where_something_else_takes_it(page, served):
    handle(page, "plan", "pulley:whorl.rim").send_keys(ENTER)
    page.execute_async_script(
        "import('./asking.js').then(({ tell }) => { tell('Said.', true, true); arguments[0](); })"
    )
    keys(page, ESCAPE)
    assert not page.find_elements("id", "typing")
    assert page.execute_script(SAID) == "Said."
    keys(page, ESCAPE)
    assert page.execute_script(SAID) == ""


SEEN = """const one = document.querySelector(arguments[0]), box = one.getBoundingClientRect();
return document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2) === one;"""
"""Whether something is seen in the window, with nothing over its middle."""


@pytest.mark.parametrize(("which", "says"), [
    (1, "What stands in the file is taken."), (2, "Kept in {}"),
])  # fmt: skip
def test_what_was_done_about_a_file_that_changed_is_told_as_a_save_is(
    chromium, own, sized, which, says
):
    sized(1400, 757)
    path = own.folder / "wheel.toml"
    handle(chromium, "plan", "pulley:whorl.rim").send_keys(ENTER)
    step(chromium, lambda: typed(chromium, "10 mm"))
    path.write_text(path.read_text().replace("rim = 75,", "rim = 76,"))
    button = f"#disk button:nth-of-type({which})"
    until(chromium, lambda d: d.find_elements("css selector", button))
    assert "changed in an editor" in chromium.execute_script(SAID), "it is told as it comes"
    press(chromium, "#save button")  # refused, with the same choice beside it
    beside = f"#save .refused button:nth-of-type({which})"
    until(chromium, lambda d: d.find_elements("css selector", beside))
    chromium.execute_script("document.getElementById('to-bench').scrollIntoView()")
    assert chromium.execute_script(SEEN, button), "it is seen beside the slips far down"
    button = beside if which == 2 else button
    words = says.format(path.name)
    step(chromium, lambda: chromium.find_element("css selector", button).send_keys(ENTER))
    assert chromium.execute_script(SAID) == words
    assert on(chromium) == "title", "the choice is gone"
    refused = chromium.find_elements("css selector", ".refused")
    assert not refused, "what Save was refused for is so no more"
    kept = chromium.find_element("id", "kept").get_attribute("textContent")
    assert kept == (words if which == 2 else "")
    assert ("rim = 76," in path.read_text()) == (which == 1)


def test_what_another_window_did_is_told_and_nothing_stale_beside_it(chromium, own):
    handle(chromium, "plan", "pulley:whorl.rim").send_keys(ENTER)
    step(chromium, lambda: typed(chromium, "10 mm"))
    assert "10.0 mm" in chromium.execute_script(SAID)
    step(chromium, lambda: press(chromium, "[name=unit][value='in/64']"))
    until(chromium, lambda d: d.execute_script(SAID) == "Lengths are told in inches.")
    put = {"put": {"whorl.rim": 11.0}, "window": "another"}
    step(chromium, lambda: own.ask("change", wheel="1", **put))
    assert chromium.execute_script(SAID) == "The wheel was changed in another window."
    assert not chromium.find_element("id", "redo").is_enabled()
    own.ask("save", wheel="1", path="kept.toml", window="another")
    until(chromium, lambda d: d.find_element("id", "file").text == "kept.toml")
    text = (own.folder / "kept.toml").read_text()
    (own.folder / "kept.toml").write_text(text.replace("rim = 75,", "rim = 76,"))
    step(chromium, lambda: own.ask("reload", wheel="1", window="another"))
    says = "The file was changed in an editor: it is read again."
    assert chromium.execute_script(SAID) == says


def test_what_is_laid_down_next_stays_in_inches_and_a_file_is_not_laid_twice(
    chromium, own, sized
):
    sized(1280, 800)
    chromium.refresh()
    ready(chromium)
    step(chromium, lambda: press(chromium, "[name=unit][value='in/64']"))
    for form, blank, tag in (("shipped", {"design": "sheet-wheel"}, "2"),
                             ("from-file", {"path": "wheel.toml"}, "1")):  # fmt: skip
        step(chromium, lambda form=form, blank=blank: fill(chromium, form, **blank))
        assert chromium.find_element("css selector", "[value='in/64']").is_selected()
        at = chromium.execute_script("return document.body.dataset.ready.split(':')[0]")
        assert at == tag
    assert chromium.execute_script(SAID).startswith("It lies on the board already: Larkfield")
    assert len(chromium.find_elements("css selector", "#tags button")) == 2
    under = chromium.execute_script(f"{COVERED} return under(document.getElementById('how'))")
    assert under <= 0, "the sheet is seen at once, below the tags"


@pytest.mark.parametrize(("name", "words", "opens"), [
    ("cord", "string", False), ("whorl", "wide", False), ("girth", "58 stone", True),
])  # fmt: skip
def test_a_refused_blank_of_an_old_wheel_opens_nothing_but_what_it_stands_in(
    page, name, words, opens
):
    page.execute_script("sessionStorage.clear()")
    press(page, "#old-begin")
    page.execute_script("document.getElementById('old-more').open = arguments[0]", opens)
    blank = page.find_element("css selector", f"#old [name={name}]")
    measured = {"wheel": "21 in", "whorl": "1 3/8 in", "apart": "17 in", "cord": "3 mm cotton cord"}
    for key, filled in {**measured, name: words}.items():
        page.find_element("css selector", f"#old [name={key}]").send_keys(filled)
    page.execute_script("document.getElementById('old-more').open = false")
    press(page, "#old form > p:last-child button")
    until(page, lambda _: blank.get_attribute("aria-invalid"))
    beside = blank.find_element("xpath", "./ancestor::label").find_elements(
        "class name", "refused"
    )
    assert beside
    assert page.execute_script("return document.getElementById('old-more').open") is opens
    page.execute_script("sessionStorage.clear()")


COVERED = """const foot = document.getElementById("foot").getBoundingClientRect().top,
  slip = document.getElementById("ghosting"), over = slip.getBoundingClientRect(),
  fixed = !slip.hidden && getComputedStyle(slip).position === "fixed",
  low = fixed ? Math.min(foot, over.top) : foot;
const under = (one) => one.getBoundingClientRect().bottom - low;"""

UNDER = f"""{COVERED} const on = document.activeElement, row = on.closest("li");
return [on.name, under(row), under(document.querySelector("#old form > p:last-child button"))];"""


@pytest.mark.parametrize(("wide", "high"), [(1400, 900), (1280, 720), (390, 844)])
def test_under_a_blank_is_room_for_what_is_said_of_it_and_pressed_next(page, sized, wide, high):
    sized(wide, high)
    page.execute_script("sessionStorage.clear()")
    press(page, "#old-begin")
    for words in ("21 in", "1/4 in", "1 3/8 in", "3/16 in", "17 in"):
        keys(page, words, TAB)
        name, row, _ = page.execute_script(UNDER)
        assert row <= -20, name
    name, _, button = page.execute_script(UNDER)
    assert name == "cord"
    assert button <= 0
    page.execute_script("sessionStorage.clear()")


def test_a_blank_that_is_pressed_is_brought_up_when_the_hand_lets_go(page, sized):
    from selenium.webdriver import ActionChains

    sized(1280, 720)
    press(page, "#old-begin")
    blank = page.find_element("css selector", "#old [name=cord]")
    page.execute_script(
        f"{COVERED} arguments[0].blur(); scrollBy(0, under(arguments[0]) + 4);", blank
    )
    hand = ActionChains(page, duration=0).move_to_element(blank).click_and_hold()
    hand.perform()
    pressed = blank.rect["y"] - page.execute_script("return scrollY")
    assert on(page) == "cord"
    assert page.execute_script(UNDER)[2] > 0
    ActionChains(page, duration=0).release().perform()
    until(page, lambda d: d.execute_script(UNDER)[2] <= 0)
    assert blank.rect["y"] - page.execute_script("return scrollY") < pressed
    page.execute_script("sessionStorage.clear()")


HELD_BACK = """const fetched = window.fetch;
window.held = {};
window.fetch = async (...words) => {
  if (/show|whole/.test(words[0])) await new Promise((go) => { held[words[0]] = go; });
  return fetched(...words);
};"""
"""The first that is asked of a wheel is answered only when the test says so."""


@pytest.mark.parametrize(("wide", "high"), [(1280, 720), (390, 844)])
def test_an_old_wheel_laid_on_the_board_is_seen_with_its_numbers(chromium, own, sized, wide, high):
    sized(wide, high)
    chromium.execute_script("sessionStorage.clear()")
    press(chromium, "#old-begin")
    measured = {"wheel": "21 in", "whorl": "1 3/8 in", "apart": "17 in", "cord": "3 mm cotton cord"}
    for name, words in measured.items():
        chromium.find_element("css selector", f"#old [name={name}]").send_keys(words)
    chromium.execute_script("document.querySelector('[name=edge_to_edge]').value = '5 13/16 in'")
    chromium.execute_script(HELD_BACK)
    laid = chromium.find_element("id", "old-open")
    laid.send_keys(ENTER)
    until(chromium, lambda d: d.execute_script("return 'ask/show' in held"))
    assert laid.is_displayed(), "the questions stand until the answer is seen"
    chromium.execute_script("held['ask/show']()")
    until(chromium, lambda d: d.execute_script("return 'ask/whole' in held"))
    assert on(chromium) == "title", "it is seen before all of it is told"
    tops = chromium.execute_script(
        "return ['plan', 'does'].map((id) => document.getElementById(id)"
        ".getBoundingClientRect().top)"
    )
    assert 0 <= tops[0] < high / 2
    assert 0 <= tops[1] < high / 2 or wide < 1000, "beside it, where there is room"
    step(chromium, lambda: chromium.execute_script("held['ask/whole']()"))
    until(chromium, lambda d: "rim to rim (5 13/16 in) is not kept" in d.find_element(
        "id", "status").text)  # fmt: skip


def lay_over(page):
    fill(page, "retune", ratio="120")
    until(page, lambda d: d.find_elements("css selector", "#said [data-ghost]"))
    press(page, "#said [data-ghost]")
    until(page, lambda d: d.find_element("id", "ghost-wrong").text)


@pytest.mark.parametrize("laid", [False, True])
@pytest.mark.parametrize(("wide", "high"), [(1280, 720), (1280, 500), (390, 844)])
def test_nothing_lies_over_the_end_of_the_page_or_what_the_keyboard_comes_to(
    opened, wide, high, laid
):
    page = opened(wide, high)
    if laid:
        lay_over(page)
    page.execute_script("scrollTo(0, document.documentElement.scrollHeight)")
    ends = page.execute_script(
        f"{COVERED} return [...document.querySelectorAll('#sheet, #slips > :not([hidden],"
        " #ghosting)')].filter((one) => under(one) > 0).map(({ id }) => id)"
    )
    assert not ends
    page.execute_script("scrollTo(0, 0); document.activeElement.blur()")
    for _ in range(200):
        keys(page, TAB)
        # What grew since the window was last drawn is made room for before it is drawn again.
        here = page.execute_async_script(
            f"{COVERED} const done = arguments[0], look = () => {{"
            " const on = document.activeElement, box = on.getBoundingClientRect();"
            " return on === document.body ? null : { what: on.id || on.name || on.outerHTML,"
            " lost: !on.closest('#foot, #ghosting') && box.height < low / 2"
            " && (under(on) > 0.5 || box.top < -0.5) }; };"
            " const first = look(), frame = requestAnimationFrame;"
            " if (first?.lost) frame(() => frame(() => done(look()))); else done(first);"
        )
        if here is None:
            break
        assert not here["lost"], here
    else:
        raise AssertionError("the keyboard comes to no end")


@pytest.mark.parametrize("away", [False, True])
def test_what_is_found_late_does_not_push_what_is_worked_with_out_of_sight(opened, away):
    page = opened(1280, 720)
    blank = page.find_element("css selector", "#have [name=have]")
    page.execute_script("arguments[0].focus(); arguments[0].scrollIntoView({block: 'end'})", blank)
    if away:  # looked at is something else, further up
        page.execute_script("scrollTo(0, 0)")
    until(page, lambda d: (d.execute_script("return scrollY") > 0) is not away)
    page.execute_async_script(
        "const done = arguments[0], grown = () => requestAnimationFrame(() =>"
        " requestAnimationFrame(() => setTimeout(done, 50)));"
        " requestAnimationFrame(() => { document.getElementById('amiss').style.marginTop = '200px';"
        " grown(); })"
    )
    under = page.execute_script(f"{COVERED} return under(arguments[0])", blank)
    assert under > 100 if away else under <= 0.5
    assert (page.execute_script("return scrollY") == 0) is away


FRAMED = """const found = [], seen = (one) => one.getClientRects().length > 0;
const comes = "main :is(button, input, select, summary, a, [tabindex])";
for (const on of document.querySelectorAll(comes)) {
  if (!seen(on) || on.disabled || on.closest("svg")) continue;
  on.focus({ focusVisible: true, preventScroll: true });
  const style = getComputedStyle(on), box = on.getBoundingClientRect();
  const out = parseFloat(style.outlineOffset) + parseFloat(style.outlineWidth);
  if (style.outlineStyle === "none" || out <= 0) continue;
  const near = on.closest("#rows, .slip, #strip, nav");
  const words = document.createTreeWalker(near, NodeFilter.SHOW_TEXT);
  const rows = near.id === "rows" ? [] : [...near.querySelectorAll("#rows")];
  while (words.nextNode()) {
    const said = words.currentNode, line = document.createRange();
    const apart = on.contains(said) || rows.some((one) => one.contains(said));
    if (apart || !said.data.trim()) continue;
    line.selectNodeContents(said);
    const over = [...line.getClientRects()].some((at) =>
      at.right > box.left - out && at.left < box.right + out
      && at.bottom - 2 > box.top - out && at.top + 2 < box.bottom + out);
    if (over) found.push([on.outerHTML, said.data]);
  }
}
return found;"""
"""What is framed, having focus, over words of others; a letter leaves 2 px of its line."""


@pytest.mark.parametrize("wide", [1280, 390])
def test_what_has_focus_is_framed_over_no_words_and_not_on_paper(page, sized, wide):
    sized(wide, 844)
    press(page, "#every summary")
    press(page, "#old-begin")
    press(page, "#old form > p:last-child button")
    fill(page, "retune", count="80 stone")
    for slip in ("old", "retune"):
        until(page, lambda d, slip=slip: d.find_elements("css selector", f"#{slip} .refused"))
    assert page.execute_script(FRAMED) == []
    page.execute_script("document.getElementById('title').focus({ focusVisible: true })")
    frame = (
        "const { outlineStyle, boxShadow } = getComputedStyle(document.activeElement);"
        " return [outlineStyle, boxShadow]"
    )
    assert page.execute_script(frame) != ["none", "none"]
    page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    printed = page.execute_script(frame)
    page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    page.execute_script("sessionStorage.clear()")
    assert printed == ["none", "none"]


@pytest.mark.parametrize("high", [720, 560])
def test_the_lower_edge_of_the_sheet_is_seen_before_the_end_of_the_page(opened, high):
    page = opened(1280, high)
    step(page, lambda: press(page, "[name=unit][value='in/64']"))  # drawn in this window
    page.execute_script("scrollTo(0, 300)")
    assert page.execute_script("return document.documentElement.scrollHeight") > 1500
    assert page.execute_script(f"{COVERED} return under(document.getElementById('sheet'))") <= 0
