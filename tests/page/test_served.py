"""The page is for this machine, for its own key and its own page; nobody hangs it."""

import json
import socket
import struct
import urllib.request
from pathlib import Path

import pytest

from tests.page.conftest import Served
from wheelgeo import page


def talk(served, data, patience=30.0):
    """Send raw bytes; return what comes back until the other side ends."""
    with socket.create_connection(("127.0.0.1", served.port), timeout=patience) as line:
        line.sendall(data)
        got = b""
        try:
            while piece := line.recv(65536):
                got += piece
        except ConnectionResetError:
            pass
        return got


def head(served, path="", method="GET", **fields):
    lines = [f"{method} /{served.key}/{path} HTTP/1.1", f"Host: 127.0.0.1:{served.port}"]
    lines += [f"{name.replace('_', '-')}: {value}" for name, value in fields.items()]
    return "\r\n".join([*lines, "", ""]).encode()


def test_the_page_comes_with_everything_it_needs(served):
    status, body, fields = served.get(f"{served.key}/")
    assert status == 200
    assert b"<title>" in body
    policy = fields["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    names = {path.name for path in (Path(page.__file__).parent / "files").iterdir()}
    assert names > {"index.html", "bench.css", "bench.js"}
    for name in names - {"index.html"}:
        assert served.get(f"{served.key}/{name}")[0] == 200, name
        assert b"http://" not in served.get(f"{served.key}/{name}")[1].replace(
            b"http://www.w3.org/2000/svg", b""
        )


def test_an_address_without_its_last_stroke_leads_to_the_page(served):
    """As a browser does, which goes where it is sent; from there the page names what it fetches."""
    with urllib.request.urlopen(f"{served.origin}/{served.key}", timeout=30) as reply:
        assert reply.url == f"{served.origin}/{served.key}/"
        assert b"<title>" in reply.read()


@pytest.mark.parametrize("key", ["", "x", "X" * 22, "../", "%2e%2e", "é"])
def test_without_the_key_there_is_nothing(served, key):
    raw = f"GET /{key}/ HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\n\r\n".encode()
    reply = talk(served, raw)
    assert reply.startswith((b"HTTP/1.1 403", b"HTTP/1.1 400"))
    assert served.key.encode() not in reply
    if reply.startswith(b"HTTP/1.1 403"):  # how to come back to a wheel, and nothing of this one
        assert b"start <code>wheelgeo open</code>" in reply
        assert b"Larkfield" not in reply
        assert b"<script" not in reply


@pytest.mark.parametrize("path", [
    "../serve.py", "..%2fserve.py", "files/../../desk.py", "/etc/passwd", "bench.js/..", ".", "..",
    "index.html/", "ask/show", "__init__.py",
])  # fmt: skip
def test_a_path_leads_to_the_page_s_own_files_alone(served, path):
    assert talk(served, head(served, path)).startswith(b"HTTP/1.1 404")


@pytest.mark.parametrize("headers", [
    {"Origin": "http://example.org"}, {"Origin": "null"}, {"Origin": "http://127.0.0.1:1"},
    {"Host": "example.org"}, {"Host": "127.0.0.1:1"},
])  # fmt: skip
def test_another_page_can_neither_ask_nor_read(served, headers):
    body = {"wheel": "1"}
    assert served.post(f"{served.key}/ask/show", body, **headers)[0] == 403
    assert served.get(f"{served.key}/", **headers)[0] == 403


def test_a_question_without_an_origin_or_as_a_form_is_refused(served):
    body = json.dumps({"wheel": "1"}).encode()
    raw = head(
        served, "ask/show", "POST", Content_Type="application/json", Content_Length=len(body)
    )
    assert talk(served, raw + body).startswith(b"HTTP/1.1 403")
    kind = {"Content-Type": "text/plain"}
    assert served.post(f"{served.key}/ask/show", {"wheel": "1"}, **kind)[0] == 415


@pytest.mark.parametrize("raw", [
    b"\r\n\r\n", b"GET\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n", b"\x16\x03\x01\x02\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", b"GET / HTTP/1.1\r\nHost : a\r\n\r\n",
    b"POST / HTTP/1.1\r\nContent-Length: -1\r\n\r\n", b"GET http://x/ HTTP/1.1\r\n\r\n",
    b"POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
])  # fmt: skip
def test_what_is_no_request_is_refused(served, raw):
    assert talk(served, raw).startswith(b"HTTP/1.1 400")


def test_too_much_is_refused_before_it_is_read(served):
    raw = head(served, "ask/show", "POST", Content_Length=10_000_000)
    assert talk(served, raw + b"x" * 1000).startswith(b"HTTP/1.1 413")
    assert talk(served, head(served, X="y" * 20_000)).startswith(b"HTTP/1.1 431")


@pytest.mark.parametrize("path", ["{key}/ask/show", "{key}/nowhere", "another-key/"])
def test_who_sends_too_much_to_its_end_reads_why_it_was_refused(served, path):
    status, words, fields = served.post(path.format(key=served.key), b"x" * 10_000_000)
    assert (status, words) == (413, b"Content Too Large\n")
    assert fields["Connection"] == "close"
    with socket.create_connection(("127.0.0.1", served.port), timeout=30) as line:
        raw = head(served, "ask/show", "POST", Content_Length=10_000_000)
        line.sendall(raw + b"x" * 10_000_000)
        assert b"".join(iter(lambda: line.recv(65536), b"")).endswith(words)


@pytest.mark.parametrize("body", [b"", b"[]", b"1", b"{", b"\xff", b"[" * 100_000, b'{"wheel":[]}',
                                  b'{"wheel":"1","views":7}', b'{"wheel":"1","unit":"ell"}',
                                  b'{"wheel":"1","views":[{"name":"plan","capital":NaN}]}'])
def test_a_question_that_makes_no_sense_is_refused(served, body):
    assert served.post(f"{served.key}/ask/show", body)[0] == 400


def test_half_a_character_is_refused_in_words_wherever_it_stands(served):
    """JSON may hold one, UTF-8 may not; a file's name on the disk may."""
    half, before = "\udfff", set(served.folder.iterdir())
    for question, more in (("save", {"path": f"a{half}"}), ("make", {"folder": half}),
                           ("change", {"put": {half: 1}}), ("open", {"path": half}),
                           ("change", {"put": {"title": half}})):  # fmt: skip
        assert served.ask(question, wheel="1", **more)["refused"], (question, more)
    assert set(served.folder.iterdir()) == before


def test_two_hundred_clients_are_all_served(served):
    lines = [socket.create_connection(("127.0.0.1", served.port), timeout=30) for _ in range(200)]
    try:
        for line in lines:
            line.sendall(head(served))
        for line in lines:
            assert line.recv(12) == b"HTTP/1.1 200"
    finally:
        for line in lines:
            line.close()


def test_clients_that_never_read_or_never_end_hold_nobody_up(served):
    held = []
    body = json.dumps({"wheel": "1", "views": [{"name": "plan"}]}).encode()
    asked = head(served, "ask/show", "POST", Origin=served.origin, Content_Type="application/json",
                 Content_Length=len(body)) + body  # fmt: skip
    try:
        for _ in range(20):
            line = socket.socket()
            line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
            line.connect(("127.0.0.1", served.port))
            line.sendall(asked * 3)
            held.append(line)
        for _ in range(100):
            line = socket.create_connection(("127.0.0.1", served.port))
            line.sendall(b"POST /")
            held.append(line)
        assert served.ask("show", wheel="1")["title"] == "Larkfield box wheel"
        held[-1].setblocking(False)
        with pytest.raises(BlockingIOError):  # the last of them is still held, and held up nobody
            held[-1].recv(1)
    finally:
        for line in held:
            line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
            line.close()


def test_connections_without_a_word_keep_nobody_out(served):
    lines = [socket.create_connection(("127.0.0.1", served.port), timeout=30) for _ in range(300)]
    try:
        assert served.get(f"{served.key}/")[0] == 200
        assert lines[0].recv(1) == b""  # the oldest of them was sent away
    finally:
        for line in lines:
            line.close()


def test_more_clients_than_are_held_are_sent_away(tmp_path):
    alone = Served(folder=tmp_path)  # of the program that all share a browser may hold some places
    lines = []
    try:
        for _ in range(256):
            lines.append(socket.create_connection(("127.0.0.1", alone.port), timeout=30))
            lines[-1].sendall(head(alone))
            assert lines[-1].recv(12) == b"HTTP/1.1 200"
        lines.append(socket.create_connection(("127.0.0.1", alone.port), timeout=30))
        # It need not ask: whoever spoke to a line that is closed already would only hear it break.
        assert lines[-1].recv(12) == b"HTTP/1.1 503"
        while lines:
            lines.pop().close()
        # Until the program has noticed that they are gone; newcomers wait for a place meanwhile.
        assert any(alone.get(f"{alone.key}/")[0] == 200 for _ in range(100))
    finally:
        for line in lines:
            line.close()
        alone.stop()
