"""What every kind of question has: an id, a table of rows, and a draw by hash."""

import os
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

from gradekit.draw import place_in_deal
from gradekit.questions.outcome import Outcome

MOST_TABLES_KEPT = 256
_tables: dict = {}
_SEVERAL = ("rows", "slips", "carries", "options", "parts", "conditions", "guide", "angles")


@lru_cache(maxsize=8)
def department_at(folder):
    """A department's data, read once; None is the demo department."""
    from aerialstream.department import DEMO_FOLDER, load_department

    return load_department(folder or DEMO_FOLDER)


def department_in_use():
    """The department of this station: AERIALSTREAM_DEPARTMENT, else the demo department."""
    return department_at(os.environ.get("AERIALSTREAM_DEPARTMENT") or None)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What every kind of question has.

    id          also the nbgrader id, with "-check" and "-answer" behind it
    variable    the name that the learner's notebook gives the answer
    points      what a right answer earns
    ask         row -> the question in words
    rows        the rows it draws from: dictionaries of displayable values that belong together
    rows_from   department -> rows, instead of `rows`; the demo department's where that gives none
    same_row_as another question whose row this one shares, so that both tell of one scene
    keep        row -> whether a row may be dealt, beyond what the kind itself asks of a row
    title       heading in the notebook
    reread      where to look again, behind every sentence on a slip
    """

    id: str
    variable: str
    points: float
    ask: Callable
    rows: tuple = ()
    rows_from: Callable | None = None
    same_row_as: "Asked | None" = None
    keep: Callable | None = None
    title: str = ""
    reread: str = ""

    judged: ClassVar[bool] = True  # by the grading run; a marker judges the rest
    typed_as: ClassVar[str] = "number, then unit"
    needs: ClassVar[tuple] = ()  # earlier questions whose answers this one takes up
    example_answer: ClassVar[str] = "?"  # shown as advice; must earn nothing on any row

    def __post_init__(self):
        """Refuse what a forgotten comma leaves: one thing where several belong."""
        for name in _SEVERAL:
            if not isinstance(getattr(self, name, ()), (tuple, list)):
                raise TypeError(
                    f"{self.id}: `{name}` holds one thing without a comma behind it; write "
                    f"{name}=(...,) with the comma, even for a single one"
                )

    # --- rows and draws -----------------------------------------------------------------------

    def table(self, department=None):
        """The rows that are dealt: those that `fits` and `keep` let through."""
        if self.same_row_as is not None:
            return self.same_row_as.table(department)
        if self.rows_from is None:
            return self._kept(None)
        return self._kept(department or department_in_use()) or self._kept(department_at(None))

    def _kept(self, department):
        key = (id(self), id(department))
        if key not in _tables:
            if len(_tables) >= MOST_TABLES_KEPT:
                _tables.clear()
            rows = self.rows if self.rows_from is None else tuple(self.rows_from(department))
            kept = tuple(r for r in rows if self.fits(r) and (not self.keep or self.keep(r)))
            _tables[key] = (self, department, kept)  # holding both keeps their ids theirs
        return _tables[key][2]

    def fits(self, row):
        """Whether this row's right answer stands clear of every slip."""
        return True

    def deals(self, row):
        """In how many ways one row can be laid out, such as the orders of its choices."""
        return 1

    def dealt(self, row, deal):
        """The row laid out in one of these ways."""
        return row

    def _place(self, version, member, retake, department):
        table = self.table(department)
        if not table:
            raise ValueError(f"{self.id} has no row to deal")
        leader = self.same_row_as or self
        place = place_in_deal(version, member, leader.id, len(table), retake)
        ways = self.deals(table[place])
        return place, place_in_deal(version, member, f"{self.id}/deal", ways, retake)

    def row_number(self, version, member, retake=0, department=None):
        """The place in the table of the row that this member gets."""
        return self._place(version, member, retake, department)[0]

    def row(self, version, member, retake=0, department=None):
        """The row of numbers that this member gets."""
        place, deal = self._place(version, member, retake, department)
        return self.dealt(self.table(department)[place], deal)

    def place(self, version, member, retake=0, department=None):
        """Row and layout as a text: part of the variant key."""
        place, deal = self._place(version, member, retake, department)
        return str(place) if self.deals(self.table(department)[place]) == 1 else f"{place}.{deal}"

    def variants(self, department=None):
        """Every row in every layout: all that can be dealt."""
        return tuple(
            self.dealt(row, deal)
            for row in self.table(department)
            for deal in range(self.deals(row))
        )

    # --- what each kind fills in --------------------------------------------------------------

    def words(self, row):
        """The question as it is shown; a new line starts a new line on the page."""
        return self.ask(row)

    def judge(self, row, answer, earlier=None):
        """The Outcome for an answer; `earlier` holds {question id: text} of what it takes up."""
        raise NotImplementedError

    def worked_answer(self, row):
        """The right answer as a crew would write it."""
        raise NotImplementedError

    def said_answer(self, row):
        """The right answer as a crew says it: a number with no more digits than it needs."""
        return self.worked_answer(row)

    def shown_slips(self, row):
        """Every known slip of this row, as ShownSlip."""
        return ()

    def _outcome(self, share, branch, message, text=""):
        return Outcome(
            points=round(self.points * share, 2),
            most=float(self.points),
            message=message.strip(),
            note=f"{self.id}/{branch}",
            question=self.id,
            answer=text,
        )

    def _refused(self, reading, text):
        return self._outcome(0.0, reading.status.replace(" ", "-"), reading.advice, text)
