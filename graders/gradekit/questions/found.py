"""Finding papers: every module of `gradekit.papers` that has a PAPER, without a list of them."""

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

# Packages that hold papers; the tests add one of their own.
HOMES = ["gradekit.papers"]


def _modules():
    """{name of the paper: dotted module}: `flow_and_supply.py` holds the paper flow-and-supply."""
    found = {}
    for home in HOMES:
        for module in iter_modules(import_module(home).__path__):
            if not module.name.startswith("_"):
                found[module.name.replace("_", "-")] = f"{home}.{module.name}"
    return dict(sorted(found.items()))


@cache
def _paper(module, name):
    paper = import_module(module).PAPER
    strangers = [q.id for q in paper.questions if not q.id.startswith(f"{name}-q")]
    if paper.name != name or strangers:
        raise ValueError(
            f"{module}: its paper must be called {name!r} and its questions {name}-q1, {name}-q2 "
            f"and so on; it is {paper.name!r} with {strangers or 'its own'}"
        )
    return paper


def papers():
    """Every paper there is, by name."""
    return {name: _paper(module, name) for name, module in _modules().items()}


def paper_of(question_id):
    """The paper that has this question; KeyError if none has. Only that paper's file is read."""
    modules = _modules()
    name = question_id.rpartition("-q")[0] if isinstance(question_id, str) else ""
    if name in modules:
        paper = _paper(modules[name], name)
        if any(q.id == question_id for q in paper.questions):
            return paper
    raise KeyError(f"no question “{question_id}”")
