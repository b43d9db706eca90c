"""The calculation sheet: inputs, formulas, water, sources, ratings, bills, doubt, assumptions and cautions in full."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace

from costsim import __version__
from costsim.case import write_study
from costsim.compare.draws import spreads
from costsim.printed_cold import failure_lines
from costsim.report.basis import Basis
from costsim.report.blocks import Block, Facts, Heading, Items, Table, Text, table
from costsim.report.figures import duration_chart, short_chart
from costsim.report.formulas import formula_rows
from costsim.report.typed import typed_rows
from costsim.report.water import fluid_facts, loop_table
from costsim.result import CAUSES, OptionResult
from costsim.tables import bill_rows, money
from costsim.tariffs.bill import Bill, BillLine
from costsim.units import pretty_unit, show, to_display, unit_for


def sheet_pages(basis: Basis) -> tuple[Block, ...]:
    """Give the blocks of the calculation sheet."""
    sections = (
        _design,
        _formulas,
        _water,
        _sources,
        _short,
        _ratings,
        _bills,
        _doubt,
        _assumptions,
        _cautions,
        _inputs,
    )
    return tuple(block for section in sections for block in section(basis))


def _design(basis: Basis) -> Iterator[Block]:
    facts, house, common = basis.result.weather_facts, basis.case.house, basis.common
    route, band = house.design_load_route
    load, system = house.design_load_w, basis.system
    yield Heading("Load and design temperatures")
    yield Facts(
        (
            ("design heat loss", f"{_both(load, 'power', system)}; {route}"),
            ("band of doubt", f"±{band * 100:.0f} %: {_span(load, band, system)}"),
            ("over the floor", _both(load / house.floor_area_m2, "power_per_area", system)),
            ("indoor", _both(house.indoor_c, "temperature", system)),
            (
                "outdoor, design",
                f"{_both(common.design_outdoor_c, 'temperature', system)}; {common.design_outdoor_source}",
            ),
            ("outdoor, coldest hour", _both(float(facts["coldest_c"]), "temperature", system)),
            (
                "degree-days",
                f"{facts['degree_days_18_k_d']:,.0f} K d ({facts['degree_days_18_k_d'] * 1.8:,.0f} °F d) below 65 °F",
            ),
            ("full-load hours", f"{float(common.demand_w.sum()) / load:,.0f} h"),
            ("weather", f"{facts['title']}; {facts['source']}{'; synthetic' if facts['synthetic'] else ''}"),
        )
    )
    yield duration_chart(basis)


def _both(value: float, dimension: str, system: str) -> str:
    """Write a value in the reader's units and, in brackets, in the other ones."""
    first, second = (system, "si" if system == "us" else "us")
    texts = show(value, dimension, first), show(value, dimension, second)
    return texts[0] if texts[0] == texts[1] else f"{texts[0]} ({texts[1]})"


def _span(load_w: float, band: float, system: str) -> str:
    return f"{show(load_w * (1 - band), 'power', system)} to {show(load_w * (1 + band), 'power', system)}"


def _formulas(basis: Basis) -> Iterator[Block]:
    yield Heading("Formulas, with this study's numbers in SI")
    yield table("", ["what", "formula", "numbers", "standard or source"], formula_rows(basis), "wwww")


def _water(basis: Basis) -> Iterator[Block]:
    yield Heading("Floor, fluid and tank")
    yield Facts(fluid_facts(basis))
    loops = loop_table(basis)
    if loops is not None:
        yield loops


def _sources(basis: Basis) -> Iterator[Block]:
    power = pretty_unit(unit_for("power", basis.system))
    yield Heading("Sources: rated, what is taken off, left, and most delivered")
    rows, lines = [], []
    for look in basis.closer.options:
        rows.append([look.option, *[""] * 5])
        for source in look.sources:
            less = [f"{why} {to_display(watts, 'power', basis.system):,.1f}" for why, watts in source.derates]
            figures = [
                f"{to_display(watts, 'power', basis.system):,.1f}"
                for watts in (source.rated_w, source.derated_w, source.delivered_w)
            ]
            rows.append(
                [
                    f"– {source.name}",
                    figures[0],
                    ", ".join(less) or "nothing",
                    *figures[1:],
                    f"{source.full_load_hours:,.0f}",
                ]
            )
            if source.tank_hours is not None:
                lines.append(
                    (
                        f"{look.option}: {source.name}",
                        f"the propane tank lasts {source.tank_hours:,.0f} h at design load",
                    )
                )
        if look.control.hours:
            burned = show(look.control.propane_m3, "volume", basis.system, 0)
            lines.append((f"{look.option}: control", f"longest run {look.control.hours} h, {burned} of propane in it"))
        lines += [(f"{look.option}: failure", text.strip()) for text in failure_lines(look, basis.system)]
    headings = ["source", f"rated {power}", "less", f"left {power}", f"delivered {power}", "full-load h"]
    yield table("", headings, rows, "wrwrrr")
    yield Facts(tuple(lines))


