"""Electric circuits: next standard breaker, copper wire by ampacity and voltage drop, and what a service still carries."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.units.table import FOOT_M

CONTINUOUS_FACTOR = 1.25
"""Circuit over a load of three hours or more: NEC 210.19, 210.20 and 424; worked example seen in an NEC newsletter of 2019."""
BREAKERS_A = (
    15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500, 600,
    700, 800,
)  # fmt: skip
"""Standard ratings of NEC 240.6(A) up to 800 A (facts, seen in print)."""
FIRST_BLOCK_VA, REST_SHARE = 10_000.0, 0.40
GENERAL_VA_PER_FT2, SMALL_APPLIANCE_VA, LAUNDRY_VA = 3.0, 2 * 1500.0, 1500.0
"""Of NEC 220.82(B), for a dwelling with a service of 100 A or more (seen in print; the code counts central electric heat at 65 %, here it counts in full)."""


def continuous_amps(*, load_w: float, volts_v: float) -> float:
    """Current that a circuit must carry for a heater that may run for hours [A].

    Examples
    --------
    >>> continuous_amps(load_w=9600.0, volts_v=240.0)
    50.0
    """
    return CONTINUOUS_FACTOR * load_w / volts_v


@dataclass(frozen=True, slots=True)
class Wire:
    """A copper conductor: name, what it carries at 75 and at 60 °C [A], largest breaker before it [A], resistance [Ω/m]."""

    name: str
    ampacity_a: float
    cool_ampacity_a: float
    most_breaker_a: float
    ohm_m: float


def _wire(name: str, ampacity_a: float, cool_a: float, ohm_kft: float, most_breaker_a: float = 1e9) -> Wire:
    return Wire(name, ampacity_a, cool_a, most_breaker_a, ohm_kft / (1000.0 * FOOT_M))


WIRES = (
    _wire("14 AWG", 20, 15, 3.14, 15),
    _wire("12 AWG", 25, 20, 1.98, 20),
    _wire("10 AWG", 35, 30, 1.24, 30),
    _wire("8 AWG", 50, 40, 0.778),
    _wire("6 AWG", 65, 55, 0.491),
    _wire("4 AWG", 85, 70, 0.308),
    _wire("3 AWG", 100, 85, 0.245),
    _wire("2 AWG", 115, 95, 0.194),
    _wire("1 AWG", 130, 110, 0.154),
    _wire("1/0 AWG", 150, 125, 0.122),
    _wire("2/0 AWG", 175, 145, 0.0967),
    _wire("3/0 AWG", 200, 165, 0.0766),
    _wire("4/0 AWG", 230, 195, 0.0608),
    _wire("250 kcmil", 255, 215, 0.0515),
    _wire("300 kcmil", 285, 240, 0.0429),
    _wire("350 kcmil", 310, 260, 0.0367),
    _wire("400 kcmil", 335, 280, 0.0321),
    _wire("500 kcmil", 380, 320, 0.0258),
)
"""Copper in raceway or cable at 75 and 60 °C, NEC table 310.16; small conductors by 240.4(D); resistance of stranded uncoated copper at
75 °C, chapter 9 table 8 (facts, seen in print: tests/published/circuits.csv)."""
LARGEST_CABLE = "2 AWG"
"""Cable of type NM is made up to it and counts by the 60 °C column: NEC 334.104 and 334.80, value from memory."""


@dataclass(frozen=True, slots=True)
class Circuit:
    """A circuit for a continuous load [A], its voltage [V], breaker [A], wire at 75 °C and its voltage drop as a share.

    `cable` is the size in cable of type NM, by the 60 °C column; None where that is not made so large.
    """

    load_a: float
    volts_v: float
    breaker_a: int
    wire: Wire
    drop_share: float
    cable: Wire | None


def next_breaker_a(load_a: float) -> int | None:
    """Smallest standard rating for a load of hours [A]; None beyond the largest.

    Examples
    --------
    >>> next_breaker_a(40.0), next_breaker_a(40.1), next_breaker_a(700.0)
    (50, 60, None)
    """
    needed = load_a * CONTINUOUS_FACTOR
    return next((size for size in BREAKERS_A if size >= needed - 1e-6), None)


def circuit_for(
    *, load_w: float, volts_v: float, length_m: float = 0.0, most_drop_share: float = 0.03
) -> Circuit | None:
    """Breaker and copper wire for a continuous single-phase load.

    Parameters
    ----------
    load_w, volts_v : float
        Electric power [W] and voltage [V].
    length_m : float
        One way from panel to unit [m]; the voltage drop counts twice that.
    most_drop_share : float
        Largest voltage drop as a share; 3 % is common practice.

    Returns
    -------
    Circuit or None
        None where no size of the tables does.

    Notes
    -----
    ``breaker ≥ 1.25 I``, ``ampacity ≥ 1.25 I``, ``drop = 2 I R L / U``.

    References
    ----------
    NEC 210.19, 210.20, 240.4, 240.6, 310.16, 334.80 and chapter 9 table 8; the adopted edition counts.

    Examples
    --------
    >>> found = circuit_for(load_w=9600.0, volts_v=240.0)
    >>> found.breaker_a, found.wire.name
    (50, '8 AWG')
    """
    load_a = load_w / volts_v
    breaker = next_breaker_a(load_a)
    if breaker is None:
        return None
    drops = [2.0 * load_a * wire.ohm_m * length_m / volts_v for wire in WIRES]
    fit = [
        wire
        for wire, drop in zip(WIRES, drops, strict=True)
        if breaker <= wire.most_breaker_a and drop <= most_drop_share
    ]
    needed_a = load_a * CONTINUOUS_FACTOR - 1e-6
    wire = next((wire for wire in fit if wire.ampacity_a >= needed_a), None)
    if wire is None:
        return None
    made = WIRES[: [wire.name for wire in WIRES].index(LARGEST_CABLE) + 1]
    cable = next((wire for wire in fit if wire in made and wire.cool_ampacity_a >= needed_a), None)
    return Circuit(load_a, volts_v, breaker, wire, drops[WIRES.index(wire)], cable)


def dwelling_load_va(*, floor_area_m2: float, appliances_va: float, heating_va: float) -> float:
    """Load of a dwelling's service with new electric heat, by the optional method.

    Parameters
    ----------
    floor_area_m2 : float
        Living area [m²].
    appliances_va : float
        Nameplates of all fixed appliances, range, dryer and water heater [VA].
    heating_va : float
        The heat, counted in full as a continuous load [VA].

    References
    ----------
    NEC 220.82: 3 VA/ft², 3,000 VA small appliances, 1,500 VA laundry, appliances by nameplate; the first 10 kVA in full, the
    rest at 40 %; heat on top, in full.

    Examples
    --------
    >>> round(dwelling_load_va(floor_area_m2=1500 * 0.09290304, appliances_va=13000.0, heating_va=9600.0))
    24400
    """
    general = GENERAL_VA_PER_FT2 * floor_area_m2 / FOOT_M**2 + SMALL_APPLIANCE_VA + LAUNDRY_VA + appliances_va
    return min(general, FIRST_BLOCK_VA) + REST_SHARE * max(general - FIRST_BLOCK_VA, 0.0) + heating_va


def metered_load_va(*, measured_peak_va: float, heating_va: float) -> float:
    """Load of a service by what a meter has shown as the year's highest demand.

    References
    ----------
    NEC 220.87: 125 % of the highest demand of a year's metering, and the new load.

    Examples
    --------
    >>> metered_load_va(measured_peak_va=8000.0, heating_va=9600.0)
    19600.0
    """
    return CONTINUOUS_FACTOR * measured_peak_va + heating_va
