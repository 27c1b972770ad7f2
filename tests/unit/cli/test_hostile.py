"""Whatever a file holds, a command ends with a message and a status, never with a traceback."""

import contextlib
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.cli.roof import run
from mainwright.cli.statuses import DONE, FAULTY_INPUT
from tests.unit.cli.helpers import SMALL_JOB, write_job
from tests.unit.cli.test_take_in import MAPPING, PIPES


def _run(*arguments: str | Path) -> tuple[int, str]:
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        status = run([str(one) for one in arguments])
    return status, out.getvalue()


@st.composite
def _spoiled(draw: st.DrawFn, text: str) -> bytes:
    """Return a text with a few bytes changed, cut or put in."""
    data = bytearray(text.encode())
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.integers(0, len(data)))
        piece = draw(
            st.sampled_from([b"", b"\x00", b"\xff", b"nan", b"-1", b"1e999", b'"', b",", b";", b"\n", b"[", b"]]", b"=", b"9" * 40])
        )
        data[place : place + draw(st.integers(0, 3))] = piece
    return bytes(data)


@settings(max_examples=25)
@given(st.data())
def test_check_of_a_spoiled_folder(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    folder = write_job(tmp_path_factory.mktemp("job"))
    name = data.draw(st.sampled_from(sorted(SMALL_JOB)))
    (folder / name).write_bytes(data.draw(_spoiled(SMALL_JOB[name])))
    status, said = _run("check", folder)
    assert status in {DONE, FAULTY_INPUT}, said
    assert "Mainwright failed" not in said


@settings(max_examples=25)
@given(_spoiled(PIPES), _spoiled(MAPPING), st.booleans())
def test_take_in_of_spoiled_files(tmp_path_factory: pytest.TempPathFactory, pipes: bytes, mapping: bytes, which: bool) -> None:
    folder = tmp_path_factory.mktemp("inventory")
    (folder / "pipes.csv").write_bytes(pipes if which else PIPES.encode())
    (folder / "mapping.toml").write_bytes(MAPPING.encode() if which else mapping)
    status, said = _run("take-in", folder / "pipes.csv", "--mapping", folder / "mapping.toml", "--out", folder / "job", "--main", "M1")
    assert status in {DONE, FAULTY_INPUT}, said
    assert "Mainwright failed" not in said
    assert (folder / "job").exists() == (status == DONE)
