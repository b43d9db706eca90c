"""Money over years and uncertainty, as people type them."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, field_validator

from costsim.sources import KINDS
from costsim.study_files import NamesFile
from costsim.units.fields import QuantityField, StudyModel, fault


class Economics(StudyModel):
    """How payments of later years are counted: at the end of each year, in real terms."""

    discount_rate_share_per_year: Annotated[
        float,
        QuantityField(
            "share_per_year", "Discount rate, beyond inflation", at_least=-0.05, at_most=0.30, example="3 %/year"
        ),
    ] = 0.03
    study_period: Annotated[int, Field(ge=1, le=50, title="Study period, years")] = 20
    escalation: Annotated[
        dict[
            str,
            Annotated[
                float,
                QuantityField("share_per_year", "Real price rise", at_least=-0.2, at_most=0.3, example="1 %/year"),
            ],
        ],
        Field(title="How fast each price rises, beyond inflation"),
    ] = {}
    price_path: Annotated[
        dict[
            str,
            tuple[
                Annotated[float, QuantityField("share", "Price over today's", at_least=0, at_most=20, example="104 %")],
                ...,
            ],
        ],
        Field(
            title="Price of each later year, against today's",
            description="In place of a steady rise; the last holds on.",
        ),
    ] = {}
    price_volatility: Annotated[
        dict[
            str,
            Annotated[float, QuantityField("share", "Yearly change of a price", at_least=0, at_most=1, example="10 %")],
        ],
        Field(title="How much each price swings in a usual year", description="The fuel's usual one by default."),
    ] = {}
    inflation_share_per_year: Annotated[
        float,
        QuantityField(
            "share_per_year",
            "Inflation",
            "What makes a loan's fixed payments less.",
            at_least=-0.02,
            at_most=0.3,
            example="2 %/year",
        ),
    ] = 0.02
    carbon_price: Annotated[
        float | None, QuantityField("money_per_mass", "Price of carbon dioxide", at_least=0, example="50 $/tonne")
    ] = None
    carbon_price_rise_share_per_year: Annotated[
        float,
        QuantityField(
            "share_per_year", "Real rise of the carbon price", at_least=-0.2, at_most=0.3, example="2 %/year"
        ),
    ] = 0.0
    tax_liability_money: Annotated[
        float | None,
        QuantityField(
            "money",
            "Tax owed",
            "What credits that are not refundable can be taken off; enough by default.",
            at_least=0,
            example="3000 $",
        ),
    ] = None


class Uncertainty(StudyModel):
    """How far off the figures may be: one standard deviation each.

    Defaults: design load as its uncertainty band, which holds nine in ten; indoor temperature ±1 K, common practice, no source; winters 5.5 %
    of degree-days (published standard deviation); curtailment hours ±25 %, common practice, no source; prices as spread within a few years, value from memory.
    """

    load_share: Annotated[
        float | None,
        QuantityField(
            "share",
            "Design load",
            "One standard deviation; without it as much as lets the band told as “give or take” hold nine houses in ten.",
            at_least=0,
            at_most=1,
            example="5 %",
        ),
    ] = None
    setpoint_spread_k: Annotated[
        float,
        QuantityField(
            "temperature_difference", "Spread of the indoor temperature", at_least=0, at_most=5, example="1 K"
        ),
    ] = 1.0
    winter_share: Annotated[
        float, QuantityField("share", "Degree-days of a winter", at_least=0, at_most=0.5, example="5.5 %")
    ] = 0.055
    weather: Annotated[
        tuple[str, ...],
        NamesFile("hourly weather"),
        Field(
            title="Further weather years",
            description="Files beside the study; each is as likely as the study's own, in place of a drawn winter.",
            max_length=40,
        ),
    ] = ()
    curtailment_share: Annotated[
        float, QuantityField("share", "Hours of utility control", at_least=0, at_most=0.6, example="25 %")
    ] = 0.25
    efficiency_share: Annotated[
        float, QuantityField("share", "Efficiency of fuel-fired sources", at_least=0, at_most=0.3, example="4 %")
    ] = 0.04
    source_efficiency: Annotated[
        dict[
            str,
            Annotated[
                float, QuantityField("share", "Spread of an efficiency", at_least=0, at_most=0.3, example="10 %")
            ],
        ],
        Field(
            title="Efficiency by kind of source",
            description="In place of what the kind says itself, such as heat_pump at 10 %.",
        ),
    ] = {}
    price: Annotated[
        dict[str, Annotated[float, QuantityField("share", "Spread of a price", at_least=0, at_most=1, example="15 %")]],
        Field(title="Spread of each price table"),
    ] = {}
    price_correlation: Annotated[float, Field(ge=0, le=0.95, title="Correlation between fuel prices")] = 0.3
    scenarios: Annotated[int, Field(ge=100, le=100_000, title="Scenarios")] = 500
    seed: Annotated[int, Field(ge=0, title="Seed")] = 1

    @field_validator("source_efficiency")
    @classmethod
    def _known_kinds(cls, value: dict[str, float]) -> dict[str, float]:
        for kind in value:
            if kind not in KINDS:
                raise fault(f"'{kind}' is no kind of source", f"use one of {', '.join(sorted(KINDS))}")
        return value
