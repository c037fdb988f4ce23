"""Worksheets checked: columns, verdicts, output in every form, comparing tables, and long files.

The questions are those of NCERT Science class 9, chapter Is Matter Around Us Pure, unless another source is named.
"""

from __future__ import annotations

import csv
import io
import json
import os
import sys
import tracemalloc
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from choosemethod.advice.compose import Composer
from choosemethod.classroom import commands
from choosemethod.classroom.command import add_arguments, run, run_check
from choosemethod.classroom.readers import Row, open_sheet
from choosemethod.classroom.workers import check_in_parallel
from choosemethod.classroom.worksheet import ADDED, Asked, Checker, Columns, columns_of
from choosemethod.classroom.writers import neutral
from choosemethod.errors import UsageError
from choosemethod.judging.replay import Judge
from choosemethod.judging.rules import judging
from choosemethod.reading import read_words

RULES = judging()
HEAD = ("No", "Mixture", "Student answer", "Reason", "Wanted", "Conditions", "Marks")
ROWS = [
    ("1", "salt and sand", "filter then evaporate", "salt dissolves in water", "", "", "2"),
    ("2", "acetone and water", "sep\nfunnel", "they differ by less than 25 °C", "", "", "2"),
    ("", "", "", "", "", "", ""),
    ("4", "sea water", "distil it", "", "water", "", "1"),
    ("5", "chalk dust in water", "filter it", "", "", "no filter paper", "1"),
    ("6", "frobnicol and water", "distil it", "", "", "", "1"),
    ("7", "=cmd()", "+a1", "-x", "@y", "", "1"),
]
VERDICTS = ["right", "wrong", "", "right", "wrong", "cannot tell", "cannot tell"]


@pytest.fixture(scope="module")
def checker() -> Checker:
    return Checker()


def sheet_file(folder: Path, rows: list[Any] | None = None, name: str = "a.csv", delimiter: str = ",") -> Path:
    path = folder / name
    with open(path, "w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=delimiter).writerows([HEAD, *(ROWS if rows is None else rows)])
    return path


def check(file: Path, folder: Path, **options: Any) -> tuple[int, str]:
    out = folder / "out.txt"
    code = run_check(file, output=out, **options)
    return code, out.read_text(encoding="utf-8")


# ---- columns ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("headings", "roles"),
    [
        (["Mixture", "Answer"], {"mixture": 0, "answer": 1}),
        (["Q", "Question", "Your answer", "Reason for your answer"], {"mixture": 1, "answer": 2, "reason": 3}),
        (["Question", "Mixture", "Student's answer"], {"mixture": 1, "answer": 2}),
        (["MIXTURE", "technique", "Level", "max marks"], {"mixture": 0, "answer": 1, "level": 2, "marks": 3}),
        (["sample", "method", "solvent front", "spot distance"], {"mixture": 0, "answer": 1, "front": 2, "spot": 3}),
    ],
)
def test_columns_are_known_by_their_headings(headings: list[str], roles: dict[str, int]) -> None:
    assert columns_of(headings, RULES).roles == roles


def test_columns_named_by_option() -> None:
    assert columns_of(["Q", "A", "x"], RULES, {"mixture": "q", "answer": "2"}).roles == {"mixture": 0, "answer": 1}
    assert columns_of(["Mixture", "Answer", "Said"], RULES, {"claims": "Said"}).claims == ((2, "", ""),)
    for named in ({"mixture": "nowhere"}, {"colour": "Q"}, {}):
        with pytest.raises(UsageError):
            columns_of(["Q", "A"], RULES, named)


def test_columns_of_claims() -> None:
    headings = ["Mixture", "Answer", "Claim", "Boiling point of acetone", "Lower layer", "Rf"]
    assert columns_of(headings, RULES).claims == (
        (2, "", ""), (3, "boiling_point", "acetone"), (4, "lower", ""), (5, "rf", ""),
    )  # fmt: skip


# ---- rows ------------------------------------------------------------------------------------------------------------


