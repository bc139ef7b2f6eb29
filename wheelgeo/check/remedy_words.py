"""Remedies that no number of the file holds: told in words, not offered as edits.

To set a limit anew, or to state what was reckoned with already, changes nothing on the wheel: the
finding would only fall silent. What a hand must do instead is said.
"""

from __future__ import annotations

from dataclasses import replace

from wheelgeo.check.finding import Finding, Looking, Mend, Remedy
from wheelgeo.units.in_full import part_of


def in_words(mend: Mend) -> Mend:
    """Return what looks for a remedy and tells it without its edits."""

    def look(finding: Finding) -> Looking:
        return _without_edits((yield from mend(finding)))

    return look


def _without_edits(remedy: Remedy) -> Remedy:
    others = tuple(_without_edits(other) for other in remedy.others)
    return replace(remedy, edits=(), sound=False, others=others, design=None)


def words_before(says: str, mend: Mend) -> Mend:
    """Return what names something to do in words, and then the edits that mend it as well.

    Args:
        says: what to do; it stands alone where no edit is found.
        mend: what looks for the edits; its own words are left out where it finds none.
    """

    def look(finding: Finding) -> Looking:
        found = yield from mend(finding)
        if not found.edits:
            return replace(found, says=says)
        both = f"{part_of(says)}; or {part_of(found.says)}"
        return replace(found, says=both, before=says)

    return look
