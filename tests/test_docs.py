"""The documents run: every command, study, key and field they name."""

from __future__ import annotations

import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from costsim.cli.main import COMMANDS, main
from costsim.sources import KINDS
from costsim.study.case import Case, read_study
from costsim.units.fields import keys_of
from costsim.views.result_json import as_json

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = {path.name: path.read_text(encoding="utf-8") for path in sorted((ROOT / "costsim" / "guide").glob("*.md"))}
PAGES = "\n".join([README, *GUIDE.values()])
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
RUN = "python3 -m venv .venv && .venv/bin/pip install -q -e . && .venv/bin/costsim compare"
TEST = 'python3 -m venv .venv && .venv/bin/pip install -q -e ".[test]" && .venv/bin/pytest -q -n 2'


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


def test_the_readme_names_every_page_of_the_guide() -> None:
    assert sorted(set(re.findall(r"\]\(costsim/guide/(\w+\.md)\)", README))) == list(GUIDE)


def taking_long(line: str) -> list[pytest.MarkDecorator]:
    slow = line.split()[1] in ("portfolio", "report", "uncertainty") or line.endswith("--units si")
    return [pytest.mark.long] if slow else []


@pytest.mark.parametrize("line", [pytest.param(line, marks=taking_long(line)) for line in commands(PAGES)])
def test_every_command_of_the_readme_and_the_guide_runs(
    line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    monkeypatch.chdir(tmp_path)
    saved = r"as\s`([a-z_]+\.(?:csv|toml))`(?:(?!```).)*```(?:toml|csv)\n(.*?)```"
    for name, block in re.findall(saved, PAGES, re.DOTALL):
        (tmp_path / name).write_text(block, encoding="utf-8")
    assert main(shlex.split(line)[1:]) == 0
    assert capsys.readouterr().out


def test_the_script_of_the_readme_runs() -> None:
    (script,) = re.findall(r"```python\n(.*?)```", README, re.DOTALL)
    names: dict[str, Any] = {}
    exec(script, names)
    assert len(names["hours"]) == 8760
    assert len(names["table"].to_frame()) == len(names["warmer"].to_frame()) == 4


def test_every_command_is_shown() -> None:
    for name in COMMANDS:
        assert f"costsim {name}" in PAGES + DEVELOPERS, name


def models(model: Any, seen: set[type[BaseModel]]) -> set[type[BaseModel]]:
    """A model and all that stand below it."""
    if isinstance(model, type) and issubclass(model, BaseModel) and model not in seen:
        seen.add(model)
        for field in model.model_fields.values():
            models(field.annotation, seen)
    for inner in getattr(model, "__args__", ()):
        models(inner, seen)
    return seen


def test_the_reference_names_every_key_of_every_table(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "--markdown"]) == 0
    rows = set(re.findall(r"^\| `([a-z0-9_]+)` \|", capsys.readouterr().out, re.MULTILINE))
    found = models(Case, set()) | set(KINDS.values())
    assert {key for model in found for key in keys_of(model)} <= rows


def test_the_json_contract_is_the_one_written_down() -> None:
    from costsim import load_weather, simulate

    case = read_study("net_loft")
    data = as_json(simulate(case, load_weather(case)))
    rows = dict(
        re.findall(
            r"^\| (top|`[a-z_]+(?:\[\])?`) \| (.*) \|$", GUIDE["inside.md"].split("## The JSON")[1], re.MULTILINE
        )
    )
    shown = {where.strip("`"): re.findall(r"`([a-z0-9_]+)`", keys) for where, keys in rows.items()}
    assert shown["top"] == list(data)
    assert shown["options[]"] == list(data["options"][0])
    assert shown["sources[]"] == list(data["options"][0]["sources"][0])
    assert shown["design_load"] == [*data["design_load"], *data["design_load"]["routes"][0]]
    assert shown["assumptions[]"] == list(data["assumptions"][0])
    assert shown["weather"] == list(data["weather"])


