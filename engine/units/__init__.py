"""Between what people type and SI: `parse` reads, `show` writes. The only module that knows pint.

Each quantity has its own table of spellings, because the trade's shorthand means different things
in different places: "F" is a temperature here and never a farad, "in" is a length and "in. w.c." a
pressure. Text is never evaluated: a number and a unit are cut apart first, and pint only ever sees
a unit that consists of plain words.
"""

import math
import re
from fractions import Fraction

import pint

from engine.errors import UnreadableValue, nearest
from engine.units.quantities import QUANTITIES, Quantity

__all__ = ["LONGEST", "QUANTITIES", "Quantity", "difference_of", "number_in", "parse", "show"]

LONGEST = 64  # characters; longer text is no reading

_REGISTRY = pint.UnitRegistry()

# What pint may raise for a unit made of words; nothing of it may reach people.
_PINT_ERRORS = (pint.PintError, AttributeError, TypeError, ValueError, ArithmeticError)


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


def parse(text, quantity, default_unit=None, example=None) -> float:
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
    example : str, optional
        What a refusal gives as example [as typed], in place of the quantity's own.

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
    wanted = _wanted(kind, example)
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
    converted = _convert(value, _pint_unit(unit, kind, typed, wanted), kind.pint_unit)
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


def _wanted(kind, example=None) -> str:
    examples = (example,) if example else kind.examples
    return f"write {kind.called} such as " + " or ".join(map(repr, examples))


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


def _pint_unit(unit, kind, typed, wanted=None) -> str:
    """The pint unit meant by `unit` for this quantity."""
    text = str(unit).strip().translate(_SIGNS).replace("°", "deg")
    text = re.sub(r"\s+per\s+", "/", text)
    squeezed = re.sub(r"[\s.\-]", "", text).replace("µ", "u")
    for table, key in ((kind.exact, squeezed), (kind.spellings, squeezed.lower())):
        if key in table:
            return table[key]
    wanted = wanted or _wanted(kind)
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
