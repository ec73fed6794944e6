"""The completion register: one line of evidence each; lines are added, never changed.

Theory (graded) and practical (signed by an evaluator) are separate lines, and neither stands
for the other. A correction is a new line that voids an old one.
"""

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from sqlalchemy import Column, Float, Integer, MetaData, String, Table, create_engine, select

from gradekit.draw import member_number

THEORY, PRACTICAL = "theory", "practical"
PASSED, NOT_PASSED = "passed", "not passed"

_METADATA = MetaData()
_EVIDENCE = Table(
    "evidence",
    _METADATA,
    Column("line", Integer, primary_key=True, autoincrement=True),
    Column("entered", String(40), nullable=False),  # ISO 8601 with zone
    Column("member", String(20), nullable=False, index=True),
    Column("kind", String(20), nullable=False),
    Column("objective", String(80), nullable=False),
    Column("outcome", String(20), nullable=False),
    Column("score", Float),
    Column("most", Float),
    Column("content_version", String(40), nullable=False, default=""),
    Column("evaluator", String(20), nullable=False, default=""),
    Column("device", String(80), nullable=False, default=""),
    Column("held", String(10), nullable=False, default=""),  # day of a practical, ISO 8601
    Column("remark", String(400), nullable=False, default=""),
    Column("voids", Integer),
)


class RegisterError(ValueError):
    """A line that may not be entered; one sentence why."""


@dataclass(frozen=True)
class Evidence:
    """One line of the register."""

    line: int
    entered: str
    member: str
    kind: str
    objective: str
    outcome: str
    score: float | None
    most: float | None
    content_version: str
    evaluator: str
    device: str
    held: str
    remark: str
    voids: int | None

    @property
    def day(self):
        """The day it counts from: when a practical was held, else when the line was entered."""
        return datetime.fromisoformat(self.held or self.entered).date()


class Register:
    """The register of one course.

    Takes
      folder    the course folder; holds register.db
      address   SQLAlchemy address, or None for SQLite in the folder
    """

    def __init__(self, folder, address=None):
        path = Path(folder) / "register.db"
        self._engine = create_engine(address or f"sqlite:///{path.resolve().as_posix()}")
        _METADATA.create_all(self._engine)

    def close(self):
        """Let go of the database file."""
        self._engine.dispose()

    def lines(self, member=None):
        """Every line that stands, oldest first: voided lines and the voiding ones left out."""
        every = self.all_lines()
        voided = {e.voids for e in every if e.voids is not None}
        return [
            e
            for e in every
            if e.line not in voided and e.voids is None and (member is None or e.member == member)
        ]

    def all_lines(self):
        """Every line ever entered, voided ones too."""
        with self._engine.connect() as connection:
            rows = connection.execute(select(_EVIDENCE).order_by(_EVIDENCE.c.line))
            return [Evidence(**row._mapping) for row in rows]

    def _add(self, **values):
        values.setdefault("entered", datetime.now().astimezone().isoformat(timespec="seconds"))
        with self._engine.begin() as connection:
            return connection.execute(_EVIDENCE.insert().values(**values)).inserted_primary_key[0]

    def post_theory(self, mark, pass_mark, content_version, least_written=0.0):
        """Enter a final mark once for each hand-in; gives the line or None.

        A corrected mark of the same hand-in voids the line it corrects. A pass of an earlier
        hand-in stays a pass, whatever a later one brings.

        Takes
          mark        course.Mark; one that waits for marking is not entered
          pass_mark   share of the points, 0 to 1
          content_version   version of the exercise and digest of the answers: names the hand-in
          least_written   share of the points marked by hand that a pass needs beside it
        """
        if mark.waiting or not mark.most:
            return None
        passed = mark.score >= pass_mark * mark.most - 1e-9
        remark = ""
        if mark.written < least_written * mark.most_written - 1e-9:
            passed, remark = False, "the written answer is below what a pass needs"
        outcome = PASSED if passed else NOT_PASSED
        of_this = [
            e
            for e in self.all_lines()
            if (e.member, e.kind, e.objective, e.content_version)
            == (mark.member, THEORY, mark.assignment, content_version)
            and e.voids is None
        ]
        standing = {e.line for e in self.lines(mark.member)}
        if any(
            (e.score, e.outcome) == (mark.score, outcome) and e.line in standing for e in of_this
        ):
            return None
        if of_this and not any(e.line in standing for e in of_this):
            return None  # somebody took this hand-in's line back: it does not return by itself
        for earlier in of_this:
            if earlier.line in standing:
                self.void(earlier.line, "the mark of the same hand-in was corrected")
        return self._add(
            member=mark.member,
            kind=THEORY,
            objective=mark.assignment,
            outcome=outcome,
            score=mark.score,
            most=mark.most,
            content_version=content_version,
            remark=remark,
        )

    def sign_off(self, member, evolution, evaluator, device="", passed=True, remark="", held=""):
        """Enter a practical evolution that an evaluator signs; gives the line.

        Fails when
          RegisterError   the evaluator is the member, or a name is missing
        """
        if not (member and evolution and evaluator):
            raise RegisterError("member, evolution and evaluator are all needed")
        if member_number(member) == member_number(evaluator):
            raise RegisterError("nobody signs for themselves: the evaluator is another member")
        return self._add(
            member=member,
            kind=PRACTICAL,
            objective=evolution,
            outcome=PASSED if passed else NOT_PASSED,
            evaluator=evaluator,
            device=device,
            remark=remark,
            held=held,
        )

    def void(self, line, remark):
        """Enter a line that takes an earlier one back; both stay readable.

        Fails when
          RegisterError   there is no such standing line, or no reason is given
        """
        old = {e.line: e for e in self.lines()}.get(line)
        if old is None:
            raise RegisterError(f"line {line} does not stand in the register")
        if not remark.strip():
            raise RegisterError("a voided line needs a reason")
        return self._add(
            member=old.member,
            kind=old.kind,
            objective=old.objective,
            outcome="voided",
            voids=line,
            remark=remark,
        )


def months_later(day, months):
    """The same day of the month, some months on; the last day where there is none."""
    year, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + year, month + 1
    for last in (day.day, 30, 29, 28):
        try:
            return date(year, month, last)
        except ValueError:
            continue
    raise ValueError(day)
