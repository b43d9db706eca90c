"""Tables as a phone is given them: its own name tells the server what it is."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from costsim.dashboard import widgets
from costsim.dashboard.kinds import starter
from costsim.dashboard.page_money import unkept
from costsim.dashboard.parts import _winners_first
from costsim.study.prices import PriceDemand
from costsim.views.charts import figure_of

PHONES = (  # form of the names after MDN, "Browser detection using the user agent string"
    "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/130.0.0.0 Mobile Safari/537.36",
    "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.5 Mobile/15E148 Safari/604.1",
    "Mozilla/5.0 (Android 14; Mobile; rv:131.0) Gecko/131.0 Firefox/131.0",
)
DESK = "Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/130.0.0.0 Safari/537.36"


def _named(monkeypatch: pytest.MonkeyPatch, name: str | None) -> None:
    headers = {} if name is None else {"User-Agent": name}
    monkeypatch.setattr(widgets.st, "context", SimpleNamespace(headers=headers))


@pytest.mark.parametrize("name", PHONES)
def test_a_phone_is_known_by_its_name(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    _named(monkeypatch, name)
    assert widgets.on_phone()


@pytest.mark.parametrize("name", [DESK, "", None])
def test_what_is_no_phone_is_none(monkeypatch: pytest.MonkeyPatch, name: str | None) -> None:
    _named(monkeypatch, name)
    assert not widgets.on_phone()


def _drawn(rows: int) -> Any:
    def script(rows: int) -> None:
        from costsim.dashboard.widgets import table

        table(["option", "a year", "hours"], [[f"<b>Oil</b> & {at}", "$1,200", "3"] for at in range(rows)])

    return AppTest.from_function(script, kwargs={"rows": rows}).run()


def test_a_phone_gets_a_table_of_words_where_names_are_no_markup(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(widgets, "on_phone", lambda: True)
    app = _drawn(2)
    assert not app.exception
    assert not app.dataframe
    (html,) = [one.proto.body for one in app.get("html")]
    assert '<th scope="row">&lt;b&gt;Oil&lt;/b&gt; &amp; 1</th><td>$1,200</td><td>3</td>' in html
    assert 'tabindex="0"' in html
    assert "<b>" not in html


@pytest.mark.long
def test_a_long_table_and_a_desk_get_the_grid(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(widgets, "on_phone", lambda: True)
    assert len(_drawn(widgets.MOST_BROKEN + 1).dataframe) == 1
    monkeypatch.setattr(widgets, "on_phone", lambda: False)
    assert len(_drawn(2).dataframe) == 1


def test_break_even_prices_on_a_phone_say_first_who_is_cheaper() -> None:
    headings, rows = _winners_first(["price of", "today", "on bills", "over years", "below", "above"], [["gas", "1", "2", "3", "A", "B"]])  # fmt: skip
    assert headings == ["price of", "below", "above", "today", "on bills", "over years"]
    assert rows == [["gas", "A", "B", "1", "2", "3"]]


@pytest.mark.parametrize(("phone", "half", "lines"), [(True, False, 2), (False, True, 2), (False, False, 1)])
def test_a_title_is_broken_only_where_there_is_no_room_for_it(
    monkeypatch: pytest.MonkeyPatch, phone: bool, half: bool, lines: int
) -> None:
    drawn: list[Any] = []
    monkeypatch.setattr(widgets, "on_phone", lambda: phone)
    monkeypatch.setattr(widgets.st, "plotly_chart", lambda figure, **_: drawn.append(figure))
    title = "Oil boiler: the week from Feb 7, hour by hour, as drawn"
    widgets.chart(figure_of(title, "", ""), "week", half=half)
    layout = drawn[0].layout
    assert layout.title.text.replace("<br>", " ") == title
    assert layout.title.text.count("<br>") + 1 == lines
    assert layout.margin.t == 28 + 20 * lines


def test_a_picture_is_named_in_words_without_markup(monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []
    monkeypatch.setattr(widgets.st, "plotly_chart", lambda figure, **more: said.append(more["alt"]))
    widgets.chart(figure_of("<b>Gas</b> & wood over the whole of a long and cold winter", "", ""), "week")
    (words,) = said
    assert words.startswith("Chart: <b>Gas</b> & wood over the whole of a long and cold winter. Its figures")


def test_a_demand_charge_that_is_added_costs_nothing_until_its_price_is_typed() -> None:
    assert starter(PriceDemand, "$") == {"price": "0 $/kW"}
    assert starter(PriceDemand, "€") == {"price": "0 €/kW"}


def test_options_without_upkeep_and_replacement_are_named() -> None:
    def option(name: str, upkeep: float, anew: float) -> Any:
        return SimpleNamespace(name=name, maintenance_per_year=upkeep, replacement_money=anew)

    case: Any = SimpleNamespace(options=[option("A", 0.0, 0.0), option("B", 90.0, 0.0), option("C", 0.0, 8000.0)])
    assert unkept(case) == ["A"]
