"""Headings of columns taken apart into a name and a unit, and units turned into SI; plain scanning, no patterns."""

from __future__ import annotations

from collections.abc import Callable

from costsim.units.arrays import Floats
from costsim.units.quantity import UnitError, read_quantity
from costsim.units.table import HOUR_S, ZERO_C_K

LONGEST_HEADING = 120
SI = {"outdoor": "degC", "low": "degC", "high": "degC", "ghi": "W/m2", "dni": "W/m2", "dhi": "W/m2", "wind": "m/s"}
"""Quantities that a weather file may give, and the unit each is kept in; `low` and `high` are a day's lowest and highest."""
_TEMPERATURES = {
    "c": "degC", "degc": "degC", "celsius": "degC", "degreesc": "degC", "degcelsius": "degC",
    "f": "degF", "degf": "degF", "fahrenheit": "degF", "degreesf": "degF", "degfahrenheit": "degF",
    "k": "degK", "degk": "degK", "kelvin": "degK",
}  # fmt: skip


def plain(heading: str) -> str:
    """Heading in small letters with single spaces, without quotation marks.

    Examples
    --------
    >>> plain('"T2m " ')
    't2m'
    """
    return " ".join(heading[:LONGEST_HEADING].replace('"', " ").replace("\ufeff", "").lower().split())


def split_heading(heading: str) -> tuple[str, str]:
    """Name and unit of a heading; no unit where none is written.

    Examples
    --------
    >>> split_heading("outdoor [degC]"), split_heading("Temp (°F)"), split_heading("T2m"), split_heading("t_mean_c")
    (('outdoor', 'degC'), ('temp', 'degF'), ('t2m', ''), ('t_mean', 'degC'))
    """
    text = " ".join(heading[:LONGEST_HEADING].replace('"', " ").replace("\ufeff", "").split())
    for left, right in ("[]", "()"):
        name, _, rest = text.partition(left)
        unit, closed, _ = rest.rpartition(right)
        if name and closed:
            return name.strip().lower(), temperature_unit(unit) or unit.strip()
    for mark in ("°", "deg", "_", " "):
        name, mark_here, unit = text.rpartition(mark)
        if mark_here and name.strip() and unit.strip().lower() in ("c", "f"):
            return name.strip(" _").lower(), f"deg{unit.strip().upper()}"
    return text.lower(), ""


def temperature_unit(text: str) -> str:
    """`degC`, `degF` or `degK` for the many ways to write them; empty where it is no temperature.

    Examples
    --------
    >>> temperature_unit("°C"), temperature_unit("degrees F"), temperature_unit("K"), temperature_unit("kW")
    ('degC', 'degF', 'degK', '')
    """
    key = "".join(
        text.replace("℃", "degc")
        .replace("℉", "degf")
        .replace("°", "deg")
        .replace("º", "deg")
        .lower()
        .replace("_", "")
        .split()
    )
    return _TEMPERATURES.get(key, "")


def number_and_unit(cell: str) -> tuple[str, str]:
    """A cell such as ``23.4 °F`` as its number and its unit of temperature; without such a unit as it is.

    Examples
    --------
    >>> number_and_unit("23.4 °F"), number_and_unit("-1,5°C"), number_and_unit("12 kW")
    (('23.4', 'degF'), ('-1,5', 'degC'), ('12 kW', ''))
    """
    text = cell.strip()
    number = text.rstrip("°ºdegrsCFKcfk ")
    unit = (
        temperature_unit(text[len(number) :])
        if number[-1:].isdigit() and len(number) < len(text) <= LONGEST_HEADING
        else ""
    )
    return (number, unit) if unit else (text, "")


def to_si(quantity: str, unit: str) -> Callable[[Floats], Floats]:
    """Find how values of a unit become SI.

    Parameters
    ----------
    quantity : str
        Key of `SI`.
    unit : str
        Such as ``degF``, ``degC/10`` (stored ten times as large), ``degF*2``, ``km/h`` or ``J/m2/h``.

    Raises
    ------
    UnitError
        The unit is unknown, or measures something else.

    Examples
    --------
    >>> import numpy as np
    >>> float(to_si("outdoor", "degF/10")(np.array([320.0]))[0]), float(to_si("wind", "km/h")(np.array([36.0]))[0])
    (0.0, 10.0)
    """
    text = unit.strip()
    if SI[quantity] == "degC":
        name, factor = _factor(text)
        known = temperature_unit(name)
        if not known:
            raise UnitError(f"'{text[:40]}' is not a temperature")
        if known == "degC":
            return lambda values: values * factor
        if known == "degF":
            return lambda values: (values * factor - 32.0) / 1.8
        return lambda values: values * factor - ZERO_C_K
    wanted = read_quantity(f"1 {SI[quantity]}")
    if quantity in ("ghi", "dni", "dhi") and text.lower().replace(" ", "") in _HOURLY_SUMS:
        scale = _HOURLY_SUMS[text.lower().replace(" ", "")]
        return lambda values: values * scale
    name, factor = _factor(text)
    if quantity == "wind" and text.lower() in _SPEEDS:
        speed = _SPEEDS[text.lower()]
        return lambda values: values * speed
    try:
        given = read_quantity(f"1 {text}", wanted.dims)
        factor = 1.0
    except UnitError:
        given = read_quantity(f"1 {name}", wanted.dims)
    if given.dims != wanted.dims:
        raise UnitError(f"'{text[:40]}' does not measure {quantity}")
    scale = given.value / wanted.value * factor
    return lambda values: values * scale


_SPEEDS = {
    "knot": 1852 / HOUR_S,
    "knots": 1852 / HOUR_S,
    "kt": 1852 / HOUR_S,
    "kn": 1852 / HOUR_S,
    "mph": 0.44704,
    "mp/h": 0.44704,
    "kmh": 1 / 3.6,
}
_HOURLY_SUMS = {
    "wh/m2": 1.0, "wh/m^2": 1.0, "wh/m²": 1.0, "kwh/m2": 1000.0, "kw-hr/m^2": 1000.0, "kw-hr/m^2/hour": 1000.0,
    "j/m2": 1 / HOUR_S, "j/m^2": 1 / HOUR_S, "j/m²": 1 / HOUR_S, "mj/hr": 1e6 / HOUR_S, "mj/m^2/hr": 1e6 / HOUR_S,
    "mj/m2": 1e6 / HOUR_S, "mj/m^2": 1e6 / HOUR_S, "kj/m2": 1e3 / HOUR_S, "w/m^2": 1.0, "w/m²": 1.0, "wm-2": 1.0,
}  # fmt: skip
"""Radiation as the energy of one hour, and spellings of W/m², as W/m²."""


def _factor(text: str) -> tuple[str, float]:
    """A unit and the factor behind it: ``degF/10`` is a tenth.

    Examples
    --------
    >>> _factor("degF/10"), _factor("degC*0.5"), _factor("W/m2")
    (('degF', 0.1), ('degC', 0.5), ('W/m2', 1.0))
    """
    for mark in ("/", "*", "×"):
        name, mark_here, number = text.rpartition(mark)
        if mark_here and name.strip():
            try:
                value = float(number)
            except ValueError:
                continue
            if 0.0 < value < float("inf"):
                return name.strip(), (1.0 / value if mark == "/" else value)
    return text, 1.0
