"""All homes together in rows: the first table of a run of many homes, by group too, and how the table's columns were read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from costsim.analysis.yearly_fuel import HOT_WATER_J
from costsim.portfolio.columns import LOADS
from costsim.portfolio.headings import key_title
from costsim.portfolio.totals import headings_of, short_column
from costsim.units.quantity import KWH_J, show, to_display, unit_for
from costsim.views.homes_fuel import fuel_lines
from costsim.views.tables import money, text_table
from costsim.views.text_fit import sold
from costsim.words import tr, trn

NONE, MOST_SHOWN = "–", 10
Table = tuple[list[str], list[list[str]]]


def counted(summary: Mapping[str, Any]) -> str:
    """How many homes there are, and for how many they count."""
    rows, homes = f"{summary['homes']:,}", f"{summary['weight']:,.6g}"
    if summary["homes"] == summary["weight"]:
        return trn("{homes} home.", "{homes} homes.", round(summary["weight"]), homes=homes)
    return tr("{rows} rows, counting for {homes} homes.", rows=rows, homes=homes)


def read_lines(summary: Mapping[str, Any]) -> list[str]:
    """What each column was taken for, and which are kept and not used."""
    lines = [
        tr("{column} replaces: {field}.", column=column["column"], field=key_title(column["key"]))
        for column in summary["read"]
    ]
    today = (summary["today"] or {}).get("column", "")
    lines += [tr("{column}: what heats each home today.", column=today)] if today else []
    lines += [f"{line}" for line in fuel_lines(summary)]
    lines += kept_lines(summary)
    return (
        ["  ".join(lines[at : at + 2]) for at in range(0, len(lines), 2)]
        if max(map(len, lines), default=0) < 55
        else lines
    )


def kept_lines(summary: Mapping[str, Any]) -> list[str]:
    """Which columns are kept and change nothing; nothing where all are used."""
    uses = summary["loads"]["by_fuel"]
    used = {(summary["today"] or {}).get("column", "")}
    used |= {column["column"] for column in uses} | {column.get("unit_column", "") for column in uses}
    kept = [name for name in summary["kept_columns"] if name not in used]
    return [tr("Kept, not used: {columns}.", columns=", ".join(kept))] if kept else []


def load_lines(summary: Mapping[str, Any]) -> list[str]:
    """How many homes have a heat loss by their fuel or their area, and what that rests on."""
    counts, lines = summary["loads_found"], []
    if summary["loads"]["by_fuel"]:
        lines.append(
            tr(
                "Heat loss by the year's fuel: {count} homes, by this study's weather: the winter in which it was burned may have been"
                " another. All of the fuel is taken as heating. Where the meter serves hot water or a range too, take that off first,"
                " about {therms} ({kilowatt_hours}) a year for a storage water heater, else the heat loss comes out too high.",
                count=f"{counts['by_fuel']:,}",
                therms=sold("natural_gas", HOT_WATER_J, "us"),
                kilowatt_hours=sold("natural_gas", HOT_WATER_J, "si"),
            )
        )
    if counts["both"]:
        lines.append(
            trn(
                "{count} home gives a heat loss and a year's fuel: the heat loss counts.",
                "{count} homes give a heat loss and a year's fuel: the heat loss counts.",
                counts["both"],
            )
        )
    if counts["by_area"]:
        lines.append(
            trn(
                "{count} home without a heat loss: by its floor area, at the study's {rate}.",
                "{count} homes without a heat loss: by their floor area, at the study's {rate}.",
                counts["by_area"],
                rate=summary["loads"]["by_area"],
            )
        )
    if (
        summary["loads"]["by_fuel"]
        and not {column["key"] for column in summary["read"]} & {*LOADS}
        and counts["by_study"]
    ):
        lines.append(
            trn(
                "{count} home without a year's fuel: the heat loss of the study.",
                "{count} homes without a year's fuel: the heat loss of the study.",
                counts["by_study"],
            )
        )
    return lines


def slow_line(summary: Mapping[str, Any]) -> str:
    """Why homes are computed one by one, in plain words; empty where they are not."""
    slow = summary["computed_one_by_one_because_of"]
    if not slow:
        return ""
    columns = {column["key"]: column["column"] for column in summary["read"]}
    known = {
        "option.tank": tr("an option has a tank of its own"),
        "option.no_tank": tr("an option is without the tank of the others"),
        "option.floor": tr("an option has a floor of its own"),
        "house.zone": tr("zones have loops or emitters of their own"),
        "house.zone.area": tr("zones go by floor area, which is a column"),
        "sizes": tr("sources are sized to each load"),
        "use": tr("a use comes after the house"),
        "solar_electric": tr("the house generates its own electricity"),
        "floor.layout": tr("floor loops are laid for the load"),
        "option.source.charging": tr("a store is charged by forecast"),
        "house.solar_aperture": tr("the weather tells no sun on windows"),
    }
    whys = [tr("the column {column}", column=columns[key]) if key in columns else known.get(key, key) for key in slow]
    return tr("Computed home by home, which takes longer: {why}.", why="; ".join(whys))


def remark_lines(summary: Mapping[str, Any], *, on_page: bool = False) -> list[str]:
    """What a planner must know before the figures: columns that change nothing, empty cells, sizes that are the same everywhere.

    On a page no word of the command line stands in them.
    """
    lines = [
        tr("{column} changes nothing here: {why}.", column=column["column"], why=column["why"])
        for column in summary["changes_nothing"]
    ]
    lines += [
        tr('{column} is not used; did you mean "{meant}"?', column=column["column"], meant=column["meant"])
        for column in summary.get("meant", [])
    ]
    for column in summary["by_study_value"]:
        value = f" ({tr(column['value'])})" if column["value"] else ""
        lines.append(
            trn(
                "{count} home by the study's value: {column}{value}.",
                "{count} homes by the study's value: {column}{value}.",
                column["homes"],
                column=column["column"],
                value=value,
            )
        )
    lines += load_lines(summary)
    lines += size_lines(summary, on_page=on_page)
    return lines


def size_lines(summary: Mapping[str, Any], *, on_page: bool = False) -> list[str]:
    """Where the sizes of sources come from, and what they leave undelivered, which no bill or peak counts."""
    sizes = summary.get("sizes", {"to_load": [], "breaker_left_out": []})
    lines = [
        tr(
            "{column}: where it gives a size, the study's breaker of {breaker} is left out; a column {key} [A] would keep one.",
            column=column["column"],
            breaker=column["breaker"],
            key=column["key"].removesuffix("output") + "breaker",
        )
        for column in sizes["breaker_left_out"]
    ]
    if sizes["to_load"]:
        each = (
            tr(
                "{option}, {source} {share}",
                option=source["option"],
                source=source["source"],
                share=f"{source['share']:.2f}",
            )
            for source in sizes["to_load"]
        )
        lines.append(
            tr(
                "Sources are sized to each home's own load, as the study's are to its: output over design heat loss {shares}."
                " No breaker of the study limits them; tanks and collectors are the study's.",
                shares="; ".join(each),
            )
        )
    lines += _sold_lines(sizes["sold"], summary["units"]) if sizes.get("sold") else []
    if summary["size_column"]:
        lines.append(
            tr(
                "Sizes of sources and tank are the study's, the same in every home, not fitted to each. They can be sized to each home's own load"
                "{load}, to the next size that is sold{sold}, or by a column such as {column}.",
                load="" if on_page else " (--sizes load)",
                sold="" if on_page else " (--sizes sold)",
                column=summary["size_column"],
            )
        )
    system = summary.get("units", "si")
    return lines + [
        _held_line(option, option["held_short"], system)
        for option in summary.get("options", [])
        if option.get("held_short")
    ]


def _sold_lines(sold: Sequence[Mapping[str, Any]], system: str) -> list[str]:
    """How many homes got which size of those one can buy; nothing where sizes are not of that kind."""
    lines = []
    for sold_as in sold:
        sizes = [
            trn(
                "{count} home {size}",
                "{count} homes {size}",
                round(each["homes"]),
                size=show(each["size"], sold_as["dimension"], system),
            )
            + ("" if each["sold"] else tr(" (no listed size is as large)"))
            for each in sold_as["sizes"]
        ]
        what = tr("input") if sold_as["what"].endswith("input") else tr("output")
        lines.append(
            tr(
                "{option}, {source}, {what}: {sizes}.",
                option=sold_as["option"],
                source=sold_as["source"],
                what=what,
                sizes=", ".join(sizes),
            )
        )
    if lines:
        lines.insert(
            0, tr("Each source is the next size up that is sold, by the study's list of sizes or common market sizes:")
        )
    return lines


def heat_shown(kwh: float, system: Any) -> str:
    """Heat [kWh] in the reader's unit.

    Examples
    --------
    >>> heat_shown(1234.5, "si"), heat_shown(1234.5, "us")
    ('1,234 kWh', '4.2 MMBtu')
    """
    if system == "si":
        return f"{kwh:,.0f} kWh"
    return f"{to_display(kwh * KWH_J, 'heat', system):,.1f} {unit_for('heat', system)}"


def _held_line(option: Mapping[str, Any], held: Mapping[str, Any], system: Any) -> str:
    """What an option's sizes leave undelivered, and how high the peak would be with it."""
    sentence = trn(
        "{option}: {homes} home has unmet hours, {heat} a year",
        "{option}: {homes} homes have unmet hours, few or many, {heat} a year",
        round(held["homes"]),
        option=option["name"],
        homes=f"{held['homes']:,.6g}",
        heat=heat_shown(option["totals"][option["name"] + ": unmet [kWh]"], system),
    )
    caps = [
        tr(
            "{source} of at most {most} {unit}",
            source=cap["source"],
            most=f"{to_display(cap['most_kw'] * 1e3, 'power', system):,.1f}",
            unit=unit_for("power", system),
        )
        + (tr(" (breaker of {breaker} A)", breaker=f"{cap['breaker_a']:g}") if cap["breaker_a"] else "")
        + (tr(", in its own hours only") if cap.get("in_hours") else "")
        for cap in held["caps"]
    ]
    sentence += tr("; every home has {caps}", caps=tr(" and ").join(caps)) if caps else ""
    if held["peak_at_most_kw"] is None:
        if not option["coincident_peak_kw"]:
            return sentence + tr(". That heat is in no bill and no CO2.")
        return sentence + tr(". That heat is in no bill, CO2 or peak: each is too low by it.")
    peak, asked = f"{option['coincident_peak_kw']:,.0f}", f"{held['peak_at_most_kw']:,.0f}"
    return sentence + tr(
        ". That heat is in no bill, CO2 or peak: with it the peak would be up to {asked} kW, not {peak} kW.",
        asked=asked,
        peak=peak,
    )


