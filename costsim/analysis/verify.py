"""`verify`: what a study predicts for the days of real bills against what the meter said, and what explains the difference."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costsim.analysis import guideline14 as g14
from costsim.analysis.billed_money import OwnBills, own_bills
from costsim.analysis.billed_source import BilledSource, StudyLine
from costsim.analysis.shapley import shapley
from costsim.bills.change import Change, change_day
from costsim.bills.fit import Efficiency
from costsim.bills.house import HouseFit, fit_house
from costsim.bills.line import Season, season_of
from costsim.bills.model import ONE_DAY, Bills, Days
from costsim.bills.regression import fit_bills
from costsim.bills.settle import settled
from costsim.bills.temperatures import Temperatures, from_weather
from costsim.engine.lower import LoweredStudy
from costsim.errors import Fault, InputError
from costsim.units.arrays import Floats
from costsim.units.calendar_words import month_or_day
from costsim.units.quantity import KWH_J
from costsim.units.table import DAY_S
from costsim.words import tr

SHORT_D = 21


@dataclass(frozen=True, slots=True)
class Share:
    """One cause of the gap: its words, and what it adds to the use [J] and to the cost of the bills' days."""

    what: str
    energy_j: float
    cost: float | None


@dataclass(frozen=True, slots=True)
class Avoided:
    """Avoided use after a retrofit, by a baseline of what came before it.

    Parameters
    ----------
    day : datetime64[D]
        First day after it.
    to_the_day : bool
        Whether the day was found in daily use; else it is that of a bill, or as told.
    expected_j, metered_j : float
        What the house before it would have used in the weather since, and what it used [J].
    fraction : float
        Avoided over expected.
    uncertainty : float
        Half the band of 90 %, as a share of the avoided use.
    cv_rmse : float
        Of the baseline.
    before, after : int
        Periods.
    """

    day: np.datetime64
    to_the_day: bool
    expected_j: float
    metered_j: float
    fraction: float
    uncertainty: float
    cv_rmse: float
    before: int
    after: int


@dataclass(frozen=True, slots=True, eq=False)
class Verification:
    """A study held against bills.

    Parameters
    ----------
    bills : Bills
        By bill, or by calendar month where readings are shorter.
    predicted_j : array (n,)
        By the study, in the bills' own weather [J].
    nmbe, cv_rmse : float
        By ASHRAE Guideline 14, with one parameter.
    shares : tuple of Share
        What explains the difference between the study in its own weather and the meter; they add up to it.
    planned_j, planned_cost : float, float or None
        Use and cost by the study in its own weather, on the bills' days.
    paid : float or None
        As told.
    fit : HouseFit
        The house as its bills show it.
    source : BilledSource
    avoided : Avoided or None
    notes : tuple of str
    predicted_cost : array (n,), optional
        What the study's own tariff charges for the use predicted, by bill; None where nothing is sold.
    left_j : float
        Base use that the study does not count, where it alone keeps the study out of the limits [J].
    """

    bills: Bills
    predicted_j: Floats
    nmbe: float
    cv_rmse: float
    shares: tuple[Share, ...]
    planned_j: float
    planned_cost: float | None
    paid: float | None
    fit: HouseFit
    source: BilledSource
    avoided: Avoided | None
    notes: tuple[str, ...]
    predicted_cost: Floats | None = None
    left_j: float = 0.0

    @property
    def meets_limits(self) -> bool:
        """Whether the study keeps within the monthly limits of Guideline 14."""
        return g14.within(self.nmbe, self.cv_rmse)


