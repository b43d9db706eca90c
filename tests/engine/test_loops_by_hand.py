"""One loop's duty, what is on a meter, and what is ready, in figures that a pencil can follow."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, wavy_weather

from costsim.engine import batch, block, loop_pumps, outdoor_uses, uses
from costsim.engine import layout as k
from costsim.engine.loop_pumps import duty, most_w, serves
from costsim.engine.lower import LoweredStudy
from costsim.engine.water_warnings import short_rooms
from costsim.errors import SolverError
from costsim.study.outdoor_uses import SnowMelt
from costsim.study.uses import HotWater
from costsim.tariffs.calendar import HourCalendar
from costsim.units.faults import build

KW, KWH = 1000.0, 3.6e6
NEAR = pytest.approx
CIRCUIT: Any = SimpleNamespace(
    area_m2=30.0, count=2, zone="occupied", length_m=90.0, leads_m=6.0, spacing_m=0.2, build_up=None, covering_m2k_w=0.05, insulation_m2k_w=None, tube=None,
)  # fmt: skip
"""Two loops of 15 m²."""


def ground(max_supply_c: float = 60.0, drop_k: float = 20.0) -> Any:
    """A room of 20 °C and water of 4 MJ/(m³ K)."""
    return SimpleNamespace(
        indoor_temperature_c=20.0, max_supply_c=max_supply_c, capacity_j_m3k=4e6, fluid="water",
        layout=SimpleNamespace(temperature_drop_k=drop_k, tube="tube"), floor=SimpleNamespace(insulation_m2k_w=2.0, build_up="slab"),
    )  # fmt: skip


def test_a_loop_is_reckoned_with_the_length_that_lies_in_its_room_and_no_more_heat_than_its_surface_may_give(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """90 m less 6 m of leads; 900 W on 15 m² are 60 W/m²; EN 1264: 29 °C in a room of 20 °C are 8.92 × 9^1.1 W/m²."""
    asked: list[Any] = []
    monkeypatch.setattr(loop_pumps, "_conductance", lambda *given: asked.append(given) or 50.0)
    assert loop_pumps.conductance_w_k(ground(), CIRCUIT, 2e-5, 900.0) == 50.0
    assert asked == [(2e-5, "water", "tube", 84.0, 0.2, "slab", 0.05, 2.0, 60.0)]
    own: Any = SimpleNamespace(**{**vars(CIRCUIT), "build_up": "plates", "insulation_m2k_w": 0.0})
    loop_pumps.conductance_w_k(ground(), own, 2e-5, 9000.0)
    assert asked[-1][5:8] == ("plates", 0.05, 0.0)
    assert asked[-1][8] == NEAR(8.92 * 9**1.1)


def test_what_a_loop_needs_for_a_heat_and_whether_it_serves(monkeypatch: pytest.MonkeyPatch) -> None:
    """50 W/K: 900 W want 18 K over the room; 0.02 L/s carry 80 W/K, so they cool by 11.25 K; 60 W/m² are (60/8.92)^(1/1.1) = 5.66 K."""
    monkeypatch.setattr(loop_pumps, "conductance_w_k", lambda *_: 50.0)
    found = duty(ground(), CIRCUIT, 2e-5, 900.0)
    assert (found.load_w, found.supply_c, found.drop_k, found.surface_c) == (
        900.0,
        38.0,
        NEAR(11.25),
        NEAR(25.66, abs=0.01),
    )
    assert most_w(ground(), CIRCUIT, 2e-5, 900.0, 40.0) == 1000.0
    assert most_w(ground(), CIRCUIT, 2e-5, 900.0, 60.0) == NEAR(15 * 8.92 * 9**1.1)
    assert serves(ground(), CIRCUIT, 2e-5, 900.0)
    assert serves(ground(38.0, 11.25), CIRCUIT, 2e-5, 900.0)
    assert not serves(ground(37.9, 11.25), CIRCUIT, 2e-5, 900.0)
    assert not serves(ground(38.0, 11.2), CIRCUIT, 2e-5, 900.0)
    assert not serves(ground(), CIRCUIT, 0.0, 900.0)


def test_degree_hours_are_clipped_hour_by_hour() -> None:
    study: Any = SimpleNamespace(
        balance_c=np.array([18.0, 18.0, 16.0]), weather=SimpleNamespace(outdoor_c=np.array([10.0, 25.0, -4.0]))
    )
    assert LoweredStudy.degree_hours_k_h.fget(study) == 28.0  # type: ignore[attr-defined]


def test_a_meter_sees_the_house_less_what_it_makes(monkeypatch: pytest.MonkeyPatch) -> None:
    """2 kW used, 0.5 and 3 kW made: 1.5 kW drawn and 1 kW given; a charge does not see hours that are not its own."""
    hours = np.array([True, True, False])
    monkeypatch.setattr(batch, "charges_of", lambda common, keys: [("electricity", hours), ("gas", ~hours)])
    monkeypatch.setattr(batch, "generation_j", lambda case, weather: np.array([0.5, 3.0, 0.0]) * KWH)
    case = SimpleNamespace(other_electricity_j=lambda clock: np.full(3, 2 * KWH))
    common: Any = SimpleNamespace(case=case, weather=SimpleNamespace(n_hours=3), calendar=None)
    keys = ("gas", "electricity", "electricity")
    meters, payers = batch.meters_of(common, keys)
    assert meters.tolist() == [[1500.0, -1000.0, k.OUTSIDE_W], [k.OUTSIDE_W, k.OUTSIDE_W, 0.0]]
    assert payers.tolist() == [[0.0, 1.0, 1.0], [1.0, 0.0, 0.0]]
    other, _ = batch.meters_of(common, keys, np.full(3, 4 * KWH))
    assert other[0, :2].tolist() == [3500.0, 1000.0]


def test_what_heating_adds_is_reckoned_on_the_house_less_what_it_makes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without net metering hours of surplus count as none, with it as less than none; its peaks are never below none."""
    told: list[dict[str, Any]] = []
    monkeypatch.setattr(batch, "generation_j", lambda case, weather: np.array([0.5, 3.0]) * KWH)
    monkeypatch.setattr(batch, "monthly_energy_j", lambda tariff, clock, joule: joule[:, None])
    monkeypatch.setattr(batch, "monthly_peaks_w", lambda tariff, clock, joule: joule / 3600)
    monkeypatch.setattr(batch, "added_cost", lambda *_, **given: told.append(given))
    case = SimpleNamespace(other_electricity_j=lambda clock: np.full(2, 2 * KWH))
    common: Any = SimpleNamespace(case=case, weather=None, calendar=None, tariffs={"electricity": "t"})
    for metering, house in (("none", [1.5, 0.0]), ("month", [1.5, -1.0])):
        monkeypatch.setattr(
            batch, "export_terms", lambda case, metering=metering: SimpleNamespace(net_metering=metering)
        )
        batch._generating_cost(
            common, np.full((1, 12, 1), 8.0), np.zeros((1, 0, 12)), 1.0, np.full((12, 1), 0.25), None
        )  # type: ignore[arg-type]
        given = told.pop()
        assert (given["house_j"].ravel() / KWH).tolist() == house
        assert given["alone_w"].ravel().tolist() == [1500.0, 0.0]
        assert set(given["kept_j"].ravel()) == {2.0}  # a quarter is covered


