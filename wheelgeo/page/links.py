"""A whole wheel as a short text that fits into a link, and back.

The text of its design file, compressed with a checksum (RFC 1950) and written in the letters that a
link may hold (RFC 4648, base 64 for file names). It stands behind the ``#`` of an address, which
browsers keep to themselves.
"""

from __future__ import annotations

import base64
import binascii
import zlib
from urllib.parse import unquote

from wheelgeo.errors import DesignError, Fault

IN_ADDRESS = "wheel="
"""Stands before a wheel behind the ``#`` of an address."""
_QUOTED = "> \t"
"""Stands before each line of a letter that is answered."""
_AROUND = "<>‹›«»\"'“”„‟‘’‚()[]{}.,;:!=*`\u200b\ufeff"
"""Signs that a link is put between, or that end its sentence; none is a letter of a link."""
LONGEST_TEXT = 250_000
"""Characters of a design file that a link may hold; the longest shipped one has 3 500."""


def link_of(text: str) -> str:
    """Return the text of a design file as it stands in a link."""
    packed = zlib.compress(text.encode(), 9)
    return base64.urlsafe_b64encode(packed).decode("ascii").rstrip("=")


def text_of(link: str) -> str:
    """Return the text of the design file that a link holds.

    Args:
        link: the link as it was pasted: a whole address of this page or of one that is gone, or
            what stands in it behind the ``#``, on one line or on as many as a letter broke it into,
            with what letters are wont to put around it and before their lines.

    Raises:
        DesignError: it is no such link, or holds more than a design file may.
    """
    lines = (line.lstrip(_QUOTED) for line in unquote(link).splitlines())
    link = "".join("".join(lines).split()).rpartition(IN_ADDRESS)[2].strip(_AROUND)
    try:
        packed = base64.b64decode(link + "=" * (-len(link) % 4), b"-_", validate=True)
        unpacker = zlib.decompressobj()
        # A few bytes may unpack to gigabytes: no more is unpacked than a file may hold.
        text = unpacker.decompress(packed, 4 * LONGEST_TEXT)
        if unpacker.eof and len(text) <= LONGEST_TEXT:
            return text.decode()
    except (binascii.Error, zlib.error, ValueError) as error:
        why = "it was cut short, a letter of it is another one, or it holds something else"
        raise _no_link(why) from error
    raise _no_link("it was cut short, or is too long")


def _no_link(why: str) -> DesignError:
    return DesignError((Fault("", f"the link holds no wheel: {why}", "copy it whole"),), "the link")
