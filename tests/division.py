"""A made-up division of 2,000 with five years of lines, and what must be said of each member.

Every expectation is worked out by hand for its pattern, from the rule written beside it. Nothing
of the kit's own is used to say what is right.
"""

from datetime import date

from aerialstream.department import Completion
from gradekit.register import Register
from gradekit.roster import Member

TODAY = date(2026, 6, 15)
RULE = Completion.model_validate(
    {
        "pass_mark": "80 %",
        "least_written": "50 %",
        "theory_lasts_months": 24,
        "practical_lasts_months": 12,
        "assignments": ["nozzle-reaction"],
        "evolutions": ["rotation-awareness"],
        "due_soon_days": 60,
        "refresher": [
            {
                "id": "rotation-refresher", "kind": "practical", "renews": ["rotation-awareness"],
                "lasts_months": 12, "lapsed_up_to_months": 6,
            },
            {
                "id": "theory-refresher", "kind": "theory", "renews": ["nozzle-reaction"],
                "lasts_months": 12,
            },
        ],
    }
)  # fmt: skip
T, P = "nozzle-reaction", "rotation-awareness"


def theory(day, score=9.0, version="v1", zone="-05:00"):
    return {
        "kind": "theory", "objective": T, "outcome": "passed" if score >= 8 else "not passed",
        "score": score, "most": 10.0, "content_version": version,
        "entered": f"{day}T09:00:00{zone}",
    }  # fmt: skip


def practical(day, passed=True, objective=P, entered=None):
    return {
        "kind": "practical", "objective": objective, "held": day, "evaluator": "E1",
        "outcome": "passed" if passed else "not passed",
        "entered": f"{entered or day}T16:00:00-05:00",
    }  # fmt: skip


def attended(day, session):
    return {
        "kind": "attendance", "objective": session, "outcome": "passed", "evaluator": "E1",
        "held": day, "entered": f"{day}T12:00:00-05:00", "hours": 2.0,
    }  # fmt: skip


def waiver(day, objective):
    return {
        "kind": "waiver", "objective": objective, "outcome": "passed", "evaluator": "E1",
        "remark": "a reason", "entered": f"{day}T12:00:00-05:00",
    }  # fmt: skip


def void(place):
    """Takes back the line at this place of the pattern."""
    return {"void": place, "entered": "2026-06-01T08:00:00-05:00"}


