"""Sizes and programs at their limits: small figures worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from analysis.units import ELECTRIC, FIRE, HELD, PROPANE, TANK, unit
from cases import constant_weather, study
from stand_ins import Unit

from costsim.analysis import sizing
from costsim.analysis.capacity import over_day
from costsim.analysis.eligibility import CurtailmentRun, longest_curtailment_run, propane_j_m3, tank_hours, verdict
from costsim.analysis.gas_line import next_size
from costsim.analysis.on_service import on_service
from costsim.analysis.outages import coldest_week
from costsim.analysis.select import _as_today, _note, _with_service, always_there, beside_w
from costsim.analysis.size_steps import _buffer, output_of
from costsim.analysis.sizing import Size, _bisect, can_size
from costsim.errors import InputError
from costsim.study.case import Case, case_from
from costsim.study.selection import MarketSize, Selection
from costsim.units.faults import build
from costsim.views.size_words import judged_room


def judged(*sources: dict[str, Any], gives_w: Any = (), load_w: float = 6000.0, **program: Any) -> tuple[str, ...]:
    """What a program says of an option whose sources may give so much in its coldest hour, the second of three."""
    case = study(
        *sources,
        **TANK,
        program__name="P",
        program__separate_meter=False,
        **{f"program__{key}": value for key, value in program.items()},
    )
    able = np.array([[99e3, watts, 99e3] for watts in gives_w or [0.0] * len(sources)])
    common: Any = SimpleNamespace(case=case, demand_w=np.array([1.0, 9.0, 2.0]), route=SimpleNamespace(load_w=load_w))
    hourly: Any = SimpleNamespace(available_w=able)
    found = verdict(common, case.options[0], hourly)
    assert found is not None
    assert found.eligible == (found.reasons[0] == "eligible for P, as far as the study tells")
    return found.reasons


def test_what_is_just_enough_for_a_program_is_enough() -> None:
    oil = {"kind": "oil", "output": "9 kW", "efficiency": "90 %"}
    assert judged(HELD, oil, gives_w=[0.0, 6000.0], min_controlled_load="9 kW")[0].startswith("eligible")
    assert judged(HELD, oil, gives_w=[0.0, 5999.0]) == (
        "not eligible because the backup gives 6.0 kW of the 6.0 kW design load",
    )
    assert judged(HELD, oil, gives_w=[0.0, 6000.0], min_controlled_load="9.1 kW")[0].startswith(
        "not eligible because the controlled unit has 9.0 kW and 9.1 kW are asked for"
    )
    # two backups carry it together, and what they leave is looked at in the coldest hour alone
    assert judged(HELD, oil, oil, gives_w=[0.0, 3500.0, 2500.0])[0].startswith("eligible")
    assert judged(HELD, oil, backup=False)[0].startswith("eligible")


def test_a_propane_tank_lasts_by_what_lies_between_fill_and_refill() -> None:
    """1 m³, of which 60 %, at the heat content typed and 90 %, over 6 kW."""
    case = study(PROPANE, prices__propane={"energy": "2.50 $/gal", "heat_content": "24 MJ/L"})
    [source] = case.options[0].sources
    hours = tank_hours(source, 6000.0, case.prices, 0.9)
    assert hours == pytest.approx(0.6 * 24e9 * 0.9 / 6000 / 3600)
    assert propane_j_m3(case.prices["propane"]) == pytest.approx(24e9)
    usual = propane_j_m3(None)
    assert usual == pytest.approx(91_452 * 1055.06 / 3.785411784e-3, rel=1e-3)  # EIA: 91,452 Btu a gallon
    by_mass = study(PROPANE, prices__propane={"energy": "2.50 $/kg", "heat_content": "50 MJ/kg"}).prices["propane"]
    assert propane_j_m3(by_mass) == usual
    assert tank_hours(source, 6000.0, {}, 0.9) == pytest.approx(0.6 * usual * 0.9 / 6000 / 3600)
    assert tank_hours(source, 6000.0, {}, 0.6) == pytest.approx(0.6 * usual * 0.6 / 6000 / 3600)
    for without in (
        source.model_copy(update={"tank_volume_m3": None}),
        source.model_copy(update={"fuel": "natural_gas"}),
    ):
        assert tank_hours(without, 6000.0, {}, 0.9) is None


def test_a_backup_must_last_as_long_as_is_asked() -> None:
    lasts = 0.6 * propane_j_m3(None) * 0.9 / 6000 / 3600
    held = {**HELD}
    for asked, enough in ((lasts - 1.0, True), (lasts + 1.0, False)):
        reasons = judged(held, PROPANE, gives_w=[0.0, 6000.0], backup_time=f"{asked!r} h")
        assert reasons[0].startswith("eligible") == enough
    assert reasons == (
        f"not eligible because the propane tank lasts {lasts:.0f} h at design load and {lasts + 1:.0f} h are asked for",
    )


def test_the_longest_run_of_control_and_its_propane_by_hand() -> None:
    shares = np.array([0.0, 1, 1, 0, 0.2, 1, 1, 0, 0, 1, 1, 1, 0])
    held: Any = SimpleNamespace(curtailment=SimpleNamespace(share=lambda weather, calendar: shares))
    free: Any = SimpleNamespace(curtailment=None)
    common: Any = SimpleNamespace(weather=SimpleNamespace(n_hours=13), calendar=None, case=SimpleNamespace(prices={}))
    offers: Any = tuple(SimpleNamespace(fuel=fuel, price_key="propane") for fuel in ("electricity", "propane"))
    put_in = np.vstack([np.full(13, 5e6), np.arange(13) * 1e6])
    hourly: Any = SimpleNamespace(input_w=put_in)
    option: Any = SimpleNamespace(sources=(held, free))
    found = longest_curtailment_run(common, option, offers, hourly)
    # hours 4 to 6 come first; an hour that is held in part is held
    assert found.hours == 3
    assert found.propane_m3 == pytest.approx((4 + 5 + 6) * 1e6 * 3600 / propane_j_m3(None))
    assert found.propane_gal == pytest.approx(found.propane_m3 / 3.785411784e-3)
    none: Any = SimpleNamespace(sources=(free,))
    assert longest_curtailment_run(common, none, offers, hourly) == CurtailmentRun(0, 0.0)


def test_the_day_of_a_source_that_clock_or_utility_limit() -> None:
    able = np.concatenate([np.full(24, 9e3), np.where(np.arange(24) < 6, 6e3, 1.0), np.full(24, 9e3)])
    plain, fire = unit(ELECTRIC), unit(FIRE)
    assert over_day(plain, 5e3, able, 24) == (pytest.approx((6 * 6e3 + 18) / 24), 6.0)
    assert over_day(plain, 5e3, able, 47) == over_day(plain, 5e3, able, 24)
    assert over_day(plain, 5e3, able, 23) == over_day(plain, 5e3, able, 48) == (5e3, 24.0)
    assert over_day(fire, 9e3, able, 24) == (pytest.approx(3e3), pytest.approx(8.0))  # two fires of 4 h
    sun = unit({"kind": "solar", "area": "8 m2"})
    assert over_day(sun, 5e3, able, 24)[1] == 6.0


def test_the_coldest_week() -> None:
    cold = np.zeros(400)
    assert coldest_week(cold[:168]) == 0
    assert coldest_week(np.r_[1.0, np.zeros(168)]) == 1
    cold[100:268] = -1.0
    assert coldest_week(cold) == 100
    assert coldest_week(np.r_[np.zeros(168), 1.0]) == 0


@pytest.mark.parametrize(
    ("source", "there"),
    [
        (ELECTRIC, True), (PROPANE, True), (FIRE, False), ({"kind": "solar", "area": "8 m2"}, False), (HELD, False),
        ({**ELECTRIC, "windows": ["22:00-06:00"]}, False), ({**ELECTRIC, "months": "Oct-Apr"}, False),
        ({**ELECTRIC, "days": "Mon-Fri"}, False), ({**ELECTRIC, "lockout_below": "-5 degC"}, False),
        ({**ELECTRIC, "lockout_above": "5 degC"}, False),
    ],
)  # fmt: skip
def test_what_may_be_counted_on_in_the_cold(source: dict[str, Any], there: bool) -> None:
    assert always_there(unit(source)) == there


def test_beside_a_source_stands_what_is_sure_to_be_there() -> None:
    backup = {**ELECTRIC, "backup_only": True}
    option = study(FIRE, backup, HELD, **TANK).options[0]
    capacity: Any = SimpleNamespace(
        sources=[SimpleNamespace(derated_w=watts, stops_at_design=False) for watts in (9e3, 4e3, 2e3)]
    )
    assert beside_w(option, capacity, 0) == 0.0  # the backup of a fire is not counted, what is held off is not there
    assert beside_w(option, capacity, 1) == 0.0
    assert beside_w(option, capacity, 2) == 4e3
    weak: Any = SimpleNamespace(
        sources=[SimpleNamespace(derated_w=watts, stops_at_design=False) for watts in (9e3, -4e3, 2e3)]
    )
    assert beside_w(option, weak, 2) == 0.0
    hot: Any = SimpleNamespace(
        sources=[SimpleNamespace(derated_w=4e3, stops_at_design=at == 1) for at in range(3)]  # its water is too cool
    )
    assert beside_w(option, hot, 2) == 0.0


def test_outputs_of_a_plate() -> None:
    bare: Any = Unit(condensing=True, nameplate_w=lambda: 500.0, area_m2=2.0)
    assert output_of(bare, "gas boiler input", 100.0) == 95.0
    assert output_of(bare, "solar collector area", 6.0) == 1500.0
    assert output_of(bare, "electric boiler output", 7.0) == 7.0


@pytest.mark.parametrize(
    ("asked", "there", "buffer"),
    [
        (0.3, 0.3, (0.3, 0.3)), (0.31, 0.30, (0.31, 0.4)), (0.4, 0.2, (0.4, 0.4)), (0.9, 0.2, (0.9, 0.9)), (0.2999, 0.1, (0.2999, 0.1)),
        (0.1, 0.0, (0.1, None)), (0.5, 0.0, (0.5, 0.6)),
    ],
)  # fmt: skip
def test_a_buffer_is_the_next_size_up_where_the_tank_is_too_small(asked: float, there: float, buffer: Any) -> None:
    """EN 303-5 asks for no less than 300 L where it asks for any."""
    tank = SimpleNamespace(volume_m3=there) if there else None
    route = SimpleNamespace(load_w=5e3)
    sized: Any = SimpleNamespace(
        study=SimpleNamespace(route=route),
        option=SimpleNamespace(tank_of=lambda case: case.tank),
        case=SimpleNamespace(tank=tank),
    )
    sizes: Any = SimpleNamespace(
        of=lambda what: [MarketSize(volume) for volume in (0.2, 0.4, 0.6)] if what == "buffer tank" else []
    )
    fire: Any = SimpleNamespace(buffer_m3=lambda output, load: asked if (output, load) == (9e3, 5e3) else math.nan)
    assert _buffer(sized, sizes, fire, 9e3) == buffer
    assert _buffer(sized, sizes, Unit(), 9e3) == (None, None)  # type: ignore[arg-type]


def test_the_next_listed_size_may_be_just_what_is_needed() -> None:
    sizes = tuple(MarketSize(value) for value in (10.0, 20.0))
    assert [next_size(sizes, needed) for needed in (0.0, 10.0, 10.1, 20.0, 20.1)] == [10.0, 10.0, 20.0, 20.0, None]
    assert next_size(sizes, 0.3 * 100 / 3 + 1e-12) == 10.0


def electric(load_w: float) -> Any:
    """A unit on the service."""
    from costsim.analysis.on_service import ElectricChoice

    return ElectricChoice(None, load_w, 240.0, 200.0, None, "", True)


def test_the_service_carries_all_units_at_once_by_the_method_known() -> None:
    case = study(ELECTRIC)  # 100 m² are 1,076.4 ft²
    metered = build(Selection, {"service": "200 A", "measured_peak": "8 kW", "appliances": "14 kW"})
    found = on_service(case, metered, [electric(6e3), None, electric(2e3)])
    assert found[1] is None
    assert found[0] is not None
    assert found[2] is not None
    assert found[0].service_load_a == found[2].service_load_a == pytest.approx((1.25 * 8e3 + 8e3) / 240)
    assert "NEC 220.87" in found[0].method
    [listed] = on_service(case, build(Selection, {"service": "200 A", "appliances": "14 kW"}), [electric(6e3)])
    assert listed is not None
    whole = 3 * 100 / 0.3048**2 + 4500 + 14e3
    assert listed.service_load_a == pytest.approx((10e3 + 0.4 * (whole - 10e3) + 6e3) / 240)
    for given in ({}, {"measured_peak": "8 kW"}, {"appliances": "14 kW"}, {"service": "200 A"}):
        [unknown] = on_service(case, build(Selection, given), [electric(6e3)])
        assert unknown is not None
        assert unknown.service_load_a is None, given
        assert unknown.method.startswith("ask an electrician")


def test_what_is_free_in_the_service_is_held_against_the_new_heat() -> None:
    """12 kW at 240 V are 50 A, 62.5 A for hours on end: of 100 A free 62.5, of 60 A too much."""
    case: Any = SimpleNamespace(house=SimpleNamespace(floor_area_m2=100.0))
    for typed, told in (
        ({"service": "200 A", "service_free": "100 A"}, "62.5 A of 100 A free"),
        ({"service_free": "62.5 A"}, "62.5 A of 62.5 A free"),
        ({"service_free": "60 A", "measured_peak": "8 kW"}, "62.5 A of 60 A free: TOO LITTLE ROOM"),
    ):
        [found, none] = on_service(case, build(Selection, typed), [electric(12e3), None])
        assert found is not None
        assert judged_room(found) == told
        assert none is None
    with pytest.raises(InputError, match="service_free is more than the service"):
        build(Selection, {"service": "100 A", "service_free": "101 A"})


def test_what_is_entered_goes_on_the_service_beside_what_is_chosen() -> None:
    from costsim.analysis.select import SourceChoice

    plain = SourceChoice("a", "electric", "", 0.0, (), None, electric(6e3), None, "", 0.0, electric(3e3))
    other = SourceChoice("b", "heat_pump", "", 0.0, (), None, electric(1e3), None, "", 0.0, electric(5e3))
    selection = build(Selection, {"service": "200 A", "measured_peak": "8 kW"})
    first, second, third = _with_service(
        study(ELECTRIC), selection, [plain, other, replace(other, electric=None, entered_electric=None)]
    )
    assert first.electric is not None and first.entered_electric is not None  # noqa: PT018
    assert first.electric.service_load_a == pytest.approx((10e3 + 7e3) / 240)
    whole_va = 10e3 + 3e3 + 5e3  # 125 % of 8 kW, and both as entered (NEC 220.87)
    assert first.entered_electric.service_load_a == pytest.approx(whole_va / 240)
    assert (second.entered_electric is None, third.electric) == (False, None)


def test_what_stands_there_today_is_known_by_kind_and_size() -> None:
    data = dict(study(ELECTRIC).typed)
    data["option"] = [
        {"name": "now", "today": True, "source": [ELECTRIC]},
        {"name": "other", "source": [{**ELECTRIC, "output": "8 kW"}]},
    ]
    case = case_from(data)
    assert _as_today(case, unit(ELECTRIC))
    assert not _as_today(case, unit({**ELECTRIC, "output": "8 kW"}))
    assert not _as_today(case, unit({**HELD, "kind": "off_peak_electric", "price": "electricity"}))


def test_notes_on_a_choice() -> None:
    step: Any = SimpleNamespace(left_w=0.0)
    pump = unit({"kind": "heat_pump", "outdoor": ["-8 degC", "8 degC"], "outputs": ["6 kW", "9 kW"]})
    sun, plain = unit({"kind": "solar", "area": "8 m2"}), unit(ELECTRIC)
    assert _note(sun, 0.0, [], None) == "no listed field is as large as the one typed"
    assert _note(sun, 0.0, [], step) == ""
    assert _note(pump, 5.0, [step], None).startswith("it gives nothing in the coldest hour")
    assert _note(pump, 5.0, [SimpleNamespace(left_w=0.5)], None).startswith("no listed size carries it")  # type: ignore[list-item]
    assert _note(pump, 5.0, [], None).startswith("no listed size carries it")
    assert _note(plain, 5.0, [step], None).startswith("no listed size carries it")
    for share, said in ((8 / 24, "through its hours of rest: a larger store"), (1.0, "its size is not the reason")):
        carries: Any = SimpleNamespace(left_w=6.0, day_share=share)
        assert said in _note(plain, 5.0, [carries], None)
    fire: Any = SimpleNamespace(collects_sun=False, unstoppable=True, outdoors=False)
    cold: Any = SimpleNamespace(left_w=6.0, unmet_hours=12)
    assert _note(fire, 5.0, [cold], cold).startswith("between its loads the house is too cold in 12 hours")
    assert _note(plain, 0.0, [step], step).startswith(
        "the other sources carry the coldest hour by themselves, so no size is marked"
    )
    assert _note(plain, 0.5, [step], step) == ""


def year_of(needed: float, value: float, smallest: float = 0.0) -> Any:
    """A year that lacks a watt for each watt below what is needed, in all of its hours; None below what can be made."""
    if value < smallest:
        return None
    missing = max(needed - value, 0.0)
    return SimpleNamespace(lacking_hours=100 if missing > 0 else 0, missing_w=lambda hours: missing)


@pytest.mark.parametrize("needed", [300.0, 999.0, 1000.0, 1001.0, 5000.0, 63_999.0])
@pytest.mark.parametrize("smallest", [0.0, 250.0])
def test_the_smallest_output_is_found_to_a_thousandth(needed: float, smallest: float) -> None:
    tried: list[float] = []

    def run(value: float) -> Any:
        tried.append(value)
        return year_of(needed, value, smallest)

    value, found = _bisect(run, 1000.0, run(1000.0), 0)
    assert value is not None
    assert needed <= value <= needed * 1.0011
    assert found.lacking_hours == 0
    assert len(set(tried)) <= 8  # halving alone takes a dozen


def test_what_needs_nothing_or_what_no_size_mends() -> None:
    assert _bisect(lambda value: year_of(0.5, value), 1000.0, year_of(0.5, 1000.0), 0)[0] == 0.0
    none, year = _bisect(lambda value: year_of(64_001.0, value), 1000.0, year_of(64_001.0, 1000.0), 0)
    assert (none, year.lacking_hours) == (None, 100)
    borne, _ = _bisect(lambda value: year_of(64_001.0, value), 1000.0, year_of(64_001.0, 1000.0), 100)
    assert borne == 0.0


def test_sizes_are_shown_in_whole_amperes_and_tenths() -> None:
    one = Size("a", "breaker", "current", 50.0, 40.0, 0, 0, 0.0, 0.0, 1)
    assert one.shown("us") == "50 A"
    assert replace(one, what="tank", dimension="volume", value=0.25).shown("si") == "250.0 L"
    assert replace(one, value=None).shown("si") == "no size"


def test_a_tank_loses_in_step_with_its_surface() -> None:
    """Eight times the volume is twice the height and width: four times the surface."""
    case = study(ELECTRIC, tank__volume="200 L", tank__loss="2 W/K", tank__max_temperature="70 degC")
    search = sizing._Search(case, constant_weather(0.0), 0, "tank", 0, keeps=False)
    large, same = (search._case(times * search.today) for times in (8.0, 1.0))
    assert large is not None
    assert same is not None
    assert (large.tank.volume_m3, large.tank.loss_w_k) == (pytest.approx(1.6), pytest.approx(8.0))
    assert same.tank.loss_w_k == pytest.approx(2.0)


def test_what_can_be_sized() -> None:
    case = study(FIRE, ELECTRIC, {"kind": "solar", "area": "8 m2"}, **TANK)
    assert [can_size(case, case.options[0], what) for what in ("output", "breaker", "area", "tank")] == [
        [1],
        [],
        [2],
        [0],
    ]
    bare: Case = study(ELECTRIC)
    assert can_size(bare, bare.options[0], "tank") == []


# tanks in a row, in the place of years that are simulated


def tanks(presents: dict[float, float], lacking: dict[float, int] | None = None, hours: int = 0) -> Any:
    """The best of a row of tanks of such life-cycle costs; the first lacks heat where nothing else is said."""
    sizes = list(presents)
    lacks = {sizes[0]: 9, **(lacking or {})}
    years = {size: SimpleNamespace(lacking_hours=lacks.get(size, 0), size=size) for size in sizes}
    search: Any = SimpleNamespace(
        today=sizes[-1],
        run=lambda size: years.get(size) or SimpleNamespace(lacking_hours=9, size=size),
        costs=lambda some: ([], [presents.get(size, 5.0) for size, _ in some]),
    )
    return sizing._least_cost(search, sizes, years[sizes[-1]], hours)  # type: ignore[arg-type]


@pytest.mark.parametrize(("cost", "value"), [(998.95, 2.4), (999.05, 2.0), (1001.0, 2.0)])
def test_a_larger_tank_must_save_a_thousandth(cost: float, value: float) -> None:
    found = tanks({1.9985: 1.0, 2.0: 1000.0, 2.4: cost, 2.88: 1000.0})
    assert (found.value, found.year.size) == (value, value)
    assert (found.smallest, found.smallest_year.size) == (2.0, 2.0)


def test_a_row_of_tanks_of_which_none_does_tells_the_one_that_lacks_least() -> None:
    found = tanks({1.0: 1.0, 1.2: 1.0, 1.44: 1.0}, {1.2: 4, 1.44: 7})
    assert (found.value, found.smallest, found.year.size, found.smallest_year.size) == (None, None, 1.2, 1.2)
    borne = tanks({1.1985: 1.0, 1.2: 1.0, 1.44: 1.0}, {1.2: 4, 1.44: 7}, hours=4)
    assert (borne.value, borne.smallest) == (1.2, 1.2)


def test_the_smallest_tank_of_the_row_is_as_good_as_none() -> None:
    found = tanks({1.0: 5.0, 1.2: 5.0}, {1.0: 0})
    assert (found.value, found.smallest) == (0.0, 0.0)


def test_a_row_of_tanks_is_a_fifth_apart_from_a_thousandth_to_some_sixty_times() -> None:
    """1.2³⁸ is 1,020 and 1.2²³ is 66.2."""
    case = study(ELECTRIC, tank__volume="200 L")
    row = sizing._Search(case, constant_weather(0.0), 0, "tank", 0, keeps=False).row()
    assert len(row) == 38 + 1 + 23
    assert row[38] == 0.2
    assert (0.2 / row[0], row[-1] / 0.2) == (pytest.approx(1020.7, rel=1e-3), pytest.approx(66.25, rel=1e-3))
    assert np.divide(row[1:], row[:-1]) == pytest.approx(np.full(61, 1.2))
