"""What each kind of source takes and refuses, and what it is where nothing is said: tables made by hand from what the fields promise."""

from __future__ import annotations

from typing import Any, ClassVar, Literal

import pytest
from pydantic import ValidationError

from costsim.sources import KINDS, CurtailmentEvents, HeatSource

NEEDED: dict[str, dict[str, Any]] = {
    "gas": {"output": "12 kW", "efficiency": "85 %"},
    "oil": {"output": "12 kW", "efficiency": "85 %"},
    "electric": {"output": "9 kW"},
    "off_peak_electric": {"output": "9 kW", "windows": ["22:00-06:00"]},
    "heat_pump": {"outdoor": ["-15 degC", "7 degC"], "outputs": ["5 kW", "8 kW"]},
    "wood": {"charge": "25 kg", "burn_time": "6 h", "load_times": ["07:00"], "efficiency": "60 %"},
    "pellet": {"output": "15 kW", "efficiency": "78 %"},
    "solar": {"area": "10 m2"},
}


def made(kind: str, **changed: Any) -> Any:
    """A source of a kind with what it needs and what is changed."""
    return KINDS[kind].model_validate({"kind": kind, **NEEDED[kind], **changed})


# kind, key, the last values that are taken, and the first beyond each end that are not
ENDS: list[tuple[str, str, list[Any], list[Any]]] = [
    ("gas", "output", ["0.5 W", "100 MW"], ["0 W", "105 MW"]),
    ("gas", "efficiency", ["30 %", "100 %"], ["29 %", "101 %"]),
    ("gas", "min_output", ["0 W", "12 kW"], ["-1 W", "12.1 kW"]),
    ("gas", "cycling_degradation", [0, 0.5], [-0.01, 0.51]),
    ("gas", "standby", ["0 W"], ["-1 W"]),
    ("gas", "electric", ["0 W"], ["-1 W"]),
    ("gas", "flow", ["0.1 L/min"], ["0 L/min"]),
    ("gas", "max_outlet_temperature", ["25 degC", "95 degC"], ["24.5 degC", "95.5 degC"]),
    ("gas", "tank_volume", ["1 L"], ["0 L"]),
    ("gas", "tank_diameter", ["0.5 m", "5 m"], ["0 m", "5.1 m"]),
    ("gas", "tank_length", ["0.5 m", "20 m"], ["0 m", "20.5 m"]),
    ("electric", "output", ["0.5 W", "100 MW"], ["0 W", "105 MW"]),
    ("electric", "efficiency", ["50 %", "100 %"], ["49 %", "101 %"]),
    ("heat_pump", "carnot_fraction", [0.1, 0.7], [0.09, 0.71]),
    ("heat_pump", "max_outlet_temperature", ["25 degC", "90 degC"], ["24.5 degC", "90.5 degC"]),
    ("heat_pump", "cut_out", ["-60 degC", "20 degC"], ["-60.5 degC", "20.5 degC"]),
    ("heat_pump", "defrost", ["0 %", "40 %"], ["-1 %", "41 %"]),
    ("heat_pump", "cycling_degradation", [0, 0.5], [-0.01, 0.51]),
    ("heat_pump", "min_output", ["0 W"], ["-1 W"]),
    ("wood", "charge", ["0.5 kg", "2000 kg"], ["0 kg", "2000.5 kg"]),
    ("wood", "moisture", ["0 %", "65 %"], ["-1 %", "66 %"]),
    ("wood", "efficiency", ["0.5 %", "95 %"], ["0 %", "96 %"]),
    ("wood", "burn_time", ["1 h", "48 h"], ["59.99 min", "48.01 h"]),
    ("wood", "labor", ["0 h"], ["-1 min"]),
    ("wood", "load_times", [["0:00"], ["23:59"], ["07:00"] * 12], [[], ["24:00"], ["7:60"], ["07:00"] * 13]),
    ("pellet", "output", ["0.5 W", "100 MW"], ["0 W", "105 MW"]),
    ("pellet", "efficiency", ["0.5 %", "95 %"], ["0 %", "96 %"]),
    ("pellet", "min_output", ["0 W"], ["-1 W"]),
    ("pellet", "cycling_degradation", [0, 0.5], [-0.01, 0.51]),
    ("pellet", "electric", ["0 W"], ["-1 W"]),
    ("solar", "area", ["0.5 m2", "100000 m2"], ["0 m2", "100001 m2"]),
    ("solar", "eta0", ["0.5 %", "100 %"], ["0 %", "101 %"]),
    ("solar", "a1", ["0 W/(m2 K)", "30 W/(m2 K)"], ["-0.1 W/(m2 K)", "30.5 W/(m2 K)"]),
    ("solar", "a2", ["0 W/(m2 K2)", "1 W/(m2 K2)"], ["-0.1 W/(m2 K2)", "1.05 W/(m2 K2)"]),
    ("solar", "incidence_b0", [0, 1], [-0.01, 1.01]),
    ("solar", "tilt", ["0 deg", "90 deg"], ["-0.5 deg", "90.5 deg"]),
    ("solar", "azimuth", ["0 deg", "360 deg"], ["-0.5 deg", "360.5 deg"]),
    ("solar", "approach", ["0 K", "30 K"], ["-0.1 K", "30.5 K"]),
    ("solar", "pump", ["0 W"], ["-1 W"]),
    ("solar", "name", ["x" * 80], ["x" * 81]),
]


