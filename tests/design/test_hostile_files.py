"""Files made to hurt: refused in a short message, at once, in little memory."""

from __future__ import annotations

import os
import time
import tracemalloc

import pytest

from wheelgeo.design.reader import parse_design, read_design
from wheelgeo.errors import DesignError


def refused(text):
    """Return the message that refuses a text, having taken neither long nor much memory."""
    tracemalloc.start()
    start = time.process_time()
    with pytest.raises(DesignError) as caught:
        parse_design(text)
    seconds, (_, peak) = time.process_time() - start, tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert seconds < 6.0
    assert peak < 2e8
    return str(caught.value)


def test_digits_by_the_thousand(good_text):
    for number in ("9" * 4000, "9" * 5000, f'"{"9" * 5000} mm"', f'"1/{"9" * 5000} in"'):
        message = refused(good_text.replace("diameter = 8\n", f"diameter = {number}\n"))
        assert len(message) < 300


def test_ten_thousand_unknown_keys():
    text = "\n".join(f"key{i} = {i}" for i in range(10_000))
    message = refused(f"title = 'x'\n{text}\n")
    assert len(message) < 4000
    assert "more unknown keys" in message


@pytest.mark.parametrize("text", ["a" + ".a" * 100_000 + " = 1", "[a" + ".a" * 100_000 + "]",
                                  "x = { a" + ".a" * 100_000 + " = 1 }"])  # fmt: skip
def test_keys_in_keys_in_keys(text):
    assert "hundred dots" in refused(text)


def test_a_text_with_many_dots_is_none_of_that(good_text):
    dotted = "Garden wheel" + 300 * "."
    assert parse_design(good_text.replace("Garden wheel", dotted)).title == dotted


@pytest.mark.parametrize("name", ["hub\u202e", "h\u200bub", "\ufeffhub", "hub\u2066x", "hu\x1bb"])
def test_names_that_do_not_show_what_they_are(good_text, name):
    written = name.replace("\x1b", "\\u001b")
    message = refused(good_text.replace('name = "hub"', f'name = "{written}"'))
    assert "holds a" in message
    assert message.replace("\n", "").isprintable()


def test_letters_that_need_joining_are_names(good_text):
    for name in ("चक्\u200dर", "نخ\u200cریسی", "\U0001f468\u200d\U0001f33e"):
        design = parse_design(good_text.replace('"hub"', f'"{name}"'))
        assert design.bands[0].route[1].pulley == name


def test_a_quantity_with_an_override_is_told_escaped(good_text):
    message = refused(good_text.replace("draw = 650", 'draw = "650\u202e mm\\u0007"'))
    assert message.isprintable()


def test_what_is_no_plain_file(tmp_path):
    fifo = tmp_path / "wheel.toml"
    os.mkfifo(fifo)
    with pytest.raises(DesignError, match="no plain file"):
        read_design(fifo)
    with pytest.raises(DesignError, match="no plain file"):
        read_design("/dev/zero")
