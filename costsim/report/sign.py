"""The page to sign: the answer, what it costs and carries, eligibility, cautions, what it rests on, and who signs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from costsim.report.basis import Basis
from costsim.report.blocks import Block, Chart, Facts, Heading, Items, Signatures, Table, Text, table
from costsim.report.bought import bought
from costsim.report.fires import to_confirm
from costsim.report.reader import LINE
from costsim.units.quantity import pretty_unit, show, to_display, unit_for
from costsim.views.answer import called, ranked
from costsim.views.cold_hours import cheaper_lines, gains_sentence
from costsim.views.design_night import design_night_sentence
from costsim.views.payback import today_sentence
from costsim.views.schematic import NARROW, draw
from costsim.views.system import system_of
from costsim.views.tables import first_cost, missing_figures, money
from costsim.views.text_decision import verdict_rows
from costsim.views.wording import for_reader
from costsim.words import each, tr, trn

RESTS_ON = ("design heat loss", "outdoor design temperature", "balance point", "weather", "floor")
MOST_WARNINGS, MOST_OPTIONS, FEW = 6, 5, 4
TO_CONFIRM = (
    ("standards and editions", "as named above, to be confirmed by the inspector: ______________________________"),
)
BY_HAND = (
    (
        "address of the house",
        "______________________________ permit number ______________ license number ______________",
    ),
)
"""What no study knows and an office asks for."""
SIGNERS = (
    ("Owner", "I have read the answer, its uncertainty and the cautions that follow."),
    ("Installer", "Sizes on this page, and the ratings entered, are those installed or offered."),
    ("Inspector", "Seen; the locally adopted codes decide."),
)


def sign_page(basis: Basis, waiting: int) -> tuple[Block, ...]:
    """Give the blocks of the page to sign: diagram and open items stand on it, above the signatures; cautions and sources follow.

    `waiting` is the number of sources that wait to be confirmed.
    """
    signed, few = basis.signed, shown(basis)
    titles = "; ".join(caution.title[:1].lower() + caution.title[1:] for caution in signed.cautions)
    return (
        Text(own_answer(basis), "answer"),
        Text(basis.sentence),
        costs(basis, few),
        verdicts(basis),
        capacities(basis, few),
        *(Text(sentence, "small") for sentence in (gains_sentence(basis.result, basis.system),) if sentence),
        *(Text(sentence) for sentence in (design_night_sentence(basis.result, basis.system, few),) if sentence),
        *_eligibility(basis),
        *_warnings(basis),
        Heading(tr("What is signed: {name}", name=signed.name)),
        diagram(basis),
        *bought(basis),
        Heading(tr("Open items")),
        Facts((*open_rows(basis, waiting), (tr("cautions below"), titles), *each(BY_HAND))),
        Signatures(each(SIGNERS)),
        Heading(
            tr(
                "Cautions for {name}: check the locally adopted edition of each standard named",
                name=called(signed.name),
            )
        ),
        Items(
            tuple((caution.title, caution.short, _sentence(caution.standards)) for caution in signed.cautions),
            columns=2,
        ),
        *((Heading(tr("All options")), costs(basis), capacities(basis)) if crowded(basis) else ()),
        Heading(tr("Assumptions and sources")),
        Facts((*assumed(basis), *each(TO_CONFIRM))),
    )


def own_answer(basis: Basis) -> str:
    """The figures of the option that is signed, and which it was compared with."""
    signed, coin = basis.signed, basis.case.currency
    option, (low, _, high) = basis.result.option(signed.name), basis.band(signed.name)
    others = [called(rival.name) for rival in basis.case.options if rival.name != signed.name]
    text = trn(
        "{name}: {cost} a year at the prices entered (80% range {low} to {high}); first cost {bought}; {count} hour of the"
        " weather year too cold.",
        "{name}: {cost} a year at the prices entered (80% range {low} to {high}); first cost {bought}; {count} hours of the"
        " weather year too cold.",
        option.unmet.hours,
        name=called(signed.name),
        cost=money(option.cost_total, coin),
        low=money(low, coin),
        high=money(high, coin),
        bought=first_cost(signed.option, coin),
    )
    if not others:
        return text
    if crowded(basis):
        return tr("{text} It was compared with {count} others.", text=text, count=len(others))
    return tr("{text} It was compared with {others}.", text=text, others=tr(" and ").join(others))


def diagram(basis: Basis) -> Chart:
    """The schematic of the option that is signed, drawn for paper."""
    signed = basis.signed
    looked = system_of(basis.common, signed.option, basis.look(signed.name).sources, signed.layout)
    drawn = draw(looked, basis.system, NARROW)
    return Chart("", drawn.svg, drawn.about)  # the drawing says itself whose it is, and that it is not for installation


def crowded(basis: Basis) -> bool:
    """Whether there are so many options that reasons are told once for all that share them."""
    return len(basis.case.options) > MOST_OPTIONS


def shown(basis: Basis) -> tuple[str, ...]:
    """Options in the tables above the signatures: the signed one, today's and the next best ones; all where they are few."""
    case = basis.case
    today = (case.today.name,) if case.today is not None else ()
    best = (result.name for result in ranked(basis.result))
    first = dict.fromkeys((basis.signed.name, *today, *best))
    few = list(first)[: FEW if crowded(basis) else None]
    return tuple(option.name for option in case.options if option.name in few)


