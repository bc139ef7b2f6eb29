"""The doubts of a wheel as one JSON document; keys hold their unit."""

from __future__ import annotations

from dataclasses import asdict

from wheelgeo.check.finding import Facts
from wheelgeo.tune.band_spread import BandSpread, SlideNeed
from wheelgeo.tune.doubts import Doubt
from wheelgeo.tune.spread import Spread
from wheelgeo.tune.tightness import Tightness
from wheelgeo.tune.tolerance import Tolerance
from wheelgeo.tune.uncertainty import Contribution

SHARE_SHOWN = 1e-12
"""Shares below this are rounding and are left out."""


def tolerance_facts(found: Tolerance) -> Facts:
    """Return the doubts of a wheel as JSON: no NaN, no infinity."""
    parts = {d.what: d.part for d in found.doubts}
    return {
        "title": found.design.title,
        "class": found.allowed.general,
        "ratio": _spread(found.ratio, parts),
        "twist": None if found.twist is None else _spread(found.twist, parts),
        "bands": [_band(b, parts) for b in found.bands],
        "dimensions": [_dimension(d) for d in found.doubts],
        "tightness": _tightness(found.tightness),
        "notes": list(found.notes),
    }


def _spread(spread: Spread, parts: dict[str, str]) -> Facts:
    budget, drawn = spread.budget, spread.drawn
    return {
        "value": budget.value,
        "unit": spread.unit,
        "standard_uncertainty": budget.standard_uncertainty,
        "expanded_uncertainty": budget.expanded_uncertainty,
        "coverage": budget.coverage_factor,
        "coverage_probability": budget.coverage_probability,
        "shares": shares(spread),
        "shares_by_part": shares_by_part(spread, parts),
        "monte_carlo": {
            "wheels": drawn.trials,
            "mean": drawn.mean,
            "standard_uncertainty": drawn.standard_uncertainty,
            "from": drawn.symmetric[0],
            "to": drawn.symmetric[1],
            "shortest_from": drawn.shortest[0],
            "shortest_to": drawn.shortest[1],
            "agrees": spread.agree,
        },
    }


def _taking_part(spread: Spread) -> list[Contribution]:
    taking_part = [c for c in spread.budget.contributions if c.share > SHARE_SHOWN]
    return sorted(taking_part, key=lambda c: -c.share)


def shares(spread: Spread) -> list[Facts]:
    """Return the share of each number in a result's variance, the largest first."""
    return [{"what": c.name, "share": c.share} for c in _taking_part(spread)]


def shares_by_part(spread: Spread, parts: dict[str, str]) -> list[Facts]:
    """Return the share of each pulley, shaft and band, the largest first."""
    sums: dict[str, float] = {}
    for c in _taking_part(spread):
        part = parts.get(c.name, c.name)
        sums[part] = sums.get(part, 0.0) + c.share
    return [{"what": what, "share": sums[what]} for what in sorted(sums, key=lambda w: -sums[w])]


def _band(band: BandSpread, parts: dict[str, str]) -> Facts:
    return {
        "name": band.name,
        "length_mm": _spread(band.length, parts),
        "stretch": _spread(band.stretch, parts),
        "tension_n": None if band.tension is None else _spread(band.tension, parts),
        "slack_share": band.slack_share,
        "no_path_share": band.no_path_share,
        "slides": [_slide(s) for s in band.slides],
    }


def _slide(need: SlideNeed) -> Facts:
    return {
        "shaft": need.shaft,
        "needs_from_mm": need.from_mm,
        "needs_to_mm": need.to_mm,
        "has_from_mm": need.has_from_mm,
        "has_to_mm": need.has_to_mm,
        "enough": need.enough,
    }


def _dimension(doubt: Doubt) -> Facts:
    return {
        "what": doubt.what,
        "part": doubt.part,
        "value": doubt.value,
        "tolerance": doubt.tolerance,
        "unit": doubt.unit,
        "source": doubt.source,
    }


def _tightness(tight: Tightness) -> Facts:
    return {
        "wanted_twist_error": tight.wanted_error,
        "twist_error": tight.twist_error,
        "factor": tight.factor,
        "dimensions": [asdict(a) for a in tight.allowances],
        "classes": [
            {"class": c.letter, "twist_error": c.twist_error, "enough": c.enough}
            for c in tight.classes
        ],
    }
