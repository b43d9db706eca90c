"""A heat-loss calculation among the five questions: its load, and the temperatures outdoors and indoors at which it is meant."""

from __future__ import annotations

from dataclasses import dataclass

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.asked import asked
from costsim.dashboard.opened import weather_named
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.todays_question import usual_warmth
from costsim.errors import InputError
from costsim.study.house import USUAL_INDOOR
from costsim.units.fields import QuantityField
from costsim.units.quantity import parse, show
from costsim.units.reading import Reading
from costsim.weather import design_temperature
from costsim.words import tr

LOSS = QuantityField("power", "Design heat loss", above=0, at_most=1e8, example="33 kBtu/h")
LOSS_AT = QuantityField("temperature", "Outdoor temperature", at_least=-60, at_most=15, example="-15 degF")
LOSS_INDOOR = QuantityField("temperature", "Indoor temperature", at_least=15, at_most=30, example="70 degF")


@dataclass(frozen=True, slots=True)
class Calculation:
    """What was typed of it; all empty where there is none."""

    loss: Reading
    at: Reading
    indoor: Reading

    def readings(self) -> list[tuple[str, Reading]]:
        """All answers with the labels of their fields."""
        return [
            (tr("Design heat loss, from a calculation"), self.loss),
            (tr("At an outdoor temperature of"), self.at),
            (tr("And an indoor temperature of"), self.indoor),
        ]

    def by_key(self) -> dict[str, Reading]:
        """All answers by the last part of their field's key."""
        return {"loss": self.loss, "loss_at": self.at, "loss_indoor": self.indoor}


def ask_loss(place: str, planned: str, form: Form) -> Calculation:
    """Ask for a calculation; one for another indoor temperature than the `planned` setting is told at both."""
    us = form.system == "us"
    with st.expander(tr("I have a heat-loss calculation"), expanded=bool(st.session_state.get("start/loss"))):
        left, middle, right = st.columns(3)
        with left:
            loss = asked(
                tr("Design heat loss, from a calculation"), "start/loss", LOSS, form, "33 kBtu/h" if us else "10 kW"
            )
        with middle:
            at = asked(tr("At an outdoor temperature of"), "start/loss_at", LOSS_AT, form, "-15 °F" if us else "-20 °C")
            if place and not at.text and (outdoor := _design_c(place)) is not None:
                shown = show(outdoor, "temperature", form.system, 0)
                st.caption(
                    state.literal(tr("Empty: {outdoor}, the design temperature of this station.", outdoor=shown))
                )
        with right:
            indoor = asked(
                tr("And an indoor temperature of"), "start/loss_indoor", LOSS_INDOOR, form, usual_warmth(form.system)
            )
            if not indoor.text:
                usual = usual_warmth(form.system)
                st.caption(state.literal(tr("Empty: {indoor}, as most calculations take it.", indoor=usual)))
        calculation = Calculation(loss, at, indoor)
        if note := told_at(calculation, planned, _design_c(place) if place else None, form.system):
            st.caption(state.literal(note))
        st.caption(
            tr("Bills are better than a rule of thumb: afterwards, open “Measure it from bills” on the House page.")
        )
    return calculation


def told_at(calculation: Calculation, planned: str, design_c: float | None, system: str) -> str:
    """What a calculation is at the setting that is planned, a text of a study or empty; empty where that is the calculation's own.

    `design_c` is the station's outdoor design temperature, None where no station is chosen.
    """
    outdoor_c = parse(calculation.at.text, "temperature").value if calculation.at.text else design_c
    if not calculation.loss.text or outdoor_c is None:
        return ""
    indoor_c, set_c = (
        parse(text or USUAL_INDOOR[system], "temperature").value for text in (calculation.indoor.text, planned)
    )
    if abs(indoor_c - set_c) < 0.01 or outdoor_c >= min(indoor_c, set_c):
        return ""
    load_w = parse(calculation.loss.text, "power").value
    return tr(
        "{loss} at {indoor} indoors is {now} at the {set_to} of your thermostat: the year is counted so, sizes follow the larger.",
        loss=show(load_w, "power", system, 1),
        indoor=show(indoor_c, "temperature", system, 0),
        now=show(load_w * (set_c - outdoor_c) / (indoor_c - outdoor_c), "power", system, 1),
        set_to=show(set_c, "temperature", system, 0),
    )


def _design_c(place: str) -> float | None:
    """The outdoor temperature at which a design heat loss is meant there [°C]; None where its weather cannot be read."""
    try:
        return design_temperature(weather_named(place))[0]
    except InputError:
        return None
