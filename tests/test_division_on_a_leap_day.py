"""A third made-up division, looked at on 29 February 2028, entered by the register's own functions.

Every answer was worked out on paper from the README's rules before the test was run; the sums
stand beside the cases. Cases that the two other divisions have are not repeated here.
"""

from collections import Counter
from datetime import date

import pytest

from aerialstream.department import Completion, load_department
from gradekit.completion import division
from gradekit.register import Register
from gradekit.roster import Member, changes, merged
from gradekit.views import division_view, member_view

TODAY = date(2028, 2, 29)
T, P, Q = "nozzle-reaction", "rotation-awareness", "window-sweep"
DRILL, HOUR = "spring-drill", "review-hour"
RULE = Completion.model_validate(
    {
        "pass_mark": "75 %", "least_written": "50 %",
        "theory_lasts_months": 24, "practical_lasts_months": 12, "due_soon_days": 45,
        "assignments": [T], "evolutions": [P, Q],
        "refresher": [
            {"id": DRILL, "kind": "practical", "renews": [P], "lasts_months": 12,
             "lapsed_up_to_months": 0},
            {"id": HOUR, "kind": "theory", "renews": [T], "lasts_months": 24,
             "lapsed_up_to_months": 6},
        ],
    }
)  # fmt: skip


# --- what can happen to a member: each is done by the register's own function --------------------


class Desk:
    """Enters what happens; `number` is the member's, with a letter for another number."""

    def __init__(self, register, number):
        self.register, self.number, self.lines = register, number, []

    def _whose(self, letter):
        return f"{self.number}{letter and '-'}{letter}".upper()

    def _theory_line(self, at, **values):
        entered = at if "T" in at else f"{at}T10:00:00-06:00"
        with self.register.writing() as writer:
            self.lines.append(
                writer.add(objective=values.pop("what", T), entered=entered, **values)
            )

    def theory(self, at, passed=True, version="v1", letter=""):
        """A marked exercise, with the moment it was entered."""
        self._theory_line(
            at, member=self._whose(letter), kind="theory", score=8.0 if passed else 3.0, most=10.0,
            outcome="passed" if passed else "not passed", content_version=version,
        )  # fmt: skip

    def waiver(self, day, what):
        """A waiver of that day."""
        self._theory_line(
            day, what=what, member=self._whose(""), kind="waiver", outcome="passed",
            evaluator="900", remark="has taught it",
        )  # fmt: skip

    def run(self, what, day, passed=True, letter="", by="900"):
        """A run on the drill ground."""
        whose = self._whose(letter)
        self.lines.append(self.register.sign_off(whose, what, by, "", passed, held=day))

    def hour(self, day):
        """The review hour attended."""
        self.lines.append(self.register.attend(self._whose(""), HOUR, "900", held=day))

    def join(self, letter="", before="a"):
        """The record of another number becomes this one's."""
        line = self.register.renumber(self._whose(letter), self._whose(before), "900", "re-hired")
        self.lines.append(line)

    def void(self, place):
        """What was entered at this place is taken back."""
        self.lines.append(self.register.void(self.lines[place], "wrong", "900"))


def theory(*a, **k):
    return ("theory", a, k)


def waiver(*a):
    return ("waiver", a, {})


def run(*a, **k):
    return ("run", a, k)


def hour(day):
    return ("hour", (day,), {})


def join(*a, **k):
    return ("join", a, k)


def void(place):
    return ("void", (place,), {})


# 2027-06-15 + 24 months = 2029-06-15; 2027-09-30 + 12 = 2028-09-30; 2027-12-31 + 12 = 2028-12-31
t, p, q = theory("2027-06-15"), run(P, "2027-09-30"), run(Q, "2027-12-31")
USUAL, THEN = date(2028, 9, 30), date(2028, 12, 31)  # THEN: where P lasts beyond Q

