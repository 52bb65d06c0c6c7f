"""Between what people type and SI: `parse` reads, `show` writes. The only module that knows pint.

Each quantity has its own table of spellings, because the trade's shorthand means different things
in different places: "F" is a temperature here and never a farad, "in" is a length and "in. w.c." a
pressure. Text is never evaluated: a number and a unit are cut apart first, and pint only ever sees
a unit that consists of plain words.
"""

import math
import re
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType

import pint

from engine.errors import UnreadableValue, nearest

LONGEST = 64  # characters; longer text is no reading

_REGISTRY = pint.UnitRegistry()

# What pint may raise for a unit made of words; nothing of it may reach people.
_PINT_ERRORS = (pint.PintError, AttributeError, TypeError, ValueError, ArithmeticError)


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
                "resistance", "ohm", ("Ω", "kΩ", "MΩ"), "a resistance", ("80 kohm", "2 Mohm"),
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
                "volume", "m3", ("m³", "ft³", "L"), "a volume", ("0.1 m3", "1 ft3"), "meter**3",
                """meter**3: m3 m^3 cbm cubicmeter cubicmeters cubicmetre cubicmetres;
                foot**3: ft3 ft^3 cf cuft cubicft cubicfoot cubicfeet scf; 100*foot**3: ccf;
                liter: l dm3 liter liters litre litres""",
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
                "percentage_of_tank", "1", ("%",), "a share of the tank", ("40 %",),
                "dimensionless", "percent: % percent pct",
            ),
        )
    }
)  # fmt: skip

_SIGNS = str.maketrans(
    {"−": "-", "–": "-", "μ": "µ", "Ω": "ohm", "\u2126": "ohm", "³": "3", "²": "2", "⁄": "/",
     "\u00a0": " ", "\u202f": " ", "\u2009": " ", "”": '"', "″": '"', "’": "'", "′": "'", "·": "*"}
)  # fmt: skip

_NUMBER = re.compile(
    r"""(?P<sign>[+-]?)\s*
    (?: (?:(?P<whole>[0-9]+)\s+)? (?P<over>[0-9]+)\s*/\s*(?P<under>[0-9]+) (?![0-9.,])
      | (?P<decimal> (?:[0-9]+[0-9.,]*|[.,][0-9]+) (?:[eE][+-]?[0-9]+)? ) )
    \s*(?P<unit>.*)""",
    re.VERBOSE,
)

# Words joined by * or /, each at most squared or cubed: all that pint is ever given.
_WORDS = re.compile(r"[A-Za-zµ%]+(?:\^?[23])?(?:[*/][A-Za-zµ%]+(?:\^?[23])?)*")


def parse(text, quantity, default_unit=None) -> float:
    """Read a value as people type it.

    Parameters
    ----------
    text : str
        Number and unit [as typed], at most 64 characters. Decimal point or comma; a fraction such
        as "1 1/2 in" may stand for the number.
    quantity : str
        Name of the quantity, a key of `QUANTITIES` [-].
    default_unit : str, optional
        Unit of a bare number [-]. Without it a bare number is refused, except for a ratio or a pH.

    Returns
    -------
    float
        The value in the quantity's `si_unit`.

    Raises
    ------
    UnreadableValue
        If the text is empty, too long or no finite number, the number can be read in two ways, or
        the unit is missing, not known or of another quantity.

    Notes
    -----
    Whether the value is *plausible* is not judged here. "1,234" is refused: it is one and a bit to
    one reader and a thousand to another. "MBtu" is refused for the same reason; MBH is a thousand
    Btu per hour. Inches of water are the conventional ones (249.0889 Pa), Btu the international
    table's.

    Examples
    --------
    >>> round(parse("4.1 in. w.c.", "gauge_pressure"), 1)
    1021.3
    >>> round(parse("4,1 mbar", "gauge_pressure"), 1)
    410.0
    >>> round(parse("4200 rpm", "rotational_speed"), 6)
    70.0
    >>> parse("4.1", "gauge_pressure")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    engine.errors.UnreadableValue: '4.1' has no unit; write a gauge pressure such as ...
    """
    kind = _kind(quantity)
    wanted = f"write {_such_as(kind)}"
    if not isinstance(text, str):
        raise UnreadableValue(f"{text!r} is not text with a unit; {wanted}")
    if len(text) > LONGEST:
        raise UnreadableValue(f"{text[:20]!r}... is longer than {LONGEST} characters; {wanted}")
    typed = text.strip()
    plain = typed.translate(_SIGNS)
    if not typed:
        raise UnreadableValue(f"nothing was typed; {wanted}")
    if kind.name == "ph":
        plain = re.sub(r"^ph\s*[:=]?\s*", "", plain, flags=re.IGNORECASE)
    found = _NUMBER.fullmatch(plain)
    if not found:
        raise UnreadableValue(f"{typed!r} does not start with a number; {wanted}")
    value = _number(found, typed, wanted)
    unit = found["unit"].strip()
    if not unit:
        if default_unit is not None:
            unit = default_unit
        elif "1" in kind.spellings:
            unit = "1"
        else:
            raise UnreadableValue(f"{typed!r} has no unit; {wanted}")
    converted = _convert(value, _pint_unit(unit, kind, typed), kind.pint_unit)
    if not math.isfinite(converted):
        raise UnreadableValue(f"{typed!r} is too large to be a reading; {wanted}")
    if kind.name == "temperature" and converted < 0:
        raise UnreadableValue(f"{typed!r} is below absolute zero; check the sign and the unit")
    return converted


