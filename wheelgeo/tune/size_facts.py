"""What a search for a brief found, as one JSON document."""

from __future__ import annotations

from wheelgeo.check.finding import Facts
from wheelgeo.design.model import Design
from wheelgeo.drive.running import load_wheel, whirl_of
from wheelgeo.drive.train import solve_drive
from wheelgeo.tune.size import Sized, Sizing
from wheelgeo.yarn.twist import direction


def size_facts(found: Sizing) -> Facts:
    """Return what was found as a JSON object; keys hold their unit, the best wheel comes first."""
    return {
        "title": found.brief.title,
        "proven": found.proven,
        "combinations": found.combinations,
        "ruled_out": found.ruled_out,
        "checked": found.checked,
        "refused": dict(sorted(found.refused.items())),
        "ratio_wanted": found.brief.ratio,
        "wheels": [_wheel(wheel, found.brief.ratio) for wheel in found.wheels],
    }


def _wheel(wheel: Sized, wanted: float) -> Facts:
    design, quality = wheel.design, wheel.quality
    solution = solve_drive(design)
    loaded = load_wheel(design, solution)
    margins = [b.margin for b in loaded.load.bands if b.margin is not None]
    speed = solution.spindle.speed_rpm
    return {
        "ratio": quality.ratio,
        "ratio_error": quality.ratio / wanted - 1.0,
        "matters": list(wheel.matters),
        "proven": wheel.proven,
        "cost": wheel.cost,
        "terms": dict(quality.terms),
        "least_wrap_deg": quality.least_wrap_deg,
        "largest_lead_deg": quality.largest_lead_deg,
        "slip_margin": min(margins, default=None),
        "hand_force_n": loaded.effort.force_n,
        "whirl_margin": whirl_of(loaded).margin,
        "parts": len(design.pulleys) + len(design.shafts),
        "twist": None if speed is None else direction(speed),
        "turns": design.drive.turns,
        "pulleys": _pulleys(design),
        "shafts": [{"name": s.name, "at_mm": list(s.at_mm)} for s in design.shafts],
        "bands": [
            {
                "name": m.band.name,
                "material": m.band.material,
                "diameter_mm": m.band.diameter_mm,
                "length_mm": None if m.path is None else m.path.length_mm,
            }
            for m in solution.bands
        ],
        "findings": list(dict.fromkeys(f.rule for f in wheel.findings)),
    }


def _pulleys(design: Design) -> list[Facts]:
    return [
        {"name": p.name, "rim_mm": p.groove.size_mm, "offset_mm": p.offset_mm}
        for p in design.pulleys
    ]
