"""The instructor's side of a lesson, made from the same notebook: a page to teach from, a handout.

The page's own words stand in `content/teach_NN.toml`. The handout is the lesson's text with its
worked examples, questions and pictures, for a room without computers.
"""

import ast
import re
import shutil
import subprocess
import tempfile
import tomllib
from html import escape
from pathlib import Path

from lessonkit.asking import asked_in
from lessonkit.frame import calls, cells_of, frame_tag
from lessonkit.page import paper_html

CONTENT = Path(__file__).parent / "content"
NOT_ON_PAPER = ("next",)
BROWSERS = (
    "chromium", "chromium-browser", "google-chrome", "chrome", "msedge", "microsoft-edge",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "C:/Program Files (x86)/Microsoft/Edge/Application/msedge.exe",
    "C:/Program Files/Google/Chrome/Application/chrome.exe",
)  # fmt: skip
PAPER_CAUTION = (
    "For training. The operator's manual of your device, local procedure and qualified people "
    "decide. Nothing on this paper permits anything."
)
# What cells say that only makes sense on a screen -> the same on paper.
ON_PAPER = (
    (r"(?m)^(\*About \d+ minutes\.).*\*$", r"\1*"),
    (
        r"(?:\*\*Find it\*\* lists (?:\w+ )?things to find"
        r"|(?:\w+ )?things to find stand with the controls)\. Also:",
        "Where the lesson is on a screen, try:",
    ),
    (r"\bType what", "Write down what"),
    (r"\btype “", "write “"),
    (r" It is kept as you type[^.]*\.", ""),
)


def teaching(number):
    """What content/teach_NN.toml says: timing, say, likely, and what single cells say on paper."""
    return tomllib.loads((CONTENT / f"teach_{number}.toml").read_text(encoding="utf-8"))


def _questions(number, cells):
    for call, title in (("predict", "Prediction"), ("self_check", "Self-check")):
        for lesson, name in calls(cells, call):
            if lesson == number:
                yield title, asked_in(number)[name]


def _listed(title, lines):
    if not lines:
        return []
    if len(lines) == 1:
        return [f"*{title}:* {lines[0]}", ""]
    return [f"*{title}:*", "", *(f"- {line}" for line in lines), ""]


def instructor_page(lesson, cells):
    """The page as Markdown: objectives, timing, talking points, likely answers, every solution."""
    number = lesson["number"]
    notes = teaching(number)
    out = [f"# {number} {lesson['title']}: for the instructor", ""]
    out += [f"About {lesson['minutes']} minutes. The question: *{lesson['question']}*", ""]
    out += ["Project the lesson from its own page: the button **Section by section** at the top shows one section at a time in large type. Right and left arrow go on and back, Escape ends it.", ""]  # fmt: skip
    out += ["## Afterwards they can", "", *(f"- {o['can']}" for o in lesson["objectives"]), ""]
    out += ["## Timing", "", "| Minutes | What |", "|---|---|"]
    out += [f"| {part['minutes']} | {part['what']} |" for part in notes["timing"]]
    out += ["", "## Say", "", *(f"- {line}" for line in notes["say"]), ""]
    out += ["## Likely wrong answers, and what to ask back", ""]
    for one in notes["likely"]:
        out += [f"**“{one['answer']}”**", "", f"{one['ask']}", ""]
    out += ["## The questions and their answers", ""]
    for title, kind in _questions(number, cells):
        out += [f"**{title}.** {kind.words}", "", *_listed("Right", kind.solution.splitlines())]
        out += _listed("Wrong", [f"{answer}: {said}" for answer, said in kind.wrong_answers])
    talk = [c["source"] for c in cells if frame_tag(c) == "talk"]
    return "\n".join([*out, *talk, "", "Back to the [start page](../start.md).", ""])


def _value(source, names):
    """What a cell of ours shows: its last expression."""
    body = ast.parse(source)
    last = body.body.pop() if body.body and isinstance(body.body[-1], ast.Expr) else None
    exec(compile(body, "<lesson>", "exec"), names)
    if last is None:
        return None
    return eval(compile(ast.Expression(last.value), "<lesson>", "eval"), names)


def _shown(value):
    if hasattr(value, "handout_html"):
        return value.handout_html()
    if hasattr(value, "_repr_html_"):
        return value._repr_html_()
    return "" if value is None else f"<pre>{escape(repr(value))}</pre>"


def handout(lesson, cells):
    """The lesson on paper, as HTML of its own; only our own notebooks come here."""
    from nbconvert.filters import markdown2html

    names, parts = {}, [f"<p>{escape(PAPER_CAUTION)}</p>"]
    own = teaching(lesson["number"]).get("on_paper", {})
    for cell in cells:
        if frame_tag(cell) in NOT_ON_PAPER:
            continue
        if cell["cell_type"] == "code":
            parts.append(_shown(_value(cell["source"], names)))
            continue
        parts.append(markdown2html(own.get(cell["id"]) or _for_paper(cell["source"])))
    body = _notes_once("\n".join(parts))
    return paper_html(f"{lesson['number']} {lesson['title']}", body)


def _for_paper(text):
    if text.startswith("# "):  # the paper has its title already
        text = text.partition("\n")[2]
    for screen, paper in ON_PAPER:
        text = re.sub(screen, paper, text)
    return text


def _notes_once(html):
    """Each note of a result where it stands first, and there in full: paper has no folds."""
    html = re.sub(
        r"<details class='as-how-far'><summary>[^<]*</summary>(.*?)</details>", r"\1", html, flags=re.DOTALL
    )  # fmt: skip
    seen = set()

    def first(found):
        repeated = found[0] in seen
        seen.add(found[0])
        return "" if repeated else found[0]

    return re.sub(r"<p class='as-note'>.*?</p>", first, html, flags=re.DOTALL)


def browser():
    """A browser that can print to a file, or None."""
    return next((found for name in BROWSERS if (found := shutil.which(name))), None)


def to_pdf(page, target):
    """Print an HTML file as PDF with a browser of this machine; False if there is none."""
    program = browser()
    if program is None:
        return False
    with tempfile.TemporaryDirectory() as profile:
        command = [
            program, "--headless", "--disable-gpu", "--no-sandbox", "--no-first-run",
            "--disable-background-networking", "--disable-component-update", "--disable-sync",
            f"--user-data-dir={profile}", "--no-pdf-header-footer",
            f"--print-to-pdf={target}", Path(page).resolve().as_uri(),
        ]  # fmt: skip
        subprocess.run(command, check=True, capture_output=True, timeout=120)
    return Path(target).is_file()


def write_handouts(folder, plan, number=None, pdf=True):
    """Write the handouts of all lessons (or one); gives the paths written."""
    from lessonkit.start import LESSONS

    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for lesson in plan["lesson"]:
        if number not in (None, lesson["number"]):
            continue
        page = folder / f"handout-{lesson['number']}.html"
        page.write_text(handout(lesson, cells_of(LESSONS / lesson["notebook"])), encoding="utf-8")
        written.append(page)
        if pdf and to_pdf(page, page.with_suffix(".pdf")):
            written.append(page.with_suffix(".pdf"))
    return written


def write_instructor(folder, plan):
    """Write the instructor's pages and handouts below a study folder."""
    from lessonkit.start import LESSONS

    where = folder / "instructor"
    write_handouts(where, plan, pdf=False)
    for lesson in plan["lesson"]:
        text = instructor_page(lesson, cells_of(LESSONS / lesson["notebook"]))
        (where / f"{lesson['number']}.md").write_text(text, encoding="utf-8")
