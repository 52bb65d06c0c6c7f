"""Fuels against independent thermochemistry: Cantera, `chemicals` and CoolProp.

Cantera (NASA polynomials) burns every preset and fifty random mixtures of all components to
equilibrium and gives heats from heats of formation; `chemicals` gives heats of formation from
another table; CoolProp gives densities by equations of state. Nothing of `engine.physics` enters
but the compositions.
"""

import cantera
import chemicals
import CoolProp.CoolProp as coolprop
import numpy as np
import pytest

from engine.physics.components import (
    AIR_COMPRESSION_FACTOR,
    COMBUSTION_TEMPERATURES,
    COMPONENTS,
    METERING_TEMPERATURES,
    WATER_VAPORISATION,
)
from engine.physics.fuels import FUELS, Fuel
from engine.physics.gas_quality import compression_factor, gas_density, relative_density

ANALYSER_AIR = {"O2": 0.209, "N2": 0.791}  # as our calculations take it
RATIOS = np.geomspace(1.02, 3.0, 5)

# Components as Cantera's NASA tables name them. Hexane is not there: for balances 1-hexene and
# hydrogen hold the same atoms; for heat `chemicals` stands in.
SPECIES = {
    "C3H6": {"C3H6,propylene": 1},
    "C4H10": {"C4H10,n-butane": 1},
    "C5H12": {"C5H12,n-pentane": 1},
    "C6H14": {"C6H12,1-hexene": 1, "H2": 1},
}

CAS = {
    "CH4": "74-82-8",
    "C2H6": "74-84-0",
    "C3H6": "115-07-1",
    "C3H8": "74-98-6",
    "C4H10": "106-97-8",
    "C5H12": "109-66-0",
    "C6H14": "110-54-3",
    "CO": "630-08-0",
}


def random_mixtures():
    """Fifty mixtures of all components: half hydrocarbons and half anything."""
    dice = np.random.default_rng(20240229)
    for number in range(50):
        anything = dice.dirichlet(np.full(len(COMPONENTS), 0.5))
        shares = dict(zip(COMPONENTS, 0.5 * anything, strict=True))
        shares[dice.choice(["CH4", "C3H8"])] += 0.5
        yield Fuel(f"mixture {number}", shares)


ALL = [*FUELS.values(), *random_mixtures()]
MIXTURES = pytest.mark.parametrize("fuel", ALL, ids=lambda fuel: fuel.name)


@pytest.fixture(scope="module")
def gas():
    names = {name for each in COMPONENTS for name in SPECIES.get(each, {each: 1})} | {"H2O"}
    table = cantera.Species.list_from_file("nasa_gas.yaml")
    return cantera.Solution(
        thermo="ideal-gas", species=[each for each in table if each.name in names]
    )


def moles_of(gas, composition):
    moles = np.zeros(gas.n_species)
    for component, share in composition:
        for name, count in SPECIES.get(component, {component: 1}).items():
            moles[gas.species_index(name)] += share * count
    return moles


def burnt(gas, moles):
    """Moles at equilibrium at 700 K, where products do not dissociate, from moles put in."""
    mass = moles @ gas.molecular_weights
    gas.TPX = 700.0, cantera.one_atm, moles / moles.sum()
    gas.equilibrate("TP")
    return gas.X * mass / gas.mean_molecular_weight


def formation(gas, name, kelvin=298.15):
    """Enthalpy counted from the elements at 25 °C [J/mol]; at 25 °C the heat of formation."""
    return gas.species(name).thermo.h(kelvin) / 1e3


# --- Balances


