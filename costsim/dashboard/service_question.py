"""The electric service among the five questions: asked where electric heat is compared or heats the house today, kept elsewhere."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from costsim.dashboard.asked import asked
from costsim.dashboard.kinds import measured_of
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.service import asks_for_service
from costsim.study.selection import Selection
from costsim.units.reading import Reading
from costsim.views.templates import TEMPLATES
from costsim.words import tr

KEYS = {"service": "service_a", "service_free": "service_free_a"}
"""Keys of `[selection]`, which are the fields' too, with the names of the model's fields."""


def service_labels() -> dict[str, str]:
    """The labels of the fields."""
    return {
        "service": tr("Electric service (main breaker), if you know it"),
        "service_free": tr("Amps still free for new heat, if you know"),
    }


def ask_service(compared: Sequence[str], form: Form) -> dict[str, Reading]:
    """Ask for main breaker and what is free, by key of `[selection]`.

    Nothing where none of what is `compared`, today's heating among it, is electric, or volts are not known.
    """
    sources = [source for key in compared for source in TEMPLATES[key].sources(1e4, form.system)]
    if form.currency != "$" or not asks_for_service(sources):
        return {}
    readings, amps = {}, {}
    for (key, label), column, example in zip(service_labels().items(), st.columns(2), ("200 A", "100 A"), strict=True):
        measured = measured_of(Selection.model_fields[KEYS[key]])
        assert measured is not None
        with column:
            readings[key] = asked(label, f"start/{key}", measured, form, example)
        if readings[key].text:
            amps[key] = float(measured.read(readings[key].text))
    if len(amps) == len(readings) and amps["service_free"] > amps["service"]:
        st.error(tr("No more can be free than the service has."))
        readings["service_free"] = Reading("", "wrong")
    st.caption(
        tr(
            "The number on the main breaker; how much is still free an electrician can tell. Empty: we only warn where electric heat takes"
            " most of a usual 200 A service."
        )
    )
    return readings


def put_service(study: dict[str, Any], typed: Mapping[str, Any], service: Mapping[str, Reading]) -> None:
    """Put the answers into a study, beside what else of its selection was typed before; what was not asked stays as it was."""
    kept = copy.deepcopy(dict(typed.get("selection", {})))
    for key, reading in service.items():
        kept.pop(key, None)
        if reading.text:
            kept[key] = reading.text
    if kept:
        study["selection"] = kept
