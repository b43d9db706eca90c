"""Where a sentence or figure of views changes sides, from made-up results."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.views import answer, antifreeze_words, card_math, cards, cold_hours, text_select, yearly_use

KWH = 3.6e6
NEAR = pytest.approx


def used(text: str, *sources: tuple[str, float], bills: dict[str, tuple[float, float]]) -> tuple[float, float]:
    """Fuel as told and as simulated, of sources with their input and bills with total and fixed part."""
    price = SimpleNamespace(fuel_units=lambda key: SimpleNamespace(joules=lambda quantity: quantity.value))
    case: Any = SimpleNamespace(prices={key: price for key, _ in sources})
    now: Any = SimpleNamespace(
        sources=[SimpleNamespace(price_key=key, input_j=joule) for key, joule in sources],
        bills={key: SimpleNamespace(total=total, fixed=fixed) for key, (total, fixed) in bills.items()},
    )
    return yearly_use._fuel_of_use(case, now, text)


def test_money_of_a_year_counts_at_the_first_price_at_which_anything_is_burnt() -> None:
    """$300 of which $60 are due anyway, at $1,000 a year for 10 GJ beyond that: 2.4 GJ."""
    one = ("natural_gas", 10e9)
    assert used("300 $", one, bills={"natural_gas": (1060.0, 60.0)}) == (NEAR(2.4e9), 10e9)
    idle = ("oil", 0.0)
    both = {"oil": (0.0, 0.0), "natural_gas": (1060.0, 60.0)}
    assert used("300 $", idle, one, bills=both) == (NEAR(2.4e9), 10e9)
    # a fuel that costs nothing beyond its fixed charge says nothing of what was burnt
    assert used("300 $", ("oil", 5e9), one, bills={**both, "oil": (20.0, 20.0)}) == (NEAR(2.4e9), 10e9)
    assert used("50 $", one, bills={"natural_gas": (1060.0, 60.0)}) == (0.0, 10e9)
    with pytest.raises(InputError, match="is no amount of"):
        used("300 $", idle, bills={"oil": (0.0, 0.0)})


def test_two_sources_on_one_fuel_burn_together_and_those_on_another_do_not_count() -> None:
    sources = ("natural_gas", 10e9), ("wood", 7e9), ("natural_gas", 2e9)
    assert used("5 GJ", *sources, bills={}) == (NEAR(5e9), 12e9)
    assert used("5 GJ/year", *sources, bills={}) == (NEAR(5e9), 12e9)


def carbon(*sources: tuple[str, float, float], co2_kg: float, biogenic: float = 0.0) -> list[str]:
    """Steps of the carbon card for sources with kWh of input and kg a kWh."""
    factors = {name: kg / KWH for name, _, kg in sources}
    option = SimpleNamespace(
        name="A", co2_kg=co2_kg,
        sources=[
            SimpleNamespace(name=name, price_key=name, fuel=name, input_j=kwh * KWH, biogenic_co2_kg=biogenic) for name, kwh, _ in sources
        ],
    )  # fmt: skip
    result = SimpleNamespace(
        lowered=SimpleNamespace(surroundings=SimpleNamespace(co2_kg_per_j=factors)), assumptions=()
    )
    sums: Any = SimpleNamespace(lead=option, result=result, case=SimpleNamespace(prices={}), system="si")
    return [step.formula for step in card_math._carbon(sums)]


def test_carbon_is_the_sum_of_what_is_burnt_and_what_pumps_take() -> None:
    """8,000 kWh at 0.2 kg are 1,600 kg; with 400 kg of pumps 2.0 t."""
    total, gas, pumps = carbon(("gas", 8000.0, 0.2), co2_kg=2000.0)
    assert total == "A: 2,000 kg = 2.0 metric tons a year"
    assert gas == "gas: 8,000 kWh × 0.200 kg/kWh = 1,600 kg"
    assert pumps == "Pumps and fans: 400 kg"
    assert len(carbon(("gas", 8000.0, 0.2), co2_kg=1600.4)) == 2  # less than would be printed
    assert len(carbon(co2_kg=0.5)) == 1  # half a kilogram is printed as none
    assert carbon(co2_kg=0.6)[-1] == "Pumps and fans: 1 kg"
    # from a kilogram a unit on four figures are enough
    assert "× 1.25 kg/kWh" in carbon(("oil", 8.0, 1.25), co2_kg=10.0)[1]
    assert "× 1.05 kg/kWh" in carbon(("oil", 8.0, 1.05), co2_kg=8.4)[1]
    assert len(carbon(("oil", 0.5 / KWH, 0.3), co2_kg=0.0)) == 2  # half a joule is burnt
    assert "× 0.950 kg/kWh" in carbon(("oil", 8.0, 0.95), co2_kg=7.6)[1]
    # what is not burnt, or whose carbon is not known, has no line
    assert len(carbon(("gas", 8000.0, 0.2), ("oil", 0.0, 0.3), co2_kg=1600.0)) == 2
    assert len(carbon(("gas", 8000.0, 0.2), ("oil", 5.0, math.nan), co2_kg=1600.0)) == 2
    first, *_ = carbon(("power", 5.0, math.nan), co2_kg=math.nan)
    assert first.startswith("A: not known")


def test_woods_own_carbon_is_told_and_not_counted() -> None:
    total, wood, pumps = carbon(("wood", 1000.0, 0.4), co2_kg=30.0, biogenic=400.0)
    assert (total, pumps) == ("A: 30 kg = 0.0 metric tons a year", "Pumps and fans: 30 kg")
    assert wood.endswith("= 400 kg, wood's own, not counted")


def test_a_head_is_underlined_to_its_end() -> None:
    found: Any = SimpleNamespace(
        title="Two levels", design_load_w=6e3, target_w=6600.0, margin_share=0.1, options=(), pumps=(), size_sources={}
    )
    title, line, *_ = text_select.printed_selection(found, "si", "$").split("\n")
    assert title == "Two levels: sizes"
    assert line == "=" * len(title)


def option(name: str, cost: float = 100.0, *, warm: bool = True, hours: int = 0) -> Any:
    """An option that keeps the house warm, or not, with so many hours too cold."""
    unmet = SimpleNamespace(hours=hours, energy_j=0.0 if warm else cost)
    return SimpleNamespace(name=name, cost_total=cost, keeps_warm=warm, unmet=unmet)


def result(*options: Any) -> Any:
    lowered = SimpleNamespace(case=SimpleNamespace(today=None))
    return SimpleNamespace(options=options, currency="$", lowered=lowered, told={})


def test_money_over_the_years_is_that_of_the_cheapest(monkeypatch: pytest.MonkeyPatch) -> None:
    case: Any = SimpleNamespace(economics=SimpleNamespace(study_period=20), today=None)
    found = SimpleNamespace(cheapest="Gas", order=(("Gas", 20_123.0), ("Pump", 23_456.0)), missing={})
    extra = SimpleNamespace(first="Pump", second="Gas", costs=(23_456.0, 20_123.0))
    monkeypatch.setattr(cards, "_over_years", lambda *_: found)
    monkeypatch.setattr(cards, "gap_text", lambda *_: "gap")
    monkeypatch.setattr(cards, "payback_text", lambda *_, named: f"back, {named}")
    two = result(option("Pump", 80.0), option("Gas"))
    for given, value, note in (
        (extra, "$20,100", "gap; back, True"),
        (None, "$20,100", "Gas · not the cheapest to run"),
        (SimpleNamespace(first="Oil", second="Pump", costs=(1.0, 2.0)), "$20,100", "Gas · not the cheapest to run"),
    ):
        monkeypatch.setattr(cards, "extra_of", lambda _, given=given: given)
        card = cards._years_card(case, two)
        assert (card.value, card.note) == (value, note)


def test_the_arithmetic_of_cold_hours_is_of_the_option_that_the_card_tells_of(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(card_math, "_cold", lambda sums, one: one.name)
    monkeypatch.setattr(answer, "leading", lambda of: answer.ranked(of)[0])
    cold, colder, warm = option("A", 50.0, warm=False), option("B", warm=False), option("C", 900.0)
    for options, persona, name in (
        ((cold, warm), "household", "C"),
        ((warm, cold), "household", "C"),
        ((cold, colder), "household", answer.ranked(result(cold, colder))[0].name),
        ((option("D", 950.0), warm), "household", "C"),
        # an installer asks of what is there, the first option
        ((cold, warm), "installer", "A"),
    ):
        sums = card_math.Sums(None, result(*options), None, "si", persona=persona)  # type: ignore[arg-type]
        assert card_math._warmth(sums) == name


def test_hours_that_are_borne_are_told_with_how_cold_it_gets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cold_hours, "named_option", lambda *_: None)

    def told(below_k: float, hours: int = 12, *, warm: bool = True) -> str:
        monkeypatch.setattr(cold_hours, "coldest_room", lambda *_: (20.0 - below_k, below_k))
        return cold_hours.borne_words(result(), option("A", warm=warm, hours=hours), "si")

    assert told(0.49) == "12 hours a little too cold"
    assert told(0.5) == "12 hours a little too cold (down to 20 °C)"
    assert told(5.0) == "12 hours a little too cold (down to 15 °C)"
    assert told(5.1, 1) == "1 hour too cold (down to 15 °C)"
    assert told(5.1, 0) == told(5.1, warm=False) == ""


def test_gains_are_told_where_the_coldest_hour_is_no_milder_than_the_design_and_asks_for_less() -> None:
    def told(coldest_c: float, most_w: float) -> str:
        common = SimpleNamespace(
            weather=SimpleNamespace(outdoor_c=np.array([0.0, coldest_c])),
            demand_w=np.array([0.0, most_w]),
            design_outdoor_c=-10.0,
        )
        return cold_hours.gains_sentence(SimpleNamespace(lowered=common, route=SimpleNamespace(load_w=6e3)), "si")  # type: ignore[arg-type]

    assert told(-10.0, 5.97e3).startswith("The year's coldest hour, -10 °C, asks for no more than 6.0 kW:")
    assert told(-9.9, 5e3) == told(-10.0, 5.98e3) == ""


def antifreeze(floor: str | None, *outdoors: str) -> str:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            antifreeze_words,
            "sources_with",
            lambda case: [SimpleNamespace(label=one, outdoors=True) for one in outdoors],
        )
        case: Any = SimpleNamespace(
            fluid=None, floor=None if floor is None else SimpleNamespace(antifreeze=floor, concentration_share=0.3)
        )
        return antifreeze_words.antifreeze_words(case)


def test_what_a_mix_fills_and_what_keeps_it_outdoors() -> None:
    assert antifreeze(None) == antifreeze("none") == ""
    for floor in (None, "none"):
        assert antifreeze(floor, "Plates", "Pump", "Plates").startswith(
            "Antifreeze outdoors alone: Plates, Pump is computed"
        )
    mix = antifreeze("propylene_glycol")
    assert mix.startswith("This mix fills the whole system")
    assert "outdoors" not in mix
    both = antifreeze("propylene_glycol", "Plates")
    assert both.startswith(mix)
    assert " If only Plates needs it, leave the antifreeze out here" in both
