"""What `lifecycle` prints of the decision: payments, verdicts with their probability, what they hang on, the cost of waiting."""

from __future__ import annotations

import textwrap

from costsim.analysis.cash_flow import incentives_of, payments_of
from costsim.analysis.decision import Decision, Verdict
from costsim.study.case import Case
from costsim.views.answer import called
from costsim.views.decision_rows import driver_rows, driver_title, swing_lines, waiting_lines
from costsim.views.headline import roughly
from costsim.views.rounding import over_money, round_money
from costsim.views.tables import money, text_table
from costsim.views.wording import named
from costsim.words import tr

WIDTH = 110


MOST_NAMED = 2
"""Options without a first cost that a verdict names; more are counted, for the table of costs names them."""


def verdict_rows(case: Case, decision: Decision) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the verdicts."""
    rows = []
    for verdict in decision.verdicts:
        if verdict.option is None and verdict.left_out == len(decision.options):
            rows.append([named(verdict.question), tr("none: no option keeps the house warm"), "", ""])
            continue
        if verdict.option is None:
            why = tr("the grid's carbon dioxide") if verdict.question == "least carbon" else tr("a first cost")
            rows.append([named(verdict.question), tr("not known: enter {why}", why=why), "", ""])
            continue
        rows.append([_question(verdict), *_winner(verdict, decision), _figure(case, verdict)])
    return [tr("question"), tr("option"), tr("share of the scenarios"), tr("at the prices entered")], rows


def _figure(case: Case, verdict: Verdict) -> str:
    """Money at the prices entered, as everywhere else, and the middle of the scenarios where it is rounded to another figure."""
    if verdict.entered is not None and verdict.unit == "hours a year":
        text = tr("{hours} hours a year too cold", hours=f"{verdict.entered:,.0f}")
        middle = f"{verdict.figure:,.0f}"
        return (
            text
            if middle == f"{verdict.entered:,.0f}"
            else tr("{text} (median of the scenarios {middle})", text=text, middle=middle)
        )
    if not verdict.unit.startswith("money"):
        return f"{verdict.figure:,.{1 if verdict.unit.startswith('metric tons') else 0}f} {tr(verdict.unit)}"
    yearly = verdict.unit.endswith("a year")
    values = (verdict.figure if verdict.entered is None else verdict.entered, verdict.figure)
    texts = [
        money(round_money(value), case.currency) if yearly else over_money(value, case.currency) for value in values
    ]
    text = tr("{amount} a year", amount=texts[0]) if yearly else texts[0]
    return text if texts[0] == texts[1] else tr("{text} (median of the scenarios {middle})", text=text, middle=texts[1])


def _question(verdict: Verdict) -> str:
    """What was asked, and of whom, where some options were not compared."""
    text = (
        tr("{question}, of those warm enough", question=named(verdict.question))
        if verdict.left_out
        else named(verdict.question)
    )
    if not verdict.unpriced:
        return text
    if len(verdict.unpriced) > MOST_NAMED:
        return tr("{text} ({count} without a first cost left out)", text=text, count=len(verdict.unpriced))
    names = tr(" and ").join(map(called, verdict.unpriced))
    return tr("{text} (no first cost given for {names})", text=text, names=names)


def _winner(verdict: Verdict, decision: Decision) -> tuple[str, str]:
    """The option and how likely it wins; nothing is won where there is no other."""
    if verdict.left_out + len(verdict.unpriced) == len(decision.options) - 1 and len(decision.options) > 1:
        return tr("{name}, the only one", name=verdict.option), ""
    if verdict.alike:
        return ", ".join(map(called, (str(verdict.option), *verdict.alike))), tr("the same in every scenario")
    share = roughly(verdict.probability)
    if len(verdict.others) > 2:  # more names would take the page to sign its last lines
        return str(verdict.option), tr(
            "{share}; others from {least} up", share=share, least=roughly(verdict.others[-1][1])
        )
    near = [called(name) for name, odds in verdict.others if roughly(odds) == share]
    rest = [f"{called(name)} {roughly(odds)}" for name, odds in verdict.others if roughly(odds) != share]
    each = tr("{share} each", share=share) if near else share
    return ", ".join([str(verdict.option), *near]), "; ".join([each, *rest])


def payment_lines(case: Case) -> list[str]:
    """Incentives and loans of the options, one line each."""
    lines, coin = [], case.currency
    for option in case.options:
        paid, lost = incentives_of(option, case.economics.tax_liability_money)
        for incentive, amount in paid:
            when = tr("with the first cost") if incentive.year == 0 else tr("in year {year}", year=incentive.year)
            lines.append(
                tr(
                    "{name}: {name_2} pays {amount} {when}.",
                    name=called(option.name),
                    name_2=incentive.name,
                    amount=money(amount, coin),
                    when=when,
                )
            )
        if lost:
            lines.append(
                tr(
                    "{name}: {lost} of its credits are lost, since less tax is owed.",
                    name=called(option.name),
                    lost=money(lost, coin),
                )
            )
        elif case.economics.tax_liability_money is None and any(
            not incentive.refundable for incentive in option.incentive
        ):
            lines.append(
                tr(
                    "{name}: enough tax is taken to be owed for its credit (economics.tax_liability).",
                    name=called(option.name),
                )
            )
        if option.loan:
            loan = payments_of(case, option, 0.0)
            lines.append(
                tr(
                    "{name}: a loan of {amount_money} costs {coin}{monthly} a month for {years} years.",
                    name=called(option.name),
                    amount_money=money(option.loan.amount_money, coin),
                    coin=coin,
                    monthly=f"{loan.monthly:,.2f}",
                    years=option.loan.years,
                )
            )
            if loan.owed:
                lines.append(
                    tr(
                        "{name}: when the {years} years end, {owed} of that loan is still owed (in today's money); it is counted as paid"
                        " back then.",
                        name=called(option.name),
                        years=case.economics.study_period,
                        owed=money(loan.owed, coin),
                    )
                )
    return lines


def text_decision(case: Case, decision: Decision, first_year: dict[str, float]) -> str:
    """Print the decision; `first_year` is `Outlay.running` of each option."""
    coin, lines = case.currency, payment_lines(case)
    base = case.today or case.options[0]
    for option in case.options:
        if option.loan and option is not base:
            saved = (first_year[base.name] - first_year[option.name]) / 12
            lines.append(
                tr(
                    "{name} saves {coin}{saved} a month on running against {name_2}; its loan takes"
                    " {coin}{monthly_payment}."
                    if saved >= 0
                    else "{name} costs {coin}{saved} a month more to run than {name_2}; its loan takes"
                    " {coin}{monthly_payment} beside.",
                    name=called(option.name),
                    coin=coin,
                    saved=f"{abs(saved):,.2f}",
                    name_2=called(base.name),
                    monthly_payment=f"{option.loan.monthly_payment():,.2f}",
                )
            )
    lines += waiting_lines(case, decision)
    note = tr(
        "{scenarios} scenarios (seed {seed}) of heat loss, winters, efficiencies, prices and their"
        " paths, the same for every option; first costs are as entered. Costs and carbon are"
        " compared among the options that keep the house warm (at most {hours} hours a year too cold).",
        scenarios=f"{decision.scenarios:,}",
        seed=decision.seed,
        hours=f"{case.house.max_unmet_hours:,}",
    )
    parts = [
        text_table(*verdict_rows(case, decision)),
        "\n".join(textwrap.fill(line, WIDTH, subsequent_indent="  ") for line in lines),
        f"{driver_title(decision)}\n{text_table(*driver_rows(decision))}",
        "\n".join(textwrap.fill(line, WIDTH, subsequent_indent="  ") for line in (note, *swing_lines(decision))),
    ]
    return "\n\n".join(part for part in parts if part)
