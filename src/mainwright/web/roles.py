"""Who may do what: one table of all routes. What stands in none of its rows is for the lead alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from starlette.routing import compile_path

from mainwright.words.message import Message, message

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.workflow.pairing import Role

__all__ = ["DEEDS", "LIVE", "NEEDS", "ROLES", "Need", "may", "need_of"]

ROLES: Final[Mapping[Role, Message]] = {
    "lead": message("lead: may do everything"),
    "crew": message("crew: may record a run and make papers"),
    "viewer": message("viewer: may look"),
}
"""From much to little."""

DEEDS: Final[Mapping[str, Message]] = {
    "job begun": message("Job begun"),
    "jobs put away": message("Jobs put away or taken out again"),
    "survey saved": message("Survey saved"),
    "files taken in": message("Files taken in"),
    "revision restored": message("Older revision taken up"),
    "layout saved": message("Layout saved"),
    "entry kept": message("Entry of the library kept"),
    "entry withdrawn": message("Entry of the library withdrawn"),
    "library taken in": message("File of a library taken in"),
    "entry taken": message("Entry of the library taken into a job"),
    "run begun": message("Run begun or gone on with"),
    "run marked": message("Mark or button of a run"),
    "run signed": message("Run signed"),
    "water signed": message("Water signed"),
    "paper asked for": message("Paper asked for or stopped"),
    "code made": message("Pairing code made"),
    "device let in": message("Device let in"),
    "device removed": message("Device removed"),
    "device refused": message("Wrong pairing code"),
    "refused": message("Refused: role too small"),
    "stranger refused": message("Refused: device not let in"),
    "foreign refused": message("Refused: foreign page or name"),
    "plan issued": message("Plan issued"),
    "programme searched": message("Programme looked for, or that ended"),
    "other change": message("Other change"),
}
"""What is put on record of people's deeds."""


@dataclass(frozen=True, slots=True)
class Need:
    """What a route needs.

    Attributes
    ----------
    role
        The least that may; None lets everybody in.
    deed
        What is put on record once it was done; empty where nothing is changed.
    """

    role: Role | None
    deed: str = ""


LIVE: Final = "/jobs/{job}/runs/{run}/live"

_LOOKED_AT: Final = (
    "/", "/jobs/{job}", "/jobs/{job}/survey", "/jobs/{job}/survey/cells", "/jobs/{job}/survey/compare", "/jobs/{job}/folder.zip", "/jobs/{job}/lining", "/jobs/{job}/layout",
    "/jobs/{job}/runs", "/jobs/{job}/runs/{run}", "/jobs/{job}/proof", "/jobs/{job}/proof/{run}", "/jobs/{job}/records/{photo}", "/jobs/{job}/water",
    "/jobs/{job}/programme", "/jobs/{job}/programme/search", "/jobs/{job}/money", "/jobs/{job}/documents", "/jobs/{job}/documents/{paper}", "/jobs/{job}/ribbon", "/jobs/{job}/ribbon.json",
    "/jobs/{job}/ribbon.svg", "/library", "/library/{table}", "/library/export", "/library/entries/{entry}",
    "/library/entries/{entry}/files/{file}", "/library/entries/{entry}/compare", "/jobs/{job}/library", "/jobs/{job}/library/{entry}", "/glossary", "/tour", "/runs/{run}/live", LIVE, f"{LIVE}/buttons", f"{LIVE}/screen",
)  # fmt: skip