@pytest.mark.parametrize(("kind", "key", "taken", "refused"), ENDS, ids=[f"{kind}-{key}" for kind, key, *_ in ENDS])
def test_a_field_ends_where_it_says(kind: str, key: str, taken: list[Any], refused: list[Any]) -> None:
    for value in taken:
        made(kind, **{key: value})
    for value in refused:
        with pytest.raises(ValidationError):
            made(kind, **{key: value})


def test_a_breaker_ends_where_it_says() -> None:
    for volts, breaker in (("0.5 V", "0.5 A"), ("1000 V", "4000 A")):
        made("electric", volts=volts, breaker=breaker)
    for volts, breaker in (("0 V", "40 A"), ("240 V", "0 A"), ("1000.5 V", "40 A"), ("240 V", "4000.5 A")):
        with pytest.raises(ValidationError):
            made("electric", volts=volts, breaker=breaker)


def test_test_points_end_where_they_say() -> None:
    many = [f"{t} degC" for t in range(13)], [f"{t + 1} kW" for t in range(13)]
    made("heat_pump", outdoor=many[0][:12], outputs=many[1][:12])
    made("heat_pump", outdoor=["-60 degC", "60 degC"], outputs=["0.5 W", "8 kW"])
    for outdoor, outputs in (
        many,
        (["7 degC"], ["8 kW"]),
        (["-60.5 degC", "7 degC"], ["5 kW", "8 kW"]),
        (["7 degC", "60.5 degC"], ["5 kW", "8 kW"]),
        (["7 degC", "7 degC"], ["5 kW", "8 kW"]),
        (["-7 degC", "7 degC"], ["0 W", "8 kW"]),
        (["-7 degC", "2 degC", "7 degC"], ["5 kW", "8 kW"]),
    ):
        with pytest.raises(ValidationError):
            made("heat_pump", outdoor=outdoor, outputs=outputs)


def test_control_hours_end_where_they_say() -> None:
    for key, taken, refused in (
        ("coldest_hours", (0, 8784), (-1, 8785)),
        ("longest_run", ("1 h", "48 h"), ("59.99 min", "48.01 h")),
    ):
        for value in taken:
            CurtailmentEvents.model_validate({key: value})
        for value in refused:
            with pytest.raises(ValidationError):
                CurtailmentEvents.model_validate({key: value})


# what the help and the README promise of a source of which nothing more is said, in SI
PLAIN: dict[str, dict[str, Any]] = {
    "gas": {
        "efficiency_share": 0.85, "condensing": False, "min_output_w": None, "cycling_degradation": 0.1, "standby_w": 0.0, "electric_w": 0.0,
        "flow_m3_s": None, "max_outlet_temperature_c": 65.0, "altitude_rule": "total", "fuel": "natural_gas", "tank_diameter_m": None,
    },
    "electric": {"efficiency_share": 1.0, "volts_v": None, "breaker_a": None, "store": False},
    "off_peak_electric": {"efficiency_share": 1.0, "store": True},
    "heat_pump": {"carnot_fraction": None, "cut_out_c": -20.0, "defrost_share": None, "cycling_degradation": 0.1, "min_output_w": None,
                  "approach_k": 5.0, "pump_w": 60.0, "max_outlet_temperature_c": None},
    "wood": {"moisture_share": 0.20, "attended": "every day", "labor_s": 20 * 60.0},
    "pellet": {"min_output_w": None, "cycling_degradation": 0.1, "electric_w": 80.0},
    "solar": {
        "area_basis": "gross", "eta0_share": 0.75, "a1_w_m2k": 3.8, "a2_w_m2k2": 0.015, "incidence_b0": 0.1, "tilt_deg": 60.0,
        "azimuth_deg": None, "approach_k": 5.0, "pump_w": 40.0,
    },
}  # fmt: skip


