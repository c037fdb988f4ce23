"""Knowledge lives in the YAML files: no Python file names a substance, a technique, or a chemical threshold.

The check reads every text and every compared number of the program. What it lets pass stands in the lists below with the
reason; a word that is no longer there must leave its list, too. Documentation strings and comments may give examples.
"""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from choosemethod.rulebook import open_rulebook
from choosemethod.table import normalise, open_table

ROOT = Path(__file__).resolve().parent.parent
FILES = sorted((ROOT / "choosemethod").rglob("*.py"))

# Names of the table that are ordinary words of the program as well.
WORDS = {
    "acid": "a class of substances, a trigger, and what some salts must not meet",
    "strong acid": "a class of substances",
    "water": "the solvent every solubility slot speaks of (in_water, water of crystallisation), and a key of the setting",
    "cold water": "as water",
    "salt": "a kind of substance, and salting out",
    "a gas": "a phase",
    "the gas": "a phase",
    "alloy": "a reason why something is no mixture",
    "an alloy": "as alloy",
    "isotope": "a reason why something is no mixture",
    "magnet": "apparatus",
    "alga": "an irregular plural (algae)",
    "bacterium": "an irregular plural (bacteria)",
    "bar magnet": "apparatus",
    "brine": "key of rules/reading/forms.yaml",
    "bubble": "the bubble point of a liquid",
    "c 13": "a temperature and a solubility in an example",
    "cell": "of a spreadsheet",
    "colloid": "a form of a component",
    "emulsion": "a form of a component",
    "suspended solid": "a form of a component",
    "solid particle": "a form of a component",
    "dirt": "key of rules/granular.yaml",
    "dust": "a word after which a substance is named",
    "down": "the preposition",
    "fungus": "an irregular plural (fungi)",
    "grain": "a piece of a solid",
    "leaf": "the verb leaves",
    "match": "the verb",
    "octanol": "the octanol-water partition coefficient, a kind of pair",
    "organic compound": "a class",
    "paper": "what a worksheet and a filter are made of",
    "particle in a gas": "what the form airborne means",
    "peroxide": "peroxide_former, a property, and the impurities it names",
    "phenol": "an acid or base character, like amine",
    "plant tissue": "what a component may be embedded in",
    "rock": "what a component may be embedded in",
    "salt water": "key of rules/reading/forms.yaml",
    "organic solid": "a noun of rules/reading that says no more than that",
    "seed": "of random numbers",
    "spread": "the verb",
    "sugar": "a class of substances",
    "string": "a type of data",
}
# Spellings, plurals and their singulars: how words are written, not what is known about things.
SPELT = "choosemethod/table/names.py"
# Examples of what to write, in messages and in the help.
EXAMPLES = {
    "acetone", "blue ink", "common salt", "crude oil", "ethanol", "iodine", "iron filing", "muddy water", "petroleum", "propanone",
    "red and blue ink", "salt water", "sand", "sand and water",
}  # fmt: skip
EXAMPLE_FILES = {
    "choosemethod/cli.py", "choosemethod/classroom/handout_command.py", "choosemethod/classroom/readers.py",
    "choosemethod/judging/scheme.py", "choosemethod/reading/file.py",
    "choosemethod/rulebook/load.py", "choosemethod/rulebook/load_practice.py", "choosemethod/show/page.py",
}  # fmt: skip

# Techniques that are named for another thing, or where the program shows what to write.
TECHNIQUES = {
    "choosemethod/advice/forecast.py": "kinds of forecast, which rules/forecasts.yaml gives to techniques",
    "choosemethod/advice/forecast_heat.py": "as forecast.py",
    "choosemethod/advice/forecast_particles.py": "as forecast.py",
    "choosemethod/advice/forecast_solutions.py": "as forecast.py",
    "choosemethod/judging/scheme.py": "what to write, in messages",
    "choosemethod/laboratory.py": "as forecast.py",
    "choosemethod/calculate.py": "names of calculations, and water of crystallisation",
    "choosemethod/chemistry/gases.py": "condensation temperature",
    "choosemethod/classroom/numbers.py": "which technique a computed question is about",
    "choosemethod/classroom/quiz.py": "which technique a computed question is about",
    "choosemethod/cli.py": "an example in the help",
    "choosemethod/describe.py": "words of the slots of a help: salting-out, dissolving",
    "choosemethod/reading/question.py": "whether somebody says that it does not settle",
    "choosemethod/table/load_pairs.py": "a kind of pair, which is the name of its file of the table",
    "choosemethod/facts.py": "water of crystallisation, dialysis membrane, drying agent: meanings of slots",
}

