"""Air for combustion from the room or through openings, by the rules of the North American codes.

For boilers that take their air from the room. Direct-vent boilers, with an intake pipe of their
own, do not count, and need none of this. The rules are those of NFPA 54 / ANSI Z223.1 chapter 9 and
of the International Fuel Gas Code section 304; the edition adopted in the place and the maker's
manual come first, and fans and dryers that draw on the same room need air on top.

*Inch and SI.* The codes print both, rounded apart: 1 in² per 3000 Btu/h is 734 mm²/kW and printed
as 700, 50 ft³ per 1000 Btu/h is 4.83 m³/kW and printed as 4.8. Here the inch figures hold,
converted exactly: they are the original, and ask for more in every rule.

*Free area* is what the air gets through, less than the hole in the wall: see `opening_size`.
Screens must not be finer than `FINEST_SCREEN`, for lint closes them; no opening narrower than
`NARROWEST_OPENING`; both openings of a pair within 12 in of the top and of the bottom of the room.
"""

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from engine.errors import OutOfRange, nearest
from engine.physics.limits import Range, plain

FOOT = 0.3048  # m, exact
INCH = 0.0254  # m, exact
BTU_PER_HOUR = 1055.055_852_62 / 3600  # W, International Table, exact

FINEST_SCREEN = 0.25 * INCH  # m, mesh; NFPA 54, as quoted on a utility's page
NARROWEST_OPENING = 3 * INCH  # m; NFPA 54 9.3.2.3 as quoted by an appliance manual

# NFPA 54 9.3.2.1 and 9.3.2.2, as a mechanical code prints them in 701.4, Indoor Combustion Air.
STANDARD_VOLUME = 50 * FOOT**3 / (1000 * BTU_PER_HOUR)  # m³/W
FAN_ASSISTED_VOLUME = 15 * FOOT**3 / (1000 * BTU_PER_HOUR)  # m³/W at one air change per hour
OTHER_VOLUME = 21 * FOOT**3 / (1000 * BTU_PER_HOUR)  # m³/W at one air change per hour

TOTAL_INPUT = Range(
    "total input",
    0.0,
    1e7,
    "W",
    "was it in kW or Btu/h? Add up all appliances that draw on the room",
)
AIR_CHANGES = Range(
    "air changes per hour",
    0.01,
    0.60,
    "1/h",
    "was a blower-door figure at 50 Pa passed? The rule takes no more than 0.60, however leaky the "
    "building is",
)
AREA = Range("area", 0.0, 100.0, "m²", "was an area in square inches or mm² passed unconverted?")


@dataclass(frozen=True)
class OpeningRule:
    """A code's rule for openings that bring air for combustion.

    `called` is for people; there are `openings`, each of `area_per_input` [m²/W] at least and of
    `smallest` [m²] at least. `covers_vents` where it must also equal all vent connectors together.
    """

    name: str
    called: str
    openings: int
    area_per_input: float
    smallest: float
    covers_vents: bool
    source: str


def _per(btu_per_hour):
    """One square inch for so many Btu/h [m²/W]."""
    return INCH**2 / (btu_per_hour * BTU_PER_HOUR)


OPENING_RULES = MappingProxyType(
    {
        rule.name: rule
        for rule in (
            OpeningRule(
                "two_indoor",
                "Two openings to other rooms on the same floor: 1 in² per 1000 Btu/h each, "
                "100 in² at least",
                2,
                _per(1000),
                100 * INCH**2,
                False,
                "NFPA 54 9.3.2.3 as quoted by an appliance manual; NYC Mechanical Code 2008 app. A",
            ),
            OpeningRule(
                "two_outdoor_direct",
                "Two openings to outdoors, direct or by vertical ducts: 1 in² per 4000 Btu/h each",
                2,
                _per(4000),
                0.0,
                False,
                "International Residential Code M1703.2, All Air from Outdoors",
            ),
            OpeningRule(
                "two_outdoor_horizontal",
                "Two openings to outdoors by horizontal ducts: 1 in² per 2000 Btu/h each",
                2,
                _per(2000),
                0.0,
                False,
                "International Residential Code M1703.2, All Air from Outdoors",
            ),
            OpeningRule(
                "one_outdoor",
                "One opening to outdoors, near the top: 1 in² per 3000 Btu/h, and as large as all "
                "vent connectors together",
                1,
                _per(3000),
                0.0,
                True,
                "NFPA 54 9.3.3.2 as quoted by an appliance manual",
            ),
        )
    }
)

# Share of a louvre or grille that is free where its maker does not say. NFPA 54, as quoted
# on a utility's page; Minnesota, 304.7, as quoted on a trade page. Older manuals have 60 % for
# metal and 20 % for wood.
LOUVRES = MappingProxyType({"none": 1.0, "metal": 0.75, "wood": 0.25})


