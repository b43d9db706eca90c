"""A price that a slider tries is told as a trial everywhere, and neither saved, linked nor printed."""

from __future__ import annotations

from typing import Any

import pytest
from dashboard.app import opened, press, said, turn

from costsim.dashboard.link import unpacked
from costsim.study.case import parse_study, read_study, write_study


def slid(value: float) -> tuple[Any, str]:
    """The first page with its first price moved, and the key of that price."""
    app = opened("decide")
    slider = next(one for one in app.slider if str(one.key).startswith("what-if/"))
    key = str(slider.key).rsplit("/", 1)[1]
    slider.set_value(slider.value * value).run()
    assert not app.exception
    return app, key


@pytest.mark.long
def test_a_tried_price_is_told_on_every_page_and_leaves_link_file_and_paper_alone(monkeypatch: Any) -> None:
    printed: list[dict[str, Any]] = []
    monkeypatch.setattr(
        "costsim.dashboard.parts_report.hand_over", lambda answer, *_: printed.append(dict(answer.case.typed))
    )
    saved: list[str] = []
    monkeypatch.setattr(
        "costsim.dashboard.files_of_study.write_study", lambda data: saved.append(text := write_study(data)) or text
    )
    app, key = slid(0.8)
    paid = read_study("lantern_cottage").typed["prices"][key]["energy"]
    now = app.session_state["typed"]["prices"][key]["energy"]
    assert now != paid
    for page in ("reports", "house"):
        text = said(turn(app, page))
        assert "Trying " in text
        assert "you pay " in text
    assert "(today" not in said(turn(app, "decide"))
    assert app.query_params["study"] in ("lantern_cottage", ["lantern_cottage"])
    assert printed[-1]["prices"][key]["energy"] == paid
    assert parse_study(saved[-1].encode())["prices"][key]["energy"] == paid
    press(app, "Keep these prices")
    assert "Trying " not in said(app)
    code = app.query_params["study"]
    assert unpacked(code if isinstance(code, str) else code[0])["prices"][key]["energy"] == now
    # back to what is paid, and a price that is typed, end a trial
    slider = next(one for one in app.slider if str(one.key).endswith(f"/{key}"))
    slider.set_value(slider.value * 1.1).run()
    assert "Trying " in said(app)
    press(app, "Back to the kept prices")
    assert "Trying " not in said(app)
    press(app, "Undo")
    assert "Trying " in said(app)
    app.session_state["typed"]["prices"][key]["energy"] = paid
    app.run()
    assert "Trying " not in said(app)
