"""A finding stood before where it is of the same kind and parts, whatever its piece is called."""

import pytest

from wheelgeo.check.outcome import new_grave

BOTH = 'pulley "back groove, front groove", bearing main 1'


class Wheel:
    """So much of a wheel under check as tells what a rule finds."""

    def __init__(self, rule, *places):
        self._named = [(rule, where) for where in places]

    def grave_by(self, _):
        return self._named


@pytest.mark.parametrize(
    ("before", "then", "new"),
    [
        ('"pulley back groove, front groove"', '"pulley back groove"', False),
        ('"pulley back groove, front groove"', '"pulley front groove"', False),
        (BOTH, 'pulley "back groove", bearing main 1', False),
        (BOTH, 'pulley "back groove", bearing main 2', True),
        (BOTH, 'pulley "back groove", pulley "front groove"', True),
        ('pulley "back groove", bearing main 1', 'pulley "whorl", bearing main 1', True),
        ('run of "band" from "a" to "b"', 'run of "band" from "b" to "a"', True),
    ],
)
def test_a_warning_is_new_by_its_parts_and_not_by_its_words(before, then, new):
    known = [("another-rule", "")]
    wheel, changed = Wheel("a-rule", before), Wheel("a-rule", then)
    assert bool(list(new_grave(wheel, changed, None, known))) is new
    assert list(new_grave(wheel, Wheel("third-rule", before), None, known))
