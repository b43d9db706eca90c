"""What a circuit asks of its parts: growth of the water and the vessel, by hand."""

from __future__ import annotations

import copy
import math

import pytest
from cases import demo, sample_weather, study

from costsim.analysis.layout import layout
from costsim.analysis.needs import (
    cautions_for,
    contents_m3,
    needed_vessel_m3,
    needs_of,
    return_at_design_c,
    uncounted_m3,
)
from costsim.engine.lower import lower_study
from costsim.physics.expansion import en_vessel_m3, us_tank_m3
from costsim.study.case import case_from
from costsim.study.rating_checks import rating_checks
from costsim.study.ratings import Ratings
from costsim.units.faults import build
from costsim.units.quantity import GALLON_M3

GREENSBORO = sample_weather()
ELECTRIC = {"kind": "electric", "output": "9 kW"}


@pytest.mark.parametrize("top_c", [60, 80])
def test_water_grows_by_the_steam_tables(published, top_c: int) -> None:
    case = study(ELECTRIC, tank__volume="600 L", tank__max_temperature=f"{top_c} degC")
    needs = needs_of(lower_study(case, GREENSBORO))
    published("layout")[f"water_growth_{top_c}"].check(needs.swell_share * 100)


def test_vessel_by_en_12828(published) -> None:
    volume = en_vessel_m3(content_m3=0.6, swell_share=0.035, fill_pa=1.3e5, relief_pa=3e5)
    assert volume is not None
    published("layout")["vessel_en_12828"].check(volume * 1e3)


def test_tank_by_the_us_rule(published) -> None:
    psi = 6894.757
    volume = us_tank_m3(content_m3=143 * GALLON_M3, swell_share=0.043, fill_pa=12 * psi, relief_pa=30 * psi)
    assert volume is not None
    published("layout")["us_tank"].check(volume / GALLON_M3)
    assert us_tank_m3(content_m3=1.0, swell_share=0.04, fill_pa=26 * psi, relief_pa=30 * psi) is None


def test_water_comes_back_as_much_cooler_as_emitters_of_unknown_flow_usually_cool_it() -> None:
    """75 °C at design less 10 K (18 °F), and never cooler than the rooms: 24 °C less 10 K comes back at the room's 20 °C."""
    back = [
        return_at_design_c(lower_study(study(ELECTRIC, house__design_supply_temperature=supply, **more), GREENSBORO))
        for supply, more in (("75 degC", {"house__emitter": "baseboard"}), ("24 degC", {}))
    ]
    assert back == [pytest.approx(65.0), 20.0]


def test_one_content_with_mains_for_layout_needs_and_weight() -> None:
    """80 gal and 15 ft of 1 in PEX there and back upstairs, 0.862 in inside: π/4 × 0.862² × 360 in³ are 0.909 gal."""
    case = case_from(copy.deepcopy(demo("two_levels")))
    parts = contents_m3(case)
    assert parts["mains"] / GALLON_M3 == pytest.approx(math.pi / 4 * 0.862**2 * 360 / 231, rel=0.01)
    needs, plan = needs_of(lower_study(case, GREENSBORO)), layout(case, GREENSBORO)
    assert needs.content_m3 == pytest.approx(math.fsum(parts.values()))
    assert plan.fluid.total_m3 == pytest.approx(needs.content_m3)


def test_the_needed_vessel_counts_tank_tubes_and_further_water() -> None:
    """600 L and 40 L in the units, from 10 to 80 °C: 640 L × 2.87 % and 3.2 L, × 3.513 / 1.2."""
    case = study(ELECTRIC, tank__volume="600 L", tank__max_temperature="80 degC")
    ratings = build(Ratings, {"relief_pressure": "3 bar", "fill_pressure": "1.3 bar", "extra_water_volume": "40 L"})
    volume = needed_vessel_m3(lower_study(case, GREENSBORO), ratings)
    assert volume == pytest.approx((640 * 0.0287 + 3.2) * 3.51325 / 1.2 / 1e3, rel=0.02)
    usual = build(Ratings, {"relief_pressure": "30 psi", "fill_pressure": "12 psi"})
    lowered = lower_study(study(ELECTRIC, tank__volume="600 L", house__emitter="baseboard"), GREENSBORO)
    # 40 ft of water are 17.3 psi, and 0.3 bar at the top 4.4: 21.7 psi, more than the usual 12
    high, typed = build(Ratings, {"height": "40 ft"}), build(Ratings, {"fill_pressure": "21.7 psi"})
    assert needed_vessel_m3(lowered, high) == pytest.approx(needed_vessel_m3(lowered, typed), rel=0.02)
    assert needed_vessel_m3(lowered, Ratings()) == pytest.approx(needed_vessel_m3(lowered, usual))


