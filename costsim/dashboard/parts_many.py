"""The part of the page for many homes: a table of them, run through the study, and what all come to."""

from __future__ import annotations

import csv
import functools
import io
import json
import tempfile
from collections.abc import Callable, Mapping
from itertools import islice
from pathlib import Path
from typing import Any

import streamlit as st

from costsim.bills.text import unpacked_one
from costsim.dashboard.columns_asked import ask_columns, table_name
from costsim.dashboard.papers import draw_kept, take, upload_key
from costsim.dashboard.state import literal
from costsim.dashboard.time_limit import allow
from costsim.dashboard.widgets import chart, long_work, say, table, tell
from costsim.errors import CostsimError, Fault, InputError
from costsim.portfolio.headings import key_title, option_titles
from costsim.portfolio.homes import count_rows
from costsim.portfolio.run import PEAK_HOURS, opened, run_portfolio
from costsim.portfolio.totals import harmless
from costsim.results.result import Result
from costsim.study.case import Case
from costsim.units.quantity import BTU_J, HOUR_S
from costsim.views import charts
from costsim.views.homes_fuel import fuel_lines
from costsim.views.homes_heat import heat_share_lines
from costsim.views.homes_today import today_lines
from costsim.views.homes_totals import (
    group_rows,
    halves,
    kept_lines,
    look_note,
    look_rows,
    remark_lines,
    slow_line,
    total_rows,
)
from costsim.views.text_portfolio import (
    coldest_lines,
    cost_rows,
    grid_rows,
    pair_rows,
    shift_rows,
    swallowed_line,
    unmet_home_rows,
)
from costsim.weather import Weather
from costsim.words import tr

MOST_TABLE_SECONDS = 300.0
KBTU_H_W = 1e3 * BTU_J / HOUR_S
MOST_ROWS, ASIDE_SHOWN = 20_000, 10
"""Homes that one session may run; the command line takes any number."""
HOW_SIZED = {
    "study": "the study's, in every home",
    "load": "to each home's own load",
    "sold": "to each home's load, as sold",
}
"""How sources are sized, as `run_portfolio` calls it and as people do."""


def sample_table(case: Case, load_w: float, system: str) -> str:
    """Example table: the study's own house with less and more heat loss, in the reader's units; headings carry them."""
    us, indoor = system == "us", case.house.indoor_temperature_c
    rows = []
    for i, share in enumerate((0.6, 0.8, 1.0, 1.2, 1.5), 1):
        load, balance = load_w * share, indoor - 3 - i % 3
        figures = f"{load / KBTU_H_W:.1f},{balance * 1.8 + 32:.1f}" if us else f"{load / 1e3:.2f},{balance:.1f}"
        rows.append(f"Home {i},1,{figures}")
    units = ("kBtu/h", "degF") if us else ("kW", "degC")
    return "\n".join([f"Home,Number of homes,Heat loss [{units[0]}],Balance point [{units[1]}]", *rows]) + "\n"


