"""What stands around the kernel, in figures that a pencil can follow: memory, compiling apart, pools, drives, panels, zones, loops."""

from __future__ import annotations

import io
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study

from costsim.engine import ahead, block, freed, generation, laid_floor, outdoor_uses
from costsim.engine.zone_water import ZoneWater, zone_waters
from costsim.study.outdoor_uses import PoolOrTub, SnowMelt
from costsim.tariffs.calendar import HourCalendar
from costsim.units.faults import build

NEAR = pytest.approx
CLOCK = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone=None, year=2025)
ELECTRIC = {"kind": "electric", "output": "20 kW"}


def some(**more: Any) -> Any:
    return SimpleNamespace(**more)


# memory


def test_the_allocator_is_told_by_the_numbers_of_its_manual(monkeypatch: pytest.MonkeyPatch) -> None:
    """malloc.h has M_TRIM_THRESHOLD as -1 and M_MMAP_THRESHOLD as -3; mallopt(3) answers 1, and takes no more than 32 MB for the latter."""
    told: list[tuple[int, int]] = []
    answers = {-1: 1, -3: 1}
    glibc = some(mallopt=lambda name, value: told.append((name, value)) or answers[name])
    monkeypatch.setattr(freed.ctypes, "CDLL", lambda name: glibc)
    monkeypatch.setattr(sys, "platform", "linux")
    for name in [name for name in freed.os.environ if name.startswith("MALLOC_")]:
        monkeypatch.delenv(name)
    assert freed.keep_freed() is True
    assert told == [(-1, freed.KEPT_B), (-3, freed.APART_B)]
    a_year = 8760 * 8
    assert 20 * a_year < freed.APART_B <= 32 * 2**20  # some rows of a year at once
    assert freed.KEPT_B % freed.APART_B == 0
    assert {bin(size).count("1") for size in (freed.KEPT_B, freed.APART_B)} == {1}
    for name in answers:
        answers[name] = 0
        assert freed.keep_freed() is False
        answers[name] = 1
    monkeypatch.setenv(*freed.OF_DASK)
    assert freed.keep_freed() is True
    monkeypatch.setenv("MALLOC_TRIM_THRESHOLD_", "1")
    assert freed.keep_freed() is False
    monkeypatch.delenv("MALLOC_TRIM_THRESHOLD_")
    monkeypatch.setattr(freed.ctypes, "CDLL", lambda name: some())
    assert freed.keep_freed() is False  # another allocator
    monkeypatch.setattr(freed.ctypes, "CDLL", lambda name: glibc)
    monkeypatch.setattr(sys, "platform", "darwin")
    assert freed.keep_freed() is False


# compiling apart


class Process:
    """A process that compiles, or has ended."""

    def __init__(self, command: list[str], **how: Any) -> None:
        self.command, self.how, self.ended, self.stdin = command, how, None, io.BytesIO()

    def poll(self) -> Any:
        return self.ended

    def wait(self) -> int:
        return 0


def test_one_process_compiles_until_it_has_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[Process] = []
    monkeypatch.setattr(ahead, "_at_work", None)
    monkeypatch.setattr(ahead.subprocess, "Popen", lambda *a, **how: started.append(Process(*a, **how)) or started[-1])
    ahead._tell("a", Path("la"))
    first = started[0]
    assert first.command[1:] == ["-m", "costsim.engine.ahead", "a", "la"]
    assert first.how["start_new_session"] is True  # no Ctrl-C reaches it
    assert first.how["bufsize"] == 0
    assert (first.how["cwd"] / "costsim" / "engine" / "ahead.py").is_file()
    ahead._tell("b", Path("lb"))
    assert first.stdin.getvalue() == b"b\tlb\n"
    assert len(started) == 1
    first.ended = 0
    ahead._tell("c", Path("lc"))
    assert first.stdin.closed
    assert started[1].command[3:] == ["c", "lc"]


