"""What parts the runs of a crossed band is written into the design file as the remedy says."""

from pathlib import Path

from wheelgeo.check.report import check_design
from wheelgeo.design.reader import parse_design
from wheelgeo.design.twist import direction
from wheelgeo.design.writer import rewrite_as
from wheelgeo.drive.train import solve_drive

TEXT = (Path(__file__).resolve().parents[2] / "designs" / "floor-wheel.toml").read_text("utf-8")


def rubbing(text):
    return [f for f in check_design(parse_design(text)).findings if f.rule == "crossed-runs-rub"]


def test_the_edits_of_the_remedy_put_into_the_file_part_the_runs():
    (found,) = rubbing(TEXT)
    (tilt,) = (way for way in found.remedy.ways if way.edits[0].key == "spindle.axis")
    assert [e.key for e in tilt.edits[1:]] == ["drive band.crossed", "drive band.route"]
    mended = rewrite_as(TEXT, tilt.apply())
    assert "crossed = true" not in mended
    assert rubbing(mended) == []


def test_every_way_parts_them_and_no_shift_along_a_rod_is_offered():
    (found,) = rubbing(TEXT)
    assert len(found.remedy.ways) == 2
    for way in found.remedy.ways:
        changed = way.apply()
        left = check_design(changed)
        assert "crossed-runs-rub" not in {f.rule for f in left.findings}
        assert [p.offset_mm for p in changed.pulleys] == [0.0, 0.0]
        assert direction(solve_drive(changed).spindle.speed_rpm) == "Z"
    for shift in (-30.0, 30.0):
        whorl = 'shaft = "spindle"\noffset = '
        moved = TEXT.replace(whorl + "0", f"{whorl}{shift}")
        assert moved != TEXT
        assert rubbing(moved)
