"""Lines on weather, and the zones and uses of a drawing, from made-up results."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
from views.made import but

from costsim.views import system, text_weather
from costsim.views.schematic import ZoneMark
from costsim.views.schematic_words import zone_lines

NEAR = pytest.approx


def weather(**more: Any) -> Any:
    made = SimpleNamespace(
        source="s", synthetic=False, years=[2001], hours=8760, utc_offset_h=-5.0, columns=["a"], degree_days_k_d=1000.0, degree_days_daily_k_d=990.0,
        design_c=-5.0, design_from="99 %", hourly_99_c=-5.0, hourly_996_c=-8.0, coldest_c=-12.0, coldest_at="Jan 5", notes=(), latitude_deg=36.1,
        longitude_deg=-79.9, altitude_m=270.0, station="S", sun_hour=12.3, sun_j_m2=1500 * 3.6e6, noon_hour=12.4,
        monthly_c=[-10.0, -5.0, 0.0, 10.0, 15.0, 20.0, 34.0, 20.0, 15.0, 10.0, 5.0, 0.0], title="T",
    )  # fmt: skip
    return but(made, **more)


def test_a_report_of_weather_line_by_line() -> None:
    lines = "\n".join(text_weather.weather_lines(weather(), "si"))
    assert "8,760 hours of standard time, UTC-5 h of 2001" in lines
    assert "degree-days      1,000 K d below 18.3 °C, from hours (990 from daily means)" in lines
    assert "1,800 °F d below 65.0 °F, from hours (1,782 from" in "\n".join(text_weather.weather_lines(weather(), "us"))
    assert "station S, 36.10° north, 79.90° west, 270 m high" in lines
    assert "0.00° north, 0.00° east" in text_weather._place(weather(latitude_deg=0.0, longitude_deg=0.0), "si")
    assert "33.90° south, 18.40° east" in text_weather._place(weather(latitude_deg=-33.9, longitude_deg=18.4), "si")
    for missing in ({"latitude_deg": math.nan}, {"longitude_deg": math.nan}):
        assert "latitude and longitude not stated" in text_weather._place(weather(**missing), "si")
    assert " from 1999 to 2004" in "\n".join(text_weather.weather_lines(weather(years=[2004, 1999]), "si"))
    assert "(synthetic)" in "\n".join(text_weather.weather_lines(weather(synthetic=True), "si"))
    assert "(synthetic)" not in lines
    assert "1,500 kWh/m² a year on the level; highest at hour 12.3 of the day (noon by place and clock: 12.4)" in lines
    for missing in ({"sun_hour": None}, {"sun_j_m2": None}):
        assert "no radiation in the file" in text_weather._sun_line(weather(**missing))
    assert "-5.0 °C at 99%, -8.0 °C at 99.6% of the hours, -12.0 °C at worst (Jan 5)" in lines
    assert (text_weather._zone(math.nan), text_weather._zone(5.5), text_weather._zone(0.0)) == (
        "its offset from UTC not stated",
        "UTC+5.5 h",
        "UTC+0 h",
    )
    assert lines.count("note ") == 0
    assert "note             n" in "\n".join(text_weather.weather_lines(weather(notes=("n",)), "si"))


def test_months_are_drawn_from_the_coldest_or_from_freezing() -> None:
    """Of 44 marks for 44 K each kelvin is one; the coldest month has one so that it is seen."""
    head, *rows = text_weather._plot(weather(), "si")
    assert head == "monthly mean, °C"
    assert [row.count("#") for row in rows] == [1, 5, 10, 20, 25, 30, 44, 30, 25, 20, 15, 10]
    assert rows[0].startswith("Jan  -10.0 #")
    assert rows[6].startswith("Jul   34.0 #")
    mild = text_weather._plot(weather(monthly_c=[22.0, *[44.0] * 11]), "us")[1:]
    assert [row.count("#") for row in mild[:2]] == [22, 44]
    assert mild[0].startswith("Jan   71.6 ")
    level = text_weather._plot(weather(monthly_c=[0.0] * 12), "si")[1:]
    assert {row.count("#") for row in level} == {1}
    assert {row.count("#") for row in text_weather._plot(weather(monthly_c=[-30.0] * 12), "si")[1:]} == {1}


def mark(at: int, **more: Any) -> ZoneMark:
    return ZoneMark(
        **{"name": f"Z{at}", "loops": 2, "pumps": 1, "speed": "60%", "flow_m3_s": 1e-4, "head_pa": 1e4 + at} | more
    )


def test_many_zones_and_uses_become_six_and_four_circuits() -> None:
    zones = [mark(at) for at in range(8)]
    assert system._merged(zones[:6]) == tuple(zones[:6])
    merged = system._merged(zones)
    assert merged[:5] == tuple(zones[:5])
    rest = merged[5]
    assert (rest.name, rest.loops, rest.pumps, rest.speed, rest.flow_m3_s, rest.head_pa) == (
        "3 further zones",
        6,
        3,
        "",
        NEAR(3e-4),
        1e4 + 7,
    )
    assert len(merged) == 6
    assert system._merged(zones[:7])[5].name == "2 further zones"
    uses: Any = [SimpleNamespace(name=f"U{at}", kind="zone", needs_c=40.0 + at) for at in range(6)]
    assert [one.name for one in system._uses(uses[:4])] == ["U0", "U1", "U2", "U3"]
    some = system._uses(uses)
    assert [one.name for one in some] == ["U0", "U1", "U2", "3 further uses"]
    assert (some[3].needs_c, some[3].kind) == (45.0, "zone")


def test_a_mixing_valve_is_drawn_from_half_a_kelvin_on() -> None:
    assert [system.must_mix(top_c=top, supply_c=40.0) for top in (40.0, 40.5, 40.51, 60.0, 39.0)] == [
        False,
        False,
        True,
        True,
        False,
    ]


def grouped(pump: Any, *groups: dict[str, Any]) -> Any:
    loops = [
        SimpleNamespace(**{"name": "", "count": 5, "loops_per_pump": None, "pump_speed_share": None} | one)
        for one in groups
    ]
    checks = [SimpleNamespace(flow_m3_s=1e-4, head_pa=2e4) for _ in loops]
    return SimpleNamespace(water=SimpleNamespace(floor=SimpleNamespace(loops=loops, pump=pump), loops=checks))


def test_groups_of_loops_are_drawn_with_their_pumps() -> None:
    pump = SimpleNamespace(loops_per_pump=2, speed_share=0.8)
    (one,) = system._group_zones(grouped(pump, {}))
    assert (one.name, one.loops, one.pumps, one.speed) == ("Loops, group 1", 5, 3, "80%")  # five loops by twos
    assert (one.flow_m3_s, one.head_pa) == (NEAR(5e-4), 2e4)
    named, own = system._group_zones(
        grouped(pump, {"name": "Up", "count": 1}, {"loops_per_pump": 5, "pump_speed_share": 0.6})
    )
    assert (named.name, named.pumps) == ("Up", 1)
    assert (own.name, own.pumps, own.speed) == ("Loops, group 2", 1, "60%")
    (typed,) = system._group_zones(grouped(None, {}))
    assert (typed.pumps, typed.speed) == (0, "")
    house = SimpleNamespace(emitter="radiators")
    none: Any = SimpleNamespace(water=SimpleNamespace(floor=None, circuits=()), case=SimpleNamespace(house=house))
    (bare,) = system._group_zones(none)
    assert (bare.loops, bare.pumps, bare.flow_m3_s, bare.head_pa) == (0, 1, 0.0, 0.0)


@pytest.mark.parametrize(
    ("more", "said"),
    [({}, ["2 loops, 1 pump at 60%", "6.00 L/min at 10.0 kPa"]), ({"loops": 1, "pumps": 2}, ["1 loop, 2 pumps at 60%", "6.00 L/min at 10.0 kPa"]),
     ({"pumps": 0, "speed": ""}, ["2 loops, flow as typed", "6.00 L/min at 10.0 kPa"]), ({"loops": 0, "flow_m3_s": 0.0}, ["its loops are not described"])],
)  # fmt: skip
def test_what_is_said_of_a_zone(more: dict[str, Any], said: list[str]) -> None:
    """1e-4 m³/s are 6 L/min."""
    assert zone_lines(mark(0, **more), "si") == said