def test_modules_on_the_map_exist() -> None:
    for name in re.findall(r"`([a-z_]+\.py)`", DEVELOPERS + PAGES):
        found = [path for folder in ("costsim", "tests") for path in (ROOT / folder).rglob(name)]
        assert found or (ROOT / name).is_file(), name


# What a homeowner may not know: how it is written in README and results, and its word in the glossary of DEVELOPERS.md.
EXPERT_WORDS = {
    r"antifreeze|glycol": "antifreeze",
    r"backflow": "backflow protection",
    r"balance point": "balance point",
    r"uncertainty band": "uncertainty band",
    r"blocks?\b": "block",
    r"break-?even": "break-even",
    r"breakers?\b": "breaker",
    r"k?Btu": "Btu, kBtu, MMBtu",
    r"CO2": "CO2 factor",
    r"highest hour of all\s+homes": "coincident peak",
    r"condensing": "condensing",
    r"curtailment (run|hours|event)": "curtailment hours",
    r"\bcords?\b": "cord",
    r"correlation": "correlation",
    r"degree-?days?": "degree-day",
    r"demand charge": "demand charge",
    r"design (heat loss|load)": "design load",
    r"design outdoor|outdoor design": "design temperature",
    r"discount_rate": "discount rate",
    r"dumped|unused": "dumped",
    r"efficienc": "efficiency",
    r"EPW|TMY3": "EPW, TMY3",
    r"fixed charge|^.* fixed ": "fixed charge",
    r"\bflue\b": "flue",
    r"foresight|perfect controller": "foresight",
    r"full-load": "full-load hours",
    r"higher heating value": "higher heating value",
    r"interruptible": "interruptible",
    r"lockout": "lockout",
    r"\bloops?\b": "loop",
    r"heat loss per (kelvin|degree)": "loss per kelvin (UA)",
    r"low-water": "low-water cut-off",
    r"what heating adds": "marginal",
    r"minimum[ _]use": "minimum use",
    r"off-?_?peak": "off-peak",
    r"payback": "payback",
    r"present (cost|value|money)": "life-cycle cost",
    r"quantile": "quantile",
    r"\brated\b": "rated",
    r"\breal (terms|price)": "real",
    r"rebate": "rebate",
    r"relief valve": "relief valve",
    r"return-temperature": "return-temperature protection",
    r"\brule\b": "rule",
    r"\bscenarios?\b": "scenario",
    r"savings? to investment": "savings-to-investment ratio",
    r"set-?back": "set-back",
    r"\bshort\b": "short",
    r"standard deviation": "standard deviation",
    r"standard time": "standard time",
    r"\bstore\b": "store",
    r"synthetic": "synthetic",
    r"tempering": "tempering",
    r"therms?\b": "therm",
    r"maintenance": "maintenance",
}


def glossary() -> dict[str, str]:
    """Words of DEVELOPERS.md with their meaning."""
    rows = re.findall(
        r"^\| ([^|]+) \| ([^|]+) \|[^|]*\|$", DEVELOPERS.split("## Words")[1].split("\n## ")[0], re.MULTILINE
    )
    return {word: meaning for word, meaning in rows if word not in ("word", "---")}


def test_every_expert_word_of_the_results_stands_in_the_glossary(capsys: pytest.CaptureFixture[str]) -> None:
    for line in (
        "compare net_loft",
        "check valley_row",
        "capacity net_loft",
        "uncertainty",
        "breakeven",
        "lifecycle valley_row",
        "bill",
    ):
        assert main(line.split()) == 0
    shown, known = PAGES + capsys.readouterr().out, glossary()
    found = {word for pattern, word in EXPERT_WORDS.items() if re.search(pattern, shown, re.MULTILINE | re.IGNORECASE)}
    assert len(found) > 40
    assert found <= set(known)
    assert list(known) == sorted(known, key=str.casefold)
