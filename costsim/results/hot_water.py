"""What must be said where the tank heats water for taps."""

from __future__ import annotations

from collections.abc import Callable

from costsim.study.case import Case
from costsim.study.uses import HotWater

LEGIONELLA_C = 60.0
SCALDS_ABOVE_C = 49.0


def hot_water_words(case: Case, temperature: Callable[[float], str]) -> list[tuple[str, str, str, str, str, str]]:
    """Key, title, short and long text, standards and why of the caution; none where no tap is served.

    Parameters
    ----------
    case : Case
    temperature : callable
        Writes a temperature [°C] for the reader.
    """
    taps = [use for use in case.use if isinstance(use, HotWater)]
    if not taps:
        return []
    cool = [use for use in taps if use.exchanger == "stored" and use.storage_temperature_c < LEGIONELLA_C]
    held = f" This study keeps {cool[0].name} at only {temperature(cool[0].storage_temperature_c)}." if cool else ""
    safe, scalds = temperature(LEGIONELLA_C), temperature(SCALDS_ABOVE_C)
    words = (
        "legionella",
        "Hot water at the taps",
        f"Stored drinking water at {safe} or more, tempered to {scalds} at the tap.",
        f"Drinking water that is stored warm can breed Legionella: keep a cylinder at {safe} or more, and temper it to {scalds}"
        " before the tap, because water that hot scalds in seconds. Heat it through an exchanger that keeps heating water"
        f" out of it; a licensed plumber installs it.{held}",
        "the plumbing code with ASSE 1017 and 1070, ASHRAE 188 and Guideline 12, EN 806",
        "the study's own [[use]]; limits and standards from memory",
    )
    return [words]
