"""A TOML document to a mapping, checked as a whole: every slip is told, at its key."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, get_args

from mainwright.errors import FaultyInput
from mainwright.job.column import Column, Table
from mainwright.units import UNITS
from mainwright.words.message import message
from mainwright.workflow.mapping import CellRule, Dates, GeometryRule, InventoryMapping, MappingFault, RowTest, TableRule, Unclear

__all__ = ["mapping_of"]

_CELL_KEYS: Final = ("column", "columns", "constant", "unit", "values", "others", "unknown", "dates", "pattern", "absolute", "prefix")
_TABLE_KEYS: Final = ("table", "rows", "columns", "keep")
_MAIN_KEYS: Final = (*_TABLE_KEYS, "length", "order", "merge", "snap_m", "dn_where_unknown")
_GEOMETRY_KEYS: Final = ("table", "rows", "x", "y", "chainage", "wkt", "crs", "project_to", "bends_from_deg", "join_m")
_ALIKE: Final = (
    frozenset({"m", "mm", "km", "ft", "in", "mi"}),
    frozenset({"pa", "kpa", "bar", "mpa", "psi"}),
    frozenset({"l_s", "l_min", "m3_s", "gpm"}),
    frozenset({"m_s", "m_min", "ft_s", "ft_min"}),
    frozenset({"l", "m3", "gal"}),
    frozenset({"kg", "t", "lb", "ton"}),
    frozenset({"s", "minutes", "hours", "days", "weeks"}),
    frozenset({"c", "f"}),
)
"""Units of one kind: any of them may stand for another."""
_INVENTORY_KEYS: Final = ("source", "main_column", "decimal", "encoding")


def mapping_of(content: Mapping[str, object], *, tables: Sequence[Table], sections: Sequence[str]) -> InventoryMapping:
    """Return the mapping that a TOML document holds.

    Parameters
    ----------
    content : mapping
        The document. [-]
    tables : sequence of Table
        Our tables of rows, from the dictionary. [-]
    sections : sequence of str
        Names of the TOML tables of a job that a mapping may bring along. [-]

    Returns
    -------
    InventoryMapping
        The mapping.

    Raises
    ------
    FaultyInput
        With every fault, if there is one.
    """
    reader = _Reader({table.name: table for table in tables})
    known = {"inventory", "main", "geometry", *sections, *(table.name for table in tables)}
    reader.only(content, known, "")
    inventory = reader.table(content, "inventory")
    reader.only(inventory, _INVENTORY_KEYS, "inventory")
    main = reader.table(content, "main")
    reader.only(main, _MAIN_KEYS, "main")
    main_rule = reader.table_rule("main", main, "main")
    length = reader.rules(main.get("length"), "main.length") if "length" in main else ()
    to = reader.tables["main"].column("to_m")
    if to is not None:
        for rule in length:
            reader.fits(rule.unit, to, "main.length")
    reader.needed(main_rule, length=bool(length), by_map=main.get("order") == "geometry")
    result = InventoryMapping(
        source=reader.text(inventory, "source", "inventory"),
        main_column=reader.text(inventory, "main_column", "inventory"),
        decimal="comma" if reader.word(inventory, "decimal", "inventory", ("point", "comma")) == "comma" else "point",
        encoding=reader.text(inventory, "encoding", "inventory"),
        main=main_rule,
        length=length,
        order=reader.text(main, "order", "main"),
        merge=reader.flag(main, "merge", "main"),
        snap=reader.number(main, "snap_m", "main", 0.05),
        dn_where_unknown="smaller_neighbour"
        if reader.word(main, "dn_where_unknown", "main", get_args(Unclear)) == "smaller_neighbour"
        else "empty",
        others=reader.other_tables(content),
        geometry=reader.geometry(content),
        sections={name: reader.table(content, name) for name in sections if name in content},
    )
    if reader.faults:
        raise FaultyInput(reader.faults)
    return result


@dataclass(slots=True)
class _Reader:
    """Reads the parts of a mapping and keeps every fault."""

    tables: Mapping[str, Table]
    faults: list[MappingFault] = field(default_factory=list)

    def fault(self, key: str, text: str, **values: str) -> None:
        self.faults.append(MappingFault(key, message(text, **values)))

    def only(self, table: Mapping[str, object], known: Sequence[str] | set[str], place: str) -> None:
        for key in table:
            if key not in known:
                self.fault(f"{place}.{key}" if place else key, "no such key; known are {known}", known=", ".join(sorted(known)))

    def table(self, parent: Mapping[str, object], name: str) -> Mapping[str, object]:
        value = parent.get(name, {})
        if isinstance(value, Mapping):
            return value
        self.fault(name, "a table is wanted: [{name}]", name=name)
        return {}

    def text(self, table: Mapping[str, object], key: str, place: str) -> str:
        value = table.get(key, "")
        if isinstance(value, str):
            return value
        self.fault(f"{place}.{key}", "a text is wanted, in quotes")
        return ""

    def word(self, table: Mapping[str, object], key: str, place: str, allowed: Sequence[str]) -> str:
        value = table.get(key, allowed[0])
        if isinstance(value, str) and value in allowed:
            return value
        self.fault(f"{place}.{key}", "one of {allowed} is wanted", allowed=", ".join(allowed))
        return allowed[0]

    def flag(self, table: Mapping[str, object], key: str, place: str) -> bool:
        value = table.get(key, False)
        if isinstance(value, bool):
            return value
        self.fault(f"{place}.{key}", "true or false is wanted")
        return False

    def number(self, table: Mapping[str, object], key: str, place: str, default: float) -> float:
        value = table.get(key, default)
        if isinstance(value, int | float) and not isinstance(value, bool) and 0.0 <= value < 1e6:
            return float(value)
        self.fault(f"{place}.{key}", "a number of at least 0 is wanted")
        return default

    def texts(self, value: object, place: str) -> tuple[str, ...]:
        values = value if isinstance(value, list) else [value]
        if all(isinstance(one, str | int | float) and not isinstance(one, bool) for one in values):
            return tuple(str(one) for one in values)
        if isinstance(value, bool):
            return ("true" if value else "false",)
        self.fault(place, "a text, or a list of texts, is wanted")
        return ()

    def tests(self, table: Mapping[str, object], place: str) -> tuple[RowTest, ...]:
        rows = table.get("rows", {})
        if not isinstance(rows, Mapping):
            self.fault(f"{place}.rows", "a table of columns and what their cells must hold is wanted")
            return ()
        found = []
        for column, wanted in rows.items():
            here = f"{place}.rows.{column}"
            if isinstance(wanted, Mapping):
                self.only(wanted, ("from", "to"), here)
                limits = [wanted.get("from"), wanted.get("to")]
                if not all(one is None or (isinstance(one, int | float) and not isinstance(one, bool)) for one in limits):
                    self.fault(here, "numbers are wanted for from and to")
                    continue
                low, high = (None if one is None else float(str(one)) for one in limits)
                found.append(RowTest(column, low=low, high=high))
            else:
                found.append(RowTest(column, allowed=self.texts(wanted, here)))
        return tuple(found)

    def table_rule(self, target: str, table: Mapping[str, object], place: str) -> TableRule:
        columns = table.get("columns", {})
        rules: dict[str, tuple[CellRule, ...]] = {}
        if not isinstance(columns, Mapping) or not columns:
            self.fault(f"{place}.columns", "which column is which is wanted: [{place}.columns]", place=place)
            columns = {}
        ours = self.tables[target]
        for name, value in columns.items():
            here = f"{place}.columns.{name}"
            column = ours.column(name)
            if column is None:
                known = ", ".join(column.name for column in ours.columns)
                self.fault(here, "{table} has no column {name}; it has {known}", table=ours.file, name=name, known=known)
                continue
            rules[name] = self.rules(value, here)
            for rule in rules[name]:
                self.fits(rule.unit, column, here)
        return TableRule(
            target=target,
            table=self.text(table, "table", place) or None,
            tests=self.tests(table, place),
            columns=rules,
            keep=self.texts(table.get("keep", []), f"{place}.keep"),
        )

    def fits(self, unit: str, column: Column, place: str) -> None:
        if not unit or unit == column.unit:
            return
        alike = next((sorted(kind) for kind in _ALIKE if column.unit in kind), [column.unit] if column.unit else [])
        if not alike:
            self.fault(f"{place}.unit", "{name} has no unit: name what each code is in values", name=column.name)
        elif unit not in alike:
            self.fault(
                f"{place}.unit", "{unit} cannot become {ours}; one of {alike} is right", unit=unit, ours=column.unit, alike=", ".join(alike)
            )

    def rules(self, value: object, place: str) -> tuple[CellRule, ...]:
        values = value if isinstance(value, list) else [value]
        return tuple(self.rule(one, place if len(values) == 1 else f"{place}[{number}]") for number, one in enumerate(values))

    def rule(self, value: object, place: str) -> CellRule:
        if isinstance(value, str):
            return CellRule(columns=(value,))
        if not isinstance(value, Mapping):
            self.fault(place, "the name of a column, or a table such as {example}, is wanted", example='{ column = "DIAM", unit = "in" }')
            return CellRule()
        self.only(value, _CELL_KEYS, place)
        given = [key for key in ("column", "columns", "constant") if key in value]
        if len(given) != 1:
            self.fault(place, "exactly one of column, columns and constant is wanted")
        columns = self.texts(value.get("columns", value.get("column", [])), place)
        constant = self.texts(value["constant"], place) if "constant" in value else ()
        unit = self.text(value, "unit", place)
        if unit not in UNITS:
            self.fault(f"{place}.unit", "no such unit; known are {known}", known=", ".join(sorted(name for name in UNITS if name)))
            unit = ""
        codes = value.get("values")
        if codes is not None and not (isinstance(codes, Mapping) and all(isinstance(code, str | int) for code in codes.values())):
            self.fault(f"{place}.values", "a table of codes is wanted: the inventory's on the left, ours on the right, in quotes")
            codes = None
        return CellRule(
            columns=columns,
            constant=constant[0] if constant else None,
            unit=unit,
            values=None if codes is None else {str(code): str(ours) for code, ours in codes.items()},
            others=self.text(value, "others", place) if "others" in value else None,
            unknown=self.texts(value.get("unknown", []), f"{place}.unknown"),
            dates=_dates(self.word(value, "dates", place, get_args(Dates))),
            pattern=self.pattern(value, place),
            absolute=self.flag(value, "absolute", place),
            prefix=self.text(value, "prefix", place),
        )

    def pattern(self, value: Mapping[str, object], place: str) -> re.Pattern[str] | None:
        text = self.text(value, "pattern", place)
        if not text:
            return None
        try:
            pattern = re.compile(text)
        except re.error as error:
            self.fault(f"{place}.pattern", "not a regular expression: {why}", why=str(error))
            return None
        if pattern.groups < 1:
            self.fault(f"{place}.pattern", "a group in parentheses is wanted, which is the value")
            return None
        return pattern

    def needed(self, rule: TableRule, *, length: bool, by_map: bool) -> None:
        for name in ("dn", "material"):
            if name not in rule.columns:
                self.fault(f"main.columns.{name}", "wanted: every stretch has it")
        chainage = {"from_m", "to_m"} & set(rule.columns)
        if by_map:
            if chainage or length:
                self.fault("main.order", "with the order of the geometry, chainages come from the map: leave out from_m, to_m and length")
            return
        if length and chainage:
            self.fault("main.length", "either length, or from_m and to_m, not both")
        if not length and len(chainage) < 2:
            self.fault("main.columns", "from_m and to_m are wanted, or main.length, from which chainages are added up")

    def other_tables(self, content: Mapping[str, object]) -> tuple[TableRule, ...]:
        found = []
        for name in self.tables:
            value = content.get(name)
            if name == "main" or value is None:
                continue
            entries = value if isinstance(value, list) else [value]
            for number, entry in enumerate(entries):
                place = f"{name}[{number}]"
                if not isinstance(entry, Mapping):
                    self.fault(place, "a table is wanted: [[{name}]]", name=name)
                    continue
                self.only(entry, _TABLE_KEYS, place)
                found.append(self.table_rule(name, entry, place))
        return tuple(found)

    def geometry(self, content: Mapping[str, object]) -> GeometryRule | None:
        if "geometry" not in content:
            return None
        table = self.table(content, "geometry")
        self.only(table, _GEOMETRY_KEYS, "geometry")
        x, y = self.text(table, "x", "geometry"), self.text(table, "y", "geometry")
        source = self.text(table, "table", "geometry") or None
        if source and not (x and y):
            self.fault("geometry", "x and y are wanted: the columns of the coordinates")
        bends = self.number(table, "bends_from_deg", "geometry", 0.0) if "bends_from_deg" in table else None
        return GeometryRule(
            table=source,
            tests=self.tests(table, "geometry"),
            x=x,
            y=y,
            chainage=self.text(table, "chainage", "geometry"),
            crs=self.text(table, "crs", "geometry"),
            project_to=self.text(table, "project_to", "geometry"),
            bends_from_deg=bends,
            wkt=self.text(table, "wkt", "geometry"),
            join_m=self.number(table, "join_m", "geometry", 1.0),
        )


def _dates(word: str) -> Dates:
    return "month_first" if word == "month_first" else "day_first" if word == "day_first" else "iso"
