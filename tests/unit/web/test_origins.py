"""Every number of an answer tells where it comes from: a new one without an origin fails here."""

from __future__ import annotations

import ast
import re
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from starlette.testclient import TestClient

import mainwright
from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.job.origins import Origin
from mainwright.web.app import create_app
from mainwright.web.views.origins import NAMES, ORIGINS, Told, origin_text, run_told, told
from mainwright.words.message import Quantity, message
from mainwright.words.wording import Wording

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mainwright.job.job import Job

SOURCE: Final = Path(mainwright.__file__).parent
ANSWERS: Final = (
    ("plan/sentences.py", "whether", "lining"), ("plan/sentences.py", "thickness", "lining"), ("plan/sentences.py", "how", "runs"),
    ("web/views/survey.py", "survey_view", "survey"), ("web/views/water.py", "_answer", "water"), ("web/views/programme.py", "_answer", "programme"),
    ("web/views/proof.py", "_answer", "proof"), ("web/views/money.py", "_answer", "money"),
)  # fmt: skip
"""Where the sentences are made that stand first on a page, and on which."""


def _sentences(module: str, function: str) -> list[str]:
    tree = ast.parse((SOURCE / module).read_text(encoding="utf-8"))
    body = next(node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef) and node.name == function)
    docs = ast.get_docstring(body)
    texts = [node.value for node in ast.walk(body) if isinstance(node, ast.Constant) and isinstance(node.value, str)]
    return [text for text in texts if " " in text and text.strip() != docs]


@pytest.mark.parametrize(("module", "function", "place"), ANSWERS)
def test_every_place_of_every_sentence_has_an_origin(module: str, function: str, place: str) -> None:
    sentences = _sentences(module, function)
    assert sentences
    asked = {(text, name) for text in sentences for name in re.findall(r"\{(\w+)\}", text)}
    assert {(text, name) for text, name in asked if name not in NAMES and origin_text(place, text, name) is None} == set()


def test_no_origin_is_of_a_number_that_nobody_says() -> None:
    said: dict[str, set[str]] = {}
    for module, function, place in ANSWERS:
        said.setdefault(place, set()).update(name for text in _sentences(module, function) for name in re.findall(r"\{(\w+)\}", text))
    assert {place: sorted(set(names) - said[place]) for place, names in ORIGINS.items()} == {place: [] for place in ORIGINS}


def test_a_sentence_is_its_text_and_knows_its_numbers() -> None:
    one = message("Customers live on {length} of temporary pipe.", length=Quantity(120.0, "m", 0))
    (sentence,) = told("water", [one], Wording("en", "metric", " "), None)
    assert sentence == "Customers live on 120 m of temporary pipe."
    assert isinstance(sentence, Told)
    assert [text for text, origin in sentence.parts if origin] == ["120 m"]
    (german,) = told("water", [one], Wording("de", "us", " "), None)
    assert isinstance(german, Told)
    assert [bool(origin) for _, origin in german.parts].count(True) == 1
    assert "ft" in german


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    place = str(tmp_path_factory.mktemp("origins") / "store.sqlite")
    import_job(SOURCE / "demo" / "marrowby", store=place, author="test")
    with open_store(place) as store:
        yield TestClient(create_app(page_use_cases(store), hosts=["127.0.0.1:8420"]), base_url="http://127.0.0.1:8420")


def _planned(client: TestClient, place: str, language: str = "en") -> str:
    """Return a page of the demo once its plan is made."""
    client.app.state.use_cases.jobs.names()  # type: ignore[attr-defined]
    until = time.monotonic() + 60.0
    while True:
        text = client.get(f"/jobs/tl-03/{place}", headers={"accept-language": language}).text
        if "http-equiv" not in text or time.monotonic() > until:
            return text
        time.sleep(0.2)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("place", ["survey", "lining", "layout", "runs", "proof", "water", "programme", "money"])
def test_every_number_of_the_answer_can_be_touched(client: TestClient, place: str, language: str) -> None:
    text = _planned(client, place, language)
    found = re.search(r'<section class="answer">(.*?)</section>', text, re.DOTALL)
    assert found is not None
    answer = re.sub(r"<div popover.*?</div>", "", found[1], flags=re.DOTALL)
    buttons = re.findall(r'<button[^>]*popovertarget="([\w-]+)"[^>]*>', answer)
    assert sorted(buttons) == sorted(re.findall(r'<div popover class="from" id="([\w-]+)"', found[1]))
    words = re.sub(r"<[^>]*>", "", re.sub(r"<button.*?</button>", "", answer, flags=re.DOTALL))
    # What is left are words and names: a run, a document, an item.
    assert re.findall(r"(?<![\w-])\d[\d.,]*", words) == [], words
    assert buttons or place == "proof"


def test_every_number_at_the_head_of_a_run_sheet_can_be_touched(client: TestClient) -> None:
    text = _planned(client, "runs/R01")
    head = re.search(r'<dl class="big numbers">(.*?)</dl>', text, re.DOTALL)
    assert head is not None
    touched = re.findall(r'popovertarget="([\w-]+)"', head[1])
    assert len(touched) == head[1].count("<dt>") == 5
    assert touched == re.findall(r'<div popover class="from" id="([\w-]+)"', text)
    with pytest.raises(ValueError, match="zip"):
        run_told([{"name": "New", "value": "1"}] * 6, Wording(), client.app.state.use_cases.jobs.shelf.read("tl-03").job)  # type: ignore[attr-defined]


def test_a_number_out_of_the_library_says_which_entry(client: TestClient) -> None:
    shelf = client.app.state.use_cases.jobs.shelf  # type: ignore[attr-defined]
    job: Job = shelf.read(next(iter(shelf.latest()))).job
    taken = replace(
        job,
        origins=(
            Origin("prices", "camera", "Rates", 2, stands=True),
            Origin("prices", "cement", "Rates", 2, stands=False),
            Origin("lining", "nominal_mm", "ML-4", stands=True),
        ),
    )
    (sentence,) = told("money", [message("The priced items of the bill come to {cost}.", cost="9 EUR")], Wording(), taken)
    assert isinstance(sentence, Told)
    assert sentence.parts[1][1].endswith("From the library's entry Rates: values as taken 1, changed since 1.")
    assert "ML-4" not in sentence.parts[1][1]
