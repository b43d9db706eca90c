"""Stands in for a source where a test looks at one rule: what is given by a field's name, and else the defaults of `Traits`."""

from __future__ import annotations

from types import SimpleNamespace

from costsim.sources.traits import SIZE_FIELDS, HandFired, Traits


class Unit(SimpleNamespace):
    """Attributes as given; methods that a kind answers by a field answer by that field here."""

    def plate_efficiency(self) -> float | None:
        return self.__dict__.get("efficiency_share")

    def condenses(self) -> bool:
        return bool(self.__dict__.get("condensing", False))

    def circuit(self) -> tuple[float | None, float | None]:
        return self.__dict__.get("volts_v"), self.__dict__.get("breaker_a")

    def hottest_outlet_c(self) -> float | None:
        return self.__dict__.get("max_outlet_temperature_c")

    def collector_area_m2(self) -> float | None:
        return self.__dict__.get("area_m2")

    def stops_below_c(self) -> tuple[float, bool] | None:
        stop = self.__dict__.get("cut_out_c")
        return None if stop is None else (stop, "cut_out_c" in self.__dict__.get("model_fields_set", ()))

    def flow_through_m3_s(self) -> float | None:
        return self.__dict__.get("flow_m3_s")

    def kept_from_frost(self) -> str:
        return self.__dict__.get("frost_protection", "")

    def typed_sizes(self) -> dict[str, float]:
        return {key: self.__dict__[name] for key, name in SIZE_FIELDS.items() if self.__dict__.get(name) is not None}

    def hand_fired(self) -> HandFired | None:
        heat = self.__dict__.get("heat_per_charge_j")
        return None if heat is None else HandFired(0.0, heat, self.__dict__.get("burns_s", 0.0), 0.5, "output")

    def __getattr__(self, name: str) -> object:
        found = getattr(Traits, name)  # class variables; a method that needs a source of flesh and blood fails
        if isinstance(found, property):
            return found.fget(self)  # type: ignore[misc]
        return found.__get__(self) if callable(found) else found