def test_services_that_have_a_tariff_are_priced(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batch, "use_of", lambda common, many, key: key)
    monkeypatch.setattr(batch, "cost_of_use", lambda common, key, use, factor, covered, price: (use, factor))
    common: Any = SimpleNamespace(tariffs={"gas": 1, "electricity": 2})
    many: Any = SimpleNamespace(keys=("gas", "wood", "gas", "electricity"), covered=None)
    every = batch.price_by_service(common, many, {"gas": 1.5})  # type: ignore[dict-item]
    assert every == {"gas": ("gas", 1.5), "electricity": ("electricity", 1.0)}


def test_a_floor_that_stores_heat_is_not_run_on_a_device() -> None:
    common: Any = SimpleNamespace(water=SimpleNamespace(mass=object()))
    none = np.empty(0)
    with pytest.raises(SolverError, match="leave gpu out"):
        batch.run_batch(common, None, loss_w_k=none, shift_k=none, efficiency=none, gpu=True)  # type: ignore[arg-type]


def test_many_years_are_ready_where_their_form_is(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []
    ready = [False]
    monkeypatch.setattr(block._Form, "lies_ready", lambda form: asked.append(form) or ready[0])
    monkeypatch.setattr(block, "AT_ONCE", 8)
    assert not block.ready_for_many(mass=True, zones=False, uses=True)
    ready[0] = True
    assert block.ready_for_many(mass=False, zones=True, uses=False)
    assert [(one.own, one.zones, one.uses) for one in asked] == [(True, 0, 1), (False, 1, 0)]
    monkeypatch.setattr(block, "AT_ONCE", 0)
    ready[0] = False
    assert block.ready_for_many(mass=True, zones=True, uses=True)
    assert len(asked) == 2


def test_hot_water_by_hand() -> None:
    """240 L a day, a tenth of it from 6 to 7, through 40 K: 23.713 kg (988.04 kg/m³ at 50 °C, IAPWS) × 4.182 kJ/(kg K) × 40 K,
    and 50 W that circulate always."""
    tap = 988.04 * 4182.0
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone=None, year=2025)
    shares = [0.0] * 24
    shares[6], shares[20] = 1.0, 9.0
    given = {
        "kind": "hot_water",
        "daily_volume": "240 L",
        "profile": shares,
        "cold_temperature": "10 degC",
        "tap_temperature": "50 degC",
    }
    use = build(HotWater, {**given, "circulation": "50 W", "approach": "4 K"})
    away = np.zeros(8760)
    away[24 + 20] = 0.5
    heat, needs, cold = uses._hot_water(use, constant_weather(0.0), clock, away)
    assert heat[[0, 6]].tolist() == NEAR([50.0, 50.0 + 0.024 * tap * 40 / 3600], rel=1e-4)
    evening = 0.216 * tap * 40 / 3600
    assert heat[[20, 44]].tolist() == NEAR(
        [50 + evening, 50 + evening / 2], rel=1e-4
    )  # nobody is there for half of the second
    assert set(cold) == {14.0}  # the exchanger sends it back a little warmer than it came
    assert set(needs) == {use.needs_c}
    assert float(heat[:24].sum() - 24 * 50) * 3600 == NEAR(0.24 * tap * 40, rel=1e-4)


