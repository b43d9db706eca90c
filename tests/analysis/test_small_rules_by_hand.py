"""Winters in a table, propane tanks shaped like listed ones, amounts paid: small rules with everything around them made up."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from stand_ins import Unit

from costsim.analysis import capacity, outages, propane_tank, winters
from costsim.analysis.last_winter import amount_paid
from costsim.errors import InputError
from costsim.physics.combustion import propane_vaporisation_w
from costsim.sources import KINDS
from costsim.study.selection import MarketSize

# winters


@dataclass(frozen=True)
class Year:
    """A year of two hours, in January and in July."""

    outdoor_c: Any
    design_99_c: float = 0.0
    title: str = ""
    years: tuple[int, ...] = (2001,)
    months: Any = (1, 7)
    source: str = "made up"
    synthetic: bool = False


def table(monkeypatch: pytest.MonkeyPatch, count: int, warming: Any = None, design: float | None = None) -> tuple[Any, list[Any], list[float]]:  # fmt: skip
    """Winters whose coldest hour is their number below nothing, each costing ten times that."""
    told: list[float] = []
    seen: list[Any] = []

    def simulate(case: Any, year: Any) -> Any:
        seen.append(year)
        short = SimpleNamespace(hours=0, energy_j=0.0)
        return SimpleNamespace(options=[SimpleNamespace(name="one", cost_total=-10.0 * year.outdoor_c[0], unmet=short)])

    monkeypatch.setattr(winters, "load_weather", lambda case: None)
    monkeypatch.setattr(winters, "design_temperature", lambda weather: (-13.0, "by its own hours"))
    monkeypatch.setattr(winters, "simulate", simulate)
    monkeypatch.setattr(winters, "left_out", lambda named: "")
    monkeypatch.setattr(winters, "replace", lambda year, **more: Year(**{**vars(year), **more}))
    case: Any = SimpleNamespace(
        options=[SimpleNamespace(name="one")], place=SimpleNamespace(design_outdoor_c=design), currency="$"
    )
    named: Any = [(str(at), Year(np.array([-float(at), 20.0]), months=np.array([1, 7]))) for at in range(1, count + 1)]
    found = winters.winters(case, named, warming=warming, progress=told.append)
    return found, seen, told


def test_four_winters_are_told_one_by_one_with_their_degree_days(monkeypatch: pytest.MonkeyPatch) -> None:
    found, seen, told = table(monkeypatch, 4)
    assert told == [0.0, 0.25, 0.5, 0.75, 1.0]
    assert [year.design_99_c for year in seen] == [-13.0] * 4
    # 65 °F are 18.33 °C: an hour at -4 °C has 22.33 K of it, one at 20 °C none; a day has 24
    assert [row.degree_days_k_d for row in found.rows] == pytest.approx([(18 + 1 / 3 + at) / 24 for at in (1, 2, 3, 4)])
    assert [(row.name, row.coldest_c, row.options["one"].cost) for row in found.rows] == [(str(at), -at, 10 * at) for at in (1, 2, 3, 4)]  # fmt: skip
    assert (found.options[0].mean_cost, found.options[0].worst_cost_winter) == (25.0, "4")
    assert found.notes == (
        "design temperature -13.0 °C in every winter: by its own hours",
        "4 winters hold no one-in-ten winter: the worst stands for it",
    )


def test_one_winter_two_and_nine(monkeypatch: pytest.MonkeyPatch) -> None:
    """Plotting positions i / 10: the worst of nine is what one in ten exceeds."""
    assert table(monkeypatch, 1, design=-9.0)[0].notes == (
        "one winter holds no one-in-ten winter: the worst stands for it",
    )
    assert table(monkeypatch, 2, design=-9.0)[0].notes == (
        "2 winters hold no one-in-ten winter: the worst stands for it",
    )
    assert "8 winters" in table(monkeypatch, 8, design=-9.0)[0].notes[0]
    nine = table(monkeypatch, 9, design=-9.0)[0]
    assert nine.notes == ()
    assert nine.options[0].one_in_ten_cost == pytest.approx(90.0)
    with pytest.raises(InputError, match="holds no whole winter"):
        winters.winters(SimpleNamespace(), [])  # type: ignore[arg-type]


def test_a_warming_is_added_by_month_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    warming = winters.Warming((2.0, *[0.0] * 5, 1.0, *[0.0] * 5), "an invented scenario")
    found, seen, _ = table(monkeypatch, 1, warming, design=-9.0)
    assert seen[0].outdoor_c.tolist() == [1.0, 21.0]
    assert seen[0].synthetic
    assert seen[0].source == "made up; all hours warmer by 0 to 2 K (an invented scenario)"
    assert (found.rows[0].coldest_c, found.rows[0].degree_days_k_d) == (1.0, pytest.approx((17 + 1 / 3) / 24))
    assert found.notes[-1].startswith("warming of 0 to 2 K by month added")
    assert winters._kelvin(winters.read_warming("1.5 K", "x")) == "1.5 K"  # type: ignore[arg-type]


@pytest.mark.parametrize(("value", "fine"), [(10.0, True), (-10.0, True), (10.1, False), (-10.1, False)])
def test_a_warming_has_ten_kelvin_at_most(value: float, fine: bool) -> None:
    if fine:
        assert winters.Warming((value,) * 12, "x").by_month_k[11] == value
        return
    with pytest.raises(InputError, match="beyond 10 K"):
        winters.Warming((value,) * 12, "x")


def test_twelve_kelvins_or_one() -> None:
    for count in (11, 13):
        with pytest.raises(InputError, match=f"{count} values were given"):
            winters.Warming((1.0,) * count, "x")
        with pytest.raises(InputError, match="is no warming"):
            winters.read_warming(",".join(["1"] * count) + " K", "x")
    with pytest.raises(InputError, match="is missing"):
        winters.Warming((1.0,) * 12, " ")
    for text in ("", "1", "inf K", "1 furlong", "x K"):
        with pytest.raises(InputError, match="is no warming"):
            winters.read_warming(text, "x")
    twelve = winters.read_warming("1,2,3,4,5,6,7,8,9,1,2,3 °F", "x")
    assert twelve is not None
    assert twelve.by_month_k[8] == pytest.approx(5.0)


def test_years_are_called_by_their_number_or_their_title(monkeypatch: pytest.MonkeyPatch) -> None:
    years = [SimpleNamespace(years=(2011,), title="a"), SimpleNamespace(years=(2011, 2012), title="winter 2011/12")]
    monkeypatch.setattr(winters, "load_winters", lambda case: years)
    assert [name for name, _ in winters.named_winters(None)] == ["2011", "winter 2011/12"]  # type: ignore[arg-type]
    monkeypatch.setattr(winters, "load_winters", lambda case: [])
    with pytest.raises(InputError, match="names no years"):
        winters.named_winters(None)  # type: ignore[arg-type]


# propane


SIZES: Any = SimpleNamespace(
    of=lambda what: [MarketSize(1.0, 0.8, 2.0), MarketSize(8.0, 1.6, 4.0), MarketSize(3.0, None, 2.0)]
)


def boils(**typed: Any) -> Any:
    """The tank of a source of which this is typed, at -10 °C."""
    return propane_tank.boil_off(burner(**typed), SIZES, -10.0, 20e3, 25e3, 0.9)


def burner(**typed: Any) -> Any:
    """A gas boiler of 20 kW with such a tank."""
    gas = {"kind": "gas", "fuel": "propane", "output": "20 kW", "efficiency": "90 %", "min_output": "20 kW"}
    return KINDS["gas"].model_validate(gas).model_copy(update=typed)


def by_formula(across: float, along: float) -> Any:
    """What a tank of that shape boils off, 30 % full (the fill at which suppliers come, common practice)."""
    return pytest.approx(float(propane_vaporisation_w(diameter_m=across, length_m=along, fill=0.3, outdoor_c=-10.0)))


def test_a_tank_is_as_typed_or_shaped_like_the_nearest_listed_one() -> None:
    typed = boils(tank_volume_m3=2.0, tank_diameter_m=1.0, tank_length_m=2.5)
    assert (typed.tank_m3, typed.burns_w, typed.design_w, typed.coldest_c) == (2.0, 20e3, 20e3, -10.0)
    assert typed.gives_w == by_formula(1.0, 2.5)
    # an eighth of the volume of the large one has half of its sides; one figure alone is no shape
    assert boils(tank_volume_m3=1.0).gives_w == by_formula(0.8, 2.0)
    double = 0.8 * 2 ** (1 / 3), 2.0 * 2 ** (1 / 3)
    for more in ({}, {"tank_diameter_m": 1.0}, {"tank_length_m": 1.0}):
        assert boils(tank_volume_m3=2.0, **more).gives_w == by_formula(*double)
    assert boils(tank_volume_m3=64.0).gives_w == by_formula(3.2, 8.0)
    assert boils(tank_volume_m3=None) is None
    assert boils() is None
    assert boils(fuel="natural_gas", tank_volume_m3=2.0) is None
    nothing: Any = SimpleNamespace(of=lambda what: [MarketSize(3.0, None, 2.0)])
    assert propane_tank.boil_off(burner(tank_volume_m3=2.0), nothing, -10.0, 1.0, 1.0, 0.9) is None


@pytest.mark.parametrize(
    ("smallest", "load", "night"), [(8e3, 12e3, 13.5e3), (16e3, 12e3, 17.5e3), (20e3, 12e3, 22e3), (8e3, 40e3, 22e3)]
)
def test_the_fire_of_the_design_night_is_the_load_or_the_smallest_that_the_burner_has(
    smallest: float, load: float, night: float
) -> None:
    """20 kW at 90 % burn 22.2 kW; beside the load's 13.3 kW of gas a smallest fire of 16 kW burns 17.8 kW. In round figures, within 0.5 kW."""
    source = burner(tank_volume_m3=1.0, min_output_w=smallest)
    found: Any = propane_tank.boil_off(source, SIZES, -10.0, 20e3 / 0.9, load / 0.9, 0.9)
    assert found.design_w == pytest.approx(night, abs=0.5e3)
    assert found.burns_w == pytest.approx(22.2e3, abs=50)


