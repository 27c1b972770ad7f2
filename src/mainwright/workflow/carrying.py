"""A run as one file: its whole log, chained by hash, to carry it from the van to the office.

The file is lines of JSON. The first names the run and what it was begun with; each of the others holds up to 500 entries; the last says how
many there are. Each line carries the hash of itself and of the line before, so that a line that was changed, lost, added or moved shows.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict
from itertools import islice
from typing import TYPE_CHECKING, Any, Final

from mainwright.errors import Conflict, InputError, NotFound
from mainwright.workflow.live_ports import LogEntry, RunKey
from mainwright.workflow.store_ports import Anchor, ChainReport, Report

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from mainwright.workflow.live_ports import RunLog

__all__ = ["FORM", "carried_in", "carried_out", "read_carried", "verify_carried"]

FORM: Final = "mainwright run 1"
"""What the first line says of itself."""

_GROUP: Final = 500


def carried_out(log: RunLog, key: RunKey) -> Iterator[str]:
    """Yield the lines of the file of a run.

    Parameters
    ----------
    log : RunLog
        Where it is kept. [-]
    key : RunKey
        Names it. [-]

    Yields
    ------
    str
        Each with its newline; the same log gives the same lines.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    head = ""
    line, head = _line({"form": FORM, "run": asdict(key), "header": log.header(key)}, head)
    yield line
    count = 0
    entries = log.entries(key)
    while group := list(islice(entries, _GROUP)):
        count += len(group)
        line, head = _line({"entries": [[one.kind, one.time, dict(one.values)] for one in group]}, head)
        yield line
    line, head = _line({"end": count}, head)
    yield line


def _line(content: Mapping[str, object], before: str) -> tuple[str, str]:
    text = json.dumps(content, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))
    grown = hashlib.sha256(f"{before}\n{text}".encode()).hexdigest()
    return json.dumps(
        {"hash": grown, "of": content}, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":")
    ) + "\n", grown


def _checked(lines: Iterable[str], broken: list[str]) -> Iterator[tuple[int, Mapping[str, Any], str]]:
    """Yield number, content and hash of each line; what is wrong is added to a list, and nothing follows it."""
    head = ""
    number = 0
    for number, text in enumerate(lines, start=1):
        try:
            told = json.loads(text)
            content, said = told["of"], told["hash"]
            exact, grown = _line(content, head)
        except (ValueError, KeyError, TypeError, RecursionError):
            broken.append(f"line {number} is no line of a run")
            return
        if said != grown or exact != text.rstrip("\r\n") + "\n":
            broken.append(f"line {number} was changed, or a line before it is missing")
            return
        head = grown
        yield number, content, grown
        if "end" in content:
            return
    broken.append(f"the file ends after line {number}: its end is missing")


def read_carried(lines: Iterable[str]) -> tuple[RunKey, Mapping[str, object], list[LogEntry], Anchor]:
    """Return the run of a file.

    Parameters
    ----------
    lines : iterable of str
        The file. [-]

    Returns
    -------
    tuple
        Its name, what it was begun with, its entries, and where its chain ends.

    Raises
    ------
    InputError
        If the file is none of a run, or was changed.
    """
    broken: list[str] = []
    key: RunKey | None = None
    header: Mapping[str, object] = {}
    entries: list[LogEntry] = []
    head = ""
    for number, content, grown in _checked(lines, broken):
        head = grown
        if number == 1:
            key, header = _first(content)
        elif "entries" in content:
            entries += [LogEntry(kind, time, values) for kind, time, values in content["entries"]]
        elif content.get("end") != len(entries):
            broken.append(f"line {number} counts {content.get('end')} entries, there are {len(entries)}")
    if broken or key is None:
        raise InputError("file of a run", broken[0] if broken else "empty", "", "a file that `mainwright export` wrote, unchanged")
    return key, header, entries, Anchor(len(entries), head)


def _first(content: Mapping[str, Any]) -> tuple[RunKey, Mapping[str, object]]:
    named, header = content.get("run"), content.get("header")
    if content.get("form") != FORM or not isinstance(named, dict) or not isinstance(header, dict):
        raise InputError("file of a run", str(content.get("form", "no form"))[:60], "", f"the form {FORM!r} in its first line")
    try:
        return RunKey(str(named["job"]), str(named["run"]), int(named["coat"]), int(named["part"])), header
    except (KeyError, TypeError, ValueError):
        raise InputError("file of a run", str(named)[:60], "", "job, run, coat and part in its first line") from None


def verify_carried(lines: Iterable[str], *, place: str) -> Report:
    """Return whether a file of a run was changed since it was written.

    Parameters
    ----------
    lines : iterable of str
        The file. [-]
    place : str
        Where it lies, for people. [-]

    Returns
    -------
    Report
        One chain.
    """
    broken: list[str] = []
    what, count, head = "run", 0, ""
    for number, content, grown in _checked(lines, broken):
        head = grown
        if number == 1:
            try:
                key, _ = _first(content)
                what = f"run {key.run} of job {key.job}"
            except InputError as error:
                broken.append(str(error))
        elif "entries" in content:
            count += len(content["entries"])
        elif content.get("end") != count:
            broken.append(f"line {number} counts {content.get('end')} entries, there are {count}")
    return Report(place, (ChainReport(what, "run", None if broken else Anchor(count, head), tuple(broken)),))


def carried_in(log: RunLog, lines: Iterable[str], *, author: str) -> tuple[RunKey, int, int]:
    """Keep the run of a file; what is kept already is not kept again.

    Parameters
    ----------
    log : RunLog
        Where it is kept. [-]
    lines : iterable of str
        The file. [-]
    author : str
        Who brings it. [-]

    Returns
    -------
    tuple
        The run, how many entries were added, and how many there are now.

    Raises
    ------
    InputError
        If the file was changed, or is none of a run.
    Conflict
        If another record of this run is kept: nothing is added.
    """
    key, header, entries, _ = read_carried(lines)
    try:
        kept = log.header(key)
    except NotFound:
        kept = None
    if kept is not None and dict(kept) != dict(header):
        raise Conflict(f"run {key.run} of job {key.job} is kept here with another beginning; nothing was added.")
    there = 0
    if kept is not None:
        for place, one in enumerate(log.entries(key)):
            there += 1
            if place < len(entries) and one != entries[place]:
                raise Conflict(f"run {key.run} of job {key.job} went on otherwise here from entry {place + 1}; nothing was added.")
    if kept is None:
        log.begin(key, header, author=author)
    if there >= len(entries):
        return key, 0, there
    for first in range(there, len(entries), _GROUP):
        log.append(key, entries[first : first + _GROUP], after=first)
    return key, len(entries) - there, len(entries)
