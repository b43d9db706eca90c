"""What a file leaves open, asked on the page as one choice; an answer is taken as if it had been typed in its field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import streamlit as st

from costsim.bills.dates import ORDERS
from costsim.dashboard.state import literal
from costsim.errors import CostsimError, InputError
from costsim.physics.fuels import FUELS
from costsim.words import tr

SINGLE = {"start": "the start of a period", "end": "the end of a period"}
BILL_FIELDS = {name: name for name in ("fuel", "unit", "column", "meter", "dates")} | {"date_order": "order"}
"""The field, below a page's own prefix, that holds the answer to each question about bills."""
WEATHER_FIELDS = {name: name for name in ("station", "temperature_unit", "temperature_column")}
_UNITS = {"degF": "°F", "degC": "°C", "degC/10": "tenths of °C"}


def ask(error: CostsimError, prefix: str, fields: Mapping[str, str]) -> bool:
    """Draw the first question among the faults that a field answers; false where there is none.

    Parameters
    ----------
    error : CostsimError
    prefix : str
        Of the keys of the session that hold the answers.
    fields : mapping
        End of such a key by what is asked.
    """
    faults = error.faults if isinstance(error, InputError) else ()
    fault = next((asking for asking in faults if asking.answers and asking.asks in fields), None)
    if fault is None:
        return False
    st.warning(literal(": ".join(part for part in (fault.file, fault.problem) if part) + "."))
    key = f"{prefix}/{fields[fault.asks]}"
    st.radio(
        _question(fault.asks),
        fault.answers,
        index=None,
        format_func=_answer,
        key=f"ask/{key}",
        on_change=_take,
        args=(key,),
    )
    return True


def _question(asks: str) -> str:
    return {
        "fuel": tr("Which fuel heats the house?"),
        "unit": tr("In which unit are the amounts?"),
        "column": tr("Which column is the use?"),
        "meter": tr("Which meter heats the house?"),
        "dates": tr("What is a single date?"),
        "date_order": tr("In which order are dates written?"),
        "station": tr("Which station?"),
        "temperature_unit": tr("In which unit are the temperatures?"),
        "temperature_column": tr("Which column is the outdoor temperature?"),
        "building": tr("Which building?"),
    }[asks]


def _answer(answer: str) -> str:
    if answer in FUELS:
        return tr(FUELS[answer].title)
    known = SINGLE.get(answer) or ORDERS.get(answer) or _UNITS.get(answer)
    return tr(known) if known else literal(answer)


def _take(key: str) -> None:
    st.session_state[key] = st.session_state[f"ask/{key}"]


def weather_prefix(kind: str, names: Iterable[str]) -> str:
    """Prefix of the answers about files of weather: those about other files do not count."""
    return f"{kind}/about/{'/'.join(names)}"


def weather_answers(prefix: str) -> dict[str, Any]:
    """How a file of weather is to be read, as the reader answered: arguments of `read_record` and `read_temperatures`."""
    station, unit, column = (str(st.session_state.get(f"{prefix}/{name}") or "") for name in WEATHER_FIELDS)
    return {"station": station, "unit": unit, "mapping": {"outdoor": (column, unit)} if column else None}


def draw_answered(prefix: str) -> None:
    """Say what was answered about the files, with a button that asks again."""
    answered = [
        _answer(str(answer))
        for name in (*WEATHER_FIELDS, "building")
        if (answer := st.session_state.get(f"{prefix}/{name}"))
    ]
    if not answered:
        return
    with st.container(horizontal=True, vertical_alignment="center"):
        st.caption(tr("Read as you answered: {answers}.", answers=", ".join(answered)))
        st.button(tr("Ask again"), key=f"{prefix}/again", type="tertiary", on_click=_forget, args=(prefix,))


def _forget(prefix: str) -> None:
    for name in (*WEATHER_FIELDS, "building"):
        st.session_state.pop(f"{prefix}/{name}", None)
