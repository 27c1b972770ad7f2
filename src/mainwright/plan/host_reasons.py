"""Whether the pipe itself can be lined: material, size, structure, fittings, deposits, what is on the wall, joints, temperature."""

from collections.abc import Sequence
from functools import cache, lru_cache
from typing import Final

from mainwright.job.job import Job
from mainwright.job.plant import LiningHead
from mainwright.job.survey import Feature
from mainwright.plan.finding import Finding, finding, practice_source, source_of
from mainwright.plan.host import HostStretch
from mainwright.plan.wall_state import deposit_kind, lining_kind
from mainwright.standards.lining_practice import practice
from mainwright.standards.published import table, value
from mainwright.standards.source import Source
from mainwright.words.message import Message, Quantity, message

__all__ = ["host_findings"]

_IN_PLACE: Final = ("grey_iron", "ductile_iron", "steel")
_CURED_BY_OPENING: Final = ("reducer", "tee", "cross", "gate_valve", "butterfly_valve", "check_valve", "meter")
_TIGHT: Final = 0.5
"""Share of the clean bore under which today's bore is told as nearly closed. [-] An allowance of the trade, no source."""


def host_findings(job: Job, *, stretch: HostStretch, features: Sequence[Feature]) -> list[Finding]:
    """Return every rule about the pipe itself, applied to one stretch.

    Parameters
    ----------
    job : Job
        The job. [-]
    stretch : HostStretch
        The stretch. [-]
    features : sequence of Feature
        Fittings that stand in it. [-]

    Returns
    -------
    list of Finding
        In the order in which an engineer asks.
    """
    found = [_material(stretch), _size(job, stretch), _structure(stretch, features)]
    found += _bends(job, stretch, features)
    found += [
        _fittings(features, recorded=bool(job.features)),
        _deposits(stretch),
        _wall(stretch.row.existing_lining, stretch.dn, stretch.material),
        _joints(stretch),
        _temperature(job.mortar.wall_temperature, job.mortar.mortar_temperature),
    ]
    return found


def _material(stretch: HostStretch) -> Finding:
    rule = message("Material of the host pipe")
    found = message("{material}", material=stretch.material)
    scope = source_of("trade", key="dn_min", claim="standard for work in place, 4 inch")
    if stretch.material in _IN_PLACE:
        limit = message("Iron and steel are lined in place with cement mortar.")
        return finding(rule=rule, found=found, limit=limit, source=scope, verdict="suitable")
    if stretch.material == "asbestos_cement":
        return finding(
            rule=rule,
            found=found,
            limit=message("The law comes before the method: cleaning frees fibres. Not to be touched until a lawful method is approved."),
            source=source_of("safety", key="asbestos_limit", place="EU"),
            verdict="unsuitable",
            measures=(
                message(
                    "Ask the authority and a licensed asbestos firm whether any method is lawful here; without a yes in writing, no work."
                ),
            ),
        )
    if stretch.material in ("pvc", "pe"):
        return finding(
            rule=rule,
            found=found,
            limit=message("Mortar does not hold on a smooth plastic wall that bends, and plastic does not rust: nothing is gained."),
            source=practice_source("plastic host pipe"),
            verdict="unsuitable",
            measures=(message("Take this stretch out of the lining; renew or repair it in another way."),),
        )
    if stretch.material == "concrete":
        return finding(
            rule=rule,
            found=found,
            limit=message("Possible in concrete, but why is to be asked: it does not rust."),
            source=source_of("trade", key="run_length", claim="by size, from DN 80"),
            verdict="unknown",
            measures=(message("Ask what is wrong with the concrete pipe: leaks and loss of strength are not cured by a lining."),),
        )
    return finding(
        rule=rule,
        found=found,
        limit=message("Only what is known can be judged."),
        source=practice_source("unknown host pipe"),
        verdict="unknown",
        measures=(message("Find out the material at the first opening."),),
    )


def _fitting_heads(job: Job, stretch: HostStretch) -> list[LiningHead]:
    return [head for head in job.plant.heads if head.dn_from <= stretch.dn <= head.dn_to]


@cache
def _smallest_sizes() -> tuple[int, ...]:
    return tuple(sorted({round(row.published.value) for row in table("trade").all(key="dn_min")}))


def _size(job: Job, stretch: HostStretch) -> Finding:
    rule = message("Size of the main against the lining head")
    found = message("DN {dn}", dn=stretch.dn)
    sizes = _smallest_sizes()
    source = source_of("trade", key="dn_min", claim="handbook")
    smallest = ", ".join(str(size) for size in sizes)
    fitting = _fitting_heads(job, stretch)
    if fitting:
        limit = message(
            "Head {head} takes DN {low} to {high}; the head's own range decides. Published smallest sizes differ: DN {smallest}.",
            head=fitting[0].name,
            low=fitting[0].dn_from,
            high=fitting[0].dn_to,
            smallest=smallest,
        )
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="suitable")
    if stretch.dn < sizes[0]:
        limit = message("No published size is so small: DN {smallest}.", smallest=smallest)
        measure = message(
            "Renew the pipe between {start} and {end}: it is too small to line.", start=_m(stretch.start), end=_m(stretch.end)
        )
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="unsuitable", measures=(measure,))
    measure = message("Bring a lining head that is made for DN {dn}.", dn=stretch.dn)
    if job.plant.heads:
        limit = message("No head of this plant takes this size. Published smallest sizes differ: DN {smallest}.", smallest=smallest)
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="unsuitable", measures=(measure,))
    limit = message("No lining head is named; its own range decides. Published smallest sizes differ: DN {smallest}.", smallest=smallest)
    return finding(rule=rule, found=found, limit=limit, source=source, verdict="unknown", measures=(measure,))


