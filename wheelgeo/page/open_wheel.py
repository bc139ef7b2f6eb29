"""One wheel that lies on the page: what it is, what it was, and the file it came from."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from wheelgeo.design.toml_text import read_text
from wheelgeo.errors import DesignError, OutputError, SearchError
from wheelgeo.files import read
from wheelgeo.page.links import link_of
from wheelgeo.page.moving import put_on
from wheelgeo.page.on_disk import FileOnDisk, on_disk
from wheelgeo.units.quantity import INCHES
from wheelgeo.units.written import LengthUnit
from wheelgeo.wheel import Wheel

if TYPE_CHECKING:
    from wheelgeo.check.answer import Answer
    from wheelgeo.check.answer_run import RunningAnswer


_MOST_GHOSTS = 60
"""Ghosts that lie ready at once: the ways of several windows that ask one wheel."""


@dataclass(frozen=True)
class Ghost:
    """A wheel to lay over another; a whole wheel of its own is compared, and never taken.

    Attributes:
        wheel: the wheel.
        whole: whether it is one of its own.
        sets: names of the numbers that taking it sets; what else is another follows from these.
    """

    wheel: Wheel
    whole: bool = False
    sets: tuple[str, ...] = ()


@dataclass(frozen=True)
class StepTaken:
    """A wheel on the other side of a step, and the names of what the step set."""

    wheel: Wheel
    sets: tuple[str, ...]


MOST_PARTS = 100
"""Shafts, pulleys and bands; wheels have a dozen, and labels take seconds for a hundred."""


@dataclass
class OpenWheel:
    """A wheel on the page, which changes step by step; every step can be taken back.

    Attributes:
        name: how the page calls it.
        now: the wheel.
        path: its file; None where it has none yet.
        on_disk: text of the file as it was last read or written here.
        before: the wheels that it was, the oldest first.
        after: those that were taken back, the latest last.
        sets: names of what the last step set, or of what was set by the one taken back last.
        revision: grows with every change, so that two windows on one wheel notice each other.
        by: what changed it last: a window of the page, by its name, or "editor".
        kept: the wheel as it stands in the file, or as it was opened; None where it stands nowhere.
        unit: lengths are written so: as the file has them, until another is chosen.
        was: the wheel that the page showed before the last change, undo or redo; itself at first.
        ghosts: wheels laid over it to look at, by the name that the page was given for each; what
            was asked of the wheel before a step is none any more.
        laid: how many ghosts there have been: each has a number of its own for its name.
        folder: names of files are told from here: that of the terminal.
    """

    name: str
    now: Wheel
    path: Path | None = None
    on_disk: str | None = None
    before: list[StepTaken] = field(default_factory=list)
    after: list[StepTaken] = field(default_factory=list)
    sets: tuple[str, ...] = ()
    revision: int = 0
    by: str = ""
    kept: Wheel | None = None
    unit: LengthUnit = field(init=False)
    was: Wheel = field(init=False)
    ghosts: dict[str, Ghost] = field(default_factory=dict)
    laid: int = 0
    folder: Path = Path()
    _solved: list[tuple[Wheel, Answer]] = field(default_factory=list, repr=False)
    _checked: list[tuple[Wheel, Answer]] = field(default_factory=list, repr=False)
    _run: list[tuple[Wheel, RunningAnswer]] = field(default_factory=list, repr=False)
    _linked: tuple[Wheel, str] | None = field(default=None, repr=False)

    def __post_init__(self) -> None:
        self.kept = self.was = _small(self.now)
        self.unit = "in/64" if self.now.design.unit in INCHES else "mm"

    def solved(self, wheel: Wheel) -> Answer:
        """Return the answer of a wheel, remembered for the last few that were asked of."""
        return _remembered(self._solved, wheel, Wheel.solve)

    def checked(self, wheel: Wheel) -> Answer:
        """Return the answer of a wheel by every rule, with the remedies that were found so far."""
        return _remembered(self._checked, wheel, Wheel.check)

    def run(self, wheel: Wheel) -> RunningAnswer:
        """Return the mechanics of a wheel, remembered likewise."""
        return _remembered(self._run, wheel, Wheel.run)

    def link(self) -> str:
        """Return the link that holds the wheel as it is now, comments and all."""
        if self._linked is None or self._linked[0] is not self.now:
            self._linked = self.now, link_of(self.now.to_toml())
        return self._linked[1]

    @property
    def lost(self) -> bool:
        """Whether it is nowhere but here: changed, or its file holds it no more."""
        return self.changed or self.file_now().state not in ("none", "same")

    @property
    def changed(self) -> bool:
        """Whether it differs from its file."""
        return self.kept is None or self.now.design != self.kept.design

    @property
    def file(self) -> str | None:
        """Its file's name as it is told, however it was given: whole where it lies elsewhere."""
        if self.path is None:
            return None
        whole = self.folder / self.path
        return str(whole.relative_to(self.folder) if whole.is_relative_to(self.folder) else whole)

    @property
    def lies_in(self) -> str:
        """Where it is kept, in words: its file, and whether it was changed since."""
        place = self.file or "in no file yet"
        return f"{place}, changed since it was kept" if self.changed and self.path else place

    def become(self, wheel: Wheel, sets: Iterable[str] = ()) -> None:
        """Take a step: the wheel is another one now. A step to the same wheel is none.

        Args:
            wheel: what it becomes.
            sets: names of the numbers that are set; what else is another follows from them.
        """
        if wheel.design == self.now.design:
            return
        self.was, self.sets = self.now, tuple(sets)
        self.before.append(StepTaken(_bare(self.now), self.sets))
        self.after.clear()
        self.now = wheel
        self.revision += 1
        self.forget_ghosts()

    def lay_over(self, ghost: Ghost) -> str:
        """Lay a wheel ready to be seen; return its name. The oldest of very many is let go of."""
        self.laid += 1
        self.ghosts[str(self.laid)] = ghost
        if len(self.ghosts) > _MOST_GHOSTS:
            del self.ghosts[next(iter(self.ghosts))]
        return str(self.laid)

    def forget_ghosts(self) -> None:
        """Let go of what was laid over it."""
        self.ghosts.clear()

    def put(self, changes: Mapping[str, Any]) -> None:
        """Take a step by setting numbers, texts or choices anew; DesignError where it cannot be."""
        self.become(put_on(self.now, changes), changes)

    def undo(self) -> bool:
        """Take the last step back; False where there is none."""
        return self._step(self.before, self.after)

    def redo(self) -> bool:
        """Take the step again that was taken back; False where there is none."""
        return self._step(self.after, self.before)

    def _step(self, source: list[StepTaken], target: list[StepTaken]) -> bool:
        if not source:
            return False
        step = source.pop()
        self.was, self.sets = self.now, step.sets
        target.append(StepTaken(_bare(self.now), step.sets))
        self.now = step.wheel
        self.revision += 1
        self.forget_ghosts()
        return True

    # --- its file ---------------------------------------------------------------------------------

    def lies_at(self, path: Path) -> bool:
        """Tell whether its file is the one of a name, whatever links lead there."""
        return self.path is not None and os.path.realpath(path) == os.path.realpath(self.path)

    def file_now(self) -> FileOnDisk:
        """Return how its file stands on the disk."""
        return on_disk(self.path, self.on_disk)

    def read_again(self) -> None:
        """Take the file as it stands on the disk as the next step; what was can be had by undo.

        Raises:
            DesignError: the file is at fault; the wheel stays.
            SearchError: it has more parts than the page can show.
        """
        assert self.path is not None
        text = read_text(self.path)
        wheel = _small(read(text, str(self.path)))
        self.on_disk = text
        self.become(wheel)
        self.now = self.kept = wheel

    def save(self, path: Path, over: bool = False) -> str:
        """Write the wheel, with the comments of its file, whole or not at all.

        Args:
            path: where to; the wheel's own file, or a new one.
            over: write over the own file though it was changed there since it was read. The wheel
                that stands in it becomes a step, so that it can be had back by undo.

        Returns:
            What is to be said of the comments that are kept; empty where that is nothing.

        Raises:
            OutputError: a file of somebody else's is in the way, it cannot be written, or what it
                is to be written over makes no wheel that could be had back.
        """
        from wheelgeo.design.comments import comments_in_words
        from wheelgeo.design.whole_file import write_new

        own = self.lies_at(path)
        found = self.file_now() if own else FileOnDisk("none")
        if found.says and found.state != "gone" and not (over and found.state == "changed"):
            raise OutputError(f"{found.says} Nothing was written")
        theirs = None
        if found.text is not None and found.state == "changed":
            theirs = _readable(found.text, path)
            self.on_disk = found.text
        # The comments are those of the file as it was last seen, not of a step that was taken back.
        written = Wheel(self.now.design, self.on_disk or self.now.text, str(path))
        text = written.to_toml()
        if found.state in ("same", "changed"):
            written.save(path)
        else:
            write_new(path, text)
        if theirs is not None:
            mine = self.now
            self.become(theirs)
            self.become(mine)
        self.path, self.on_disk = path, text
        self.now = self.kept = Wheel(self.now.design, text, str(path))
        return comments_in_words(written.text, text)


