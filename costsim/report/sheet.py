"""The calculation sheet: inputs, formulas, water, sources, ratings, bills, uncertainty, assumptions and cautions in full."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace

from costsim import __version__
from costsim.analysis.capacity import OptionCapacity
from costsim.analysis.scenarios import spreads
from costsim.report.basis import Basis
from costsim.report.blocks import Block, Facts, Heading, Items, Table, Text, table
from costsim.report.each_source import each_source
from costsim.report.facts import fact_text
from costsim.report.figures import cost_chart, duration_chart, short_chart
from costsim.report.formulas import formula_rows
from costsim.report.inspect import other_diagrams
from costsim.report.system_pages import layout_pages, material_pages, size_pages
from costsim.report.typed import typed_rows
from costsim.report.water import fluid_facts, loop_table
from costsim.results.air import air_words
from costsim.results.result import CAUSES, OptionResult
from costsim.study.case import write_study
from costsim.tariffs.bill import Bill, BillLine
from costsim.units.quantity import pretty_unit, show, show_both, to_display, unit_for
from costsim.views.decision_rows import driver_rows, driver_title, swing_rows, waiting_lines
from costsim.views.own_generation import own_generation_rows
from costsim.views.rounding import above_zero
from costsim.views.tables import bill_rows, money, season_rows
from costsim.views.tank_lines import tank_sections
from costsim.views.text_capacity import capacity_cells, capacity_headings, failure_lines
from costsim.views.text_decision import payment_lines
from costsim.views.text_season import route_rows
from costsim.views.wording import for_reader, named
from costsim.weather.model import BASE_C
from costsim.words import tr


def sheet_pages(basis: Basis) -> tuple[Block, ...]:
    """Give the blocks of the calculation sheet."""
    sections = (
        design_blocks, _formulas, _water, layout_pages, _sources, each_source, size_pages, material_pages, _others, _short, _tank, _ratings, _bills,
        _doubt, _assumptions, _cautions, _inputs,
    )  # fmt: skip
    return tuple(block for section in sections for block in section(basis))


def year_by_source(basis: Basis, title: str = "") -> Table:
    """What each option and source cost, gave and took over the year."""
    headings, rows = season_rows(basis.result, basis.system)
    return table(title, [pretty_unit(heading) for heading in headings], rows, "wrrrrrrr")


def household_sheet(basis: Basis) -> tuple[Block, ...]:
    """Give the blocks that a household looks up: bills, certainty, assumptions and cautions in full."""
    return tuple(
        block for section in (_bills, _doubt, _assumptions, _cautions) for block in map(_plain, section(basis))
    )


def _plain(block: Block) -> Block:
    """A table without the keys of the study file."""
    if isinstance(block, Table) and block.headings[-1] == tr("key that changes it"):
        rows = tuple(row[:-1] for row in block.rows)
        return replace(block, headings=block.headings[:-1], rows=rows, aligned=block.aligned[:-1])
    return block


def design_blocks(basis: Basis) -> Iterator[Block]:
    """The load, the temperatures it is meant at, and where it comes from."""
    facts, house, common = basis.result.weather_facts, basis.case.house, basis.common
    route, system = basis.result.route, basis.system
    load, band = route.load_w, route.band
    kind = tr("synthetic") if facts["synthetic"] else ""
    yield Heading(tr("Load and design temperatures"))
    yield Facts(
        (
            (tr("design heat loss"), f"{show_both(load, 'power')}; {route.words}"),
            (tr("uncertainty band"), f"±{band * 100:.0f} %: {_span(load, band, system)}"),
            (tr("over the floor"), show_both(load / house.floor_area_m2, "power_per_area")),
            (tr("indoor temperature"), show_both(house.indoor_temperature_c, "temperature")),
            (
                tr("outdoor, design"),
                f"{show_both(common.design_outdoor_c, 'temperature')}; {common.design_outdoor_source}",
            ),
            (tr("outdoor, coldest hour of the weather year"), show_both(float(facts["coldest_c"]), "temperature")),
            (
                tr("degree-days"),
                tr(
                    "{facts} K d ({facts_2} °F d) below {base}",
                    facts=f"{facts['degree_days_k_d']:,.0f}",
                    facts_2=f"{facts['degree_days_k_d'] * 1.8:,.0f}",
                    base=show(BASE_C, "temperature", system),
                ),
            ),
            (tr("full-load hours"), f"{float(common.demand_w.sum()) / load:,.0f} h"),
            (tr("weather"), "; ".join(filter(None, (facts["title"], facts["source"], kind)))),
        )
    )
    if len(basis.result.load_routes) > 1:
        yield table(
            tr("The design heat loss by every route that is entered"), *route_rows(basis.result, system), "WrrW"
        )
    if house.surface or house.room:
        yield table(
            tr("Surfaces and air"),
            *_surface_rows(basis),
            "WrrrrW",
            air_words(basis.common.surroundings.altitude_m, basis.system),
        )
    yield duration_chart(basis)
    yield cost_chart(basis)


def _surface_rows(basis: Basis) -> tuple[list[str], list[list[str]]]:
    """Every surface and the air of envelope and rooms, with what each loses."""
    house, system = basis.case.house, basis.system
    parts = [
        ("", house.surface, house.infiltration),
        *((f"{room.name}: ", room.surface, room.infiltration) for room in house.room),
    ]
    rows = []
    for prefix, surfaces, air in parts:
        for surface in surfaces:
            u_value, typical = surface.u_value_known_w_m2k, tr("typical, not known") if surface.typical else "given"
            figures = [
                show(surface.area_m2, "area", system),
                show(u_value, "u_value", system, 3),
                f"{surface.difference_share:.0%}",
            ]
            rows.append(
                [f"{prefix}{surface.name}", *figures, show(surface.loss_w_k, "heat_loss_rate", system), typical]
            )
        if air is not None:
            loss = air.loss_w_k(basis.common.surroundings.altitude_m)
            rows.append([f"{prefix}air", "", "", "", show(loss, "heat_loss_rate", system), "given"])
    return [tr("surface"), tr("area"), tr("U-value"), tr("of the difference"), tr("loss"), tr("U-value is")], rows


def _span(load_w: float, band: float, system: str) -> str:
    return tr(
        "{load} to {load_2}",
        load=show(load_w * (1 - band), "power", system),
        load_2=show(load_w * (1 + band), "power", system),
    )


def _formulas(basis: Basis) -> Iterator[Block]:
    yield Heading(tr("Formulas, with this study's numbers"))
    yield table("", [tr("what"), tr("formula"), tr("numbers"), tr("standard or source")], formula_rows(basis), "wWWW")


def _water(basis: Basis) -> Iterator[Block]:
    yield Heading(tr("{name}: floor, fluid and tank", name=basis.signed.name))
    yield Facts(fluid_facts(basis))
    loops = loop_table(basis)
    if loops is not None:
        yield loops


def _sources(basis: Basis) -> Iterator[Block]:
    yield Heading(tr("Sources: rated, derates, available, and most delivered"))
    rows = [row for look in basis.closer.options for row in _capacity_rows(look, basis.system)]
    yield table("", capacity_headings(basis.system), rows, "wrwrrr")
    yield year_by_source(basis, tr("The year by source"))
    facts = [
        [o.name, f"{s.name}: {fact_text(s.facts, basis.system)}"]
        for o in basis.result.options
        for s in o.sources
        if s.facts
    ]
    lines = [[look.option, line] for look in basis.closer.options for line in _failure_lines(look, basis.system)]
    if facts:
        yield table(tr("Of the sources"), [tr("option"), tr("counted over the season")], _once(facts), "wW")
    yield table(
        tr("When fuel, power or a source fails, in the coldest week"),
        [tr("option"), tr("what happens")],
        _once(lines),
        "wW",
    )


def _capacity_rows(look: OptionCapacity, system: str) -> list[list[str]]:
    """An option, and its sources below it."""
    rows = [[look.option, *[""] * 5]]
    for source in look.sources:
        name, *cells = capacity_cells(source, system)
        rows.append([f"– {name}", *cells])
    return rows


def _failure_lines(look: OptionCapacity, system: str) -> list[str]:
    """How cold it gets when something fails, and how long the propane lasts."""
    lines = [text.strip() for text in failure_lines(look, system)]
    if look.curtailment.hours:
        burned = show(look.curtailment.propane_m3, "volume", system, 0)
        lines.append(
            tr(
                "held off by the utility for at most {hours} h in a row (its windows and coldest hours together), {burned} of propane"
                " in it",
                hours=look.curtailment.hours,
                burned=burned,
            )
        )
    tanks = [source for source in look.sources if source.tank_hours is not None]
    return lines + [
        tr(
            "{name}: the propane tank lasts {tank_hours} h at design load",
            name=s.name,
            tank_hours=f"{s.tank_hours:,.0f}",
        )
        for s in tanks
    ]


def _once(rows: list[list[str]]) -> list[list[str]]:
    """Rows whose first cell is left empty where it repeats the one above."""
    return [[first if at == 0 or rows[at - 1][0] != first else "", *rest] for at, (first, *rest) in enumerate(rows)]


def _short(basis: Basis) -> Iterator[Block]:
    chart = short_chart(basis)
    if chart is None:
        return
    heat = pretty_unit(unit_for("heat", basis.system))
    rows = [
        [option.name, above_zero(to_display(joule, "heat", basis.system), 2), tr(CAUSES[cause])]
        for option in basis.result.options
        for cause, joule in option.unmet.by_cause_j.items()
        if joule > 1e3
    ]
    yield Heading(tr("Where heat is missing"))
    yield chart
    yield table("", [tr("option"), tr("heat missing, {heat}", heat=heat), tr("why")], rows, "wrw")


def _tank(basis: Basis) -> Iterator[Block]:
    for title, lines in tank_sections(basis.result, basis.system):
        yield Heading(title)
        yield from (Text(f"{line}.") for line in lines)


def _ratings(basis: Basis) -> Iterator[Block]:
    rows = [
        [
            tr(check.what),
            check.given_text(basis.system),
            check.needed_text(basis.system),
            tr(check.verdict),
            check.ground,
        ]
        for check in basis.signed.checks
    ]
    title = tr("{name}: pressures and temperatures against the ratings of the parts", name=basis.signed.name)
    yield Heading(title)
    note = tr("Ratings as entered; gauge pressures. What is not entered must be read from the plates.")
    yield table(
        "",
        [tr("part"), tr("rating"), tr("needed"), tr("verdict"), tr("against")],
        rows,
        "wrrlw",
        note,
        marks=(tr("fail"), tr("take care")),
    )


def _bills(basis: Basis) -> Iterator[Block]:
    yield Heading(tr("Bills of a year, line by line"))
    for option in basis.result.options:
        for (headings, rows), key in zip(
            bill_rows(basis.case, by_line(option), basis.system), option.bills, strict=True
        ):
            title = f"{option.name}: {key.replace('_', ' ')}"
            yield table(title, headings[1:], [row[1:] for row in rows], "wrrr")
    totals = ", ".join(
        f"{option.name} {basis.case.currency}{option.cost_total:,.2f}" for option in basis.result.options
    )
    yield Text(tr("All bills of a year: {totals}. Month by month: the Prices page.", totals=totals), "small")
    headings, rows = own_generation_rows(basis.result)
    if rows:
        note = tr("The house takes first, then heating, then the grid. A battery is not computed.")
        yield table(
            headings[0][:1].upper() + headings[0][1:],
            [tr("option"), *headings[1:]],
            rows,
            "w" + "r" * (len(headings) - 1),
            note,
        )


def by_line(option: OptionResult) -> OptionResult:
    """The option with its bills' months added up, line by line."""
    return replace(option, bills={key: _added_up(bill) for key, bill in option.bills.items()})


