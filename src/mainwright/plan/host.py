"""What is there: each row of the main with the bore and the lining values that the plan reckons with."""

from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.job.job import Job
from mainwright.job.lining import Lining
from mainwright.job.survey import BoreReading, Material, Stretch
from mainwright.plan.result import PlanWarning
from mainwright.standards.bores import table_bore
from mainwright.standards.source import Assumed, Source
from mainwright.units import from_si, significant, to_si
from mainwright.words.message import Quantity, message

__all__ = ["BoreLength", "Host", "HostLining", "HostStretch", "resolve_host"]


@dataclass(frozen=True, slots=True)
class HostLining:
    """What the contract asks of the lining in one stretch: thicknesses and widest crack [m], and the document that says so."""

    nominal: float
    minimum: float
    mean_minimum: float | None
    maximum: float | None
    single_coat_max: float | None
    crack_limit: float | None
    document: str


@dataclass(frozen=True, slots=True)
class HostStretch:
    """A row of the main, resolved.

    Attributes
    ----------
    start, end
        Chainage. [m]
    dn
        Nominal size, a label. [-]
    bore
        Clean inside diameter that the plan reckons with. [m]
    bore_source
        ``readings`` (mean of readings in this stretch), the job's own source (``record`` where it names none), ``table`` (of the
        standards), or ``dn`` (nothing known: the size itself was taken).
    bore_today
        Clean bore less twice the deposits, None where those are not known. [m]
    lining
        What the contract asks here.
    row
        The row as the job gives it.
    """

    start: float
    end: float
    dn: int
    material: Material
    bore: float
    bore_source: str
    bore_today: float | None
    lining: HostLining
    row: Stretch


@dataclass(frozen=True, slots=True)
class BoreLength:
    """One length of one bore and one set of lining values: neighbouring stretches that differ in neither are one. Metres."""

    start: float
    end: float
    dn: int
    bore: float
    lining: HostLining


@dataclass(frozen=True, slots=True)
class Host:
    """The whole main, resolved; every list in order of chainage.

    Attributes
    ----------
    start, end
        First and last chainage. [m]
    sources
        Published tables that were used.
    """

    start: float
    end: float
    stretches: tuple[HostStretch, ...]
    lengths: tuple[BoreLength, ...]
    warnings: tuple[PlanWarning, ...]
    assumed: tuple[Assumed, ...]
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class _Bore:
    value: float
    source: str
    published: Source | None = None


def _expected_bore(row: Stretch) -> _Bore:
    """Return the bore of a row before any reading: its own, the table's, or the nominal size for want of both."""
    if row.bore is not None:
        return _Bore(row.bore, row.bore_source or "record")
    found = table_bore(dn=row.dn, material=row.material)
    if found is not None:
        return _Bore(found.value, "table", found.source)
    return _Bore(to_si(row.dn, "mm"), "dn")


def _readings_by_row(rows: Sequence[Stretch], expected: Sequence[_Bore], readings: Sequence[BoreReading]) -> list[list[float]]:
    """Return the readings that stand in each row; one at a joint of two rows goes to the row whose bore it resembles."""
    found: list[list[float]] = [[] for _ in rows]
    for reading in readings:
        homes = [k for k, row in enumerate(rows) if row.start <= reading.chainage <= row.end]
        if homes:
            # Of equals the later row: what begins at a cut is what the caliper sees looking up-chainage.
            home = min(reversed(homes), key=lambda k: abs(expected[k].value - reading.bore))
            found[home].append(reading.bore)
    return found


def _lining_of(row: Stretch, lining: Lining) -> HostLining:
    """Return what the contract asks in a row: the first fitting row of ``by_dn``, what it leaves empty from ``[lining]``.

    A mean minimum of ``[lining]`` over the nominal of such a row cannot be meant for it: it does not hold there, as checking the folder says.
    """
    own = next(
        (values for values in lining.by_dn if values.dn_from <= row.dn <= values.dn_to and values.material in (None, row.material)),
        None,
    )

    def pick(special: float | None, general: float | None) -> float | None:
        return general if special is None else special

    nominal = lining.nominal if own is None or own.nominal is None else own.nominal
    general_mean = lining.mean_minimum if lining.mean_minimum is None or lining.mean_minimum <= nominal else None
    return HostLining(
        nominal=nominal,
        minimum=lining.minimum if own is None or own.minimum is None else own.minimum,
        mean_minimum=general_mean if own is None else pick(own.mean_minimum, general_mean),
        maximum=lining.maximum if own is None else pick(own.maximum, lining.maximum),
        single_coat_max=lining.single_coat_max if own is None else pick(own.single_coat_max, lining.single_coat_max),
        crack_limit=lining.crack_limit if own is None else pick(own.crack_limit, lining.crack_limit),
        document=lining.governing_document,
    )


