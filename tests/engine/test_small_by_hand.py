"""The lowering where hardly anything is wanted, what is kept on disk, and a device of our own making."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather

from costsim.engine import compiling, gpu, houses, inputs, outdoor_uses
from costsim.engine import layout as k
from costsim.engine.batch import BatchResult, gather, lane_inputs
from costsim.engine.block import run_lanes
from costsim.engine.kernel import build
from costsim.engine.lanes import lanes_of
from costsim.engine.layout import NOT_KEPT_C
from costsim.engine.lower import seen_by_sources
from costsim.engine.mass_rows import put_mass
from costsim.engine.shared import share
from costsim.engine.uses import _as_one
from costsim.study.outdoor_uses import SnowMelt
from costsim.tariffs.calendar import HourCalendar
from costsim.units.faults import build as built

CLOCK = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone=None, year=2025)


def test_half_a_watt_of_hot_water_wants_its_temperature() -> None:
    heat, needs, cold = (
        np.array([[0.25, 0.0], [0.25, 0.0]]),
        np.array([[60.0] * 2, [45.0] * 2]),
        np.array([[10.0] * 2, [30.0] * 2]),
    )
    found = _as_one(heat, heat, needs, cold, np.array([False, False]), np.zeros((2, 2), dtype=bool), settled=True)
    assert (found.heat_w.tolist(), found.needs_c.tolist(), found.cold_c.tolist()) == (
        [0.5, 0.0],
        [60.0, NOT_KEPT_C],  # in an hour in which none is drawn the tank is kept for none
        [20.0, NOT_KEPT_C - 1.0],
    )


def water(**given: Any) -> Any:
    """A water side of which only this is told."""
    plain = {
        "limit_w": 5e3, "resistance_k_w": 0.004, "max_temperature_c": 55.0, "store_c": 50.0, "density_kg_m3": 1000.0, "heat_capacity_j_kgk": 4000.0,
        "tank_j_k": 4e6, "zones_kept": 0.0, "drop_k_w": 0.0, "mass": None, "exponent": 1.0, "supply_top_c": np.inf, "loops_top_c": np.inf,
    }  # fmt: skip
    return SimpleNamespace(**{**plain, **given})


def seen(demand: Any, heat: Any, needs: Any, **tank: Any) -> dict[str, Any]:
    """What sources see of a house at 20 °C and of uses."""
    house = {
        "demand_w": np.array(demand),
        "setpoint_c": np.full(len(demand), 20.0),
        "route": SimpleNamespace(load_w=6e3),
    }
    uses: Any = (
        None
        if heat is None
        else SimpleNamespace(heat_w=np.array(heat), needs_c=np.array(needs), kept_c=lambda tank_j_k: np.array(needs))
    )
    return seen_by_sources(house, water(**tank), uses)


def test_sources_see_the_water_that_floor_and_uses_want() -> None:
    plain = seen([0.0, 1000.0, 9000.0], None, None)
    assert plain["water_c"].tolist() == [20.0, 24.0, 40.0]  # the floor takes no more than 5 kW
    assert (plain["demand_w"].tolist(), plain["tank_m3"], plain["design_load_w"], plain["tank_j_k"]) == (
        [0.0, 1000.0, 9000.0],
        1.0,
        6e3,
        4e6,
    )
    # baseboards of the 1.3 power want 24 K over the room at 6 kW, and 24 · (1/6)^(1/1.3) = 6.049 K for a sixth of it
    assert seen([1000.0, 6000.0], None, None, exponent=1.3, limit_w=6e3)["water_c"] == pytest.approx(
        [26.049, 44.0], abs=0.001
    )
    # a laid floor whose surfaces bear no more than 30 °C gets no hotter water; what taps want is theirs
    assert seen([1000.0, 4000.0], None, None, loops_top_c=30.0)["water_c"].tolist() == [24.0, 30.0]
    assert seen([4000.0], [0.5], [50.0], loops_top_c=30.0)["water_c"].tolist() == [50.0]
    # a mixed tank is as hot as its hottest use, between draws too, and never over its top
    mixed = seen(
        [1000.0, 1000.0, 1000.0, 0.0, 1000.0], [0.0, 0.5, 3000.0, 0.5, 0.0], [NOT_KEPT_C, 50.0, 60.0, 50.0, 50.0]
    )
    assert mixed["water_c"].tolist() == [24.0, 50.0, 55.0, 50.0, 50.0]
    assert mixed["demand_w"].tolist() == [1000.0, 1000.5, 4000.0, 0.5, 1000.0]
    assert seen([0.0], [0.5], [22.0])["water_c"].tolist() == [22.0]
    # of a stratified one each takes its own part, by heat
    layered = seen([1000.0, 0.0, 0.0, 0.0], [3000.0, 0.5, 1.05, 3000.0], [52.0] * 4, zones_kept=0.9)
    assert layered["water_c"].tolist() == [pytest.approx(24 + 0.75 * 28), 52.0, 52.0, 52.0]
    half = seen([0.525], [0.525], [52.0], zones_kept=0.9)["water_c"][0]
    assert half == pytest.approx(20.0021 + 0.5 * (52 - 20.0021))
    tiny = seen([0.25], [0.25], [52.0], zones_kept=0.9)["water_c"][0]
    assert tiny == pytest.approx(20.001 + 0.25 * (52 - 20.001))  # below a watt by the watt
    assert seen([0.0], None, None, tank_j_k=0.0)["tank_j_k"] == 1.0


def test_a_slab_is_charged_ahead_while_anything_is_wanted() -> None:
    mass: Any = SimpleNamespace(
        precharge_k=2.0, precharge_windows=("04:00-06:30",), ground_c=0.0, matrices=lambda loss: (None, np.zeros((2, 4))),
    )  # fmt: skip
    hours, n = np.zeros((k.HOURS, 8760)), 8760
    put_mass(
        hours, mass, 200.0, (np.full(n, 20.0), np.zeros(n), np.where(np.arange(n) < 24, 0.5, 0.0), np.zeros(n)), CLOCK
    )
    assert hours[k.PRECHARGE, 3:8].tolist() == [0.0, 2.0, 2.0, 1.0, 0.0]
    assert not hours[k.PRECHARGE, 24:].any()
    assert hours[k.COLD_BELOW, [0, 23, 24]].tolist() == [-1e3, -1e3, 19.0]
    rows = np.zeros((k.HOURS, 8760))
    mass.precharge_k = 0.5
    put_mass(rows, mass, 200.0, (np.full(n, 20.0), np.zeros(n), np.ones(n), np.zeros(n)), CLOCK)
    assert rows[k.PRECHARGE, 4] == 0.5


def test_hours_are_told_apart_by_schedules_uses_and_sun(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(houses, "schedule_shares", lambda house, clock: ["shares"])
    monkeypatch.setattr(houses, "south_sun_w_m2", lambda case, weather: "sun")
    monkeypatch.setattr(houses, "_precharging", lambda windows, clock: "ahead")
    uses = SimpleNamespace(heat_w=np.array([0.0, 0.5, 9.0]), needs_c=np.array([NOT_KEPT_C, 50.0, 40.0]))

    def rows(sunlit: bool = False, given: Any = uses, **tank: Any) -> list[Any]:
        common: Any = SimpleNamespace(
            case=SimpleNamespace(house=None), calendar=None, uses=given, water=water(**tank), weather=None
        )
        return [one if isinstance(one, str) else one.tolist() for one in houses.hours_apart(common, sunlit=sunlit)]

    assert rows(given=None) == ["shares"]
    # of a mixed tank it does not matter how much they want
    assert rows() == ["shares", [0.0, 1.0, 1.0], [NOT_KEPT_C, 50.0, 40.0]]
    assert rows(zones_kept=0.9, sunlit=True)[1:] == [[0.0, 0.5, 9.0], [NOT_KEPT_C, 50.0, 40.0], "sun"]
    assert rows(given=None, mass=SimpleNamespace(precharge_k=0.5, precharge_windows=())) == ["shares", "ahead"]
    assert rows(given=None, mass=SimpleNamespace(precharge_k=0.0, precharge_windows=())) == ["shares"]


def test_what_heating_takes_of_the_house_s_meter_and_what_panels_cover(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two hours: a source takes 2 and 4 kW, fans 100 W, pumps 50 W for half of the first; 3 kWh are made, 1 goes to the house."""
    out = np.zeros((k.HOURS + 40, 2))
    out[k.DUTY] = [0.5, 0.0]
    heat, dumped = np.array([[1800.0, 3600.0], [1.0, 1.0]]), np.array([[0.0, 0.0], [2.0, 3.0]])

    def offer(key: str, burns: float) -> Any:
        return SimpleNamespace(
            price_key=key,
            burn_power_w=burns,
            input_w=lambda made: made / 0.9,
            auxiliary_electric_w=lambda one: np.where(one > 100, 100.0, 0.0),
        )

    common: Any = SimpleNamespace(
        water=SimpleNamespace(pump_w=50.0), tariffs={"electricity": "t"}, calendar=SimpleNamespace(month=np.array([1, 2])),
        case=SimpleNamespace(other_electricity_j=lambda clock: np.full(2, 3.6e6)), weather=None,
    )  # fmt: skip
    plant: Any = SimpleNamespace(
        offers=(offer("electricity", 0.0), offer("wood", 1.0)),
        year=lambda: (out, heat, dumped, None),
    )
    taken, fans, pumps = inputs.taken_w(common, plant, out, heat, dumped)
    assert taken.tolist() == [[2000.0, 4000.0], pytest.approx([3 / 0.9, 4 / 0.9])]  # a fire burns what was loaded
    assert (fans.tolist(), pumps.tolist()) == ([[100.0, 100.0], [0.0, 0.0]], [25.0, 0.0])
    assert (inputs.heating_electricity_j(common, plant) / 3.6e6).tolist() == pytest.approx([2.125, 4.1])
    monkeypatch.setattr(inputs, "generation_j", lambda case, weather: np.array([3.0, 0.5]) * 3.6e6)
    monkeypatch.setattr(inputs, "hourly_rows", lambda tariff, clock: np.array([[1.0, 0.5], [0.0, 0.5]]))
    share_of = inputs.covered_share(common, plant)
    # 2 of 2.125 kWh in January, nothing in February
    assert share_of.shape == (12, 2)
    assert share_of[0].tolist() == pytest.approx([2 / 2.125, 0.0])
    assert not share_of[1:].any()