# Numbers that are compared: how a number is written, how near a root is found, what a word or a file may hold.
NUMBERS = {
    "choosemethod/advice/forecast_distillation.py": "how near a pressure is to be called the same",
    "choosemethod/advice/forecast_words.py": "how many digits are shown",
    "choosemethod/calculate.py": "digits shown; steps of a calculation; 1.5 is IUPAC's word for baseline resolution",
    "choosemethod/chemistry/activity.py": "range in which the equation can be evaluated",
    "choosemethod/chemistry/amounts.py": "most portions counted",
    "choosemethod/chemistry/equilibrium.py": "nearness of roots",
    "choosemethod/chemistry/extraction.py": "most portions counted; range of pH",
    "choosemethod/chemistry/reduced_pressure.py": "range of the constant of the equation",
    "choosemethod/chemistry/settling.py": "constants of the drag law",
    "choosemethod/chemistry/solubility.py": "how far one measured point stands for its neighbourhood",
    "choosemethod/classroom/handout_command.py": "most questions on a sheet",
    "choosemethod/classroom/numbers.py": "round temperatures for pupils' sums",
    "choosemethod/classroom/quiz.py": "tries and shares of random questions",
    "choosemethod/classroom/quiz_command.py": "columns of a terminal",
    "choosemethod/classroom/readers.py": "sizes of files",
    "choosemethod/classroom/worksheet.py": "largest mark",
    "choosemethod/cli.py": "columns of a terminal",
    "choosemethod/quantity.py": "how many digits are shown",
    "choosemethod/reading/amounts.py": "range of the standard atmosphere (ICAO Doc 7488)",
    "choosemethod/reading/lattice.py": "letters of a word; a score no reading has",
    "choosemethod/reading/load_lexicon.py": "letters of a word",
    "choosemethod/reading/properties.py": "how many words apart",
    "choosemethod/reading/spelling.py": "letters of a word",
    "choosemethod/reading/tokens.py": "letters of a word",
    "choosemethod/reading/wish.py": "a purity is more than half",
    "choosemethod/show/page.py": "a pressure that is shown as the standard one",
    "choosemethod/table/load.py": "digits of a CAS number",
    "choosemethod/vle.py": "a boiling range so wide that a single law is refused",
    "choosemethod/yamltext.py": "control characters",
}


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def shown(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def texts(path: Path) -> Iterator[tuple[int, str]]:
    """Line and text of every string of a file that is no documentation."""
    documentation = {
        id(node.body[0].value)
        for node in ast.walk(tree(path))
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef))
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in documentation:
            yield node.lineno, node.value


@pytest.fixture(scope="module")
def names() -> set[str]:
    """Every name, synonym and id of the table of more than three letters."""
    table = open_table()
    things = [table.substance(ident) for ident in table.substance_ids()]
    things += [table.mixture(ident) for ident in table.mixture_ids()]  # type: ignore[misc]
    found = {normalise(name) for one in things for name in (one.id.replace("-", " "), one.name, *one.also)}
    return {name for name in found if len(name) > 3}


def named(text: str, names: set[str], longest: int) -> Iterator[str]:
    """The longest names of the table that begin at each word of a text."""
    written = re.findall(r"[A-Za-z0-9][A-Za-z0-9'-]*", text)
    words = [word for part in written for word in normalise(part).split()]
    for start in range(len(words)):
        for length in range(min(longest, len(words) - start), 0, -1):
            name = " ".join(words[start : start + length])
            if name in names:
                yield name
                break


def test_no_substance_is_named(names: set[str]) -> None:
    longest = max(name.count(" ") + 1 for name in names)
    assert len(names) > 3000
    wrong, used = [], set()
    for path in FILES:
        file = shown(path)
        for line, text in texts(path):
            for name in named(text, names, longest):
                used.add(name)
                allowed = name in WORDS or file == SPELT or (name in EXAMPLES and file in EXAMPLE_FILES)
                if not allowed:
                    wrong.append((file, line, name, text[:60]))
    assert wrong == []
    assert sorted((set(WORDS) | EXAMPLES) - used) == [], "no longer there"


def test_the_search_finds_a_name() -> None:
    assert list(named("distil the acetone off", {"acetone", "distil the"}, 2)) == ["distil the", "acetone"]


def test_no_technique_is_named() -> None:
    table = open_table()
    catalogue = open_rulebook(table).techniques
    slugs = {word for one in catalogue.values() for word in (one.id, one.name.lower())}
    wanted = re.compile(
        r"(?<![\w-])(?:" + "|".join(sorted(map(re.escape, slugs), key=len, reverse=True)) + r")(?![\w-])"
    )
    found = {}
    for path in FILES:
        for line, text in texts(path):
            match = wanted.search(text.lower())
            if match:
                found.setdefault(shown(path), []).append((line, match[0]))
    assert {file: places for file, places in found.items() if file not in TECHNIQUES} == {}
    assert sorted(set(TECHNIQUES) - set(found)) == [], "no longer there"


