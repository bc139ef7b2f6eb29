"""The turned half-section of a pulley with its true groove, as one closed outline with real arcs.

Axes of a section: x along the shaft's axis from the shaft's ``at``, y outward from the axis; both
in millimetres. Two grooves on one wheel are two pulleys whose faces meet; they are cut as one
piece, here called a *wheel*.
"""

from __future__ import annotations

import math

from wheelgeo.built.as_built import build
from wheelgeo.built.built_up import GLUED_UP
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Design, Pulley
from wheelgeo.errors import ShapeError
from wheelgeo.geometry.segments import SAME_MM, Line, Point, Segment
from wheelgeo.immutable import dataclass
from wheelgeo.shop.bores import bore_of
from wheelgeo.shop.outlines import Outline
from wheelgeo.units.in_full import figures


@dataclass(frozen=True)
class PulleyPiece:
    """One piece on a shaft: a pulley, or several whose faces meet.

    Attributes:
        pulleys: its pulleys, in the order of their places along the axis.
        bore_mm: diameter of its bore.
        notes: what was chosen where the file is silent, one sentence each.
        bore_words: the bore with its limits, as a drawing carries it.
    """

    pulleys: tuple[Pulley, ...]
    bore_mm: float
    notes: tuple[str, ...]
    bore_words: str = ""

    @property
    def name(self) -> str:
        """Names of its pulleys, in one."""
        return " + ".join(p.name for p in self.pulleys)

    @property
    def layered(self) -> bool:
        """Whether it is glued up from sheet."""
        return any(p.build == "layers" for p in self.pulleys)


def wheels(design: Design) -> tuple[PulleyPiece, ...]:
    """Return every piece that carries a groove, in the order of the file.

    Args:
        design: the wheel.

    Raises:
        ShapeError: pulleys of one piece ask for different bores.
    """
    order = {p.name: i for i, p in enumerate(design.pulleys)}
    found: list[list[Pulley]] = []
    for shaft in design.shafts:
        found += _pieces(design, sorted(design.pulleys_on(shaft.name), key=lambda p: p.offset_mm))
    found.sort(key=lambda piece: min(order[p.name] for p in piece))
    return tuple(_wheel(design, tuple(piece)) for piece in found)


def _pieces(design: Design, pulleys: list[Pulley]) -> list[list[Pulley]]:
    """Gather pulleys whose faces meet; layered ones stand alone."""
    pieces: list[list[Pulley]] = []
    reach = -math.inf
    for pulley in pulleys:
        low, high = faces_mm(design, pulley)
        alone = pulley.build == "layers" or (bool(pieces) and pieces[-1][-1].build == "layers")
        if pieces and not alone and low <= reach + SAME_MM:
            pieces[-1].append(pulley)
        else:
            pieces.append([pulley])
        reach = max(reach, high)
    return pieces


def faces_mm(design: Design, pulley: Pulley) -> tuple[float, float]:
    """Return a pulley's two faces along its shaft's axis, mm."""
    return build(design).pulleys[pulley.name].faces_mm


def _wheel(design: Design, pulleys: tuple[Pulley, ...]) -> PulleyPiece:
    bores = [bore_of(design, pulley) for pulley in pulleys]
    if max(b.diameter_mm for b in bores) - min(b.diameter_mm for b in bores) > SAME_MM:
        raise ShapeError(
            f"{_names(pulleys)} are one piece, but ask for bores of "
            + " and ".join(f"{b.diameter_mm:g} mm" for b in bores)
        )
    bore = bores[0].diameter_mm
    notes = [bores[0].note, *(n for p in pulleys for n in _groove_notes(design, p))]
    notes += [n for p in pulleys for n in _wall_note(design, p)]
    return PulleyPiece(pulleys, bore, tuple(notes), f"\u00d8<>{bores[0].limits}")


def _groove_notes(design: Design, pulley: Pulley) -> list[str]:
    made = build(design).pulleys[pulley.name]
    cord, groove = made.cord_mm, made.groove
    notes = []
    if not pulley.groove.can_be_cut and pulley.build != "layers":
        notes.append(
            f"{pulley.name}: only the pitch is given, {pulley.groove.size_mm:g} mm; groove chosen "
            f"for the {cord:g} mm cord: {groove.words()}."
        )
    if pulley.width_mm is None and pulley.build != "layers" and groove.has_mouth:
        notes.append(
            f"{pulley.name}: width chosen: the mouth and two cheeks of "
            f"{made.cheek_mm:.4g} mm."
        )
    if pulley.build == "layers":
        notes.append(_layer_note(made))
    if made.making.value in GLUED_UP:
        notes.append(
            f"{pulley.name}: glued up from {GLUED_UP[made.making.value]} before it is turned; its "
            "pieces have cut files of their own."
        )
    return notes


def _layer_note(pulley: BuiltPulley) -> str:
    core, cheek = pulley.core_mm, pulley.cheek_mm
    discs = f"core {core:g} mm" + (f", two cheeks {cheek:g} mm" if cheek else "")
    return (
        f"{pulley.name}: glued up from sheet, {discs}; the ratio is reckoned with the groove that "
        "results."
    )


