"""What is written in columns is the same table in pandas, polars and DuckDB: names, types, every number."""

from __future__ import annotations

from pathlib import Path

import duckdb
import numpy as np
import pandas as pd
import polars
import pytest
from portfolio.tables import rows, write

from costsim.cli.main import main

NAME = "net_loft"
KINDS = {
    "whole": ("int64", polars.Int64, "BIGINT"),
    "number": ("float64", polars.Float64, "DOUBLE"),
    "text": (str(pd.Series(["a"]).dtype), polars.String, "VARCHAR"),
}
"""A kind of column as pandas, polars and DuckDB call it."""


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("columns")
    table = write(folder / "homes.csv", NAME, rows(NAME, 5))
    assert main(["portfolio", str(table), "--study", NAME, "--block", "2", "-o", str(folder / "out")]) == 0
    assert main(["compare", NAME, "--hourly", str(folder / "out" / "year.parquet")]) == 0
    return folder / "out"


@pytest.mark.parametrize(
    ("files", "length", "special"),
    [
        ("homes/part-*.parquet", 5, {"row": "whole", "home": "text"}),
        ("hours/part-*.parquet", 3 * 8760, None),
        ("hours.parquet", 8760, {"hour of the year": "whole", "local clock": "text"}),
        ("year.parquet", 8760, {"hour of the year": "whole", "local clock": "text"}),
    ],
)
def test_it_is_one_table_in_all_three(results: Path, files: str, length: int, special: dict[str, str] | None) -> None:
    pattern = str(results / files)
    frame = pd.concat([pd.read_parquet(path) for path in sorted(results.glob(files))], ignore_index=True)
    lazy, rows_of = polars.read_parquet(pattern), duckdb.sql(f"from read_parquet('{pattern}')")
    kinds = {name: "whole" if special is None else special.get(name, "number") for name in frame}
    assert list(frame.columns) == lazy.columns == rows_of.columns
    assert len(frame) == len(lazy) == length
    found = rows_of.fetchnumpy()
    for name, kind in kinds.items():
        in_pandas, in_polars, in_duckdb = KINDS[kind]
        assert (str(frame[name].dtype), lazy[name].dtype, str(rows_of.types[rows_of.columns.index(name)])) == (
            in_pandas,
            in_polars,
            in_duckdb,
        ), name
        assert np.array_equal(lazy[name].to_numpy(), frame[name].to_numpy()), name
        assert np.array_equal(found[name], frame[name].to_numpy()), name
        assert lazy[name].null_count() == 0, name
