"""What is taken as a request, where one ends and the next begins, and how a reply is framed.

Read as RFC 9112 and RFC 9110 have it. A head that they let a reader take for what it does not say
in so many words is refused: another reader may take it for something else.
"""

import asyncio
import contextlib
import http.client
import io
import json
import random
import socket

import pytest

from wheelgeo.page import http as page_http
from wheelgeo.page.http import HEAD_BYTES, Listener, Reply, json_reply

REFUSED = {b"400", b"405", b"413", b"431"}
HEAD = b"GET /a?b HTTP/1.1\r\nHost: here\r\nAccept: x, y\r\n\r\n"
ASK = b'POST /ask HTTP/1.1\r\nHost: here\r\nContent-Length: 7\r\n\r\n{"a":1}'


async def told_back(request):
    """Answer with what was taken of the request."""
    taken = {"method": request.method, "path": request.path, "fields": dict(request.fields)}
    return json_reply({**taken, "body": request.body.decode()})


async def conversation(pieces, answer, ends):
    faults, heard, loop = [], b"", asyncio.get_running_loop()
    loop.set_exception_handler(lambda _, context: faults.append(context))
    listener = Listener(answer)
    server = await asyncio.start_server(listener.serve, "127.0.0.1", 0, limit=HEAD_BYTES)
    with socket.socket() as line:
        line.setblocking(False)
        await loop.sock_connect(line, server.sockets[0].getsockname())
        with contextlib.suppress(ConnectionError):  # refused, it may be closed before all is said
            for piece in pieces:
                await loop.sock_sendall(line, piece)
                await asyncio.sleep(0.002)  # so that each comes by itself
            if ends:
                line.shutdown(socket.SHUT_WR)
        with contextlib.suppress(ConnectionError):
            async with asyncio.timeout(30):
                while piece := await loop.sock_recv(line, 65536):
                    heard += piece
    listener.close()
    server.close()
    await asyncio.sleep(0)
    assert not faults
    return heard


def say(*pieces, answer=told_back, ends=True):
    """Return all that comes back for these pieces, each sent by itself, until the line closes."""
    return asyncio.run(conversation(pieces, answer, ends))


def replies(said, *methods):
    """Take replies apart as the standard library's client does; None is left over."""
    stream, found = io.BytesIO(said), []

    class Line:
        def makefile(self, *_):
            return stream

    stream.close = lambda: None
    for method in methods:
        reply = http.client.HTTPResponse(Line(), method=method)
        reply.begin()
        found.append((reply.status, reply.read(), reply.headers))
    assert stream.read() == b""
    return found


def taken(raw):
    ((status, body, _),) = replies(say(raw), "POST")
    assert status == 200
    return json.loads(body)


def status(*pieces, ends=True):
    version, word, _ = say(*pieces, ends=ends).split(b" ", 2)
    assert version == b"HTTP/1.1"
    return int(word)


def test_a_request_is_read_in_whatever_pieces_it_comes():
    whole = taken(ASK)
    assert whole == {
        "method": "POST", "path": "/ask", "body": '{"a":1}',
        "fields": {"host": "here", "content-length": "7"},
    }  # fmt: skip
    for pieces in ([ASK[:n], ASK[n:]] for n in range(1, len(ASK))):
        ((_, body, _),) = replies(say(*pieces), "POST")
        assert json.loads(body) == whole
    ((_, body, _),) = replies(say(*(bytes([byte]) for byte in ASK)), "POST")
    assert json.loads(body) == whole


def test_requests_one_after_the_other_are_answered_in_their_order(monkeypatch):
    monkeypatch.setattr(page_http, "IDLE_S", 5.0)  # what has come already is not waited for
    last = HEAD.replace(b"/a?b", b"/c").replace(b"\r\n\r\n", b"\r\nConnection: close\r\n\r\n")
    said = replies(say(HEAD + ASK + last, ends=False), "GET", "POST", "GET")
    assert [json.loads(body)["path"] for _, body, _ in said] == ["/a?b", "/ask", "/c"]
    assert [fields.get("Connection") for *_, fields in said] == [None, None, "close"]


