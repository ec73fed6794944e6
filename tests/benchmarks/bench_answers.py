"""How long reading an answer and a check cell take.

    python -m pytest tests/benchmarks/bench_answers.py

The limits are 1 ms for any text and 50 ms for a check cell after the first.
"""

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from learners.made_up import drill_ground
from learners.spellings import ODD, TYPED

from gradekit.answers import as_text, read_answer, read_choice, read_order, split_step, split_values
from gradekit.notebook import check_in_notebook


def _each(text):
    read_answer(text, "length", "foot")
    read_choice(text, 4)
    read_order(text, 5)
    split_step(text)
    split_values(text, ["length out", "elevation", "rotation"])


def test_slowest_odd_text(benchmark):
    """The slowest of all odd texts, each through five readers, best of three."""
    texts = [as_text(text) for text in (*ODD, *(typed for typed, *_ in TYPED))]

    def best(text):
        times = []
        for _ in range(3):
            start = time.perf_counter()
            _each(text)
            times.append(time.perf_counter() - start)
        return min(times)

    for text in texts[:50]:
        _each(text)
    slowest = max(texts, key=best)
    benchmark.extra_info["text"] = slowest[:40]
    benchmark(_each, slowest)
    assert benchmark.stats.stats.median < 0.001


def test_check_cell(benchmark):
    """Every judged question of the made-up paper, one check each."""
    questions = drill_ground.PAPER.auto_questions
    names = {"member": "2041", **{q.variable: "12 ft 6 in" for q in questions}}

    def run():
        for question in questions:
            check_in_notebook(question.id, names)._repr_mimebundle_()

    run()
    benchmark(run)
    assert benchmark.stats.stats.median < 0.05 * len(questions)
