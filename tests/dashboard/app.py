"""The dashboard in a test: open a page, find a field."""

from __future__ import annotations

import contextlib
import functools
from pathlib import Path
from typing import Any

import pvlib  # noqa: F401  # its first import silences a warning, which two threads at once would undo
from streamlit.navigation.page import calc_hash
from streamlit.testing.v1 import AppTest

SCRIPT = Path(__file__).parents[2] / "app.py"
with contextlib.suppress(ImportError):  # an older streamlit does not look
    from streamlit.components.v2 import manifest_scanner

    # each run of a page in a test looks through all packages that are installed for further elements of pages
    manifest_scanner.scan_component_manifests = functools.cache(manifest_scanner.scan_component_manifests)


def opened(page: str = "decide", **query: str) -> AppTest:
    """The dashboard at a page, run once."""
    app = AppTest.from_file(str(SCRIPT), default_timeout=90)
    for key, value in query.items():
        app.query_params[key] = value
    return turn(app, page)


def turn(app: AppTest, page: str) -> AppTest:
    """Go to another page of the same session."""
    app._page_hash = calc_hash("" if page == "decide" else page)
    app.run()
    assert not app.exception, app.exception
    return app


def again(app: AppTest, page: str = "decide") -> AppTest:
    """What a reload of the page's address gives: another session that knows nothing but the address."""
    return opened(page, **{key: one[0] if isinstance(one, list) else one for key, one in app.query_params.items()})


def field(app: AppTest, label: str) -> Any:
    """The first text field of a label."""
    return next(one for one in app.text_input if one.label == label)


def press(app: AppTest, label: str) -> AppTest:
    """Press the first button of a label."""
    next(one for one in app.button if one.label == label).click().run()
    assert not app.exception, app.exception
    return app


def slide(app: AppTest, part: str, factor: float) -> str:
    """Move the first price slider whose key or label holds a text to the stop nearest to so many times its price; gives the price's key."""
    slider = next(one for one in app.select_slider if part in f"{one.key} {one.label}")
    slider.set_value(min(map(float, slider.options), key=lambda one: abs(one - slider.value * factor))).run()
    assert not app.exception, app.exception
    return str(slider.key).rsplit("/", 1)[1]


def verdict(app: AppTest) -> str:
    """The decision on the first page."""
    return str(app.title[0].value).replace("\\", "")


def said(app: AppTest) -> str:
    """All sentences of the page that are no fields."""
    parts = (app.text, app.markdown, app.caption, app.error, app.warning, app.info)
    return "\n".join(str(one.value) for kind in parts for one in kind).replace("\\", "")