def _others(basis: Basis, few: Sequence[str]) -> str:
    """That a table leaves options out, and where they stand."""
    left = len(basis.case.options) - len(few)
    return (
        trn(
            "{count} more option stands below the signatures.", "{count} more options stand below the signatures.", left
        )
        if left
        else ""
    )


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def costs(basis: Basis, few: Sequence[str] = ()) -> Table:
    """What each option costs, with the span of eight scenarios in ten; of `few` alone where they are named."""
    coin, rows = basis.case.currency, []
    for option, typed in zip(basis.result.options, basis.case.options, strict=True):
        if few and option.name not in few:
            continue
        low, _, high = basis.band(option.name)
        figures = [
            money(value, coin) for value in (option.cost_total, low, high, option.cost_fixed, option.cost_energy)
        ]
        bought = first_cost(typed, coin)
        rows.append(
            [
                option.name,
                figures[0],
                tr("{figures} to {figures_2}", figures=figures[1], figures_2=figures[2]),
                *figures[3:],
                bought,
            ]
        )
    headings = [tr("option"), tr("a year"), tr("80% range"), tr("fixed"), tr("energy"), tr("first cost")]
    note = tr(
        "One year at the prices entered. 80% range: {scenarios} scenarios of heat loss, prices,"
        " winters and efficiencies, without the lowest and the highest tenth. {what}; fixed"
        " charges only as far as heating adds them: not those of a service that the house has anyway.",
        what=tr("Heating and what else the tank serves") if basis.case.use else tr("Heating alone"),
        scenarios=f"{basis.uncertainty.scenarios:,}",
    )
    note = " ".join(filter(None, [_others(basis, few) if few else "", note]))
    return table(tr("What it costs"), headings, rows, "wrrrrr", note)


