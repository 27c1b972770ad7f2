"""The library on the pages: entries added, revised, withdrawn, carried elsewhere, and taken into a job with their origin."""

from __future__ import annotations

import base64
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from starlette.testclient import TestClient

import mainwright
from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mainwright.workflow.library_entry import Entry

MARROWBY: Final = Path(mainwright.__file__).parent / "demo" / "marrowby"
HOST: Final = "127.0.0.1:8420"
FACTS: Final = {
    "name": "Marrowby prices",
    "day": "2026-03-01",
    "status": "read",
    "origin": "Tender 7",
    "currency": "EUR",
    "author": "A. Lead",
}
PRICES: Final = "item,unit,low,rate,high\ncamera,m,3,4.25,6\nopening_verge,each,,900,\n"


class Pages:
    """A browser that brings the token with every form."""

    def __init__(self, place: str) -> None:
        self._store = open_store(place)
        self.uses = page_use_cases(self._store)
        self.client = TestClient(create_app(self.uses, hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False)

    def get(self, path: str, *, language: str = "en") -> str:
        answer = self.client.get(path, headers={"accept-language": language})
        assert answer.status_code == 200, (path, answer.status_code)
        return answer.text.replace("\u00a0", " ")

    def post(self, path: str, **fields: str) -> tuple[int, str]:
        """Return status, and where it leads or what it says."""
        answer = self.client.post(path, data={"token": self.uses.token, **fields}, headers={"origin": f"http://{HOST}"})
        return answer.status_code, answer.headers.get("location", answer.text)

    def close(self) -> None:
        self._store.close()


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[Pages]:
    place = str(tmp_path / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    made = Pages(place)
    yield made
    made.close()


def packed(**files: bytes) -> str:
    return json.dumps({name.replace("__", "."): base64.b64encode(content).decode() for name, content in files.items()})


def only_job(pages: Pages) -> str:
    return next(iter(pages.uses.jobs.shelf.latest()))


def test_an_entry_is_kept_listed_and_handed_out(pages: Pages) -> None:
    assert "None is kept" in pages.get("/library")
    status, where = pages.post("/library/new", kind="prices", text_0=PRICES, **FACTS)
    assert (status, where) == (303, "/library/entries/marrowby-prices")
    assert "Marrowby prices" in pages.get("/library")
    shown = pages.get(where)
    for text in ("1 March 2026", "A. Lead", "Tender 7", "4.25", "prices.csv"):
        assert text in shown
    assert pages.get(f"{where}/files/prices.csv") == PRICES
    assert pages.client.get(f"{where}/files/plant.toml").status_code == 404


def test_all_that_is_wrong_is_told_at_once_and_nothing_typed_is_lost(pages: Pages) -> None:
    typed = "item,unit,rate\ncamera,m,abc\n,m,3\n"
    status, text = pages.post(
        "/library/new", kind="prices", text_0=typed, name="", day="2026-02-30", status="guess", origin="", currency="€", author=""
    )
    assert status == 422
    for part in (
        "It has no name",
        "none of the calendar",
        "how the values were come by",
        "where the values are from",
        "as EUR",
        "Say who you are",
    ):
        assert part in text
    assert "abc is no number" in text
    assert "it is missing" in text
    assert "camera,m,abc" in text
    assert not pages.uses.jobs.shelf.library("entries")


def test_faults_are_told_in_german(pages: Pages) -> None:
    answer = pages.client.post(
        "/library/new",
        data={"token": pages.uses.token, "kind": "prices", "text_0": "item,rate\ncamera,abc\n"},
        headers={"origin": f"http://{HOST}", "accept-language": "de"},
    )
    assert answer.status_code == 422
    for part in ("Er hat keinen Namen", "abc ist keine Zahl", "Bitte den Namen angeben"):
        assert part in answer.text
    assert "is no number" not in answer.text


def test_files_are_known_by_their_heads_whatever_they_are_called(pages: Pages) -> None:
    files = packed(
        mixer__toml=b'[[mixer]]\nname = "M1"\nbatch_l = 240.0\ncycle_minutes = 6.0\n',
        people__csv=b"crew;skill;count;first_day\nA;lining;4;2026-04-13\n",
    )
    status, where = pages.post("/library/new", kind="plant", files=files, **(FACTS | {"name": "Yard"}))
    assert (status, where) == (303, "/library/entries/yard")
    assert pages.get(f"{where}/files/crews.csv") == "crew,skill,count\nA,lining,4\n"
    status, text = pages.post("/library/new", kind="prices", files=packed(a__xlsx=b"PK\x03\x04"), **FACTS)
    assert status == 422
    assert "a.xlsx is none of the files of this kind" in text


def test_a_formula_is_disarmed_for_spreadsheets_and_comes_back_as_it_was(pages: Pages) -> None:
    _, where = pages.post("/library/new", kind="prices", text_0='item,unit,rate\n=1+1,"@each",2\n', **FACTS)
    out = pages.get(f"{where}/files/prices.csv")
    assert out == "item,unit,rate\n'=1+1,'@each,2\n"
    _, again = pages.post("/library/new", kind="prices", text_0=out, **FACTS)
    assert again == "/library/entries/marrowby-prices-2"
    assert pages.get(f"{again}/files/prices.csv") == out


def test_a_change_is_a_further_revision_and_what_differs_is_shown(pages: Pages) -> None:
    _, where = pages.post("/library/new", kind="prices", text_0=PRICES, **FACTS)
    assert "4.25" in pages.get(f"{where}/edit")
    status, _ = pages.post(f"{where}/edit", base="1", text_0=PRICES.replace("4.25", "4.75"), **(FACTS | {"origin": "Tender 8"}))
    assert status == 303
    assert "4.75" in pages.get(where)
    assert "4.25" in pages.get(f"{where}?revision=1")
    differs = pages.get(f"{where}/compare?before=1&after=2")
    for text in ("4.25", "4.75", "Tender 7", "Tender 8"):
        assert text in differs
    status, text = pages.post(f"{where}/edit", base="1", text_0=PRICES.replace("4.25", "5"), **FACTS)
    assert status == 409
    assert "Somebody kept a revision meanwhile" in text
    assert "camera,m,3,5,6" in text
    status, _ = pages.post(f"{where}/restore", number="1", author="B")
    assert status == 303
    assert [one.latest.number for one in _entries(pages)] == [3]
    assert "4.25" in pages.get(where)


def _entries(pages: Pages) -> tuple[Entry, ...]:
    from mainwright.workflow.library import Library

    return Library(pages.uses.jobs.shelf).entries()


def test_a_withdrawn_entry_stays_and_is_not_taken(pages: Pages) -> None:
    _, where = pages.post("/library/new", kind="prices", text_0=PRICES, **FACTS)
    status, text = pages.post(f"{where}/withdraw")
    assert (status, "Say who you are" in text) == (422, True)
    assert pages.post(f"{where}/withdraw", author="A")[0] == 303
    assert "withdrawn" in pages.get(where)
    job = only_job(pages)
    assert "was withdrawn" in pages.get(f"/jobs/{job}/library/marrowby-prices")
    base = pages.uses.jobs.shelf.history(job)[-1].revision
    status, text = pages.post(f"/jobs/{job}/library/marrowby-prices", author="A", base=base)
    assert (status, "was withdrawn" in text) == (422, True)


def test_the_whole_library_goes_elsewhere_with_its_history(pages: Pages, tmp_path: Path) -> None:
    _, where = pages.post("/library/new", kind="prices", text_0=PRICES, **FACTS)
    pages.post(f"{where}/edit", base="1", text_0=PRICES.replace("4.25", "4.75"), **FACTS)
    pages.post(f"{where}/withdraw", author="B")
    whole = pages.client.get("/library/export").content
    other = Pages(str(tmp_path / "other.sqlite"))
    try:
        assert other.post("/library/import", files=packed(l__json=whole), author="C") == (303, "/library?entries=1&revisions=3#entries")
        assert "3 of its revisions" in other.get("/library?entries=1&revisions=3")
        assert other.client.get("/library/export").content == whole
        assert "A. Lead" in other.get(f"{where}?revision=1")
        assert other.post("/library/import", files=packed(l__json=whole), author="C")[1] == "/library?entries=1&revisions=0#entries"
        assert other.client.get("/library/export").content == whole
        # The entry goes another way there: both stay.
        other.post(f"{where}/edit", base="3", text_0=PRICES.replace("4.25", "5"), **FACTS)
        pages.post(f"{where}/edit", base="3", text_0=PRICES.replace("4.25", "6"), **FACTS)
        more = pages.client.get("/library/export").content
        assert other.post("/library/import", files=packed(l__json=more), author="C")[0] == 303
        assert other.get(f"{where}/files/prices.csv").splitlines()[1] == "camera,m,3,5,6"
        assert other.get(f"{where}-2/files/prices.csv").splitlines()[1] == "camera,m,3,6,6"
    finally:
        other.close()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"nonsense", "This is no file of a library"),
        (b'{"mainwright_library": 9, "entries": []}', "another version"),
        (b'{"mainwright_library": 1, "entries": [3, {"kind": "prices", "entry": "a", "history": []}]}', "It has no revision"),
        (
            b'{"mainwright_library": 1, "entries": [{"kind": "prices", "entry": "a", "history": [{"author": "A", "time": "2026-03-01T07:00:00+00:00", '
            b'"name": "P", "day": "x", "status": "read", "origin": "o", "currency": "EUR", "note": "", "tables": {"prices": [{"item": "camera", "rate": -1}], "main": [{"dn": 1}]}}]}]}',
            "entries[0].history[0].tables.prices[0].rate",
        ),
    ],
)
def test_a_file_that_is_not_sound_is_refused_whole(pages: Pages, content: bytes, told: str) -> None:
    status, text = pages.post("/library/import", files=packed(l__json=content), author="A")
    assert status == 422
    assert told in text
    assert not pages.uses.jobs.shelf.library("entries")


