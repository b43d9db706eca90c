"""Own generation: panels against pvlib's own model chain, and bills with export and net metering by hand."""

from __future__ import annotations

import warnings
from typing import Any

import numpy as np
import pandas as pd
import pytest
from cases import demo, sample_weather, study

from costsim import load_weather, simulate
from costsim.analysis.lifecycle import outlay
from costsim.analysis.price_costs import OptionCosts
from costsim.analysis.sizing import smallest
from costsim.cli.main import main
from costsim.engine.batch import price_batch, run_once
from costsim.engine.generation import generation_j
from costsim.engine.lower import lower_option, lower_study
from costsim.errors import InputError
from costsim.results.season import bought_j
from costsim.study.case import Case, case_from, write_study
from costsim.study_files import StudyFiles
from costsim.tariffs.bill import bill, plain_calendar
from costsim.tariffs.charges import Tariff
from costsim.tariffs.own_generation import ExportTerms, generating_bill, heating_share, self_use

KWH = 3.6e6
CLOCK = plain_calendar()
WEATHER = sample_weather()


def solar_study(**own: Any) -> Case:
    data = demo()
    data["solar_electric"] = {"peak_power": "5 kW", **own}
    return case_from(data)


@pytest.mark.parametrize(("tilt", "azimuth"), [(30.0, 180.0), (15.0, 250.0)])
def test_panels_give_what_the_model_chain_of_the_library_gives(tilt: float, azimuth: float) -> None:
    from pvlib import modelchain, pvsystem
    from pvlib.location import Location
    from pvlib.temperature import TEMPERATURE_MODEL_PARAMETERS

    mount = pvsystem.FixedMount(tilt, azimuth)
    array = pvsystem.Array(
        mount, albedo=0.2, module_parameters={"pdc0": 5000.0, "gamma_pdc": -0.0047},
        temperature_model_parameters=TEMPERATURE_MODEL_PARAMETERS["sapm"]["open_rack_glass_glass"],
    )  # fmt: skip
    system = pvsystem.PVSystem(
        [array], inverter_parameters={"pdc0": 5000.0 / 1.2 / 0.96, "eta_inv_nom": 0.96},
        losses_parameters={"soiling": 14.0, "shading": 0, "snow": 0, "mismatch": 0, "wiring": 0, "connections": 0, "lid": 0,
                           "nameplate_rating": 0, "age": 0, "availability": 0},
    )  # fmt: skip
    place = Location(WEATHER.latitude_deg, WEATHER.longitude_deg, altitude=WEATHER.altitude_m)
    chain = modelchain.ModelChain(
        system, place, dc_model="pvwatts", ac_model="pvwatts", transposition_model="perez",
        aoi_model="physical", spectral_model="no_loss", losses_model="pvwatts",
    )  # fmt: skip
    stamps = pd.date_range(
        pd.Timestamp("2001-01-01T00:30") - pd.Timedelta(hours=WEATHER.utc_offset_h), periods=8760, freq="h", tz="UTC"
    )
    wind = WEATHER.wind_m_s if WEATHER.wind_m_s is not None else np.full(8760, 1.0)
    frame = pd.DataFrame(
        {"ghi": WEATHER.ghi_w_m2, "dni": WEATHER.dni_w_m2, "dhi": WEATHER.dhi_w_m2, "temp_air": WEATHER.outdoor_c, "wind_speed": wind},
        index=stamps,
    )  # fmt: skip
    with np.errstate(all="ignore"), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library's own, on names of pandas
        chain.run_model(frame)
    expected = np.nan_to_num(chain.results.ac.to_numpy())
    case = solar_study(tilt=f"{tilt} deg", azimuth=f"{azimuth} deg")
    found = generation_j(case, WEATHER) / 3600.0
    assert found.sum() == pytest.approx(expected.sum(), rel=2e-3)
    assert np.abs(found - expected).max() < 60.0  # of 5 kW, where the sun stands on the horizon
    assert 0.9e3 < found.sum() / 5000.0 < 1.8e3