def look_rows(summary: Mapping[str, Any]) -> Table:
    """Headings and rows of values that were computed and look wrong; the first of them."""
    rows = [
        [
            ", ".join(map(str, look["rows"][:5])) + (" …" if len(look["rows"]) > 5 else ""),
            look["column"],
            look["value"],
            look["why"],
        ]
        for look in summary["look"][:MOST_SHOWN]
    ]
    return [tr("row"), tr("column"), tr("value"), tr("in all totals, but look")], rows


def look_note(summary: Mapping[str, Any], *, on_page: bool = False) -> str:
    """How many values look wrong, beyond those shown; a page names its button, not a file."""
    left, button = summary["look_count"] - MOST_SHOWN, tr("These figures as JSON")
    where = tr("the file of “{button}”", button=button) if on_page else "summary.json"
    return tr("{left} more stand in {where}.", left=f"{left:,}", where=where) if left > 0 else ""


def printed_looks(summary: Mapping[str, Any]) -> list[str]:
    """Values that look wrong, for a terminal; nothing where none does."""
    if not summary["look"]:
        return []
    headings, rows = look_rows(summary)
    widths = [max(len(row[at]) for row in (headings, *rows)) for at in range(3)]
    lines = [[cell.ljust(width) for cell, width in zip(row, [*widths, 0], strict=True)] for row in (headings, *rows)]
    return ["\n".join(["  ".join(line).rstrip() for line in lines] + list(filter(None, [look_note(summary)])))]


