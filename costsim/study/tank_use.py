"""What all uses of the tank have in common."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from costsim.units.fields import StudyModel, file_key

Priority = Annotated[
    Literal["before_house", "after_house"],
    Field(title="Priority", description="After the house it takes what the sources leave idle in the hour."),
]


class TankUse(StudyModel):
    """A use of the tank; `hottest_field` names the field that says how hot the tank must be for it."""

    hottest_field: ClassVar[str] = "design_supply_temperature_c"

    priority: Priority = "before_house"

    @property
    def hottest_key(self) -> str:
        """Key that says how hot the tank must be."""
        return file_key(self.hottest_field)

    @property
    def needs_c(self) -> float:
        """Tank temperature that it needs [°C]."""
        return float(getattr(self, self.hottest_field)) + self.above_use_k

    @property
    def above_use_k(self) -> float:
        """How much hotter the tank must be than the water of the use, which stands behind an exchanger [K]."""
        return 0.0
