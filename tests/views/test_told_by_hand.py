"""Sentences and rows that only a page or a rarer command shows, each from made-up figures."""

from __future__ import annotations

import datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Annotated, Any

import numpy as np
import openpyxl
import pandas as pd
import pytest
from pydantic import BaseModel, Field

from costsim.sources import KINDS
from costsim.study.house import House
from costsim.units.fields import OneOf, QuantityField
from costsim.views import cards, first_study, source_words, text_sizing, text_tariff, text_uncertainty, todays_heater
from costsim.views.answer import cold_zone
from costsim.views.own_generation import own_generation_rows
from costsim.views.reference import _fields, _row, study_reference, tables_of_study
from costsim.views.result_json import own_generation_json
from costsim.views.templates import TEMPLATES
from costsim.views.text_verify import recalibrated_sentence
from costsim.views.text_winters import printed_history, printed_winter_table, unusual_words
from costsim.views.workbook import write_workbook

KWH, BTU, FT = 3.6e6, 1055.05585262, 0.3048


def some(**more: Any) -> Any:
    return SimpleNamespace(**more)


# winters


def winter(name: str, days: float, coldest: float = -10.0) -> Any:
    return some(name=name, degree_days_k_d=days, coldest_c=coldest)


def test_winters_stand_against_their_mean_in_the_reader_s_degrees() -> None:
    """Of 2,000 and 3,000 K·d the mean is 2,500; a kelvin is 1.8 °F; -10 °C are 14 °F."""
    both = [winter("one", 2000.0), winter("two", 3000.0)]
    for system, days, cold in (
        ("si", ("2,000", "3,000", "[K·d]"), "-10.0 °C"),
        ("us", ("3,600", "5,400", "[°F·d]"), "14.0 °F"),
    ):
        told = printed_history(both, None, "too few to judge", system)
        assert all(part in told for part in (*days, cold, "-20.0%", "+20.0%"))
        assert told.endswith("\n\ntoo few to judge")
    assert "%" not in printed_history([winter("warm", 0.0)], None, "", "si")
    assert "why not" in printed_history([], None, "why not", "si")


def unusual(one_in: float, *, colder: bool = True) -> Any:
    return some(name="2020–21", degree_days_k_d=3000.0, milder=7, others=9, mean_k_d=2500.0, spread_k_d=250.0, one_in=one_in, colder=colder)  # fmt: skip


def test_how_unusual_a_winter_was() -> None:
    told = unusual_words(unusual(12.6), "us")
    assert told.startswith("The winter of 2020–21 had 5,400 °F·d: colder than 7 of the 9 before it.")
    assert "About one winter in 13 is as cold as that or colder (mean 4,500 °F·d, standard deviation 450 °F·d)." in told
    assert told in printed_history([winter("2020–21", 3000.0)], unusual(12.6), "", "us")
    assert "as mild as that or milder" in unusual_words(unusual(12.6, colder=False), "si")
    for one_in, words in (
        (3.99, "an ordinary winter"),
        (4.0, "one winter in 4 "),
        (1000.0, "in 1,000 "),
        (1000.1, "in more than 1,000 "),
    ):
        assert words in unusual_words(unusual(one_in), "si")


def test_winters_side_by_side() -> None:
    years = [some(cost=1500.0, unmet_hours=0), some(cost=2500.0, unmet_hours=1200)]
    option = some(
        name="Gas", mean_cost=2000.0, one_in_ten_cost=2400.0, worst_cost=2500.0, worst_cost_winter="two", one_in_ten_unmet_hours=960.0,
        worst_unmet_hours=1200, worst_unmet_winter="two",
    )  # fmt: skip
    rows = [
        some(**vars(winter(name, 2000.0)), options={"Gas": one})
        for name, one in zip(("one", "two"), years, strict=True)
    ]
    told = printed_winter_table(some(options=[option], rows=rows, currency="$", notes=["short record"]), "si")
    assert told.startswith("2 winters: ")
    for part in ("$1,500, 0 h", "$2,500, 1,200 h", "$2,500 (two)", "960 h", "1,200 h (two)", "note: short record"):
        assert part in told
    calm = some(**{**vars(option), "worst_unmet_hours": 0, "worst_unmet_winter": ""})
    assert "()" not in printed_winter_table(some(options=[calm], rows=rows[:1], currency="$", notes=[]), "si")