def test_a_drive_sees_clouds_while_it_snows_and_half_of_a_clear_sky_else(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Any] = []
    monkeypatch.setattr(outdoor_uses, "sky_temperature_c", lambda outdoor_c, dew_point_c: outdoor_c - 20.0)
    monkeypatch.setattr(outdoor_uses, "radiation_w_m2", lambda surface_c, seen_c: seen.append(seen_c) or np.zeros(8760))
    air = np.full(8760, 8.0)
    air[1000:1020] = -5.0
    outdoor_uses.snow_melt(
        build(SnowMelt, {"kind": "snow_melt", "area": "1 m2", "snowfall": "60 mm"}), wavy_weather(air)
    )
    fall, _ = outdoor_uses.snowfall_m_s(air, 0.006)
    assert np.array_equal(seen[0], np.where(fall > 0, air, air - 10.0))


@pytest.mark.parametrize(("typed_c", "told"), [(44.4, True), (44.5, False), (45.0, False), (None, False)])
def test_a_tank_typed_cooler_than_its_neediest_room_wants_is_told(typed_c: float | None, told: bool) -> None:
    room = SimpleNamespace(name="Bath", gives_w=500.0, asked_w=800.0, surface=False, needs_c=45.0)
    laid: Any = SimpleNamespace(
        supply_c=45.0,
        ground=SimpleNamespace(max_supply_c=60.0),
        short_at=lambda supply: (room,) if supply < 45.0 else (),
    )
    tank = None if typed_c is None else SimpleNamespace(design_supply_temperature_c=typed_c)
    said = short_rooms(SimpleNamespace(tank=tank), laid)  # type: ignore[arg-type]
    assert len(said) == told
    for text in said:
        assert "at 44.4 °C" in text
        assert "Bath gets 0.5 kW" in text
        assert "of the 0.8 kW" in text
        assert "set 45.0 °C" in text
