"""What a study makes of its keys, worked by hand: loads, prices, loops, zones, loans, lists of sizes, zips."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import numpy as np
import pytest
from study.small_house import HOUSE, LOOP, WALL

from costsim.errors import InputError
from costsim.study.build_ups import BUILD_UPS, SUBFLOOR_M2K_W, covered_m2k_w
from costsim.study.bundle import MOST_FILES, STUDY, pack, unpack
from costsim.study.calibration import counted_twice, half_band, with_tables
from costsim.study.changed import changed
from costsim.study.financing import Loan
from costsim.study.heat_loss import Infiltration, Room, Route, Surface, far_apart, loss_of
from costsim.study.house import House
from costsim.study.loop_group import Loops
from costsim.study.plant import Floor
from costsim.study.prices import Price, fuel_of, singular
from costsim.study.schedules import Absence
from costsim.study.selection import read_sizes
from costsim.study.zone_loops import rest_share, zone_faults, zone_of
from costsim.units.faults import build
from costsim.units.table import GALLON_M3

NEAR = pytest.approx
FT = 0.3048


def test_loads_of_every_route_by_hand() -> None:
    """30 K between 20 and -10 °C. Walls 10 m² × 0.3, half of 20 m² × 0.5; air 100 m³, half an hour's, a quarter recovered: 0.34 Wh/(m³ K), EN 12831."""
    half = {"name": "cellar", "area": "20 m2", "u_value": "0.5 W/(m2 K)", "difference": "50 %"}
    air = {"volume": "100 m3", "changes": "0.5 /h", "recovery": "25 %"}
    house = build(
        House,
        HOUSE | {"heat_loss_per_area": "50 W/m2", "heat_loss_rate": "200 W/K", "heat_loss_rate_band": "8 %", "surface": [WALL, half], "infiltration": air,
                 "room": [{"name": "a", "surface": [WALL], "indoor_temperature": "24 degC"}, {"name": "b", "surface": [WALL]}]},
    )  # fmt: skip
    loads = {one.key: one.load_w for one in house.routes(-10.0, 0.0)}
    assert loads["area"] == NEAR(5000)
    assert loads["entered"] == NEAR(6000)
    assert loads["bills"] == NEAR(200 * 30)
    assert loads["envelope"] == NEAR((10 * 0.3 + 0.5 * 20 * 0.5 + 0.34 * 100 * 0.5 * 0.75) * 30, rel=2e-3)
    assert loads["rooms"] == NEAR(3 * 34 + 3 * 30)
    assert list(loads) == ["area", "entered", "envelope", "rooms", "bills"]  # from weak to strong
    bands = [one.band for one in house.routes(-10.0, 0.0)]
    assert bands[-1] == house.load_band_share == 0.08
    assert bands[:-1] == sorted(bands[:-1], reverse=True)
    assert house.route_used == "bills"
    assert build(House, HOUSE | {"heat_loss_per_area": "50 W/m2"}).route_used == "entered"
    assert build(House, HOUSE | {"heat_loss_per_area": "50 W/m2", "load_from": "area"}).route_used == "area"
    typical = build(Surface, {"name": "w", "area": "10 m2", "typical": "solid_brick_wall"})
    assert typical.loss_w_k == NEAR(10 * typical.u_value_known_w_m2k)
    assert loss_of([], None, 0.0) == 0.0
    assert loss_of([], build(Infiltration, air), 0.0) == NEAR(0.34 * 100 * 0.5 * 0.75, rel=2e-3)
    assert build(Room, {"name": "r", "surface": [WALL]}).load_w(20.0, -10.0, 0.0) == NEAR(90.0)


def test_routes_more_than_a_third_apart_are_told() -> None:
    used = Route("entered", "", 9000.0, 0.1)
    loads = (9000.0, 11_999.0, 12_001.0, 6001.0, 5999.0)
    assert [one.load_w for one in far_apart([Route("x", "", load, 0.1) for load in loads], used)] == NEAR(
        [12_001.0, 5999.0]
    )


