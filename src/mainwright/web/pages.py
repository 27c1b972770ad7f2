"""How a page is made of a template: with its reader, its place among the places, and the addresses of its files."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from typing import TYPE_CHECKING, Final, cast

from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined, pass_context
from markupsafe import Markup

from mainwright.web.glossary import term_places
from mainwright.web.kept import Kept
from mainwright.web.reader import COOKIE, Reader, reader_of
from mainwright.web.tour import HINTS, hint_at
from mainwright.web.visitor import token_of, visitor_of
from mainwright.words.message import message

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from fastapi import Request
    from jinja2.runtime import Context

    from mainwright.web.assets import Assets
    from mainwright.web.drawings import Drawings
    from mainwright.web.visitor import Visitor
    from mainwright.workflow.visiting import UseCases

__all__ = ["TOUR", "Pages", "Part", "drawings", "page", "reader_from", "use_cases"]

TOUR: Final = "mainwright_tour"
"""The cookie that holds whether the tour is on: it is until somebody ends it."""

_WITHOUT_TOUR: Final = ("van.html", "run_sheet.html", "making.html", "ribbon.html", "sign.html", "compare.html")

_MOST: Final = 48_000_000
"""Characters of parts of pages that are kept as they were set; the sections of a place of a long job have up to a million."""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a page, as a row of a long list, whose words are made only where it was not set before.

    Attributes
    ----------
    template
        Sets it, from what ``made`` gives, under the name ``one``.
    of
        What it shows: the same object for as long as nothing of it changed.
    stamp
        What it depends on beside that, as the day.
    made
        Gives its words.
    """

    template: str
    of: object
    stamp: object
    made: Callable[[], object]


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
        self._env.globals["part"] = self._part
        self._env.globals["rest"] = lambda every, most: message("The first {most} of {n} {n:row/rows}: show all", most=most, n=every)
        self._parts: Kept[Markup] = Kept(_MOST, len)
        self._env.filters["svg"] = Markup  # drawings of our own, in which every text is escaped already

    @pass_context
    def _kept(self, context: Context, sections: Sequence[object]) -> Markup:
        """Return sections as HTML: made once for each state of plan and records, language and units, which is what they were made of."""
        reader, at_hand = cast("Reader", context["reader"]), context["at_hand"]
        which: tuple[int | None, ...] | None = getattr(sections, "key", None)
        if which is None:
            return self._set(context, "sections.html", {"all": sections})
        key = (which, reader.language, reader.units, at_hand.name)
        return self._parts.get(key, lambda: self._set(context, "sections.html", {"all": sections}), of=sections)

    @pass_context
    def _part(self, context: Context, one: Part) -> Markup:
        """Return a part of a page as HTML: made once for what it shows, language and units."""
        reader = cast("Reader", context["reader"])
        key = (one.template, id(one.of), one.stamp, reader.language, reader.units)
        return self._parts.get(key, lambda: self._set(context, one.template, {"one": one.made()}), of=one.of)

    def _set(self, context: Context, template: str, values: Mapping[str, object]) -> Markup:
        return Markup(self._env.get_template(template).render({**context.get_all(), **values}))  # noqa: S704 - a template of ours, which escapes

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


def drawings(request: Request) -> Drawings:
    """Return what this app has drawn."""
    return cast("Drawings", request.app.state.drawings)


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
