"""The wheels of a brief as JSON and as files."""

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.check.finding import same_design
from wheelgeo.check.report import check_whole
from wheelgeo.design.reader import parse_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import OutputError
from wheelgeo.tune.brief_file import read_brief
from wheelgeo.tune.rule_check import fault_rules
from wheelgeo.tune.size import size
from wheelgeo.tune.size_answer import size_answer
from wheelgeo.tune.size_files import wheel_texts, write_folder

BRIEFS = Path(__file__).parents[2] / "designs" / "briefs"


def shipped():
    """Each brief with how many of its wheels are looked for.

    A second wheel of the class box takes thrice as long as all the rest.
    """
    for path in sorted(BRIEFS.glob("*.toml")):
        wheels = (1, 2) if path.stem == "class-box" else (2,)
        for count in wheels:
            long = [pytest.mark.long] if (path.stem, count) == ("class-box", 2) else []
            yield pytest.param((path, count), id=f"{path.stem}, {count}", marks=long)


@pytest.fixture(scope="module", params=shipped())
def found(request):
    path, wheels = request.param
    # the time is one that no machine needs
    return size(replace(read_brief(path), wheels=wheels), seconds=3600.0)


def test_every_shipped_brief_is_proven_and_gives_as_many_wheels_as_it_asks_for(found):
    assert found.proven
    assert all(w.proven for w in found.wheels)
    assert len(found.wheels) == found.brief.wheels
    assert [w.warnings for w in found.wheels] == [()] * len(found.wheels)


def test_a_shipped_brief_looks_through_all_that_it_allows(found):
    sizes, cords = found.brief.sizes, len(found.brief.cords)
    assert found.combinations % (len(sizes.wheel) * len(sizes.whorl) * cords) == 0
    assert 0 < found.combinations - found.ruled_out < found.combinations


def test_each_file_gives_its_wheel_without_a_fault(found):
    texts = wheel_texts(found)
    assert list(texts) == [f"wheel-{n}.toml" for n in range(1, len(found.wheels) + 1)]
    for text, wheel in zip(texts.values(), found.wheels, strict=True):
        design = parse_design(text)
        solution = solve_drive(design)
        assert solution.ratio == pytest.approx(wheel.quality.ratio, rel=1e-12)
        assert abs(solution.ratio / found.brief.ratio - 1.0) < 0.05
        assert not fault_rules(check_whole(design).findings)
        thick = [s.thickness_mm for s in found.brief.sheets if s.thickness_mm >= 6.0]
        assert design.case.lid_mm == min(thick, default=None)
        assert design.shop.floor_mm == min(thick, default=6.0)


def test_the_comments_say_what_the_solved_wheel_says(found):
    first, *others = wheel_texts(found).values()
    text, solution = told(first), solve_drive(parse_design(first))
    last = solution.bands[-1]
    assert f"the band touches {last.path.wraps_deg[1]:.0f} degrees of the whorl" in text
    assert f"Ratio {solution.ratio:.2f}" in text
    assert "the search was complete for the sizes" in text
    assert all("unlike the wheels before it" in told(other) for other in others)


def told(text):
    """Return a file's comments without their line breaks."""
    return text.replace("\n# ", " ")


def test_a_ratio_that_is_off_is_not_called_exact_and_why_is_told(found):
    """A workshop cannot tell ratios apart that the tolerances of the rims leave open."""
    for wheel, text in zip(found.wheels, wheel_texts(found).values(), strict=True):
        off = abs(math.log(wheel.quality.ratio / found.brief.ratio))
        open_anyway = off <= wheel.quality.alike
        assert ("warnings and the other measures decided" in told(text)) == open_anyway
        assert ("loses more by the other measures" in told(text)) != open_anyway
        assert "exactly" not in told(text)


def test_every_upright_shaft_stands_on_the_grid_of_its_brief(found):
    step = found.brief.sizes.place_mm
    for wheel in found.wheels:
        for shaft in wheel.design.shafts:
            x, y, _ = shaft.at_mm
            places = (x, y) if shaft.axis[2] else (x,)
            assert all(abs(p / step - round(p / step)) < 1e-9 for p in places), shaft.name


def test_an_unproven_wheel_says_so_in_its_file(found):
    unproven = replace(found.wheels[0], proven=False)
    text = told(wheel_texts(replace(found, wheels=(unproven,), proven=False))["wheel-1.toml"])
    assert "The search was stopped: there may be a better one." in text


def test_the_document_has_its_fixed_keys_and_is_json(found):
    document = json.loads(json.dumps(size_answer(found, same_design).to_json(), allow_nan=False))
    assert {"proven", "combinations", "ruled_out", "wheels"} <= set(document)
    for wheel in document["wheels"]:
        assert wheel["ratio"] == pytest.approx(document["ratio_wanted"], rel=0.05)
        assert wheel["slip_margin"] > 1.0
        assert wheel["twist"] == found.brief.yarn.twist
        assert wheel["hand_force_n"] > 0.0


def test_a_folder_is_made_and_filled(tmp_path):
    written = write_folder({"a.toml": "1", "b.toml": "2"}, tmp_path / "new" / "one")
    assert [p.read_text() for p in written] == ["1", "2"]
    assert sorted(p.name for p in (tmp_path / "new" / "one").iterdir()) == ["a.toml", "b.toml"]


def test_a_file_in_the_way_keeps_all_from_being_written(tmp_path):
    (tmp_path / "b.toml").write_text("mine")
    with pytest.raises(OutputError, match=r"holds b.toml already"):
        write_folder({"a.toml": "1", "b.toml": "2"}, tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["b.toml"]
    assert (tmp_path / "b.toml").read_text() == "mine"


def test_a_name_that_cannot_be_written_leaves_nothing_behind(tmp_path):
    with pytest.raises(OutputError, match="cannot write"):
        write_folder({"a.toml": "1", "x" * 300: "2"}, tmp_path)
    with pytest.raises(OutputError, match="cannot write"):
        write_folder({"a.toml": "1", "x" * 300: "2"}, tmp_path / "new" / "one")
    assert list(tmp_path.iterdir()) == []


def test_a_file_where_the_folder_should_be(tmp_path):
    (tmp_path / "out").write_text("a file")
    with pytest.raises(OutputError, match="cannot write"):
        write_folder({"a.toml": "1"}, tmp_path / "out")