def test_locks_are_taken_away_whatever_the_compiler_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[str] = []
    monkeypatch.setattr(block, "compile_form", made.append)
    monkeypatch.setattr(ahead.os, "nice", lambda by: None)
    locks = [tmp_path / name for name in "ab"]
    for lock in locks:
        lock.touch()
    monkeypatch.setattr(ahead, "_told", lambda inbox: iter([["two", str(locks[1])]]))
    ahead.main(["one", str(locks[0])])
    assert (made, [lock.exists() for lock in locks]) == (["one"], [False, True])
    ahead.main(["one", str(locks[0])], 0)
    assert (made, locks[1].exists()) == (["one", "one", "two"], False)

    def fails(spec: str) -> None:
        raise ValueError(spec)

    monkeypatch.setattr(block, "compile_form", fails)
    locks[0].touch()
    with pytest.raises(ValueError, match="one"):
        ahead.main(["one", str(locks[0])])
    assert not locks[0].exists()


# uses outdoors


def test_a_covered_pool_takes_no_sun_and_what_is_filled_in_is_warmed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half of each day open: 500 W/m² less 85 % of 100 W/m² of sun; half covered: 5 W/(m² K) at 17 K. 240 L a day through 17 K."""
    asked: dict[str, Any] = {}
    monkeypatch.setattr(outdoor_uses, "sky_temperature_c", lambda outdoor_c, dew_point_c: outdoor_c - 20.0)
    monkeypatch.setattr(outdoor_uses, "pool_loss_w_m2", lambda **given: asked.update(given) or np.full(8760, 500.0))
    weather: Any = some(
        n_hours=8760, outdoor_c=np.full(8760, 10.0), ghi_w_m2=np.full(8760, 100.0), wind_m_s=np.full(8760, 4.0)
    )
    typed = {"kind": "pool_or_tub", "area": "10 m2", "water_temperature": "27 degC", "cover": ["00:00-12:00"], "cover_u_value": "5 W/(m2 K)",
             "shelter": "25 %", "humidity": "50 %", "fresh_water": "240 L"}  # fmt: skip
    use = build(PoolOrTub, typed)
    cold = np.full(8760, 10.0)
    heat, needs, returns = outdoor_uses.pool(use, weather, CLOCK, cold)
    fresh = 0.24 * 4.16e6 * 17 / 86400
    assert (heat.min(), heat.max()) == NEAR((10 * (415 + 85) / 2 + fresh,) * 2, rel=2e-3)
    assert (set(needs), set(returns)) == ({use.needs_c}, {27.0})
    assert set(asked["wind_m_s"]) == {4.0 * use.shelter_share}
    assert set(asked["sky_c"]) == {-10.0}
    indoors = build(PoolOrTub, {**typed, "indoor_air": "26 degC", "cover": []} | {"fresh_water": "0 L"})
    heat, *_ = outdoor_uses.pool(indoors, weather, CLOCK, cold)
    assert set(heat) == {5000.0}
    assert (set(asked["wind_m_s"]), set(asked["sky_c"]), set(asked["outdoor_c"])) == ({0.0}, {26.0}, {26.0})
    july = build(PoolOrTub, {**typed, "cover": [], "months": "Jul", "fresh_water": "0 L"})
    heat, *_ = outdoor_uses.pool(july, weather, CLOCK, cold)
    assert set(np.flatnonzero(heat) // 24) == set(range(181, 212))


def test_a_drive_sees_clouds_while_it_snows_and_half_of_the_clear_sky_else(monkeypatch: pytest.MonkeyPatch) -> None:
    """Air of -5 °C under a clear sky of -25 °C: -15 °C on average. A film of 0.56 °C (33 °F) and 10 W/(m² K): 55.6 W/m² and 80 W/m²."""
    seen: dict[str, Any] = {}
    fall = np.zeros(8760)
    fall[100:106] = 1e-6
    monkeypatch.setattr(outdoor_uses, "snowfall_m_s", lambda outdoor, depth: (fall, np.array([100])))
    monkeypatch.setattr(outdoor_uses, "plate_coefficient_w_m2k", lambda **given: np.full(8760, 10.0))
    monkeypatch.setattr(outdoor_uses, "dew_point_by_night_c", lambda outdoor: outdoor - 3.0)
    monkeypatch.setattr(outdoor_uses, "sky_temperature_c", lambda outdoor_c, dew_point_c: outdoor_c - 20.0)
    monkeypatch.setattr(
        outdoor_uses, "radiation_w_m2", lambda surface_c, seen_c: seen.update(sky=seen_c) or np.full(8760, 80.0)
    )
    monkeypatch.setattr(outdoor_uses, "melting_w_m2", lambda **given: seen.update(given) or np.full(8760, 900.0))
    use = build(SnowMelt, {"kind": "snow_melt", "area": "4 m2", "snowfall": "60 mm", "back_loss": "25 %"})
    weather: Any = some(n_hours=8760, outdoor_c=np.full(8760, -5.0), wind_m_s=None)
    heat, *_ = outdoor_uses.snow_melt(use, weather)
    assert seen["sky"][[99, 100, 105, 106]].tolist() == [-15.0, -5.0, -5.0, -15.0]
    assert set(seen["dew_point_c"]) == {-5.0}
    ready, each = 10 * 5.56 + 80, 4 * 1.25
    slab = 230e3 * 5.56 / 7200
    assert heat[98:108].tolist() == NEAR([each * (ready + slab)] * 2 + [each * 900] * 6 + [each * ready] * 2, rel=1e-3)
    assert np.count_nonzero(heat) == 10


# panels


def test_panels_face_the_equator_in_calm_air_unless_told(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []
    monkeypatch.setattr(generation, "sun_on", lambda weather, tilt, azimuth: (tilt, azimuth))
    monkeypatch.setattr(generation, "pvwatts_w", lambda **given: asked.append(given) or np.full(3, 1000.0))
    own: Any = some(
        azimuth_deg=None, tilt_deg=30.0, peak_power_w=5e3, losses_share=0.14, module="standard", inverter_efficiency_share=0.96, dc_to_ac=1.2
    )  # fmt: skip
    weather: Any = some(southern=False, wind_m_s=None, n_hours=3, outdoor_c=np.zeros(3))
    panels = generation._panels_j.__wrapped__
    found = panels(own, weather)
    assert found.tolist() == [3.6e6] * 3
    assert not found.flags.writeable
    assert (asked[0]["sun"], asked[0]["wind_m_s"].tolist()) == ((30.0, 180.0), [1.0] * 3)
    panels(own, some(**{**vars(weather), "southern": True, "wind_m_s": np.full(3, 7.0)}))
    assert (asked[1]["sun"], asked[1]["wind_m_s"].tolist()) == ((30.0, 0.0), [7.0] * 3)
    panels(some(**{**vars(own), "azimuth_deg": 0.0, "peak_power_w": None}), weather)
    assert (asked[2]["sun"], asked[2]["peak_w"]) == ((30.0, 0.0), 0.0)


# zones and loops


def test_zones_have_the_loops_that_they_name_and_share_the_others() -> None:
    """Of 100 m² a quarter at 22 °C has the first loops, a quarter and the half that is left share the second, by their loads."""
    loop = {"count": 2, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}
    floor = [{"name": name, **loop} for name in "LM"]
    house = study(
        ELECTRIC, floor__loops=floor,
        house__zone=[{"name": "a", "load": "25 %", "indoor_temperature": "22 degC", "loops": ["L"]}, {"name": "b", "load": "25 %"}],
    ).house  # fmt: skip
    loops: Any = [some(name="L"), some(name="M")]
    checks: Any = [
        some(count=2, heat_w_k=50.0, surface_limit_w=2000.0),
        some(count=3, heat_w_k=100.0, surface_limit_w=9000.0),
    ]
    first, second, rest = zone_waters(house, loops, checks, 50.0)
    assert first == ZoneWater("a", 0.25, 22.0, (0,), 100.0, 2000.0)
    assert (second.groups, second.heat_w_k, second.limit_w) == ((1,), NEAR(100.0), NEAR(3000.0))
    assert (rest.load_share, rest.groups, rest.heat_w_k, rest.limit_w) == (0.5, (1,), NEAR(200.0), NEAR(6000.0))
    # water of 32 °C is 10 K over the first zone's rooms, and none of 20 °C gives them anything
    assert zone_waters(house, loops, checks, 32.0)[0].limit_w == NEAR(1000.0)
    assert zone_waters(house, loops, checks, 20.0)[0].limit_w == 0.0
    whole = study(
        ELECTRIC, floor__loops=floor, house__zone=[{"name": "a", "load": "40 %", "loops": ["L"]}, {"name": "b", "load": "60 %", "loops": ["M"]}]
    ).house  # fmt: skip
    assert [one.name for one in zone_waters(whole, loops, checks, 50.0)] == ["a", "b"]
    unnamed = study(ELECTRIC, house__zone=[{"name": "a", "load": "40 %"}]).house
    assert zone_waters(unnamed, loops, checks, 50.0) == ()


def test_laid_loops_keep_their_pump_and_the_lift_of_their_level() -> None:
    circuit = some(
        name="Bath", length_m=80.0, spacing_m=0.1, covering_m2k_w=0.05, zone="bathroom", build_up="plates", insulation_m2k_w=1.0, leads_m=6.0, level="Up"
    )  # fmt: skip
    fed = some(circuit=0, count=3, loops_per_pump=2, speed_share=0.6)
    floor = some(model_copy=lambda update: update["loops"])
    laid: Any = some(
        fed=(fed,), circuits=(circuit,), ground=some(layout=some(tube="t"), floor=floor), lift_pa={"Up": 2e3, "G": 1e3}
    )
    (group,) = laid_floor.with_pumps(laid)  # type: ignore[misc]
    assert (group.name, group.count, group.length_m, group.loops_per_pump, group.pump_speed_share, group.lift_pa) == (
        "Bath",
        3,
        80.0,
        2,
        0.6,
        2e3,
    )  # type: ignore[attr-defined]


def test_pumps_of_a_level_lift_its_mains_and_serve_a_thermostat_each(monkeypatch: pytest.MonkeyPatch) -> None:
    """2 kPa of the pump's own and 1 kPa for each kilowatt of the level; two loops of 0.5 kW and one of 1 kW are 2 kW."""
    asked: list[Any] = []
    monkeypatch.setattr(laid_floor, "mains_drop_pa", lambda ground, mains_m, load_w: mains_m * load_w)
    monkeypatch.setattr(
        laid_floor, "pumps_of", lambda ground, circuits, each, members, lift: asked.append((members, lift)) or ("pump",)
    )
    levels = [some(name="G", mains_m=1.0), some(name="Up", mains_m=0.5)]
    ground: Any = some(layout=some(level=levels), pump=some(lift_pa=2000.0))
    circuits: Any = [
        some(name="1", level="G", thermostat="a", count=2), some(name="2", level="Up", thermostat="a", count=1),
        some(name="3", level="G", thermostat="b", count=1),
    ]  # fmt: skip
    pumps, lift = laid_floor._all_pumps(ground, circuits, [500.0, 300.0, 1000.0], {})
    assert lift == {"G": 4000.0, "Up": 2150.0}
    assert asked == [([0], 4000.0), ([2], 4000.0), ([1], 2150.0)]
    assert pumps == ("pump",) * 3


