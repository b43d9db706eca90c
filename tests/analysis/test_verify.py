"""A study held against bills made from known houses: measures by hand, each cause found alone, a retrofit to the day."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
from bills.houses import bills_of, winters
from scipy import stats

from costsim import load_weather, read_study
from costsim.analysis import billed_source as billed_module
from costsim.analysis import guideline14 as g14
from costsim.analysis.billed_source import BilledSource
from costsim.analysis.verify import Verification, as_json, by_month, the_one, verify
from costsim.bills.fit import Efficiency
from costsim.bills.model import Bills
from costsim.engine.lower import LoweredStudy, lower_study
from costsim.errors import InputError
from costsim.tariffs.charges import Tariff

WEATHER = winters(years=3)
PRICE = 1.2 / 105.5e6
"""Money for each joule of the tariff, which has nothing else."""
SOURCE = BilledSource("Natural gas", Efficiency(0.9, 0.85, 0.95, "as told"), (("natural_gas", 1.0),))


def test_own_generation_is_no_gap() -> None:
    """Panels that take 600 W off the meter in the first half of the year and 200 W in the second leave 400 and 800 W of a base of 1 kW."""
    study = lowered()
    known = study.case.house.model_copy(update={"other_electricity_j_year": 8760 * 3.6e6})
    told = replace(study, case=study.case.model_copy(update={"house": known}))
    own_w = np.repeat([600.0, 200.0], [181, 184])
    bills = house(base_w=1000.0)
    for row in range(bills.n_periods):
        days = np.arange(bills.start_day[row], bills.end_day[row])
        early = (days - days.astype("datetime64[Y]")).astype(int) < 181
        bills.energy_j[row] -= (600.0 * early.sum() + 200.0 * (~early).sum()) * 86400.0
    source = replace(SOURCE, household_meter=True, own_by_day_w=own_w)
    found = verify(told, source, bills, WEATHER)
    assert (found.nmbe, found.cv_rmse) == pytest.approx((0.0, 0.0), abs=1e-6)
    # its causes still add up to the whole gap, and the base is named with it
    assert sum(one.energy_j for one in found.shares) == pytest.approx(
        found.bills.energy_j.sum() - found.planned_j, rel=1e-9
    )
    assert any("less own generation" in one.what for one in found.shares)
    # nor is export, which the study credits and no meter of what comes in counts, a gap of money
    sold = replace(told, tariffs={**told.tariffs, "electricity": Tariff("electricity", price_per_j=PRICE)})
    credited = verify(sold, replace(source, services=(("electricity", 1.0),)), bills, WEATHER, paid=1000.0)
    assert (credited.planned_cost, credited.predicted_cost, {one.cost for one in credited.shares}) == (
        None,
        None,
        {None},
    )
    assert "the study credits what the panels export, so money is not compared" in credited.notes
    assert not any("panels" in note for note in verify(told, SOURCE, bills, WEATHER).notes)


def test_what_panels_take_off_the_meter_goes_by_the_hour_or_by_net_metering(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two days. Made: 3 kWh at noon of the first. Used then: 0.5 of the house, 1 of the elements, 0.2 of pump and fan: 1.7 kWh; of net metering, 3."""
    made = np.zeros(48)
    made[12] = 3 * 3.6e6
    monkeypatch.setattr(billed_module, "generation_j", lambda case, weather: made)
    hour = np.zeros(48)
    hour[12] = 1000.0
    hourly = SimpleNamespace(
        pump_w=0.15 * hour, auxiliary_w=np.array([0.05 * hour, 0.0 * hour]), input_w=np.array([hour, hour])
    )
    sources = (SimpleNamespace(price_key="electricity"), SimpleNamespace(price_key="off_peak"))
    ran = SimpleNamespace(hourly=hourly, sources=sources)
    result = SimpleNamespace(lowered=SimpleNamespace(weather=None, calendar=None))
    for way, kwh in (("none", 1.7), ("month", 3.0)):
        case = SimpleNamespace(solar_electric=object(), other_electricity_j=lambda calendar: np.full(48, 0.5 * 3.6e6))
        monkeypatch.setattr(billed_module, "export_terms", lambda case, way=way: SimpleNamespace(net_metering=way))
        own_w = billed_module._own_by_day_w(case, result, ran)  # type: ignore[arg-type]
        assert own_w == pytest.approx([kwh * 1000.0 / 24.0, 0.0])


@cache
def lowered() -> LoweredStudy:
    case = read_study("lantern_cottage")
    study = lower_study(case, load_weather(case))
    return replace(study, tariffs={**study.tariffs, "natural_gas": Tariff("gas", price_per_j=PRICE)})


