"""Tables as a phone is given them: its own name tells the server what it is."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from costsim.dashboard import widgets

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
