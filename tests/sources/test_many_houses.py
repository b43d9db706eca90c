"""What a source offers to many houses at once is what it offers to each of them alone."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, sample_weather, study, wavy_weather

from costsim.engine.lower import lower_study
from costsim.sources import KINDS, Surroundings
from costsim.sources.houses import Houses, Moments

GREENSBORO = sample_weather()
POINT = {"outdoor": "-7 degC", "supply": "34 degC", "output": "5 kW", "cop": 2.8}
NAMES = {
    "capacity": "capacity_w",
    "heat_per_input": "heat_per_input",
    "charge": "charge_j",
    "ahead": "ahead_j",
    "until": "until_j",
}
GAS = {"kind": "gas", "output": "12 kW"}
SOURCES: list[dict[str, Any]] = [
    {**GAS, "condensing": True}, {**GAS, "efficiency": "90 %", "flow": "0.7 gpm"}, {**GAS, "condensing": True, "store": True, "flow": "0.7 gpm"},
    dict(KINDS["heat_pump"].example),
    {"kind": "heat_pump", "test_point": [POINT, {**POINT, "supply": "55 degC", "output": "4 kW", "cop": 2.0}]},
    {**KINDS["heat_pump"].example, "max_outlet_temperature": "34 degC"}, dict(KINDS["solar"].example),
]  # fmt: skip


def alone(source: Any, seen: Surroundings, house: dict[str, Any]) -> dict[str, Any]:
    """What follows the house, from an offer to it alone."""
    offer = source.offer(replace(seen, **house))
    return {name: getattr(offer, NAMES[name]) for name in source.follows_house() if name != "scalars"} | {
        "slope": offer.slope_w_k
    }


def together(seen: Surroundings, houses: list[dict[str, Any]], uses_w: Any, even: bool) -> Houses:
    """Houses at the moments of a year: hours of one outdoor temperature, one use and the houses' own figures are one."""
    rows = [one[name] for one in houses for name in ("demand_w", "water_c")]
    moments = Moments.of_rows([seen.weather.outdoor_c, uses_w, *rows])
    stacked = {name: np.stack([one[name][moments.first] for one in houses], axis=1) for name in ("demand_w", "water_c")}
    outdoor = replace(seen.weather, outdoor_c=seen.weather.outdoor_c[moments.first][:, None])
    return Houses(replace(seen, weather=outdoor, **stacked), seen, moments, uses_w, even)


@pytest.mark.parametrize("typed", SOURCES, ids=lambda one: "-".join([one["kind"], *list(one)[1:]])[:40])
def test_houses_together_are_offered_what_each_is_offered_alone(typed: dict[str, Any]) -> None:
    common = lower_study(study(typed, tank__volume="400 L", tank__max_temperature="70 degC"), GREENSBORO)
    source, seen = common.case.options[0].sources[0], common.surroundings
    houses = [{"demand_w": k * seen.demand_w, "water_c": seen.water_c + k} for k in (1.0, 0.4, 7.0)]
    many = together(seen, houses, np.zeros(8760), True)
    found, of = source.for_houses(many), many.moments.of
    assert found is not None
    assert {*found.by_moment, *(("scalars",) if found.scalars else ())} == source.follows_house()
    shared = source.shared_capacity_w(seen)
    for at, house in enumerate(houses):
        by_hand = alone(source, seen, house)
        for name, values in found.by_moment.items():
            rows = np.broadcast_to(values, (of.max() + 1, 3))[of, at]
            if shared is not None:
                rows = np.maximum(rows + shared, 0.0)
            np.testing.assert_allclose(rows, by_hand[name], rtol=1e-9, atol=1e-6)
        for slopes in found.scalars.values():
            assert slopes[at] == pytest.approx(by_hand["slope"])


def test_collectors_of_many_houses_in_the_dark() -> None:
    common = lower_study(study(KINDS["solar"].example, tank__volume="400 L"), constant_weather(0.0))
    source, seen = common.case.options[0].sources[0], common.surroundings
    houses = [{"demand_w": seen.demand_w, "water_c": seen.water_c + k} for k in (0.0, 9.0)]
    found = source.for_houses(together(seen, houses, np.zeros(8760), True))
    assert found is not None
    # 40 K over outdoors, as for one house: 3.8 + 2 × 0.015 × 40 are 5.0 W/(m² K), of 10 m²
    assert found.scalars["slope_w_k"] == pytest.approx([50.0, 50.0])


def warm_but(at: dict[int, float]) -> Any:
    """Weather in which the house wants nothing, 25 °C, but in some hours [°C]."""
    outdoor = np.full(8760, 25.0)
    outdoor[list(at)] = list(at.values())
    return outdoor


FIRE = {"kind": "wood", "charge": "20 kg", "efficiency": "60 %"}


@pytest.mark.parametrize("even", [True, False])
@pytest.mark.parametrize(
    ("outdoor", "use_w"),
    [
        # in the evening of the last day the year ends while a fire burns; its last hour alone is cold
        (warm_but({8759: 0.0}), {}), (warm_but({8740: 0.0, 8759: 5.0}), {8757: 700.0}),
        # heat is first wanted 23, 24 and 25 hours after a loading at seven, and in one hour by a use of half a watt
        (warm_but({7 + 24 * 9 + 23: 0.0, 7 + 24 * 19 + 24: 0.0, 7 + 24 * 29 + 25: 0.0}), {7 + 24 * 39 + 3: 0.5}),
        # a house at 20 °C less half a thousandth wants a tenth of a watt, more or less
        (warm_but({500: 19.9995}), {}), (np.where(np.arange(8760) < 4000, -5.0, 30.0), {6000: 900.0}),
    ],
)  # fmt: skip
def test_fires_of_many_houses_are_lit_where_each_alone_would_light_them(
    outdoor: Any, use_w: dict[int, float], even: bool
) -> None:
    weather = wavy_weather(outdoor)
    common = lower_study(study(FIRE | {"burn_time": "6 h", "load_times": ["07:00", "21:00"]}), weather)
    source, seen = common.case.options[0].sources[0], common.surroundings
    uses = np.zeros(8760)
    uses[list(use_w)] = list(use_w.values())
    houses = [{"demand_w": k * seen.demand_w, "water_c": seen.water_c} for k in (1.0, 0.3)]
    found = source.for_houses(together(seen, houses, uses, even))
    assert found is not None
    assert found.by_hour is not None
    assert {*found.by_hour.values} == source.follows_house()
    for at, house in enumerate(houses):
        by_hand = alone(source, seen, house | {"demand_w": house["demand_w"] + uses})
        charge = np.zeros(8760)
        charge[found.by_hour.hours] = found.by_hour.values["charge"][:, at]
        assert charge.any()
        np.testing.assert_allclose(charge, by_hand["charge"])
        lit = found.by_hour.hours
        for name in ("ahead", "until"):
            assert found.by_hour.values[name][:, at] == pytest.approx(by_hand[name][lit], rel=1e-6, abs=1e-6)


def test_a_fire_is_lit_for_heat_within_a_day_and_not_a_day_later() -> None:
    """Heat from six in the morning of a day on is 23 hours from the loading at seven before; from seven on it is 24."""
    for first_h, day in ((24 * 100 + 6, 99), (24 * 100 + 7, 100)):
        weather = wavy_weather(np.where(np.arange(8760) < first_h, 25.0, 0.0))
        common = lower_study(study(FIRE | {"burn_time": "5 h", "load_times": ["07:00"]}), weather)
        charge = common.case.options[0].sources[0].offer(common.surroundings).charge_j
        assert np.flatnonzero(charge)[0] == 24 * day + 7
