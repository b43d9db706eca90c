"""The sentences that people read, looked up in one catalogue, so that a second language is one more file.

`tr` and `trn` stand where a sentence is made. ``python -m costsim.words`` writes all of them to `locale/costsim.pot`; a
language is `locale/<code>/LC_MESSAGES/costsim.mo`, made from it with gettext's msginit and msgfmt.
"""

from __future__ import annotations

import ast
import contextvars
import gettext
import sys
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).parent
LOCALE, DOMAIN = HERE / "locale", "costsim"
CALLS = {"tr": 1, "trn": 2}
"""Functions that look a sentence up, and how many of their first arguments are its forms."""

MARKED: dict[str, tuple[int | str, ...]] = {"page": (1, "group"), "Persona": (0,), "Template": (0, 1)}
"""Calls whose arguments are looked up later, where they are shown: by place or by name."""
LISTED = {"INSULATION", "TOO_SMALL", "WORDS"}
"""Constants of which the same holds."""

_SPOKEN: contextvars.ContextVar[gettext.NullTranslations | None] = contextvars.ContextVar("spoken", default=None)


def languages() -> list[str]:
    """Codes of the languages that there is a catalogue for; English needs none."""
    return ["en", *sorted(path.parts[-3] for path in LOCALE.glob(f"*/LC_MESSAGES/{DOMAIN}.mo"))]


def speak(language: str | gettext.NullTranslations) -> None:
    """Take a language, or a catalogue, for what this thread says from here on."""
    if isinstance(language, str):
        language = gettext.translation(DOMAIN, LOCALE, [language], fallback=True)
    _SPOKEN.set(language)


def tr(text: str, /, **values: object) -> str:
    """A sentence in the reader's language, its places filled.

    Examples
    --------
    >>> tr("{name} costs {cost} a year", name="Gas", cost="$750")
    'Gas costs $750 a year'
    """
    spoken = _SPOKEN.get()
    found = text if spoken is None else spoken.gettext(text)
    return found.format_map(values) if values else found


def trn(one: str, many: str, count: int, /, **values: object) -> str:
    """A sentence whose form goes by a number, which fills the place ``{count}``.

    Examples
    --------
    >>> trn("{count} hour", "{count} hours", 1), trn("{count} hour", "{count} hours", 2776)
    ('1 hour', '2,776 hours')
    """
    spoken = _SPOKEN.get()
    found = (one if count == 1 else many) if spoken is None else spoken.ngettext(one, many, count)
    return found.format_map({"count": f"{count:,}", **values})


def sentences(folder: Path = HERE) -> dict[tuple[str, ...], list[str]]:
    """Every sentence of the package that is looked up, by its forms, with the files that say it."""
    found: dict[tuple[str, ...], list[str]] = {}
    for path in sorted(folder.rglob("*.py")):
        for forms in _called(ast.parse(path.read_text(encoding="utf-8"))):
            found.setdefault(forms, []).append(path.relative_to(folder).as_posix())
    return found


def _called(tree: ast.AST) -> Iterator[tuple[str, ...]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            name, given = node.func.id, dict(enumerate(node.args)) | {one.arg: one.value for one in node.keywords}
            if name in CALLS:
                forms = [_text(part) for part in node.args[: CALLS[name]]]
                if all(forms):
                    yield tuple(forms)
            for place in MARKED.get(name, ()):
                if text := _text(given.get(place)):
                    yield (text,)
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            if node.value is not None and any(isinstance(one, ast.Name) and one.id in LISTED for one in targets):
                parts = node.value.values if isinstance(node.value, ast.Dict) else [node.value]
                yield from ((text,) for one in parts for part in ast.walk(one) if " " in (text := _text(part)))


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