def test_scenarios_run_apart_come_back_in_their_places() -> None:
    def part(*numbers: float) -> BatchResult:
        values = np.array(numbers)[:, None]
        return BatchResult(("a",), values, values[:, :, None, None], values[:, :, None])

    first, second = part(10.0, 30.0), part(20.0, 0.0)
    found = gather([(np.array([1, 3]), first), (np.array([2, 0]), second)])
    assert found.sums[:, 0].tolist() == [0.0, 10.0, 20.0, 30.0]
    assert found.energy_j[:, 0, 0, 0].tolist() == found.peaks_w[:, 0, 0].tolist() == [0.0, 10.0, 20.0, 30.0]
    assert gather([(np.array([0, 1]), first)]) is first
    assert lane_inputs({}, 2) is None
    rows = lane_inputs({k.GAINS: [np.zeros(3), np.ones(3)]}, 1)
    assert rows is not None
    assert rows.at[k.GAINS] == 0
    assert (rows.at >= 0).sum() == 1
    assert rows.values.tolist() == [[0.0, 1.0]] * 3


def test_what_a_plant_has_says_which_form_fits() -> None:
    def flags(**given: float) -> tuple[int, int, int]:
        plant = tank_of_an_hour(3)
        for name, value in given.items():
            rows = plant["scalars"] if name != "USE" else plant["hours"]
            rows[getattr(k, name)] = value
        found = share(**plant)
        return found.mass, found.zones, found.uses

    assert flags() == (0, 0, 0)
    assert flags(WITH_MASS=1.0) == (1, 0, 0)
    assert flags(ZONES_KEPT=0.5) == (0, 1, 0)
    assert flags(USE=0.5) == (0, 0, 1)


