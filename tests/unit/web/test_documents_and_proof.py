"""Papers made on demand and handed out whole, and the proof of recorded runs."""

from __future__ import annotations

import io
import json
import re
import time
import zipfile
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from mainwright.bootstrap import export_job, import_job, open_store, prove, read_job, verify
from mainwright.bootstrap.demo import make_demo, make_recorded
from mainwright.bootstrap.serving import page_use_cases
from mainwright.plan.plan import make_plan
from mainwright.web.app import create_app

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

HOST = "127.0.0.1:8420"
ORIGIN = {"origin": f"http://{HOST}"}
KINDS = {
    "pdf": b"%PDF-",
    "json": b"{",
    "xlsx": b"PK",
    "ics": b"BEGIN:VCALENDAR",
    "geojson": b"{",
    "zip": b"PK",
    "csv": b"",
    "gpkg": b"SQLite",
}


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("recorded")
    make_demo(place / "empty")
    job = read_job(place / "empty").job
    assert job is not None
    make_recorded(place / "job", make_plan(job))
    return place


@pytest.fixture(scope="module")
def client(place: Path) -> Iterator[TestClient]:
    name = str(place / "store.sqlite")
    import_job(place / "job", store=name, author="test")
    with open_store(name) as store:
        yield TestClient(create_app(page_use_cases(store), hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False)


@pytest.fixture(scope="module")
def base(client: TestClient) -> str:
    found = re.search(r'href="(/jobs/[a-z0-9-]+)/lining"', client.get("/").text)
    assert found is not None
    return found[1]


@pytest.fixture(scope="module")
def get(client: TestClient, base: str) -> Callable[..., str]:
    def asked(address: str, cookie: str = "en.metric.auto") -> str:
        last = time.monotonic() + 60.0
        while True:
            answer = client.get(f"{base}/{address}", headers={"cookie": f"mainwright_look={cookie}"})
            assert answer.status_code == 200, answer.text
            if "<progress" not in answer.text or time.monotonic() > last:
                return answer.text
            time.sleep(0.1)

    return asked


def _token(text: str) -> str:
    found = re.search(r'name="token" value="([^"]+)"', text)
    assert found is not None
    return found[1]


def test_every_paper_is_made_and_is_what_it_says(client: TestClient, base: str, get: Callable[..., str], *, full_size: bool) -> None:
    get("proof")
    text = get("documents")
    names = re.findall(r'action="[^"]*/documents/([^"]+)"', text)
    assert {
        "plan.pdf",
        "evidence_R01.pdf",
        "plan.json",
        "bill.xlsx",
        "programme.ics",
        "handover.pdf",
        "proof.json",
        "as_built.gpkg",
        "job.zip",
    } <= set(names)
    if not full_size:
        names = [name for name in names if not name.endswith(".pdf") or name in ("programme.pdf", "evidence_R01.pdf")]
    token = _token(text)
    for name in names:
        before = client.get(f"{base}/documents/{name}")
        assert before.status_code == 303  # nothing that is not whole
        answer = client.post(f"{base}/documents/{name}", data={"token": token, "do": "make"}, headers=ORIGIN)
        assert answer.status_code == 303
    shown = get("documents")
    assert "could not be made" not in shown
    for name in names:
        answer = client.get(f"{base}/documents/{name}")
        assert answer.status_code == 200, name
        assert answer.content.startswith(KINDS[name.rpartition(".")[2]]), name
        assert answer.headers["content-disposition"] == f'attachment; filename="{base.rpartition("/")[2]}-{name}"'
        assert answer.headers["x-content-type-options"] == "nosniff"


def test_the_proof_of_the_store_is_that_of_the_folder(
    client: TestClient, base: str, get: Callable[..., str], place: Path, tmp_path: Path
) -> None:
    token = _token(get("documents"))
    client.post(f"{base}/documents/proof.json", data={"token": token, "do": "make"}, headers=ORIGIN)
    get("documents")
    prove(place / "job", out=tmp_path)
    assert client.get(f"{base}/documents/proof.json").content == (tmp_path / "proof.json").read_bytes()


def test_photographs_of_the_proof_and_no_other_file(client: TestClient, base: str, get: Callable[..., str]) -> None:
    get("proof")
    answer = client.get(f"{base}/records/obstruction-1.png")
    assert (answer.status_code, answer.headers["content-type"]) == (200, "image/png")
    for name in ("rings_R06_lined.parquet", "events.csv", "..%2f..%2fjob.toml", "obstruction-2.png"):
        assert client.get(f"{base}/records/{name}").status_code == 404


def test_scans_and_photographs_come_out_of_the_store_as_they_went_in(place: Path, client: TestClient, tmp_path: Path) -> None:
    del client
    there = place / "job" / "records"
    job = read_job(place / "job").job
    assert job is not None
    export_job(job.info.reference or "", out=tmp_path / "out", store=str(place / "store.sqlite"))
    files = sorted(path.name for path in there.iterdir() if path.suffix in (".png", ".parquet"))
    assert len(files) == 3
    for name in files:
        assert (tmp_path / "out" / "records" / name).read_bytes() == (there / name).read_bytes()
    _, kept, left = import_job(place / "job", store=str(place / "store.sqlite"), author="test")
    assert kept is not None
    assert (kept.records, kept.missing, left) == (0, 0, ())
    assert verify(str(place / "store.sqlite")).sound


def test_the_zip_is_the_folder_again(client: TestClient, base: str, get: Callable[..., str], tmp_path: Path, place: Path) -> None:
    token = _token(get("documents"))
    client.post(f"{base}/documents/job.zip", data={"token": token, "do": "make"}, headers=ORIGIN)
    get("documents")
    with zipfile.ZipFile(io.BytesIO(client.get(f"{base}/documents/job.zip").content)) as pack:
        assert all(not name.startswith(("/", "..")) and "\\" not in name for name in pack.namelist())
        pack.extractall(tmp_path)
    again, before = read_job(tmp_path).job, read_job(place / "job").job
    assert again is not None
    assert before is not None
    assert again.revision == before.revision
    assert (tmp_path / "plan.json").read_bytes() == (place / "job" / "plan.json").read_bytes()


@pytest.mark.parametrize("name", ["none.pdf", "..%2F..%2Fetc%2Fpasswd", "%2e%2e", "plan.pdf%00", "evidence_..pdf"])
def test_only_known_names(client: TestClient, base: str, get: Callable[..., str], name: str) -> None:
    token = _token(get("documents"))
    assert client.get(f"{base}/documents/{name}").status_code == 404
    assert client.post(f"{base}/documents/{name}", data={"token": token}, headers=ORIGIN).status_code == 404


def test_nobody_else_has_papers_made(client: TestClient, base: str, get: Callable[..., str]) -> None:
    token = _token(get("documents"))
    assert client.post(f"{base}/documents/plan.pdf", data={"token": "x" * 32}, headers=ORIGIN).status_code == 403
    assert client.post(f"{base}/documents/plan.pdf", data={"token": token}, headers={"origin": "http://evil.example"}).status_code == 403


def test_a_stopped_paper_is_not_there(client: TestClient, base: str, get: Callable[..., str]) -> None:
    token = _token(get("documents"))
    client.post(f"{base}/documents/notices.pdf", data={"token": token, "do": "make"}, headers=ORIGIN)
    client.post(f"{base}/documents/notices.pdf", data={"token": token, "do": "stop"}, headers=ORIGIN)
    get("documents")
    assert client.get(f"{base}/documents/notices.pdf").status_code == 303


def test_the_proof_page_and_the_paper_say_the_same(client: TestClient, base: str, get: Callable[..., str]) -> None:
    text = get("proof")
    token = _token(get("documents"))
    client.post(f"{base}/documents/proof.json", data={"token": token, "do": "make"}, headers=ORIGIN)
    get("documents")
    proof = json.loads(client.get(f"{base}/documents/proof.json").content)
    runs = proof["runs"]
    words = {"meets": ">meets<", "does_not_meet": ">does not meet<", "incomplete": ">incomplete<"}
    for run in runs:
        line = re.search(rf'/proof/{run["id"]}">(.*?)</a>', text, re.DOTALL)
        assert line is not None
        assert words[run["verdict"]] in line[1]
    fails = sum(run["verdict"] == "does_not_meet" for run in runs)
    assert fails > 0
    assert f"{fails} do not" in re.sub(r"<[^>]+>", "", text)  # a number can be touched


def test_the_proof_of_a_run_shows_thickness_and_defects(get: Callable[..., str]) -> None:
    failed = re.search(r'/proof/(R\d+)">R\d+ <span class="state bad">', get("proof"))
    assert failed is not None
    text = get(f"proof/{failed[1]}")
    assert f"{failed[1]} does not meet the entered requirements." in text
    assert f"Thickness along {failed[1]}" in text
    assert "Not as it was asked" in text
    names = re.findall(r'\bid="([^"]+)"', text)
    assert len(names) == len(set(names))
    assert "erfüllt die eingegebenen Anforderungen nicht" in get(f"proof/{failed[1]}", "de.metric.auto")


def test_money_shows_what_was_measured_and_water_its_samples(get: Callable[..., str]) -> None:
    get("proof")
    money, water = get("money"), get("water")
    assert "<h2>Measured quantities at their rates</h2>" in money
    assert "runs_done.csv" in money  # with the records behind each
    assert "<h2>Water: the gate before customers</h2>" in water


def test_no_run_no_proof(client: TestClient, base: str, get: Callable[..., str]) -> None:
    get("proof")
    assert client.get(f"{base}/proof/none").status_code == 404
