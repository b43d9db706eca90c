"""Commands on weather alone: look at a file, make a year from monthly means, make a hard winter."""

from __future__ import annotations

import argparse

from costsim.cli.commands import command, json_argument, print_or_json, units_argument


def _weather_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", help="EPW, TMY3 or CSV file, or the name of a built-in sample")
    units_argument(parser)
    json_argument(parser)


@command("weather", "look at a weather file: place, gaps, sun, degree-days, cold hours", _weather_arguments)
def weather(arguments: argparse.Namespace) -> None:
    """Print what a weather file holds."""
    from costsim.views.text_weather import printed_weather
    from costsim.weather import find_weather, read_weather
    from costsim.weather.report import as_json, report

    found = report(read_weather(find_weather(arguments.file)))
    print_or_json(arguments, as_json(found), printed_weather(found, arguments.units or "si"))


def _year_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("means", help="CSV of twelve monthly means, with the place in lines '# latitude: 47.0'")
    parser.add_argument("-o", "--out", required=True, metavar="FILE", help="weather file to write (.csv)")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="another seed, another year (default: 1)")
    units_argument(parser)


@command("year", "make a year of weather from monthly means, labelled synthetic", _year_arguments)
def year(arguments: argparse.Namespace) -> None:
    """Synthesise a year and print what it holds."""
    from costsim.files import write_text
    from costsim.views.text_weather import printed_weather
    from costsim.weather.means import read_means
    from costsim.weather.report import report
    from costsim.weather.synthesis import synthesise
    from costsim.weather.write import weather_csv

    made = synthesise(**read_means(arguments.means), seed=arguments.seed)
    write_text(arguments.out, weather_csv(made))
    print(printed_weather(report(made), arguments.units or "si"))


def _winter_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="+", help="weather files of several years, or one typical year")
    parser.add_argument("-o", "--out", required=True, metavar="FILE", help="weather file to write (.csv)")
    units_argument(parser)


@command(
    "winter",
    "write a hard winter: the one-in-ten of several years, or a typical year made that much colder",
    _winter_arguments,
)
def winter(arguments: argparse.Namespace) -> None:
    """Choose or make a hard winter and print the degree-days."""
    from costsim.files import write_text
    from costsim.views.text_weather import printed_winters
    from costsim.weather import find_weather, read_weather
    from costsim.weather.winters import colder, hard_winter
    from costsim.weather.write import weather_csv

    years = [read_weather(find_weather(name)) for name in arguments.files]
    chosen = hard_winter(years) if len(years) > 1 else colder(years[0])
    write_text(arguments.out, weather_csv(chosen))
    print(printed_winters(years, chosen, arguments.units or "si"))