@MIXTURES
def test_air_flue_gas_and_water_are_those_of_the_equilibrium(gas, fuel):
    fuel_moles = moles_of(gas, fuel.composition)
    for ratio in RATIOS:
        air = ratio * fuel.stoichiometric_air
        flue = burnt(gas, fuel_moles + air * moles_of(gas, ANALYSER_AIR.items()))
        water, oxygen, carbon_dioxide = (flue[gas.species_index(s)] for s in ("H2O", "O2", "CO2"))
        dry = flue.sum() - water

        # 1e-8: the equilibrium solver's own rounding, as in test_against_cantera.
        assert fuel.water_per_mole == pytest.approx(water, rel=1e-8)
        assert fuel.stoichiometric_dry_flue_gas + air - fuel.stoichiometric_air == pytest.approx(
            dry, rel=1e-8
        )
        assert (ratio - 1) * fuel.stoichiometric_oxygen == pytest.approx(oxygen, rel=1e-6)
        assert fuel.co2_max_dry * fuel.stoichiometric_dry_flue_gas == pytest.approx(
            carbon_dioxide, rel=1e-8
        )


@MIXTURES
def test_equilibrium_keeps_every_atom(gas, fuel):
    """The balance on Cantera's side: atoms by our table in, atoms by Cantera's table out."""
    air = 1.2 * fuel.stoichiometric_air
    flue = burnt(gas, moles_of(gas, fuel.composition) + air * moles_of(gas, ANALYSER_AIR.items()))
    for place, element in enumerate("CHON"):
        went_in = sum(x * COMPONENTS[each].atoms[place] for each, x in fuel.composition)
        went_in += air * sum(x * COMPONENTS[each].atoms[place] for each, x in ANALYSER_AIR.items())
        came_out = flue @ [gas.n_atoms(name, element) for name in gas.species_names]
        assert came_out == pytest.approx(went_in, rel=1e-9, abs=1e-9)


@MIXTURES
def test_mass_per_mole_is_cantera_s(gas, fuel):
    """4e-5: Cantera takes C 12.011 and H 1.008, ISO 6976 12.0107 and 1.00794; seen 3.4e-5."""
    mass = moles_of(gas, fuel.composition) @ gas.molecular_weights / 1e3

    assert fuel.molar_mass == pytest.approx(mass, rel=4e-5)


# --- Heat


def net_heat_by_formation(gas, formula):
    carbon, hydrogen, oxygen, _ = COMPONENTS[formula].atoms
    if formula in SPECIES and len(SPECIES[formula]) > 1:
        own = chemicals.Hfg(CAS[formula])
    else:
        own = formation(gas, next(iter(SPECIES.get(formula, [formula]))))
    needed = carbon + hydrogen / 4 - oxygen / 2
    return (
        own
        + needed * formation(gas, "O2")
        - carbon * formation(gas, "CO2")
        - hydrogen / 2 * formation(gas, "H2O")
    )


@pytest.mark.parametrize("formula", [each for each, it in COMPONENTS.items() if it.gross_heat[0]])
def test_heat_of_each_component_is_that_of_the_heats_of_formation(gas, formula):
    """2e-5 for most; hydrogen 3e-5, hexane (`chemicals`) 6e-5, propylene 1.4e-4.

    ISO 6976 states an uncertainty of 1.7e-4 for propylene and 7e-5 for hydrogen.
    """
    within = {"H2": 4e-5, "C6H14": 6e-5, "C3H6": 1.5e-4}.get(formula, 2e-5)
    net = Fuel("with carbon", {formula: 0.999, "CH4": 0.001} if formula == "H2" else {formula: 1.0})

    by_formation = sum(x * net_heat_by_formation(gas, each) for each, x in net.composition)
    assert net.net_heat == pytest.approx(by_formation, rel=within)


@pytest.mark.parametrize("place", range(5))
@pytest.mark.parametrize("formula", ["CH4", "C2H6", "C3H6", "C3H8", "C4H10", "C5H12", "H2", "CO"])
def test_heat_at_the_other_temperatures_follows_from_heat_capacities(gas, formula, place):
    """Kirchhoff's law: the same as at 25 °C, every column of the standard's table. 1.5e-4."""
    kelvin = COMBUSTION_TEMPERATURES[place]
    carbon, hydrogen, oxygen, _ = COMPONENTS[formula].atoms
    by_enthalpy = (
        formation(gas, next(iter(SPECIES.get(formula, [formula]))), kelvin)
        + (carbon + hydrogen / 4 - oxygen / 2) * formation(gas, "O2", kelvin)
        - carbon * formation(gas, "CO2", kelvin)
        - hydrogen / 2 * formation(gas, "H2O", kelvin)
    )
    net = COMPONENTS[formula].gross_heat[place] - hydrogen / 2 * WATER_VAPORISATION[place]

    within = {"H2": 5e-5, "C3H6": 1.5e-4}.get(formula, 3e-5)
    assert net == pytest.approx(by_enthalpy, rel=within)