NEEDS: Final[Mapping[tuple[str, str], Need]] = {
    ("GET", "/static/{name:path}"): Need(None),
    ("GET", "/pair"): Need(None),
    ("POST", "/pair"): Need(None),
    ("POST", "/look"): Need(None),
    **{("GET", path): Need("viewer") for path in _LOOKED_AT},
    ("WS", f"{LIVE}/feed"): Need("viewer"),
    ("POST", LIVE): Need("crew", "run begun"),
    ("POST", f"{LIVE}/do"): Need("crew", "run marked"),
    ("POST", "/jobs/{job}/documents/{paper}"): Need("crew", "paper asked for"),
    ("POST", "/tour"): Need("viewer"),
    ("POST", "/archive"): Need("lead", "jobs put away"),
    ("GET", "/new-job"): Need("lead"),
    ("POST", "/new-job"): Need("lead", "job begun"),
    ("POST", "/jobs/{job}/survey/check"): Need("lead"),
    ("POST", "/jobs/{job}/survey/parse"): Need("lead"),
    ("POST", "/jobs/{job}/survey/save"): Need("lead", "survey saved"),
    ("POST", "/jobs/{job}/survey/bring"): Need("lead", "files taken in"),
    ("POST", "/jobs/{job}/survey/restore"): Need("lead", "revision restored"),
    ("POST", "/jobs/{job}/layout/try"): Need("lead"),
    ("POST", "/jobs/{job}/layout/search"): Need("lead"),
    ("POST", "/jobs/{job}/layout/save"): Need("lead", "layout saved"),
    ("GET", "/jobs/{job}/proof/{run}/sign"): Need("lead"),
    ("POST", "/jobs/{job}/proof/{run}/sign"): Need("lead", "run signed"),
    ("GET", "/jobs/{job}/water/sign"): Need("lead"),
    ("POST", "/jobs/{job}/water/sign"): Need("lead", "water signed"),
    ("POST", "/jobs/{job}/plan"): Need("lead"),
    ("POST", "/jobs/{job}/programme/search"): Need("lead", "programme searched"),
    ("POST", "/jobs/{job}/programme/issue"): Need("lead", "plan issued"),
    ("GET", "/library/new"): Need("lead"),
    ("POST", "/library/new"): Need("lead", "entry kept"),
    ("POST", "/library/import"): Need("lead", "library taken in"),
    ("GET", "/library/entries/{entry}/edit"): Need("lead"),
    ("POST", "/library/entries/{entry}/edit"): Need("lead", "entry kept"),
    ("POST", "/library/entries/{entry}/withdraw"): Need("lead", "entry withdrawn"),
    ("POST", "/library/entries/{entry}/restore"): Need("lead", "entry kept"),
    ("POST", "/jobs/{job}/library/{entry}"): Need("lead", "entry taken"),
    ("GET", "/devices"): Need("lead"),
    ("POST", "/devices/code"): Need("lead", "code made"),
    ("POST", "/devices/remove"): Need("lead", "device removed"),
    ("GET", "/audit"): Need("lead"),
    ("GET", "/audit.csv"): Need("lead"),
}
"""The least that each route needs, by its method (``WS`` for a live connection) and path."""

_STRICT: Final = tuple(ROLES)
_COMPILED: Final = tuple((method, compile_path(path)[0], need) for (method, path), need in NEEDS.items())
_OTHER: Final = Need("lead", "other change")
_UNKNOWN: Final = Need("lead")


def may(role: Role | None, needed: Role | None) -> bool:
    """Return whether a role is enough.

    Examples
    --------
    >>> may("lead", "crew"), may("viewer", "crew"), may(None, None), may(None, "viewer")
    (True, False, True, False)
    """
    return needed is None or (role is not None and _STRICT.index(role) <= _STRICT.index(needed))


def need_of(method: str, path: str) -> Need:
    """Return what a request needs; where several rows fit, the strictest of them.

    Parameters
    ----------
    method : str
        In capitals, ``WS`` for a live connection. [-]
    path : str
        As it was asked for, decoded. [-]

    Returns
    -------
    Need
        The lead's where no row fits.
    """
    method = "GET" if method == "HEAD" else method
    fitting = [need for one, pattern, need in _COMPILED if one == method and pattern.match(path)]
    if not fitting:
        return _OTHER if method not in ("GET", "WS") else _UNKNOWN
    return min(fitting, key=lambda need: len(_STRICT) if need.role is None else _STRICT.index(need.role))