def test_rows_one_by_one(checker: Checker) -> None:
    columns = columns_of(HEAD, RULES)
    rows = [Row(number, f"line {number + 1}", cells) for number, cells in enumerate(ROWS, 1)]
    found = list(checker.check_rows(rows, columns))
    assert [one.found.verdict if one.found else "" for one in found] == VERDICTS
    assert [claim.verdict for one in found if one.found for claim in one.found.claims] == ["true", "false"]
    assert found[0].found is not None
    assert found[0].found.marks == 2
    assert found[1].found is not None
    assert (found[1].found.marks, found[1].found.best) == (0, "simple distillation")
    assert "separating funnel" in found[1].found.understood


def test_a_bad_row_never_stops_the_rest(checker: Checker, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(asked: Asked) -> Any:
        raise ZeroDivisionError("broken")

    monkeypatch.setattr(checker, "_check", broken)
    found = checker.check(Asked("some mixture", "some answer"))
    assert found.verdict == "cannot tell"
    assert "broken" in found.reason


@pytest.mark.parametrize("level", ["primary", "lower-secondary", "upper-secondary", "undergraduate"])
def test_a_level_adds_a_remark_and_changes_no_verdict(checker: Checker, level: str) -> None:
    for mixture, answer in (("ethanol and water", "fractional distillation"), ("ethanol and water", "filter it")):
        plain = checker.check(Asked(mixture, answer))
        with_level = checker.check(Asked(mixture, answer, level=level))
        assert (with_level.verdict, with_level.reason, with_level.rule) == (plain.verdict, plain.reason, plain.rule)
    assert (
        "usually taught" in checker.check(Asked("ethanol and water", "fractional distillation", level=level)).remark
    ) == (level == "primary")


def test_a_constraint_may_be_a_pressure_or_what_is_lacking(checker: Checker) -> None:
    claim = "water boils at 95 °C"  # 94.6 °C at 84 kPa by steam tables
    assert checker.check(Asked("salt water", "distil", claim, "water", "at 84 kPa")).claims[0].verdict == "true"
    assert checker.check(Asked("salt water", "distil", claim, "water")).claims[0].verdict == "false"
    assert checker.check(Asked("chalk dust in water", "filter", constraint="no filter paper")).verdict == "wrong"


def test_distances_in_columns(checker: Checker) -> None:
    """IUPAC Gold Book, retardation factor; by arithmetic: 42 mm / 70 mm = 0.60."""
    asked = Asked("black ink dyes", "paper chromatography", "Rf = 0.60", front="70 mm", spot="42 mm")
    assert [claim.verdict for claim in checker.check(asked).claims] == ["true"]
    wrong = Asked("black ink dyes", "paper chromatography", "Rf = 0.60", front="7 cm", spot="35")
    assert [claim.verdict for claim in checker.check(wrong).claims] == ["false"]


def test_of_alternatives_the_worst_counts(checker: Checker) -> None:
    assert checker.check(Asked("kerosene and water", "separating funnel")).verdict == "right"
    assert checker.check(Asked("kerosene and water", "separating funnel or filtration")).verdict == "wrong"


def test_an_answer_understood_in_part_is_not_called_right(checker: Checker) -> None:
    found = checker.check(Asked("sand and water", "filter, frobnicate"))
    assert found.verdict == "cannot tell"
    assert "frobnicate" in found.reason


def test_what_is_shared_between_questions_changes_no_finding(checker: Checker) -> None:
    """Looks at partly separated mixtures are shared between questions; each must be found as if it were asked alone."""
    pairs = [f"{a} and {b}" for a in ("camphor", "iodine", "benzoic acid") for b in ("sand", "salt", "sulfur")]
    for steps in ("dissolve, filter, evaporate", "sublimation", "use a magnet"):
        for mixture in pairs:
            asked = Asked(mixture, steps)
            question = read_words(mixture, checker.table)
            alone = Judge(Composer(checker.table, checker.book, question), checker.rules)
            judge, _ = checker.judge_of(asked)
            said = checker.reader.read(steps)
            assert judge.judge(said.choices[0]) == alone.judge(said.choices[0]), mixture


def test_several_processes_give_the_same_in_the_same_order(checker: Checker) -> None:
    names = ["salt", "sugar", "alum", "iodine", "sulfur", "copper sulfate", "camphor", "naphthalene", "urea"]
    pairs = [f"{a} and {b}" for a in names for b in ("sand", "water", "iron filings")]
    rows = [Row(n, f"line {n}", (pair, "filter it")) for n, pair in enumerate(pairs, 1)] + [
        Row(99, "line 99", ("", ""))
    ]
    columns = Columns({"mixture": 0, "answer": 1})
    alone = list(check_in_parallel(rows, columns, checker, 1))
    together = list(check_in_parallel(rows, columns, checker, 2))
    assert together == alone


# ---- output ----------------------------------------------------------------------------------------------------------


def test_csv_keeps_every_input_cell(tmp_path: Path) -> None:
    code, text = check(sheet_file(tmp_path), tmp_path, format="csv")
    assert code == 1
    rows = list(csv.reader(io.StringIO(text, newline="")))
    assert tuple(rows[0]) == (*HEAD, *ADDED, "marks earned")
    for given_row, row in zip(ROWS, rows[1:], strict=True):
        assert tuple(row[: len(HEAD)]) == tuple(neutral(cell) for cell in given_row)
    assert [row[len(HEAD)] for row in rows[1:]] == VERDICTS
    assert rows[-1][1:5] == ["'=cmd()", "'+a1", "'-x", "'@y"]


def test_csv_keeps_delimiter_mark_and_extra_columns(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes("\ufeffMixture;verdict;Answer\nsalt and sand;x;sieve;over\n".encode())
    text = check(path, tmp_path, format="csv")[1]
    assert text.startswith("\ufeffMixture;verdict;Answer;column 4;verdict (2);")
    assert "\nsalt and sand;x;sieve;over;wrong;" in text


@pytest.mark.parametrize(
    ("cell", "shown"),
    [("=1+1", "'=1+1"), ("+x", "'+x"), ("-x", "'-x"), ("@x", "'@x"), ("\t=x", "'\t=x"), (" =x", "' =x"), ("-95", "-95"),
     ("+3.5", "+3.5"), ("a=1", "a=1"), ("", ""), ("-", "'-")],
)  # fmt: skip
def test_formulas_are_neutralised_and_numbers_are_not(cell: str, shown: str) -> None:
    assert neutral(cell) == shown


@settings(deadline=None, max_examples=200)
@given(st.text(max_size=20))
def test_no_cell_is_left_a_formula(cell: str) -> None:
    out = neutral(cell)
    assert out.removeprefix("'") == cell or out == cell
    if out and out.lstrip(" ")[:1] in ("=", "@"):
        pytest.fail(f"{out!r} is a formula")


def test_json_lines(tmp_path: Path) -> None:
    text = check(sheet_file(tmp_path), tmp_path, format="jsonl")[1]
    objects = [json.loads(line) for line in text.splitlines()]
    assert [one["kind"] for one in objects] == ["row"] * 6 + ["summary"]
    assert objects[0]["input"]["Mixture"] == "salt and sand"
    assert objects[0]["claims"][0]["source"]
    assert objects[-1]["verdicts"]["wrong"] == 2
    assert (objects[-1]["marks"], objects[-1]["right"]) == (3.0, False)


def test_markdown_is_one_table_whatever_is_in_the_cells(tmp_path: Path) -> None:
    rows = [("1", "salt | sand", "filter\n<b>then</b> | evaporate", "", "", "", "")]
    text = check(sheet_file(tmp_path, rows), tmp_path, format="markdown")[1]
    lines = [line for line in text.splitlines() if line.startswith("|")]
    assert len(lines) == 3
    assert "salt \\| sand" in lines[2]
    assert "<b>" not in lines[2]
    assert len({line.replace("\\|", "").count("|") for line in lines}) == 1


def test_the_terminal_cuts_nothing(tmp_path: Path) -> None:
    text = check(sheet_file(tmp_path), tmp_path)[1]
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "…" not in text
    words = set(text.replace("(", " ").replace(")", " ").split())
    assert {
        "acetone",
        "water",
        "funnel",
        "Best:",
        "simple",
        "distillation",
        "frobnicol",
        "wrong",
        "cannot",
        "tell",
    } <= words
    assert "6 rows: 2 right, 2 wrong, 2 cannot tell" in text
    assert "\x1b" not in text


# ---- comparing -------------------------------------------------------------------------------------------------------


def test_compare_tables(tmp_path: Path) -> None:
    """With a boiling point moved to 64 °C (a made-up edit) one distillation no longer parts acetone from water well."""
    table = tmp_path / "mine.yaml"
    table.write_text("acetone:\n  boiling_point: {is: 64 °C, source: memory}\n", encoding="utf-8")
    rows = [*ROWS[:4], ("5", "acetone and water", "simple distillation", "acetone boils at 56 °C", "", "", "")]
    code, text = check(sheet_file(tmp_path, rows), tmp_path, compare_table=table)
    assert code == 1
    assert "row 5 (line 7): acetone and water - simple distillation\n  right -> incomplete\n" in text
    assert "claim 'acetone boils at 56 °C': true" in text
    assert text.splitlines()[-1] == "1 row changes: 5"


def test_compare_with_the_same_rules_changes_nothing(tmp_path: Path) -> None:
    from choosemethod.places import rules_folder

    code, text = check(sheet_file(tmp_path), tmp_path, compare_rules=rules_folder())
    assert (code, text) == (0, "No verdict changes.\n")


# ---- the command -----------------------------------------------------------------------------------------------------


def test_exit_codes(tmp_path: Path) -> None:
    right = sheet_file(tmp_path, [ROWS[0], ROWS[2], ROWS[3]], "right.csv")
    assert check(right, tmp_path)[0] == 0
    false_claim = sheet_file(tmp_path, [(*ROWS[0][:3], "sand dissolves in water", "", "", "")], "claim.csv")
    assert check(false_claim, tmp_path)[0] == 1
    with pytest.raises(UsageError):
        run_check(tmp_path / "missing.csv")
    with pytest.raises(UsageError, match="overwrite"):
        run_check(right, output=right)
    with pytest.raises(UsageError, match="level"):
        run_check(right, level="nursery of wizards")
    with pytest.raises(UsageError, match="columns"):
        run_check(right, columns=["mixture"])


def test_the_options_of_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "a.csv"
    path.write_text("Q,A\nsalt and sand,filter then evaporate\n", encoding="utf-8")
    parser = ArgumentParser()
    add_arguments(parser)
    assert run(parser.parse_args([str(path), "--columns", "mixture=Q,answer=A", "--format", "markdown"])) == 0
    assert "| line 2 | salt and sand |" in capsys.readouterr().out
    assert commands.main("check", [str(path), "--columns", "mixture=Q,answer=A", "--format", "csv"]) == 0
    captured = capsys.readouterr()
    assert captured.out.startswith("Q,A,verdict,")
    assert "1 row: 1 right" in captured.err
    with pytest.raises(UsageError):
        commands.main("check", [])


def test_standard_input(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"mixture,answer\nsand and water,filter\n")))
    assert run_check("-", format="jsonl") == 0
    assert json.loads(capsys.readouterr().out.splitlines()[0])["verdict"] == "right"