def printed_totals(summary: Mapping[str, Any]) -> list[str]:
    """The first tables for a terminal: what all homes pay and take, who is cold and what the grid sees, then the groups."""
    parts = [text_table(*half) for half in halves(*total_rows(summary))]
    if summary["by_group"]:
        headings, rows = group_rows(summary)
        under: list[list[str]] = []
        for group, option, homes, *cells in rows:
            head = tr("{group}: {homes} homes", group=group, homes=homes)
            if head not in [row[0] for row in under]:
                under.append([head, *[""] * len(cells)])
            under.append([f"  {option}", *cells])
        parts += [text_table(*half) for half in halves([headings[0], *headings[3:]], under)]
    return parts


def halves(headings: list[str], rows: list[list[str]]) -> list[Table]:
    """Two tables that a terminal or page is wide enough for: money and fuels, then who is cold and the peak."""
    cut = headings.index(tr("home-hours short")) - 1
    return [
        (headings[:cut], [row[:cut] for row in rows]),
        ([headings[0], *headings[cut:]], [[row[0], *row[cut:]] for row in rows]),
    ]


def total_rows(summary: Mapping[str, Any]) -> Table:
    """Headings and rows of all homes, a year, by option."""
    rows = [{name: value for name, value in row.items() if name != "homes"} for row in summary["all_homes"]]
    headings = headings_of(rows)
    cells = [_cells(row, headings, summary) for row in rows]
    for row, option in zip(cells, summary["options"], strict=True):
        row[headings.index("peak at")] = peak_when(option)
    return [_titled(name, summary) for name in headings], cells


