"""``mainwright water``."""

from pathlib import Path
from typing import Final

import click

from mainwright.cli.statuses import DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_json, counted, fault_lines, paragraph, say

__all__ = ["water"]

_MOST_NOTES: Final = 40
_MOST_NAMES: Final = 6


@click.command("water")
@click.argument("table", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--out", required=True, type=click.Path(dir_okay=False, path_type=Path), help="The answer, a CSV file.")
@click.option("--lime-mmol-l", type=float, metavar="X", help="Also the pH after so much Ca(OH)2, closed to air, nothing precipitated.")
@click.option("--contact-hours", type=float, default=1.0, show_default=True, metavar="H", help="Stay of the water in the lined main.")
@click.option("--bore-mm", type=float, default=100.0, show_default=True, metavar="MM", help="Bore of the lining.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON; messages go to standard error.")
def water(*, table: Path, out: Path, lime_mmol_l: float | None, contact_hours: float, bore_mm: float, as_json: bool) -> int:
    """Say for each analysis of TABLE what the water does to mortar, and how long fresh mortar keeps its pH over 9.5.

    TABLE has a column id and the keys of water.toml; what is missing is not known. A forecast is good to a factor of two or three.
    """
    from mainwright import bootstrap
    from mainwright.words.wording import Wording

    judged = bootstrap.water(table, out=out, lime_mmol_l=lime_mmol_l, contact_hours=contact_hours, bore_mm=bore_mm)
    for line in fault_lines(judged.read.faults):
        say(line)
    for line in fault_lines(judged.read.unknown):
        say(line)
    if judged.read.faults:
        count = len(judged.read.faults)
        say(f"{counted(count, 'fault')}; nothing was written.")
        return FAULTY_INPUT
    word = Wording("en", "metric").word
    rows, notes = bootstrap.water_answers(judged)
    if as_json:
        names = [[word(note) for note in one.notes] for one in judged.answers]
        answer_json({"waters": [{**row, "notes": told} for row, told in zip(rows, names, strict=True)]})
    for note, ids in list(notes.items())[:_MOST_NOTES]:
        more = f" and {len(ids) - _MOST_NAMES} more" if len(ids) > _MOST_NAMES else ""
        say(paragraph(f"{', '.join(ids[:_MOST_NAMES])}{more}: {word(note)}", rest="  "))
    if len(notes) > _MOST_NOTES:
        say(f"and {counted(len(notes) - _MOST_NOTES, 'more note')}: --json tells them all.")
    if any(one.over_ph_9_5 for one in judged.answers):
        say(
            paragraph(
                "Weeks count from placing, plain Portland mortar; low and high hold nine in ten of the field trials' scatter. Dead ends are worse than "
                "any table. Tell dialysis patients and clinics before every change of supply, whatever the alkalinity, and keepers of fish; where there "
                "are lead pipes keep the pH under 10.5. The water authority's rules come first.",
                rest="  ",
            )
        )
    say(f"{len(rows)} {'water' if len(rows) == 1 else 'waters'} written to {out}")
    return DONE
