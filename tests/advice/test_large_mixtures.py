"""What a mixture of many parts may cost: the search follows fewer ways, and still gives a whole plan."""

from __future__ import annotations

from choosemethod.advice import plan
from choosemethod.describe import Bench
from choosemethod.mixture import Question
from choosemethod.reading import read_words
from choosemethod.rulebook import open_rulebook
from choosemethod.table import open_table

MINERALS = (
    "quartz, calcite, galena, chalcopyrite, haematite, magnetite, pyrite, sphalerite, cassiterite, wolframite, rutile, "
    "ilmenite, zircon, garnet, barite, fluorite, dolomite, malachite, bauxite and cinnabar"
)


def test_twenty_minerals_are_planned_with_few_looks() -> None:
    """Each look at n parts costs about n squared pairs; with no end to the search this mixture took 105 looks."""
    table = open_table()
    book = open_rulebook(table)
    question: Question = read_words(MINERALS, table)
    assert len(question.mixture.components) == 20
    planner = plan.Planner(Bench(table, book.limits, question), book, question)
    plans = planner.plans()
    assert len(plans) >= plan.FEWEST
    assert plans[0][1].steps
    assert len(planner.looks) <= 45
    assert planner._work <= 1.5 * plan.MOST_WORK
