"""The catalogue of sentences: whole, of the day, and with nothing that goes past it on the first pages."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape

import pytest
from dashboard.app import opened, turn
from dashboard.pseudo import Pseudo, data_of, english, shown

from costsim import catalogue, load_weather, read_study, words
from costsim.dashboard.personas import PERSONAS
from costsim.dashboard.registry import load_pages
from costsim.report.content import report_of
from costsim.report.html import as_html
from costsim.weather.towns import towns

PAGES = tuple(one.key for one in load_pages())


@pytest.fixture
def brackets(monkeypatch: pytest.MonkeyPatch) -> Iterator[Pseudo]:
    """Everything is said in the language of brackets."""
    spoken = Pseudo()
    monkeypatch.setattr("costsim.dashboard.shell.speak", lambda _: words.speak(spoken))
    words.speak(spoken)
    yield spoken
    words.speak("en")


LATER = [pytest.param(one, marks=pytest.mark.long) for one in PERSONAS if one != "household"]


@pytest.mark.long
@pytest.mark.parametrize("persona", ["household", *LATER])
def test_no_english_is_left_on_any_page_in_another_language(persona: str, brackets: Pseudo) -> None:
    study = PERSONAS[persona].study
    data = data_of(study)
    app = opened(PAGES[0], persona=persona, study=study)
    for page in PAGES:
        texts = list(shown(turn(app, page)))
        assert sum("⟦" in one for one in texts) > 20, page
        left = {text: words for text in texts if text not in towns() and (words := english(text, data))}
        assert not left, (page, left)


@pytest.mark.parametrize("reader", ["household", pytest.param("installer", marks=pytest.mark.long)])
def test_no_english_is_left_in_a_report_in_another_language(reader: str, brackets: Pseudo) -> None:
    case = read_study("lantern_cottage")
    data = data_of("lantern_cottage")
    report = report_of(case, load_weather(case), "us", reader=reader)
    page = re.sub(r"<style>.*?</style>", "", as_html(report), flags=re.S)
    texts = [unescape(one) for one in re.findall(r">([^<]+)<", page)]
    texts += [unescape(one) for one in re.findall(r'(?:aria-label|title|alt)="([^"]+)"', page)]
    assert sum("⟦" in one for one in texts) > 100
    left = {text: words for text in texts if (words := english(text, data))}
    assert not left, "\n".join(map(str, left.items()))


@pytest.mark.long
def test_the_catalogue_is_that_of_the_sentences_said_today() -> None:
    kept = (words.LOCALE / f"{words.DOMAIN}.pot").read_text(encoding="utf-8")
    said = catalogue.sentences()
    assert kept == catalogue.template(said), "run python -m costsim.catalogue"
    assert ("{name} costs least: {cost} a year.",) in said
    assert ("Cold days",) in said
    for forms in said:
        places = [set(re.findall(r"{(\w+)}", form)) for form in forms]
        assert len(set(map(frozenset, places))) == 1, forms


def test_a_language_is_one_file(tmp_path, monkeypatch: pytest.MonkeyPatch) -> None:
    import struct

    pairs = sorted({"": "Content-Type: text/plain; charset=UTF-8\n", "Undo": "Deshacer"}.items())
    ids, texts, table = b"", b"", []
    for one, other in pairs:
        table.append((len(one.encode()), len(ids), len(other.encode()), len(texts)))
        ids += one.encode() + b"\0"
        texts += other.encode() + b"\0"
    start = 28 + 16 * len(pairs)
    head = struct.pack("<7I", 0x950412DE, 0, len(pairs), 28, 28 + 8 * len(pairs), 0, 0)
    keys = b"".join(struct.pack("<2I", size, start + at) for size, at, _, _ in table)
    values = b"".join(struct.pack("<2I", size, start + len(ids) + at) for _, _, size, at in table)
    folder = tmp_path / "es" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    (folder / "costsim.mo").write_bytes(head + keys + values + ids + texts)
    monkeypatch.setattr(words, "LOCALE", tmp_path)
    assert words.languages() == ["en", "es"]
    words.speak("es")
    try:
        assert words.tr("Undo") == "Deshacer"
        assert words.tr("Redo") == "Redo"
    finally:
        words.speak("en")
    assert words.tr("Undo") == "Undo"
