"""What a user does at the page and waits for, whatever is tried in the browser."""

import contextlib
import time

PATIENCE_S = 120.0
"""How long a test waits before it calls something lost: no measure, only an end."""
FIRST_LOOK_S, LAST_LOOK_S = 0.02, 0.3
"""From one look to the next: first, and after many. A look takes the page, its driver and the test
as much time as they have left for what is waited for."""


MOST_TYPED = 200
PASTE = "arguments[0].focus(); document.execCommand('insertText', false, arguments[1])"


def ready(page, patience=PATIENCE_S):
    until(page, lambda d: d.execute_script("return document.body?.dataset.ready"), patience)


def told(page):
    """Every number that the page shows, by its name."""
    return page.execute_script(
        "return Object.fromEntries([...document.querySelectorAll('#numbers td[data-key]')]"
        ".map((cell) => [cell.dataset.key, cell.dataset.value]))"
    )


def handle(page, view, key):
    return page.find_element("css selector", f'#{view} .handle[data-key="{key}"]')


def draw(page, element, by_x, by_y):
    """Take hold of a ring, draw it in steps as a hand does, and let go."""
    from selenium.webdriver import ActionChains

    hand = ActionChains(page, duration=0).move_to_element(element).click_and_hold()
    for _ in range(4):
        hand.move_by_offset(by_x / 4, by_y / 4)
    hand.release().perform()


def step(page, work):
    """Do something that changes the wheel; wait until all of the page has answered."""
    before = page.execute_script("return document.body.dataset.ready")
    work()
    until(page, lambda d: d.execute_script("return document.body.dataset.ready") != before)


def all_told(page):
    """Wait until all is told of what is shown: pulls that are still to come stand as dots."""
    until(page, lambda d: "…" not in d.find_element("id", "numbers").text)


def until(page, true, patience=PATIENCE_S):
    """Wait until something is true; what is drawn anew as it is looked at is looked at again."""
    from selenium.common.exceptions import NoSuchElementException, StaleElementReferenceException

    end, pause = time.monotonic() + patience, FIRST_LOOK_S
    while True:
        with contextlib.suppress(NoSuchElementException, StaleElementReferenceException):
            if found := true(page):
                return found
        assert time.monotonic() < end, f"it is not so after {patience:g} s"
        time.sleep(pause)
        pause = min(1.4 * pause, LAST_LOOK_S)


def press(page, selector):
    page.execute_script("document.querySelector(arguments[0]).click()", selector)


def fill(page, form, **blanks):
    """Fill the blanks of a sentence and ask it; nobody types a link letter by letter."""
    for name, words in blanks.items():
        blank = page.find_element("css selector", f"#{form} [name={name}]")
        if blank.tag_name == "select":
            blank.find_element("xpath", f'./option[.="{words}" or @value="{words}"]').click()
        else:
            blank.clear()
            if len(words) < MOST_TYPED:
                blank.send_keys(words)
            else:
                page.execute_script(PASTE, blank, words)
    press(page, f"#{form} button")


def typed(page, words, refused=False):
    slip = page.find_element("id", "typing")
    field = slip.find_element("tag name", "input")
    field.clear()
    field.send_keys(words, "\ue007")
    if refused:
        return until(page, lambda _: slip.find_element("class name", "refused").text)
    return None


def listen(page):
    """Keep what is said last at the page's foot: it is taken away after a while."""
    page.execute_script(
        "const status = document.getElementById('status'); new MutationObserver(() =>"
        " { window.heard = status.textContent || window.heard; })"
        ".observe(status, {childList: true})"
    )


def on(page):
    """What the keyboard stands on: its name on the page, or else its words."""
    here = page.switch_to.active_element
    return here.get_attribute("id") or here.get_attribute("name") or here.text


def set_number(page, key, words):
    """Set a number in the list of all of them, typed over what stands there.

    Emptied first it would be taken for left out, and the list would be told anew meanwhile.
    """
    from selenium.webdriver import ActionChains

    if not page.find_elements("css selector", "#every details[open]"):
        press(page, "#every summary")
    blank = f'#rows input[data-key="{key}"]'
    page.execute_script("document.querySelector(arguments[0]).focus()", blank)
    keys = ActionChains(page).key_down("\ue009").send_keys("a").key_up("\ue009")
    keys.send_keys(words, "\ue007").perform()
