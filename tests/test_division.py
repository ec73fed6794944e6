"""A made-up division of 2,000: each awkward case gives the answer that was worked out by hand."""

import re
from collections import Counter
from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pytest
from division import PATTERNS, RULE, TODAY, made, number_of, pattern_of, practical, roster, theory

from aerialstream.department import load_department
from gradekit.completion import STANDS, Standing, division
from gradekit.course import Mark
from gradekit.pages import class_page, class_table, division_page, member_page
from gradekit.register import Register
from gradekit.roster import Member
from gradekit.views import ClassView, class_view, division_view, member_view, month_ends

COUNT = 2000


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """Register, department and roster of the division."""
    register = made(tmp_path_factory.mktemp("division"), COUNT)
    department = load_department().model_copy(update={"completion": RULE})
    yield SimpleNamespace(register=register, department=department, roster=roster(COUNT))
    register.close()


def test_division_each_member_has_the_known_answer(place):
    """Status and day of all 2,000."""
    people = division(place.register, place.department, place.roster, TODAY)
    assert len(people) == COUNT
    names = list(PATTERNS)
    for n, person in enumerate(people):
        _, status, until = pattern_of(n)
        assert (person.member, person.status, person.until) == (number_of(n), status, until), names[
            n % len(names)
        ]


def test_division_two_of_one_name_are_two(place):
    """Neighbours share a name and have records of their own."""
    people = division(place.register, place.department, place.roster, TODAY)
    assert people[0].name == people[1].name and people[0].status != people[1].status


def test_division_member_who_left_is_left_out_and_keeps_the_record(place):
    """Not active: not in the division; the own record is there still, and comes back with them."""
    gone = tuple(replace(m, active=m.member != "0001") for m in place.roster)
    people = division(place.register, place.department, gone, TODAY)
    assert len(people) == COUNT - 1 and "0001" not in {p.member for p in people}
    view = member_view(place.register, place.department, gone, "0001", TODAY)
    assert (view.standing.status, len(view.evidence)) == ("complete", 2)
    back = division(place.register, place.department, place.roster, TODAY)
    assert back[1].status == "complete"


def test_division_counts_groups_and_due_lists_add_up(place):
    """Every member is counted once in each group; due lists hold whom they should."""
    view = division_view(place.register, place.department, place.roster, TODAY)
    expected = Counter(pattern_of(n)[1] for n in range(COUNT))
    assert view.counts == {s: n for s, n in expected.items()}
    assert list(view.groups) == ["station", "shift", "company"]
    for rows in view.groups.values():
        assert sum(row[1] for row in rows) == COUNT
        assert sum(row[2] for row in rows) == sum(expected[s] for s in STANDS)
        assert sum(row[4] for row in rows) == expected["lapsed"]
    assert [row[0] for row in view.groups["station"]] == [f"Station {n}" for n in range(1, 12)]
    for days, (first, last) in {30: (0, 30), 60: (31, 60), 90: (61, 90)}.items():
        wanted = [
            number_of(n)
            for n in range(COUNT)
            if pattern_of(n)[2] and first <= (pattern_of(n)[2] - TODAY).days <= last
        ]
        assert sorted(p.member for p in view.due[days]) == wanted and wanted


def test_division_trend_ends_at_today_and_knows_the_past(tmp_path):
    """One member: theory in January 2026, drill in March, so complete from March on."""
    register = Register(tmp_path)
    with register.writing() as writer:
        writer.add(member="1", **theory("2026-01-10"))
        writer.add(member="1", **practical("2026-03-10"))
        writer.add(member="2", **theory("2024-01-10"))
        writer.add(member="2", **practical("2025-05-31"))  # theory lapsed after 2026-01-10
    department = load_department().model_copy(update={"completion": RULE})
    people = (Member("1"), Member("2"))
    trend = division_view(register, department, people, TODAY).trend
    register.close()
    assert [(f"{d:%Y-%m}", n) for d, n, _ in trend] == [
        ("2025-06", 1), ("2025-07", 1), ("2025-08", 1), ("2025-09", 1), ("2025-10", 1),
        ("2025-11", 1), ("2025-12", 1), ("2026-01", 0), ("2026-02", 0), ("2026-03", 1),
        ("2026-04", 1), ("2026-05", 1), ("2026-06", 1),
    ]  # fmt: skip


def test_month_ends_over_a_leap_february():
    """Typed in from a calendar."""
    assert [d.isoformat() for d in month_ends(date(2024, 3, 31), 3)] == [
        "2023-12-31", "2024-01-31", "2024-02-29", "2024-03-31",
    ]  # fmt: skip


