"""The command on bills: from files to the house they show, and into a copy of a study."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from costsim.cli.commands import command, default_units, json_argument, print_or_json, units_argument

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from costsim.bills.fit import Efficiency
    from costsim.bills.read import HowToRead
    from costsim.study.case import Case


def _fit_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "bills",
        nargs="+",
        help="bills, deliveries or meter readings: CSV, Green Button XML, or a ZIP of them; files of one fuel are joined",
    )
    parser.add_argument("--weather", nargs="+", metavar="FILE", help="weather of the bills' days, or a typical year")
    reading_arguments(parser)
    parser.add_argument("--efficiency", default="", metavar="SHARE", help='of a season, such as "80 %% to 90 %%"')
    parser.add_argument("--study", help="study whose design temperature counts; and its weather, if none is given")
    parser.add_argument("--option", default="", metavar="NAME", help="the study's option that burned these bills")
    parser.add_argument("-o", "--out", metavar="FILE", help="write a copy of the study with the house found")
    parser.add_argument("--overwrite", action="store_true", help="let -o replace a file")
    units_argument(parser)
    json_argument(parser)


def reading_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what a person says where files of bills or readings leave it open."""
    parser.add_argument("--fuel", default="", help="the fuel, where the file does not tell it")
    parser.add_argument("--unit", default="", help="the unit of the amounts, such as therm, CCF, m3, gal or kWh")
    parser.add_argument("--heat", default="", metavar="CONTENT", help='heat content, such as "1.03 therm/CCF"')
    parser.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="HEADING",
        help="the column of use; given again, columns are added up",
    )
    parser.add_argument("--meter", default="", metavar="NAME", help="the meter to read, where a file holds several")
    parser.add_argument("--dates", default="", choices=("start", "end"), help="what a single date of a bill is")
    order = ("mdy", "dmy", "ymd")
    parser.add_argument(
        "--date-order", default="", choices=order, help="order of month, day and year in dates such as 3/4/2024"
    )
    parser.add_argument(
        "--away", action="append", default=[], metavar="DAY",
        help='leave out the bills of days on which nobody was at home, such as "Dec 24, 2024" or "2024-12-20 to 2025-01-05"',
    )  # fmt: skip
    parser.add_argument("--zone", default="", metavar="NAME", help="the house's clock, such as America/Chicago")
    parser.add_argument("--utc", action="store_true", help="times of a table are in UTC")
    parser.add_argument("--station", default="", metavar="NAME", help="which station of a weather table to take")
    parser.add_argument(
        "--map", action="append", default=[], metavar="NAME=HEADING [UNIT]",
        help='column of a weather table that no service is known for, such as "temp=TMP [degF]"; also time, date, low, high',
    )  # fmt: skip


def how_to_read(arguments: argparse.Namespace) -> HowToRead:
    """Say how files are to be read, from the command line."""
    from costsim.bills.read import HowToRead

    return HowToRead(
        arguments.fuel,
        arguments.unit,
        arguments.heat,
        tuple(arguments.column),
        arguments.meter,
        arguments.dates,
        arguments.zone,
        arguments.utc,
        arguments.date_order,
        tuple(arguments.away),
    )


@command("fit", "find a house's heat loss and balance point from its bills", _fit_arguments)
def fit(arguments: argparse.Namespace) -> None:
    """Fit the house to its bills, and write it into a copy of a study on request."""
    from costsim import read_study
    from costsim.bills.fit import read_efficiency
    from costsim.bills.house import as_json
    from costsim.bills.read import read_bills
    from costsim.errors import InputError, together
    from costsim.study.calibration import fit_files, one_of, write_fitted
    from costsim.views.text_fit import printed_fit
    from costsim.weather.columns import mapping_of

    how = how_to_read(arguments)

    def opened(rest: Callable[[], object]) -> tuple[Case | None, Mapping[str, tuple[str, str]]]:
        return together(
            lambda: read_study(arguments.study) if arguments.study else None, lambda: mapping_of(arguments.map), rest
        )[:2]

    try:
        case, mapping = opened(lambda: None)
    except InputError:  # the faults of the bills are told with those of the study
        share = arguments.efficiency
        opened(
            lambda: together(lambda: read_bills(arguments.bills, how), lambda: share and read_efficiency(share), bool)
        )
        raise

    def efficiency_of(fuel: str) -> Efficiency | None:
        """Take that of the option which burned the bills, over the study's season."""
        from costsim import load_weather, simulate
        from costsim.analysis.billed_source import season_efficiency

        if case is None:
            return None
        return season_efficiency(case, simulate(case, load_weather(case)), fuel, arguments.option)

    fits = fit_files(
        arguments.bills, arguments.weather or [], case, how=how, efficiency=arguments.efficiency,
        efficiency_of=efficiency_of, mapping=mapping, station=arguments.station,
    )  # fmt: skip
    system = arguments.units or default_units(case.typed if case else {})
    if arguments.out:
        write_fitted(case, one_of(fits), arguments.out, system, overwrite=arguments.overwrite)
    pages = [printed_fit(house_fit, system, arguments, case) for house_fit in fits]
    print_or_json(arguments, [as_json(house_fit) for house_fit in fits], "\n\n\n".join(pages))
