"""What fills the system: water, or a mix of antifreeze in all that hangs on the tank without an exchanger between."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field, model_validator

from costsim.errors import Fault
from costsim.physics.fluids import MOST_MASS_FRACTION, mass_fraction_from_volume
from costsim.units.fields import QuantityField, StudyModel, fault

if TYPE_CHECKING:
    from costsim.sources import HeatSource
    from costsim.study.case import Case
    from costsim.study.plant import Floor


class Fluid(StudyModel):
    """Antifreeze in the whole system: tank, pipes, emitters, boilers, and a heat pump outdoors on the same water."""

    antifreeze: Annotated[
        Literal["propylene_glycol", "ethylene_glycol"],
        Field(title="Antifreeze", description="With inhibitors, made for heating; ethylene glycol is poisonous."),
    ]
    concentration_share: Annotated[
        float,
        QuantityField(
            "volume_share", "Antifreeze by volume", "As on the label.", above=0, at_most=0.6, example="40 vol%"
        ),
    ]

    @model_validator(mode="after")
    def _within_the_tables(self) -> Fluid:
        check_mix(self.antifreeze, self.concentration_share)
        return self


def check_mix(antifreeze: str, share: float) -> None:
    """Refuse a mix that is thicker than the tables of its properties."""
    mass = mass_fraction_from_volume(fluid=antifreeze, volume_fraction=share)
    if mass > MOST_MASS_FRACTION:
        given = f"{share:.1%} antifreeze by volume is {mass:.1%} by mass, of which the tables know 60 %"
        raise fault(given, 'give concentration = "57 vol%" or less')


def antifreeze_of(case: Case, floor: Floor | None = None) -> tuple[str, float]:
    """What fills a system, and its share by volume: of the whole system as typed, else what is typed of its floor.

    Parameters
    ----------
    case : Case
    floor : Floor, optional
        That of an option, in place of the study's.
    """
    if case.fluid is not None:
        return case.fluid.antifreeze, case.fluid.concentration_share
    floor = floor or case.floor
    return (floor.antifreeze, floor.concentration_share) if floor is not None else ("none", 0.0)


def on_the_mix(case: Case, sources: Iterable[HeatSource]) -> list[HeatSource]:
    """Which sources stand outdoors on the mix that fills the whole system; collectors, which may boil, keep a circuit of their own."""
    return [source for source in sources if case.fluid is not None and source.outdoors and not source.kept_from_frost()]


def fluid_faults(fluid: Fluid | None, floors: Iterable[Floor | None], file: str) -> list[Fault]:
    """A floor that says another mix than the whole system has."""
    said = {
        (floor.antifreeze, floor.concentration_share)
        for floor in floors
        if floor is not None and floor.antifreeze != "none"
    }
    if fluid is None or said <= {(fluid.antifreeze, fluid.concentration_share)}:
        return []
    problem = "another mix than the floor's: the same water runs through both"
    return [Fault("fluid", problem, "keep [fluid], and take antifreeze and concentration out of [floor]", file)]
