"""Code that learners put into answer cells: to gain marks, or to stop the run."""

# Each of these stands below the wrong answer to question 1 and tries to turn all checks into 2.0.
GAIN = {
    "own-check": "def check(*args): return 2.0",
    "patched-kit": """
import gradekit, gradekit.notebook
gradekit.check = gradekit.notebook.check_in_notebook = lambda *args: 2.0
""",
    "patched-judge": """
from gradekit.questions import Outcome, Question, Paper
Question.judge = lambda self, row, text: Outcome(2.0, 2.0, "", "x/right", self.id, "1 lbf")
Question._compare = lambda self, row, number: (1.0, "right", "That is it.")
Outcome.__repr__ = lambda self: "2.0"
""",
    "printed-points": """
from IPython.display import display
print(2.0)
display(2.0)
2.0
""",
    "input-transformer": """
get_ipython().input_transformers_post.append(lambda lines: ["2.0\\n"])
""",
    "no-code-run": """
async def _nothing(*args, **kwargs): return False
get_ipython().run_code = _nothing
""",
    "lying-builtins": """
import builtins
builtins.abs = lambda x: 0.0
builtins.repr = lambda x: "2.0"
builtins.float = lambda x: 2.0
""",
    "lying-object": """
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
    for value in (10**400, 1e999, float("nan"), True, [2.0], {}, "\\ud800"):
        display({TYPE: {"question": question, "answer": value, "points": 2.0}}, raw=True)
    return 2.0
gradekit.check = forge
""",
    "hidden-errors": """
shell = get_ipython()
shell.set_custom_exc((Exception,), lambda *args, **kwargs: None)
shell.showtraceback = lambda *args, **kwargs: None
del reaction_1
""",
    "wrong-environment": """
import os
os.environ["NBGRADER_EXECUTION"] = "validate"
member = "2041"
""",
}

# Each of these stands below the right answer to question 2; all answers are right. The number
# says how many of the four can still be judged.
STOP = {
    "kernel-exit": ("import os; os._exit(0)", 1),
    "quit": ("exit()", 2),
    "endless-loop": ("while True: pass", 4),
    "loop-without-interrupt": (
        "import signal; signal.signal(signal.SIGINT, signal.SIG_IGN)\nwhile True: pass",
        1,
    ),
    "much-output": ("for _ in range(200): print('x' * 100_000)", 4),
    "many-lines": ("print('x\\n' * 200_000)", 4),
    "noise-on-stderr": (
        "import sys, os, warnings, logging\n"
        "print('noise', file=sys.stderr); os.write(2, b'noise'); warnings.warn('noise')\n"
        "logging.error('noise')\n"
        "get_ipython().events.register('pre_run_cell', lambda info: print('x', file=sys.stderr))",
        4,
    ),
    "waits-for-input": ("input()", 4),
    "raises": ("1 / 0", 4),
    "nul-in-source": ("x = '\x00'", 3),
    "half-a-surrogate": ("x = '\ud800'", 4),
    "no-folder": ("import os, shutil; shutil.rmtree(os.getcwd())", 4),
}
