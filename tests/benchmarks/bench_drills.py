"""A drill planned whole, the same set-up on another day, and the lesson's panel moved by one step."""

import pytest

from aerialstream import load_department
from gradekit.drills.day import day_list
from gradekit.drills.plan import Asked, Weather, on_the_day, plan_drill
from lessonkit.drill_panel import drill_panel

pytest.importorskip("pytest_benchmark")
ASKED = Asked(evolution="window-in-line", device="tower-3", site="drill-ground")


def test_a_plan_with_its_search(benchmark):
    department = load_department()
    benchmark.pedantic(plan_drill, (department, ASKED), rounds=10)


def test_the_same_set_up_on_another_day_with_its_list(benchmark):
    plan = plan_drill(load_department(), ASKED)
    day = {"weather": Weather(wind="20 mph"), "hydrant": ("80 psi", "55 psi", "839 gpm")}
    benchmark(lambda: day_list(on_the_day(plan, **day)))


def test_the_panel_moved_by_one_step(benchmark):
    """Limit: 50 ms from key to picture."""
    panel, winds = drill_panel(), iter(range(10**6))
    benchmark.pedantic(lambda: panel.set(wind=next(winds) % 40), rounds=80)
    assert benchmark.stats.stats.median < 0.050
