"""The command line: glue between what was typed and the library. Faults become plain lines and exit code 2."""

from __future__ import annotations

import argparse
import functools
import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from costsim import __version__
from costsim.cli import others
from costsim.cli import tariff as cli_tariff
from costsim.cli.commands import (
    COMMANDS,
    EXAMPLES,
    EXIT_CODES,
    add_command,
    command,
    default_units,
    host_name,
    json_argument,
    print_or_json,
    progress,
    study_argument,
    units_argument,
    whole_number,
    write_json,
)
from costsim.errors import CostsimError, reason

__all__ = ["cli_tariff", "main", "others"]

LOOPBACK = ("localhost", "127.0.0.1", "::1")
"""Names of this machine; another name in a request is that of a page which points its own at us."""


def _compare_arguments(parser: argparse.ArgumentParser) -> None:
    study_argument(parser)
    units_argument(parser)
    json_argument(parser)
    parser.add_argument("--hourly", metavar="FILE", help="write every hour to a .parquet, .csv or .xlsx file")
    parser.add_argument(
        "--tariffs", metavar="A.toml,B.toml", help="run every option under the price tables of each file"
    )


@command("compare", "compare the options of a study over a year", _compare_arguments)
def compare(arguments: argparse.Namespace) -> None:
    """Run a study and print answer, table, assumptions and what to do next."""
    from costsim import load_weather, read_study, simulate
    from costsim.views.result_json import as_json
    from costsim.views.tables import write_hourly
    from costsim.views.text_season import text_comparison

    case = read_study(arguments.study)
    weather = load_weather(case)
    if arguments.tariffs:
        cli_tariff.compare_tariffs(arguments, case, weather)
        return
    result = simulate(case, weather)
    system = arguments.units or default_units(case.typed)
    if arguments.hourly:
        write_hourly(result, arguments.hourly, system)
    if arguments.json:
        write_json(as_json(result), arguments.json)
    if arguments.json != "-":
        from costsim.views.headline import headline

        said = headline(case, weather, result, system, at_once=True)
        print(text_comparison(case, result, system, arguments.study, said))


def _check_arguments(parser: argparse.ArgumentParser) -> None:
    study_argument(parser)
    units_argument(parser)


@command("check", "validate a study and print the case as understood", _check_arguments)
def check(arguments: argparse.Namespace) -> None:
    """Validate a study and print it as understood."""
    from costsim import load_weather, read_study
    from costsim.views.text_season import printed_case
    from costsim.views.wording import for_reader

    case = read_study(arguments.study)
    system = arguments.units or default_units(case.typed)
    print(for_reader(printed_case(case, load_weather(case), system), system))


def _json_arguments(parser: argparse.ArgumentParser) -> None:
    _check_arguments(parser)
    json_argument(parser)


@command(
    "capacity",
    "show what each source really gives, what happens if it fails, and whether a program is open",
    _json_arguments,
)
def cold(arguments: argparse.Namespace) -> None:
    """Look closer at capacities, loops, failures and eligibility."""
    from costsim import load_weather, read_study
    from costsim.analysis.capacity import as_json, capacity_report
    from costsim.views.text_capacity import printed_capacity

    case = read_study(arguments.study)
    report = capacity_report(case, load_weather(case))
    print_or_json(arguments, as_json(report), printed_capacity(report, arguments.units or default_units(case.typed)))


@command("uncertainty", "show how sure the answer is, by correlated scenarios", _json_arguments)
def uncertainty(arguments: argparse.Namespace) -> None:
    """Draw load, prices, winters and efficiencies, and print bands and probabilities."""
    from costsim import load_weather, read_study
    from costsim.analysis.uncertainty import as_json
    from costsim.analysis.uncertainty import uncertainty as compute
    from costsim.views.text_uncertainty import printed_uncertainty

    case = read_study(arguments.study)
    result = compute(case, load_weather(case), progress=progress())
    print_or_json(arguments, as_json(result), printed_uncertainty(case, result, default_units(case.typed)))


