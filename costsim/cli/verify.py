"""The command that holds a study against what the meter said."""

from __future__ import annotations

import argparse
import shlex

from costsim.cli.commands import command, default_units, json_argument, print_or_json, units_argument
from costsim.cli.fit import how_to_read, reading_arguments


def _verify_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("study", help="study file, or the name of a built-in one")
    parser.add_argument("--bills", nargs="+", required=True, metavar="FILE", help="bills or readings, as for fit")
    parser.add_argument("--weather", nargs="+", required=True, metavar="FILE", help="weather of the bills' own days")
    reading_arguments(parser)
    parser.add_argument("--option", default="", metavar="NAME", help="the option that burned the fuel of the bills")
    parser.add_argument("--efficiency", default="", metavar="SHARE", help='of the heater, such as "80 %% to 90 %%"')
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
    from costsim.analysis.last_winter import against_bills, amount_paid
    from costsim.analysis.verify import as_json, the_one
    from costsim.bills.read import read_all_temperatures, read_bills
    from costsim.study.calibration import write_fitted
    from costsim.views.text_verify import printed_verification
    from costsim.weather.columns import mapping_of

    paid = amount_paid(arguments.paid)
    case = read_study(arguments.study)
    bills = the_one(read_bills(arguments.bills, how_to_read(arguments)), arguments.fuel)
    outdoor, result = (
        read_all_temperatures(arguments.weather, mapping_of(arguments.map), arguments.station),
        simulate(case, load_weather(case)),
    )
    verification = against_bills(
        case, result, bills, outdoor,
        option=arguments.option, paid=paid, retrofit=arguments.retrofit, efficiency=arguments.efficiency,
    )  # fmt: skip
    system = arguments.units or default_units(case.typed)
    if arguments.out:
        write_fitted(case, verification.fit, arguments.out, system, overwrite=arguments.overwrite)
    text = printed_verification(verification, system, case, _next(arguments))
    print_or_json(arguments, as_json(verification), text)


def _next(arguments: argparse.Namespace) -> str:
    if arguments.out:
        return f"Next\n  costsim compare {shlex.quote(arguments.out)}"
    from costsim.views.text_fit import reading_words

    words = [arguments.study, "--bills", *arguments.bills, "--weather", *arguments.weather, *reading_words(arguments)]
    words += ["--option", arguments.option] if arguments.option else []
    words += ["--efficiency", arguments.efficiency] if arguments.efficiency else []
    line = " ".join(shlex.quote(word) for word in words)
    return f"Next: a study recalibrated to these bills\n  costsim verify {line} -o recalibrated.toml"