def test_the_warmest_set_point_and_whether_it_varies() -> None:
    plain = build(House, HOUSE)
    assert (plain.varies, plain.warmest_c) == (False, 20.0)
    zone = {
        "name": "a",
        "area": "50 m2",
        "indoor_temperature": "22 degC",
        "setback": [{"indoor_temperature": "23 degC", "windows": ["06:00-08:00"]}],
    }
    assert build(House, HOUSE | {"zone": [zone]}).warmest_c == 23.0
    night = {"indoor_temperature": "16 degC", "windows": ["22:00-06:00"]}
    back = build(House, HOUSE | {"setback": [night]})
    assert (back.varies, back.warmest_c) == (True, 20.0)
    away = build(House, HOUSE | {"absence": [{"from": "Dec 20", "to": "2026-01-03"}]})
    assert away.varies
    assert (away.absence[0].from_day, away.absence[0].to_day) == ("Dec 20", "Jan 3")
    assert away.absence[0].indoor_temperature_c == NEAR(10.0)


def test_loops_and_pumps_by_hand() -> None:
    group = build(Loops, {"count": 3, "length": "90 m", "leads": "10 m", "spacing": "20 cm"})
    assert (group.heated_length_m, group.area_m2) == (NEAR(80.0), NEAR(16.0))
    floor = build(Floor, {"loops": [LOOP, {**LOOP, "count": 3, "length": "50 m", "spacing": "10 cm"}]})
    assert floor.area_m2 == NEAR(2 * 80 * 0.3 + 3 * 50 * 0.1)
    assert floor.loops_typed
    assert not floor.pump_typed
    laid = build(Floor, {"layout": {"level": [{"name": "G", "area": "50 m2"}]}})
    assert laid.area_m2 == NEAR(50.0)
    assert not laid.loops_typed
    assert not laid.pump_typed
    assert laid.pump is not None
    typed = build(
        Floor,
        {
            "layout": {"level": [{"name": "G", "area": "50 m2"}]},
            "pump": {"flows": ["0 gpm", "4 gpm"], "heads": ["18 ftH2O", "4 ftH2O"]},
        },
    )
    assert typed.pump_typed
    pump = typed.pump
    assert pump is not None
    # a gallon a minute is 6.309e-5 m³/s, a foot of water 2,989 Pa
    assert pump.flow_values_m3_s == (0.0, NEAR(4 * 6.30902e-5, rel=1e-4))
    assert pump.head_values_pa == (NEAR(18 * 2989.07, rel=1e-4), NEAR(4 * 2989.07, rel=1e-4))


