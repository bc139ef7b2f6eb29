"""File names from the names in a design, which may hold anything."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

LONGEST_BYTES = 80
"""Longest stem, bytes of UTF-8: room for a prefix, a number and an ending within 255."""

_RESERVED = {
    "con", "prn", "aux", "nul",
    *(f"com{i}" for i in range(10)), *(f"lpt{i}" for i in range(10)),
}  # fmt: skip
"""Names that Windows keeps for devices."""


def safe_stem(name: str) -> str:
    """Return a name that every file system takes, without an ending.

    Letters and digits of any script stay, everything else becomes a hyphen; case is folded, since
    some file systems do not tell it apart.
    """
    folded = unicodedata.normalize("NFC", unicodedata.normalize("NFKC", name).casefold())
    kept = "".join(c if c.isalnum() else "-" for c in folded)
    stem = _cut("-".join(piece for piece in kept.split("-") if piece), LONGEST_BYTES)
    if not stem:
        return "part"
    return f"{stem}-part" if stem in _RESERVED else stem


def safe_stems(names: Iterable[str]) -> dict[str, str]:
    """Return a safe stem for each name; names that would share one get a number from the second on.

    Args:
        names: different names; their order decides who is numbered.
    """
    listed = list(names)
    plain = [safe_stem(name) for name in listed]
    taken: set[str] = set()
    stems: dict[str, str] = {}
    for name, stem in zip(listed, plain, strict=True):
        free, number = stem, 2
        while free in taken or (free != stem and free in plain):
            free, number = f"{stem}-{number}", number + 1
        taken.add(free)
        stems[name] = free
    return stems


def _cut(stem: str, longest: int) -> str:
    """Return the stem cut to a number of bytes, no letter cut in two."""
    return stem.encode("utf-8")[:longest].decode("utf-8", "ignore").strip("-")