@command("breakeven", "show at which price of each fuel the answer turns", _json_arguments)
def breakeven(arguments: argparse.Namespace) -> None:
    """Find the prices at which two options cost the same."""
    from costsim import load_weather, read_study
    from costsim.analysis.breakeven import as_json, breakeven_prices
    from costsim.views.text_uncertainty import printed_breakeven

    case = read_study(arguments.study)
    turns = breakeven_prices(case, load_weather(case))
    print_or_json(
        arguments, as_json(turns), printed_breakeven(case, turns, arguments.units or default_units(case.typed))
    )


@command("lifecycle", "show money over years: life-cycle cost, payback, savings-to-investment ratio", _json_arguments)
def years(arguments: argparse.Namespace) -> None:
    """Spread the options' costs over years."""
    from costsim import load_weather, read_study, simulate
    from costsim.analysis import decision
    from costsim.analysis.lifecycle import as_json, life_cycle
    from costsim.views.text_decision import text_decision
    from costsim.views.text_uncertainty import printed_lifecycle

    case = read_study(arguments.study)
    weather = load_weather(case)
    result = simulate(case, weather)
    outlays, steps = life_cycle(case, result)
    verdict = decision.decide(case, weather, outlays)
    running = {outlay.option: outlay.running for outlay in outlays}
    text = f"{printed_lifecycle(case, outlays, steps)}\n\n{text_decision(case, verdict, running)}"
    print_or_json(arguments, as_json(outlays, steps) | {"decision": decision.as_json(verdict)}, text)


@command("foresight", "show what a perfect controller would save against each option's rule", _json_arguments)
def foresight(arguments: argparse.Namespace) -> None:
    """Solve the least-cost year of every option."""
    from costsim import load_weather, read_study
    from costsim.analysis.foresight import controller_gap
    from costsim.engine.lower import lower_study
    from costsim.views.text_uncertainty import printed_foresight

    case = read_study(arguments.study)
    common = lower_study(case, load_weather(case))
    gaps = [controller_gap(common, option) for option in case.options]
    content = [
        {"option": gap.option, "rule_cost": gap.rule_cost, "best_cost": gap.best_cost, "saving": gap.saving}
        for gap in gaps
    ]
    print_or_json(arguments, content, printed_foresight(case, gaps))


def _bill_arguments(parser: argparse.ArgumentParser) -> None:
    _json_arguments(parser)
    parser.add_argument("--option", help="name of the option (default: the first)")


@command("bill", "print every line of an option's bills, to check with a pencil", _bill_arguments)
def bill(arguments: argparse.Namespace) -> None:
    """Print the bills of one option."""
    from costsim import load_weather, read_study, simulate
    from costsim.analysis.sizing import named_option
    from costsim.views.result_json import bills_json
    from costsim.views.text_uncertainty import printed_bill

    case = read_study(arguments.study)
    option = named_option(case, arguments.option or case.options[0].name)
    year = simulate(case, load_weather(case)).option(option.name)
    print_or_json(arguments, bills_json(year), printed_bill(case, year, arguments.units or default_units(case.typed)))


def _size_arguments(parser: argparse.ArgumentParser) -> None:
    _bill_arguments(parser)
    parser.add_argument(
        "--what", choices=("output", "breaker", "tank", "area"), default="output", help="what to size (default: output)"
    )
    parser.add_argument(
        "--source",
        type=whole_number(1, 3),
        default=1,
        metavar="N",
        help="which source of the option, from 1 (default: 1)",
    )
    parser.add_argument(
        "--hours", type=whole_number(0, 8784), default=0, metavar="N", help="unmet hours that are borne (default: 0)"
    )


@command(
    "size",
    "find the smallest source, breaker or tank that keeps the house warm, or sweep collector areas",
    _size_arguments,
)
def size(arguments: argparse.Namespace) -> None:
    """Search on the simulation itself."""
    from costsim import load_weather, read_study
    from costsim.analysis import collector_sweep, sizing
    from costsim.views.text_sizing import printed_collector, printed_size

    case = read_study(arguments.study)
    weather, system = load_weather(case), arguments.units or default_units(case.typed)
    option = sizing.named_option(case, arguments.option or case.options[0].name).name
    if arguments.what == "area":
        steps = collector_sweep.marginal_collector_area(
            case, weather, option=option, areas_m2=collector_sweep.sweep_areas_m2(case, option)
        )
        print_or_json(arguments, collector_sweep.as_json(steps), printed_collector(case, steps, system))
    else:
        smallest_size = sizing.smallest(
            case, weather, option=option, what=arguments.what, source=arguments.source - 1, hours=arguments.hours
        )
        print_or_json(arguments, sizing.as_json(smallest_size), printed_size(case, smallest_size, system))


