"""What one option is filled with, and its expansion tank: options may have tanks of their own, and so other amounts."""

from __future__ import annotations

from costsim.analysis.entered import Entered
from costsim.units.quantity import show
from costsim.views.antifreeze_words import fill_words
from costsim.views.text_layout import fill_lines
from costsim.views.text_select import pressure_lines
from costsim.words import tr


def option_fill_lines(plan: Entered, system: str) -> list[str]:
    """Fill, antifreeze, connections and expansion tank of the option, which is named first, with its own tank."""
    name, tank = plan.choice.option, plan.case.option[0].tank_of(plan.case)
    words = {"option": name, "tank": show(tank.volume_m3, "volume", system) if tank is not None else ""}
    head = (
        tr("For {option}, with its tank of {tank}:", **words) if tank else tr("For {option}, without a tank:", **words)
    )
    if plan.layout is not None:
        fill = fill_lines(plan.layout, system)
    else:
        text = fill_words(plan.case, system)
        fill = [tr("Fill: {text}.", text=text)] if text else []
    return [head, *fill, pressure_lines(plan.choice.circuit, system)[0]]