def show(value_si, quantity, unit=None, digits=3) -> str:
    """Write a value for people.

    Parameters
    ----------
    value_si : float
        The value, in the quantity's `si_unit` [SI].
    quantity : str
        Name of the quantity, a key of `QUANTITIES` [-].
    unit : str, optional
        Unit to show it in [-], any that `parse` reads; by default the first of the usual ones.
    digits : int
        Significant digits [-]. 1 to 15.

    Returns
    -------
    str
        Number and unit, such as "10.2 mbar"; never with an exponent.

    Raises
    ------
    UnreadableValue
        If the value is not a finite number, the unit is not one of the quantity, or `digits` is
        outside 1 to 15.

    Examples
    --------
    >>> show(1021.26, "gauge_pressure")
    '10.2 mbar'
    >>> show(1021.26, "gauge_pressure", "inH2O")
    '4.10 inH2O'
    >>> show(0.00337, "ratio", digits=2)
    '0.0034'
    """
    kind = _kind(quantity)
    if not isinstance(digits, int) or not 1 <= digits <= 15:
        raise UnreadableValue(f"digits must be 1 to 15, got {digits!r}")
    try:
        value = float(value_si)
    except (TypeError, ValueError):
        raise UnreadableValue(f"{value_si!r} cannot be shown as {kind.called}") from None
    label = kind.usual_units[0] if unit is None else unit
    shown = _convert(value, kind.pint_unit, _pint_unit(label, kind, label))
    if not math.isfinite(shown):
        raise UnreadableValue(f"{value_si!r} cannot be shown as {kind.called}: not a finite number")
    number = _significant(shown, digits)
    return number if label == "1" else f"{number} {label}"


def number_in(value_si, quantity, unit) -> float:
    """A value as a bare number in some unit.

    Parameters
    ----------
    value_si : float
        The value, in the quantity's `si_unit` [SI].
    quantity : str
        Name of the quantity, a key of `QUANTITIES` [-].
    unit : str
        Unit of the number [-], any that `parse` reads.

    Examples
    --------
    >>> round(number_in(1021.26, "gauge_pressure", "inH2O"), 3)
    4.1
    """
    kind = _kind(quantity)
    return _convert(float(value_si), kind.pint_unit, _pint_unit(unit, kind, unit))


def difference_of(quantity) -> str:
    """The quantity of a difference between two values: degrees apart are no temperature.

    Parameters
    ----------
    quantity : str
        Name of the quantity, a key of `QUANTITIES` [-].

    Examples
    --------
    >>> difference_of("temperature"), difference_of("current")
    ('temperature_difference', 'current')
    """
    return "temperature_difference" if quantity == "temperature" else quantity


