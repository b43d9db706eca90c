"""Open and save a study, with the files it was computed with, and copy a link to it."""

from __future__ import annotations

from pathlib import PurePath

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.link import packed
from costsim.dashboard.widgets import tell
from costsim.errors import InputError
from costsim.study.bundle import named_files, pack, unpack
from costsim.study.case import parse_study, write_study


def draw_files(persona: str, system: str) -> None:
    """Draw the two menus."""
    with st.popover("Open or save", icon=":material/folder_open:", width="stretch"):
        _open()
        _save()
    with st.popover("Copy link", icon=":material/link:", width="stretch"):
        _link(persona, system)


def _open() -> None:
    loaded = st.file_uploader("Open a saved study", type=["toml", "zip"], key=f"upload/{state.revision()}")
    if loaded is None:
        return
    name = PurePath(loaded.name).name
    try:
        if name.lower().endswith(".zip"):
            data, files = unpack(loaded.getvalue(), file=name)
        else:
            data, files = parse_study(loaded.getvalue(), file=name), {}
    except InputError as error:
        tell(error, "This file was not opened; your study is as it was.")
        return
    state.opened().update(files)
    state.replace(data, name)
    st.rerun()


def _save() -> None:
    own = named_files(state.typed(), state.opened())
    text = write_study(state.typed())
    if own:
        raw = pack(state.typed(), own)
        st.download_button(
            "Save with its files", raw, "study.zip", "application/zip", on_click="ignore", type="primary"
        )
        st.caption(state.literal(f"One file that opens elsewhere; it holds {', '.join(own)}."))
    st.download_button("Save the study", text, "study.toml", "application/toml", on_click="ignore")


def _link(persona: str, system: str) -> None:
    code = state.study_name() if state.untouched_demo() else packed(state.typed())
    if not code:
        st.caption("This study is too long for a link: save it as a file instead.")
        return
    st.caption("Carries the whole study, the reader, the units and this page.")
    if own := named_files(state.typed(), state.opened()):
        st.warning(state.literal(f"A link does not carry {', '.join(own)}: send the saved study instead."))
    base = (st.context.url or "").split("?")[0].rstrip("/")
    st.code(f"{base}?persona={persona}&units={system}&study={code}", language=None, wrap_lines=True)
