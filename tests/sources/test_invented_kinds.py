"""What follows from a kind's traits and fuel, held by a kind that only this test knows."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, Literal

import numpy as np
import pytest
from cases import constant_weather
from invented_kinds import gas_heat_pump, of_kind
from stand_ins import Unit

from costsim.analysis.select import select
from costsim.analysis.size_steps import output_of, output_share
from costsim.analysis.uncertainty import uncertainty
from costsim.errors import InputError
from costsim.results.cautions import cautions_of
from costsim.simulation import simulate
from costsim.sources import KINDS
from costsim.sources.traits import BURNERS, UncertainEfficiency
from costsim.views.text_select import option_text


def made(**typed: Any) -> Any:
    return gas_heat_pump().model_validate({"kind": "gas_heat_pump", "output": "18 kW", **typed})


def told(source: Any) -> dict[str, Any]:
    case = of_kind(source)
    alone = case.model_copy(update={"option": case.option[:1]})
    return {
        one.key: one for one in cautions_of(alone, coldest_c=-5.0, freeze_c=0.0, max_temperature_c=60.0, system="si")
    }


@pytest.mark.parametrize(
    ("fuel", "work", "code"),
    [
        ("natural_gas", "gas_work", "NFPA 54"),
        ("propane", "gas_work", "NFPA 58"),
        ("heating_oil", "oil_work", "NFPA 31"),
        ("wood", "chimney", "NFPA 211"),
    ],
)
def test_whatever_burns_a_fuel_is_cautioned_of_its_work(fuel: str, work: str, code: str) -> None:
    """Codes of fuel gas, liquefied gas, oil burners and chimneys by number; values from memory."""
    found = told(made(fuel=fuel, name="Invented"))
    assert {"gas_work", "oil_work", "chimney"} & set(found) == {work}
    assert found[work].text.startswith("Invented: ")
    assert code in found[work].check
    assert "carbon_monoxide" in found


def test_two_kinds_on_gas_are_named_together() -> None:
    case = of_kind(made())
    [work] = [
        one
        for one in cautions_of(case, coldest_c=5.0, freeze_c=0.0, max_temperature_c=45.0, system="si")
        if one.key == "gas_work"
    ]
    assert work.text.startswith("Gas heat pump, Gas boiler: ")


@pytest.mark.parametrize(
    ("typed", "input_w", "opening_in2"), [({"share": "130 %"}, 18e3 / 1.3, 11.81), ({}, 18e3 / 1.10, 13.96)]
)
def test_what_burns_gas_gets_pipe_vent_and_air_by_what_it_really_burns(
    typed: dict[str, Any], input_w: float, opening_in2: float
) -> None:
    """18 kW at 130 % burn 13.85 kW = 47.2 kBtu/h, at 110 % 16.36 kW = 55.8 kBtu/h; of air straight from outdoors 1 in² for each
    4 kBtu/h (NFPA 54, value from memory). Whether its flue is wet only its maker knows."""
    found = select(of_kind(made(**typed)), constant_weather(-15.0), only="own")
    [source] = found.options[0].sources
    assert (source.what, source.steps, source.note) == ("", (), "by its data sheet")
    assert source.entered_gas is not None
    assert source.entered_gas.input_w == pytest.approx(input_w)
    assert source.entered_gas.air.upright_in2 == pytest.approx(opening_in2, abs=0.02)
    assert source.entered_gas.pipe is not None
    text = option_text(found.options[0], "si", "$")
    assert f"Gas: input {input_w / 1e3:.0f} kW" in text
    assert "Vent category as its maker's instructions list it" in text


def test_propane_gets_its_tank_and_regulator_too() -> None:
    found = select(of_kind(made(fuel="propane", share="130 %")), constant_weather(-15.0), only="own")
    [source] = found.options[0].sources
    assert source.entered_gas is not None
    assert source.entered_gas.regulator_w is not None
    assert source.entered_gas.propane_tank_m3 is not None
    assert source.entered_gas.own_tank is None


def test_what_goes_in_follows_the_plate_or_else_the_hour_that_takes_most() -> None:
    hours: Any = SimpleNamespace(heat_per_input=np.array([1.3, 1.1, 1.4]))
    assert output_share(Unit(efficiency_share=0.9, condensing=True), hours) == 0.9  # type: ignore[arg-type]
    assert output_share(Unit(condensing=True), hours) == 0.95  # type: ignore[arg-type]
    assert output_share(made(), hours) == 1.1
    with pytest.raises(InputError, match="has no efficiency, which its size by input needs"):
        output_of(made(), "gas boiler input", 100.0)


@pytest.mark.parametrize("most", [None, 2.0])
def test_as_many_scenarios_are_better_as_worse_where_nature_sets_no_limit(most: float | None) -> None:
    """Only the efficiency varies, by a normal draw: half of the years cost less than the middle one, not none."""
    own = gas_heat_pump(most).model_validate({"kind": "gas_heat_pump", "output": "18 kW", "share": "130 %"})
    known = {"load": "0 %", "winter": "0 %", "setpoint_spread": "0 K", "scenarios": 200, "efficiency": "5 %"}
    prices = {"price": {"natural_gas": "0 %"}}
    case = of_kind(own, **{f"uncertainty__{key}": value for key, value in (known | prices).items()})
    cost, boiler = (one.cost for one in uncertainty(case, constant_weather(0.0)).options)
    middle = simulate(case, constant_weather(0.0)).options[0].cost_total
    assert 0.4 < (cost < middle * 0.999).mean() < 0.6
    # 5 % of 130 %, of which 90 % lie within 1.645 standard deviations (table of the normal distribution)
    low, high = np.quantile(cost, [0.05, 0.95])
    assert (middle / low, middle / high) == (
        pytest.approx(1 + 1.645 * 0.05, abs=0.03),
        pytest.approx(1 - 1.645 * 0.05, abs=0.03),
    )
    # no boiler of 90 % gives more than the gas holds: it is never better than 100 / 90
    assert boiler.min() >= simulate(case, constant_weather(0.0)).options[1].cost_total * 0.9 * 0.999


def broken(**said: Any) -> str:
    """What is told of a gas heat pump that says something else when its class is made."""
    whole = {
        "__module__": __name__, "__doc__": "Broken.", "title": "Broken", "burns_fuel": True, "air_standard": "NFPA 54",
        "example": {"kind": "broken", "output": "9 kW", "share": "130 %"}, "uncertain_efficiency": UncertainEfficiency("its efficiency", None, 2.0),
        "__annotations__": {"kind": Literal["broken"]},
    }  # fmt: skip
    with pytest.raises(TypeError) as caught:
        type(gas_heat_pump())("Broken", (gas_heat_pump(),), whole | said)
    assert "broken" not in KINDS
    return str(caught.value)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"market_list": "gas boiler output"}, "a market_list that there is, not 'gas boiler output': electric boiler output, gas"),
        ({"over_outdoor": ("shares",)}, "over_outdoor, the names of its fields that have one value for each temperature"),
        ({"symbol": "flames"}, "a symbol that there is, not 'flames': element, flame, logs, fan, collector"),
        ({"burns_fuel": False}, "burns_fuel = True, since its fuel is natural gas"),
        ({"uncertain_efficiency": BURNERS}, "uncertain_efficiency with its own upper limit, since 130 % is above 100 %"),
        ({"example": {"kind": "broken", "output": "9 apples"}}, "an example that can be read (output: "),
        ({"market_list": "gas boiler input", "example": {"kind": "broken", "output": "9 kW"}}, "plate_efficiency(), since its list is by input"),
        ({"nameplate_w": lambda self: 0.0}, "a rated output above 0 in its example"),
        ({"fuel_key": property(lambda self: "electricity"), "burns_fuel": False}, "continuous_load = True, since it runs on electricity"),
    ],
)  # fmt: skip
def test_what_a_kind_got_wrong_is_told_when_its_class_is_made(said: dict[str, Any], told: str) -> None:
    assert broken(**said).startswith(f"Broken lacks {told}")


def test_all_that_is_wrong_is_told_at_once() -> None:
    text = broken(symbol="flames", market_list="mine", air_standard="")
    assert text.startswith("Broken lacks air_standard, since it burns; a market_list")
    assert "; a symbol that there is" in text