CASES = {
    "all three": ([t, p, q], "complete", USUAL),
    # --- the leap day
    "signed on a leap day, refreshed each 28 February": (
        # 2024-02-29 + 12 = 2025-02-28, refreshed that day: 2026-02-28, then 2027-02-28,
        # then 2028-02-28: yesterday
        [t, q, run(P, "2024-02-29"), run(DRILL, "2025-02-28"), run(DRILL, "2026-02-28"),
         run(DRILL, "2027-02-28")],
        "lapsed", None,
    ),
    "the same, the last one on 1 March is a day late": (
        # stood until 2027-02-28, no months of grace
        [t, q, run(P, "2026-02-28"), run(DRILL, "2027-03-01")], "lapsed", None,
    ),
    "run on 28 February of the year before": ([t, p, run(Q, "2027-02-28")], "lapsed", None),
    "run on 1 March of the year before": (
        [t, p, run(Q, "2027-03-01")], "due soon", date(2028, 3, 1),
    ),
    "run today, on the leap day": ([t, p, run(Q, "2028-02-29")], "complete", USUAL),
    "theory on a leap day, review on the last day of grace": (
        # 2024-02-29 + 24 = 2026-02-28; + 6 = 2026-08-28; + 24 = 2028-08-28
        [theory("2024-02-29"), hour("2026-08-28"), p, q], "complete", date(2028, 8, 28),
    ),
    "theory on a leap day, review a day after the grace": (
        [theory("2024-02-29"), hour("2026-08-29"), p, q], "lapsed", None,
    ),
    "theory two years ago less a day": ([theory("2026-02-28"), p, q], "lapsed", None),
    # --- 45 days from 29 February: 31 to 31 March, 14 more are 14 April
    "due in 45 days": ([t, p, run(Q, "2027-04-14")], "due soon", date(2028, 4, 14)),
    "due in 46 days": ([t, p, run(Q, "2027-04-15")], "complete", date(2028, 4, 15)),
    # --- zones and clocks
    "ten minutes after midnight at the date line": (
        # 1 March at +14:00, 28 February in Greenwich: + 24 = 2028-03-01
        [theory("2026-03-01T00:10:00+14:00"), p, q], "due soon", date(2028, 3, 1),
    ),
    "a second before midnight on the other side": (
        # 28 February at -10:00, 1 March in Greenwich
        [theory("2026-02-28T23:59:59-10:00"), p, q], "lapsed", None,
    ),
    "the hour that there is not": (
        # from 01:59:59+01:00 clocks go to 03:00:00+02:00, one second on; 2026-03-29 + 24
        [theory("2026-03-29T01:59:59+01:00", False), theory("2026-03-29T03:00:00+02:00", True, "v2"),
         p, q],
        "due soon", date(2028, 3, 29),
    ),
    "passed in the hour that comes twice, by the clock before the fail": (
        # not passed 01:50 at -04:00, passed 01:10 at -05:00, twenty minutes later; 2027-11-07 + 24
        [theory("2027-11-07T01:50:00-04:00", False),
         theory("2027-11-07T01:10:00-05:00", True, "v2"), p, q],
        "complete", USUAL,
    ),
    "moved to another zone between tries": (
        # passed in Sydney on 2 March 2026, tried again in Denver still on 1 March: + 24 = 2028-03-02
        [theory("2026-03-02T08:00:00+11:00"), theory("2026-03-01T16:00:00-07:00", False, "v2"), p, q],
        "due soon", date(2028, 3, 2),
    ),
    # --- two runs of one day: the one typed in later counts
    "not passed, then passed on the same day": ([t, run(P, "2027-09-30", False), p, q], "complete", USUAL),
    "passed, then not passed on the same day": (
        [t, p, run(P, "2027-09-30", False), q], "theory done", None,
    ),
    # --- refreshers
    "refresher before the latest full run": (
        # full run 2027-05-01 + 12; the drill of 2027-03-15 came before it and adds nothing
        [t, run(P, "2026-09-30"), run(DRILL, "2027-03-15"), run(P, "2027-05-01"), q],
        "complete", date(2028, 5, 1),
    ),
    "refresher does not mend a run that was not passed": (
        [t, p, run(P, "2027-10-10", False), run(DRILL, "2027-11-01"), q], "theory done", None,
    ),
    "refresher taken back": (
        # without it 2026-09-30 + 12 = 2027-09-30
        [t, run(P, "2026-09-30"), run(DRILL, "2027-09-01"), q, void(2)], "lapsed", None,
    ),
    "refreshers typed in the wrong way round": (
        # 2026-04-15 + 12 = 2027-04-15; drill 2027-04-10: 2028-04-10; drill 2028-02-20: 2029-02-20
        [t, run(P, "2026-04-15"), run(DRILL, "2028-02-20"), run(DRILL, "2027-04-10"), q],
        "complete", THEN,
    ),
    "the first of two refreshers taken back breaks the second": (
        # then 2028-02-20 is after 2027-04-15
        [t, run(P, "2026-04-15"), run(DRILL, "2027-04-10"), run(DRILL, "2028-02-20"), q, void(2)],
        "lapsed", None,
    ),
    "refresher of one evolution leaves the other": (
        # Q: 2027-01-31 + 12 = 2028-01-31, and no refresher is for it
        [t, p, run(Q, "2027-01-31"), run(DRILL, "2028-01-15")], "lapsed", None,
    ),
    "review hour shorter than what stands": (
        # passed 2027-06-15: until 2029-06-15; hour on the same day: the same
        [t, hour("2027-06-15"), p, q], "complete", USUAL,
    ),
    # --- waivers
    "waived after a run that was not passed": (
        [t, run(P, "2027-09-30", False), waiver("2027-10-10", P), q],
        "complete", date(2028, 10, 10),
    ),
    "not passed after a waiver": (
        [t, waiver("2027-09-30", P), run(P, "2027-10-10", False), q], "theory done", None,
    ),
    "waived, then refreshed": (
        # 2027-01-15 + 12 = 2028-01-15; drill 2027-12-01: 2028-12-01
        [t, waiver("2027-01-15", P), run(DRILL, "2027-12-01"), q], "complete", date(2028, 12, 1),
    ),
    "waived theory, and a bad try after it": (
        [waiver("2026-03-01", T), theory("2027-01-10", False), p, q], "due soon", date(2028, 3, 1),
    ),
    "waiver taken back": ([t, waiver("2027-10-10", P), q, void(1)], "waiting for sign-off", None),
    # --- lapsed, and what is left
    "theory lapsed and tried again without a pass": (
        # 2025-01-10 + 24 = 2027-01-10
        [theory("2025-01-10"), theory("2028-01-10", False, "v2"), p, q], "lapsed", None,
    ),
    "theory lapsed, one evolution never run": ([theory("2025-01-10"), q], "under way", None),
    "theory lapsed, one evolution not passed": (
        [theory("2025-01-10"), run(P, "2027-09-30", False), q], "under way", None,
    ),
    "theory stands, one evolution lapsed, one never run": (
        [t, run(Q, "2026-12-31")], "waiting for sign-off", None,
    ),
    "only a refresher": ([run(DRILL, "2028-01-15")], "under way", None),
    # --- numbers
    "the whole record went to another number": (
        [t, p, q, run(P, "2027-10-15", False, letter="a"), join("a", before="")], "not started", None,
    ),
    "a bad run of the new number's own counts against the old record": (
        # the latest run is the one of 2027-10-15
        [theory("2027-06-15", letter="a"), run(P, "2027-09-30", letter="a"),
         run(Q, "2027-12-31", letter="a"), run(P, "2027-10-15", False), join()],
        "theory done", None,
    ),
    "joined, run under the new number, joining taken back": (
        # T and P go back to the old number
        [theory("2027-06-15", letter="a"), run(P, "2027-09-30", letter="a"), join(), q, void(2)],
        "under way", None,
    ),
    "joined, taken back, and joined again": (
        [theory("2027-06-15", letter="a"), run(P, "2027-09-30", letter="a"), join(), void(2), q,
         join()],
        "complete", USUAL,
    ),
    "pass under the old number refreshed under the new one": (
        # 2026-10-31 + 12 = 2027-10-31; drill 2027-10-31: 2028-10-31
        [theory("2027-06-15", letter="a"), run(P, "2026-10-31", letter="a"), join(),
         run(DRILL, "2027-10-31"), q],
        "complete", date(2028, 10, 31),
    ),
    "pass taken back under the old number, run again under the new one": (
        [theory("2027-06-15", letter="a"), run(P, "2027-09-30", letter="a"), join(), void(1),
         run(P, "2028-01-20"), q],
        "complete", THEN,
    ),
}  # fmt: skip
NAMES = list(CASES)


