"""What `costsim verify` prints: metered against predicted, what explains the gap, and avoided use after a retrofit."""

from __future__ import annotations

import textwrap

from costsim.analysis.guideline14 import MONTHLY_CV, MONTHLY_NMBE
from costsim.analysis.verify import Avoided, Verification, monthly_rows, paid_by_bill, predicted_costs
from costsim.engine.lower import LoweredStudy
from costsim.physics.fuels import FUELS
from costsim.study.case import Case
from costsim.units.quantity import show
from costsim.views.tables import money, text_table
from costsim.views.text_fit import base_left_out, doubts, sold
from costsim.words import tr

WIDTH = 110
ODD_SHARE = 0.25
FAR_OFF = "* more than a quarter off"


def verify_sentence(verification: Verification, system: str) -> str:
    """Say in a sentence how the study and the meter compare.

    Parameters
    ----------
    verification : Verification
    system : str
        ``"us"`` or ``"si"``.
    """
    fuel, metered, predicted = (
        verification.bills.fuel,
        float(verification.bills.energy_j.sum()),
        float(verification.predicted_j.sum()),
    )
    off = predicted / metered - 1.0
    how = (
        tr("the study predicts what the meter said")
        if abs(off) < 0.005
        else tr("the study predicts {off} {value}", off=f"{abs(off):.0%}", value=tr("more") if off > 0 else tr("less"))
    )
    source = verification.source
    text = tr(
        "The meter counted {fuel} of {title}; in the same weather {how}, {fuel_2} ({option}).",
        fuel=sold(fuel, metered, system),
        title=tr(FUELS[fuel].title).lower(),
        how=how,
        fuel_2=sold(fuel, predicted, system),
        option=f"'{source.option}'"
        if source.option
        else tr("a heater of {share}", share=f"{source.efficiency.value:.0%}"),
    )
    if verification.meets_limits:
        verdict = tr("The study fits these bills.")
    elif verification.left_j:
        verdict = tr(
            "The house fits these bills: {left} of them are base use, such as hot water and cooking, that the study does not count.",
            left=sold(fuel, verification.left_j, system),
        )
    else:
        verdict = tr("The study does not fit these bills yet; see what explains the gap.")
    return f"{text} {verdict}"


def by_bill(verification: Verification, system: str, currency: str) -> tuple[list[str], list[list[str]]]:
    """Headings and a row for each bill: its days, metered and predicted use, what was paid and predicted, and a mark where far off."""
    fuel, costs = verification.bills.fuel, predicted_costs(verification)
    paying = (
        verification.paid is not None
        and verification.predicted_cost is not None
        and verification.bills.cost is not None
    )
    rows = []
    for (start, last, metered, predicted), paid, cost in zip(
        zip(*monthly_rows(verification), strict=True), paid_by_bill(verification), costs, strict=True
    ):
        odd = "" if abs(predicted - metered) <= ODD_SHARE * max(metered, 1.0) else "*"
        coins = ["" if paid is None else f"{paid:,.0f}", f"{cost or 0.0:,.0f}"] if paying else []
        rows.append(
            [
                tr("{start} to {last}", start=start, last=last),
                sold(fuel, metered, system),
                sold(fuel, predicted, system),
                *coins,
                odd,
            ]
        )
    return [
        "",
        "metered",
        "predicted",
        *([tr("paid {currency}", currency=currency), tr("predicted {currency}", currency=currency)] if paying else []),
        "",
    ], rows


def measures(verification: Verification) -> list[str]:
    """Bias and scatter in plain words, and how little of them is good."""
    side = tr("too little") if verification.nmbe > 0 else tr("too much")
    bias = abs(float(verification.predicted_j.sum() / verification.bills.energy_j.sum()) - 1.0)
    return [
        tr(
            "Over all bills the study predicts {bias} {side} ({bias_limit} or less is good), and a single bill is usually"
            " off by {scatter} of a mean bill ({scatter_limit} or less is good).",
            bias=f"{bias:.0%}",
            side=side,
            bias_limit=f"{MONTHLY_NMBE:.0%}",
            scatter=f"{verification.cv_rmse:.0%}",
            scatter_limit=f"{MONTHLY_CV:.0%}",
        )
    ]


def measure_details(verification: Verification) -> list[str]:
    """The same measures by their names in ASHRAE Guideline 14, with its limits."""
    within = tr("both are within") if verification.meets_limits else tr("they are not both within")
    return [
        tr(
            "NMBE {nmbe} (limit ±{monthly_nmbe}), CV(RMSE) {cv_rmse} (limit {monthly_cv}): {within} the monthly limits of"
            " ASHRAE Guideline 14.",
            nmbe=f"{verification.nmbe:+.1%}",
            monthly_nmbe=f"{MONTHLY_NMBE:.0%}",
            cv_rmse=f"{verification.cv_rmse:.1%}",
            monthly_cv=f"{MONTHLY_CV:.0%}",
            within=within,
        )
    ]


