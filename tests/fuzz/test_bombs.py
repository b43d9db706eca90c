"""Files made to do harm are refused in a line, quickly and with little memory, and uploads have limits."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from dashboard.app import opened as page_opened
from fuzz.bombs import entities

from costsim.bills.read import read_bill_file
from costsim.dashboard.parts_many import MOST_ROWS
from costsim.errors import InputError
from costsim.portfolio import homes
from costsim.study.case import read_study

ROOT = Path(__file__).parents[2]
MEASURED = """
import sys, time
from pathlib import Path
from typing import Any
sys.path.insert(0, "tests")
from fuzz.bombs import entities, feeds, tables
from fuzz.targets import TARGETS
from costsim.errors import InputError

def now_and_most_mb():
    lines = dict(line.split(":") for line in open("/proc/self/status"))
    return [int(lines[key].split()[0]) / 1024 for key in ("VmRSS", "VmHWM")]

size = 20_000_000
for target in TARGETS:
    if target.name not in sys.argv[2:]:
        continue
    target.seeds()
    xml = {f"entities {at}": raw for at, raw in enumerate(entities())} | feeds(size)
    for name, raw in (xml if target.name == "green_button" else tables(size)).items():
        Path("/proc/self/clear_refs").write_text("5")
        (before, _), start = now_and_most_mb(), time.thread_time()
        try:
            target.read(raw, Path(sys.argv[1]))
            told = "read"
        except InputError as error:
            told = str(error.faults[0]) if len(str(error)) < 2000 else f"{len(str(error))} letters"
        print(f"{target.name}|{name}|{time.thread_time() - start:.2f}|{now_and_most_mb()[1] - before:.0f}|{told}")
"""


@pytest.mark.long
@pytest.mark.parametrize(
    "names", [("green_button",), ("bills", "temperatures", "means", "csv", "epw"), ("meter", "homes")]
)
def test_whatever_is_uploaded_is_refused_at_little_cost(names: tuple[str, ...], tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", MEASURED, str(tmp_path), *names], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    lines = [line.split("|", 4) for line in done.stdout.splitlines()]
    assert len(lines) >= 11 * len(names)
    for target, name, took_s, grown_mb, told in lines:
        assert "; " in told, (target, name, told)
        assert float(took_s) < 8.0, (target, name, took_s)
        assert float(grown_mb) < 250.0, (target, name, grown_mb)


@pytest.mark.parametrize("number", range(len(entities())))
def test_a_document_type_is_refused_in_one_line(number: int) -> None:
    with pytest.raises(InputError, match="declares a document type or entities") as caught:
        read_bill_file("g.xml", content=entities()[number])
    assert len(caught.value.faults) == 1


def opened(path: Path, columns: dict[str, pa.Array]) -> list[tuple[str, ...]]:
    """Rows of a Parquet table of some columns beside the homes' names."""
    rows = len(next(iter(columns.values())))
    pq.write_table(pa.table({"home": [f"h{at}" for at in range(rows)]} | columns), path, compression="zstd")
    table = homes.open_homes(path, read_study("lantern_cottage"))
    return [row for block in table.blocks(1000) for row in block.rows]


LOAD = "house.design_heat_loss [kW]"


@pytest.mark.parametrize("kind", [pa.string(), pa.large_string(), pa.dictionary(pa.int32(), pa.string())])
def test_a_cell_that_unpacks_to_megabytes_in_every_row_is_refused(kind: pa.DataType, tmp_path: Path) -> None:
    long = pa.array(["1" * 2_000_000, "7"], pa.string()).dictionary_encode().take(pa.array([0] * 40 + [1]))
    with pytest.raises(InputError, match="a cell has more than 1,000 letters"):
        opened(tmp_path / "homes.parquet", {LOAD: long.cast(kind)})
    assert (tmp_path / "homes.parquet").stat().st_size < 300_000
    short = pa.array(["7.5", None, "8"], pa.string()).dictionary_encode().cast(kind)
    assert opened(tmp_path / "short.parquet", {LOAD: short}) == [("h0", "7.5"), ("h1", ""), ("h2", "8")]


@pytest.mark.parametrize(
    ("cells", "kind"),
    [([np.zeros(5_000_000, dtype=np.int64)], None), ([{"a": 1}], None), ([b"7"], None), ([b"7"], pa.binary(1))],
)
def test_columns_of_lists_and_bytes_are_refused(cells: list[Any], kind: pa.DataType | None, tmp_path: Path) -> None:
    column = pa.array(cells, kind)
    with pytest.raises(InputError, match=r"column 'house\.design_heat_loss \[kW\]' holds .* where a number or text"):
        opened(tmp_path / "homes.parquet", {LOAD: column})


def test_rows_that_unpack_beyond_measure_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(homes, "MOST_UNPACKED", 1_000_000)
    with pytest.raises(InputError, match="a row group unpacks to more than 1 MB"):
        opened(tmp_path / "homes.parquet", {LOAD: pa.array(range(200_000))})


@pytest.mark.parametrize("suffix", ["csv", "parquet"])
def test_the_dashboard_takes_no_more_homes_than_it_says(suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"homes.{suffix}"
    if suffix == "csv":
        path.write_bytes(b"home,house.design_heat_loss [kW]\r" + b"a,7\r" * (MOST_ROWS + 10))
    else:
        pq.write_table(pa.table({"home": ["a"] * (MOST_ROWS + 10), LOAD: [7.0] * (MOST_ROWS + 10)}), path)
    app = page_opened("many-homes", persona="planner", study="valley_row")
    app.file_uploader(key="homes/files/0").set_value((path.name, path.read_bytes(), "")).run()
    assert not app.exception
    assert any(one.value.startswith("homes: has more than 20,000 rows; use costsim portfolio") for one in app.text)


@pytest.mark.parametrize("name", ["name", "column"])
def test_a_damaged_parquet_file_ends_no_process(name: str, tmp_path: Path) -> None:
    """The fuzzer found both files: a name that is no text, and a column that pyarrow 26 ends the process for when asked about it."""
    path = ROOT / "tests" / "fuzz" / "found" / f"{name}.parquet"
    command = [sys.executable, "-m", "costsim.cli.main", "portfolio", str(path), "-o", str(tmp_path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode in (0, 2), done.stderr
    assert done.stderr.count("\n") == (1 if done.returncode else 0), done.stderr
