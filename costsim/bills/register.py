"""Use between the states of a register, which may roll over from nines to zeros or go on with a new meter."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from costsim.bills.model import MOST_MISSING
from costsim.bills.stamps import Seconds
from costsim.errors import Fault, InputError
from costsim.units.arrays import Floats
from costsim.units.table import WHOLE_DAY_S

MOST_OF_USUAL = (
    3.0  # times the largest other use: rule of ours, so that no wrong reading passes for a roll-over or a new meter
)
MOST_METERS = 3


def differences(
    states: Floats, lines: Sequence[int], file: str, at_s: Seconds | None = None
) -> tuple[Floats, list[str]]:  # fmt: skip
    """Use between the states of a register (n - 1,), in the order of time; what rolls over or begins anew is told.

    Parameters
    ----------
    states : array (n,)
    lines : sequence of int (n,)
        Of the file.
    file : str
        For messages.
    at_s : array of int (n,), optional
        When each was read: more than a tenth of the time may not be lost.

    Returns
    -------
    use : array (n - 1,)
        Not a number where the meter was replaced, as nobody knows how far the old one ran.
    notes : list of str

    Raises
    ------
    InputError
        It falls, and neither a roll-over nor a new meter that counts from nothing would explain that.

    Examples
    --------
    >>> differences(np.array([9700.0, 9850.0, 50.0, 210.0]), [2, 3, 4, 5], "m.csv")[0].tolist()
    [150.0, 200.0, 160.0]
    >>> differences(np.array([5200.0, 5390.0, 20.0, 210.0]), [2, 3, 4, 5], "m.csv")[0].tolist()
    [190.0, nan, 190.0]
    """
    use, notes = np.diff(states), ["the amounts are states of a register: the use is their difference"]
    falls = np.flatnonzero(use < 0).tolist()
    beside = {at + step for at in falls for step in (-1, 1)} - set(falls)
    most = float(use[use > 0].max(initial=0.0))
    sure = float(use[[i for i in range(len(use)) if use[i] > 0 and i not in beside]].max(initial=0.0))
    for at in falls:
        before, after = float(states[at]), float(states[at + 1])
        rolled = use[at] + 10.0 ** len(str(int(before)))
        if 0.0 < rolled <= MOST_OF_USUAL * most:
            use[at] = rolled
            notes.append(f"the register rolls over at line {lines[at + 1]}, from {before:g} to {after:g}")
            continue
        usual = MOST_OF_USUAL * (sure or most)
        near = [use[i] for i in (at - 1, at + 1) if 0 <= i < len(use)]
        if (
            len(falls) < MOST_METERS
            and 0.0 <= after <= usual < before
            and all(0.0 <= use_near <= usual for use_near in near)
        ):
            use[at] = np.nan
            notes.append(
                f"the register falls from {before:g} to {after:g} at line {lines[at + 1]}, as where the meter was replaced: what was used "
                "between these two readings is not known and left out"
            )
            _not_too_much(at, at_s, lines, file)
            continue
        what = f"the register falls from {before:g} to {after:g}"
        remedy = "correct the reading; a replaced meter that does not count from 0 needs a file before and one after the change"
        raise InputError(Fault(f"line {lines[at + 1]}", what, remedy, file))
    return use, notes


def _not_too_much(at: int, at_s: Seconds | None, lines: Sequence[int], file: str) -> None:
    if at_s is None or at_s[at + 1] - at_s[at] <= MOST_MISSING * (at_s[-1] - at_s[0]):
        return
    days = (at_s[at + 1] - at_s[at]) / WHOLE_DAY_S
    what = f"the meter was replaced here, as it seems, so nobody knows what was used in the {days:.0f} days before, too much of this file"
    raise InputError(
        Fault(f"line {lines[at + 1]}", what, "give more months of bills, or the part after the change alone", file)
    )
