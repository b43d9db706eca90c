"""What `costsim verify` prints: metered against predicted, what explains the gap, and avoided use after a retrofit."""

from __future__ import annotations

import textwrap

from costsim.analysis.guideline14 import MONTHLY_CV, MONTHLY_NMBE
from costsim.analysis.verify import Avoided, Verification, monthly_rows, paid_by_bill
from costsim.physics.fuels import FUELS
from costsim.views.tables import money, text_table
from costsim.views.text_fit import sold

WIDTH = 110
ODD_SHARE = 0.25
FAR_OFF = "* more than a quarter off"


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


def by_bill(found: Verification, system: str, currency: str) -> tuple[list[str], list[list[str]]]:
    """Headings and a row for each bill: its days, metered and predicted use, what was paid and predicted, and a mark where far off."""
    fuel, price = found.bills.fuel, found.source.price_per_j
    paying = found.paid is not None and price is not None and found.bills.cost is not None
    rows = []
    for (start, last, metered, predicted), paid in zip(
        zip(*monthly_rows(found), strict=True), paid_by_bill(found), strict=True
    ):
        odd = "" if abs(predicted - metered) <= ODD_SHARE * max(metered, 1.0) else "*"
        coins = ["" if paid is None else f"{paid:,.0f}", f"{predicted * (price or 0.0):,.0f}"] if paying else []
        rows.append([f"{start} to {last}", sold(fuel, metered, system), sold(fuel, predicted, system), *coins, odd])
    return ["", "metered", "predicted", *([f"paid {currency}", f"predicted {currency}"] if paying else []), ""], rows


def measures(found: Verification) -> list[str]:
    """Bias and scatter with their limits, in plain words."""
    side = "little" if found.nmbe > 0 else "much"
    within = "Both are within" if found.meets_limits else "They are NOT both within"
    return [
        f"NMBE {found.nmbe:+.1%} (limit ±{MONTHLY_NMBE:.0%}): over all bills the study predicts {abs(found.nmbe):.1%} too {side}.",
        f"CV(RMSE) {found.cv_rmse:.1%} (limit {MONTHLY_CV:.0%}): a single bill is usually off by {found.cv_rmse:.0%} of a mean bill.",
        f"{within} the monthly limits of ASHRAE Guideline 14.",
    ]


def gap(found: Verification, system: str, currency: str) -> tuple[str, list[str], list[list[str]]]:
    """What explains the gap: a sentence, headings, and a row for each cause with its share."""
    fuel, metered = found.bills.fuel, float(found.bills.energy_j.sum())
    wide = metered - found.planned_j
    rows = []
    for one in found.shares:
        share = f"{round(one.energy_j / wide, 2) + 0.0:+.0%}" if abs(wide) > 1e-6 * metered and one.energy_j else ""
        cost = "" if one.cost is None else money(one.cost, currency)
        rows.append([one.what, _signed(fuel, one.energy_j, system) if one.energy_j else "", share, cost])
    costs = [one.cost for one in found.shares if one.cost is not None]
    rows.append(["together", _signed(fuel, wide, system), "", money(sum(costs), currency) if costs else ""])
    head = (
        f"The study in its own year of weather: {sold(fuel, found.planned_j, system)} on these days; metered: "
        f"{sold(fuel, metered, system)}."
    )
    if found.fit.is_part:
        head += " The bills show a change of the house: the causes compare the study with the house since then."
    return head, ["", "fuel", "of the gap", "cost"], rows


def avoided_lines(found: Avoided, fuel: str, system: str) -> list[str]:
    """Say when the house changed, what it avoided since, and how sure that is."""
    kind = "found to the day in daily use" if found.to_the_day else "by the bills, or as told"
    avoided = found.expected_j - found.metered_j
    lines = [
        f"Retrofit or other change: first day {found.day} ({kind})",
        f"the house before it would have used {sold(fuel, found.expected_j, system)}; metered {sold(fuel, found.metered_j, system)}",
        f"avoided {_signed(fuel, avoided, system)}, {found.fraction:.0%} ± {abs(found.uncertainty * found.fraction):.0%} at 90% confidence",
        f"(fractional savings uncertainty {found.uncertainty:.0%}; baseline of {found.before} periods, CV(RMSE) {found.cv_rmse:.1%}; "
        f"{found.after} periods after)",
    ]
    if found.uncertainty > 0.5:
        lines.append("Guideline 14 asks for less than 50% of the savings: these bills do not prove them.")
    return lines


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
    head, headings, rows = gap(found, system, currency)
    parts = [
        _wrapped(verify_sentence(found, system)),
        "By bill\n" + text_table(*by_bill(found, system, currency)) + f"\n  {FAR_OFF}",
        "How well the study fits\n" + "\n".join(_wrapped(line, "  ") for line in measures(found)),
        "What explains the gap\n" + _wrapped(head, "  ") + "\n" + text_table(headings, rows),
    ]
    if found.avoided is not None:
        parts.append("\n  ".join(avoided_lines(found.avoided, found.bills.fuel, system)))
    if found.notes:
        parts.append("What was read\n" + "\n".join(_wrapped(note, "  ") for note in found.notes))
    return "\n\n".join([*parts, next_line])


def _signed(fuel: str, energy_j: float, system: str) -> str:
    size = sold(fuel, abs(energy_j), system)
    return size if size.startswith("0 ") else f"{'-' if energy_j < 0 else '+'}{size}"


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  " if indent else "")
