"""Copper of a circuit, the service's room for it, and the expansion tank's rule, in words."""

from __future__ import annotations

from costsim.analysis.needs import UNCOUNTED_SHARE
from costsim.analysis.on_service import ElectricChoice
from costsim.analysis.select import CircuitChoice
from costsim.physics.circuits import Circuit
from costsim.physics.expansion import EN_MARGIN_PA
from costsim.study.rating_checks import unknown_water
from costsim.units.quantity import show
from costsim.words import tr


def wire_text(circuit: Circuit) -> str:
    """Copper of a circuit with the column of the tables that it is from, and what cable of the other column must have."""
    wire = tr("{wire} copper at 75 °C", wire=circuit.wire.name)
    if circuit.cable is None:
        return tr("{wire}; NM-B cable, 60 °C, is not made so large", wire=wire)
    return tr("{wire}; NM-B cable, 60 °C: {cable}", wire=wire, cable=circuit.cable.name)


def room_text(choice: ElectricChoice) -> str:
    """Amps that a service carries, or that the new heat takes of what it has free."""
    load_a, of_a = choice.service_load_a or 0.0, choice.service_a or 0.0
    size = f"{of_a:g}"
    if not choice.free and load_a <= of_a + 1e-6:
        return tr(
            "{carried} A of {size} A, {left} A left", carried=f"{load_a:.0f}", size=size, left=f"{of_a - load_a:.0f}"
        )
    if not choice.free:
        return tr("{carried} A of {size} A", carried=f"{load_a:.0f}", size=size)
    return tr("{carried} A of {size} A free", carried=f"{load_a:.1f}".removesuffix(".0"), size=size)


def judged_room(choice: ElectricChoice) -> str:
    """The same, with a word where the service has too little."""
    text = room_text(choice)
    enough = (choice.service_load_a or 0.0) <= (choice.service_a or 0.0) + 1e-6
    return text if enough else tr("{text}: TOO LITTLE ROOM", text=text)


def lacking_room(option: str, choice: ElectricChoice | None) -> str:
    """Say by how much an option's electric units are more than the service carries; empty where they are not, or nobody knows."""
    if choice is None or choice.service_load_a is None or choice.service_a is None:
        return ""
    if choice.service_load_a <= choice.service_a + 1e-6:
        return ""
    short_a = choice.service_load_a - choice.service_a
    amps, short = (f"{current_a:.1f}".removesuffix(".0") for current_a in (choice.service_load_a, short_a))
    words = {"option": option, "amps": amps, "service": f"{choice.service_a:g}", "short": short}
    if choice.free:
        text = tr(
            "{option} asks for {amps} A, and the electric service has {service} A free: {short} A too little.", **words
        )
    else:
        text = tr(
            "With {option} the house asks for {amps} A of an electric service of {service} A: {short} A too little.",
            **words,
        )
    remedy = tr("It needs a larger service, load control, or less heat by electricity; an electrician decides.")
    return f"{text} {remedy}"


def tank_rule(choice: CircuitChoice, system: str) -> str:
    """What an expansion tank must hold, by which rule, and what is put on top for water that was not typed."""
    text = _tank_rule(choice, system)
    if choice.units_counted:
        return text
    return text + tr(
        "; {share} more water is taken than store and tubes hold (common practice, no source), since that in the units themselves is"
        " not typed (“Water in units and mains”)",
        share=f"{UNCOUNTED_SHARE:.0%}",
    )


def least_tank(choice: CircuitChoice, system: str) -> str:
    """The smallest expansion tank that will do."""
    return show(choice.needed_m3 or 0.0, "volume", system)


def no_tank(choice: CircuitChoice, system: str) -> str:
    """Why no size of an expansion tank is known."""
    if choice.known:
        return tr("fill and relief pressure leave it no room; lower the fill or raise the relief")
    text = unknown_water()
    if choice.water_m3 <= 0:
        return text
    known = show(choice.water_m3, "volume", system)
    return tr("{text}; tank and tubes alone hold {known}", text=text, known=known)


def _tank_rule(choice: CircuitChoice, system: str) -> str:
    """What an expansion tank must hold, by which rule, and what the other asks for."""
    text = tr(
        "{needed} needed: filled cold to {low}, it may reach {most} hot, half a bar (7 psi) below the {high} at which the relief valve"
        " opens; growth and a reserve, EN 12828",
        needed=least_tank(choice, system),
        low=show(choice.fill_pa, "pressure", system, 0),
        high=show(choice.relief_pa, "pressure", system, 0),
        most=show(choice.relief_pa - EN_MARGIN_PA, "pressure", system, 0),
    )
    if choice.handbook_m3 is None:
        return text
    return text + tr(
        "; the ASHRAE Handbook's rule for a closed diaphragm tank, without a reserve, asks for {volume}",
        volume=show(choice.handbook_m3, "volume", system),
    )
