"""The completion register: one line of evidence each; lines are added, never changed.

Theory (graded) and practical (signed by an evaluator) are separate lines, and neither stands
for the other. A correction is a new line that voids an old one. Each line carries a digest of
itself and of the line before (chain.py); the database refuses to change or delete one.
"""

import contextlib
import json
import os
import secrets
from datetime import date, datetime
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import (
    Column,
    Float,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    create_engine,
    event,
    func,
    select,
)  # fmt: skip
from sqlalchemy.exc import DatabaseError, IntegrityError, OperationalError

from gradekit.chain import NUMBERS, line_digest, walk, words_digest
from gradekit.draw import member_number
from gradekit.migrations import migrate

THEORY, PRACTICAL, ATTENDANCE, WAIVER = "theory", "practical", "attendance", "waiver"
EVIDENCE_KINDS = (THEORY, PRACTICAL, ATTENDANCE, WAIVER)
EXPORT, ERASURE, RENUMBERING = "export", "erasure", "renumbering"
PASSED, NOT_PASSED, VOIDED = "passed", "not passed", "voided"
ADDRESS_VARIABLE = "AERIALSTREAM_REGISTER"
SHEET = "sheet "  # how a token begins that names a paper
SECONDS_TO_WAIT = 60  # for another program that writes

