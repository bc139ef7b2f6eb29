"""A set for the bench in work: what is being made, and how far it is."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wheelgeo.errors import WheelError
from wheelgeo.page.reading import system_words
from wheelgeo.units.written import LengthUnit
from wheelgeo.wheel import Wheel

if TYPE_CHECKING:
    from wheelgeo.shop.bench_set import MakeAnswer


@dataclass
class SetInWork:
    """One set; its thread alone writes to it.

    Attributes:
        folder: where it goes.
        step: what is being made now.
        done: groups that are made.
        of: groups in all; 0 before it is known.
        made: what was written, when it is done.
        failed: why it was not made; empty where it was, or still is in work.
        running: whether it is in work.
        writing: held while a folder is tried or files are written; who holds it keeps every set
            from being written.
        thread: what makes it.
    """

    folder: Path
    writing: threading.Lock
    step: str = ""
    done: int = 0
    of: int = 0
    made: MakeAnswer | None = None
    failed: str = ""
    running: bool = True
    thread: threading.Thread = field(init=False, repr=False)

    @classmethod
    def begin(
        cls, wheel: Wheel, folder: Path, unit: LengthUnit, writing: threading.Lock
    ) -> SetInWork:
        """Begin to make a set; it goes on by itself."""
        work = cls(folder, writing)
        # A daemon: the program may end while it works, but not while it writes.
        work.thread = threading.Thread(target=work._make, args=(wheel, unit), daemon=True)
        work.thread.start()
        return work

    def _make(self, wheel: Wheel, unit: LengthUnit) -> None:
        try:
            self.made = wheel.make(
                self.folder, lengths=unit, progress=self._at, writing=self.writing
            )
        except WheelError as error:
            self.failed = str(error)
        except OSError as error:
            self.failed = system_words(error)
        except BaseException:
            self.failed = "it broke off by a mistake of the program; the terminal says more"
            raise
        finally:
            self.running = False

    def _at(self, step: str, done: int, of: int) -> None:
        self.step, self.done, self.of = step, done, of

    def state(self) -> dict[str, Any]:
        """Return how far it is."""
        made = self.made
        first = None if made is None else made.open_first
        return {
            "folder": str(self.folder), "step": self.step, "done": self.done, "of": self.of,
            "files": [] if made is None else [{"file": f.file, "what": f.what} for f in made.files],
            "open_first": "" if first is None else f"Open {first.file} first: {first.what}.",
            "faults": 0 if made is None else len(made.checked.faults),
            "failed": self.failed, "running": self.running,
        }  # fmt: skip
