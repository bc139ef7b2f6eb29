"""The program as somebody types it."""

import os
import signal
import subprocess
import sys

import pytest

from wheelgeo_cli import main

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A job that a shell started in the background ignores interrupts, and so would every program
    # that the tests start and interrupt.
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture
def type_it(monkeypatch, capfdbinary):
    """Type a command in this process; return exit status, output and errors."""

    def do(*words):
        monkeypatch.setattr(sys, "argv", ["wheelgeo", *map(str, words)])
        with pytest.raises(SystemExit) as stop:
            main.run()
        out, err = capfdbinary.readouterr()
        return stop.value.code or 0, out.decode(), err.decode()

    return do


@pytest.fixture
def on_a_terminal():
    """Run the program on a pseudo-terminal of so many columns; return what it printed."""
    pty = pytest.importorskip("pty")

    def do(columns, *words, **environment):
        ours, theirs = pty.openpty()
        environment = {**os.environ, "TERM": "xterm", "COLUMNS": str(columns), **environment}
        code = "from wheelgeo_cli.main import run; run()"
        command = [sys.executable, "-c", code, *map(str, words)]
        with subprocess.Popen(command, stdout=theirs, stderr=theirs, env=environment) as process:
            os.close(theirs)
            said = b""
            while True:
                try:
                    piece = os.read(ours, 65536)
                except OSError:
                    break
                if not piece:
                    break
                said += piece
            process.wait()
        os.close(ours)
        return said.decode()

    return do
