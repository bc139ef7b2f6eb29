"""Make the whole set for the bench: every file as bytes in memory, the same bytes every time.

Each group of files has a maker: a function that takes the ``Job`` and gives the files. A group is
one line in ``GROUPS``; its module is imported only when the group is made, since cut files and
meshes need libraries that take long to load.
"""

from __future__ import annotations

import difflib
import json
import os
from collections.abc import Callable, Iterable
from dataclasses import field
from importlib import import_module
from pathlib import Path
from typing import Literal, get_args

from wheelgeo.as_json import NOT_IN_JSON, AsJson
from wheelgeo.check.answer import Answer
from wheelgeo.design.model import Design
from wheelgeo.drive.train import Solution
from wheelgeo.errors import OutputError
from wheelgeo.immutable import dataclass
from wheelgeo.units.written import LengthUnit

Progress = Callable[[str, int, int], None]
"""Called with what comes next, how many groups are done, and how many there are."""


@dataclass(frozen=True)
class MakeOptions:
    """What to make and how.

    Attributes:
        only: names of the groups to make; None for all.
        dxf: release of the cut files.
        lengths: unit in which drawings and sheets for people write lengths.
    """

    only: tuple[str, ...] | None = None
    dxf: Literal["R2010", "R12"] = "R2010"
    lengths: LengthUnit = "mm"

    def __post_init__(self) -> None:
        for value, known in ((self.dxf, _RELEASES), (self.lengths, _LENGTHS)):
            if value not in known:
                raise OutputError(f'"{value}" cannot be asked for; there are: {", ".join(known)}')


_RELEASES = ("R2010", "R12")
_LENGTHS = get_args(LengthUnit)


@dataclass(frozen=True)
class Job:
    """What a maker works from.

    Attributes:
        answer: the checked wheel.
        options: what to make and how.
    """

    answer: Answer
    options: MakeOptions

    @property
    def design(self) -> Design:
        """The wheel's data."""
        return self.answer.design

    @property
    def solution(self) -> Solution:
        """Its solved drive."""
        return self.answer.solution


SHOP_SHEET = "shop-sheet.html"
"""The shop sheet as every browser opens it."""
BAND_CARDS = "band_cards.pdf"
"""The cards of an old wheel's bands."""
OPENED_FIRST = (SHOP_SHEET, BAND_CARDS)
"""What is opened before all else of a set, the first that it has."""


@dataclass(frozen=True)
class MadeFile:
    """One file of the set.

    Attributes:
        name: its name within the folder, with no folder in it.
        content: its bytes.
        what: what it is, in a few words.
        group: the group that it belongs to.
    """

    name: str
    content: bytes
    what: str
    group: str


@dataclass(frozen=True)
class MadeFileAnswer:
    """A file that was written: its name, what it is, and the group that it belongs to."""

    file: str
    what: str
    group: str


@dataclass(frozen=True)
class MakeAnswer(AsJson):
    """What was written.

    Attributes:
        folder: where to.
        files: every file of the set, but for its index.
        removed: files of an earlier set that are no longer made.
        checked: what the check of the wheel says.
    """

    folder: str
    files: tuple[MadeFileAnswer, ...]
    removed: tuple[str, ...]
    checked: Answer = field(repr=False, compare=False, metadata=NOT_IN_JSON)

    @classmethod
    def of(
        cls, folder: Path, files: Iterable[MadeFile], removed: Iterable[str], checked: Answer
    ) -> MakeAnswer:
        """Return the answer for a set that was written to a folder."""
        told = tuple(MadeFileAnswer(f.name, f.what, f.group) for f in files)
        # a folder's name need not be UTF-8, as JSON must be
        name = os.fsencode(folder).decode("utf-8", "backslashreplace")
        return cls(name, told, tuple(removed), checked)

    @property
    def open_first(self) -> MadeFileAnswer | None:
        """The file that tells what is done: shop sheet, or an old wheel's card; None without."""
        return next((f for name in OPENED_FIRST for f in self.files if f.file == name), None)


@dataclass(frozen=True)
class FileGroup:
    """A group of files and where its maker is found."""

    name: str
    what: str
    module: str
    maker: str


