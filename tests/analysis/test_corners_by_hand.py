"""Corners of the questions asked of a study, each with everything around it made up and the answer worked by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from analysis.test_foresight_by_hand import KWH, N, day
from stand_ins import Unit

from costsim.analysis import decision, sized_years
from costsim.analysis.foresight import perfect_foresight
from costsim.analysis.size_steps import output_of
from costsim.engine import layout as k

# least-cost years


@pytest.mark.parametrize(("fire", "bought_kwh"), [(False, 20.0 * (1.0 - (10.0 / 11.0) ** N)), (True, 0.0)])
def test_sun_warms_the_tank_alone_and_a_fire_the_floor_s_water_too(fire: bool, bought_kwh: float) -> None:
    """2 kW for a floor that wants water 10 K over the room for each kilowatt, from a tank as cold as the room that ends no warmer.

    The sun's 2 kW for nothing go into the tank: of u kelvin it lets u/10 kW out, and the boiler gives the rest, b, which the tank keeps:
    u = u' + b and 10 (2 - b) = u, so that 20 - u falls by 10/11 in each hour. A fire's heat passes the floor first.
    """
    free = {"MUST_RUN": 1.0, k.CAPACITY: 2000.0}
    if fire:
        free |= {"BURN_POWER": 2000.0, k.CHARGE: np.where(np.arange(N) == 0, 48 * KWH, 0.0), k.AHEAD: 1e9}
    plant, rule = day(free, {k.CAPACITY: 10e3})
    plant.scalars[k.WATER_RESISTANCE] = 0.01
    heat = np.stack([np.zeros(N), np.full(N, 2000.0)])
    rule = replace(rule, tank_c=np.full(N, 20.0), delivered_w=np.full(N, 2000.0), heat_w=heat)
    prices = np.stack([np.zeros(N), np.full(N, 0.1)]) / KWH
    found = perfect_foresight(plant, prices, rule)
    assert found.heat_w[1].sum() / 1e3 == pytest.approx(bought_kwh, abs=0.01)
    assert found.cost == pytest.approx(0.1 * bought_kwh, abs=0.001)
    # the cost is that of the heat, to the last digit: what else steers the program costs nothing
    assert found.cost == pytest.approx(float((found.heat_w * prices).sum()) * 3600.0, rel=1e-12, abs=1e-15)


# sizes


def test_collectors_give_in_step_with_their_area() -> None:
    """20 m² on whose plate stand 14 kW are 700 W a square meter: 6 m² are 4.2 kW."""
    collectors: Any = Unit(nameplate_w=lambda: 14e3, area_m2=20.0)
    assert output_of(collectors, "solar collector area", 6.0) == pytest.approx(4200.0)


def test_only_rows_that_differ_are_kept_apart_and_a_collector_s_own_is_added_to_nothing() -> None:
    """Targets are one array, charges are equal, what is drawn ahead and heat per input differ: those two and the capacity are apart."""
    n, target = 3, np.full(3, 60.0)

    def offer(capacity: float, ahead: float, per_input: float) -> Any:
        return SimpleNamespace(
            capacity_w=np.full(n, capacity), target_c=target, charge_j=np.full(n, 5.0), ahead_j=np.full(n, ahead), until_j=None,
            heat_per_input=np.full(n, per_input),
        )  # fmt: skip

    hours, per_heat = np.full((2, k.SOURCE_HOURS, n), -7.0), np.full((2, n), -7.0)
    own = sized_years._rows_apart(1, [offer(10.0, 1.0, 0.5), offer(20.0, 2.0, 0.25)], hours, per_heat)
    first = k.SOURCES + k.SOURCE_ROWS
    apart = {first + k.CAPACITY: 0, first + k.AHEAD: 1, first + k.PER_HEAT: 2}
    assert {at: place for at, place in enumerate(own.at.tolist()) if place >= 0} == apart
    assert len(own.at) == k.SOURCES + 2 * k.SOURCE_ROWS
    assert own.values.reshape(n, 3, 2).tolist() == [[[10.0, 20.0], [1.0, 2.0], [2.0, 4.0]]] * n
    # what all lanes share: nothing of the capacity, and the first one's of the rest
    assert hours[1, :, 0].tolist() == [0.0, 60.0, 5.0, 1.0, 0.0]
    assert per_heat[1].tolist() == [2.0] * n
    assert (hours[0] == -7.0).all()
    assert (per_heat[0] == -7.0).all()
    alike = sized_years._rows_apart(0, [offer(10.0, 1.0, 0.5)] * 2, hours, per_heat)
    assert np.flatnonzero(alike.at >= 0).tolist() == [k.SOURCES + k.CAPACITY]


# decisions


def test_a_year_costs_its_bills_and_its_upkeep(monkeypatch: pytest.MonkeyPatch) -> None:
    """Bills of 900 and 1,000 with 75 a year for upkeep; of 10,000 a rebate of 500 and 300 at once come off, 200 a year later do not."""
    monkeypatch.setattr(decision, "co2_of_runs", lambda common, option, run: np.array([1.0, 2.0]))
    monkeypatch.setattr(decision, "life_cycle_of_runs", lambda *given: np.array([3.0, 4.0]))
    monkeypatch.setattr(decision, "price_batch", lambda common, run, prices: np.array([900.0, 1000.0]))
    monkeypatch.setattr(decision, "upkeep_of", lambda option: 75.0)
    paid = ([(SimpleNamespace(year=0), 300.0), (SimpleNamespace(year=1), 200.0)], 0.0)
    monkeypatch.setattr(decision, "incentives_of", lambda option, tax: paid)
    common: Any = SimpleNamespace(case=SimpleNamespace(economics=SimpleNamespace(tax_liability_money=None)))
    run: Any = SimpleNamespace(sums=np.arange(2.0 * k.SUMS).reshape(2, k.SUMS))
    for given, to_buy in ((True, 9200.0), (False, None)):
        option: Any = SimpleNamespace(name="one", first_cost_given=given, first_cost_money=10_000.0, rebate_money=500.0)
        found = decision._option(common, option, run, SimpleNamespace(prices={}), {})  # type: ignore[arg-type]
        assert found.to_run.tolist() == [975.0, 1075.0]
        assert (found.name, found.to_buy, found.life_cycle.tolist()) == ("one", to_buy, [3.0, 4.0])
        assert found.unmet_hours.tolist() == [k.SHORT_HOURS, k.SUMS + k.SHORT_HOURS]
