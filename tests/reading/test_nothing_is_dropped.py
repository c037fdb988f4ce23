"""Words nobody knows, put into plain questions, and all names of the table: nothing is dropped, nothing becomes another thing.

The questions are generated, our own. A twentieth by default; CHOOSEMETHOD_READING=1 asks 10,000 with unknown words and every
name of the table in every frame.
"""

from __future__ import annotations

import os
import random

from choosemethod.advice.ask import answer, opened
from choosemethod.reading import read_words
from choosemethod.reading.english import english, words_file
from choosemethod.reading.lexicon import lexicon
from choosemethod.table import Table, normalise

ALL = os.environ.get("CHOOSEMETHOD_READING") == "1"
COUNT = 10_000 if ALL else 500
EVERY = 1 if ALL else 60  # of the names
LEAST_SAME = 0.95
STARTS, MIDDLES = ("bl", "gr", "sn", "v", "tr", "kl", "d", "m"), ("a", "o", "u", "ee", "i")
ENDS = ("zzle", "mp", "rf", "ckwa", "nth", "ggo")
UNKNOWN_FRAMES = (
    "{word} and sand", "sand, salt and {word}", "separate {word} from water", "{word} sand and water",
    "how can {word} be got out of salt",
    "a mixture of salt, {word} and iron filings", "{word} oil and water", "salt in {word} water",
    "remove the {word} from the flour",
    "water contaminated with {word}", "Sand is mixed with {word}. How are they separated?", "{word} chloride and sand",
)  # fmt: skip
# Where an ordinary word stands as a part or beside one. Those that end so tell how or what is done.
WORD_FRAMES = (
    "{word} oil and water", "sand, {word} and salt", "sand and {word}", "separate the {word} from salt and sand",
    "a {word} of oil and water", "sand and salt on {word}", "iodine containing {word} and sand", "salt {word} and sand",
)  # fmt: skip
VERBAL = ("ed", "ing", "ly")
NAME_FRAMES = (
    "{name} and sand", "separate {name} from iron filings", "a mixture of sand and {name}", "How is {name} removed from sand?",
    "sand contaminated with {name}",
)  # fmt: skip


def _word(draw: random.Random) -> str:
    while True:
        word = draw.choice(STARTS) + draw.choice(MIDDLES) + draw.choice(ENDS)
        if not english(word):
            return word


def dropped(table: Table, words: str, word: str) -> bool:
    """Whether an unknown word is neither asked about nor told as not used, nor said to be mended or taken as something."""
    question = read_words(words, table)
    told = [text for text, _ in (*question.unknown, *question.corrections)] + [one.text for one in question.not_used]
    told += question.missing
    told += [question.mixture.note, *question.understood]  # "Meeggo oil is not in the table: taken as oil."
    return not any(word in text.lower() for text in told)


def itself(table: Table, name: str, meant: set[str], frame: str) -> bool:
    """Whether a name of the table is read as what it names, or is asked about."""
    question = read_words(frame.format(name=name), table)
    mixture = question.mixture
    found = {mixture.named, *mixture.substances, *question.reagents}
    found |= {one for said in question.mentions for one in said.meanings}
    return bool(meant & found or question.unknown or question.missing)


def test_an_unknown_word_is_never_dropped(table: Table) -> None:
    draw = random.Random(11)
    lost = []
    for _ in range(COUNT):
        word = _word(draw)
        words = draw.choice(UNKNOWN_FRAMES).format(word=word)
        if dropped(table, words, word):
            lost.append(words)
    assert not lost, lost[:20]


def test_an_ordinary_word_in_the_place_of_a_part_is_told_of(table: Table) -> None:
    """Of all common words of the list; a word of the reading itself ("filter") or a name has its own meaning."""
    draw, words = random.Random(13), lexicon()
    common = [one for one in words_file().read_text().split() if one.isascii() and one.isalpha() and one.islower()]
    plain = [one for one in common if len(one) > 2 and not one.endswith(VERBAL)]
    lost = []
    for place in range(COUNT):
        word = draw.choice(plain)
        said = WORD_FRAMES[place % len(WORD_FRAMES)].format(word=word)
        if not words.cues(normalise(word)) and not table.name_length(normalise(word)) and dropped(table, said, word):
            lost.append(said)
    assert not lost, lost[:20]


def test_an_unknown_word_in_the_list_is_never_answered_past(table: Table) -> None:
    draw = random.Random(12)
    book = opened()[1]
    for _ in range(COUNT // 50):
        words = draw.choice(UNKNOWN_FRAMES[:3]).format(word=_word(draw))
        assert answer(table, book, read_words(words, table)).status in ("unknown", "needs-information", "refused"), words


def _parts(table: Table, id: str) -> set[str]:
    whole = table.mixture(id)
    return {*whole.made_of, *(one.substance for one in whole.components)}


def test_every_name_is_itself(table: Table) -> None:
    names = [
        (written, {id, *(_parts(table, id) if get == table.mixture else ())})  # "caffeine in cola" says its parts
        for ids, get in ((table.substance_ids(), table.substance), (table.mixture_ids(), table.mixture))
        for id in ids
        for written in dict.fromkeys((get(id).name, *get(id).also))
    ]
    strange = []
    asked = 0
    for place, (written, meant) in enumerate(names[::EVERY]):
        frames = NAME_FRAMES if ALL else NAME_FRAMES[place % len(NAME_FRAMES) :][:1]
        for frame in frames:
            asked += 1
            others = {one.id for one in table.names(normalise(written))}
            if not itself(table, written, meant | others, frame):
                strange.append((written, frame))
    assert len(strange) <= (1 - LEAST_SAME) * asked, (len(strange), asked, strange[:20])


def test_a_sign_and_its_value_in_brackets_are_told_as_not_used_and_a_measured_thing_is_not(table: Table) -> None:
    """Our own words: a number after a sign explains the name before it; with a unit it may be an amount of a part."""
    value = read_words("phenol (zqx = 10) and naphthalene", table)
    amount = read_words("phenol (zqx 10 g) and naphthalene", table)
    assert not value.unknown and any("zqx" in one.text for one in value.not_used)
    assert amount.unknown


def test_what_is_only_compared_with_and_what_a_solubility_is_told_of_are_no_parts(table: Table) -> None:
    likened = read_words("phenol, naphthalene and aniline, which is a base similar to ammonia", table)
    assert "ammonia" not in likened.mixture.substances and any(one.text == "ammonia" for one in likened.not_used)
    told = "Phenol is very soluble in a dilute aqueous solution of sodium hydroxide, cyclohexanol is not"
    assert read_words(told, table).mixture.substances == ("phenol", "cyclohexanol")