def test_generation_is_split_hour_by_hour_and_what_heating_takes_is_no_longer_exported() -> None:
    tariff = Tariff("electricity", 0.20 / KWH, fixed_per_month=10.0)
    generation = np.where(CLOCK.clock_hour == 12, 4 * KWH, 0.0)
    other, heating = np.full(8760, 1 * KWH), np.where(np.isin(CLOCK.clock_hour, (12, 13)), 2 * KWH, 0.0)
    one = self_use(generation, heating, other)
    assert (one.house_j / KWH, one.heating_j / KWH, one.exported_j / KWH) == (365.0, 730.0, 365.0)
    found = generating_bill(tariff, CLOCK, heating, other, generation, ExportTerms(0.05 / KWH))
    # at noon 2 kWh of heating cost the 0.05 that export would have paid, at one o'clock the 0.20 of the grid
    assert found.total == pytest.approx(365 * (2 * 0.05 + 2 * 0.20))
    before = 12 * 10 + 365 * (23 * 0.20 - 3 * 0.05)
    assert found.without_heating == pytest.approx(before)
    assert generating_bill(tariff, CLOCK, heating, other, 0 * other, ExportTerms()).total == pytest.approx(
        365 * 4 * 0.20
    )


def test_net_metering_counts_within_the_month_or_the_year() -> None:
    tariff = Tariff("electricity", 0.20 / KWH)
    generation = np.where(CLOCK.month == 6, 3 * KWH, 0.0)
    other, heating = np.full(8760, 1 * KWH), np.where(CLOCK.month == 7, 1 * KWH, 0.0)
    # June leaves 1,440 kWh: paid at 0.05 at the month's end, or brought into July and on
    month = generating_bill(tariff, CLOCK, heating, other, generation, ExportTerms(0.05 / KWH, "month"))
    assert month.total == pytest.approx(744 * 0.20)
    assert month.without_heating == pytest.approx((8760 - 720) * 0.20 - 1440 * 0.05)
    year = generating_bill(tariff, CLOCK, heating, other, generation, ExportTerms(0.05 / KWH, "year"))
    assert year.without_heating == pytest.approx((8760 - 720 - 1440) * 0.20)
    assert year.total == pytest.approx(744 * 0.20)
    much = generating_bill(tariff, CLOCK, heating, other, 10 * generation, ExportTerms(0.05 / KWH, "year"))
    # January to May pay; June leaves 29 · 720 = 20,880 kWh, of which the 4,416 of July to December are met and the rest is paid
    assert much.without_heating == pytest.approx(151 * 24 * 0.20 - (20_880 - 4_416) * 0.05)


@pytest.mark.parametrize(("metering", "netted"), [("none", 0.0), ("month", 720.0), ("year", 0.0)])
def test_what_of_generation_counts_for_heating_is_plain(metering: str, netted: float) -> None:
    tariff, june, hours = Tariff("electricity", 0.20 / KWH), CLOCK.month == 6, CLOCK.clock_hour
    generation = np.where(june & (hours == 12), 48 * KWH, 0.0)
    heating = np.where(june & (hours < 12), 744 / 360 * KWH, 0.0)
    other = np.full(8760, 1.0 * KWH)
    one = heating_share(tariff, CLOCK, heating, other, generation, ExportTerms(0.15 / KWH, metering))
    # June: 1,440 kWh, of which the house takes 720 and heating, always before noon, nothing at once; a month nets its 720 left over
    # at 0.20 instead of 0.15 and pays for 24; over a year what June leaves would have met the house's later use
    assert (one.house_j + one.exported_j) / KWH == pytest.approx(1440.0)
    assert one.heating_j == 0.0
    assert one.counted_j / KWH == pytest.approx(netted)
    assert one.saved == pytest.approx(netted * (0.20 - 0.15))


@pytest.mark.parametrize("metering", ["none", "month", "year"])
def test_scenarios_price_the_study_as_its_bill_does(metering: str) -> None:
    case = solar_study(export="0.04 $/kWh", net_metering=metering)
    weather = load_weather(case)
    result, common = simulate(case, weather), lower_study(case, weather)
    for option, typed in zip(result.options, case.options, strict=True):
        assert price_batch(common, run_once(common, typed), {})[0] == pytest.approx(option.cost_total, rel=1e-9)
    plain = simulate(case_from(demo()), weather)
    # heating is no dearer beside panels than without, and never for less than what export would have paid
    electric, without = result.options[0], plain.options[0]
    assert electric.cost_total <= without.cost_total + 1e-6
    kwh = sum(source.input_j + source.auxiliary_j for source in electric.sources) / KWH
    assert electric.cost_total > 0.04 * kwh
    assert electric.self_use is not None
    assert electric.self_use.generated_j == pytest.approx(
        electric.self_use.house_j + electric.self_use.heating_j + electric.self_use.exported_j
    )


