"""The program as somebody types it."""

import sys

import pytest

from wheelgeo_cli import main


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