def _small(wheel: Wheel) -> Wheel:
    """Return a wheel that the page can show; SearchError where it has too many parts."""
    parts = len(wheel.design.shafts) + len(wheel.design.pulleys) + len(wheel.design.bands)
    if parts > MOST_PARTS:
        raise SearchError(
            f"the page shows wheels of {MOST_PARTS} shafts, pulleys and bands in all; this one has "
            f"{parts}: ask the commands of it"
        )
    return wheel


def _readable(text: str, path: Path) -> Wheel:
    try:
        return _small(read(text, str(path)))
    except DesignError as error:
        raise OutputError(
            f"The file makes no wheel as it stands ({error.faults[0]}), and would be lost: mend "
            "it, or write another name. Nothing was written"
        ) from error


_T = TypeVar("_T")
_REMEMBERED = 4  # it, what it was, a ghost, and one beside


def _remembered(known: list[tuple[Wheel, _T]], wheel: Wheel, work: Callable[[Wheel], _T]) -> _T:
    """Return what was worked out for a wheel; equal wheels are one."""
    for other, found in known:
        if other is wheel or other.design == wheel.design:
            return found
    made = work(wheel)
    known[:] = [(wheel, made), *known][:_REMEMBERED]
    return made


def _bare(wheel: Wheel) -> Wheel:
    """Return a wheel without what was computed of it: thousands of steps are kept.

    A design keeps the wheel as built with it, so that it must be another object as well.
    """
    return Wheel(replace(wheel.design), wheel.text, wheel.source)