def many(case: Case, weather: Weather, result: Result, system: str) -> None:
    """Run the study for every row of a table."""
    say(
        tr(
            "Upload a table with one row per home. Head each column with what it holds and its unit, such as Address,"
            " Number of homes, Floor area [{area}], Heat loss [{load}] or Electricity price [{price}]: each replaces that value"
            " of this study, and everything else stays as it is. A year's fuel, such as Annual therms, gives the heat loss where"
            " none is known. Sizes and efficiencies go by the option's name, such as {option}."
            " Columns of your own, such as Utility or Year built, are kept with the results and can give totals by group;"
            " Heating today names what heats each home now. An empty cell takes the study's value, an empty heat loss goes by the"
            " floor area.",
            area="ft2" if system == "us" else "m2",
            load="kBtu/h" if system == "us" else "kW",
            price=f"{case.currency}/kWh",
            option=next(
                (f'"{title}"' for title in option_titles(case).values()), f'"Output of {case.options[0].name}"'
            ),
        )
    )
    left, right, third = st.columns(3)
    sizes = third.selectbox(
        tr("Sizes of sources"),
        list(HOW_SIZED),
        key="many/sizes",
        format_func=lambda choice: tr(HOW_SIZED[choice]),
        help=tr(
            "Outputs of boilers and heat pumps; tanks and collectors are the study's. Homes of their own sizes take longer."
        ),
    )
    left.download_button(tr("Example table"), sample_table(case, result.route.load_w, system), "homes.csv", "text/csv")
    peak = right.text_input(tr("Peak hours of the grid, on winter weekdays"), PEAK_HOURS, key="many/peak")
    loaded = st.file_uploader(
        tr("Table of homes, .csv, .xlsx or .parquet, up to {most_rows} rows", most_rows=f"{MOST_ROWS:,}"),
        key=upload_key("homes"),
    )
    homes = take("homes", [(loaded.name, loaded.getvalue())] if loaded else [])
    draw_kept("homes")
    for name, content in homes.items():
        meant = ask_columns(case, name, content, system)
        own = st.session_state.get("many/own", [])
        by = (
            st.selectbox(tr("Totals by"), own, None, key="many/by", placeholder=tr("a column of your own"))
            if own
            else ""
        )
        key = (
            name,
            hash(content),
            peak,
            case.model_dump_json(),
            weather.title,
            system,
            by or "",
            sizes,
            *sorted(meant.items()),
        )
        if st.session_state.get("many/for") != key:
            summary = long_work(
                "many",
                tr("Computing homes …"),
                functools.partial(_run, case, weather, name, content, peak, system, by or "", sizes, meant),
            )
            if summary is None:
                return
            st.session_state["many/for"], st.session_state["many/summary"] = key, summary
            if st.session_state.get("many/own", []) != summary["kept_columns"]:
                st.session_state["many/own"] = summary["kept_columns"]
                st.rerun()  # the box of groups stands above
        _show(st.session_state["many/summary"])


def _run(
    case: Case, weather: Weather, name: str, content: bytes, peak: str, system: str, by: str, sizes: str,
    meant: Mapping[int, str], progress: Callable[[float], None],
) -> dict[str, Any] | None:  # fmt: skip
    allow(MOST_TABLE_SECONDS)
    try:
        content, name = unpacked_one(content, name)
    except InputError as error:
        tell(error, tr("This table cannot be used:"))
        return None
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / table_name(content)
        file.write_bytes(content)

        def both(done: int) -> None:
            _few(done)
            progress(done / rows if rows else 0.5)

        try:
            homes = opened(case, weather, file, sizes=sizes, meant=meant)
            text = homes.table.text
            rows = count_rows(file) if text is None else text.count("\n")
            _few(rows - 1)
            summary = run_portfolio(
                case,
                weather,
                homes,
                Path(folder) / "out",
                block=256,
                peak_hours=peak,
                progress=both,
                system=system,
                by=by,
            )
            files: dict[str, str] = {
                written: (Path(folder) / "out" / written).read_text(encoding="utf-8")
                for written in ("set_aside.csv", "totals.csv", "homes.csv")
            }
        except CostsimError as error:
            _tell(error, str(file), name)
            return None
    files["set_aside.csv"] = _named(files["set_aside.csv"], name)
    return summary | {"files": files}


def _named(text: str, name: str) -> str:
    r"""Rows set aside, with the name that the table has for its owner.

    Examples
    --------
    >>> _named("file,row\n/tmp/a/homes.csv,3\n", "Alder, Ct.csv")
    'file,row\n"Alder, Ct.csv",3\n'
    """
    head, *rows = csv.reader(io.StringIO(text))
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerows([head, *([harmless(name), *row[1:]] for row in rows)])
    return stream.getvalue()


def _tell(error: CostsimError, file: str, name: str) -> None:
    """Faults of a table by the name it has for its owner; what a field of the page holds is no fault of the table."""
    of_hours = str(error).startswith("--peak-hours")
    what = tr("The grid's hours cannot be used:") if of_hours else tr("This table cannot be used:")
    tell(str(error).removeprefix("--peak-hours: ").replace(file, name), what)


