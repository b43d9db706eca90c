"""Open and save a study, with the files it was computed with, and copy a link to it."""

from __future__ import annotations

import re
from pathlib import PurePath
from urllib.parse import quote

import streamlit as st

from costsim.bills.green_button import looks_like_xml
from costsim.dashboard import state
from costsim.dashboard.answers import FILE, LINE, READER_FILE, READER_LINE, answers_code, code_in, take_answers
from costsim.dashboard.papers import in_link, papers, replace_papers
from costsim.dashboard.synthetic_weather import in_link as in_town
from costsim.dashboard.synthetic_weather import know_towns
from costsim.dashboard.trial import kept_study
from costsim.dashboard.widgets import tell
from costsim.errors import Fault, InputError
from costsim.study.bundle import named_files, pack, unpack
from costsim.study.case import parse_study, write_study
from costsim.words import tr


def draw_files(persona: str, system: str) -> None:
    """Draw the two menus."""
    with st.popover(tr("Open or save"), icon=":material/folder_open:", width="stretch"):
        _open()
        _save(persona)
    with st.popover(tr("Copy link"), icon=":material/link:", width="stretch"):
        _link(persona, system)


def _open() -> None:
    loaded = st.file_uploader(tr("Open a saved study (.toml or .zip)"), key=f"upload/{state.revision()}")
    if loaded is None:
        return
    name = PurePath(loaded.name).name
    try:
        raw = loaded.getvalue()
        if name.lower().endswith(".zip"):
            study, files, kept_papers = unpack(raw, file=name)
        else:
            told_what_it_is(name, raw)
            study, files, kept_papers = parse_study(raw, file=name), {}, {}
            files = {FILE: code_in(raw).encode(), READER_FILE: code_in(raw, READER_LINE).encode()}
        answers, reader = (files.pop(part, b"").decode(errors="replace") for part in (FILE, READER_FILE))
    except InputError as error:
        tell(error, tr("This file was not opened; your study is as it was."))
        return
    state.opened().update(files)
    know_towns(files)
    state.replace(study, name)
    take_answers(answers)
    replace_papers(kept_papers)
    st.session_state["persona_saved"] = reader
    st.rerun()


def told_what_it_is(name: str, raw: bytes) -> None:
    """Refuse what is plainly something else by its name and kind."""
    if looks_like_xml(raw):
        remedy = tr("open it on the House page, under “Walls, roof, windows and floor as a list”")
        raise InputError(Fault("", tr("is a building, not a study"), remedy, name))
    if not name.lower().endswith(".toml"):
        remedy = tr(
            "open a .toml or .zip that this program saved; bills and weather have their places on the House page"
        )
        raise InputError(Fault("", tr("is no saved study"), remedy, name))


def _save(persona: str) -> None:
    study = kept_study()
    own, more = named_files(study, state.opened()), papers()
    answers = answers_code()
    text, name = (
        write_study(study) + f"\n{READER_LINE}{persona}\n" + (f"{LINE}{answers}\n" if answers else ""),
        file_name(str(state.get(("title",)) or "")),
    )
    file = f"{name}.toml"
    if names := [*own, *(paper_name for files in more.values() for paper_name in files)]:
        beside = {READER_FILE: persona.encode()} | ({FILE: answers.encode()} if answers else {})
        raw = pack(study, own | beside, more)
        st.download_button(
            tr("Save with its files"),
            raw,
            f"{name}.zip",
            "application/zip",
            on_click=_saved,
            args=(f"{name}.zip",),
            type="primary",
        )
        st.caption(state.literal(tr("One file that opens elsewhere; it holds {files}.", files=", ".join(names))))
        if not own:  # alone it would not open: the weather it names is in the other file
            st.download_button(
                tr("Save the study alone"), text, file, "application/toml", on_click=_saved, args=(file,)
            )
        return
    st.download_button(
        tr("Save the study"), text, file, "application/toml", on_click=_saved, args=(file,), type="primary"
    )


def _saved(file: str) -> None:
    st.toast(state.literal(tr("Saved as {file} among your downloads.", file=file)))


def file_name(title: str) -> str:
    """A name for a file, after the house.

    Examples
    --------
    >>> file_name("My house: gas or not?"), file_name("???")
    ('my-house-gas-or-not', 'study')
    """
    return "-".join(re.findall(r"[a-z0-9]++", title.lower()))[:60].strip("-") or "study"


def _link(persona: str, system: str) -> None:
    code = state.code_of(kept_study())
    if not code:
        st.caption(tr("This study is too long for a link: save it as a file instead."))
        return
    st.caption(tr("Carries the whole study, your answers, the reader and the units."))
    own = named_files(state.typed(), state.opened())
    town = in_town()
    if names := [*([] if town else own), *(name for files in papers().values() for name in files)]:
        st.warning(
            state.literal(tr("A link does not carry {files}: send the saved study instead.", files=", ".join(names)))
        )
    base = (st.context.url or "").split("?")[0].rstrip("/")
    beside = f"&with={quote(in_link())}" if papers() else ""
    beside += f"&town={town}" if town else ""
    beside += f"&answers={answers}" if (answers := answers_code()) else ""
    st.code(f"{base}?persona={persona}&units={system}&study={code}{beside}", language=None, wrap_lines=True)
