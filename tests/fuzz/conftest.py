"""The program typed in this process, for very many files."""

import contextlib
import io
import sys

import pytest

from wheelgeo_cli import main


class _Bytes(io.TextIOWrapper):
    """A text stream over memory, as standard output is one over a file."""

    def __init__(self):
        super().__init__(io.BytesIO(), encoding="utf-8", write_through=True)

    def text(self):
        return self.buffer.getvalue().decode()


@pytest.fixture
def typed(monkeypatch):
    """Type a command; return exit status, output and errors. Whatever is no exit is raised."""

    def do(*words):
        monkeypatch.setattr(sys, "argv", ["wheelgeo", *map(str, words)])
        out, err = _Bytes(), _Bytes()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                main.run()
            except SystemExit as stop:
                return stop.code or 0, out.text(), err.text()
        raise AssertionError("the program does not end by an exit status")

    return do
