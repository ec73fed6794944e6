"""A second made-up division of 2,000, with a rule of five parts; every answer worked out by hand.

Members here change their number, come back to it, share a name, leave as evaluators, hand in over
the night when clocks change, and are waived, voided, refreshed, retaken and moved to new versions.
The sums stand beside each case; nothing of the kit's own says what is right.
"""

from collections import Counter
from datetime import date

import pytest

from aerialstream.department import Completion, load_department
from gradekit.completion import division
from gradekit.register import Register
from gradekit.roster import Member
from gradekit.views import division_view, member_view

TODAY = date(2026, 11, 2)  # the day after clocks go back
A1, A2, CLASS = "nozzle-reaction", "flow-and-supply", "briefing"
E1, E2 = "rotation-awareness", "window-sweep"
RULE = Completion.model_validate(
    {
        "pass_mark": "80 %", "least_written": "50 %",
        "theory_lasts_months": 24, "practical_lasts_months": 12, "due_soon_days": 30,
        "assignments": [A1, A2], "sessions": [CLASS], "evolutions": [E1, E2],
        "lasts": {A2: 36, CLASS: 12, E2: 6},
        "refresher": [
            {"id": "rig-refresher", "kind": "practical", "renews": [E1, E2], "lasts_months": 6,
             "lapsed_up_to_months": 3},
            {"id": "winter-class", "kind": "theory", "renews": [A1], "lasts_months": 12},
        ],
    }
)  # fmt: skip
COUNT = 2000


def theory(objective, when, passed=True, version="v1"):
    at = when if "T" in when else f"{when}T09:00:00-05:00"
    return {
        "kind": "theory", "objective": objective, "outcome": "passed" if passed else "not passed",
        "score": 9.0 if passed else 4.0, "most": 10.0, "content_version": version, "entered": at,
    }  # fmt: skip


def run(objective, day, passed=True, evaluator="E1"):
    return {
        "kind": "practical", "objective": objective, "held": day, "evaluator": evaluator,
        "outcome": "passed" if passed else "not passed", "entered": f"{day}T16:00:00-05:00",
    }  # fmt: skip


def attended(session, day):
    return {
        "kind": "attendance", "objective": session, "outcome": "passed", "evaluator": "E1",
        "held": day, "entered": f"{day}T12:00:00-05:00",
    }  # fmt: skip


def waived(objective, day):
    return {
        "kind": "waiver", "objective": objective, "outcome": "passed", "evaluator": "E1",
        "remark": "a reason", "entered": f"{day}T12:00:00-05:00",
    }  # fmt: skip


def void(place):
    return {"void": place}


def joined(to, before):
    """From now on the record of number `before` counts for number `to` ("" is the newest)."""
    return {"to": to, "before": before}


def under(number, *lines):
    """Lines entered under another number of the member: "a", "b", ..."""
    return [{**line, "under": number} for line in lines]


# 2026-01-15 + 24; 2025-06-30 + 36; 2026-02-28 + 12; 2026-03-31 + 12; 2026-08-31 + 6 months
a1, a2, briefing = theory(A1, "2026-01-15"), theory(A2, "2025-06-30"), attended(CLASS, "2026-02-28")
e1, e2 = run(E1, "2026-03-31"), run(E2, "2026-08-31")
ALL = [a1, a2, briefing, e1, e2]
USUAL = date(2027, 2, 28)  # briefing and window sweep lapse first, on the same day


def but(place, *lines):
    """All five, with one of them replaced."""
    return [*ALL[:place], *lines, *ALL[place + 1 :]]


