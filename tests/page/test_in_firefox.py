"""The page in the other browser: seen, drawn at, undone, typed at, by its own remote protocol.

WebDriver BiDi (W3C), which Firefox speaks without a program between; a long form, skipped by name
where there is no Firefox.
"""

import json
import re
import shutil
import subprocess
import time

import pytest

import wheelgeo

FIREFOX = next(filter(None, map(shutil.which, ("firefox", "firefox-esr"))), None)
pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(FIREFOX is None, reason="firefox is not here"),
]
RIM = '#plan .handle[data-key="pulley:accelerator.rim"]'
ENTER, PAGE_UP, PAGE_DOWN = "\ue007", "\ue00e", "\ue00f"


class Fox:
    """A browser without a window, and one page in it."""

    def __init__(self, profile):
        self.program = subprocess.Popen(
            [FIREFOX, "--headless", "--no-remote", "--profile", str(profile),
             "--remote-debugging-port", "0"],
            stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        listening = None
        while listening is None:
            line = self.program.stderr.readline()
            assert line, "it ends before it listens"
            listening = re.search(r"WebDriver BiDi listening on (ws://\S+)", line)
        from websocket import create_connection

        self.socket = create_connection(
            f"{listening[1]}/session", timeout=60, suppress_origin=True
        )
        self.number, self.console = 0, []
        self.ask("session.new", capabilities={})
        self.ask("session.subscribe", events=["log.entryAdded"])
        self.page = self.ask("browsingContext.getTree")["contexts"][0]["context"]
        self.wide(1400, 900)

    def wide(self, width, height):
        self.ask("browsingContext.setViewport", context=self.page,
                 viewport={"width": width, "height": height})  # fmt: skip

    def ask(self, method, **words):
        self.number += 1
        self.socket.send(json.dumps({"id": self.number, "method": method, "params": words}))
        while True:
            said = json.loads(self.socket.recv())
            if said.get("method") == "log.entryAdded":
                self.console.append(said["params"].get("text"))
            if said.get("id") == self.number:
                assert said["type"] == "success", said
                return said["result"]

    def script(self, code):
        said = self.ask("script.evaluate", expression=f"JSON.stringify({code})",
                        target={"context": self.page}, awaitPromise=True)  # fmt: skip
        return json.loads(said["result"]["value"])

    def hand(self, *actions):
        self.ask("input.performActions", context=self.page,
                 actions=[{"type": "pointer", "id": "hand", "actions": list(actions)}])  # fmt: skip

    def keys(self, text):
        strokes = [{"type": way, "value": key} for key in text for way in ("keyDown", "keyUp")]
        self.ask("input.performActions", context=self.page,
                 actions=[{"type": "key", "id": "keys", "actions": strokes}])  # fmt: skip

    def ready(self, before=None):
        for _ in range(600):
            now = self.script("document.body.dataset.ready ?? null")
            if now not in (None, before):
                return now
            time.sleep(0.1)
        raise AssertionError("the page does not answer")

    def ratio(self):
        cell = "document.querySelector('#numbers [data-key=ratio]')"
        return float(self.script(f"{cell}.dataset.value"))

    def stop(self):
        self.socket.close()
        self.program.kill()
        self.program.communicate(timeout=30)


@pytest.fixture
def fox(tmp_path):
    found = Fox(tmp_path)
    yield found
    found.stop()


def test_the_page_is_seen_drawn_at_and_typed_at_in_firefox(fox, served):
    wheel = wheelgeo.load(served.folder / "wheel.toml")
    fox.ask("browsingContext.navigate", context=fox.page, url=served.address, wait="complete")
    at = fox.ready()
    assert fox.ratio() == wheel.get("ratio")
    ring = fox.script(f"document.querySelector('{RIM} circle.grip').getBoundingClientRect()")
    x, y = int(ring["x"] + ring["width"] / 2), int(ring["y"] + ring["height"] / 2)
    fox.hand(
        {"type": "pointerMove", "x": x, "y": y}, {"type": "pointerDown", "button": 0},
        {"type": "pointerMove", "x": x + 10, "y": y - 8, "duration": 50},
        {"type": "pointerMove", "x": x + 20, "y": y - 15, "duration": 50},
        {"type": "pointerUp", "button": 0},
    )  # fmt: skip
    at = fox.ready(at)
    rim = float(fox.script(f"document.querySelector('{RIM}').getAttribute('aria-valuenow')"))
    assert rim > 80.0
    assert fox.ratio() == pytest.approx(wheel.put("accelerator.rim", rim).get("ratio"), rel=1e-12)
    fox.script("document.getElementById('undo').click() ?? 0")
    at = fox.ready(at)
    assert fox.ratio() == wheel.get("ratio")
    fox.script(f"document.querySelector('{RIM}').focus() ?? 0")
    fox.keys(PAGE_DOWN)
    ring = "document.activeElement.dataset.key"
    assert fox.script(ring) not in (None, "pulley:accelerator.rim")
    fox.keys(PAGE_UP)
    assert fox.script(ring) == "pulley:accelerator.rim"
    fox.keys(ENTER)
    for _ in range(100):
        if fox.script("document.activeElement.name") == "pulley:accelerator.rim":
            break
        time.sleep(0.1)
    fox.keys(f"2 15/16 in{ENTER}")
    fox.ready(at)
    assert fox.ratio() == wheel.put("accelerator.rim", "2 15/16 in").get("ratio")
    fox.wide(390, 800)
    time.sleep(1.0)
    root = "document.documentElement"
    assert fox.script(f"{root}.scrollWidth <= {root}.clientWidth")
    assert fox.console == []
