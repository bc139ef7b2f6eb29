"""What is said of comments that a file keeps beside numbers that were set anew."""

import pytest

from wheelgeo.design.comments import comments_in_words

BEFORE = """\
title = "a # is no comment here"
[drive]
speed = "60 rpm"   # one turn a second
radius = 60
[[pulley]]
name = "hub"       # the small one
rim = 16
groove = { shape = "vee", depth = 4 }  # cut with a vee of 40
[[pulley]]
name = "rim"
rim = 180          # what the case has room for
"""


@pytest.mark.parametrize(
    ("changes", "names"),
    [
        ([], ""),
        ([("radius = 60", "radius = 75")], ""),
        ([("a # is", "b # is")], ""),
        ([("60 rpm", "40 rpm")], "comment beside drive.speed stands"),
        ([("rim = 180", "rim = 175"), ("depth = 4", "depth = 3")],
         "comments beside hub.groove and rim.rim stand"),
        ([("rim = 180", "rim = 175"), ("depth = 4", "depth = 3"), ("60 rpm", "40 rpm")],
         "comments beside drive.speed, hub.groove and rim.rim stand"),
    ],
)  # fmt: skip
def test_comments_beside_numbers_that_changed_are_named(changes, names):
    after = BEFORE
    for old, new in changes:
        assert old in after
        after = after.replace(old, new)
    said = comments_in_words(BEFORE, after)
    assert bool(said) == bool(names)
    assert names in said


def test_of_a_wheel_that_came_from_no_file_nothing_is_said():
    assert not comments_in_words(None, BEFORE)