@pytest.mark.parametrize("place", range(5))
def test_each_carbon_more_adds_the_same_heat(place):
    """Hexane, which the NASA tables lack, from butane and pentane; 2.5e-4 at most."""
    butane, pentane, hexane = (COMPONENTS[s].gross_heat[place] for s in ("C4H10", "C5H12", "C6H14"))

    assert hexane == pytest.approx(2 * pentane - butane, rel=2.5e-4)


@MIXTURES
def test_heat_of_every_mixture_is_that_of_the_heats_of_formation(gas, fuel):
    """Presets 1.2e-5 at most; random mixtures, with more of the odd components, 5.4e-5."""
    by_formation = sum(x * net_heat_by_formation(gas, each) for each, x in fuel.composition)

    assert fuel.net_heat == pytest.approx(by_formation, rel=6e-5)


@pytest.mark.parametrize("formula", CAS)
def test_heat_of_each_component_is_near_that_of_another_table(formula):
    """Heats of formation as `chemicals` gives them, several tables mixed; 1.5e-4 at most."""
    carbon, hydrogen, _, _ = COMPONENTS[formula].atoms
    by_formation = chemicals.Hfg(CAS[formula]) - (
        carbon * chemicals.Hfg("124-38-9") + hydrogen / 2 * chemicals.Hfg("7732-18-5")
    )

    assert Fuel("one", {formula: 1.0}).net_heat == pytest.approx(by_formation, rel=1.5e-4)


@pytest.mark.parametrize("place", range(5))
def test_water_condensing_gives_what_steam_equations_say(place):
    """The standard's vapour is ideal: taken here at 1 Pa, where steam is; 1e-4 (k = 1: 4 J/mol)."""
    kelvin = COMBUSTION_TEMPERATURES[place]
    liquid = coolprop.PropsSI("HMOLAR", "T", max(kelvin, 273.16), "Q", 0, "Water")
    vapour = coolprop.PropsSI("HMOLAR", "T", max(kelvin, 273.16), "P|gas", 1.0, "Water")

    assert WATER_VAPORISATION[place] == pytest.approx(vapour - liquid, rel=1e-4)


# --- Density


EQUATIONS_OF_STATE = {
    "C3H6": "Propylene",
    "CO": "CarbonMonoxide",
    "CH4": "Methane",
    "C2H6": "Ethane",
    "C3H8": "Propane",
    "C4H10": "n-Butane",
    "C5H12": "n-Pentane",
    "C6H14": "n-Hexane",
    "H2": "Hydrogen",
    "CO2": "CarbonDioxide",
    "O2": "Oxygen",
    "N2": "Nitrogen",
}


def real_gas(fuel, kelvin, pascal):
    """Compression factor and density [kg/m³] by the multi-fluid equation of state."""
    names = "&".join(EQUATIONS_OF_STATE[each] for each, _ in fuel.composition)
    state = coolprop.AbstractState("HEOS", names)
    state.set_mole_fractions([x for _, x in fuel.composition])
    state.specify_phase(coolprop.iphase_gas)
    state.update(coolprop.PT_INPUTS, pascal, kelvin)
    return state.compressibility_factor(), state.rhomass()


# Propane as sold is left out: CoolProp has no figures for propylene with butane.
KNOWN = sorted(set(FUELS) - {"propane"})


