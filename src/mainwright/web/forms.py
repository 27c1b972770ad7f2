"""What a form brings: fields as text, its token checked, numbers read as the reader writes them."""

from __future__ import annotations

import hmac
import math
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

from fastapi import HTTPException, Request

from mainwright.units import to_si
from mainwright.web.pages import use_cases
from mainwright.web.visitor import token_of, visitor_of
from mainwright.words.wording import shown_unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.words.wording import UnitSystem

__all__ = ["fields_of", "number_in", "plain_path", "sound"]

_MOST_FIELDS = 200


async def fields_of(request: Request) -> dict[str, str]:
    """Return the fields of a form that one of our pages sent.

    Parameters
    ----------
    request : Request
        Form fields in its body. [-]

    Returns
    -------
    dict of str to str
        By name, without blanks at the ends.

    Raises
    ------
    HTTPException
        If it brings no token of ours, or is no form.
    """
    body = await request.body()
    try:
        pairs = parse_qsl(body.decode("utf-8"), keep_blank_values=True, strict_parsing=bool(body), max_num_fields=_MOST_FIELDS)
    except ValueError as error:
        raise HTTPException(400) from error
    fields = {name.replace("\0", ""): value.replace("\0", "").strip() for name, value in pairs}
    visitor = visitor_of(request)
    wanted = token_of(visitor, use_cases(request).token)
    if not hmac.compare_digest(fields.pop("token", "").encode("utf-8", "replace"), wanted.encode("utf-8")):
        raise HTTPException(403)
    if visitor.name:
        # A device speaks for who was let in with it, and for nobody else.
        fields |= {name: visitor.name for name in ("who", "author") if name in fields}
    request.state.fields = fields
    return fields


def number_in(fields: Mapping[str, str], name: str, unit: str, units: UnitSystem) -> float | None:
    """Return a number of a form in SI; None where the field is empty.

    Parameters
    ----------
    fields : mapping of str to str
        The form. [-]
    name : str
        Name of the field without its unit; the field itself ends with the unit that the reader sees. [-]
    unit : str
        Metric display unit. [-]
    units : str
        Of the reader. [-]

    Returns
    -------
    float or None
        In SI.

    Raises
    ------
    ValueError
        If it is no finite number; a comma is read as a decimal sign, and no sign parts thousands.

    Examples
    --------
    >>> number_in({"chainage_m": "212,5"}, "chainage", "m", "metric")
    212.5
    """
    shown = shown_unit(unit, units)
    text = fields.get(f"{name}_{shown}", "")
    if not text:
        return None
    value = float(text.replace(",", ".").replace("−", "-"))
    if not math.isfinite(value) or "_" in text:
        raise ValueError(text)
    return to_si(value, shown)


def plain_path(text: str) -> str:
    """Return an address within these pages; anything else leads home.

    Parameters
    ----------
    text : str
        What a form says. [-]

    Returns
    -------
    str
        Safe to send a browser to.

    Examples
    --------
    >>> plain_path("/jobs/a?x=1"), plain_path("//elsewhere.example/"), plain_path("https://elsewhere.example")
    ('/jobs/a?x=1', '/', '/')
    """
    good = text.startswith("/") and not text.startswith("//") and "\\" not in text and text.isprintable() and len(text) < 500
    return text if good else "/"


def sound(text: object) -> str:
    r"""Return a text out of JSON as one that every store and every answer can hold.

    Parameters
    ----------
    text : object
        What was sent. [-]

    Returns
    -------
    str
        Without NUL, and half a character as the sign for one that is not known.

    Examples
    --------
    >>> sound("a\0b\ud800")
    'ab\ufffd'
    """
    return str(text).replace("\0", "").encode("utf-16", "surrogatepass").decode("utf-16", "replace")