def test_head_is_answered_by_the_head_that_get_has():
    asked = HEAD.replace(b"GET", b"HEAD")
    (_, got, whole), (_, nothing, bare), (_, more, _) = replies(
        say(HEAD + asked + HEAD), "GET", "HEAD", "GET"
    )
    assert nothing == b""
    assert int(bare["Content-Length"]) == len(got) + 1  # it says HEAD, not GET
    assert bare.keys() == whole.keys()
    assert more == got
    # That nothing follows holds of a refusal too: a client would take its words for a new reply.
    ((refused, nothing, _),) = replies(say(asked.replace(b"/a?b", b"*")), "HEAD")
    assert (refused, nothing) == (400, b"")
    after = replies(say(asked + b"no request\r\n\r\n"), "HEAD", "GET")
    assert [bool(body) for _, body, _ in after] == [False, True]


@pytest.mark.parametrize("raw", [
    HEAD.replace(b"\r\n\r\n", b"\r\nConnection: close\r\n\r\n"),
    HEAD.replace(b"\r\n\r\n", b"\r\nConnection: x, Close\r\n\r\n"),
    HEAD.replace(b"HTTP/1.1", b"HTTP/1.0"),
])  # fmt: skip
def test_who_asks_for_one_reply_gets_one(raw):
    ((_, _, fields),) = replies(say(raw + HEAD, ends=False), "GET")
    assert fields["Connection"] == "close"


@pytest.mark.parametrize("raw", [HEAD.replace(b"HTTP/1.1", b"HTTP/1.0"), b"no request\r\n\r\n"])
def test_who_is_gone_before_the_reply_is_no_fault_of_ours(raw):
    async def gone():
        faults, ended = [], asyncio.Event()
        asyncio.get_running_loop().set_exception_handler(lambda _, context: faults.append(context))

        async def serve(reader, writer):
            await asyncio.sleep(0.05)  # until it is gone
            await Listener(told_back).serve(reader, writer)
            ended.set()

        server = await asyncio.start_server(serve, "127.0.0.1", 0)
        with socket.create_connection(server.sockets[0].getsockname()) as line:
            line.sendall(raw)
        async with asyncio.timeout(30):
            await ended.wait()
        server.close()
        return faults

    assert not asyncio.run(gone())


def test_nothing_is_read_after_a_refusal():
    async def refusing(_):
        return Reply(404, b"no")

    ((refused, body, fields),) = replies(say(HEAD + HEAD, answer=refusing, ends=False), "GET")
    assert (refused, body, fields["Connection"]) == (404, b"no", "close")
    ((refused, *_),) = replies(say(b"GET * HTTP/1.1\r\nHost: a\r\n\r\n" + HEAD, ends=False), "GET")
    assert refused == 400


@pytest.mark.parametrize("version", ["0.9", "1.2", "2.0", "9.9", "1", "11.1", "1.1 ", "1.1\t"])
def test_another_version_is_refused(version):
    assert status(f"GET / HTTP/{version}\r\nHost: a\r\n\r\n".encode()) == 400


@pytest.mark.parametrize("target", [
    "*", "http://here/", "here:80", "", "a", "/a b", "/é", "/\x01",
])  # fmt: skip
def test_a_target_that_is_no_path_is_refused(target):
    assert status(f"GET {target} HTTP/1.1\r\nHost: a\r\n\r\n".encode()) == 400


@pytest.mark.parametrize("target", ["here:80", "/"])
def test_no_way_through_is_opened(target):
    assert status(f"CONNECT {target} HTTP/1.1\r\nHost: a\r\n\r\n".encode()) == 405


@pytest.mark.parametrize("fields", [
    "", "Host: a\r\nHost: a\r\n", "Host: a\r\nhost: b\r\n", "Host: a\r\nX: 1\r\nx: 1\r\n",
    "Host : a\r\n", " Host: a\r\n", "Host: a\r\nX : 1\r\n", "Host: a\r\nX\r\n",
    "Host: a\r\n: 1\r\n", "Host: a\r\nX: \x00\r\n", "Host: a\r\nX: é\r\n", "Host: a\r\nX: 1\r2\r\n",
    "Host: a\r\nÉ: 1\r\n",
])  # fmt: skip
def test_fields_that_could_be_read_in_two_ways_are_refused(fields):
    assert status(f"GET / HTTP/1.1\r\n{fields}\r\n".encode()) == 400


@pytest.mark.parametrize("fields", [
    "Host: here\r\n .example.org\r\n", "Host: a\r\nX: 1\r\n\tY: 2\r\n", "Host: a\r\nX: 1\r\n \r\n",
    "Host: a\r\n Content-Length: 3\r\n",
])  # fmt: skip
def test_a_field_folded_over_two_lines_is_refused(fields):
    assert status(f"GET / HTTP/1.1\r\n{fields}\r\n".encode()) == 400


