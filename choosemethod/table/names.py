"""Names as people write them, brought to one form so that the table's spelling and the question's meet."""

from __future__ import annotations

import re
from functools import lru_cache

__all__ = ["letters_apart", "normalise", "similarity", "singular", "spaced"]

# What a normalised name is made of; every other sign becomes a space. The patterns are compiled when first needed.
_KEPT = "0123456789abcdefghijklmnopqrstuvwxyz.%+"
_ASCII_ONLY = {code: " " for code in range(128) if chr(code) not in _KEPT}
_OTHERS = "[^" + _KEPT + "]"
_POSSESSIVE = r"(?<=[a-z])'s(?![a-z])"
# A full stop belongs to a number (95.5) and to nothing else.
_STOPS = r"(?<!\d)\.|\.(?!\d)"
# American or older spelling -> the spelling names are kept in. Only parts of words that no other word holds.
_SPELLINGS = (
    ("sulph", "sulf"),
    ("aluminum", "aluminium"),
    ("cesium", "caesium"),
    ("fiber", "fibre"),
    ("color", "colour"),
    ("gray", "grey"),
    ("vapor", "vapour"),
    ("odor", "odour"),
    ("liter", "litre"),
    ("hemoglobin", "haemoglobin"),
    ("aether", "ether"),
)
_IRREGULAR = {
    "leaves": "leaf",
    "halves": "half",
    "loaves": "loaf",
    "shelves": "shelf",
    "knives": "knife",
    "calves": "calf",
    "gases": "gas",
    "gasses": "gas",
    "gas": "gas",
    "buses": "bus",
    "viruses": "virus",
    "axes": "axe",
    "toes": "toe",
    "shoes": "shoe",
    "lenses": "lens",
    "lens": "lens",
    "series": "series",
    "species": "species",
    "mice": "mouse",
    "teeth": "tooth",
    "bacteria": "bacterium",
    "algae": "alga",
    "fungi": "fungus",
    "marbles": "marbles",  # a plural with a meaning of its own
}
_GREEK = str.maketrans(
    {
        "α": " alpha ",
        "β": " beta ",
        "γ": " gamma ",
        "δ": " delta ",
        "ε": " epsilon ",
        "ω": " omega ",
        "ß": "ss",
        "æ": "ae",
        "œ": "oe",
        "ø": "o",
        "ł": "l",
        "±": "+)(-",
        "−": "-",
        "’": "'",
        "‘": "'",
        "′": "'",
        "´": "'",
    }
)


def _ascii(text: str) -> str:
    """NFKC, then letters without their accents; sub- and superscript digits become digits."""
    import unicodedata  # costs a millisecond that plain text need not pay

    text = unicodedata.normalize("NFKC", text.replace("´", "'")).casefold().translate(_GREEK)
    return "".join(sign for sign in unicodedata.normalize("NFKD", text) if not unicodedata.combining(sign))


def singular(word: str) -> str:
    """The singular of a lower-case English noun by simple rules; a word that has none comes back unchanged."""
    if word.endswith("ie") and len(word) > 4:
        return word[:-2] + "y"  # so that cookie and cookies meet
    if len(word) < 4 or not word.endswith("s") or not word.isalpha():
        return _IRREGULAR.get(word, word)
    known = _IRREGULAR.get(word)
    if known is not None:
        return known
    if word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("sses", "shes", "ches", "xes", "zzes", "oes")):
        return word[:-2]
    return word[:-1]


@lru_cache(maxsize=4096)
def normalise(text: str) -> str:
    """One form for all spellings of a name.

    Lower case; Unicode NFKC without accents; hyphens, commas, brackets, apostrophes and runs of spaces as one space;
    a possessive 's dropped; sulph -> sulf, aluminum -> aluminium and the like; each word singular. Numbers keep their
    decimal point. Normalising word by word gives the same as normalising the whole, and twice the same as once.
    """
    text = text.lower() if text.isascii() else _ascii(text)
    if "(" in text:  # the sign of an optical rotation tells two substances apart
        text = text.replace("(+)", " plus ").replace("(-)", " minus ")
    if "'" in text:
        text = re.sub(_POSSESSIVE, "", text)
    if "%" in text:
        text = text.replace("%", " % ")
    if "." in text:
        text = re.sub(_STOPS, " ", text)
    text = text.translate(_ASCII_ONLY) if text.isascii() else re.sub(_OTHERS, " ", text)
    for written, kept in _SPELLINGS:
        if written in text:
            text = text.replace(written, kept)
    return " ".join([singular(word) for word in text.split()])


def spaced(text: str) -> str:
    """A text normalised, with a blank at each end: whole words of it are then found by `in`."""
    return f" {normalise(text)} "


def letters_apart(first: str, second: str) -> int:
    """Letters to insert, delete, replace or swap with their neighbour to make one word into another."""
    from rapidfuzz.distance import OSA  # needed for words that are not understood only

    return int(OSA.distance(first, second))


def similarity(first: str, second: str) -> float:
    """How alike two words are, 0 to 100: 100 less the share of letters that must be changed."""
    return 100.0 if first == second else 100.0 * (1 - letters_apart(first, second) / max(len(first), len(second)))
