"""The question when today's heating is due for replacement, and what a new one costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.asked import asked
from costsim.dashboard.field_text import number_typed
from costsim.dashboard.quantity_entry import Form
from costsim.units.fields import QuantityField
from costsim.units.reading import Reading
from costsim.words import tr

QUOTE = QuantityField("money", "First cost", at_least=0, usual=(100.0, 2e5))
MOST_YEARS = 30
NOW = ("now", "right now", "today", "at once", "immediately", "this year", "0", "0 years", "zero")
"""Words for a replacement that is due; the study counts whole years and 1 is its first."""


@dataclass(frozen=True, slots=True)
class Renewal:
    """What today's heating will cost to replace by a like one, and in how many years."""

    cost: Reading
    years: int

    def label(self) -> str:
        """Label of the field that holds what must be corrected."""
        if self.cost.question in ("years", "missing"):
            return tr("In how many years will you need it?")
        return tr("A new one of the same kind would cost, if you know")

    def keys(self) -> dict[str, Any]:
        """Keys of the option that heats the house today; none where no cost is known."""
        return {"replacement": self.cost.text, "replacement_year": self.years} if self.cost.text else {}


def ask_renewal(form: Form) -> Renewal:
    """Old heating does not live forever: what a new one of the same kind costs, and when it is due."""
    left, right = st.columns(2)
    with left:
        cost = asked(
            tr("A new one of the same kind would cost, if you know"),
            "start/renew",
            QUOTE,
            form,
            f"{form.currency}8,000",
        )
    with right:
        typed = str(
            st.text_input(
                tr("In how many years will you need it?"),
                key="start/renew_years",
                placeholder=tr("such as {example}", example=5),
            )
            or ""
        )
    now = typed.strip().lower().rstrip(".!") in NOW
    if now:
        right.caption(tr("Read as 1: within the first year, the earliest that is counted."))
    years = 1 if now else (number_typed(typed, "years", whole=True) if typed.strip() else 0)
    if not isinstance(years, int) or not (0 < years <= MOST_YEARS or not typed.strip()):
        right.error(
            state.literal(
                tr(
                    "“{typed}” is not understood; write a number of years from 1 to {most}.",
                    typed=typed,
                    most=MOST_YEARS,
                )
            )
        )
        return Renewal(Reading("", "years"), 0)
    if cost.text and not years:
        right.error(tr("Enter the years; a guess will do."))
        return Renewal(Reading("", "missing"), 0)
    return Renewal(cost, years)
