"""The command that holds a study against what the meter said."""

from __future__ import annotations

import argparse
import shlex

from costsim.cli.commands import command, default_units, json_argument, print_or_json, units_argument
from costsim.cli.fit import how_to_read, reading_arguments
from costsim.errors import Fault, InputError


def _verify_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("study", help="study file, or the name of a built-in one")
    parser.add_argument("--bills", nargs="+", required=True, metavar="FILE", help="bills or readings, as for fit")
    parser.add_argument("--weather", nargs="+", required=True, metavar="FILE", help="weather of the bills' own days")
    reading_arguments(parser)
    parser.add_argument("--option", default="", metavar="NAME", help="the option that burned the fuel of the bills")
    parser.add_argument("--paid", default="", metavar="MONEY", help='what all the bills came to, such as "1850 $"')
    parser.add_argument("--retrofit", default="", metavar="DAY", help="first day after a retrofit, such as 2024-03-31")
    parser.add_argument("-o", "--out", metavar="FILE", help="write a recalibrated copy of the study")
    parser.add_argument("--overwrite", action="store_true", help="let -o replace a file")
    units_argument(parser)
    json_argument(parser)


@command("verify", "hold a study against bills: bias, scatter, causes, avoided use", _verify_arguments)
def verify_command(arguments: argparse.Namespace) -> None:
    """Compare predicted with metered use, and write a recalibrated study on request."""
    from costsim import load_weather, read_study, simulate
    from costsim.analysis.billed_source import billed_source
    from costsim.analysis.verify import as_json, the_one, verify
    from costsim.bills.read import read_all_temperatures, read_bills
    from costsim.engine.lower import lower_study
    from costsim.study.calibration import at_design, write_fitted
    from costsim.views.text_verify import printed_verification

    case = read_study(arguments.study)
    bills = the_one(read_bills(arguments.bills, how_to_read(arguments)), arguments.fuel)
    outdoor = at_design(read_all_temperatures(arguments.weather), case)
    weather = load_weather(case)
    source = billed_source(case, simulate(case, weather), bills.fuel, arguments.option)
    if source is None:
        what = f"no option of the study takes {bills.fuel.replace('_', ' ')}"
        raise InputError(Fault("--option", what, "give bills of a fuel that an option takes", case.file))
    paid = _money(arguments.paid) if arguments.paid else None
    found = verify(
        lower_study(case, weather), source, bills, outdoor, paid=paid, retrofit=arguments.retrofit, currency=case.currency
    )  # fmt: skip
    system = arguments.units or default_units(case.typed)
    if arguments.out:
        write_fitted(case, found.fit, arguments.out, system, overwrite=arguments.overwrite)
    text = printed_verification(found, system, case.currency, _next(arguments))
    print_or_json(arguments, as_json(found), text)


def _money(text: str) -> float:
    amount = text.strip().lstrip("$€£").rstrip("$€£ ").replace(",", "")
    try:
        value = float(amount)
    except ValueError:
        value = -1.0
    if not 0.0 < value < 1e9:
        raise InputError(Fault("--paid", f"'{text}' is no amount of money", 'write it like "1850 $"'))
    return value


def _next(arguments: argparse.Namespace) -> str:
    if arguments.out:
        return f"Next\n  costsim compare {shlex.quote(arguments.out)}"
    words = [arguments.study, "--bills", *arguments.bills, "--weather", *arguments.weather]
    line = " ".join(shlex.quote(word) for word in words)
    return f"Next: a study recalibrated to these bills\n  costsim verify {line} -o recalibrated.toml"
