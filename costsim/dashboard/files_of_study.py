"""Open and save a study, with the weather it was computed with, and copy a link to it."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.link import packed
from costsim.dashboard.widgets import tell
from costsim.errors import InputError
from costsim.study.case import parse_study, write_study


def draw_files(persona: str, system: str) -> None:
    """Draw the two menus."""
    with st.popover("Open or save", icon=":material/folder_open:", width="stretch"):
        loaded = st.file_uploader("Open a study file (.toml)", type=["toml"], key=f"upload/{state.revision()}")
        if loaded is not None:
            try:
                data = parse_study(loaded.getvalue(), file=loaded.name)
            except InputError as error:
                tell(error, "This file was not opened; your study is as it was.")
            else:
                state.replace(data, loaded.name)
                st.rerun()
        st.download_button(
            "Save this study",
            write_study(state.typed()),
            file_name="study.toml",
            mime="application/toml",
            on_click="ignore",
        )
    with st.popover("Copy link", icon=":material/link:", width="stretch"):
        code = state.study_name() if state.untouched_demo() else packed(state.typed())
        if code:
            st.caption("Carries the whole study, the reader, the units and this page.")
            base = (st.context.url or "").split("?")[0]
            st.code(f"{base}?persona={persona}&units={system}&study={code}", language=None, wrap_lines=True)
        else:
            st.caption("This study is too long for a link: save it as a file instead.")
