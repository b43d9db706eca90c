"""How the heat reaches the rooms: one kind for the whole house, or a floor on one level and something else on another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import streamlit as st

from costsim.dashboard.asked import asked
from costsim.dashboard.quantity_entry import Form
from costsim.units.fields import QuantityField
from costsim.units.reading import Reading
from costsim.views.first_study import BESIDE_EMITTERS_ASKED, MIXED
from costsim.words import tr

EMITTERS_ASKED = {
    "radiant_floor": "Radiant floor",
    "radiators": "Radiators",
    "baseboard": "Baseboard",
    "fan_coil": "Air ducts or fan coils",
    MIXED: "A floor on one level, something else on another",
}
BESIDE_AREA = QuantityField(
    "area", "Area heated that way", above=0, at_most=1e6, example="900 ft2", usual=(10.0, 1000.0)
)

NO_AREA = Reading("")


@dataclass(frozen=True, slots=True)
class Emitters:
    """What was answered: the kind of the house or of its floor, and what else heats how much of it."""

    emitter: str
    beside: str = ""
    area: Reading = NO_AREA

    @staticmethod
    def label() -> str:
        """The label of the area's field."""
        return tr("Area heated that way")

    @property
    def zones(self) -> tuple[dict[str, Any], ...]:
        """The zone with an emitter of its own, as a study holds it; half of the heat loss where nobody knows its area."""
        if not self.beside:
            return ()
        size = {"area": self.area.text} if self.area.text else {"load": "50 %"}
        return ({"name": tr(BESIDE_EMITTERS_ASKED[self.beside]), "emitter": self.beside} | size,)


def _chosen(label: str, names: Mapping[str, str], key: str) -> str:
    return str(st.selectbox(label, list(names), format_func=lambda answer: tr(names[answer]), key=key))


def ask_emitters(form: Form) -> Emitters:
    """Ask how the heat reaches the rooms; a second kind and its area only of those who have one."""
    chosen = _chosen(tr("How does the heat reach the rooms?"), EMITTERS_ASKED, "start/emitter")
    if chosen != MIXED:
        st.caption(
            tr(
                "Two kinds, such as baseboard over a heated slab? Choose the last one. Of two others take the one that needs the hottest"
                " water: baseboard and older radiators before ducts. Hotter water costs a heat pump more electricity."
            )
        )
        return Emitters(chosen)
    beside = _chosen(tr("Besides the floor"), BESIDE_EMITTERS_ASKED, "start/beside")
    area = asked(
        Emitters.label(), "start/beside_area", BESIDE_AREA, form, "900 sq ft" if form.system == "us" else "80 m²"
    )
    st.caption(
        tr(
            "Empty: half of the house. One tank serves both: it is made as hot as the hotter one needs, and a mixing valve keeps the floor"
            " cooler. Hotter water costs a heat pump more electricity."
        )
    )
    return Emitters("radiant_floor", beside, area)