def _short(basis: Basis) -> Iterator[Block]:
    chart = short_chart(basis)
    if chart is None:
        return
    heat = pretty_unit(unit_for("heat", basis.system))
    rows = [
        [option.name, f"{to_display(joule, 'heat', basis.system):,.2f}", CAUSES[cause]]
        for option in basis.result.options
        for cause, joule in option.shortfall.by_cause_j.items()
        if joule > 1e3
    ]
    yield Heading("Where heat is missing")
    yield chart
    yield table("", ["option", f"short {heat}", "why"], rows, "wrw")


def _ratings(basis: Basis) -> Iterator[Block]:
    rows = [
        [one.what, one.given_text(basis.system), one.needed_text(basis.system), one.verdict, one.ground]
        for one in basis.checks
    ]
    yield Heading("Pressures and temperatures against the ratings of the parts")
    note = "Ratings as typed in the study's [ratings] table; gauge pressures. What is not given must be read from the plates."
    yield table(
        "", ["part", "rating", "needed", "verdict", "against"], rows, "wrrlw", note, marks=("fail", "take care")
    )


def _bills(basis: Basis) -> Iterator[Block]:
    yield Heading("Bills of a year, line by line")
    for option in basis.result.options:
        for (headings, rows), key in zip(bill_rows(basis.case, by_line(option)), option.bills, strict=True):
            title = f"{option.name}: {key.replace('_', ' ')}"
            yield table(title, headings[1:], [row[1:] for row in rows], "wrrr")
    totals = ", ".join(
        f"{option.name} {basis.case.currency}{option.cost_total:,.2f}" for option in basis.result.options
    )
    yield Text(f"All bills of a year: {totals}. Month by month: costsim bill.", "small")


def by_line(option: OptionResult) -> OptionResult:
    """The option with its bills' months added up, line by line."""
    return replace(option, bills={key: _added_up(bill) for key, bill in option.bills.items()})


def _added_up(bill: Bill) -> Bill:
    sums: dict[tuple[str, str, float], tuple[float, float]] = {}
    for line in bill.lines:
        key = (line.label, line.unit, 0.0 if line.unit in ("J", "W") else line.rate)
        quantity, amount = sums.get(key, (0.0, 0.0))
        sums[key] = (quantity + line.quantity, amount + line.amount)
    lines = tuple(
        BillLine(
            0, label, quantity, unit, (amount / quantity if quantity else 0.0) if unit in ("J", "W") else rate, amount
        )
        for (label, unit, rate), (quantity, amount) in sums.items()
    )
    return replace(bill, lines=lines)


def _doubt(basis: Basis) -> Iterator[Block]:
    found, coin = basis.doubt, basis.case.currency
    bands = [[one.name, *(money(value, coin) for value in one.band())] for one in found.options]
    winters = [
        [option.name, *(f"{money(one.cost[at], coin)}, {one.short_hours[at]:,} h short" for one in found.winters)]
        for at, option in enumerate(basis.case.options)
    ]
    yield Heading("Doubt")
    yield table(
        f"Cost a year over {found.draws:,} draws (seed {found.seed})",
        ["option", "10 %", "middle", "90 %"],
        bands,
        "wrrr",
    )
    yield table(
        "Winters at the prices typed",
        ["option", *(one.name for one in found.winters)],
        winters,
        "w" + "r" * len(found.winters),
    )
    yield Facts(tuple((f"spread of {what}", text) for what, text in spreads(basis.case).items()))


def _assumptions(basis: Basis) -> Iterator[Block]:
    rows = [[one.what, one.value, one.source, one.key or "–"] for one in basis.result.assumptions]
    yield Heading("Every assumption")
    yield table("", ["what", "value", "source", "key that changes it"], rows, "wwww")
    if basis.result.warnings:
        yield Heading("What to look at again")
        yield Items(tuple(("", f"{text}.", "") for text in basis.result.warnings))


def _cautions(basis: Basis) -> Iterator[Block]:
    yield Heading("Cautions in full")
    yield Items(tuple((one.title, one.text, f"{one.check} Source: {one.source}.") for one in basis.cautions))


def _inputs(basis: Basis) -> Iterator[Block]:
    yield Heading("Inputs as typed, with the SI value they were read as")
    yield _typed_table(basis)
    yield Text(f"costsim {__version__}; study {fingerprint(basis)}; the same study gives the same bytes.", "small")


def _typed_table(basis: Basis) -> Table:
    return table("", ["key", "typed", "SI"], typed_rows(basis.case), "www")


def fingerprint(basis: Basis) -> str:
    """First half of the SHA-256 of what was typed."""
    return hashlib.sha256(write_study(basis.case.typed).encode("utf-8")).hexdigest()[:32]
