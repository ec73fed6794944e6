"""nbgrader's own steps, with the run of the notebook replaced by outputs that are there already."""

import json
import re

from nbformat.notebooknode import from_dict as output_from_dict

from gradekit.run.job import Job
from gradekit.run.workers import execute


def code_sources(notebook):
    """Sources of the code cells, in order: what a job runs."""
    return tuple(c.source for c in notebook.cells if c.cell_type == "code")


class TakeOutputs:
    """Stands in nbgrader's list of steps where Execute stands: sets a job's outputs into the cells.

    The outputs come from a process that a learner may have had in hand. They are taken as data:
    each is made anew from what the notebook format knows, and what does not fit is left out.
    """

    def __init__(self, limits, shut_in):
        self._limits, self._shut_in, self._ran = limits, shut_in, {}

    def __deepcopy__(self, memo):
        """nbgrader copies its settings, this step among them: it is to stay the one that is given."""
        return self

    def give(self, assignment, member, sources, ran):
        """Keep what one notebook put out until nbgrader asks for it."""
        self._ran[assignment, member] = (sources, ran)

    def __call__(self, nb, resources):
        """One step of nbgrader's: the notebook with its outputs."""
        key = resources["nbgrader"]["assignment"], resources["nbgrader"]["student"]
        sources, ran = self._ran.pop(key, (None, None))
        cells = [c for c in nb.cells if c.cell_type == "code"]
        if sources != code_sources(nb):
            # nbgrader has put something back that learners do not get, such as hidden tests.
            job = Job(
                name="/".join(key),
                sources=code_sources(nb),
                limits=self._limits,
                shut_in=self._shut_in,
            )
            ran = execute(job)
        for number, (cell, outputs) in enumerate(zip(cells, ran.outputs, strict=True), 1):
            cell.outputs = as_outputs(outputs)
            cell.execution_count = number
        return nb, resources


def as_outputs(given):
    """Outputs in the notebook format, as far as what was given can be read as such."""
    kept = []
    for output in given if isinstance(given, list) else ():
        try:
            kept.append(_as_output(output))
        except Exception:
            continue
    return kept


def _as_output(output):
    kind = output["output_type"]
    if kind == "stream":
        name = "stderr" if output["name"] == "stderr" else "stdout"
        made = output_from_dict({"output_type": kind, "name": name, "text": str(output["text"])})
    elif kind == "error":
        made = output_from_dict(
            {
                "output_type": kind,
                "ename": str(output["ename"]),
                "evalue": str(output["evalue"]),
                "traceback": [str(line) for line in output["traceback"]],
            }
        )
    else:
        data = {str(key): _fitting(str(key), value) for key, value in output["data"].items()}
        made = {"output_type": "display_data", "metadata": {}, "data": data}
        if kind == "execute_result":
            made |= {"output_type": kind, "execution_count": int(output["execution_count"])}
        made = output_from_dict(made)
    json.dumps(made, ensure_ascii=False, allow_nan=False).encode("utf-8")
    return made


_JSON = re.compile(r"application/(json|.*\+json)")


def _fitting(kind, value):
    """A value as the notebook format has it for this kind: JSON, a text, or lines of text."""
    lines = isinstance(value, list) and all(isinstance(line, str) for line in value)
    if not (isinstance(value, str) or lines or _JSON.fullmatch(kind)):
        raise TypeError(f"{kind} cannot be a {type(value).__name__}")
    return value
