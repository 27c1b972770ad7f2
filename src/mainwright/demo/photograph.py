"""A picture that stands for a photograph of the invented job: drawn here, point by point."""

import math
import struct
import zlib
from typing import Final

__all__ = ["clamp_picture"]

_WIDTH, _HEIGHT = 320, 200
_GREY: Final = 118


def clamp_picture() -> bytes:
    """Return a look into an old pipe with a ring of a repair clamp in it, as PNG; plainly drawn, for it is simulated."""
    rows = bytearray()
    for y in range(_HEIGHT):
        rows.append(0)
        for x in range(_WIDTH):
            radius = math.hypot(x - 0.5 * _WIDTH, y - 0.5 * _HEIGHT)
            angle = math.atan2(y - 0.5 * _HEIGHT, x - 0.5 * _WIDTH)
            if radius > 96.0:
                shade = 28.0
            elif radius > 62.0:
                # Knobs of rust on the wall, getting darker with depth.
                shade = _GREY * (radius / 96.0) ** 2 + 18.0 * math.sin(9.0 * angle + 0.21 * radius) * math.sin(0.33 * radius)
            elif radius > 48.0:
                shade = 196.0 - 26.0 * abs(math.sin(12.0 * angle))
            else:
                shade = 52.0 * (radius / 48.0) ** 2
            rows.append(min(max(int(shade), 0), 255))

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", _WIDTH, _HEIGHT, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(bytes(rows), 9)) + chunk(b"IEND", b"")
