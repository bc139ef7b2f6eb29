"""The cards of a wheel's bands, read back from the paper by another program's reader."""

import html
import re

import pdfplumber
import pytest

import wheelgeo
from tests.shop.test_old_wheel_card import inches
from wheelgeo.old_wheels import save_band_cards


@pytest.fixture(scope="module")
def box():
    return wheelgeo.load("designs/box-wheel.toml").solve()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_each_band_has_a_page_that_says_what_to_cut(tmp_path, box, paper):
    save_band_cards(box, tmp_path / "cards.pdf", paper)
    with pdfplumber.open(tmp_path / "cards.pdf") as pdf:
        pages = [" ".join((page.extract_text() or "").split()) for page in pdf.pages]
    assert len(pages) == len(box.bands) == 2
    for band, said in zip(box.bands, pages, strict=True):
        assert band.name in said
        assert f"Cut {band.cut_with_joint_mm:.1f} mm, joint included" in said
        assert f"{band.length_mm:.1f} mm in place" in said
        for stop in band.pulleys:
            assert stop.name in said
        assert "When to worry" in said
    # At the end of its slide next to the accelerator the cord is cut for the shortest path.
    second = box.bands[1]
    path = min(second.slide.path_at_from_mm, second.slide.path_at_to_mm)
    near = path / (1.0 + second.stretch) + second.joint_mm
    assert f"set it at that end: then cut {near:.1f} mm" in pages[1]


def test_a_card_of_an_old_wheels_file_has_its_faults_and_its_unit(tmp_path):
    old = wheelgeo.old_wheel(
        wheel="21 1/2 in", groove="1/4 in", mouth="1/8 in", whorl="1 3/8 in", apart="17 3/4 in",
        whorl_groove="3/16 in", whorl_mouth="1/8 in", cord="3 mm cotton cord", joint="knot",
        aside="4 in",
    )  # fmt: skip
    answer = wheelgeo.read(old.wheel.to_toml()).solve()
    save_band_cards(answer, tmp_path / "card.html")
    page = (tmp_path / "card.html").read_text(encoding="utf-8")
    said = " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())
    (band,) = answer.bands
    assert f"Cut {inches(band.cut_with_joint_mm)}, joint included" in said
    assert f"{inches(band.off_reel_mm)} off the reel" in said
    assert "so the band will be thrown" in said


def test_a_wheel_without_a_band_has_no_card(tmp_path, box):
    with pytest.raises(wheelgeo.SearchError, match="ends neither in"):
        save_band_cards(box, tmp_path / "cards.txt")
    apart = wheelgeo.load("designs/box-wheel.toml").put("whorl.rim", "400 mm").solve()
    assert any(band.length_mm is None for band in apart.bands)
    with pytest.raises(wheelgeo.SearchError, match="has no path"):
        save_band_cards(apart, tmp_path / "cards.pdf")
    assert not list(tmp_path.iterdir())