def test_without_a_store_or_a_word_on_units_no_vessel_is_told() -> None:
    """A floor's tubes alone are not the boiler, nor its mains: nothing is taken for them, and the rule stays silent."""
    loops = [{"count": 4, "length": "50 m", "tube": "16x2", "flow": "2 L/min"}]
    bare = lower_study(study(ELECTRIC, floor__loops=loops), GREENSBORO)
    assert needs_of(bare).uncounted_m3 is None
    assert needed_vessel_m3(bare, Ratings()) is None
    [line] = [one for one in rating_checks(Ratings(), needs_of(bare), "us") if one.what == "expansion tank: volume"]
    assert (line.needed, line.verdict) == (None, "not given")
    assert line.ground.startswith("not known: type what boiler, radiators or baseboards, and mains hold")
    typed, needs = build(Ratings, {"extra_water_volume": "76 L"}), needs_of(bare)
    # 200 m of 12 mm inside hold 22.6 L: with boiler, baseboards and mains 98.6 L and 3 L of reserve; 12 psi cold and 22.75 psi hot: 37.45/10.75
    needed = needed_vessel_m3(bare, typed)
    assert needed == pytest.approx((0.0986 * needs.swell_share + 0.003) * 37.45 / 10.75, rel=2e-3)


@pytest.mark.parametrize(
    ("emitter", "store", "put_on"),
    [
        # 6 kW: 36 L of convectors, 84 L of cast iron, 138 L of a floor in all; a tenth of the store must be as much
        ("baseboard", "400 L", 0.040), ("baseboard", "350 L", None), ("radiators", "800 L", None), ("radiators", "850 L", 0.085),
        ("radiant_floor", "1300 L", None), ("radiant_floor", "1400 L", 0.140), ("fan_coil", "470 L", None), ("fan_coil", "490 L", 0.049),
        ("low_temperature_radiators", "650 L", None), ("low_temperature_radiators", "670 L", 0.067),
    ],
)  # fmt: skip
def test_a_tenth_of_a_store_stands_for_emitters_that_usually_hold_no_more(
    emitter: str, store: str, put_on: float | None
) -> None:
    case = study(ELECTRIC, tank__volume=store, house__emitter=emitter)
    found = uncounted_m3(case, 6e3)
    assert found == (None if put_on is None else pytest.approx(put_on))


def test_only_emitters_that_are_not_described_are_asked_for_beside_a_store() -> None:
    """Half the house on cast iron, 6 kW × 0.5 × 14 L/kW = 42 L; tubes of the other half are counted: 22.6 L in 200 m of 12 mm."""
    loops = [{"count": 4, "length": "50 m", "tube": "16x2", "flow": "2 L/min"}]
    zone = [{"name": "Up", "load": "50 %", "emitter": "radiators"}]

    def found(store: str) -> float | None:
        return uncounted_m3(study(ELECTRIC, floor__loops=loops, tank__volume=store, house__zone=zone), 6e3)

    assert found("390 L") is None
    assert found("400 L") == pytest.approx(0.1 * 0.4226, rel=1e-3)
    alone = uncounted_m3(study(ELECTRIC, floor__loops=loops, tank__volume="50 L"), 6e3)
    assert alone == pytest.approx(0.1 * 0.0726, rel=1e-3)


def test_a_charge_meets_the_water_of_the_emitter_that_is_there() -> None:
    """Baseboards: 75 °C at design, 20 + 55 × 0.25^(1/1.3) = 39 °C on a mild day; coils give on a straight line: 50 and 27.5 °C."""
    wood = {
        "kind": "wood",
        "output": "25 kW",
        "burn_time": "5 h",
        "load_times": ["07:00", "18:00"],
        "efficiency": "60 %",
    }
    for emitter, night, mild in (("baseboard", 75, 39), ("fan_coil", 50, 28)):
        case = study(wood, tank__volume="1500 L", tank__max_temperature="85 degC", house__emitter=emitter)
        [dump] = [one for one in cautions_for(lower_study(case, GREENSBORO), "si") if one.key == "heat_dump"]
        assert f"on a design night, from water of {night} °C" in dump.short
        assert f"of that load, from {mild} °C; less where" in dump.short
