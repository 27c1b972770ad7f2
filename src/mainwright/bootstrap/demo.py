"""Wires the invented job of Marrowby."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.bootstrap.planning import plan_text

if TYPE_CHECKING:
    from pathlib import Path

    from mainwright.plan.result import Plan

__all__ = ["make_demo", "make_recorded"]


def make_demo(folder: Path) -> None:
    """Write the invented job of Marrowby into a folder; what somebody changed there is not written over.

    Parameters
    ----------
    folder : Path
        The job folder, made where it is missing.
    """
    from mainwright.demo.job import write_demo

    write_demo(folder)


def make_recorded(folder: Path, made: Plan) -> None:
    """Write the invented job as it was lined: its folder with the issued plan, the records of a simulated rig and the scans of one run.

    Parameters
    ----------
    folder : Path
        The folder, made where it is missing; what somebody changed there is not written over.
    made : Plan
        The plan that was followed.
    """
    from mainwright.demo.job import demo_files, write_files
    from mainwright.demo.photograph import clamp_picture
    from mainwright.demo.records import demo_records
    from mainwright.demo.scans import SCANNED, demo_scans

    records = {f"records/{name}": data for name, data in demo_records(made.job, made.runs).items()}
    records["records/obstruction-1.png"] = clamp_picture()
    scanned = made.runs[SCANNED]
    records |= {f"records/{name}": data for name, data in demo_scans(made.job, scanned, bore=scanned.settings[0].bore).items()}
    write_files(demo_files() | {"plan.json": plan_text(made).encode("utf-8")} | records, folder)