@pytest.mark.parametrize("name", KNOWN)
@pytest.mark.parametrize("kelvin", METERING_TEMPERATURES)
def test_gas_at_the_meter_is_as_dense_as_by_equation_of_state(name, kelvin):
    """1e-4; hydrogen's summation factor is the worst known. Atomic weights differ by 2e-5."""
    factor, density = real_gas(FUELS[name], kelvin, 101325.0)

    assert compression_factor(name, kelvin) == pytest.approx(factor, rel=7e-5)
    assert gas_density(name, kelvin, 101325.0) == pytest.approx(density, rel=1e-4)


@pytest.mark.parametrize("name", KNOWN)
@pytest.mark.parametrize("kelvin", [253.15, 263.15, 283.15, 303.15, 323.15])
@pytest.mark.parametrize("pascal", [50e3, 75e3, 101325.0, 150e3])
def test_gas_beyond_the_standard_s_range_stays_near_the_equation_of_state(name, kelvin, pascal):
    """The straight lines beyond 0 and 20 °C, and pressures beyond 90 to 110 kPa."""
    factor, _ = real_gas(FUELS[name], kelvin, pascal)
    within = 2.5e-3 if name == "pure_propane" else 3e-4

    assert compression_factor(name, kelvin, pascal) == pytest.approx(factor, rel=0, abs=within)


GASES = sorted(set(EQUATIONS_OF_STATE) - {"C5H12", "C6H14", "H2"})


@pytest.mark.parametrize("place", range(4))
@pytest.mark.parametrize("formula", GASES)
def test_each_component_is_as_far_from_ideal_as_by_equation_of_state(formula, place):
    """2e-5. Pentane and hexane are no gases there.

    Hydrogen is left out: the standard's factor, -0.01, is meant for mixtures. Squared it makes
    pure hydrogen 0.0001 denser than ideal, where it is 0.0006 thinner.
    """
    kelvin = METERING_TEMPERATURES[place]
    factor = coolprop.PropsSI("Z", "T", kelvin, "P", 101325.0, EQUATIONS_OF_STATE[formula])

    assert 1 - COMPONENTS[formula].summation_factor[place] ** 2 == pytest.approx(
        factor, rel=0, abs=2e-5
    )


@pytest.mark.parametrize("place", range(4))
@pytest.mark.parametrize("formula", ["C5H12", "C6H14"])
def test_vapours_are_as_far_from_ideal_as_by_their_second_virial_coefficient(formula, place):
    """Z = 1 + B·p/(R·T), so that s = sqrt(-B·p/(R·T)).

    The standard's are 2.1 to 2.7 % larger; it gives them uncertainties of 4 % and 9 %.
    """
    kelvin = METERING_TEMPERATURES[place]
    fluid = EQUATIONS_OF_STATE[formula]
    virial = coolprop.PropsSI("Bvirial", "T", kelvin, "Dmolar", 1e-6, fluid)
    factor = np.sqrt(-virial * 101325.0 / (8.314462618 * kelvin))

    assert COMPONENTS[formula].summation_factor[place] == pytest.approx(factor, rel=0.03)


@pytest.mark.parametrize("place", range(4))
def test_air_is_as_far_from_ideal_as_by_equation_of_state(place):
    """2.2e-5; the standard gives its own figure an uncertainty of 1.5e-5."""
    kelvin = METERING_TEMPERATURES[place]
    factor = coolprop.PropsSI("Z", "T", kelvin, "P", 101325.0, "Air")

    assert AIR_COMPRESSION_FACTOR[place] == pytest.approx(factor, rel=0, abs=2.5e-5)


@pytest.mark.parametrize("name", KNOWN)
@pytest.mark.parametrize("pascal", [70e3, 101325.0])
def test_relative_density_is_the_ratio_of_densities(name, pascal):
    """At sea level and at 3000 m. 2e-4: molar masses of air and gas, and the factors above."""
    _, density = real_gas(FUELS[name], 288.15, pascal)
    air = coolprop.PropsSI("D", "T", 288.15, "P", pascal, "Air")

    assert relative_density(name, 288.15, pascal) == pytest.approx(density / air, rel=2e-4)
