"""Floor, tank and thermal mass as people type them."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from costsim.fields import Measured, Typed, fault


class Tank(Typed):
    """The tank that all sources heat and all loops draw from."""

    volume_m3: Annotated[float, Measured("volume", "Tank volume", above=0, at_most=1e4, example="80 gal")]
    loss_w_k: Annotated[
        float, Measured("heat_loss_rate", "Tank loss", "To the room it stands in.", at_least=0, example="3 W/K")
    ] = 3.0
    top_c: Annotated[
        float, Measured("temperature", "Highest tank temperature", at_least=25, at_most=95, example="160 degF")
    ] = 60.0
    store_c: Annotated[
        float | None,
        Measured(
            "temperature",
            "Store ceiling",
            "How far storing sources charge it.",
            at_least=25,
            at_most=95,
            example="150 degF",
        ),
    ] = None
    water_at_design_c: Annotated[
        float,
        Measured(
            "temperature",
            "Tank temperature at design",
            "Used where no floor is described.",
            at_least=22,
            at_most=90,
            example="110 degF",
        ),
    ] = 45.0

    @model_validator(mode="after")
    def _bounds_in_order(self) -> Tank:
        if self.store_c is not None and self.store_c > self.top_c:
            raise fault("store is hotter than top", "lower store, or raise top as far as every component allows")
        if self.water_at_design_c > self.top_c:
            raise fault(
                "water_at_design is hotter than top",
                "lower water_at_design, or raise top as far as every component allows",
            )
        return self
