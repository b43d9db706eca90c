"""What the commands print: the answer first, then the table, what it rests on, and what to type next."""

from __future__ import annotations

import textwrap

import numpy as np

from costsim.analysis.scenarios import spreads
from costsim.engine.lower import LoweredStudy, lower_option, lower_study
from costsim.physics.emitters import EMITTERS
from costsim.results.condensing import untold_condensing
from costsim.results.result import CAUSES, Result
from costsim.sources import Offer
from costsim.study.case import Case
from costsim.units.quantity import HOUR_S, show
from costsim.views.emitter_marks import label_of
from costsim.views.own_generation import own_generation_rows
from costsim.views.tables import season_rows, text_table, unmet_rows
from costsim.views.tank_lines import tank_sections
from costsim.views.wording import for_reader, named
from costsim.weather import Weather
from costsim.words import tr

WIDTH = 110
CAUTION = "An estimate for planning. Gas, electrical, pressure and combustion work belongs to licensed trades; check the locally adopted codes."


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")


def text_comparison(case: Case, result: Result, system: str, name: str, sentence: str) -> str:
    """Print a whole comparison.

    Parameters
    ----------
    case, result : Case, Result
    system : str
        ``"us"`` or ``"si"``.
    name : str
        What was typed to name the study, for the commands at the end.
    sentence : str
        The answer.

    Returns
    -------
    str
    """
    headings, rows = season_rows(result, system)
    season = text_table(headings, rows)
    parts = [_title(case, result), _wrapped(sentence), season]
    headings, rows = own_generation_rows(result)
    if rows:
        parts.append(text_table(headings, rows))
    headings, rows = unmet_rows(result, system)
    if rows:
        parts.append(text_table(headings, rows) + "\n" + "\n".join(_cause_lines(result)))
    parts += [
        "\n".join((title, *(_wrapped(line, "  ") for line in lines))) for title, lines in tank_sections(result, system)
    ]
    if result.warnings:
        parts.append(
            tr("Take care\n") + "\n".join(_wrapped(for_reader(text, system), "  ") for text in result.warnings)
        )
    parts.append(tr("Assumptions and sources\n") + "\n".join(_assumption_lines(result, system)))
    parts.append(_next_lines(name))
    parts.append(_wrapped(tr(CAUTION)))
    return "\n\n".join(parts)


def _title(case: Case, result: Result) -> str:
    facts = result.weather_facts
    head = f"{case.title}\n{'=' * len(case.title)}"
    return (
        tr("{head}\n{note}\nWeather: {facts}", head=head, note=case.note, facts=facts["title"])
        if case.note
        else tr("{head}\nWeather: {facts}", head=head, facts=facts["title"])
    )


def _cause_lines(result: Result) -> list[str]:
    causes = {cause for o in result.options for cause, joule in o.unmet.by_cause_j.items() if joule > 1e3}
    return [f"  {tr(cause)}: {tr(text)}" for cause, text in CAUSES.items() if cause in causes]


def _assumption_lines(result: Result, system: str) -> list[str]:
    texts = (f"{item.what}: {item.value} [{item.source}]" for item in result.assumptions)
    return [_wrapped(for_reader(text, system), "  ") for text in texts]


def _next_lines(name: str) -> str:
    commands = {
        f"costsim check {name}": tr("what was understood"),
        f"costsim uncertainty {name}": tr("how sure the answer is"),
        f"costsim breakeven {name}": tr("at which prices it turns"),
        f"costsim lifecycle {name}": tr("life-cycle cost, with first cost and maintenance"),
        f"costsim capacity {name}": tr("real capacities, and what happens if a source fails"),
        f"costsim report {name} -o page.pdf": tr("a page to sign, with the cautions that belong to it"),
        "costsim dashboard": tr("the same to look at and change"),
    }
    width = max(len(command) for command in commands)
    return "\n".join([tr("Next"), *(f"  {command:{width}}  {what}" for command, what in commands.items())])


