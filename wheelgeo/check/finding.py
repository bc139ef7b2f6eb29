"""What a finding is: one thing a builder should know, with its number, its limit and its remedy."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Generator, Iterable, Sequence
from dataclasses import field, replace
from functools import cached_property
from time import perf_counter
from typing import Any, ClassVar, Literal, get_args

from wheelgeo.check.edits import Edit, apply_edits
from wheelgeo.check.things import Thing, said_of
from wheelgeo.design.model import Design
from wheelgeo.immutable import dataclass
from wheelgeo.units.in_full import Told, part_of, plain
from wheelgeo.units.quantity import GRAVITY_M_S2

Level = Literal["fault", "warning", "note"]
"""How grave a finding is, the gravest first."""

Certainty = Literal["sure", "likely", "possible"]
"""How far a finding hangs on figures that are known within a range only."""


NAMED = 2
"""So many of the findings that a remedy brings or cures are named; the rest are counted."""
_BEHIND = re.compile(r"[:;] | \(")
"""What stands between what a finding says and the numbers and reasons behind it."""


def same_design(design: Design) -> Design:
    """Return a design as it is: what ``Remedy.apply`` gives where nobody wants more than that."""
    return design


@dataclass(frozen=True)
class Cured:
    """A finding that the remedy of another takes away as well.

    Attributes:
        rule: its rule.
        where: its place.
        says: what it says, without the numbers behind it.
    """

    rule: str
    where: str
    says: str

    def __post_init__(self) -> None:
        """Keep the lengths of its sentence as they are, and tell them rounded."""
        vars(self)["says"] = Told(self.says)

    @property
    def named(self) -> tuple[str, str]:
        """Rule and place."""
        return (self.rule, self.where)


@dataclass(frozen=True)
class Remedy:
    """What to do about a finding.

    Attributes:
        says: what to do, in words; the words of the edits where there are any.
        edits: what to set anew; empty where there is only advice.
        sound: the edits were tried, the finding goes, and no fault comes or grows worse.
        others: other ways that mend it as well, each with edits of its own; ``says`` names them
            too.
        design: the wheel that the edits are made on; None where there is only advice.
        as_wheel: what ``apply`` makes of the changed design.
        alone: its own words, where ``says`` names the others too, or what it cures; else empty.
        cures: faults and warnings of the wheel that it takes away besides its own finding.
        before: what to do, in words alone, that ``says`` names before the edits.
    """

    says: str
    edits: tuple[Edit, ...] = ()
    sound: bool = False
    others: tuple[Remedy, ...] = ()
    design: Design | None = field(default=None, repr=False, compare=False)
    as_wheel: Callable[[Design], Any] = field(default=same_design, repr=False, compare=False)
    alone: str = field(default="", repr=False, compare=False)
    cures: tuple[Cured, ...] = field(default=(), repr=False, compare=False)
    before: str = field(default="", repr=False, compare=False)

    @property
    def each(self) -> tuple[Remedy, ...]:
        """Everything that it names to do, each by itself, with edits or in words alone."""
        own = part_of(self.alone) + also_cures(self.cures) if self.alone else self.says
        before = (Remedy(self.before),) if self.before else ()
        return (*before, replace(self, says=own, others=(), before=""), *self.others)

    def __post_init__(self) -> None:
        """Keep the lengths of its words as they are, and tell them rounded."""
        told = (("says", self.says), ("alone", self.alone), ("before", self.before))
        vars(self).update({name: Told(text) for name, text in told})

    @property
    def ways(self) -> tuple[Remedy, ...]:
        """Every way that has edits, each in its own words alone."""
        return tuple(way for way in self.each if way.edits)

    def as_json(self) -> str:
        """Return what JSON holds of it: its words."""
        return self.says

    def apply(self) -> Any:
        """Return the changed wheel; None where there is no edit to make."""
        if self.design is None or not self.edits:
            return None
        return self.as_wheel(apply_edits(self.design, self.edits))


def also_cures(cures: Sequence[Cured]) -> str:
    """Return what a remedy cures besides, as its sentence goes on; empty where that is nothing."""
    return f"; also cures that {in_short((c.says for c in cures), 'that ')}" if cures else ""


def in_short(told: Iterable[str], each_with: str = "") -> str:
    """Return the first few of some sentences, in full, each once, and how many more there are.

    Args:
        told: the sentences.
        each_with: a word that stands before the others as it stands before the first.
    """
    each = list(dict.fromkeys(map(part_of, told)))
    more = len(each[NAMED:])
    return f", and {each_with}".join(each[:NAMED]) + (f" (and {more} more)" if more else "")


Looking = Generator[None, None, Remedy]
"""Looks for a remedy in short steps, between which whoever asked may do something else."""

Mend = Callable[["Finding"], Looking]
"""Begins to work out the remedy of a finding."""


@dataclass(frozen=True)
class WorkedOut:
    """The remedy of a finding where nothing need be looked for: it is known.

    Attributes:
        remedy: the remedy.
    """

    remedy: Remedy

    def __call__(self, _: Finding) -> Looking:
        """Return it at the first step."""
        yield from ()
        return self.remedy


def advice(says: str) -> Mend:
    """Return the remedy that is advice in words alone."""
    return WorkedOut(Remedy(says))


@dataclass(frozen=True)
class Finding:
    """One finding.

    Attributes:
        rule: the rule's code, lower case with hyphens.
        level: ``fault`` (do not build it so), ``warning`` (think again) or ``note``.
        about: what it speaks of: the part by its name in the file, or several things.
        value: the number found; None where the finding has none.
        limit: the number it is held against; None likewise.
        unit: unit of both; empty where there is none.
        says: the finding in one sentence.
        source: where the rule or its limit comes from.
        mend: begins to work out the remedy, when somebody asks.
        certainty: ``sure`` at both ends of what is known of the materials, ``likely`` as usual but
            not at both ends, ``possible`` only towards an end.
        settled_by: what to measure to be sure; empty where it is sure.
    """

    json_keys: ClassVar[tuple[str, ...]] = (
        "rule", "level", "where", "value", "limit", "unit", "says", "remedy", "source",
        "certainty", "settled_by",
    )  # fmt: skip

    rule: str
    level: Level
    about: str | tuple[Thing, ...]
    value: float | None
    limit: float | None
    unit: str
    says: str
    source: str
    mend: Mend = field(default=advice(""), repr=False, compare=False)
    certainty: Certainty = "sure"
    settled_by: str = ""

    def __post_init__(self) -> None:
        """Keep the lengths of its sentence as they are, and tell them rounded."""
        vars(self)["says"] = Told(self.says)

    @property
    def where(self) -> str:
        """The part or parts, by their names in the file."""
        return self.about if isinstance(self.about, str) else said_of(self.about)

    @property
    def things(self) -> tuple[Thing, ...]:
        """What it speaks of, each by itself."""
        return (Thing(self.about),) if isinstance(self.about, str) else self.about

    @cached_property
    def named(self) -> tuple[str, str]:
        """Rule and place."""
        return (self.rule, self.where)

    @property
    def beyond(self) -> float:
        """How far it is beyond its limit; 0 without numbers."""
        if self.value is None or self.limit is None:
            return 0.0
        return abs(self.value - self.limit)

    @property
    def in_short(self) -> str:
        """What it says, without the numbers and reasons behind it."""
        return Told(_BEHIND.split(part_of(self.says))[0])

    def __getstate__(self) -> dict[str, Any]:
        """Return what is pickled of it: the remedy is worked out first, as nobody can later."""
        kept = {**vars(self), "mend": WorkedOut(self.remedy)}
        return {key: value for key, value in kept.items() if key not in ("remedy", "_looking")}

    @cached_property
    def remedy(self) -> Remedy:
        """What to change; worked out when first asked for, which may take a while."""
        self.look_for_remedy(math.inf)
        remedy: Remedy = vars(self)["remedy"]
        return remedy

    def look_for_remedy(self, seconds: float) -> bool:
        """Look for the remedy a while, going on where it was left; tell whether it is known now.

        Args:
            seconds: how long, one step at least; the step in which they end is ended. Nothing is
                looked for in 0.
        """
        known, end = vars(self), perf_counter() + seconds
        if isinstance(self.mend, WorkedOut):
            known["remedy"] = self.mend.remedy
        going = seconds > 0.0
        while going and "remedy" not in known:
            looking = known.get("_looking") or self.mend(self)
            known["_looking"] = looking
            try:
                next(looking)
            except StopIteration as ended:
                known["remedy"] = ended.value
            except BaseException:
                del known["_looking"]  # whoever asks again begins anew
                raise
            going = perf_counter() < end
        return "remedy" in known


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return faults, then warnings, then notes, each in the order given."""
    levels = get_args(Level)
    return tuple(sorted(findings, key=lambda f: levels.index(f.level)))


def pull_in_words(pull_n: float) -> str:
    """Return a pull as a spinner weighs it: newtons, and the grams that a hooked scale shows.

    Example: ``pull_in_words(0.981)`` is ``"0.98 N (100 g)"``.
    """
    grams = 1e3 * pull_n / GRAVITY_M_S2
    return f"{plain(pull_n)} N ({plain(round(grams, 0 if grams < 100.0 else -1))} g)"
