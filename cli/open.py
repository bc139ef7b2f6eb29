"""``wheelgeo open``: the bench page, on which a wheel is seen, changed and sent to the bench."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from wheelgeo_cli.arguments import Argument, Option
from wheelgeo_cli.terminal import told, write


def open(
    file: Annotated[
        Path | None, Argument(metavar="[FILE]", help="The design file of a wheel (TOML).")
    ] = None,
    port: Annotated[
        int, Option("--port", help="Port to serve on; 0 for any free one.", min=0, max=65535)
    ] = 0,
    browser: Annotated[
        bool, Option("--browser/--no-browser", help="Open the page in the browser.")
    ] = True,
) -> None:
    """A page on this machine: see the wheel, drag a size, and watch all of it answer.

    Prints the page's address first. Nobody but this machine can open it, and it asks nobody
    anything. It stops when this command does (Ctrl-C).
    """
    import asyncio
    import sys

    from wheelgeo.page.desk import Desk
    from wheelgeo.page.serve import BenchPage, serve

    desk = Desk(Path.cwd())
    if file is not None:
        desk.lay_file(file)

    def ready(address: str) -> None:
        write(sys.stdout, address + "\n")
        with told(sys.stdout):
            sys.stdout.flush()
        if browser:
            import threading
            import webbrowser

            threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()

    asyncio.run(serve(BenchPage(desk), port, ready))
