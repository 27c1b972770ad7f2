"""How a page is made of a template: with its reader, its place among the places, and the addresses of its files."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from mainwright.web.reader import COOKIE, Reader, reader_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from fastapi import Request

    from mainwright.web.assets import Assets
    from mainwright.workflow.visiting import UseCases

__all__ = ["Pages", "page", "reader_from", "use_cases"]


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
        self._env.filters["svg"] = Markup  # drawings of our own, in which every text is escaped already

    def render(self, template: str, *, reader: Reader, path: str, values: Mapping[str, object]) -> str:
        """Return a page as text.

        Parameters
        ----------
        template : str
            Name of its file. [-]
        reader : Reader
            Who reads. [-]
        path : str
            Where it stands, for going back to it. [-]
        values : mapping
            What it shows. [-]

        Returns
        -------
        str
            HTML.
        """
        say = reader.say
        return self._env.get_template(template).render(
            reader=reader, say=say, t=say.text, code=say.code, path=path, token=self._token, **values
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
    text = pages.render(template, reader=reader or reader_from(request), path=path, values=values)
    return HTMLResponse(text, status_code=status)
