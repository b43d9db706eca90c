"""A table of monthly means, from which a year is made where no hourly file is to be had."""

from __future__ import annotations

import math
import os
from pathlib import Path
from typing import Any

from costsim.errors import Fault, InputError
from costsim.files import read_bytes
from costsim.units.quantity import UnitError, parse
from costsim.weather.plain_csv import cell_number, place_facts, split_table
from costsim.weather.readers import text_of
from costsim.weather.towns import same_state, towns, towns_like

ASK_COLD = 'give it as --cold, such as "-5 °F"; the building department has it'
LOOKS = "twelve rows below a heading 'month,mean [degC]', and a column clearness where the sun matters"
MOST_BYTES = 100_000


def means_of(named: str, cold: str = "") -> dict[str, Any]:
    """Read a file of means, or take a listed town's where there is no such file.

    Parameters
    ----------
    named : str
        A path, or a town such as ``"Duluth, MN"``.
    cold : str
        Temperature that 99 % of hours exceed, with its unit; in place of what the file or list says.

    Returns
    -------
    dict
        Keyword arguments of `synthesize`, without a seed.

    Raises
    ------
    InputError
        Faults of the file; several towns of that name; a town whose design temperature is not known and not given.
    """
    means = towns_like(named)
    if means and not Path(named).exists():
        if len(means) > 1 and named not in means:
            raise InputError(Fault("town", f"'{named}' is the name of several", f"write one of: {'; '.join(means)}"))
        facts = towns()[named if named in means else means[0]].for_synthesis()
        if not cold and facts["design_99_c"] is None:
            raise InputError(Fault("--cold", f"no 99% design temperature of {facts['title']} is known", ASK_COLD))
    elif not Path(named).suffix and not os.path.lexists(named):
        near = f"take one with winters like yours: {'; '.join(same)}; or " if (same := same_state(named)) else ""
        remedy = f"{near}give a CSV with the twelve monthly means of your town, from its climate normals: {LOOKS}"
        raise InputError(Fault("town", f"'{named}' is not in the list of towns, and no such file is here", remedy))
    else:
        facts = read_means(named)
    if cold:
        try:
            facts["design_99_c"] = parse(cold, "temperature").value
        except UnitError as error:
            raise InputError(Fault("--cold", str(error), ASK_COLD)) from None
    return facts


def read_means(path: str | Path, *, content: bytes | None = None) -> dict[str, Any]:
    """Read monthly means for `synthesize`.

    Parameters
    ----------
    path : str or Path
        CSV with lines ``# latitude: 47.0`` (longitude, utc_offset, altitude, design_99 too), a heading
        ``month,mean [degC],clearness`` and twelve rows; ``mean [degF]`` is fine, clearness may be left out.
    content : bytes, optional
        What was uploaded.

    Returns
    -------
    dict
        Keyword arguments of `synthesize`, without a seed.

    Raises
    ------
    InputError
        With every fault found.
    """
    file = Path(path).name
    raw = content if content is not None else read_bytes(path, most=MOST_BYTES)
    if len(raw) > MOST_BYTES:
        raise InputError(Fault("", "is too large for twelve means", LOOKS, file))
    about, table, mark = split_table(text_of(raw, file), file)
    facts, faults, _ = place_facts(about, file)
    columns, wrong = _months(table, mark == ";", file)
    if faults or wrong:
        raise InputError([*faults, *wrong])
    kept = ("title", "latitude_deg", "longitude_deg", "utc_offset_h", "altitude_m", "design_99_c")
    return {key: facts[key] for key in kept if key in facts} | columns


def _months(table: list[list[str]], comma: bool, file: str) -> tuple[dict[str, list[float]], list[Fault]]:
    heads = [cell.strip().lower().replace("°", "deg") for cell in table[0]]
    unit = next((degrees for degrees in ("degc", "degf") if f"mean [{degrees}]" in heads), "")
    if not unit or "month" not in heads:
        return {}, [Fault("heading", f"'{','.join(table[0])[:60]}' has no month and mean with its unit", LOOKS, file)]
    faults, rows = [], {}
    places = heads.index("month"), heads.index(f"mean [{unit}]")
    for number, cells in enumerate(table[1:], 2):
        month, mean = (_cell(cells, at, comma) for at in places)
        if month not in range(1, 13) or month in rows:
            faults.append(Fault(f"row {number}", "is no month of its own", "months are 1 to 12, each once", file))
        elif not -80.0 <= mean <= 130.0:
            faults.append(Fault(f"row {number}", "has no mean temperature", f"write a number of {unit}", file))
        else:
            rows[int(month)] = (
                mean,
                _cell(cells, heads.index("clearness"), comma) if "clearness" in heads else math.nan,
            )
    if not faults and len(rows) != 12:
        faults.append(Fault("rows", f"{len(rows)} months were found", LOOKS, file))
    if faults:
        return {}, faults
    means = [
        rows[month_number][0] if unit == "degc" else (rows[month_number][0] - 32.0) / 1.8
        for month_number in range(1, 13)
    ]
    return _with_clearness(
        {"monthly_mean_c": means}, [rows[month_number][1] for month_number in range(1, 13)], "clearness" in heads, file
    )


def _with_clearness(
    means: dict[str, list[float]], clear: list[float], given: bool, file: str
) -> tuple[dict[str, list[float]], list[Fault]]:
    if not given:
        return means, []
    if not all(0.15 <= clearness <= 0.8 for clearness in clear):
        return {}, [Fault("clearness", "is no clearness index in every month", "values lie between 0.15 and 0.8", file)]
    return means | {"monthly_clearness": clear}, []


def _cell(cells: list[str], at: int, comma: bool) -> float:
    return cell_number(cells[at] if at < len(cells) else "", comma)
