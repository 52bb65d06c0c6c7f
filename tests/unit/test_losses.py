"""Losses and efficiency balance, and Siegert's formula is refused where it does not hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.flue_gas import co2_from_o2, dry_flue_gas, excess_air_ratio, wet_flue_gas
from engine.physics.fuels import FUELS, fuel_named
from engine.physics.heat import (
    EVAPORATION_AT_REFERENCE,
    LIQUID_HEAT_CAPACITY,
    gas_enthalpy,
)
from engine.physics.losses import (
    condensed_share,
    efficiency_gross,
    efficiency_net,
    latent_loss_gross,
    sensible_loss_gross,
)
from engine.physics.moisture import flue_dew_point, saturation_pressure
from engine.physics.siegert import siegert_loss_net_from_co2, siegert_loss_net_from_o2

FUEL_NAMES = st.sampled_from(sorted(FUELS))
FLUE_O2 = st.floats(min_value=0.0, max_value=0.12)
FLUE = st.floats(min_value=280.0, max_value=520.0)
AIR = st.floats(min_value=250.0, max_value=315.0)
PRESSURES = st.floats(min_value=70e3, max_value=108e3)
HUMIDITY = st.floats(min_value=0.0, max_value=0.05)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: efficiency_gross(60.0, 293.15, 0.05, "propane"), "flue gas temperature must be"),
        (lambda: efficiency_gross(333.15, 20.0, 0.05, "propane"), "temperature of the combustion"),
        (lambda: condensed_share(313.15, 5.0, "propane"), "and the reading in per cent"),
        (
            lambda: siegert_loss_net_from_o2(318.15, 293.15, 0.05, "natural_gas"),
            "at 45 °C is below its dew point of 54 °C: water condenses.*efficiency on gross heat",
        ),
        (
            lambda: siegert_loss_net_from_co2(
                np.array([400.0, 318.15]), 293.15, 0.09, "natural_gas"
            ),
            "at 45 °C is below its dew point",
        ),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()


@given(FLUE, FLUE_O2, FUEL_NAMES, PRESSURES, HUMIDITY)
def test_energy_and_water_balance(flue, o2, fuel, pressure, humidity):
    """Air and fuel at 25 °C: count what goes in and out, from 25 °C, without the module's sums."""
    gas = fuel_named(fuel)
    air = excess_air_ratio(o2, gas) * gas.stoichiometric_air
    dry = dry_flue_gas(o2, gas)
    water = wet_flue_gas(o2, gas, humidity) - dry
    condensed = water * condensed_share(flue, o2, gas, pressure, humidity)
    vapour = water - condensed
    carbon_dioxide, oxygen = co2_from_o2(o2, gas) * dry, o2 * dry

    if condensed:
        assert vapour / (vapour + dry) == pytest.approx(
            saturation_pressure(flue) / pressure, rel=1e-9
        )
    heat_in = gas.gross_heat + humidity * air * EVAPORATION_AT_REFERENCE
    heat_out = (
        carbon_dioxide * gas_enthalpy("CO2", flue)
        + oxygen * gas_enthalpy("O2", flue)
        + (dry - carbon_dioxide - oxygen) * gas_enthalpy("N2", flue)
        + vapour * (EVAPORATION_AT_REFERENCE + gas_enthalpy("H2O", flue))
        + condensed * LIQUID_HEAT_CAPACITY * (flue - 298.15)
    )
    useful = heat_in - heat_out

    at = (flue, 298.15, o2, gas, pressure, humidity)
    assert efficiency_gross(*at) * gas.gross_heat == pytest.approx(useful, rel=1e-9)
    assert efficiency_net(*at) * gas.net_heat == pytest.approx(useful, rel=1e-9)
    assert efficiency_gross(*at) + sensible_loss_gross(*at) + latent_loss_gross(
        *at
    ) == pytest.approx(1.0, rel=1e-12)


@given(FLUE, AIR, FLUE_O2, FUEL_NAMES)
def test_hotter_flue_or_more_air_loses_more(flue, air, o2, fuel):
    """As long as the flue is warmer than the air."""
    flue = max(flue, air + 5.0)
    here = efficiency_gross(flue, air, o2, fuel)

    assert efficiency_gross(flue + 10.0, air, o2, fuel) < here
    assert efficiency_gross(flue, air, o2 + 0.02, fuel) < here


@given(FLUE, FLUE_O2, FUEL_NAMES, PRESSURES, HUMIDITY)
def test_water_condenses_exactly_below_the_dew_point(flue, o2, fuel, pressure, humidity):
    share = condensed_share(flue, o2, fuel, pressure, humidity)

    assert 0 <= share < 1
    assert (share > 0) == (flue < flue_dew_point(o2, fuel, pressure, humidity))


@given(st.floats(min_value=340.0, max_value=520.0), FLUE_O2, FUEL_NAMES)
def test_without_condensation_the_latent_loss_is_the_gap_between_gross_and_net(flue, o2, fuel):
    gas = fuel_named(fuel)

    assert latent_loss_gross(flue, 298.15, o2, gas) == pytest.approx(
        1 - gas.net_heat / gas.gross_heat, rel=1e-9
    )
    assert efficiency_net(flue, 298.15, o2, gas) < 1


def test_nothing_lost_when_all_leaves_as_cold_as_it_came():
    """Only the vapour that saturated flue gas still holds is lost."""
    assert sensible_loss_gross(298.15, 298.15, 0.05, "natural_gas") == 0
    assert 0 < latent_loss_gross(298.15, 298.15, 0.05, "natural_gas") < 0.025
    assert efficiency_net(298.15, 298.15, 0.05, "natural_gas") > 1.08


def test_altitude_and_humid_air_act_on_the_condensate():
    at_sea = condensed_share(313.15, 0.05, "natural_gas")

    assert condensed_share(313.15, 0.05, "natural_gas", absolute_pressure=80e3) < at_sea
    assert condensed_share(313.15, 0.05, "natural_gas", air_humidity=0.02) > at_sea


@given(st.floats(350.0, 520.0), AIR, st.floats(0.01, 0.12), FUEL_NAMES)
def test_siegert_is_proportional_to_the_temperature_difference(flue, air, o2, fuel):
    per_kelvin = siegert_loss_net_from_o2(flue, air, o2, fuel) / (flue - air)

    assert siegert_loss_net_from_o2(flue + 20.0, air, o2, fuel) == pytest.approx(
        per_kelvin * (flue + 20.0 - air), rel=1e-9
    )


@pytest.mark.parametrize("fuel", sorted(FUELS))
def test_siegert_answers_from_the_dew_point_up(fuel):
    dew = flue_dew_point(0.05, fuel)

    assert siegert_loss_net_from_o2(dew + 0.01, 293.15, 0.05, fuel) > 0
    with pytest.raises(OutOfRange, match="below its dew point"):
        siegert_loss_net_from_o2(dew - 0.01, 293.15, 0.05, fuel)
