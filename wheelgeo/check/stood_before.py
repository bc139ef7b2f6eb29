"""Which findings of a changed wheel stood before: by what they are about, not by their words."""

from __future__ import annotations

from wheelgeo.check.finding import Finding
from wheelgeo.check.things import Thing


def stood_before(then: Finding, before: Finding) -> bool:
    """Tell whether a finding stood before: of the same kind, and of the same things.

    A piece is called by all its grooves: where one of them is moved off, or another comes on to it,
    the others are still what the finding was about.
    """
    if then.rule != before.rule:
        return False
    if then.about == before.about:
        return True
    now, was = then.things, before.things
    return len(now) == len(was) and all(map(Thing.is_same_as, now, was))
