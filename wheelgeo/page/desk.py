"""What the page may ask of the wheels that lie on it: each question by its name, answered as JSON.

Every number comes from the front door of the library; here it is only chosen what is told. A
question that the library refuses is answered by its faults, in ``refused``; one that makes no sense
at all (no such wheel, a value of the wrong kind) raises :class:`BadAskError`.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import wheelgeo
from wheelgeo.check.told_together import begin_with
from wheelgeo.design.library import shipped_designs
from wheelgeo.errors import DesignError, OutputError, SearchError, WheelError
from wheelgeo.page import asks, keeping, laid_over, old_wheel, seen, told, untold
from wheelgeo.page.choices import groove_table, settable, shipped
from wheelgeo.page.making import SetInWork
from wheelgeo.page.moving import farthest, typed, with_its_like
from wheelgeo.page.newest import NewestAsked
from wheelgeo.page.open_wheel import OpenWheel
from wheelgeo.page.reading import (
    Ask,
    BadAskError,
    Said,
    hold_short,
    places_in,
    system_words,
    text_in,
    unit_in,
    views_in,
)
from wheelgeo.page.shown import at_once, finished, held_in, scene_in
from wheelgeo.page.steps import step_in_words
from wheelgeo.wheel import Wheel

PATIENCE_S = 0.03
"""One answer looks for remedies so long and ends its step; it is gone on with in the next."""
MOST_FAULTS = 30
"""So many faults of one question are told; the rest are counted."""
MOST_WHEELS = 50
"""Wheels on one page; more are a mistake, or an attack."""


@dataclass
class Desk:
    """The wheels on the page, and what is made of them.

    Attributes:
        folder: where relative paths start from: that of the terminal.
        wheels: the open wheels by name.
        sets: sets for the bench, in work or done, by number.
        laid: how many wheels were ever laid on it; each is called by its number.
        writing: held while a file is written, so that the program does not end meanwhile.
        newest: which question of each window is its newest.
    """

    folder: Path
    wheels: dict[str, OpenWheel] = field(default_factory=dict)
    sets: dict[str, SetInWork] = field(default_factory=dict)
    laid: int = 0
    writing: threading.Lock = field(default_factory=threading.Lock)
    newest: NewestAsked = field(default_factory=NewestAsked)
    _laying: threading.Lock = field(default_factory=threading.Lock)

    def lay(self, wheel: Wheel, path: Path | None = None, kept: bool = True) -> OpenWheel:
        """Lay a wheel on the page; SearchError where there are too many, of wheels or parts.

        One that is not kept stands nowhere else: it would be lost with the page.
        """
        with self._laying:  # quick and slow questions may both lay one
            if len(self.wheels) >= MOST_WHEELS:
                raise SearchError(
                    f"{MOST_WHEELS} wheels lie on the page, and that is all it holds: put one away"
                )
            known = wheel.text if path else None
            laid = OpenWheel(str(self.laid + 1), wheel, path, known, folder=self.folder)
            if not kept:
                laid.kept = None
            self.laid += 1
            self.wheels[laid.name] = laid
        return laid

    def lay_file(self, path: Path) -> OpenWheel:
        """Lay the wheel of a file on the page; DesignError where the file is at fault."""
        return self.lay(wheelgeo.load(path), path)

    def opened(self, ask: Ask, key: str = "wheel") -> OpenWheel:
        """Return the wheel that a question is asked of; SearchError where it was put away."""
        name = str(ask.get(key))
        found = self.wheels.get(name)
        if found is None and name.isdecimal() and 0 < int(name) <= self.laid:
            raise SearchError("this wheel was put away in another window; lay down another one")
        if found is None:
            raise BadAskError("no such wheel")
        return found

    def standing(self, opened: OpenWheel) -> Said:
        """Return how a wheel stands on the page, whatever is computed of it."""
        return {
            "wheel": opened.name,
            "title": opened.now.title,
            "file": opened.file,
            "lies_in": opened.lies_in,
            "unit": opened.unit,
            "count_unit": None if (yarn := opened.now.design.yarn) is None else yarn.count.system,
            "revision": opened.revision,
            "by": opened.by,
            "changed": opened.changed,
            "undo": len(opened.before),
            "redo": len(opened.after),
            "wheels": self.tags(),
        }

    def tags(self) -> list[Said]:
        """Return the wheels on the page; of those with one title each says which of them it is."""
        wheels = list(self.wheels.values())
        titles = [w.now.title for w in wheels]
        return [
            {"wheel": w.name, "title": w.now.title, "tag": w.now.title
             if titles.count(w.now.title) == 1 else f"{w.now.title} ({w.name}: {w.lies_in})"}
            for w in wheels
        ]  # fmt: skip

    def unkept(self) -> list[OpenWheel]:
        """Return the wheels that would be lost if the page ended now."""
        return [opened for opened in list(self.wheels.values()) if opened.lost]

    def ask(self, question: str, ask: Ask) -> Said:
        """Answer a question.

        Raises:
            BadAskError: there is no such question, or it makes no sense.
        """
        if question not in QUESTIONS:
            raise BadAskError(question)
        try:
            hold_short(ask)
            return QUESTIONS[question](self, ask)
        except WheelError as error:
            return {"refused": refusals(error), **untold.blanks(error)}
        except (OSError, UnicodeError) as error:  # a name that no file can have
            return {"refused": refusals(OutputError(system_words(error)))}


def refusals(error: WheelError) -> list[Said]:
    """Return what is wrong, in words for the page."""
    if isinstance(error, DesignError):
        told = [asdict(fault) for fault in error.faults[:MOST_FAULTS]]
        if more := len(error.faults) - len(told):
            told.append({"place": "", "says": f"{more} more are wrong", "remedy": "", "key": ""})
        return told
    return [{"place": "", "says": str(error), "remedy": "", "key": ""}]


# --- reading a question ---------------------------------------------------------------------------


def _changes(opened: OpenWheel, ask: Ask) -> dict[str, Any]:
    put = ask.get("put")
    if not isinstance(put, dict) or not put:
        raise BadAskError("nothing to put")
    try:
        values = {str(key): told.plain_value(value) for key, value in put.items()}
    except TypeError as error:
        raise BadAskError(str(error)) from error
    design, unit = opened.now.design, unit_in(ask)
    return with_its_like(design, {k: typed(design, k, v, unit) for k, v in values.items()})


# --- seeing ---------------------------------------------------------------------------------------


def told_at_once(desk: Desk, opened: OpenWheel, wheel: Wheel, was: Wheel, ask: Ask) -> Said:
    """Return how a wheel stands on the page, and what is told of it within a blink."""
    return {**desk.standing(opened), **at_once(opened, wheel, was, ask)}


def _view(desk: Desk, ask: Ask) -> Said:
    """Show the same wheel from where the eye is now."""
    opened = desk.opened(ask)
    answer, unit = opened.solved(opened.now), unit_in(ask)
    scene = scene_in(answer, ask)
    return {
        "revision": opened.revision,
        "views": {
            one["name"]: {
                **finished(opened.now.design, scene, view, {**one, "labels": False}, unit),
                **held_in(answer, scene, view, unit, {}),
                "box": seen.box_of(scene, view),
            }
            for one, view in views_in(ask, scene)
        },
    }


def _show(desk: Desk, ask: Ask) -> Said:
    """Show a wheel, in the unit that was chosen for it last where none is asked for."""
    opened = desk.opened(ask)
    if "unit" in ask:
        opened.unit = unit_in(ask)
    return told_at_once(desk, opened, opened.now, opened.was, {**ask, "unit": opened.unit})


def _whole(desk: Desk, ask: Ask) -> Said:
    """Tell the rest of a wheel: mechanics, every finding, what hides what, labels.

    Remedies that are known already are told; those that must be looked for are asked for after it.
    """
    opened = desk.opened(ask)
    if "ghost" in ask:
        return laid_over.rest_over(opened, laid_over.ghost_in(opened, ask), ask)
    from wheelgeo.shop.cautions import CARE, cautions

    unit, wheel, was = unit_in(ask), opened.now, opened.was
    revision = opened.revision
    checked = opened.checked(wheel)
    scene = scene_in(checked, ask)
    return {
        "wheel": opened.name,
        "revision": revision,
        "mechanics": told.mechanics(opened.run(wheel), opened.run(was), unit),
        "findings": told.with_remedies(checked.findings, wheel.design, unit, 0.0),
        "begin": begin_with(checked.findings),
        "assumed": told.assumed(checked.assumed, unit),
        "cautions": [CARE, *cautions(wheel.design)],
        "settable": settable(wheel.design, unit),
        "results": told.results(wheel, unit),
        "views": {
            one["name"]: finished(wheel.design, scene, view, one, unit)
            for one, view in views_in(ask, scene)
        },
    }


def _remedies(desk: Desk, ask: Ask) -> Said:
    """Tell the findings with some more of their remedies; asked again until none is left.

    They are looked for of the findings that somebody sees, or of all where it is not said which.
    """
    opened = desk.opened(ask)
    unit, wheel, revision = unit_in(ask), opened.now, opened.revision
    found = opened.checked(wheel).findings
    seen = places_in(ask, "seen")
    return {
        "wheel": opened.name,
        "revision": revision,
        "findings": told.with_remedies(found, wheel.design, unit, PATIENCE_S, seen),
        "begin": begin_with(found),
    }


# --- changing -------------------------------------------------------------------------------------


def _stepped(desk: Desk, ask: Ask, step: Callable[[OpenWheel], object]) -> Said:
    """Take a step; return what is told at once of the wheel, and what the step did."""
    opened = desk.opened(ask)
    before = opened.now
    step(opened)
    if opened.now is not before:
        opened.by = text_in(ask, "window", "")
    told = told_at_once(desk, opened, opened.now, opened.was, ask)
    did = step_in_words(before.design, opened.now.design, unit_in(ask), opened.sets)
    return {**told, "did": did}


def _change(desk: Desk, ask: Ask) -> Said:
    return _stepped(desk, ask, lambda opened: opened.put(_changes(opened, ask)))


def _drag(desk: Desk, ask: Ask) -> Said:
    """Follow a hand as far as the wheel can exist; the last call is a step, as any change."""
    opened = desk.opened(ask)
    wanted = _changes(opened, ask)
    reached, values, faults = farthest(opened.now, wanted, unit_in(ask))
    if ask.get("last") is True:
        said = _stepped(desk, ask, lambda opened: opened.become(reached, wanted))
    else:
        said = told_at_once(desk, opened, reached, opened.now, ask)
    limit = [asdict(fault) for fault in faults]
    return {**said, "values": values, "limit": limit}


def _pulls(desk: Desk, ask: Ask) -> Said:
    """Tell pulls and effort of a wheel that a hand is drawing at, beside those it had."""
    opened = desk.opened(ask)
    held = opened.now
    drawn = held.put(_changes(opened, ask))
    return {"mechanics": told.mechanics(drawn.run(), opened.run(held), unit_in(ask))}


def _groove(desk: Desk, ask: Ask) -> Said:
    pulley, shape = text_in(ask, "pulley"), text_in(ask, "shape")
    return _stepped(desk, ask, lambda opened: opened.put(
        with_its_like(opened.now.design, {
            f"pulley:{pulley}.groove": groove_table(opened.now.design, pulley, shape)
        })
    ))  # fmt: skip


def _tell(desk: Desk, ask: Ask) -> Said:
    return _stepped(desk, ask, lambda opened: untold.tell(opened, ask))


def _undo(desk: Desk, ask: Ask) -> Said:
    return _stepped(desk, ask, OpenWheel.undo)


def _redo(desk: Desk, ask: Ask) -> Said:
    return _stepped(desk, ask, OpenWheel.redo)


# --- other wheels over it -------------------------------------------------------------------------


def _ghost(desk: Desk, ask: Ask) -> Said:
    """Show another wheel over this one: its lines, and its numbers beside these."""
    opened = desk.opened(ask)
    told = laid_over.at_once_over(opened, laid_over.ghost_in(opened, ask), ask)
    return {"ghost": ask["ghost"], **desk.standing(opened), **told}


def _take(desk: Desk, ask: Ask) -> Said:
    return _stepped(desk, ask, lambda opened: laid_over.take(opened, ask))


def _remedy(desk: Desk, ask: Ask) -> Said:
    return laid_over.lay_remedy(desk.opened(ask), ask)


def _lay_over(desk: Desk, ask: Ask) -> Said:
    return laid_over.lay_whole(desk.opened(ask), desk.opened(ask, "other"))


def _asked(question: Callable[..., Said]) -> Callable[[Desk, Ask], Said]:
    def ask_it(desk: Desk, ask: Ask) -> Said:
        opened = desk.opened(ask)
        revision = opened.revision

        def go_on() -> None:
            desk.newest.hold_to(ask)

        go_on()
        said = question(opened, ask, unit_in(ask), go_on)
        if opened.revision != revision:  # changed while it was worked out: nothing of it is laid
            opened.forget_ghosts()
        return {"wheel": opened.name, "revision": revision, **said}

    return ask_it


def _old(desk: Desk, ask: Ask) -> Said:
    answered, wheel = old_wheel.old_wheel(ask, unit_in(ask))
    if ask.get("open") is True:
        titles = {w.now.title for w in desk.wheels.values()}
        opened = desk.lay(old_wheel.with_own_title(wheel, titles), kept=False)
        answered["opened"] = opened.name
    return answered


def _start(desk: Desk, _: Ask) -> Said:
    from wheelgeo.shop.cautions import DANGERS

    return {
        "designs": list(shipped_designs()), "wheels": desk.tags(), "dangers": DANGERS,
        "widest_in": old_wheel.widest_in(),
    }  # fmt: skip


QUESTIONS: Mapping[str, Callable[[Desk, Ask], Said]] = {
    "start": _start, "shipped": lambda _, __: {"designs": shipped()}, "open": keeping.lay_open,
    "show": _show, "view": _view, "whole": _whole,
    "remedies": _remedies,
    "change": _change, "drag": _drag, "pulls": _pulls, "groove": _groove,
    "tell": _tell,
    "undo": _undo, "redo": _redo, "ghost": _ghost, "take": _take,
    "remedy": _remedy, "over": _lay_over,
    "retune": _asked(asks.retune), "have": _asked(asks.have), "place": _asked(asks.place),
    "old": _old, "old-read": lambda _, ask: old_wheel.read_one(ask, unit_in(ask)),
    "save": keeping.save, "disk": keeping.disk, "reload": keeping.reload,
    "link": keeping.link, "make": keeping.make, "progress": keeping.progress,
    "away": keeping.put_away,
}  # fmt: skip
"""Every question by its name."""

SLOW = frozenset(
    {"shipped", "whole", "remedies", "pulls", "remedy", "retune", "have", "place", "old"}
)
"""Questions that may take longer than a blink: they do not stand in the way of the others."""
