"""The command that takes a building from another file into a study."""

from __future__ import annotations

import argparse
import shlex
from pathlib import Path

from costsim.cli.commands import add_command, command, default_units, units_argument


def _house_arguments(parser: argparse.ArgumentParser) -> None:
    verbs = parser.add_subparsers(dest="verb", required=True, metavar="VERB")
    about = "take the envelope from HPXML or from a list of surfaces"
    read = add_command(verbs, "import", about, "house import walls.csv -o envelope.toml")
    read.add_argument("file", help="HPXML (.xml), or a table with a row a surface (.csv, .xlsx)")
    read.add_argument("--building", default="", metavar="NAME", help="which building, where the file holds several")
    read.add_argument("--study", help="study that takes the envelope; without it, -o writes the part alone")
    read.add_argument("-o", "--out", metavar="FILE", help="write the part of a study, or the copy of --study (.toml)")
    read.add_argument("--overwrite", action="store_true", help="let -o replace a file")
    units_argument(read)


@command("house", "take a building's envelope from HPXML or CSV", _house_arguments)
def house(arguments: argparse.Namespace) -> None:
    """Read the building, write it, and print what was and was not used."""
    from costsim import read_study
    from costsim.files import read_bytes, write_text
    from costsim.study.building import fragment, in_feet, write_with_building
    from costsim.study.building_file import read_building
    from costsim.study.edit import not_there
    from costsim.study.xml_tree import MOST_BYTES
    from costsim.views.text_house import text_building

    raw = read_bytes(arguments.file, most=MOST_BYTES)
    file = Path(arguments.file).name
    building = read_building(raw, file, arguments.building)
    case = read_study(arguments.study) if arguments.study else None
    system = arguments.units or (default_units(case.typed) if case else "us" if in_feet(building) else "si")
    text = text_building(building, system)
    if arguments.out:
        if case is not None:
            write_with_building(case, building, arguments.out, overwrite=arguments.overwrite)
        else:
            not_there(arguments.out, overwrite=arguments.overwrite)
            write_text(arguments.out, fragment(building))
        done = f"costsim check {shlex.quote(arguments.out)}" if case else f"put {arguments.out} into your study"
        print(f"{text}\n\nNext\n  {done}")
        return
    line = f"costsim house import {shlex.quote(arguments.file)} --study my_house.toml -o with_walls.toml"
    print(f"{text}\n\nNext: the envelope in a copy of a study\n  {line}")