CASES = {
    "all five": (ALL, "complete", USUAL),
    "re-hired under a new number": ([*under("a", *ALL), joined("", "a")], "complete", USUAL),
    "re-hired, and nobody joined the numbers": (under("a", *ALL), "not started", None),
    "joined by mistake and taken back": (
        [*under("a", *ALL), joined("", "a"), void(5)], "not started", None,
    ),
    "re-hired and refreshed under the new number": (
        # sweep of 2026-04-30 stood until 2026-10-30; refresher the day after, until 2027-04-30
        [*under("a", a1, a2, briefing, e1, run(E2, "2026-04-30")), joined("", "a"),
         run("rig-refresher", "2026-10-31")],
        "complete", USUAL,
    ),
    "three numbers, some parts under each": (
        [*under("a", a1, a2), joined("b", "a"), *under("b", briefing, e1), joined("", "b"), e2],
        "complete", USUAL,
    ),
    "back to the number of old": (
        # own number, then "a", then the own number again: the third joining takes all home
        [a1, a2, joined("a", ""), *under("a", briefing, e1), joined("", "a"), e2],
        "complete", USUAL,
    ),
    "the old number given to somebody else": (
        # what is entered under "a" after the joining is not theirs: the failed run is another's
        [*under("a", *ALL), joined("", "a"), *under("a", run(E1, "2026-10-30", passed=False))],
        "complete", USUAL,
    ),
    "who got a used number begins anew": (
        # five lines went away with their member; one is the new holder's own
        [*ALL, joined("a", ""), theory(A1, "2026-10-01")], "under way", None,
    ),
    "voided after the numbers were joined": (
        [*under("a", *ALL), joined("", "a"), void(3)], "waiting for sign-off", None,
    ),
    "voided pass": ([*ALL, void(3)], "waiting for sign-off", None),
    "lapsed and refreshed on the last day of grace": (
        # 2026-01-31 + 6 = 2026-07-31, + 3 = 2026-10-31
        [*but(4, run(E2, "2026-01-31")), run("rig-refresher", "2026-10-31")], "complete", USUAL,
    ),
    "lapsed and refreshed a day too late": (
        [*but(4, run(E2, "2026-01-31")), run("rig-refresher", "2026-11-01")], "lapsed", None,
    ),
    "refresher that was not passed renews nothing": (
        [*but(4, run(E2, "2026-04-30")), run("rig-refresher", "2026-10-31", passed=False)],
        "lapsed", None,
    ),
    "half an hour to midnight before the clocks go back": (
        # 23:30 on 2 November 2024 at -04:00 is the 3rd in Greenwich; + 24 months is today
        but(0, theory(A1, "2024-11-02T23:30:00-04:00")), "due soon", date(2026, 11, 2),
    ),
    "the hour that comes twice, second time": (
        # 01:30 on 3 November 2024 at -05:00: + 24 months is tomorrow
        but(0, theory(A1, "2024-11-03T01:30:00-05:00")), "due soon", date(2026, 11, 3),
    ),
    "just after midnight far in the east": (
        # 00:15 on the 2nd at +13:00 is the 1st in Greenwich; the member's own day counts
        but(0, theory(A1, "2024-11-02T00:15:00+13:00")), "due soon", date(2026, 11, 2),
    ),
    "just before midnight far in the east": (
        but(0, theory(A1, "2024-11-01T23:45:00+13:00")), "lapsed", None,
    ),
    "signed by an evaluator who has left": (
        but(3, run(E1, "2026-03-31", evaluator="E9")), "complete", USUAL,
    ),
    "sweep waived": (but(4, waived(E2, "2026-09-01")), "complete", USUAL),  # until 2027-03-01
    "briefing waived": (
        but(2, waived(CLASS, "2026-05-31")), "complete", USUAL,  # the sweep lapses first now
    ),
    "waiver lapses like what it stands for": (
        but(4, waived(E2, "2026-05-01")), "lapsed", None,  # until 2026-11-01
    ),
    "retake": (
        but(0, theory(A1, "2026-01-10", False), theory(A1, "2026-02-20", version="v2")),
        "complete", USUAL,
    ),
    "new version passed after the old pass lapsed": (
        but(0, theory(A1, "2024-10-20"), theory(A1, "2026-10-25", version="v2")),
        "complete", USUAL,
    ),
    "new version failed while the old pass stands": (
        [*ALL, theory(A1, "2026-10-25", False, "v2")], "complete", USUAL,
    ),
    "run again and not passed": ([*ALL, run(E1, "2026-10-01", False)], "theory done", None),
    "only the briefing": ([briefing], "under way", None),
    "all but the briefing": (but(2), "waiting for theory", None),
    "due in 30 days": (but(4, run(E2, "2026-06-02")), "due soon", date(2026, 12, 2)),
    "due in 31 days": (but(4, run(E2, "2026-06-03")), "complete", date(2026, 12, 3)),
    "31 May and six months": (but(4, run(E2, "2026-05-31")), "due soon", date(2026, 11, 30)),
    "class long after the theory lapsed": (
        # 2024-01-31 + 24 = 2026-01-31; this class has no limit: 2026-09-01 + 12
        [*but(0, theory(A1, "2024-01-31")), attended("winter-class", "2026-09-01")],
        "complete", USUAL,
    ),
    "attendance does not stand for the drill": (
        but(4, attended(E2, "2026-08-31")), "waiting for sign-off", None,
    ),
    "took an export, and nothing else": (
        [{"kind": "export", "objective": "csv", "outcome": "exported",
          "entered": "2026-10-01T09:00:00-04:00"}],
        "not started", None,
    ),
    "erased on request, and nothing else": (
        [{"kind": "erasure", "objective": "", "outcome": "erased", "evaluator": "E1",
          "entered": "2026-10-01T09:00:00-04:00"}],
        "not started", None,
    ),
}  # fmt: skip
NAMES = list(CASES)


