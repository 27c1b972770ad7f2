"""The plan on paper: complete, the same bytes, one page a run, no text read as markup."""

import json
import re
import shutil
import subprocess
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from mainwright.paper.plan_pdf import plan_pages, render_plan_pdf
from mainwright.plan.result import Plan
from tests.unit.paper.sample import crowded_plan, plan_of, sample_job, sample_plan, stopped_plan

POPPLER = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils is not installed")


def _pages(pdf: bytes, folder: Path) -> list[str]:
    """Return the text of each page."""
    path = folder / "plan.pdf"
    path.write_bytes(pdf)
    tool = shutil.which("pdftotext") or "pdftotext"
    done = subprocess.run([tool, "-layout", str(path), "-"], capture_output=True, text=True, check=True)  # noqa: S603
    return [page.replace("\u00a0", " ") for page in done.stdout.split("\f")[:-1]]


def _texts(value: object) -> list[str]:
    if isinstance(value, str):
        return [] if value.startswith("<svg") else [value.replace("\u00a0", " ")]
    if isinstance(value, dict):
        return [text for one in value.values() for text in _texts(one)]
    return [text for one in value for text in _texts(one)] if isinstance(value, list | tuple) else []


def test_the_same_plan_gives_the_same_bytes() -> None:
    first = render_plan_pdf(sample_plan())
    assert first.startswith(b"%PDF")
    assert first == render_plan_pdf(sample_plan())
    assert first != render_plan_pdf(sample_plan(first_day=date(2026, 4, 14)))


@POPPLER
@pytest.mark.parametrize(
    "plan",
    [sample_plan(), sample_plan(language="de", units="us"), crowded_plan(), sample_plan(longest=400.0), sample_plan(longest=300.0)],
    ids=["plain", "German, US units", "crowded", "long runs", "many connections"],
)
def test_each_run_has_one_page_of_its_own(plan: Plan, tmp_path: Path) -> None:
    pages = _pages(render_plan_pdf(plan), tmp_path)
    sheets = pages[-len(plan.runs) :]
    for run, page in zip(plan.runs, sheets, strict=True):
        assert re.search(rf"^\s*{run.id}\b", page, flags=re.MULTILINE)
        assert f"DN {run.dn}" in page
    assert not any(re.search(r"min:s", page) for page in pages[: -len(plan.runs)])


@POPPLER
def test_what_the_user_wrote_stays_text(tmp_path: Path) -> None:
    text = "\n".join(_pages(render_plan_pdf(crowded_plan()), tmp_path))
    assert '#import "x" *bold* $x$ <b>&amp; The long main' in re.sub(r"\s+", " ", text)
    assert '=HYPERLINK("x") ?? Water' in re.sub(r"\s+", " ", text)


@POPPLER
def test_the_answer_stands_on_the_first_page(tmp_path: Path) -> None:
    plan = sample_plan()
    first = re.sub(r"\s+", " ", _pages(render_plan_pdf(plan), tmp_path)[0])
    longest = max(plan.runs, key=lambda run: run.length)
    measures = sum(one.end - one.start for one in plan.suitability if one.verdict == "with_measures")
    for said in (
        f"Of 1236.0 m, 1236.0 m meet the entered requirements for lining, {measures:.1f} m of them only with the measures named.",
        f"The road is opened {len(plan.openings)} times for {len(plan.runs)} runs; the longest, {longest.id}, is {longest.length:.1f} m.",
        "An opening must be at 324.0 m, but nobody may dig there.",
        "acceptance is the client's signature",
        "Contents",
    ):
        assert said in first


def test_the_first_page_adds_up() -> None:
    plan = sample_plan()
    strip = next(one for one in plan_pages(plan)["summary"] if one["kind"] == "strip")  # type: ignore[attr-defined]
    shown = {item["name"]: item["value"] for item in strip["items"]}
    assert shown["Openings"] == str(len(plan.openings))
    assert shown["Mortar"] == f"{sum(run.mortar for run in plan.runs):.1f}\u00a0m³"
    assert shown["Cost"] == f"{plan.cost.rate:,.0f}\u00a0EUR"


def test_verdicts_say_no_more_than_what_was_asked() -> None:
    said = " ".join(_texts(plan_pages(sample_plan())))
    assert "meets the entered requirements" in said
    for word in ("approved", "guarantee", "accepted by", "certified", "safe to"):
        assert word not in said.lower()


