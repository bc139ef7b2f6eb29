"""What parts the runs of a crossed band is written into the design file as the remedy says."""

from pathlib import Path

from wheelgeo.check.report import check_design
from wheelgeo.design.reader import parse_design
from wheelgeo.design.writer import rewrite_as

TEXT = (Path(__file__).resolve().parents[2] / "designs" / "floor-wheel.toml").read_text("utf-8")


def rubbing(text):
    return [f for f in check_design(parse_design(text)).findings if f.rule == "crossed-runs-rub"]


def test_the_edits_of_the_remedy_put_into_the_file_part_the_runs():
    (found,) = rubbing(TEXT)
    assert [e.key for e in found.remedy.edits] == [
        "spindle.axis", "drive band.crossed", "drive band.route",
    ]  # fmt: skip
    mended = rewrite_as(TEXT, found.remedy.apply())
    assert "crossed = true" not in mended
    assert rubbing(mended) == []