def number_of(place):
    """Some with zeros in front, some with a letter."""
    return f"{place:03d}" if place % 2 else f"T{place}"


def person(place, **more):
    """Three in a row share one name."""
    return Member(number_of(place), f"Quillon {place // 3}", f"Station {place % 4}", **more)


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """(register, department, roster): everybody's lines one after another."""
    register = Register(tmp_path_factory.mktemp("leap-day"))
    for n, name in enumerate(NAMES):
        desk = Desk(register, number_of(n))
        for what, words, named in CASES[name][0]:
            getattr(desk, what)(*words, **named)
    department = load_department().model_copy(update={"completion": RULE})
    yield register, department, tuple(person(n) for n in range(len(NAMES)))
    register.close()


@pytest.mark.parametrize("name", NAMES)
def test_leap_day_each_member_has_the_answer_worked_out_on_paper(place, name):
    """Status and day, on the own record and in the division."""
    register, department, roster = place
    number = number_of(NAMES.index(name))
    one = member_view(register, department, roster, number, TODAY).standing
    assert (one.status, one.until) == CASES[name][1:]
    (same,) = [p for p in division(register, department, roster, TODAY) if p.member == number]
    assert (same.status, same.until) == CASES[name][1:]


def test_leap_day_division_adds_up(place):
    """Counts, who falls due in which of the three spans, and a chain that holds.

    30 days from 29 February are 30 March, 60 are 29 April, 90 are 29 May.
    """
    register, department, roster = place
    view = division_view(register, department, roster, TODAY)
    assert view.counts == dict(Counter(status for _, status, _ in CASES.values()))
    spans = {30: (TODAY, date(2028, 3, 30)), 60: (date(2028, 3, 31), date(2028, 4, 29)),
             90: (date(2028, 4, 30), date(2028, 5, 29))}  # fmt: skip
    for days, (first, last) in spans.items():
        due = {number_of(n) for n, name in enumerate(NAMES)
               if CASES[name][2] and first <= CASES[name][2] <= last}  # fmt: skip
        assert {p.member for p in view.due[days]} == due and due
    assert view.trend[-2][0] == date(2028, 1, 31) and view.trend[-1][0] == TODAY
    assert register.verify().whole


