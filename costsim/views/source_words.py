"""A sentence and a symbol for each kind of source."""

from __future__ import annotations

from costsim.sources import KINDS
from costsim.study.case import Case, Option
from costsim.words import tr

SENTENCES = {
    "electric": "Resistance elements on the house's meter.",
    "off_peak_electric": "Resistance heat in off-peak hours, kept in the tank.",
    "gas": "A boiler on natural gas or propane.",
    "oil": "A boiler on heating oil.",
    "heat_pump": "Takes heat from outdoor air; gives less as it gets colder.",
    "solar": "Collectors on the roof; free heat while the sun shines.",
    "wood": "Fires lit by hand, best with a large tank.",
    "pellet": "Burns pellets from a store without being tended.",
}
ICONS = {
    "electric": "bolt",
    "off_peak_electric": "nightlight",
    "gas": "local_fire_department",
    "oil": "oil_barrel",
    "heat_pump": "heat_pump",
    "solar": "sunny",
    "wood": "forest",
    "pellet": "grain",
}


def sentence_of(kind: str) -> str:
    """One sentence about a kind of source; its own description where none is written here."""
    return tr(SENTENCES.get(kind) or (KINDS[kind].__doc__ or "").strip().split("\n")[0])


def clock_sentence(case: Case, option: Option) -> str:
    """Say which sources of a mix charge the tank by their clock, so that their place in the order changes little; empty where none."""
    if (option.tank_of(case)) is None or len(option.sources) < 2:
        return ""
    charging = [source for source in option.sources if source.store]
    texts = [
        tr("{name} charges the tank in its own hours ({hours}), wherever it stands in the order", name=source.label,
           hours=", ".join(source.windows) or tr("all day"))
        for source in charging
    ]  # fmt: skip
    if not texts:
        return ""
    return tr("{charging}; the order says only who heats when the tank is too cool.", charging="; ".join(texts))


def icon_of(kind: str) -> str:
    """Name of the symbol of a kind of source."""
    return ICONS.get(kind, "water_heater")
