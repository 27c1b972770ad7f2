"""Data and template to PDF: the same bytes for the same data, on every computer."""

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from importlib.resources import as_file, files

from mainwright.errors import MainwrightError
from mainwright.paper.glyphs import printable

__all__ = ["typeset"]


def _printable(value: object) -> object:
    """Return the same data with texts of which every character can be printed; pictures are text too."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, Mapping):
        return {key: _printable(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(one) for one in value]
    return value


def typeset(template: str, data: Mapping[str, object], *, day: date | None, archive: bool = False) -> bytes:
    """Return a typeset document, accessible by PDF/UA-1.

    Parameters
    ----------
    template : str
        File name of a template. [-]
    data : mapping
        Everything that is printed; texts are data and never read as markup. [-]
    day : date, optional
        Day that the document bears in its properties; without it the first day of 2000. [-]
    archive : bool
        Whether it is for the archive: then PDF/A-2a too. [-]

    Returns
    -------
    bytes
        The PDF.

    Raises
    ------
    MainwrightError
        If the template warns of anything, a missing font among them.
    """
    import typst

    stamp = datetime.combine(day or date(2000, 1, 1), datetime.min.time(), tzinfo=UTC)
    # Only the package's own files can be read, and no font of the computer is used.
    with as_file(files("mainwright.paper") / "templates") as templates, as_file(files("mainwright.figures") / "fonts") as fonts:
        pdf, warnings = typst.compile_with_warnings(
            str(templates / template),
            root=str(templates),
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            format="pdf",
            sys_inputs={"data": json.dumps(_printable(data), ensure_ascii=False, sort_keys=True, allow_nan=False)},
            pdf_standards=["a-2a", "ua-1"] if archive else ["ua-1"],
            timestamp=int(stamp.timestamp()),
        )
    if warnings:
        raise MainwrightError(f"{template}: " + "; ".join(str(getattr(warning, "message", warning)) for warning in warnings))
    if not isinstance(pdf, bytes):
        raise MainwrightError(f"{template}: no document came out")
    return pdf
