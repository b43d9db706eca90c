"""What a name becomes on a page: one paragraph of the same letters, whatever they are."""

from __future__ import annotations

import re
import unicodedata

import pytest
from markdown_it import MarkdownIt
from trust.hostile import HOSTILE

from costsim.dashboard.state import literal

JOINER = "\u2060"
# what Streamlit's page makes of plain text after the markup is read: links, addresses, emoji, icons, arrows
AFTERWARDS = [
    re.compile(r"(https?://|www(?=\.))([-.\w]+)([^ \t\r\n]*)", re.IGNORECASE),
    re.compile(r"(?:^|\s|[^\w\s])([-.\w+]+)@([-\w]+(?:\.[-\w]+)+)"),
    re.compile(r":\+1:|:-1:|:[A-Za-z][\w-]*:"),
    re.compile(r":material/\w+:|:streamlit:"),
    re.compile(r"<-|->|<->|--|>=|<=|~="),
]
READER = MarkdownIt("commonmark").enable(["table", "strikethrough"])


def shown(text: str) -> tuple[set[str], str]:
    """Kinds of elements that a text becomes, and its letters."""
    kinds, letters = set(), ""
    for token in READER.parse(text):
        kinds.add(token.type)
        for child in token.children or []:
            kinds.add(child.type)
            letters += child.content
    return kinds, letters


def test_the_list_is_long_and_bites() -> None:
    assert len(HOSTILE) >= 130
    harmful = {kind for text in HOSTILE for kind in shown(text)[0]}
    assert {
        "image",
        "link_open",
        "heading_open",
        "code_block",
        "fence",
        "html_block",
        "html_inline",
        "bullet_list_open",
        "table_open",
    } <= harmful


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_a_name_is_shown_letter_by_letter(text: str) -> None:
    for whole in (text, f"a {text}", f"{text} b", f"{text} {text}"):
        for line in (literal(whole), f"**{literal(whole)}**", f"1 · {literal(whole)}"):
            kinds, letters = shown(line)
            assert kinds <= {
                "paragraph_open",
                "inline",
                "paragraph_close",
                "text",
                "text_special",
                "strong_open",
                "strong_close",
            }, kinds
            assert " ".join(whole.split()) in letters.replace(JOINER, "")
            for pattern in AFTERWARDS:
                assert pattern.search(letters) is None, f"{letters!r} holds {pattern.pattern}"


def test_usual_names_have_no_letters_without_width() -> None:
    for text in (
        "Gas, 92 % of 50 kBtu/h",
        "17:00 to 20:00",
        "$1.22/therm",
        "Mr. O'Neill (upstairs)",
        "8 m² and -5 °C",
        "1 200 kWh",
    ):
        assert JOINER not in literal(text)
        assert unicodedata.normalize("NFC", shown(literal(text))[1]) == text
