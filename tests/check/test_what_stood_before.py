"""A finding stood before where it is of the same kind and parts, whatever its piece is called."""

import pytest

from wheelgeo.check.remedy_search import RemedySearch

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
    named = ("another-rule", "")
    wheel, changed = Wheel("a-rule", before), Wheel("a-rule", then)
    search = RemedySearch.__new__(RemedySearch)
    search.wheel, search.finding = wheel, named
    assert bool(list(search._new_grave(changed, None))) is new
    assert list(search._new_grave(Wheel("third-rule", before), None))
