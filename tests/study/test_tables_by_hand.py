"""Each table of a study refuses what contradicts itself and takes what just does not; what it makes of keys is worked by hand."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import BaseModel
from study.small_house import HOUSE, LOOP, WALL

from costsim.errors import InputError
from costsim.study.case import Option
from costsim.study.economics import Uncertainty
from costsim.study.financing import Incentive
from costsim.study.heat_loss import Surface
from costsim.study.house import House
from costsim.study.loop_group import Loops
from costsim.study.outdoor_uses import Profile
from costsim.study.plant import COMMON_PUMP, Floor, Mass, Pump, Tank
from costsim.study.prices import Price, PriceBlock, PriceDelivery, PriceDemand, Ticket
from costsim.study.schedules import Absence, HouseZone, Setback
from costsim.study.selection import Selection
from costsim.study.solar_electric import SolarElectric
from costsim.units.faults import build

NEAR = pytest.approx
FT = 0.3048


def says(model: type[BaseModel], typed: dict[str, Any]) -> str:
    """The fault of a table; empty where it has none."""
    try:
        build(model, typed)
    except InputError as error:
        return str(error)
    return ""


@pytest.mark.parametrize(
    ("model", "typed", "words"),
    [
        (House, HOUSE, ""),
        (House, HOUSE | {"design_heat_loss": None}, "no heat loss is given"),
        (House, HOUSE | {"infiltration": {"volume": "9 m3", "changes": "1 /h"}}, "infiltration is given without a surface"),
        (House, HOUSE | {"infiltration": {"volume": "9 m3", "changes": "1 /h"}, "surface": [WALL]}, ""),
        (House, HOUSE | {"load_from": "entered"}, ""),
        (House, HOUSE | {"load_from": "rooms"}, "is not among what is given"),
        (House, HOUSE | {"balance_point": "20 degC"}, ""),
        (House, HOUSE | {"balance_point": "20.1 degC"}, "balance_point is warmer than indoor"),
        (House, HOUSE | {"balance_point": None}, "give balance_point or gains"),
        (House, HOUSE | {"balance_point": None, "gains": "0 W"}, ""),
        (House, HOUSE | {"other_electricity": "0 kWh/year", "other_electricity_profile": "m.csv"}, "other_electricity is given twice"),
        (House, HOUSE | {"indoor_temperature": "25 degC", "design_supply_temperature": "25 degC"}, "is no warmer than indoor"),
        (House, HOUSE | {"indoor_temperature": "25 degC", "design_supply_temperature": "25.1 degC"}, ""),
        (House, HOUSE | {"zone": [{"name": "a", "area": "50 m2"}, {"name": "b", "load": "50 %"}]}, ""),
        (House, HOUSE | {"zone": [{"name": "a", "area": "50 m2"}, {"name": "b", "load": "51 %"}]}, "the zones add up to 101% of the house"),
        (House, HOUSE | {"zone": [{"name": "a", "area": "5 m2"}, {"name": "a", "area": "5 m2"}]}, "two zones have one name"),
        (HouseZone, {"name": "a"}, "give area or load"),
        (HouseZone, {"name": "a", "area": "5 m2", "load": "5 %"}, "give area or load"),
        (Surface, WALL | {"typical": "solid_brick_wall"}, "give u_value or typical"),
        (Surface, {"name": "w", "area": "10 m2"}, "give u_value or typical"),
        (Loops, LOOP | {"leads": "79.9 m"}, ""),
        (Loops, LOOP | {"leads": "80 m"}, "leads are as long as the loop"),
        (Pump, {"flows": ["0 gpm", "4 gpm"], "heads": ["18 ftH2O", "4 ftH2O"]}, ""),
        (Pump, {"flows": ["0 gpm", "4 gpm"], "heads": ["18 ftH2O", "18 ftH2O"]}, "does not fall"),
        (Pump, {"flows": ["4 gpm", "4 gpm"], "heads": ["18 ftH2O", "4 ftH2O"]}, "does not fall"),
        (Pump, {"flows": ["0 gpm", "4 gpm"], "heads": ["18 ftH2O", "9 ftH2O", "4 ftH2O"]}, "2 flows but 3 heads"),
        (Pump, {"flows": ["0 gpm", "4 gpm"], "heads": ["18 ftH2O", "-1 ftH2O"]}, "at least"),
        (Mass, {"precharge": "2 K"}, "charges ahead but has no hours"),
        (Mass, {"precharge": "0 K"}, ""),
        (Mass, {"precharge": "2 K", "precharge_windows": ["04:00-06:00"]}, ""),
        (Mass, {"precharge_windows": ["4-6"]}, "is not a clock window"),
        (Floor, {}, "has no loops"),
        (Floor, {"loops": [LOOP]}, ""),
        (Floor, {"loops": [{"count": 1, "length": "80 m"}]}, "neither flow nor pump"),
        (Floor, {"loops": [{"count": 1, "length": "80 m"}], "pump": COMMON_PUMP}, ""),
        (Floor, {"loops": [LOOP], "antifreeze": "propylene_glycol"}, "belong together"),
        (Floor, {"loops": [LOOP], "concentration": "30 vol%"}, "belong together"),
        (Floor, {"loops": [LOOP], "antifreeze": "propylene_glycol", "concentration": "57 vol%"}, ""),
        (Floor, {"loops": [LOOP], "antifreeze": "ethylene_glycol", "concentration": "60 vol%"}, "by mass, of which the tables know 60 %"),
        (Tank, {"volume": "300 L", "max_temperature": "60 degC", "store": "60 degC"}, ""),
        (Tank, {"volume": "300 L", "max_temperature": "60 degC", "store": "60.1 degC"}, "store is hotter than top"),
        (Tank, {"volume": "300 L", "max_temperature": "60 degC", "design_supply_temperature": "60 degC"}, ""),
        (Tank, {"volume": "300 L", "max_temperature": "60 degC", "design_supply_temperature": "60.1 degC"}, "is hotter than top"),
        (PriceBlock, {"energy": "1 $/kWh", "up_to": "100 kWh"}, "cannot be the up to"),
        (PriceBlock, {"energy": "1 $/kWh", "months": "Nov-Mar"}, ""),
        (PriceBlock, {"energy": "1 $/kWh", "months": "Nov 15-Mar 3"}, "begins or ends inside a month"),
        (PriceDemand, {"price": "9 $/kW"}, ""),
        (PriceDemand, {"price": "40 $/kW/year"}, ""),
        (PriceDemand, {"price": "1 $/kW/day"}, "no money for power by the month"),
        (PriceDelivery, {"fill": "200 gal", "small_fee": "35 $"}, "small_fee needs minimum"),
        (PriceDelivery, {"fill": "200 gal", "small_fee": "35 $", "minimum": "100 gal"}, ""),
        (Ticket, {"date": "2025-02-29", "amount": "9 gal", "total": "9 $"}, "is not a day"),
        (Ticket, {"date": "2024-02-29", "amount": "9 gal", "total": "9 $"}, ""),
        (Price, {}, "energy is missing"),
        (Price, {"energy": "0 $/kWh"}, ""),
        (Price, {"energy": "1 $/gal", "ticket": [{"date": "2024-02-29", "amount": "9 gal", "total": "9 $"}]}, "energy is given twice"),
        (Price, {"energy": "1 $/gal", "minimum_use_fee": "75 $"}, "minimum_use is missing"),
        (Price, {"energy": "1 $/gal", "minimum_use_price": "1 $/gal"}, "minimum_use is missing"),
        (Price, {"energy": "1 $/gal", "minimum_use_fee": "75 $", "minimum_use": "300 gal/year"}, ""),
        (Price, {"energy": "1 $/kWh", "read_dates": ["Jan 14"], "read_day": 2}, "meter readings are given twice"),
        (Price, {"energy": "1 $/kWh", "read_dates": ["Jan 14"], "read_day": 1}, ""),
        (Price, {"energy": "1 $/kWh", "charge": [{"kind": "tax", "share": "4 %", "on": ["moon"]}]}, "'moon', which is no line of this bill"),
        (Incentive, {"share": "30 %"}, ""),
        (Incentive, {"share": "30 %", "amount": "5 $"}, "a share or an amount"),
        (Incentive, {}, "a share or an amount"),
        (Profile, {"kind": "profile", "hours": "a.csv", "supply_temperature": "40 degC", "return_temperature": "40 degC"}, "is not below"),
        (Profile, {"kind": "profile", "hours": "a.csv", "supply_temperature": "40 degC", "return_temperature": "39.9 degC"}, ""),
        (Uncertainty, {"source_efficiency": {"magic": "9 %"}}, "no kind of source"),
        (Uncertainty, {"source_efficiency": {"wood": "9 %"}}, ""),
        (Selection, {"service": "200 A"}, ""),
        (Selection, {"service": "200 A", "appliances": "0 kW"}, ""),
        (Selection, {"service": "200 A", "measured_peak": "0 kW"}, ""),
        (SolarElectric, {}, "twice or not at all"),
        (SolarElectric, {"peak_power": "5 kW", "hours": "a.csv"}, "twice or not at all"),
        (SolarElectric, {"peak_power": "5 kW", "export": "1 $/gal"}, "no price of electricity"),
        (SolarElectric, {"peak_power": "5 kW", "export": "0.04 $/kWh"}, ""),
        (Setback, {"indoor_temperature": "16 degC", "windows": ["25:00-06:00"]}, "is not a clock window"),
        (Absence, {"from": "Dec 20", "to": "2026-01-03", "back_at": "23:59"}, ""),
        (Absence, {"from": "Dec", "to": "Jan 3"}, "'Dec' is not a day"),
        (Absence, {"from": "2025-02-30", "to": "Jan 3"}, "is not a day"),
        (Absence, {"from": "Dec 20", "to": "Jan 3", "back_at": "24:00"}, "is not a clock time"),
        (Absence, {"from": "Dec 20", "to": "Jan 3", "back_at": "7:60"}, "is not a clock time"),
    ],
)  # fmt: skip
def test_what_contradicts_itself_is_refused(model: type[BaseModel], typed: dict[str, Any], words: str) -> None:
    found = says(model, {key: value for key, value in typed.items() if value is not None})
    assert (words in found) if words else found == "", found


ELECTRIC = [{"kind": "electric", "output": "9 kW"}]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"replacement": "5 $"}, "would never be paid"),
        ({"replacement": "5 $", "replacement_year": 1}, ""),
        (
            {
                "first_cost": "1000 $",
                "rebate": "200 $",
                "loan": {"amount": "800 $", "interest": "5 %/year", "years": 5},
            },
            "",
        ),
        (
            {
                "first_cost": "1000 $",
                "rebate": "200 $",
                "loan": {"amount": "801 $", "interest": "5 %/year", "years": 5},
            },
            "more than the first cost",
        ),
        ({"incentive": [{"amount": "5 $"}]}, "no first cost to go on"),
        ({"first_cost": "9 $", "incentive": [{"amount": "5 $"}]}, ""),
        ({"source": ELECTRIC * 3}, ""),
        ({"source": ELECTRIC * 4}, "4 sources were given"),
        ({"source": []}, "0 sources were given"),
    ],
)
def test_an_option_is_whole(typed: dict[str, Any], words: str) -> None:
    found = says(Option, {"name": "o", "source": ELECTRIC} | typed)
    assert (words in found) if words else found == "", found
    assert build(Option, {"name": "o", "source": ELECTRIC, "first_cost": "0 $"}).first_cost_given
    assert not build(Option, {"name": "o", "source": ELECTRIC}).first_cost_given