def _kind(quantity) -> Quantity:
    if isinstance(quantity, str) and quantity in QUANTITIES:
        return QUANTITIES[quantity]
    close = nearest(quantity, QUANTITIES) if isinstance(quantity, str) else None
    raise UnreadableValue(
        f"quantity {quantity!r} is not known; "
        + (f"write {close!r}" if close else f"use one of {', '.join(QUANTITIES)}")
    )


def _such_as(kind) -> str:
    return f"{kind.called} such as " + " or ".join(map(repr, kind.examples))


def _number(found, typed, wanted) -> float:
    sign = -1.0 if found["sign"] == "-" else 1.0
    if found["over"]:
        if int(found["under"]) == 0:
            raise UnreadableValue(f"{typed!r} divides by zero; {wanted}")
        part = Fraction(int(found["over"]), int(found["under"]))
        return sign * float(int(found["whole"] or 0) + part)
    digits = found["decimal"]
    if digits.count(",") + digits.count(".") > 1:
        raise UnreadableValue(f"{typed!r} has two decimal signs; leave out thousands marks")
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", digits):
        whole, part = digits.split(",")
        raise UnreadableValue(
            f"{typed!r} can be read in two ways; write {whole}{part} or {whole}.{part}"
        )
    return sign * float(digits.replace(",", "."))


def _pint_unit(unit, kind, typed) -> str:
    """The pint unit meant by `unit` for this quantity."""
    text = str(unit).strip().translate(_SIGNS).replace("°", "deg")
    text = re.sub(r"\s+per\s+", "/", text)
    squeezed = re.sub(r"[\s.\-]", "", text).replace("µ", "u")
    for table, key in ((kind.exact, squeezed), (kind.spellings, squeezed.lower())):
        if key in table:
            return table[key]
    wanted = f"write {_such_as(kind)}"
    if re.match(r"[0-9]", squeezed):
        raise UnreadableValue(f"{typed!r} holds two numbers; {wanted}, with no blank in the number")
    if kind.name in ("power", "volume_heat") and re.search(r"(?<![mM])[mM]btu", squeezed, re.I):
        why = "MBtu means a thousand Btu to some and a million to others"
        raise UnreadableValue(f"{typed!r}: {why}; write kBtu or MMBtu")
    if kind.name == "gauge_pressure" and re.search(r"psia|bara\b|abs", squeezed, re.I):
        raise UnreadableValue(
            f"{typed!r} is an absolute pressure; {wanted}, against the room's air"
        )
    known = _pint_reads(squeezed)
    if known is None:
        spelled = any(
            squeezed in other.exact or squeezed.lower() in other.spellings
            for other in QUANTITIES.values()
        )
        if not spelled:
            raise UnreadableValue(f"unit {str(unit)[:LONGEST]!r} is not known; {wanted}")
    elif kind.open_to_pint and known.is_compatible_with(kind.pint_unit):
        return str(known)
    raise UnreadableValue(f"{typed!r} is not {kind.called}; {wanted}")


def _pint_reads(word):
    """The pint unit spelled by plain words, or None."""
    if not _WORDS.fullmatch(word):
        return None
    try:
        return _REGISTRY.parse_units(re.sub(r"\^?([23])", r"**\1", word))
    except _PINT_ERRORS:
        return None


def _convert(value, from_unit, to_unit) -> float:
    try:
        source, target = _scaled(from_unit), _scaled(to_unit)
        raw = _REGISTRY.Quantity(value * source[0], source[1]).to(target[1]).magnitude
        return float(raw) / target[0]
    except _PINT_ERRORS:
        return math.nan


def _scaled(unit) -> tuple[float, str]:
    """ "1000*Btu/hour" as (1000.0, "Btu/hour")."""
    factor, star, rest = unit.partition("*")
    return (float(factor), rest) if star and factor.isdigit() else (1.0, unit)


def _significant(value, digits) -> str:
    if value == 0:
        return "0"
    exponent = int(f"{value:.{digits - 1}e}".partition("e")[2])  # after rounding: 9.996 is 10.0
    decimals = digits - 1 - exponent
    return f"{value:.{decimals}f}" if decimals >= 0 else f"{round(value, decimals):.0f}"
