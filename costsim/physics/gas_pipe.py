"""Gas lines: what a pipe of a nominal size carries over a length, air for combustion, and the kind of vent."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from costsim.units.table import BTU_J, FOOT_M, HOUR_S, INCH_M, INCH_OF_WATER_PA

STEEL_INSIDE_IN = {
    "1/2 in": 0.622,
    "3/4 in": 0.824,
    "1 in": 1.049,
    "1-1/4 in": 1.380,
    "1-1/2 in": 1.610,
    "2 in": 2.067,
    "2-1/2 in": 2.469,
    "3 in": 3.068,
}
"""Inside diameters of steel pipe, schedule 40 (as the tables of the 2018 IFGC print them)."""
GASES = {"natural_gas": (0.6094, 1036.0), "propane": (1.2462, 2488.0)}
"""Factor of the code's equation, and heat content [Btu/ft³] of the gas itself at 60 °F (values from memory; what pipes carry
by them agrees with the codes' printed tables)."""
USUAL_DROP_PA = 0.5 * INCH_OF_WATER_PA
DUCT_BTU_H_IN2, SIDE_BTU_H_IN2, ROOM_BTU_H_IN2, LEAST_ROOM_IN2 = 4000.0, 2000.0, 1000.0, 100.0
ROOM_FT3_PER_KBTU_H = 50.0
"""Air from outdoors by two openings or upright ducts, by level ducts, from other rooms; and the room that needs neither: NFPA 54 and
IFGC section 304 (openings seen in print; the room from memory)."""

Vent = Literal["I", "III", "IV"]


def pipe_capacity_m3_s(*, inside_m: float, length_m: float, drop_pa: float, gas: str) -> float:
    """Flow of gas at low pressure through a pipe [m³/s].

    Parameters
    ----------
    inside_m, length_m : float
        Bore and equivalent length [m].
    drop_pa : float
        Pressure drop that is allowed [Pa].
    gas : str
        A key of `GASES`.

    Notes
    -----
    ``D = Q^0.381 / [19.17 (ΔH/(C L))^0.206]`` with inches, ft³/h, inches of water and feet.

    References
    ----------
    NFPA 54 / IFGC 402.4, equation for less than 1.5 psi (from memory; it gives the printed tables within 3 %).

    Examples
    --------
    >>> flow = pipe_capacity_m3_s(inside_m=0.622 * INCH_M, length_m=10 * FOOT_M, drop_pa=USUAL_DROP_PA, gas="natural_gas")
    >>> round(flow * HOUR_S / FOOT_M**3)
    173
    """
    falls = drop_pa / INCH_OF_WATER_PA / (GASES[gas][0] * length_m / FOOT_M)
    return float((inside_m / INCH_M * 19.17 * falls**0.206) ** (1.0 / 0.381) * FOOT_M**3 / HOUR_S)


def pipe_power_w(*, pipe: str, length_m: float, gas: str, drop_pa: float = USUAL_DROP_PA) -> float:
    """Heat input that a steel pipe carries [W], higher heating value."""
    flow = pipe_capacity_m3_s(inside_m=STEEL_INSIDE_IN[pipe] * INCH_M, length_m=length_m, drop_pa=drop_pa, gas=gas)
    return flow / FOOT_M**3 * GASES[gas][1] * BTU_J


def next_pipe(*, input_w: float, length_m: float, gas: str, drop_pa: float = USUAL_DROP_PA) -> str | None:
    """Smallest steel pipe that carries a heat input over a length; None beyond the largest."""
    return next(
        (
            pipe
            for pipe in STEEL_INSIDE_IN
            if pipe_power_w(pipe=pipe, length_m=length_m, gas=gas, drop_pa=drop_pa) >= input_w
        ),
        None,
    )


@dataclass(frozen=True, slots=True)
class CombustionAir:
    """Openings each of two by way of outdoors [in²], from other rooms [in²], and the room that needs none [ft³]."""

    upright_in2: float
    level_in2: float
    indoor_in2: float
    room_ft3: float


def combustion_air(*, input_w: float) -> CombustionAir:
    """Air for a unit that takes it from its room, by the usual rules of thumb of the gas codes.

    Examples
    --------
    >>> combustion_air(input_w=100e3 * BTU_J / HOUR_S)
    CombustionAir(upright_in2=25.0, level_in2=50.0, indoor_in2=100.0, room_ft3=5000.0)
    """
    btu_h = round(input_w * HOUR_S / BTU_J, 6)
    return CombustionAir(
        btu_h / DUCT_BTU_H_IN2,
        btu_h / SIDE_BTU_H_IN2,
        max(btu_h / ROOM_BTU_H_IN2, LEAST_ROOM_IN2),
        btu_h / 1e3 * ROOM_FT3_PER_KBTU_H,
    )


def vent_category(*, condensing: bool, efficiency_share: float) -> Vent:
    """Vent category of a gas appliance: I draft and dry, III pressure and dry, IV pressure and wet.

    References
    ----------
    Categories of ANSI Z21.13 / Z223.1; 83 % as the edge of wet flue gas (values from memory). The unit's own plate counts.

    Examples
    --------
    >>> vent_category(condensing=True, efficiency_share=0.95), vent_category(condensing=False, efficiency_share=0.82)
    ('IV', 'I')
    """
    if condensing or efficiency_share >= 0.90:
        return "IV"
    return "III" if efficiency_share >= 0.83 else "I"
