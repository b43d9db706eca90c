"""Rows of the kernel's arrays are named once; two names for one row would let one overwrite the other."""

from __future__ import annotations

import ast
from pathlib import Path

from costsim.engine import kernel


def groups() -> list[list[tuple[str, int]]]:
    """Names with their rows, a new group wherever counting begins at 0 again."""
    tree = ast.parse(Path(str(kernel.__file__)).read_text(encoding="utf-8"))
    found: list[list[tuple[str, int]]] = []
    for node in tree.body:
        if (
            isinstance(node, ast.AnnAssign)
            and isinstance(node.target, ast.Name)
            and isinstance(node.value, ast.Constant)
        ):
            name, value = node.target.id, getattr(kernel, node.target.id)
            if isinstance(value, int) and not isinstance(value, bool):
                if value == 0:
                    found.append([])
                elif value != found[-1][-1][1] + 1:  # goes on where an earlier group ended
                    found.append(next(group[:-1] for group in found if group[-1][1] == value and len(group) > value))
                found[-1].append((name, value))
    return found


def test_every_row_has_one_name_and_none_is_left_out() -> None:
    assert len(groups()) >= 5
    for group in groups():
        assert [row for _, row in group] == list(range(len(group))), group