def _few(rows: int) -> None:
    if rows > MOST_ROWS:
        remedy = tr("use costsim portfolio on the command line for so many")
        raise InputError(Fault("", f"has more than {MOST_ROWS:,} rows", remedy, "homes"))


def _show(summary: dict[str, Any]) -> None:
    homes, weight, aside = summary["homes"], summary["weight"], summary["homes_set_aside"]
    say(
        tr("{summary} homes computed, {summary_2} set aside and in no total.", summary=f"{homes:,}", summary_2=aside)
        if weight == homes
        else tr(
            "{rows} rows computed, which stand for {homes} homes; {aside} rows set aside and in no total.",
            rows=f"{homes:,}", homes=f"{weight:,.6g}", aside=aside,
        )
    )  # fmt: skip
    if summary["note"]:
        say(literal(summary["note"]))
    with st.expander(tr("How the columns were read")):
        rows = [[column["column"], key_title(column["key"]), column["unit"]] for column in summary["read"]]
        today = (summary["today"] or {}).get("column", "")
        used = {column["column"]: column for column in summary["loads"]["by_fuel"]}
        units = {column["unit_column"] for column in used.values()}
        for name in summary["kept_columns"]:
            fuel = tr("a year's fuel, for the heat loss") if name in used else tr("kept, not used")
            fuel = tr("the unit of each row's fuel") if name in units else fuel
            unit = used[name]["unit"] if name in used else ""
            rows.append([name, tr("what heats each home today") if name == today else fuel, unit])
        table([tr("column"), tr("replaces"), tr("unit")], rows)
        for line in fuel_lines(summary):
            say(line)
    if swallowed_line(summary):
        st.warning(swallowed_line(summary))
    if aside:
        _told_aside(summary["files"]["set_aside.csv"])
    if not homes:
        return
    for line in kept_lines(summary):
        say(line)
    loud = len(summary["changes_nothing"]) + len(summary["meant"])
    for at, line in enumerate(remark_lines(summary, on_page=True)):
        if at < loud:
            st.warning(literal(line))
        else:
            say(line)
    if summary["look"]:
        table(*look_rows(summary))
        if look_note(summary, on_page=True):
            say(look_note(summary, on_page=True))
    for half in halves(*total_rows(summary)):
        table(*half)
    for line in [*heat_share_lines(summary), *coldest_lines(summary, on_page=True)]:
        say(line)
    if summary["by_group"]:
        table(*group_rows(summary))
    with st.container(horizontal=True):
        st.download_button(tr("Totals as CSV"), summary["files"]["totals.csv"], "totals.csv", "text/csv")
        st.download_button(tr("Every home as CSV"), summary["files"]["homes.csv"], "homes.csv", "text/csv")
    table(*cost_rows(summary))
    say(
        tr(
            "5% of the homes pay less than the first figure, half of them less than the median. Cheapest for: the share of homes"
            " for which the option costs least; cheapest with enough heat: costs least of those that leave the home at most {hours} hours too cold.",
            hours=summary["warm_at_most_hours_short"],
        )
    )
    chart(charts.homes_chart(summary), "homes")
    table(*unmet_home_rows(summary))
    table(*grid_rows(summary))
    if summary["pairs"]:
        table(*pair_rows(summary))
        for line in today_lines(summary):
            say(line)
        table(*shift_rows(summary))
    if slow_line(summary):
        say(slow_line(summary))
    plain = {key: value for key, value in summary.items() if key != "files"}
    st.download_button(tr("These figures as JSON"), json.dumps(plain, indent=2), "summary.json", "application/json")


def _told_aside(text: str) -> None:
    """The first rows that were set aside, and all of them as a file."""
    rows = [row[1:] for row in islice(csv.reader(io.StringIO(text)), 1, 1 + ASIDE_SHOWN)]
    table([tr("row"), tr("home"), tr("column"), tr("value"), tr("why it was set aside")], rows)
    st.download_button(tr("Rows set aside, with reasons"), text, "set_aside.csv", "text/csv")
