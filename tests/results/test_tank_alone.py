"""A tank too cool for taps or floor, and the zone that is coldest, on made-up hours of three."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.results import tank_alone
from costsim.results.result import BeyondLoops, CoolTank, OptionResult, UseSeason, ZoneSeason
from costsim.results.solar import solar_fraction, solar_share
from costsim.results.tank_alone import beyond_loops, tank_alone_warnings, warmer_end_c, with_cool_tank

NEAR = pytest.approx
TAPS = UseSeason("taps", "hot_water", 1.0, 0.0, 0)


def common(
    *, wanted: Any = ((100.0, 100.0, 0.4),), needs: float = 50.0, late: bool = False, tank: float = 1e6, **more: Any
) -> Any:
    uses = SimpleNamespace(
        each_needs_c=np.full((1, 3), needs), by_use_w=np.array(wanted), late=np.array([late]),
    )  # fmt: skip
    plain = {
        "uses": uses, "case": SimpleNamespace(use=(SimpleNamespace(above_use_k=5.0),), emitter_named="the floor"),
        "water": SimpleNamespace(tank_j_k=tank, mass=None, resistance_k_w=0.01), "setpoint_c": np.full(3, 20.0), "route": SimpleNamespace(load_w=6000.0),
        "calendar": None,
    }  # fmt: skip
    return SimpleNamespace(**{**plain, **more})


def hours(*top: float, delivered: Any = (0.0, 0.0, 0.0), slab: Any = (25.0, 25.0, 25.0)) -> Any:
    return SimpleNamespace(tank_top_c=np.array(top), delivered_w=np.array(delivered), slab_c=np.array(slab))


def test_a_tank_counts_as_warm_as_at_its_warmer_end_of_the_hour() -> None:
    assert warmer_end_c(np.array([48.0, 45.0, 47.0])).tolist() == [48.0, 48.0, 47.0]


def test_a_tank_a_kelvin_short_is_warm_and_colder_is_told_with_its_worst_hour() -> None:
    def cool(*top: float, **more: Any) -> CoolTank | None:
        return with_cool_tank(common(**more), hours(*top), (TAPS,))[0].cool

    assert cool(49.0, 49.0, 30.0) is None  # the last hour wants less than a rounding
    # 48 °C at the second hour's end, 48.9 at its start: both hours are 1.1 K short
    assert cool(48.9, 48.0, 30.0) == CoolTank(2, 0, 48.9, 50.0, NEAR(43.9), NEAR(45.0))  # type: ignore[arg-type]
    assert cool(48.9, 48.0, 47.0, wanted=((100.0,) * 3,)) == CoolTank(3, 2, 48.0, 50.0, NEAR(43.0), NEAR(45.0))  # type: ignore[arg-type]
    # heat lacked in the first and the third hour, the tank was cool in the first two: three hours with cool water
    lacked = replace(TAPS, unmet_hours=2, lacking=np.array([True, False, True]))
    (told,) = with_cool_tank(common(), hours(48.9, 48.0, 30.0), (lacked,))
    assert [told.as_dict()[key] for key in ("unmet_hours", "cool_tank_hours", "too_cool_hours")] == [2, 2, 3]
    for more in ({"late": True}, {"tank": 0.0}, {"uses": None}):
        assert cool(40.0, 40.0, 40.0, **more) is None


def test_a_floor_is_given_more_than_its_loops_take_from_so_cool_a_tank() -> None:
    """At 0.01 K/W 40 °C over 20 °C carry 2 kW. A hundredth of the design load, 60 W, is as good as nothing."""
    assert beyond_loops(common(), hours(40.0, 40.0, 40.0, delivered=(2000.0, 2060.0, 0.0))) is None
    found = beyond_loops(common(), hours(40.0, 40.0, 19.0, delivered=(2061.0, 2500.0, 2500.0)))
    assert found == BeyondLoops(3, 1, NEAR(500.0), 2500.0)  # type: ignore[arg-type]
    assert beyond_loops(common(), hours(19.0, 10.0, 10.0, delivered=(0.0, 61.0, 70.0))) == BeyondLoops(2, 2, 70.0, 70.0)
    heavy = common(
        water=SimpleNamespace(tank_j_k=1e6, mass=SimpleNamespace(water_resistance_k_w=0.02), resistance_k_w=0.01)
    )
    # the slab as it was at the start of the hour, 24 °C at the second and third: 0.8 kW
    found = beyond_loops(heavy, hours(40.0, 40.0, 40.0, delivered=(800.0, 900.0, 500.0), slab=(24.0, 24.0, 39.0)))
    assert found == BeyondLoops(1, 1, NEAR(100.0), 900.0)  # type: ignore[arg-type]
    for water in (
        SimpleNamespace(tank_j_k=0.0, mass=None, resistance_k_w=0.01),
        SimpleNamespace(tank_j_k=1e6, mass=None, resistance_k_w=0.0),
    ):
        assert beyond_loops(common(water=water), hours(20.0, 20.0, 20.0, delivered=(9e3,) * 3)) is None


def test_what_the_tank_alone_does_not_bring_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tank_alone, "clock_labels", lambda calendar: ["first", "second", "third"])
    cool = UseSeason("taps", "hot_water", 1.0, 0.0, 0, cool=CoolTank(1234, 1, 44.0, 50.0, 39.0, 45.0))
    assert tank_alone_warnings("A", common(), (TAPS,), None) == ()
    (text,) = tank_alone_warnings("A", common(), (TAPS, cool), None)
    assert text.startswith("A: in 1,234 hours the tank is cooler than taps needs, ")
    for part in ("111 °F", "44 °C", "122 °F", "50 °C", "(second)", "102 °F", "39 °C", "113 °F", "45 °C"):
        assert part in text
    *_, floor = tank_alone_warnings("A", common(), (cool,), BeyondLoops(1500, 2, 1500.0, 2500.0))
    assert floor.startswith("A: in 1,500 hours more heat goes to the floor")
    assert "1.5 kW" in floor
    assert "5.1 kBtu/h" in floor  # 1,500 W × 3.412
    assert "(third)" in floor


def test_the_coldest_zone_is_the_one_that_is_cold_most_often() -> None:
    def coldest(*unmet: int) -> str:
        zones = [
            ZoneSeason(str(at), 0.5, 20.0, 1.0, None, None, None, 1.0, 1.0, count, 0.0, 0, None)
            for at, count in enumerate(unmet)
        ]
        fields: dict[str, Any] = dict.fromkeys(OptionResult.__dataclass_fields__)
        found = OptionResult(**{**fields, "zones": tuple(zones)}).coldest_zone
        return found.name if found else ""

    assert [coldest(), coldest(0, 0), coldest(0, 7), coldest(3, 7), coldest(7, 7), coldest(1, 7, 7)] == [
        "",
        "",
        "1",
        "1",
        "",
        "",
    ]
    assert coldest(5) == "0"


def test_what_the_sun_gives_of_nothing_is_not_known() -> None:
    assert solar_fraction(0.0, 0.0) is None
    assert solar_fraction(0.0, 0.5) == 0.0
    assert solar_fraction(0.25, 0.0) == 1.0
    one = np.zeros(12)
    july = one.copy()
    july[6] = 1.0
    share = solar_share(
        sun_w=one, others_w=july, taken_w=july, hot_water_w=one, months=np.arange(1, 13, dtype=np.int8), southern=False
    )
    assert share is not None
    assert (share.year, share.summer, share.hot_water, share.space) == (0.0, 0.0, None, 0.0)
    # what is put in and lost before anybody takes it is no share
    assert (
        solar_share(
            sun_w=july,
            others_w=one,
            taken_w=one,
            hot_water_w=one,
            months=np.arange(1, 13, dtype=np.int8),
            southern=False,
        )
        is None
    )