@pytest.mark.parametrize("raw", [
    b"GET / HTTP/1.1\nHost: a\n\n", b"GET / HTTP/1.0\n\n", b"GET / HTTP/1.1\r\nHost: a\n\r\n",
    b"GET / HTTP/1.1\r\nHost: a\r\n\n", b"GET / HTTP/1.1\nHost: a\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: a\nX: 1\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: a\nX: 1\r\n 2\r\n\r\n",  # as many ends of lines as there should be
    b"GET / HTTP/1.1\rHost: a\r\r", b"GET / HTTP/1.1\r\r\nHost: a\r\n\r\n", b"\r\n" + HEAD,
])  # fmt: skip
def test_a_line_that_does_not_end_as_it_should_is_refused(raw):
    assert status(raw) == 400


@pytest.mark.parametrize("coding", ["chunked", "Chunked", "gzip", "identity", "gzip, chunked", ""])
@pytest.mark.parametrize("length", ["", "Content-Length: 3\r\n"])
def test_a_body_in_another_form_is_refused(coding, length):
    head = f"POST / HTTP/1.1\r\nHost: a\r\n{length}Transfer-Encoding: {coding}\r\n\r\n".encode()
    assert status(head + b"3\r\nabc\r\n0\r\n\r\n", ends=False) == 400


@pytest.mark.parametrize("length", [
    "-1", "+1", "1.0", "1e1", "0x1", "1_0", "", "a", "1 0", "7, 7", "7,7", "7, 8", "١", "9" * 21,
    "7\r\nContent-Length: 7", "7\r\nContent-Length: 8",
])  # fmt: skip
def test_a_length_that_is_no_plain_number_is_refused(length):
    head = f"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: {length}\r\n\r\n".encode()
    assert status(head + b"x" * 8, ends=False) == 400


@pytest.mark.parametrize("length", ["2000001", "9" * 12, "9" * 20, "0" * 12 + "2000001"])
def test_a_body_that_is_too_long_is_refused_before_it_comes(length):
    head = f"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: {length}\r\n\r\n".encode()
    assert status(head, ends=False) == 413
    waits = head.replace(b"\r\n\r\n", b"\r\nExpect: 100-continue\r\n\r\n")
    assert status(waits, ends=False) == 413  # it is not told to go on


def test_a_body_of_the_longest_length_is_taken_whole():
    body = b"0123456789" * 200_000
    raw = b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 2000000\r\n\r\n" + body
    assert taken(raw)["body"].encode() == body


@pytest.mark.parametrize(("more", "meant"), [(0, 200), (1, 431), (1000, 431), (60_000, 431)])
def test_a_head_is_taken_up_to_its_length_and_no_further(more, meant):
    for raw in (b"GET /%s HTTP/1.1\r\nHost: a\r\n\r\n", HEAD.replace(b"x, y", b"%s")):
        filled = raw % (b"y" * (HEAD_BYTES - len(raw % b"") + more))
        assert status(filled) == meant
        assert status(filled[:9000], filled[9000:]) == meant
    # One that was sent before it does not count.
    filled = raw % (b"y" * (HEAD_BYTES - len(raw % b"") + more))
    assert [s for s, *_ in replies(say(HEAD + filled), "GET", "GET")] == [200, meant]


def test_who_waits_to_be_told_to_go_on_is_told_so():
    head, body = ASK.replace(b"\r\n\r\n", b"\r\nExpect: 100-continue\r\n\r\n").split(b"{")
    said = say(head, b"{" + body)
    go_on = b"HTTP/1.1 100 Continue\r\n\r\n"
    assert said.startswith(go_on + b"HTTP/1.1 200")
    # Who does not wait need not be told.
    assert say(head + b"{" + body).removeprefix(go_on).startswith(b"HTTP/1.1 200")


def test_another_protocol_is_not_taken_up_and_the_line_is_kept():
    asks = b"\r\nConnection: Upgrade, HTTP2-Settings\r\nUpgrade: h2c, websocket\r\n\r\n"
    said = replies(say(HEAD.replace(b"\r\n\r\n", asks) + HEAD), "GET", "GET")
    assert [s for s, *_ in said] == [200, 200]


@pytest.mark.parametrize("raw", [HEAD[:1], HEAD[:-1], ASK[:-1]])
def test_a_request_that_breaks_off_is_refused(raw):
    assert status(raw) == 400


