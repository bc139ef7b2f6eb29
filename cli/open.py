"""``wheelgeo open``: the bench page, on which a wheel is seen, changed and sent to the bench."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

from wheelgeo_cli.arguments import Argument, Option
from wheelgeo_cli.terminal import say, told, write

if TYPE_CHECKING:
    from wheelgeo.page.desk import Desk
    from wheelgeo.page.serve import BenchPage

COLLECTIONS = (100_000, 2, 2)
"""Objects left over between two collections of garbage, and how many of these make a larger one.

A step of the hand leaves some ten thousand that hold one another; they are searched for whenever
the hand rests. Where it never rests these bounds hold: some tens of MB are left over at most."""
_INTERRUPTED = 130
"""Exit status: 128 and the number of SIGINT, as shells count it."""
_WRITING_S = 0.5
"""How long the end waits for a file that is being written, s; a whole set takes a tenth of it."""
_WORDS_S = 0.6
"""When no further wheel is told as a link, s after the end was asked for."""


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
    anything. It stops when this command does (Ctrl-C), which then prints a link for each wheel
    that is in no file, to come back to it.
    """
    import asyncio
    import gc
    import sys

    from wheelgeo.page.desk import Desk
    from wheelgeo.page.serve import BenchPage

    desk = Desk(Path.cwd())
    if file is not None:
        desk.lay_file(file)

    def ready(address: str) -> None:
        # A program that goes on for hours gives back what a step of the hand leaves behind, and
        # what is loaded by now is not searched for it again and again.
        gc.freeze()
        gc.set_threshold(*COLLECTIONS)
        write(sys.stdout, address + "\n")
        with told(sys.stdout):
            sys.stdout.flush()
        if browser:
            import threading
            import webbrowser

            threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()

    asyncio.run(_serve_until_interrupted(BenchPage(desk, say), port, ready))
    _end(desk)


async def _serve_until_interrupted(
    page: BenchPage, port: int, ready: Callable[[str], None]
) -> None:
    """Serve a page until the terminal, or whoever else may, asks for its end."""
    import asyncio
    import signal

    from wheelgeo.design.unbroken import ENDING
    from wheelgeo.page.serve import serve

    ended, loop = asyncio.Event(), asyncio.get_running_loop()

    def end(number: int, _: object) -> None:
        signal.signal(number, signal.SIG_DFL)  # who asks a second time waits for nothing
        loop.call_soon_threadsafe(ended.set)

    for name in ENDING:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, end)
    await serve(page, port, ready, ended)


def _end(desk: Desk) -> NoReturn:
    """End the program: no file half written, what is lost told, whatever is still computed."""
    import os
    import sys
    import time

    from wheelgeo.page.links import IN_ADDRESS

    latest = time.monotonic() + _WORDS_S
    # Never given back: what has not begun to write by now begins no more.
    desk.writing.acquire(timeout=_WRITING_S)
    lost = desk.unkept()
    for opened in lost:
        say(f"wheelgeo: not kept: {opened.now.title} ({opened.lies_in})")
    if lost:
        say('To have it back, run "wheelgeo open" and paste under "A link that holds a wheel":')
    for opened in lost:
        if time.monotonic() > latest:
            say("There was no time to write down the rest of them.")
            break
        say(f"#{IN_ADDRESS}{opened.link()}")
    # Python's own end would wait for threads, or kill them within a library of C.
    sys.stdout.flush()
    os._exit(_INTERRUPTED)
