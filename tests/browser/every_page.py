"""The list of every page: each route that answers a page, in each state in which it looks different."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from tests.browser.test_places import until_planned

if TYPE_CHECKING:
    from collections.abc import Mapping

    from playwright.sync_api import Page

    from tests.browser.stage import Stage

__all__ = ["EVERY_PAGE", "FILES", "Shown", "show"]

FILES: Final = frozenset(
    {
        "/static/{name:path}",
        "/jobs/{job}",
        "/runs/{run}/live",
        "/jobs/{job}/survey/cells",
        "/jobs/{job}/records/{photo}",
        "/jobs/{job}/documents/{paper}",
        "/jobs/{job}/folder.zip",
        "/jobs/{job}/programme/search",
        "/jobs/{job}/ribbon.json",
        "/jobs/{job}/ribbon.svg",
        "/jobs/{job}/runs/{run}/live/screen",
        "/library/export",
        "/library/entries/{entry}/files/{file}",
        "/audit.csv",
    }
)
"""Routes of GET that answer no page of their own: files, data, a part that a page asks for, or the way to another address."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One page.

    Attributes
    ----------
    name
        Of the page in this list.
    route
        That answers it.
    path
        Where it is found.
    who
        Who looks: ``lead``, ``crew``, ``viewer`` or ``stranger`` on a phone; ``van`` at the run of a simulated rig.
    status
        Of the answer.
    fields
        What a form sends that gets it; None where it is only opened.
    press
        What is pressed once it is there.
    made
        Whether it is waited until plan and proof are made.
    part
        Which part of it is held against the rules, where the rest is that of another page of the list.
    paper
        Whether somebody would print it.
    """

    name: str
    route: str
    path: str
    who: str = "lead"
    status: int = 200
    fields: Mapping[str, str] | None = None
    press: tuple[str, ...] = field(default=())
    made: bool = True
    part: str = "html"
    paper: bool = True


_J: Final = "/jobs/{job}"
_T: Final = "/jobs/tl-03"
_LIVE: Final = _J + "/runs/{run}/live"
_NEW_ENTRY: Final = {"kind": "prices", "text_0": "item;unit;low;rate;high\ncamera;m;;x4,25;\n", "day": "2026-02-30", "status": "guess"}

EVERY_PAGE: Final = (
    Shown("pairing", "/pair", "/pair?next=%2F", "stranger"),
    Shown("pairing refused", "/pair", "/pair", "stranger", 403, {"code": "XXXX-XXXX", "name": "Eve"}),
    Shown("jobs of a viewer", "/", "/", "viewer"),
    Shown("denied", "", "/devices", "viewer", 403),
    Shown("run sheet of the crew", _J + "/runs/{run}", _T + "/runs/R01", "crew"),
    Shown("jobs", "/", "/", press=(".shelf summary",)),
    Shown("jobs, none found", "/", "/?q=zzz"),
    Shown("jobs put away", "/", "/?away=yes"),
    Shown("how it is shown", "/", "/?phase=", press=(".look > summary",), part=".head", paper=False),
    Shown("new job", "/new-job", "/new-job"),
    Shown("new job refused", "/new-job", "/new-job", status=422, fields={"name": "", "reference": "W-1"}),
    Shown("survey", _J + "/survey", _T + "/survey"),
    Shown("survey, a table", _J + "/survey", _T + "/survey?table=features", part="#editor"),
    Shown("survey, keys", _J + "/survey", _T + "/survey?table=job", part="#editor"),
    Shown(
        "survey, pasted",
        _J + "/survey",
        _T + "/survey?table=services",
        press=("[data-do=paste]", "fill #paste textarea=von;bis;DN\n1;2;x"),
        part="#paste",
        paper=False,
    ),
    Shown("survey, files", _J + "/survey", "/jobs/w-1/survey?table=ground", press=("[data-do=bring]",), part="#bring", paper=False),
    Shown("survey, faulty", _J + "/survey", "/jobs/w-5/survey?table=main"),
    Shown("revisions compared", _J + "/survey/compare", _T + "/survey/compare?before=1&after=2"),
    Shown("revisions alike", _J + "/survey/compare", _T + "/survey/compare?before=1&after=3"),
    Shown("restoring refused", _J + "/survey/restore", _T + "/survey/restore", status=422, fields={"number": "1"}),
    Shown("ribbon", _J + "/ribbon", _T + "/ribbon"),
    Shown("lining", _J + "/lining", _T + "/lining"),
    Shown("one section", _J + "/lining", _T + "/lining?part=part-2"),
    Shown("being planned", _J + "/lining", "/jobs/w-3/lining", made=False),
    Shown("not to be planned", _J + "/lining", "/jobs/w-4/lining", made=False),
    Shown("faulty job", _J + "/layout", "/jobs/w-5/layout"),
    Shown("layout", _J + "/layout", _T + "/layout"),
    Shown("run sheets", _J + "/runs", _T + "/runs"),
    Shown("run sheet", _J + "/runs/{run}", _T + "/runs/R06"),
    Shown("run to be begun", _LIVE, _T + "/runs/R03/live"),
    Shown("run not begun", _LIVE, _T + "/runs/R03/live", status=422, fields={"who": ""}),
    Shown("van", _LIVE, "/jobs/cw-07/runs/R01/live", "van", paper=False),
    Shown("van, a form", _LIVE, "/jobs/cw-07/runs/R01/live", "van", press=("[data-open=batch]",), part="#batch", paper=False),
    Shown("van, by hand", _LIVE, _T + "/runs/R02/live", paper=False),
    Shown("van, plain buttons", _LIVE + "/buttons", _T + "/runs/R02/live/buttons"),
    Shown("proof", _J + "/proof", _T + "/proof"),
    Shown("proof of a run", _J + "/proof/{run}", _T + "/proof/R06"),
    Shown("run to be signed", _J + "/proof/{run}/sign", _T + "/proof/R05/sign"),
    Shown(
        "dissent without its reason",
        _J + "/proof/{run}/sign",
        _T + "/proof/R05/sign",
        status=422,
        fields={"decision": "dissents", "name": "Bo"},
    ),
    Shown("water", _J + "/water", _T + "/water"),
    Shown("water to be signed", _J + "/water/sign", _T + "/water/sign"),
    Shown("programme", _J + "/programme", _T + "/programme"),
    Shown("money", _J + "/money", _T + "/money"),
    Shown("documents", _J + "/documents", _T + "/documents"),
    Shown("documents on their way", _J + "/documents", "/jobs/w-1/documents", made=False),
    *(
        Shown(f"{place} of a bare job", f"{_J}/{place}", f"/jobs/w-1/{place}")
        for place in ("lining", "layout", "runs", "proof", "water", "programme", "money")
    ),
    Shown("library", "/library", "/library"),
    Shown("library, withdrawn", "/library", "/library?withdrawn=yes&kind=prices"),
    Shown("published values", "/library/{table}", "/library/trade"),
    Shown("new entry", "/library/new", "/library/new?kind=prices"),
    Shown("new entry of a job", "/library/new", "/library/new?kind=specification&job=tl-03"),
    Shown("new entry refused", "/library/new", "/library/new", status=422, fields=_NEW_ENTRY),
    Shown("entry", "/library/entries/{entry}", "/library/entries/marrowby-prices"),
    Shown("entry withdrawn", "/library/entries/{entry}", "/library/entries/old-prices"),
    Shown("entry changed", "/library/entries/{entry}/edit", "/library/entries/marrowby-prices/edit"),
    Shown("entry compared", "/library/entries/{entry}/compare", "/library/entries/marrowby-prices/compare?before=1&after=2"),
    Shown("library of a job", _J + "/library", _T + "/library"),
    Shown("entry for a job", _J + "/library/{entry}", _T + "/library/marrowby-prices"),
    Shown("glossary", "/glossary", "/glossary"),
    Shown("devices", "/devices", "/devices"),
    Shown("devices, only this machine", "/devices", "/devices", "van"),
    Shown("no jobs", "/", "/", "van"),
    Shown("audit", "/audit", "/audit"),
    Shown("nothing here", "", "/nowhere", status=404),
    Shown("not understood", "", "/devices/code", status=400, fields={"role": "king"}),
    Shown("not allowed", "", "/devices/code", status=403, fields={"token": "x"}),
    Shown("cannot be done", "", "/audit", status=405, fields={}),
    Shown("failed", _J + "/documents", "/jobs/w-2/documents", status=500),
)
"""In the order in which they are shown."""

_POST: Final = """([path, fields]) => {
  const form = Object.assign(document.createElement("form"), { method: "post", action: path });
  for (const [name, value] of Object.entries(fields)) form.append(Object.assign(document.createElement("textarea"), { name, value }));
  document.body.append(form);
  form.submit();
}"""


def show(page: Page, stage: Stage, one: Shown) -> None:
    """Bring a page before the browser as it is meant in the list."""
    base = {"lead": stage.jobs, "van": stage.van}.get(one.who, stage.phones)
    if base == stage.phones:
        page.context.clear_cookies(name="mainwright_device")
        if one.who in stage.tokens:
            page.context.add_cookies([{"name": "mainwright_device", "value": stage.tokens[one.who], "url": stage.phones}])
    if one.fields is None:
        answer = page.goto(base + one.path)
    else:
        page.goto(f"{base}/pair" if one.who == "stranger" else f"{base}/look-at-nothing")
        token = page.get_attribute("input[name=token]", "value") or ""
        with page.expect_navigation() as navigation:
            page.evaluate(_POST, [one.path, {"token": token, **one.fields}])
        answer = navigation.value
    assert answer is not None
    assert answer.status == one.status, (one.name, answer.status, page.inner_text("body")[:300])
    if one.made:
        until_planned(page)
        page.wait_for_selector("[data-watch]", state="detached")
    else:
        page.wait_for_load_state()
        page.wait_for_timeout(100)
    for deed in one.press:
        if deed.startswith("fill "):
            where, _, text = deed[5:].partition("=")
            page.fill(where, text)
            page.wait_for_timeout(300)
        else:
            page.click(deed)
