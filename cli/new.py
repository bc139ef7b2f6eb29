"""``wheelgeo new``: start a design from a shipped one, comments and all."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wheelgeo_cli.common import console, quoted


def _shipped(incomplete: str) -> list[str]:
    """Return the shipped designs that a shell may complete to."""
    from wheelgeo.design.library import shipped_designs

    return [name for name in shipped_designs() if name.startswith(incomplete)]


def new(
    name: Annotated[
        str,
        typer.Argument(metavar="NAME", help="Name of the new wheel; NAME.toml is written here."),
    ],
    like: Annotated[
        str,
        typer.Option(
            "--like",
            metavar="DESIGN",
            help="Shipped design, or a file, to start from.",
            autocompletion=_shipped,
        ),
    ] = "box-wheel",
    to: Annotated[
        Path, typer.Option("--to", metavar="FOLDER", help="Folder to write the file to.")
    ] = Path(),
) -> None:
    """Start a design file of your own from a shipped design, with its comments."""
    from wheelgeo.design.library import start_design

    written = start_design(name, like, to)
    console().print(
        f"{written} written. Change it, then: wheelgeo solve {quoted(written)}"
    )
