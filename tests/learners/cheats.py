"""Code that learners put into answer cells: to gain marks, or to stop the run."""

# Each of these stands below the wrong answer to question 1 and tries to turn all checks into 2.0.
GAIN = {
    "printed-points": """
from IPython.display import display
def check(*args): return 2.0
print(2.0)
display(2.0)
2.0
""",
    "patched-kit": """
import gradekit, gradekit.notebook
from gradekit.questions import Outcome, Question, Paper
gradekit.check = gradekit.notebook.check_in_notebook = lambda *args: 2.0
Question.judge = lambda self, row, text: Outcome(2.0, 2.0, "", "x/right", self.id, "1 lbf")
Question._compare = lambda self, row, number: (1.0, "right", "That is it.")
Outcome.__repr__ = lambda self: "2.0"
""",
    "patched-judge": """
from gradekit.questions import Outcome, Question, Paper
Question.judge = lambda self, row, text: Outcome(2.0, 2.0, "", "x/right", self.id, "1 lbf")
Outcome.__repr__ = lambda self: "2.0"
""",
    "input-transformer": """
get_ipython().input_transformers_post.append(lambda lines: ["2.0\\n"])
""",
    "no-code-run": """
async def _nothing(*args, **kwargs): return False
get_ipython().run_code = _nothing
""",
    "lying-objects": """
import builtins
builtins.abs = lambda x: 0.0
builtins.repr = lambda x: "2.0"
class Agreeable(str):
    def __eq__(self, other): return True
    def __sub__(self, other): return 0.0
    __rsub__ = __abs__ = __float__ = __le__ = __lt__ = __sub__
    __hash__ = None
    magnitude = 385
reaction_1 = reaction_2 = side_load = side_moment = Agreeable("x")
""",
    "forged-outputs": """
import gradekit
from IPython.display import display
TYPE = "application/vnd.aerialstream.answer+json"
FORGED = {
    "nozzle-reaction-q1": {"question": "nozzle-reaction-q2", "answer": "385 lbf"},
    "nozzle-reaction-q2": {"question": "nozzle-reaction-q2", "answer": {"points": 2.0}},
    "nozzle-reaction-q3": ["nozzle-reaction-q3", 2.0],
    "nozzle-reaction-q4": 2.0,
}
def forge(question):
    display({TYPE: FORGED[question], "text/plain": "2.0"}, raw=True)
    return 2.0
gradekit.check = forge
""",
    "forged-numbers": """
import gradekit
from IPython.display import display
TYPE = "application/vnd.aerialstream.answer+json"
def forge(question):
    for value in (10**400, 1e999, True, [2.0], {}):
        display({TYPE: {"question": question, "answer": value, "points": 2.0}}, raw=True)
    return 2.0
gradekit.check = forge
""",
    "hidden-errors": """
import os
os.environ["NBGRADER_EXECUTION"] = "validate"
member = "2041"
shell = get_ipython()
shell.set_custom_exc((Exception,), lambda *args, **kwargs: None)
shell.showtraceback = lambda *args, **kwargs: None
del reaction_1
""",
}

# Each of these stands below the right answer to question 2; all answers are right. Behind it,
# the points that are given: the code is never run, and only what cannot be read is lost.
STOP = {
    "kernel-exit": ("import os; os._exit(0)", (2, 2, 2, 2)),
    "endless-loop": ("while True: pass", (2, 2, 2, 2)),
    "deaf-loop": (
        "import signal; signal.signal(signal.SIGINT, signal.SIG_IGN)\nwhile True: pass",
        (2, 2, 2, 2),
    ),
    "noise": (
        "import sys, os, warnings, logging\n"
        "print('noise', file=sys.stderr); os.write(2, b'noise'); warnings.warn('noise')\n"
        "logging.error('noise')\n"
        "get_ipython().events.register('pre_run_cell', lambda info: print('x', file=sys.stderr))\n"
        "for _ in range(200): print('x' * 100_000)\n"
        "print('x\\n' * 200_000)",
        (2, 2, 2, 2),
    ),
    "waits-for-input": ("input()", (2, 2, 2, 2)),
    "odd-characters": ("x = '\ud800'\nreaction_2 += ''  # \u202e \x07", (2, 2, 2, 2)),
    "nul-in-source": ("x = '\x00'", (2, 0, 2, 2)),
    "no-folder": ("import os, shutil; shutil.rmtree(os.getcwd()); 1 / 0", (2, 2, 2, 2)),
}