# bills


@pytest.mark.parametrize(("text", "value"), [("999,999,999 €", 999_999_999.0), ("0.01", 0.01), ("1850 $", 1850.0), ("  ", None)])  # fmt: skip
def test_what_bills_came_to_is_read(text: str, value: float | None) -> None:
    assert amount_paid(text) == value


@pytest.mark.parametrize("text", ["0", "-5", "1e9", "much", "$"])
def test_what_bills_cannot_have_come_to_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="is no amount of money"):
        amount_paid(text)


# what sources really give


def test_full_load_hours_and_what_derates_leave(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two hours of 6 and 3 kW are an hour and a half of the 6 kW that derates leave of 8; collectors have what the cold hour has."""
    monkeypatch.setattr(capacity, "tank_hours", lambda source, load_w, prices, share: load_w)
    monkeypatch.setattr(capacity, "_boils_off", lambda common, source, share: None)
    common: Any = SimpleNamespace(
        demand_w=np.array([1.0, 2.0]), route=SimpleNamespace(load_w=7.0), case=SimpleNamespace(prices={})
    )
    boiler, sun = (
        Unit(efficiency_share=0.9, collects_sun=one, unstoppable=one, makes_water=lambda water_c: True)
        for one in (False, True)
    )
    offers = [
        SimpleNamespace(name=name, rated_w=8e3, derates=(("thin air", 1500.0), ("cold", 500.0))) for name in ("b", "s")
    ]
    hourly: Any = SimpleNamespace(
        heat_w=np.array([[6e3, 3e3], [0.0, 0.0]]), available_w=np.array([[6e3, 6e3], [9.0, 0.0]])
    )
    option: Any = SimpleNamespace(sources=(boiler, sun))
    first, second = capacity.source_capacities(common, option, SimpleNamespace(offers=offers), hourly)  # type: ignore[arg-type]
    assert (first.derated_w, first.delivered_w, first.full_load_hours, first.tank_hours) == (6e3, 6e3, 1.5, 7.0)
    assert (first.day_w, first.day_hours) == (6e3, 24.0)
    # the hour of highest demand is dark
    assert (second.derated_w, second.delivered_w, second.full_load_hours) == (0.0, 0.0, 0.0)
    assert (second.day_w, second.day_hours) == (4.5, 1.0)


# outages


def test_a_house_of_which_nothing_is_said_is_light() -> None:
    """50 and 60 kJ/K and 10 W/K for each square meter: common practice, no source; what the floor resists is no part of the water's."""
    common: Any = SimpleNamespace(
        case=SimpleNamespace(house=SimpleNamespace(floor_area_m2=100.0)), water=SimpleNamespace(resistance_k_w=0.005)
    )
    found = outages._light_mass(common)
    assert (found.room_j_k, found.slab_j_k, found.floor_room_w_k) == (5e6, 6e6, 1000.0)
    assert found.water_resistance_k_w == pytest.approx(0.004)
    common.water.resistance_k_w = 0.0005
    assert outages._light_mass(common).water_resistance_k_w == 0.0
    assert (found.feedback, found.ground_w_k, found.precharge_k, found.precharge_windows) == (1.0, 0.0, 0.0, ())


def test_each_source_fails_in_turn_and_then_what_needs_power(monkeypatch: pytest.MonkeyPatch) -> None:
    """The week of 168 hours from hour 20 on is the coldest; a stove goes on without power, and the pumps stand."""
    weeks: list[Any] = []

    @dataclass(frozen=True)
    class Offered:
        name: str
        needs_power: bool
        capacity_w: Any
        charge_j: Any = None

    outdoor = np.r_[np.zeros(20), np.full(168, -5.0), np.zeros(12)]
    sources = [
        SimpleNamespace(offer=lambda seen, name=name, power=power: Offered(name, power, np.ones(200)))
        for name, power in (("boiler", True), ("stove", False))
    ]
    common: Any = SimpleNamespace(surroundings=None, weather=SimpleNamespace(outdoor_c=outdoor))
    monkeypatch.setattr(outages, "option_study", lambda study, option: study)
    monkeypatch.setattr(outages, "_with_mass", lambda study: "heavy")
    monkeypatch.setattr(outages, "RULES", {"fixed": lambda offers: "order"})
    monkeypatch.setattr(
        outages, "_week", lambda *given, pumps_stop=False: weeks.append((*given, pumps_stop)) or given[3]
    )
    option: Any = SimpleNamespace(sources=sources, rule="fixed")
    assert outages.failures(common, option) == ("boiler", "stove", "the power")
    gives = [[one.capacity_w.sum() for one in week[1]] for week in weeks]
    assert gives == [[32.0, 200.0], [200.0, 32.0], [32.0, 200.0]]
    assert [(week[0], week[2], week[4], week[5]) for week in weeks] == [
        ("heavy", "order", 20, stop) for stop in (False, False, True)
    ]
