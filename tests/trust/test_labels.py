"""Every label, option, caption, note and heading of every page, with hostile names in all places that take one."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator
from itertools import cycle
from typing import Any

import pytest
from dashboard.app import SCRIPT, turn
from google.protobuf.message import Message
from streamlit.testing.v1 import AppTest
from trust.hostile import HOSTILE
from trust.test_literal import AFTERWARDS, READER

from costsim.dashboard.registry import load_pages
from costsim.study.case import built_in_studies, case_from

NAMES = [
    text
    for text in HOSTILE
    if text.isprintable() and len(text) <= 70 and "evil" in text.lower() and "\u202e" not in text
]
PLAIN = {
    "text",
    "code",
    "data_frame",
    "arrow_data_frame",
    "plotly_chart",
    "text_input",
    "text_area",
    "number_input",
    "html",
    "file_uploader",
}
"""Elements whose content is shown as it is; their labels are looked at all the same."""
MARKED = ("label", "help", "body", "caption", "captions", "text", "title")


def renamed(data: Any, names: Iterator[str]) -> Any:
    if isinstance(data, list):
        return [renamed(one, names) for one in data]
    if not isinstance(data, dict):
        return data
    named = {"name": next(names)} if {"name", "kind"} & set(data) else {}
    return {key: renamed(value, names) for key, value in data.items()} | named


def study(at: int) -> dict[str, Any]:
    """A study whose title, note, options, sources, surfaces, periods and price tables have such names."""
    data = tomllib.loads(built_in_studies()["net_loft"].read_text(encoding="utf-8"))
    names = (f"{name} {number}" for number, name in enumerate(cycle(NAMES[at:] + NAMES[:at])))
    data["house"]["surface"] = [{"name": "Walls", "area": "140 m2", "typical": "frame_wall_2x6"}]
    data["prices"]["electricity"]["period"] = [
        {"name": "x", "energy": data["prices"]["electricity"]["energy"], "windows": ["22:00-06:00"]}
    ]
    data = renamed(data, names)
    data["title"], data["note"] = next(names), f"{next(names)} and {next(names)}"
    data["option"][0]["source"][0]["price"] = key = next(names)
    data["prices"][key] = data["prices"]["electricity"] | {"fuel": "electricity"}
    case_from(data)
    return dict(data)


def texts(message: Message, path: str = "") -> Iterator[tuple[str, str]]:
    """Every text of an element that the page reads as markup, with where it stands."""
    for field, value in message.ListFields():
        repeated = field.is_repeated if hasattr(field, "is_repeated") else field.label == field.LABEL_REPEATED
        for one in value if repeated and not hasattr(value, "items") else [value]:
            here = f"{path}.{field.name}"
            if isinstance(one, Message):
                yield from texts(one, here)
            elif isinstance(one, str) and field.name in MARKED:
                yield here, one


def elements(app: AppTest) -> Iterator[tuple[str, Message]]:
    """All elements and blocks that were drawn."""
    for delta in app._tree:
        proto = getattr(delta, "proto", None)
        if isinstance(proto, Message):
            yield type(delta).__name__, proto


def assert_harmless(where: str, text: str) -> None:
    for token in READER.parse(text):
        for child in (token, *(token.children or [])):
            name = child.content.lower() + str(child.attrs).lower()
            if child.type in ("image", "link_open", "html_inline", "html_block", "code_inline", "code_block", "fence"):
                inner = "" if child.type == "link_open" and "evil" not in str(child.attrs).lower() else name
                assert "evil" not in inner, f"{where}: {text!r} becomes {child.type}"
            if child.type in ("text", "text_special"):
                for pattern in AFTERWARDS[:4]:
                    for found in pattern.finditer(child.content):
                        assert "evil" not in found[0].lower(), f"{where}: {text!r} becomes {found[0]!r}"


@pytest.mark.long
@pytest.mark.parametrize("page", [one.key for one in load_pages()])
@pytest.mark.parametrize("at", [0, 40])
def test_no_label_of_a_page_is_more_than_its_letters(page: str, at: int) -> None:
    app = AppTest.from_file(str(SCRIPT), default_timeout=120)
    data = study(at)
    app.session_state["typed"], app.session_state["study_name"] = (
        copy.deepcopy(data),
        "![evil](http://evil.example/a.png)",
    )
    app.session_state["show_all"] = True
    turn(app, page)
    seen = 0
    for kind, proto in elements(app):
        if kind.lower() in PLAIN and kind.lower() in ("text", "code", "html"):
            continue
        for where, text in texts(proto):
            seen += "evil" in text.lower()
            assert_harmless(f"{page}, {kind}{where}", text)
    assert seen or page not in ("decide", "sources", "prices")
