"""The page as a user sees it and works with it, held against the library."""

import pytest

import wheelgeo


@pytest.fixture
def page(chromium, served):
    """The page with the box wheel as it comes from its file."""
    chromium.get("about:blank")
    chromium.get(served.address)
    ready(chromium)
    while served.ask("undo", wheel="1")["undo"]:
        pass
    yield chromium
    assert not chromium.get_log("browser"), "the browser's console is empty"


def ready(page, patience=10.0):
    from selenium.webdriver.support.wait import WebDriverWait

    WebDriverWait(page, patience, 0.02).until(
        lambda d: d.execute_script("return document.body?.dataset.ready")
    )


def told(page):
    """Every number that the page shows, by its name."""
    return page.execute_script(
        "return Object.fromEntries([...document.querySelectorAll('#numbers td[data-key]')]"
        ".map((cell) => [cell.dataset.key, cell.dataset.value]))"
    )


def test_the_page_shows_what_the_library_says(page, served):
    wheel = wheelgeo.load(served.folder / "wheel.toml")
    numbers = told(page)
    assert float(numbers["ratio"]) == wheel.get("ratio")
    assert float(numbers["second band.cut_with_joint"]) == wheel.get("second band.cut_with_joint")
    assert float(numbers["run.effort"]) == wheel.run().load.force_n
    rules = page.execute_script("return document.querySelectorAll('#findings > li').length")
    assert rules == len(wheel.check().findings)
