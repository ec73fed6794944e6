"""Hand-ins made from a released notebook, and what learners may do to them."""

import json

import nbformat

NAME = "nozzle-reaction"
VARIABLES = ("reaction_1", "reaction_2", "side_load", "side_moment")
WRONG = ("1 lbf", "1 lbf", "1 lbf", "1 lbf ft")


def cell_of(nb, suffix):
    """The cell whose nbgrader id ends so, such as "q1-answer"."""
    return next(c for c in nb.cells if c.metadata.nbgrader.grade_id == f"{NAME}-{suffix}")


def answer(nb, number, text):
    """Type an answer, as a learner does: between the quotes."""
    cell_of(nb, f"q{number}-answer").source = f"{VARIABLES[number - 1]} = {text!r}"


def answer_all(nb, texts):
    """Type the four answers."""
    for number, text in enumerate(texts, 1):
        answer(nb, number, text)


def add_code(nb, number, code):
    """Put code of one's own below an answer, in its cell."""
    cell_of(nb, f"q{number}-answer").source += "\n" + code


def handed_in(released, change, *args):
    """The text of a hand-in: the released notebook, changed by one learner."""
    nb = nbformat.from_dict(released)
    change(nb, *args)
    return json.dumps(nb)
