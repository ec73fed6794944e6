"""Lets nbgrader's steps not do the same thing hundreds of times, and one hand-in be one transaction.

For every notebook nbgrader opens the gradebook ten times, looks each time whether its tables are
there, commits about twenty-five times, and checks its own schema once a cell. While a `Spared` is
open, there is one connection, each hand-in is one transaction, and the schema is checked once.
Marks and files come out the same: a test compares them with a run of plain nbgrader.
"""

import contextlib


class _Schemas:
    """Stands in for the module jsonschema where nbgrader checks the metadata of cells."""

    def __init__(self, module):
        from jsonschema.validators import validator_for

        self._module, self._validator_for, self._ready = module, validator_for, {}

    def validate(self, instance, schema):
        """As jsonschema.validate, without checking the schema itself every time."""
        if id(schema) not in self._ready:
            kind = self._validator_for(schema)
            kind.check_schema(schema)
            self._ready[id(schema)] = (kind(schema), schema)
        for error in self._ready[id(schema)][0].iter_errors(instance):
            raise error

    def __getattr__(self, name):
        return getattr(self._module, name)


class Spared:
    """As a context manager: spare nbgrader in this process the work that it repeats."""

    def __enter__(self):
        import jsonschema
        from nbgrader import api
        from nbgrader.nbgraderformat import common

        self._connections, self._looked, self._together = {}, set(), False
        self._real = api.create_engine, api.Base.metadata.create_all
        api.create_engine = self._connect
        api.Base.metadata.create_all = self._make_tables
        common.jsonschema = _Schemas(jsonschema)
        return self

    def __exit__(self, *what):
        import jsonschema
        from nbgrader import api
        from nbgrader.nbgraderformat import common

        api.create_engine = self._real[0]
        del api.Base.metadata.create_all
        common.jsonschema = jsonschema
        for connection in self._connections.values():
            connection.close()
            connection.engine.dispose()

    def _connect(self, address, **options):
        """In place of create_engine: the one connection, which a session can be bound to as well."""
        if address not in self._connections:
            engine = self._real[0](address, **options)
            connection = engine.connect()
            connection.dispose = lambda: None  # nbgrader calls it whenever it closes a gradebook
            self._connections[address] = connection
        connection = self._connections[address]
        if self._together and not connection.in_transaction():
            connection.begin()
        return connection

    def _make_tables(self, bind=None, **options):
        """Look for the tables once for each connection."""
        if id(bind) not in self._looked:
            self._looked.add(id(bind))
            self._real[1](bind=bind, **options)

    @contextlib.contextmanager
    def together(self):
        """What nbgrader commits inside takes effect at the end, all of it or nothing."""
        self._together = True
        for connection in self._connections.values():
            if connection.in_transaction():
                connection.rollback()
        try:
            yield
        except BaseException:
            self._end("rollback")
            raise
        else:
            self._end("commit")
        finally:
            self._together = False

    def _end(self, how):
        for connection in self._connections.values():
            transaction = connection.get_transaction()
            if transaction is not None and transaction.is_active:
                getattr(transaction, how)()
