"""Pages of the programme: as a chapter of the plan, and as a paper of their own whose head says the answer."""

from dataclasses import replace

import pytest

from mainwright.paper.blocks import Block
from mainwright.paper.pen import pen_for
from mainwright.paper.programme_pages import activities, answer, programme_pages
from tests.unit.prove.demo_plan import demo_plan


def heads(blocks: list[Block]) -> list[tuple[str, bool]]:
    """Return the headings with whether they stand in the contents."""
    return [
        (str(one["text"]), one["level"] == 1) if one["kind"] == "heading" else (str(one["title"]), one["first"] != "")
        for one in blocks
        if one["kind"] in {"heading", "landscape"}
    ]


def test_alone_every_part_stands_in_the_contents_and_the_answer_only_at_the_head() -> None:
    plan = demo_plan()
    pen = pen_for(plan)
    assert plan.programme is not None
    alone = programme_pages(plan, pen, alone=True)
    assert heads(alone) == [
        (name, True) for name in ("Programme by crew", "Permits", "Programme by place", "Time against chainage", "Activities")
    ]
    said = [one["text"] for one in alone if one["kind"] == "paragraph"]
    assert answer(plan.programme, pen) not in said
    chapter = programme_pages(plan, pen)
    assert [name for name, listed in heads(chapter) if listed] == ["Programme"]
    assert answer(plan.programme, pen) in [one["text"] for one in chapter if one["kind"] == "paragraph"]


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_table_names_every_activity_and_wait_and_nobody_works_while_waiting(language: str) -> None:
    plan = demo_plan()
    plan = replace(plan, job=replace(plan.job, info=replace(plan.job.info, language=language)))
    assert plan.programme is not None
    table = next(one for one in activities(plan.programme, pen_for(plan)) if one["kind"] == "table")
    rows = table["rows"]
    assert isinstance(rows, list)
    names = [one if isinstance(one := row[0], str) else one["text"] for row in rows]
    assert names == [one.id for one in plan.programme.everything]
    waits = {one.id for one in plan.programme.waits}
    assert all(row[2] == "–" for row, name in zip(rows, names, strict=True) if name in waits)