def test_wind_crosses_a_drive_along_its_side(monkeypatch: pytest.MonkeyPatch) -> None:
    """A square of 64 m² is 8 m long; nothing is shorter than a meter."""
    lengths: list[float] = []
    monkeypatch.setattr(
        outdoor_uses,
        "plate_coefficient_w_m2k",
        lambda wind_m_s, length_m: lengths.append(length_m) or np.full(8760, 10.0),
    )
    for area in ("64 m2", "0.25 m2"):
        outdoor_uses.snow_melt(
            built(SnowMelt, {"kind": "snow_melt", "area": area, "snowfall": "60 mm"}), constant_weather(-5.0)
        )
    assert lengths == [8.0, 1.0]


# what is kept on disk


class Cache:
    """A cache of compiled code that is damaged or full."""

    def __init__(self, fault: Exception | None) -> None:
        self.fault, self.flushed, self.saved = fault, 0, 0

    def flush(self) -> None:
        """Throw it away."""
        self.flushed += 1

    def load_overload(self, *arguments: Any) -> Any:
        """Read."""
        if self.fault:
            raise self.fault
        return ("read", *arguments)

    def save_overload(self, *arguments: Any) -> None:
        """Write."""
        if self.fault:
            raise self.fault
        self.saved += 1


def test_a_damaged_or_full_cache_counts_as_an_empty_one() -> None:
    good, bad = Cache(None), Cache(OSError("disk full"))
    for cache in (good, bad):
        compiling._heal(cache)
        cache.save_overload(1)
    assert good.load_overload(2) == ("read", 2)
    assert (good.flushed, good.saved) == (0, 1)
    assert bad.flushed == 1
    assert bad.load_overload(2) is None
    assert bad.flushed == 2
    half: Any = SimpleNamespace(load_overload=max)
    compiling._heal(half)
    compiling._heal(None)
    assert half.load_overload is max


