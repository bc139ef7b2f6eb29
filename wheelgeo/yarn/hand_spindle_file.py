"""A spindle turned by the fingers, from its file: how it spins, and what yarn a flick makes."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Literal

from wheelgeo.as_json import AsJson
from wheelgeo.design.bounds import wrong_values
from wheelgeo.design.counts import diameter_mm, metric_count
from wheelgeo.design.from_toml import Reading
from wheelgeo.design.key_places import FILE, Located, as_written, in_file_order
from wheelgeo.design.materials import MATERIALS, find_material
from wheelgeo.design.model import Count, Yarn
from wheelgeo.design.reader import is_wheel, parse_toml, read_text, unit_of
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.errors import DesignError, Fault
from wheelgeo.immutable import dataclass
from wheelgeo.units.keys import (
    choice,
    force,
    form_of,
    headed,
    key,
    mass,
    number,
    record,
    size,
    speed,
)
from wheelgeo.units.keys import table as table_key
from wheelgeo.units.keys import text as text_key
from wheelgeo.units.kinds import FILES_UNIT
from wheelgeo.units.wording import shown, suggestion
from wheelgeo.yarn.fibre import FIBRES, FibreName, singles_strength_n
from wheelgeo.yarn.hand_spindle import (
    Flick,
    FlickYield,
    FreeSpindle,
    SpindlePiece,
    flick_yield,
    free_spindle,
    hanging_safety,
    twisted_yarn_torque_nm,
)

SUPPORTED_PULL_N = 0.1
"""Pull of the hand on the yarn of a support spindle; common practice, no source."""
LADDER_NM = (5.0, 10.0, 20.0, 30.0, 40.0, 60.0, 80.0)
"""Counts that are told besides the wanted one."""


@record
class PieceTable:
    """A solid cylinder on the spindle's axis: whorl, shaft, or the yarn on it."""

    name: str = text_key("what it is", '"whorl"')
    diameter_mm: float = size("its diameter", '"60 mm"')
    length_mm: float = size("its length along the axis", '"9 mm"')
    material: str = text_key("its material", '"maple"')


@record
class FlickTable:
    """A push of the fingers round the shaft; what is left out is common practice, no source."""

    force_n: float = force("mean force of the fingers along the shaft", '"1.5 N"', default=1.5)
    travel_mm: float = size("way over which they push", '"60 mm"', default=60.0)
    finger_speed: float = number(
        "fastest that the fingers move, metres per second", "1.2", default=1.2
    )
    slowest_rpm: float = speed(
        "speed at which the spinner flicks again", '"200 rpm"', default=200.0
    )


@record
class BowlTable:
    """What a support spindle stands in."""

    tip_mm: float = size("diameter of the tip that stands in the bowl", '"2 mm"', default=2.0)
    friction: float = number("coefficient of friction in the bowl", "0.15", default=0.15)


@record
class HandSpindle:
    """A spindle without a wheel.

    Attributes:
        kind: it hangs on the yarn (``drop``) or stands in a bowl (``support``).
        pieces: what it is made of; the fingers push the thinnest.
        yarn: the yarn that is wanted; its twist is needed. Of a plied one, a strand is spun.
        cop_g: the yarn on it when it is full, which hangs on the yarn too.
        reach_mm: yarn that hangs from the hand when a drop spindle comes to the floor.
    """

    title: str = text_key("title of the spindle", '"Larkfield drop spindle"')
    kind: Literal["drop", "support"] = choice(
        "drop: it hangs on the yarn; support: it stands in a bowl", '"drop"', ("drop", "support")
    )
    yarn: Yarn = table_key("the yarn that is wanted", Yarn)
    pieces: tuple[PieceTable, ...] = headed("its pieces", PieceTable, name="piece")
    unit: str = key("unit of every bare length", FILES_UNIT, '"mm"', default="mm")
    cop_g: float = mass("the yarn on it when it is full", '"20 g"', name="cop", default=20.0)
    reach_mm: float = size(
        "yarn from the hand to a drop spindle at the floor", '"1.2 m"', name="reach",
        default=1200.0,
    )  # fmt: skip
    flick: FlickTable = table_key("a push of the fingers", FlickTable, default=FlickTable())
    bowl: BowlTable = table_key("the bowl of a support spindle", BowlTable, default=BowlTable())


FORM = form_of(HandSpindle)


@dataclass(frozen=True)
class FlickAnswer:
    """What one flick makes of a yarn of one count, at the wanted yarn's twist factor.

    Attributes:
        count_nm: metric count.
        turns_per_metre: its twist.
        yarn_m: yarn that one flick twists.
        least_safety: strength of the weakest such yarn over the weight of the spindle with its
            full cop; None of a support spindle, whose yarn carries nothing.
        reaches_floor: a flick makes more yarn than hangs between hand and floor: it must be
            stopped and wound on before.
    """

    count_nm: float
    turns_per_metre: float
    yarn_m: float
    least_safety: float | None
    reaches_floor: bool


@dataclass(frozen=True)
class HandSpindleAnswer(AsJson):
    """How a spindle turned by the fingers spins.

    Attributes:
        title: its title.
        kind: drop or support.
        mass_g: of all pieces.
        inertia_g_cm2: moment of inertia about the axis.
        start_rpm: speed when the fingers leave it.
        spins_s: time until it is too slow.
        turns: turns in that time.
        flicks_per_metre: flicks that a metre of the wanted yarn takes.
        wanted: the wanted yarn.
        other_counts: other counts of the same twist factor.
        bears: whether the wanted yarn bears the spindle and its full cop, by its weakest fibre;
            None of a support spindle.
        plies: strands of the wanted yarn, of which one is told.
        cop_g: the yarn that is counted with its weight.
        reach_m: yarn that hangs when a drop spindle comes to the floor; None of a support spindle.
    """

    title: str
    kind: str
    mass_g: float
    inertia_g_cm2: float
    start_rpm: float
    spins_s: float
    turns: float
    flicks_per_metre: float | None
    wanted: FlickAnswer
    other_counts: tuple[FlickAnswer, ...]
    bears: bool | None
    plies: int
    cop_g: float
    reach_m: float | None


