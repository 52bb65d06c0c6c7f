"""Signs for the fonts that every PDF reader holds: Latin letters, Greek and maths beside them."""

import unicodedata
from collections.abc import Iterator
from itertools import groupby

LATIN, GREEK = "helvetica", "symbol"

_GREEK = {
    **dict(zip("ΑΒΧΔΕΦΓΗΙϑΚΛΜΝΟΠΘΡΣΤΥςΩΞΨΖ", range(0x41, 0x5B), strict=True)),
    **dict(zip("αβχδεφγηιϕκλμνοπθρστυϖωξψζ", range(0x61, 0x7B), strict=True)),
    "Ω": 0x57, "\u2126": 0x57, "∆": 0x44, "≤": 0xA3, "≥": 0xB3, "≠": 0xB9, "≈": 0xBB,
    "∞": 0xA5, "√": 0xD6, "←": 0xAC, "↑": 0xAD, "→": 0xAE, "↓": 0xAF,
}  # fmt: skip
"""Places of signs in the Symbol font (PDF 32000-1, annex D.5)."""

_ALIKE = str.maketrans({
    "−": "-", "\u2010": "-", "\u2011": "-", "\u202f": " ", "\u2009": " ", "μ": "µ", "\t": " ",
})  # fmt: skip
"""Signs that look the same on paper as one that the fonts hold."""

_BARE = str.maketrans("łŁđĐħĦıĸŧŦ", "lLdDhHiktT")
"""Letters whose mark cannot be taken off by taking them apart."""


def runs(text: str) -> Iterator[tuple[str, str]]:
    """Text in stretches of one font each: its name, and the bytes of its signs as Latin-1.

    A letter that neither font holds stands without its mark, anything else as a question mark.

    Examples
    --------
    >>> list(runs("5 Ω"))
    [('helvetica', '5 '), ('symbol', 'W')]
    >>> [signs for _, signs in runs("2 µA ± 3 %, m², Łódź")]
    ['2 µA ± 3 %, m², Lódz']
    """
    placed = (place for sign in text.translate(_ALIKE) for place in _placed(sign))
    for font, stretch in groupby(placed, key=lambda place: place[0]):
        yield font, "".join(signs for _, signs in stretch)


def _placed(sign: str) -> Iterator[tuple[str, str]]:
    if sign in _GREEK:
        yield GREEK, chr(_GREEK[sign])
        return
    if unicodedata.category(sign).startswith("C"):  # nothing to be seen
        return
    for form in (sign, _bare(sign), "?"):
        content = form.encode("cp1252", "ignore")
        if content:
            yield LATIN, content.decode("latin-1")
            return


def _bare(sign: str) -> str:
    apart = unicodedata.normalize("NFKD", sign.translate(_BARE))
    return "".join(part for part in apart if not unicodedata.combining(part))


def held(text: str) -> bool:
    """Whether every sign can be printed as it was typed.

    Examples
    --------
    >>> held("2 µA, 5 Ω, é"), held("Łódź")
    (True, False)
    """
    text = text.translate(_ALIKE)
    return all(sign in _GREEK or sign.encode("cp1252", "ignore") for sign in text)