def _wall_note(design: Design, pulley: Pulley) -> list[str]:
    """Return a warning where less is left between bore and groove than ``thin-wall`` asks for."""
    made = build(design).pulleys[pulley.name]
    wall, metal = made.wall_mm, made.is_metal
    limit = limit_value("metal_wall_mm" if metal else "wood_wall_mm", design.limits)
    if not 0.0 < wall < limit - SAME_MM:
        return []
    remedy = "turn it in one piece with its shaft"
    if not metal and wall >= limit_value("metal_wall_mm", design.limits):
        remedy = f"make it of metal, or {remedy}"
    return [
        f"{pulley.name}: only {figures(wall, 3)} mm is left between bore and groove, {limit:g} mm "
        f"is asked for; {remedy}."
    ]


def opening_mm(design: Design, wheel: PulleyPiece) -> float:
    """Return the diameter that a wheel is open within: its bore, or what spokes stand in."""
    spoked = build(design).pulleys[wheel.pulleys[0].name].spoked
    return wheel.bore_mm if spoked is None else spoked.rim.inner_mm


def half_section(design: Design, wheel: PulleyPiece) -> Outline:
    """Return the half-section of a wheel, from its bore outward; of one with spokes its rim's.

    Args:
        design: the wheel's design.
        wheel: one of its pieces.

    Returns:
        One closed outline, x along the axis from the shaft's ``at``, y outward.

    Raises:
        ShapeError: no band runs on a pulley of which only the pitch is known; a groove is deeper
            than the bore leaves room, wider than the pulley, or runs into the next one.
    """
    for pulley in wheel.pulleys:
        _check_pulley(design, wheel, pulley)
    bore = 0.5 * opening_mm(design, wheel)
    left = min(faces_mm(design, p)[0] for p in wheel.pulleys)
    right = max(faces_mm(design, p)[1] for p in wheel.pulleys)
    pieces: list[Segment] = [Line((left, bore), (right, bore))]
    here: Point = (right, bore)
    backwards = wheel.pulleys[::-1]
    for i, pulley in enumerate(backwards):
        groove = build(design).pulleys[pulley.name].groove
        if i:
            here = _straight(pieces, here, (_wall(design, pulley, backwards[i - 1]), here[1]))
        here = _straight(pieces, here, (here[0], 0.5 * groove.rim_mm))
        hollow = [p.moved(pulley.offset_mm, 0.5 * groove.rim_mm) for p in groove.hollow()]
        if hollow:
            _straight(pieces, here, hollow[0].start)
            pieces += hollow
            here = hollow[-1].end
    here = _straight(pieces, here, (left, here[1]))
    _straight(pieces, here, (left, bore))
    return Outline(tuple(_merged(pieces)))


def _check_pulley(design: Design, wheel: PulleyPiece, pulley: Pulley) -> None:
    made = build(design).pulleys[pulley.name]
    if not pulley.groove.can_be_cut and made.cord_mm <= 0.0:
        raise ShapeError(
            f'pulley "{pulley.name}": only its pitch is known and no band runs on it, so no groove '
            "can be chosen; give its groove"
        )
    if 0.5 * made.bottom_mm <= 0.5 * wheel.bore_mm + SAME_MM:
        raise ShapeError(
            f'pulley "{pulley.name}": its groove, {made.bottom_mm:g} mm at the '
            f"bottom, leaves nothing round a bore of {wheel.bore_mm:g} mm"
        )
    mouth = made.groove.mouth_mm
    if made.width_mm - mouth < -SAME_MM:
        raise ShapeError(
            f'pulley "{pulley.name}": the mouth of its groove is {mouth:.4g} mm wide, '
            f"the pulley only {made.width_mm:g} mm"
        )


def _wall(design: Design, left: Pulley, right: Pulley) -> float:
    """Return the middle of the wall between two grooves of one piece."""
    ends = [
        pulley.offset_mm + side * 0.5 * build(design).pulleys[pulley.name].groove.mouth_mm
        for pulley, side in ((left, 1.0), (right, -1.0))
    ]
    if ends[1] - ends[0] <= SAME_MM:
        raise ShapeError(
            f'pulleys "{left.name}" and "{right.name}": their grooves run into each other by '
            f"{figures(ends[0] - ends[1], 3)} mm"
        )
    return 0.5 * (ends[0] + ends[1])


def _straight(pieces: list[Segment], here: Point, there: Point) -> Point:
    """Add a line where there is any way to go; return where it ends."""
    if math.dist(here, there) > SAME_MM:
        pieces.append(Line(here, there))
        return there
    return here


def _merged(pieces: list[Segment]) -> list[Segment]:
    """Join lines that run on in the same direction, so that no edge is cut in two."""
    joined: list[Segment] = []
    for piece in pieces:
        last = joined[-1] if joined else None
        if isinstance(piece, Line) and isinstance(last, Line):
            (ux, uy), (vx, vy) = last.tangent(True), piece.tangent(False)
            if abs(ux * vy - uy * vx) < 1e-12 and ux * vx + uy * vy > 0.0:
                joined[-1] = Line(last.start, piece.end)
                continue
        joined.append(piece)
    return joined


def _names(pulleys: tuple[Pulley, ...]) -> str:
    return " and ".join(f'"{p.name}"' for p in pulleys)
