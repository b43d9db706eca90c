"""A table of walls, roof, windows and floor to type into, beside the form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd
import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.envelope_file import draw_envelope_file
from costsim.physics.envelope import TYPICAL
from costsim.units.fields import QuantityField
from costsim.units.quantity import pretty_unit, unit_for
from costsim.units.reading import understand
from costsim.views.tables import safe_text
from costsim.words import tr

COLUMNS = {
    "name": "Surface",
    "area": "Area",
    "u_value": "U-value",
    "typical": "or a typical one",
    "difference": "Of the difference",
}
MEASURED = {"area": "area", "u_value": "u_value"}
PATH = ("house", "surface")


def draw_surfaces() -> None:
    """Draw the table; a row without a name is left out, and what is typed goes into the study as it stands.

    Names are drawn as `safe_text`, since Streamlit lets the reader save the table as CSV, and taken back by `names`.
    """
    base = st.session_state.setdefault(f"surfaces/{state.revision()}", state.get(PATH) or [])
    names = {safe_text(str(row.get("name", ""))): str(row.get("name", "")) for row in base}
    cells = [{key: str(row.get(key, "")) for key in COLUMNS} for row in base]
    frame = pd.DataFrame([row | {"name": safe_text(row["name"])} for row in cells], columns=list(COLUMNS))
    st.caption(
        tr(
            "Each with its area and a U-value, such as 430 and 0.05; or a typical one where you do not know. A number alone counts"
            " in the unit of its heading; another unit may stand behind it, such as 40 m2 or 0.30 W/(m2 K)."
        )
    )
    edited = st.data_editor(
        frame,
        num_rows="dynamic",
        hide_index=True,
        key=f"field/{state.revision()}/house.surface",
        column_config={
            key: st.column_config.SelectboxColumn(tr(title), options=["", *TYPICAL])
            if key == "typical"
            else st.column_config.TextColumn(_heading(key, title))
            for key, title in COLUMNS.items()
        },
    )
    draw_envelope_file()
    rows = [_with_units(row) for row in rows_of(edited.to_dict("records"))]
    wanted = [row | {"name": names.get(row["name"], row["name"])} for row in rows]
    if wanted != (state.get(PATH) or []):
        state.put(PATH, wanted)
        st.rerun()


def _heading(key: str, title: str) -> str:
    """A column's heading, with the unit in which a bare number of it is read."""
    if key not in MEASURED:
        return tr(title)
    return tr("{title}, {unit}", title=tr(title), unit=pretty_unit(unit_for(MEASURED[key], state.units_system())))


def _with_units(row: dict[str, str]) -> dict[str, str]:
    """A row as a study holds it: a bare number counts in the unit of its heading, and a typed unit is taken as it is."""
    return {
        key: understand(text, QuantityField(MEASURED[key], COLUMNS[key]), system=state.units_system()).text
        if key in MEASURED
        else text
        for key, text in row.items()
    }


def rows_of(records: Sequence[Mapping[Any, Any]]) -> list[dict[str, str]]:
    """Rows that have a name, without empty cells.

    Examples
    --------
    >>> rows_of([{"name": "Wall", "area": "9 m2", "typical": None}, {"name": None, "area": "1 m2"}])
    [{'name': 'Wall', 'area': '9 m2'}]
    """
    rows = [{key: str(value) for key, value in record.items() if value not in (None, "")} for record in records]
    return [row for row in rows if row.get("name")]
