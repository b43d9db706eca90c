"""Answers of the five questions: kept in the session, carried by link and saved file, and checked where they come back."""

from __future__ import annotations

import contextlib
import copy
from collections.abc import Container, Mapping
from dataclasses import asdict
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.first_cost import noted, take_noted, to_keep
from costsim.dashboard.link import packed, unpacked
from costsim.dashboard.price_question import DAYS, FIREWOOD
from costsim.dashboard.quoted_size import sizes_now, tanks_now
from costsim.dashboard.refit import FittedUse
from costsim.dashboard.todays_question import PEOPLE
from costsim.dashboard.trial import kept_study
from costsim.dashboard.warmth import warmth_of, warmth_shown
from costsim.errors import InputError
from costsim.study.case import built_in_studies
from costsim.study_files import sample_names
from costsim.units.reading import is_bare
from costsim.views.first_study import BESIDE_EMITTERS_ASKED, INSULATION, answers_of
from costsim.views.templates import FIRST, TEMPLATES

SAVED, DRAFT, PREFIX = "answers", "draft", "start/"
FILE, LINE = "answers.txt", "# answers of the five questions, for the dashboard: "
"""Where a saved study holds them: a file beside it, or a comment where it is saved alone."""
READER_FILE, READER_LINE = "reader.txt", "# reader, for the dashboard: "
"""Where it holds who reads it."""
TEXTS = (
    "place",
    "area",
    "thermostat",
    "loss",
    "loss_at",
    "loss_indoor",
    "emitter",
    "beside_area",
    "used",
    "used_at",
    "efficiency",
    "new_efficiency",
    "renew",
    "renew_years",
    "service",
    "service_free",
    "cheap_price",
    "cheap_hours",
)
FIGURES = (
    "area",
    "beside_area",
    "thermostat",
    "loss",
    "loss_at",
    "loss_indoor",
    "used",
    "efficiency",
    "new_efficiency",
    "renew",
    "service",
    "service_free",
    "size",
    "quote",
    "tank",
)
"""Answers that nobody but the reader has given."""
BY_NAME = ("size", "quote", "price", "tank")
CHOICES: dict[str, Container[str]] = {
    "now": FIRST,
    "insulation": INSULATION,
    "cheap_days": DAYS,
    "beside": BESIDE_EMITTERS_ASKED,
    "species": FIREWOOD,
    "people": PEOPLE,
}
LONGEST, MOST_EXAMPLES = 200, 50


def remember(answers: Mapping[str, Any]) -> None:
    """Keep what the page of the five questions holds now."""
    st.session_state[SAVED] = dict(answers)


def answers() -> dict[str, Any]:
    """What was answered before, by the key of its field."""
    return dict(st.session_state.get(SAVED, {}))


def answers_code() -> str:
    """The answers a study of one's own began with, as letters for an address or a file; empty where there are none.

    With them goes which first costs are older than a source.
    """
    kept = {key: value for key, value in answers().items() if _fits(key, value) and value not in (None, "", [], False)}
    old = to_keep(noted(), [option for option in state.get(("option",)) or [] if isinstance(option, dict)])
    more: dict[str, Any] = {"first_costs": old} if old else {}
    if not kept or state.study_name() in built_in_studies():
        return packed(more) if more else ""
    fit: FittedUse | None = st.session_state.get("fitted_use")
    more |= {"fit": asdict(fit)} if fit is not None else {}
    return packed({"answers": kept, "examples": sorted(st.session_state.get("examples", ()))} | more)


def take_answers(code: str) -> None:
    """Take the answers of a link or a saved study in place of those of this session; what is none of them is left out."""
    given: dict[str, Any] = {}
    if code:
        with contextlib.suppress(InputError):  # the study itself is there all the same
            given = unpacked(code)
    kept, fit, examples = given.get("answers"), given.get("fit"), given.get("examples")
    take_noted(given.get("first_costs"))
    for key in [kept_key for kept_key in st.session_state if str(kept_key).startswith(PREFIX)]:
        del st.session_state[key]
    remember({key: value for key, value in kept.items() if _fits(key, value)} if isinstance(kept, dict) else {})
    st.session_state["examples"] = (
        {str(example)[:LONGEST] for example in examples[:MOST_EXAMPLES]} if isinstance(examples, list) else set()
    )
    st.session_state["fitted_use"] = FittedUse.of(fit) if isinstance(fit, dict) else None
    state.keep_beside()


def take_draft(code: str) -> None:
    """Take what a link holds of answers that were typed and not yet used; what is none of them is left out."""
    draft: Any = None
    with contextlib.suppress(InputError):  # the study itself is there all the same
        draft = unpacked(code).get("answers")
    kept = {key: value for key, value in draft.items() if _fits(key, value)} if isinstance(draft, dict) else {}
    remember(answers() | kept)
    _keep(kept)


def keep_draft() -> None:
    """Keep what the form holds and its study does not say, as long as the study stays as it is."""
    was = _from_study() if state.study_name() not in built_in_studies() else {}
    units, draft = st.session_state.get("unit_of", {}), {}
    for key, value in answers().items():  # with its unit, since a bare number is read in the units of who opens a link
        bare = isinstance(value, str) and is_bare(value) and units.get(key)
        text = f"{value} {units[key]}" if bare else value
        if text != was.get(key):
            draft[key] = text
    _keep(draft)


