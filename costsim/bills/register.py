"""Use between the states of a register, which may roll over from nines to zeros."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from costsim.bills.model import Floats
from costsim.errors import Fault, InputError

MOST_OF_USUAL = 3.0  # times the largest other use: rule of ours, so that a replaced meter does not pass for a roll-over


def differences(states: Floats, lines: Sequence[int], file: str) -> tuple[Floats, list[str]]:
    """Use between the states of a register (n - 1,), in the order of time; a register that rolls over is told.

    Raises
    ------
    InputError
        It falls, and a roll-over would be far more than was ever used, as where the meter was replaced.

    Examples
    --------
    >>> differences(np.array([9700.0, 9850.0, 50.0, 210.0]), [2, 3, 4, 5], "m.csv")[0].tolist()
    [150.0, 200.0, 160.0]
    """
    use, notes = np.diff(states), ["the amounts are states of a register: the use is their difference"]
    falls = np.flatnonzero(use < 0)
    most = float(use[use > 0].max(initial=0.0))
    for at in falls.tolist():
        rolled = use[at] + 10.0 ** len(str(int(states[at])))
        if 0.0 < rolled <= MOST_OF_USUAL * most:
            use[at] = rolled
            notes.append(f"the register rolls over at line {lines[at + 1]}, from {states[at]:g} to {states[at + 1]:g}")
            continue
        what = f"the register falls from {states[at]:g} to {states[at + 1]:g}"
        remedy = "a replaced meter needs a file before and one after the change"
        raise InputError(Fault(f"line {lines[at + 1]}", what, remedy, file))
    return use, notes
