"""Every fault is told, at its line and column, and nothing else is."""

import re
from pathlib import Path
from typing import Final

import pytest

from mainwright.folder.reading import read_files, read_folder
from tests.unit.folder.sample import FILES

# One planted fault a row: file, what stood there, what stands there now, line, column, a word of the message.
PLANTED: Final = (
    ("job.toml", 'name = "Wharf main"\n', "# no name\n", 1, "job.name", "missing"),
    ("job.toml", 'units = "metric"', 'units = "imperial"', 6, "job.units", "one of metric, us"),
    ("job.toml", "first_day = 2026-04-13", 'first_day = "13.04.2026"', 8, "job.first_day", "year-month-day"),
    ("job.toml", 'time_zone = "Europe/Berlin"', 'time_zone = "Europe/Marrowby"', 9, "job.time_zone", "no time zone"),
    ("job.toml", "minimum_mm = 5.0", "minimum_mm = 5.7", 14, "lining.minimum_mm", "up to mean_minimum_mm"),
    ("job.toml", "maximum_mm = 9.0", "maximum_mm = 4.0", 13, "lining.nominal_mm", "up to maximum_mm"),
    ("job.toml", "crack_limit_mm = 0.8", "crack_limit_mm = nan", 18, "lining.crack_limit_mm", "not finite"),
    ("job.toml", "confidence = 0.95", "confidence = 1", 20, "lining.confidence", "under 1"),
    (
        "job.toml",
        'material = "grey_iron", nominal_mm',
        'material = "gray_iron", nominal_mm',
        22,
        "lining.by_dn.material",
        "grey_iron is meant",
    ),
    ("job.toml", "max_length_m = 180.0", "max_length_m = -180.0", 26, "runs.max_length_m", "over 0 m"),
    ("job.toml", 'evidence = ["consumption"', 'evidence = ["consumtion"', 39, "acceptance.evidence", "consumption is meant"),
    ("plant.toml", "dead_length_m = 12.0", "dead_length_m = 180.0", 15, "hose.dead_length_m", "leave nothing"),
    ("plant.toml", 'name = "P2"', 'name = "P1"', 9, "pump.name", "stands twice"),
    ("plant.toml", "[60.0, 30.2]", "[60.0, 10.2]", 5, "pump.points", "does not rise"),
    ("plant.toml", "dn_to = 400", "dn_to = 40", 22, "lining_head.dn_to", "begins at DN 80"),
    ("plant.toml", "plastic_viscosity_pa_s = 1.0\n", "", 50, "mortar_flow.plastic_viscosity_pa_s", "missing"),
    ("water.toml", "ph = 7.8", "ph = 78", 3, "water.ph", "at most 14"),
    ("main.csv", "0,120.5,150", "0,120.5,15O", 2, "dn", "no number"),
    ("main.csv", "120.5,300,200", "130.5,300,200", 3, "from_m", "there is a gap"),
    ("main.csv", "300,410,200,steel,204.2,record,,1962,,", "300,410,200,steel,204.2,record,,1962,150,", 4, "deposit_mm", "fill the bore"),
    ("features.csv", "250,gate_valve", "2500,gate_valve", 5, "chainage_m", "beyond the main"),
    ("features.csv", "40,bend,22.5", '40,bend,"22,5"', 3, "angle_deg", "decimal mark is a point"),
    ("ground.csv", "180,195,railway,2.4,no", "195,180,railway,2.4,no", 3, "to_m", "from_m under to_m"),
    ("ground.csv", "195,410,carriageway", "195,410,carriage_way", 4, "surface", "carriageway is meant"),
    ("services.csv", "yes,S1", "perhaps,S1", 2, "live", "yes or no"),
    ("services.csv", "31,right,3,32,pe,4,school,,yes,S2", "31,right,3,32,pe,4,school,,yes", 3, "", "9 cells and the header 10"),
    ("bore.csv", "T07:05:00+02:00", "T07:05:00", 2, "time", "offset"),
    ("prices.csv", "900,1100,1500", "900,1100,1000", 2, "rate", "low up to rate up to high"),
    ("permits.csv", "2026-04-13,2026-05-15", "2026-04-13,2026-03-15", 2, "last_day", "ends on 2026-03-15"),
    ("calendar.csv", "2026-05-01", "2026-02-30", 2, "day", "no day"),
)


def spoiled(*planted: tuple[str, str, str, int, str, str]) -> dict[str, bytes]:
    files = dict(FILES)
    for file, before, after, *_ in planted:
        text = files[file].decode()
        assert text.count(before) == 1, before
        files[file] = text.replace(before, after).encode()
    return files


def places(planted: tuple[tuple[str, str, str, int, str, str], ...]) -> list[tuple[str, int, str]]:
    return sorted((file, line, column) for file, _, _, line, column, _ in planted)


@pytest.mark.parametrize("planted", PLANTED, ids=[f"{one[0]}:{one[3]}:{one[4]}" for one in PLANTED])
def test_one_fault_is_told_once(planted: tuple[str, str, str, int, str, str]) -> None:
    read = read_files(spoiled(planted))
    assert read.job is None
    assert [(fault.file, fault.line, fault.column) for fault in read.faults] == [(planted[0], planted[3], planted[4])]
    assert planted[5] in str(read.faults[0])


def test_thirty_faults_are_told_at_once(tmp_path: Path) -> None:
    assert len(PLANTED) == 30
    for name, content in spoiled(*PLANTED).items():
        (tmp_path / name).write_bytes(content)
    read = read_folder(tmp_path)
    assert sorted((fault.file, fault.line, fault.column) for fault in read.faults) == places(PLANTED)
    assert all(re.fullmatch(r"[a-z]+\.(toml|csv):[0-9]+: ([a-z_.]+: )?.+", str(fault)) for fault in read.faults)
    assert read.job is None