def standard_room_volume(total_input):
    r"""Room that needs no opening by the standard method, 50 ft³ per 1000 Btu/h.

    Parameters
    ----------
    total_input : float or ndarray
        Input of all appliances that draw on the room [W]. 0 to 1e7.

    Returns
    -------
    float or ndarray, same shape as `total_input`
        Least volume of the room with rooms open to it [m³].

    Raises
    ------
    OutOfRange
        If `total_input` is outside its range.

    Notes
    -----
    Not allowed where infiltration is known to be below 0.40 air changes per hour, as in a tight new
    house: then `known_infiltration_room_volume`. Rooms behind a door do not count.

    Examples
    --------
    >>> round(standard_room_volume(140e3 * 0.293071) / 0.3048**3)   # 140 000 Btu/h in ft³
    7000
    """
    return plain(STANDARD_VOLUME * TOTAL_INPUT.check(total_input))


def known_infiltration_room_volume(fan_assisted_input, other_input, air_changes_per_hour):
    r"""Room that needs no opening where infiltration is known.

    15 ft³ (fan-assisted) and 21 ft³ (others) per 1000 Btu/h, over the air changes per hour.

    Parameters
    ----------
    fan_assisted_input : float or ndarray
        Input of all fan-assisted appliances that draw on the room [W]. 0 to 1e7.
    other_input : float or ndarray
        Input of all others, such as those with a draught hood [W]. 0 to 1e7.
    air_changes_per_hour : float or ndarray
        Infiltration of the building in use [1/h]. 0.01 to 0.60.

    Returns
    -------
    float or ndarray
        Least volume of the room with rooms open to it [m³].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    Air changes stay per hour, as the code's figures are. Not the figure of a blower door at 50 Pa,
    which is about 20 times as large (common practice, no source).

    Examples
    --------
    >>> round(known_infiltration_room_volume(29_307.1, 0.0, 0.40) / 0.3048**3)   # 100 000 Btu/h
    3750
    """
    fan = FAN_ASSISTED_VOLUME * TOTAL_INPUT.check(fan_assisted_input)
    other = OTHER_VOLUME * TOTAL_INPUT.check(other_input)
    return plain((fan + other) / AIR_CHANGES.check(air_changes_per_hour))


def opening_area(total_input, rule, vent_connector_area=0.0):
    r"""Free area that a rule asks of each opening.

    Parameters
    ----------
    total_input : float or ndarray
        Input of all appliances in the room [W]. 0 to 1e7.
    rule : str
        A key of `OPENING_RULES` [-].
    vent_connector_area : float or ndarray
        Cross-section of all vent connectors in the room together [m²]. 0 to 100; only the rule
        "one_outdoor" asks for it.

    Returns
    -------
    float or ndarray
        Least free area of *each* opening [m²].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the rule is not known.

    Notes
    -----
    Ducts to the openings have at least the same cross-section.

    Examples
    --------
    >>> area = opening_area(100e3 * 0.293071, "two_outdoor_direct")   # 100 000 Btu/h
    >>> round(area / 0.0254**2, 2)   # in²
    25.0
    """
    asked = _named(rule, OPENING_RULES, "opening rule")
    by_input = asked.area_per_input * TOTAL_INPUT.check(total_input)
    connectors = AREA.check(vent_connector_area)
    least = connectors if asked.covers_vents else np.full_like(connectors, asked.smallest)
    return plain(np.maximum(by_input, least))


def opening_size(free_area, louvre):
    r"""Opening that has a free area behind its louvre or grille.

    Parameters
    ----------
    free_area : float or ndarray
        Free area asked for [m²]. 0 to 100.
    louvre : str
        ``"none"``, ``"metal"`` or ``"wood"`` [-], a key of `LOUVRES`.

    Returns
    -------
    float or ndarray, same shape as `free_area`
        Area of the opening as measured over the louvre [m²].

    Raises
    ------
    OutOfRange
        If `free_area` is outside its range, or the louvre is not known.

    Notes
    -----
    Where the maker of the louvre prints its free area, that holds. A screen behind it takes more.

    Examples
    --------
    >>> round(opening_size(0.03, "metal"), 3)
    0.04
    """
    return plain(AREA.check(free_area) / _named(louvre, LOUVRES, "louvre"))


def _named(name, known, kind):
    if isinstance(name, str) and name in known:
        return known[name]
    close = nearest(name, known) if isinstance(name, str) else None
    raise OutOfRange(
        f"{kind} {name!r} is not known; write "
        + (repr(close) if close else " or ".join(map(repr, known)))
    )
