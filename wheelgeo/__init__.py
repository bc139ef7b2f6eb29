"""Design a hand-spinning wheel: from a file to ratio, twist, bands and parts to cut.

    import wheelgeo

    wheel = wheelgeo.load("designs/box-wheel.toml")
    wheel.get("whorl.rim")                          # any number of the wheel by its name
    finer = wheel.put("whorl.rim", "9 mm")          # a new wheel; the old one stays as it is
    answer = finer.solve()                          # or .check(): every rule; .run(): mechanics
    answer.ratio, answer.twist.direction, answer["second band.cut_length"]
    for finding in answer.findings:
        print(finding.says, finding.remedy.says)
    mended = answer.findings[0].remedy.apply()      # a new wheel; None where it is advice alone
    answer.to_json()                                # what the command prints with --json
    finer.save("finer.toml")                        # the comments of the file survive

Numbers go in and come out in mm, degrees, rpm, N, g and fractions, whatever the file's unit; text
is read as in the file: ``"3/8 in"``, ``"2 %"``, and ``"9"`` in the file's unit. A shaft turns
counter-clockwise, and its speed is positive, when it looks so with its axis pointing at you.

Reading
    load(path) -> Wheel          a design file
    read(text) -> Wheel          the text of one
    size(path) -> SizeAnswer     a brief: the wheels that suit it best, each with its .wheel
    old_wheel(wheel="21 1/2 in", whorl=..., apart=..., cord="3 mm cotton cord", ...)
        -> OldWheelAnswer        the band of an old wheel from a few measurements, with its +-
    yarn_facts("2/28 Nm"), hank("40 Nm"), cloth("40 Nm", ends_per_cm=24), hand_spindle(path)
                                 the spinner's sums, without a wheel

A Wheel
    .inputs(), .results()        every number by name, with value, unit and meaning
    .get(name)                   one of them
    .put(name, value), .put({name: value, ...}) -> Wheel
    .solve() -> Answer           speeds, bands, twist, what is wrong with shapes and places
    .check() -> Answer           the same with every rule
    .run() -> RunningAnswer      pulls, slip, effort, start, vibration, balance
    .bands() -> BandsAnswer      every band: lengths, runs, wraps, angles
    .bands_to_have(band, "72 in, 73 in") -> BandsToHaveAnswer    what bands at hand do
    .find(unknown, result, value) -> FindAnswer      the one number that gives a wanted result
    .place(band, move) -> PlaceAnswer                where a band arrives true
    .retune(count="80 Nm", ...) -> RetuneAnswer      what to change for another yarn
    .tolerance(general="m", ...) -> ToleranceAnswer  how far results may be off
    .measure() -> MeasureAnswer                      what its measurements say together
    .make(folder, ...) -> MakeAnswer                 the whole set for the bench
    .save(path)                  write it as a design file

An Answer
    .ratio, .shafts, .bands, .spindle, .twist, .yarn, .findings, .faults, .assumed
    [name], in, iteration        any result by its name
    .to_json()                   dictionaries, lists, text and numbers

A Finding has .rule, .level ("fault", "warning", "note"), .where, .value, .limit, .unit, .says,
.source and .remedy; a Remedy has .says, .edits, .sound and .apply().

Errors derive from WheelError. DesignError holds every fault of a file, or of what was put; faults
name their place, what is wrong and what would be right. SearchError: a search has no answer, or
was asked for what cannot be; OutputError: a file cannot be written; QuantityError: a number or a
text that is no quantity. A NamedNumber has .key, .value, .unit and .means.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from wheelgeo.briefs import size as size
    from wheelgeo.check.answer import Answer as Answer
    from wheelgeo.check.answer import BandsAnswer as BandsAnswer
    from wheelgeo.check.answer_run import RunningAnswer as RunningAnswer
    from wheelgeo.check.edits import Edit as Edit
    from wheelgeo.check.finding import Finding as Finding
    from wheelgeo.check.finding import Remedy as Remedy
    from wheelgeo.cloths import cloth as cloth
    from wheelgeo.errors import DesignError as DesignError
    from wheelgeo.errors import Fault as Fault
    from wheelgeo.errors import OutputError as OutputError
    from wheelgeo.errors import QuantityError as QuantityError
    from wheelgeo.errors import SearchError as SearchError
    from wheelgeo.errors import WheelError as WheelError
    from wheelgeo.files import load as load
    from wheelgeo.files import read as read
    from wheelgeo.hanks import hank as hank
    from wheelgeo.numbers.named import NamedNumber as NamedNumber
    from wheelgeo.old_wheels import old_wheel as old_wheel
    from wheelgeo.shop.bench_set import MakeAnswer as MakeAnswer
    from wheelgeo.tune.bands_to_have import BandsToHaveAnswer as BandsToHaveAnswer
    from wheelgeo.tune.find_answer import FindAnswer as FindAnswer
    from wheelgeo.tune.measured import MeasureAnswer as MeasureAnswer
    from wheelgeo.tune.old_wheel import OldWheelAnswer as OldWheelAnswer
    from wheelgeo.tune.place_answer import PlaceAnswer as PlaceAnswer
    from wheelgeo.tune.retune_answer import RetuneAnswer as RetuneAnswer
    from wheelgeo.tune.size_answer import SizeAnswer as SizeAnswer
    from wheelgeo.tune.tolerance_answer import ToleranceAnswer as ToleranceAnswer
    from wheelgeo.wheel import Wheel as Wheel
    from wheelgeo.yarns import hand_spindle as hand_spindle
    from wheelgeo.yarns import yarn_facts as yarn_facts

__version__: str

_HOMES = {
    "Answer": "wheelgeo.check.answer",
    "BandsAnswer": "wheelgeo.check.answer",
    "BandsToHaveAnswer": "wheelgeo.tune.bands_to_have",
    "OldWheelAnswer": "wheelgeo.tune.old_wheel",
    "old_wheel": "wheelgeo.old_wheels",
    "FindAnswer": "wheelgeo.tune.find_answer",
    "MakeAnswer": "wheelgeo.shop.bench_set",
    "MeasureAnswer": "wheelgeo.tune.measured",
    "PlaceAnswer": "wheelgeo.tune.place_answer",
    "RetuneAnswer": "wheelgeo.tune.retune_answer",
    "SizeAnswer": "wheelgeo.tune.size_answer",
    "ToleranceAnswer": "wheelgeo.tune.tolerance_answer",
    "NamedNumber": "wheelgeo.numbers.named",
    "size": "wheelgeo.briefs",
    "RunningAnswer": "wheelgeo.check.answer_run",
    "Edit": "wheelgeo.check.edits",
    "Finding": "wheelgeo.check.finding",
    "Remedy": "wheelgeo.check.finding",
    "DesignError": "wheelgeo.errors",
    "Fault": "wheelgeo.errors",
    "OutputError": "wheelgeo.errors",
    "QuantityError": "wheelgeo.errors",
    "SearchError": "wheelgeo.errors",
    "WheelError": "wheelgeo.errors",
    "Wheel": "wheelgeo.wheel",
    "cloth": "wheelgeo.cloths",
    "hand_spindle": "wheelgeo.yarns",
    "hank": "wheelgeo.hanks",
    "yarn_facts": "wheelgeo.yarns",
    "load": "wheelgeo.files",
    "read": "wheelgeo.files",
}
"""Where each public name lives; it is imported when it is first used."""

__all__ = (  # noqa: PLE0604 - the names are text; they stand in one place
    "__version__",
    *_HOMES,
)


def __getattr__(name: str) -> Any:
    if name == "__version__":
        from importlib.metadata import version

        return version("wheelgeo")
    if name not in _HOMES:
        raise AttributeError(f"module 'wheelgeo' has no attribute {name!r}")
    value = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