# name: (lines, status, complete until or None)
PATTERNS = {
    "nothing": ([], "not started", None),
    "plain": (
        # theory 2025-09-10 + 24 months; practical 2026-03-10 + 12 months
        [theory("2025-09-10"), practical("2026-03-10")], "complete", date(2027, 3, 10),
    ),
    "theory only": ([theory("2025-09-10")], "waiting for sign-off", None),
    "practical only": ([practical("2026-03-10")], "waiting for theory", None),
    "failed theory": ([theory("2026-01-10", 5.0)], "under way", None),
    "worse try after a pass": (
        [theory("2025-09-10"), theory("2026-02-01", 4.0, "v2"), practical("2026-03-10")],
        "complete", date(2027, 3, 10),
    ),
    "due on the last day": (
        # 2025-06-15 + 12 months is today: it still stands
        [theory("2025-09-10"), practical("2025-06-15")], "due soon", date(2026, 6, 15),
    ),
    "lapsed yesterday": ([theory("2025-09-10"), practical("2025-06-14")], "lapsed", None),
    "due in 60 days": (
        [theory("2025-09-10"), practical("2025-08-14")], "due soon", date(2026, 8, 14),
    ),
    "due in 61 days": (
        [theory("2025-09-10"), practical("2025-08-15")], "complete", date(2026, 8, 15),
    ),
    "lapsed, then passed anew": (
        [theory("2021-03-01"), practical("2021-03-02"), theory("2026-02-01", 9.0, "v3"),
         practical("2026-02-02")],
        "complete", date(2027, 2, 2),
    ),
    "lapsed, then refreshed in time": (
        # stood until 2026-02-01; refresher 2026-05-01 is within 6 months: until 2027-05-01
        [theory("2025-09-10"), practical("2025-02-01"),
         practical("2026-05-01", objective="rotation-refresher")],
        "complete", date(2027, 5, 1),
    ),
    "refreshed too late": (
        # stood until 2025-02-01; a refresher of 2026-05-01 comes more than 6 months after
        [theory("2025-09-10"), practical("2024-02-01"),
         practical("2026-05-01", objective="rotation-refresher")],
        "lapsed", None,
    ),
    "refresher without anything to renew": (
        [theory("2025-09-10"), practical("2026-05-01", objective="rotation-refresher")],
        "waiting for sign-off", None,
    ),
    "theory refreshed by a class": (
        # theory 2024-01-10 stood until 2026-01-10; class 2026-01-05: until 2027-01-05
        [theory("2024-01-10"), practical("2026-03-10"), attended("2026-01-05", "theory-refresher")],
        "complete", date(2027, 1, 5),
    ),
    "a class does not stand for the drill": (
        [theory("2025-09-10"), attended("2026-03-10", P)], "waiting for sign-off", None,
    ),
    "a class named like the exercise does not stand for it": (
        [attended("2026-01-05", T), practical("2026-03-10")], "waiting for theory", None,
    ),
    "voided pass": (
        [theory("2025-09-10"), practical("2026-03-10"), void(1)], "waiting for sign-off", None,
    ),
    "voided and replaced": (
        [theory("2025-09-10"), practical("2026-03-10"), void(1), practical("2026-03-11")],
        "complete", date(2027, 3, 11),
    ),
    "everything voided": ([theory("2025-09-10"), void(0)], "not started", None),
    "run again and not passed": (
        [theory("2025-09-10"), practical("2026-03-10"), practical("2026-05-10", passed=False)],
        "theory done", None,
    ),
    "earlier run typed in later": (
        # held in April, not passed; held in May, passed, but the April sheet was typed in last
        [theory("2025-09-10"), practical("2026-05-10"),
         practical("2026-04-10", passed=False, entered="2026-06-01")],
        "complete", date(2027, 5, 10),
    ),
    "waived theory": (
        [waiver("2025-12-01", T), practical("2026-03-10")], "complete", date(2027, 3, 10),
    ),
    "re-hired after three years": (
        [theory("2022-01-10"), practical("2022-01-20")], "lapsed", None,
    ),
    "leap day": (
        # 2024-02-29 + 24 months is 2026-02-28
        [theory("2024-02-29"), practical("2026-03-10")], "lapsed", None,
    ),
    "late in the evening, west": (
        # 23:30 on the 15th of June 2024 at -05:00 is the 16th in Greenwich: the member's own day
        # counts, and 24 months on is today
        [{**theory("2024-06-15"), "entered": "2024-06-15T23:30:00-05:00"}, practical("2026-03-10")],
        "due soon", date(2026, 6, 15),
    ),
    "early in the morning, east": (
        # 00:30 on the 15th at +09:00 is the 14th in Greenwich: still the 15th for the member
        [{**theory("2024-06-15"), "entered": "2024-06-15T00:30:00+09:00"}, practical("2026-03-10")],
        "due soon", date(2026, 6, 15),
    ),
    "daylight saving begins between two lines": (
        [theory("2026-03-07", zone="-06:00"), practical("2026-03-08")],
        "complete", date(2027, 3, 8),
    ),
}  # fmt: skip


def number_of(place):
    """Member numbers, some of them with zeros in front."""
    return f"{place:04d}"


def roster(count=2000):
    """Members in turn over the patterns; two in a row share one name."""
    return tuple(
        Member(
            number_of(n), f"Person {n // 2}", f"Station {n % 11 + 1}", "ABC"[n % 3], "Firefighter",
            True, f"Company {n % 4 + 1}",
        )
        for n in range(count)
    )  # fmt: skip


def pattern_of(place):
    """The pattern of a member."""
    return list(PATTERNS.values())[place % len(PATTERNS)]


def enter(register, count=2000, extra=0):
    """Enter everybody's lines, oldest first, with `extra` classes each beside them.

    The classes are of a kind that no rule asks for: five years of other evidence.
    """
    with register.writing() as writer:
        for place in range(count):
            member, lines = number_of(place), pattern_of(place)[0]
            for n in range(extra):
                day = date(2021 + n * 5 // max(extra, 1), n % 12 + 1, n % 28 + 1)
                writer.add(member=member, **attended(day.isoformat(), "company drill"))
            made = []
            for values in lines:
                if "void" in values:
                    old = lines[values["void"]]
                    made.append(
                        writer.add(
                            member=member, kind=old["kind"], objective=old["objective"],
                            outcome="voided", voids=made[values["void"]], remark="wrong",
                            entered=values["entered"],
                        )
                    )  # fmt: skip
                else:
                    made.append(writer.add(member=member, **values))


def made(folder, count=2000, extra=0):
    """A register of its own in a folder, filled."""
    register = Register(folder)
    enter(register, count, extra)
    return register