def test_prices_are_taken_into_a_job_with_their_origin(pages: Pages) -> None:
    job = only_job(pages)
    pages.post("/library/new", kind="prices", text_0=PRICES, **FACTS)
    assert "Nothing of this job was taken" in pages.get(f"/jobs/{job}/library")
    before = pages.uses.jobs.shelf.history(job)[-1]
    shown = pages.get(f"/jobs/{job}/library/marrowby-prices")
    assert "camera" in shown
    assert "4.25" in shown
    status, text = pages.post(f"/jobs/{job}/library/marrowby-prices", author="A", base="other")
    assert (status, "Somebody saved this job meanwhile" in text) == (422, True)
    assert pages.post(f"/jobs/{job}/library/marrowby-prices", author="A", base=before.revision, how="merge") == (
        303,
        f"/jobs/{job}/library",
    )
    read = pages.uses.jobs.shelf.read(job)
    assert read.job is not None
    assert {one.item: one.rate for one in read.job.prices}["camera"] == 4.25
    assert len(read.job.prices) > 2
    assert [(one.dotted, one.entry, one.revision, one.stands) for one in read.job.origins] == [
        ("prices.camera", "Marrowby prices", 1, True),
        ("prices.opening_verge", "Marrowby prices", 1, True),
    ]
    assert "as taken" in pages.get(f"/jobs/{job}/library")
    # A price that is changed by hand is no longer the entry's; the older revision brings everything back.
    cells = json.dumps({"prices": {"header": ["item", "unit", "rate"], "rows": [["camera", "m", "9"]]}})
    now = pages.uses.jobs.shelf.history(job)[-1].revision
    assert pages.post(f"/jobs/{job}/survey/save", author="A", base=now, cells=cells)[0] == 200
    assert "changed since" in pages.get(f"/jobs/{job}/library")
    assert pages.post(f"/jobs/{job}/survey/restore", author="A", number="1")[0] == 303
    assert pages.uses.jobs.shelf.history(job)[-1].revision == before.revision
    deeds = pages.client.get("/audit").text
    assert "Entry of the library taken into a job" in deeds
    assert "Entry of the library kept" in deeds


