"""Bad studies: each fault one clear line with file, key, value and remedy; all at once."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costsim.errors import InputError
from costsim.study.case import built_in_studies, case_from, parse_study, read_study, write_study

DEMO = built_in_studies()["lantern_cottage"]


@pytest.fixture
def data() -> dict[str, Any]:
    return tomllib.loads(DEMO.read_text(encoding="utf-8"))


def faults_of(data: dict[str, Any]) -> list[str]:
    with pytest.raises(InputError) as caught:
        case_from(data, file="my.toml")
    return [str(fault) for fault in caught.value.faults]


def put(data: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    """Change one value by a dotted path."""
    changed = at = copy.deepcopy(data)
    *parents, last = path.split(".")
    for part in parents:
        at = at[int(part)] if part.isdigit() else at[part]
    at[int(last) if last.isdigit() else last] = value
    return changed


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        ("house.colour", "red", "my.toml: house.colour: is not a known key; take it out"),
        ("house.floor_aera", "9 m2", "did you mean floor_area?"),
        (
            "house.floor_area",
            1180,
            'my.toml: house.floor_area: 1180 is a bare number; write it with its unit, such as "1180 ft2"',
        ),
        ("house.floor_area", True, "house.floor_area: True is not a quantity"),
        ("house.floor_area", "nan m2", "does not start with a number"),
        ("house.design_heat_loss", "7.6 kWh", "house.design_heat_loss: '7.6 kWh' is no power"),
        ("house.design_heat_loss", "-7.6 kW", "house.design_heat_loss: '-7.6 kW' must be more than 0 kW (0 kBtu/h)"),
        ("house.balance_point", "80 degF", "balance_point is warmer than indoor"),
        ("house.gains", "500 W", "give balance_point or gains, one and not both"),
        ("place.timezone", "Mars/North", "'Mars/North' is not a known time zone"),
        ("option.0.source.0.output", "-9 kW", "option[1].source[1].output: '-9 kW' must be more than 0 kW"),
        ("option.0.source.0.efficiency", "140 %", "must be at most 100 %"),
        ("option.0.source.0.kind", "magic", "option[1].source[1].kind: 'magic' is not a kind; use one of"),
        (
            "use",
            [{"kind": "snow_melting"}],
            "'snow_melting' is not a kind; use one of hot_water, pool_or_tub, profile, snow_melt, zone",
        ),
        ("option.0.source.0.lockout_above", 40, "option[1].source[1].lockout_above: 40 is a bare number"),
        ("option.0.rule", "dearest", "option[1].rule: 'dearest' is not a rule; use one of fixed, cheapest_now"),
        ("option.3.source.0.windows", ["22-06"], "'22-06' is not a clock window"),
        ("option.1.name", "Electric 9 kW", "option[2].name: 'Electric 9 kW' names two options"),
        ("option.0.source", [{"kind": "electric", "output": "1 kW"}] * 4, "option[1].source: 4 sources were given"),
        ("prices.heating_oil", {"energy": "3 $/gal"}, "prices.heating_oil: no source uses this price"),
        (
            "prices.natural_gas.energy",
            "1.22 €/therm",
            "prices.natural_gas.energy: '1.22 €/therm' is in €, but prices.electricity.fixed = '14 $/month' is in $",
        ),
        # by code as by sign, and of every key that holds money, not of prices alone
        ("prices.natural_gas.energy", "1.22 EUR/therm", "prices.natural_gas.energy: '1.22 EUR/therm' is in €"),
        ("option.2.first_cost", "£5200", "option[3].first_cost: '£5200' is in £, but prices.electricity.fixed"),
        ("option.2.maintenance", "90 CHF/year", "option[3].maintenance: '90 CHF/year' is in CHF"),
        ("prices.natural_gas.energy", "1.22 $", "prices.natural_gas.energy: '1.22 $' cannot be the energy price"),
        (
            "prices.natural_gas.energy",
            "3 $/kg",
            "prices.natural_gas.energy: '3 $/kg': Natural gas is not sold that way",
        ),
        ("prices.electricity.energy", -0.1, "prices.electricity.energy: -0.1 is a bare number"),
    ],
)
def test_one_fault_one_line(data: dict[str, Any], path: str, value: Any, line: str) -> None:
    found = faults_of(put(data, path, value))
    assert any(line in fault for fault in found), found
    assert all("\n" not in fault and fault.startswith("my.toml: ") for fault in found)


def test_a_source_without_a_price(data: dict[str, Any]) -> None:
    del data["prices"]["natural_gas"]
    assert faults_of(data) == [
        "my.toml: option[3].source[1]: its fuel natural_gas has no price; add a table [prices.natural_gas] with"
        ' energy = "…", or name another with price = "…"'
    ]


def test_rises_and_spreads_of_prices_that_are_not_there(data: dict[str, Any]) -> None:
    data["economics"] = {"escalation": {"gas": "2 %/year", "electricity": "1 %/year"}}
    data["uncertainty"] = {"price": {"elektricity": "20 %"}}
    remedy = f"use one of {', '.join(data['prices'])}"
    assert faults_of(data) == [
        f"my.toml: economics.escalation.gas: there is no price table gas; {remedy}",
        f"my.toml: uncertainty.price.elektricity: there is no price table elektricity; {remedy}",
    ]


def test_a_replacement_that_would_never_be_paid(data: dict[str, Any]) -> None:
    (line,) = faults_of(put(data, "option.0.replacement", "4000 $"))
    assert line.startswith("my.toml: option[1]")
    assert line.endswith("replacement has no year, so it would never be paid; add replacement_year = 15")
    data["option"][0] |= {"replacement": "4000 $", "replacement_year": 12}
    case_from(data)


@pytest.mark.parametrize("ends", [("1000 kWh/month", "500 kWh/month"), (None, None), (None, "500 kWh/month"), ("1 MWh/month", "1000 kWh/month")])  # fmt: skip
def test_blocks_that_do_not_rise(data: dict[str, Any], ends: tuple[str | None, ...]) -> None:
    def blocks(months: tuple[str, str]) -> list[dict[str, str]]:
        return [
            {"energy": "0.1 $/kWh", "months": month} | ({"up_to": end} if end else {})
            for end, month in zip(ends, months, strict=True)
        ]

    data["prices"]["electricity"]["block"] = blocks(("", "Jan-Mar"))
    assert faults_of(data) == [
        "my.toml: prices.electricity.block[2].up_to: ends no higher than the block before; let each block's up_to be "
        "higher than the one before, and leave it out of the last alone"
    ]
    seasons = ("Apr-Dec", "Jan-Mar")
    beyond = [{"energy": "0.3 $/kWh", "months": month} for end, month in zip(ends, seasons, strict=True) if end]
    data["prices"]["electricity"]["block"] = [*blocks(seasons), *beyond]
    case_from(data)


@pytest.mark.parametrize(
    ("path", "value"), [("option.2.source.0.kind", "gass"), ("option.2.source.0.efficiency", "920 %"), ("option", [])]
)
def test_a_price_is_not_called_unused_because_its_source_has_a_fault(
    data: dict[str, Any], path: str, value: Any
) -> None:
    found = faults_of(put(data, path, value))
    assert found
    assert not [fault for fault in found if "no source uses this price" in fault], found


def test_all_faults_at_once(data: dict[str, Any]) -> None:
    broken = put(
        put(put(data, "house.floor_area", 1180), "house.indoor_temperature", "hot"), "option.0.rule", "dearest"
    )
    found = faults_of(broken)
    assert [fault.split(": ")[1] for fault in found] == [
        "house.floor_area",
        "house.indoor_temperature",
        "option[1].rule",
    ]


def test_a_price_of_another_dimension_is_told_with_the_other_faults(data: dict[str, Any]) -> None:
    data["house"]["balance_point"] = "62"
    data["prices"]["electricity"]["energy"] = "0.14 $/gal"
    with pytest.raises(InputError) as told:
        case_from(data)
    fields = [one.field for one in told.value.faults]
    assert fields == ["house.balance_point", "prices.electricity.energy"]
    del data["house"]["balance_point"]
    with pytest.raises(InputError, match=r"'0.14 \$/gal'"):
        case_from(data)


def test_what_was_typed_is_kept(data: dict[str, Any]) -> None:
    case = case_from(data)
    assert case.typed == data
    assert tomllib.loads(write_study(case.typed)) == data


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"[a", "is not TOML"),
        (b"\xff\xfe", "is not UTF-8"),
        (b"x = 1\n" * 200_000, "MB large"),
        (b"[" * 5000, "is nested more than 16 deep"),
    ],
)
def test_files_that_are_no_study(raw: bytes, says: str) -> None:
    with pytest.raises(InputError, match=says):
        parse_study(raw, file="x.toml")


def test_an_empty_study_says_what_to_add() -> None:
    found = faults_of({})
    assert len(found) == 5
    assert 'my.toml: title: is missing; add title = "…"' in found


def test_missing_weather_is_told_with_the_other_faults(tmp_path: Path, data: dict[str, Any]) -> None:
    study = tmp_path / "s.toml"
    study.write_text(
        write_study(put(put(data, "place.weather", "nowhere.epw"), "house.floor_area", 5)), encoding="utf-8"
    )
    with pytest.raises(InputError) as caught:
        read_study(study)
    assert [fault.field for fault in caught.value.faults] == ["house.floor_area", "place.weather"]


def paths_of(data: Any, prefix: str = "") -> list[str]:
    """Every place of a study."""
    if isinstance(data, dict):
        return [p for key, value in data.items() for p in [f"{prefix}{key}", *paths_of(value, f"{prefix}{key}.")]]
    if isinstance(data, list):
        return [p for i, value in enumerate(data) for p in [f"{prefix}{i}", *paths_of(value, f"{prefix}{i}.")]]
    return []


PLACES = paths_of(tomllib.loads(DEMO.read_text(encoding="utf-8")))
JUNK = st.one_of(
    st.text(max_size=12),
    st.integers(),
    st.floats(),
    st.booleans(),
    st.lists(st.text(max_size=3), max_size=3),
    st.just({}),
    st.just({"kind": 3}),
)


@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(place=st.sampled_from(PLACES), junk=JUNK)
def test_junk_anywhere_is_read_or_refused(data: dict[str, Any], place: str, junk: Any) -> None:
    try:
        case_from(put(data, place, junk), file="my.toml")
    except InputError as error:
        assert error.faults
        assert all(fault.problem for fault in error.faults)
