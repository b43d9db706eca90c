"""What follows from a kind's traits and fuel, held by a kind that only this test knows."""

from __future__ import annotations

from typing import Any

import pytest
from invented_kinds import gas_heat_pump, of_kind

from costsim.results.cautions import cautions_of


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
