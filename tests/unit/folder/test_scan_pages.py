"""Radii straight from the pages of a Parquet file: the same as the general reader gives, or none."""

from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.errors import FaultyInput
from mainwright.folder import scan_files
from mainwright.folder.scan_files import ParquetRings
from mainwright.folder.scan_pages import Irregular, RadiusPages
from mainwright.folder.scan_runs import all_alike, lists_alike, looked_up
from mainwright.workflow.scan_ports import RingChunk

POINTS = 90


def _radii(rings: int, *, nulls: bool = False, kind: str = "float32", fixed: bool = True, coarse: bool = False) -> pa.Array:
    rng = np.random.default_rng(4)
    values = rng.uniform(190.0, 210.0, rings * POINTS)
    if coarse:
        values = np.round(values, 1)
    values[rng.random(values.size) < 0.02] = 0.0 if "int" in kind else np.nan
    flat = pa.array(values.astype(kind), mask=rng.random(values.size) < 0.03 if nulls else None)
    if fixed:
        return pa.FixedSizeListArray.from_arrays(flat, POINTS)
    return pa.ListArray.from_arrays(pa.array(np.arange(rings + 1, dtype=np.int32) * POINTS), flat)


def _write(path: Path, radii: pa.Array, **how: Any) -> Path:  # noqa: ANN401
    count = len(radii)
    table = pa.table({"odometer_m": np.arange(count) * 0.005, "roll_deg": np.linspace(-3.0, 3.0, count), "radius_mm": radii})
    pq.write_table(table, path, **({"row_group_size": 300} | how))
    return path


def _straight(path: Path) -> np.ndarray[Any, np.dtype[np.float32]]:
    with pq.ParquetFile(path) as file, path.open("rb") as raw:
        pages = RadiusPages(file, "radius_mm")
        return np.concatenate([one for group in range(file.metadata.num_row_groups) for one in pages.radii(raw, group, skip=0)])


def _chunks(path: Path, *, pages: bool, skip: int = 0) -> list[RingChunk]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(scan_files, "_PAGES_FROM", 1 if pages else 10**9)
        return list(ParquetRings(path).chunks(size=128, skip=skip))


def _same(one: list[RingChunk], two: list[RingChunk]) -> bool:
    return all(
        np.array_equal(getattr(a, name), getattr(b, name), equal_nan=True)
        for a, b in zip(one, two, strict=True)
        for name in ("odometer", "roll", "radii")
    )


@pytest.mark.parametrize("version", ["1.0", "2.0"])
@pytest.mark.parametrize("compression", ["none", "snappy", "zstd", "gzip"])
@pytest.mark.parametrize(
    ("radii", "how"),
    [
        ({}, {"use_dictionary": False}),
        ({}, {}),
        ({"coarse": True}, {}),
        ({"nulls": True}, {}),
        ({"nulls": True, "coarse": True}, {"use_dictionary": False}),
        ({"fixed": False, "nulls": True}, {}),
        ({"kind": "float64"}, {}),
        ({"kind": "int16"}, {"use_dictionary": False}),
        ({"kind": "uint16"}, {}),
        ({}, {"use_dictionary": False, "use_byte_stream_split": True}),
    ],
)
@pytest.mark.outside("pyarrow's own reader of lists")
def test_as_the_general_reader(tmp_path: Path, version: str, compression: str, radii: dict[str, Any], how: dict[str, Any]) -> None:
    path = _write(
        tmp_path / "a.parquet", _radii(700, **radii), compression=compression, data_page_version=version, data_page_size=9_999, **how
    )
    table = pq.read_table(path)["radius_mm"].combine_chunks().flatten()
    if pa.types.is_integer(table.type):
        table = table.cast(pa.float32())
    whole = np.asarray(table.to_numpy(zero_copy_only=False), dtype=np.float32)
    assert np.array_equal(_straight(path), whole, equal_nan=True)
    assert _same(_chunks(path, pages=True), _chunks(path, pages=False))


@pytest.mark.parametrize("skip", [0, 1, 2, 3, 5])
def test_gone_on_after_some_chunks(tmp_path: Path, skip: int) -> None:
    path = _write(tmp_path / "a.parquet", _radii(700), data_page_size=5_000)
    assert _same(_chunks(path, pages=True, skip=skip), _chunks(path, pages=False)[skip:])


