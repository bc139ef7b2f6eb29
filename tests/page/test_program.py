"""`wheelgeo open` as a program: what it prints, how it ends, what it leaves unloaded."""

import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.page.conftest import DESIGNS, Served
from wheelgeo import read
from wheelgeo.page.links import text_of
from wheelgeo_cli import main

OLD = {"wheel": "20 in", "whorl": "2 in", "apart": "18 in", "cord": "3 mm cotton cord"}


@pytest.fixture
def type_open(monkeypatch, tmp_path, capfd):
    """Type the command in this process, in an empty folder; return status, output and errors."""

    def do(*words):
        monkeypatch.chdir(tmp_path)
        monkeypatch.setattr(sys, "argv", ["wheelgeo", "open", *words, "--no-browser"])
        with pytest.raises(SystemExit) as stop:
            main.run()
        return (stop.value.code, *capfd.readouterr())

    return do


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is another thing there")
def test_it_prints_its_address_and_ends_with_the_terminal(tmp_path, served):
    """A second program beside the first: another key, this machine alone, an end without words."""
    second = Served(folder=tmp_path)
    try:
        assert second.ask("start")["wheels"] == []
        assert second.get(f"{second.key}/")[0] == 200
        assert second.key != served.key
        assert len(second.key) >= 22
        assert second.post(f"{served.key}/ask/start", {})[0] == 403
        for name in {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None)}:
            if name.startswith("127.") or ":" in name:
                continue
            with pytest.raises(OSError):  # noqa: PT011 - refused or unreachable, as the system says
                socket.create_connection((name, second.port), timeout=2).close()
        idle = socket.create_connection(("127.0.0.1", second.port))  # as a browser keeps some
        host = f"Host: localhost:{second.port}"
        idle.sendall(f"GET /{second.key}/ HTTP/1.1\r\n{host}\r\n\r\n".encode())
        assert idle.recv(12) == b"HTTP/1.1 200"
    finally:
        second.process.send_signal(signal.SIGINT)
    out, err = second.process.communicate(timeout=60)
    idle.close()
    assert (second.process.returncode, out, err) == (130, "", "")


FOR_EVER = """
import wheelgeo_cli.open
from wheelgeo.page import desk
wheelgeo_cli.open._WORDS_S = 600.0  # what is told hangs on no machine's speed
def _for_ever(*_):
    while True:
        pass
desk.QUESTIONS.update(retune=_for_ever, show=_for_ever)
from wheelgeo.page.making import SetInWork
_at = SetInWork._at
def _stuck(self, step, done, of):
    _at(self, step, done, of)
    while done:  # on a quick machine the set would be written before it is told to end
        pass
SetInWork._at = _stuck
"""


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is another thing there")
@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_whatever_is_computed_and_says_what_is_lost(sent, tmp_path):
    """Threads that never end, connections that wait, a set in work, wheels in no file."""
    program = Served(folder=tmp_path, first=FOR_EVER)
    program.ask("old", measured=OLD, open=True)
    program.ask("open", design="sheet-wheel")  # as it comes: nothing of it is lost
    program.ask("open", design="box-wheel")
    program.ask("change", wheel="3", put={"whorl.rim": 11.0})
    number = program.ask("make", wheel="3", folder="set")["set"]
    while (said := program.ask("progress", set=number))["done"] == 0:
        assert said["running"], said["failed"]
        time.sleep(0.05)  # its folder is being tried, which is made and taken away
    lines = [socket.create_connection(("127.0.0.1", program.port)) for _ in range(3)]
    for line, question in zip(lines, ("retune", "retune", "show"), strict=True):
        line.sendall(
            f"POST /{program.key}/ask/{question} HTTP/1.1\r\nHost: 127.0.0.1:{program.port}\r\n"
            f"Origin: {program.origin}\r\nContent-Type: application/json\r\n"
            "Content-Length: 2\r\n\r\n{}".encode()
        )
    program.process.send_signal(sent)
    out, err = program.process.communicate(timeout=60)
    for line in lines:
        line.close()
    assert (program.process.returncode, out) == (130, "")
    first, second, how, *links = err.splitlines()
    assert first.endswith("(in no file yet)")
    assert second == "wheelgeo: not kept: Larkfield box wheel (in no file yet)"
    assert "A link that holds a wheel" in how
    assert read(text_of(links[-1])).get("whorl.rim") == 11.0
    assert list(tmp_path.iterdir()) == []


SLOW_TO_MAKE = """
import time
from pathlib import Path
_mkdir = Path.mkdir
def _slow(self, *words, **more):
    _mkdir(self, *words, **more)
    if self.name in ("set", ".wheelgeo-make"):
        time.sleep(0.15)  # an end that is asked for comes between two steps
Path.mkdir = _slow
"""


