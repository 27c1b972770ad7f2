"""Taking in: an inventory and a mapping to the tables of a job, and a list of what was left over."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from mainwright.errors import InputError
from mainwright.job.column import Plain, Table
from mainwright.units import significant
from mainwright.words.message import Quantity
from mainwright.workflow.cells import mapped_cell, number_of, passes
from mainwright.workflow.map_line import Way, chainages, deflections, way_through
from mainwright.workflow.mapping import GeometryRule, InventoryMapping, RowTest, TableRule
from mainwright.workflow.ports import Inventory
from mainwright.workflow.source import Line, SourceRow, SourceTable, TakeInReport, Tally
from mainwright.workflow.stretches import Notes, plain, stretches_of

__all__ = ["TakenIn", "take_in"]

_BEND_DIGITS: Final = 2
_MOST_MAINS: Final = 20


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What was taken in: rows of our tables by their names, tables of the TOML files, the line of the main, and the report."""

    rows: Mapping[str, tuple[Mapping[str, Plain], ...]]
    sections: Mapping[str, Mapping[str, object]]
    line: Line
    crs: str
    report: TakeInReport


def take_in(inventory: Inventory, mapping: InventoryMapping, *, tables: Mapping[str, Table], main: str | None) -> TakenIn:
    """Return the tables of a job that an inventory makes.

    Parameters
    ----------
    inventory : Inventory
        Gives the tables. [-]
    mapping : InventoryMapping
        Says which column is which. [-]
    tables : mapping
        Our tables of rows by their names. [-]
    main : str, optional
        Which main, where the inventory holds several. [-]

    Returns
    -------
    TakenIn
        Tables in the units of their columns' names, and what was left over.

    Raises
    ------
    InputError
        If a table cannot be read, or no main or more than one is picked.
    """
    if main and not mapping.main_column:
        raise InputError("main", main, "", "a mapping with main_column in [inventory], which says to which main a row belongs")
    notes = Notes()
    work = _Work(inventory, mapping, main, notes)
    pipes = _Part(work, mapping.main.table, mapping.main.tests)
    _refuse_other_mains(pipes, work)
    way, crs = _way(pipes, work) if mapping.order == "geometry" else (None, "")
    stretches = stretches_of(
        pipes.wanted, mapping, target=tables["main"], table=pipes.table.name, notes=notes, places=None if way is None else way.places
    )
    work.count(pipes, "main", stretches.used, _named(mapping.main, mapping, mapping.length))
    line: Line = () if way is None else way.points
    along: Sequence[float] = chainages(line)
    if way is None and mapping.geometry is not None and mapping.geometry.table is not None:
        line, crs, along = _points(work, mapping.geometry)
    rows: dict[str, list[dict[str, Plain]]] = {"main": list(stretches.rows)}
    limits = _limits(stretches.rows)
    for rule in mapping.others:
        part = _Part(work, rule.table, rule.tests)
        made = _rows(part, rule, work, tables[rule.target], limits)
        rows.setdefault(rule.target, []).extend(made)
        work.count(part, rule.target, len(made), _named(rule, mapping))
    if mapping.geometry is not None and mapping.geometry.bends_from_deg is not None:
        rows.setdefault("features", []).extend(_bends(line, along, mapping.geometry.bends_from_deg, limits))
    _compare_lengths(line, limits, notes)
    if not stretches.rows:
        notes.add("nothing", "left_out", pipes.table.name, None, "no pipe of this main was found: look at main_column, rows and --main")
    return TakenIn(
        rows={name: tuple(_sorted(tables[name], rows[name])) for name in tables if rows.get(name)},
        sections=mapping.sections,
        line=tuple((significant(x), significant(y)) for x, y in line),
        crs=crs,
        report=TakeInReport(mapping.source, main or "", work.tallies(), notes.all(), _lengths(stretches.rows)),
    )