def test_prices_in_money_for_each_joule() -> None:
    """0.12 $/kWh; propane of 91,452 Btu a gallon (EIA); tickets by all their money over all their fuel; of blocks the last."""
    plain = build(Price, {"energy": "0.12 $/kWh", "fixed": "14 $/month"})
    assert plain.base_per_j("electricity") == NEAR(0.12 / 3.6e6)
    assert plain.currency == "$"
    gallon_j = 91_452 * 1055.05585
    assert build(Price, {"energy": "2.60 $/gal"}).base_per_j("propane") == NEAR(2.60 / gallon_j, rel=2e-3)
    tickets = [
        {"date": "2025-01-14", "amount": "150 gal", "total": "390 $"},
        {"date": "2025-03-02", "amount": "50 gal", "total": "150 $"},
    ]
    assert build(Price, {"ticket": tickets}).base_per_j("propane") == NEAR(540 / (200 * gallon_j), rel=2e-3)
    blocks = build(Price, {"block": [{"energy": "1 €/kWh", "up_to": "100 kWh/month"}, {"energy": "2 €/kWh"}]})
    assert (blocks.base_per_j("electricity"), blocks.currency) == (NEAR(2 / 3.6e6), "€")
    tariff = build(
        Price,
        {"energy": "2.60 $/gal", "minimum_use": "365 gal/year", "minimum_use_fee": "75 $", "rent": "60 $/year", "tax": "7 %", "energy_tax": "4 %",
         "duty": "0.10 $/gal", "delivery": {"fill": "200 gal", "fee": "12 $", "minimum": "100 gal", "small_fee": "35 $"}},
    ).tariff("propane")  # fmt: skip
    assert tariff.minimum_use_j == NEAR(365 * gallon_j, rel=2e-3)
    assert (tariff.minimum_use_fee, tariff.rent_per_year, tariff.tax_share, tariff.energy_tax_share) == (
        75.0,
        60.0,
        NEAR(0.07),
        NEAR(0.04),
    )
    assert tariff.tax_per_j == NEAR(0.10 / gallon_j, rel=2e-3)
    assert tariff.minimum_use_price_per_j is None
    delivery = tariff.delivery
    assert delivery is not None
    assert [getattr(delivery, name) for name in delivery.__dataclass_fields__][:4] == [
        NEAR(200 * gallon_j, rel=2e-3), 12.0, NEAR(100 * gallon_j, rel=2e-3), 35.0,
    ]  # fmt: skip
    bare = plain.tariff("electricity")
    assert (bare.minimum_use_j, bare.tax_per_j, bare.delivery, bare.fixed_per_month) == (0.0, 0.0, None, 14.0)
    demand = (
        build(Price, {"energy": "0.1 $/kWh", "demand": [{"price": "120 $/kW/year"}, {"price": "9 $/kW"}]})
        .tariff("electricity")
        .demand
    )
    assert [one.price_per_w for one in demand] == NEAR([0.010, 0.009])
    assert (plain.co2_factor_kg_per_j("natural_gas"), build(Price, {"energy": "1 $/kWh", "co2": "0.2 kg/kWh"}).co2_factor_kg_per_j("x")) == (
        NEAR(53.06 / 1.05505585e9, rel=0.01), NEAR(0.2 / 3.6e6),  # 53.06 kg a MMBtu, US EPA
    )  # fmt: skip
    assert (fuel_of("off_peak", {}), fuel_of("wood", {}), fuel_of("night", {}), fuel_of("night", {"fuel": "wood"})) == (
        "electricity",
        "wood",
        None,
        "wood",
    )
    assert [singular(one) for one in ("therms", "cords", "short tons", "gal")] == ["therm", "cord", "short ton", "gal"]


def test_a_loan_is_paid_back_by_hand() -> None:
    """8,000 at 6 %: 120 months of 88.82; without interest a hundred and twentieth each."""
    assert build(Loan, {"amount": "8000 $", "interest": "0 %/year", "years": 10}).monthly_payment() == NEAR(8000 / 120)
    monthly = build(Loan, {"amount": "8000 $", "interest": "6 %/year", "years": 10}).monthly_payment()
    left = 8000.0
    for _ in range(120):
        left = left * 1.005 - monthly
    assert left == NEAR(0.0, abs=1e-6)


def test_lists_of_sizes_are_read_in_order() -> None:
    found = read_sizes(
        b"what,size,diameter,length\n# own\nbuffer tank,120 gal,24 in,60 in\nbuffer tank,80 gal,,\n", "s.csv"
    )["buffer tank"]
    assert [one.value for one in found] == NEAR([80 * GALLON_M3, 120 * GALLON_M3])
    assert (found[1].diameter_m, found[1].length_m, found[0].length_m) == (NEAR(24 * 0.0254), NEAR(60 * 0.0254), None)
    for text, words in (
        ("what,size\nbuffer tank,0 gal\n", "line 2: '0 gal' is not more than zero"),
        ("what,size\nsofa,1 gal\n", "line 2"),
        ("a,b\n", "no list"),
    ):
        with pytest.raises(InputError, match=words):
            read_sizes(text.encode(), "s.csv")
    most = "what,size\n" + "buffer tank,80 gal\n" * 1999
    assert len(read_sizes(most.encode(), "s.csv")["buffer tank"]) == 1999
    with pytest.raises(InputError, match="no list of sizes"):
        read_sizes((most + "buffer tank,80 gal\n").encode(), "s.csv")


def named(*names: str) -> Any:
    return build(Floor, {"loops": [{**LOOP, "name": name} for name in names]})


def zoned(*loops: tuple[str, ...], load: str = "50 %") -> House:
    return build(
        House, HOUSE | {"zone": [{"name": f"Z{at}", "load": load, "loops": list(one)} for at, one in enumerate(loops)]}
    )


