"""Coils of tube to buy: which length, and how many, so that every loop is cut whole from one of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from costsim.units.quantity import FOOT_M

COILS_M: dict[str, tuple[float, ...]] = {
    "us": tuple(feet * FOOT_M for feet in (300.0, 500.0, 1000.0)),
    "si": (120.0, 200.0, 500.0),
}
"""Lengths in which tube is commonly sold; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Coils:
    """So many coils of one length [m]."""

    count: int
    length_m: float


def coils_for(loops_m: Iterable[float], sold_m: Sequence[float]) -> Coils | None:
    """The coils that leave least over, each loop whole from one of them; None where a loop is longer than any.

    Parameters
    ----------
    loops_m : iterable of float
        Length of each loop, leads included [m].
    sold_m : sequence of float
        Lengths of coils [m].

    Notes
    -----
    A joint in the floor cannot be seen or reached, so none is planned. Longest loop first, each into the first coil that
    still holds it. Of two lengths that come to the same tube, the one of fewer coils.

    Examples
    --------
    >>> coils_for([280.0, 280.0, 200.0, 90.0], (300.0, 500.0, 1000.0))  # 280 | 280 | 200 + 90, which is 900; 1000s: 850 of one
    Coils(count=3, length_m=300.0)
    >>> coils_for([310.0], (300.0,)) is None
    True
    """
    loops = sorted(loops_m, reverse=True)
    fitting = [Coils(_cut(loops, coil_m), coil_m) for coil_m in sold_m if loops and coil_m >= loops[0] * (1.0 - 1e-9)]
    return min(fitting, key=lambda coils: (round(coils.count * coils.length_m, 6), coils.count), default=None)


def _cut(loops_m: Sequence[float], coil_m: float) -> int:
    """How many coils of one length the loops take, longest first."""
    left: list[float] = []
    for loop in loops_m:
        at = next((i for i, rest in enumerate(left) if rest >= loop * (1.0 - 1e-9)), None)
        if at is None:
            left.append(coil_m - loop)
        else:
            left[at] -= loop
    return len(left)