def test_cautions_stand_at_the_work() -> None:
    plan = sample_plan()
    pages = plan_pages(plan)
    for sheet in pages["runs"]:  # type: ignore[attr-defined]
        assert len(sheet["cautions"]) == 3
    kinds = [(one["kind"], one.get("text", one.get("title", ""))) for one in pages["blocks"]]  # type: ignore[attr-defined]
    at = kinds.index(("heading", "Openings"))
    assert kinds[at + 1] == ("box", "At every opening")
    at = kinds.index(("heading", "Cleaning"))
    assert kinds[at + 1] == ("box", "Ropes and jets")


def test_no_countdown_without_tested_minutes() -> None:
    plan = sample_plan()
    bare = replace(plan.runs[2], windows=tuple(replace(one, earliest=None, latest=None) for one in plan.runs[2].windows))
    sheet = plan_pages(replace(plan, runs=(bare,)))["runs"][0]  # type: ignore[index]
    assert "No countdown" in sheet["windows"]["note"]
    assert all(row[3] == "–" for part in sheet["windows"]["parts"] for row in part["rows"])


def test_a_window_in_minutes_lies_inside_the_window() -> None:
    plan = sample_plan()
    for run, sheet in zip(plan.runs, plan_pages(plan)["runs"], strict=True):  # type: ignore[call-overload]
        shown = [row for part in sheet["windows"]["parts"] for row in part["rows"]]
        for row, one in zip(shown, sorted(run.windows, key=lambda window: window.pass_at), strict=True):
            if one.earliest is not None and one.latest is not None:
                low, high = (float(part) * 60.0 for part in row[3]["text"].split("–"))
                assert one.earliest <= low < high <= one.latest


def test_the_speed_card_has_a_line_for_each_bore() -> None:
    plan = sample_plan()
    for run, sheet in zip(plan.runs, plan_pages(plan)["runs"], strict=True):  # type: ignore[call-overload]
        assert len(sheet["speed"]["table"]["rows"]) == len(run.settings)
        assert sheet["forward"] == (run.direction == "increasing")


def test_a_plan_without_a_layout_is_a_paper_too(tmp_path: Path) -> None:
    plan = stopped_plan()
    assert render_plan_pdf(plan).startswith(b"%PDF")
    said = " ".join(_texts(plan_pages(plan)))
    assert "No layout of openings and runs keeps all limits" in said
    assert plan_pages(plan)["runs"] == []


def test_a_bare_job_is_a_paper_too() -> None:
    job = replace(sample_job(first_day=None), ground=(), levels=(), features=(), services=(), alignment=None)
    plan = replace(
        plan_of(job), bill=(), comparisons=(), ask_first=(), contract_gaps=(), hydraulics=(), cleaning=(), assumed=(), warnings=(), cautions=(), sources=(), changes=()
    )  # fmt: skip
    assert render_plan_pdf(plan).startswith(b"%PDF")


def test_changes_are_told_where_a_plan_was_issued() -> None:
    plan = replace(sample_plan(), issued="ab" * 32)
    said = _texts(plan_pages(plan))
    assert "Run R02 ends at 83.0 m instead of 128.0 m." in said
    assert any("follows the plan issued as abababababab" in text for text in said)


def test_the_template_holds_no_text_of_its_own() -> None:
    import mainwright

    folder = Path(mainwright.__file__).parent / "paper" / "templates"
    for path in folder.glob("*.typ"):
        code = "\n".join(line for line in path.read_text(encoding="utf-8").splitlines() if not line.strip().startswith("//"))
        for content in re.findall(r"\[([^\[\]#\n]*)\]", code):
            assert not re.search(r"[A-Za-z]{2,}", re.sub(r"[#a-z-]+\.[a-z.-]+(\(.*?\))*", "", content)), f"{path.name}: {content}"


def test_all_data_are_plain() -> None:
    text = json.dumps(plan_pages(sample_plan()), allow_nan=False)
    assert "NaN" not in text


def test_progress_is_told() -> None:
    told: list[tuple[int, int]] = []
    render_plan_pdf(stopped_plan(), progress=lambda done, of: told.append((done, of)))
    assert told == [(0, 2), (1, 2), (2, 2)]
