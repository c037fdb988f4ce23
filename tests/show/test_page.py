"""What an answer's page holds: order, cautions never cut, short lists by default, everything when full."""

from __future__ import annotations

import pytest
from samples import ACETONE_WATER, ALL, BLOCKED, NOTHING, OPEN, REFUSED, SAND_SALT_IRON, UNKNOWN

from choosemethod.advice.answer import Advice, Caution, SourceShown
from choosemethod.mixture import OfferedOption, OtherReading, Techniques, Unused
from choosemethod.show.blocks import Block, Flow, Heading, Pairs, Para, Points, clean, sentence
from choosemethod.show.flow import flow_sentences
from choosemethod.show.page import page


def texts(blocks: list[Block]) -> list[str]:
    out: list[str] = []
    for block in blocks:
        if isinstance(block, Para):
            out.append(f"{block.label}: {block.text}" if block.label else block.text)
        elif isinstance(block, Points):
            out += block.items
        elif isinstance(block, Pairs):
            out += [f"{name}: {said}" for name, said in block.rows]
        elif isinstance(block, Flow):
            out += flow_sentences(block)
        else:
            out.append(block.text)
    return out


def whole(advice: Advice, **how: bool) -> str:
    return "\n".join(texts(page(advice, **how)))


def headings(advice: Advice, **how: bool) -> list[str]:
    return [block.text for block in page(advice, **how) if isinstance(block, Heading) and not block.minor]


def all_cautions(advice: Advice) -> set[str]:
    return {caution.text for step in advice.plan for caution in step.cautions} | {c.text for c in advice.cautions}


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("full", [False, True])
def test_every_caution_is_shown_exactly_once(name: str, full: bool) -> None:
    said = whole(ALL[name], full=full)
    notes = {c.text for step in ALL[name].plan for c in step.cautions if c.degree == "note"}
    for caution in all_cautions(ALL[name]) - (set() if full else notes):
        assert said.count(sentence(caution)) == 1, caution


def test_the_sections_come_in_the_order_a_reader_needs_them() -> None:
    assert headings(SAND_SALT_IRON, trace=True) == [
        "What was understood",
        "Answer",
        "Before you start",
        "The plan",
        "What is not known",
        "Trace: the rules that fired, and on what",
    ]


def test_one_step_has_no_flow_and_one_decisive_reason() -> None:
    blocks = page(ACETONE_WATER)
    assert not any(isinstance(block, Flow) for block in blocks)
    assert [block.label for block in blocks if isinstance(block, Para)].count("Because") == 1
    assert "Both are liquids" not in whole(ACETONE_WATER)
    assert "Both are liquids" in whole(ACETONE_WATER, full=True)


def test_the_verdict_names_the_technique_its_reason_and_the_numbers() -> None:
    said = whole(ACETONE_WATER)
    assert "Best technique: simple distillation." in said
    assert "Because: Acetone boils at 56.1 °C and water at 100 °C: 44 K apart" in said
    assert "boiling point of acetone: 56.1 °C" not in said  # the reason has said it
    assert "boiling point of acetone: 56.1 °C" in whole(ACETONE_WATER, full=True)


def test_understood_shows_components_wish_setting_and_mended_words() -> None:
    said = texts(page(ACETONE_WATER))
    for line in (
        "acetone: liquid",
        "Wanted: acetone",
        "Pressure: 84 kPa",
        "Without: open flame",
        "Level: upper secondary",
        "“acetne” was read as “acetone”.",
    ):
        assert line in said


def test_what_was_understood_goes_before_the_plain_fields_and_is_not_repeated() -> None:
    told = ACETONE_WATER._replace(
        understood=(
            "components: acetone (liquid)",
            "wanted: acetone (pure)",
            "'acetne' read as 'acetone'",
            "both are cold",
        ),
    )
    said = texts(page(told))
    assert "Wanted: acetone (pure)" in said
    assert "Wanted: acetone" not in said
    assert "“acetne” was read as “acetone”. Both are cold." in said
    assert not any("components:" in line.lower() for line in said)