# sizes


def test_each_bit_of_a_collector_is_told_per_unit_of_area() -> None:
    """100 kWh for each square metre are 0.0317 MMBtu for each square foot; 10 $/m² are 0.93 $/ft²."""
    case: Any = some(currency="$")
    step = some(
        area_m2=0.0, useful_j=0.0, dumped_j=0.0, share=0.0, cost=900.0, next_useful_j_m2=None, next_saved_m2=None
    )
    more = some(
        **{
            **vars(step),
            "area_m2": 4.0,
            "useful_j": 400 * KWH,
            "dumped_j": 3 * KWH,
            "share": 0.2,
            "next_useful_j_m2": 100 * KWH,
            "next_saved_m2": 10.0,
        }
    )
    _, (none, row) = text_sizing.collector_rows(case, [step, more], "si")
    assert none[-2:] == ["", ""]
    assert row == ["4", "400.0", "3.0", "20%", "$900", "100.00", "$10.00"]
    _, (_, row) = text_sizing.collector_rows(case, [step, more], "us")
    assert row[-2:] == [f"{100 * KWH / (1e6 * BTU) * FT**2:,.2f}", "$0.93"]


def test_night_heat_is_sized_for_its_eight_hours_and_every_other_source_for_the_load() -> None:
    """Eight hours that give a day's heat give three times its mean; sizes round up, by 1 kW or 5 kBtu/h, on a margin of a fifth at most."""
    for name, shares in (
        ("off_peak", (3.0,)),
        ("off_peak_store", (2.5, 1.0)),
        ("off_peak_propane", (1.3, 1.0)),
        ("pellets", (1.0,)),
        ("oil", (1.0,)),
    ):
        made = TEMPLATES[name].sources(40e3, "si")
        assert len(made) == len(shares)
        for source, share in zip(made, shares, strict=True):
            assert 40 * share <= float(source["output"].removesuffix(" kW")) <= 40 * share * 1.2 + 1, (name, source)
    night, day = TEMPLATES["off_peak_store"].sources(10e3, "si")
    assert "backup_only" not in night
    assert day["backup_only"] is True  # by day only what the night left


# what heats today


def test_today_s_heater_stays_as_it_was_typed() -> None:
    """Of the same kind all stays but the option's own name for it; on another rate its size, if somebody typed that."""
    gas = {"kind": "gas", "fuel": "propane", "name": "Old boiler", "output": "20 kW", "efficiency": "80 %"}
    option = {
        "source": [
            {"kind": "off_peak_electric", "output": "9 kW"},
            {"kind": "gas", "fuel": "propane", "name": "By day", "output": "12 kW"},
        ]
    }
    assert todays_heater.keep_todays(option, gas, sized=True) is True
    assert option["source"][1] == gas | {"name": "By day"}
    assert option["source"][0] == {"kind": "off_peak_electric", "output": "9 kW"}
    for sized, output in ((True, "7 kW"), (False, "9 kW")):
        option = {"source": [{"kind": "off_peak_electric", "output": "9 kW", "windows": ["22:00-06:00"]}, dict(gas)]}
        assert (
            todays_heater.keep_todays(option, {"kind": "electric", "output": "7 kW", "name": "Mine"}, sized=sized)
            is True
        )
        assert option["source"][0] == {"kind": "off_peak_electric", "output": output, "windows": ["22:00-06:00"]}
    option = {"source": [{"kind": "oil"}, {"kind": "wood"}]}
    assert todays_heater.keep_todays(option, gas, sized=True) is False
    assert option == {"source": [{"kind": "oil"}, {"kind": "wood"}]}
    assert todays_heater.asked_at("off_peak_propane", "off_peak_propane", "us") == 0


def test_cheaper_hours_are_told_as_they_were_asked() -> None:
    def answers(*periods: dict[str, Any]) -> dict[str, Any]:
        return first_study.answers_of(
            {"prices": {"electricity": {"energy": "0.20 $/kWh", "fixed": "9 $/month", "period": list(periods)}}}
        )

    night = {"energy": "0.10 $/kWh", "windows": ["22:00-06:00", "12:00-14:00"]}
    found = answers(night)
    assert found == {
        "price/electricity": "0.20 $/kWh + 9 $/month", "cheap": True, "cheap_price": "0.10 $/kWh", "cheap_hours": "22:00-06:00, 12:00-14:00",
        "cheap_days": "every day",
    }  # fmt: skip
    assert answers(night | {"days": "Mon-Fri"})["cheap_days"] == "Mon-Fri"
    assert "cheap" not in answers(night, night)
    assert "cheap" not in answers()


