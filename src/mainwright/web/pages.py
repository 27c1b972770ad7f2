"""How a page is made of a template: with its reader, its place among the places, and the addresses of its files."""

from __future__ import annotations

import threading
from collections import OrderedDict
from http import HTTPStatus
from typing import TYPE_CHECKING, Final, cast

from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined, pass_context
from markupsafe import Markup

from mainwright.web.glossary import term_places
from mainwright.web.reader import COOKIE, Reader, reader_of
from mainwright.web.tour import HINTS, hint_at
from mainwright.web.visitor import token_of, visitor_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from fastapi import Request
    from jinja2.runtime import Context

    from mainwright.web.assets import Assets
    from mainwright.web.visitor import Visitor
    from mainwright.workflow.visiting import UseCases

__all__ = ["TOUR", "Pages", "page", "reader_from", "use_cases"]

TOUR: Final = "mainwright_tour"
"""The cookie that holds whether the tour is on: it is until somebody ends it."""

_WITHOUT_TOUR: Final = ("van.html", "run_sheet.html", "making.html", "ribbon.html", "sign.html", "compare.html")

_MOST_PARTS: Final = 48
"""Places whose sections are kept as they were set; of a long job each has up to a million bytes."""


class Pages:
    """The templates, and what all of them share.

    Parameters
    ----------
    assets : Assets
        The files of the pages. [-]
    token : str
        What a form brings back. [-]
    """

    def __init__(self, assets: Assets, *, token: str) -> None:
        self._token = token
        self._env = Environment(
            loader=PackageLoader("mainwright.web"), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
        )
        self._env.globals["static"] = assets.address
        self._env.globals["kept"] = self._kept
        self._lock = threading.Lock()
        self._parts: OrderedDict[tuple[object, ...], tuple[object, Markup]] = OrderedDict()
        self._env.filters["svg"] = Markup  # drawings of our own, in which every text is escaped already

    @pass_context
    def _kept(self, context: Context, sections: Sequence[object]) -> Markup:
        """Return sections as HTML: made once for each state of plan and records, language and units, which is what they were made of."""
        reader, at_hand = cast("Reader", context["reader"]), context["at_hand"]
        which: tuple[int, ...] | None = getattr(sections, "key", None)
        key = None if which is None else (which, reader.language, reader.units, at_hand.name)
        if key is not None:
            with self._lock:
                found = self._parts.get(key)
                if found is not None:
                    self._parts.move_to_end(key)
                    return found[1]
        made = Markup(self._env.get_template("sections.html").render({**context.get_all(), "all": sections}))  # noqa: S704 - a template of ours, which escapes
        if key is not None:
            with self._lock:
                # The sections are held with it: their identity is the key.
                self._parts[key] = (sections, made)
                while len(self._parts) > _MOST_PARTS:
                    self._parts.popitem(last=False)
        return made

    def render(self, template: str, *, reader: Reader, path: str, visitor: Visitor, values: Mapping[str, object]) -> str:
        """Return a page as text.

        Parameters
        ----------
        template : str
            Name of its file. [-]
        reader : Reader
            Who reads. [-]
        path : str
            Where it stands, for going back to it. [-]
        visitor : Visitor
            Who asks: forms of another one do not serve. [-]
        values : mapping
            What it shows. [-]

        Returns
        -------
        str
            HTML.
        """
        say = reader.say
        places = term_places(say)
        return self._env.get_template(template).render(
            reader=reader,
            say=say,
            term=lambda head: places.get(str(head).casefold(), ""),
            t=say.text,
            code=say.code,
            path=path,
            token=token_of(visitor, self._token),
            visitor=visitor,
            **values,
        )


def use_cases(request: Request) -> UseCases:
    """Return what this app may ask."""
    return cast("UseCases", request.app.state.use_cases)


def reader_from(request: Request) -> Reader:
    """Return who asks."""
    return reader_of(request.cookies.get(COOKIE, ""), request.headers.get("accept-language", ""))


def page(request: Request, template: str, *, status: int = 200, reader: Reader | None = None, **values: object) -> HTMLResponse:
    """Return a page.

    Parameters
    ----------
    request : Request
        What was asked. [-]
    template : str
        Name of its file. [-]
    status : int
        Of the answer. [-]
    reader : Reader, optional
        Who reads, where that is not as the request says. [-]
    **values : object
        What it shows. [-]

    Returns
    -------
    HTMLResponse
        The page.
    """
    pages = cast("Pages", request.app.state.pages)
    path = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    on = status == HTTPStatus.OK and request.cookies.get(TOUR) != "ended"
    hint = hint_at("jobs" if path == "/" else str(values.get("place", ""))) if on and template not in _WITHOUT_TOUR else None
    text = pages.render(
        template,
        reader=reader or reader_from(request),
        path=path,
        visitor=visitor_of(request),
        values={**values, "hint": hint, "hints": len(HINTS)},
    )
    return HTMLResponse(text, status_code=status)