@dataclass(slots=True)
class _Work:
    """What one taking-in works with, and what it has told so far."""

    inventory: Inventory
    mapping: InventoryMapping
    main: str | None
    notes: Notes
    uses: list["_Use"] = field(default_factory=list)

    def count(self, part: "_Part", target: str, used: int, named: Iterable[str]) -> None:
        """Keep what became of the rows of one use of a table, and tell which columns that it names are not there."""
        for column in sorted(set(named)):
            part.has(column)
        self.uses.append(_Use(part, target, used, frozenset(named)))

    def tallies(self) -> tuple[Tally, ...]:
        """Return what became of each table, in the order in which they were first read."""
        names = dict.fromkeys(use.part.table.name for use in self.uses)
        return tuple(_tally([use for use in self.uses if use.part.table.name == name]) for name in names)


def _refuse_other_mains(pipes: "_Part", work: "_Work") -> None:
    """Refuse where no main, or more than one, was picked, and say which there are."""
    column = work.mapping.main_column
    rows = pipes.table.rows
    if work.main and not rows:
        whole = work.inventory.table(work.mapping.main.table, only=None, encoding=work.mapping.encoding, wkt="")
        raise InputError("main", work.main, "", f"what stands in {column} of {whole.name}: {_mains(whole.rows, column)}")
    if column and not work.main and len({row.cells.get(column, "").strip() for row in rows}) > 1:
        raise InputError("main", "not given", "", f"one of the mains of {pipes.table.name}: {_mains(rows, column)}")


def _mains(rows: Sequence[SourceRow], column: str) -> str:
    found = list(dict.fromkeys(row.cells.get(column, "").strip() for row in rows))
    return ", ".join(found[:_MOST_MAINS]) + (f" and {len(found) - _MOST_MAINS} more" if len(found) > _MOST_MAINS else "")


class _Part:
    """The rows of one table that belong to the main and pass the mapping's tests."""

    def __init__(self, work: _Work, name: str | None, tests: Sequence[RowTest]) -> None:
        mapping = work.mapping
        only = (mapping.main_column, work.main) if mapping.main_column and work.main else None
        wkt = "" if mapping.geometry is None else mapping.geometry.wkt
        self.table: SourceTable = work.inventory.table(name, only=only, encoding=mapping.encoding, wkt=wkt)
        self.notes = work.notes
        self.tests = tuple(tests)
        for remark in self.table.remarks:
            self.notes.add("read", "seen", self.table.name, None, plain(remark))
        for test in tests:
            self.has(test.column)
        self.wanted = [row for row in self.table.rows if all(passes(test, row.cells, decimal=mapping.decimal) for test in tests)]

    def has(self, column: str) -> None:
        if column and column not in self.table.columns:
            self.notes.add("no_column", "left_out", self.table.name, None, "the table has no such column", cell=column)


@dataclass(frozen=True, slots=True)
class _Use:
    """One time that the mapping reads a table, the columns that it names, and how many of our rows came of it."""

    part: _Part
    target: str
    used: int
    named: frozenset[str]


def _tally(uses: Sequence[_Use]) -> Tally:
    table = uses[0].part.table
    named = frozenset[str]().union(*(use.named for use in uses))
    wanted = {row.line for use in uses for row in use.part.wanted}
    tested = list(dict.fromkeys(test.column for use in uses for test in use.part.tests if not (test.low or test.high)))
    counts: dict[str, int] = {}
    for row in table.rows:
        if row.line not in wanted:
            text = ", ".join(f"{column} = {row.cells.get(column, '')}" for column in tested[:1])
            counts[text] = counts.get(text, 0) + 1
    return Tally(
        table=table.name,
        read=len(table.rows),
        uses=tuple((use.target, len(use.part.wanted), use.used) for use in uses),
        passed_over=tuple(sorted(counts.items(), key=lambda item: (-item[1], item[0]))),
        columns_not_used=tuple(column for column in table.columns if column not in named),
    )


