"""One hash over all records."""

from dataclasses import replace

from mainwright.prove.revision import records_revision
from tests.unit.prove.demo_plan import a_run, read


def test_spelling_does_not_matter_and_content_does() -> None:
    run = a_run()
    rows = "run,chainage_m,thickness_mm\n" + f"{run.id},10,5.1\n{run.id},12,5.2\n"
    first = records_revision(read({"thickness.csv": rows}, run))
    assert len(first) == 64
    assert first == records_revision(read({"thickness.csv": rows.replace("5.1", "5.10").replace(",", ";")}, run))
    changed = (
        rows.replace("5.2", "5.3"),
        rows.replace(f"{run.id},12,5.2\n", ""),
        f"run,chainage_m,thickness_mm\n{run.id},12,5.2\n{run.id},10,5.1\n",
    )
    assert len({first, *(records_revision(read({"thickness.csv": one}, run)) for one in changed)}) == 4


def test_a_lost_reading_shows() -> None:
    run = a_run()
    records = read({}, run)
    (whole,) = records.readings
    shorter = replace(records, readings=(replace(whole, readings=whole.readings[:-1]),))
    assert records_revision(records) != records_revision(shorter)
