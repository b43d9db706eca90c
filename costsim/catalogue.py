"""Every sentence that is looked up in `words`, found in the source itself: ``python -m costsim.catalogue`` writes them down."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

from costsim.words import DOMAIN, LOCALE

HERE = Path(__file__).parent
CALLS = {"tr": 1, "trn": 2}
"""Functions that look a sentence up, and how many of their first arguments are its forms."""

MARKED: dict[str, tuple[int | str, ...]] = {
    "page": (1, "group"), "Persona": (0,), "Template": (0, 1), "_gas": (1,), "_pressure": (0,), "_temperature": (0,), "Fuel": (0, "title"),
    "QuantityField": (1, 2, "title", "help"), "Field": ("title", "description"), "Item": (0,),
}  # fmt: skip
"""Calls whose arguments are looked up later, where they are shown: by place or by name."""
LISTED = {
    "ABOUT", "BILL_MONTHS", "CAUSES", "CAUTION", "COLD", "COLD_HELP", "COLUMNS", "CONFIRM", "EMITTERS_ASKED", "FAR_OFF",
    "FROST", "GROUPS", "INSULATION", "KINDS_OF_DAY", "LEFT_OUT", "NOTE", "NOT_KNOWN", "NO_WEATHER", "ORDERS", "PLACE",
    "PLAIN", "READS", "REGIMES", "RESTS_ON", "SENTENCES", "SHARING", "SHEET", "SHEETS", "SHORT_DAYS", "SHORT_MONTHS",
    "SHORT_NAME", "SIGNERS", "SKIP", "STANDARDS", "TABLES", "TITLES", "TOO_SMALL", "TO_CONFIRM", "VENTS", "WARNING",
    "WHERE", "WHY", "WORDS", "_ELSEWHERE", "_FIELDS", "rests_on", "title",
}  # fmt: skip
"""Constants and class variables of which the same holds."""
OF_MODELS = ("study", "sources", "tariffs")
"""Folders whose models the forms are made from: what a table is and the choices of a field are shown too."""


def sentences(folder: Path = HERE) -> dict[tuple[str, ...], list[str]]:
    """Every sentence of the package that is looked up, by its forms, with the files that say it."""
    found: dict[tuple[str, ...], list[str]] = {}
    for path in sorted(folder.rglob("*.py")):
        name = path.relative_to(folder).as_posix()
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for forms in [*_said(tree), *(_of_models(tree) if name.startswith(OF_MODELS) else ())]:
            found.setdefault(forms, []).append(name)
    return found


def _said(tree: ast.AST) -> Iterator[tuple[str, ...]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            name, given = node.func.id, dict(enumerate(node.args)) | {one.arg: one.value for one in node.keywords}
            if CALLS.get(name) == 1 and node.args:
                yield from ((text,) for text in _texts(node.args[0]))
            elif name in CALLS:
                yield tuple(_text(part) for part in node.args[: CALLS[name]])
            for place in MARKED.get(name, ()):
                if text := _text(given.get(place)):
                    yield (text,)
        elif isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names = [part.id for one in targets for part in ast.walk(one) if isinstance(part, ast.Name)]
            if LISTED & set(names):
                parts = node.value.values if isinstance(node.value, ast.Dict) else [node.value]
                yield from ((text,) for one in parts for text in _texts(one) if _is_said(text))


def _of_models(tree: ast.AST) -> Iterator[tuple[str, ...]]:
    """What a class of fields is, in the first line of its docstring, and the choices of its fields."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef) and any(isinstance(part, ast.AnnAssign) for part in node.body):
            if (text := (ast.get_docstring(node) or "").split("\n")[0]) and not node.decorator_list:
                yield (text,)
            for part in node.body:
                if isinstance(part, ast.AnnAssign):
                    yield from _choices(part.annotation)


def _choices(annotation: ast.AST) -> Iterator[tuple[str, ...]]:
    for node in ast.walk(annotation):
        if isinstance(node, ast.Subscript) and isinstance(node.value, ast.Name) and node.value.id == "Literal":
            for text in _texts(node.slice):
                words = text.replace("_", " ")
                yield (words[:1].upper() + words[1:],)


def _texts(node: ast.AST) -> list[str]:
    """Texts of a constant, or of all constants that it is chosen from."""
    return [text for part in ast.walk(node) if re.search("[A-Za-z]", text := _text(part))]


def _is_said(text: str) -> bool:
    """Whether a text is no key, place or type of a file."""
    return " " in text or not re.search(r"[_/.]", text)


def _text(node: ast.AST | None) -> str:
    """Text of a constant, empty for anything else."""
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def template() -> str:
    """The catalogue without a language, as gettext's tools read it; the same bytes for the same sentences."""
    lines = ['msgid ""', 'msgstr ""', '"Content-Type: text/plain; charset=UTF-8\\n"', ""]
    for forms, files in sorted(sentences().items()):
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
    (LOCALE / f"{DOMAIN}.pot").write_text(template(), encoding="utf-8")
    sys.stdout.write(f"{len(sentences())} sentences\n")


if __name__ == "__main__":
    main()
