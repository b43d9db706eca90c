"""Every sentence that is looked up in `words`, found in the source itself: ``python -m costsim.catalogue`` writes them down."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

from pydantic import BaseModel

from costsim.dashboard.field_text import first_line, help_of, title_of
from costsim.dashboard.kinds import key_of, measured_of, model_of, models_of
from costsim.physics.fuels import FUELS
from costsim.sources import KINDS
from costsim.study.case import Case
from costsim.units.fields import choices_of, in_words
from costsim.views.templates import EXAMPLE_PRICES
from costsim.words import DOMAIN, LOCALE

HERE = Path(__file__).parent
CALLS = {"tr": 1, "trn": 2}
"""Functions that look a sentence up, and how many of their first arguments are its forms."""

MARKED: dict[str, tuple[int | str, ...]] = {
    "page": (1, "group"), "Persona": (0,), "Template": (0, 1), "gas_boiler": (1,), "_pressure": (0,), "_temperature": (0,), "Fuel": (1, 6),
    "QuantityField": (1, 2, "title", "help"), "Item": (0,), "once": (0,), "Emitter": (0, 2, 3, "short"), "BuildUp": (1,), "KindCaution": (5, "ground"),
}  # fmt: skip
"""Calls whose arguments are looked up later, where they are shown: by place or by name."""
LISTED = {
    "BESIDE_EMITTERS_ASKED",
    "ABOUT", "BILL_MONTHS", "BY_HAND", "CAUSES", "CAUTION", "COLD", "COLD_HELP", "COLUMNS", "CONFIRM", "DRIVERS", "EIA_JANUARY",
    "EMITTERS_ASKED", "FAR_OFF", "FORMS", "FROM_MEMORY", "FROST", "GROUPS", "HOW_SIZED", "INSULATION", "KINDS_OF_DAY", "LEFT_OUT", "LENGTH", "LENGTHS",
    "IN_PLACE", "MEMORY", "MOVES", "NEW_BOILERS", "NOTE", "NOT_KNOWN", "NO_WEATHER", "ORDERS", "PLACE", "PLAIN", "RATED", "READS", "REGIMES", "RESTS_ON",
    "ROUTES", "SENTENCES", "SHARING", "SHEET", "SHEETS", "SHORT_DAYS", "SHORT_MONTHS", "SHORT_NAME", "SIGNERS",
    "SINGLE", "SKIP", "STANDARDS", "TABLES", "TITLES", "TOO_SMALL", "TO_CONFIRM", "TYPED_PATH", "VENTS", "Verdict",
    "WARNING", "WHERE", "WHY", "WORDS", "_ELSEWHERE", "_FIELDS", "_HIGH", "_INTERMEDIATE", "_LOW", "_MEDIUM",
    "_PRACTICE", "_TABLES", "rests_on", "title",
}  # fmt: skip
"""Constants and class variables of which the same holds."""


def sentences(folder: Path = HERE) -> dict[tuple[str, ...], list[str]]:
    """Every sentence of the package that is looked up, by its forms, with the files that say it."""
    places: dict[tuple[str, ...], list[str]] = {}
    for path in sorted(folder.rglob("*.py")):
        name = path.relative_to(folder).as_posix()
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for forms in _said(tree):
            places.setdefault(forms, []).append(name)
    for text, name in _of_models():
        if re.search("[a-z]{3}", text):
            places.setdefault((text,), []).append(name)
    return places


def _said(tree: ast.AST) -> Iterator[tuple[str, ...]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            name, given = (
                node.func.id,
                dict(enumerate(node.args)) | {keyword.arg: keyword.value for keyword in node.keywords},
            )
            if CALLS.get(name) == 1 and node.args:
                yield from ((text,) for text in _texts(node.args[0]))
            elif name in CALLS:
                yield tuple(_text(part) for part in node.args[: CALLS[name]])
            for place in MARKED.get(name, ()):
                if text := _text(given.get(place)):
                    yield (text,)
        elif isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names = [part.id for target in targets for part in ast.walk(target) if isinstance(part, ast.Name)]
            if LISTED & set(names):
                parts = node.value.values if isinstance(node.value, ast.Dict) else [node.value]
                yield from ((text,) for part in parts for text in _texts(part) if _is_said(text))


def _of_models() -> Iterator[tuple[str, str]]:
    """What the forms show of the models, with its place: titles, helps, choices and what a table is."""
    waiting: list[type[BaseModel]] = [*KINDS.values(), Case]
    seen: set[type[BaseModel]] = set()
    while waiting:
        model = waiting.pop()
        if model in seen:
            continue
        seen.add(model)
        place = f"{model.__module__.removeprefix('costsim.').replace('.', '/')}.py"
        texts = {first_line(model), str(getattr(model, "title", ""))}
        for name, field in model.model_fields.items():
            measured = measured_of(field)
            texts |= {title_of(field, key_of(name, field)), help_of(field) or "", *choices_of(field).values()}
            texts |= {measured.title, measured.help} if measured else set()
            waiting += filter(None, [model_of(field), *models_of(field).values()])
        yield from ((text, place) for text in texts)
    tables = [*map(in_words, EXAMPLE_PRICES), *(fuel.title for fuel in FUELS.values())]
    yield from ((text, "physics/fuels.py") for text in tables)


def _texts(node: ast.AST) -> list[str]:
    """Texts of a constant, or of all constants that it is chosen from."""
    return [text for part in ast.walk(node) if re.search("[A-Za-z]", text := _text(part))]


def _is_said(text: str) -> bool:
    """Whether a text is no key, place or type of a file."""
    return " " in text or not re.search(r"[_/.]", text)


def _text(node: ast.AST | None) -> str:
    """Text of a constant, empty for anything else."""
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def template(said: dict[tuple[str, ...], list[str]]) -> str:
    """The catalogue without a language, as gettext's tools read it; the same bytes for the same sentences."""
    lines = ['msgid ""', 'msgstr ""', '"Content-Type: text/plain; charset=UTF-8\\n"', ""]
    for forms, files in sorted(said.items()):
        lines.append(f"#: {' '.join(sorted(set(files)))}")
        if "{" in forms[0]:
            lines.append("#, python-brace-format")
        lines.append(f"msgid {_quoted(forms[0])}")
        lines += (
            [f"msgid_plural {_quoted(forms[1])}", 'msgstr[0] ""', 'msgstr[1] ""'] if len(forms) > 1 else ['msgstr ""']
        )
        lines.append("")
    return "\n".join(lines)


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


def main() -> None:
    """Write the catalogue."""
    said = sentences()
    (LOCALE / f"{DOMAIN}.pot").write_text(template(said), encoding="utf-8")
    sys.stdout.write(f"{len(said)} sentences\n")


if __name__ == "__main__":
    main()