def test_what_is_packed_otherwise_is_read_by_the_general_reader(tmp_path: Path) -> None:
    rows = [[200.0] * POINTS] * 600
    gap = pa.array([*rows, None, *rows], pa.list_(pa.float32(), POINTS))
    odd = pa.array([*rows, [200.0] * (POINTS + 1), [200.0] * (POINTS - 1), *rows], pa.list_(pa.float32()))
    packed = _write(tmp_path / "packed.parquet", _radii(900), compression="lz4")
    with_gap, ragged = _write(tmp_path / "gap.parquet", gap), _write(tmp_path / "odd.parquet", odd)
    for path in (packed, with_gap, ragged):
        with pytest.raises(Irregular):
            _straight(path)
    assert _same(_chunks(packed, pages=True), _chunks(packed, pages=False))
    found = _chunks(with_gap, pages=True)
    assert _same(found, _chunks(with_gap, pages=False))
    assert np.isnan(np.concatenate([one.radii for one in found])[600]).all()
    for pages in (True, False):
        with pytest.raises(FaultyInput, match="1 fault") as told:
            _chunks(ragged, pages=pages)
        assert (
            str(told.value.faults[0])
            == "odd.parquet:601: radius_mm: it has 91 radii where the ring before has 90: as many in each ring are right (line = ring)"
        )


def test_rings_without_any_echo_at_the_beginning(tmp_path: Path) -> None:
    rows = [None] * 100 + [[200.0] * POINTS] * 300
    path = _write(tmp_path / "a.parquet", pa.array(rows, pa.list_(pa.float32())))
    for pages in (True, False):
        radii = [one.radii for one in _chunks(path, pages=pages)]
        assert np.isnan(np.concatenate(radii)[:-300]).all()
        assert np.concatenate(radii)[-300:] == pytest.approx(0.2)


@settings(max_examples=80, deadline=None)
@given(data=st.data())
def test_a_broken_file_is_told_or_read_as_the_general_reader_reads_it(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    place = tmp_path_factory.mktemp("broken")
    how: dict[str, Any] = data.draw(st.sampled_from([{}, {"compression": "none"}, {"data_page_version": "2.0"}, {"use_dictionary": False}]))
    path = _write(place / "a.parquet", _radii(300, nulls=True, coarse=True), data_page_size=4_000, **how)
    whole = bytearray(path.read_bytes())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(4, len(whole) - 1))
        whole[at] ^= 1 << data.draw(st.integers(0, 7))
    path.write_bytes(bytes(whole))
    try:
        straight = _chunks(path, pages=True)
    except FaultyInput:
        return
    # What a check sum does not cover may come out as another number, here as there.
    assert sum(len(one.odometer) for one in straight) == ParquetRings(path).rings


@given(st.lists(st.integers(0, 5), min_size=1, max_size=80), st.integers(3, 9))
def test_runs(numbers: list[int], width: int) -> None:
    # Packed as the format says: runs of eight and more as one number, what is between in groups of eight.
    body = b""
    for start in range(0, len(numbers), 8):
        group = numbers[start : start + 8] + [0] * (8 - len(numbers[start : start + 8]))
        if len(set(group)) == 1:
            body += bytes([16]) + group[0].to_bytes((width + 7) // 8, "little")
        else:
            body += bytes([3]) + sum(one << (width * place) for place, one in enumerate(group)).to_bytes(width, "little")
    data = np.frombuffer(body, dtype=np.uint8)
    table = np.array([0.0, 0.5, 1.0, 1.5, 2.0, 2.5], dtype=np.float32)
    found = looked_up(data, width=width, count=len(numbers), table=table)
    assert found is not None
    assert found.tolist() == [one / 2 for one in numbers]
    assert all_alike(data, width=width, count=len(numbers), value=numbers[0]) == (len(set(numbers)) == 1)
    assert looked_up(data[:-1], width=width, count=8 * len(numbers), table=table) is None
    if max(numbers) == 5:
        assert looked_up(data, width=width, count=len(numbers), table=table[:5]) is None


@given(st.integers(2, 40), st.integers(0, 39), st.integers(1, 200), st.integers(0, 199))
def test_lists_of_one_size(size: int, place: int, count: int, wrong: int) -> None:
    place %= size
    bits = np.array([(place + one) % size != 0 for one in range(count)], dtype=np.uint8)

    def packed(values: np.ndarray[Any, np.dtype[np.uint8]]) -> np.ndarray[Any, np.dtype[np.uint8]]:
        edges = [0, *(np.flatnonzero(np.diff(values)) + 1).tolist(), values.size]
        runs = b"".join(_varint(2 * (high - low)) + bytes([values[low]]) for low, high in pairwise(edges))
        return np.frombuffer(runs, dtype=np.uint8)

    def grouped(values: np.ndarray[Any, np.dtype[np.uint8]]) -> np.ndarray[Any, np.dtype[np.uint8]]:
        body = np.packbits(values, bitorder="little").tobytes()
        return np.frombuffer(_varint(2 * len(body) + 1) + body, dtype=np.uint8)

    other = bits.copy()
    other[wrong % count] ^= 1
    for pack in (packed, grouped):
        assert lists_alike(pack(bits), count=count, size=size, place=place)
        assert not lists_alike(pack(other), count=count, size=size, place=place)


def _varint(value: int) -> bytes:
    found = b""
    while value >= 128:
        found += bytes([value & 127 | 128])
        value >>= 7
    return found + bytes([value])
