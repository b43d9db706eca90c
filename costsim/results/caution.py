"""What a caution says, and what it needs to know of the place it is read at."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.units.quantity import show
from costsim.words import tr


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution.

    Parameters
    ----------
    key : str
        Short name, the same in every language and report.
    title, short, text : str
        What it is about, what to do in a line, and the whole of it with the figures of the case.
    standards : str
        By number; the locally adopted edition counts.
    source : str
        What in the case makes it apply, and where its figures come from.
    """

    key: str
    title: str
    short: str
    text: str
    standards: str
    source: str

    @property
    def check(self) -> str:
        """What to look up."""
        return tr("Check the locally adopted edition of {standards}.", standards=self.standards)


@dataclass(frozen=True, slots=True)
class Site:
    """What the cautions must know beside what was typed: temperatures [°C], the design load [W] and the reader's units.

    `needed_c` is the water that the house takes at design, with or without a tank, `mild_c` that of a mild day.
    """

    coldest_c: float
    freeze_c: float
    max_temperature_c: float
    system: str
    supply_c: float | None = None
    return_c: float | None = None
    needed_c: float | None = None
    load_w: float = 0.0
    mild_c: float | None = None

    @property
    def hottest(self) -> str:
        """The hottest that water may get, and what the house runs on where that is cooler."""
        most = self.temperature(self.max_temperature_c)
        if self.supply_c is None or self.supply_c > self.max_temperature_c - 3.0:
            return most
        return tr(
            "{most} (the most that a source here makes; the house runs on {supply} at design)",
            most=most,
            supply=self.temperature(self.supply_c),
        )

    def temperature(self, value_c: float) -> str:
        """Write a temperature for the reader."""
        return show(value_c, "temperature", self.system, 0)
