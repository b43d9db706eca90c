"""Commands from floor areas to a system: layout, and sizes off the shelf."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from costsim.cli.commands import command, default_units, json_argument, print_or_json, study_argument, units_argument
from costsim.errors import Fault, InputError
from costsim.words import tr

if TYPE_CHECKING:
    from costsim.analysis.entered import Entered
    from costsim.analysis.layout_plan import LayoutResult
    from costsim.study.case import Case

MOST_LEVELS = 20


def _layout_arguments(parser: argparse.ArgumentParser) -> None:
    study_argument(parser)
    units_argument(parser)
    json_argument(parser)
    parser.add_argument("-o", "--out", metavar="FILE", help="write a copy of the study with the loops and pumps found")
    parser.add_argument("--overwrite", action="store_true", help="let -o replace a file")
    parser.add_argument("--drawing", metavar="FILE", help="draw the system into an .svg file, one for each option")
    parser.add_argument(
        "--option", help="draw this option alone, and list its material; else that of the answer is listed"
    )
    parser.add_argument("--materials", metavar="FILE", help="write the list of material into a .csv file")
    parser.add_argument("--levels", type=int, metavar="N", help="levels with tubes, where the study describes no floor")


@command("layout", "lay loops, pumps and thermostats into floors given by area", _layout_arguments)
def layout(arguments: argparse.Namespace) -> None:
    """Lay out the floor of a study, and write it into a copy on request."""
    from costsim import load_weather, read_study
    from costsim.analysis.layout import as_json
    from costsim.analysis.layout import layout as lay_out
    from costsim.analysis.layout_study import write_laid_out
    from costsim.files import write_text
    from costsim.study.assumed_floor import with_assumed_floor
    from costsim.views.assumed_floor import assumed_floor_lines
    from costsim.views.materials import material_csv, material_text
    from costsim.views.option_fill import option_fill_lines
    from costsim.views.text_layout import printed_layout
    from costsim.views.wording import for_reader

    if arguments.materials and not arguments.materials.lower().endswith(
        ".csv"
    ):  # so that it never takes a study's place
        raise InputError(Fault("--materials", f"'{arguments.materials}' names no table", "end the name in .csv"))
    typed = read_study(arguments.study)
    system = arguments.units or default_units(typed.typed)
    if arguments.levels is not None and (typed.floor is not None or not 1 <= arguments.levels <= MOST_LEVELS):
        problem = "is for a study that describes no floor" if typed.floor is not None else "is no number of levels"
        raise InputError(
            Fault("--levels", problem, f"leave it out, or give 1 to {MOST_LEVELS} where no floor is described")
        )
    case = with_assumed_floor(typed, arguments.levels or 1, system)
    assumed = assumed_floor_lines(case, system) if case is not typed else []
    plan = lay_out(case, load_weather(case))
    if arguments.out:
        write_laid_out(case, plan, arguments.out, system, overwrite=arguments.overwrite)
    drawn = draw_options(case, plan, arguments.drawing, arguments.option, system) if arguments.drawing else []
    own, headings, rows = materials(case, arguments.option, system)
    option, fill = own.choice.option, option_fill_lines(own, system)
    if arguments.materials:
        write_text(arguments.materials, material_csv(headings, rows))
    lines = [*assumed, "", printed_layout(plan, system, fill)] if assumed else [printed_layout(plan, system, fill)]
    text = for_reader("\n".join([*lines, "", material_text(option, headings, rows)]), system)
    listed = {"option": option, "headings": headings, "rows": rows}
    filled = as_json(own.layout)["fluid"] | {"option": option} if own.layout is not None else {}
    content = as_json(plan) | {"fluid": filled, "materials": listed} | ({"assumed": assumed} if assumed else {})
    print_or_json(arguments, content, "\n\n".join([text, "\n".join(drawn)]) if drawn else text)


def materials(case: Case, option: str | None, system: str) -> tuple[Entered, list[str], list[list[str]]]:
    """The list of material of an option, or of the one that the answer names: what it asks for, headings and rows."""
    from costsim import load_weather
    from costsim.analysis.capacity import capacity_report
    from costsim.analysis.entered import entered
    from costsim.analysis.sizing import named_option
    from costsim.simulation import simulate
    from costsim.views.answer import leading
    from costsim.views.materials import material_rows
    from costsim.views.system import system_of

    weather = load_weather(case)
    result = simulate(case, weather)
    listed = named_option(case, option or leading(result).name)
    look = next(report for report in capacity_report(case, weather).options if report.option == listed.name)
    plan = entered(result.lowered, weather, listed)
    drawn = system_of(result.lowered, listed, look.sources, plan.layout)
    return plan, *material_rows(plan, drawn, system)


def draw_options(case: Case, layout: LayoutResult | None, target: str, option: str | None, system: str) -> list[str]:
    """Write the schematic of one option, or of each; gives a line on every file.

    Raises
    ------
    InputError
        The file's name does not end in .svg, there is no such option, or the file cannot be written.
    """
    from costsim import load_weather
    from costsim.analysis.capacity import capacity_report
    from costsim.analysis.sizing import named_option
    from costsim.engine.lower import lower_study
    from costsim.files import write_text
    from costsim.views.schematic import draw
    from costsim.views.system import system_of

    if not target.lower().endswith(".svg"):
        raise InputError(Fault("--drawing", f"'{target}' names no drawing", "end the name in .svg"))
    wanted = [named_option(case, option)] if option else list(case.options)
    weather = load_weather(case)
    common, looks = (
        lower_study(case, weather),
        {report.option: report for report in capacity_report(case, weather).options},
    )
    lines = []
    for at, chosen in enumerate(wanted, 1):
        drawing = draw(system_of(common, chosen, looks[chosen.name].sources, layout), system)
        name = target if len(wanted) == 1 else f"{target[:-4]}-{at}.svg"
        write_text(name, drawing.svg + "\n")
        lines.append(tr("{name}: {title}; a diagram of principle, not for installation", name=name, title=chosen.name))
    return lines


def _select_arguments(parser: argparse.ArgumentParser) -> None:
    study_argument(parser)
    units_argument(parser)
    json_argument(parser)


@command(
    "select", "take the next common size up of heater, circuit, gas line, expansion tank and relief", _select_arguments
)
def select(arguments: argparse.Namespace) -> None:
    """Choose sizes off the shelf."""
    from costsim import load_weather, read_study
    from costsim.analysis.select import as_json
    from costsim.analysis.select import select as choose
    from costsim.views.text_select import printed_selection
    from costsim.views.wording import for_reader

    case = read_study(arguments.study)
    selection = choose(case, load_weather(case))
    system = arguments.units or default_units(case.typed)
    print_or_json(
        arguments, as_json(selection), for_reader(printed_selection(selection, system, case.currency), system)
    )
