"""What the five questions ask: the answers from which a first study is made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from costsim.weather import Weather

MOST_PEOPLE = 10
"""Who use the hot water of a house, as far as the questions ask."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstAnswers:
    """Answers of the five questions; what nobody knows is empty. Quantities are texts as a study file holds them.

    Attributes
    ----------
    weather_name : str
        As the study names it.
    weather : Weather
    area, heat_loss : str
        Of the floor, and of a calculation; without it the rule of thumb counts.
    insulation : str
        Key of `INSULATION`.
    loss_at : str
        Outdoor temperature at which `heat_loss` is meant, the study's design temperature then; the station's without it.
    loss_indoor : str
        Indoor temperature at which `heat_loss` is meant; the usual one without it.
    thermostat : str
        Its setting; `USUAL_INDOOR` without it, at which rule of thumb and usual balance point are meant.
    setback : sequence of mapping
        Hours in which it is set lower, as a study holds them.
    now : str
        Key of `TEMPLATES`: what heats the house today; it costs nothing to buy.
    considered : sequence of str
        Further keys of `TEMPLATES`.
    efficiency : str
        Of what heats the house today; the template's without it.
    new_efficiency : str
        Of a new heater like today's; the template's without it.
    emitter : str
        How the heat reaches the rooms, a key of `EMITTERS`; a radiant floor without it.
    zones : sequence of mapping
        Parts of the house with an emitter of their own, as a study holds them.
    people : int
        Who use the hot water, where it is counted; 0 where nobody says.
    renewal : mapping
        What replacing today's heating costs, and when; options that keep it pay that too.
    quotes : mapping
        What each template was quoted for, installed; those left out are not known.
    prices : mapping
        Energy prices by price table; those left out are examples, with their fixed charges.
    tables : mapping
        Further keys of price tables, such as fixed charges and cheaper hours.
    windows : sequence of str
        Cheaper hours of electricity, in which an off-peak source runs too.
    system, currency : str
        In which amounts that nobody typed are written.
    """

    weather_name: str
    weather: Weather
    area: str
    insulation: str
    heat_loss: str = ""
    loss_at: str = ""
    loss_indoor: str = ""
    thermostat: str = ""
    setback: Sequence[Mapping[str, Any]] = ()
    now: str
    considered: Sequence[str]
    efficiency: str = ""
    new_efficiency: str = ""
    emitter: str = ""
    zones: Sequence[Mapping[str, Any]] = ()
    people: int = 0
    renewal: Mapping[str, Any] = field(default_factory=dict)
    quotes: Mapping[str, str] = field(default_factory=dict)
    prices: Mapping[str, str] = field(default_factory=dict)
    tables: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    windows: Sequence[str] = ()
    system: str
    currency: str

    @property
    def keys(self) -> tuple[str, ...]:
        """Templates of all options, what heats the house today first, each once."""
        return tuple(dict.fromkeys([self.now, *self.considered]))

    @property
    def own_design(self) -> bool:
        """Whether a calculation says the outdoor temperature that it is meant at."""
        return bool(self.heat_loss and self.loss_at)