# sentences


def test_the_zone_that_is_coldest_follows_the_number_of_cold_hours() -> None:
    def told(zone: Any) -> str:
        return cold_zone(some(unmet=some(hours=1500), coldest_zone=zone))  # type: ignore[arg-type]

    assert told(None) == ""
    assert told(some(name="Up", unmet_hours=1500)) == " in Up"
    assert told(some(name="Up", unmet_hours=900)) == " (900 of them in Up)"


def test_what_an_option_without_a_first_cost_may_cost() -> None:
    found = some(missing={"A": None, "B": 0.0, "C": 1000.0}, order=[("Gas", 1.0), ("Oil", 2.0)])
    told = cards._missing(found, some(currency="$"))  # type: ignore[arg-type]
    assert told.startswith("B costs more than Gas even if it is free to buy.")
    assert "C" in told
    assert "$1,000" in told
    assert "A " not in told


def test_a_source_is_said_in_one_sentence() -> None:
    for kind, model in KINDS.items():
        own = source_words.SENTENCES.get(kind)
        assert source_words.sentence_of(kind) == (own or str(model.__doc__).strip().split("\n")[0])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(source_words, "SENTENCES", {})
        assert source_words.sentence_of("gas") == str(KINDS["gas"].__doc__).strip().split("\n")[0]


def test_what_bills_show_of_a_house_stands_beside_the_study_s() -> None:
    now = some(loss_w_k=212.0, line=some(balance_c=15.0))
    told = recalibrated_sentence(some(fit=some(now=now)), some(loss_w_k=180.0, balance_c=np.array([16.0, 18.0])), "si")  # type: ignore[arg-type]
    assert (
        told == "Heat loss 212 W/K in place of 180 W/K; no heat is needed above 15.0 °C outdoors, in place of 17.0 °C."
    )


def test_a_perfect_controller_is_told_with_what_it_rests_on() -> None:
    gaps: Any = [some(option="Gas", rule_cost=900.0, best_cost=700.0, saving=200.0)]
    told = text_uncertainty.printed_foresight(some(currency="$"), gaps)  # type: ignore[arg-type]
    table, _, note = told.partition("\n\n")
    assert all(part in table for part in ("Gas", "$900", "$700", "$200"))
    assert "no controller reaches it" in note


# own generation, bills


def test_where_own_generation_goes() -> None:
    """What counts for heating has a column where net metering lets it differ from what heating used, by more than a kilowatt-hour."""
    use = some(
        generated_j=4000 * KWH,
        house_j=1000 * KWH,
        heating_j=500 * KWH,
        exported_j=2500 * KWH,
        counted_j=501 * KWH,
        saved=123.0,
    )
    netted = some(**{**vars(use), "counted_j": 502 * KWH})
    result = lambda one: some(options=[some(name="Pump", self_use=one), some(name="Gas", self_use=None)], currency="$")  # noqa: E731
    heads, rows = own_generation_rows(result(use))
    assert rows == [["Pump", "4,000", "1,000", "500", "2,500", "$123"]]
    assert len(heads) == 6
    heads, rows = own_generation_rows(result(netted))
    assert rows == [["Pump", "4,000", "1,000", "500", "2,500", "502", "$123"]]
    assert "counts for heating" in heads
    assert own_generation_json(some(self_use=None)) == {}  # type: ignore[arg-type]
    assert own_generation_json(some(self_use=use)) == {  # type: ignore[arg-type]
        "own_generation_kwh": {
            "generated": 4000.0,
            "house": 1000.0,
            "heating": 500.0,
            "exported": 2500.0,
            "counted_for_heating": 501.0,
        },
        "own_generation_off_heating": 123.0,
    }