def _named(rule: TableRule, mapping: InventoryMapping, more: Iterable[object] = ()) -> set[str]:
    """Return the columns of the inventory that a rule names."""
    names = {column for rules in rule.columns.values() for one in rules for column in one.columns}
    names |= {column for one in more for column in getattr(one, "columns", ())}
    names |= set(rule.keep) | {test.column for test in rule.tests}
    if mapping.main_column:
        names.add(mapping.main_column)
    if rule.target == "main" and mapping.order and mapping.order != "geometry":
        names.add(mapping.order)
    return names


def _limits(stretches: Sequence[Mapping[str, Plain]]) -> tuple[float, float] | None:
    if not stretches:
        return None
    first, last = stretches[0]["from_m"], stretches[-1]["to_m"]
    assert isinstance(first, float)  # noqa: S101
    assert isinstance(last, float)  # noqa: S101
    return first, last


def _rows(part: _Part, rule: TableRule, work: _Work, target: Table, limits: tuple[float, float] | None) -> list[dict[str, Plain]]:
    """Return the rows of one of our tables; one that lacks what it must have is left out and told."""
    notes, mapping = work.notes, work.mapping
    made: list[dict[str, Plain]] = []
    seen: dict[tuple[object, ...], int] = {}
    name = part.table.name
    needed = [column.name for column in target.columns if column.required]
    for row in part.wanted:
        cells: dict[str, Plain] = {}
        whole = True
        for column in target.columns:
            rules = rule.columns.get(column.name, ())
            mapped = mapped_cell(rules, row.cells, target=column, decimal=mapping.decimal)
            if mapped.value is not None:
                cells[column.name] = mapped.value
                continue
            if mapped.problem is not None:
                text = "{what}; the row is left out" if column.required else "{what}; {ours} stays empty"
                notes.add(mapped.code, "left_out", name, row.line, text, cell=mapped.column, what=plain(mapped.problem), ours=column.name)
            elif column.name in needed:
                notes.add("missing", "left_out", name, row.line, "{ours} is not known; the row is left out", ours=column.name)
            whole = whole and column.name not in needed
        if not whole or not _inside(cells, limits, mapping.snap):
            if whole:
                notes.add("outside", "left_out", name, row.line, "it lies outside the main; left out")
            continue
        key = tuple(cells.items()) + tuple(row.cells.get(kept, "") for kept in rule.keep)
        if key in seen:
            notes.add("double", "left_out", name, row.line, "the same stands in line {first} already; it is left out", first=seen[key])
            continue
        seen[key] = row.line
        cells.update((kept, row.cells[kept]) for kept in rule.keep if row.cells.get(kept))
        made.append(cells)
    return made


def _inside(cells: dict[str, Plain], limits: tuple[float, float] | None, snap: float) -> bool:
    """Return whether a row lies on the main; one that is off its end by no more than `snap` is moved onto it."""
    if limits is None:
        return False
    for name in ("chainage_m", "from_m", "to_m"):
        at = cells.get(name)
        if not isinstance(at, float):
            continue
        if not limits[0] - snap <= at <= limits[1] + snap:
            return False
        cells[name] = significant(min(max(at, limits[0]), limits[1]))
    return True


def _sorted(table: Table, rows: list[dict[str, Plain]]) -> list[dict[str, Plain]]:
    keys = [name for name in ("chainage_m", "from_m") if table.column(name) is not None][:1]
    return sorted(rows, key=lambda row: tuple(float(str(row[key])) for key in keys)) if keys else rows


def _projected(lines: Mapping[int, Line], work: _Work, rule: GeometryRule, crs: str) -> tuple[dict[int, Line], str]:
    """Return lines in metres: as they are, or projected where the mapping asks for it or the axes are degrees."""
    asked = rule.project_to
    if not asked and (not crs or work.inventory.metric(crs)):
        if not crs:
            work.notes.add(
                "crs",
                "decided",
                "alignment",
                None,
                "nobody says in which reference system the map is drawn; its units were taken for metres",
            )
        return dict(lines), crs
    result: dict[int, Line] = {}
    to = asked
    for key, line in lines.items():
        result[key], to = work.inventory.project(line, crs=crs, to=to) if line else ((), to)
    if not asked:
        work.notes.add("crs", "decided", "alignment", None, "{crs} gives no metres; the map was projected to {to}", crs=crs, to=to)
    return result, to


