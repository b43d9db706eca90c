"""Mutants of a module: one comparison, operator, number or truth changed at a time, found and made over the syntax tree."""

from __future__ import annotations

import ast
import functools
import types
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt}
COUNTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.Pow: ast.Mult,
}  # fmt: skip
NEVER_IN = {"maxsize", "stacklevel", "frozen", "slots", "eq", "strict", "cache", "nogil"}
"""Keywords whose number changes no result."""


Change = Callable[[], None]


@dataclass(frozen=True)
class Mutant:
    """One change: file, which of its changes, and the line it is in."""

    path: Path
    number: int
    line: int

    def text(self) -> str:
        """The whole changed file."""
        return self._made[2]

    @property
    def name(self) -> str:
        """The module, as ``tariffs/charges/tiers.py``."""
        parts = self.path.parts
        return "/".join(parts[len(parts) - parts[::-1].index("costsim") :])

    def code(self, path: Path) -> types.CodeType:
        """The whole changed file compiled, with the lines of the unchanged one."""
        code = compile(self._made[3], str(path), "exec", dont_inherit=True)
        assert isinstance(code, types.CodeType)
        return code

    def __str__(self) -> str:
        """What stood there and what stands there now."""
        return f"{self._made[0][:100]}  ->  {self._made[1][:100]}"

    @functools.cached_property
    def _made(self) -> tuple[str, str, str, ast.Module]:
        tree = ast.parse(self.path.read_text(encoding="utf-8"))
        holder, change = list(_sites(tree))[self.number]
        before = ast.unparse(holder)
        change()
        ast.fix_missing_locations(tree)
        return before, ast.unparse(holder), ast.unparse(tree), tree


def mutants(path: Path) -> list[Mutant]:
    """Every mutant of a file, in the order of its nodes. Annotations and docstrings are left alone."""
    sites = _sites(ast.parse(path.read_text(encoding="utf-8")))
    return [Mutant(path, number, holder.lineno) for number, (holder, _) in enumerate(sites)]


def _sites(tree: ast.AST) -> Iterator[tuple[ast.expr, Change]]:
    """Each expression that can be changed, and what changes it."""
    for node in _walk(tree):
        if isinstance(node, ast.Compare):
            yield from _compared(node)
        elif isinstance(node, ast.BinOp) and type(node.op) in COUNTED and not _is_text(node):
            yield node, _setter(node, "op", COUNTED[type(node.op)]())
        elif isinstance(node, ast.BoolOp):
            yield node, _setter(node, "op", ast.Or() if isinstance(node.op, ast.And) else ast.And())
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            yield node, _truth(node)
        elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
            yield node, _setter(node, "value", not node.value)
        elif isinstance(node, ast.Constant) and isinstance(node.value, int):
            yield node, _setter(node, "value", node.value + 1)
        elif isinstance(node, ast.Constant) and isinstance(node.value, float):
            yield node, _setter(node, "value", node.value * 1.1 if node.value else 1.0)


def _compared(node: ast.Compare) -> Iterator[tuple[ast.expr, Change]]:
    for at, operator in enumerate(node.ops):
        for table in (COMPARED, TURNED):
            if type(operator) in table:
                yield node, _item(node.ops, at, table[type(operator)]())


def _item(items: list[ast.cmpop], at: int, new: ast.cmpop) -> Change:
    def change() -> None:
        items[at] = new

    return change


def _setter(node: ast.AST, name: str, value: object) -> Change:
    return lambda: setattr(node, name, value)


def _truth(node: ast.UnaryOp) -> Change:
    """Leave the `not` out: twice not is the thing itself."""

    def change() -> None:
        node.operand = ast.UnaryOp(ast.Not(), node.operand)

    return change


def _is_text(node: ast.BinOp) -> bool:
    return any(
        isinstance(side, ast.JoinedStr) or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in (node.left, node.right)
    )


def _walk(node: ast.AST) -> Iterator[ast.AST]:
    """All nodes but annotations, imports and keywords that change no result."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "type_params") or (isinstance(node, ast.Subscript) and _is_type(node)):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.keyword) and child.arg in NEVER_IN:
                continue
            if isinstance(child, ast.AST):
                yield child
                yield from _walk(child)


def _is_type(node: ast.Subscript) -> bool:
    return isinstance(node.value, ast.Name) and node.value.id in (
        "Annotated",
        "Literal",
        "tuple",
        "dict",
        "list",
        "NDArray",
        "Callable",
        "Mapping",
    )
