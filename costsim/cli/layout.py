"""Commands from floor areas to a system: layout, and sizes off the shelf."""

from __future__ import annotations

import argparse

from costsim.cli.commands import command, default_units, json_argument, print_or_json, study_argument, units_argument


def _layout_arguments(parser: argparse.ArgumentParser) -> None:
    study_argument(parser)
    units_argument(parser)
    json_argument(parser)
    parser.add_argument("-o", "--out", metavar="FILE", help="write a copy of the study with the loops and pumps found")
    parser.add_argument("--overwrite", action="store_true", help="let -o replace a file")


@command("layout", "lay loops, pumps and thermostats into floors given by area", _layout_arguments)
def layout(arguments: argparse.Namespace) -> None:
    """Lay out the floor of a study, and write it into a copy on request."""
    from costsim import load_weather, read_study
    from costsim.analysis.layout import as_json
    from costsim.analysis.layout import layout as lay_out
    from costsim.analysis.layout_study import write_laid_out
    from costsim.views.text_layout import printed_layout

    case = read_study(arguments.study)
    found = lay_out(case, load_weather(case))
    system = arguments.units or default_units(case.typed)
    if arguments.out:
        write_laid_out(case, found, arguments.out, system, overwrite=arguments.overwrite)
    print_or_json(arguments, as_json(found), printed_layout(found, system))
