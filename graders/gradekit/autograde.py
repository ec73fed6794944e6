"""The mark for the record: judged in nbgrader's own process, where no learner's code has run.

`merge` has already left nothing of the learner's in the notebook but texts between quotes. The
check cell hands over that raw answer, and the earlier answers that the question takes up.
`JudgeAnswers` comes after nbgrader's Execute: it judges that text for the member whose folder it
lies in, with the class's own department and the retake that the class has on file, and puts points
and advice in place of whatever the notebook printed. nbgrader then reads the points as it always
does.
"""

from nbformat.v4 import new_output
from nbgrader import utils
from nbgrader.preprocessors import NbGraderPreprocessor
from traitlets import Unicode

from gradekit.answers import as_text
from gradekit.classroom import department_of, retake_of
from gradekit.notebook import ANSWER_TYPE, unanswered
from gradekit.questions import paper_of

CHECK_ENDING = "-check"


class JudgeAnswers(NbGraderPreprocessor):
    """nbgrader preprocessor: replaces the output of each check cell by our own judgement."""

    class_folder = Unicode("", help="Folder of the class: whose department, who retakes").tag(
        config=True
    )

    def preprocess(self, nb, resources):
        """Judge every check cell for the member named by nbgrader, never by the notebook."""
        self.member = resources["nbgrader"]["student"]
        self.retake = retake_of(
            self.class_folder, resources["nbgrader"].get("assignment", ""), self.member
        )
        return super().preprocess(nb, resources)

    def preprocess_cell(self, cell, resources, cell_index):
        """One cell: only graded check cells of a question are touched."""
        grade_id = cell.metadata.get("nbgrader", {}).get("grade_id", "")
        if utils.is_grade(cell) and cell.cell_type == "code" and grade_id.endswith(CHECK_ENDING):
            question_id = grade_id.removesuffix(CHECK_ENDING)
            outcome = judge_outputs(
                question_id,
                self.member,
                cell.outputs,
                retake=self.retake,
                department=department_of(self.class_folder),
            )
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

    Gives {"answer": text, or None where the learner's notebook had no such answer, "earlier":
    {question id: text}}. Whatever the notebook put there is taken as text only, and only under
    the question's id.
    """
    for output in outputs:
        data = output.get("data", {}).get(ANSWER_TYPE)
        if isinstance(data, dict) and data.get("question") == question_id:
            answer, earlier = data.get("answer"), data.get("earlier")
            return {
                "answer": None if answer is None else as_text(answer),
                "earlier": {str(key)[:60]: as_text(text) for key, text in earlier.items()}
                if isinstance(earlier, dict)
                else {},
            }
    return None


def judge_outputs(question_id, member, outputs, *, retake=0, department=None):
    """The outcome for what one check cell put out when the notebook was run.

    `department` is a function that gives it: only questions whose rows come from it need one.
    """
    paper = paper_of(question_id)
    question = paper.question(question_id)
    given = handed_over(question_id, outputs)
    if given is None:
        return unanswered(question, "check-did-not-run")
    if given["answer"] is None:
        return unanswered(question, "answer-cell-did-not-run")
    whose = department() if department and (question.same_row_as or question).rows_from else None
    return paper.judge(
        question_id,
        member.upper(),
        given["answer"],
        earlier=given["earlier"],
        retake=retake,
        department=whose,
    )
