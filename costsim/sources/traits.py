"""What a kind of source says of itself beside its hours: its traits, its cautions, and how far its efficiency may be off."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, ClassVar, Self

from costsim.sources.offer import Surroundings
from costsim.units.fields import StudyModel

HOURLY = frozenset({"capacity", "heat_per_input", "target", "charge", "ahead", "until"})
"""What of an offer may follow the house, hour by hour; ``"scalars"`` stands for figures of the whole year."""
FormulaRow = tuple[str, str, str, str]
"""What, formula, the study's numbers in SI, and where it stands."""


@dataclass(frozen=True, slots=True)
class KindCaution:
    """A caution that comes with a kind of source; sources of one `key` are named together.

    Parameters
    ----------
    key, title, short : str
        As in `costsim.results.cautions.Caution`.
    sentences : tuple of str
        What follows the names of the sources; each once, whichever source it comes from.
    standards : str
        By number, for the locally adopted edition.
    ground : str
        Why it applies, with ``{names}`` for the sources.
    deadly : bool
        Stands with what can kill first.
    """

    key: str
    title: str
    short: str
    sentences: tuple[str, ...]
    standards: str
    ground: str
    deadly: bool = False


@dataclass(frozen=True, slots=True)
class UncertainEfficiency:
    """An efficiency that is not known exactly; kinds that share the name are drawn together.

    `spread` is one standard deviation as a share, None for ``uncertainty.efficiency`` of the study; `most` is the highest heat
    per input that nature allows.
    """

    name: str
    spread: float | None
    most: float = math.inf


MARKET_LISTS = {
    "electric boiler output": "electric_power",
    "gas boiler input": "power",
    "oil boiler output": "power",
    "pellet boiler output": "power",
    "heat pump output": "power",
    "wood boiler output": "power",
    "solar collector area": "area",
}
"""Lists of sizes off the shelf that a kind may be found in, and the dimension of their sizes."""
SIZE_FIELDS = {"output": "output_w", "breaker": "breaker_a", "area": "area_m2"}
"""Keys of sizes that a search may change, and the fields that hold them."""
SYMBOLS = ("", "element", "flame", "logs", "fan", "collector")
"""How a schematic may draw a source; a plain box for none."""
BURNERS = UncertainEfficiency("efficiency of burners", None, 1.0)
"""No burner gives more than its fuel's higher heating value; what takes heat from outdoors besides says its own `most`."""


@dataclass(frozen=True, slots=True)
class FuelTank:
    """A tank of propane that the study has: whole volume [m³], and its shape [m] where that is typed."""

    volume_m3: float
    diameter_m: float | None
    length_m: float | None


@dataclass(frozen=True, slots=True)
class HandFired:
    """What somebody loads by hand: a full charge, its heat to the water and how long it burns.

    `least_share` is the smallest charge over a full one; `follows` names the key of ``output``, ``charge`` and ``burn_time`` that
    follows from the other two.
    """

    full_kg: float
    heat_j: float
    burns_s: float
    least_share: float
    follows: str