def capacities(basis: Basis, few: Sequence[str] = ()) -> Table:
    """Rated, remaining and delivered capacity of each option, and how short it leaves the house; of `few` as in `costs`."""
    power, heat = (pretty_unit(unit_for(name, basis.system)) for name in ("power", "heat"))
    rows, more = [], []
    for option in basis.result.options:
        if few and option.name not in few:
            continue
        sources, short = basis.look(option.name).sources, option.unmet
        sums = (
            sum(source.rated_w for source in sources),
            sum(source.day_w for source in sources),
            float(option.hourly.delivered_w.max()),
        )
        carried = [f"{to_display(watts, 'power', basis.system):,.1f}" for watts in sums]
        more.append(sums[2] > 1.005 * sums[1])
        gap = missing_figures(basis.result, short, basis.system) if short.hours else ["–"] * 3
        rows.append([option.name, *carried, f"{short.hours:,}", *gap])
    headings = [
        tr("option"),
        tr("rated {power}", power=power),
        tr("available {power}", power=power),
        tr("delivered {power}", power=power),
        tr("unmet hours"),
        tr("heat missing, {heat}", heat=heat),
        tr("largest gap {power}", power=power),
        tr("worst hour"),
    ]
    load = show(basis.result.route.load_w, "power", basis.system)
    note = tr(
        "The house loses {load} on a design day. Available: what altitude, breaker, flow, water"
        " temperature and sun leave of the rated sum in the weather year's coldest hour; a source that rests for part of that day counts by"
        " its average. Delivered: the most the"
        " house took in any hour.",
        load=load,
    )
    lent = (
        tr("Where more was delivered than is available, the tank lent it, or the hour was milder than the coldest.")
        if any(more)
        else ""
    )
    note = f"{note} {lent}".strip()
    return table(tr("Does it keep the house warm?"), headings, rows, "wrrrrrrr", note)


def _eligibility(basis: Basis) -> tuple[Block, ...]:
    program = basis.case.program
    if program is None:
        return ()
    reasons = {look.option: "; ".join(look.verdict.reasons) for look in basis.closer.options if look.verdict}
    rows = tuple(reasons.items())
    if crowded(basis):
        groups = {reason: [name for name in reasons if reasons[name] == reason] for reason in reasons.values()}
        rows = tuple((reason, ", ".join(names)) for reason, names in groups.items())
    return (Heading(tr("Is “{name}” open to it?", name=program.name)), Facts(rows))


def _warnings(basis: Basis) -> tuple[Block, ...]:
    """Ratings that fail first, then what the computation warned of."""
    weak = [
        tr(
            "rating fails: {what} {system}, {system_2} needed",
            what=tr(check.what),
            system=check.given_text(basis.system),
            system_2=check.needed_text(basis.system),
        )
        for check in basis.signed.checks
        if check.verdict == "fail"
    ]
    texts = [*weak, *(for_reader(text, basis.system) for text in basis.result.warnings)]
    if not texts:
        return ()
    shown = [f"{text[:1].upper()}{text[1:]}." for text in texts[:MOST_WARNINGS]]
    more = len(texts) - len(shown)
    rest = tr(" And {more} more {where}.", more=more, where=elsewhere(basis)) if more > 0 else ""
    return (Heading(tr("Take care")), Text(f"{' '.join(shown)}{rest}"))


def assumed(basis: Basis, *, parts: bool = True) -> tuple[tuple[str, str], ...]:
    """Prices and the assumptions that the answer hangs on most, with their sources."""
    assumptions = {item.what: f"{item.value}; {item.source}" for item in basis.result.assumptions}
    rows = [(what, assumptions[what]) for what in map(tr, RESTS_ON) if what in assumptions]
    return (
        (
            tr("prices"),
            tr(
                "{basis}; {basis_2}; they hold for the whole year",
                basis=price_day(basis, parts=parts),
                basis_2=_prices(basis),
            ),
        ),
        *rows,
        (
            tr("everything else"),
            tr(
                "all {assumptions} assumptions are {where}, each with its source",
                assumptions=len(basis.result.assumptions),
                where=elsewhere(basis),
            ),
        ),
    )


def verdicts(basis: Basis) -> Table:
    """Which option is cheapest to buy, to run and over the years, emits least and is never cold, and how likely that is."""
    headings, rows = verdict_rows(basis.case, basis.decision)
    note = tr(
        "Over {study_period} years; shares of {scenarios} scenarios; running costs include maintenance.",
        study_period=basis.case.economics.study_period,
        scenarios=f"{basis.decision.scenarios:,}",
    )
    against = today_sentence(basis.result, basis.signed.name)
    lines = [*cheaper_lines(basis.result, basis.system), against, note]
    return table(tr("Verdict"), headings, rows, "wwrr", " ".join(filter(None, lines)))


