"""As much of HTTP/1.1 as one page on one machine needs, with a limit on everything that comes in.

Read from RFC 9112: a request is a head (request line and fields, ended by an empty line) and, where
Content-Length says so, a body. No other form of body is taken. Whoever sends too much, too slowly
or in another form is refused and let go; whoever does not read is let go as well.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import field
from typing import Any, cast

from wheelgeo.immutable import dataclass

HEAD_BYTES = 16_384
BODY_BYTES = 2_000_000
"""A design file may have a million characters; no answer to a question is as long."""
CLIENTS = 256
"""Connections held at a time; a page has half a dozen."""
PLACE_S = 0.5
"""How long a newcomer waits for a place: those who have just gone may not be noticed yet."""
IDLE_S = 60.0
"""How long a connection may say nothing between two requests."""
READ_S = 10.0
"""How long one request may take to come in."""
WRITE_S = 20.0
"""How long one reply may take to be read."""
SAFE_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
        "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
"""Sent with every reply: nothing is fetched from elsewhere, framed, kept or guessed at."""
_WORDS = {
    200: "OK", 400: "Bad Request", 403: "Forbidden", 404: "Not Found", 405: "Method Not Allowed",
    413: "Content Too Large", 415: "Unsupported Media Type", 431: "Request Header Fields Too Large",
    500: "Internal Server Error", 503: "Service Unavailable",
}  # fmt: skip


@dataclass(frozen=True)
class PageRequest:
    """One request: method, path with its query, fields by lower-case name, body."""

    method: str
    path: str
    fields: Mapping[str, str]
    body: bytes = b""


@dataclass(frozen=True)
class Reply:
    """One reply: status, body and what kind of thing the body is."""

    status: int
    body: bytes = b""
    kind: str = "text/plain; charset=utf-8"
    headers: Mapping[str, str] = field(default_factory=dict)


class RefusedRequestError(Exception):
    """A request that is not taken; its status says why."""

    def __init__(self, status: int) -> None:
        super().__init__(_WORDS[status])
        self.status = status


Answering = Callable[[PageRequest], Awaitable[Reply]]
"""Gives the reply to a request."""


def json_reply(document: Any) -> Reply:
    """Return a document as a reply; ValueError where a number in it is not finite."""
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    # A file's name may hold half a character; JSON writes it as it does here, "\\udc80".
    return Reply(200, text.encode(errors="backslashreplace"), "application/json")


def refusal(status: int) -> Reply:
    """Return the reply to what is not taken: its status and no more."""
    return Reply(status, (_WORDS[status] + "\n").encode())


class Listener:
    """Takes connections and hands their requests to one function.

    Attributes:
        answer: gives the reply to a request.
    """

    def __init__(self, answer: Answering) -> None:
        self.answer = answer
        self._places = asyncio.Semaphore(CLIENTS)
        self._serving: set[asyncio.Task[None]] = set()
        self._strangers: dict[asyncio.StreamWriter, None] = {}  # the oldest first

    async def serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """Serve one connection until either side ends it."""
        placed = False
        task = cast("asyncio.Task[None]", asyncio.current_task())
        self._serving.add(task)
        try:
            placed = await self._place()
            if not placed:
                await _write(writer, refusal(503), keep=False)
                return
            self._strangers[writer] = None
            while await self._one(reader, writer):
                pass
        except (TimeoutError, ConnectionError, asyncio.IncompleteReadError):
            pass  # the other side is gone, or as good as gone: there is nobody left to tell
        except asyncio.CancelledError:
            pass  # the page is closed (see close): this task ends by itself, as if it were served
        finally:
            self._serving.discard(task)
            self._strangers.pop(writer, None)
            if placed:
                self._places.release()
            writer.transport.abort()

    def close(self) -> None:
        """Let go of every connection, whatever it waits for."""
        for task in self._serving:
            task.cancel()

    async def _place(self) -> bool:
        """Take a place; False where all are held, and held by those who know the key.

        Where all are held, the oldest connection that was never answered well is sent away: who
        holds the key is so let in, however many others hold connections open without a word.
        """
        if self._places.locked() and (oldest := next(iter(self._strangers), None)) is not None:
            del self._strangers[oldest]
            oldest.transport.abort()
        try:
            async with asyncio.timeout(PLACE_S):
                return await self._places.acquire()
        except TimeoutError:
            return False

    async def _one(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> bool:
        """Serve one request; tell whether another may come."""
        try:
            request = await read_request(reader)
        except RefusedRequestError as error:
            await _write(writer, refusal(error.status), keep=False)
            return False
        if request is None:
            return False
        reply = await self.answer(request)
        # After a refusal nothing that follows on the connection is trusted to be a request.
        if reply.status == 200:
            self._strangers.pop(writer, None)
        keep = reply.status == 200 and request.fields.get("connection", "").lower() != "close"
        await _write(writer, reply, keep, request.method == "HEAD")
        return keep


async def read_request(reader: asyncio.StreamReader) -> PageRequest | None:
    """Return the next request; None where the other side has ended.

    Raises:
        RefusedRequestError: it is too long or in no form that is taken.
        TimeoutError: it does not come.
    """
    async with asyncio.timeout(IDLE_S):
        first = await reader.read(1)
    if not first:
        return None
    if not first.isalpha():
        raise RefusedRequestError(400)
    async with asyncio.timeout(READ_S):
        try:
            head = first + await reader.readuntil(b"\r\n\r\n")
        except asyncio.LimitOverrunError:
            raise RefusedRequestError(431) from None
        if len(head) > HEAD_BYTES:
            raise RefusedRequestError(431)
        method, path, fields = _parsed(head)
        return PageRequest(method, path, fields, await _body(reader, fields))


def _parsed(head: bytes) -> tuple[str, str, dict[str, str]]:
    try:
        line, *rest = head.decode("ascii").split("\r\n")[:-2]
        method, path, version = line.split(" ")
    except (UnicodeDecodeError, ValueError):
        raise RefusedRequestError(400) from None
    if version not in ("HTTP/1.1", "HTTP/1.0") or not path.startswith("/"):
        raise RefusedRequestError(400)
    fields: dict[str, str] = {}
    for row in rest:
        name, colon, value = row.partition(":")
        name = name.lower()
        # A field twice, or one with blanks about its name, is how two readers are made to disagree.
        if not colon or not name or name != name.strip() or name in fields:
            raise RefusedRequestError(400)
        fields[name] = value.strip()
    return method, path, fields


async def _body(reader: asyncio.StreamReader, fields: Mapping[str, str]) -> bytes:
    if "transfer-encoding" in fields:
        raise RefusedRequestError(400)
    length = fields.get("content-length", "0")
    if not (length.isascii() and length.isdigit()) or len(length) > 12:
        raise RefusedRequestError(400)
    if int(length) > BODY_BYTES:
        raise RefusedRequestError(413)
    return await reader.readexactly(int(length))


async def _write(
    writer: asyncio.StreamWriter, reply: Reply, keep: bool, head_only: bool = False
) -> None:
    lines = [f"HTTP/1.1 {reply.status} {_WORDS[reply.status]}"]
    lines += [f"{name}: {value}" for name, value in {**SAFE_HEADERS, **reply.headers}.items()]
    lines += [f"Content-Type: {reply.kind}", f"Content-Length: {len(reply.body)}"]
    lines += [f"Connection: {'keep-alive' if keep else 'close'}", "", ""]
    writer.write("\r\n".join(lines).encode() + (b"" if head_only else reply.body))
    async with asyncio.timeout(WRITE_S):
        await writer.drain()
        if not keep:
            writer.close()
            await writer.wait_closed()