def test_no_technique_text_is_in_python() -> None:
    """No sentence of a technique's file (principle, apparatus, steps, cautions) stands in the program."""
    sentences = set()
    for path in (ROOT / "rules" / "techniques").glob("*.yaml"):
        sentences.update(found for found in re.findall(r'"([^"{}]{25,})"', path.read_text(encoding="utf-8")))
    assert len(sentences) > 300
    for path in FILES:
        held = {text for _, text in texts(path)}
        assert not held & sentences, shown(path)


def compared_numbers(side: ast.expr) -> Iterator[float]:
    """The constants one side of a comparison is made of: alone, and within a sum or a product (`x > y + 50.0`)."""
    if isinstance(side, ast.BinOp):
        yield from compared_numbers(side.left)
        yield from compared_numbers(side.right)
    elif isinstance(side, ast.UnaryOp):
        yield from compared_numbers(side.operand)
    elif isinstance(side, ast.Constant) and isinstance(side.value, (int, float)) and not isinstance(side.value, bool):
        yield side.value


def thresholds(module: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and text of each comparison with a number that could be chemistry."""
    for node in ast.walk(module):
        if isinstance(node, ast.Compare):
            for side in (node.left, *node.comparators):
                for value in compared_numbers(side):
                    tiny = isinstance(value, float) and 0 < value < 1e-5  # no quantity is decided by a rounding error
                    if value > 4 or (isinstance(value, float) and value not in (0.0, 1.0) and not tiny):
                        yield node.lineno, ast.unparse(node)


def test_no_chemical_threshold_is_compared() -> None:
    found = {shown(path): list(thresholds(tree(path))) for path in FILES}
    assert {file: places for file, places in found.items() if places and file not in NUMBERS} == {}
    assert sorted(set(NUMBERS) - {file for file, places in found.items() if places}) == [], "no longer there"


@pytest.mark.parametrize(
    ("code", "is_threshold"),
    [
        ("mine > theirs + 50.0", True),
        ("pressure < standard - 5000.0", True),
        ("spoils <= boiling[0] + 5.0", True),
        ("law.low - 0.5 <= t <= law.high", True),
        ("x > 25", True),
        ("-60.0 < x", True),
        ("x > limits['gap'] + 1e-9", False),
        ("x + 1.0 > y", False),
        ("len(words) > 2", False),
    ],
)
def test_the_guard_finds_a_threshold(code: str, is_threshold: bool) -> None:
    assert bool(list(thresholds(ast.parse(code)))) is is_threshold


def test_modules_do_not_import_one_another_in_a_circle() -> None:
    """What two modules import of each other, even inside a function; a package's own list of names aside."""
    imports: dict[str, set[str]] = {}
    for path in FILES:
        name = shown(path)[: -len(".py")].replace("/", ".").removesuffix(".__init__")
        found = imports.setdefault(name, set())
        never = {  # what only a type checker imports
            id(inner)
            for node in ast.walk(tree(path))
            if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
            for inner in ast.walk(node)
        }
        for node in ast.walk(tree(path)):
            if id(node) in never:
                continue
            if isinstance(node, ast.ImportFrom) and node.module:
                found.add(node.module)
                found.update(f"{node.module}.{alias.name}" for alias in node.names)
    pairs = {(one, other) for one in imports for other in imports[one] if one < other and one in imports.get(other, ())}
    assert {pair for pair in pairs if not pair[1].startswith(f"{pair[0]}.")} == set()


def test_only_the_engine_imports_experta() -> None:
    importers = set()
    for path in FILES:
        for node in ast.walk(tree(path)):
            modules = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            modules += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            if any(module.split(".")[0] == "experta" for module in modules):
                importers.add(shown(path))
        for _, text in texts(path):  # nor by name
            if text.split(".")[0] == "experta":
                importers.add(shown(path))
    assert importers == {"choosemethod/rulebook/engine.py"}


LOADED = """
import sys
from choosemethod.cli import main
code = main(sys.argv[1:])
print("LOADED", code, *sorted(name for name in sys.modules))
"""


@pytest.mark.parametrize("options", [(), ("--format", "json"), ("--format", "markdown"), ("--why-not", "filtration")])
@pytest.mark.parametrize("question", ["acetone and water", "sand, salt, iron filings and ammonium chloride", "milk"])
def test_an_ordinary_question_imports_nothing_slow(question: str, options: tuple[str, ...]) -> None:
    """With the cache made, neither the property library, nor numerics, nor a YAML parser is loaded."""
    path = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    for _ in range(2):  # the first makes whatever cache is not there yet
        done = subprocess.run(
            [sys.executable, "-c", LOADED, question, *options],
            capture_output=True, text=True, timeout=120, check=True, env={**os.environ, "PYTHONPATH": path},
        )  # fmt: skip
    code, *modules = done.stdout.rpartition("LOADED ")[2].split()
    assert code == "0"
    assert "experta" in modules
    slow = {"CoolProp", "numpy", "scipy", "pandas", "yaml", "thermo", "chemicals", "fluids"}
    assert not {name.split(".")[0] for name in modules} & slow
