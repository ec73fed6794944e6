"""Rows of nbgrader's gradebook, taken out of one and put into another as plain data.

What an assignment is made of is copied into a gradebook in memory, in which a hand-in is marked;
what came of it goes back as rows, in one transaction. nbgrader's keys are the same in both.
"""

import contextlib

from sqlalchemy import create_engine, select

_MADE_OF = ("course", "assignment", "notebook", "base_cell", "grade_cells", "solution_cells",
            "task_cells", "source_cell")  # fmt: skip
_HANDED_IN = ("submitted_assignment", "submitted_notebook", "grade", "comment")


class NotTaken(RuntimeError):
    """The gradebook did not take the rows; the message says why."""


def tables():
    """nbgrader's tables by name."""
    from nbgrader.api import Base

    return Base.metadata.tables


@contextlib.contextmanager
def opened(address):
    """An engine for a gradebook that nbgrader has made."""
    engine = create_engine(address, pool_pre_ping=True)
    try:
        yield engine
    finally:
        engine.dispose()


def _rows(connection, name, column, keys):
    if not keys:
        return []
    table = tables()[name]
    found = connection.execute(select(table).where(table.c[column].in_(keys)))
    return [dict(row) for row in found.mappings()]


def made_of(connection, assignments):
    """{table: rows} of what some assignments are made of, without anybody's marks."""
    found = {"course": [dict(r) for r in connection.execute(select(tables()["course"])).mappings()]}
    found["assignment"] = _rows(connection, "assignment", "name", assignments)
    keys = [row["id"] for row in found["assignment"]]
    found["notebook"] = _rows(connection, "notebook", "assignment_id", keys)
    keys = [row["id"] for row in found["notebook"]]
    found["base_cell"] = _rows(connection, "base_cell", "notebook_id", keys)
    found["source_cell"] = _rows(connection, "source_cell", "notebook_id", keys)
    keys = [row["id"] for row in found["base_cell"]]
    for name in ("grade_cells", "solution_cells", "task_cells"):
        found[name] = _rows(connection, name, "id", keys)
    return found


def handed_in(connection, assignment, member):
    """{table: rows} of one member's marks and comments in one assignment."""
    whole, held = tables()["submitted_assignment"], tables()["assignment"]
    query = select(whole).join(held, whole.c.assignment_id == held.c.id)
    query = query.where(held.c.name == assignment, whole.c.student_id == member)
    found = {"submitted_assignment": [dict(r) for r in connection.execute(query).mappings()]}
    keys = [row["id"] for row in found["submitted_assignment"]]
    found["submitted_notebook"] = _rows(connection, "submitted_notebook", "assignment_id", keys)
    keys = [row["id"] for row in found["submitted_notebook"]]
    for name in ("grade", "comment"):
        found[name] = _rows(connection, name, "notebook_id", keys)
    return found


def fill(connection, rows):
    """Put rows into tables that do not hold them yet."""
    for name in (*_MADE_OF, *_HANDED_IN):
        if rows.get(name):
            connection.execute(tables()[name].insert(), rows[name])


def add_member(connection, member):
    """See to it that the gradebook knows a member."""
    student = tables()["student"]
    if connection.execute(select(student.c.id).where(student.c.id == member)).first() is None:
        connection.execute(student.insert(), [{"id": member}])


def replace_handed_in(connection, assignment, member, rows):
    """Put a member's marks in the place of what is there, in the transaction of the caller.

    Fails when
      NotTaken   the cells that the marks belong to are no longer those of the assignment
    """
    cells = tables()["base_cell"]
    keys = {row["cell_id"] for name in ("grade", "comment") for row in rows[name]}
    found = connection.execute(select(cells.c.id).where(cells.c.id.in_(keys)))
    if {key for (key,) in found} != keys:
        raise NotTaken(f"{assignment} was released anew during the run: grade again")
    add_member(connection, member)
    before = handed_in(connection, assignment, member)
    for name in reversed(_HANDED_IN):
        table, gone = tables()[name], [row["id"] for row in before[name]]
        if gone:
            connection.execute(table.delete().where(table.c.id.in_(gone)))
    fill(connection, rows)
