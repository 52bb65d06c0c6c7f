"""A burner, its flue and their heat, run by Cantera, to hold our flue gas and losses against.

Fuel and moist air burn to equilibrium at 700 K, where products do not dissociate. Liquid water is
Cantera's condensed species, vapour pressure is CoolProp's. Nothing of `engine.physics` enters but
the compositions of the fuels.
"""

import functools

import cantera
import CoolProp.CoolProp as coolprop

from tests.reference.test_against_cantera import (
    ANALYSER_AIR,
    SPECIES,
    burnt,
    moles_of,
    oxygen_needed,
)


@functools.cache
def tables():
    """All gases that take part, and liquid water; reading them takes longer than burning."""
    wanted = {name for parts in SPECIES.values() for name in parts} | {"H2O", "CO"}
    table = cantera.Species.list_from_file("nasa_gas.yaml")
    gas = cantera.Solution(
        thermo="ideal-gas", species=[each for each in table if each.name in wanted]
    )
    condensed = cantera.Species.list_from_file("nasa_condensed.yaml")
    return gas, next(each.thermo for each in condensed if each.name == "H2O(L)")


class Burner:
    """Burns one mole of a fuel at an air ratio, in air of a humidity [mol per mol of dry air]."""

    def __init__(self, fuel, ratio, air_humidity=0.0):
        self.gas, self._liquid = tables()
        fuel_moles = moles_of(self.gas, fuel.composition)
        air = ratio * oxygen_needed(self.gas, fuel_moles) / ANALYSER_AIR["O2"]
        moist = {**ANALYSER_AIR, "H2O": air_humidity}
        self.going_in = fuel_moles + air * moles_of(self.gas, moist.items())
        self.products = burnt(self.gas, self.going_in)
        self.water = self._moles("H2O")
        self.dry = self.products.sum() - self.water
        self.o2 = self._moles("O2") / self.dry
        self.co2 = self._moles("CO2") / self.dry
        self._from_air = air * air_humidity

    def _moles(self, name):
        return self.products[self.gas.species_index(name)]

    def vapour_left(self, temperature, pressure):
        """Water still vapour at a temperature, saturated at most [mol]."""
        saturated = coolprop.PropsSI("P", "T", temperature, "Q", 0, "Water")
        if saturated >= pressure:
            return self.water
        return min(self.water, self.dry * saturated / (pressure - saturated))

    def heat(self, moles, temperature, liquid=0.0):
        """Enthalpy of gases and of liquid water taken out of them [J]."""
        self.gas.TP = temperature, cantera.one_atm
        gaseous = moles.copy()
        gaseous[self.gas.species_index("H2O")] -= liquid
        return (
            gaseous @ self.gas.partial_molar_enthalpies + liquid * self._liquid.h(temperature)
        ) / 1000

    def gross_heat(self, temperature):
        """Heat of combustion at a temperature, the water formed condensed [J]."""
        formed = self.water - self._from_air
        return self.heat(self.going_in, temperature) - self.heat(self.products, temperature, formed)

    def useful_heat(self, flue, air, pressure=cantera.one_atm):
        """Heat given off between the intake at one temperature and the flue at another [J]."""
        condensed = self.water - self.vapour_left(flue, pressure)
        return self.heat(self.going_in, air) - self.heat(self.products, flue, condensed)