def _added_up(bill: Bill) -> Bill:
    sums: dict[tuple[str, str, str, float | None], tuple[float, float]] = {}
    for line in bill.lines:
        key = (line.label, line.group, line.unit, None if line.unit in ("J", "W") else line.rate)
        quantity, amount = sums.get(key, (0.0, 0.0))
        sums[key] = (quantity + line.quantity, amount + line.amount)
    lines = tuple(
        BillLine(
            0, label, quantity, unit, (amount / quantity if quantity else 0.0) if rate is None else rate, amount, group
        )
        for (label, group, unit, rate), (quantity, amount) in sums.items()
    )
    return replace(bill, lines=lines)


def _doubt(basis: Basis) -> Iterator[Block]:
    scatter, coin = basis.uncertainty, basis.case.currency
    bands = [[option.name, *(money(value, coin) for value in option.band())] for option in scatter.options]
    winters = [
        [
            option.name,
            *(
                tr(
                    "{cost}, {unmet_hours} h unmet",
                    cost=money(winter.cost[at], coin),
                    unmet_hours=f"{winter.unmet_hours[at]:,}",
                )
                for winter in scatter.winters
            ),
        ]
        for at, option in enumerate(basis.case.options)
    ]
    yield Heading(tr("Uncertainty"))
    yield table(
        tr("Cost a year over {scenarios} scenarios", scenarios=f"{scatter.scenarios:,}"),
        [tr("option"), "10 %", tr("median"), "90 %"],
        bands,
        "wrrr",
    )
    yield table(
        tr("Winters at the prices entered"),
        [tr("option"), *(winter.name for winter in scatter.winters)],
        winters,
        "w" + "r" * len(scatter.winters),
    )
    yield Text(tr("What varies together, one standard deviation each:"), "small")
    yield Facts(tuple((named(what), named(spread)) for what, spread in spreads(basis.case).items()))
    lines = (*payment_lines(basis.case), *waiting_lines(basis.case, basis.decision))
    yield table(driver_title(basis.decision), *driver_rows(basis.decision), "Wr", " ".join(lines))
    yield table(tr("How prices move over the years"), *swing_rows(basis.decision), "wrrW")


