"""Finding papers: every module of `gradekit.papers` that has a PAPER, without a list of them."""

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

import gradekit.papers


def _names(folders):
    """Names of papers in folders: `flow_and_supply.py` holds the paper flow-and-supply."""
    found = (module.name.replace("_", "-") for module in iter_modules(folders))
    return sorted(name for name in found if not name.startswith("-"))


@cache
def _paper(name):
    file = name.replace("-", "_")
    paper = import_module(f"gradekit.papers.{file}").PAPER
    strangers = [q.id for q in paper.questions if not q.id.startswith(f"{name}-q")]
    if paper.name != name or strangers:
        raise ValueError(
            f"papers/{file}.py: its paper must be called {name!r} and its questions {name}-q1, "
            f"{name}-q2 and so on; it is {paper.name!r} with {strangers or 'its own'}"
        )
    return paper


def papers():
    """Every paper of the kit, by name."""
    return {name: _paper(name) for name in _names(gradekit.papers.__path__[:1])}


def paper_named(name):
    """The paper of this name; KeyError if there is none. Only that paper's file is read.

    A folder added to the package's path is looked into as well: the tests have made-up papers.
    """
    if name not in _names(gradekit.papers.__path__):
        raise KeyError(f"no assignment “{name}”")
    return _paper(name)


def paper_of(question_id):
    """The paper that has this question; KeyError if none has. Only that paper's file is read."""
    name = question_id.rpartition("-q")[0] if isinstance(question_id, str) else ""
    if name in _names(gradekit.papers.__path__):
        paper = _paper(name)
        if any(q.id == question_id for q in paper.questions):
            return paper
    raise KeyError(f"no question “{question_id}”")
