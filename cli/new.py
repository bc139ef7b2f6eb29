"""``wheelgeo new``: start a design from a shipped one, comments and all."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from wheelgeo_cli.arguments import Argument, Option
from wheelgeo_cli.common import console, quoted


def _shipped(incomplete: str) -> list[str]:
    """Return the shipped designs that a shell may complete to."""
    from wheelgeo.design.library import shipped_designs

    return [name for name in shipped_designs() if name.startswith(incomplete)]


def new(
    name: Annotated[
        str,
        Argument(metavar="NAME", help="Name of the new wheel; NAME.toml is written here."),
    ],
    like: Annotated[
        str,
        Option(
            "--like",
            metavar="DESIGN",
            help="Shipped design, or a file, to start from.",
            complete=_shipped,
        ),
    ] = "",
    brief: Annotated[
        bool, Option("--brief", help="Start a brief for `wheelgeo size`, instead.")
    ] = False,
    to: Annotated[
        Path, Option("--to", metavar="FOLDER", help="Folder to write the file to.")
    ] = Path(),
) -> None:
    """Start a design file of your own from a shipped design, with its comments.

    Without --like it starts from box-wheel, or with --brief from the brief class-box.
    """
    from wheelgeo.design.library import start_design

    start = like or ("class-box" if brief else "box-wheel")
    written = start_design(name, start, to, brief)
    console().print(
        f"{written} written. Change it, then: wheelgeo {'size' if brief else 'solve'} "
        f"{quoted(written)}"
    )
