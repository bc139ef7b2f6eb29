"""A retuning as one JSON document, and an option written into its design file."""

from __future__ import annotations

from wheelgeo.check.finding import Facts
from wheelgeo.design.writer import rewrite_as
from wheelgeo.errors import SearchError
from wheelgeo.tune.retune import Change, Option, Retuning, WithoutChange
from wheelgeo.yarn.twist import draw_seconds


def retune_facts(found: Retuning) -> Facts:
    """Return a retuning as a JSON object; keys hold their unit, options are in ranked order."""
    need = found.need
    return {
        "ratio_now": need.ratio_now,
        "ratio_needed": need.ratio_needed,
        "turns_per_metre_wanted": need.turns_per_metre,
        "twist_wanted": None if need.yarn is None else need.yarn.twist,
        "without_change": _without_change(found.without_change),
        "options": [_option(option) for option in found.options],
        "combinations": found.looked_at,
    }


def _without_change(way: WithoutChange) -> Facts:
    return {
        "enough": way.enough,
        "turn_the_other_way": way.turn_the_other_way,
        "hand_speed_rpm": way.hand_rpm,
        "drive_turns_per_metre": way.drive_turns_per_metre,
        "drive_turns_per_draw": way.drive_turns_per_draw,
        "draw_seconds": _draw_seconds(way),
        "draw_times_longer": way.slower_by,
        "faults": list(way.faults),
    }


def _draw_seconds(way: WithoutChange) -> float | None:
    """Return how long a draw takes at the wished hand speed, or None where no draw is known."""
    per_metre, yarn = way.drive_turns_per_metre, way.design.yarn
    if per_metre is None or yarn is None or yarn.draw_mm is None:
        return None
    return draw_seconds(per_metre, 1.0, yarn.draw_mm, way.hand_rpm / way.slower_by)


def _option(option: Option) -> Facts:
    return {
        "changes": [_change(c) for c in option.changes],
        "settings": [_change(c) for c in option.settings],
        "parts_made": option.parts,
        "bands_remade": option.remade,
        "ratio": option.ratio,
        "twist_error": option.error,
        "turns_per_metre": option.turns_per_metre,
        "bands": [
            {
                "name": band.name,
                "length_mm": band.length_mm,
                "remade": band.remade,
                "cut_length_mm": band.rest_mm,
                "stretch": band.stretch,
            }
            for band in option.bands
        ],
        "faults": list(option.faults),
        "warnings": list(dict.fromkeys(f.rule for f in option.findings if f.level == "warning")),
    }


def _change(change: Change) -> Facts:
    return {
        "what": change.what,
        "from": change.before,
        "to": change.after,
        "unit": change.unit,
    }


def option_text(found: Retuning, number: int, text: str) -> str:
    """Return the text of the old design file changed into an option, its comments kept.

    Args:
        found: the retuning of that file's wheel.
        number: the option, counted from 1.
        text: the text of the old file.

    Raises:
        SearchError: there is no option of that number.
    """
    if not 1 <= number <= len(found.options):
        have = f"there are options 1 to {len(found.options)}" if found.options else "there are none"
        raise SearchError(f"there is no option {number}: {have}")
    return rewrite_as(text, found.options[number - 1].design)