def read_hand_spindle(path: Path) -> HandSpindle:
    """Return the spindle of a file; DesignError holds every fault found."""
    source = str(path)
    raw = parse_toml(read_text(path), source)
    if is_wheel(raw):
        says, remedy = "it is a wheel, not a spindle", "wheelgeo solve, check, run and make read it"
        raise DesignError((Fault(FILE, says, remedy),), source)
    reading = Reading(FORM, unit_of(raw))
    parsed: HandSpindle = reading.file(raw)
    wrong = wrong_values(FORM, parsed, (), lambda place: as_written(raw, place))
    faults = [*reading.faults, *wrong] or list(_cross_check(parsed))
    if faults:
        raise DesignError(in_file_order(faults, raw), source)
    return parsed


def _cross_check(parsed: HandSpindle) -> list[Located]:
    """Return what keeps the spindle from being reckoned."""
    found: list[Located] = []
    dense = [m.name for m in MATERIALS if m.density_kg_m3 is not None]
    for index, piece in enumerate(parsed.pieces):
        if piece.material not in dense:
            hint = suggestion(piece.material, dense)
            found.append(
                (("piece", index, "material"), f"no material {shown(piece.material)}", hint)
            )
    if not parsed.pieces:
        found.append((("piece",), "a spindle has pieces", "add [[piece]] tables"))
    if parsed.yarn.fibre not in FIBRES:
        hint = suggestion(parsed.yarn.fibre, FIBRES)
        found.append((("yarn", "fibre"), f"no fibre {shown(parsed.yarn.fibre)}", hint))
    if wanted_turns_per_metre(parsed.yarn) is None:
        found.append((("yarn",), "the twist is not given", "add turns_per_metre"))
    return found


def hand_spindle_answer(spindle: HandSpindle) -> HandSpindleAnswer:
    """Return how a spindle spins, and what yarn a flick of the fingers makes."""
    turns = wanted_turns_per_metre(spindle.yarn)
    assert turns is not None
    wanted_nm = metric_count(spindle.yarn.count)
    free, made, wanted = _with_yarn(spindle, wanted_nm, turns)
    others = tuple(
        _with_yarn(spindle, nm, turns * math.sqrt(nm / wanted_nm))[2] for nm in LADDER_NM
    )
    return HandSpindleAnswer(
        spindle.title, spindle.kind, 1e3 * free.mass_kg, 1e7 * free.inertia_kg_m2,
        made.start_rpm, made.seconds, made.turns,
        1.0 / made.yarn_m if made.yarn_m > 0.0 else None,
        wanted, others,
        None if wanted.least_safety is None else wanted.least_safety >= 1.0,
        spindle.yarn.count.plies, spindle.cop_g,
        spindle.reach_mm / 1e3 if spindle.kind == "drop" else None,
    )  # fmt: skip


def _with_yarn(
    spindle: HandSpindle, count_nm: float, turns_per_metre: float
) -> tuple[FreeSpindle, FlickYield, FlickAnswer]:
    """Return a spindle that twists a yarn, what a flick does, and the yarn that it makes."""
    count = Count(count_nm, "Nm")
    weight = free_spindle(_pieces(spindle)).weight_n
    pull = weight if spindle.kind == "drop" else SUPPORTED_PULL_N
    torque = twisted_yarn_torque_nm(pull, diameter_mm(count), turns_per_metre)
    stands = spindle.kind == "support"
    tip = spindle.bowl.tip_mm if stands else None
    free = free_spindle(_pieces(spindle), tip, spindle.bowl.friction if stands else 0.0, torque)
    made = flick_yield(free, _flick(spindle), turns_per_metre, spindle.flick.slowest_rpm)
    least = None
    if spindle.kind == "drop":
        least = hanging_safety(free, singles_strength_n(count, _fibre(spindle))[0], spindle.cop_g)
    floor = spindle.kind == "drop" and made.yarn_m > spindle.reach_mm / 1e3
    return free, made, FlickAnswer(count_nm, turns_per_metre, made.yarn_m, least, floor)


def _fibre(spindle: HandSpindle) -> FibreName:
    fibre: FibreName = spindle.yarn.fibre  # type: ignore[assignment]
    return fibre


def _pieces(spindle: HandSpindle) -> list[SpindlePiece]:
    thinnest = min(p.diameter_mm for p in spindle.pieces)
    pieces = []
    for piece in spindle.pieces:
        material = find_material(piece.material)
        assert material is not None
        assert material.density_kg_m3 is not None
        # the faces of a whorl lie open to the air; a shaft's are too small to count
        faces = 2 if piece.diameter_mm > 2.0 * thinnest else 0
        density = material.density_kg_m3.value
        pieces.append(SpindlePiece(piece.diameter_mm, piece.length_mm, density, faces))
    return pieces


def _flick(spindle: HandSpindle) -> Flick:
    push = spindle.flick
    thinnest = min(p.diameter_mm for p in spindle.pieces)
    return Flick(push.force_n, push.travel_mm, push.finger_speed, thinnest)
