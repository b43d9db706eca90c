"""Routes to a design load: envelope and rooms by hand, the strongest counts, weak and strong side by side."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, demo
from CoolProp.CoolProp import PropsSI

from costsim import simulate
from costsim.analysis.scenarios import draw, load_spread
from costsim.engine.lower import lower_study
from costsim.errors import InputError
from costsim.physics.envelope import AIR_J_M3K, TYPICAL, air_capacity_j_m3k
from costsim.study.case import Case, case_from
from costsim.units.quantity import parse
from costsim.views.result_json import as_json
from costsim.views.text_season import printed_case

BARE = ("design_heat_loss", "heat_loss_per_area", "surface", "infiltration", "room", "heat_loss_rate")
ENVELOPE = [
    {"name": "Walls and roof", "area": "300 m2", "u_value": "0.30 W/(m2 K)"},
    {"name": "Windows", "area": "25 m2", "u_value": "1.8 W/(m2 K)"},
]
AIR = {"volume": "250 m3", "changes": "0.4706 /h"}


def house(**values: Any) -> Case:
    """The first demo with other routes to its load, at −10 °C outside and 20 °C inside."""
    data = demo()
    data["house"] = {key: value for key, value in data["house"].items() if key not in BARE}
    data["house"] |= {"indoor_temperature": "20 degC", "design_indoor": "20 degC", "balance_point": "18 degC"} | values
    data["place"]["design_outdoor"] = "-10 degC"
    return case_from(data)


def load_kw(case: Case) -> float:
    return simulate(case, constant_weather(0.0)).route.load_w / 1e3


def told(**values: Any) -> str:
    with pytest.raises(InputError) as caught:
        house(**values)
    return str(caught.value)


def test_typical_values_are_the_published_ones(published) -> None:
    rows = published("envelope")
    for key, row in rows.items():
        if key.startswith("u_"):
            row.check(TYPICAL[key.removeprefix("u_")].u_value_w_m2k)
    for key in ("us_frame_wall_2x4", "us_frame_wall_2x6", "us_roof_r38"):
        si = parse(f"{rows[key].value} Btu/(h ft2 degF)", "u_value").value
        assert TYPICAL[key.removeprefix("us_")].u_value_w_m2k == pytest.approx(si, rel=0.02)


def test_air_holds_what_its_density_and_heat_capacity_say(published) -> None:
    air = PropsSI("D", "T", 293.15, "P", 101325, "Air") * PropsSI("C", "T", 293.15, "P", 101325, "Air") / 3600
    published("envelope")["air_capacity"].check(air)
    published("envelope")["air_capacity"].check(AIR_J_M3K / 3600)


def test_thin_air_carries_less_heat_out(published) -> None:
    """By volume, at one room temperature, air weighs as its pressure does: 250 m³ × 0.4706 /h × 0.34 are 40 W/K at sea level, 33.28 at 5,000 ft."""
    published("envelope")["air_5000_ft"].check(100 * air_capacity_j_m3k(altitude_m=1524.0) / AIR_J_M3K)
    data = house(surface=ENVELOPE, infiltration=AIR).typed
    low, high = (case_from({**data, "place": {**data["place"], "altitude": text}}) for text in ("0 ft", "5000 ft"))
    assert load_kw(low) == pytest.approx(5.25, rel=1e-3)
    assert load_kw(high) == pytest.approx((135 + 40 * 24.89 / 29.92) * 30 / 1e3, rel=1e-3)
    weather = replace(constant_weather(0.0), altitude_m=1524.0)  # by the weather file where the study does not say
    rooms = [{"name": "All", "surface": ENVELOPE, "infiltration": AIR}]
    result = simulate(house(room=rooms), weather)
    assert result.route.load_w == pytest.approx((135 + 40 * 24.89 / 29.92) * 30, rel=1e-3)
    said = {one.what: one for one in result.assumptions}["air that leaks"]
    assert said.value.startswith("0.283 Wh/(m³ K)")  # 0.34 × 24.89 / 29.92 = 0.2828
    assert said.key == "place.altitude"
    assert "air that leaks" not in {one.what for one in simulate(house(surface=ENVELOPE), weather).assumptions}


def test_an_envelope_by_hand() -> None:
    # 90 + 45 + 40 W/K at 30 K: 5,250 W
    assert load_kw(house(surface=ENVELOPE, infiltration=AIR)) == pytest.approx(5.25, rel=1e-3)
    recovered = house(surface=ENVELOPE, infiltration={**AIR, "recovery": "75 %"})
    assert load_kw(recovered) == pytest.approx((90 + 45 + 10) * 30 / 1e3, rel=1e-3)
    half = [ENVELOPE[0], {**ENVELOPE[1], "difference": "50 %"}]
    assert load_kw(house(surface=half)) == pytest.approx((90 + 22.5) * 30 / 1e3, rel=1e-9)


def test_rooms_by_hand_each_at_its_own_warmth() -> None:
    rooms = [
        {"name": "Living", "surface": ENVELOPE},
        {
            "name": "Bath",
            "indoor_temperature": "24 degC",
            "surface": [{"name": "Wall", "area": "10 m2", "u_value": "1 W/(m2 K)"}],
        },
    ]
    assert load_kw(house(room=rooms)) == pytest.approx((135 * 30 + 10 * 34) / 1e3)


def test_the_strongest_route_counts_unless_another_is_named() -> None:
    given = {
        "design_heat_loss": "7 kW",
        "heat_loss_per_area": "60 W/m2",
        "surface": ENVELOPE,
        "heat_loss_rate": "200 W/K",
    }
    assert load_kw(house(**given)) == pytest.approx(6.0)
    for key, kw in (("entered", 7.0), ("envelope", 4.05), ("bills", 6.0)):
        assert load_kw(house(load_from=key, **given)) == pytest.approx(kw)
    del given["heat_loss_rate"]
    assert load_kw(house(**given)) == pytest.approx(4.05)


@pytest.mark.parametrize(
    ("given", "band"),
    [
        ({"heat_loss_per_area": "60 W/m2"}, 0.40),
        ({"design_heat_loss": "7 kW"}, 0.25),
        ({"surface": ENVELOPE}, 0.20),
        ({"room": [{"name": "All", "surface": ENVELOPE}]}, 0.10),
        ({"heat_loss_rate": "200 W/K", "heat_loss_rate_band": "6 %"}, 0.06),
    ],
)
def test_the_band_of_the_route_is_carried_into_the_doubt(given: dict[str, Any], band: float) -> None:
    case = house(**given)
    assert load_spread(case) == pytest.approx(band / 1.645)  # nine in ten of a normal lie within 1.645 sigma
    assert simulate(case, constant_weather(0.0)).route.band == band
    many = case.model_copy(update={"uncertainty": case.uncertainty.model_copy(update={"scenarios": 20_000})})
    loads = np.log(draw(many, lower_study(many, constant_weather(0.0))).load)
    assert np.mean(np.abs(loads) <= band) == pytest.approx(0.90, abs=0.01)  # binomial: 4 sigma of 0.21 %


def test_routes_far_apart_are_told_and_all_are_listed() -> None:
    case = house(heat_loss_per_area="80 W/m2", heat_loss_rate="150 W/K")
    result = simulate(case, constant_weather(0.0))
    assert any("more than a third apart" in text for text in result.warnings)
    assert [one["key"] for one in as_json(result)["design_load"]["routes"]] == ["area", "bills"]
    assert as_json(result)["design_load"]["used"] == "bills"
    assert "rule of thumb, ±40%" in printed_case(case, constant_weather(0.0), "si")
    near = simulate(house(design_heat_loss="5 kW", heat_loss_rate="150 W/K"), constant_weather(0.0))
    assert not any("third apart" in text for text in near.warnings)


def test_a_typical_value_is_marked() -> None:
    case = house(surface=[{"name": "Old windows", "area": "20 m2", "typical": "window_single"}])
    result = simulate(case, constant_weather(0.0))
    assert result.route.load_w == pytest.approx(20 * 5.0 * 30)
    assert any("Old windows (5 W/m²K)" in text for text in result.warnings)


def test_faults_of_routes_are_plain() -> None:
    assert "no heat loss is given" in told()
    assert "infiltration is given without a surface" in told(design_heat_loss="7 kW", infiltration=AIR)
    assert "not among what is given; use one of entered" in told(design_heat_loss="7 kW", load_from="bills")
    both = [{"name": "Wall", "area": "10 m2", "u_value": "1 W/(m2 K)", "typical": "window_single"}]
    assert "house.surface[1]: give u_value or typical" in told(surface=both)
    assert "'glas' is not a kind of surface; use one of" in told(
        surface=[{"name": "W", "area": "1 m2", "typical": "glas"}]
    )
    assert "house.infiltration.changes" in told(surface=ENVELOPE, infiltration={"volume": "250 m3", "changes": "0.5"})
