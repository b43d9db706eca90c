"""Five routes to the design load, drawn: those with an answer have dot and band, the others say what they need."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.study.heat_loss import ROUTES, Route
from costsim.views.routes_chart import route_needs, routes_alt, routes_chart


def result(*routes: Route) -> Any:
    return SimpleNamespace(load_routes=routes, route=routes[-1])


def test_a_dot_and_band_for_each_answer_and_the_need_of_the_rest() -> None:
    area, bills = Route("area", "rule", 10_000.0, 0.4), Route("bills", "bills", 8_000.0, 0.1)
    figure = routes_chart(result(area, bills), "si")
    thumb, measured = figure.data
    assert (thumb.x[0], thumb.error_x.array[0]) == (pytest.approx(10.0), pytest.approx(4.0))  # 10 kW ± 40 %
    assert (measured.x[0], measured.error_x.array[0]) == (pytest.approx(8.0), pytest.approx(0.8))
    assert measured.name == "From bills, in use"
    assert measured.marker.color != thumb.marker.color
    assert {one.text for one in figure.layout.annotations} == {
        route_needs()[k] for k in ("entered", "envelope", "rooms")
    }
    assert len(figure.layout.yaxis.categoryarray) == len(ROUTES) == 5
    words = routes_alt(result(area, bills), "si")
    assert "From bills: 8.0 kW, give or take 10%." in words
    assert "Room by room: needs surfaces room by room." in words
