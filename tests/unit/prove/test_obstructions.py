"""Obstructions and the state of the drawings."""

from mainwright.prove.obstructions import judge_obstructions
from tests.unit.prove.demo_plan import demo_plan, read


def test_what_the_survey_shows_there_stands_beside_it() -> None:
    plan = demo_plan()
    drawn = next(one for one in plan.job.features if one.kind == "bend")
    lonely = next(
        at / 2.0
        for at in range(int(2 * plan.job.main[0].start), int(2 * plan.job.main[-1].end))
        if all(abs(one.chainage - at / 2.0) > 5.0 for one in plan.job.features)
    )
    rows = f"chainage_m,kind,on_drawing,minutes\n{drawn.chainage + 0.5},bend,no,40\n{lonely},repair_clamp,no,25\n{drawn.chainage + 0.4},repair_clamp,yes,\n"
    found = judge_obstructions(plan.job, plan.runs, read({"obstructions.csv": rows}))
    by_row = {one.row: one for one in found}
    assert by_row[1].contradicted
    assert by_row[1].feature is drawn
    assert not by_row[2].contradicted
    assert by_row[2].feature is None
    assert not by_row[3].contradicted
    assert by_row[2].record.duration == 25 * 60.0
    assert [one.record.chainage for one in found] == sorted(one.record.chainage for one in found)
