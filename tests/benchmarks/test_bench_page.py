"""How soon the page answers a hand, beside solve and numpy's import, and how soon it is open.

On an idle machine solve with its findings takes 1.2 ms in process, so that the 16 ms of a first
answer are 13 times that. All of it (the first answer, then mechanics, every finding, labels, what
hides what in plan and side, then the remedies of the findings in sight, a little at a time) is held
against a peer that no change of ours makes faster: a new process that imports numpy, which takes
60 ms there, so that the 150 ms of all of it are 2.5 times that. Held as ratios of the 95 % points,
since the machine may be busy; time is that of the processor. Of a wheel of which five numbers were
spoilt before, all of it but the remedies is held to the same, and so is each step of these; how
long they take in sum is how much of it is spoilt, and is reported.
"""

import gc
import json
import os
import random
import statistics
import subprocess
import sys
import time
import urllib.request
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.page import desk as desk_module
from wheelgeo.page.desk import Desk
from wheelgeo.page.moving import farthest
from wheelgeo.wheel import Wheel
from wheelgeo_cli.open import COLLECTIONS

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
PAGE_FILES = Path(desk_module.__file__).parent / "files"
SHIPPED = sorted(DESIGNS.glob("*-wheel.toml"))
PROGRAM = "from wheelgeo_cli.main import run; run()"
VIEWS = [
    {"name": name, "capital": 4.0, "turn": 30, "tilt": 28, "labels": name != "turned"}
    for name in ("plan", "side", "turned")
]
DRAGS = 24
SEEN = 3
"""In a window of 1920 by 1080 two findings stand in sight below the drawing that a hand draws at,
in smaller ones fewer; one more is looked after here."""
FIRST = 13.0
"""How many times as long as solve the first answer may take."""
WHOLE = 2.5
"""How many times as long as numpy's import all of it may take."""


def taken_ms(work):
    start = time.process_time()
    answer = work()
    return 1e3 * (time.process_time() - start), answer


def at_95(times):
    return sorted(times)[int(0.95 * len(times))]


def spoilt(wheel, pulls, chance, edits):
    """A wheel drawn at here and there, as far as it can exist."""
    for _ in range(edits):
        pull = chance.choice(pulls)
        put = {pull["key"]: wheel.get(pull["key"]) + chance.gauss(0.0, 15.0)}
        wheel = farthest(wheel, put)[0]
    return Wheel(replace(wheel.design))  # another object: nothing is known of it


@pytest.fixture
def collecting_as_the_program():
    """Collect garbage as the open page does: what pytest holds is not searched again and again."""
    before = gc.get_threshold()
    gc.freeze()
    gc.set_threshold(*COLLECTIONS)
    yield
    gc.set_threshold(*before)
    gc.unfreeze()


@pytest.mark.benchmark
@pytest.mark.usefixtures("collecting_as_the_program")
@pytest.mark.parametrize("edits", [0, 5], ids=["as shipped", "spoilt"])
@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_a_hand_is_answered_within_a_blink(path, edits, importing_numpy_s, tmp_path):
    """Numbers of the wheel are drawn at by up to 6 mm, each let go; faults and all."""
    desk, chance = Desk(tmp_path), random.Random(1)
    start = desk.lay_file(path).now
    body = {"wheel": "1", "unit": "mm", "views": VIEWS}
    views = desk.ask("show", body)["views"].values()
    pulls = [pull for view in views for handle in view["handles"] for pull in handle["pulls"]]
    desk.ask("whole", body)
    names = ("solve", "numpy", "first", "rest", "remedies, each", "all but remedies", "all of it")
    times = {name: [] for name in names}
    for _ in range(DRAGS):
        wheel = spoilt(start, pulls, chance, edits)
        gc.collect()  # as the page does when a hand rests
        desk.wheels["1"].become(wheel)
        desk.ask("show", body)
        pull = chance.choice(pulls)
        put = {pull["key"]: wheel.get(pull["key"]) + chance.uniform(-6.0, 6.0)}
        design = replace(farthest(wheel, put)[0].design)
        solve, _ = taken_ms(lambda d=design: Wheel(d).solve())
        numpy = 1e3 * importing_numpy_s()
        drawn = {**body, "put": put, "last": True}
        first, _ = taken_ms(lambda b=drawn: json.dumps(desk.ask("drag", b)))
        rest, said = taken_ms(lambda: desk.ask("whole", {**body, "views": VIEWS[:2]}))
        turned, _ = taken_ms(lambda: desk.ask("view", {**body, "views": VIEWS[2:]}))
        every = []
        while any(finding.get("later") for finding in said["findings"][:SEEN]):
            one, said = taken_ms(lambda: desk.ask("remedies", {**body, "seen": [*range(SEEN)]}))
            every.append(one)
        all_but = first + rest + turned
        new = ([solve], [numpy], [first], [rest], every, [all_but], [all_but + sum(every)])
        for name, more in zip(times, new, strict=True):
            times[name] += more
    solve, numpy = at_95(times.pop("solve")), at_95(times.pop("numpy"))
    high = {name: at_95(figures) if figures else 0.0 for name, figures in times.items()}
    words = ", ".join(f"{name} {ms:.1f} ms = {ms / solve:.0f} x solve = {ms / numpy:.2f} x numpy"
                      for name, ms in high.items())  # fmt: skip
    sys.stdout.write(
        f"\n{path.stem}: solve {solve:.2f} ms, importing numpy {numpy:.0f} ms; at the 95 % point "
        f"{words}\n"
    )
    assert high["first"] <= FIRST * solve
    assert high["all of it" if edits == 0 else "all but remedies"] <= WHOLE * numpy
    assert high["remedies, each"] <= WHOLE * numpy


def environment():
    # Installed programs have their bytecode; a process that may not write it compiles all anew.
    return {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def seconds_to_solve():
    start = time.perf_counter()
    words = [sys.executable, "-c", PROGRAM, "solve", str(DESIGNS / "box-wheel.toml")]
    subprocess.run(words, check=True, capture_output=True, env=environment())
    return time.perf_counter() - start


def seconds_to_first_picture():
    """From starting `wheelgeo open` until page and first picture of the wheel are served."""
    files = [one.name for one in PAGE_FILES.iterdir() if one.suffix in (".css", ".js")]
    start = time.perf_counter()
    words = ["open", str(DESIGNS / "box-wheel.toml"), "--no-browser"]
    program = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, *words], stdout=subprocess.PIPE, text=True,
        env=environment(),
    )  # fmt: skip
    with program:
        address = program.stdout.readline().strip()
        told = {"Content-Type": "application/json", "Origin": address.rsplit("/", 2)[0]}
        body = {"wheel": "1", "views": VIEWS, "fit": True}
        for path, asked in (
            ("", None), *((name, None) for name in files), ("ask/start", {}), ("ask/show", body),
        ):  # fmt: skip
            data = None if asked is None else json.dumps(asked).encode()
            request = urllib.request.Request(address + path, data, told)
            with urllib.request.urlopen(request, timeout=60) as reply:
                reply.read()
        taken = time.perf_counter() - start
        program.terminate()
    return taken


@pytest.mark.benchmark
def test_the_page_is_open_within_three_times_solve():
    seconds_to_solve(), seconds_to_first_picture()
    taken = [(seconds_to_first_picture(), seconds_to_solve()) for _ in range(9)]
    ours, peer = (statistics.median(times) for times in zip(*taken, strict=True))
    sys.stdout.write(f"\nopen to its first picture / solve = {ours / peer:.2f}\n")
    assert ours <= 3.0 * peer
