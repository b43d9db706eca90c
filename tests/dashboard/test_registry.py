"""What the pages of the dashboard may say of themselves, told before any is drawn."""

from __future__ import annotations

from pathlib import Path

import pytest

from costsim.dashboard.registry import GROUPS, load_pages, pages_in

PAGE = """@page("{key}", "Bill lines", group="{group}", place={place})
def draw(context):
    pass
"""


def written(folder: Path, **pages: tuple[str, str]) -> Path:
    for place, (name, (key, group)) in enumerate(pages.items()):
        (folder / f"page_{name}.py").write_text(PAGE.format(key=key, group=group, place=9 - place), encoding="utf-8")
    return folder


def test_pages_come_by_their_places(tmp_path: Path) -> None:
    found = pages_in(written(tmp_path, first=("one", "Decide"), second=("two", "Share")))
    assert [(one.key, one.group, one.place) for one in found] == [("two", "Share", 8), ("one", "Decide", 9)]
    assert {one.group for one in load_pages()} == set(GROUPS)


def test_a_key_taken_twice_and_a_group_that_is_not_there_are_one_message(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="page_") as raised:
        pages_in(written(tmp_path, first=("bills", "Decide"), second=("bills", "Money"), third=("other", "Share")))
    assert str(raised.value) == (
        "page_second.py: group 'Money' is none of Decide, Your case, Risk, Share: take one of them; "
        "page_second.py: key 'bills' is that of page_first.py: take another, which is its word in the address"
    )


def test_a_page_without_draw_is_named(tmp_path: Path) -> None:
    (tmp_path / "page_empty.py").write_text("x = 1\n", encoding="utf-8")
    with pytest.raises(ValueError, match=r"^page_empty\.py has no draw under @page"):
        pages_in(tmp_path)
