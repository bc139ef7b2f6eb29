"""The page as it is served: to this machine alone, to those who have its key, and to no other page.

The key stands in the address. Host and Origin are held against the address, so that a page from
elsewhere that this machine's browser shows can neither read nor ask anything here, whatever name it
gives this machine. Nothing is sent out, nothing is kept.
"""

from __future__ import annotations

import asyncio
import gc
import hmac
import json
import secrets
import traceback
from collections.abc import Callable
from importlib import resources
from typing import Any

from wheelgeo.errors import OutputError
from wheelgeo.page.desk import SLOW, Desk
from wheelgeo.page.http import (
    HEAD_BYTES,
    Listener,
    PageRequest,
    Reply,
    json_reply,
    refusal,
)
from wheelgeo.page.reading import BadAskError
from wheelgeo.page.threads import AnsweringThreads

LOOPBACK = "127.0.0.1"
_KINDS = {
    "html": "text/html; charset=utf-8", "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8", "svg": "image/svg+xml",
}  # fmt: skip
_KEY_BYTES = 16
_SLOW_AT_ONCE = 2
REST_S = 0.5
"""When the hand is taken to rest, s after the last answer: then garbage is collected, so that no
step of the hand is held up by it."""
_GONE = Reply(403, b"""<!doctype html>
<html lang="en"><meta charset="utf-8"><meta name="color-scheme" content="light dark">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Nothing is open here</title>
<main><h1>Nothing is open under this address</h1>
<p>The bench page has another address each time that it is opened.</p>
<p>To come back to a wheel that a link holds: copy the link, start <code>wheelgeo open</code> in a
terminal, and paste the link there, under &ldquo;A link that holds a wheel&rdquo;.</p></main>
</html>
""", _KINDS["html"])
"""Told under every wrong key alike: how to come back, and nothing of what is open."""


class BenchPage:
    """The page of one desk.

    Attributes:
        desk: the wheels on it.
        complain: tells a mistake of the program to whoever sits at the terminal.
        key: what an address must hold.
        hosts: the names under which it may be asked, port included.
    """

    def __init__(self, desk: Desk, complain: Callable[[str], None], key: str = "") -> None:
        self.desk = desk
        self.complain = complain
        self.key = key or secrets.token_urlsafe(_KEY_BYTES)
        self.hosts: tuple[str, ...] = ()
        self._files = _page_files()
        # Quick questions are answered one after the other, by one thread, so that a step is a step;
        # searches go beside them and only look.
        self._quick = AnsweringThreads(1, "quick", gc.collect, REST_S)
        self._slow = AnsweringThreads(_SLOW_AT_ONCE, "slow")

    def listening_on(self, port: int) -> str:
        """Take a port as its own; return the address of the page."""
        self.hosts = (f"{LOOPBACK}:{port}", f"localhost:{port}")
        return f"http://{LOOPBACK}:{port}/{self.key}/"

    async def answer(self, request: PageRequest) -> Reply:
        """Return the reply to a request: a file of the page, an answer, or a bare refusal."""
        fields = request.fields
        if fields.get("host") not in self.hosts:
            return refusal(403)
        origin = fields.get("origin")
        if origin is not None and origin not in {f"http://{host}" for host in self.hosts}:
            return refusal(403)
        # Compared in constant time, so that the time of a refusal tells nothing about the key.
        path = request.path.partition("?")[0]
        key, slash, rest = path.removeprefix("/").partition("/")
        if not hmac.compare_digest(key.encode(), self.key.encode()):
            return refusal(403) if request.method == "POST" else _GONE
        if request.method == "POST":
            return await self._asked(rest, request, origin)
        if request.method not in ("GET", "HEAD"):
            return refusal(405)
        return self._file(rest) if slash else Reply(308, headers={"Location": f"/{self.key}/"})

    def _file(self, name: str) -> Reply:
        """Return a file of the page; only the names of its own are known: none leads elsewhere."""
        return self._files.get(name or "index.html") or refusal(404)

    async def _asked(self, rest: str, request: PageRequest, origin: str | None) -> Reply:
        if origin is None:
            return refusal(403)
        if request.fields.get("content-type") != "application/json":
            return refusal(415)
        question = rest.removeprefix("ask/")
        try:
            ask = json.loads(request.body, parse_constant=_no_number)
            if not isinstance(ask, dict):
                return refusal(400)
            self.desk.newest.comes(ask)
            threads = self._slow if question in SLOW else self._quick
            loop = asyncio.get_running_loop()
            return await loop.run_in_executor(threads, self._say, question, ask)
        except (BadAskError, ValueError, RecursionError):
            return refusal(400)

    def _say(self, question: str, ask: dict[str, Any]) -> Reply:
        try:
            return json_reply(self.desk.ask(question, ask))
        except BadAskError:
            raise
        except Exception:
            # A mistake of ours is told in the terminal, whole, and the page goes on.
            self.complain(traceback.format_exc())
            return refusal(500)


def _no_number(word: str) -> None:
    """Refuse NaN and infinities, which JSON does not know."""
    raise ValueError(word)


def _page_files() -> dict[str, Reply]:
    """Return the page's own files by name, read once."""
    found = {}
    for file in resources.files("wheelgeo.page").joinpath("files").iterdir():
        kind = _KINDS.get(file.name.rpartition(".")[2])
        if kind is not None:
            found[file.name] = Reply(200, file.read_bytes(), kind)
    return found


async def serve(
    page: BenchPage, port: int, ready: Callable[[str], None], ended: asyncio.Event
) -> None:
    """Serve a page until it is to end; what a thread still computes is not waited for.

    Args:
        page: the page.
        port: port to take; 0 for any free one.
        ready: called with the address, once it can be opened.
        ended: set when it is to end.

    Raises:
        OutputError: the port cannot be had.
    """
    listener = Listener(page.answer)
    try:
        server = await asyncio.start_server(
            listener.serve, LOOPBACK, port, limit=HEAD_BYTES, backlog=256
        )
    except (OSError, OverflowError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise OutputError(f"port {port} cannot be had: {reason}") from error
    ready(page.listening_on(server.sockets[0].getsockname()[1]))
    await ended.wait()
    server.close()
    listener.close()
