"""Giving back on paper: nothing is left out, nothing is made up, the same bytes each time."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

import mainwright
from mainwright.folder.reading import read_folder
from mainwright.paper.giving_back_json import giving_back_document
from mainwright.paper.giving_back_pdf import giving_back_paper, render_giving_back
from mainwright.paper.notices_pdf import letter_pages, render_notices
from mainwright.paper.pen import pen_for
from mainwright.paper.place_sections import place_sections
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from mainwright.words.wording import Wording
from tests.unit.plan.small_job import small_job


@pytest.fixture(scope="module")
def demo() -> Plan:
    job = read_folder(Path(mainwright.__file__).parent / "demo" / "marrowby").job
    assert job is not None
    return make_plan(job)


def test_every_gate_stands_on_paper(demo: Plan) -> None:
    pages = json.dumps(giving_back_paper(demo), ensure_ascii=False)
    say = pen_for(demo).say
    assert demo.return_to_service is not None
    for step in demo.return_to_service.blocks[0].steps:
        assert json.dumps(say.word(step.text), ensure_ascii=False)[1:-1] in pages
        if step.gate is not None:
            assert json.dumps(say.word(step.gate), ensure_ascii=False)[1:-1] in pages
    assert "never a new pipe's rule" in pages


def test_each_connection_that_lives_is_in_one_letter(demo: Plan) -> None:
    pages = letter_pages(demo)
    assert pages is not None
    assert demo.return_to_service is not None
    letters = [dict(one) for one in pages["letters"]]  # type: ignore[attr-defined]
    named = [ref for one in letters for ref in str(one["refs"]).split(": ")[1].split(", ")]
    assert sorted(named) == sorted(one.ref or "" for one in demo.job.services if one.live is not False)
    dialysis = next(one for one in letters if "dialysis" in str(one["to"]))
    assert any("clinic" in str(need) for need in dialysis["needs"])
    assert "May" in str(dialysis["tell-by"])


def test_letters_in_german_keep_no_english(demo: Plan) -> None:
    pages = letter_pages(demo, language="de")
    assert pages is not None
    text = json.dumps(pages, ensure_ascii=False)
    assert "Ihre Wasserleitung wird erneuert" in text
    assert "Your water main" not in text


def test_the_same_bytes_and_a_real_document(demo: Plan) -> None:
    for made in (render_notices(demo), render_giving_back(demo)):
        assert made is not None
        assert made.startswith(b"%PDF")
    assert render_notices(demo) == render_notices(demo)


def test_nothing_given_is_null_and_nothing_lined_is_empty() -> None:
    plan = make_plan(small_job())
    section = giving_back_document(plan.return_to_service, pen_for(plan).say.word)
    assert section["fill_from_h"] is None
    assert section["give_back_h"] is None
    assert section["chlorine_kg"] is None
    assert section["flush_flow_l_s"] is None
    assert json.loads(json.dumps(section, allow_nan=False)) == section
    empty = giving_back_document(None, pen_for(plan).say.word)
    assert set(empty) == set(section)
    bare = replace(plan, return_to_service=None)
    assert letter_pages(bare) is None
    assert render_giving_back(bare).startswith(b"%PDF")


def test_of_blocks_that_are_given_back_alike_a_page_opens_the_first(demo: Plan) -> None:
    assert demo.return_to_service is not None
    names = [one.block.id for one in demo.return_to_service.blocks]
    found = [one for one in place_sections("water", demo, Wording("en", "metric")) if one.head.startswith("Block ")]
    assert [one.folded for one in found] == [False, *(True for _ in names[1:])]
    assert [one.head.split(":")[0] for one in found] == [f"Block {name}" for name in names]
