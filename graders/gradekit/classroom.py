"""What the grading run has to know of the class besides the notebook: department and retakes.

`class roster` keeps in `department.txt` whose class it is; `retakes.json` holds which members take
an assignment for the second or third time. Both lie in the folder of the class.
"""

import json
from pathlib import Path

from gradekit.draw import member_number, retake_number
from gradekit.questions.asked import department_at, department_in_use

DEPARTMENT_FILE = "department.txt"
RETAKES_FILE = "retakes.json"


def department_of(folder):
    """A function that gives the department of the class in a folder; it reads nothing before.

    Without a class, or before it has a roster, it is the department of this machine.
    """

    def read():
        path = Path(folder or ".") / DEPARTMENT_FILE
        if not folder or not path.is_file():
            return department_in_use()
        return department_at(path.read_text(encoding="utf-8").strip() or None)

    return read


def retakes(folder):
    """{assignment: {member: number of the retake}} as the class has it on file."""
    path = Path(folder or ".") / RETAKES_FILE
    if not folder or not path.is_file():
        return {}
    return json.loads(path.read_text(encoding="utf-8"))


def retake_of(folder, assignment, member):
    """Which retake a member is at; 0 is the first time."""
    return retake_number(retakes(folder).get(assignment, {}).get(member_number(member), 0))


def set_retake(folder, assignment, member, number):
    """Put on file that a member takes an assignment again, with other numbers; gives the number."""
    held, number = retakes(folder), retake_number(number)
    held.setdefault(assignment, {})[member_number(member)] = number
    text = json.dumps(held, indent=1, sort_keys=True) + "\n"
    (Path(folder) / RETAKES_FILE).write_text(text, encoding="utf-8")
    return number
