"""The command line: what each command shows, exit codes, and one clear line for whatever goes wrong."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import choosemethod
from choosemethod.cli import COMMANDS, FORMATS, main
from choosemethod.errors import DataError
from choosemethod.rulebook import open_rulebook
from choosemethod.table import open_table

HERE = Path(__file__).resolve().parent.parent


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    code = main(argv)
    out, err = capsys.readouterr()
    return code, out, err


def process(*argv: str, **how: Any) -> subprocess.CompletedProcess[bytes]:
    path = os.pathsep.join([str(HERE), os.environ.get("PYTHONPATH", "")])
    variables = {**os.environ, "PYTHONPATH": path, **how.pop("variables", {})}
    how.setdefault("stdout", subprocess.PIPE)
    return subprocess.run(
        [sys.executable, *argv], env=variables, stderr=subprocess.PIPE, timeout=120, check=False, **how
    )


@pytest.fixture(autouse=True)
def no_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "CHOOSEMETHOD_DEBUG"):
        monkeypatch.delenv(name, raising=False)


def given(monkeypatch: pytest.MonkeyPatch, raw: bytes) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw), encoding="utf-8"))


# ---- advise ------------------------------------------------------------------------------------------------------


def technique_of(text: str) -> str:
    return str(json.loads(text)["plan"][0]["technique"])


@pytest.mark.parametrize(
    "argv",
    [
        ("advise", "acetone and water", "--format", "json"),
        ("acetone and water", "--format", "json"),
        ("--format", "json", "acetone and water"),
        ("--format=json", "acetone", "and", "water"),
        ("acetone", "and", "--format", "json", "water"),
        ("advise", "--want", "acetone", "acetone and water", "--format", "json"),
    ],
)
def test_words_and_options_may_come_in_any_order(capsys: pytest.CaptureFixture[str], argv: tuple[str, ...]) -> None:
    code, out, err = run(capsys, *argv)
    assert (code, err) == (0, "")
    assert technique_of(out) == "simple-distillation"  # boiling points 44 K apart: common practice, no source


def test_every_form_gives_the_same_technique(capsys: pytest.CaptureFixture[str]) -> None:
    for form in ("terminal", "words", "markdown"):
        code, out, err = run(capsys, "vegetable oil and water", "--format", form)
        assert (code, err) == (0, "")
        assert "separating funnel" in out
    code, out, _ = run(capsys, "vegetable oil and water", "--format", "json")
    assert technique_of(out) == "separating-funnel"


def test_piped_output_has_no_escape_codes_and_at_most_80_columns(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "acetone and water")
    assert "\x1b" not in out
    assert max(map(len, out.splitlines())) <= 80
    _, out, _ = run(capsys, "acetone and water", "--width", "44")
    assert max(map(len, out.splitlines())) <= 44
    _, out, _ = run(capsys, "acetone and water", "--color", "always")
    assert "\x1b[" in out


def test_full_trace_and_why_not_add_to_the_answer(capsys: pytest.CaptureFixture[str]) -> None:
    _, short, _ = run(capsys, "acetone and water")
    _, full, _ = run(capsys, "acetone and water", "--full")
    _, trace, _ = run(capsys, "acetone and water", "--trace")
    _, why_not, _ = run(capsys, "acetone and water", "--why-not", "separating-funnel", "--why-not", "filtration")
    assert "What would not do" in full
    assert "What would not do" not in short
    assert "Trace: " in trace
    assert "Trace: " not in short
    assert "Why not separating funnel?" in why_not
    assert "Why not filtration?" in why_not


def test_the_wish_and_the_setting_reach_the_answer(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(
        capsys, "acetone and water", "--want", "acetone", "--pressure", "84 kPa", "--without", "open flame",
        "--level", "undergraduate", "--format", "json",
    )  # fmt: skip
    thing = json.loads(out)
    assert thing["wish"]["want"] == ["acetone"]
    assert thing["setting"]["pressure_Pa"] == pytest.approx(84_000)
    assert "open-flame" in thing["setting"]["without"]
    assert thing["setting"]["level"] == "undergraduate"


def test_an_altitude_becomes_a_pressure(capsys: pytest.CaptureFixture[str]) -> None:
    # ISO 2533:1975, Standard Atmosphere: 83.52 kPa at 1600 m (from memory)
    _, out, _ = run(capsys, "acetone and water", "--altitude", "1600 m", "--format", "json")
    assert json.loads(out)["setting"]["pressure_Pa"] == pytest.approx(83_520, rel=2e-3)


def test_retention_factors_come_from_the_distances(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "red and blue ink", "--front", "120 mm", "--spots", "54 mm, 90 mm")
    assert "Rf = 0.45" in out  # 54 / 120
    assert "Rf = 0.75" in out  # 90 / 120


@pytest.mark.parametrize(
    "question, code, says",
    [
        ("sand and xyzzium", 3, "xyzzium"),
        ("bleach and hydrochloric acid", 4, "DANGER"),
        ("distilled water", 0, "nothing to separate"),
    ],
)
def test_the_exit_code_tells_the_kind_of_answer(
    capsys: pytest.CaptureFixture[str], question: str, code: int, says: str
) -> None:
    found, out, err = run(capsys, question)
    assert (found, err) == (code, "")
    assert says in out


def test_standard_input_is_a_question_too(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    given(monkeypatch, "\ufeffacetone\nand water\n".encode())
    code, out, _ = run(capsys, "-", "--format", "json")
    assert code == 0
    assert technique_of(out) == "simple-distillation"


def test_yaml_on_standard_input_is_read_as_yaml(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    given(monkeypatch, b"components: [acetone, water]\nwant: acetone\n")
    code, out, _ = run(capsys, "-", "--format", "json")
    thing = json.loads(out)
    assert code == 0
    assert [one["id"] for one in thing["mixture"]["components"]] == ["acetone", "water"]
    assert thing["wish"]["want"] == ["acetone"]


def test_a_yaml_file_is_a_question_too(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "my mixture.yaml"
    path.write_text("components: [acetone, water]\nwant: acetone\n", encoding="utf-8")
    code, out, err = run(capsys, "advise", str(path), "--format", "json")
    assert (code, err) == (0, "")
    assert technique_of(out) == "simple-distillation"


def test_a_faulty_yaml_file_is_named_with_its_line(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "mixture.yaml"
    path.write_text("components: [acetone, water]\nwnat: acetone\n", encoding="utf-8")
    code, out, err = run(capsys, str(path))
    assert (code, out) == (5, "")
    assert f"{path}, line 2" in err
    assert "want" in err


# ---- what goes wrong ---------------------------------------------------------------------------------------------

USAGE = [
    (),
    ("",),
    ("   ",),
    ("advise",),
    ("advise", ""),
    ("sand and water", "--colour", "red"),
    ("sand and water", "--color", "red"),
    ("sand and water", "--format", "xml"),
    ("sand and water", "--width", "0"),
    ("sand and water", "--width", "wide"),
    ("sand and water", "--width", "²"),
    ("sand and water", "--width", "9" * 5000),
    ("sand and water", "--pressure"),
    ("sand and water", "--pressure", "much"),
    ("sand and water", "--pressure", "-1 kPa"),
    ("sand and water", "--pressure", "0 kPa"),
    ("sand and water", "--pressure", "84"),
    ("sand and water", "--pressure", "84 g"),
    ("sand and water", "--pressure", "84 kPa", "--altitude", "1600 m"),
    ("sand and water", "--altitude", "the moon"),
    ("sand and water", "--altitude", "900 km"),
    ("sand and water", "--level", "wizard"),
    ("sand and water", "--why-not", "magic"),
    ("sand and water", "--front", "150 mm"),
    ("sand and water", "--spots", "90 mm"),
    ("sand and water", "--front", "0 mm", "--spots", "0 mm"),
    ("sand and water", "--front", "100 mm", "--spots", "120 mm"),
    ("sand and water", "--front", "long", "--spots", "90 mm"),
    ("sand and water", "--wa", "sand"),
    ("missing.yaml",),
    ("word " * 20_000,),
    ("techniques", "magic"),
    ("rules", "no-such-rule"),
    ("calculate", "no-such-calculation"),
    ("calculate", "rf", "spot"),
    ("calculate", "rf", "=3"),
    ("calculate", "rf", "spot=3 cm", "spot=4 cm", "front=8 cm"),
    ("calculate", "rf", "spot=3 cm"),
    ("table", "--format", "xml"),
]


@pytest.mark.parametrize("argv", USAGE, ids=lambda argv: " ".join(argv)[:40])
def test_a_command_that_cannot_be_understood_gives_one_line_and_2(
    capsys: pytest.CaptureFixture[str], argv: tuple[str, ...]
) -> None:
    code, out, err = run(capsys, *argv)
    assert (code, out) == (2, ""), err
    assert err.startswith("choosemethod: ")
    assert err.count("\n") == 1
    assert "Traceback" not in err
    assert len(err) < 600


@pytest.mark.parametrize("raw", [b"\x00\x01\x02", b"\xff\xfe\xfa", b"sand\x1b[2J", b"sand " * 30_000, b"", b"\n \n"])
def test_standard_input_that_is_no_question_is_refused(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, raw: bytes
) -> None:
    given(monkeypatch, raw)
    code, out, err = run(capsys, "-")
    assert (code, out) == (2, "")
    assert err.count("\n") == 1


def test_no_standard_input_at_all(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    assert run(capsys, "-")[0] == 2


def fails_with(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    def advise(*args: object, **options: object) -> None:
        raise error

    monkeypatch.setattr(choosemethod, "advise", advise)


def test_a_fault_of_the_program_asks_for_a_report(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    fails_with(monkeypatch, KeyError("lost\nkey"))
    code, out, err = run(capsys, "sand and\x1b[31m water")
    assert (code, out) == (70, "")
    assert "report" in err
    assert "sand and" in err
    assert "\x1b" not in err
    assert err.count("\n") == 1
    monkeypatch.setenv("CHOOSEMETHOD_DEBUG", "1")
    assert "Traceback" in run(capsys, "sand and water")[2]


@pytest.mark.parametrize(
    "error, code",
    [
        (KeyboardInterrupt(), 130),
        (DataError("a.yaml", 3, "no", "yes"), 5),
        (RecursionError("deep"), 70),
        (MemoryError(), 70),
    ],
)
def test_the_exit_code_tells_what_went_wrong(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, error: BaseException, code: int
) -> None:
    fails_with(monkeypatch, error)
    found, out, err = run(capsys, "sand and water")
    assert (found, out) == (code, "")
    assert err.count("\n") == (0 if code == 130 else 1)


# ---- the other commands ------------------------------------------------------------------------------------------


def test_help_lists_every_command_and_examples(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "--help")
    assert (code, err) == (0, "")
    assert all(command in out for command in COMMANDS)
    for command in ("advise", "calculate", "table", "techniques", "rules"):
        code, out, err = run(capsys, command, "--help")
        assert (code, err) == (0, "")
        assert "--format" in out
    assert "--why-not" in run(capsys, "advise", "--help")[1]


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "--version")
    assert (code, err) == (0, "")
    assert out.startswith("choosemethod ")


@pytest.mark.parametrize("form", FORMATS)
def test_table_shows_a_substance_with_values_units_sources_and_hazards(
    capsys: pytest.CaptureFixture[str], form: str
) -> None:
    code, out, err = run(capsys, "table", "propanone", "--format", form, "--width", "200")
    assert (code, err) == (0, "")
    assert "56.08 °C" in out  # CRC Handbook of Chemistry and Physics, 95th ed., section 3
    assert "crc" in out
    assert "H225" in out


def test_table_counts_what_it_holds(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "table", "--format", "json")
    assert code == 0
    assert json.loads(out)["substances"] == len(open_table().substance_ids())


def test_table_shows_a_named_mixture(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "table", "milk")
    assert code == 0
    assert "water" in out
    assert "casein" in out


def test_table_suggests_what_is_near(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "table", "acetonne")
    assert (code, out) == (3, "")
    assert "acetone" in err
    code, _, err = run(capsys, "table", "salt", "and", "xyzzium")
    assert code == 3
    assert 'choosemethod "table salt and xyzzium"' in err


def test_table_takes_a_file_of_ones_own(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "own.yaml"
    path.write_text(
        "test-dye:\n  name: test dye\n  kind: organic\n  classes: [organic]\n  phase: solid\n"
        "  melting_point: {is: 120 °C, source: memory}\n",
        encoding="utf-8",
    )
    code, out, err = run(capsys, "table", "test dye", "--table", str(path))
    assert (code, err) == (0, "")
    assert "120 °C (from memory)" in out


@pytest.fixture(scope="module")
def book() -> Any:
    return open_rulebook(open_table())


@pytest.fixture
def opened_once(monkeypatch: pytest.MonkeyPatch, book: Any) -> None:
    """The table and the rulebook stay open from one command to the next."""
    table = open_table()
    monkeypatch.setattr("choosemethod.table.open_table", lambda *_: table)
    monkeypatch.setattr("choosemethod.rulebook.open_rulebook", lambda *_: book)


@pytest.mark.usefixtures("opened_once")
def test_every_technique_has_a_page(capsys: pytest.CaptureFixture[str], book: Any) -> None:
    _, out, _ = run(capsys, "techniques")
    for slug, technique in book.techniques.items():
        assert f"  {slug} " in out
        code, page, err = run(capsys, "techniques", slug, "--format", "words")
        assert (code, err) == (0, "")
        assert page.lower().startswith(technique.name.lower())
        assert "{" not in page
    code, out, _ = run(capsys, "techniques", "Separating Funnel", "--format", "json")
    assert json.loads(out)["id"] == "separating-funnel"


@pytest.mark.usefixtures("opened_once")
def test_every_rule_has_a_page(capsys: pytest.CaptureFixture[str], book: Any) -> None:
    _, out, _ = run(capsys, "rules")
    for ident, rule in book.rules.items():
        assert ident in out
        code, page, err = run(capsys, "rules", ident, "--format", "words")
        assert (code, err) == (0, "")
        assert "{" not in page
        assert rule.file in page
        assert all(example.name in page for example in rule.examples)
    assert json.loads(run(capsys, "rules", ident, "--format", "json")[1])["id"] == ident


@pytest.mark.parametrize("form", FORMATS)
def test_calculate(capsys: pytest.CaptureFixture[str], form: str) -> None:
    # IUPAC Recommendations 1993: Rf is the distance of the spot over that of the front; 3.2 cm / 8 cm = 0.4
    code, out, err = run(capsys, "calculate", "rf", "spot=3.2 cm", "front=8 cm", "--format", form)
    assert (code, err) == (0, "")
    assert "0.4" in out


def test_calculate_without_a_name_lists_what_there_is(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "calculate")
    assert code == 0
    assert "boiling-point" in out
    assert "[pressure]" in out
    code, _, err = run(capsys, "calculate", "boiling-point", "substance=xyzzium")
    assert code == 3
    assert "xyzzium" in err


@pytest.mark.parametrize("command", ["check", "handout"])
def test_classroom_commands_without_a_file_are_a_usage_error(capsys: pytest.CaptureFixture[str], command: str) -> None:
    code, out, err = run(capsys, command)
    assert (code, out) == (2, "")
    assert err.startswith("choosemethod: ")


# ---- as a process ------------------------------------------------------------------------------------------------


def test_python_m_choosemethod_ends_with_the_exit_code() -> None:
    done = process("-m", "choosemethod", "acetone and water", "--format", "json")
    assert (done.returncode, done.stderr) == (0, b"")
    assert technique_of(done.stdout.decode()) == "simple-distillation"
    done = process("-m", "choosemethod", "sand and xyzzium")
    assert done.returncode == 3


def test_a_reader_that_goes_away_is_no_fault() -> None:
    lead, follow = os.pipe()
    os.close(lead)
    try:
        done = process("-m", "choosemethod", "acetone and water", stdout=follow)
    finally:
        os.close(follow)
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")
def test_a_full_disk_is_said() -> None:
    with open("/dev/full", "wb") as full:
        done = process("-m", "choosemethod", "acetone and water", stdout=full)
    assert done.returncode == 74
    assert done.stderr.count(b"\n") == 1


def test_a_terminal_of_few_characters() -> None:
    done = process("-m", "choosemethod", "sand and salt", "--full", variables={"PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0
    assert b"|" in done.stdout
    done.stdout.decode("ascii")
    done = process("-m", "choosemethod", "sand and salt", "--format", "json", variables={"PYTHONIOENCODING": "ascii"})
    assert json.loads(done.stdout.decode("ascii"))["status"] == "answered"


LOADED = """
import sys
from choosemethod.cli import main
main(sys.argv[1:])
print("LOADED", *sorted(name for name in sys.modules if "." not in name or name.startswith("rich.")))
"""


def loaded(*argv: str) -> set[str]:
    done = process("-c", LOADED, *argv)
    assert done.returncode == 0, done.stderr
    return set(done.stdout.decode().rpartition("LOADED ")[2].split())


def test_an_ordinary_question_loads_nothing_needless() -> None:
    modules = loaded("acetone and water")
    assert "rich.console" in modules
    needless = {
        "CoolProp",
        "numpy",
        "chemicals",
        "thermo",
        "yaml",
        "rich.markdown",
        "rich.syntax",
        "rich.table",
        "difflib",
    }
    assert not modules & (needless | {"unittest", "pydoc", "doctest"})


@pytest.mark.parametrize("form", ["json", "words", "markdown"])
def test_only_the_terminal_form_loads_the_terminal_library(form: str) -> None:
    assert not any(name.startswith("rich.") for name in loaded("acetone and water", "--format", form))
