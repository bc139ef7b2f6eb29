"""What the page may ask about files: to open a wheel, to keep it, to make its set for the bench."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import wheelgeo
from wheelgeo.design.toml_text import parse_toml
from wheelgeo.errors import OutputError
from wheelgeo.page.links import text_of
from wheelgeo.page.making import SetInWork
from wheelgeo.page.reading import Ask, BadAskError, Said, text_in, unit_in

if TYPE_CHECKING:
    from wheelgeo.page.desk import Desk
    from wheelgeo.page.open_wheel import OpenWheel
    from wheelgeo.wheel import Wheel


def lay_open(desk: Desk, ask: Ask) -> Said:
    """Lay a wheel on the page: a shipped design, a file, a text, or what a link holds.

    One that lies there already is not laid twice. A new one is told in the unit that the page is
    in, unless its own file says one.
    """
    lay = next((_LAYING[key] for key in _LAYING if key in ask), _lay_text)
    before = set(desk.wheels)
    opened = lay(desk, ask)
    already = opened.name in before
    if "unit" in ask and not already and ("design" in ask or not _says_unit(opened.now)):
        opened.unit = unit_in(ask)
    return {**desk.standing(opened), "already": already}


def _lay_design(desk: Desk, ask: Ask) -> OpenWheel:
    from wheelgeo.design.library import design_text, shipped_designs

    name = text_in(ask, "design")
    if name not in shipped_designs():
        raise BadAskError("no such design")
    wheel = wheelgeo.read(design_text(name), name)
    as_it_came = (w for w in _lying(desk) if w.path is None and w.now.design == wheel.design)
    return next(as_it_came, None) or desk.lay(wheel)


def _lay_file(desk: Desk, ask: Ask) -> OpenWheel:
    path = _path(desk, text_in(ask, "path"))
    return next((w for w in _lying(desk) if w.lies_at(path)), None) or desk.lay_file(path)


def _lay_link(desk: Desk, ask: Ask) -> OpenWheel:
    wheel = wheelgeo.read(text_of(text_in(ask, "link")), "the link")
    # A page loaded again asks for the same link: the wheel that lies there already serves.
    same = (w for w in _lying(desk) if w.now.design == wheel.design)
    return next(same, None) or desk.lay(wheel, kept=False)


def _lay_text(desk: Desk, ask: Ask) -> OpenWheel:
    return desk.lay(wheelgeo.read(text_in(ask, "text"), "the text"), kept=False)


_LAYING = {"design": _lay_design, "path": _lay_file, "link": _lay_link}


def _lying(desk: Desk) -> list[OpenWheel]:
    return list(desk.wheels.values())


def _says_unit(wheel: Wheel) -> bool:
    """Tell whether a wheel's file says in which unit its bare lengths are."""
    return wheel.text is not None and "unit" in parse_toml(wheel.text, wheel.source)


def _path(desk: Desk, text: str) -> Path:
    if not text.strip() or "\0" in text:
        raise OutputError("write the name of a file")
    try:
        os.fsencode(text)
        return desk.folder / Path(text.strip()).expanduser()
    except UnicodeError as error:
        raise OutputError("it is no name of a file: it holds half a character") from error
    except RuntimeError as error:
        raise OutputError(f'"{text}" begins with the home of somebody unknown') from error


def save(desk: Desk, ask: Ask) -> Said:
    """Keep a wheel in its file, or in a new one."""
    opened = desk.opened(ask)
    given = text_in(ask, "path", "")
    target = _path(desk, given) if given or opened.path is None else opened.path
    if not target.suffix and target.name:  # a design file is called so, whoever names it
        target = target.with_name(f"{target.name}.toml")
    with desk.writing:
        comments = opened.save(target, over=ask.get("over") is True)
    opened.by = text_in(ask, "window", "")
    return {**desk.standing(opened), "comments": comments}


def disk(desk: Desk, ask: Ask) -> Said:
    """Tell how a wheel's file stands, and hand over links to what stands in none."""
    opened = desk.opened(ask)
    holds = ask.get("holds")
    if not isinstance(holds, dict):
        raise BadAskError("nothing is said of what the page holds")
    found = opened.file_now()
    said = {**desk.standing(opened), "disk": found.state, "says": found.says}
    return {**said, "unkept": _unkept(desk, holds)}


def _unkept(desk: Desk, holds: Ask) -> list[Said]:
    """Return the wheels that would be lost if the program ended, one of them with its link.

    The page holds their links, so that it can tell them when the program is there no more. A link
    takes as long as a step of a hand: no more than one is made at a time, of what is new.
    """
    told, new = [], True
    for opened in desk.unkept():
        row: Said = {"wheel": opened.name, "title": opened.now.title, "revision": opened.revision}
        if new and holds.get(opened.name) != opened.revision:
            row["link"], new = opened.link(), False
        told.append(row)
    return told


def reload(desk: Desk, ask: Ask) -> Said:
    """Take what stands in a wheel's file as its next step."""
    opened = desk.opened(ask)
    if opened.path is None:
        raise BadAskError("no file")
    opened.read_again()
    opened.by = text_in(ask, "window", "") if ask.get("chosen") is True else "editor"
    return desk.standing(opened)


def link(desk: Desk, ask: Ask) -> Said:
    """Give the link that holds a wheel."""
    opened = desk.opened(ask)
    return {**desk.standing(opened), "link": opened.link()}


def make(desk: Desk, ask: Ask) -> Said:
    """Begin to make a wheel's set for the bench."""
    opened = desk.opened(ask)
    folder = _path(desk, text_in(ask, "folder"))
    if any(work.running for work in desk.sets.values()):
        return {"refused": [{"place": "", "says": "another set is being made", "remedy":
                             "wait until it is done", "key": ""}]}  # fmt: skip
    number = str(len(desk.sets) + 1)
    desk.sets[number] = SetInWork.begin(opened.now, folder, unit_in(ask), desk.writing)
    return {"set": number, **desk.sets[number].state()}


def progress(desk: Desk, ask: Ask) -> Said:
    """Tell how far a set is."""
    work = desk.sets.get(str(ask.get("set")))
    if work is None:
        raise BadAskError("no such set")
    return {"set": ask["set"], **work.state()}


def put_away(desk: Desk, ask: Ask) -> Said:
    """Take a wheel from the page; one that would be lost only where that is said to be meant."""
    opened = desk.opened(ask)
    if opened.changed and ask.get("anyway") is not True:
        return {"away": False, "lies_in": opened.lies_in}
    desk.wheels.pop(opened.name, None)
    return {"away": True, "wheels": desk.tags()}
