"""What of the bills is fitted: which way their dates are read, the days that the weather knows, no half bills at either end."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from costsim.bills.line import best_line, season_of
from costsim.bills.model import ONE_DAY, Bills
from costsim.bills.outliers import odd_rows
from costsim.bills.temperatures import Temperatures
from costsim.errors import Fault, InputError, SolverError

SHORT_SHARE = 0.7  # of the usual length: so short a first or last bill belongs to a move in or out
FEWEST = 6
CLEAR_RATIO = 1.5  # rule of ours: of the squares that two readings of the dates leave
WEEK_D = 7
WARM_C = 15.0  # mean of a bill's days from which most homes need little heat; common practice, no source


def settled(bills: Bills, temperatures: Temperatures) -> Bills:
    """Take what can be fitted, and tell what was left out.

    Parameters
    ----------
    bills : Bills
    temperatures : Temperatures

    Raises
    ------
    InputError
        The weather covers none of the bills, or dates can be read two ways that fit the weather alike.
    """
    if bills.other is not None:
        bills = _read_one_way(bills, bills.other, temperatures)
    return _without_half_ends(_covered(bills, temperatures), temperatures)


def _covered(bills: Bills, temperatures: Temperatures) -> Bills:
    """The bills whose days the weather knows."""
    if temperatures.typical:
        return bills
    days = temperatures.days
    inside = (bills.start_day >= days[0]) & (bills.end_day <= days[-1] + ONE_DAY)
    left = int((~inside).sum())
    if not left or inside.sum() < FEWEST:
        return bills  # where too few are left, the fit says how far the weather reaches
    note = f"the weather runs from {days[0]} to {days[-1]}: {left} of {len(inside)} bills lie outside of it and are left out"
    return replace(bills.part(inside), notes=(*bills.notes, note))


def _without_half_ends(bills: Bills, temperatures: Temperatures) -> Bills:
    """Leave out a first or last bill that is short and tells another house, as when somebody moved, and a true zero in warm weather."""
    if bills.n_periods <= FEWEST or float(np.median(bills.days)) < WEEK_D:
        return bills
    season = season_of(bills, temperatures)
    rows, _ = odd_rows(bills, season)
    keep, notes = np.ones(bills.n_periods, dtype=bool), list(bills.notes)
    for end, name in ((0, "first"), (bills.n_periods - 1, "last")):
        if end in rows and bills.days[end] < SHORT_SHARE * float(np.median(bills.days)):
            keep[end] = False
            notes.append(
                f"the {name} bill, of {bills.days[end]:.0f} days from {bills.start_day[end]}, is short and far from what weather and the "
                "other bills say, as when somebody moves; it is left out"
            )
    for row in rows:
        # nothing burned while no heat is wanted is a true bill: nobody was at home, and there is no pilot
        if keep[row] and bills.energy_j[row] == 0.0 and season.mean_c()[row] >= WARM_C:
            keep[row] = False
            notes.append(
                f"the bill from {bills.start_day[row]} to {bills.end_day[row] - ONE_DAY} is zero in warm weather, as when nobody is at"
                " home or own panels make what is used; it says nothing of the house that is lived in and is left out of the fit. If the"
                " meter was not read, mark it as estimated, so that it joins the next"
            )
    return bills if keep.all() else replace(bills.part(keep), notes=tuple(notes))


def _read_one_way(bills: Bills, other: Bills, temperatures: Temperatures) -> Bills:
    """Of two ways to read the dates, the one that fits the weather clearly better.

    Raises
    ------
    InputError
        Neither does.
    """
    squares = [_left(bills, temperatures), _left(other, temperatures)]
    ranked = sorted(zip(squares, (bills, other), strict=True), key=lambda pair: pair[0])
    best, second = ranked
    if np.isfinite(best[0]) and second[0] > CLEAR_RATIO * best[0]:
        note = f"{best[1].told}, which fits the weather better than the other way"
        return replace(best[1], other=None, notes=(*best[1].notes, note))
    what = f"{bills.told}, or {other.told}? the heading does not tell, and neither fits the weather clearly better"
    remedy = "say it with --dates start or --dates end, or head the column 'start' or 'end'"
    raise InputError(Fault("dates", what, remedy, bills.name, "dates", ("start", "end")))


def _left(bills: Bills, temperatures: Temperatures) -> float:
    """Share of the spread of use that the weather leaves unexplained; infinite where no line can be fitted."""
    try:
        bills = _covered(bills, temperatures)
        line = best_line(season_of(bills, temperatures), bills.mean_w)
    except (InputError, SolverError):
        return float("inf")
    middle = float(np.average(bills.mean_w, weights=bills.days))
    spread = float((bills.days * (bills.mean_w - middle) ** 2).sum())
    return line.squares / spread if spread > 0 else float("inf")
