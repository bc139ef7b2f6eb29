"""The program as a user starts it, and one browser for all tests that need one."""

import json
import re
import shutil
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from tests.page.hands import PATIENCE_S, ready

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
DRIVER = shutil.which("chromedriver")


class Served:
    """A running `wheelgeo open`, and how a script asks it."""

    def __init__(self, *words, folder, first=""):
        code = f"{first}\nfrom wheelgeo_cli.main import run; run()"
        self.process = subprocess.Popen(
            [sys.executable, "-c", code, "open", *map(str, words), "--no-browser"],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=folder, text=True,
        )  # fmt: skip
        self.address = self.process.stdout.readline().strip()
        found = re.fullmatch(r"http://127\.0\.0\.1:(\d+)/([\w-]+)/", self.address)
        assert found, self.process.communicate(timeout=PATIENCE_S)
        self.port, self.key = int(found[1]), found[2]
        self.origin = f"http://127.0.0.1:{self.port}"

    def ask(self, question, **body):
        return json.loads(self.post(f"{self.key}/ask/{question}", body)[1])

    def post(self, path, body, **headers):
        data = body if isinstance(body, bytes) else json.dumps(body).encode()
        told = {"Content-Type": "application/json", "Origin": self.origin, **headers}
        return self.send(urllib.request.Request(f"{self.origin}/{path}", data, told))

    def get(self, path, **headers):
        return self.send(urllib.request.Request(f"{self.origin}/{path}", headers=headers))

    def send(self, request):
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE_S) as reply:
                return reply.status, reply.read(), reply.headers
        except urllib.error.HTTPError as error:
            return error.code, error.read(), error.headers

    def stop(self):
        self.process.terminate()
        self.process.communicate(timeout=PATIENCE_S)


@pytest.fixture(scope="session")
def served(tmp_path_factory):
    """One program for the whole session, with the box wheel in a folder of its own."""
    folder = tmp_path_factory.mktemp("open")
    shutil.copy(DESIGNS / "box-wheel.toml", folder / "wheel.toml")
    program = Served("wheel.toml", folder=folder)
    program.folder = folder
    yield program
    program.stop()


@pytest.fixture(scope="session")
def chromium(tmp_path_factory):
    """One Chromium for the whole session, driven as a user drives it."""
    if CHROMIUM is None or DRIVER is None:
        pytest.skip("chromium and chromedriver are not here: the page is not tried in a browser")
    webdriver = pytest.importorskip("selenium.webdriver")
    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM
    for switch in (
        "headless=new", "no-sandbox", "disable-gpu", "disable-quic", "no-first-run", "disable-sync",
        "disable-background-networking", "disable-component-update", "window-size=1500,1000",
        f"user-data-dir={tmp_path_factory.mktemp('chromium')}",
        "force-prefers-reduced-motion",  # bands that run on every page cost more than all the rest
    ):  # fmt: skip
        options.add_argument(f"--{switch}")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(DRIVER))
    driver.set_script_timeout(PATIENCE_S)  # a busy machine is slow, not wrong
    driver.set_page_load_timeout(PATIENCE_S)
    yield driver
    driver.quit()


@pytest.fixture
def opened(chromium, served, sized):
    """Open the page with the box wheel as it comes from its file, in a window of a size if given.

    A test that must have something before the page is loaded has it loaded once, after that.
    """
    while served.ask("undo", wheel="1")["undo"]:
        pass
    served.ask("show", wheel="1", unit="mm")

    def do(*size, **kind):
        if size:
            sized(*size, **kind)
        chromium.get(served.address)
        ready(chromium)
        return chromium

    yield do
    assert not chromium.get_log("browser"), "the browser's console is empty"


@pytest.fixture
def page(opened):
    """The page with the box wheel as it comes from its file."""
    return opened()


@pytest.fixture
def sized(chromium):
    """Give the window another size, until the test ends."""

    def do(wide, high, mobile=False):
        size = {"width": wide, "height": high, "deviceScaleFactor": 1, "mobile": mobile}
        chromium.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)

    yield do
    chromium.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