def verify(
    lowered: LoweredStudy, source: BilledSource, bills: Bills, outdoor: Temperatures, *, paid: float | None = None,
    retrofit: str = "", find_retrofit: bool = True, currency: str = "",
) -> Verification:  # fmt: skip
    """Hold a study against bills.

    Parameters
    ----------
    lowered : LoweredStudy
        The study, ready to run, with its own weather.
    source : BilledSource
        What burned the fuel of the bills.
    bills : Bills
        Of that fuel.
    outdoor : Temperatures
        Of the bills' own days.
    paid : float, optional
        What all the bills came to, in the study's currency; else what the files say, where these tell no other currency.
    retrofit : str
        First day after a retrofit; else a change that the bills show clearly counts.
    find_retrofit : bool
        Whether such a change is looked for.
    currency : str
        Of the study.

    Raises
    ------
    InputError
        The weather is a typical year, or the bills do not carry a fit.
    """
    if outdoor.typical:
        what = tr("the weather is a typical year, which says nothing of the bills' own winters")
        raise InputError(Fault("--weather", what, "give weather of the bills' days", outdoor.title))
    bills = settled(bills, outdoor)
    months = by_month(bills) if float(np.median(bills.days)) < SHORT_D else bills
    season = season_of(months, outdoor)
    study = StudyLine(lowered, source)
    predicted = study.use_j(season, months)
    fit = fit_house(bills, outdoor, efficiency=source.efficiency)
    avoided, notes = _avoided(bills, outdoor, fit, source.efficiency, retrofit, find_retrofit)
    if source.own_by_day_w is not None:
        notes.append(tr("the study credits what the panels export, so money is not compared"))
    own = from_weather(lowered.weather)
    typical = season_of(months, replace(own, typical=True) if not own.typical else own)
    planned = study.use_j(typical, months)
    own_money = own_bills(lowered, source.services, study, season, months)
    paid = paid_in(months) if paid is None and bills.currency in ("", currency) else paid
    shares = _shares(study, season, months, planned, fit, own_money, paid)
    return Verification(
        bills=months,
        predicted_j=predicted,
        nmbe=g14.nmbe(months.energy_j, predicted),
        cv_rmse=g14.cv_rmse(months.energy_j, predicted),
        shares=shares,
        planned_j=float(planned.sum()),
        planned_cost=None if own_money is None else float(own_money.cost(planned).sum()),
        paid=paid,
        fit=fit,
        source=source,
        avoided=avoided,
        notes=(*([source.efficiency.source] if source.asked else []), *months.notes, *notes),
        predicted_cost=None if own_money is None else own_money.cost(predicted),
        left_j=study.left_j(months, predicted, fit.now.line.base_w),
    )


def paid_in(bills: Bills) -> float | None:
    """What all bills came to by their files; None where one of them does not tell."""
    if bills.cost is None or not np.isfinite(bills.cost).all():
        return None
    return float(bills.cost.sum())


def by_month(bills: Bills) -> Bills:
    """Readings of days or weeks put together by the calendar month in which each begins; none reaches over missing days."""
    months = bills.start_day.astype("datetime64[M]")
    new = (months[1:] != months[:-1]) | (bills.start_day[1:] > bills.end_day[:-1])
    return bills.put_together(np.flatnonzero(np.append(True, new)))


