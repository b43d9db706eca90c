"""Commands on weather: look at a file, convert downloads, make a year or a severe winter, and judge winters."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from costsim.cli import winters as cli_winters
from costsim.cli.commands import add_command, command, json_argument, print_or_json, units_argument, whole_number

if TYPE_CHECKING:
    from costsim.weather.record import Record
    from costsim.weather.report import WeatherReport

__all__ = ["VERBS", "cli_winters", "read_records"]

Verb = tuple[Callable[[argparse.Namespace], None], Callable[[argparse.ArgumentParser], None], str]
VERBS: dict[str, Verb] = {}
EXAMPLES = {
    "show": "weather show greensboro.csv --units us",
    "convert": 'weather convert 2015.csv 2016.csv -o year.csv --year 2016 --map "temp=TMP [degF/10]" --map "time=WHEN"',
    "synthesize": 'weather synthesize "Duluth, MN" -o duluth.csv',
    "severe-winter": "weather severe-winter greensboro.csv -o hard_winter.csv",
    "history": "weather history hours_2010_2020.csv",
}


def verb(name: str, about: str, arguments: Callable[[argparse.ArgumentParser], None]) -> Callable[[Any], Any]:
    """Register ``costsim weather NAME``."""

    def put(function: Callable[[argparse.Namespace], None]) -> Callable[[argparse.Namespace], None]:
        VERBS[name] = (function, arguments, about)
        return function

    return put


def _weather_arguments(parser: argparse.ArgumentParser) -> None:
    verbs = parser.add_subparsers(dest="verb", required=True, metavar="VERB")
    for name, (_, arguments, about) in VERBS.items():
        arguments(add_command(verbs, name, about, EXAMPLES[name]))


@command(
    "weather",
    "look at, convert, make and judge weather files: show, convert, synthesize, severe-winter, history",
    _weather_arguments,
)
def weather(arguments: argparse.Namespace) -> None:
    """Run one of the verbs."""
    VERBS[arguments.verb][0](arguments)


IN_THE_US = (
    (24.4, 49.1, -125.0, -95.2), (24.4, 46.5, -95.2, -83.2), (24.4, 43.0, -83.2, -76.0), (24.4, 45.1, -76.0, -71.4),
    (24.4, 47.5, -71.4, -66.9), (51.0, 71.5, -180.0, -141.0), (18.9, 22.3, -160.3, -154.7),
)  # fmt: skip
"""Boxes of latitude and longitude that hold the US and little else."""


def usual_units(report: WeatherReport) -> str:
    """Units in which people of a place read its weather, where nobody says which."""
    at, east = report.latitude_deg, report.longitude_deg
    there = any(low <= at <= high and left <= east <= right for low, high, left, right in IN_THE_US)
    return "us" if there else "si"


def reading_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what a person says where files of weather leave it open."""
    parser.add_argument(
        "--map", action="append", default=[], metavar="NAME=HEADING [UNIT]",
        help='column of a table that no service is known for, such as "temp=TMP [degF/10]"; also time, date, hour, low, high,'
        " ghi, dni, dhi, wind; give it again for each",
    )  # fmt: skip
    parser.add_argument(
        "--unit", default="", help="unit of the temperatures where the file does not state it, such as degF"
    )
    parser.add_argument("--station", default="", help="which station to take, where a file holds several")


def _place_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--latitude", type=float, metavar="DEG", help="of the place, where the file does not state it")
    parser.add_argument(
        "--longitude", type=float, metavar="DEG", help="east positive, where the file does not state it"
    )
    parser.add_argument("--altitude", type=float, metavar="M", help="in meters, where the file does not state it")
    parser.add_argument("--utc-offset", type=float, metavar="H", help="of the place's standard time, such as -6")


def read_records(files: Sequence[str], arguments: argparse.Namespace) -> list[tuple[str, Record]]:
    """Read files as the arguments say; the faults of all of them at once.

    Raises
    ------
    InputError
        A file cannot be read.
    """
    from costsim.errors import Fault, InputError
    from costsim.weather import find_weather
    from costsim.weather.columns import mapping_of
    from costsim.weather.join import placed
    from costsim.weather.plain_csv import bound_faults
    from costsim.weather.readers import read_record

    mapping = mapping_of(getattr(arguments, "map", []))
    unit, station = getattr(arguments, "unit", ""), getattr(arguments, "station", "")
    place = {
        "latitude_deg": getattr(arguments, "latitude", None),
        "longitude_deg": getattr(arguments, "longitude", None),
        "altitude_m": getattr(arguments, "altitude", None),
        "utc_offset_h": getattr(arguments, "utc_offset", None),
    }
    faults: list[Fault] = bound_faults({key: value for key, value in place.items() if value is not None}, "")
    records = []
    for name in files:
        try:
            record = read_record(find_weather(name), mapping=mapping, unit=unit, station=station)
            records.append((name, placed(record, **place)))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return records


def _show_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", help="any weather file, or the name of a built-in sample")
    parser.add_argument("--year", type=int, metavar="N", help="calendar year, of a file with several")
    reading_arguments(parser)
    _place_arguments(parser)
    units_argument(parser)
    json_argument(parser)


