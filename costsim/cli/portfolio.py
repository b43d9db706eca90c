"""The command on many homes."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from costsim.cli import tariff as cli_tariff
from costsim.cli.commands import DEMO, command, default_units, units_argument, whole_number


def _portfolio_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "homes", help="table of homes, .csv, .xlsx or .parquet; headings say what a column holds, with its unit"
    )
    parser.add_argument("--study", default=DEMO, help=f"study that the columns override (default: {DEMO})")
    parser.add_argument("-o", "--out", required=True, metavar="FOLDER", help="folder for the results")
    parser.add_argument(
        "--block", type=whole_number(1, 1_000_000), default=4096, metavar="N", help="homes at a time (default: 4096)"
    )
    parser.add_argument("--threads", type=whole_number(1, 4096), metavar="N", help="this many threads of one process")
    parser.add_argument(
        "--peak-hours", default="17:00-20:00", help="the grid's hours on winter's weekdays (default: %(default)s)"
    )
    parser.add_argument(
        "--processes",
        type=whole_number(1, 4096),
        metavar="N",
        help="this many processes (default: one a processor for 5 blocks or more)",
    )
    parser.add_argument(
        "--tariffs",
        metavar="A.toml,B.toml",
        help="also run it under the price tables of each file: who wins, and how often",
    )
    units_argument(parser)
    parser.add_argument("--by", default="", metavar="COLUMN", help="totals by a column of your own, such as Utility")
    parser.add_argument(
        "--sizes",
        choices=("study", "load", "sold"),
        default="study",
        help="sources as large as the study's in every home, in the same proportion to each home's own load, or the next size over that"
        " which can be bought (default: study)",
    )
    parser.add_argument("--overwrite", action="store_true", help="delete what another run left in the folder")
    parser.add_argument("--scheduler", metavar="ADDRESS", help="compute on a Dask cluster, such as tcp://host:8786")


@command("portfolio", "compute a table of many homes: costs, who is cold, the coincident peak", _portfolio_arguments)
def portfolio(arguments: argparse.Namespace) -> None:
    """Run a study for every home of a table, block by block; the same command goes on where one was cut off."""
    from costsim import load_weather, read_study
    from costsim.portfolio.cluster import on_cluster
    from costsim.portfolio.homes import about_rows
    from costsim.portfolio.processes import on_processes
    from costsim.portfolio.run import run_portfolio
    from costsim.views.text_portfolio import Homes, printed_portfolio

    # the study's own tables are a tariff too
    tariffs = 1 + len(set(filter(None, arguments.tariffs.split(",")))) if arguments.tariffs else 1
    total = tariffs * about_rows(arguments.homes)
    case, homes = read_study(arguments.study), Homes(sys.stderr, total, tariffs=tariffs)
    system = arguments.units or default_units(case.typed)
    processes = 1 if arguments.threads and not arguments.processes else arguments.processes
    with on_cluster(arguments.scheduler) as far:
        settings: dict[str, Any] = {
            "block": arguments.block, "threads": arguments.threads, "peak_hours": arguments.peak_hours,
            "progress": homes.told, "compute": far or on_processes(processes),
            "system": system, "by": arguments.by, "overwrite": arguments.overwrite,
            "sizes": arguments.sizes,
        }  # fmt: skip
        if arguments.tariffs:
            cli_tariff.portfolio_tariffs(arguments, case, load_weather(case), settings)
        else:
            summary = run_portfolio(case, load_weather(case), arguments.homes, arguments.out, **settings)
    homes.done()
    if not arguments.tariffs:
        print(printed_portfolio(summary, arguments.out))
