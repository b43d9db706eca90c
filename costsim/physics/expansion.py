"""Expansion tanks with a diaphragm: how large one must be for what the circuit grows by, by the US and the European rule."""

from __future__ import annotations

from costsim.units.table import PSI_PA

ATMOSPHERE_PA = 101325.0
US_MARGIN_PA = 5.0 * PSI_PA
"""How far below the relief valve's setting a US circuit stays hot, so that the valve does not drip: a trade column on hydronics, read."""
EN_MARGIN_PA = 50e3
"""How far below the relief valve's setting the hot circuit stays: 0.5 bar up to 5 bar, EN 12828, value from memory."""
RESERVE_SHARE, LEAST_RESERVE_M3 = 0.005, 0.003
"""Water kept in the tank against leaks: half a percent of the content, at least 3 L: EN 12828, value from memory."""


def us_tank_m3(*, content_m3: float, swell_share: float, fill_pa: float, relief_pa: float) -> float | None:
    """Closed diaphragm tank as US handbooks size it [m³]; None where the pressures leave it no room.

    Parameters
    ----------
    content_m3 : float
        Water in the circuit [m³].
    swell_share : float
        Growth from cold to hot.
    fill_pa, relief_pa : float
        Cold fill and relief set pressure, gauge [Pa].

    Notes
    -----
    ``V = V_circuit e / (1 − (p_fill + p_a) / (p_relief − 5 psi + p_a))``. What pipes grow by is left out, which makes it larger.

    References
    ----------
    ASHRAE Handbook, HVAC Systems and Equipment, chapter on hydronic systems, formula of closed diaphragm tanks, as copied in public
    worksheets that were read.

    Examples
    --------
    143 gal that grow by 4.3 % between 12 and 30 psi: 6.15 gal over 1 − 26.7/39.7.

    >>> round(us_tank_m3(content_m3=143.0, swell_share=0.043, fill_pa=12 * PSI_PA, relief_pa=30 * PSI_PA), 1)
    18.8
    """
    end = relief_pa - US_MARGIN_PA
    if end <= fill_pa:
        return None
    return content_m3 * swell_share / (1.0 - (fill_pa + ATMOSPHERE_PA) / (end + ATMOSPHERE_PA))


def en_vessel_m3(*, content_m3: float, swell_share: float, fill_pa: float, relief_pa: float) -> float | None:
    """The same by the European rule, EN 12828: with a reserve, and half a bar below the relief valve [m³].

    Always the larger of the two, as it keeps a reserve and stays farther below the relief valve: it is what a tank is held against,
    whatever the units of the reader.

    Examples
    --------
    600 L that grow by 3.5 % between 1.3 bar and 3 bar less the margin of half a bar, and 3 L of reserve:

    >>> round(en_vessel_m3(content_m3=0.6, swell_share=0.035, fill_pa=1.3e5, relief_pa=3e5) * 1e3, 1)
    70.3
    """
    end = relief_pa - EN_MARGIN_PA
    if end <= fill_pa:
        return None
    taken = content_m3 * swell_share + max(content_m3 * RESERVE_SHARE, LEAST_RESERVE_M3)
    return taken * (end + ATMOSPHERE_PA) / (end - fill_pa)
