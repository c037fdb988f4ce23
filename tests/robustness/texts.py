"""Texts nobody wrote: questions made by a grammar, and characters at random. Shared by the tests and the long run."""

from __future__ import annotations

import os

from hypothesis import strategies as st

__all__ = ["GASES", "LIQUIDS", "grammar_made", "question_files", "random_text", "times"]

SHARE = 0.1  # of the numbers below, unless CHOOSEMETHOD_ROBUST says another (1 is all of them)
_WHOLE = {"texts": 20_000, "files": 5_000, "sheets": 1_000, "caches": 500, "signals": 100, "pipelines": 100}


def times(what: str, most: int | None = None) -> int:
    """How many examples of a kind are tried: a tenth of the whole number, or the share CHOOSEMETHOD_ROBUST says.

    most: at most this many while that variable is not set, for what is slow.
    """
    said = os.environ.get("CHOOSEMETHOD_ROBUST", "")
    wanted = max(1, round(_WHOLE[what] * (float(said) if said else SHARE)))
    return wanted if said or most is None else min(wanted, most)


GASES = ["air", "oxygen", "carbon dioxide", "ammonia", "hydrogen chloride", "chlorine", "nitrogen", "methane", "steam"]
LIQUIDS = ["water", "ethanol", "oil", "hexane", "acetone", "sea water", "milk", "vinegar", "mercury", "sulfuric acid"]
SOLIDS = [
    "sand",
    "salt",
    "iron filings",
    "iodine",
    "dust",
    "smoke",
    "sugar",
    "chalk",
    "copper sulfate",
    "sodium",
    "starch",
    "wood",
    "gold ore",
    "brass",
    "granite",
    "leaves",
    "ink",
    "soot",
    "ice",
    "xyzzium",
    "compound X",
]
STATES = [
    "",
    "",
    "",
    "dissolved ",
    "fine ",
    "molten ",
    "dry ",
    "wet ",
    "a solution of ",
    "10 g of ",
    "5 % ",
    "drops of ",
]
JOINTS = [
    " in ",
    " and ",
    " with ",
    ", ",
    " from ",
    " on ",
    " suspended in ",
    " dissolved in ",
    " or ",
    " without ",
    " into ",
]
BEFORE = [
    "",
    "",
    "",
    "separate ",
    "how do I get ",
    "remove ",
    "what is the ",
    "a mixture of ",
    "I have ",
    "Why not filter ",
]
AFTER = [
    "",
    "",
    "",
    "?",
    ".",
    " at 84 kPa",
    " in a closed flask",
    ", I want the water",
    " by filtration?",
    " with no heat",
    " for year 7",
]


def _thing() -> st.SearchStrategy[str]:
    return st.builds(str.__add__, st.sampled_from(STATES), st.sampled_from(GASES + LIQUIDS + SOLIDS))


def grammar_made() -> st.SearchStrategy[str]:
    """Questions of one to six things in any order and relation: gases, hosts, liquids, solids, and the unknown."""

    def joined(parts: tuple[str, list[tuple[str, str]], str, str]) -> str:
        before, rest, after, first = parts
        return before + first + "".join(joint + thing for joint, thing in rest) + after

    rest = st.lists(st.tuples(st.sampled_from(JOINTS), _thing()), max_size=5)
    return st.tuples(st.sampled_from(BEFORE), rest, st.sampled_from(AFTER), _thing()).map(joined)


def own_words() -> st.SearchStrategy[str]:
    """The program's own words in any order, with things, letters, numbers and marks between them: what the rules of reading
    are about, where they do not expect it."""
    from choosemethod.reading.lexicon import lexicon

    between = [
        "A",
        "B)",
        "(i)",
        "X",
        "2",
        "50 °C",
        ",",
        ".",
        ":",
        ";",
        "?",
        "\n",
        "|",
        "and",
        "in",
        "the",
        "of",
        "not",
        "1 and 3 only",
    ]
    word = st.one_of(
        st.sampled_from(lexicon().mendable), st.sampled_from(GASES + LIQUIDS + SOLIDS), st.sampled_from(between)
    )
    return st.lists(word, min_size=1, max_size=14).map(" ".join)


def random_text() -> st.SearchStrategy[str]:
    """Characters of every kind (halves of characters, controls, emoji), alone or between the words of a question."""
    odd = st.one_of(
        st.characters(categories=["Cs"]),
        st.characters(categories=["Cc", "Cf", "Zl", "Zp", "Zs"]),
        st.sampled_from("😀👩\u200d🔬🇩🇪\ufeff\u202e\0\x1b%²₂³½٣．…’"),
        st.characters(),
        st.sampled_from("()[]{}<>:;,.-+*/\\|'\"=0123456789°"),
    )
    chunk = st.one_of(
        st.text(odd, max_size=12), st.sampled_from([word.strip() for word in GASES + SOLIDS + JOINTS + AFTER])
    )
    return st.one_of(
        st.text(odd, max_size=200),
        st.lists(chunk, max_size=20).map(" ".join),
        st.lists(chunk, max_size=12).map("".join),
    )


KEYS = [
    "mixture", "components", "want", "remove", "aim", "form", "purity", "pressure", "altitude", "without", "level", "small",
    "front", "spots", "name", "in", "amount", "size", "role", "phase", "boiling_point", "solubility", "density", "colour", "x",
]  # fmt: skip
VALUES = [
    "water", "salt", "sand", "5 g", "50 mL", "10 %", "0 g", "-3 g", "1e400 kg", "nan", "solid", "liquid", "gas", "dissolved",
    "embedded", "airborne", "0.2 to 0.6 mm", "80 °C", "84 kPa", "insoluble", "separate", "identify", "yes", "no", "main", "''",
    "[]", "{}", "&a b", "*a", "!!int 3", "? x", "- y", "|", ">", '"\\x00"', '"\\ud800"', "xyzzium", "~", "@", "%", "{a: {b: [c]}}",
]  # fmt: skip


def question_files() -> st.SearchStrategy[str]:
    """Mixture files as YAML: of the right keys with values of every kind, broken at any place, or of random text."""
    value = st.one_of(st.sampled_from(VALUES), st.sampled_from(VALUES), random_text().map(lambda text: text[:40]))
    pair = st.tuples(st.sampled_from(KEYS), value).map(lambda pair: f"{pair[0]}: {pair[1]}")
    name = st.sampled_from(GASES + LIQUIDS + SOLIDS)
    told = st.builds(
        lambda name, pairs: "{" + ", ".join([f"name: {name}", *pairs]) + "}", name, st.lists(pair, max_size=4)
    )
    items = st.lists(st.one_of(name, name, told, value), max_size=8)
    components = items.map(lambda items: "components: [" + ", ".join(items) + "]")
    in_lines = items.map(lambda items: "components:" + "".join(f"\n  - {item}" for item in items))
    words = grammar_made().map(lambda text: f'mixture: "{text}"')
    whole = st.builds(
        lambda head, pairs: "\n".join([head, *pairs]) + "\n",
        st.one_of(components, in_lines, words),
        st.lists(pair, max_size=4),
    )
    cut = st.builds(
        lambda text, place, put: (
            text[: place % (len(text) + 1)] + put + text[(place + len(put) // 2) % (len(text) + 1) :]
        ),
        whole,
        st.integers(0, 10_000),
        st.one_of(st.just(""), st.text(st.sampled_from("{}[]:,-&*!|>'\"%@`#\t\n \0"), max_size=3)),
    )
    return st.one_of(whole, whole, cut)