def test_the_step_shared_cautions_name_their_steps() -> None:
    wash = Caution("Wash your hands", "care")
    first, *others = SAND_SALT_IRON.plan
    last = others[-1]
    plan = (
        first._replace(cautions=(*first.cautions, wash)),
        *others[:-1],
        last._replace(cautions=(*last.cautions, wash)),
    )
    said = whole(SAND_SALT_IRON._replace(plan=plan))
    assert "Wash your hands. (steps 1 and 4)" in said
    assert "Wear eye protection throughout. (" not in said  # it holds for all of them


def test_the_worst_degree_of_a_caution_counts() -> None:
    said = texts(page(ACETONE_WATER._replace(cautions=(Caution("Wear eye protection throughout", "danger"),))))
    assert "DANGER: Wear eye protection throughout." in said


def test_dangers_come_first_and_by_themselves() -> None:
    said = texts(page(SAND_SALT_IRON))
    danger = said.index("DANGER: Salt spits when the last water goes: take the flame away early. (step 4)")
    assert said.index("Before you start") < danger < said.index("The plan"), "whatever step it belongs to"
    care = said.index("Take care: The dish and the stand stay hot for a long time.")
    assert said.index("Step 4: evaporation") < care


def test_what_hurts_most_stands_first_whatever_its_rule_is_called() -> None:
    """By degree, then by what it can do to a person: a poison before a fire, a fire before a splash."""
    cautions = (
        Caution("a-goggles", "care", harm="irritation"),
        Caution("a-fire", "danger", harm="fire"),
        Caution("b-poison", "danger", harm="lethal"),
        Caution("c-hot glass", "danger", harm="burns"),
    )
    plan = (ACETONE_WATER.plan[0]._replace(cautions=cautions),)
    said = texts(page(ACETONE_WATER._replace(plan=plan, cautions=cautions)))
    dangers = [line for line in said if line.startswith("DANGER")]
    assert dangers == ["DANGER: b-poison.", "DANGER: a-fire.", "DANGER: c-hot glass."]
    assert said.index(dangers[-1]) < said.index("Take care: a-goggles.")


def test_what_was_not_used_and_other_readings_are_told() -> None:
    told = ACETONE_WATER._replace(
        not_used=(Unused("without a thermos", "limit", "it is no apparatus known here"),),
        readings=(OtherReading("the dyes of the ink, to be seen", "is the water wanted or the dyes?"),),
    )
    said = whole(told)
    assert "Not used: “without a thermos” (it is no apparatus known here)." in said
    assert "It can also be read as: The dyes of the ink, to be seen. Is the water wanted or the dyes?" in said


def test_the_letter_of_the_answer_offered_is_named() -> None:
    offered = (
        OfferedOption("A", "filtration", ("filtration",)),
        OfferedOption("B", "simple distillation", ("simple-distillation",)),
    )
    said = whole(ACETONE_WATER._replace(asked_techniques=Techniques(offered=offered)))
    assert "Best technique: simple distillation: answer B." in said


def test_what_a_level_must_not_handle_is_not_put_on_its_bench() -> None:
    said = whole(ACETONE_WATER._replace(bench="nobody", instead=(("benzene", "methylbenzene"),)))
    assert "Best technique: simple distillation." in said
    assert "Benzene is not for this level: take methylbenzene instead." in said
    assert "Put the mixture and a few boiling chips" not in said


def test_lists_are_cut_by_default_and_whole_when_full() -> None:
    many = ACETONE_WATER._replace(sources=tuple(SourceShown(f"key-{n}", f"Source number {n}") for n in range(9)))
    short = whole(many)
    assert "Source number 0" not in short
    assert "9 sources" in short
    assert "2 techniques ruled out" in short
    full = whole(many, full=True)
    assert "Source number 8" in full
    assert "There is no solid to catch. [rule no-solid]" in full
    assert "Left out here" not in full