def test_lines_of_a_bill_are_added_up_over_the_year() -> None:
    def line(label: str, quantity: float, amount: float, unit: str) -> Any:
        return some(label=label, quantity=quantity, amount=amount, unit=unit)

    price: Any = some(sold=lambda key, joule, system: (joule / KWH, "kWh"))
    lines = [
        line("Energy", 300 * KWH, 30.0, "J"), line("Energy", 200 * KWH, 20.0, "J"), line("Peak", 7000.0, 70.0, "W"), line("Tax", 120.0, 6.0, "money"),
        line("Meter", 12, 108.0, "month"),
    ]  # fmt: skip
    rows = text_tariff._added(some(lines=lines, total=234.0), price, "electricity", "us", "$")  # type: ignore[arg-type]
    assert rows == [
        ["Energy", "500.0 kWh", "$50.00"], ["Peak", "7.0 kW-months", "$70.00"], ["Tax", "$120.00", "$6.00"], ["Meter", "12 month", "$108.00"],
        ["the year", "", "$234.00"],
    ]  # fmt: skip
    for many, one in (("therms", "therm"), ("cords", "cord"), ("kWh", "kWh"), ("gal", "gal")):
        sold: Any = some(sold=lambda key, joule, system, many=many: (0.25, many))
        assert text_tariff._natural(sold, "x", "us") == (KWH / 0.25, one)


# the reference and the workbook


class Inner(BaseModel):
    """One part.

    And more of it.
    """


class Made(BaseModel):
    """A table."""

    size_m: Annotated[float, QuantityField("length", "Size", "How long.", example="3 m"), Field(alias="size")]
    name: Annotated[str, Field(title="Name")] = ""
    kind: Annotated[str, OneOf({"a": 1, "b": 2}, "a kind"), Field(title="Kind", description="Which|what.")] = "a"
    far_m: Annotated[float, QuantityField("length", "Far", example="10 ft")] = 3.048
    part: Annotated[Inner | None, Field(title="Part")] = None
    whole: Annotated[Inner, Field(title="Whole", default_factory=Inner)]
    parts: Annotated[tuple[Inner, ...], Field(title="Parts")] = ()
    pair: Annotated[tuple[int, ...], Field(title="Pair")] = (1, 2)
    on: Annotated[bool, Field(title="On")] = True


def test_a_key_of_the_reference_has_its_title_example_and_default() -> None:
    rows = dict(_fields(Made))
    assert [_row(key, field) for key, field in rows.items()] == [
        "| `size` | Size. How long. | `3 m` |  |",
        "| `name` | Name |  | none |",
        "| `kind` | Kind. Which\\|what. | `a`, `b` | a |",
        "| `far_m` | Far | `10 ft` | 10.0 ft |",
        "| `part` | Part | a table | none |",
        "| `whole` | Whole |  | see its table |",
        "| `parts` | Parts | a table | none |",
        "| `pair` | Pair |  | (1, 2) |",
        "| `on` | On |  | True |",
    ]


def test_every_table_of_a_study_stands_once_in_the_reference() -> None:
    found = tables_of_study()
    paths = [path for path, _ in found]
    assert {
        "",
        "place",
        "house",
        "tank",
        "floor",
        "floor.layout",
        "floor.layout.level",
        "floor.layout.level.room",
        "option",
    } <= set(paths)
    assert [path for path in paths if path.startswith("option.source, kind = ")] == [
        f"option.source, kind = {kind}" for kind in KINDS
    ]
    assert len({model for _, model in found}) == len(found)
    assert dict(found)["house"] is House
    text = study_reference()
    assert text.count("\n## ") == len(found)
    assert "## top\n\n" in text
    assert f"## house\n\n{str(House.__doc__).strip().splitlines()[0]}\n\n| key | what |" in text


def test_a_workbook_holds_the_frame_and_leaves_cells_empty_where_nothing_is_known(tmp_path: Path) -> None:
    when = [datetime.datetime(2026, 1, 1, at) for at in (0, 1)]
    write_workbook(pd.DataFrame({"hour": when, "heat [kW]": [1.5, np.nan], "name": ["x", "y"]}), tmp_path / "a.xlsx")
    rows = list(openpyxl.load_workbook(tmp_path / "a.xlsx")["hours"].values)
    assert rows == [("hour", "heat [kW]", "name"), (when[0], 1.5, "x"), (when[1], None, "y")]
    with pytest.raises(OSError, match="No such file"):
        write_workbook(pd.DataFrame({"a": [1]}), tmp_path / "none" / "a.xlsx")
