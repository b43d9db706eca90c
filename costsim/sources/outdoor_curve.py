"""A figure of a source over the outdoor temperature, typed as two rows of one length: temperatures, and the value at each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated

import numpy as np
from numpy.typing import ArrayLike
from pydantic import AfterValidator

from costsim.sources.traits import Traits
from costsim.units.arrays import Floats
from costsim.units.fields import QuantityField, fault
from costsim.units.rows import Each

OUTDOOR = QuantityField("temperature", "outdoor", at_least=-60, at_most=60, example="-7 degC")
MOST_POINTS = 12


def each_reads(measured: QuantityField) -> AfterValidator:
    """Look at every value of a row typed as texts, beside `Each`, so that a wrong one is told with its key."""

    def read(row: tuple[str, ...]) -> tuple[str, ...]:
        for text in row:
            measured.read(text)
        return row

    return AfterValidator(read)


def _rising(row: tuple[str, ...]) -> tuple[str, ...]:
    if any(warm <= cold for cold, warm in pairwise([OUTDOOR.read(text) for text in row])):
        raise fault("outdoor temperatures must rise", 'such as outdoor = ["-15 degC", "7 degC"]')
    return row


Outdoors = Annotated[tuple[str, ...], Each(OUTDOOR), AfterValidator(_rising)]
"""Type of the row of temperatures, which must rise."""


def check_rows(source: Traits) -> None:
    """Hold each row of `Traits.over_outdoor` to the number of temperatures, of which a kind that asks for any has at least one."""
    fields = type(source).model_fields
    for name in source.over_outdoor:
        temperatures, values = (len(getattr(source, row)) for row in ("outdoor", name))
        if temperatures != values:
            raise fault(f"{temperatures} temperatures but {values} {name}", f"give as many {name} as temperatures")
        if not values and fields["outdoor"].is_required():
            raise fault("outdoor has no temperature", 'such as outdoor = ["-15 degC", "7 degC"]')


@dataclass(frozen=True, slots=True)
class OutdoorCurve:
    """Values at rising outdoor temperatures [°C], in SI."""

    outdoor_c: tuple[float, ...]
    values: tuple[float, ...]

    @classmethod
    def read(cls, outdoor: Sequence[str], values: Sequence[str], measured: QuantityField) -> OutdoorCurve:
        """Read both rows as typed; that they are of one length `Traits.over_outdoor` sees to."""
        return cls(
            tuple(float(OUTDOOR.read(text)) for text in outdoor), tuple(float(measured.read(text)) for text in values)
        )

    def at(self, outdoor_c: ArrayLike) -> Floats:
        """Values at other temperatures (n,): straight between two points, and that of the nearest beyond both ends.

        Examples
        --------
        >>> OutdoorCurve((-15.0, 7.0), (1.1, 1.54)).at([-20.0, -4.0, 9.0])
        array([1.1 , 1.32, 1.54])
        """
        return np.asarray(np.interp(np.asarray(outdoor_c, dtype=float), self.outdoor_c, self.values))