def _schema_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--markdown", action="store_true", help="print the reference of all keys as Markdown instead")


@command("schema", "print the JSON Schema of study files, for editors, or the reference of all keys", _schema_arguments)
def schema(arguments: argparse.Namespace) -> None:
    """Print the JSON Schema or the reference."""
    from costsim.study.case import Case

    if arguments.markdown:
        from costsim.views.reference import study_reference

        print(study_reference())
        return
    write_json(Case.model_json_schema(by_alias=True), "-")


def _dashboard_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--port", type=whole_number(1, 65_535), default=8501, help="port on this machine (default: 8501)"
    )
    parser.add_argument(
        "--host-name", action="append", default=[], type=host_name, metavar="NAME",
        help="a further name under which a proxy on this machine serves it to others; see the README's cautions first",
    )  # fmt: skip


@command("dashboard", "open the dashboard in a browser, on this machine only", _dashboard_arguments)
def dashboard(arguments: argparse.Namespace) -> None:
    """Start Streamlit on the loopback address."""
    from streamlit.web import cli as streamlit_cli

    script = Path(__file__).parents[1] / "dashboard" / "server.py"
    options = {
        "server.address": "localhost",
        "server.port": arguments.port,
        "server.fileWatcherType": "none",
        "client.toolbarMode": "minimal",
        "client.showErrorDetails": "none",
        "client.showErrorLinks": "false",
        "browser.gatherUsageStats": "false",
        "server.maxUploadSize": 50,
        "server.allowedHosts": [*LOOPBACK, *arguments.host_name],
        "server.corsAllowedOrigins": [f"https://{name}" for name in arguments.host_name],
        "theme.light.primaryColor": "#00537f",
        "theme.light.textColor": "#101010",
        "theme.dark.primaryColor": "#7cc4f5",
        "theme.dark.textColor": "#fafafa",
    }
    sys.argv = [
        "streamlit",
        "run",
        str(script),
        *(f"--{key}={flag_value}" for key, value in options.items() for flag_value in _each(value)),
    ]
    sys.exit(streamlit_cli.main())


def _each(value: object) -> list[object]:
    return value if isinstance(value, list) else [value]


@functools.cache
def parser_of_commands() -> argparse.ArgumentParser:
    """Put the commands together, each with its arguments and an example."""
    parser = argparse.ArgumentParser(
        prog="costsim", description="What warm-water heating really costs, and when it falls short.", epilog=EXIT_CODES
    )
    parser.add_argument("--version", action="version", version=f"costsim {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, (_, arguments, about) in sorted(COMMANDS.items()):
        arguments(add_command(commands, name, about, EXAMPLES[name]))
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Returns
    -------
    int
        0 done; 2 something typed cannot be used, each fault on a line of its own on standard error.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a terminal without degree signs shows a question mark
            stream.reconfigure(errors="replace")
    arguments = parser_of_commands().parse_args(argv)
    try:
        COMMANDS[arguments.command][0](arguments)
        if sys.stdout is not None:
            sys.stdout.flush()
        if block := sys.modules.get("costsim.engine.block"):
            block.make_later()
    except CostsimError as error:
        print(error, file=sys.stderr)
        return 2
    except BrokenPipeError:  # such as `costsim compare | head`
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:  # such as a full disk behind standard output
        print(
            f"the results could not be written ({reason(error)}); free some space or name another file", file=sys.stderr
        )
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 2
    except KeyboardInterrupt:
        goes_on = "; the same command goes on from here" if arguments.command == "portfolio" else ""
        print(f"\nstopped{goes_on}" if sys.stderr.isatty() else f"stopped{goes_on}", file=sys.stderr)
        return 130
    return 0


if __name__ == "__main__":
    sys.exit(main())
