"""The report of a taking-in beside the job folder's files: as text, and as JSON with the hash of each file that was written.

By the hashes a later taking-in knows which files nobody has touched since; only those it writes anew.
"""

import hashlib
import json
from pathlib import Path
from typing import Final

from mainwright.errors import InputError
from mainwright.workflow.source import TakeInReport
from mainwright.workflow.take_in_text import report_document, report_lines

__all__ = ["REPORT_JSON", "REPORT_TEXT", "refuse_to_lose", "write_report"]

REPORT_TEXT: Final = "take_in.report.txt"
REPORT_JSON: Final = "take_in.report.json"
_LONGEST: Final = 1 << 26
_WIDTH: Final = 110


def write_report(report: TakeInReport, place: Path) -> None:
    """Write the report beside the files of a job folder, which it lists with their hashes.

    Parameters
    ----------
    report : TakeInReport
        What became of the inventory.
    place : Path
        The folder, its files written.
    """
    document = report_document(report) | {"files": _hashes(place)}
    text = json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    (place / REPORT_JSON).write_text(text, encoding="utf-8", newline="\n")
    (place / REPORT_TEXT).write_text("\n".join(report_lines(report, width=_WIDTH)) + "\n", encoding="utf-8", newline="\n")


def refuse_to_lose(out: Path, place: Path) -> None:
    """Refuse if writing the files of `place` into `out` would lose what somebody wrote there.

    Parameters
    ----------
    out : Path
        Where they are to be moved.
    place : Path
        Folder of the new files.

    Raises
    ------
    InputError
        If one of them is there already, neither the same nor as an earlier taking-in wrote it.
    """
    new = _hashes(place)
    old = _hashes(out) if out.exists() else {}
    known = _written(out / REPORT_JSON)
    lost = [name for name in new if name in old and old[name] not in {new[name], known.get(name)}]
    if lost:
        allowed = f"a folder in which nobody has written or changed {', '.join(lost)}; move them away, or name another folder"
        raise InputError("folder of the job", str(out), "", allowed)


def _hashes(folder: Path) -> dict[str, str]:
    return {entry.name: hashlib.sha256(entry.read_bytes()).hexdigest() for entry in sorted(folder.iterdir()) if entry.is_file()}


def _written(report: Path) -> dict[str, str]:
    try:
        if report.stat().st_size > _LONGEST:
            return {}
        files = json.loads(report.read_text(encoding="utf-8"))["files"]
        return {str(name): str(value) for name, value in files.items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        # No report of ours: then no file counts as ours either.
        return {}
