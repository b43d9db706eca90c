"""The sentences that people read, looked up in one catalogue, so that a second language is one more file.

`tr` and `trn` stand where a sentence is made. ``python -m costsim.catalogue`` writes all of them to `locale/costsim.pot`; a
language is `locale/<code>/LC_MESSAGES/costsim.mo`, made from it with gettext's msginit and msgfmt.
"""

from __future__ import annotations

import contextvars
import gettext
from collections.abc import Callable
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
LOCALE, DOMAIN = HERE / "locale", "costsim"
_SPOKEN: contextvars.ContextVar[gettext.NullTranslations | None] = contextvars.ContextVar("spoken", default=None)
_ASKED: list[Callable[[], str]] = []
"""What tells the language of a thread that has not chosen one."""


def languages() -> list[str]:
    """Codes of the languages that there is a catalogue for; English needs none."""
    return ["en", *sorted(path.parts[-3] for path in LOCALE.glob(f"*/LC_MESSAGES/{DOMAIN}.mo"))]


def speak(language: str | gettext.NullTranslations) -> None:
    """Take a language, or a catalogue, for what this thread says from here on."""
    if isinstance(language, str):
        language = gettext.translation(DOMAIN, LOCALE, [language], fallback=True)
    _SPOKEN.set(language)


def ask(language: Callable[[], str]) -> None:
    """Ask this wherever a thread has not chosen its language, such as in what a button calls before its page is drawn."""
    _ASKED[:] = [language]


def spoken() -> str:
    """Code of the language of this thread, so that what was said in another one is not kept for it."""
    now = _now()
    return now.info().get("language", "") if now is not None else ""


def _now() -> gettext.NullTranslations | None:
    translations = _SPOKEN.get()
    if translations is None and _ASKED:
        speak(_ASKED[0]())
        translations = _SPOKEN.get()
    return translations


def each(value: Any) -> Any:
    """Every text of a tuple of texts, or of tuples of them, in the reader's language."""
    return tr(value) if isinstance(value, str) else tuple(each(part) for part in value)


def tr(text: str, /, **values: object) -> str:
    """A sentence in the reader's language, its places filled.

    Examples
    --------
    >>> tr("{name} costs {cost} a year", name="Gas", cost="$750")
    'Gas costs $750 a year'
    """
    spoken = _now()
    text_now = text if spoken is None else spoken.gettext(text)
    return text_now.format_map(values) if values else text_now


def trn(singular: str, plural: str, count: int, /, **values: object) -> str:
    """A sentence whose form goes by a number, which fills the place ``{count}``.

    Examples
    --------
    >>> trn("{count} hour", "{count} hours", 1), trn("{count} hour", "{count} hours", 2776)
    ('1 hour', '2,776 hours')
    """
    spoken = _now()
    text_now = (singular if count == 1 else plural) if spoken is None else spoken.ngettext(singular, plural, count)
    return text_now.format_map({"count": f"{count:,}", **values})