_METADATA = MetaData()
# As the newest step in migrations/ leaves it.
_EVIDENCE = Table(
    "evidence",
    _METADATA,
    Column("line", Integer, primary_key=True, autoincrement=False),
    Column("entered", String(40), nullable=False),  # ISO 8601 with zone
    Column("member", String(20), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("objective", String(80), nullable=False),
    Column("outcome", String(20), nullable=False),
    Column("score", Float),
    Column("most", Float),
    Column("content_version", String(80), nullable=False),
    Column("evaluator", String(20), nullable=False),
    Column("device", String(80), nullable=False),
    Column("held", String(10), nullable=False),  # day of a practical or class, ISO 8601
    Column("voids", Integer),
    Column("attempt", Integer),
    Column("hours", Float),
    Column("missed", Text, nullable=False),  # critical steps, a JSON list or empty
    Column("token", String(80), unique=True),  # names a sheet: entered once, however often sent
    Column("words_digest", String(64), nullable=False),
    Column("digest", String(64), nullable=False),
)
_WORDS = Table(
    "words",
    _METADATA,
    Column("line", Integer, primary_key=True, autoincrement=False),
    Column("salt", String(32), nullable=False),
    Column("remark", Text, nullable=False),
    Column("conditions", Text, nullable=False),
)
_LONGEST = {c.name: c.type.length for c in _EVIDENCE.c if getattr(c.type, "length", None)}
_TEXTS = ("objective", "content_version", "evaluator", "device", "held", "missed")


class RegisterError(ValueError):
    """A line that may not be entered; one sentence why."""


class UnreadableRegister(RegisterError):
    """The file is damaged: it is to be set aside, and a backup restored."""


@contextlib.contextmanager
def _told():
    """What the database says of a damaged or busy file, in words."""
    try:
        yield
    except OperationalError as error:
        if "no such table" in str(error.orig) or "no such column" in str(error.orig):
            raise _unreadable(error) from None
        raise RegisterError(
            f"the register cannot be used just now ({error.orig}); is another program writing, or "
            "the server away?"
        ) from None
    except IntegrityError:
        raise
    except DatabaseError as error:
        raise _unreadable(error) from None


def _unreadable(error):
    return UnreadableRegister(
        f"the register cannot be read ({error.orig}): keep the file as it is, and run "
        "`aerialstream records restore BACKUP.zip`"
    )


class Evidence(NamedTuple):
    """One line of the register. `remark` and `conditions` are empty once they were erased."""

    line: int
    entered: str
    member: str
    kind: str
    objective: str
    outcome: str
    score: float | None = None
    most: float | None = None
    content_version: str = ""
    evaluator: str = ""
    device: str = ""
    held: str = ""
    remark: str = ""
    voids: int | None = None
    attempt: int | None = None
    hours: float | None = None
    conditions: str = ""
    missed: str = ""
    token: str | None = None
    digest: str = ""

    @property
    def day(self):
        """The day it counts from: when it was held, else when it was entered, in its own zone."""
        return _day(self.held or self.entered[:10])

    @property
    def missed_steps(self):
        """Critical steps that were missed."""
        return tuple(json.loads(self.missed)) if self.missed else ()

    @property
    def sheet(self):
        """Number of the paper it was typed in from, or empty."""
        token = self.token or ""
        return token.removeprefix(SHEET) if token.startswith(SHEET) else ""


_day = lru_cache(maxsize=20_000)(date.fromisoformat)

_SELECT = select(
    *(
        func.coalesce(_WORDS.c[name], "") if name in ("remark", "conditions") else _EVIDENCE.c[name]
        for name in Evidence._fields
    )
).select_from(_EVIDENCE.outerjoin(_WORDS, _EVIDENCE.c.line == _WORDS.c.line))


def register_address(folder):
    """SQLAlchemy address of the register: from the environment, else SQLite in the folder."""
    path = (Path(folder) / "register.db").resolve().as_posix()
    return os.environ.get(ADDRESS_VARIABLE) or f"sqlite:///{path}"


class Register:
    """The register of one course.

    Takes
      folder    the course folder; holds register.db
      address   SQLAlchemy address; None takes AERIALSTREAM_REGISTER, else SQLite in the folder
    """

    def __init__(self, folder, address=None):
        self._engine = _engine(address or register_address(folder))
        try:
            with _told(), self._begin() as connection:
                migrate(connection)
        except ValueError as error:
            self.close()
            raise error if isinstance(error, RegisterError) else RegisterError(str(error)) from None

    def close(self):
        """Let go of the database."""
        self._engine.dispose()

    @contextlib.contextmanager
    def _begin(self):
        """A connection that alone may write until its transaction ends."""
        with self._engine.connect().execution_options(writes=True) as connection:
            with connection.begin():
                if connection.dialect.name == "postgresql":
                    connection.exec_driver_sql("SELECT pg_advisory_xact_lock(704912)")
                yield connection

    @contextlib.contextmanager
    def writing(self):
        """A Writer whose lines stand all together or not at all."""
        with _told(), self._begin() as connection:
            yield Writer(connection)

    # --- reading ------------------------------------------------------------------------------

    def lines(self, member=None):
        """Every line that stands, oldest first: voided lines and the voiding ones left out."""
        return standing(self.all_lines(member))

    def all_lines(self, member=None):
        """Every line ever entered, or those of one member; voided ones too."""
        with _told(), self._engine.connect() as connection:
            return _read(connection, member)

    def links(self):
        """The renumberings that stand, oldest first: `objective` was a number of `member` before."""
        with _told(), self._engine.connect() as connection:
            return _links(connection)

    def earlier_numbers(self, member):
        """Numbers that a member had before, the newest of them first."""
        with _told(), self._engine.connect() as connection:
            return _earlier_numbers(connection, member)

    def verify(self, until=None):
        """Follow the chain; gives chain.Verdict. `until`: a (line, digest) written down earlier."""
        with _told(), self._engine.connect() as connection:
            return walk(self._raw(connection), self._erased(connection), until)

    def raw_lines(self):
        """Every line as it lies in the database, with salt and digests: for backup and audit."""
        with _told(), self._engine.connect() as connection:
            return list(self._raw(connection))

    @staticmethod
    def _raw(connection):
        both = select(_EVIDENCE, _WORDS.c.salt, _WORDS.c.remark, _WORDS.c.conditions)
        rows = connection.execute(
            both.select_from(_EVIDENCE.outerjoin(_WORDS, _EVIDENCE.c.line == _WORDS.c.line))
            .order_by(_EVIDENCE.c.line)
        )  # fmt: skip
        for row in rows:
            yield dict(row._mapping)

    @staticmethod
    def _erased(connection):
        asked = select(_EVIDENCE.c.member, _EVIDENCE.c.line).where(_EVIDENCE.c.kind == ERASURE)
        return [tuple(row) for row in connection.execute(asked)]

    def restore(self, rows):
        """Put the lines of a backup into an empty register; the chain must hold afterwards.

        Fails when
          RegisterError   the register has lines, or the chain of the backup is broken
        """
        with self._begin() as connection:
            if connection.execute(select(func.count()).select_from(_EVIDENCE)).scalar():
                raise RegisterError("this register has lines; restore into an empty one")
            for row in rows:
                named = {c.name: row.get(c.name) for c in _EVIDENCE.c}
                connection.execute(_EVIDENCE.insert().values(**named))
                if row.get("salt") is not None:
                    words = {c.name: row[c.name] for c in _WORDS.c}
                    connection.execute(_WORDS.insert().values(**words))
            verdict = walk(self._raw(connection), self._erased(connection))
            if not verdict.whole:
                raise RegisterError(f"line {verdict.broken} of the backup: {verdict.why}")
            return verdict

    # --- writing ------------------------------------------------------------------------------

    def _add(self, **values):
        with self.writing() as writer:
            return writer.add(**values)

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
        with self.writing() as writer:
            every = [
                e
                for e in writer.lines(mark.member)
                if (e.kind, e.objective) == (THEORY, mark.assignment)
            ]
            stand = {e.line for e in standing(every)}
            tries = [e for e in every if e.voids is None]
            of_this = [e for e in tries if e.content_version == content_version]
            if any(
                (e.score, e.outcome) == (mark.score, outcome) and e.line in stand for e in of_this
            ):
                return None
            if of_this and not any(e.line in stand for e in of_this):
                return None  # somebody took this hand-in's line back: it does not return by itself
            for earlier in of_this:
                if earlier.line in stand:
                    writer.void(earlier, "the mark of the same hand-in was corrected")
            hand_ins = list(dict.fromkeys(e.content_version for e in tries))
            if content_version not in hand_ins:
                hand_ins.append(content_version)
            return writer.add(
                member=mark.member,
                kind=THEORY,
                objective=mark.assignment,
                outcome=outcome,
                score=mark.score,
                most=mark.most,
                content_version=content_version,
                attempt=hand_ins.index(content_version) + 1,
                remark=remark,
            )

    def sign_off(
        self, member, evolution, evaluator, device="", passed=True, remark="", held="", **more
    ):
        """Enter a practical evolution that an evaluator signs; gives the line.

        Takes
          missed      critical steps that were missed: with any of them it cannot be a pass
          hours, conditions, token   as in the table; a token is entered once
        Fails when
          RegisterError   the evaluator is the member, a name is missing, a critical step was missed
        """
        with self.writing() as writer:
            return writer.sign_off(
                member, evolution, evaluator, device, passed, remark, held, **more
            )

    def attend(self, member, session, by, held="", hours=None, remark="", token=None):
        """Enter that a member took part in a class or drill; gives the line."""
        with self.writing() as writer:
            return writer.attend(member, session, by, held, hours, remark, token)

    def waive(self, member, objective, by, reason):
        """Enter that a part is waived for a member, by somebody else and with a reason."""
        if not reason.strip():
            raise RegisterError("a waiver needs a reason")
        with self.writing() as writer:
            writer.two_people(member, by)
            return writer.add(
                member=member, kind=WAIVER, objective=objective, outcome=PASSED, evaluator=by,
                remark=reason,
            )  # fmt: skip

    def renumber(self, member, before, by, reason):
        """Enter that a member had another number before; gives the line.

        What stands under the earlier number so far counts for the member from now on, and stays
        as it is. What is entered under it later belongs to whoever has that number then.

        Fails when
          RegisterError   no reason, one number twice, signed by the member, or nothing stands
                          under the earlier number
        """
        member, before, by = map(member_number, (member, before, by))
        if not (member and before and by):
            raise RegisterError("the new number, the one before, and who says so are all needed")
        if not reason.strip():
            raise RegisterError("a new number for a member needs a reason")
        if member == before:
            raise RegisterError(f"{member} is the same number")
        with self.writing() as writer:
            writer.two_people(member, by)
            writer.two_people(before, by)
            links = writer.links()
            numbers = (before, *writer.earlier_numbers(before))
            lines = [e for n in numbers for e in standing(writer.lines(n))]
            under = [e for e in lines if e.kind in EVIDENCE_KINDS]
            if not any(owner_of(e, links) == before for e in under):
                gone = f"; its record went to {owner_of(under[-1], links)}" if under else ""
                raise RegisterError(f"no evidence stands under {before}{gone}")
            return writer.add(
                member=member, kind=RENUMBERING, objective=before, outcome="joined", evaluator=by,
                remark=reason,
            )  # fmt: skip

    def note_export(self, by, what, count, digest):
        """Enter who took what out of the register, how many records, and the file's digest."""
        if not member_number(by):
            raise RegisterError("an export needs the number of who takes it (--by)")
        return self._add(
            member=member_number(by), kind=EXPORT, objective=what, outcome="exported",
            content_version=f"sha256 {digest}", remark=f"{count} records",
        )  # fmt: skip

    def erase(self, member, by, reason):
        """Erase a member's remarks and conditions, and enter that it was asked for.

        The lines stay, with number, outcome and days, and so does the chain. Numbers that the
        member had before are dealt with in the same way. Gives the line of the member's own number.
        """
        if not reason.strip():
            raise RegisterError("an erasure needs a reason")
        if not member_number(by):
            raise RegisterError("an erasure needs the number of who does it (--by)")
        with self.writing() as writer:
            links = writer.links()
            for number in (*reversed(writer.earlier_numbers(member)), member):
                every = {e.line: e for e in writer.lines(number)}
                theirs = [
                    e.line
                    for e in every.values()
                    if (e.remark or e.conditions)
                    and owner_of(every.get(e.voids, e), links) == member
                ]
                line = writer.add(
                    member=number, kind=ERASURE, objective="", outcome="erased", evaluator=by,
                    remark=reason,
                )  # fmt: skip
                writer.forget(theirs)
            return line

    def void(self, line, remark, by=""):
        """Enter a line that takes an earlier one back; both stay readable.

        Takes
          by   number of the member who takes it back; empty where the kit does it by itself
        Fails when
          RegisterError   there is no such standing line, or no reason is given
        """
        with self.writing() as writer:
            old = {e.line: e for e in standing(writer.lines())}.get(line)
            if old is None:
                raise RegisterError(f"line {line} does not stand in the register")
            if old.kind in (EXPORT, ERASURE):
                raise RegisterError(
                    f"line {line} tells of an {old.kind}: that cannot be taken back"
                )
            if not remark.strip():
                raise RegisterError("a voided line needs a reason")
            return writer.void(old, remark, by)


class Writer:
    """Adds lines inside one transaction; nobody else writes meanwhile."""

    def __init__(self, connection):
        self._connection = connection
        last = connection.execute(
            select(_EVIDENCE.c.line, _EVIDENCE.c.digest).order_by(_EVIDENCE.c.line.desc()).limit(1)
        ).first()
        self._line, self._digest = last if last else (0, "")

    def lines(self, member=None):
        """Every line so far, or those of one member."""
        return _read(self._connection, member)

    def with_token(self, token):
        """The line of a sheet that was entered before, or None."""
        return self._first(_EVIDENCE.c.token == token)

    def _first(self, where):
        row = self._connection.execute(_SELECT.where(where)).first()
        return Evidence._make(row) if row else None

    def is_voided(self, line):
        """Whether a line was taken back."""
        return self._first(_EVIDENCE.c.voids == line) is not None

    def add(self, remark="", conditions="", **values):
        """Add one line; gives its number."""
        values.setdefault("entered", datetime.now().astimezone().isoformat(timespec="seconds"))
        row = dict.fromkeys(_EVIDENCE.c.keys()) | dict.fromkeys(_TEXTS, "") | values
        for name in NUMBERS:
            row[name] = None if row[name] is None else float(row[name])
        for name, longest in _LONGEST.items():
            if len(str(row[name] or "")) > longest:
                raise RegisterError(f"{name} is longer than {longest} characters")
        salt = secrets.token_hex(16)
        row["line"] = self._line + 1
        row["words_digest"] = words_digest(salt, remark, conditions)
        row["digest"] = line_digest(self._digest, row)
        self._connection.execute(_EVIDENCE.insert().values(**row))
        if remark or conditions:
            self._connection.execute(
                _WORDS.insert().values(
                    line=row["line"], salt=salt, remark=remark, conditions=conditions
                )
            )
        self._line, self._digest = row["line"], row["digest"]
        return self._line

    def void(self, old, remark, by=""):
        """Add the line that takes another one back."""
        return self.add(
            member=old.member, kind=old.kind, objective=old.objective, outcome=VOIDED,
            voids=old.line, evaluator=by, remark=remark,
        )  # fmt: skip

    def links(self):
        """The renumberings that stand, oldest first."""
        return _links(self._connection)

    def earlier_numbers(self, member):
        """Numbers that a member had before, the newest of them first."""
        return _earlier_numbers(self._connection, member)

    def two_people(self, member, other):
        """Refuse what a member would sign for themselves, under an earlier number too."""
        one, two = member_number(member), member_number(other)
        if one == two or two in self.earlier_numbers(one) or one in self.earlier_numbers(two):
            raise RegisterError("nobody signs for themselves: the evaluator is another member")

    def forget(self, lines):
        """Erase the words of these lines."""
        for line in lines:
            self._connection.execute(_WORDS.delete().where(_WORDS.c.line == line))

    def sign_off(
        self, member, evolution, evaluator, device="", passed=True, remark="", held="", *,
        missed=(), hours=None, conditions="", token=None,
    ):  # fmt: skip
        """Add a practical; see Register.sign_off."""
        if not (member and evolution and evaluator):
            raise RegisterError("member, evolution and evaluator are all needed")
        self.two_people(member, evaluator)
        if passed and missed:
            raise RegisterError(
                f"a critical step was missed ({'; '.join(missed)}): that is no pass"
            )
        return self.add(
            member=member, kind=PRACTICAL, objective=evolution,
            outcome=PASSED if passed else NOT_PASSED, evaluator=evaluator, device=device,
            remark=remark, held=held, hours=hours, conditions=conditions, token=token,
            missed=json.dumps(list(missed), ensure_ascii=False) if missed else "",
        )  # fmt: skip

    def attend(self, member, session, by, held="", hours=None, remark="", token=None):
        """Add an attendance; see Register.attend."""
        if not (member and session and by):
            raise RegisterError("member, session and who entered it are all needed")
        self.two_people(member, by)
        return self.add(
            member=member, kind=ATTENDANCE, objective=session, outcome=PASSED, evaluator=by,
            held=held, hours=hours, remark=remark, token=token,
        )  # fmt: skip


def _read(connection, member=None):
    asked = _SELECT.order_by(_EVIDENCE.c.line)
    if member is not None:
        asked = asked.where(_EVIDENCE.c.member == member)
    return [Evidence._make(row) for row in connection.execute(asked)]


def _links(connection, *where):
    asked = _SELECT.where(_EVIDENCE.c.kind == RENUMBERING, *where).order_by(_EVIDENCE.c.line)
    return standing([Evidence._make(row) for row in connection.execute(asked)])


def _earlier_numbers(connection, member):
    found = [member]
    for number in found:  # grows while it is gone through
        before = [e.objective for e in _links(connection, _EVIDENCE.c.member == number)[::-1]]
        found += [n for n in before if n not in found]
    return tuple(found[1:])


def standing(lines):
    """The lines that stand: voided ones and the voiding ones left out."""
    voided = {e.voids for e in lines if e.voids is not None}
    return [e for e in lines if e.voids is None and e.line not in voided]


def owner_of(line, links):
    """Whose line it is: its own number, or the one that this number became after the line.

    Takes
      links   the renumberings that stand, oldest first
    """
    member = line.member
    for link in links:
        if link.objective == member and link.line > line.line:
            member = link.member
    return member


def number_today(number, links):
    """The number that a member has now, from one that they had before.

    Takes
      links   the renumberings that stand, oldest first
    """
    for link in links:
        number = link.member if link.objective == number else number
    return number


def _engine(address):
    """An engine; on SQLite with a log that outlives a killed process, and one writer at a time."""
    if not str(address).startswith("sqlite"):
        return create_engine(address)
    engine = create_engine(address, connect_args={"timeout": SECONDS_TO_WAIT})

    @event.listens_for(engine, "connect")
    def _set_up(connection, record):
        connection.isolation_level = None  # the transactions are begun below, not by the driver
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA secure_delete = ON")  # what was erased is overwritten

    @event.listens_for(engine, "begin")
    def _begin(connection):
        writes = connection.get_execution_options().get("writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


@lru_cache(maxsize=50_000)
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
