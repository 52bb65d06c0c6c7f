"""The quantities that people read off instruments, and how they spell their units.

The trade's shorthand means different things in different places, so that each quantity has a table
of spellings of its own.
"""

from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True)
class Quantity:
    """A kind of value, with the units in which people give it.

    `usual_units` are those shown to people, the first being the default. `spellings` maps a
    compressed spelling (no blanks, points or hyphens, lower case) to a pint unit; `exact` does the
    same where upper and lower case differ in meaning. `open_to_pint` says whether any other unit
    of the same dimension may be typed.
    """

    name: str
    si_unit: str
    usual_units: tuple[str, ...]
    called: str = field(repr=False)
    examples: tuple[str, ...] = field(repr=False)
    pint_unit: str = field(repr=False)
    spellings: MappingProxyType = field(repr=False)
    exact: MappingProxyType = field(repr=False)
    open_to_pint: bool = field(default=False, repr=False)


def _quantity(name, si_unit, usual, called, examples, pint_unit, spellings, exact="", **more):
    """Tables are written as ``unit: spelling spelling; unit: spelling``."""

    def table(text):
        rows = (row.split(":") for row in text.split(";") if row.strip())
        return MappingProxyType(
            {word: unit.strip() for unit, words in rows for word in words.split()}
        )

    return Quantity(
        name, si_unit, usual, called, examples, pint_unit, table(spellings), table(exact), **more
    )


