"""Commands on tariffs: import a record of the open utility-rate database, show a year of prices with a sample bill."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from costsim.cli.commands import add_command, command, print_or_json, units_argument
from costsim.errors import Fault, InputError
from costsim.units.quantity import KWH_J

if TYPE_CHECKING:
    from costsim.study.case import Case
    from costsim.weather import Weather


def _tariff_arguments(parser: argparse.ArgumentParser) -> None:
    verbs = parser.add_subparsers(dest="verb", required=True, metavar="VERB")
    about = "turn a record of the open US utility-rate database (JSON) into a price table"
    read = add_command(verbs, "import", about, "tariff import record.json -o prices.toml")
    read.add_argument("file", help="JSON file of a record")
    read.add_argument("--record", default="", metavar="LABEL", help="label or name of one record of several")
    read.add_argument("-o", "--out", metavar="FILE", help="write the table into a new file (.toml)")
    about = "print a year of prices, hour by month, and a sample bill"
    show = add_command(verbs, "show", about, "tariff show lantern_cottage")
    show.add_argument("file", help="study, or a file of [prices.*] tables")
    show.add_argument("--price", default="", metavar="TABLE", help="which price table (default: the first)")
    show.add_argument("--use", default="9000 kWh/year", help="use of the sample year (default: %(default)s)")
    units_argument(show)


@command("tariff", "import a tariff record, or show a year of prices with a sample bill", _tariff_arguments)
def tariff(arguments: argparse.Namespace) -> None:
    """Run one of the verbs."""
    (_import if arguments.verb == "import" else _show)(arguments)


def _import(arguments: argparse.Namespace) -> None:
    import tomlkit

    from costsim.files import read_bytes, write_text
    from costsim.study.tariff_file import price_models
    from costsim.tariffs.rate_record import MOST_BYTES, read_record
    from costsim.views.text_tariff import text_import

    record = read_record(read_bytes(arguments.file, most=MOST_BYTES), arguments.file, arguments.record)
    tables = {"electricity": dict(record.table)}
    price_models(tables, arguments.file)
    document = tomlkit.parse(tomlkit.dumps({"prices": tables}))
    prices: Any = document["prices"]
    for charge in prices["electricity"].get("charge", []):
        for key in ("weekday", "weekend"):
            if key in charge:
                charge[key].multiline(True)
    text = f"{text_import(record, Path(arguments.file).name)}\n\n{tomlkit.dumps(document)}"
    if not arguments.out:
        print(text)
        return
    if Path(arguments.out).exists():
        raise InputError(Fault("", "is there already", "name a new file", arguments.out))
    write_text(arguments.out, text)
    print(
        f"{text_import(record, Path(arguments.file).name)}\n\n{arguments.out}: try costsim tariff show {arguments.out}"
    )


def _show(arguments: argparse.Namespace) -> None:
    from costsim.cli.commands import default_units
    from costsim.engine.study_clock import calendar_of
    from costsim.simulation import load_weather
    from costsim.study.bundle import opened_study
    from costsim.study.case import read_study
    from costsim.study.crosschecks import currencies_of
    from costsim.study.tariff_file import price_models, read_price_tables
    from costsim.tariffs.bill import plain_calendar
    from costsim.units.quantity import UnitError, parse
    from costsim.views.text_tariff import sample_year, text_tariff

    tables = read_price_tables(arguments.file)
    study, files = opened_study(arguments.file)
    models = price_models(tables, arguments.file, files)
    key = arguments.price or next(iter(models))
    if key not in models:
        raise InputError(
            Fault("--price", f"there is no price table {key}", f"use one of {', '.join(models)}", arguments.file)
        )
    try:
        kwh = parse(arguments.use, "energy_per_year").value / KWH_J
    except UnitError as error:
        raise InputError(Fault("--use", str(error), 'write it like --use "9000 kWh/year"')) from None
    calendar, system = plain_calendar(), arguments.units or "us"
    coin = next((currency for _, _, currency in currencies_of(tables)), "$")
    if "house" in study:
        case = read_study(arguments.file)
        calendar, system = calendar_of(case, load_weather(case)), arguments.units or default_units(case.typed)
    elif models[key].by_weather:
        remedy = "show the whole study, whose weather says when it is cold"
        raise InputError(Fault(f"prices.{key}", "a price goes by the outdoor temperature", remedy, arguments.file))
    print(
        text_tariff(
            models[key], key, calendar, sample_year(calendar, kwh), system, "a household in a plain shape", coin
        )
    )


def _tables_of(names: str) -> dict[str, Mapping[str, Any]]:
    """Price tables of each file named on the command line."""
    from costsim.study.tariff_file import read_price_tables

    return {name: read_price_tables(name) for name in names.split(",") if name}


def portfolio_tariffs(arguments: argparse.Namespace, case: Case, weather: Weather, settings: Mapping[str, Any]) -> None:
    """Run a portfolio under the tables of each file, beside the study's own, and say who wins."""
    from costsim.portfolio.tariffs import AS_TYPED, run_tariffs
    from costsim.views.text_tariff_shares import printed_shares

    tables = {AS_TYPED: {}, **_tables_of(arguments.tariffs)}
    print(printed_shares(run_tariffs(case, weather, arguments.homes, arguments.out, tables, **settings)))


def compare_tariffs(arguments: argparse.Namespace, case: Case, weather: Weather) -> None:
    """Which rate the house should be on: every option under the study's own tariff and those of the files."""
    from costsim.analysis import tariff_choice
    from costsim.views.text_tariff import text_tariffs

    tables = {"as typed": {}, **_tables_of(arguments.tariffs)}
    choice = tariff_choice.compare_tariffs(case, weather, tables)
    print_or_json(arguments, choice.as_json(), text_tariffs(choice))
