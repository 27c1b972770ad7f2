"""Rings reduced on a cluster, which here is in this process and is reached by its address over TCP, as one elsewhere is."""

import sys
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from mainwright.bootstrap import rings
from mainwright.errors import InputError, MissingExtra
from mainwright.workflow.scanning import PIECE
from tests.unit.science.rings.simulated import Sensor, make_truth, scan
from tests.unit.workflow.test_scanning import write_scan


@pytest.fixture
def cluster() -> Iterator[Any]:
    distributed = pytest.importorskip("distributed")
    local: Any = distributed.LocalCluster
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with local(n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None, protocol="tcp") as found:
            yield found


@pytest.mark.filterwarnings("ignore")
def test_the_same_bytes_as_here_by_work_done_there(cluster: Any, tmp_path: Path) -> None:  # noqa: ANN401
    distributed = pytest.importorskip("distributed")
    done: list[str] = []

    class Counted(distributed.SchedulerPlugin):  # type: ignore[misc,name-defined]
        def transition(self, key: str, start: str, finish: str, **more: object) -> None:
            if finish == "memory":
                done.append(key)

    cluster.scheduler.add_plugin(Counted())
    address = cluster.scheduler_address
    assert address.startswith("tcp://")
    rng = np.random.default_rng(4)
    truth = make_truth(rng, length=25.0, patches=1)
    cleaned = write_scan(tmp_path / "c.parquet", scan(truth, Sensor(points=120), rng, lined=False))
    lined = write_scan(tmp_path / "l.parquet", scan(truth, Sensor(points=120), rng, lined=True))
    rings(cleaned=cleaned, lined=lined, out=tmp_path / "here")
    rings(cleaned=cleaned, lined=lined, out=tmp_path / "there", cluster=address)
    for name in ("profile.csv", "rings.json", "thickness_grid.parquet"):
        assert (tmp_path / "there" / name).read_bytes() == (tmp_path / "here" / name).read_bytes()
    # Each piece of either pass was reduced once, and by the cluster.
    assert len(set(done)) == len(done) == 2 * -(-5000 // PIECE)


def test_without_the_extra(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    rng = np.random.default_rng(4)
    cleaned = write_scan(tmp_path / "c.parquet", scan(make_truth(rng, length=2.0, patches=0), Sensor(points=120), rng, lined=False))
    with pytest.raises(MissingExtra, match=r"mainwright\[cluster\]"):
        rings(cleaned=cleaned, lined=None, out=tmp_path / "out", cluster="tcp://127.0.0.1:1")


@pytest.mark.filterwarnings("ignore")
def test_nobody_answers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr("mainwright.folder.scan_cluster._PATIENCE", "1s")
    rng = np.random.default_rng(4)
    cleaned = write_scan(tmp_path / "c.parquet", scan(make_truth(rng, length=2.0, patches=0), Sensor(points=120), rng, lined=False))
    with pytest.raises(InputError, match="where a scheduler answers"):
        rings(cleaned=cleaned, lined=None, out=tmp_path / "out", cluster="tcp://127.0.0.1:9")
