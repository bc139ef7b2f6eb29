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
from wheelgeo.errors import DesignError, OutputError, SearchError, WheelError
from wheelgeo.page import asks, laid_over, told
from wheelgeo.page.choices import choices, groove_table, settable
from wheelgeo.page.links import link_of, text_of
from wheelgeo.page.making import SetInWork
from wheelgeo.page.moving import farthest, typed
from wheelgeo.page.open_wheel import OpenWheel
from wheelgeo.page.reading import (
    Ask,
    BadAskError,
    Said,
    places_in,
    text_in,
    unit_in,
    views_in,
)
from wheelgeo.page.shown import at_once, finished, held_in, scene_in
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
        writing: held while a file is written, so that the program does not end meanwhile.
    """

    folder: Path
    wheels: dict[str, OpenWheel] = field(default_factory=dict)
    sets: dict[str, SetInWork] = field(default_factory=dict)
    writing: threading.Lock = field(default_factory=threading.Lock)

    def lay(self, wheel: Wheel, path: Path | None = None) -> OpenWheel:
        """Lay a wheel on the page; SearchError where there are too many."""
        if len(self.wheels) >= MOST_WHEELS:
            raise SearchError(
                f"{MOST_WHEELS} wheels lie on the page, and that is all it holds: keep what you "
                "want in its file, end the program in the terminal, and open it again"
            )
        laid = OpenWheel(str(len(self.wheels) + 1), wheel, path, wheel.text if path else None)
        self.wheels[laid.name] = laid
        return laid

    def lay_file(self, path: Path) -> OpenWheel:
        """Lay the wheel of a file on the page; DesignError where the file is at fault."""
        return self.lay(wheelgeo.load(path), path)

    def unkept(self) -> list[OpenWheel]:
        """Return the wheels that would be lost if the page ended now."""
        return [opened for opened in self.wheels.values() if opened.changed]

    def ask(self, question: str, ask: Ask) -> Said:
        """Answer a question.

        Raises:
            BadAskError: there is no such question, or it makes no sense.
        """
        if question not in QUESTIONS:
            raise BadAskError(question)
        try:
            return QUESTIONS[question](self, ask)
        except WheelError as error:
            return {"refused": refusals(error)}
        except (OSError, UnicodeError) as error:  # a name that no file can have
            says = getattr(error, "strerror", None) or "it is no name of a file"
            return {"refused": refusals(OutputError(says))}


def refusals(error: WheelError) -> list[Said]:
    """Return what is wrong, in words for the page."""
    if isinstance(error, DesignError):
        told = [asdict(fault) for fault in error.faults[:MOST_FAULTS]]
        if more := len(error.faults) - len(told):
            told.append({"place": "", "says": f"{more} more are wrong", "remedy": "", "key": ""})
        return told
    return [{"place": "", "says": str(error), "remedy": "", "key": ""}]


# --- reading a question ---------------------------------------------------------------------------


def _wheel(desk: Desk, ask: Ask, key: str = "wheel") -> OpenWheel:
    found = desk.wheels.get(str(ask.get(key)))
    if found is None:
        raise BadAskError("no such wheel")
    return found


def _changes(opened: OpenWheel, ask: Ask) -> dict[str, Any]:
    put = ask.get("put")
    if not isinstance(put, dict) or not put:
        raise BadAskError("nothing to put")
    try:
        values = {str(key): told.plain_value(value) for key, value in put.items()}
    except TypeError as error:
        raise BadAskError(str(error)) from error
    return {k: typed(opened.now.design, k, v, unit_in(ask)) for k, v in values.items()}


# --- seeing ---------------------------------------------------------------------------------------


def standing(desk: Desk, opened: OpenWheel) -> Said:
    """Return how a wheel stands on the page, whatever is computed of it."""
    return {
        "wheel": opened.name,
        "title": opened.now.title,
        "file": None if opened.path is None else str(opened.path),
        "lies_in": opened.lies_in,
        "count_unit": None if opened.now.design.yarn is None
        else opened.now.design.yarn.count.system,
        "revision": opened.revision,
        "changed": opened.changed,
        "undo": len(opened.before),
        "redo": len(opened.after),
        "wheels": _list_of(desk),
    }  # fmt: skip


def _list_of(desk: Desk) -> list[Said]:
    """Return the wheels on the page; of those with one title each says which of them it is."""
    titles = [w.now.title for w in desk.wheels.values()]
    return [
        {"wheel": w.name, "title": w.now.title, "tag": w.now.title
         if titles.count(w.now.title) == 1 else f"{w.now.title} ({w.name}: {w.lies_in})"}
        for w in desk.wheels.values()
    ]  # fmt: skip


def told_at_once(desk: Desk, opened: OpenWheel, wheel: Wheel, was: Wheel, ask: Ask) -> Said:
    """Return how a wheel stands on the page, and what is told of it within a blink."""
    return {**standing(desk, opened), **at_once(opened, wheel, was, ask)}


def _view(desk: Desk, ask: Ask) -> Said:
    """Show the same wheel from where the eye is now."""
    opened = _wheel(desk, ask)
    answer, unit = opened.solved(opened.now), unit_in(ask)
    scene = scene_in(answer, ask)
    speeds = {band.name: band.speed_m_s for band in answer.bands}
    return {
        "revision": opened.revision,
        "views": {
            one["name"]: {
                **finished(opened.now.design, scene, view, {**one, "labels": False}, unit),
                **held_in(opened.now, scene, view, speeds, unit, {}),
            }
            for one, view in views_in(ask, scene)
        },
    }


def _show(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    return told_at_once(desk, opened, opened.now, opened.was, ask)


def _whole(desk: Desk, ask: Ask) -> Said:
    """Tell the rest of a wheel: mechanics, every finding, what hides what, labels.

    Remedies that are known already are told; those that must be looked for are asked for after it.
    """
    opened = _wheel(desk, ask)
    if "ghost" in ask:
        return laid_over.rest_over(opened, laid_over.ghost_in(opened, ask), ask)
    unit, wheel, was = unit_in(ask), opened.now, opened.was
    revision = opened.revision
    checked = opened.checked(wheel)
    scene = scene_in(checked, ask)
    found = told.findings(checked.findings, wheel.design, unit)
    return {
        "wheel": opened.name,
        "revision": revision,
        "mechanics": told.mechanics(opened.run(wheel), opened.run(was), unit),
        "findings": told.with_remedies(checked.findings, found, unit, 0.0),
        "assumed": [asdict(a) for a in dict.fromkeys(checked.assumed)],
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
    opened = _wheel(desk, ask)
    unit, wheel, revision = unit_in(ask), opened.now, opened.revision
    checked = opened.checked(wheel)
    found = told.findings(checked.findings, wheel.design, unit)
    return {
        "wheel": opened.name,
        "revision": revision,
        "findings": told.with_remedies(
            checked.findings, found, unit, PATIENCE_S, places_in(ask, "seen")
        ),
    }


# --- changing -------------------------------------------------------------------------------------


def _change(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    opened.put(_changes(opened, ask))
    return told_at_once(desk, opened, opened.now, opened.was, ask)


def _drag(desk: Desk, ask: Ask) -> Said:
    """Follow a hand as far as the wheel can exist; the last call is a step, as any change."""
    opened = _wheel(desk, ask)
    wanted = _changes(opened, ask)
    reached, values, faults = farthest(opened.now, wanted, unit_in(ask))
    before = opened.now
    if ask.get("last") is True:
        opened.become(reached)
        before = opened.was
    said = told_at_once(desk, opened, reached, before, ask)
    limit = [asdict(fault) for fault in faults]
    return {**said, "values": values, "limit": limit}


def _pulls(desk: Desk, ask: Ask) -> Said:
    """Tell pulls and effort of a wheel that a hand is drawing at, beside those it had."""
    opened = _wheel(desk, ask)
    held = opened.now
    drawn = held.put(_changes(opened, ask))
    return {"mechanics": told.mechanics(drawn.run(), opened.run(held), unit_in(ask))}


def _groove(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    pulley, shape = text_in(ask, "pulley"), text_in(ask, "shape")
    opened.put({f"pulley:{pulley}.groove": groove_table(opened.now.design, pulley, shape)})
    return told_at_once(desk, opened, opened.now, opened.was, ask)


def _undo(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    opened.undo()
    return told_at_once(desk, opened, opened.now, opened.was, ask)


def _redo(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    opened.redo()
    return told_at_once(desk, opened, opened.now, opened.was, ask)


# --- other wheels over it -------------------------------------------------------------------------


def _ghost(desk: Desk, ask: Ask) -> Said:
    """Show another wheel over this one: its lines, and its numbers beside these."""
    opened = _wheel(desk, ask)
    told = laid_over.at_once_over(opened, laid_over.ghost_in(opened, ask), ask)
    return {"ghost": ask["ghost"], **standing(desk, opened), **told}


def _take(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    laid_over.take(opened, ask)
    return told_at_once(desk, opened, opened.now, opened.was, ask)


def _remedy(desk: Desk, ask: Ask) -> Said:
    return laid_over.lay_remedy(_wheel(desk, ask), ask)


def _lay_over(desk: Desk, ask: Ask) -> Said:
    return laid_over.lay_whole(_wheel(desk, ask), _wheel(desk, ask, "other"))


def _asked(question: Callable[..., Said]) -> Callable[[Desk, Ask], Said]:
    def ask_it(desk: Desk, ask: Ask) -> Said:
        opened = _wheel(desk, ask)
        revision = opened.revision
        said = question(opened, ask, unit_in(ask))
        if opened.revision != revision:  # changed while it was worked out: nothing of it is laid
            opened.forget_ghosts()
        return {"wheel": opened.name, "revision": revision, **said}

    return ask_it


def _old(desk: Desk, ask: Ask) -> Said:
    answered, wheel = asks.old_wheel(ask, unit_in(ask))
    if ask.get("open") is True:
        opened = desk.lay(wheel)
        opened.kept = None  # what was measured stands nowhere else
        answered["opened"] = opened.name
    return answered


# --- opening, keeping, making ---------------------------------------------------------------------


def _start(desk: Desk, _: Ask) -> Said:
    return {**choices(), "wheels": _list_of(desk)}


def _open(desk: Desk, ask: Ask) -> Said:
    """Lay a wheel on the page: a shipped design, a file, a text, or what a link holds."""
    if "design" in ask:
        from wheelgeo.design.library import design_text, shipped_designs

        name = text_in(ask, "design")
        if name not in shipped_designs():
            raise BadAskError("no such design")
        opened = desk.lay(wheelgeo.read(design_text(name), name))
    elif "path" in ask:
        opened = desk.lay_file(_path(desk, text_in(ask, "path")))
    elif "link" in ask:
        wheel = wheelgeo.read(text_of(text_in(ask, "link")), "the link")
        # A page loaded again asks for the same link: the wheel that lies there already serves.
        same = (w for w in desk.wheels.values() if w.now.design == wheel.design)
        opened = next(same, None) or desk.lay(wheel)
    else:
        opened = desk.lay(wheelgeo.read(text_in(ask, "text"), "the text"))
    return standing(desk, opened)


def _path(desk: Desk, text: str) -> Path:
    if not text.strip() or "\0" in text:
        raise OutputError("write the name of a file")
    try:
        return desk.folder / Path(text.strip()).expanduser()
    except RuntimeError as error:
        raise OutputError(f'"{text}" begins with the home of somebody unknown') from error


def _save(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    given = text_in(ask, "path", "")
    target = _path(desk, given) if given or opened.path is None else opened.path
    with desk.writing:
        opened.save(target, over=ask.get("over") is True)
    return standing(desk, opened)


def _disk(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    return {**standing(desk, opened), "disk": opened.disk_state()}


def _reload(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    if opened.path is None:
        raise BadAskError("no file")
    opened.read_again()
    return standing(desk, opened)


def _link(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    return {**standing(desk, opened), "link": link_of(opened.now.to_toml())}


def _make(desk: Desk, ask: Ask) -> Said:
    opened = _wheel(desk, ask)
    folder = _path(desk, text_in(ask, "folder"))
    if any(work.running for work in desk.sets.values()):
        return {"refused": [{"place": "", "says": "another set is being made", "remedy":
                             "wait until it is done", "key": ""}]}  # fmt: skip
    number = str(len(desk.sets) + 1)
    desk.sets[number] = SetInWork.begin(opened.now, folder, unit_in(ask), desk.writing)
    return {"set": number, **desk.sets[number].state()}


def _progress(desk: Desk, ask: Ask) -> Said:
    work = desk.sets.get(str(ask.get("set")))
    if work is None:
        raise BadAskError("no such set")
    return {"set": ask["set"], **work.state()}


QUESTIONS: Mapping[str, Callable[[Desk, Ask], Said]] = {
    "start": _start, "open": _open, "show": _show, "view": _view, "whole": _whole,
    "remedies": _remedies,
    "change": _change, "drag": _drag, "pulls": _pulls, "groove": _groove,
    "undo": _undo, "redo": _redo, "ghost": _ghost, "take": _take,
    "remedy": _remedy, "over": _lay_over,
    "retune": _asked(asks.retune), "have": _asked(asks.have), "place": _asked(asks.place),
    "old": _old, "save": _save, "disk": _disk, "reload": _reload, "link": _link,
    "make": _make, "progress": _progress,
}  # fmt: skip
"""Every question by its name."""

SLOW = frozenset({"whole", "remedies", "pulls", "remedy", "retune", "have", "place", "old"})
"""Questions that may take longer than a blink: they do not stand in the way of the others."""