def route_rows(result: Result, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the design load by every route that is given."""
    rows = [
        [
            route.words,
            show(route.load_w, "power", system),
            f"±{route.band:.0%}",
            "counts" if route.key == result.route.key else "",
        ]
        for route in result.load_routes
    ]
    return [tr("design load"), tr("heat loss"), tr("uncertainty band"), ""], rows


def _other_routes(common: LoweredStudy, system: str) -> list[str]:
    """The design load by every other route that is given."""
    rows = [
        route
        for route in common.case.house.routes(common.design_outdoor_c, common.surroundings.altitude_m)
        if route.key != common.route.key
    ]
    return [
        tr(
            "    not used        {load} ({words}, ±{band})",
            load=show(row.load_w, "power", system),
            words=row.words,
            band=f"{row.band:.0%}",
        )
        for row in rows
    ]


def _held(offer: Offer, system: str) -> str:
    """What its breaker leaves of a rated output; empty where it leaves all."""
    lost = dict(offer.derates).get("breaker")
    return tr(", of which its breaker carries {most}", most=show(offer.rated_w - lost, "power", system)) if lost else ""


def printed_case(case: Case, weather: Weather, system: str) -> str:
    """Print the case as understood."""
    common = lower_study(case, weather)
    house = case.house
    lines = [
        case.title,
        tr("  heated floor      {floor_area}", floor_area=show(house.floor_area_m2, "area", system, 0)),
        tr(
            "  design heat loss  {load} ({words})",
            load=show(common.route.load_w, "power", system),
            words=common.route.words,
        ),
        f"                    {show(common.route.load_w / house.floor_area_m2, 'power_per_area', system)}",
        *_other_routes(common, system),
        tr(
            "  indoor            {indoor_temperature}",
            indoor_temperature=show(house.indoor_temperature_c, "temperature", system),
        ),
        tr(
            "  design outdoor    {design_outdoor} ({design_outdoor_source})",
            design_outdoor=show(common.design_outdoor_c, "temperature", system),
            design_outdoor_source=common.design_outdoor_source,
        ),
        tr("  heat loss         {loss}", loss=show(common.loss_w_k, "heat_loss_rate", system)),
        tr("  balance point     {mean}", mean=show(float(common.balance_c.mean()), "temperature", system)),
        tr("  weather           {title}, {n_hours} hours", title=weather.title, n_hours=f"{weather.n_hours:,}"),
        tr("  heat in a year    {sum}", sum=show(float(common.demand_w.sum()) * HOUR_S, "heat", system)),
    ]
    for zone in house.zone:
        kept = house.indoor_temperature_c if zone.indoor_temperature_c is None else zone.indoor_temperature_c
        text = tr(
            "{floor_area} of the heat loss at {kept}",
            floor_area=f"{zone.share(house.floor_area_m2):.0%}",
            kept=show(kept, "temperature", system),
        )
        loops = tr(", loops {loops}", loops=", ".join(zone.loops)) if zone.loops else ""
        loops += tr(", by {emitter}", emitter=tr(EMITTERS[zone.emitter].title)) if zone.emitter else ""
        lines.append(tr("  zone              {name}: {text}{loops}", name=zone.name, text=text, loops=loops))
    lines += [
        tr(
            "  water at design   {name}: {water}{valve}",
            name=label_of(circuit),
            water=show(float(circuit.supply_c), "temperature", system, 0),
            valve=tr(", through a mixing valve of its own") if circuit.valved else "",
        )
        for circuit in common.water.circuits
    ]
    for option in case.options:
        lines.append(tr("  option            {name} (rule: {rule})", name=option.name, rule=option.rule))
        for source, offer in zip(option.sources, lower_option(common, option).offers, strict=True):
            plate = (
                f"    {source.label}: {source.kind}, {show(source.nameplate_w(), 'power', system)} {source.rated_at}"
            )
            lines.append(plate.rstrip() + _held(offer, system))
            # what somebody must load by hand may follow from the plate, and is not to come as a surprise
            by_hand = source.formulas(common.surroundings.altitude_m) if source.unstoppable else ()
            lines += [f"      {what}: {figures}" for what, _, figures, _ in by_hand]
    lines += [tr("  question          {text}", text=text) for text in untold_condensing(case.options)]
    for key, price in case.prices.items():
        mean, unit = price.sold_price(key, float(np.mean(common.surroundings.price_per_j[key])), system)
        lines.append(
            tr(
                "  price             {key}: {currency}{mean}/{unit} on average over the year's hours",
                key=key.replace("_", " "),
                currency=case.currency,
                mean=f"{mean:,.3f}",
                unit=unit,
            )
        )
    lines.append(tr("  not known exactly, one standard deviation each:"))
    lines += [f"    {named(what)}: {named(spread)}" for what, spread in spreads(case).items()]
    return "\n".join([*lines, tr("No faults found.")])
