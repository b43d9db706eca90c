"""The formulas of the calculation sheet with figures that a pencil can follow, in both systems of units."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from report.bases import option

from costsim.report import formulas


def rows(system: str, *, floor: bool = True, tank: bool = True, **needs: Any) -> dict[str, str]:
    """6 kW from -10 to 20 °C; people and sun give 600 W; a tank of 44 °C over 100 m² of loops; water of 998 and 985 kg/m³."""
    found = {"density_kg_m3": 998.0, "max_temperature_c": 60.0, "swell_share": 0.0132} | needs
    laid = SimpleNamespace(area_m2=100.0) if floor else None
    house = SimpleNamespace(indoor_temperature_c=20.0, zone=(), solar_aperture_m2=0.0)
    runs = [option("A", demand_j=12e3 * 3.6e6), option("B", demand_j=1.0)]
    for one, error in zip(runs, (2e-12, 3e-13), strict=True):
        one.hourly = SimpleNamespace(imbalance=lambda error=error: error)
    one: Any = SimpleNamespace(
        system=system,
        case=SimpleNamespace(house=house),
        common=SimpleNamespace(
            design_outdoor_c=-10.0, balance_c=np.array([16.0, 18.0]), loss_w_k=200.0, gains_w=np.array([400.0, 800.0]),
            surroundings=SimpleNamespace(altitude_m=1500.0),
        ),
        result=SimpleNamespace(route=SimpleNamespace(load_w=6e3), options=runs, degree_hours_k_h=60e3),
        signed=SimpleNamespace(
            case=SimpleNamespace(house=house, floor=laid, tank=1 if tank else None), supply_c=44.0, needs=SimpleNamespace(**found),
            common=SimpleNamespace(water=SimpleNamespace(resistance_k_w=0.004, circuits=(), supply_top_c=1e9)),
        ),
    )  # fmt: skip
    with pytest.MonkeyPatch.context() as patch:
        burner = SimpleNamespace(formulas=lambda height: [("burner", "f", f"at {height:g} m", "s")])
        patch.setattr(formulas, "sources_with", lambda case: [burner, burner])
        return {row[0]: row[2] for row in formulas.formula_rows(one)}


def test_the_house_in_si() -> None:
    """6,000 W / 30 K are 200 W/K; 600 W of gains lower the balance point by 3 K; 200 W/K × 60,000 K h are 12,000 kWh."""
    found = rows("si")
    assert found["heat loss per degree"] == "6,000 W / (20.0 °C − (-10.0 °C)) = 200.0 W/K"
    assert found["balance point"] == "20.0 °C − 600 W / 200.0 W/K = 17.0 °C (mean of the year)"
    assert found["heat needed"] == "200.0 W/K × 60,000 K h = 12,000.0 kWh"
    assert found["energy balance"] == "every hour balances, but for the computer's rounding"
    assert found["tank at design"] == "20.0 °C + 6,000 W × 0.004 K/W = 44.0 °C"
    assert found["floor to room"] == "60.0 W/m² over 100 m² of loops at design"
    assert found["expansion"] == "998.0 kg/m³ at 10 °C, 60.0 °C at most: e = 0.0132"
    assert found["expansion tank"].startswith("p_e 0.5 bar below the relief valve")
    assert found["burner"] == "at 1500 m"
    assert [*found].count("burner") == 1


def test_the_house_in_us_units() -> None:
    """200 W/K are 379.1 Btu/(h °F), 6 kW 20,473 Btu/h, 60,000 K h 108,000 °F h, 12,000 kWh 40.9 MMBtu; 44 °C are 111.2 °F."""
    found = rows("us")
    assert found["heat loss per degree"] == "20,473 Btu/h / (68.0 °F − (14.0 °F)) = 379.1 Btu/(h °F)"
    assert found["balance point"].startswith("68.0 °F − 2,047 Btu/h / 379.1 Btu/(h °F) = 62.6 °F")
    assert found["heat needed"] == "379.1 Btu/(h °F) × 108,000 °F h = 40.9 MMBtu"
    # 20,473 × 0.00211 are 43.2 °F
    assert found["tank at design"] == "68.0 °F + 20,473 Btu/h × 0.00211 °F/(Btu/h) = 111.2 °F"
    assert found["expansion"].startswith("62.30 lb/ft³ at 50 °F, 140.0 °F at most")
    assert found["expansion tank"].startswith("p_e 0.5 bar below the relief valve")


def test_rows_of_tank_and_floor_stand_where_there_are_any() -> None:
    loops = {"floor to room", "pressure drop", "water to tube"}
    assert not ({"tank at design"} | loops) & rows("si", floor=False, tank=False).keys()
    alone = rows("si", floor=False).keys()
    assert "tank at design" in alone
    assert not loops & alone
    assert {"tank at design"} | loops <= rows("si", tank=False).keys()
