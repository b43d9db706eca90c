"""``costsim winters``: a study in every winter of a record."""

from __future__ import annotations

import argparse

from costsim.cli.commands import (
    command,
    default_units,
    json_argument,
    print_or_json,
    progress,
    study_argument,
    units_argument,
)


def _winters_arguments(parser: argparse.ArgumentParser) -> None:
    from costsim.cli.weather import reading_arguments

    study_argument(parser)
    parser.add_argument(
        "--weather", nargs="+", default=[], metavar="FILE",
        help="hourly downloads of one place over several years (default: the study's uncertainty.weather)",
    )  # fmt: skip
    parser.add_argument(
        "--warming",
        metavar="KELVIN",
        help='added to every hour: one value such as "1.5 K", or twelve separated by commas',
    )
    parser.add_argument(
        "--warming-source", default="", metavar="TEXT", help="where the warming comes from; needed with it"
    )
    reading_arguments(parser)
    units_argument(parser)
    json_argument(parser)


@command(
    "winters",
    "compute a study in every winter of a record: cost and unmet hours, the 1-in-10 and the worst",
    _winters_arguments,
)
def winters(arguments: argparse.Namespace) -> None:
    """Print the table of winters."""
    from costsim import read_study
    from costsim.analysis.winters import as_json, named_winters, read_warming
    from costsim.analysis.winters import winters as compute
    from costsim.cli.weather import read_records
    from costsim.views.text_winters import printed_winter_table
    from costsim.weather.join import joined
    from costsim.weather.year_weather import winters_of

    warming = read_warming(arguments.warming, arguments.warming_source)
    case = read_study(arguments.study)
    files = arguments.weather
    named = winters_of(joined(read_records(files, arguments)), files[0]) if files else named_winters(case)
    table = compute(case, named, warming=warming, progress=progress())
    print_or_json(arguments, as_json(table), printed_winter_table(table, arguments.units or default_units(case.typed)))