WARNED: Final = (
    ("main.csv", "0,120.5,150,grey_iron,152.4,caliper", "0,120.5,6,grey_iron,,", 2, "dn", "perhaps inches"),
    ("main.csv", "300,410,200,steel,204.2", "300,410,213,steel,204.2", 4, "dn", "in no list of sizes"),
    ("main.csv", "1931", "1831", 2, "year", "before mains of this kind"),
    ("main.csv", "120.5,300,200,steel,,,,1962", "120.5,300,200,ductile_iron,,,,1949", 3, "year", "ductile_iron was not laid in 1949"),
    ("main.csv", "300,410,200,steel,204.2,record,,1962", "300,410,200,steel,204.2,record,,2027", 4, "year", "after the first day"),
    ("main.csv", "204.2", "20.42", 4, "bore_mm", "unlikely in DN 200"),
    ("features.csv", "120.5,reducer", "125.5,reducer", 3, "dn", "no reducer there"),
    ("services.csv", "31,right", "12.5,left", 3, "chainage_m", "same chainage"),
    ("services.csv", "31,right", "12.7,left", 3, "chainage_m", "0.2 m away"),
    ("levels.csv", "56.05", "58.05", 3, "pipe_m", "above the ground"),
    ("features.csv", "bend,22.5", "bend,", 3, "angle_deg", "without its angle"),
    ("job.toml", ", mean_minimum_mm = 3.5 }", " }", 22, "lining.by_dn.nominal_mm", "does not hold here"),
    ("plant.toml", "flow_l_min = 30.0", "flow_l_min = 300.0", 3, "pump.flow_l_min", "outside its own test"),
    ("prices.csv", "850", "", 3, "rate", "counts as nothing"),
)


@pytest.mark.parametrize("planted", WARNED, ids=[f"{one[0]}:{one[4]}:{one[2]}" for one in WARNED])
def test_what_is_unlikely_is_a_warning_and_no_more(planted: tuple[str, str, str, int, str, str]) -> None:
    read = read_files(spoiled(planted))
    assert read.job is not None
    warned = [fault for fault in read.warnings if planted[5] in str(fault)]
    assert [(fault.file.partition(".")[0], fault.line, fault.column) for fault in warned] == [
        (planted[0].partition(".")[0] if planted[4] != "dn" else "main", planted[3], planted[4])
    ]


def test_a_broken_row_hides_nothing_and_invents_nothing() -> None:
    files = dict(FILES)
    rows = [f"{start},{start + 10},150,steel" for start in range(0, 100, 10)]
    rows[3] = "30,forty,150,steel"
    rows[5] = "50,60,150"
    rows[7] = "80,70,150,steel"
    files["main.csv"] = ("from_m,to_m,dn,material\n" + "\n".join(rows) + "\n").encode()
    for name in ("features", "services", "ground", "levels", "permits", "feeds", "bore"):
        files.pop(f"{name}.csv")
    files["features.csv"] = b"chainage_m,kind\n-1,end\n101,end\n"
    told = [(fault.file, fault.line, fault.column) for fault in read_files(files).faults]
    assert told == [
        ("main.csv", 5, "to_m"),
        ("main.csv", 7, ""),
        ("main.csv", 9, "to_m"),
        ("features.csv", 2, "chainage_m"),
        ("features.csv", 3, "chainage_m"),
    ]


def test_what_must_be_there_is_asked_for() -> None:
    told = [str(fault) for fault in read_files({}).faults]
    assert told[0].startswith("job.toml:1: the file is missing")
    assert told[1].startswith("main.csv:1: the file is missing")
    assert len(told) == 2
    files = {"job.toml": b"[job]\n[lining]\n", "main.csv": b"from_m,to_m,dn\n0,10,100\n"}
    assert [(fault.line, fault.column) for fault in read_files(files).faults] == [
        (1, "job.name"),
        (2, "lining.governing_document"),
        (2, "lining.nominal_mm"),
        (2, "lining.minimum_mm"),
        (1, "material"),
    ]


def test_a_misspelt_file_is_told() -> None:
    files = dict(FILES)
    files["feature.csv"] = files.pop("features.csv")
    assert [str(one) for one in read_files(files).unknown] == [
        "feature.csv:1: not known, kept and not used; features.csv is meant, perhaps"
    ]


def test_what_the_programme_must_keep_is_told_where_it_is_wrong() -> None:
    files = dict(FILES)
    permits = (
        files["permits.csv"]
        .decode()
        .replace("overrun_later_rate\n", "overrun_later_rate,not_with\n")
        .replace("500,2500\n", "500,2500,P-1 P-7\n")
    )
    files["permits.csv"] = permits.encode()
    files["job.toml"] += b"\n[programme]\nfrost_from = 2026-12-01\nfrost_to = 2026-11-01\n"
    read = read_files(files)
    assert read.job is None
    assert [(one.file, one.column) for one in read.faults] == [
        ("job.toml", "programme.frost_to"), ("permits.csv", "not_with"), ("permits.csv", "not_with"),
    ]  # fmt: skip
    told = " ".join(str(one) for one in read.faults)
    assert "frost_from up to frost_to is right" in told
    assert "there is no permit P-7" in told
    assert "the permit names itself" in told


@pytest.mark.parametrize(("hours", "told"), [("after school", "bind nothing"), ("22:00-22:00", "end when they begin")])
def test_hours_of_a_permit_that_bind_nothing_are_told(hours: str, told: str) -> None:
    read = read_files(spoiled(("permits.csv", "09:30-15:30", hours, 2, "hours", told)))
    assert read.job is not None
    assert [(one.file, one.line, one.column) for one in read.warnings if told in str(one)] == [("permits.csv", 2, "hours")]