@pytest.mark.parametrize(
    ("loops", "load", "floor", "words"),
    [
        ([("Up",), ("Down",)], "50 %", ("Up", "Down"), ""),
        ([("Up",), ("Down",)], "40 %", ("Up", "Down"), "Rest of the house has no loops"),
        ([("Up",), ("Down",)], "40 %", ("Up", "Down", "Hall"), ""),
        ([("Up",), ()], "50 %", ("Up",), "Z1 has no loops"),
        ([("Up",), ()], "50 %", ("Up", "Down"), ""),
        (
            [("Up", "Attic"), ("Down",)],
            "50 %",
            ("Up", "Down"),
            "house.zone[1].loops[2]: no loops are called 'Attic'; use one of Down, Up",
        ),
        ([("G: Bath",), ("Hall",)], "50 %", ("G: Bath", "Hall"), ""),
        ([("Bath",), ("Hall",)], "50 %", ("G: Bath", "Hall"), ""),
        ([("G",), ("Hall",)], "50 %", ("G: Bath", "Hall"), ""),
        (
            [("Bath",), ("Bed",)],
            "50 %",
            ("G: Bath + Bed",),
            "'G: Bath + Bed' is one circuit, but Z0 and Z1 takes only part of it",
        ),
        ([("Bath",), ("Hall",)], "50 %", ("G: Bath + Bed", "Hall"), "takes only part of it"),
        ([("Bath", "G: Bed"), ("Hall",)], "50 %", ("G: Bath + Bed", "Hall"), ""),
    ],
)
def test_zones_name_loops_of_their_own(
    loops: list[tuple[str, ...]], load: str, floor: tuple[str, ...], words: str
) -> None:
    found = [str(one) for one in zone_faults(zoned(*loops, load=load), named(*floor), "s")]
    assert any(words in one for one in found) if words else found == [], found


def test_zones_without_loops_or_floor() -> None:
    house = zoned((), ())
    assert zone_faults(house, None, "s") == []
    assert "no floor is described" in str(zone_faults(zoned(("Up",), ()), None, "s")[0])
    assert rest_share(house) == 0.0
    assert rest_share(zoned((), load="40 %")) == NEAR(0.6)
    assert rest_share(build(House, HOUSE)) == 1.0
    group = named("Up", "G: Bath + Bed").loops
    assert [zone_of(one, zoned(("Bath", "Bed"), ("Up",)).zone) for one in group] == [1, 0]
    assert zone_of(group[1], zoned(("Bath",), ("Up",)).zone) is None


def test_what_bills_hold_already_is_told() -> None:
    case = type("C", (), {})()
    for more, words in (
        ({}, ""), ({"setback": [{"indoor_temperature": "16 degC", "windows": ["22:00-06:00"]}]}, "house.setback of the study count"),
        ({"solar_aperture": "4 m2", "absence": [{"from": "Dec 20", "to": "Jan 3"}]}, "house.absence and house.solar_aperture of"),
    ):  # fmt: skip
        case.house = build(House, HOUSE | more)
        text = counted_twice(case)
        assert (words in text) if words else text == ""
    for low, high, wanted in ((90.0, 110.0, 0.1), (-50.0, 250.0, 1.0)):
        fit: Any = type("F", (), {"now": type("N", (), {"loss_band_w_k": (low, high), "loss_w_k": 100.0})()})()
        assert half_band(fit) == NEAR(wanted)


def zipped(count: int) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as archive:
        archive.writestr(STUDY, 'title = "x"')
        for at in range(count - 1):
            archive.writestr(f"{at}.csv", b"")
    return target.getvalue()


def test_a_zip_holds_up_to_so_many_files() -> None:
    assert len(unpack(zipped(MOST_FILES))[1]) == MOST_FILES - 1
    with pytest.raises(InputError, match=f"holds {MOST_FILES + 1} files"):
        unpack(zipped(MOST_FILES + 1))
    with pytest.raises(InputError, match="holds too many files"):
        unpack(zipped(2 * MOST_FILES + 1))
    papers = {"bills": {"a.csv": b"1", "b.csv": b"2"}}
    with zipfile.ZipFile(io.BytesIO(pack({"title": "x"}, {}, papers))) as archive:
        assert archive.namelist() == ["study.toml", "bills-1", "bills-2", "papers.json"]
        assert {one.date_time[0] for one in archive.infolist()} == {1980}


