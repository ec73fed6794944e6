"""`aerialstream demo`: an invented class of six, from roster to completion table.

Everything runs through the same commands that an instructor uses; only what the six learners
type is made up here. Nothing below writes a mark that the gradebook did not give.
"""

import json
import re
import shutil
import sys
import tempfile
from pathlib import Path

from aerialstream.department import DEMO_FOLDER
from gradekit.cli import Thread, console, sign_off
from gradekit.course import CourseError
from gradekit.questions import papers
from gradekit.solutions import worked_answer

ASSIGNMENT = "nozzle-reaction"
JUDGEMENT = (
    "I tell command and the pump operator, gate back slowly and stop the flow. Then I bring the "
    "whole ladder round with the turntable until its centre line points at the target, and only "
    "then open up slowly. Swinging the nozzle puts side load and twist on the ladder, where it is "
    "weakest, and the long ladder makes it worse. I look up flow, length and rotation in this "
    "rig's operator's manual."
)


def run(to=None):
    """The whole thread in a folder of its own; gives (Thread, standings)."""
    folder = Path(to).resolve() if to else Path(tempfile.mkdtemp(prefix="aerialstream-demo-"))
    if to and folder.exists() and any(folder.iterdir()):
        raise CourseError(f"{folder} is not empty: choose a new folder for the demo")
    address = f"sqlite:///{(folder / 'class' / 'gradebook.db').as_posix()}"
    thread = Thread(folder, short_course(folder / "department"), address)
    _say("1. The roster: six invented members, on a short course of one exercise and one evolution")
    thread.take_roster(DEMO_FOLDER / "roster.csv")
    _say("2. Hand out the exercise; each member gets numbers of their own")
    handout = thread.hand_out(ASSIGNMENT)
    _say("3. Six members work on it and hand it in")
    inbox = folder / "inbox"
    shutil.copytree(handout, inbox)
    for member, (what, work) in LEARNERS.items():
        work(inbox / member / ASSIGNMENT / f"{ASSIGNMENT}.ipynb", member)
        console.print(f"{member}  {what}")
    _say("4. Collect")
    thread.collect(inbox)
    _say("5. Grade with nbgrader")
    thread.grade(ASSIGNMENT, trusted=True)  # the six are invented
    _say("6. The instructor marks the written answers by hand")
    for member, points, comment in (
        ("2041", 2.0, "Order, reason and the manual: all there."),
        ("2058", 1.5, "Good. Say where you look the limit up."),
        ("2063", 0.5, "You moved the nozzle at full flow: look at the recap again."),
    ):
        thread.course.mark_written(ASSIGNMENT, member, f"{ASSIGNMENT}-q5", points, comment)
        console.print(f"{member}  {points:g} of 2: {comment}")
    thread.post()
    _say("7. On the drill ground an evaluator signs for one evolution")
    sign_off(thread, "2041", "rotation-awareness", "2077", "Tower 3")
    _say("8. Who has completed")
    people = thread.report()
    feedback = thread.course.folder / "feedback"
    console.print(f"Feedback pages: {feedback}", soft_wrap=True)
    for member in sorted(LEARNERS):
        page = thread.course.feedback_page(ASSIGNMENT, member)
        if page.is_file():
            console.print(f"  {page.relative_to(feedback)}", soft_wrap=True)
    program = sys.argv[0] if Path(sys.argv[0]).stem == "aerialstream" else "aerialstream"
    console.print(
        "\nTry next:\n"
        f'  {program} class mark --work "{folder}"      written answers and the marking guide\n'
        f'  {program} records report --work "{folder}"  the table again\n'
        f"  open {thread.course.folder / 'completion.html'}\n"
        f"  delete {folder} when you have seen enough",
        soft_wrap=True,
        markup=False,
    )
    return thread, people