@pytest.mark.parametrize("metering", ["none", "month", "year"])
def test_over_the_years_what_heating_adds_to_a_generating_house_is_split_as_with_a_pencil(metering: str) -> None:
    data = study({"kind": "electric", "output": "9 kW"}).typed
    data["house"] |= {"other_electricity": "8760 kWh/year"}
    # invented: below 9,000 kWh from the grid in a year, 120 $ are due, which heating spares the house whatever a kWh costs
    short = {"minimum_use": "9000 kWh/year", "minimum_use_price": "0 $/kWh", "minimum_use_fee": "120 $"}
    data["prices"]["electricity"] = {"energy": "0.20 $/kWh", "fixed": "10 $/month", **short}
    data["solar_electric"] = {"hours": "pv.csv", "export": "0.03 $/kWh", "net_metering": metering}
    data["option"][0] |= {"first_cost": "5000 $"}
    data["economics"] = {
        "discount_rate": "3 %/year",
        "study_period": 3,
        "price_path": {"electricity": ["100 %", "150 %", "200 %"]},
    }
    hours = "".join("10\n" if i % 24 == 12 else "0\n" for i in range(8760))  # at noon alone, more than the house takes
    case = case_from(data, files=StudyFiles(opened={"pv.csv": f"electricity [kWh]\n{hours}".encode()}))
    option, common = case.options[0], lower_study(case, WEATHER)
    found = simulate(case, WEATHER).options[0]
    heating = sum(bought_j(common, lower_option(common, option).offers, found.hourly).values()) / KWH
    other = case.other_electricity_j(common.calendar)[12::24] / KWH
    at_noon = np.minimum(heating[12::24], 10.0 - other).sum()
    assert min(heating[12::24].sum(), (10.0 - other).min()) > 0
    # no net metering: what heating takes at noon costs what export would have paid; with it, each kWh costs the grid's price,
    # since no month generates more than the house uses
    energy = 0.20 * heating.sum() - (0.20 - 0.03) * at_noon * (metering == "none")
    bill = found.bills["electricity"]
    assert (bill.total - bill.fixed, bill.fixed) == (pytest.approx(energy), pytest.approx(-120.0))
    present = 5000 + sum((path * energy - 120) / 1.03**year for year, path in ((1, 1.0), (2, 1.5), (3, 2.0)))
    assert outlay(case, option, found).present_cost == pytest.approx(present)
    _, life = OptionCosts(common, option).at({"electricity": np.ones(1)})
    assert life == pytest.approx([present])
    assert smallest(case, WEATHER, option=option.name, what="output").present_cost_today == pytest.approx(present)


def test_generation_from_a_file_and_without_any_is_a_plain_bill() -> None:
    data = demo()
    data["solar_electric"] = {"hours": "pv.csv", "export": "0.04 $/kWh"}
    rows = "electricity [kWh]\n" + "0\n" * 8760
    case = case_from(data, files=StudyFiles(opened={"pv.csv": rows.encode()}))
    weather = load_weather(case)
    for one, other in zip(simulate(case, weather).options, simulate(case_from(demo()), weather).options, strict=True):
        assert one.cost_total == pytest.approx(other.cost_total, rel=1e-12)
    with pytest.raises(InputError, match=r"solar_electric\.hours: 'pv\.csv': 8759 rows"):
        case_from(data, files=StudyFiles(opened={"pv.csv": rows[:-2].encode()}))


def test_the_command_shows_where_generation_goes(tmp_path, capsys) -> None:
    data = demo()
    data["solar_electric"] = {"peak_power": "5 kW", "export": "0.04 $/kWh"}
    (tmp_path / "s.toml").write_text(write_study(data), encoding="utf-8")
    assert main(["compare", str(tmp_path / "s.toml")]) == 0
    text = " ".join(capsys.readouterr().out.split())
    for part in ("used by heating", "exported", "no battery", "PVWatts model"):
        assert part in text