def test_faults_that_the_job_would_have_are_told_before(pages: Pages) -> None:
    job = only_job(pages)
    thick = "[lining]\ngoverning_document = 'Thick'\nnominal_mm = 6.0\nminimum_mm = 5.0\nmaximum_mm = 5.5\n"
    assert pages.post("/library/new", kind="specification", text_0=thick, **FACTS)[0] == 422
    thick = thick.replace("maximum_mm = 5.5", "maximum_mm = 7.0")
    status, where = pages.post("/library/new", kind="specification", text_0=thick, **FACTS)
    assert status == 303
    entry = where.rpartition("/")[2]
    assert "Faults that the job would then have" not in pages.get(f"/jobs/{job}/library/{entry}")
    # Of a merge the job's other values stay, which this entry contradicts.
    document = pages.uses.jobs.shelf.document(job)
    row = document.rows("by_dn")[0] | {"maximum_mm": 5.8, "nominal_mm": 5.5}
    kept = type(document)(
        {**document.tables, "by_dn": [{key: value for key, value in row.items() if key != "minimum_mm"}]},
        document.alignment,
        document.extra,
    )
    pages.uses.jobs.shelf.save(kept, author="A")
    high = thick.replace("minimum_mm = 5.0", "minimum_mm = 5.9")
    status, _ = pages.post(f"{where}/edit", base="1", text_0=high, **FACTS)
    assert status == 303
    assert "Faults that the job would then have" in pages.get(f"/jobs/{job}/library/{entry}?how=merge")


