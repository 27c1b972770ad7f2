"""Rows of pipes to contiguous stretches: order, gaps, overlaps, doubles.

A gap of the inventory becomes a stretch of its own, of material ``other``: a missing pipe, a chamber or a fitting lies there, and
nobody may line past it unseen. Nothing is joined over it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

from mainwright.job.column import Plain, Table
from mainwright.units import significant
from mainwright.words.message import Message, Quantity, Value, message
from mainwright.workflow.cells import mapped_cell, number_of
from mainwright.workflow.mapping import InventoryMapping
from mainwright.workflow.source import Noted, SourceRow, Weight

__all__ = ["GAP_NOTE", "Notes", "Stretches", "plain", "stretches_of"]

_SHORT: Final = 1.0
"""Pipes under this length [m] are told: a cut-in piece, or a slip of the pen."""

GAP_NOTE: Final = "no pipe is recorded here"


@dataclass(slots=True)
class Notes:
    """Collects what must be told; what is alike (code, table, column, text) becomes one entry with all its lines."""

    found: dict[tuple[object, ...], tuple[Noted, list[int]]] = field(default_factory=dict)

    def add(self, code: str, weight: Weight, table: str, line: int | None, text: str, *, cell: str = "", **values: Value) -> None:
        """Add one."""
        said = message(text, **values)
        key = (code, table, cell, said)
        entry = self.found.setdefault(key, (Noted(code, weight, table, (), cell, said), []))
        if line is not None:
            entry[1].append(line)

    def all(self) -> tuple[Noted, ...]:
        """Return all of them in the order in which they came up."""
        return tuple(Noted(one.code, one.weight, one.table, tuple(lines), one.column, one.message) for one, lines in self.found.values())


@dataclass(frozen=True, slots=True)
class Stretches:
    """Rows for our table of the main, and the lines of the inventory that were used."""

    rows: tuple[dict[str, Plain], ...]
    used: int


@dataclass(slots=True)
class _Draft:
    start: float
    end: float
    cells: dict[str, Plain]
    kept: dict[str, str]
    lines: tuple[int, ...]
    gap: bool = False


def stretches_of(
    rows: Iterable[SourceRow],
    mapping: InventoryMapping,
    *,
    target: Table,
    table: str,
    notes: Notes,
    places: Mapping[int, tuple[float, float]] | None = None,
) -> Stretches:
    """Return the stretches that rows of pipes make.

    Parameters
    ----------
    rows : iterable of SourceRow
        The rows of this main, unordered. [-]
    mapping : InventoryMapping
        Which column is which. [-]
    target : Table
        Our table of stretches. [-]
    table : str
        Name of the inventory's table, for what is told. [-]
    notes : Notes
        Takes what must be told. [-]
    places : mapping, optional
        Start and end of each row by its line, where a map gives them. [m]

    Returns
    -------
    Stretches
        In order of chainage, each beginning where the one before ends.
    """
    drafts = _placed(_drafts(rows, mapping, target, table, notes), mapping, table, notes, places)
    drafts = _contiguous(drafts, mapping.snap, table, notes)
    _fill_dn(drafts, mapping, table, notes)
    for draft in drafts:
        if draft.cells.get("material") is None:
            draft.cells["material"] = "other"
            if not draft.gap:
                notes.add("material", "decided", table, draft.lines[0], "the material is not known; carried as `other`", cell="material")
    used = sum(len(draft.lines) for draft in drafts)
    if mapping.merge:
        drafts = _merged(drafts)
    return Stretches(tuple(_row(draft, mapping) for draft in drafts), used)


def _drafts(rows: Iterable[SourceRow], mapping: InventoryMapping, target: Table, table: str, notes: Notes) -> list[_Draft]:
    drafts = []
    lengths = target.column("to_m")
    ordered = list(rows)
    if mapping.order and mapping.order != "geometry":
        ordered.sort(key=lambda row: _order_key(row.cells.get(mapping.order, ""), mapping.decimal))
    at = 0.0
    for row in ordered:
        cells: dict[str, Plain] = {}
        for name, rules in mapping.main.columns.items():
            column = target.column(name)
            assert column is not None  # noqa: S101
            mapped = mapped_cell(rules, row.cells, target=column, decimal=mapping.decimal)
            cells[name] = mapped.value
            if mapped.problem is not None:
                notes.add(
                    mapped.code, "left_out", table, row.line, "{what}; {ours} stays empty", cell=mapped.column,
                    what=plain(mapped.problem), ours=name,
                )  # fmt: skip
        start, end = cells.pop("from_m", None), cells.pop("to_m", None)
        if mapping.length and lengths is not None:
            length = mapped_cell(mapping.length, row.cells, target=lengths, decimal=mapping.decimal).value
            start, end = at, at + float(length) if isinstance(length, int | float) else None
            at = end if isinstance(end, float) else at
        kept = {name: row.cells.get(name, "") for name in mapping.main.keep}
        number = float("nan")
        drafts.append(
            _Draft(
                float(start) if isinstance(start, int | float) else number,
                float(end) if isinstance(end, int | float) else number,
                cells,
                kept,
                (row.line,),
            )
        )
    return drafts


def plain(problem: Message) -> str:
    """Return a problem's text with its values filled in, to stand inside another.

    Parameters
    ----------
    problem : Message
        What `mapped_cell` says. [-]

    Returns
    -------
    str
        Its text.
    """
    text = problem.text
    for name, value in problem.values:
        text = text.replace("{" + name + "}", f"`{value}`" if name in {"code", "found"} else str(value))
    return text


def _order_key(cell: str, decimal: str) -> tuple[float, str]:
    value = number_of(cell, decimal=decimal)
    return (float("inf") if value is None else value, cell)


def _placed(
    drafts: list[_Draft], mapping: InventoryMapping, table: str, notes: Notes, places: Mapping[int, tuple[float, float]] | None
) -> list[_Draft]:
    """Return the drafts that have a length, in order of chainage, each once."""
    found: list[_Draft] = []
    seen: dict[tuple[object, ...], int] = {}
    for draft in drafts:
        line = draft.lines[0]
        if places is not None:
            draft.start, draft.end = places.get(line, (float("nan"), float("nan")))
        if draft.start != draft.start or draft.end != draft.end:
            notes.add("no_chainage", "left_out", table, line, "the row does not say where its pipe lies; it is left out")
            continue
        if draft.end < draft.start:
            notes.add("reversed", "decided", table, line, "the pipe is recorded against the chainage; its ends were exchanged")
            draft.start, draft.end = draft.end, draft.start
        if draft.end == draft.start:
            notes.add("no_length", "left_out", table, line, "the pipe has no length; it is left out")
            continue
        key = (draft.start, draft.end, tuple(sorted((name, str(value)) for name, value in draft.cells.items())), tuple(draft.kept.items()))
        if not mapping.length and key in seen:
            notes.add("double", "left_out", table, line, "the same pipe stands in line {first} already; it is left out", first=seen[key])
            continue
        seen[key] = line
        if draft.end - draft.start < _SHORT:
            notes.add(
                "short", "seen", table, line, "the pipe is shorter than {length}; carried as it stands", length=Quantity(_SHORT, "m", 0)
            )
        found.append(draft)
    return sorted(found, key=lambda draft: (draft.start, draft.end))


def _contiguous(drafts: list[_Draft], snap: float, table: str, notes: Notes) -> list[_Draft]:
    result: list[_Draft] = []
    for draft in drafts:
        if not result:
            result.append(draft)
            continue
        before = result[-1]
        step = draft.start - before.end
        if step > snap:
            gap = _Draft(before.end, draft.start, {}, {}, (), gap=True)
            result.append(gap)
        elif (step < -snap and draft.end <= before.end + snap) or draft.end <= before.end:
            # A pipe shorter than the slip that is put right ends before it would begin.
            notes.add(
                "inside", "left_out", table, draft.lines[0],
                "from {start} to {end} another pipe is recorded already (line {other}); it is left out",
                start=Quantity(draft.start, "m", 2), end=Quantity(draft.end, "m", 2), other=before.lines[-1] if before.lines else 0,
            )  # fmt: skip
            continue
        elif step < -snap:
            notes.add(
                "overlap", "decided", table, draft.lines[0],
                "overlaps the pipe before from {start} to {end}; the overlap was given to the pipe before",
                start=Quantity(draft.start, "m", 2), end=Quantity(before.end, "m", 2),
            )  # fmt: skip
        elif abs(step) > 1e-9:
            notes.add("snapped", "seen", table, draft.lines[0], "begins a few centimetres off the end of the pipe before; moved to it")
        draft.start = result[-1].end
        result.append(draft)
    return result


def _fill_dn(drafts: list[_Draft], mapping: InventoryMapping, table: str, notes: Notes) -> None:
    known = [draft.cells.get("dn") for draft in drafts]
    for number, draft in enumerate(drafts):
        if known[number] is not None:
            continue
        around = [
            next((one for one in reversed(known[:number]) if isinstance(one, int)), None),
            next((one for one in known[number + 1 :] if isinstance(one, int)), None),
        ]
        sizes = [one for one in around if one is not None]
        if not draft.gap and mapping.dn_where_unknown == "empty":
            notes.add("dn", "left_out", table, draft.lines[0], "the size is not known; fill dn in main.csv before planning", cell="dn")
        elif sizes:
            draft.cells["dn"] = min(sizes)
            if not draft.gap:
                text = "the size from {start} is not known; the smaller size beside it, DN {dn}, was carried"
                notes.add("dn", "decided", table, draft.lines[0], text, cell="dn", start=Quantity(draft.start, "m", 2), dn=str(min(sizes)))
        if draft.gap:
            _tell_gap(draft, sizes, table, notes)


def _tell_gap(gap: _Draft, sizes: list[int], table: str, notes: Notes) -> None:
    text = (
        "no pipe is recorded from {start} to {end}; carried as a stretch of its own, DN {dn} as on both sides, material `other`: "
        "find out what lies there"
        if len(set(sizes)) == 1
        else "no pipe is recorded from {start} to {end}; carried as a stretch of its own, with DN {dn}, the smaller size beside it, "
        "material `other`: find out what lies there"
    )
    start, end = Quantity(gap.start, "m", 2), Quantity(gap.end, "m", 2)
    notes.add("gap", "decided", table, None, text, start=start, end=end, dn=str(min(sizes, default="not known")))


def _merged(drafts: list[_Draft]) -> list[_Draft]:
    result: list[_Draft] = []
    for draft in drafts:
        if result and not draft.gap and not result[-1].gap and result[-1].cells == draft.cells:
            before = result[-1]
            before.end = draft.end
            before.lines += draft.lines
            before.kept = {
                name: " ".join(dict.fromkeys(part for part in f"{before.kept[name]} {value}".split(" ") if part))
                for name, value in draft.kept.items()
            }
        else:
            result.append(draft)
    return result


def _row(draft: _Draft, mapping: InventoryMapping) -> dict[str, Plain]:
    row: dict[str, Plain] = {"from_m": significant(draft.start), "to_m": significant(draft.end)}
    row.update((name, value) for name, value in draft.cells.items() if value is not None)
    row.update((name, draft.kept[name]) for name in mapping.main.keep if draft.kept.get(name))
    if draft.gap:
        row["note"] = GAP_NOTE
    return row