def _assumptions(basis: Basis) -> Iterator[Block]:
    rows = [
        [assumption.what, assumption.value, assumption.source, assumption.key or "–"]
        for assumption in basis.result.assumptions
    ]
    yield Heading(tr("Every assumption"))
    yield table("", [tr("what"), tr("value"), tr("source"), tr("key that changes it")], rows, "wWWw")
    if basis.result.warnings:
        yield Heading(tr("Worth a second look"))
        texts = (for_reader(text, basis.system) for text in basis.result.warnings)
        yield Items(tuple(("", f"{text[:1].upper()}{text[1:]}.", "") for text in texts))


def _others(basis: Basis) -> Iterator[Block]:
    """What is drawn of the options that are not signed."""
    drawn = other_diagrams(basis)
    if drawn:
        yield Heading(tr("Other options, which are not signed"))
        yield from drawn


def _cautions(basis: Basis) -> Iterator[Block]:
    yield Heading(tr("Cautions in full, of all options"))
    yield Items(
        tuple(
            (caution.title, caution.text, tr("{check} Source: {source}.", check=caution.check, source=caution.source))
            for caution in basis.cautions
        )
    )


def _inputs(basis: Basis) -> Iterator[Block]:
    yield Heading(tr("Inputs as typed, and as they were read"))
    yield _typed_table(basis)
    yield Text(
        tr(
            "costsim {version}; study {basis}; the same study gives the same bytes.",
            version=__version__,
            basis=fingerprint(basis),
        ),
        "small",
    )


def _typed_table(basis: Basis) -> Table:
    return table("", [tr("key"), tr("typed"), tr("read as")], typed_rows(basis.case, basis.system), "www")


def fingerprint(basis: Basis) -> str:
    """First half of the SHA-256 of what was typed."""
    return hashlib.sha256(write_study(basis.case.typed).encode("utf-8")).hexdigest()[:32]
