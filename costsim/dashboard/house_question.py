"""The second question: how large the house is, how well insulated, and how warm it will be kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import streamlit as st

from costsim.dashboard.asked import asked
from costsim.dashboard.loss_question import Calculation, ask_loss
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.todays_question import ask_warmth
from costsim.units.fields import QuantityField
from costsim.units.reading import Reading
from costsim.views.first_study import INSULATION
from costsim.words import tr

AREA = QuantityField("area", "Heated floor area", above=0, at_most=1e6, example="1500 ft2", usual=(20.0, 1000.0))
USUAL_AREA = {"us": "1500 ft2", "si": "140 m2"}
"""Where none is typed."""


@dataclass(frozen=True, slots=True)
class HouseAsked:
    """What was answered of the house."""

    area: Reading
    insulation: str
    thermostat: Reading
    nights: list[dict[str, Any]]
    """Set-backs typed with the thermostat's setting, as a study holds them."""
    calculation: Calculation

    def readings(self) -> list[tuple[str, Reading]]:
        """All answers with the labels of their fields."""
        return [
            (tr("Heated floor area"), self.area),
            (tr("How warm will you keep it?"), self.thermostat),
            *self.calculation.readings(),
        ]


def ask_house(place: str, form: Form) -> HouseAsked:
    """Draw the question; `place` is the name of the weather chosen, or empty."""
    left, right = st.columns(2)
    with left:
        example = "1,500 sq ft" if form.system == "us" else "140 m²"
        area = asked(tr("Heated floor area"), "start/area", AREA, form, example)
    insulation = right.selectbox(
        tr("How well is it insulated?"),
        list(INSULATION),
        index=1,
        format_func=lambda key: tr(INSULATION[key][0]),
        key="start/insulation",
    )
    with left:
        thermostat, nights = ask_warmth(tr("How warm will you keep it?"), "start/thermostat", form)
    return HouseAsked(area, str(insulation), thermostat, nights, ask_loss(place, thermostat.text, form))