def test_division_page_has_no_answers_and_no_outside_address(place):
    """Outcomes only; nothing is loaded from anywhere."""
    view = division_view(place.register, place.department, place.roster, TODAY)
    page = division_page(view, place.department)
    assert "Person 0" in page and "Station 11" in page and "<svg" in page
    assert not re.search(r"https?://|mistake|slip</", page)
    assert page.count("<tr") > COUNT


def test_member_page_shows_voided_lines_and_what_became_of_them(place):
    """Both the voided line and the voiding one are there to be read."""
    names = list(PATTERNS)
    number = number_of(names.index("voided and replaced"))
    view = member_view(place.register, place.department, place.roster, number, TODAY)
    page = member_page(view, place.department)
    assert re.search(r"voided by line \d+", page) and re.search(r"takes back line \d+", page)
    assert "complete until 2027-03-11" in page and "fit to operate" in page


def test_member_of_whom_nothing_is_known_has_no_record(place):
    """Neither roster nor register."""
    assert member_view(place.register, place.department, place.roster, "NOBODY", TODAY) is None


# --- the class ----------------------------------------------------------------------------------


class ToyCourse:
    """A class of three: one right, one with two slips, one who cannot be read."""

    def __init__(self, folder):
        self._file = folder / "released.ipynb"
        self._file.write_text("{}")

    def released(self, assignment):
        return self._file

    def handed_out(self):
        return ["nozzle-reaction"]

    def marks(self, assignment):
        return {"1": Mark("1", assignment, 9.0, 10.0, False)}

    def hand_in_state(self, assignment, member):
        return "handed in, not readable" if member == "3" else "handed in, not graded"

    def notes(self, assignment, member):
        q = f"{assignment}-q"
        return {
            "1": {f"{q}1": f"{q}1/right", f"{q}2": f"{q}2/right"},
            "2": {
                f"{q}1": f"{q}1/mistake/diameter-not-squared",
                f"{q}2": f"{q}2/blank",
                f"{q}3": f"{q}3/mistake/cosine-for-sine",
            },
        }.get(member, {})


def test_class_view_tells_slips_and_who_is_stuck(tmp_path):
    """Each slip with its count; two tries without a pass, or an unreadable file, is stuck."""
    register = Register(tmp_path)
    with register.writing() as writer:
        for version in ("a", "b"):
            writer.add(member="2", **theory("2026-01-10", 3.0, version))
    department = load_department().model_copy(update={"completion": RULE})
    people = (Member("1", "Ida"), Member("2", "<b>Ole</b>"), Member("3", "Una"))
    view = class_view(ToyCourse(tmp_path), register, department, people, TODAY)
    register.close()
    assert isinstance(view, ClassView)
    assert {(q[-2:], s, n) for q, s, _, n in view.slips} == {
        ("q1", "diameter-not-squared", 1), ("q3", "cosine-for-sine", 1),
    }  # fmt: skip
    assert [(m, why.split(":")[-1].strip()) for m, _, why in view.stuck] == [
        ("2", "2 tries, none passed"), ("3", "the hand-in cannot be read"),
    ]  # fmt: skip
    page = class_page(view, department, "2026-06-15 09:00", refresh=20)
    assert 'http-equiv="refresh" content="20"' in page and "<b>Ole" not in page
    assert "diameter not squared" in page and ">no answer<" in page
    (handed,) = view.handed
    assert (handed.graded, handed.not_graded, handed.not_readable, handed.nothing_yet) == (
        (("1", "Ida"),), (("2", "<b>Ole</b>"),), (("3", "Una"),), (),
    )  # fmt: skip
    assert ">1 of 3<" in page and "2 &lt;b&gt;Ole" in page
    assert "fetch(" not in page
    live = class_page(view, department, "2026-06-15 09:00", live=20)
    assert "http-equiv" not in live and "every = 20 * 1000" in live


def test_class_with_two_exercises_tells_them_apart():
    """Two questions called q1: a table each on the page, whole names where all stands in one."""
    person = Standing("1", "Ida", "", "", "under way")
    questions = (("nozzle-reaction-q1", "q1"), ("flow-and-supply-q1", "q1"))
    slips = (("flow-and-supply-q1", "a-slip", "words", 1),)
    view = ClassView(questions, ((person, {"flow-and-supply-q1": "a-slip"}),), slips, ())
    assert class_table(view)[0] == ("Member", "Name", *(q for q, _ in questions), "Status")
    page = class_page(view, load_department(), "2026-06-15")
    assert "<h2>Nozzle reaction</h2>" in page and "<h2>Flow and supply</h2>" in page
    assert ">flow-and-supply-q1<" in page and page.count(">q1<") == 2