class Traits(StudyModel):
    """What views, cautions, sizes and uncertainty ask of a source beside its hours; each has a default that claims nothing."""

    title: ClassVar[str] = "Heat source"
    burns_fuel: ClassVar[bool] = False
    """Whether it has a fire: carbon monoxide, combustion air, and an efficiency that is not known exactly."""
    outdoors: ClassVar[bool] = False  # whether a part of it with water stands outdoors and may freeze
    continuous_load: ClassVar[bool] = False
    """Whether it is an electric load for hours, whose circuit must carry 125 % of it."""
    utility_controlled: ClassVar[bool] = False
    """Whether the utility's programme holds it even where no curtailment is typed."""
    unstoppable: ClassVar[bool] = False  # whether it goes on to give heat that nobody wants: it may overheat the water
    collects_sun: ClassVar[bool] = False
    follows_tank: ClassVar[bool | None] = None
    """Whether its hours go with the tank's size, but for a forecast's charging; None where a kind does not say, which is watched."""
    feels_cold: ClassVar[bool] = False
    """Whether what it gives depends on the weather's temperature itself, so that a colder winter must be lowered anew."""
    over_outdoor: ClassVar[tuple[str, ...]] = ()
    """Fields with one value for each temperature of its field ``outdoor`` (`outdoor_curve`)."""
    curve: ClassVar[tuple[str, ...]] = ()
    """Keys of its outputs over the outdoor temperature, which one size scales together (`resized`, `curve_ends`)."""
    air_standard: ClassVar[str] = ""
    """The standard on combustion air and venting, for what burns."""
    uncertain_efficiency: ClassVar[UncertainEfficiency | None] = None
    needs_power: ClassVar[bool] = True
    likes_cool_water: ClassVar[bool] = False  # whether it gives the more for its power, the cooler the water
    automatic: ClassVar[bool] = True
    """Whether it gives its rated heat by itself at any hour, without anybody to tend it and without the sun."""
    market_list: ClassVar[str] = ""
    """In which of `MARKET_LISTS` it is found; empty where it is in none."""
    sized_by: ClassVar[str] = "by its data sheet"  # what it is chosen by, where it is in no list
    cheap_hours: ClassVar[bool] = False  # whether it is made for a utility's cheap hours, which its `windows` name
    same_heater_as: ClassVar[str] = ""
    """Kind that is the same heater on another rate; empty for none."""
    symbol: ClassVar[str] = ""
    """How a schematic draws it: one of `SYMBOLS`."""
    example: ClassVar[dict[str, Any]] = {}
    rated_at: ClassVar[str] = ""  # under which conditions the rated output holds, where a nameplate does not say it
    rests_on: ClassVar[tuple[tuple[str, str, str, str], ...]] = ()
    """What is assumed of every source of this kind: what, how, where that comes from, and the key that changes it."""
    stands_for: ClassVar[dict[str, str]] = {}
    """Keys that, typed, answer another key of `rests_on`."""

    def holds_at(self, altitude_m: float) -> Iterator[tuple[str, str, str]]:
        """What is assumed of this very unit at an altitude [m]: what, how and where that comes from, as in `rests_on`."""
        yield from ()

    def plate_efficiency(self) -> float | None:
        """Heat to the water for each unit of fuel or electricity, as plate or study has it; None where no one figure holds.

        Where there is none, what goes in is read from the offer's hours.
        """
        return None

    def condenses(self) -> bool:
        """Whether it is made to take the heat of the flue gas's vapour, so that its flue is sealed and wet."""
        return False

    @property
    def condensing_is_untold(self) -> bool:
        """Whether its efficiency is that of condensing units alone, and the study does not say whether it is one: it then has ``condensing``."""
        return False

    def circuit(self) -> tuple[float | None, float | None]:
        """Voltage [V] and breaker [A] as typed, of what runs on electricity; None for each that is not."""
        return None, None

    def hottest_outlet_c(self) -> float | None:
        """Hottest water that it makes [°C]; None where nothing limits it that is known."""
        return None

    def stops_below_c(self) -> tuple[float, bool] | None:
        """Outdoor temperature below which it stops by itself [°C], and whether the study has typed it; None where it does not stop."""
        return None

    def stop_hours(self, surroundings: Surroundings) -> tuple[int, int]:
        """Hours with demand in which it is too cold outdoors for it, and others in which only the water is hotter than it makes."""
        return 0, 0

    def collector_area_m2(self) -> float | None:
        """Area that collects the sun [m²]; None for what has none."""
        return None

    def typed_sizes(self) -> dict[str, float]:
        """Sizes that the study has and a search may change, by their keys in `SIZE_FIELDS` [W, A, m²]."""
        known = type(self).model_fields
        sizes = {key: getattr(self, name) for key, name in SIZE_FIELDS.items() if name in known}
        return {key: float(value) for key, value in sizes.items() if value is not None}

    def flow_through_m3_s(self) -> float | None:
        """Flow of water through it as typed [m³/s]; None where the study has none."""
        return None

    def kept_from_frost(self) -> str:
        """What keeps a circuit outdoors of its own from freezing: ``"glycol"`` or ``"drain_back"``; empty for what has none."""
        return ""

    @property
    def outdoor_content_m3(self) -> float | None:
        """What that circuit holds [m³]; None where it is not known."""
        return None

    def hand_fired(self) -> HandFired | None:
        """What is loaded into it by hand; None for all that feeds itself."""
        return None

    def with_least_charge(self, share: float) -> Self:
        """The same source, loaded down to such a share of a full charge; itself where nothing is loaded."""
        return self

    @classmethod
    def of_older_units(cls) -> str:
        """What an older unit of the kind gives, in a sentence; empty where nothing is said of it."""
        return ""

    def buffer_m3(self, nominal_w: float, load_w: float) -> float | None:
        """Buffer [m³] that a fire of such an output [W] needs beside it at a load [W]; None where it needs none."""
        return None

    def fuel_tank(self) -> FuelTank | None:
        """Its own tank of propane; None where the study has none."""
        return None

    @property
    def smallest_fire_w(self) -> float | None:
        """Heat below which its fire goes on and off [W]; None where that is not known."""
        return None
