"""Arguments that every calculation of heat in gas and water must take."""

from engine.physics import heat as of

SOUND = {
    of.gas_enthalpy: {"species": "CO2", "temperature": 330.0},
    of.evaporation_heat: {"temperature": 293.0},
}
