"""Reading answers, drawing scenarios, judging, the grading run and the records.

A check cell in a notebook needs one name from here: `check`.
"""


def check(question_id):
    """Help with the answer to one question, read from the notebook's own names.

    Gives an Outcome: its text is the points, its HTML the advice. The mark for the record is
    made again by the grading run, in a process in which no learner's code has run.
    """
    from gradekit.notebook import check_in_notebook

    return check_in_notebook(question_id)
