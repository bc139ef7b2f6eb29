"""Requests and replies of one page on one machine, with a limit on everything that comes in.

What a request is, where it ends and how a reply is written is h11's to know (RFC 9112). Ours is
what is taken of it: a head and, where Content-Length says so, a body. Whoever sends too much, too
slowly or in another form is refused and let go; whoever does not read is let go as well.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import field
from typing import Any, cast

import h11

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
LEFT_S = 5.0
"""How long what still comes is let go by once a line is ended here. Who sends a long body reads no
reply before the end of it, and where the line is broken off meanwhile none at all."""
LEFT_BYTES = 64_000_000
"""How much of it is let go by: some thirty times what is taken."""
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
    200: "OK", 308: "Permanent Redirect", 400: "Bad Request", 403: "Forbidden", 404: "Not Found",
    405: "Method Not Allowed", 413: "Content Too Large", 415: "Unsupported Media Type",
    431: "Request Header Fields Too Large", 500: "Internal Server Error",
    503: "Service Unavailable",
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
        line = _Line(reader, writer)
        placed = False
        task = cast("asyncio.Task[None]", asyncio.current_task())
        self._serving.add(task)
        try:
            placed = await self._place()
            if not placed:
                await line.send(refusal(503))
                return
            self._strangers[writer] = None
            while await self._one(line, writer):
                pass
        except (TimeoutError, ConnectionError):
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

    async def _one(self, line: _Line, writer: asyncio.StreamWriter) -> bool:
        """Serve one request; tell whether another may come."""
        try:
            request = await line.request()
        except RefusedRequestError as error:
            return await line.send(refusal(error.status))
        if request is None:
            return False
        reply = await self.answer(request)
        if reply.status == 200:
            self._strangers.pop(writer, None)
        return await line.send(reply)


class _Line:
    """One connection: requests come out of it and replies go into it, as h11 reads and writes them.

    Args:
        reader: what comes in.
        writer: what goes out.
    """

    def __init__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._reader = reader
        self._writer = writer
        writer.transport.set_write_buffer_limits(0)  # what is drained is sent
        self._protocol = h11.Connection(h11.SERVER, max_incomplete_event_size=HEAD_BYTES)
        self._head_only = False

    async def request(self) -> PageRequest | None:
        """Return the next request; None where the other side has ended.

        Raises:
            RefusedRequestError: it is too long or in no form that is taken.
            TimeoutError: it does not come.
        """
        if not self._unread():
            async with asyncio.timeout(IDLE_S):
                await self._hear()
        async with asyncio.timeout(READ_S):
            try:
                return await self._whole()
            except h11.RemoteProtocolError as error:
                raise RefusedRequestError(431 if error.error_status_hint == 431 else 400) from None

    async def send(self, reply: Reply) -> bool:
        """Send a reply; tell whether another request may come.

        Raises:
            TimeoutError: it is not read.
        """
        headers = {**SAFE_HEADERS, **reply.headers}
        headers |= {"Content-Type": reply.kind, "Content-Length": str(len(reply.body))}
        if reply.status != 200:
            # After a refusal nothing that follows on the connection is trusted to be a request.
            headers["Connection"] = "close"
        events = (
            h11.Response(
                status_code=reply.status, reason=_WORDS[reply.status], headers=[*headers.items()]
            ),
            h11.Data(b"" if self._head_only else reply.body),
            h11.EndOfMessage(),
        )
        self._writer.write(b"".join(self._protocol.send(event) for event in events))
        async with asyncio.timeout(WRITE_S):
            await self._writer.drain()
        if self._protocol.our_state is h11.MUST_CLOSE:
            await self._end()
            return False
        self._protocol.start_next_cycle()
        self._head_only = False
        return True

    async def _end(self) -> None:
        """End the line so that what was sent on it is read: the other side may still be speaking.

        Raises:
            ConnectionError: it is gone while it was speaking.
            TimeoutError: what was sent is not read.
        """
        try:
            self._writer.write_eof()
        except OSError:
            return  # it is gone already
        left = LEFT_BYTES
        try:
            async with asyncio.timeout(LEFT_S):
                while left > 0 and (heard := await self._reader.read(HEAD_BYTES)):
                    left -= len(heard)
        except TimeoutError:
            pass  # it has had its time to end
        async with asyncio.timeout(WRITE_S):
            self._writer.close()
            await self._writer.wait_closed()

    async def _whole(self) -> PageRequest | None:
        asked, written = await self._event()
        if not isinstance(asked, h11.Request):
            return None
        self._head_only = asked.method == b"HEAD"
        fields = _taken(asked, written)
        body = bytearray()
        while isinstance(part := (await self._event())[0], h11.Data):
            body += part.data
        return PageRequest(asked.method.decode(), asked.target.decode(), fields, bytes(body))

    async def _event(self) -> tuple[object, bytes]:
        """Return what comes next, part of a request or the end, and how it was written."""
        while True:
            heard = self._unread()
            event = self._protocol.next_event()
            if event is not h11.NEED_DATA:
                return event, heard[: len(heard) - len(self._unread())]
            if self._protocol.they_are_waiting_for_100_continue:
                go_on = h11.InformationalResponse(status_code=100, reason="Continue", headers=[])
                self._writer.write(self._protocol.send(go_on))
            await self._hear()

    async def _hear(self) -> None:
        self._protocol.receive_data(await self._reader.read(HEAD_BYTES))

    def _unread(self) -> bytes:
        return self._protocol.trailing_data[0]


def _taken(asked: h11.Request, written: bytes) -> dict[str, str]:
    """Return the fields of a head by their names.

    Raises:
        RefusedRequestError: it is a head that is not taken.
    """
    if len(written) > HEAD_BYTES:
        raise RefusedRequestError(431)
    if asked.method == b"CONNECT":  # asks for a way through to elsewhere: there is none
        raise RefusedRequestError(405)
    try:
        fields = {name.decode("ascii"): value.decode("ascii") for name, value in asked.headers}
    except UnicodeDecodeError:
        raise RefusedRequestError(400) from None
    if (
        asked.http_version not in (b"1.0", b"1.1")
        or not asked.target.startswith(b"/")
        # A field twice is how two readers are made to disagree.
        or len(fields) < len(asked.headers)
        or not _read_as_written(asked, written)
        or "transfer-encoding" in fields
    ):
        raise RefusedRequestError(400)
    if int(fields.get("content-length", "0")) > BODY_BYTES:
        raise RefusedRequestError(413)
    return fields


def _read_as_written(asked: h11.Request, written: bytes) -> bool:
    """Tell whether a head says what was read of it in so many words, but for blanks.

    Some heads have a meaning by RFC 9112 that another reader may not find in them: a field folded
    over two lines, a line ended by LF alone, one length told twice.
    """
    rows = [b"%s:%s" % row for row in asked.headers.raw_items()]
    line = b"%s %s HTTP/%s" % (asked.method, asked.target, asked.http_version)
    read = b"\r\n".join([line, *rows, b"", b""])
    return read.translate(None, b" \t") == written.translate(None, b" \t")
