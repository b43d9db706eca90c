"""The part of the page for many homes: a table of them, run through the study, and what all come to."""

from __future__ import annotations

import functools
import json
import tempfile
from collections.abc import Callable
from pathlib import Path

import streamlit as st

from costsim.dashboard.papers import draw_kept, take, upload_key
from costsim.dashboard.time_limit import allow
from costsim.dashboard.widgets import chart, long_work, say, table, tell
from costsim.errors import CostsimError, Fault, InputError
from costsim.portfolio.homes import count_rows
from costsim.portfolio.run import PEAK_HOURS, run_portfolio
from costsim.results.result import Result
from costsim.study.case import Case
from costsim.views import charts
from costsim.views.text_portfolio import cost_rows, grid_rows, pair_rows, shift_rows, unmet_home_rows
from costsim.weather import Weather
from costsim.words import tr

MOST_TABLE_SECONDS = 300.0
MOST_ROWS = 20_000
"""Homes that one session may run; the command line takes any number."""


def sample_table(case: Case, load_w: float) -> str:
    """Example table: the study's own house with less and more heat loss; headings carry their units."""
    indoor, shares = case.house.indoor_temperature_c, enumerate((0.6, 0.8, 1.0, 1.2, 1.5), 1)
    rows = [f"Home {i},1,{load_w / 1e3 * share:.2f},{indoor - 3 - i % 3:.1f}" for i, share in shares]
    return "\n".join(["home,weight,house.design_heat_loss [kW],house.balance_point [degC]", *rows]) + "\n"


def many(case: Case, weather: Weather, result: Result, system: str) -> None:
    """Run the study for every row of a table."""
    say(
        tr(
            "Upload one row per home. The column home names it, weight says how many homes it stands"
            " for, and every other column replaces one value of this study; its heading is the key and"
            " the unit, as in the example table."
        )
    )
    left, right = st.columns(2)
    left.download_button(tr("Example table"), sample_table(case, result.route.load_w), "homes.csv", "text/csv")
    peak = right.text_input(tr("Peak hours of the grid, on winter weekdays"), PEAK_HOURS, key="many/peak")
    loaded = st.file_uploader(
        tr("Table of homes, .csv or .parquet, up to {most_rows} rows", most_rows=f"{MOST_ROWS:,}"),
        ["csv", "parquet"],
        key=upload_key("homes"),
    )
    homes = take("homes", [(loaded.name, loaded.getvalue())] if loaded else [])
    draw_kept("homes")
    for name, content in homes.items():
        key = (name, hash(content), peak, case.model_dump_json(), weather.title)
        if st.session_state.get("many/for") != key:
            summary = long_work(
                "many", tr("Computing homes …"), functools.partial(_run, case, weather, name, content, peak)
            )
            if summary is None:
                return
            st.session_state["many/for"], st.session_state["many/summary"] = key, summary
        _show(st.session_state["many/summary"])


def _run(
    case: Case, weather: Weather, name: str, content: bytes, peak: str, told: Callable[[float], None]
) -> dict[str, object] | None:
    suffix = Path(name).suffix.lower()
    allow(MOST_TABLE_SECONDS)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"homes{suffix if suffix in ('.csv', '.parquet') else '.csv'}"
        file.write_bytes(content)

        def both(done: int) -> None:
            _few(done)
            told(done / rows if rows else 0.5)

        try:
            rows = count_rows(file)
            _few(rows - 1)
            summary = run_portfolio(
                case, weather, file, Path(folder) / "out", block=256, peak_hours=peak, progress=both
            )
            aside = (Path(folder) / "out" / "set_aside.csv").read_text(encoding="utf-8")
        except CostsimError as error:
            tell(str(error).replace(str(file), file.name), tr("This table cannot be used:"))
            return None
    return summary | {"aside": aside}


def _few(rows: int) -> None:
    if rows > MOST_ROWS:
        remedy = tr("use costsim portfolio on the command line for so many")
        raise InputError(Fault("", f"has more than {MOST_ROWS:,} rows", remedy, "homes"))


def _show(summary: dict[str, object]) -> None:
    aside = str(summary["aside"])
    say(
        tr(
            "{summary} homes computed, {summary_2} set aside.",
            summary=f"{summary['homes']:,}",
            summary_2=summary["homes_set_aside"],
        )
    )
    if summary["homes_set_aside"]:
        st.download_button(tr("Rows set aside, with reasons"), aside, "set_aside.csv", "text/csv")
    if not summary["homes"]:
        return
    table(*cost_rows(summary))
    chart(charts.homes_chart(summary), "homes")
    table(*unmet_home_rows(summary))
    table(*grid_rows(summary))
    if summary["pairs"]:
        table(*pair_rows(summary))
        table(*shift_rows(summary))
    plain = {key: value for key, value in summary.items() if key != "aside"}
    st.download_button(tr("These figures as JSON"), json.dumps(plain, indent=2), "summary.json", "application/json")
