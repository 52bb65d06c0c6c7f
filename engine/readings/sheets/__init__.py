"""The sheets by id, in the order in which they are offered."""

from engine.readings.sheets import (
    condensate,
    flame_signal,
    flue_gas,
    gas_meter,
    gas_pressure,
    orifice,
    propane_tank,
    room_air,
    sensor,
    vent,
    water_flow,
)

SHEETS = {
    page.id: page
    for page in (
        flue_gas.SHEET,
        gas_pressure.SHEET,
        gas_meter.SHEET,
        flame_signal.SHEET,
        sensor.SHEET,
        water_flow.SHEET,
        condensate.SHEET,
        vent.SHEET,
        room_air.SHEET,
        orifice.SHEET,
        propane_tank.SHEET,
    )
}
