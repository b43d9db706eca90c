"""Scenarios of curtailment hours and weather years, and the pricing of scenarios against bills written hour by hour."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from cases import demo, sample_weather

from costsim import simulate
from costsim.analysis.scenarios import CONTROL_LEVELS, draw, lower_years, simulate_scenarios, with_curtailment
from costsim.analysis.uncertainty import uncertainty, winters
from costsim.engine.batch import price_batch, run_batch
from costsim.engine.lower import lower_option, lower_study, priced
from costsim.errors import InputError
from costsim.simulation import bills_of, run_hours, simulate_option
from costsim.study.case import Case, case_from
from costsim.study_files import StudyFiles
from costsim.tariffs.bill import bill
from costsim.tariffs.charges import scaled_tariff
from costsim.weather.winters import colder

GREENSBORO, SAND_POINT = (sample_weather(f"{name}.csv") for name in ("greensboro", "sand_point"))
CHARGES = {
    "electricity": {
        "fixed": "14 $/month",
        "energy": "0.10 $/kWh",
        "minimum_bill": "60 $/month",
        "energy_tax": "-6 %",
        "duty": "0.01 $/kWh",
        "tax": "7 %",
        "period": [{"name": "night", "energy": "0.06 $/kWh", "windows": ["22:00-06:00"]}],
        "demand": [
            {"price": "5 $/kW", "ratchet": "50 %"},
            {"price": "9 $/kW", "windows": ["06:00-09:00"], "days": "Mon-Fri", "months": "Nov-Mar", "peak_factor": 1.2},
        ],
    },
    "propane": {
        "energy": "2.60 $/gal",
        "minimum_use": "300 gal/year",
        "minimum_use_price": "1.10 $/gal",
        "minimum_use_fee": "75 $",
        "rent": "90 $/year",
        "delivery": {"fill": "120 gal", "fee": "9 $", "minimum": "80 gal", "small_fee": "30 $"},
    },
}
SOURCES = [
    {"kind": "electric", "output": "5 kW", "curtailment": {"coldest_hours": 200}},
    {"kind": "gas", "fuel": "propane", "output": "12 kW", "efficiency": "88 %", "electric": "80 W"},
]


def charged(folder: Path | None = None, **house: Any) -> Case:
    """A house with every kind of charge on its two services."""
    data = demo()
    data["house"].pop("other_electricity", None)
    data["house"] |= house
    data["prices"] = CHARGES
    data["option"] = [{"name": "Both", "source": SOURCES}]
    data["uncertainty"] = {"scenarios": 300}
    return case_from(data, files=StudyFiles(folder))


def meter(folder: Path, each: int = 1) -> str:
    """A year of readings, a peak of 6 kW in every hour from 7 to 8 am."""
    rows = [f"{h},{(6.0 if h % 24 == 7 else 0.5) / each}" for h in range(8760) for _ in range(each)]
    (folder / "meter.csv").write_text("hour,electricity [kWh]\n" + "\n".join(rows), encoding="utf-8")
    return "meter.csv"


@pytest.mark.parametrize("other", ["none", "total", "hours"])
def test_scenarios_cost_what_the_bill_says_with_every_kind_of_charge(other: str, tmp_path: Path) -> None:
    house = {
        "none": {},
        "total": {"other_electricity": "7000 kWh/year"},
        "hours": {"other_electricity_profile": meter(tmp_path)},
    }[other]
    case = charged(tmp_path, **house)
    common = lower_study(case, GREENSBORO)
    plant = lower_option(common, case.options[0])
    load = np.array([0.7, 1.0, 1.4])
    ones = np.ones((3, len(plant.offers)))
    many = run_batch(common, plant, loss_w_k=common.loss_w_k * load, shift_k=np.zeros(3), efficiency=ones)
    for i, share in enumerate(load):
        heavier = {**case.typed["house"], "design_heat_loss": f"{float(7.6 * share)!r} kW"}
        study = case_from(case.typed | {"house": heavier}, files=StudyFiles(tmp_path))
        assert price_batch(common, many, {})[i] == pytest.approx(simulate(study, GREENSBORO).options[0].cost_total)


@pytest.mark.parametrize("factor", [0.3, 1.0, 2.5])
def test_a_price_factor_is_a_new_price_on_the_bill(factor: float) -> None:
    case = charged(other_electricity="7000 kWh/year")
    common = lower_study(case, GREENSBORO)
    plant = lower_option(common, case.options[0])
    one = np.ones(1)
    many = run_batch(common, plant, loss_w_k=common.loss_w_k * one, shift_k=0 * one, efficiency=np.ones((1, 2)))
    factors = {"electricity": np.array([factor]), "propane": np.array([factor])}
    # the same hours under tariffs with every price times the factor, written line by line
    dearer = {key: scaled_tariff(tariff, factor) for key, tariff in common.tariffs.items()}
    from dataclasses import replace

    bills = bills_of(replace(common, tariffs=dearer), plant.offers, run_hours(common, plant))
    assert price_batch(common, many, factors)[0] == pytest.approx(sum(b.total for b in bills.values()))


def test_readings_of_quarter_hours_are_the_same_as_of_hours(tmp_path: Path) -> None:
    whole = charged(tmp_path, other_electricity_profile=meter(tmp_path))
    hours = whole.other_electricity_j(lower_study(whole, GREENSBORO).calendar)
    quarters = charged(tmp_path, other_electricity_profile=meter(tmp_path, each=4))
    assert quarters.other_electricity_j(lower_study(quarters, GREENSBORO).calendar) == pytest.approx(hours)
    assert hours[7] == 6 * 3.6e6
    assert hours.sum() == pytest.approx(365 * (6 + 23 * 0.5) * 3.6e6)


def test_a_peak_of_the_house_hides_that_of_the_heating(tmp_path: Path) -> None:
    # 6 kW at 7 am already: 5 kW of heating in other hours adds nothing to an all-day demand charge, at 7 am it does
    data = charged(tmp_path, other_electricity_profile=meter(tmp_path)).typed
    data = {**data, "prices": {"electricity": {"energy": "0 $/kWh", "demand": [{"price": "5 $/kW"}]}}}
    night = {"kind": "electric", "output": "5 kW", "windows": ["22:00-06:00"]}
    data["option"] = [{"name": "Night", "source": [night]}]
    found = simulate(case_from(data, files=StudyFiles(tmp_path)), GREENSBORO).options[0]
    assert found.sources[0].peak_w == pytest.approx(5000.0)
    assert found.cost_total == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("hour,use\n0,1\n", "no column headed"),
        ("electricity [kWh]\n1\n2\n", "no whole year"),
        ("electricity [gal]\n" + "1\n" * 8760, "neither energy nor power"),
        ("electricity [kWh]\n" + "1\n" * 8758 + "x\n-1\n", "row 8760"),
        ("", "no column headed"),
    ],
)
def test_bad_readings_are_one_plain_line_each(text: str, says: str, tmp_path: Path) -> None:
    (tmp_path / "m.csv").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=says):
        charged(tmp_path, other_electricity_profile="m.csv")


def test_missing_readings_and_readings_twice(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="put it beside the study"):
        charged(tmp_path, other_electricity_profile="absent.csv")
    with pytest.raises(InputError, match="given twice"):
        charged(tmp_path, other_electricity_profile=meter(tmp_path), other_electricity="1 kWh/year")


def test_more_control_hours_mean_more_of_the_other_fuel() -> None:
    case = charged()
    common = lower_study(case, GREENSBORO)
    used = []
    for level in CONTROL_LEVELS:
        option = with_curtailment(case.options[0], float(level))
        result = run_hours(common, lower_option(common, option))
        used.append(float(result.heat_w[1].sum()))
    assert used == sorted(used)
    assert used[-1] > 1.2 * used[0]


def test_each_draw_has_the_control_hours_and_the_year_it_drew() -> None:
    data = charged().typed
    data["uncertainty"] = {"scenarios": 200, "weather": ["sand_point.csv"], "curtailment": "30 %"}
    case = case_from(data)
    years = [lower_study(case, one) for one in (GREENSBORO, SAND_POINT)]
    scenarios = draw(case, *years)
    (many,) = simulate_scenarios(years, scenarios)
    assert set(scenarios.year) == {0, 1}
    assert set(scenarios.curtailment) <= set(CONTROL_LEVELS)
    assert not scenarios.winter_k.any()
    for at in (0, 1, 7, 50, 199):
        year = years[scenarios.year[at]]
        plant = lower_option(year, with_curtailment(case.options[0], float(scenarios.curtailment[at])))
        efficiency = np.array([[1.0, scenarios.efficiency["efficiency of burners"][at]]])
        alone = run_batch(
            year,
            plant,
            loss_w_k=year.loss_w_k * scenarios.load[at : at + 1],
            shift_k=scenarios.setpoint_spread_k[at : at + 1],
            efficiency=efficiency,
        )
        assert np.array_equal(alone.energy_j[0], many.energy_j[at])
        assert np.array_equal(alone.peaks_w[0], many.peaks_w[at])


def test_control_hours_go_with_cold_winters() -> None:
    data = charged().typed
    data["uncertainty"] = {"scenarios": 20_000, "curtailment": "25 %"}
    case = case_from(data)
    scenarios = draw(case, lower_study(case, GREENSBORO))
    assert np.corrcoef(scenarios.winter, scenarios.curtailment)[0, 1] == pytest.approx(0.6, abs=0.05)


def test_weather_years_stand_side_by_side_and_take_the_place_of_a_drawn_winter() -> None:
    data = charged().typed
    data["uncertainty"] = {"scenarios": 200, "weather": ["sand_point.csv", "cold_valley.csv"]}
    found = uncertainty(case_from(data), GREENSBORO)
    names = [one.name for one in found.winters]
    assert names[-2:] == ["weather of sand_point.csv", "weather of cold_valley.csv"]
    assert found.winters[-1].cost[0] > found.winters[0].cost[0]
    assert "winter" in found.price_correlation


def test_a_missing_weather_year_is_named(tmp_path: Path) -> None:
    from costsim import read_study
    from costsim.study.case import write_study

    data = charged().typed
    data["uncertainty"] = {"weather": ["absent.csv"]}
    (tmp_path / "a.toml").write_text(write_study(data), encoding="utf-8")
    with pytest.raises(InputError, match=r"uncertainty\.weather\[1\].*absent\.csv"):
        read_study(tmp_path / "a.toml")


def test_typed_charges_on_a_bill_by_hand() -> None:
    # a tariff as typed, one month of 1,000 kWh: 14 + 100 − 6 + 10 = 118, 7 % on all of it; other months 60 at least
    data = {key: value for key, value in CHARGES["electricity"].items() if key not in ("period", "demand")}
    study = demo()
    study["prices"] = {"electricity": data}
    study["option"] = [{"name": "one", "source": [{"kind": "electric", "output": "9 kW"}]}]
    case = case_from(study)
    common = lower_study(case, GREENSBORO)
    energy = np.zeros(8760)
    energy[:1000] = 0.0
    energy[:500] = 2 * 3.6e6
    found = bill(common.tariffs["electricity"], common.calendar, energy)
    assert found.by_month()[0] == pytest.approx((14 + 100 - 6 + 10) * 1.07)
    assert found.by_month()[5] == pytest.approx(60 * 1.07)


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ({"delivery": {"fee": "9 $"}}, "delivery.fill"),
        ({"delivery": {"fill": "120 gal", "small_fee": "30 $"}}, "small_fee needs minimum"),
        ({"minimum_use_fee": "75 $"}, "minimum_use is missing"),
        ({"duty": "0.01"}, "duty"),
        ({"energy_tax": "-140 %"}, "at least"),
    ],
)
def test_wrong_charges_are_told(table: dict[str, Any], says: str) -> None:
    data = charged().typed
    data["prices"] = {**CHARGES, "propane": {"energy": "2.60 $/gal", **table}}
    with pytest.raises(InputError, match=says):
        case_from(data)


def only_electricity(data: dict[str, Any]) -> dict[str, Any]:
    """The study without prices that nothing pays."""
    data["prices"] = {"electricity": {"energy": "0.12 $/kWh"}}
    data.pop("program", None)
    return data


def with_slab(**house: Any) -> Case:
    """The loft with a floor that stores heat."""
    data = demo("net_loft")
    data["house"] |= house
    data["floor"]["mass"] = {}
    data["option"] = [{"name": "E", "source": [{"kind": "electric", "output": "60 kW"}]}]
    return case_from(only_electricity(data))


@pytest.mark.long
@pytest.mark.parametrize(("load", "kelvin"), [(1.3, 0.0), (0.7, 0.0), (1.0, 2.0), (1.2, -1.5)])
def test_a_house_that_stores_heat_is_drawn_as_it_would_be_simulated(load: float, kelvin: float) -> None:
    case = with_slab()
    common = lower_study(case, SAND_POINT)
    plant = lower_option(common, case.options[0])
    many = run_batch(
        common,
        plant,
        loss_w_k=np.array([common.loss_w_k * load]),
        shift_k=np.array([kelvin]),
        efficiency=np.ones((1, 1)),
    )
    rate, balance = common.loss_w_k * load, float(common.balance_c.mean())
    house = {key: value for key, value in case.typed["house"].items() if key != "gains"}
    other = {**house, "heat_loss_rate": f"{rate!r} W/K", "balance_point": f"{balance!r} degC"}
    colder = replace(SAND_POINT, outdoor_c=SAND_POINT.outdoor_c - kelvin)
    fixed = {
        **case.typed,
        "house": other,
        "place": {**case.typed["place"], "design_outdoor": f"{common.design_outdoor_c!r} degC"},
    }
    alone = simulate(case_from(fixed), colder).options[0]
    # loops and surface limit were lowered for the study's own load
    assert many.energy_j[0, 0].sum() == pytest.approx(alone.sources[0].input_j, rel=0.01)


def test_a_house_keeps_its_loss_in_another_weather_year(tmp_path: Path) -> None:
    data = demo()
    data["place"].pop("design_outdoor", None)
    case = case_from(data)
    first, second = lower_years(case, GREENSBORO, [colder(GREENSBORO, 0.19)])
    assert second.loss_w_k == first.loss_w_k
    demand = second.demand_w.sum() / first.demand_w.sum()
    assert demand == pytest.approx(1.19, abs=0.02)


def test_winters_have_the_degree_hours_they_say_and_a_heat_pump_feels_them() -> None:
    data = demo()
    data["option"] = [
        {
            "name": "Pump",
            "source": [{"kind": "heat_pump", "outdoor": ["-15 degC", "7 degC"], "outputs": ["20 kW", "30 kW"]}],
        },
        {"name": "Electric", "source": [{"kind": "electric", "output": "60 kW", "efficiency": "100 %"}]},
    ]
    typical, _, coldest = winters(lower_study(case_from(only_electricity(data)), GREENSBORO))
    pump, electric = (coldest.cost[i] / typical.cost[i] for i in range(2))
    # fixed charges and other electricity are not among these costs
    assert electric == pytest.approx(1.19, abs=0.005)
    assert pump > electric


def test_a_rule_that_looks_at_prices_follows_the_drawn_ones() -> None:
    data = demo()
    data["option"] = [
        {
            "name": "Two",
            "rule": "cheapest_now",
            "source": [
                {"kind": "electric", "output": "12 kW", "efficiency": "100 %"},
                {"kind": "gas", "fuel": "natural_gas", "output": "12 kW", "efficiency": "80 %"},
            ],
        }
    ]
    data["prices"] = {"electricity": {"energy": "0.05 $/kWh"}, "natural_gas": {"energy": "1.22 $/therm"}}
    data["uncertainty"] = {
        "scenarios": 100,
        "load": "0 %",
        "setpoint_spread": "0 K",
        "winter": "0 %",
        "efficiency": "0 %",
    }
    data["uncertainty"]["price"] = {"electricity": "30 %", "natural_gas": "30 %"}
    case = case_from(data)
    common = lower_study(case, GREENSBORO)
    scenarios = draw(case, common)
    cost = price_batch(common, simulate_scenarios([common], scenarios)[0], scenarios.prices)
    for i in range(0, 60, 7):
        at = priced(common, {key: float(values[i]) for key, values in scenarios.prices.items()})
        assert cost[i] == pytest.approx(simulate_option(at, case.options[0]).cost_total, rel=0.005)


def test_gains_typed_in_watts_move_the_balance_point_with_the_load() -> None:
    data = demo()
    data["house"].pop("balance_point")
    data["house"]["gains"] = "1000 W"
    data["option"] = [{"name": "E", "source": [{"kind": "electric", "output": "60 kW", "efficiency": "100 %"}]}]
    data["uncertainty"] = {"scenarios": 100, "load": "20 %", "setpoint_spread": "0 K", "winter": "0 %"}
    case = case_from(only_electricity(data))
    common = lower_study(case, GREENSBORO)
    scenarios = draw(case, common)
    many = simulate_scenarios([common], scenarios)[0]
    for i in range(0, 40, 9):
        house = {**data["house"], "heat_loss_rate": f"{float(common.loss_w_k * scenarios.load[i])!r} W/K"}
        alone = simulate(case_from({**data, "house": house}), GREENSBORO).options[0]
        assert many.energy_j[i, 0].sum() == pytest.approx(alone.sources[0].input_j, rel=2e-3)


def test_no_drawn_burner_gives_more_than_its_fuel_holds() -> None:
    data = demo()
    data["option"] = [
        {
            "name": "G",
            "source": [
                {"kind": "gas", "fuel": "natural_gas", "output": "30 kW", "efficiency": "97 %", "standby": "0 W"}
            ],
        }
    ]
    data["uncertainty"] = {"scenarios": 300, "efficiency": "10 %"}
    data["prices"] = {"natural_gas": {"energy": "1.22 $/therm"}}
    data["house"].pop("other_electricity")
    common = lower_study(case_from(data), GREENSBORO)
    many = simulate_scenarios([common], draw(common.case, common))[0]
    assert (many.sums[:, 1] <= many.energy_j[:, 0].sum(axis=(1, 2)) * (1 + 1e-9)).all()