def _way(pipes: _Part, work: _Work) -> tuple[Way, str]:
    """Return the way through the lines of the rows of pipes, and its reference system."""
    notes = work.notes
    rule = work.mapping.geometry or GeometryRule()
    own = {row.line: row.geometry for row in pipes.wanted}
    lines, crs = _projected(own, work, rule, rule.crs or pipes.table.crs)
    way = way_through(lines, join=rule.join_m)
    if way.problem:
        where = "" if way.where is None else f" (near {way.where[0]:.1f}, {way.where[1]:.1f})"
        notes.add("no_way", "left_out", pipes.table.name, None, "no way through the lines: {why}{where}", why=way.problem, where=where)
    else:
        text = "chainage is counted from the end of the main that is nearer to the first row"
        notes.add("direction", "decided", pipes.table.name, None, text)
    return way, crs


def _points(work: _Work, rule: GeometryRule) -> tuple[Line, str, Sequence[float]]:
    """Return the line that rows of points make, its reference system, and the chainage of each point."""
    mapping, notes = work.mapping, work.notes
    part = _Part(work, rule.table, rule.tests)
    points: list[tuple[float, float]] = []
    along: list[float] = []
    for row in part.wanted:
        x, y = (number_of(row.cells.get(column, ""), decimal=mapping.decimal) for column in (rule.x, rule.y))
        at = number_of(row.cells.get(rule.chainage, ""), decimal=mapping.decimal) if rule.chainage else 0.0
        if x is None or y is None or at is None:
            notes.add("no_point", "left_out", part.table.name, row.line, "the point has no place; it is left out")
            continue
        points.append((x, y))
        along.append(at)
    named = {rule.x, rule.y, rule.chainage, mapping.main_column, *(test.column for test in rule.tests)} - {""}
    work.count(part, "alignment", len(points), named)
    line: Line = tuple(points)
    if rule.chainage:
        order = sorted(range(len(points)), key=lambda number: along[number])
        line, along = tuple(points[number] for number in order), [along[number] for number in order]
    lines, crs = _projected({0: line}, work, rule, rule.crs or part.table.crs)
    return lines[0], crs, along if rule.chainage else chainages(lines[0])


def _bends(line: Line, along: Sequence[float], least_deg: float, limits: tuple[float, float] | None) -> list[dict[str, Plain]]:
    """Return the bends that the map shows, as features."""
    if limits is None:
        return []
    return [
        {
            "chainage_m": significant(one.chainage),
            "kind": "bend",
            "angle_deg": round(abs(math.degrees(one.angle)), _BEND_DIGITS),
            "confidence": "recorded",
            "note": f"from the map, to the {'right' if one.angle > 0 else 'left'}",
        }
        for one in deflections(line, along, least=math.radians(max(least_deg, 1e-6)))
        if limits[0] < one.chainage < limits[1]
    ]


def _compare_lengths(line: Line, limits: tuple[float, float] | None, notes: Notes) -> None:
    if not line or limits is None:
        return
    on_map, recorded = chainages(line)[-1], limits[1] - limits[0]
    if abs(on_map - recorded) > max(1.0, 0.005 * recorded):
        notes.add(
            "length", "seen", "alignment", None, "the line on the map is {map} long, the recorded pipes {pipes}",
            map=Quantity(on_map, "m", 1), pipes=Quantity(recorded, "m", 1),
        )  # fmt: skip


def _lengths(stretches: Sequence[Mapping[str, Plain]]) -> tuple[tuple[str, str, float], ...]:
    sums: dict[tuple[str, str], float] = {}
    for row in stretches:
        key = ("?" if row.get("dn") is None else str(row["dn"]), str(row["material"]))
        sums[key] = sums.get(key, 0.0) + float(str(row["to_m"])) - float(str(row["from_m"]))
    return tuple((dn, material, significant(length)) for (dn, material), length in sums.items())