def test_no_progress_bar_where_nobody_sees_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [ROWS[0]] * 300
    assert run_check(sheet_file(tmp_path, rows), format="jsonl") == 0
    assert capsys.readouterr().err == ""


def test_an_interrupted_output_leaves_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from choosemethod.classroom import writers

    monkeypatch.setattr(writers, "write_markdown", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        run_check(sheet_file(tmp_path), format="markdown", output=tmp_path / "out.md")
    assert sorted(os.listdir(tmp_path)) == ["a.csv"]


def test_a_hundred_thousand_rows_in_flat_memory(tmp_path: Path, checker: Checker) -> None:
    """A tenth of the rows unless CHOOSEMETHOD_ROBUST is set; 9000 rows held would take more than the 2 MB allowed."""
    share = 1 if os.environ.get("CHOOSEMETHOD_ROBUST") else 10

    def most(count: int) -> int:
        path = tmp_path / f"{count}.csv"
        with open(path, "w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(HEAD)
            for number in range(count):
                writer.writerow((number, *ROWS[number % 4][1:]))
        tracemalloc.start()
        with open_sheet(path, checker.known) as sheet:
            columns = columns_of(sheet.headings, checker.rules)
            assert sheet.count == count
            assert sum(1 for _ in checker.check_rows(sheet.rows, columns)) == count
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return peak

    most(1_000)  # what is kept of the questions
    assert most(100_000 // share) < most(10_000 // share) + 2_000_000
