"""Which pages a reader gets, from made-up parts: no page of theirs is missing and none of another's is among them."""

from __future__ import annotations

import gettext
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from costsim.report import content, write
from costsim.report.blocks import Facts, Heading, Items, Report, Table, Text, labels, table
from costsim.report.content import report_of
from costsim.report.html import as_html
from costsim.report.reader import LINE, for_reader
from costsim.views.size_rows import CONFIRM
from costsim.words import speak, spoken


@pytest.fixture
def parts(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Each page as one line that names it; the number of sources that wait is the number of blocks asked."""
    monkeypatch.setattr(content, "basis_of", lambda case, weather, system, option: option or "answer's")
    monkeypatch.setattr(content, "replace", lambda basis, short: f"short {basis}")
    monkeypatch.setattr(content, "inspect_pages", lambda _: (Text("inspector's"),))
    for name in ("household_sheet", "sheet_pages", "sheet_summary"):
        monkeypatch.setattr(content, name, lambda basis, name=name: (Text(f"{name} of {basis}"), Text("more")))
    for name in ("household_page", "sign_page"):
        monkeypatch.setattr(content, name, lambda basis, waiting, name=name: (Text(f"{name} of {basis}, {waiting}"),))
    monkeypatch.setattr(content, "count_to_confirm", len)
    return SimpleNamespace(title="T", note="N", currency="€")


def told(report: Report) -> list[list[str]]:
    return [[one.text for one in part if isinstance(one, Text)] for part in (report.sign, report.inspect, report.sheet)]


def test_each_reader_has_pages_of_their_own(parts: Any) -> None:
    weather: Any = None
    whole = report_of(parts, weather)
    assert told(whole) == [["sign_page of answer's, 3"], ["inspector's"], ["sheet_pages of answer's", "more"]]
    assert (whole.system, whole.paper, whole.title, whole.note) == ("us", "a4", "T", "N")
    home = report_of(parts, weather, "si", reader="household", option="B")
    assert told(home) == [["household_page of B, 2"], [], ["household_sheet of B", "more"]]
    short = report_of(parts, weather, short=True, paper="letter")
    assert told(short) == [["sign_page of short answer's, 3"], [], ["sheet_summary of short answer's", "more"]]
    assert short.paper == "letter"


def test_a_file_has_the_whole_report_unless_a_short_one_is_asked_for(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    asked: list[dict[str, Any]] = []
    monkeypatch.setattr(write, "report_of", lambda *_, **more: asked.append(more) or "report")
    monkeypatch.setitem(write.FORMS, ".html", lambda report: report.encode())
    nothing: Any = None
    assert write.write_report(nothing, nothing, tmp_path / "a.html") == "report"
    write.write_report(nothing, nothing, tmp_path / "a.html", short=True)
    assert [one["short"] for one in asked] == [False, True]
    assert (tmp_path / "a.html").read_bytes() == b"report"


def made(*sheet: Any, system: str = "si", inspect: tuple[Any, ...] = ()) -> Report:
    return Report("Title", "", "by", system, "a4", (Text("first"),), inspect, sheet)


def test_what_rests_on_memory_is_listed_at_the_end_with_a_line_for_each() -> None:
    """Once each, in the reader's words; a household's trades look it up, an inspector before signing."""
    assert for_reader(made(Text("seen"))) == made(Text("seen"))
    rows = table("", ["a", "b"], [["Pump", "EN 1 (value from memory)"], ["Pump", "EN 1 (value from memory)"]], "ww")
    home = for_reader(made(rows))
    assert home.sheet[1] == Heading("Values for your trades to check")
    assert isinstance(home.sheet[2], Table)
    assert home.sheet[2].rows == (("Pump", f"EN 1 ({CONFIRM})", ""),)
    assert home.sheet[2].note.endswith("your licensed trades know the local edition.")
    signed = for_reader(made(rows, inspect=(Text("inspector's"),)))
    assert signed.sheet[1] == Heading("To be confirmed before anybody signs")
    assert isinstance(signed.sheet[2], Table)
    assert signed.sheet[2].note.endswith("before you sign.")
    assert isinstance(signed.sheet[0], Table)
    assert signed.sheet[0].rows[0] == ("Pump", f"EN 1 ({CONFIRM})")
    assert signed.sheet[0].aligned == "ww"
    assert LINE in CONFIRM.split()  # one length of line to write on


def test_a_list_stands_in_one_column_unless_it_is_set_in_two() -> None:
    page = as_html(made(Items((("a", "b", "c"),)), Items((("d", "e", "f"),), columns=2), Facts((("g", "h"),))))
    assert page.count('<ul class="items">') == page.count('<ul class="items two">') == 1
    assert page.endswith("</html>\n")
    assert "&lt;b&gt;" in as_html(made(Text("<b>")))


def test_a_page_says_which_language_it_is_in() -> None:
    before = spoken()
    assert labels()["language"] == (before or "en")

    class Spanish(gettext.NullTranslations):
        def info(self) -> dict[str, str]:
            return {"language": "es"}

    try:
        speak(Spanish())
        assert labels()["language"] == "es"
        assert '<html lang="es">' in as_html(made())
        speak("en")
        assert '<html lang="en">' in as_html(made())
    finally:
        speak(before or "en")