def test_whether_a_form_lies_on_disk() -> None:
    key = SimpleNamespace(_load_index=lambda: {"x": 1})

    def function(known: str, **more: Any) -> Any:
        cache = SimpleNamespace(_index_key=lambda types, codegen: known, _cache_file=key)
        return SimpleNamespace(
            **{"signatures": (), "targetctx": SimpleNamespace(codegen=lambda: None), "_cache": cache, **more}
        )

    assert compiling.on_disk(function("x"), (1.0,))
    assert not compiling.on_disk(function("y"), (1.0,))
    assert compiling.on_disk(function("y", signatures=("compiled",)), (1.0,))
    assert not compiling.on_disk(function("x", targetctx=None), (1.0,))  # an index that cannot be read
    assert compiling.on_disk(SimpleNamespace(signatures=()), (1.0,))  # no cache: it cannot be told


# a device


class Flat(np.ndarray):
    """An array on the device."""

    def copy_to_host(self) -> np.ndarray:
        """Bring it back."""
        return np.asarray(self)


class Launched:
    """A function that runs for every thread."""

    def __init__(self, device: Any, function: Any) -> None:
        self.device, self.function = device, function

    def __getitem__(self, size: tuple[int, int]) -> Any:
        """Blocks and threads of a block."""
        self.device.launched.append(size)

        def run(*arguments: Any) -> None:
            for self.device.lane in range(size[0] * size[1]):
                self.function(*arguments)

        return run