def house(base_w: float = 0.0, slope: float = 1.0, warmer_k: float = 0.0, **more: object) -> Bills:
    """Bills of the study's own house, changed in known ways."""
    study = lowered()
    return bills_of(
        WEATHER, base_w=base_w, slope_w_k=slope * study.loss_w_k / 0.9,
        balance_c=float(np.mean(study.balance_c)) + warmer_k, noise=0.0, **more,  # type: ignore[arg-type]
    )  # fmt: skip


def held(bills: Bills, **more: object) -> Verification:
    return verify(lowered(), SOURCE, bills, WEATHER, **more)  # type: ignore[arg-type]


def test_a_study_that_is_right_has_no_bias_and_no_scatter() -> None:
    found = held(house())
    assert found.nmbe == pytest.approx(0.0, abs=1e-9)
    assert found.cv_rmse == pytest.approx(0.0, abs=1e-9)
    assert found.meets_limits
    causes = {one.what.split(":")[0].split(",")[0]: one.energy_j for one in found.shares}
    gap = found.bills.energy_j.sum() - found.planned_j
    assert causes["weather"] == pytest.approx(gap, rel=1e-6)
    assert found.avoided is None


def test_hot_water_that_the_study_counts_is_no_gap() -> None:
    found = verify(lowered(), replace(SOURCE, base_w=300.0), house(base_w=300.0), WEATHER)
    assert (found.nmbe, found.cv_rmse) == pytest.approx((0.0, 0.0), abs=1e-9)
    causes = {one.what.split(":")[0].split(",")[0]: one.energy_j for one in found.shares}
    assert causes["base use"] == pytest.approx(0.0, abs=1e-6 * found.planned_j)


def test_base_use_alone_is_told_from_a_house_that_does_not_fit() -> None:
    """The base of 1 kW for all hours of the bills is what remains of a house that fits; a steeper one, or none left out, is none of it."""
    bills = house(base_w=1000.0)
    found = held(bills)
    assert not found.meets_limits
    assert found.left_j == pytest.approx(1000.0 * float(found.bills.days.sum()) * 86400.0, rel=1e-3)
    assert found.left_j + found.predicted_j.sum() == pytest.approx(found.bills.energy_j.sum(), rel=1e-3)
    assert held(house(base_w=1000.0, slope=1.3)).left_j == 0.0
    assert held(house()).left_j == 0.0
    assert verify(lowered(), replace(SOURCE, base_w=1000.0), bills, WEATHER).left_j == 0.0


def test_the_house_of_bills_goes_by_the_efficiency_of_their_heater() -> None:
    """A loss found at 92 % is 82/92 of it at 82 %: of 783 Btu/(h °F), 698; the question is the first note."""
    usual = replace(SOURCE, option="", efficiency=Efficiency(0.82, 0.72, 0.92, "Which heater used it?"), asked=True)
    proposed = replace(SOURCE, efficiency=Efficiency(0.92, 0.9, 0.94, "proposed"))
    asked, silent = (verify(lowered(), source, house(), WEATHER) for source in (usual, proposed))
    assert 783.0 * asked.fit.now.loss_w_k / silent.fit.now.loss_w_k == pytest.approx(698.0, abs=0.5)
    assert asked.notes[0] == "Which heater used it?"
    assert "Which heater used it?" not in silent.notes
    assert (as_json(asked)["option"], as_json(asked)["efficiency"]) == ("", 0.82)


def test_a_second_building_and_the_household_s_own_electricity_are_no_gap() -> None:
    """A shop with a fifth of the house's heat makes the line 1.2 times as steep; 8,760 kWh in a year of 8,760 h are 1 kW of base."""
    beside = replace(SOURCE, beside_share=0.2)
    found = verify(lowered(), beside, house(slope=1.2), WEATHER)
    assert (found.nmbe, found.cv_rmse) == pytest.approx((0.0, 0.0), abs=1e-9)
    study = lowered()
    known = study.case.house.model_copy(update={"other_electricity_j_year": 8760 * 3.6e6})
    told = replace(study, case=study.case.model_copy(update={"house": known}))
    found = verify(told, replace(SOURCE, household_meter=True), house(base_w=1000.0), WEATHER)
    assert (found.nmbe, found.cv_rmse) == pytest.approx((0.0, 0.0), abs=1e-6)
    # a meter of its own has none of it
    assert verify(told, SOURCE, house(base_w=1000.0), WEATHER).nmbe != pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize(
    ("changed", "cause"),
    [
        ({"base_w": 300.0}, "base use"),
        ({"slope": 1.2}, "efficiency"),
        ({"slope": 0.8}, "efficiency"),
        ({"warmer_k": 1.0}, "set-point"),
        ({"warmer_k": -1.5}, "set-point"),
    ],
)
def test_each_cause_alone_takes_the_whole_gap(changed: dict[str, float], cause: str) -> None:
    bills = house(**changed)
    found = held(bills)
    plain = found.predicted_j.sum()
    for one in found.shares:
        if one.what.startswith("weather"):
            continue
        expected = bills.energy_j.sum() - plain if one.what.startswith(cause) else 0.0
        assert one.energy_j == pytest.approx(expected, abs=0.002 * plain), one.what
    total = sum(one.energy_j for one in found.shares)
    assert total == pytest.approx(bills.energy_j.sum() - found.planned_j, rel=1e-9)


