"""Make 1,000 quiz questions and work each key out again. Run: python tests/benchmarks/bench_quiz.py [COUNT]

Prints how many questions of each kind there are, the times, and every fault found; exit code 1 if there is one.
"""

from __future__ import annotations

import io
import sys
import time
import zipfile
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "classroom"))
sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

from qti_schema import faults as schema_faults
from quiz_rerun import check_item

from choosemethod.classroom.qti import qti_package
from choosemethod.classroom.quiz import QuizRequest, make_quiz
from choosemethod.classroom.quiz_output import quiz_json


def main(count: int) -> int:
    """Make, check and time; the number of faults as an exit code of 0 or 1."""
    request = QuizRequest(level="undergraduate", count=count, seed=20)
    begin = time.perf_counter()
    quiz = make_quiz(request)
    made = time.perf_counter() - begin
    faults = []
    begin = time.perf_counter()
    for item in quiz.items:
        try:
            check_item(item)
        except AssertionError as error:
            faults.append(f"{item.id}: {error or 'wrong'}: {item.stem} KEY {item.answer}")
    rerun = time.perf_counter() - begin
    package = qti_package(quiz)
    with zipfile.ZipFile(io.BytesIO(package)) as archive:
        for name in archive.namelist():
            faults += [f"{name}: {fault}" for fault in schema_faults(archive.read(name))]
    again = make_quiz(request)
    if quiz_json(again) != quiz_json(quiz) or qti_package(again) != package:
        faults.append("the same seed gave other bytes")
    if len({item.id for item in quiz.items}) < len(quiz.items):
        faults.append("a question occurs twice")
    print(f"{len(quiz.items)} questions of {count}: {dict(sorted(Counter(item.kind for item in quiz.items).items()))}")
    print(f"made in {made:.1f} s, keys worked out again in {rerun:.1f} s, QTI package {len(package) / 1e6:.2f} MB")
    for fault in faults:
        print("FAULT", fault)
    print(f"{len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000))
