"""The command that writes a report to sign."""

from __future__ import annotations

import argparse

from costsim.cli.commands import command, default_units, study_argument, units_argument


def _report_arguments(parser: argparse.ArgumentParser) -> None:
    study_argument(parser)
    parser.add_argument("-o", "--out", required=True, metavar="FILE", help="file for the report, .pdf or .html")
    parser.add_argument(
        "--for", dest="reader", default="installer", choices=("installer", "household"), help="who reads and signs it"
    )
    parser.add_argument("--paper", default="", choices=("letter", "a4"), help="by the study's currency where not said")
    parser.add_argument("--option", default="", help="the option to sign; the one that the answer names if not said")
    parser.add_argument(
        "--short",
        action="store_true",
        help="the page to sign with its drawing and cautions, and a summary of the sheet",
    )
    units_argument(parser)


@command("report", "write a page to sign and a calculation sheet, as PDF or HTML", _report_arguments)
def report(arguments: argparse.Namespace) -> None:
    """Write the report of a study; an existing file of that name is replaced."""
    from costsim import load_weather, read_study
    from costsim.report.write import form_of, note_on_letters, write_report

    form_of(arguments.out)
    case = read_study(arguments.study)
    system = arguments.units or default_units(case.typed)
    written = write_report(
        case, load_weather(case), arguments.out, system, reader=arguments.reader, paper=arguments.paper,
        option=arguments.option, short=arguments.short,
    )  # fmt: skip
    what = "a page to sign and a summary" if arguments.short else "a page to sign and a calculation sheet"
    print(f"{arguments.out}: {what}{note_on_letters(written, arguments.out)}")
