"""Stoichiometry and recirculation against chemical equilibrium, computed independently by Cantera.

Cantera burns the mixture to equilibrium at 700 K, where products do not dissociate; readings are
taken from the mole fractions, water left out. Nothing of `engine.physics` enters but the
compositions of the fuels. Recirculation is run as a loop: burn, mix a share of the flue gas into
the intake, burn again, until nothing changes.
"""

import cantera
import numpy as np
import pytest

from engine.physics.flue_gas import (
    co2_from_o2,
    excess_air_ratio,
    fuel_line_gap,
    o2_from_co2,
    o2_from_excess_air_ratio,
)
from engine.physics.fuels import FUELS
from engine.physics.recirculation import recirculated_share_from_co2, recirculated_share_from_o2

# Components of the fuels as Cantera's NASA tables name them. Hexane is not there: 1-hexene and
# hydrogen hold the same atoms.
SPECIES = {
    "CH4": {"CH4": 1},
    "C2H6": {"C2H6": 1},
    "C3H6": {"C3H6,propylene": 1},
    "C3H8": {"C3H8": 1},
    "C4H10": {"C4H10,n-butane": 1},
    "C5H12": {"C5H12,n-pentane": 1},
    "C6H14": {"C6H12,1-hexene": 1, "H2": 1},
    "N2": {"N2": 1},
    "CO2": {"CO2": 1},
    "O2": {"O2": 1},
}

ANALYSER_AIR = {"O2": 0.209, "N2": 0.791}  # as our calculations take it
REAL_AIR = {"O2": 0.20946, "N2": 0.78084, "Ar": 0.0093, "CO2": 0.0004}  # dry; from memory

RATIOS = [1.02, 1.1, 1.2, 1.3, 1.45, 1.7, 2.2, 3.0]


@pytest.fixture(scope="module")
def gas():
    wanted = {name for parts in SPECIES.values() for name in parts} | {"H2O", "Ar", "CO"}
    table = cantera.Species.list_from_file("nasa_gas.yaml")
    return cantera.Solution(
        thermo="ideal-gas", species=[each for each in table if each.name in wanted]
    )


def moles_of(gas, composition):
    moles = np.zeros(gas.n_species)
    for component, share in composition:
        for name, count in SPECIES.get(component, {component: 1}).items():
            moles[gas.species_index(name)] += share * count
    return moles


def burnt(gas, moles):
    """Moles after complete combustion of one mole of fuel and its intake gas."""
    mass = moles @ gas.molecular_weights
    gas.TPX = 700.0, cantera.one_atm, moles / moles.sum()
    gas.equilibrate("TP")
    return gas.X * mass / gas.mean_molecular_weight


def dry(gas, moles, name):
    return moles[gas.species_index(name)] / (moles.sum() - moles[gas.species_index("H2O")])


def oxygen_needed(gas, fuel):
    """Oxygen per mole of fuel, from the elements of its components."""
    atoms = [np.array([gas.n_atoms(name, e) for name in gas.species_names]) for e in "CHO"]
    carbon, hydrogen, oxygen = (fuel @ each for each in atoms)
    return carbon + hydrogen / 4 - oxygen / 2


def flue_gas(gas, fuel, ratio, air):
    fuel_moles = moles_of(gas, FUELS[fuel].composition)
    fresh = moles_of(gas, air.items())
    needed = oxygen_needed(gas, fuel_moles) / air["O2"]
    return burnt(gas, fuel_moles + ratio * needed * fresh)


def recirculating(gas, fuel, share, ratio, air):
    """Intake and flue moles of the steady loop, found by going round it.

    The fan draws a fixed volume per mole of fuel, `ratio` times the air of exact combustion
    without recirculation; `share` of it is the flue gas of the round before.
    """
    fuel_moles = moles_of(gas, FUELS[fuel].composition)
    fresh = moles_of(gas, air.items())
    drawn = ratio * oxygen_needed(gas, fuel_moles) / air["O2"]
    intake = drawn * fresh
    flue = burnt(gas, fuel_moles + intake)
    for _ in range(100):
        before = flue
        intake = drawn * ((1 - share) * fresh + share * flue / flue.sum())
        flue = burnt(gas, fuel_moles + intake)
        if np.abs(flue - before).max() < 1e-11:
            return intake, flue
    raise AssertionError("the loop did not settle")


