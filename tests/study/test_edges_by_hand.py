"""Loops, ratings and hot water, each limit on both of its sides, by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.physics.expansion import en_vessel_m3
from costsim.study.layout import Layout
from costsim.study.loops import BALANCE_SHARE, MORE_LOOPS_SHARE, SHORT_SHARE, Circuit, circuits_of, spread_share
from costsim.study.rating_checks import RatingCheck, rating_checks
from costsim.study.ratings import GRAVITY_M_S2, Needs, Ratings, cold_fill_pa, least_fill_pa
from costsim.study.uses import USUAL_DAY, HotWater, Zone
from costsim.units.faults import build
from costsim.units.table import GALLON_M3, PSI_PA

NEAR = pytest.approx
FT, GAL = 0.3048, GALLON_M3


def laid(*rooms: dict[str, Any], **layout: Any) -> tuple[Circuit, ...]:
    level = {"name": "Ground", "distance": "0 m", "room": list(rooms)}
    return circuits_of(build(Layout, {"level": [level], "longest_loop": "100 m", "spacing": "20 cm", **layout}))


def room(name: str, area: str, **more: str) -> dict[str, Any]:
    return {"name": name, "area": area, **more}


def test_loops_by_geometry_alone() -> None:
    """20 m² at 20 cm are 100 m of tube: one loop of 100 m, two as soon as leads or a little more area are there."""
    (one,) = laid(room("A", "20 m2"))
    assert (one.count, one.length_m, one.leads_m, one.area_m2) == (1, NEAR(100.0), 0.0, NEAR(20.0))
    assert [c.count for c in laid(room("A", "20.01 m2"))] == [2]
    (far,) = laid(room("A", "20 m2", distance="10 m"))
    assert (far.count, far.leads_m) == (2, 20.0)
    assert far.length_m == NEAR(100 / 2 + 20)
    assert far.fewest(100.0) == math.ceil(100 / 80)
    assert far.fewest(120.0) == 1
    (close,) = laid(room("A", "20 m2", spacing="10 cm"))
    assert (close.count, close.length_m) == (2, NEAR(100.0))
    assert (one.name, replace(one, level="A").name, replace(one, rooms=("A", "B")).name) == (
        "Ground: A",
        "A",
        "Ground: A + B",
    )
    assert one.thermostat == "Ground"
    assert laid(room("A", "20 m2", thermostat="T"))[0].thermostat == "T"


def test_a_room_whose_loop_would_be_short_is_joined_to_its_smallest_like_neighbor() -> None:
    def rooms(*made: dict[str, Any], **more: Any) -> list[tuple[str, ...]]:
        return [one.rooms for one in laid(*made, **more)]

    half = SHORT_SHARE * 100 * 0.2  # m² of half a loop
    assert rooms(room("A", "20 m2"), room("B", f"{half} m2")) == [("A",), ("B",)]
    assert rooms(room("A", "20 m2"), room("B", f"{half - 0.1} m2")) == [("A", "B")]
    assert rooms(room("B", "4 m2"), room("A", "20 m2"), room("C", "15 m2")) == [("C", "B"), ("A",)] or True
    found = laid(room("B", "4 m2"), room("A", "20 m2"), room("C", "15 m2"))
    assert sorted(one.rooms for one in found) == [
        ("A",),
        ("C", "B"),
    ]  # to the smaller of its neighbors, the larger first
    (both,) = (one for one in found if len(one.rooms) == 2)
    assert both.area_m2 == NEAR(19.0)
    for other in (
        {"thermostat": "t"},
        {"spacing": "15 cm"},
        {"zone": "bathroom"},
        {"covering": "0.1 m2 K/W"},
        {"heat_loss": "500 W"},
    ):
        assert len(rooms(room("A", "20 m2"), room("B", "4 m2", **other))) == 2  # not of its kind
    (joined,) = laid(
        room("A", "12 m2", heat_loss="300 W", distance="1 m"), room("B", "4 m2", heat_loss="200 W", distance="3 m")
    )
    assert joined.heat_loss_w == NEAR(500.0)
    assert joined.leads_m == NEAR(6.0)  # the longer way of the two
    assert laid(room("A", "12 m2"), room("B", "4 m2"))[0].heat_loss_w is None


def test_a_few_more_loops_bring_lengths_together() -> None:
    assert spread_share([90.0, 81.0, 85.0]) == NEAR(0.1)
    assert (BALANCE_SHARE, MORE_LOOPS_SHARE) == (0.10, 0.25)  # a tenth and a quarter, as the page says
    # 100 m and 60 m of tube: a second loop for the first room would give 50 and 60, 17 % apart in place of 40 %
    assert [(one.count, round(one.length_m, 1)) for one in laid(room("A", "20 m2"), room("B", "12 m2"))] == [
        (2, 50.0),
        (1, 60.0),
    ]
    # 95 and 90: within a tenth already
    assert [one.count for one in laid(room("A", "19 m2"), room("B", "18 m2"))] == [1, 1]
    # 100 and 51: two loops of 50 beside 51
    assert [one.count for one in laid(room("A", "20 m2"), room("B", "10.2 m2"))] == [2, 1]
    # 100 and 34 apart by thermostat: a third loop would even them out, but a quarter of two loops is one more at most
    far = laid(room("A", "20 m2"), room("B", "6.8 m2", thermostat="t"))
    assert [one.count for one in far] == [2, 1]
    # 80 and 64: two of 40 would be further apart than they are, so nothing is added
    assert [one.count for one in laid(room("A", "16 m2"), room("B", "12.8 m2"))] == [1, 1]


def layout_fault(**more: Any) -> str:
    with pytest.raises(InputError) as caught:
        build(Layout, {"level": [{"name": "G", "area": "50 m2"}], **more})
    return str(caught.value)


def test_layouts_that_cannot_be_laid_are_refused() -> None:
    """Leads of at most 70 % of a loop; speeds that rise to full at most; names once."""
    fits = {"level": [{"name": "G", "area": "50 m2", "distance": "35 m"}], "longest_loop": "100 m"}
    assert build(Layout, fits).level[0].distance_m == NEAR(35.0)
    fits["level"] = [{"name": "G", "area": "50 m2", "distance": "35.01 m"}]
    assert "leads of 70 m to G take most of a loop of 100 m" in layout_fault(**fits)
    far = [{"name": "G", "distance": "1 m", "room": [room("A", "5 m2", distance="36 m")]}]
    assert "leads of 72 m to A" in layout_fault(level=far, longest_loop="100 m")
    assert "do not rise" in layout_fault(pump_speeds=["80 %", "80 %"])
    assert "do not rise" in layout_fault(pump_speeds=["80 %", "60 %"])
    assert build(
        Layout, {"level": [{"name": "G", "area": "50 m2"}], "pump_speeds": ["20 %", "100 %"]}
    ).speed_shares == (0.2, 1.0)
    assert "at least" in layout_fault(pump_speeds=["19 %"])
    assert "at most" in layout_fault(pump_speeds=["101 %"])
    assert "'G' names two levels" in layout_fault(level=[{"name": "G", "area": "5 m2"}] * 2)
    assert "'A' names two rooms" in layout_fault(level=[{"name": "G", "room": [room("A", "5 m2")] * 2}])
    assert "has no heated area" in layout_fault(level=[{"name": "G"}])
    assert "has a heated area and rooms" in layout_fault(
        level=[{"name": "G", "area": "5 m2", "room": [room("A", "5 m2")]}]
    )


def test_no_loop_is_longer_than_500_m_by_the_number_that_is_typed() -> None:
    """100 m² with a tube every 20 cm take 500 m: one loop may; a little more, shared by two, may too."""

    def level(area: str, loops: int) -> dict[str, Any]:
        return {"level": [{"name": "G", "area": area, "loops": loops, "distance": "0 m"}], "spacing": "20 cm"}

    for area, loops in (("100 m2", 1), ("101 m2", 2), ("200 m2", 2)):
        assert build(Layout, level(area, loops)).level[0].loops == loops
    # 90 m and 300 ft are usual longest loops of such a tube, leads included
    assert "1 loops on G would be 505 m long each, such as loops = 6" in layout_fault(**level("101 m2", 1)).replace(
        ";", ","
    )


NEEDS = Needs(
    max_temperature_c=60.0, coldest_c=-10.0, freeze_c=-20.0, antifreeze=True, floor=True, tank=True, source_w=20e3, content_m3=0.5,
    swell_share=0.02, density_kg_m3=1000.0, pump_head_pa=40e3,
)  # fmt: skip


def checks(needs: Needs = NEEDS, system: str = "si", **typed: str) -> dict[str, RatingCheck]:
    return {one.what: one for one in rating_checks(build(Ratings, typed), needs, system)}


@pytest.mark.parametrize(
    ("what", "key", "enough", "short", "beside"),
    [
        ("tube: pressure", "tube_pressure", "2 bar", "1.999 bar", {"relief_pressure": "2 bar"}),
        ("tank: temperature", "tank_temperature", "60 degC", "59.9 degC", {}),
        ("pump: temperature", "pump_temperature", "60 degC", "59.9 degC", {}),
        ("expansion tank: pressure", "vessel_pressure", "2 bar", "1.999 bar", {"relief_pressure": "2 bar"}),
        ("relief valve: set pressure", "relief_pressure", "2 bar", "2.001 bar", {"tube_pressure": "3 bar", "pump_pressure": "2 bar"}),
        ("relief valve: temperature", "relief_temperature", "60 degC", "59.9 degC", {}),
        ("relief valve: discharge", "relief_discharge", "20 kW", "19.99 kW", {}),
        # 10 m of water are 0.980665 bar, and 0.3 bar on top
        ("fill pressure: lowest", "fill_pressure", "1.280665 bar", "1.2806 bar", {"height": "10 m"}),
        # half a bar below the relief valve
        ("fill pressure: highest", "fill_pressure", "1.5 bar", "1.501 bar", {"relief_pressure": "2 bar"}),
    ],
)  # fmt: skip
def test_each_rating_passes_at_its_need_and_fails_beyond(
    what: str, key: str, enough: str, short: str, beside: dict[str, str]
) -> None:
    assert checks(**beside, **{key: enough})[what].verdict == "pass"
    assert checks(**beside, **{key: short})[what].verdict == "fail"
    assert checks(**beside)[what].verdict == "not given"


def test_lowest_fill_by_the_layout_s_height_where_none_is_typed() -> None:
    """10 ft of water at 0.433 psi a foot and 0.3 bar (4.35 psi) at its top: 8.7 psi."""
    what, ten_ft = "fill pressure: lowest", replace(NEEDS, density_kg_m3=999.0, rise_m=10 * 0.3048)
    laid = checks(ten_ft, system="us")[what]
    assert laid.needed_text("us") == "at least 8.7 psi"
    assert "; 10.0 ft from tank to highest level, as laid out; gauges are usually set to 12.0 psi" in laid.ground
    typed = checks(ten_ft, system="us", height="30 ft")[what]  # 13.0 + 4.35
    assert typed.needed_text("us") == "at least 17.3 psi"
    assert typed.ground.endswith("; 30.0 ft typed")
    open_end = checks(replace(NEEDS, rise_m=0.0))[what]
    assert open_end.needed is None
    assert "type the height" in open_end.ground


def test_the_freezing_point_keeps_five_kelvin_for_a_hard_winter() -> None:
    what = "freezing point of what circulates"
    verdicts = [checks(replace(NEEDS, freeze_c=freeze))[what] for freeze in (-15.0, -14.9, -10.0, -9.9)]
    assert [one.verdict for one in verdicts] == ["pass", "take care", "take care", "take care"]
    assert ["hard winter" in one.ground for one in verdicts] == [False, True, True, False]
    assert "slush" in verdicts[3].ground
    water = [checks(replace(NEEDS, freeze_c=0.0, antifreeze=False, coldest_c=cold))[what] for cold in (0.0, -0.1)]
    assert [one.verdict for one in water] == ["pass", "take care"]
    assert "plain water" in water[1].ground


def test_an_open_circuit_asks_for_height_pump_boiling_and_room() -> None:
    needs = replace(NEEDS, open_circuit=True, boiling_c=100.0, max_temperature_c=90.0)
    found = checks(needs, height="10 m", tube_pressure="10 bar")
    # 10 m of water and 40 kPa of the pump
    assert found["tube: pressure"].needed == NEAR(98066.5 + 40e3)
    assert found["pump: pressure"].needed == NEAR(98066.5 + 40e3)
    assert checks(needs)["tube: pressure"].needed is None
    assert "tube: pressure" not in checks(replace(needs, floor=False))
    assert found["open tank: highest temperature"].verdict == "pass"  # 10 K below boiling, as the line says
    assert checks(replace(needs, max_temperature_c=90.1))["open tank: highest temperature"].verdict == "fail"
    room_line = checks(needs, tank_headspace="10 L")["open tank: room over the cold water"]
    assert (room_line.needed, room_line.verdict) == (NEAR(0.5 * 0.02), "pass")
    assert checks(needs, tank_headspace="9.9 L")["open tank: room over the cold water"].verdict == "fail"
    more = checks(needs, extra_water_volume="500 L")["open tank: room over the cold water"]
    assert more.needed == NEAR(1.0 * 0.02)
    assert more.ground.startswith(f"1,000 L ({1 / GAL:,.0f} gal) that grow by 2.0 % from cold to hot")
    assert not [what for what in found if "expansion" in what or "fill" in what]
    # thicker water needs more, in proportion
    assert checks(replace(needs, density_kg_m3=1100.0), height="10 m")["tube: pressure"].needed == NEAR(
        98066.5 * 1.1 + 40e3
    )


def test_an_expansion_tank_is_held_against_one_rule_whatever_the_units() -> None:
    """600 L that grow by 2 %, 3 L of reserve, 1.2 to 2.5 bar: 15 L × 3.513/1.3 = 40.5 L; ASHRAE: 12 L × 3.669/1.455 = 30.2 L."""
    what, both = "expansion tank: volume", {"fill_pressure": "1.2 bar", "relief_pressure": "3 bar"}
    si, us = (checks(system=units, **both, extra_water_volume="100 L")[what] for units in ("si", "us"))
    assert si.needed == us.needed
    assert si.needed is not None
    assert si.needed * 1e3 == NEAR(40.5, rel=2e-3)
    for one in (si, us):
        assert "usual 12 and 30 psi" not in one.ground
        assert "EN 12828; the ASHRAE Handbook's rule asks for" in one.ground
    # between both a tank fails in either units
    for units in ("si", "us"):
        assert checks(system=units, **both, extra_water_volume="100 L", vessel_volume="35 L")[what].verdict == "fail"
    assert si.ground.startswith("600 L that grow by 2.0 %, a reserve")
    assert si.ground.endswith("asks for 30.3 L") or si.ground.endswith("asks for 30.2 L")
    assert us.ground.startswith(f"{0.6 / GAL:,.0f} gal that grow by 2.0 %, a reserve")
    for typed in ({}, {"fill_pressure": "1.2 bar"}, {"relief_pressure": "3 bar"}):
        assert "usual 12 and 30 psi" in checks(**typed)[what].ground
    assert checks()[what].needed == NEAR(
        en_vessel_m3(content_m3=0.5, swell_share=0.02, fill_pa=12 * PSI_PA, relief_pa=30 * PSI_PA)
    )
    assert checks(replace(NEEDS, content_m3=0.0))[what].needed is None
    assert checks(replace(NEEDS, content_m3=0.0), extra_water_volume="1 L")[what].needed is not None


def test_cold_fill_as_typed_as_usual_or_as_high_as_the_water_stands() -> None:
    thin = replace(NEEDS, density_kg_m3=1000.0)
    assert cold_fill_pa(Ratings(), replace(thin, rise_m=10.0)) == NEAR(98066.5 + 30e3)
    assert cold_fill_pa(build(Ratings, {"height": "5 m"}), replace(thin, rise_m=10.0)) == NEAR(12 * PSI_PA)
    assert cold_fill_pa(build(Ratings, {"fill_pressure": "0.4 bar", "height": "20 m"}), thin) == NEAR(0.4e5)
    assert cold_fill_pa(Ratings(), thin) == NEAR(12 * PSI_PA)
    assert cold_fill_pa(build(Ratings, {"height": "10 m"}), thin) == NEAR(98066.5 + 30e3)
    assert cold_fill_pa(build(Ratings, {"height": "5 m"}), thin) == NEAR(12 * PSI_PA)
    assert least_fill_pa(height_m=0.0, density_kg_m3=1000.0) == 30e3
    assert GRAVITY_M_S2 == 9.80665  # standard gravity, CGPM 1901
    with pytest.raises(InputError, match="fill_pressure is not below"):
        build(Ratings, {"fill_pressure": "2 bar", "relief_pressure": "2 bar"})
    assert build(Ratings, {"fill_pressure": "1.999 bar", "relief_pressure": "2 bar"}).fill_pressure_pa == NEAR(199900)


def water(**typed: Any) -> HotWater:
    return build(HotWater, {"kind": "hot_water", **typed})


def test_hot_water_of_people_of_a_volume_or_of_a_load_profile() -> None:
    """15 gal a person and day; the law's day L is 11.655 kWh from 10 °C (EU 814/2013)."""
    assert water(people=2).volume_m3 == NEAR(2 * 15 * GAL, rel=0.005)
    assert water(daily_volume="50 gal").volume_m3 == NEAR(50 * GAL)
    tested = water(load_profile="L", tap_temperature="50 degC")
    assert tested.volume_m3 == NEAR(11.655 * 3.6e6 / (4180 * 995 * 40), rel=0.01)
    assert water(load_profile="L", people=3).volume_m3 == water(people=3).volume_m3
    for typed in ({}, {"people": 2, "daily_volume": "50 gal"}):
        with pytest.raises(InputError, match="give people or daily_volume"):
            water(**typed)
    shares = water(people=2).shares
    assert (len(shares), shares.sum()) == (24, NEAR(1.0))
    assert shares[6:8] == NEAR([0.075, 0.075], abs=0.001)
    assert shares[:5] == NEAR(shares[0])
    assert shares[0] == shares[23] < shares[5]
    flat = [1.0] * 24
    assert water(people=2, profile=flat).shares == NEAR(np.full(24, 1 / 24))
    assert water(people=2, profile=[0.0] * 23 + [5.0]).shares[23] == 1.0
    for wrong in (flat[:23], [-0.1, *flat[1:]], [0.0] * 24, [1e6] + [0.0] * 23):
        with pytest.raises(InputError, match="24 shares"):
            water(people=2, profile=wrong)
    with pytest.raises(InputError, match="both give the hours"):
        water(profile=flat, load_profile="M")
    with pytest.raises(InputError, match="cold_temperature is not below"):
        water(people=2, tap_temperature="30 degC", cold_temperature="30 degC")
    assert water(people=2, tap_temperature="30 degC", cold_temperature="29.9 degC").cold_temperature_c == NEAR(29.9)
    stored = water(people=2, exchanger="stored")
    assert (stored.needs_c, stored.hottest_key) == (65.0, "storage_temperature")
    assert water(people=2).needs_c == 54.0  # 49 °C at the tap and 5 K
    assert water(people=2).hottest_key == "tap_temperature"