def test_a_layout_runs_on_the_pump_that_is_typed_and_no_hotter_than_it_may(monkeypatch: pytest.MonkeyPatch) -> None:
    case = study(ELECTRIC)
    monkeypatch.setattr(laid_floor, "circuits_of", lambda plan: (some(count=4),))
    monkeypatch.setattr(laid_floor, "circuit_loads_w", lambda case, circuits, load, altitude: [load])
    monkeypatch.setattr(laid_floor, "_all_pumps", lambda ground, circuits, each, valves: ((), {}))
    monkeypatch.setattr(laid_floor, "fed_loops", lambda *_: ())
    monkeypatch.setattr(laid_floor.LaidFloor, "valves", lambda self: {})

    def ground(pump: Any = None, typed: bool = True, most: float | None = None) -> Any:
        plan: Any = some(max_supply_c=most)
        found = laid_floor.lay_floor(
            case, some(pump_typed=typed, pump=pump), plan, None, load_w=6000.0, top_c=60.0, altitude_m=0.0
        )  # type: ignore[arg-type]
        assert found.each_w == (1500.0,)
        return found.ground

    mine = some(lift_pa=1.0)
    assert ground(mine).pump is mine
    assert ground(mine, typed=False).pump is not mine
    assert ground(None).pump is not None
    assert [ground(most=most).max_supply_c for most in (None, 45.0, 70.0)] == [60.0, 45.0, 60.0]
    assert ground().indoor_temperature_c == case.house.indoor_temperature_c


def test_weather_without_wind_is_calm_for_panels_and_breezy_for_ponds() -> None:
    assert (generation.CALM_M_S, set(outdoor_uses._wind_m_s(constant_weather(0.0)))) == (1.0, {3.0})
