"""The mark for the record: judged in nbgrader's own process, where no learner's code has run.

`merge` has already left nothing of the learner's in the notebook but texts between quotes. The
check cell hands over that raw answer. `JudgeAnswers` comes after nbgrader's Execute: it judges that answer for the member whose folder it lies in, and puts points and advice in
place of whatever the notebook printed. nbgrader then reads the points as it always does.
"""

from nbformat.v4 import new_output
from nbgrader import utils
from nbgrader.preprocessors import NbGraderPreprocessor

from gradekit.answers import as_text
from gradekit.notebook import ANSWER_TYPE, unanswered
from gradekit.questions import paper_of

CHECK_ENDING = "-check"


class JudgeAnswers(NbGraderPreprocessor):
    """nbgrader preprocessor: replaces the output of each check cell by our own judgement."""

    def preprocess(self, nb, resources):
        """Judge every check cell for the member named by nbgrader, never by the notebook."""
        self.member = resources["nbgrader"]["student"]
        return super().preprocess(nb, resources)

    def preprocess_cell(self, cell, resources, cell_index):
        """One cell: only graded check cells of a question are touched."""
        grade_id = cell.metadata.get("nbgrader", {}).get("grade_id", "")
        if utils.is_grade(cell) and cell.cell_type == "code" and grade_id.endswith(CHECK_ENDING):
            question_id = grade_id.removesuffix(CHECK_ENDING)
            outcome = judge_outputs(question_id, self.member, cell.outputs)
            cell.outputs = [
                new_output(
                    "execute_result",
                    data={"text/plain": repr(outcome), "text/html": outcome.html()},
                    execution_count=cell.execution_count,
                )
            ]
        return cell, resources


def handed_over(question_id, outputs):
    """What a check cell's outputs carry for this question, or None if they carry nothing.

    Gives {"answer": text, or None where the learner's notebook had no such answer}. Whatever the
    notebook put there is taken as text only, and only under the question's id.
    """
    for output in outputs:
        data = output.get("data", {}).get(ANSWER_TYPE)
        if isinstance(data, dict) and data.get("question") == question_id:
            answer = data.get("answer")
            return {"answer": None if answer is None else as_text(answer)}
    return None


def judge_outputs(question_id, member, outputs):
    """The outcome for what one check cell put out when the notebook was run."""
    paper = paper_of(question_id)
    given = handed_over(question_id, outputs)
    if given is None:
        return unanswered(paper.question(question_id), "check-did-not-run")
    if given["answer"] is None:
        return unanswered(paper.question(question_id), "answer-cell-did-not-run")
    return paper.judge(question_id, member.upper(), given["answer"])