@verb("show", "look at a weather file: place, gaps, sun, degree-days, cold hours", _show_arguments)
def show(arguments: argparse.Namespace) -> None:
    """Print what a weather file holds."""
    from costsim.views.text_weather import printed_weather
    from costsim.weather.join import one_year
    from costsim.weather.report import as_json, report

    summary = report(one_year(read_records([arguments.file], arguments), arguments.year))
    print_or_json(arguments, as_json(summary), printed_weather(summary, arguments.units or usual_units(summary)))


def _convert_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="+", help="downloads of one place, of one or several years")
    parser.add_argument("-o", "--out", required=True, metavar="FILE", help="weather file to write (.csv)")
    parser.add_argument("--year", type=int, metavar="N", help="calendar year to write (default: the last whole one)")
    reading_arguments(parser)
    _place_arguments(parser)
    units_argument(parser)


@verb("convert", "turn any service's download into a year of hours that studies read", _convert_arguments)
def convert(arguments: argparse.Namespace) -> None:
    """Write one year out of one or several files, and print what it holds."""
    from costsim.files import write_text
    from costsim.views.text_weather import printed_weather
    from costsim.weather.join import one_year
    from costsim.weather.report import report
    from costsim.weather.write import weather_csv

    year = one_year(read_records(arguments.files, arguments), arguments.year)
    write_text(arguments.out, weather_csv(year, 2))
    summary = report(year)
    print(printed_weather(summary, arguments.units or usual_units(summary)))


def _synthesize_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "means",
        help="CSV of twelve monthly means, with the place in lines '# latitude: 47.0', or a US town such as 'Duluth, MN'",
    )
    parser.add_argument("-o", "--out", required=True, metavar="FILE", help="weather file to write (.csv)")
    parser.add_argument(
        "--cold",
        default="",
        metavar="T",
        help='99%% design temperature of a town, such as "-5 °F", where none is known',
    )
    parser.add_argument(
        "--seed",
        type=whole_number(0, 2**63 - 1),
        default=1,
        metavar="N",
        help="another seed, another year (default: 1)",
    )
    units_argument(parser)


@verb("synthesize", "make a year of weather from monthly means, labeled synthetic", _synthesize_arguments)
def synthesize(arguments: argparse.Namespace) -> None:
    """Synthesize a year and print what it holds."""
    from costsim.files import write_text
    from costsim.views.text_weather import printed_weather
    from costsim.weather import synthesis
    from costsim.weather.means import means_of
    from costsim.weather.report import report
    from costsim.weather.towns import towns
    from costsim.weather.write import weather_csv

    made = synthesis.synthesize(**means_of(arguments.means, arguments.cold), seed=arguments.seed)
    write_text(arguments.out, weather_csv(made))
    summary = report(made)
    units = arguments.units or ("us" if made.title in towns() else usual_units(summary))
    print(printed_weather(summary, units))


def _severe_winter_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="+", help="weather files of several years, or one typical year")
    parser.add_argument("-o", "--out", required=True, metavar="FILE", help="weather file to write (.csv)")
    reading_arguments(parser)
    units_argument(parser)


@verb(
    "severe-winter",
    "write the one-in-ten winter of several years, or a typical year made that much colder",
    _severe_winter_arguments,
)
def severe_winter(arguments: argparse.Namespace) -> None:
    """Choose or make a severe winter and print the degree-days."""
    from costsim.files import write_text
    from costsim.views.text_weather import printed_winters
    from costsim.weather.join import years_of_files
    from costsim.weather.winters import colder, hard_winter
    from costsim.weather.write import weather_csv

    years = years_of_files([(name, record) for name, record in read_records(arguments.files, arguments)])
    chosen = hard_winter(years) if len(years) > 1 else colder(years[0])
    write_text(arguments.out, weather_csv(chosen))
    print(printed_winters(years, chosen, arguments.units or "si"))


def _history_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="+", help="hourly downloads of one place over several years")
    reading_arguments(parser)
    _place_arguments(parser)
    units_argument(parser)
    json_argument(parser)


@verb("history", "show how cold each winter of a record was, and how unusual the last one", _history_arguments)
def history(arguments: argparse.Namespace) -> None:
    """Put the winters of a record side by side."""
    from costsim.errors import Fault, InputError
    from costsim.views.text_winters import printed_history
    from costsim.weather.history import history_json, how_unusual, left_out, winters_from
    from costsim.weather.join import joined
    from costsim.weather.year_weather import winters_of

    named = winters_of(joined(read_records(arguments.files, arguments)), arguments.files[0])
    winters = winters_from(named)
    if not winters:
        remedy = "give hourly files that reach from July of one year to June of the next (south of the equator: a calendar year)"
        raise InputError(Fault("", "holds no whole winter", remedy, arguments.files[0]))
    unusual, why = None, ""
    try:
        unusual = how_unusual(winters)
    except InputError as error:
        why = f"How unusual the last winter was cannot be said: {error}."
    why = "\n\n".join(part for part in (left_out(named), why) if part)
    text = printed_history(winters, unusual, why, arguments.units or "si")
    print_or_json(arguments, history_json(winters, unusual), text)
