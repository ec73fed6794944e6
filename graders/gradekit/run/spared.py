"""A gradebook in memory for nbgrader's steps, and what they repeat hundreds of times done once.

For every notebook nbgrader opens the gradebook eleven times, looks each time whether its tables are
there, asks for every cell by four joined tables, commits about twenty-five times, and checks its own
schema once a cell. While a `Spared` is open, whoever opens the gradebook at its address gets one
that is in memory, and a cell is looked up once. Any other address is opened as ever. Marks and
files come out the same: a test compares them with a run of plain nbgrader.
"""

import contextlib
import copy

ADDRESS = "sqlite://"  # in memory; no file of a class has it


class _Schemas:
    """Stands in for the module jsonschema where nbgrader checks the metadata of cells."""

    def __init__(self, module):
        self._module, self._ready = module, {}

    def validate(self, instance, schema):
        """As jsonschema.validate, by a function that is made once from the schema."""
        import fastjsonschema

        if id(schema) not in self._ready:
            self._ready[id(schema)] = (fastjsonschema.compile(schema), schema)
        try:
            self._ready[id(schema)][0](instance)
        except fastjsonschema.JsonSchemaException:
            self._module.validate(instance, schema)  # says it in the words that are expected

    def __getattr__(self, name):
        return getattr(self._module, name)


def _copied(what):
    """A deep copy of what JSON can hold."""
    if isinstance(what, dict):
        made = what.__class__()
        for key, value in what.items():
            dict.__setitem__(made, key, _copied(value))
        return made
    if isinstance(what, list):
        return [_copied(value) for value in what]
    return what


class _QuickCopies:
    """Stands in for the module copy where notebooks are copied, which hold only JSON."""

    deepcopy = staticmethod(_copied)


class _NoCopies:
    """The same in nbconvert's exporter: what it copies was read for it alone."""

    deepcopy = staticmethod(lambda what: what)


class Spared:
    """As a context manager: the gradebook in memory, and nbgrader spared the work that it repeats."""

    def __enter__(self):
        import jsonschema
        from nbconvert.exporters import exporter
        from nbformat import validator
        from nbformat.v4 import nbjson
        from nbgrader import api
        from nbgrader.nbgraderformat import common
        from sqlalchemy import create_engine
        from sqlalchemy.orm import scoped_session, sessionmaker

        self._engine = create_engine(ADDRESS)
        self.connection = self._engine.connect()
        api.Base.metadata.create_all(bind=self.connection)
        self.connection.commit()
        self._session = scoped_session(
            sessionmaker(autoflush=True, bind=self.connection, expire_on_commit=False)
        )
        self._real = {name: getattr(api.Gradebook, name) for name in _METHODS}
        for name, method in _METHODS.items():
            setattr(api.Gradebook, name, _in_memory_or(method, self._real[name], self))
        common.jsonschema = _Schemas(jsonschema)
        exporter.copy, nbjson.copy = _NoCopies, _QuickCopies
        validator.deepcopy = _copied
        return self

    def __exit__(self, *what):
        import jsonschema
        from nbconvert.exporters import exporter
        from nbformat import validator
        from nbformat.v4 import nbjson
        from nbgrader import api
        from nbgrader.nbgraderformat import common

        for name, method in self._real.items():
            setattr(api.Gradebook, name, method)
        common.jsonschema = jsonschema
        exporter.copy = nbjson.copy = copy
        validator.deepcopy = copy.deepcopy
        self._session.remove()
        self.connection.close()
        self._engine.dispose()

    def session(self):
        """The session of whoever opens the gradebook in memory."""
        return self._session

    @contextlib.contextmanager
    def for_one(self):
        """A transaction that is taken back at the end: nothing of one hand-in stays for the next."""
        transaction = self.connection.begin()
        try:
            yield self.connection
        finally:
            self._session.remove()
            transaction.rollback()


def _in_memory_or(ours, real, spared):
    """Ours for the gradebook in memory, nbgrader's own for every other."""

    def method(self, *args, **kwargs):
        if ours is _open:
            address = args[0] if args else kwargs["db_url"]
            if address == ADDRESS:
                return _open(self, spared, *args, **kwargs)
        elif getattr(self, "looked_up", None) is not None:
            return ours(self, *args, **kwargs)
        return real(self, *args, **kwargs)

    return method


def _open(self, spared, db_url, course_id="default_course", authenticator=None):
    self.engine, self.db, self.looked_up = spared.connection, spared.session(), {}
    self.course_id, self.authenticator = course_id, authenticator


def _close(self):
    self.db.remove()
    self.looked_up = {}


def _found(self, kind, place, name, load):
    from nbgrader.api import MissingEntry

    if (kind, place) not in self.looked_up:
        self.looked_up[kind, place] = load(self, kind, place)
    try:
        return self.looked_up[kind, place][name]
    except KeyError:
        raise MissingEntry(f"no such entry: {name} in {'/'.join(place)}") from None


def _of_source(self, kind, place):
    """{name: cell as released, or cell with points} of one notebook."""
    assignment, notebook = place
    found = self.find_notebook(notebook, assignment)
    if kind == "source":
        return {cell.name: cell for cell in found.source_cells}
    return {cell.name: cell for cell in (*found.task_cells, *found.grade_cells)}


def _source_cell(self, name, notebook, assignment):
    return _found(self, "source", (assignment, notebook), name, _of_source)


def _graded_cell(self, name, notebook, assignment):
    return _found(self, "graded", (assignment, notebook), name, _of_source)


def _of_hand_in(self, kind, place):
    """{name of the cell: grade or comment} of one notebook that was handed in."""
    from nbgrader.api import BaseCell

    assignment, notebook, member = place
    found = self.find_submission_notebook(notebook, assignment, member)
    query = self.db.query(kind, BaseCell.name).join(BaseCell, kind.cell_id == BaseCell.id)
    return {name: held for held, name in query.filter(kind.notebook_id == found.id)}


def _grade(self, name, notebook, assignment, member):
    from nbgrader.api import Grade

    return _found(self, Grade, (assignment, notebook, member), name, _of_hand_in)


def _comment(self, name, notebook, assignment, member):
    from nbgrader.api import Comment

    return _found(self, Comment, (assignment, notebook, member), name, _of_hand_in)


_METHODS = {
    "__init__": _open,
    "close": _close,
    "find_source_cell": _source_cell,
    "find_graded_cell": _graded_cell,
    "find_grade": _grade,
    "find_comment": _comment,
}
