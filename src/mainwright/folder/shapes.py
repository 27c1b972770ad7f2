"""Lines and points in well-known text and well-known binary."""

import struct

from mainwright.workflow.source import Line

__all__ = ["line_from_wkb", "line_from_wkt"]


def line_from_wkt(text: str) -> Line:
    """Return the points of a line or point in well-known text; anything else has none.

    Parameters
    ----------
    text : str
        Such as ``LINESTRING (1 2, 3 4)``. [-]

    Returns
    -------
    tuple of tuple
        Its points.

    Examples
    --------
    >>> line_from_wkt("LINESTRING Z (1 2 0, 3 4 0)")
    ((1.0, 2.0), (3.0, 4.0))
    """
    head, _, rest = text.strip().partition("(")
    if head.split(" ")[0].upper() not in {"LINESTRING", "POINT"} or not rest.endswith(")"):
        return ()
    try:
        points = [tuple(float(part) for part in one.split()[:2]) for one in rest[:-1].split(",")]
    except ValueError:
        return ()
    return tuple((point[0], point[1]) for point in points if len(point) == 2)


def line_from_wkb(data: bytes) -> Line:
    """Return the points of a line, a point, or a collection of one line in well-known binary; anything else has none.

    Parameters
    ----------
    data : bytes
        As OGC and ISO write it, two dimensions. [-]

    Returns
    -------
    tuple of tuple
        Its points.
    """
    try:
        line, _ = _geometry(data, 0, 0)
    except (struct.error, ValueError):
        return ()
    return line


def _geometry(data: bytes, at: int, depth: int) -> tuple[Line, int]:
    order = "<" if data[at : at + 1] == b"\x01" else ">"
    (kind,) = struct.unpack_from(order + "I", data, at + 1)
    at += 5
    if kind == 1:
        return (struct.unpack_from(order + "2d", data, at),), at + 16
    if kind not in {2, 5} or depth > 1:
        return (), at
    (count,) = struct.unpack_from(order + "I", data, at)
    at += 4
    if kind == 2:
        if count > (len(data) - at) // 16:
            message_ = "more points are announced than there are"
            raise ValueError(message_)
        numbers = struct.unpack_from(f"{order}{2 * count}d", data, at)
        return tuple(zip(numbers[::2], numbers[1::2], strict=True)), at + 16 * count
    whole: list[tuple[float, float]] = []
    for _ in range(count):
        part, at = _geometry(data, at, depth + 1)
        if whole and part and whole[-1] != part[0]:
            return (), at
        whole.extend(part if not whole else part[1:])
    return tuple(whole), at