def _structure(stretch: HostStretch, features: Sequence[Feature]) -> Finding:
    rule = message("Structure: the lining carries no load and cures no leak")
    clamps = sum(feature.kind == "repair_clamp" for feature in features)
    limit = message("Only a host that bears pressure, soil and traffic by itself, and is tight, may be lined.")
    source = Source("Najafi, Trenchless Technology Piping", "2010", "p. 108, advantages and limits", "read")
    ask = message(
        "Ask the client for bursts and leaks of the last ten years between {start} and {end}.", start=_m(stretch.start), end=_m(stretch.end)
    )
    if stretch.row.wall is None:
        found = message("Remaining wall not known; repair clamps on record: {clamps}.", clamps=clamps)
        measure = message("Measure the wall at the first cut, and read a cut-out ring for graphite and pits.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="unknown", measures=(measure, ask))
    if clamps:
        found = message("Wall {wall} on record; repair clamps: {clamps}.", wall=Quantity(stretch.row.wall, "mm", 1), clamps=clamps)
        measure = message("Look at the wall beside each repair clamp before this stretch is lined.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure, ask))
    found = message("Wall {wall} on record, no repair on record.", wall=Quantity(stretch.row.wall, "mm", 1))
    return finding(rule=rule, found=found, limit=limit, source=source, verdict="suitable", measures=(ask,))


def _bend_limit(job: Job, stretch: HostStretch) -> float:
    own = [head.bend_max for head in _fitting_heads(job, stretch) if head.bend_max is not None]
    return min([job.runs.max_bend, *([max(own)] if own else [])])


def _bends(job: Job, stretch: HostStretch, features: Sequence[Feature]) -> list[Finding]:
    bends = [feature for feature in features if feature.kind == "bend"]
    if not bends:
        return []
    limit_angle = _bend_limit(job, stretch)
    source = source_of("trade", key="bend_passable", claim="scraper and head in small cast iron")
    rule = message("Bends inside a run")
    limit = message(
        "The head passes single bends up to {angle}; a sharper one is opened and lined by hand.", angle=Quantity(limit_angle, "deg", 1)
    )
    findings = []
    unsaid = [bend for bend in bends if bend.angle is None]
    sharp = [bend for bend in bends if bend.angle is not None and bend.angle > limit_angle * (1.0 + 1e-9)]
    for bend in unsaid:
        found = message("Bend at {chainage} of unknown angle.", chainage=_m(bend.chainage))
        measure = message(
            "Find the angle of the bend at {chainage}: from the drawing, by locating, or by a hole.", chainage=_m(bend.chainage)
        )
        findings.append(finding(rule=rule, found=found, limit=limit, source=source, verdict="unknown", measures=(measure,)))
    for bend in sharp:
        found = message("Bend of {angle} at {chainage}.", angle=Quantity(bend.angle or 0.0, "deg", 1), chainage=_m(bend.chainage))
        measure = message("Open at {chainage}, take the bend out and line it by hand.", chainage=_m(bend.chainage))
        findings.append(finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure,)))
    if not findings:
        found = message(
            "Bends: {n}, the sharpest {angle}.", n=len(bends), angle=Quantity(max(bend.angle or 0.0 for bend in bends), "deg", 1)
        )
        findings.append(finding(rule=rule, found=found, limit=limit, source=source, verdict="suitable"))
    return findings


def _fittings(features: Sequence[Feature], *, recorded: bool) -> Finding:
    rule = message("Fittings")
    limit = message("Tees, valves, meters and reducers come out at openings; the head passes none of them.")
    source = Source("Client specification, section C10, cleaning and cement lining (cites AWWA C602-83)", "", "openings", "read")
    if not recorded:
        measure = message("Ask for the drawings and walk the main: a main without a single fitting on record has not been looked at.")
        found = message("Not one fitting on record.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="unknown", measures=(measure,))
    opened = [feature for feature in features if feature.kind in _CURED_BY_OPENING]
    passed = [feature for feature in opened if feature.opening == "may"]
    if passed:
        found = message(
            "Fittings marked as not to be opened: {n}, the first at {chainage}.", n=len(passed), chainage=_m(passed[0].chainage)
        )
        measure = message("Show that the head passes the fitting at {chainage}, or open it.", chainage=_m(passed[0].chainage))
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure,))
    found = message("Fittings that are opened: {n}.", n=len(opened))
    return finding(rule=rule, found=found, limit=limit, source=source, verdict="suitable")


