"""Whatever things are called: their tables can be saved as CSV, and charts show their names as typed."""

from __future__ import annotations

import copy
import json
import re
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from dashboard.app import SCRIPT, turn
from streamlit.testing.v1 import AppTest

from costsim.dashboard.registry import load_pages
from costsim.study.case import built_in_studies

PARTS = [one.key for one in load_pages()]
NAMES = [
    "=1+1 <b>Gas</b>",
    "@SUM(A1) <i>&amp;",
    "-1+cmd|' /C calc'!A0 a<br>b",
    "+1-1 <a href='x'>y</a>",
    '=HYPERLINK("http://x") 5 > 4 & <sup>2',
    "-(1) <s>",
]
HOMES = "home,weight,house.design_heat_loss [kW]\n" + "".join(f'"=1+{at}",1,{5 + at}\n' for at in range(4))


def renamed(data: Any, names: Iterator[str]) -> Any:
    """A copy in which all that has a name, and every source, has the next of some names."""
    if isinstance(data, list):
        return [renamed(one, names) for one in data]
    if not isinstance(data, dict):
        return data
    named = {"name": next(names)} if {"name", "kind"} & set(data) else {}
    return {key: renamed(value, names) for key, value in data.items()} | named


def study(names: list[str]) -> dict[str, Any]:
    """A study whose title, options, sources, walls, program and a tariff have such names."""
    data = tomllib.loads(built_in_studies()["net_loft"].read_text(encoding="utf-8"))
    data["house"]["surface"] = [{"name": "Walls", "area": "140 m2", "typical": "frame_wall_2x6"}]
    data = renamed(data, iter([name + " x" * turn for turn in range(9) for name in names]))
    data["title"] = data["option"][0]["source"][0]["price"] = names[0]
    data["prices"][names[0]] = data["prices"]["electricity"] | {"fuel": "electricity"}
    return dict(data)


def page(data: dict[str, Any], part: str) -> AppTest:
    """One page with a study, all that can be opened on it opened."""
    app = AppTest.from_file(str(SCRIPT), default_timeout=120)
    app.session_state["typed"], app.session_state["study_name"] = copy.deepcopy(data), "mine"
    app.session_state["show_all"] = True
    for name in ("money/size", "money/verdicts", "cold/heat", "house/bills"):
        app.session_state[name] = True
    turn(app, part)
    if part == "many-homes":
        app.file_uploader(key="homes/files/0").set_value(("homes.csv", HOMES.encode(), "text/csv")).run()
    if part == "decide":
        app.session_state["decide/figures"] = True
        app.run()
    if part == "money":
        app.toggle(key="foresight").set_value(True).run()
    assert not app.exception
    assert app.session_state["typed"] == data
    return app


def texts(value: Any) -> Iterator[str]:
    """Every text in a figure."""
    if isinstance(value, str):
        yield value
    for part in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from texts(part)


@pytest.mark.long
@pytest.mark.parametrize("part", PARTS)
def test_no_cell_that_can_be_saved_is_a_formula_and_no_name_in_a_chart_is_markup(part: str) -> None:
    app = page(study(NAMES), part)
    cells = [str(cell) for table in app.dataframe for cell in (*table.value.columns, *table.value.to_numpy().ravel())]
    for cell in cells:
        if cell.startswith(("-", "+")):
            assert re.match(r"[-+][\d.,]+( |$)", cell), cell
            assert not set("|!'*/^&=") & set(cell), cell
        assert not cell.startswith(("=", "@", "\t", "\r")), cell
    figures = [json.loads(chart.proto.spec) for chart in app.get("plotly_chart")]
    for figure in figures:
        title = figure["layout"].get("title", {})
        title["text"] = title.get("text", "").replace("<br>", " ")  # where a long title goes on in a second line
    drawn = [text.replace("<extra></extra>", "").replace("<br>", " ") for text in texts(figures)]
    for text in drawn:
        assert "<" not in text, text
        assert re.search(r"&(?!lt;|gt;|amp;)", text) is None, text
    if part in ("decide", "many-homes", "certainty"):
        assert any(cell[:2] in ("'=", "'@", "'+", "'-") for cell in cells)
        assert any("&lt;" in text for text in drawn)


@pytest.mark.long
@pytest.mark.parametrize("part", ["decide", "many-homes", "certainty"])
def test_options_called_by_a_year_are_no_numbers(part: str) -> None:
    years = [str(year) for year in range(2020, 2030)]
    figures = [json.loads(one.proto.spec) for one in page(study(years), part).get("plotly_chart")]
    named = [one for one in figures if {*years} & {*texts([trace.get("y") for trace in one["data"]])}]
    assert named
    assert all(one["layout"]["yaxis"]["type"] == "category" for one in named)