def test_a_list_one_longer_than_its_limit_is_shown_whole() -> None:
    five = OPEN._replace(sources=tuple(SourceShown(f"key-{n}", f"Source number {n}") for n in range(5)))
    assert "Source number 4" in whole(five)


def test_the_full_page_gives_each_number_its_source_by_key() -> None:
    said = texts(page(ACETONE_WATER, full=True))
    assert "boiling point of acetone: 56.1 °C (measured; crc-organic)" in said
    assert any(
        line.startswith("crc-organic: CRC Handbook of Chemistry and Physics, 95th ed., section 3: ") for line in said
    )


def test_the_trace_goes_down_to_the_sourced_values() -> None:
    said = whole(ACETONE_WATER, trace=True)
    assert "Rule: simple-for-far-boilers (selection) says: simple-distillation" in said
    assert "low: acetone; boiling point = 56.1 °C (measured, crc-organic)" in said
    assert "rules/selection/liquids/simple-for-far-boilers.yaml" in said
    assert "simple-for-far-boilers" not in whole(ACETONE_WATER)


def test_why_not_tells_the_verdict_the_rule_and_what_failed() -> None:
    said = whole(ACETONE_WATER)
    assert "Why not using a separating funnel?" in said  # as that level calls it
    assert "It would not serve. The two liquids make one layer." in said
    assert "wanted: layers at least 2; found: 1" in said
    assert "Rule: one-layer" in said


def test_a_refusal_says_danger_and_why() -> None:
    said = whole(REFUSED)
    assert "DANGER: Do not do this: it is dangerous." in said
    assert "Because: Bleach and acid give off chlorine, a toxic gas." in said


def test_unknown_words_get_suggestions_and_no_guess() -> None:
    said = whole(UNKNOWN)
    assert "no guess is made" in said
    assert "“flurbium” is not known here. Did you mean fluorene or terbium?" in said
    assert said.count("flurbium") == 2  # the question as asked, and the word


@pytest.mark.parametrize(
    "advice, says",
    [
        (NOTHING, "There is nothing to separate."),
        (OPEN, "Too little is known to decide."),
        (OPEN, "Whether compound X mixes with water: If it does: distillation. If not: a separating funnel."),
        (BLOCKED, "It cannot be done with what is available or allowed."),
        (BLOCKED, "What would help: With heat allowed: evaporation."),
        (BLOCKED, "common salt: dissolved in water"),
    ],
)
def test_other_answers(advice: Advice, says: str) -> None:
    assert says in whole(advice)


def test_a_step_that_parts_nothing_still_leads_on_in_the_flow() -> None:
    first, second, *rest = SAND_SALT_IRON.plan
    flow = next(
        b
        for b in page(SAND_SALT_IRON._replace(plan=(first, second._replace(gives=()), *rest)), full=True)
        if isinstance(b, Flow)
    )
    assert [(p.text, p.to) for p in flow.steps[1].products] == [("sand + common salt + water", 3)]


@pytest.mark.parametrize("bad", ["\x1b[31mred", "a\x07b", "a\u202eb", "a\x9bb", "\udc80"])
def test_nothing_a_terminal_obeys_reaches_the_page(bad: str) -> None:
    said = whole(UNKNOWN._replace(asked=bad, unknown=((bad, ()),)))
    assert not set(bad) & set("\x1b\x07\u202e\x9b\udc80") & set(said)
    said.encode()


def test_clean_keeps_ordinary_signs() -> None:
    text = "copper(II) sulfate, 56.1 °C, CuSO₄·5H₂O [blue] – “x”"
    assert clean(text) == text
    assert clean("two\nlines\tand a tab") == "two lines and a tab"


@pytest.mark.parametrize(
    "text, said",
    [
        ("wear gloves", "Wear gloves."),
        ("Wear gloves.", "Wear gloves."),
        ("pH 7 is wanted", "pH 7 is wanted."),
        ("n-hexane floats", "n-hexane floats."),
        ("why?", "Why?"),
        ("  ", ""),
    ],
)
def test_sentence(text: str, said: str) -> None:
    assert sentence(text) == said