def test_shares_add_up_when_all_causes_act_and_the_price_counts_the_metered_use() -> None:
    bills = house(base_w=250.0, slope=1.15, warmer_k=-0.7)
    paid = 1.1 * float(bills.energy_j.sum()) * PRICE
    found = held(bills, paid=paid)
    assert sum(one.energy_j for one in found.shares) == pytest.approx(bills.energy_j.sum() - found.planned_j, rel=1e-9)
    assert found.planned_cost is not None
    assert sum(one.cost or 0.0 for one in found.shares) == pytest.approx(paid - found.planned_cost, rel=1e-9)
    assert found.shares[0].cost == pytest.approx(paid / 11.0, rel=1e-9)
    by_file = replace(bills, cost=1.1 * bills.energy_j * PRICE, currency="$")
    assert held(by_file, currency="$").paid == pytest.approx(paid)
    assert held(by_file, currency="€").paid is None
    first = as_json(held(by_file, currency="$"))["periods"][0]
    assert first["paid"] == pytest.approx(1.1 * first["metered_kwh"] * 3.6e6 * PRICE)
    assert first["predicted_cost"] == pytest.approx(first["predicted_kwh"] * 3.6e6 * PRICE)
    data = as_json(found)
    assert len(data["periods"]) == bills.n_periods


def test_a_house_that_changed_is_a_cause_of_its_own() -> None:
    """A quarter less heat loss from the fifteenth bill on: the study has the house of today, and only the days before are off."""
    study = lowered()
    slope, balance = 0.75 * study.loss_w_k / 0.9, float(np.mean(study.balance_c))
    made = bills_of(
        WEATHER, base_w=0.0, slope_w_k=slope / 0.75, balance_c=balance, noise=0.0, change=(14, 0.75), months=32
    )
    found = verify(replace(study, loss_w_k=0.75 * study.loss_w_k), SOURCE, made, WEATHER)
    shares = {one.what: one.energy_j for one in found.shares}
    (change,) = [joule for what, joule in shares.items() if what.startswith("the house before it changed on 2021-0")]
    excess = made.energy_j[:14].sum() * 0.25
    assert change == pytest.approx(excess, rel=0.02)
    assert shares["not explained by weather and a line"] == pytest.approx(0.0, abs=0.02 * excess)
    assert sum(shares.values()) == pytest.approx(made.energy_j.sum() - found.planned_j, rel=1e-9)


def test_measures_by_hand() -> None:
    """Four months by hand: differences 10, -20, 5, 25 of a mean of 100, one parameter."""
    metered, predicted = np.array([80.0, 90.0, 105.0, 125.0]), np.array([70.0, 110.0, 100.0, 100.0])
    assert g14.nmbe(metered, predicted) == pytest.approx(20.0 / (3 * 100.0))
    assert g14.cv_rmse(metered, predicted) == pytest.approx(np.sqrt((100 + 400 + 25 + 625) / 3) / 100.0)


def test_uncertainty_of_savings_by_hand() -> None:
    """n = 36, m = 12, ρ = 0.5: n' = 12; t of 33 degrees of freedom at 90 % is 1.692 (tables)."""
    assert stats.t.ppf(0.95, 33) == pytest.approx(1.692, abs=5e-4)
    expected = 1.692 * 1.26 * 0.08 / 0.15 * np.sqrt(36 / 12 * (1 + 2 / 12) / 12)
    got = g14.savings_uncertainty(cv=0.08, fraction=0.15, before=36, after=12, parameters=3, correlation=0.5)
    assert got == pytest.approx(expected, rel=5e-4)


