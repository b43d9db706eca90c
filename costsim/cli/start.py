"""Commands for a first day: a study to begin with, what this machine has, and completion for a shell."""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from costsim import __version__
from costsim.cli.commands import command
from costsim.errors import Fault, InputError

START = "your_house"
KEYS = {
    "floor_area": ("house", "floor_area", "heated floor area, such as '1500 ft2'"),
    "heat_loss": ("house", "design_heat_loss", "design heat loss, such as '33 kBtu/h', where you know it"),
    "weather": ("place", "weather", "weather file, such as greensboro.csv"),
    "design_outdoor": ("place", "design_outdoor", "outdoor design temperature, such as '15 degF'"),
}


def _init_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", help="study file to write, such as my_house.toml")
    for name, (_, _, about) in KEYS.items():
        parser.add_argument(f"--{name.replace('_', '-')}", metavar="TEXT", help=about)
    parser.add_argument("--overwrite", action="store_true", help="replace a file of that name")


@command("init", "write a study of your own to begin with", _init_arguments)
def init(arguments: argparse.Namespace) -> None:
    """Write a copy of the built-in start with what was given, checked as any study is."""
    import tomlkit

    from costsim.study.case import built_in_studies
    from costsim.study.edit import write_copy

    target = Path(arguments.file)
    if target.suffix != ".toml":
        raise InputError(Fault("", "is no name for a study", "let it end in .toml, such as my_house.toml", str(target)))
    document: Any = tomlkit.parse(built_in_studies()[START].read_text(encoding="utf-8"))
    for name, (table, key, _) in KEYS.items():
        if value := getattr(arguments, name):
            document[table][key] = _understood(value, name, table, key, str(target))
    if arguments.heat_loss:
        del document["house"]["heat_loss_per_area"]
    text = tomlkit.dumps(document)
    write_copy(text, target, overwrite=arguments.overwrite)
    print(f"{target}: a study to begin with; its prices and units are invented, put in yours. Next:")
    print(f"  costsim check {target}\n  costsim compare {target}")


def _understood(value: str, name: str, table: str, key: str, file: str) -> str:
    """Read a value as people type it, such as ``1,500 sq ft``; a text with two readings is asked back."""
    from costsim.study.case import Case
    from costsim.units.fields import QuantityField
    from costsim.units.reading import understand

    model: Any = Case.model_fields[table].annotation
    field = next(model_field for at, model_field in model.model_fields.items() if key in (at, model_field.alias))
    quantity = next((fact for fact in field.metadata if isinstance(fact, QuantityField)), None)
    if quantity is None:
        return value
    reading = understand(value, quantity, system="us")
    if reading.question:
        choices = " or ".join(f'"{answer}"' for answer in reading.answers) or f'"{reading.text}"'
        raise InputError(Fault(f"--{name.replace('_', '-')}", reading.question, f"write {choices}", file))
    return reading.text


def _none(_: argparse.ArgumentParser) -> None:
    pass


@command("doctor", "show versions, cache, fonts and browser, and what is missing", _none)
def doctor(_: argparse.Namespace) -> None:
    """Print one line for each thing that costsim needs or can use on this machine."""
    for name, value in _findings():
        print(f"{name:<22} {value}")


def _findings() -> Iterator[tuple[str, str]]:
    from importlib import metadata  # brings a mail parser

    yield "Python", f"{sys.version.split()[0]} at {sys.executable}"
    yield "costsim", __version__
    for package in ("numpy", "pandas", "scipy", "numba", "pvlib", "pydantic", "plotly", "streamlit", "typst"):
        try:
            yield package, metadata.version(package)
        except metadata.PackageNotFoundError:
            yield package, "not installed; run the first command of README.md"
    yield "compiled code", _cache()
    yield "weather kept", _kept()
    yield "fonts of the PDF", _fonts()
    yield (
        "folder for reports",
        "can be written" if _writable(Path.cwd()) else "cannot be written; change to another folder",
    )
    browser = next((path for name in ("chromium", "google-chrome", "firefox") if (path := shutil.which(name))), None)
    yield "browser", browser or "none on the path; open the dashboard's address in any browser"
    from costsim.study.case import built_in_studies

    yield "built-in studies", ", ".join(built_in_studies())


def _cache() -> str:
    """Where compiled code is kept, and how much lies there."""
    from costsim.engine.compiling import cache_folder

    folder = cache_folder()
    kept = list(folder.rglob("*.nbc")) if folder.is_dir() else []
    if not _writable(folder if folder.is_dir() else folder.parent):
        return f"{folder} cannot be written: code is compiled in each run; set NUMBA_CACHE_DIR to a folder of yours"
    size = sum(path.stat().st_size for path in kept) / 1e6
    return (
        f"{len(kept)} forms, {size:.1f} MB in {folder}" if kept else f"none yet in {folder}: the first run takes longer"
    )


def _kept() -> str:
    """How many weather years and lists of holidays are kept from earlier runs."""
    from costsim.kept import entries

    kept = entries()
    size = sum(path.stat().st_size for path in kept) / 1e6
    return f"{len(kept)} entries, {size:.1f} MB in {kept[0].parent}" if kept else "none yet: read anew in the first run"


def _fonts() -> str:
    """The fonts that the report's PDF is set in; they come with the package typst."""
    from costsim.report.pdf import fonts

    try:
        return ", ".join(fonts())
    except ImportError:
        return "none: typst is not installed, so that reports are HTML alone"


def _writable(folder: Path) -> bool:
    try:
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def _completion_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("shell", choices=("bash", "zsh", "tcsh"), help="your shell")


@command("completion", "print a script that completes commands and options in a shell", _completion_arguments)
def completion(arguments: argparse.Namespace) -> None:
    """Print what a shell reads to complete `costsim`."""
    import shtab

    from costsim.cli.main import parser_of_commands

    print(shtab.complete(parser_of_commands(), arguments.shell))