def _stands(folder):
    """Wait until a folder stands; an end of the program would leave it."""
    end = time.monotonic() + 60.0
    while not folder.exists():
        assert time.monotonic() < end
        time.sleep(0.005)


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is another thing there")
@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM])
def test_an_end_while_a_folder_is_tried_leaves_nothing_of_it(sent, tmp_path):
    program = Served(folder=tmp_path, first=SLOW_TO_MAKE)
    program.ask("open", design="box-wheel")
    program.ask("make", wheel="1", folder="above/set")
    _stands(tmp_path / "above" / "set")
    program.process.send_signal(sent)
    assert program.process.communicate(timeout=60)[0] == ""
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is another thing there")
@pytest.mark.parametrize(("sent", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, -15)])
@pytest.mark.parametrize("at", ["above/set", "above/set/.wheelgeo-make"])
def test_an_end_of_make_leaves_nothing_of_the_folder_it_tries(sent, status, at, tmp_path):
    code = f"{SLOW_TO_MAKE}\nfrom wheelgeo_cli.main import run; run()"
    shutil.copy(DESIGNS / "box-wheel.toml", tmp_path)
    words = ["make", "box-wheel.toml", "--to", "above/set"]
    process = subprocess.Popen([sys.executable, "-c", code, *words], cwd=tmp_path)
    _stands(tmp_path / at)
    process.send_signal(sent)
    assert process.wait(timeout=60) == status
    assert [path.name for path in tmp_path.iterdir()] == ["box-wheel.toml"]


def test_a_mistake_of_ours_is_an_answer_though_nobody_reads_the_errors(tmp_path):
    program = Served(folder=tmp_path, first="""
from wheelgeo.page import desk
desk.QUESTIONS.update(start=lambda *_: 1 / 0)
""")  # fmt: skip
    try:
        program.process.stderr.close()
        program.process.stderr = None
        assert [program.post(f"{program.key}/ask/start", {})[0] for _ in range(2)] == [500, 500]
        assert program.get(f"{program.key}/")[0] == 200
    finally:
        program.stop()


def test_a_port_that_is_taken_is_named(type_open):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        status, out, err = type_open("--port", port)
    assert (status, out) == (2, "")
    assert f"port {port} cannot be had" in err


def test_a_file_at_fault_is_told_as_by_every_command(type_open, tmp_path):
    (tmp_path / "bad.toml").write_text("title = 3\n")
    status, out, err = type_open("bad.toml")
    assert (status, out) == (2, "")
    assert "bad.toml has" in err
    assert "Traceback" not in err
    assert type_open("none.toml")[0] == 2


@pytest.mark.parametrize("words", [["solve", "box-wheel.toml"], ["open", "--help"], ["--help"]])
def test_nothing_of_the_page_is_loaded_where_it_is_not_served(tmp_path, words):
    shutil.copy(DESIGNS / "box-wheel.toml", tmp_path)
    code = (
        "import sys; from wheelgeo_cli.main import run\n"
        "try: run()\n"
        "except SystemExit: pass\n"
        "print([m for m in sys.modules if m.startswith(('wheelgeo.page', 'asyncio', 'h11'))])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *words],
        capture_output=True, text=True, cwd=tmp_path, check=True,
    )  # fmt: skip
    assert done.stdout.splitlines()[-1] == "[]"


VIEWS = [{"name": name, "capital": 5.0} for name in ("plan", "side")]


def a_round(program, number):
    """Draw at a ring, ask for the rest, a remedy and it laid over; take one step of two back."""
    for part in (0.2, 0.6, 1.0):
        rim = 9.6 + (0.37 * number + part) % 3.0
        put = {"whorl.rim": rim}
        program.ask("drag", wheel="1", views=VIEWS, put=put, last=part == 1.0, fit=part == 1.0)
        program.ask("pulls", wheel="1", put=put)
    found = program.ask("whole", wheel="1", views=VIEWS)["findings"]
    while any(finding.get("later") for finding in found):
        found = program.ask("remedies", wheel="1")["findings"]
    one = next(finding for finding in found if finding["ways"])
    ghost = program.ask("remedy", wheel="1", rule=one["rule"], where=one["where"], way=0)["ghost"]
    program.ask("ghost", wheel="1", ghost=ghost, views=VIEWS)
    if number % 2:
        program.ask("undo", wheel="1", views=VIEWS)


def stands(program):
    """Memory that it holds, MB, and its threads."""
    said = Path(f"/proc/{program.process.pid}/status").read_text()
    told = dict(line.split(":", 1) for line in said.splitlines())
    return int(told["VmRSS"].split()[0]) / 1024.0, int(told["Threads"])


SMALL = """
import functools
_whole = functools.lru_cache
def _small(maxsize=128, typed=False):
    return _whole(max(maxsize // 16, 2) if isinstance(maxsize, int) else maxsize, typed)
functools.lru_cache = _small
from wheelgeo.built.kept import KeptOf
_begin = KeptOf.__init__
KeptOf.__init__ = lambda self, most: _begin(self, max(most // 16, 2))
"""
"""All that is remembered has a limit; with a sixteenth of each it is reached in dozens of steps."""


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="no system tells its memory")
def test_memory_and_threads_stay_over_hundreds_of_drags_undos_and_remedies(tmp_path):
    shutil.copy(DESIGNS / "box-wheel.toml", tmp_path)
    program = Served("box-wheel.toml", folder=tmp_path, first=SMALL)
    try:
        held = []
        for number in range(100):
            a_round(program, number)
            held.append(stands(program))
    finally:
        program.stop()
    assert len({threads for _, threads in held}) == 1
    memory = [mb for mb, _ in held]
    assert max(memory[50:]) < 1.05 * max(memory[30:50]), memory
