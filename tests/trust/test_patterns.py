"""Each regular expression of the package is fed its own worst strings; its work must grow with their length alone.

The letters of each repetition in a pattern are repeated behind the shortest text that leads to it, and end with a letter
that fits nowhere. Processor time counts, not the clock: twelve times the length may cost at most forty times the work.
"""

from __future__ import annotations

import ast
import importlib
import re
import time
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from re import _constants as sre  # type: ignore[attr-defined]
from re import _parser as parser  # type: ignore[attr-defined]
from typing import Any

import pytest

PACKAGE = Path(__file__).parents[2] / "costsim"
METHODS = ("match", "fullmatch", "search", "sub", "split", "findall", "finditer", "subn")
LETTERS = " \t\n0 9aAeEx.,;:_-+/\\'\"()[]{}#=$%&<>*^|~!°²é\u00a0"
LONG, TIMES, MOST_RATIO, NO_WORK_S = 600, 12, 40.0, 0.01


def modules() -> list[str]:
    return [
        ".".join(("costsim", *path.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__")
        for path in sorted(PACKAGE.rglob("*.py"))
        if "re." in path.read_text(encoding="utf-8") and path.name not in ("__main__.py", "page.py", "server.py")
    ]


@cache
def patterns() -> dict[str, tuple[re.Pattern[str], frozenset[str]]]:
    """Every pattern with where it stands and how it is applied."""
    found: dict[str, tuple[re.Pattern[str], frozenset[str]]] = {}
    for name in modules():
        module: Any = importlib.import_module(name)
        tree = ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))
        calls = [n for n in ast.walk(tree) if isinstance(n, ast.Call) and isinstance(n.func, ast.Attribute)]
        for key, value in vars(module).items():
            for at, one in enumerate(value.values() if isinstance(value, dict) else [value]):
                if isinstance(one, re.Pattern) and isinstance(one.pattern, str):
                    used = {c.func.attr for c in calls if isinstance(c.func.value, ast.Name) and c.func.value.id == key}
                    found[f"{name}.{key}.{at}"] = (one, frozenset(used & set(METHODS)) or frozenset(METHODS[:3]))
        for call in calls:
            if isinstance(call.func.value, ast.Name) and call.func.value.id == "re" and call.func.attr in METHODS:
                text = _literal(call.args[0], module)
                flags = re.IGNORECASE | re.MULTILINE if len(call.args) > 2 or call.keywords else 0
                found[f"{name}:{call.lineno}"] = (re.compile(text, flags), frozenset({call.func.attr}))
    return found


def _literal(node: ast.expr, module: Any) -> str:
    """Text of a pattern; what an f-string puts in is taken from its module, or stands for any word."""
    if isinstance(node, ast.Constant):
        return str(node.value)
    if isinstance(node, ast.JoinedStr):
        return "".join(_literal(part, module) for part in node.values)
    if isinstance(node, ast.FormattedValue) and isinstance(node.value, ast.Name):
        return str(getattr(module, node.value.id, "!"))
    if isinstance(node, ast.Name) and isinstance(getattr(module, node.id, None), str):
        return str(getattr(module, node.id))
    return "!"


def test_the_walk_finds_the_patterns() -> None:
    assert len(patterns()) > 40
    assert {"costsim.bills.numbers._AMOUNT.0", "costsim.portfolio.columns._HEADING.0"} <= set(patterns())


def test_work_grows_with_length_alone() -> None:
    for where, (pattern, methods) in sorted(patterns().items()):
        for method in sorted(methods):
            assert_all_linear(pattern, method, where)


def assert_all_linear(pattern: re.Pattern[str], method: str, where: str) -> None:
    for text, unit in worst_strings(pattern):
        assert_linear(pattern, method, text, unit, where)


