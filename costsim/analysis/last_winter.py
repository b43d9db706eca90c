"""A study of somebody's house held against what that house's meter said, whichever part of a page or command asks."""

from __future__ import annotations

from costsim.analysis.billed_source import billed_source
from costsim.analysis.verify import Verification, verify
from costsim.bills.fit import read_efficiency
from costsim.bills.model import Bills
from costsim.bills.temperatures import Temperatures
from costsim.errors import Fault, InputError
from costsim.physics.fuels import FUELS
from costsim.results.result import Result
from costsim.study.calibration import at_design
from costsim.study.case import Case


def against_bills(
    case: Case, result: Result, bills: Bills, outdoor: Temperatures, *, option: str = "", paid: float | None = None, retrofit: str = "",
    efficiency: str = "",
) -> Verification:  # fmt: skip
    """Hold a study that was computed against bills.

    Parameters
    ----------
    case : Case
    result : Result
        Of the case.
    bills : Bills
        Of the fuel that heats the house.
    outdoor : Temperatures
        Of the bills' own days.
    option : str
        Name of the option that burned them, where several do.
    paid : float, optional
        What all of them came to, in the study's currency.
    retrofit : str
        First day after a retrofit.
    efficiency : str
        Of the heater that burned them, as typed; else that of the option.

    Raises
    ------
    InputError
        No option takes the fuel, or several do with other efficiencies; else see `verify`.
    """
    stated = read_efficiency(efficiency) if efficiency else None
    source = billed_source(case, result, bills.fuel, option, stated)
    if source is None:
        what = f"no option of the study takes {FUELS[bills.fuel].title.lower()}"
        raise InputError(Fault("--option", what, "give bills of a fuel that an option takes", case.file))
    return verify(
        result.lowered, source, bills, at_design(outdoor, case), paid=paid, retrofit=retrofit, currency=case.currency
    )  # fmt: skip


def amount_paid(text: str) -> float | None:
    """Read what the bills came to; None where nothing is typed.

    Raises
    ------
    InputError
        It is no amount of money.

    Examples
    --------
    >>> amount_paid("$1,850"), amount_paid("")
    (1850.0, None)
    """
    amount = text.strip().lstrip("$€£").rstrip("$€£ ").replace(",", "")
    if not text.strip():
        return None
    try:
        value = float(amount)
    except ValueError:
        value = -1.0
    if not 0.0 < value < 1e9:
        raise InputError(Fault("--paid", f"'{text}' is no amount of money", 'write it like "1850 $"'))
    return value
