"""What follows from an entry of a source, as a part of the same change: its fuel's price, whether it condenses, its charge."""

from __future__ import annotations

import copy
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.refit import drop_old_note
from costsim.physics.combustion import MODERN_EFFICIENCY
from costsim.sources import KINDS
from costsim.study.prices import fuel_of
from costsim.units.fields import QuantityField, choices_of
from costsim.views.templates import add_prices
from costsim.views.used_prices import drop_unused_prices, price_key
from costsim.words import tr

SHARE = QuantityField("share", "Efficiency")


def follow_entry(path: state.Path) -> None:
    """Bring to one what hangs on a field that was just typed; one Undo takes both back."""
    if path == ("house", "heat_loss_rate"):
        drop_old_note()
    source = state.get(path[:-1])
    if path[0] != "option" or "source" not in path or not isinstance(source, dict):
        return
    study = copy.deepcopy(state.typed())
    new: Any = study
    for part in path[:-1]:
        new = new[part]
    if path[-1] == "efficiency":
        condense(new)
    elif path[-1] == "output":
        charge_by_plate(new)
    elif path[-1] in ("fuel", "price"):
        if path[-1] == "fuel":
            new_examples(
                add_prices(
                    study, (price_key(new, study.get("prices", {})),), state.currency() or "$", state.units_system()
                )
            )
        drop_unused_prices(study, only=st.session_state.get("examples", set()))
    if study != state.typed():
        state.amend(study)


def condense(source: dict[str, Any]) -> None:
    """Tick "Condensing" from 90 % efficiency on where nothing is said of it, and take the tick out below."""
    model = KINDS.get(str(source.get("kind")))
    if model is None or "condensing" not in model.model_fields:
        return
    try:
        share = float(SHARE.read(str(source.get("efficiency", ""))))
    except ValueError:
        return
    if share >= MODERN_EFFICIENCY:
        source.setdefault("condensing", True)
    elif source.get("condensing"):
        del source["condensing"]


def charge_by_plate(source: dict[str, Any]) -> None:
    """Let a charge that nobody typed, since it follows the house, go by the plate's output and the burn time instead."""
    from costsim.dashboard.following import follows  # which stands above the fields that call this

    if not {"output", "charge", "burn_time"} <= source.keys() or not follows(source):
        return
    charge = as_shown(str(source.pop("charge")), state.units_system())
    st.toast(
        tr("The charge of {charge}, which followed the house, now follows from output and burn time.", charge=charge)
    )


def priced_fuel(source: dict[str, Any], prices: dict[str, Any]) -> None:
    """Let a new source burn a fuel that the study prices, where its kind may and its own is not priced."""
    model = KINDS[str(source["kind"])]
    if "fuel" not in model.model_fields:
        return
    priced = [fuel_of(key, table) for key, table in prices.items() if isinstance(table, dict)]
    known = [fuel for fuel in choices_of(model.model_fields["fuel"]) if fuel in priced]
    if known and source.get("fuel") not in known:
        source["fuel"] = known[0]


def new_examples(keys: list[str]) -> None:
    """Remember which prices are invented, so that the Prices page asks for the reader's own."""
    keys = [key for key in keys if key]  # the sun has no price
    st.session_state.setdefault("examples", set()).update(keys)
    if keys:
        st.toast(
            tr(
                "Added with an example price for {keys}: put in yours on Prices.",
                keys=", ".join(keys).replace("_", " "),
            )
        )