@pytest.mark.parametrize("fuel", sorted(FUELS))
@pytest.mark.parametrize("ratio", RATIOS)
def test_readings_and_excess_air_agree(gas, fuel, ratio):
    flue = flue_gas(gas, fuel, ratio, ANALYSER_AIR)
    o2, co2 = dry(gas, flue, "O2"), dry(gas, flue, "CO2")

    # 1e-9: only the equilibrium solver's own rounding is between the two.
    assert co2_from_o2(o2, fuel) == pytest.approx(co2, rel=0, abs=1e-9)
    assert o2_from_co2(co2, fuel) == pytest.approx(o2, rel=0, abs=1e-9)
    assert excess_air_ratio(o2, fuel) == pytest.approx(ratio, rel=1e-8)
    assert o2_from_excess_air_ratio(ratio, fuel) == pytest.approx(o2, rel=0, abs=1e-9)


@pytest.mark.parametrize("fuel", sorted(FUELS))
@pytest.mark.parametrize("ratio", RATIOS)
def test_wet_flue_gas_per_mole_of_fuel_agrees(gas, fuel, ratio):
    flue = flue_gas(gas, fuel, ratio, ANALYSER_AIR)
    water = flue[gas.species_index("H2O")]
    ours = FUELS[fuel]

    assert ours.water_per_mole == pytest.approx(water, rel=1e-8)
    assert ours.stoichiometric_dry_flue_gas + (
        ratio - 1
    ) * ours.stoichiometric_air == pytest.approx(flue.sum() - water, rel=1e-8)


@pytest.mark.parametrize("fuel", sorted(FUELS))
@pytest.mark.parametrize("ratio", RATIOS)
def test_real_air_moves_the_line_less_than_an_analyser_can_read(gas, fuel, ratio):
    """Argon, 400 ppm CO2 and 20.946 % oxygen, against our air of 20.9 % oxygen and nitrogen."""
    flue = flue_gas(gas, fuel, ratio, REAL_AIR)

    # 0.1 percentage points: one digit of an analyser.
    assert abs(fuel_line_gap(dry(gas, flue, "O2"), dry(gas, flue, "CO2"), fuel)) < 1e-3


@pytest.mark.parametrize("fuel", sorted(FUELS))
@pytest.mark.parametrize("ratio", [1.15, 1.3, 1.6])
@pytest.mark.parametrize("share", [0.0, 0.01, 0.05, 0.10])
def test_recirculated_share_agrees_with_the_loop(gas, fuel, ratio, share):
    intake, flue = recirculating(gas, fuel, share, ratio, ANALYSER_AIR)

    from_o2 = recirculated_share_from_o2(dry(gas, intake, "O2"), dry(gas, flue, "O2"), fuel)
    from_co2 = recirculated_share_from_co2(
        dry(gas, intake, "CO2"), dry(gas, flue, "CO2"), fuel, room_co2=0.0
    )

    assert from_o2 == pytest.approx(share, rel=0, abs=1e-9)
    assert from_co2 == pytest.approx(share, rel=0, abs=1e-9)


@pytest.mark.parametrize("fuel", sorted(FUELS))
@pytest.mark.parametrize("ratio", [1.15, 1.3, 1.6])
def test_recirculated_share_with_real_air(gas, fuel, ratio):
    """CO2 of the fresh air counts at the intake: 400 ppm would read as 0.5 % recirculation."""
    intake, flue = recirculating(gas, fuel, 0.05, ratio, REAL_AIR)

    from_co2 = recirculated_share_from_co2(dry(gas, intake, "CO2"), dry(gas, flue, "CO2"), fuel)

    # 0.05 percentage points of 5: the air's CO2 is left out of the flue gas's volume.
    assert from_co2 == pytest.approx(0.05, rel=0, abs=5e-4)


@pytest.mark.parametrize("ratio", [1.2, 1.3, 1.4])
def test_limit_at_the_intake_stands_for_the_same_share_in_the_loop(gas, ratio):
    """The share that makes the intake read 20.6 %, found on the loop by halving, not by formula."""
    low, high = 0.0, 0.1
    for _ in range(40):
        middle = (low + high) / 2
        intake, flue = recirculating(gas, "natural_gas", middle, ratio, ANALYSER_AIR)
        low, high = (middle, high) if dry(gas, intake, "O2") > 0.206 else (low, middle)

    assert 100 * middle == pytest.approx(2.2, abs=0.2)
    assert recirculated_share_from_o2(0.206, dry(gas, flue, "O2"), "natural_gas") == pytest.approx(
        middle, rel=0, abs=1e-9
    )