def _deposits(stretch: HostStretch) -> Finding:
    rule = message("Deposits")
    limit = message("The wall is cleaned to sound metal; what that takes must be known.")
    source = practice_source("cleaning before lining")
    if stretch.row.deposit is None or stretch.bore_today is None:
        measure = message("Measure the deposits at a cut or by camera: cleaning, waste and today's bore depend on them.")
        found = message("Thickness not known.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="unknown", measures=(measure,))
    if stretch.bore_today <= 0.0:
        found = message("Thicker than the bore has room for: the main is closed, or the record is wrong.")
        measure = message("Look into the main at a cut before anything else is planned here.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="unknown", measures=(measure,))
    share = stretch.bore_today / stretch.bore
    found = message(
        "{thick} on the wall, {share} of the bore left.",
        thick=Quantity(stretch.row.deposit, "mm", 1),
        share=Quantity(share, "pct", 0),
    )
    if share < _TIGHT:
        measure = message("Bore it open before a scraper or a camera goes in.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure,))
    if deposit_kind(stretch.row.deposit_kind) in ("unknown", "coating"):
        measure = message("Take a sample of what is on the wall: method and waste class depend on it.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure,))
    return finding(rule=rule, found=found, limit=limit, source=source, verdict="suitable")


@lru_cache(maxsize=256)
def _wall(words: str | None, dn: int, material: str) -> Finding:
    kind = lining_kind(words)
    rule = message("Lining or coating that is there already")
    limit = message("Mortar goes on sound bare metal.")
    source = practice_source("surface before lining")
    texts: dict[str, tuple[Message, Message]] = {
        "unknown": (
            message("Nothing on record."),
            message("Look at the wall at the first cut for tar, bitumen or an older lining; most old iron was dipped hot."),
        ),
        "coal_tar": (
            message("Coal tar on the wall."),
            message(
                "Test coating and waste for PAH first: tar spoils the bond, taints water and makes the waste dangerous. Strip it, and ask who may."
            ),
        ),
        "bitumen": (
            message("Bitumen on the wall."),
            message("Strip what is loose or blistered; prove on a trial length that mortar holds on the rest."),
        ),
        "resin": (
            message("A resin or plastic lining on the wall."),
            message("Strip it: mortar does not hold on it. Ask how, and what becomes of the waste."),
        ),
        "other": (
            message("On record: {words}.", words=words or ""),
            message("Find out what this coating is, and whether mortar holds on it."),
        ),
    }
    if kind == "none":
        return finding(rule=rule, found=message("Bare wall."), limit=limit, source=source, verdict="suitable")
    if kind == "cement":
        rows = practice(dn=dn, material=material, where="factory")
        names = ", ".join(sorted({row.document for row in rows})) or "-"
        return finding(
            rule=rule,
            found=message("Lined with cement mortar already."),
            limit=message("A sound lining is not lined again. Factory linings of this size are known from: {names}.", names=names),
            source=rows[0].source if rows else source,
            verdict="with_measures",
            measures=(message("Ask why it is to be lined again; look with the camera, and line only where the old lining is lost."),),
        )
    found, measure = texts[kind]
    return finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure,))


def _joints(stretch: HostStretch) -> Finding:
    rule = message("Joints")
    limit = message("Joints must be tight by themselves; their gaps are filled with mortar.")
    source = practice_source("joints of the host")
    kind = (stretch.row.joint_type or "").casefold()
    if not kind:
        measure = message("Look at a joint at the first cut: its kind, its gap, and whether it weeps.")
        found = message("Kind not known.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure,))
    found = message("{kind}", kind=stretch.row.joint_type or "")
    if "lead" in kind:
        measure = message("Do not jar run-lead joints when cutting and scraping; look at each one that is laid bare for weeping.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure,))
    return finding(rule=rule, found=found, limit=limit, source=source, verdict="suitable")


@lru_cache(maxsize=16)
def _temperature(wall: float, mortar: float) -> Finding:
    rule = message("Temperature of wall and mortar on the day")
    low, high, freezing = (value("mortar", key) for key in ("placing_from", "placing_to", "curing_above"))
    found = message("Wall {wall}, mortar {mortar} expected.", wall=Quantity(wall, "c", 0), mortar=Quantity(mortar, "c", 0))
    limit = message(
        "Placed between {low} and {high}; above {freezing} while it cures.",
        low=Quantity(low.value, "c", 0),
        high=Quantity(high.value, "c", 0),
        freezing=Quantity(freezing.value, "c", 0),
    )
    if min(wall, mortar) <= freezing.value:
        measure = message("Wait for warmer days: mortar that freezes is lost.")
        return finding(rule=rule, found=found, limit=limit, source=freezing.source, verdict="unsuitable", measures=(measure,))
    if min(wall, mortar) < low.value or max(wall, mortar) > high.value:
        measure = message(
            "Warm or cool mixing water and sand, shade or cover the plant, or wait; measure wall and mortar at the hold point."
        )
        return finding(rule=rule, found=found, limit=limit, source=low.source, verdict="with_measures", measures=(measure,))
    return finding(rule=rule, found=found, limit=limit, source=low.source, verdict="suitable")


def _m(chainage: float) -> Quantity:
    return Quantity(chainage, "m", 1)
