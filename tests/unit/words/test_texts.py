"""The catalogues hold every text that the papers say."""

import re
from pathlib import Path

import pytest

import mainwright
from mainwright.folder.reading import read_folder
from mainwright.paper.bill_xlsx import render_bill
from mainwright.paper.pen import pen_for
from mainwright.paper.plan_json import plan_json
from mainwright.paper.plan_pdf import plan_pages
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from mainwright.words import catalogue, wording
from mainwright.words.catalogue import read_po
from tests.unit.paper.sample import crowded_plan, sample_plan, stopped_plan
from tests.unit.words.texts import source_texts

LANGUAGES = ("de",)
COMPLETE: tuple[str, ...] = ("de",)
"""Languages of which every text must be there, and none be left over."""

FLOOR = 0.95
"""Share of the texts that a language holds at least before it is complete."""

_PLACE = re.compile(r"\{\w+\}")


def _po(language: str) -> dict[str, str]:
    return read_po((Path(catalogue.__file__).parent / f"{language}.po").read_text(encoding="utf-8"))


def test_the_texts_are_found() -> None:
    texts = source_texts()
    for text in (
        "Speed card",
        "No point under the minimum with a confidence of {confidence}; the document that governs: {document}.",
        "grey iron",
        "weeks",
    ):
        assert text in texts
    assert len(texts) > 600


@pytest.mark.parametrize("language", COMPLETE)
def test_every_text_is_translated(language: str) -> None:
    known = _po(language)
    missing = {text: where for text, where in source_texts().items() if text not in known}
    assert missing == {}


@pytest.mark.parametrize("language", COMPLETE)
def test_no_translation_is_left_over(language: str) -> None:
    assert sorted(set(_po(language)) - set(source_texts())) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_nearly_every_text_is_translated(language: str) -> None:
    texts = source_texts()
    missing = sorted(set(texts) - set(_po(language)))
    assert len(missing) <= (1.0 - FLOOR) * len(texts), missing


@pytest.mark.parametrize("language", LANGUAGES)
def test_places_are_kept(language: str) -> None:
    wrong = {text: said for text, said in _po(language).items() if sorted(_PLACE.findall(text)) != sorted(_PLACE.findall(said))}
    assert wrong == {}


@pytest.mark.parametrize("language", LANGUAGES)
def test_ends_are_kept(language: str) -> None:
    ends = (".", ":", "?", " ")
    wrong = {text: said for text, said in _po(language).items() if text[-1] in ends and said[-1] != text[-1]}
    assert wrong == {}


def _demo(language: str) -> Plan:
    job = read_folder(Path(mainwright.__file__).parent / "demo" / "marrowby").job
    assert job is not None
    from dataclasses import replace

    return make_plan(replace(job, info=replace(job.info, language=language)))


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_papers_say_nothing_in_another_language(language: str, monkeypatch: pytest.MonkeyPatch) -> None:
    known = _po(language)
    asked: set[str] = set()

    def recorded(text: str, language: str) -> str:
        asked.add(text)
        return known.get(text, text)

    monkeypatch.setattr(wording, "translated", recorded)
    plan = _demo(language)
    plan_pages(plan)
    render_bill(plan)
    plan_json(plan, word=pen_for(plan).say.word)
    wordy = {text for text in asked if re.search(r"[A-Za-z]{3}", _PLACE.sub("", text))}
    assert len(wordy) > 300
    missing = sorted(wordy - set(known) - _plain_units())
    assert missing == [] if language in COMPLETE else len(missing) <= (1.0 - FLOOR) * len(wordy), missing


def _plain_units() -> set[str]:
    from mainwright.units import UNITS

    return {unit.label for unit in UNITS.values()}


@pytest.mark.parametrize("plan", [sample_plan(language="de"), crowded_plan(), stopped_plan()])
def test_sheets_can_be_made_in_any_language(plan: Plan) -> None:
    assert plan_pages(plan)["title"]