def open_rows(basis: Basis, waiting: int = 0, *, parts: bool = True) -> tuple[tuple[str, str], ...]:
    """What somebody still has to find out or do before this page holds, with a line to fill in."""
    rows = []
    if not basis.case.price_date:
        rows.append((tr("date of the prices"), LINE if parts else tr("not typed; add it on Prices")))
    if basis.common.design_outdoor_source != tr("typed in the study"):
        rows.append(
            (
                tr("outdoor design temperature"),
                tr("taken from the weather file; the local code's value: {line}", line=LINE)
                if parts
                else tr("taken from the weather file; the local code may ask for another"),
            )
        )
    if basis.result.route.key == "area":
        rows.append(
            (
                tr("design heat loss"),
                tr("rests on a rule of thumb; a heat-loss calculation by: {line}", line=LINE)
                if parts
                else tr("rests on a rule of thumb; a year's fuel or bills tell it better"),
            )
        )
    rows += [
        (
            tr("{name} is too cold", name=called(option.name)),
            tr("{hours} hours a year; accepted, or closed by: {line}", hours=f"{option.unmet.hours:,}", line=LINE)
            if parts
            else tr("{hours} hours a year", hours=f"{option.unmet.hours:,}"),
        )
        for option in basis.result.options
        if not option.keeps_warm and (not parts or option.name == basis.signed.name)
    ]
    rows += to_confirm(basis, parts=parts)
    if parts:
        missing = [check.what for check in basis.signed.checks if check.verdict == "not given"]
        if missing:
            rows.append(
                (
                    trn("{count} rating of a part", "{count} ratings of parts", len(missing)),
                    tr("not given; fill them in on the inspector's page of the full report")
                    if basis.short
                    else tr("not given; fill them in on the inspector's page"),
                )
            )
    if waiting:
        listed = tr("the full report lists them") if basis.short else tr("listed on the last page")
        rows.append(
            (
                trn("{count} source", "{count} sources", waiting),
                tr("to be confirmed before anybody signs; {where}", where=listed)
                if parts
                else tr("for your trades to check; {where}", where=listed),
            )
        )
    return tuple(rows) or (("none", tr("no open items are known")),)


def elsewhere(basis: Basis) -> str:
    """Where everything stands that a first page leaves out."""
    return tr("in the full report") if basis.short else tr("on the calculation sheet")


def price_day(basis: Basis, *, parts: bool = True) -> str:
    """Date of the prices, or a place to write it."""
    return (
        tr("as of {price_date}", price_date=basis.case.price_date)
        if basis.case.price_date
        else (tr("as of ____________ (the study gives no date)") if parts else tr("as entered, without a date"))
    )


def _prices(basis: Basis) -> str:
    """Every energy price as typed, with its hours or its part of the use, and what is due each month and year."""
    tables = basis.case.typed.get("prices", {})
    return "; ".join(
        f"{key.replace('_', ' ')} {', '.join(_parts(value, elsewhere(basis)))}" for key, value in tables.items()
    )


def _parts(table: Mapping[str, Any], where: str = "") -> Iterator[str]:
    """The parts of one price table, in the words of whoever typed them."""
    parts = [key for key in ("period", "block", "demand", "charge", "ticket") if table.get(key)]
    if table.get("energy"):
        yield tr("{price} in other hours", price=table["energy"]) if table.get("period") else str(table["energy"])
    for period in table.get("period", ()):
        hours = ", ".join(period.get("windows", ())) or tr("all day")
        when = " ".join(filter(None, [hours, str(period.get("days", "")), str(period.get("months", ""))]))
        yield tr("{price} {when} ({name})", price=period["energy"], when=when, name=period["name"])
    for block in table.get("block", ()):
        yield (
            tr("{price} up to {limit}", price=block["energy"], limit=block["up_to"])
            if block.get("up_to")
            else str(block["energy"])
        )
    yield from (str(table[key]) for key in ("fixed", "rent") if table.get(key))
    if "ticket" in parts:
        yield tr("by delivery tickets")
    if "demand" in parts or "charge" in parts:
        yield tr("further charges {where}", where=where or tr("on the calculation sheet"))