def recalibrated_sentence(verification: Verification, lowered: LoweredStudy, system: str) -> str:
    """The house that the bills show beside the study's."""
    house = verification.fit.now
    losses = [show(loss_w_k, "heat_loss_rate", system, 0) for loss_w_k in (house.loss_w_k, lowered.loss_w_k)]
    warm = [
        show(balance_c, "temperature", system) for balance_c in (house.line.balance_c, float(lowered.balance_c.mean()))
    ]
    return tr(
        "Heat loss {now} in place of {before}; no heat is needed above {warm} outdoors, in place of {warm_before}.",
        now=losses[0],
        before=losses[1],
        warm=warm[0],
        warm_before=warm[1],
    )


def gap(verification: Verification, system: str, currency: str) -> tuple[str, list[str], list[list[str]]]:
    """What explains the gap: a sentence, headings, and a row for each cause with its share."""
    fuel, metered = verification.bills.fuel, float(verification.bills.energy_j.sum())
    wide = metered - verification.planned_j
    rows = []
    for part in verification.shares:
        share = f"{round(part.energy_j / wide, 2) + 0.0:+.0%}" if abs(wide) > 1e-6 * metered and part.energy_j else ""
        cost = "" if part.cost is None else money(part.cost, currency)
        rows.append([part.what, _signed(fuel, part.energy_j, system) if part.energy_j else "", share, cost])
    costs = [part.cost for part in verification.shares if part.cost is not None]
    rows.append(["together", _signed(fuel, wide, system), "", money(sum(costs), currency) if costs else ""])
    head = tr(
        "The study in its own year of weather: {fuel} on these days; metered: {fuel_2}.",
        fuel=sold(fuel, verification.planned_j, system),
        fuel_2=sold(fuel, metered, system),
    )
    if verification.fit.is_part:
        head += tr(" The bills show a change of the house: the causes compare the study with the house since then.")
    return head, ["", tr("fuel"), tr("of the gap"), tr("cost")], rows


def avoided_lines(saving: Avoided, fuel: str, system: str) -> list[str]:
    """Say when the house changed, what it avoided since, and how sure that is."""
    kind = tr("found to the day in daily use") if saving.to_the_day else tr("by the bills, or as told")
    avoided = saving.expected_j - saving.metered_j
    lines = [
        tr("Retrofit or other change: first day {day} ({kind})", day=saving.day, kind=kind),
        tr(
            "the house before it would have used {fuel}; metered {fuel_2}",
            fuel=sold(fuel, saving.expected_j, system),
            fuel_2=sold(fuel, saving.metered_j, system),
        ),
        tr(
            "avoided {fuel}, {fraction} ± {uncertainty} at 90% confidence",
            fuel=_signed(fuel, avoided, system),
            fraction=f"{saving.fraction:.0%}",
            uncertainty=f"{abs(saving.uncertainty * saving.fraction):.0%}",
        ),
        tr(
            "(fractional savings uncertainty {uncertainty}; baseline of {before} periods, CV(RMSE)"
            " {cv_rmse}; {after} periods after)",
            uncertainty=f"{saving.uncertainty:.0%}",
            before=saving.before,
            cv_rmse=f"{saving.cv_rmse:.1%}",
            after=saving.after,
        ),
    ]
    if saving.uncertainty > 0.5:
        lines.append(tr("Guideline 14 asks for less than 50% of the savings: these bills do not prove them."))
    return lines


def printed_verification(verification: Verification, system: str, case: Case, next_line: str) -> str:
    """Print a whole verification.

    Parameters
    ----------
    verification : Verification
    system : str
        ``"us"`` or ``"si"``.
    case : Case
        The study that was held against them.
    next_line : str
        The command to type next.
    """
    currency = case.currency
    head, headings, rows = gap(verification, system, currency)
    parts = [
        *([_wrapped(source.efficiency.source)] if (source := verification.source).asked else []),
        _wrapped(verify_sentence(verification, system)),
        tr("By bill\n") + text_table(*by_bill(verification, system, currency)) + f"\n  {tr(FAR_OFF)}",
        tr("How well the study fits\n")
        + "\n".join(_wrapped(line, "  ") for line in (*measures(verification), *measure_details(verification))),
        tr("What explains the gap\n") + _wrapped(head, "  ") + "\n" + text_table(headings, rows),
    ]
    if verification.avoided is not None:
        parts.append("\n  ".join(avoided_lines(verification.avoided, verification.bills.fuel, system)))
    care = [
        note
        for note in (
            *doubts(verification.fit.now, system, command_line=True),
            base_left_out(verification.fit.now, case, system),
        )
        if note
    ]
    if care:
        parts.append(tr("Take care\n") + "\n".join(_wrapped(line, "  ") for line in care))
    if verification.notes:
        parts.append(tr("What was read\n") + "\n".join(_wrapped(note, "  ") for note in verification.notes))
    return "\n\n".join([*parts, next_line])


def _signed(fuel: str, energy_j: float, system: str) -> str:
    size = sold(fuel, abs(energy_j), system)
    return size if size.startswith("0 ") else f"{'-' if energy_j < 0 else '+'}{size}"


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  " if indent else "")