def daily_house(day: int, factor: float, noise: float = 0.06, base_w: float = 300.0) -> Bills:
    """Use of each day of two years, with another slope from a day on."""
    random = np.random.default_rng(7)
    study = lowered()
    days = WEATHER.days[30:760]
    outdoor = WEATHER.outdoor_c[30:760]
    slope = study.loss_w_k / 0.9 * np.where(np.arange(len(days)) >= day, factor, 1.0)
    mean = base_w + slope * np.maximum(float(np.mean(study.balance_c)) - outdoor, 0.0).mean(axis=1)
    energy = mean * 86400.0 * (1.0 + noise * random.standard_normal(len(days)))
    none = np.zeros(len(days), dtype=bool)
    return Bills(
        "daily.csv",
        "natural_gas",
        days,
        days + np.timedelta64(1, "D"),
        energy,
        none,
        np.zeros(len(days), dtype=np.int64),
    )


@pytest.mark.parametrize("day", [330, 346, 375])
def test_a_retrofit_in_the_middle_of_a_month_is_found_to_the_day(day: int) -> None:
    """New insulation in winter, a quarter off the slope: the day is found within one, what it avoided within its band."""
    bills = daily_house(day, 0.75)
    found = held(bills).avoided
    assert found is not None
    assert found.to_the_day
    assert abs(int((found.day - bills.start_day[day]).astype(int))) <= 1
    plain = daily_house(day, 1.0, noise=0.0)
    after = plain.start_day >= bills.start_day[day]
    truth = 1.0 - float(daily_house(day, 0.75, noise=0.0).energy_j[after].sum() / plain.energy_j[after].sum())
    assert found.fraction == pytest.approx(truth, abs=found.uncertainty * found.fraction)
    assert 0.0 < found.uncertainty < 0.5


def test_daily_readings_are_shown_by_calendar_month() -> None:
    bills = daily_house(400, 1.0)
    months = by_month(bills)
    assert months.energy_j.sum() == pytest.approx(bills.energy_j.sum())
    assert all(str(day).endswith("-01") for day in months.start_day[1:])
    assert held(bills, find_retrofit=False).bills.n_periods == months.n_periods


def test_a_retrofit_without_bills_on_both_sides_and_a_typical_year_are_refused() -> None:
    for day in ("2030-01-01", "Jan 1, 2030"):
        with pytest.raises(InputError, match="no bills lie after 2030-01-01"):
            held(house(), retrofit=day)
    with pytest.raises(InputError, match="'soon' is no day"):
        held(house(), retrofit="soon")
    with pytest.raises(InputError, match="is a typical year"):
        verify(lowered(), SOURCE, house(), replace(WEATHER, typical=True))


def test_a_retrofit_that_is_told_is_weighed_by_whole_weeks() -> None:
    """Fifty weeks before, fifty-four whole ones after and two days more, which join the last: all of what was metered counts."""
    bills = daily_house(350, 0.75, noise=0.0)
    found = held(bills, retrofit=str(bills.start_day[350]), find_retrofit=False).avoided
    assert found is not None
    assert (found.before, found.after, found.to_the_day) == (50, 54, False)
    assert found.day == bills.start_day[350]
    truth = daily_house(350, 1.0, noise=0.0).energy_j[350:].sum()
    assert found.metered_j == pytest.approx(float(bills.energy_j[350:].sum()))
    assert found.expected_j == pytest.approx(truth, rel=0.01)
    assert found.fraction == pytest.approx(1.0 - found.metered_j / found.expected_j)
    with pytest.raises(InputError, match="no bills lie before"):
        held(bills, retrofit=str(bills.start_day[0]))


def test_one_fuel_is_held_against_the_study() -> None:
    gas, oil = house(), replace(house(), fuel="heating_oil")
    assert the_one([gas]) is gas
    assert the_one([gas, oil], "heating_oil") is oil
    with pytest.raises(InputError, match="the bills are of natural_gas, heating_oil"):
        the_one([gas, oil])
    with pytest.raises(InputError, match="--fuel natural_gas or --fuel heating_oil"):
        the_one([gas, oil], "propane")


@pytest.mark.parametrize(("days", "by_months"), [(20, True), (21, False)])
def test_readings_of_less_than_three_weeks_are_shown_by_month(days: int, by_months: bool) -> None:
    bills = daily_house(400, 1.0).grouped(days)
    shown = held(bills, find_retrofit=False).bills
    assert (shown.n_periods == bills.n_periods) is not by_months
    assert shown.energy_j.sum() == pytest.approx(bills.energy_j.sum())