def _keep(draft: dict[str, Any]) -> None:
    st.session_state[DRAFT] = (draft, state.study_name(), copy.deepcopy(kept_study()))


def drop_draft() -> None:
    """Forget it once it is used."""
    st.session_state.pop(DRAFT, None)


def draft_code() -> str:
    """What was typed and not yet used, as letters for the address, so that a reload loses none of it; empty where there is none."""
    if state.study_name() not in built_in_studies():
        kept = _draft()
    else:  # beside an invented house, changed or not, the answers are the reader's
        kept = answers() | _draft() if begun() else {}
        if state.untouched_demo():
            kept = {key: value for key, value in kept.items() if value not in (None, "", [], False)}
    kept = {key: value for key, value in kept.items() if _fits(key, value)}
    return packed({"answers": kept}) if kept else ""


def _draft() -> dict[str, Any]:
    """What was typed beside the study as it stands; nothing once that has changed."""
    kept, *beside = st.session_state.get(DRAFT, ({},))
    return dict(kept) if beside == [state.study_name(), kept_study()] else {}


def restore(emitters: Mapping[str, str]) -> None:
    """Fill in what was answered before, and what the study says by now, when the page is come back to."""
    anew = st.session_state.pop("answers_anew", False)
    if "start/area" in st.session_state and not anew:  # the page is still there; the place may be set from elsewhere
        return
    for key in [kept_key for kept_key in st.session_state if anew and _is_typed(str(kept_key))]:
        st.session_state[key] = ""
    if anew:
        drop_draft()
    kept = _from_study() | _draft()
    examples = st.session_state.get("examples", set())
    known = [*sample_names(), *state.opened()]
    for key, value in kept.items():
        if key.removeprefix("start/price/") in examples:
            continue
        if key == "start/place" and value not in known:
            continue
        if key == "start/emitter" and value not in emitters:
            continue
        st.session_state[key] = value


def _from_study() -> dict[str, Any]:
    """What was answered before, and what the study says by now."""
    kept = answers()
    if state.study_name() not in built_in_studies():  # an invented house, changed or not, is not the reader's
        study = kept_study()  # a price that a slider tries is none that is paid
        entries = {f"{PREFIX}{key}": value for key, value in answers_of(study).items()}
        fit: FittedUse | None = st.session_state.get("fitted_use")
        if kept.get("start/used") and fit is not None:  # another setting now leaves what was used then as it was
            kept["start/used_at"] = warmth_shown(fit.thermostat, state.units_system())
        if "start/thermostat" in entries:
            entries["start/thermostat"] = warmth_shown(warmth_of(study["house"]), state.units_system())
        kept |= {key: _as_written(value) if _is_quantity(key) else value for key, value in entries.items()}
        kept |= sizes_now(study, kept, state.units_system()) | tanks_now(study, kept, state.units_system())
    return kept


def _is_quantity(key: str) -> bool:
    part = key.removeprefix(PREFIX)
    return part in (
        "area",
        "beside_area",
        "loss",
        "loss_at",
        "loss_indoor",
        "service",
        "service_free",
        "cheap_price",
        "renew",
    ) or part.startswith(("price/", "quote/"))


def _as_written(value: Any) -> Any:
    """A text of the study as the reader would write it, with what stands behind a plus."""
    parts = str(value).split(" + ")
    return " + ".join(part if "_" in part else as_shown(part, state.units_system()) for part in parts)


def begun() -> bool:
    """Whether somebody has begun to answer: a figure is typed, or something is chosen to compare."""
    kept = answers()
    figures = [value for key, value in kept.items() if key.removeprefix(PREFIX).partition("/")[0] in FIGURES]
    return any(figures) or bool(kept.get("start/considered"))


def code_in(raw: bytes, line: str = LINE) -> str:
    """The answers, or what else a line begins with, in a study that was saved alone; empty where it holds none."""
    lines = raw.decode(errors="replace").splitlines()
    return next((row.removeprefix(line).strip() for row in lines if row.startswith(line)), "")


def _is_typed(key: str) -> bool:
    """Whether a key is that of a field in which people type."""
    part = key.removeprefix(PREFIX)
    return key.startswith(PREFIX) and part not in ("place", "emitter", "beside") and _fits(key, "")


def _fits(key: object, value: Any) -> bool:
    """Whether a value may stand in the field of that key."""
    part = str(key).removeprefix(PREFIX)
    if not str(key).startswith(PREFIX):
        return False
    if part in ("hot_water", "cheap"):
        return isinstance(value, bool)
    if part == "considered":
        return isinstance(value, list) and all(
            isinstance(template, str) and template in TEMPLATES for template in value
        )
    if not isinstance(value, str) or len(value) > LONGEST:
        return False
    if part in CHOICES:
        return value in CHOICES[part]
    head, _, name = part.partition("/")
    return part in TEXTS or (head in BY_NAME and bool(name) and "/" not in name)