def test_a_line_on_which_nothing_is_said_is_closed_without_a_word():
    assert say() == b""
    assert replies(say(HEAD), "GET")[0][0] == 200


@pytest.mark.parametrize("raw", [b"", HEAD[:1], HEAD[:-1], ASK[:-1], HEAD])
def test_who_says_no_more_is_let_go_in_time(monkeypatch, raw):
    monkeypatch.setattr(page_http, "IDLE_S", 0.5)
    monkeypatch.setattr(page_http, "READ_S", 0.5)
    said = say(raw, ends=False)
    assert said.startswith(b"HTTP/1.1 200") == (raw == HEAD)
    assert bool(said) == (raw == HEAD)


def test_who_says_a_little_at_a_time_is_let_go_in_time_too(monkeypatch):
    monkeypatch.setattr(page_http, "READ_S", 0.2)
    slowly = [ASK[:20], *(bytes([byte]) for byte in ASK[20:])] + [b""] * 400
    assert say(*slowly[:30], *[b""] * 200, *slowly[30:]) == b""


def until_let_go(raw, answer=told_back, goes_on=b""):
    """Say something, and the rest over and over, and read nothing until the line is let go."""
    ended = asyncio.Event()

    async def unread():
        listener = Listener(answer)

        async def serve(reader, writer):
            await listener.serve(reader, writer)
            ended.set()

        server = await asyncio.start_server(serve, "127.0.0.1", 0, limit=HEAD_BYTES)
        address = server.sockets[0].getsockname()
        _, writer = await asyncio.open_connection(*address, limit=1)
        writer.write(raw)
        async with asyncio.timeout(30):
            while goes_on and not ended.is_set():
                writer.write(goes_on)
                await asyncio.sleep(0.002)
            await ended.wait()
        writer.transport.abort()
        server.close()

    asyncio.run(unread())


def test_who_does_not_read_is_let_go_in_time(monkeypatch):
    monkeypatch.setattr(page_http, "WRITE_S", 0.2)

    async def much(_):
        return Reply(200, b"x" * 50_000_000)

    until_let_go(HEAD, much)


@pytest.mark.parametrize(("bound", "most"), [("LEFT_S", 0.2), ("LEFT_BYTES", 50_000)])
def test_who_sends_on_after_a_refusal_is_let_go(monkeypatch, bound, most):
    for name in ("LEFT_S", "LEFT_BYTES"):
        monkeypatch.setattr(page_http, name, most if name == bound else 1e12)
    head = b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 999999999\r\n\r\n"
    until_let_go(head, goes_on=b"x" * 1000)


def test_whatever_is_said_is_refused_or_read_as_another_reader_reads_it():
    """Requests spoilt at random, held against the standard library's own reader of fields."""
    chance = random.Random(11)
    bits = [b"\r\n", b"\n", b"\r", b" ", b"\t", b":", b",", b"\x00", b"\x0b", b"\x1c", b"\x7f",
            b"\xe9", b"0", b"7", b"Host: b\r\n", b"Content-Length: 7\r\n", b"\r\n X: 1", b"/", b"*",
            b"Transfer-Encoding: chunked\r\n", b"HTTP/1.0",
            b"Expect: 100-continue\r\n"]  # fmt: skip
    counts = {True: 0, False: 0}
    for _ in range(400):
        raw = bytearray(chance.choice([HEAD, ASK, HEAD + ASK]))
        for _ in range(chance.randint(1, 3)):
            at = chance.randrange(len(raw))
            raw[at : at + chance.choice([0, 0, 1, 2, 9])] = chance.choice(bits)
        said = say(bytes(raw)).removeprefix(b"HTTP/1.1 100 Continue\r\n\r\n")
        good = said.startswith(b"HTTP/1.1 200")
        counts[good] += 1
        if not good:
            assert said[9:12] in REFUSED, raw
            continue
        reply = said[said.index(b"\r\n\r\n") + 4 :]
        first, _ = json.JSONDecoder().raw_decode(reply.decode())
        line, _, rest = bytes(raw).partition(b"\r\n")
        stream = io.BytesIO(rest)
        fields = {k.lower(): v.strip() for k, v in http.client.parse_headers(stream).items()}
        assert line.startswith(f"{first['method']} {first['path']} HTTP/1.".encode()), raw
        assert first["fields"] == fields, raw
        assert first["body"].encode() == stream.read(int(fields.get("content-length", "0"))), raw
    assert min(counts.values()) > 40, counts
