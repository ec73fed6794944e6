"""nbgrader's settings for a course folder of ours, for the kit and for plain nbgrader alike."""

import os
from pathlib import Path

GRADEBOOK_VARIABLE = "AERIALSTREAM_GRADEBOOK"
CODE_STUB = "# Type your answer above, between the quotes."
CELL_SECONDS = 60
TEMPLATES = Path(__file__).parent / "templates"


def gradebook_address(folder):
    """SQLAlchemy address of the gradebook: from the environment, else SQLite in the folder."""
    default = f"sqlite:///{(Path(folder) / 'gradebook.db').resolve().as_posix()}"
    return os.environ.get(GRADEBOOK_VARIABLE) or default


def configure(c, folder, address=None):
    """Set a traitlets Config `c` up for the course in `folder`."""
    folder = Path(folder).resolve()
    c.CourseDirectory.root = str(folder)
    # By its own default a converter asks for a course with no name, which a server refuses.
    c.CourseDirectory.course_id = "default_course"
    c.CourseDirectory.db_url = address or gradebook_address(folder)
    c.Exchange.root = str(folder / "exchange")
    c.ClearSolutions.code_stub = {"python": CODE_STUB}
    c.ClearSolutions.enforce_metadata = True
    c.OverwriteCells.add_missing_cells = True
    c.Execute.timeout = CELL_SECONDS
    c.ExecutePreprocessor.timeout = CELL_SECONDS
    c.Autograde.autograde_preprocessors = _with_judge()
    c.JudgeAnswers.class_folder = str(folder)
    return c


def _with_judge():
    """nbgrader's own list of steps, with our judge right behind the run of the notebook."""
    from nbgrader.converters import Autograde
    from nbgrader.preprocessors import Execute

    from gradekit.autograde import JudgeAnswers

    steps = list(Autograde.class_traits()["autograde_preprocessors"].default())
    steps.insert(steps.index(Execute) + 1, JudgeAnswers)
    return steps


def replace_run(config, step):
    """Put a step in the place of nbgrader's Execute; all other steps stay as they are."""
    from nbgrader.preprocessors import Execute

    steps = list(config.Autograde.autograde_preprocessors)
    steps[steps.index(Execute)] = step
    config.Autograde.autograde_preprocessors = steps