def short_course(folder):
    """A copy of the invented department whose rule a class can meet in half a minute.

    Its own rule asks for every exercise of the lessons, as a division's would.
    """
    shutil.copytree(DEMO_FOLDER, folder)
    path = folder / "department.toml"
    rule = re.compile(r"^assignments = \[.*?\]", re.DOTALL | re.MULTILINE)
    text = path.read_text(encoding="utf-8")
    short = rule.sub(f'assignments = ["{ASSIGNMENT}"]', text, count=1)
    path.write_text(short, encoding="utf-8")
    return folder


def _say(words):
    console.print(f"\n[bold]{words}[/bold]")


# --- what the six do --------------------------------------------------------------------------


def _load(path):
    return json.loads(path.read_text(encoding="utf-8"))


def _save(path, nb):
    path.write_text(json.dumps(nb), encoding="utf-8")


def _write(nb, variable, text):
    for cell in nb["cells"]:
        source = "".join(cell["source"])
        if cell["cell_type"] == "code" and source.startswith(f"{variable} ="):
            quote = '"""' if variable == "judgement" else '"'
            cell["source"] = f"{variable} = {quote}{text}{quote}"


def _right(member, number):
    return worked_answer(f"{ASSIGNMENT}-q{number}", member)


def _slip(member, number, name):
    paper = papers()[ASSIGNMENT]
    question = paper.question(f"{ASSIGNMENT}-q{number}")
    slip = next(s for s in question.slips if s.name == name)
    unit = _right(member, number).partition(" ")[2]
    return f"{slip.wrong(question.row(paper.version, member)):.1f} {unit}"


def _all_right(path, member):
    nb = _load(path)
    for question in papers()[ASSIGNMENT].auto_questions:
        _write(nb, question.variable, worked_answer(question.id, member))
    _write(nb, "judgement", JUDGEMENT)
    _save(path, nb)


def _almost(path, member):
    _all_right(path, member)
    nb = _load(path)
    number = float(_right(member, 3).split()[0].replace(",", ""))
    _write(nb, "side_load", f"{number * 1.02:.1f} lbs")
    _write(nb, "side_moment", _right(member, 4).replace("lbf ft", "ft-lbs"))
    _save(path, nb)


def _slips(path, member):
    nb = _load(path)
    _write(nb, "reaction_1", _slip(member, 1, "diameter-not-squared"))
    _write(nb, "reaction_2", _slip(member, 2, "half-the-gallonage-or-100-psi"))
    _write(nb, "side_load", _slip(member, 3, "cosine-for-sine"))
    _write(nb, "side_moment", _slip(member, 4, "extension-forgotten"))
    _write(nb, "judgement", "I swing the nozzle over and watch the tip.")
    _save(path, nb)


def _blanks(path, member):
    nb = _load(path)
    _write(nb, "reaction_1", _right(member, 1))
    _save(path, nb)


def _broken(path, member):
    """Three right answers, but a quote missing, a check deleted, one changed, a cell doubled."""
    nb = _load(path)
    _write(nb, "reaction_1", _right(member, 1))
    _write(nb, "reaction_2", _right(member, 2))
    cells, out = nb["cells"], []
    for cell in cells:
        grade_id = cell["metadata"].get("nbgrader", {}).get("grade_id")
        if grade_id == f"{ASSIGNMENT}-q1-check":
            continue
        if grade_id == f"{ASSIGNMENT}-q2-check":
            cell["source"] = "2.0"
        if grade_id == f"{ASSIGNMENT}-q3-answer":
            cell["source"] = f'side_load = "{_right(member, 3)}'
        out.append(cell)
        if grade_id == f"{ASSIGNMENT}-q2-answer":
            out.append(json.loads(json.dumps(cell)))
    nb["cells"] = out
    _save(path, nb)


def _damaged(path, member):
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: len(text) // 2], encoding="utf-8")


LEARNERS = {
    "2041": ("answers everything right", _all_right),
    "2058": ("rounds too early once, writes “lbs” and “ft-lbs”", _almost),
    "2063": ("makes four known slips", _slips),
    "2077": ("answers one question and leaves the rest blank", _blanks),
    "2085": ("breaks the notebook: cells deleted, doubled, a quote missing", _broken),
    "2090": ("hands in a file that is damaged", _damaged),
}
