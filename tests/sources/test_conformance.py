"""What every kind of source must do, looped over all of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from cases import constant_weather, sample_weather, study

from costsim import simulate
from costsim.engine.lower import lower_study, source_rows
from costsim.physics.fuels import FUELS
from costsim.results.cautions import cautions_of
from costsim.sources import KINDS
from costsim.units.fields import QuantityField, file_key

GREENSBORO = sample_weather()
TANK = {"tank__volume": "400 L", "tank__max_temperature": "70 degC"}


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_an_example_can_be_built_and_run(kind: str) -> None:
    model = KINDS[kind]
    assert model.example["kind"] == kind
    assert model.__doc__
    assert model.title != "Heat source"
    found = simulate(study(dict(model.example), **TANK), GREENSBORO).options[0]
    assert found.sources[0].heat_j > 0
    assert found.hourly.imbalance() < 1e-9


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_offers_are_whole_and_lawful(kind: str) -> None:
    case = study(dict(KINDS[kind].example), **TANK)
    common = lower_study(case, GREENSBORO)
    offer = case.options[0].sources[0].offer(common.surroundings)
    for array in (
        offer.capacity_w,
        offer.heat_per_input,
        offer.price_per_heat_j,
        offer.curtailed_w,
        offer.fuel_limited_w,
        offer.target_c,
    ):
        assert array.shape == (8760,)
        assert np.isfinite(array).all()
    assert (offer.capacity_w >= 0).all()
    assert (offer.heat_per_input > 0).all()
    heat = np.linspace(0, max(1.0, offer.rated_w), 8760)
    assert (offer.input_w(heat) >= 0).all()
    doubt = KINDS[kind].uncertain_efficiency
    most = doubt.most if doubt is not None else np.inf if KINDS[kind].collects_sun else 1.0
    assert offer.heat_per_input.max() <= most, "more heat from its input than the kind says nature allows"
    assert (offer.input_w(heat) >= heat / most * 0.999999).all(), "more heat than fuel"


@pytest.mark.parametrize("kind", sorted(kind for kind, source in KINDS.items() if source.follows_tank is False))
def test_a_kind_that_does_not_follow_the_tank_offers_the_same_with_any(kind: str) -> None:
    case = study(dict(KINDS[kind].example), **TANK)
    source, seen = case.options[0].sources[0], lower_study(case, GREENSBORO).surroundings
    found = []
    for volume_m3 in (0.001, 0.4, 40.0):
        offer = source.offer(replace(seen, tank_m3=volume_m3, tank_j_k=volume_m3 * 4.1e6))
        found.append((source_rows([offer]), offer.heat_per_input, offer.curtailed_w, offer.rank))
    for one in found[1:]:
        np.testing.assert_equal(one, found[0])


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_kind_that_does_not_feel_the_cold_offers_the_same_in_any(kind: str) -> None:
    """Collectors give the heat that cold takes from them by `slope_w_k`, which the kernel counts."""
    case = study(dict(KINDS[kind].example), **TANK)
    source, seen = case.options[0].sources[0], lower_study(case, GREENSBORO).surroundings
    cold, warm = (source.offer(replace(seen, weather=constant_weather(outdoor_c))) for outdoor_c in (-10.0, 10.0))
    same = all(np.array_equal(getattr(cold, name), getattr(warm, name)) for name in ("capacity_w", "heat_per_input"))
    assert same or source.feels_cold or source.collects_sun, "say feels_cold"


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_another_size_has_the_rated_output_that_was_asked_for(kind: str) -> None:
    model = KINDS[kind]
    source = model.model_validate(model.example)
    for factor in (0.5, 1.0, 1.7):
        asked = factor * source.nameplate_w()
        found = model.model_validate(source.resized(model.example, asked)).nameplate_w()
        assert found == pytest.approx(asked, rel=1e-9), "say resized() of its own"


@pytest.mark.parametrize("kind", sorted(kind for kind, source in KINDS.items() if source.burns_fuel))
def test_a_fire_has_the_cautions_of_its_fuel(kind: str) -> None:
    case = study(dict(KINDS[kind].example), **TANK)
    told = cautions_of(case, coldest_c=-10.0, freeze_c=0.0, max_temperature_c=60.0, system="si")
    fuel = FUELS[case.options[0].sources[0].fuel_key]
    work = {f"{fuel.work}_work"} if fuel.work else set()
    solid = {"chimney", "solid_return"} if fuel.solid else set()
    keys = {one.key for one in told}
    assert (
        keys & {"carbon_monoxide", "gas_work", "oil_work", "chimney", "solid_return"}
        == {"carbon_monoxide"} | work | solid
    )


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_fields_have_titles_and_readable_examples(kind: str) -> None:
    for name, field in KINDS[kind].model_fields.items():
        for item in field.metadata:
            if isinstance(item, QuantityField):
                assert item.title, name
                item.read(item.sample)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_what_a_kind_rests_on_is_told_with_a_key_that_is_there(kind: str) -> None:
    model = KINDS[kind]
    result = simulate(study(dict(model.example), **TANK), GREENSBORO)
    begins = f"{model.title.lower()}, "
    told = {one.what.lower()[len(begins) :]: one for one in result.assumptions if one.what.lower().startswith(begins)}
    typed = {model.stands_for.get(key, key) for key in model.example}  # what is typed is no assumption
    (unit,) = result.lowered.case.options[0].sources
    own = {what for what, _, _ in unit.holds_at(result.lowered.surroundings.altitude_m)}
    assert set(told) == {what for what, _, _, key in model.rests_on if key not in typed} | own
    for what, how, source, key in model.rests_on:
        if what in told:
            assert (told[what].value, told[what].source) == (how, source)
        assert not key or key in {field.alias or file_key(name) for name, field in model.model_fields.items()}


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_windows_and_lockouts_hold_for_every_kind(kind: str) -> None:
    example = {**KINDS[kind].example, "windows": ["10:00-16:00"], "lockout_above": "10 degC"}
    case = study(example, **TANK)
    common = lower_study(case, GREENSBORO)
    offer = case.options[0].sources[0].offer(common.surroundings)
    hour = np.arange(8760) % 24
    closed = (hour < 10) | (hour >= 16) | (GREENSBORO.outdoor_c > 10)
    assert offer.capacity_w[closed].max() == 0
    if offer.charge_j is not None:
        assert offer.charge_j[closed].max() == 0