@pytest.mark.parametrize(
    ("own", "house", "line"),
    [
        ({}, {}, "own generation is given twice or not at all"),
        ({"peak_power": "5 kW", "hours": "x.csv"}, {}, "own generation is given twice or not at all"),
        ({"peak_power": "5 kW", "export": "0.5 $/gal"}, {}, "export is no price of electricity"),
        ({"peak_power": "5 kW"}, {"other_electricity": None}, "needs what the house uses besides heating"),
        ({"peak_power": "5 kW", "export": "0.05 €/kWh"}, {}, "solar_electric.export: '0.05 €/kWh' is in €"),
    ],
)
def test_what_is_wrong_is_one_line(own: dict[str, Any], house: dict[str, Any], line: str) -> None:
    data = demo()
    data["solar_electric"] = own
    data["house"] = {key: value for key, value in {**data["house"], **house}.items() if value is not None}
    with pytest.raises(InputError) as caught:
        case_from(data)
    assert line in str(caught.value)
    assert len(caught.value.faults) == 1


def test_a_bill_without_sun_is_the_marginal_bill() -> None:
    tariff = Tariff("electricity", 0.20 / KWH)
    assert bill(tariff, CLOCK, np.full(8760, KWH)).total == pytest.approx(8760 * 0.20)


def test_the_cheapest_source_is_called_by_what_export_would_have_paid() -> None:
    """Electricity at 20 ct, gas heat at 10 ct, export at 4 ct: panels heat before gas where they cover at least 10/16 of the hour."""
    data = demo()
    data.pop("tank", None)
    data["house"] |= {"other_electricity": "3000 kWh/year"}
    data["prices"] = {"electricity": {"energy": "0.20 $/kWh"}, "natural_gas": {"energy": "0.09 $/kWh"}}
    gas = {"kind": "gas", "fuel": "natural_gas", "output": "15 kW", "efficiency": "90 %", "cycling_degradation": 0}
    both = [gas, {"kind": "electric", "output": "15 kW", "efficiency": "100 %"}]
    data["option"] = [
        {"name": "Cheapest", "rule": "cheapest_now", "source": both},
        {"name": "Gas first", "source": both},
    ]
    plain = case_from(data)
    weather = load_weather(plain)
    assert simulate(plain, weather).options[0].hourly.heat_w[1].max() < 1.0
    data["solar_electric"] = {"peak_power": "12 kW", "export": "0.04 $/kWh"}
    case = case_from(data)
    found = simulate(case, weather)
    common = lower_study(case, weather)
    left = np.maximum(generation_j(case, weather) - case.other_electricity_j(common.calendar), 0.0) / 3600
    cheapest, first = found.options
    wanted = np.minimum(common.demand_w, 15e3)
    share = np.minimum(left, wanted) / np.maximum(wanted, 1e-9)
    by_electricity = share * 0.04 + (1 - share) * 0.20 < 0.09 / 0.90 - 1e-9
    hours = wanted > 50
    assert 100 < np.count_nonzero(by_electricity & hours) < np.count_nonzero(hours)
    electric, gas_w = cheapest.hourly.heat_w[1], cheapest.hourly.heat_w[0]
    assert (electric[hours & by_electricity] > 0.99 * wanted[hours & by_electricity]).all()
    assert (gas_w[hours & ~by_electricity] > 0.99 * wanted[hours & ~by_electricity]).all()
    assert cheapest.cost_total < first.cost_total - 10
    assert "at its export price" in next(one.value for one in found.assumptions if one.what == "own generation")
    # with net metering a kilowatt-hour exported is worth as much as one bought, and gas is cheaper
    data["solar_electric"] |= {"net_metering": "year"}
    assert simulate(case_from(data), weather).options[0].hourly.heat_w[1].max() < 1.0


def test_a_demand_charge_sees_what_is_taken_from_the_grid_in_many_years_as_in_one() -> None:
    data = demo("net_loft")
    data["solar_electric"] = {"peak_power": "40 kW", "export": "0.05 $/kWh", "net_metering": "month"}
    data["house"]["other_electricity"] = "5000 kWh/year"
    data["prices"]["electricity"]["demand"] = [{"price": "9 $/kW", "windows": ["11:00-14:00"]}]
    data["option"] = data["option"][:1]
    data["prices"] = {"electricity": data["prices"]["electricity"]}
    case = case_from(data)
    weather = load_weather(case)
    common = lower_study(case, weather)
    many = price_batch(common, run_once(common, case.options[0]), {})
    assert many[0] == pytest.approx(simulate(case, weather).options[0].cost_total, rel=1e-12)
