"""What an installer's first look offers: one press closes what the existing unit lacks, and Undo takes it back."""

from __future__ import annotations

import copy

import pytest
from dashboard.app import field, opened, press, said, turn

from costsim.analysis.addition import smallest_addition
from costsim.simulation import load_weather, simulate
from costsim.study.case import case_from
from costsim.study.selection import Selection, sizes_of


@pytest.mark.long
def test_the_smallest_propane_beside_an_undersized_electric_unit_keeps_the_house_warm() -> None:
    app = opened(persona="installer", study="net_loft")
    before = copy.deepcopy(app.session_state["typed"])
    name = before["option"][0]["name"]
    app.button(key="addition/propane").click().run()
    assert not app.exception
    assert "is the smallest propane sold that, together with" in said(app) or any(
        "is the smallest propane sold that, together with" in one.value for one in app.success
    )
    data = app.session_state["typed"]
    new = data["option"][-1]
    assert new["name"].startswith(f"{name} + Propane")
    assert new["source"][:-1] == before["option"][0]["source"]
    case = case_from(data)
    weather = load_weather(case)
    result = simulate(case, weather)
    made = result.option(new["name"])
    assert result.option(name).unmet.hours > 0
    assert made.unmet.hours == 0
    # the next smaller unit sold is not enough
    source = case.options[-1].sources[-1]
    sizes = sizes_of(case.selection or Selection(), case.files, "").of(source.market_list)
    found = smallest_addition(case, weather, option=new["name"])
    assert found is not None
    assert found.output_w == pytest.approx(source.nameplate_w(), rel=1e-3)
    smaller = [one.value for one in sizes if one.value < found.size]
    if smaller:
        data = copy.deepcopy(data)
        data["option"][-1]["source"][-1]["output"] = f"{found.output_w * smaller[-1] / found.size} W"
        less = case_from(data)
        hours = simulate(less, weather).option(new["name"]).unmet.hours
        load_w = result.route.load_w
        sure_w = sum(one.rated_w - sum(watts for _, watts in one.derates) for one in made.sources[:-1])
        assert hours > 0 or sure_w + found.left_w * smaller[-1] / found.size < load_w
    press(app, "Undo")
    assert app.session_state["typed"] == before
    assert not app.success


@pytest.mark.long
def test_what_is_free_in_the_service_is_asked_beside_the_sources() -> None:
    """A study with electric heat asks for it in amps; what is typed stands in the study."""
    app = opened("sources")
    field(app, "Free in the electric service (if you know it)").set_value("100 A").run()
    assert not app.exception, app.exception
    assert app.session_state["typed"]["selection"]["service_free"] == "100 A"


def test_where_the_floor_is_the_limit_no_source_is_offered() -> None:
    """Three of the loft's twelve loops let through a quarter of its heat, whatever feeds them: then what helps is said instead."""
    app = opened("sources", persona="installer", study="net_loft")
    assert any(str(one.key).startswith("addition/") for one in app.button)
    turn(app, "layout")
    field(app, "Loops").set_value("3").run()
    turn(app, "sources")
    assert not any(str(one.key).startswith("addition/") for one in app.button)
    assert "A further source would not close this gap" in said(app)