def test_a_changed_size_is_read_by_its_own_table() -> None:
    from costsim.study.case import read_study

    case = read_study("net_loft")
    path = ("option", 1, "source", 1, "output")
    larger = changed(case, (path, "31 kW"))
    assert larger.options[1].sources[1].nameplate_w() == NEAR(31_000.0)
    assert larger.options[1].sources[0] == case.options[1].sources[0]
    assert larger.options[0] == case.options[0]
    assert larger.typed["option"][1]["source"][1]["output"] == "31 kW"
    assert case.typed["option"][1]["source"][1]["output"] != "31 kW"
    own = changed(case, (("option", 2, "tank"), {"volume": "300 L"}), (("tank", "volume"), "200 L"))
    assert own.options[2].tank is not None
    assert (own.options[2].tank.volume_m3, own.tank.volume_m3 if own.tank else 0.0) == (NEAR(0.3), NEAR(0.2))
    with pytest.raises(InputError):
        changed(case, (path, "-1 kW"))
    assert np.isfinite(larger.options[1].sources[1].nameplate_w())


def test_a_file_in_a_zip_may_be_as_large_as_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    from costsim.study import bundle

    monkeypatch.setattr(bundle, "MOST_FILE_BYTES", 100)
    for size, fits in ((100, True), (101, False)):
        raw = pack({"title": "x"}, {"a.csv": b"1" * size})
        if fits:
            assert len(unpack(raw)[1]["a.csv"]) == 100
            continue
        with pytest.raises(InputError, match="is too large"):
            unpack(raw)
    monkeypatch.setattr(bundle, "MOST_FILE_BYTES", 1000)
    monkeypatch.setattr(bundle, "MOST_ALL_BYTES", 100)
    title = len(b'title = "x"\n')
    assert unpack(pack({"title": "x"}, {"a.csv": b"1" * (100 - title)}))[1]
    with pytest.raises(InputError, match="is too large"):
        unpack(pack({"title": "x"}, {"a.csv": b"1" * (101 - title)}))


def test_what_was_fitted_takes_the_place_of_what_it_replaces() -> None:
    data = {
        "title": "x",
        "house": {"floor_area": "100 m2", "balance_point": "17 degC", "gains": "300 W"},
        "uncertainty": {"load": "10 %", "weather": "5 %"},
    }
    found = with_tables(data, {"house": {"heat_loss_rate": "180 W/K"}, "uncertainty": {"load": "4 %"}, "economics": {}})
    assert found == {
        "title": "x", "house": {"floor_area": "100 m2", "heat_loss_rate": "180 W/K"}, "uncertainty": {"weather": "5 %", "load": "4 %"}, "economics": {},
    }  # fmt: skip
    assert data["house"]["gains"] == "300 W"


def test_a_day_away_may_be_that_of_a_leap_year() -> None:
    away = build(Absence, {"from": "2028-02-29", "to": "2028-03-02"})
    assert (away.from_day, away.to_day) == ("Feb 29", "Mar 2")
    with pytest.raises(InputError, match="'2028-02-30' is not a day"):
        build(Absence, {"from": "2028-02-30", "to": "2028-03-02"})


def test_plates_between_joists_spread_and_store_heat_like_what_they_are_made_of() -> None:
    """0.4 mm of aluminum at 200 W/(m K) under seven tenths of the floor; a subfloor of 19 mm, 600 kg/m³ and 1,600 J/(kg K): from memory."""
    joists = BUILD_UPS["joists"]
    assert joists.conductivity_w_mk * joists.thickness_m == NEAR(0.7 * 0.0004 * 200.0)
    assert joists.heat_capacity_j_m2k == NEAR(0.019 * 600.0 * 1600.0, rel=0.01)
    assert covered_m2k_w(joists, 0.1) == NEAR(0.1 + SUBFLOOR_M2K_W)
    assert covered_m2k_w(next(one for one in BUILD_UPS.values() if one is not joists), 0.1) == 0.1
