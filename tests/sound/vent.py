"""Arguments that every calculation of the vent must take."""

from engine.physics import vent as of

SOUND = {
    of.friction_factor: {"reynolds": 12e3, "relative_roughness": 1e-4},
    of.equivalent_length: {"length": 8.0, "diameter": 0.08, "fittings": {"elbow_90": 2}},
    of.vent_pressure_drop: {
        "volume_flow": 0.011,
        "diameter": 0.08,
        "length": 15.0,
        "loss_coefficient": 1.5,
        "gas_density": 1.05,
        "gas_viscosity": 1.8e-5,
        "roughness": 1.5e-6,
    },
    of.stack_draught: {
        "height": 8.0,
        "flue_temperature": 325.0,
        "outdoor_temperature": 265.0,
        "o2": 0.05,
        "fuel": "natural_gas",
        "absolute_pressure": 95e3,
    },
}
