"""The page Layout: tables of a floor given by areas, and sizes off the shelf once they are asked for."""

from __future__ import annotations

from dashboard.app import opened

from costsim.analysis.layout import layout
from costsim.simulation import load_weather
from costsim.study.case import read_study
from costsim.views.text_layout import loop_rows, summary


def test_a_floor_given_by_areas_shows_its_loops() -> None:
    app = opened("layout", persona="installer", study="two_levels")
    case = read_study("two_levels")
    found = layout(case, load_weather(case))
    assert summary(found, "us") in [one.value for one in app.text]
    headings, rows = loop_rows(found, "us")
    shown = next(frame.value for frame in app.dataframe if next(iter(frame.value.columns)) == headings[0])
    assert len(shown) == len(rows)
    assert any(one.value.startswith("Fill: ") for one in app.text)


def test_sizes_are_found_when_they_are_asked_for() -> None:
    app = opened("layout", persona="installer", study="two_levels")
    assert not [one for one in app.code if "breaker" in one.value]
    app.session_state["layout/sizes"] = True
    app.run()
    assert not app.exception
    assert [one for one in app.code if "breaker" in one.value]
