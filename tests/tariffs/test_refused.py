"""Tables that cannot be meant: units, seasons, ends and days that do not fit are one line each."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tomlkit

from costsim.cli.main import main
from costsim.errors import InputError
from costsim.study.tariff_file import price_models


@pytest.mark.parametrize(
    ("table", "line"),
    [
        ({"charge": [{"kind": "prebuy", "amount": "9 gal", "energy": "1 $/kWh"}]}, "charge[1].amount: '9 gal'"),
        ({"charge": [{"kind": "tiers", "tier": [{"energy": "1 $/gal"}]}]}, "charge[1].tier[1].energy: '1 $/gal'"),
        ({"period": [{"name": "night", "energy": "2 $/lb"}]}, "period[1].energy: '2 $/lb'"),
        ({"energy": "3 $/m3"}, "energy: '3 $/m3'"),
    ],
)
def test_a_unit_that_the_fuel_is_not_sold_by_is_named_with_its_key(table: dict[str, Any], line: str) -> None:
    with pytest.raises(InputError) as caught:
        price_models({"electricity": {"energy": "0.1 $/kWh", **table}}, "t.toml")
    assert f"t.toml: prices.electricity.{line}: Electricity is not sold that way, but by the kWh; write prices" in str(
        caught.value
    )


SUMMER = {"name": "summer", "energy": "0.2 $/kWh", "months": "Jun-Sep"}


@pytest.mark.parametrize(
    ("table", "line"),
    [
        ({"period": [SUMMER, {"name": "winter", "energy": "0.1 $/kWh", "months": "Sep 15-May 31"}]},
         "period[2].months: its season and that of period[1] overlap in Sep; part their months"),
        ({"block": [{"up_to": "5 kWh/day", "energy": "1 $/kWh", "months": "Nov-Apr"}, {"energy": "2 $/kWh", "months": "Nov-Apr"},
                    {"energy": "3 $/kWh", "months": "Apr-Oct"}]}, "block[3].months: its season and that of block[2] overlap in Apr"),
        ({"block": [{"up_to": "500 kWh/month", "energy": "1 $/kWh"}, {"up_to": "900 kWh/month", "energy": "2 $/kWh"}]},
         "block[2].up_to: the last block of Jan has an end, so use beyond it has no price; leave up_to out"),
        ({"block": [{"up_to": "10 kWh/day", "energy": "1 $/kWh"}, {"up_to": "900 kWh/month", "energy": "2 $/kWh"}, {"energy": "3 $/kWh"}]},
         "block[2].up_to: counts by the month, but block[1] by the day"),
        ({"read_dates": ["Jan 3", "Jan 30"]}, "'Jan 30' lies in the same month as another reading"),
        ({"read_dates": ["Jan 3"], "read_day": 9}, "meter readings are given twice"),
        ({"holidays": "US-ZZ"}, "'ZZ' is not a known part of US"),
        ({"demand": [{"price": "2 $/kW/day"}]}, "price is no money for power by the month"),
    ],
)  # fmt: skip
def test_seasons_and_ends_that_do_not_fit_are_one_line(
    table: dict[str, Any], line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plain = {"energy": "0.3 $/kWh"} if "block" not in table else {}
    (tmp_path / "t.toml").write_text(tomlkit.dumps({"prices": {"electricity": {**plain, **table}}}), encoding="utf-8")
    assert main(["tariff", "show", str(tmp_path / "t.toml")]) == 2
    told = capsys.readouterr().err
    assert line in told
    assert told.count("\n") == 1


def test_a_narrow_season_in_a_wide_one_is_no_overlap() -> None:
    peak = {"name": "peak", "energy": "0.4 $/kWh", "windows": ["16:00-21:00"], "months": "Jul-Aug"}
    event = {"name": "event", "energy": "0.9 $/kWh", "dates": ["2025-01-14", "2025-07-15"]}
    assert price_models({"electricity": {"energy": "0.1 $/kWh", "period": [event, peak, SUMMER]}}, "t.toml")
