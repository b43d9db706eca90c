"""Tables of tariffs and of JSON, payments and what waits for a first cost, from made-up results."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.analysis.lifecycle import OverYears
from costsim.results.result import OptionResult, UnmetLoad
from costsim.views import cards, result_json, text_decision, text_weather
from costsim.views.text_tariff import _sentences, text_tariffs
from costsim.views.text_tariff_shares import printed_shares

NEAR = pytest.approx
KWH = 3.6e6


def test_which_tariff_suits_how_many_homes() -> None:
    shares: Any = SimpleNamespace(
        options=("Gas", "Pump"), tariffs=("flat", "night"), currency="$", homes=12345, mean=np.array([[900.0, 800.0], [950.0, 600.4]]),
        by_option=np.array([[0.75, 0.2], [0.25, 0.8]]), by_pair=np.array([[0.1, 0.05], [0.26, 0.59]]),
    )  # fmt: skip
    shares.weight, shares.set_aside, shares.rows_in_cells = 20000.0, 0, 0
    head, headings, *rows, _, _, _, where = printed_shares(shares).split("\n")
    assert head == "12,345 homes under 2 tariffs, share of homes by weight"
    assert headings.split("  ")[0] == "option"
    assert [row.split() for row in rows[:4]] == [
        ["Gas", "flat", "$900", "$18,000,000", "75%", "10%"], ["Gas", "night", "$950", "$19,000,000", "25%", "26%"],
        ["Pump", "flat", "$800", "$16,000,000", "20%", "5%"], ["Pump", "night", "$600", "$12,008,000", "80%", "59%"],
    ]  # fmt: skip
    assert where.endswith("tariff-1: flat, tariff-2: night.")
    shares.mean[1, 0] = 900.0  # a bill that is the same under both has no cheapest
    assert [line.split()[4:7] for line in printed_shares(shares).split("\n")[2:4]] == [["same", "under", "all"]] * 2


def test_the_cheapest_tariff_of_each_option_is_marked() -> None:
    choice: Any = SimpleNamespace(
        currency="$", tariffs=("flat", "night"), options=("Gas", "Pump"), costs=((900.0, 800.0), (950.0, 600.0)),
        whole_bills=((1900.0, 1800.0), (1950.0, 1600.0)), unmet_hours=((0, 1234), (0, 1234)), best=lambda option: {"Gas": "flat", "Pump": "night"}[option],
    )  # fmt: skip
    text = text_tariffs(choice)
    rows = [line.split() for line in text.split("\n\n")[1].split("\n")[1:]]
    assert rows == [
        ["flat", "Gas", "$900", "$1,900", "0", "*"], ["flat", "Pump", "$800", "$1,800", "1,234"],
        ["night", "Gas", "$950", "$1,950", "0"], ["night", "Pump", "$600", "$1,600", "1,234", "*"],
    ]  # fmt: skip
    assert text.split("\n\n")[2].startswith("* the cheapest tariff of the option")
    best = [("Gas", "flat", 900.0), ("Pump", "night", 600.0)]
    assert _sentences(best, "$").split("\n") == [
        "Cheapest to run: Pump on night, $600 a year for heating.",
        "Gas is cheapest on flat; Pump is cheapest on night.",
    ]
    assert _sentences([("Gas", "flat", 900.0), ("Pump", "flat", 600.0)], "$").endswith(
        "Every option is cheapest on flat."
    )


def test_lines_of_tariffs_keep_to_the_width_of_a_page() -> None:
    """A sentence of 110 letters, 45 of them its own, stands on one line, and one of 111 on two."""
    for letters, lines in ((35, 2), (36, 3)):
        text = _sentences([("O" * 30, "t" * letters, 1.0)], "$")
        assert text.count("\n") + 1 == lines
        assert max(map(len, text.split("\n"))) <= 110


def test_an_option_as_data_is_in_kilowatt_hours() -> None:
    hourly = SimpleNamespace(demand_w=np.array([2000.0, 1000.0]), delivered_w=np.array([1500.0, 1000.0]))
    source: Any = SimpleNamespace(
        name="Boiler", kind="gas", fuel="natural_gas", heat_j=2.0 * KWH, input_j=2.5 * KWH, auxiliary_j=0.1 * KWH, dumped_j=0.2 * KWH, cost=1.5,
        hours=2, peak_w=1500.0, rated_w=2000.0, derates=(("altitude", 1900.0),), co2_kg=0.5, biogenic_co2_kg=0.0, facts={"starts": 3},
    )  # fmt: skip
    unmet = UnmetLoad(0.5 * KWH, 1, 500.0, 0, 1, {"capacity": 0.5 * KWH})
    fields: dict[str, Any] = dict.fromkeys(OptionResult.__dataclass_fields__)
    fields |= {
        "name": "A", "rule": "fixed", "hourly": hourly, "sources": (source,), "uses": (), "unmet": unmet, "cost_total": 3.0, "cost_fixed": 1.0,
        "cost_energy": 2.0, "co2_kg": 0.5, "biogenic_co2_kg": 0.0, "pump_j": 0.3 * KWH, "warnings": ("w",), "zones": (),
    }  # fmt: skip
    found = result_json._option_json(SimpleNamespace(clock=["Jan 1, 12 am"]), OptionResult(**fields))  # type: ignore[arg-type]
    assert {key: found[key] for key in ("demand_kwh", "delivered_kwh", "unmet_kwh", "unmet_hours", "worst_unmet_kw", "longest_unmet_hours", "pump_kwh")} == {
        "demand_kwh": NEAR(3.0), "delivered_kwh": NEAR(2.5), "unmet_kwh": NEAR(0.5), "unmet_hours": 1, "worst_unmet_kw": 0.5, "longest_unmet_hours": 1,
        "pump_kwh": NEAR(0.3),
    }  # fmt: skip
    assert found["unmet_by_cause_kwh"] == {"capacity": NEAR(0.5)}
    assert found["worst_unmet_at"] == "Jan 1, 12 am"
    assert (found["solar"], found["recovery"], found["warnings"]) == (None, None, ["w"])
    (one,) = found["sources"]
    assert {key: one[key] for key in ("heat_kwh", "input_kwh", "auxiliary_kwh", "dumped_kwh", "peak_kw", "rated_kw", "cost", "hours")} == {
        "heat_kwh": NEAR(2.0), "input_kwh": NEAR(2.5), "auxiliary_kwh": NEAR(0.1), "dumped_kwh": NEAR(0.2), "peak_kw": 1.5, "rated_kw": 2.0, "cost": 1.5,
        "hours": 2,
    }  # fmt: skip
    assert one["derates_kw"] == {"altitude": 1.9}
    assert one["facts"] == {"starts": 3}
    use = SimpleNamespace(
        generated_j=5 * KWH, house_j=2 * KWH, heating_j=1 * KWH, exported_j=2 * KWH, counted_j=1.5 * KWH, saved=0.3
    )
    own = result_json.own_generation_json(OptionResult(**{**fields, "self_use": use}))
    assert own["own_generation_kwh"] == {
        "generated": 5.0,
        "house": 2.0,
        "heating": 1.0,
        "exported": 2.0,
        "counted_for_heating": NEAR(1.5),
    }
    assert own["own_generation_off_heating"] == 0.3


def incentive(**more: Any) -> Any:
    return SimpleNamespace(**{"name": "State", "year": 0, "refundable": False, **more})


def test_incentives_and_loans_in_a_line_each(monkeypatch: pytest.MonkeyPatch) -> None:
    paid: tuple[list[Any], float] = ([(incentive(), 2000.0), (incentive(name="Town", year=3), 500.0)], 0.0)
    monkeypatch.setattr(text_decision, "incentives_of", lambda option, tax: paid)
    monkeypatch.setattr(
        text_decision, "payments_of", lambda case, option, first: SimpleNamespace(monthly=123.456, owed=0.0)
    )
    option = SimpleNamespace(name="A", incentive=(incentive(),), loan=None)
    case: Any = SimpleNamespace(options=[option], currency="$", economics=SimpleNamespace(tax_liability_money=None))
    told = text_decision.payment_lines(case)
    assert told == [
        "A: State pays $2,000 with the first cost.", "A: Town pays $500 in year 3.",
        "A: enough tax is taken to be owed for its credit (economics.tax_liability).",
    ]  # fmt: skip
    case.economics.tax_liability_money = 1500.0
    assert text_decision.payment_lines(case) == told[:2]
    case.economics.tax_liability_money, option.incentive = None, (incentive(refundable=True),)
    assert text_decision.payment_lines(case) == told[:2]
    paid = ([], 300.0)
    option.loan = SimpleNamespace(amount_money=9000.0, years=10)
    assert text_decision.payment_lines(case) == [
        "A: $300 of its credits are lost, since less tax is owed.",
        "A: a loan of $9,000 costs $123.46 a month for 10 years.",
    ]


def test_what_waits_for_a_first_cost_says_below_which_it_wins() -> None:
    coin: Any = SimpleNamespace(currency="$")

    def missing(**names: float | None) -> str:
        return cards._missing(OverYears((("Gas", 9000.0),), names, 20), coin)

    assert missing(Pump=4210.0) == "Pump is worth it against Gas if it costs less than about $4,200 to buy."
    assert missing(Pump=0.0) == missing(Pump=-5.0) == "Pump costs more than Gas even if it is free to buy."
    assert missing(Pump=0.01).startswith("Pump is worth it against Gas if")
    assert missing(Pump=None) == "The first cost of Pump is not given."
    assert missing(Pump=None, Sun=None) == "The first costs of Pump and Sun are not given."
    assert missing(Pump=None, Sun=-1.0) == "Sun costs more than Gas even if it is free to buy."


def test_years_are_told_with_what_the_next_costs_more(monkeypatch: pytest.MonkeyPatch) -> None:
    case, result = SimpleNamespace(currency="$"), SimpleNamespace(currency="$")
    cold: list[str] = []

    def said(found: OverYears) -> str:
        monkeypatch.setattr(cards, "_over_years", lambda *_: found)
        monkeypatch.setattr(cards, "cheaper_lines", lambda *_: cold)
        return cards.years_finding(case, result)  # type: ignore[arg-type]

    assert said(OverYears((("Gas", 9000.0), ("Pump", 12000.0), ("Oil", 15000.0)), {}, 20)) == (
        "Gas costs least over 20 years: $9,000, $3,000 less than Pump."
    )
    assert said(OverYears((("Gas", 9000.0),), {}, 15)) == "Gas costs least over 15 years: $9,000."
    cold.append("Oil costs $580 less.")
    assert said(OverYears((("Gas", 9000.0),), {}, 15)) == (
        "Gas costs least over 15 years: $9,000. Oil costs $580 less."
    )
    cold.clear()
    assert said(OverYears((("Gas", 9000.0), ("Oil", 15000.0)), {"Pump": 4210.0}, 20)) == (
        "Of those with a first cost, Gas costs least over 20 years: $9,000, $6,000 less than Oil. Pump is worth it against Gas if it"
        " costs less than about $4,200 to buy."
    )
    assert said(OverYears((("Gas", 9000.0),), {"Pump": 4210.0}, 20)) == (
        "Gas costs $9,000 over 20 years, the only one whose first cost is known. Pump is worth it against Gas if it costs less than about $4,200 to buy."
    )
    assert said(OverYears((), {"Pump": None}, 20)) == (
        "Which option costs least over 20 years is not known until you enter its first costs. The first cost of Pump is not given."
    )


def test_months_are_bars_from_the_coldest_or_from_freezing() -> None:
    """From -10 to 34 °C a degree is one of 44 signs; where all are warm the bars start at nothing."""
    cold: Any = SimpleNamespace(monthly_c=[-10.0, -9.0, 0.0, 12.0, 34.0, *[0.0] * 7])
    head, *lines = text_weather._plot(cold, "si")
    assert head == "monthly mean, °C"
    assert [line.count("#") for line in lines] == [1, 1, 10, 22, 44, *[10] * 7]
    assert lines[0].split()[:2] == ["Jan", "-10.0"]
    warm: Any = SimpleNamespace(monthly_c=[11.0] * 11 + [22.0])
    assert [line.count("#") for line in text_weather._plot(warm, "si")[1:]] == [22] * 11 + [44]
    flat: Any = SimpleNamespace(monthly_c=[0.5] * 12)  # within a degree of nothing
    assert [line.count("#") for line in text_weather._plot(flat, "si")[1:]] == [22] * 12
    year: Any = SimpleNamespace(degree_days_k_d=lambda base: 2500.0, title="2001")
    assert text_weather.printed_winters([year], year, "si") == "     2,500 K d  2001\nwritten: 2001, 2,500 K d"
    assert text_weather.printed_winters([year], year, "us") == "     4,500 °F d  2001\nwritten: 2001, 4,500 °F d"
