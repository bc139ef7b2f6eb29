"""From a design file, or its text, to a wheel: what ``wheelgeo.load`` and ``read`` do."""

from __future__ import annotations

import os
from pathlib import Path

from wheelgeo.door import door
from wheelgeo.errors import DesignError
from wheelgeo.wheel import Wheel


@door(DesignError)
def load(path: str | os.PathLike[str]) -> Wheel:
    """Return the wheel of a design file.

    Args:
        path: the file, TOML in UTF-8.

    Raises:
        DesignError: the file cannot be read, or is at fault; holds every fault found.
    """
    from wheelgeo.design.reader import parse_design, read_text

    text = read_text(Path(path))
    return Wheel(parse_design(text, str(path)), text, str(path))


@door(DesignError)
def read(text: str, source: str = "") -> Wheel:
    """Return the wheel of the text of a design file.

    Args:
        text: TOML.
        source: what messages call it.

    Raises:
        DesignError: the text is at fault; holds every fault found.
    """
    from wheelgeo.design.reader import parse_design

    return Wheel(parse_design(text, source), text, source)