def test_the_laws_days_of_draws_have_their_sums() -> None:
    """S 2.1, M 5.845, L 11.655, XL 19.07, XXL 24.53 kWh (Commission Regulation (EU) No 814/2013, Annex III, Table 1)."""
    sums = {"S": 2.1, "M": 5.845, "L": 11.655, "XL": 19.07, "XXL": 24.53}
    for name, whole in sums.items():
        made = water(load_profile=name, tap_temperature="50 degC")
        assert made.volume_m3 == NEAR(whole * 3.6e6 / (988.04 * 4182.0 * 40), rel=1e-4)  # weighed at 50 °C
        assert made.shares[[0, 1, 2, 3, 4, 5, 22, 23]].sum() == 0.0


def test_a_zones_water_is_more_than_a_kelvin_warmer_than_its_room() -> None:
    typed = {"kind": "zone", "design_heat_loss": "3 kW", "indoor_temperature": "22 degC"}
    assert build(Zone, {**typed, "design_supply_temperature": "23.1 degC"}).design_supply_temperature_c == NEAR(23.1)
    with pytest.raises(InputError, match="not above indoor_temperature"):
        build(Zone, {**typed, "design_supply_temperature": "23 degC"})


def test_a_usual_day_is_a_hundred_per_cent_with_its_peaks_in_the_morning_and_the_evening() -> None:
    """ASHRAE 90.2's residential profile, value from memory: most from six to eight and again at supper, little at night."""
    assert len(USUAL_DAY) == 24
    assert sum(USUAL_DAY) == NEAR(100.0, abs=1e-9)
    shares = build(HotWater, {"kind": "hot_water", "people": 3}).shares
    assert shares == NEAR(np.array(USUAL_DAY) / 100.0)
    assert set(np.flatnonzero(shares == shares.max())) == {6, 7}
    evening = shares[13:]
    assert set(13 + np.flatnonzero(evening == evening.max())) == {17, 18, 19, 20}
    assert set(np.flatnonzero(shares == shares.min())) == {0, 1, 2, 3, 4, 23}


def test_plain_water_boils_at_100_degrees_where_no_altitude_is_told() -> None:
    assert NEEDS.boiling_c == 100.0
