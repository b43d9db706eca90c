"""The menu of units in a field, in a real browser: at three widths, named for screen readers, by keyboard alone."""

from __future__ import annotations

import pytest
from browser.chrome import Page

FITS = """[...document.querySelectorAll('[class*=st-key-unit-]')].map(menu => {
  const field = menu.previousElementSibling.querySelector('input'), inner = menu.querySelector('input');
  const box = field.closest('[data-testid=stTextInputRootElement]').getBoundingClientRect(), own = menu.getBoundingClientRect();
  const style = getComputedStyle(inner), brush = document.createElement('canvas').getContext('2d');
  brush.font = style.font;
  return {name: inner.ariaLabel, label: field.ariaLabel, inside: own.left > box.left + 40 && own.right <= box.right + 1
      && Math.abs(own.top - box.top) < 3 && own.bottom <= box.bottom + 3,
    whole: brush.measureText(inner.value).width <= inner.clientWidth - parseFloat(style.paddingLeft) + 1};
})"""


@pytest.mark.parametrize("width", [390, 1280, 1920])
def test_menus_stand_inside_their_fields_and_are_named(server: str, page: Page, width: int) -> None:
    page.size(width, 900)
    page.open(f"{server}/house?study=your_house")
    found = page.run(FITS)
    assert len(found) > 5
    for one in found:
        assert one["name"] == f"Unit of {one['label']}"
    assert [one["label"] for one in found if not one["inside"]] == []
    assert [one["label"] for one in found if not one["whole"]] == []


def test_a_unit_is_chosen_by_keyboard_and_shows_the_same_area(server: str, page: Page) -> None:
    page.size(1280, 900)
    page.open(f"{server}/house?study=your_house")
    field = "[...document.querySelectorAll('input')].find(e => e.ariaLabel === 'Heated floor area').value"
    assert page.run(field) == "1,500"
    link = page.run("location.href")
    page.tab_to("Unit of Heated floor area")
    with page.rerun():
        page.press("ArrowDown", 40)
        page.press("ArrowDown", 40)
        page.enter()
    assert page.run(field) == "139.4"
    assert page.run("location.href") == link  # the study, which the link holds, is the same
