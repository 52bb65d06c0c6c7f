"""Several calculations in a row, where an instrument's reading needs them all for one figure.

Each is the plain sequence of its parts, which carry the sources; what a part refuses, this refuses.
"""

from engine.physics.atmosphere import standard_pressure
from engine.physics.condensate import caught_share, greatest_condensate_rate
from engine.physics.gas_meter import CLOCKED_DURATION, clocked_input
from engine.physics.limits import Range, plain
from engine.physics.vent import ENTRANCE_FLUSH, EXIT, equivalent_length, vent_pressure_drop
from engine.physics.vent_gas import flue_gas_density, flue_gas_flow, flue_gas_viscosity

CAUGHT_VOLUME = Range(
    "water caught", 1e-6, 10.0, "m³", "was a volume in litres passed without converting it?"
)
LOAD = Range("heat input", 1e3, 1e7, "W", "was it in kW or Btu/h? See the rating plate")


def clocked_input_on_site(
    volume, duration, heating_value, altitude, gas_temperature=288.15, gauge_pressure=0.0
):
    r"""Heat input by the gas meter, corrected for the place and the gas in the meter.

    Parameters
    ----------
    volume : float or ndarray
        Gas through the meter, nothing else burning [m³]. 0.0001 to 100.
    duration : float or ndarray
        Time it took [s]. 1 to 36 000.
    heating_value : float or ndarray
        Gross heating value, dry at 15 °C and 1013.25 mbar [J/m³]. 5e6 to 150e6.
    altitude : float or ndarray
        Height of the place above sea level [m].
    gas_temperature : float or ndarray
        Temperature of the gas in the meter [K]; that of the heating value leaves it out.
    gauge_pressure : float or ndarray
        Gauge pressure in the meter [Pa].

    Returns
    -------
    float or ndarray
        Gross heat input [W].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    The air pressure is the standard one of the altitude; weather moves it by 3 % at most.

    Examples
    --------
    >>> round(clocked_input_on_site(0.0283, 36.0, 38.2e6, 1500.0))   # a sixth less than at the sea
    25061
    """
    return clocked_input(
        volume, duration, heating_value, gas_temperature, gauge_pressure,
        standard_pressure(altitude),
    )  # fmt: skip


def input_share_on_site(
    volume, duration, heating_value, rated_input, altitude, gas_temperature=288.15,
    gauge_pressure=0.0,
):  # fmt: skip
    r"""Heat input by the gas meter over the rated input; see `clocked_input_on_site`.

    Parameters
    ----------
    volume : float or ndarray
        Gas through the meter, nothing else burning [m³]. 0.0001 to 100.
    duration : float or ndarray
        Time it took [s]. 1 to 36 000.
    heating_value : float or ndarray
        Gross heating value, dry at 15 °C and 1013.25 mbar [J/m³]. 5e6 to 150e6.
    rated_input : float or ndarray
        Gross input on the plate, for this altitude [W]. 1000 to 1e7.
    altitude : float or ndarray
        Height of the place above sea level [m].
    gas_temperature : float or ndarray
        Temperature of the gas in the meter [K].
    gauge_pressure : float or ndarray
        Gauge pressure in the meter [Pa].

    Returns
    -------
    float or ndarray
        Share [1]; 1 is as rated.

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Examples
    --------
    >>> round(input_share_on_site(0.0283, 36.0, 38.2e6, 25_061.0, 1500.0), 3)
    1.0
    """
    clocked = clocked_input_on_site(
        volume, duration, heating_value, altitude, gas_temperature, gauge_pressure
    )
    return plain(clocked / LOAD.check(rated_input))


def condensate_share(volume, duration, gross_heat_input, flue_temperature, o2, fuel, altitude=0.0):
    r"""Condensate caught in a jug over what the flue gas must give.

    Parameters
    ----------
    volume : float or ndarray
        Water caught at the drain [m³]. 1e-6 to 10.
    duration : float or ndarray
        Time it took [s]. 1 to 36 000.
    gross_heat_input : float or ndarray
        Heat input on gross basis over that time [W]. 1000 to 10 million.
    flue_temperature : float or ndarray
        Temperature of the flue gas at the boiler's outlet [K]. 273.15 to the dew point.
    o2 : float or ndarray
        Oxygen in dry flue gas [1]. 0 to 0.20.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    altitude : float or ndarray
        Height of the place above sea level [m].

    Returns
    -------
    float or ndarray
        Share [1].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the fuel is not known, or no condensate is expected.

    Examples
    --------
    >>> round(condensate_share(0.0018, 3600.0, 30e3, 313.15, 0.05, "natural_gas"), 2)
    0.76
    """
    caught = CAUGHT_VOLUME.check(volume) / CLOCKED_DURATION.check(duration)
    pressure = standard_pressure(altitude)
    return caught_share(caught, gross_heat_input, flue_temperature, o2, fuel, pressure)


def condensate_share_of_all(volume, duration, gross_heat_input, fuel):
    r"""Condensate caught in a jug over the most that the gas can give.

    Parameters
    ----------
    volume : float or ndarray
        Water caught at the drain [m³]. 1e-6 to 10.
    duration : float or ndarray
        Time it took [s]. 1 to 36 000.
    gross_heat_input : float or ndarray
        Heat input on gross basis over that time [W]. 1000 to 10 million.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].

    Returns
    -------
    float or ndarray
        Share [1]; above 1 water comes from elsewhere.

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the fuel is not known.

    Examples
    --------
    >>> round(condensate_share_of_all(0.0018, 3600.0, 30e3, "natural_gas"), 2)
    0.42
    """
    caught = CAUGHT_VOLUME.check(volume) / CLOCKED_DURATION.check(duration)
    return plain(caught / greatest_condensate_rate(gross_heat_input, fuel))


def clear_run_pressure(
    gross_heat_input, flue_temperature, o2, fuel, diameter, length, fittings, roughness,
    absolute_pressure=101_325.0,
):  # fmt: skip
    r"""Pressure that a clear run of vent takes at a heat input.

    Parameters
    ----------
    gross_heat_input : float or ndarray
        Heat input on gross basis [W]. 1000 to 10 million.
    flue_temperature : float or ndarray
        Temperature of the flue gas in the vent [K].
    o2 : float or ndarray
        Oxygen in dry flue gas [1]. 0 to 0.20.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    diameter, length : float or ndarray
        Inside diameter and straight length of the run [m].
    fittings : Mapping
        How many there are of each fitting, by its name in `vent.FITTINGS` [-].
    roughness : float or ndarray
        Roughness of the wall, see `vent.ROUGHNESS` [m].
    absolute_pressure : float or ndarray
        Absolute pressure of the place [Pa].

    Returns
    -------
    float or ndarray
        Pressure drop with a flush entrance and a free exit [Pa].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or a name is not known.

    Examples
    --------
    >>> round(clear_run_pressure(24e3, 323.15, 0.05, "natural_gas", 0.08, 12.0, {}, 1.5e-6))
    11
    """
    gas = (flue_temperature, o2, fuel, absolute_pressure)
    return vent_pressure_drop(
        flue_gas_flow(gross_heat_input, *gas),
        diameter,
        equivalent_length(length, diameter, fittings),
        ENTRANCE_FLUSH + EXIT,
        flue_gas_density(*gas),
        flue_gas_viscosity(flue_temperature),
        roughness,
    )