def test_money_is_not_converted(pages: Pages) -> None:
    pages.post("/library/new", kind="prices", text_0=PRICES, **(FACTS | {"currency": "CHF"}))
    job = only_job(pages)
    assert "prices are not converted here" in pages.get(f"/jobs/{job}/library/marrowby-prices")


@pytest.mark.parametrize("kind", ["specification", "plant", "prices"])
def test_what_a_job_has_is_kept_and_taken_again_without_a_change(pages: Pages, kind: str) -> None:
    job = only_job(pages)
    form = pages.get(f"/library/new?kind={kind}&job={job}")
    import html

    texts = [html.unescape(one) for one in re.findall(r"<textarea[^>]*>\n?(.*?)</textarea>", form, re.DOTALL)]
    fields = {f"text_{at}": text for at, text in enumerate(texts)}
    status, where = pages.post("/library/new", kind=kind, **fields, **FACTS)
    assert status == 303, where
    entry = where.rpartition("/")[2]
    for how in ("merge", "replace"):
        assert "No value differs" in pages.get(f"/jobs/{job}/library/{entry}?how={how}")
    base = pages.uses.jobs.shelf.history(job)[-1].revision
    assert pages.post(f"/jobs/{job}/library/{entry}", author="A", base=base)[0] == 303
    read = pages.uses.jobs.shelf.read(job)
    assert read.job is not None, read.faults
    assert read.job.origins
    assert all(one.stands for one in read.job.origins)


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_page_of_the_library_is_there(pages: Pages, language: str) -> None:
    _, where = pages.post("/library/new", kind="prices", text_0=PRICES, **FACTS)
    job = only_job(pages)
    for path in (
        "/library",
        "/library/new",
        "/library/new?kind=plant",
        where,
        f"{where}/edit",
        f"{where}/compare?before=1&after=1",
        f"/jobs/{job}/library",
        f"/jobs/{job}/library/marrowby-prices",
    ):
        text = pages.get(path, language=language)
        assert len(text) < 300_000, path
        assert f'lang="{language}"' in text
    for path in (
        "/library/entries/none",
        "/library/new?kind=none",
        f"{where}?revision=9",
        f"{where}?revision=x",
        f"/jobs/{job}/library/none",
        f"/jobs/{job}/library/marrowby-prices?how=x",
    ):
        assert pages.client.get(path).status_code == 404, path
