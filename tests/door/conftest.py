"""The shipped designs, and the program as somebody types it."""

import json
import sys
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo_cli import main

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


@pytest.fixture(params=sorted(DESIGNS.glob("*.toml")), ids=lambda path: path.stem)
def path(request):
    """The file of each shipped design in turn."""
    return request.param


@pytest.fixture
def box():
    """The box wheel."""
    return wheelgeo.load(DESIGNS / "box-wheel.toml")


@pytest.fixture
def printed(monkeypatch, capfdbinary):
    """Type a command with ``--json``; return the document."""

    def do(*words):
        monkeypatch.setattr(sys, "argv", ["wheelgeo", *map(str, words), "--json"])
        with pytest.raises(SystemExit):
            main.run()
        return json.loads(capfdbinary.readouterr().out)

    return do
