"""A building's envelope taken from a file into the house: HPXML or a list of surfaces."""

from __future__ import annotations

import copy

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.asking import ask, draw_answered
from costsim.dashboard.widgets import say, tell
from costsim.errors import InputError
from costsim.study.building import Building, study_keys
from costsim.study.building_file import read_building
from costsim.views.text_house import text_building
from costsim.words import tr


def draw_envelope_file() -> None:
    """Draw the upload, what was read of the file, and the button that puts it into the house."""
    loaded = st.file_uploader(
        tr("Or from a file: HPXML, or a list of surfaces (.xml, .csv, .xlsx, .zip)"), key=f"envelope/{state.revision()}"
    )
    if loaded is None:
        return
    prefix = f"envelope/about/{loaded.name}"
    try:
        building = read_building(loaded.getvalue(), loaded.name, str(st.session_state.get(f"{prefix}/building") or ""))
        say(text_building(building, state.units_system()))
    except InputError as error:
        if not ask(error, prefix, {"building": "building"}):
            tell(error, tr("No envelope was taken from this file; your study is as it was."))
        return
    draw_answered(prefix)
    if building.surfaces and st.button(tr("Use this envelope"), type="primary"):
        take_envelope(building)
        st.rerun()


def take_envelope(building: Building) -> None:
    """Put surfaces, air-tightness and what else the file tells into the house, and let its load come from them."""
    study = copy.deepcopy(state.typed())
    for key in ("surface", "infiltration"):
        study["house"].pop(key, None)
    study["house"] |= study_keys(building) | {"load_from": "envelope"}
    state.rewrite(study)
