"""What `costsim verify` prints: metered against predicted, what explains the gap, and avoided use after a retrofit."""

from __future__ import annotations

import textwrap

from costsim.analysis.guideline14 import MONTHLY_CV, MONTHLY_NMBE
from costsim.analysis.verify import Avoided, Verification, monthly_rows, paid_by_bill
from costsim.physics.fuels import FUELS
from costsim.views.tables import text_table
from costsim.views.text_fit import sold

WIDTH = 110
ODD_SHARE = 0.25


def verify_sentence(found: Verification, system: str) -> str:
    """Say in a sentence how the study and the meter compare.

    Parameters
    ----------
    found : Verification
    system : str
        ``"us"`` or ``"si"``.
    """
    fuel, metered, predicted = found.bills.fuel, float(found.bills.energy_j.sum()), float(found.predicted_j.sum())
    off = predicted / metered - 1.0
    how = (
        "the study predicts what the meter said"
        if abs(off) < 0.005
        else f"the study predicts {abs(off):.0%} {'more' if off > 0 else 'less'}"
    )
    text = (
        f"The meter counted {sold(fuel, metered, system)} of {FUELS[fuel].title.lower()}; in the same weather {how}, "
        f"{sold(fuel, predicted, system)} ('{found.source.option}')."
    )
    verdict = "The study is calibrated" if found.meets_limits else "The study is not calibrated"
    return f"{text} {verdict} by ASHRAE Guideline 14."


def printed_verification(found: Verification, system: str, currency: str, next_line: str) -> str:
    """Print a whole verification.

    Parameters
    ----------
    found : Verification
    system : str
        ``"us"`` or ``"si"``.
    currency : str
        Of the study.
    next_line : str
        The command to type next.
    """
    fuel = found.bills.fuel
    rows, price = [], found.source.price_per_j
    money = found.paid is not None and price is not None and found.bills.cost is not None
    for (start, last, metered, predicted), paid in zip(
        zip(*monthly_rows(found), strict=True), paid_by_bill(found), strict=True
    ):
        odd = "" if abs(predicted - metered) <= ODD_SHARE * max(metered, 1.0) else "*"
        coins = ["" if paid is None else f"{paid:,.0f}", f"{predicted * (price or 0.0):,.0f}"] if money else []
        rows.append([f"{start} to {last}", sold(fuel, metered, system), sold(fuel, predicted, system), *coins, odd])
    heads = ["", "metered", "predicted", *([f"paid {currency}", f"predicted {currency}"] if money else []), ""]
    parts = [
        _wrapped(verify_sentence(found, system)),
        "By bill\n" + text_table(heads, rows) + "\n  * more than a quarter off",
        "How well the study fits\n"
        f"  NMBE {found.nmbe:+.1%} (limit ±{MONTHLY_NMBE:.0%}), CV(RMSE) {found.cv_rmse:.1%} (limit {MONTHLY_CV:.0%}), monthly limits\n"
        "  of ASHRAE Guideline 14; NMBE above zero means that the study predicts too little.",
        _gap(found, system, currency),
    ]
    if found.avoided is not None:
        parts.append(_avoided(found.avoided, fuel, system))
    if found.notes:
        parts.append("What was read\n" + "\n".join(_wrapped(note, "  ") for note in found.notes))
    return "\n\n".join([*parts, next_line])


def _gap(found: Verification, system: str, currency: str) -> str:
    fuel, metered = found.bills.fuel, float(found.bills.energy_j.sum())
    gap = metered - found.planned_j
    rows = []
    for one in found.shares:
        share = f"{one.energy_j / gap:+.0%}" if abs(gap) > 1e-6 * metered and one.energy_j else ""
        cost = "" if one.cost is None else f"{one.cost:+,.0f} {currency}"
        rows.append([one.what, _signed(fuel, one.energy_j, system) if one.energy_j else "", share, cost])
    rows.append(["together", _signed(fuel, gap, system), "", ""])
    head = (
        f"What explains the gap\n  The study in its own year of weather: {sold(fuel, found.planned_j, system)} on these days; metered: "
        f"{sold(fuel, metered, system)}."
    )
    return f"{head}\n" + text_table(["", "fuel", "of the gap", "cost"], rows)


def _signed(fuel: str, energy_j: float, system: str) -> str:
    return ("-" if energy_j < 0 else "+") + sold(fuel, abs(energy_j), system)


def _avoided(found: Avoided, fuel: str, system: str) -> str:
    kind = "found to the day in daily use" if found.to_the_day else "by the bills, or as told"
    avoided = found.expected_j - found.metered_j
    lines = [
        f"Retrofit or other change: first day {found.day} ({kind})",
        f"  the house before it would have used {sold(fuel, found.expected_j, system)}; metered {sold(fuel, found.metered_j, system)}",
        f"  avoided {_signed(fuel, avoided, system)}, {found.fraction:.0%} ± {abs(found.uncertainty * found.fraction):.0%} at 90 % confidence",
        f"  (fractional savings uncertainty {found.uncertainty:.0%}; baseline of {found.before} periods, CV(RMSE) {found.cv_rmse:.1%}; "
        f"{found.after} periods after)",
    ]
    if found.uncertainty > 0.5:
        lines.append("  Guideline 14 asks for less than 50 % of the savings: these bills do not prove them.")
    return "\n".join(lines)


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  " if indent else "")
