"""Verifications and layouts as the terminal prints them, and tanks that alone are too cool, from made-up results."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from views.made import but

from costsim.views import text_layout, text_verify
from costsim.views.hot_tank import cool_tank_sentence

KWH = 3.6e6
CASE: Any = SimpleNamespace(currency="$")


def some(**more: Any) -> Any:
    return SimpleNamespace(**more)


def test_a_verification_prints_what_was_avoided_and_read_where_there_is_any(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in (
        ("gap", ("head", ["a"], [["b"]])), ("verify_sentence", "SAID"), ("by_bill", (["a"], [["b"]])), ("measures", ["M"]), ("measure_details", ["D"]),
        ("avoided_lines", ["one", "two"]), ("doubts", []), ("base_left_out", ""),
    ):  # fmt: skip
        monkeypatch.setattr(text_verify, name, lambda *_, value=value, **__: value)
    found: Any = some(avoided=None, notes=(), bills=some(fuel="gas"), fit=some(now=1), source=some(asked=False))
    parts = text_verify.printed_verification(found, "si", CASE, "NEXT").split("\n\n")
    assert (parts[0], parts[-1], len(parts)) == ("SAID", "NEXT", 5)
    assert parts[1].endswith("* more than a quarter off")
    more = text_verify.printed_verification(but(found, avoided=1, notes=("n",)), "si", CASE, "NEXT")
    assert more.split("\n\n")[4:] == ["one\n  two", "What was read\n  n", "NEXT"]
    which = some(asked=True, efficiency=some(source="Which heater used it?"))
    asking = text_verify.printed_verification(but(found, source=which), "si", CASE, "NEXT")
    assert asking.startswith("Which heater used it?\n\nSAID\n\n")
    monkeypatch.setattr(text_verify, "doubts", lambda *_, **__: ["rough"])
    monkeypatch.setattr(text_verify, "base_left_out", lambda *_: "water")
    careful = text_verify.printed_verification(found, "si", CASE, "NEXT")
    assert careful.split("\n\n")[4:] == ["Take care\n  rough\n  water", "NEXT"]


def test_measures_by_name_say_whether_they_are_within_their_limits() -> None:
    """ASHRAE Guideline 14-2014 takes ±5 % and 15 % of monthly bills."""
    found: Any = some(meets_limits=True, nmbe=-0.0312, cv_rmse=0.1234)
    (line,) = text_verify.measure_details(found)
    assert line.startswith("NMBE -3.1% (limit ±5%), CV(RMSE) 12.3% (limit 15%): both are within the monthly")
    assert "they are not both within" in text_verify.measure_details(but(found, meets_limits=False))[0]


def test_what_was_paid_stands_beside_what_is_predicted_where_both_are_known(monkeypatch: pytest.MonkeyPatch) -> None:
    day = np.datetime64("2024-01-01")
    monkeypatch.setattr(text_verify, "monthly_rows", lambda _: ([day], [day], [100 * KWH], [125 * KWH]))
    monkeypatch.setattr(text_verify, "paid_by_bill", lambda _: [1234.4])
    bills = some(fuel="electricity", cost=[1], n_periods=1)
    found = some(bills=bills, predicted_cost=np.array([25.0]), paid=1.0)
    headings, (row,) = text_verify.by_bill(found, "si", "$")
    assert row[1:] == ["100 kWh", "125 kWh", "1,234", "25", ""]
    assert headings[3:5] == ["paid $", "predicted $"]
    for more in ({"paid": None}, {"predicted_cost": None}, {"bills": but(bills, cost=None)}):
        headings, (row,) = text_verify.by_bill(but(found, **more), "si", "$")
        assert len(row) == len(headings) == 4
    monkeypatch.setattr(text_verify, "paid_by_bill", lambda _: [None])
    assert text_verify.by_bill(found, "si", "$")[1][0][3] == ""
    # a bill of nothing is not far off while the prediction is within a quarter of a joule
    for joule, mark in ((0.25, ""), (0.26, "*")):
        monkeypatch.setattr(text_verify, "monthly_rows", lambda _, joule=joule: ([day], [day], [0.0], [joule]))
        assert text_verify.by_bill(found, "si", "$")[1][0][-1] == mark


def test_a_tank_that_alone_is_too_cool_for_the_taps_is_told_at_its_worst() -> None:
    def use(hours: int, kind: str = "hot_water") -> Any:
        return some(kind=kind, cool=some(hours=hours, gives_c=41.4) if hours else None)

    def told(*uses: Any) -> str:
        return cool_tank_sentence(some(options=[some(name="Gas", uses=uses)]), "si")  # type: ignore[arg-type]

    assert "from the tank: Gas (12 hours, 41 °C at the tap from the tank alone). There" in told(use(12))
    assert "(1 hour, 41 °C" in told(use(1))
    assert told(use(0)) == told(use(5, "pool_or_tub")) == told() == ""


def test_a_layout_prints_its_parts_in_order(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("loop_rows", "half_rows", "pump_rows"):
        monkeypatch.setattr(text_layout, name, lambda *_, name=name: ([name], [["x"]]))
    for name in ("floor_lines", "fill_lines", "unserved_lines", "note_lines"):
        monkeypatch.setattr(text_layout, name, lambda *_, name=name: [name])
    for name in ("summary", "supply_note"):
        monkeypatch.setattr(text_layout, name, lambda *_, name=name: name)
    found: Any = some(title="Two levels", notes=("n",))
    parts = text_layout.printed_layout(found, "si").split("\n\n")
    assert parts[0] == "Two levels: layout\n" + "=" * len("Two levels: layout")
    assert [part.split("\n")[0] for part in parts[1:6]] == [
        "summary",
        "supply_note",
        "unserved_lines",
        "loop_rows",
        "floor_lines",
    ]
    assert "note_lines" in parts
    monkeypatch.setattr(text_layout, "unserved_lines", lambda *_: [])
    found.notes = ()
    fewer = text_layout.printed_layout(found, "si").split("\n\n")
    assert len(fewer) == len(parts) - 2