def _shares(
    study: StudyLine, season: Season, bills: Bills, planned_j: Floats, fit: HouseFit, own: OwnBills | None, paid: float | None
) -> tuple[Share, ...]:  # fmt: skip
    """What explains the gap: weather first, then base use, balance point and slope in every order (Shapley), the rest, the price.

    The cost of each is by the study's own tariff, over the periods of the bills.
    """
    line = fit.now.line
    days, study_base = bills.days * DAY_S, study.base_of(bills)

    def use(base: bool, balance: bool, slope: bool) -> Floats:
        excess = season.excess_k(line.balance_c if balance else study.balance_c)
        rate = line.slope_w_k if slope else study.slope_w_k
        return np.asarray(((line.base_w if base else study_base) + rate * excess) * days)

    predicted, fitted, metered = use(False, False, False), use(True, True, True), bills.energy_j
    kinds = [
        tr("base use, such as hot water and cooking")
        if study.own_by_day_w is None
        else tr("base use, such as hot water and cooking, less own generation"),
        tr("set-point and gains: the outdoor temperature at which heating begins"),
        tr("efficiency and heat loss: fuel for each degree"),
    ]
    steps = [(fitted, metered, tr("not explained by weather and a line"))]
    if fit.is_part and fit.change is not None:
        since = np.where(bills.start_day >= fit.change.day, fitted, metered)
        before = (fitted, since, tr("the house before it changed on {day}", day=fit.change.day))
        steps = [before, (since, metered, steps[0][2])]

    def parts(worth: Callable[[Floats], float]) -> list[float]:
        """Each cause's part, by what a use of each bill is worth."""
        by_line = shapley(lambda *switches: worth(use(*switches)))
        return [
            worth(predicted) - worth(planned_j),
            *by_line,
            *(worth(after) - worth(before) for before, after, _ in steps),
        ]

    energy_j = parts(lambda use_j: float(use_j.sum()))
    money = [None] * len(energy_j) if own is None else parts(lambda use_j: float(own.cost(use_j).sum()))
    words = [tr("weather: that of the bills against the study's year"), *kinds, *(what for _, _, what in steps)]
    shares = list(map(Share, words, energy_j, money))
    if paid is not None and own is not None:
        price = tr("price: what was paid against the study's price for the same use")
        shares.insert(0, Share(price, 0.0, paid - float(own.cost(metered).sum())))
    return tuple(shares)


def _avoided(
    bills: Bills, outdoor: Temperatures, fit: HouseFit, efficiency: Efficiency, retrofit: str, find: bool
) -> tuple[Avoided | None, list[str]]:
    """Avoided use since a retrofit that was told, or that the bills show; and why there is none of one that they show."""
    day, exact = _retrofit_day(bills, outdoor, fit.change if find else None, retrofit)
    if day is None:
        return None, []
    before, after = bills.part(bills.end_day <= day), bills.part(bills.start_day >= day)
    if not after.n_periods or not before.n_periods:
        what = tr("no bills lie {value} {day}", value=tr("after") if before.n_periods else tr("before"), day=day)
        raise InputError(Fault("--retrofit", what, "give bills of both sides", bills.name))
    weekly = float(np.median(bills.days)) < 6
    try:
        base = fit_bills(before.grouped(7) if weekly else before, outdoor, efficiency=efficiency)
    except InputError as error:
        if retrofit:
            raise InputError(
                [replace(fault, field="--retrofit", problem=f"before {day} {fault.problem}") for fault in error.faults]
            ) from None
        return None, [f"the bills show a change from {day} on, but too few lie before it to say what it avoided"]
    after = after.grouped(7) if weekly else after
    season = season_of(after, outdoor)
    expected = base.line.at(season.excess_k(base.line.balance_c)) * after.days * DAY_S
    avoided = float(expected.sum() - after.energy_j.sum())
    fraction = avoided / float(expected.sum())
    cv = g14.cv_rmse(base.bills.energy_j, base.fitted_j, base.parameters)
    uncertainty = g14.savings_uncertainty(
        cv=cv, fraction=fraction if fraction else 1e-9, before=base.bills.n_periods, after=after.n_periods,
        parameters=base.parameters, correlation=g14.lag_one(base.residual_j),
    )  # fmt: skip
    result = Avoided(
        day, exact, float(expected.sum()), float(after.energy_j.sum()), fraction, uncertainty, cv, base.bills.n_periods, after.n_periods
    )  # fmt: skip
    return result, []


