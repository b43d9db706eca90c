"""What the commands share: their registry, common arguments, and how results are written."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from typing import Any

from costsim.units.system import default_units as default_units

DEMO = "lantern_cottage"
COMMANDS: dict[str, tuple[Callable[[argparse.Namespace], None], Callable[[argparse.ArgumentParser], None], str]] = {}

EXIT_CODES = (
    "exit codes: 0 done; 2 something typed or read cannot be used, one line each on standard error; 130 stopped"
)
EXAMPLES = {
    "layout": "layout two_levels -o laid_out.toml --drawing system.svg",
    "select": "select two_levels",
    "bill": 'bill lantern_cottage --option "Natural gas"',
    "breakeven": "breakeven my_house.toml --units si",
    "capacity": "capacity net_loft",
    "check": "check my_house.toml",
    "compare": "compare my_house.toml --json results.json --hourly hours.csv",
    "completion": "completion bash > costsim.bash  # then: source costsim.bash",
    "dashboard": "dashboard --port 8600",
    "doctor": "doctor",
    "fit": "fit gas_bills.csv --weather greensboro.csv",
    "house": "house import walls.csv -o envelope.toml",
    "tariff": "tariff show lantern_cottage",
    "verify": "verify my_house.toml --bills gas_bills.csv --weather hours.csv",
    "foresight": "foresight net_loft",
    "init": "init my_house.toml --floor-area '1500 ft2' --weather greensboro.csv",
    "lifecycle": "lifecycle net_loft",
    "portfolio": "portfolio homes.csv --study valley_row -o results",
    "report": "report net_loft -o net_loft.pdf",
    "schema": "schema --markdown",
    "size": 'size net_loft --option "Electric and propane, the cheaper first" --source 2',
    "uncertainty": "uncertainty lantern_cottage",
    "weather": "weather show greensboro.csv",
    "winters": 'winters my_house.toml --weather hours_2010_2020.csv --warming "1.5 K" --warming-source "report, scenario"',
}


def command(name: str, about: str, arguments: Callable[[argparse.ArgumentParser], None]) -> Callable[[Any], Any]:
    """Register a command with one line about it and a function that adds its arguments."""

    def put(function: Callable[[argparse.Namespace], None]) -> Callable[[argparse.Namespace], None]:
        COMMANDS[name] = (function, arguments, about)
        return function

    return put


def add_command(commands: Any, name: str, about: str, example: str) -> argparse.ArgumentParser:
    """A parser of one command, or of one verb of it, whose help has a sentence, an example and the exit codes.

    Parameters
    ----------
    commands : subparsers action
        What `argparse.ArgumentParser.add_subparsers` gave.
    name, about, example : str
        As typed; what it does, without a full stop; a command line without ``costsim``.
    """
    sentence = about[0].upper() + about[1:] + "."
    parser: argparse.ArgumentParser = commands.add_parser(
        name, help=sentence, description=sentence, epilog=f"example:\n  costsim {example}\n\n{EXIT_CODES}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    return parser


def study_argument(parser: argparse.ArgumentParser) -> None:
    """Add the study, the first demo by default."""
    parser.add_argument(
        "study", nargs="?", default=DEMO, help=f"study file, or the name of a built-in one (default: {DEMO})"
    )


def units_argument(parser: argparse.ArgumentParser) -> None:
    """Add the choice of units."""
    parser.add_argument("--units", choices=("us", "si"), default=None, help="units of the printed results")


def whole_number(low: int, high: int) -> Callable[[str], int]:
    """A type for `argparse` that takes a whole number within limits and says which.

    Examples
    --------
    >>> whole_number(1, 65535)("8501")
    8501
    >>> whole_number(1, 65535)("99999")
    Traceback (most recent call last):
    argparse.ArgumentTypeError: '99999' is no whole number from 1 to 65,535
    """

    def read(text: str) -> int:
        number = int(text) if text.isascii() and text.removeprefix("-").isdigit() and len(text) < 20 else low - 1
        if not low <= number <= high:
            raise argparse.ArgumentTypeError(f"'{text}' is no whole number from {low:,} to {high:,}")
        return number

    return read


def host_name(text: str) -> str:
    """A type for `argparse` that takes the name under which a server is reached, without a port or a scheme.

    Examples
    --------
    >>> host_name("Heat.example.org")
    'heat.example.org'
    >>> host_name("https://heat.example.org")
    Traceback (most recent call last):
    argparse.ArgumentTypeError: 'https://heat.example.org' is no host name; write it like heat.example.org
    """
    labels = text.split(".")
    letters = all(label and label.isascii() and label.replace("-", "").isalnum() for label in labels)
    if not letters or len(text) > 253 or text.replace(".", "").isdigit():
        raise argparse.ArgumentTypeError(f"'{text}' is no host name; write it like heat.example.org")
    return text.lower()


def json_argument(parser: argparse.ArgumentParser) -> None:
    """Add the JSON file."""
    parser.add_argument("--json", metavar="FILE", help="write the results as JSON; - for standard output")


def write_json(content: Any, target: str) -> None:
    """Write plain data as JSON into a file, or to standard output for ``-``."""
    text = json.dumps(content, indent=2, ensure_ascii=False)
    if target == "-":
        print(text)
    else:
        from costsim.files import write_text

        write_text(target, text + "\n")


def print_or_json(arguments: argparse.Namespace, content: Any, text: str) -> None:
    """Print the text unless JSON goes to standard output; write the JSON where it is asked for."""
    if arguments.json:
        write_json(content, arguments.json)
    if arguments.json != "-":
        print(text)


def progress() -> Callable[[float], None] | None:
    """A bar on standard error, where somebody is there to see it."""
    if not sys.stderr.isatty():
        return None

    def told(share: float) -> None:
        done = round(30 * share)
        end = "\n" if share >= 1.0 else ""
        print(f"\r[{'=' * done}{' ' * (30 - done)}] {share:4.0%}", end=end, file=sys.stderr, flush=True)

    return told