def _assumed_bore(row: Stretch, bore: _Bore) -> Assumed:
    if bore.source == "table" and bore.published is not None:
        because = message(
            "The bore between {start} and {end} is not known; the table gives this one for DN {dn} ({source}). Measure it at the first cut.",
            start=Quantity(row.start, "m"),
            end=Quantity(row.end, "m"),
            dn=row.dn,
            source=bore.published.title,
        )
    else:
        because = message(
            "The bore between {start} and {end} is not known and no table has DN {dn} of this material: the nominal size was taken.",
            start=Quantity(row.start, "m"),
            end=Quantity(row.end, "m"),
            dn=row.dn,
        )
    what = f"main.bore_mm[{significant(row.start):g}-{significant(row.end):g}]"
    return Assumed(what, significant(from_si(bore.value, "mm")), "mm", because)


def _bore_warning(row: Stretch, bore: _Bore, expected: _Bore, step: float) -> PlanWarning | None:
    where = {"start": Quantity(row.start, "m"), "end": Quantity(row.end, "m")}
    if bore.source == "dn":
        text = message(
            "The bore between {start} and {end} is a guess: measure it before mortar is ordered; speed and litres depend on it.", **where
        )
        return PlanWarning("bore_unknown", row.start, row.end, text, "act")
    if bore.source == "readings" and row.bore is not None and abs(bore.value - expected.value) > step:
        text = message(
            "Readings between {start} and {end} give a bore of {read}, the records {recorded}: the readings were taken. Find out which pipe this is.",
            read=Quantity(bore.value, "mm"),
            recorded=Quantity(expected.value, "mm"),
            **where,
        )
        return PlanWarning("bore_disagrees", row.start, row.end, text, "act")
    return None


def _lengths(stretches: Sequence[HostStretch]) -> tuple[BoreLength, ...]:
    lengths: list[BoreLength] = []
    for one in stretches:
        last = lengths[-1] if lengths else None
        if last is not None and (last.dn, last.bore, last.lining) == (one.dn, one.bore, one.lining):
            lengths[-1] = BoreLength(last.start, one.end, last.dn, last.bore, last.lining)
        else:
            lengths.append(BoreLength(one.start, one.end, one.dn, one.bore, one.lining))
    return tuple(lengths)


def resolve_host(job: Job) -> Host:
    """Return the main as the plan reckons with it: one clean bore and one set of lining values for each row.

    Parameters
    ----------
    job : Job
        A checked job: its rows of the main touch and there is at least one. [-]

    Returns
    -------
    Host
        The rows in order, their lengths of one bore, and what was assumed or is in doubt.

    Notes
    -----
    The bore of a row is the mean of the readings that stand in it; without any, its own; without that, the standards' table for DN and
    material, which is listed as assumed.
    """
    rows = job.main
    expected = [_expected_bore(row) for row in rows]
    readings = _readings_by_row(rows, expected, job.bores)
    stretches: list[HostStretch] = []
    warnings: list[PlanWarning] = []
    assumed: list[Assumed] = []
    sources: list[Source] = []
    for row, guess, read in zip(rows, expected, readings, strict=True):
        bore = _Bore(sum(read) / len(read), "readings") if read else guess
        if bore.source in ("table", "dn"):
            assumed.append(_assumed_bore(row, bore))
        if bore.published is not None and bore.published not in sources:
            sources.append(bore.published)
        warning = _bore_warning(row, bore, guess, job.runs.bore_step_max)
        if warning is not None:
            warnings.append(warning)
        today = None if row.deposit is None else bore.value - 2.0 * row.deposit
        stretches.append(
            HostStretch(row.start, row.end, row.dn, row.material, bore.value, bore.source, today, _lining_of(row, job.lining), row)
        )
    return Host(
        start=rows[0].start,
        end=rows[-1].end,
        stretches=tuple(stretches),
        lengths=_lengths(stretches),
        warnings=tuple(warnings),
        assumed=tuple(assumed),
        sources=tuple(sources),
    )
