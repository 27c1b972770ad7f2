"""Photographs of the record as they come into a paper: checked one by one, so that a broken file never costs the paper."""

from collections.abc import Mapping
from typing import Final, Literal

from mainwright.paper.blocks import Block

__all__ = ["MOST_BYTES", "SUFFIXES", "photo_block", "usable_photo"]

MOST_BYTES: Final = 3_000_000
"""A greater file is named and not printed."""

SUFFIXES: Final = (".png", ".jpg", ".jpeg")

_PROBE: Final = """#set document(title: "photograph")
#let data = json(bytes(sys.inputs.data))
= .
#image(bytes(data.data), format: data.format, alt: "photograph")
"""


def _format(data: bytes) -> Literal["png", "jpg"] | None:
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    return "jpg" if data.startswith(b"\xff\xd8\xff") else None


def usable_photo(data: bytes) -> bool:
    """Return whether a file can be printed as a picture.

    Parameters
    ----------
    data : bytes
        The file. [-]

    Returns
    -------
    bool
        By its first bytes, and by setting it once on a page of its own.
    """
    import json

    import typst

    kind = _format(data)
    if kind is None or len(data) > MOST_BYTES:
        return False
    try:
        typst.compile(
            _PROBE.encode(),
            format="pdf",
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps({"data": list(data), "format": kind})},
            pdf_standards=["a-2a", "ua-1"],
            timestamp=0,
        )
    except (RuntimeError, typst.TypstError):
        return False
    return True


def photo_block(names: Mapping[str, str], photos: Mapping[str, bytes]) -> list[Block]:
    """Return photographs side by side.

    Parameters
    ----------
    names : mapping
        Name of each photograph that is to be shown, with what stands under it. [-]
    photos : mapping
        Usable files by their names. [-]

    Returns
    -------
    list of Block
        One block, or none where there is no file.
    """
    items = [
        {
            "name": name,
            "data": list(photos[name]),
            "format": "png" if _format(photos[name]) == "png" else "jpg",
            "alt": caption,
            "caption": caption,
        }
        for name, caption in names.items()
        if name in photos
    ]
    return [{"kind": "photos", "items": items}] if items else []
