"""A year with another size is that of the study with the size typed, whatever of it was lowered before."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from cases import sample_weather, study, with_uses

from costsim import InputError, load_weather, read_study
from costsim.analysis.lifecycle import outlay
from costsim.analysis.sized_years import SizedOption
from costsim.analysis.sizing import smallest
from costsim.engine.lower import lower_study
from costsim.simulation import simulate_option
from costsim.study.case import Case, case_from
from costsim.study.changed import changed

GREENSBORO = sample_weather()
ELECTRIC = {"kind": "electric", "output": "5 kW"}
TAP = {"kind": "hot_water", "daily_volume": "200 L", "cold_temperature": "10 degC"}
NIGHT = {"kind": "off_peak_electric", "output": "12 kW", "windows": ["22:00-06:00"], "store": True}


def with_tables(case: Case, **tables: Any) -> Case:
    return case_from({**case.typed, **tables})


def own_tank(case: Case) -> Case:
    data = case.typed
    return case_from({**data, "option": [{**data["option"][0], "tank": {"volume": "300 L", "loss": "2 W/K"}}]})


STUDIES: dict[str, tuple[Case, Any]] = {
    "uses": (with_uses(TAP, source=ELECTRIC), GREENSBORO),
    "uses after the house": (with_uses({**TAP, "priority": "after_house"}, source=ELECTRIC), GREENSBORO),
    "by forecast": (study({**NIGHT, "charging": "forecast"}, ELECTRIC, tank__volume="500 L"), GREENSBORO),
    "a tank of its own": (own_tank(study(NIGHT, ELECTRIC)), GREENSBORO),
    "stratified": (study(NIGHT, ELECTRIC, tank__volume="500 L", tank__stratification="80 %"), GREENSBORO),
    "rising prices": (with_tables(study(ELECTRIC), economics={"escalation": {"electricity": "3 %/year"}}), GREENSBORO),
    "carbon with a price": (with_tables(study(ELECTRIC), economics={"carbon_price": "50 $/tonne"}), GREENSBORO),
} | {name: (case, load_weather(case)) for name in ("lantern_cottage", "net_loft", "valley_row") for case in [read_study(name)]}  # fmt: skip


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(one, marks=pytest.mark.long) if one in ("stratified", "uses", "uses after the house") else one
        for one in STUDIES
    ],
)
def test_a_year_with_other_sizes_is_that_of_the_study_with_them_typed(name: str) -> None:
    case, weather = STUDIES[name]
    for at, option in enumerate(case.options):
        sized = SizedOption(case, weather, at)
        changes = [
            (("option", at, "source", i, key), text)
            for i, source in enumerate(option.sources)
            for key, text in (("output", "6.5 kW"), ("area", "9 m2"))
            if getattr(source, {"output": "output_w", "area": "area_m2"}[key], None) is not None
        ]
        where = ("option", at, "tank") if option.tank else ("tank",)
        if option.tank or case.tank:
            changes += [((*where, "volume"), "700 L"), ((*where, "loss"), "4 W/K")]
        for some in (changes[:1], changes[-2:], changes):
            typed = case_from(changed(case, *some).typed, files=case.files)
            expected = simulate_option(lower_study(typed, weather), typed.options[at])
            year = sized.year(changed(case, *some))
            assert np.array_equal(year.unmet_w, expected.hourly.unmet_w)
            assert year.lacking_hours == expected.lacking_hours
            assert year.unmet_j == pytest.approx(expected.unmet.energy_j)
            assert year.worst_w == pytest.approx(expected.unmet.worst_w)
            assert year.heat_j == pytest.approx([source.heat_j for source in expected.sources])
            assert year.dumped_j == pytest.approx([source.dumped_j for source in expected.sources], abs=1.0)
            (bills,) = sized.bills([year])
            for key, bill in expected.bills.items():
                assert bills[key].total == pytest.approx(bill.total, rel=1e-9)
                assert not sized.rises or bills[key].fixed == pytest.approx(bill.fixed, rel=1e-9)


@pytest.mark.parametrize("name", ["rising prices", "carbon with a price", "uses after the house"])
def test_the_life_cycle_cost_of_a_size_is_the_outlay_with_it_typed(name: str) -> None:
    case, weather = STUDIES[name]
    found = smallest(case, weather, option=case.options[0].name, what="output")
    typed = changed(case, (("option", 0, "source", 0, "output"), f"{found.value!r} W"))
    for one, present, cost in ((typed, found.present_cost, found.cost), (case, found.present_cost_today, found.cost_today)):  # fmt: skip
        result = simulate_option(lower_study(one, weather), one.options[0])
        assert cost == pytest.approx(result.cost_total, rel=1e-9)
        assert present == pytest.approx(outlay(one, one.options[0], result).present_cost, rel=1e-9)


def test_a_change_that_does_not_fit_is_told_as_in_the_whole_study() -> None:
    case = study({"kind": "gas", "output": "9 kW", "efficiency": "90 %", "min_output": "4 kW"})
    path = ("option", 0, "source", 0, "output")
    with pytest.raises(InputError) as told:
        changed(case, (path, "3 kW"))
    data = case.typed
    source = {**data["option"][0]["source"][0], "output": "3 kW"}
    with pytest.raises(InputError) as whole:
        case_from({**data, "option": [{**data["option"][0], "source": [source]}]})
    assert str(told.value) == str(whole.value)
    assert changed(case, (path, "8 kW")).typed["option"][0]["source"][0]["output"] == "8 kW"
    assert case.typed["option"][0]["source"][0]["output"] == "9 kW"


@pytest.mark.parametrize(("name", "at"), [("net_loft", 1), ("valley_row", 1), ("valley_row", 2)])
def test_tanks_side_by_side_are_the_years_of_each_alone(name: str, at: int) -> None:
    case = read_study(name)
    weather = load_weather(case)
    tank = case.tank
    assert tank is not None
    path = (*(("option", at, "tank") if case.options[at].tank else ("tank",)), "volume")
    cases = [changed(case, (path, f"{volume} m3")) for volume in np.geomspace(0.05, 8.0, 7).tolist()]
    sized, volumes = SizedOption(case, weather, at), [one.tank.volume_m3 for one in cases if one.tank]
    plain = [SizedOption(case, weather, at).year(one) for one in cases]
    tanks = sized.tanks([(volume, tank.loss_w_k) for volume in volumes])
    assert tanks is not None
    for one, many in zip(plain * 2, sized.years(cases) + tanks, strict=True):
        assert (one.lacking_hours, one.unmet_j, one.worst_w, one.taken_j) == (
            many.lacking_hours, many.unmet_j, many.worst_w, many.taken_j
        )  # fmt: skip
        assert np.array_equal(one.heat_j, many.heat_j)
        assert one.totals is not None
        assert many.totals is not None
        assert np.array_equal(one.totals.energy_j, many.totals.energy_j)


@pytest.mark.parametrize("name", ["by forecast", "uses after the house", "uses"])
def test_tanks_with_which_more_goes_are_not_run_side_by_side(name: str) -> None:
    case, weather = STUDIES[name]
    assert case.tank is not None
    assert SizedOption(case, weather, 0).tanks([(case.tank.volume_m3, case.tank.loss_w_k)]) is None


@pytest.mark.parametrize("number", [3, 6])  # one after the other, and side by side where that form is there
@pytest.mark.parametrize("at", [1, 2])
def test_collectors_of_other_areas_are_the_years_of_each_alone(at: int, number: int) -> None:
    case, weather = STUDIES["valley_row"]
    cases = [
        changed(case, (("option", at, "source", 0, "area"), f"{area} m2"))
        for area in (0.5, 2.0, 8.0, 12.0, 20.0, 30.0)[:number]
    ]
    sized = SizedOption(case, weather, at)
    found = sized.with_sources(0, [one.options[at].sources[0] for one in cases])
    assert found is not None
    for one, mine in zip((SizedOption(case, weather, at).year(x) for x in cases), found, strict=True):
        assert np.array_equal(one.heat_j, mine.heat_j)
        assert np.array_equal(one.dumped_j, mine.dumped_j)
        assert (one.lacking_hours, one.unmet_j, one.taken_j) == (mine.lacking_hours, mine.unmet_j, mine.taken_j)
        assert one.totals is not None
        assert mine.totals is not None
        assert np.array_equal(one.totals.energy_j, mine.totals.energy_j)
    case, weather = STUDIES["net_loft"]
    assert SizedOption(case, weather, 1).with_sources(0, case.options[1].sources[:1]) is None
