"""Buttons that move, copy and remove a row of a list of the study."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.field_text import dotted
from costsim.words import tr

Path = state.Path


def row_tools(
    path: Path, at: int, count: int, *, most: int = 1000, least: int = 0, drop: Callable[[int], None] | None = None
) -> None:
    """Buttons that move, copy and remove a row of a list that holds from `least` to `most`; `drop` removes it in its own way."""
    where, rows = f"{dotted(path)}[{at + 1}]", state.get(path) or []
    name = state.literal(str(rows[at].get("name") or tr("number {at}", at=at + 1)))
    remove: tuple[Callable[..., None], tuple[Any, ...]] = (drop, (at,)) if drop else (state.drop, ((*path, at),))
    tools: tuple[tuple[str, str, str, bool, Callable[..., None], tuple[Any, ...]], ...] = (
        ("up", "↑", tr("Move {name} forward", name=name), at == 0, state.move, (path, at, -1)),
        ("down", "↓", tr("Move {name} back", name=name), at == count - 1, state.move, (path, at, 1)),
        ("copy", tr("Copy"), tr("Duplicate {name}", name=name), count >= most, state.duplicate, (path, at)),
        ("drop", tr("Remove"), tr("Remove {name}; Undo brings it back", name=name), count <= least, *remove),
    )
    with st.container(horizontal=True, gap="small", horizontal_alignment="right"):
        for key, label, why, off, work, args in tools:
            st.button(label, key=f"{key}/{where}", help=why, disabled=off, on_click=work, args=args, type="tertiary")