def _retrofit_day(
    bills: Bills, outdoor: Temperatures, change: Change | None, retrofit: str
) -> tuple[np.datetime64 | None, bool]:
    if retrofit:
        try:
            return np.datetime64(month_or_day(retrofit), "D"), False
        except ValueError:
            what = tr("'{retrofit}' is no day", retrofit=retrofit)
            raise InputError(
                Fault("--retrofit", what, "write the first day after it as 2024-03-31 or Mar 31, 2024")
            ) from None
    if change is None:
        return None, False
    if float(np.median(bills.days)) == 1.0:
        return change_day(bills, season_of(bills, outdoor), change), True
    return change.day, False


def monthly_rows(verification: Verification) -> tuple[Days, Days, Floats, Floats]:
    """First and last days, metered and predicted use of each bill (n,) [J]."""
    return (
        verification.bills.start_day,
        verification.bills.end_day - ONE_DAY,
        verification.bills.energy_j,
        verification.predicted_j,
    )


def paid_by_bill(verification: Verification) -> list[float | None]:
    """What each bill came to by its file; None where it does not tell."""
    cost = verification.bills.cost
    return [None if cost is None or np.isnan(cost[i]) else float(cost[i]) for i in range(verification.bills.n_periods)]


def predicted_costs(verification: Verification) -> list[float | None]:
    """What the study's own tariff charges for the use predicted, by bill; None where nothing is sold."""
    costs = verification.predicted_cost
    return [None] * verification.bills.n_periods if costs is None else list(costs.tolist())


def as_json(verification: Verification) -> dict[str, Any]:
    """Give a verification as plain data: energy in kWh, money in the study's currency."""
    starts, lasts, metered, predicted = monthly_rows(verification)
    avoided, costs = verification.avoided, predicted_costs(verification)
    return {
        "bills": verification.bills.name,
        "fuel": verification.bills.fuel,
        "option": verification.source.option,
        "efficiency": verification.source.efficiency.value,
        "metered_kwh": float(metered.sum() / KWH_J),
        "predicted_kwh": float(predicted.sum() / KWH_J),
        "planned_kwh": verification.planned_j / KWH_J,
        "planned_cost": verification.planned_cost,
        "paid": verification.paid,
        "nmbe": verification.nmbe,
        "cv_rmse": verification.cv_rmse,
        "limits": {"nmbe": g14.MONTHLY_NMBE, "cv_rmse": g14.MONTHLY_CV, "met": bool(verification.meets_limits)},
        "shares": [
            {"what": share.what, "kwh": share.energy_j / KWH_J, "cost": share.cost} for share in verification.shares
        ],
        "periods": [
            {
                "first_day": str(a),
                "last_day": str(b),
                "metered_kwh": float(m / KWH_J),
                "predicted_kwh": float(p / KWH_J),
                "paid": paid,
                "predicted_cost": cost,
            }
            for a, b, m, p, paid, cost in zip(
                starts, lasts, metered, predicted, paid_by_bill(verification), costs, strict=True
            )
        ],
        "avoided": avoided
        and {
            "first_day": str(avoided.day),
            "found_to_the_day": avoided.to_the_day,
            "expected_kwh": avoided.expected_j / KWH_J,
            "metered_kwh": avoided.metered_j / KWH_J,
            "fraction": avoided.fraction,
            "uncertainty_90": avoided.uncertainty,
            "baseline_cv_rmse": avoided.cv_rmse,
            "periods_before": avoided.before,
            "periods_after": avoided.after,
        },
        "notes": list(verification.notes),
    }


def the_one(bills: Sequence[Bills], fuel: str = "") -> Bills:
    """The bills of one fuel.

    Raises
    ------
    InputError
        There are several.
    """
    kept = [bill for bill in bills if not fuel or bill.fuel == fuel]
    if len(kept) != 1:
        names = ", ".join(bill.fuel for bill in bills)
        fuels = tuple(dict.fromkeys(bill.fuel for bill in bills))
        remedy = f"say which one heats the house: {' or '.join(f'--fuel {name}' for name in fuels)}"
        raise InputError(Fault("--fuel", f"the bills are of {names}", remedy, "", "fuel", fuels))
    return kept[0]