QUANTITIES = MappingProxyType(
    {
        quantity.name: quantity
        for quantity in (
            _quantity(
                "gauge_pressure", "Pa", ("mbar", "inH2O", "kPa", "Pa"),
                "a gauge pressure", ("10 mbar", "4 inH2O"), "pascal",
                """pascal: pa pag pascal pascals; hectopascal: hpa; kilopascal: kpa kpag;
                millibar: mbar mbarg millibar millibars; bar: bar barg bars;
                inH2O: inh2o inchh2o inchesh2o inwc incwc inchwc incheswc inwg inchwg incheswg iwc
                "wc "wg "h2o inchesofwatercolumn inchesofwater inchwatercolumn incheswatercolumn;
                mmH2O: mmh2o mmwc mmwg mmwatercolumn; cmH2O: cmh2o cmwc cmwg;
                psi: psi psig; force_ounce/inch**2: oz/in2 osi ozin2; mmHg: mmhg; inHg: inhg""",
                open_to_pint=True,
            ),
            _quantity(
                "absolute_pressure", "Pa", ("kPa", "mbar", "inHg", "psi"),
                "an absolute pressure", ("101.3 kPa", "29.92 inHg"), "pascal",
                """pascal: pa paa pascal pascals; hectopascal: hpa; kilopascal: kpa kpaa;
                millibar: mbar mbara millibar millibars; bar: bar bara bars;
                psi: psi psia; mmHg: mmhg torr; inHg: inhg inofhg inchhg incheshg""",
                open_to_pint=True,
            ),
            _quantity(
                "temperature", "K", ("°C", "°F", "K"), "a temperature", ("60 °C", "140 °F"),
                "kelvin", """degC: c degc celsius degreescelsius degreesc;
                degF: f degf fahrenheit degreesfahrenheit degreesf; kelvin: k kelvin degk""",
            ),
            _quantity(
                "temperature_difference", "K", ("K", "°C", "°F"),
                "a temperature difference", ("20 K", "36 °F"), "kelvin",
                """kelvin: k kelvin kelvins degk c degc celsius degreescelsius degreesc;
                delta_degF: f degf fahrenheit degreesfahrenheit degreesf""",
            ),
            _quantity(
                "dry_fraction", "1", ("%", "ppm"), "a share of the dry gas", ("9 %", "45 ppm"),
                "dimensionless", "percent: % percent pct vol% %vol volpercent; ppm: ppm ppmv vppm",
            ),
            _quantity(
                "current", "A", ("µA", "mA", "A"), "a current", ("2.3 µA", "0.5 A"), "ampere",
                """microampere: ua uamp uamps uadc uaac microamp microamps microampere microamperes;
                milliampere: milliamp milliamps; ampere: a amp amps ampere amperes""",
                "milliampere: mA ma; ampere: A a", open_to_pint=True,
            ),
            _quantity(
                "voltage", "V", ("V", "mV"), "a voltage", ("24 V", "120 VAC"), "volt",
                "volt: v vac vdc volt volts voltac voltdc voltsac voltsdc; kilovolt: kv",
                "millivolt: mV mv", open_to_pint=True,
            ),
            _quantity(
                "resistance", "ohm", ("Ω", "kΩ", "MΩ"), "a resistance", ("0.4 ohm", "80 kohm"),
                "ohm", """ohm: ohm ohms; kiloohm: kohm kohms k kiloohm kiloohms kilohm kilohms;
                megaohm: megohm megohms megaohm megaohms; milliohm: milliohm milliohms""",
                "megaohm: Mohm Mohms; milliohm: mohm mohms", open_to_pint=True,
            ),
            _quantity(
                "length", "m", ("m", "mm", "ft", "in"), "a length", ("300 m", "1000 ft"), "meter",
                """meter: m meter meters metre metres; millimeter: mm millimeter millimetre;
                centimeter: cm; kilometer: km; foot: ft foot feet '; inch: in inch inches " """,
                open_to_pint=True,
            ),
            _quantity(
                "area", "m2", ("cm²", "in²", "m²", "ft²"), "an area", ("350 cm2", "54 in2"),
                "meter**2",
                """meter**2: m2 m^2 sqm; centimeter**2: cm2 cm^2 sqcm; millimeter**2: mm2 mm^2 sqmm;
                foot**2: ft2 ft^2 sqft; inch**2: in2 in^2 sqin squareinch squareinches""",
                open_to_pint=True,
            ),
            _quantity(
                "volume", "m3", ("m³", "ft³", "L"), "a volume", ("0.1 m3", "1 ft3"), "meter**3",
                """meter**3: m3 m^3 cbm cubicmeter cubicmeters cubicmetre cubicmetres;
                foot**3: ft3 ft^3 cf cuft cubicft cubicfoot cubicfeet scf; 100*foot**3: ccf;
                liter: l dm3 liter liters litre litres""",
                open_to_pint=True,
            ),
            _quantity(
                "volume_flow", "m3/s", ("L/min", "gpm", "m³/h", "ft³/h", "L/h"), "a flow",
                ("12 L/min", "3.2 gpm"), "meter**3/second",
                """liter/minute: l/min lpm l/minute; liter/hour: l/h l/hr lph l/hour;
                liter/second: l/s; meter**3/hour: m3/h m3/hr m^3/h cbm/h;
                meter**3/second: m3/s; milliliter/minute: ml/min;
                gallon/minute: gpm gal/min usgpm usgal/min; gallon/hour: gph gal/h gal/hr;
                foot**3/hour: ft3/h ft3/hr cfh ft^3/h scfh; foot**3/minute: cfm ft3/min""",
                open_to_pint=True,
            ),
            _quantity(
                "duration", "s", ("s", "min", "h"), "a duration", ("36 s", "5 min"), "second",
                """second: s sec secs second seconds; minute: min mins minute minutes;
                hour: h hr hrs hour hours""",
                open_to_pint=True,
            ),
            _quantity(
                "power", "W", ("kW", "kBtu/h", "Btu/h", "W"), "a heat input or power",
                ("32 kW", "100 kBtu/h"), "watt",
                """watt: w watt watts; kilowatt: kw kilowatt kilowatts;
                Btu/hour: btu/h btu/hr btuh btu/hour btus/h btus/hr;
                1000*Btu/hour: kbtu/h kbtu/hr kbtuh kbtu/hour mbh;
                1000000*Btu/hour: mmbtu/h mmbtu/hr mmbtuh mmbtu/hour; 100000*Btu/hour: therm/h""",
                open_to_pint=True,
            ),
            _quantity(
                "rotational_speed", "1/s", ("rpm", "1/s"), "a speed", ("4200 rpm", "70 1/s"),
                "revolution/second",
                """revolution/minute: rpm r/min rev/min revs/min 1/min revolutions/minute
                revolution/minute rev/minute; revolution/second: rps r/s rev/s 1/s hz
                revolutions/second revolution/second""",
            ),
            _quantity(
                "ratio", "1", ("1", "%"), "a ratio", ("0.004", "102 %"), "dimensionless",
                "dimensionless: 1; percent: % percent pct",
            ),
            _quantity(
                "share_of_reading", "1", ("%",), "a share of the reading", ("3 %",),
                "dimensionless", "percent: % percent pct",
            ),
            _quantity("ph", "1", ("pH",), "a pH", ("pH 4.2", "4.2"), "dimensionless",
                      "dimensionless: 1 ph"),
            _quantity(
                "volume_heat", "J/m3", ("MJ/m³", "Btu/ft³", "kWh/m³"), "a heating value",
                ("38 MJ/m3", "1020 Btu/ft3"), "joule/meter**3",
                """joule/meter**3: j/m3; kilojoule/meter**3: kj/m3; 1000000*joule/meter**3: mj/m3;
                kilowatt_hour/meter**3: kwh/m3;
                Btu/foot**3: btu/ft3 btu/cf btu/cuft btu/scf btu/cubicfoot btu/cubicft btu/ft^3""",
                open_to_pint=True,
            ),
            _quantity(
                "torque", "N*m", ("N·m", "lbf·ft", "lbf·in"), "a torque", ("7 N·m", "5 lbf·ft"),
                "newton*meter", """newton*meter: nm n*m newtonmeter newtonmetre newtonmeters;
                force_pound*foot: lbfft lbft ftlb ftlbf ftlbs lbsft lbf*ft ft*lbf poundfoot;
                force_pound*inch: lbfin lbin inlb inlbf inlbs lbsin lbf*in in*lbf""",
                open_to_pint=True,
            ),
            _quantity(
                "percentage_of_tank", "1", ("%",), "a share of the tank", ("40 %",),
                "dimensionless", "percent: % percent pct",
            ),
        )
    }
)  # fmt: skip