class Device:
    """A device that runs one thread after the other, in Python."""

    def __init__(self) -> None:
        self.lane, self.launched = 0, list[tuple[int, int]]()
        self.local = SimpleNamespace(array=lambda shape, kind: np.zeros(shape, kind))

    def is_available(self) -> bool:
        """It is."""
        return True

    def synchronize(self) -> None:
        """Nothing is left to wait for."""

    def device_array(self, size: int) -> Any:
        """Room, with whatever lay there."""
        return np.full(size, np.nan).view(Flat)

    def to_device(self, values: np.ndarray) -> Any:
        """Take a copy."""
        assert values.ndim == 1
        return values.copy()

    def grid(self, dimensions: int) -> int:
        """Number of the thread."""
        assert dimensions == 1
        return self.lane

    def jit(self, function: Any = None, **how: Any) -> Any:
        """Leave a function of the device as it is; one that is launched runs for every thread."""
        if how:
            assert how == {"device": True}
            return lambda inner: inner

        return Launched(self, function)


def tank_of_an_hour(n: int) -> dict[str, Any]:
    """A tank of a kilowatt-hour a kelvin in a house that wants 1 to 4 kW, with a source of 3 kW."""
    scalars = np.zeros(k.SCALARS)
    scalars[[k.TANK_KEEP, k.TANK_RISE, k.TANK_TOP, k.TANK_START]] = 1.0, 1e-3, 60.0, 20.0
    hours, rows = np.zeros((k.HOURS, n)), np.zeros((1, k.SOURCE_HOURS, n))
    hours[k.ROOM], hours[k.FLOOR_LIMIT], hours[k.DEMAND] = 20.0, 1e9, 1000.0 * (1 + np.arange(n) % 4)
    rows[:, k.TARGET], rows[:, k.CAPACITY] = -1e3, 3000.0
    source = np.zeros((1, k.BILLED_SCALARS))
    source[0, k.AUX_W] = 40.0
    return {
        "scalars": scalars,
        "hours": hours,
        "source_scalars": source,
        "source_hours": rows,
        "order": np.zeros((1, n), dtype=np.int64),
    }


@pytest.mark.parametrize("charges", [0, 2])
def test_a_device_gives_what_the_processor_gives(monkeypatch: pytest.MonkeyPatch, charges: int) -> None:
    device = Device()
    monkeypatch.setattr(gpu, "cuda", device)
    monkeypatch.setattr(gpu, "THREADS", 2)
    monkeypatch.setattr(gpu, "LANES_AT_ONCE", 3)
    monkeypatch.setattr(
        gpu, "build", lambda *how, **more: SimpleNamespace(py_func=compiling.plain(build(*how, **more)))
    )
    gpu._kernel.cache_clear()
    n, lanes = 6, 4
    plant = tank_of_an_hour(n)
    meters = (
        {"meters": np.tile([100.0, 0.0], (2, n // 2)), "payers": np.array([[1.0, 1.0], [1.0, 0.0]])} if charges else {}
    )
    shared = share(
        **plant,
        shares=np.ones((2, 1, n)),
        months=np.array([1, 1, 2, 2, 12, 12]),
        degrees=np.array([5.0, 0.0, 10.0, 2.0, 8.0, 20.0]),
        **meters,
    )
    given = lanes_of(
        plant["scalars"], plant["source_scalars"], lanes, loss_w_k=np.array([100.0, 200.0, 300.0, 400.0]), shift_k=0.5
    )
    sums, energy, peaks = gpu.run_on_gpu(shared, given)
    here = run_lanes(shared, given, alone=True)
    for there, wanted in ((sums, here.sums), (energy, here.energy_j), (peaks, here.peaks_w)):
        assert there.shape == wanted.shape
        np.testing.assert_allclose(there, wanted, rtol=1e-9, atol=1e-6)
    assert sums[:, k.SUM_DEMAND].min() > 0
    # three lanes and one, in threads of two
    assert device.launched == [(2, 2), (1, 2)]
    device.launched.clear()
    assert gpu.run_resident(shared, given, 3) >= 0.0
    assert device.launched == [(2, 2)] * 4  # once to warm up
    gpu._kernel.cache_clear()
