"""The card of an old wheel, read back from the paper by another program's reader."""

import html
import math
import re
from xml.etree import ElementTree

import pdfplumber
import pytest

import wheelgeo
from wheelgeo.drawing.strokes import Stroke, Text
from wheelgeo.old_wheels import save_card
from wheelgeo.shop.old_wheel_card import WIDE_MM, old_wheel_card, strip
from wheelgeo.shop.paper import PAPERS_MM
from wheelgeo.shop.sheet_html import sheet_html

WHEEL = {
    "wheel": "21 3/4 in", "least": "21 1/4 in", "groove": "1/4 in", "whorl": "2 3/8 in",
    "whorl_groove": "3/16 in", "double": "2 in", "apart": "17 3/4 in", "slide": "3/4 in",
    "cord": "3 mm cotton cord", "wobble": "1/8 in",
}  # fmt: skip


@pytest.mark.parametrize("paper", list(PAPERS_MM))
def test_the_card_is_one_page_and_says_what_to_cut(tmp_path, paper):
    found = wheelgeo.old_wheel(**WHEEL)
    save_card(found, tmp_path / "card.pdf", paper)
    with pdfplumber.open(tmp_path / "card.pdf") as pdf:
        (page,) = pdf.pages
        said = " ".join((page.extract_text() or "").split())
    for text in WHEEL.values():
        assert text in said
    assert f"Cut {inches(found.answer.bands[0].cut_with_joint_mm)}" in said
    assert "When to worry" in said


def inches(mm):
    """Nearest 64th, as it is read from a rule."""
    whole, part = divmod(round(mm / 25.4 * 64), 64)
    divisor = math.gcd(part, 64)
    return f"{whole} {part // divisor}/{64 // divisor} in" if part else f"{whole} in"


def test_the_strip_is_in_scale():
    """A whorl of d mm has a girth of pi d: there the strip has its mark."""
    figure = strip()
    assert figure.width_mm == WIDE_MM
    marks = {round(ink.points[0][0] - 8.0, 6) for ink in figure.ink if isinstance(ink, Stroke)}
    for mm in (10, 25, 37, 50):
        assert round(math.pi * mm, 6) in marks
    for inch in (0.5, 1.25, 2.0):
        assert round(math.pi * inch * 25.4, 6) in marks
    assert "this bar measures 100 mm" in {i.text for i in figure.ink if isinstance(i, Text)}


def test_the_figures_are_not_shrunk_on_either_paper():
    for width, _ in PAPERS_MM.values():
        assert width - 2 * 15.0 - 12 / 72 * 25.4 >= WIDE_MM  # margins and padding of the sheet


def test_the_page_holds_the_same_and_is_well_formed(tmp_path):
    save_card(wheelgeo.old_wheel(**WHEEL), tmp_path / "card.html")
    page = (tmp_path / "card.html").read_text(encoding="utf-8")
    for drawing in page.split("<svg")[1:]:
        ElementTree.fromstring("<svg" + drawing.split("</svg>")[0] + "</svg>")
    assert "Order of tying" in page
    assert "whipped overlap" in page


def test_a_card_is_never_written_over_another_file(tmp_path):
    found = wheelgeo.old_wheel(**WHEEL)
    save_card(found, tmp_path / "card.html")
    with pytest.raises(wheelgeo.WheelError, match="exists already"):
        save_card(found, tmp_path / "card.html")
    with pytest.raises(wheelgeo.SearchError, match="ends neither"):
        save_card(found, tmp_path / "card.txt")


def test_a_wheel_without_a_band_has_no_card(tmp_path):
    found = wheelgeo.old_wheel(**{**WHEEL, "apart": "5 in", "double": ""})
    with pytest.raises(wheelgeo.SearchError, match="without a band"):
        save_card(found, tmp_path / "card.pdf")
    with pytest.raises(ValueError, match="without a band"):
        old_wheel_card(found)


def said_on(found):
    """Return the words of a card, as its page in HTML has them."""
    page = sheet_html(old_wheel_card(found), True)
    body = re.sub(r"<style.*?</style>", "", page, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", body)).split())


def test_a_double_drive_untrue_in_every_way_is_still_one_page(tmp_path):
    found = wheelgeo.old_wheel(**WHEEL | {"aside": "1/4 in", "joint": "knot"})
    save_card(found, tmp_path / "card.pdf", "Letter")
    with pdfplumber.open(tmp_path / "card.pdf") as pdf:
        assert len(pdf.pages) == 1
    said = said_on(found)
    assert "goes twice round" in said
    assert "of the bobbin per turn" in said
    assert "To true the wobble" in said
    assert "To bring the whorl into the wheel's plane" in said
    near = found.answer.bands[0].slide.path_at_from_mm / 1.02 + 26 * 3.0
    assert f"then cut {inches(near)}" in said
    assert "4 in more at each end to tie by" in said
    assert "a run pressed by 1 lb in its middle gives " in said


def test_two_distances_that_contradict_each_other_stand_on_the_card(tmp_path):
    found = wheelgeo.old_wheel(**WHEEL, edge_to_edge="8 in")
    save_card(found, tmp_path / "card.pdf")
    with pdfplumber.open(tmp_path / "card.pdf") as pdf:
        (page,) = pdf.pages
        assert "they differ by" in " ".join((page.extract_text() or "").split())


def test_crossed_and_round_grooves_stand_on_the_card():
    single = {**WHEEL, "double": "", "wobble": ""}
    said = said_on(wheelgeo.old_wheel(**single, crossed=True))
    assert "3 mm cotton cord, crossed" in said
    assert "figure of eight" in said
    assert "look into the grooves of wheel and whorl: if the cord lies on a round bottom" in said
    said = said_on(wheelgeo.old_wheel(**single, groove_shape="round"))
    assert "shape round" in said
    assert "look into the groove" not in said


def test_the_card_of_a_ring_neither_cuts_nor_shortens():
    ring = {**WHEEL, "double": "", "cord": "3.53 mm nitrile ring", "groove_shape": "vee"}
    said = said_on(wheelgeo.old_wheel(**ring))
    assert "Take a ring" in said
    assert "Change it for a smaller one" in said
    assert "Shorten" not in said
    assert not re.search(r"\bcut\b", said.split("Print at")[0], re.IGNORECASE)
