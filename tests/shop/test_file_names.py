"""File names are safe on every system, whatever a design calls its parts."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelgeo.shop.file_names import safe_stem, safe_stems


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("Big Wheel", "big-wheel"),
        ("../../etc/passwd", "etc-passwd"),
        ("C:\\temp\\x", "c-temp-x"),
        ("con", "con-part"),
        ("LPT1", "lpt1-part"),
        ("", "part"),
        ("...", "part"),
        ("<script>", "script"),
        ("roue à rayons", "roue-à-rayons"),
        ("糸車", "糸車"),
        ("e\u0301", "é"),
        ("a\nb\tc\x00d", "a-b-c-d"),
    ],
)
def test_names_become_safe(name: str, stem: str) -> None:
    assert safe_stem(name) == stem


def test_names_that_would_share_a_file_are_numbered_in_order() -> None:
    stems = safe_stems(["whorl", "Whorl", "whorl 2", "WHORL!"])
    assert list(stems.values()) == ["whorl", "whorl-3", "whorl-2", "whorl-4"]


def test_a_long_name_is_cut_between_letters() -> None:
    stem = safe_stem("ß糸" * 100)
    assert len(stem.encode()) <= 80
    assert set(stem) <= {"s", "糸"}


@given(st.lists(st.text(max_size=30), unique=True, max_size=12))
@settings(max_examples=20, deadline=None)
def test_any_names_get_different_safe_stems(names: list[str]) -> None:
    stems = safe_stems(names)
    assert len({stem.casefold() for stem in stems.values()}) == len(names)
    for stem in stems.values():
        assert stem
        assert not set(stem) & set('/\\:*?"<>|\0. \n\r\t')
        assert len(stem.encode()) <= 90
    assert safe_stems(names) == stems
