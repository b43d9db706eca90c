"""The catalogue of sentences: whole, of the day, and with nothing that goes past it on the first pages."""

from __future__ import annotations

import gettext
import re

import pytest
from dashboard.app import opened
from streamlit.testing.v1 import AppTest

from costsim import catalogue, words
from costsim.dashboard.personas import PERSONAS
from costsim.study.case import built_in_studies
from costsim.study_files import sample_names
from costsim.units.table import CURRENCIES

UNITS = {*CURRENCIES.values(), "kWh", "therm", "gal", "cord", "US", "SI", "kW", "Btu", "kBtu", "ft", "am", "pm", "CO"}
MONTHS = set(["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"])


class Pseudo(gettext.NullTranslations):
    """A language in which every sentence stands in brackets, so that what was not looked up is seen."""

    def gettext(self, message: str) -> str:
        return f"⟦{message}⟧"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return f"⟦{msgid1 if n == 1 else msgid2}⟧"


def shown(app: AppTest) -> list[str]:
    """Every text that stands on a page: sentences, labels, helps, choices and figures."""
    texts: list[str] = []
    for kind in (app.title, app.header, app.caption, app.text, app.markdown, app.error, app.warning, app.info):
        texts += [str(one.value) for one in kind]
    for kind in (
        app.button,
        app.text_input,
        app.selectbox,
        app.toggle,
        app.slider,
        app.expander,
        app.metric,
        app.button_group,
    ):
        for one in kind:
            texts += [str(getattr(one, name, "") or "") for name in ("label", "placeholder")]
            texts += (
                [str(one.value)] if one.type == "metric" else [str(choice) for choice in getattr(one, "options", ())]
            )
            help_text = getattr(one, "help", "")
            texts += [help_text] if isinstance(help_text, str) else []
    return texts


def without_brackets(text: str) -> str:
    """What is left of a text once all that was looked up is gone, with what it holds."""
    while (left := re.sub(r"⟦[^⟦⟧]*⟧", "", text)) != text:
        text = left
    return text


LATER = [pytest.param("decide", one, marks=pytest.mark.long) for one in PERSONAS if one != "household"]


@pytest.mark.parametrize(("page", "persona"), [("start", "household"), ("decide", "household"), *LATER])
def test_no_english_is_left_on_the_first_pages_in_another_language(
    page: str, persona: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("costsim.dashboard.shell.speak", lambda _: words.speak(Pseudo()))
    app = opened(page, persona=persona, study=PERSONAS[persona].study)
    study = built_in_studies()[PERSONAS[persona].study].read_text(encoding="utf-8")
    data = {
        word.lower() for word in re.findall(r"[A-Za-z]{2,}", " ".join([study, *sample_names(), *built_in_studies()]))
    }
    texts = shown(app)
    assert sum("⟦" in one for one in texts) > 20
    for text in texts:
        left = re.findall(r"[A-Za-z]{2,}", re.sub(r":material/\w+:|:\w+\[", "", without_brackets(text)))
        english = [word for word in left if word.lower() not in data and word not in UNITS | MONTHS]
        assert not english, (english, text)
    words.speak("en")


def test_the_catalogue_is_that_of_the_sentences_said_today() -> None:
    kept = (words.LOCALE / f"{words.DOMAIN}.pot").read_text(encoding="utf-8")
    assert kept == catalogue.template(), "run python -m costsim.catalogue"
    said = catalogue.sentences()
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
