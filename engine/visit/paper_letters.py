"""Letters for paper: Latin, Greek, Cyrillic and Hebrew, and the signs of the trade.

The font, Arimo, is as wide as the Helvetica of every PDF reader and comes with the package
fontpkg-arimo (SIL Open Font License 1.1); a PDF holds only the letters that stand in it.
"""

import unicodedata
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Lock

import fontpkg
from fontTools.ttLib import TTFont
from fontTools.varLib.instancer import instantiateVariableFont
from fpdf import FPDF
from fpdf.bidi import BidiParagraph
from fpdf.enums import TextDirection

LETTERS = "arimo"
"""The family that `add_letters` gives to a PDF, plain and as style "B"."""

REPLACED = "□"
NOT_AS_TYPED = f"{REPLACED} stands for a letter that this print does not hold."

_WEIGHTS = {"": 400, "B": 700}
_CUTTING = Lock()  # several people may print at once
_SELECTORS = range(0xFE00, 0xFE10)  # say how the sign before them looks, and show nothing


def add_letters(pdf: FPDF) -> None:
    """Let a PDF use the family `LETTERS`."""
    for style, weight in _WEIGHTS.items():
        pdf.add_font(LETTERS, style, _file(weight))


@cache
def _folder() -> TemporaryDirectory:
    """Kept as long as the program runs, and then taken away."""
    return TemporaryDirectory(prefix="sightport-")


def _file(weight: int) -> Path:
    """A font of one weight, cut out of the variable font: that takes half a second, once."""
    with _CUTTING:
        file = Path(_folder().name, f"{weight}.ttf")
        if not file.exists():  # the first PDF, or the folder was swept while the program ran
            file.parent.mkdir(exist_ok=True)
            with TTFont(fontpkg.path("Arimo"), recalcTimestamp=False) as font:
                for table in {"GDEF", "GPOS", "GSUB"} & {*font.keys()}:  # joined, kerned letters
                    del font[table]
                instantiateVariableFont(font, {"wght": weight}).save(file)
    return file


@cache
def _held() -> frozenset[int]:
    with TTFont(fontpkg.path("Arimo")) as font:
        return frozenset(font.getBestCmap())


def printable(text: str) -> str:
    """A line as it goes on paper, from left to right; `REPLACED` for what the font lacks.

    Examples
    --------
    >>> printable("2 µA ≤ 5 Ω, Łukasz, Γιώργος, Юрий")
    '2 µA ≤ 5 Ω, Łukasz, Γιώργος, Юрий'
    >>> printable("漢字 4")
    '□□ 4'
    """
    signs = "".join(map(_printable, _nfc(text)))
    if any(unicodedata.bidirectional(sign) == "R" for sign in signs):
        return BidiParagraph(signs, base_direction=TextDirection.LTR).get_reordered_string()
    return signs


def held(text: str) -> bool:
    """Whether every letter can be printed.

    Examples
    --------
    >>> held("2 µA, Łódź"), held("漢字")
    (True, False)
    """
    return all(sign == REPLACED or _printable(sign) != REPLACED for sign in _nfc(text))


def _nfc(text: str) -> str:
    """Each letter in one piece with its marks, where there is such a letter."""
    return unicodedata.normalize("NFC", text)


def _printable(sign: str) -> str:
    if sign == "\t":
        return " "
    if unicodedata.category(sign) in ("Cc", "Cf") or ord(sign) in _SELECTORS:
        return ""
    return sign if ord(sign) in _held() else REPLACED
