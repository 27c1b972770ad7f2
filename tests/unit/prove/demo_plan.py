"""The plan of the invented job, once for all tests of this folder."""

from functools import cache

from mainwright.demo.job import demo_files
from mainwright.folder.reading import read_files
from mainwright.folder.records import read_record_files
from mainwright.job.records import Records
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan, Run
from tests.unit.prove.records import as_planned, csv_bytes, drive


@cache
def demo_plan() -> Plan:
    job = read_files(demo_files()).job
    assert job is not None
    return make_plan(job)


def a_run(direction: str = "increasing") -> Run:
    """Return a run that is long enough, with connections."""
    return next(run for run in demo_plan().runs if run.direction == direction and run.length > 60.0 and run.connections > 2)


def read(files: dict[str, str], run: Run | None = None) -> Records:
    """Return records from the text of their files, with readings of a run that was driven as planned."""
    content = {name: text.encode() for name, text in files.items()}
    if run is not None:
        content[f"run_{run.id}.csv"] = csv_bytes(drive(run, as_planned))
    found = read_record_files(content)
    assert found.faults == ()
    return found.records
