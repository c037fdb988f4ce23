"""Reading: plain words and YAML files into a Question."""

from choosemethod.reading.describing import given_substances
from choosemethod.reading.file import read_file
from choosemethod.reading.language import level_of, technique_slugs, without_implied, without_keys
from choosemethod.reading.reader import read_words

__all__ = [
    "given_substances",
    "level_of",
    "read_file",
    "read_words",
    "technique_slugs",
    "without_implied",
    "without_keys",
]