def group_rows(summary: Mapping[str, Any]) -> Table:
    """The same by group and option."""
    headings = headings_of(summary["by_group"])
    rows = [_cells(row, headings, summary) for row in summary["by_group"]]
    return [_titled(name, summary) for name in headings], rows


def _titled(name: str, summary: Mapping[str, Any]) -> str:
    """A heading in the reader's language."""
    what, _, unit = name.removesuffix("]").partition(" [")
    known: dict[str, str] = {
        "group": str(summary["by"]),
        "option": tr("all homes, a year"),
        "homes": tr("homes"),
        "bills": tr("bills"),
        "CO2": tr("CO2 metric tons"),
        "home-hours short": tr("home-hours short"),
        "peak": tr("peak kW"),
        "peak at": tr("at"),
    }
    if what in known:
        return known[what]
    if what == short_column(summary["warm_at_most_hours_short"]):
        return tr("homes over {most} unmet h", most=summary["warm_at_most_hours_short"])
    return f"{what} {unit}"


def _cells(row: Mapping[str, Any], headings: Sequence[str], summary: Mapping[str, Any]) -> list[str]:
    return [_cell(name, row.get(name, ""), summary["currency"]) for name in headings]


def _cell(name: str, value: Any, coin: str) -> str:
    if value is None:
        return tr("not known")
    if isinstance(value, str):
        return value or NONE
    if name.startswith("bills ["):
        return money(value, coin)
    return f"{value:,.{1 if value and abs(value) < 100 and name.endswith(('tons]', 'kW]')) else 0}f}"


def peak_when(option: Mapping[str, Any]) -> str:
    """When the highest hour is, and how many hours are as high."""
    if not option["coincident_peak_at"]:
        return NONE
    more, time = int(option["coincident_peak_hours"]) - 1, str(option["coincident_peak_at"])
    if not more:
        return time
    return trn("first {time}, and {count} hour more", "first {time}, and {count} hours more", more, time=time)