@pytest.mark.parametrize("kind", sorted(PLAIN))
def test_a_plain_source_is_what_is_promised(kind: str) -> None:
    source = made(kind)
    assert {name: getattr(source, name) for name in PLAIN[kind]} == PLAIN[kind]
    common = {"name": "", "price": "", "windows": (), "days": "every day", "months": "", "backup_only": False}
    assert {name: getattr(source, name) for name in common} == {**common, "windows": source.windows}
    assert (source.lockout_above_c, source.lockout_below_c, source.curtailment) == (None, None, None)
    assert source.label == source.title
    assert made(kind, name="mine").label == "mine"


def test_plain_control_takes_nothing_and_would_pause_after_twelve_hours() -> None:
    plain = CurtailmentEvents()
    assert (plain.coldest_hours, plain.longest_run_s, plain.windows) == (0, 12 * 3600, ())


@pytest.mark.parametrize(
    ("kind", "changed", "said"),
    [
        ("gas", {"efficiency": None}, "efficiency is missing"),
        ("electric", {"breaker": "40 A"}, "has a breaker without its volts"),
        ("electric", {"output": None, "volts": "240 V"}, "has no size"),
        ("electric", {"output": None}, "has no size"),
        ("electric", {"curtailment": {"months": "Jan"}}, "days or months but no windows"),
        ("electric", {"curtailment": {"coldest_hours": 9, "days": "Mon-Fri"}}, "days or months but no windows"),
        ("off_peak_electric", {"windows": []}, "off-peak heat has no hours"),
        ("off_peak_electric", {"windows": [], "curtailment": {"coldest_hours": 0}}, "off-peak heat has no hours"),
        ("solar", {"store": True}, "cannot be told to store"),
        ("solar", {"backup_only": True}, "cannot be told to store"),
        ("heat_pump", {"outputs": ["5 kW", "8 kW", "9 kW"]}, "2 temperatures but 3 outputs"),
        ("heat_pump", {"circuit_head_flow": "5 gpm"}, "has the flow of a pressure drop but no drop"),
        ("heat_pump", {"outputs": ["5 kW", "8 apples"]}, "the unit 'apples' is not known"),
        ("heat_pump", {"outdoor": ["7 degC", "-7 degC"]}, "outdoor temperatures must rise"),
        ("wood", {"store": True}, "a fire cannot be told to store"),
        ("wood", {"backup_only": True}, "or to stand by"),
        ("wood", {"load_times": ["7 am"]}, "'7 am' is not a clock time"),
        ("wood", {"attended": "Mun"}, "'Mun' is not a day"),
    ],
)
def test_what_does_not_belong_together_is_told(kind: str, changed: dict[str, Any], said: str) -> None:
    with pytest.raises(ValidationError, match=said):
        made(kind, **changed)


def test_what_belongs_together_is_taken() -> None:
    assert made("gas", efficiency=None, condensing=True).nameplate_w() == 12e3
    assert made("off_peak_electric", windows=[], curtailment={"coldest_hours": 100}).curtailment.coldest_hours == 100
    assert made("electric", output=None, volts="240 V", breaker="50 A").nameplate_w() == 9600.0
    assert made("electric", output=None, volts="240 V", breaker="50 A", efficiency="50 %").nameplate_w() == 4800.0
    assert made("heat_pump").nameplate_w() == 8e3
    assert made("solar").nameplate_w() == 7500.0


def test_a_kind_that_lacks_what_every_kind_says_is_refused_with_all_of_it() -> None:
    with pytest.raises(TypeError) as caught:

        class Bare(HeatSource):
            kind: Literal["bare"]

    assert str(caught.value) == "Bare lacks a title; an example with its kind; offer(surroundings); nameplate_w()"
    with pytest.raises(TypeError) as caught:

        class Burning(HeatSource):
            title: ClassVar[str] = "Burning"
            burns_fuel: ClassVar[bool] = True
            example: ClassVar[dict[str, Any]] = {"kind": "burning"}
            rests_on: ClassVar[Any] = (("what", "how", "source"),)
            kind: Literal["burning"]

            def nameplate_w(self) -> float:
                return 1.0

            def offer(self, surroundings: Any) -> Any:
                return None

    assert str(caught.value) == (
        "Burning lacks fuel_key, since it burns: a key of FUELS; air_standard, since it burns; "
        "rests_on as a tuple of (what, how, source, key)"
    )
    assert not {"bare", "burning"} & {*KINDS}
    assert made("electric").lasting_share() == 1.0
