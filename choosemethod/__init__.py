"""choosemethod: which separation technique for a mixture, why, in what order, with what steps and cautions.

>>> from choosemethod import advise
>>> advise("acetone and water", want="acetone").as_dict()["plan"][0]["technique"]
'simple-distillation'
"""

from __future__ import annotations

TYPE_CHECKING = False  # as in typing, which is not loaded for it: the program watches for signals before all else
if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from choosemethod.advice.answer import Advice

__all__ = ["__version__", "advise"]

__version__ = "0.1.0"


def advise(
    question: str | Path,
    *,
    want: str | Sequence[str] = (),
    without: str | Sequence[str] = (),
    pressure: str | float | None = None,
    altitude: str | float | None = None,
    level: str = "",
    why_not: str | Sequence[str] = (),
    front: str | float | None = None,
    spots: str | Sequence[str | float] = (),
    table: Sequence[Path] = (),
) -> Advice:
    """Answer a question about a mixture.

    question: the mixture in words, or the path of a YAML mixture file; want: names to be obtained; without: what is not
    available; pressure: "84 kPa" or Pa; altitude: "1600 m" or m; level: primary, lower-secondary, upper-secondary or
    undergraduate; why_not: technique slugs or names to be explained; front, spots: chromatography distances ("150 mm" or
    m); table: further table files. Raises ChooseMethodError subclasses (UsageError, DataError).
    """
    from choosemethod.advice.ask import ask

    return ask(question, want, without, pressure, altitude, level, why_not, front, spots, table)