def assert_linear(pattern: re.Pattern[str], method: str, before: str, unit: str, where: str) -> None:
    """Fail on exponential, cubic and quadratic growth, each at the length where it shows but does not hang."""

    def work(times: int, tries: int = 1) -> float:
        text = before + unit * times + "\x00"
        return min(_seconds(pattern, method, text) for _ in range(tries))

    shown = f"{where}: {pattern.pattern!r}.{method}({before!r} + {unit!r} * n)"
    assert work(24) < 1.0, f"{shown} grows exponentially"
    for long in (LONG // TIMES, LONG):
        much = work(long * TIMES)
        if much > NO_WORK_S:  # else too little to measure, and too little to hold anybody
            ratio = work(long * TIMES, 3) / max(work(long, 3), 1e-9)
            assert ratio < MOST_RATIO, f"{shown} costs {ratio:.0f} times for {TIMES} times the length"


def _seconds(pattern: re.Pattern[str], method: str, text: str) -> float:
    start = time.thread_time()
    if method in ("sub", "subn"):
        pattern.sub("", text)
    elif method == "finditer":
        list(pattern.finditer(text))
    else:
        getattr(pattern, method)(text)
    return time.thread_time() - start


def worst_strings(pattern: re.Pattern[str]) -> list[tuple[str, str]]:
    """What stands before, and what is repeated: for each repetition of the pattern the letters that it takes."""
    found = {("", letter) for letter in " 0a.[("}
    for before, body in _walk(parser.parse(pattern.pattern, pattern.flags & ~re.UNICODE), ""):
        takes = re.compile(_source(body, pattern), pattern.flags) if _source(body, pattern) else None
        units = [c for c in LETTERS if takes is None or takes.fullmatch(c)] or [_shortest(body)]
        found |= {(before, unit) for unit in [*units[:3], *units[-1:], _shortest(body)] if unit}
    return sorted(found)


def _source(body: Any, pattern: re.Pattern[str]) -> str:
    """A set of letters written as a pattern again; empty for what is more than one set."""
    if len(body) != 1 or body[0][0] not in (sre.IN, sre.LITERAL, sre.NOT_LITERAL, sre.ANY):
        return ""
    kind, value = body[0]
    if kind is sre.ANY:
        return "."
    if kind is sre.LITERAL:
        return re.escape(chr(value))
    if kind is sre.NOT_LITERAL:
        return f"[^{re.escape(chr(value))}]"
    names = {sre.CATEGORY_DIGIT: r"\d", sre.CATEGORY_NOT_DIGIT: r"\D", sre.CATEGORY_SPACE: r"\s", sre.CATEGORY_NOT_SPACE: r"\S",
             sre.CATEGORY_WORD: r"\w", sre.CATEGORY_NOT_WORD: r"\W"}  # fmt: skip
    parts = []
    for one, inner in value:
        if one is sre.NEGATE:
            parts.insert(0, "^")
        elif one is sre.LITERAL:
            parts.append(re.escape(chr(inner)))
        elif one is sre.RANGE:
            parts.append(f"{re.escape(chr(inner[0]))}-{re.escape(chr(inner[1]))}")
        else:
            parts.append(names[inner])
    return f"[{''.join(parts)}]"


REPEATS = (sre.MAX_REPEAT, sre.MIN_REPEAT, sre.POSSESSIVE_REPEAT)


def _walk(nodes: Any, before: str) -> Iterator[tuple[str, Any]]:
    """Every repetition without a narrow limit, with the shortest text that leads to it."""
    for kind, value in nodes:
        if kind in REPEATS:
            if value[1] > 20:
                yield before, value[2]
            yield from _walk(value[2], before)
        for inner in _inside(kind, value):
            yield from _walk(inner, before)
        before += _shortest([(kind, value)])


def _inside(kind: Any, value: Any) -> list[Any]:
    if kind is sre.SUBPATTERN:
        return [value[3]]
    if kind is sre.BRANCH:
        return list(value[1])
    if kind in (sre.ASSERT, sre.ASSERT_NOT):
        return [value[1]]
    return [value] if kind is sre.ATOMIC_GROUP else []


def _shortest(nodes: Any) -> str:
    """A short text that a pattern takes, where it is made of plain pieces."""
    text = ""
    for kind, value in nodes:
        if kind is sre.LITERAL:
            text += chr(value)
        elif kind in REPEATS:
            text += _shortest(value[2]) * max(value[0], 0)
        elif kind is sre.SUBPATTERN or kind is sre.ATOMIC_GROUP or kind is sre.BRANCH:
            text += _shortest(_inside(kind, value)[0])
        elif kind in (sre.IN, sre.ANY, sre.NOT_LITERAL):
            takes = re.compile(_source([(kind, value)], re.compile("")))
            text += next((letter for letter in "a0" + LETTERS if takes.fullmatch(letter)), "")
    return text


@pytest.mark.long
def test_a_quadratic_pattern_is_found() -> None:
    for bad in (r"\s+$", r"\[\s*([^\]]*?)\s*\]", r"(a+)+b", r"\d+\.?\d*x"):
        pattern = re.compile(bad)
        with pytest.raises(AssertionError, match=r"grows exponentially|times for"):
            assert_all_linear(pattern, "search", "here")