GROUPS: tuple[FileGroup, ...] = (
    FileGroup("dxf", "cut files of pulleys and floor", "wheelgeo.shop.make_dxf", "make_dxf"),
    FileGroup("parts", "cut files of flat parts", "wheelgeo.shop.part_files", "make_parts"),
    FileGroup("jigs", "groove gauges and banding board", "wheelgeo.shop.part_files", "make_jigs"),
    FileGroup("sheets", "parts laid out on sheets", "wheelgeo.shop.part_files", "make_sheets"),
    FileGroup("templates", "paper templates", "wheelgeo.shop.templates", "make_templates"),
    FileGroup("drawings", "drawings of the drive", "wheelgeo.shop.make_drawings", "make_drawings"),
    FileGroup("solids", "solids of the pulleys", "wheelgeo.shop.make_solids", "make_solids"),
    FileGroup("assembly", "places and order", "wheelgeo.shop.make_assembly", "make_assembly"),
    FileGroup("sheet", "shop sheet", "wheelgeo.shop.make_sheet", "make_sheet"),
    FileGroup("tables", "band lengths", "wheelgeo.shop.make_dxf", "make_tables"),
    FileGroup("facts", "the facts of the wheel", "wheelgeo.shop.bench_set", "make_facts"),
)
"""Every group of a wheel that is built, in the order in which they are made."""
CARDS = FileGroup("cards", "cards of the bands", "wheelgeo.shop.band_cards", "make_cards")
OF_OLD_WHEEL = ("cards", "jigs", "tables", "facts")
"""Of a wheel that is there already so much is made, unless more is asked for by name."""


def plan_make(
    answer: Answer,
    options: MakeOptions | None = None,
    progress: Progress | None = None,
) -> tuple[MadeFile, ...]:
    """Return every file of the set; nothing is written.

    Args:
        answer: the checked wheel.
        options: what to make and how; all of it where left out.
        progress: called before each group and at the end.

    Raises:
        OutputError: a band has no path, a group is not known, or two files share a name.
        ShapeError: a part cannot be cut as asked.
    """
    options = options or MakeOptions()
    old = OF_OLD_WHEEL if answer.design.shop.old_wheel else None
    groups = wanted_groups(old if options.only is None else options.only)
    check_bands(answer.solution)
    job = Job(answer, options)
    made: list[MadeFile] = []
    for i, group in enumerate(groups):
        if progress is not None:
            progress(group.what, i, len(groups))
        maker = getattr(import_module(group.module), group.maker)
        made += maker(job)
    if progress is not None:
        progress("done", len(groups), len(groups))
    _check_names(made)
    return tuple(made)


def asked_groups(only: str | Iterable[str] | None) -> tuple[str, ...] | None:
    """Return names of groups as somebody asked for them: one, several, or None for all."""
    return None if only is None else (only,) if isinstance(only, str) else tuple(only)


def wanted_groups(only: Iterable[str] | None) -> tuple[FileGroup, ...]:
    """Return the groups of those names, in the order in which they are made.

    Raises:
        OutputError: a name is not that of a group; names the nearest. Or there is no name.
    """
    if only is None:
        return GROUPS
    wanted, known = set(only), [group.name for group in (*GROUPS, CARDS)]
    if not wanted:
        raise OutputError(f"no group is named; there are: {', '.join(known)}")
    for name in sorted(wanted - set(known)):
        near = difflib.get_close_matches(name, known, 1)
        hint = f'did you mean "{near[0]}"? ' if near else ""
        raise OutputError(f'nothing is called "{name}"; {hint}there are: {", ".join(known)}')
    return tuple(group for group in (*GROUPS, CARDS) if group.name in wanted)


def check_bands(solution: Solution) -> None:
    """Raise OutputError where a band has no path, naming its pulleys: nothing fits then."""
    lost = [motion for motion in solution.bands if motion.path is None]
    if not lost:
        return
    lines = []
    for motion in lost:
        pulleys = ", ".join(f'"{stop.pulley}"' for stop in motion.band.route)
        why = "" if motion.no_path is None else f": {motion.no_path}"
        lines.append(f'band "{motion.band.name}" on pulleys {pulleys} has no path{why}')
    raise OutputError("nothing is made: " + "; ".join(lines))


def _check_names(made: list[MadeFile]) -> None:
    seen: set[str] = set()
    for file in made:
        key = file.name.casefold()
        if key in seen or "/" in key or "\\" in key or key in ("", ".", ".."):
            raise OutputError(f'"{file.name}" cannot be the name of a file in this set')
        seen.add(key)


def make_facts(job: Job) -> list[MadeFile]:
    """Return the facts as a JSON file."""
    text = json.dumps(job.answer.to_json(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    return [MadeFile("facts.json", text.encode("utf-8"), "the facts of the wheel", "facts")]