def number_of(place, letter=""):
    """Member numbers with zeros in front; a letter behind for numbers they had before."""
    return f"{place:04d}{'-' if letter else ''}{letter}"


def _enter(writer, place):
    made, lines = [], CASES[NAMES[place % len(NAMES)]][0]
    for line in lines:
        if "void" in line:
            old = lines[line["void"]]
            member = number_of(place, old.get("under", old.get("to", "")))
            values = {"outcome": "voided", "voids": made[line["void"]], "remark": "wrong"}
            kind = "renumbering" if "to" in old else old["kind"]
            values |= {"kind": kind, "objective": old.get("objective", "")}
        elif "to" in line:
            member, values = number_of(place, line["to"]), {"kind": "renumbering"}
            values |= {"objective": number_of(place, line["before"]), "outcome": "joined"}
        else:
            member = number_of(place, line.get("under", ""))
            values = {k: v for k, v in line.items() if k != "under"}
        values.setdefault("entered", "2026-10-01T09:00:00-04:00")
        made.append(writer.add(member=member, **values))


def people_of(count):
    """The roster: numbers of old are on it as not active; two in a row share a name."""
    now = [Member(number_of(n), f"Person {n // 2}", f"Station {n % 7}") for n in range(count)]
    old = [Member(number_of(n, "a"), f"Person {n // 2}", active=False) for n in range(count)]
    return (*now, *old, Member("E1", "Lt", active=False), Member("E9", "Gone", active=False))


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """(register, department, roster)."""
    register = Register(tmp_path_factory.mktemp("by-hand"))
    with register.writing() as writer:
        for n in range(COUNT):
            _enter(writer, n)
    department = load_department().model_copy(update={"completion": RULE})
    yield register, department, people_of(COUNT)
    register.close()


@pytest.mark.parametrize("name", NAMES)
def test_each_case_has_the_answer_worked_out_by_hand(place, name):
    """One member of each case by the own record, status and day."""
    register, department, roster = place
    view = member_view(register, department, roster, number_of(NAMES.index(name)), TODAY)
    assert (view.standing.status, view.standing.until) == CASES[name][1:]


def test_all_2000_have_their_answers_and_the_counts_add_up(place):
    """Each member once, none by a number of old; the view counts the same."""
    register, department, roster = place
    people = division(register, department, roster, TODAY)
    assert [p.member for p in people] == [number_of(n) for n in range(COUNT)]
    wrong = [
        (NAMES[n % len(NAMES)], p.status, p.until)
        for n, p in enumerate(people)
        if (p.status, p.until) != CASES[NAMES[n % len(NAMES)]][1:]
    ]
    assert not wrong
    counts = Counter(CASES[NAMES[n % len(NAMES)]][1] for n in range(COUNT))
    assert division_view(register, department, roster, TODAY).counts == dict(counts)
    assert register.verify().whole


def test_a_number_of_old_leads_to_the_record_of_today(place):
    """An auditor with the old number in hand finds the member, and both numbers on the record."""
    register, department, roster = place
    where = NAMES.index("re-hired under a new number")
    view = member_view(register, department, roster, number_of(where, "a"), TODAY)
    assert view.standing.member == number_of(where) and view.standing.status == "complete"
    assert view.earlier == (number_of(where, "a"),)
    assert [e.member for e, _ in view.evidence] == [number_of(where, "a")] * 5 + [number_of(where)]
    where = NAMES.index("three numbers, some parts under each")
    view = member_view(register, department, roster, number_of(where), TODAY)
    assert view.earlier == (number_of(where, "b"), number_of(where, "a"))


def test_lines_of_another_holder_of_the_number_are_not_on_the_record(place):
    """The failed run belongs to whoever got the number afterwards."""
    register, department, roster = place
    where = NAMES.index("the old number given to somebody else")
    view = member_view(register, department, roster, number_of(where), TODAY)
    assert all(e.outcome != "not passed" for e, _ in view.evidence)
    given = tuple(
        Member(m.member, "New Holder", active=True) if m.member == number_of(where, "a") else m
        for m in roster
    )
    view = member_view(register, department, given, number_of(where, "a"), TODAY)
    assert [e.outcome for e, _ in view.evidence] == ["not passed"] and not view.earlier
