"""The documents run: every command, study, key and field they name."""

from __future__ import annotations

import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from costsim.case import Case, read_study
from costsim.cli import COMMANDS, main
from costsim.fields import keys_of
from costsim.sources import KINDS, ControlEvents
from costsim.tables import as_json

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
RUN = "python3 -m venv .venv && .venv/bin/pip install -q -e . && .venv/bin/costsim compare"
TEST = 'python3 -m venv .venv && .venv/bin/pip install -q -e ".[test]" && .venv/bin/pytest -q'


def commands(text: str) -> list[str]:
    """Indented lines that call costsim."""
    return [line.strip() for line in text.split("\n") if re.match(r"    costsim ", line)]


def test_the_two_set_up_lines_stand_word_for_word() -> None:
    assert f"    {RUN}\n" in README
    assert f"    {TEST}\n" in README
    assert TEST in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_the_readme_opens_with_the_job_and_a_picture() -> None:
    paragraphs = README.split("\n\n")
    assert paragraphs[0] == "# costsim"
    assert paragraphs[1].startswith("`costsim` tells a household, an installer or a planner")
    assert paragraphs[2].startswith("![")
    for picture in re.findall(r"\]\((tests/pictures/[a-z]+\.png)\)", README):
        assert (ROOT / picture).is_file(), picture


@pytest.mark.parametrize("line", commands(README))
def test_every_command_of_the_readme_runs(line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    monkeypatch.chdir(tmp_path)
    blocks = re.findall(r"```(?:toml|csv)\n(.*?)```", README, re.DOTALL)
    names = re.findall(r"as\s`([a-z_]+\.(?:toml|csv))`", README)
    for block, name in zip(blocks, names, strict=True):
        (tmp_path / name).write_text(block, encoding="utf-8")
    assert main(shlex.split(line)[1:]) == 0
    assert capsys.readouterr().out


def test_every_command_is_shown() -> None:
    for name in COMMANDS:
        assert f"costsim {name}" in README + DEVELOPERS, name


def models(model: Any, seen: set[type[BaseModel]]) -> set[type[BaseModel]]:
    """A model and all that stand below it."""
    if isinstance(model, type) and issubclass(model, BaseModel) and model not in seen:
        seen.add(model)
        for field in model.model_fields.values():
            models(field.annotation, seen)
    for inner in getattr(model, "__args__", ()):
        models(inner, seen)
    return seen


def test_every_key_of_a_study_is_named() -> None:
    found = models(Case, set()) | set(KINDS.values()) | {ControlEvents}
    missing = [f"{model.__name__}.{key}" for model in found for key in keys_of(model) if f"`{key}`" not in DEVELOPERS]
    # tables are shown as such
    assert [
        name
        for name in missing
        if name.split(".")[1]
        not in ("place", "house", "floor", "tank", "prices", "option", "programme", "money", "doubt")
    ] == []


def test_the_json_contract_is_the_one_written_down() -> None:
    from costsim import load_weather, simulate

    case = read_study("net_loft")
    data = as_json(simulate(case, load_weather(case)))
    rows = dict(
        re.findall(r"^\| (top|`[a-z_]+(?:\[\])?`) \| (.*) \|$", DEVELOPERS.split("## The JSON")[1], re.MULTILINE)
    )
    shown = {where.strip("`"): re.findall(r"`([a-z0-9_]+)`", keys) for where, keys in rows.items()}
    assert shown["top"] == list(data)
    assert shown["options[]"] == list(data["options"][0])
    assert shown["sources[]"] == list(data["options"][0]["sources"][0])
    assert shown["design_load"] == [*data["design_load"], *data["design_load"]["routes"][0]]
    assert shown["assumptions[]"] == list(data["assumptions"][0])
    assert shown["weather"] == list(data["weather"])


def test_modules_on_the_map_exist() -> None:
    for name in re.findall(r"`([a-z_]+\.py)`", DEVELOPERS):
        assert list((ROOT / "costsim").rglob(name)) or (ROOT / name).is_file(), name
