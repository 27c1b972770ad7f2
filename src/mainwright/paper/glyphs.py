"""Which characters the one type family can print: what it lacks must not become an empty box or a font of the house's computer."""

import struct
import unicodedata
from functools import cache
from importlib.resources import files
from typing import Final

__all__ = ["characters", "printable"]

_STAND_IN: Final = "?"
_CHANGED: Final = frozenset("\u00ad")


@cache
def characters() -> frozenset[int]:
    """Return the code points of the type family's regular weight, read from its character map."""
    data = (files("mainwright.figures") / "fonts" / "Lato-Regular.ttf").read_bytes()
    (count,) = struct.unpack_from(">H", data, 4)
    tables = {data[at : at + 4]: struct.unpack_from(">I", data, at + 8)[0] for at in range(12, 12 + 16 * count, 16)}
    base = tables[b"cmap"]
    (subtables,) = struct.unpack_from(">H", data, base + 2)
    found: set[int] = set()
    for index in range(subtables):
        at = base + struct.unpack_from(">I", data, base + 8 + 8 * index)[0]
        if struct.unpack_from(">H", data, at)[0] == 4:
            found |= _segments(data, at)
    return frozenset(found)


def _segments(data: bytes, at: int) -> set[int]:
    """Return the code points of a subtable of format 4."""
    segments = struct.unpack_from(">H", data, at + 6)[0] // 2
    ends = struct.unpack_from(f">{segments}H", data, at + 14)
    starts = struct.unpack_from(f">{segments}H", data, at + 16 + 2 * segments)
    deltas = struct.unpack_from(f">{segments}H", data, at + 16 + 4 * segments)
    offsets_at = at + 16 + 6 * segments
    found: set[int] = set()
    for index, (start, end, delta) in enumerate(zip(starts, ends, deltas, strict=True)):
        (offset,) = struct.unpack_from(">H", data, offsets_at + 2 * index)
        for code in range(start, min(end, 0xFFFE) + 1):
            glyph = code if offset == 0 else struct.unpack_from(">H", data, offsets_at + 2 * index + offset + 2 * (code - start))[0]
            if glyph and (glyph + delta) & 0xFFFF:
                found.add(code)
    return found


def printable(text: str) -> str:
    """Return a text of which every character can be printed.

    Parameters
    ----------
    text : str
        Any text, the user's too. [-]

    Returns
    -------
    str
        Line breaks and tabs become spaces; control and direction marks go; what the type lacks becomes a question mark.
    """
    known = characters()
    # Nearly every text is plain already, and a drawing is long: one look at its different characters is enough.
    if all(ord(char) in known and char not in _CHANGED for char in set(text)) and unicodedata.is_normalized("NFC", text):
        return text
    kept = []
    for char in unicodedata.normalize("NFC", text):
        if char.isspace() and char not in ("\u00a0", "\u202f", "\u2009"):
            kept.append(" ")
        elif unicodedata.category(char) not in ("Cc", "Cf", "Cs"):
            kept.append(char if ord(char) in known else _STAND_IN)
    return "".join(kept)
