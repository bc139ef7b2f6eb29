"""`wheelgeo open` as a program: what it prints, how it ends, what it leaves unloaded."""

import shutil
import signal
import socket
import subprocess
import sys

import pytest

from tests.page.conftest import DESIGNS, Served

CODE = "from wheelgeo_cli.main import run; run()"


def run(*words, folder):
    return subprocess.run(
        [sys.executable, "-c", CODE, "open", *words, "--no-browser"],
        capture_output=True, text=True, cwd=folder, timeout=120, check=False,
    )  # fmt: skip


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is another thing there")
def test_it_prints_its_address_and_ends_with_the_terminal(tmp_path):
    served = Served(folder=tmp_path)
    try:
        assert served.ask("start")["wheels"] == []
        assert served.get(f"{served.key}/")[0] == 200
    finally:
        served.process.send_signal(signal.SIGINT)
    out, err = served.process.communicate(timeout=60)
    assert (served.process.returncode, out, err) == (130, "", "")


def test_two_keys_are_never_the_same(tmp_path):
    one, two = Served(folder=tmp_path), Served(folder=tmp_path)
    try:
        assert one.key != two.key
        assert len(one.key) >= 22
        assert two.post(f"{one.key}/ask/start", {})[0] == 403
    finally:
        one.stop()
        two.stop()


def test_a_port_that_is_taken_is_named(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        done = run("--port", port, folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert f"port {port} cannot be had" in done.stderr


def test_a_file_at_fault_is_told_as_by_every_command(tmp_path):
    (tmp_path / "bad.toml").write_text("title = 3\n")
    done = run("bad.toml", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "bad.toml has" in done.stderr
    assert "Traceback" not in done.stderr
    assert run("none.toml", folder=tmp_path).returncode == 2


def test_it_listens_to_this_machine_alone(tmp_path):
    served = Served(folder=tmp_path)
    try:
        for name in {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None)}:
            if name.startswith("127.") or ":" in name:
                continue
            with pytest.raises(OSError):  # noqa: PT011 - refused or unreachable, as the system says
                socket.create_connection((name, served.port), timeout=2).close()
    finally:
        served.stop()


def test_other_commands_load_nothing_of_the_page(tmp_path):
    shutil.copy(DESIGNS / "box-wheel.toml", tmp_path)
    code = (
        "import sys; from wheelgeo_cli.main import run\n"
        "try: run()\n"
        "except SystemExit: pass\n"
        "print([m for m in sys.modules if m.startswith(('wheelgeo.page', 'asyncio'))])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "solve", "box-wheel.toml"],
        capture_output=True, text=True, cwd=tmp_path, check=True,
    )  # fmt: skip
    assert done.stdout.splitlines()[-1] == "[]"
