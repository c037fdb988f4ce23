"""Reading: plain words and YAML files into a Question. YAML files are read by `choosemethod.reading.file`."""

from choosemethod.reading.given import given_substances
from choosemethod.reading.lexicon import level_of, technique_slugs, without_implied
from choosemethod.reading.question import read_words

__all__ = [
    "given_substances",
    "level_of",
    "read_words",
    "technique_slugs",
    "without_implied",
]
