"""What parts the runs of a crossed band can be written into the design file as the remedy says."""

import re
from pathlib import Path

from wheelgeo.check.report import check_design
from wheelgeo.design.reader import parse_design

TEXT = (Path(__file__).resolve().parents[2] / "designs" / "floor-wheel.toml").read_text("utf-8")


def rubbing(text):
    return [f for f in check_design(parse_design(text)).findings if f.rule == "crossed-runs-rub"]


def test_the_words_of_the_remedy_put_into_the_file_part_the_runs():
    (found,) = rubbing(TEXT)
    axis, route = re.search(r"(axis = \[[^]]*\]).*(route = \[.*\]) in place", found.remedy).groups()
    head, spindle = TEXT.split('name = "spindle"', 1)
    spindle = re.sub(r"axis = \[[^]]*\]", axis, spindle, count=1)
    mended = head + 'name = "spindle"' + spindle
    mended = re.sub(r"route = \[.*\]\ncrossed = true", route, mended)
    assert "crossed = true" not in mended
    assert rubbing(mended) == []
