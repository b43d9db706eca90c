"""Several measured values in one field, such as a heat pump's outputs."""

from __future__ import annotations

import re
from dataclasses import dataclass

from costsim.units.fields import QuantityField
from costsim.units.reading import understand

_BETWEEN = re.compile(r";|,(?!(?<=\d,)\d{3}(?!\d))")


@dataclass(frozen=True, slots=True)
class Each:
    """Says of a field of texts what each of them measures."""

    measured: QuantityField


def understand_all(
    typed: str, measured: QuantityField, *, system: str, currency: str = "$", unit: str = ""
) -> list[str]:
    """Read several values in a row; a comma between thousands parts none.

    Examples
    --------
    >>> size = QuantityField("power", "Output")
    >>> understand_all("24,000 Btu/h, 36,000 BTU", size, system="us"), understand_all("2 tons; 3 tons", size, system="us")
    (['24000 Btu/h', '36000 Btu/h'], ['24 kBtu/h', '36 kBtu/h'])
    """
    parts = [part.strip() for part in _BETWEEN.split(typed) if part.strip()]
    return [understand(part, measured, system=system, currency=currency, unit=unit).text for part in parts]