# --- who leaves, who comes back, who is erased ---------------------------------------------------


def test_who_leaves_and_comes_back_has_the_record_of_the_day_they_return(tmp_path):
    """Away: not counted, the record stays. Back in time: complete. Back too late: lapsed."""
    register = Register(tmp_path)
    desk = Desk(register, "41")
    for what, words, named in (t, p, q):
        getattr(desk, what)(*words, **named)
    department = load_department().model_copy(update={"completion": RULE})
    here = (Member("41", "Ida Vexmoor"), Member("42", "Ida Vexmoor"))
    away = merged(here, here[1:])
    assert [m.active for m in away if m.member == "41"] == [False]
    assert [s.member for s in division(register, department, away, TODAY)] == ["42"]
    assert member_view(register, department, away, "41", TODAY).standing.status == "complete"
    back = merged(away, here)
    assert [new.member for _, new in changes(away, back).returned] == ["41"]
    for day, status in ((TODAY, "complete"), (USUAL, "due soon"), (date(2028, 10, 1), "lapsed")):
        found = {s.member: s.status for s in division(register, department, back, day)}
        assert found == {"41": status, "42": "not started"}
    register.close()


def test_erased_evaluator_leaves_the_passes_they_signed(tmp_path):
    """The evaluator's own remarks go; what they signed stands, with their number, and so does its
    remark, which is the member's. Nobody's chain breaks, and the erased sign nothing more."""
    register = Register(tmp_path)
    register.sign_off("900", P, "901", held="2027-01-10", remark="of the evaluator")
    desk = Desk(register, "41")
    desk.theory("2027-06-15")
    signed = register.sign_off("41", P, "900", held="2027-09-30", remark="of the member")
    desk.run(Q, "2027-12-31")
    register.erase("900", "901", "asked for")
    department = load_department().model_copy(update={"completion": RULE})
    roster = (Member("41", "Ida"), Member("900", "", active=False), Member("901", "Una"))
    view = member_view(register, department, roster, "41", TODAY)
    assert (view.standing.status, view.standing.until) == ("complete", USUAL)
    (line,) = [e for e, _ in view.evidence if e.line == signed]
    assert (line.evaluator, line.remark) == ("900", "of the member")
    assert [e.remark for e in register.all_lines("900") if e.kind == "practical"] == [""]
    assert register.verify().whole
    register.close()
