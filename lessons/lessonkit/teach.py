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
    """What content/teach_NN.toml says.

    say, bring         lines
    timing, rig        minutes in the room, which add up to the lesson's; minutes at the rig
    short              half of the lesson's minutes, by headings of its cells
    votes              which answer of the prediction to expect, which set-up to show, what to ask
    show, tried, find  set-ups of the panel; what it says to them is worked out when the page is made
    likely             wrong answers, and what to ask back
    on_paper           what single cells say on paper
    """
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


def panel_of(cells):
    """(the lesson's panel, its tasks). It ticks none: what is shown here is nobody's work."""
    source = next(c["source"] for c in cells if c["cell_type"] == "code" and "_panel(" in c["source"])  # fmt: skip
    panel = _value(source, {})
    tasks, panel.tasks = panel.tasks, ()
    return panel, tasks


def put(panel, set_up):
    """Bring a set-up into a panel, what it does not name as at the start.

    Gives the parts that the panel cannot read: another department has other devices.
    """
    parts, lacking = _parts(set_up), _unreadable(panel, set_up)
    panel.reset()
    panel.restore("; ".join([panel.name, *(part for part in parts if part not in lacking)]))
    return lacking


def _parts(set_up):
    return [part.strip() for part in set_up.split(";") if part.strip()]


def _unreadable(panel, set_up):
    return [part for part in _parts(set_up) if not _readable(panel, part)]


def _readable(panel, part):
    which, _, said = part.partition(" ")
    try:
        panel.controls[which].read(said.strip())
    except (KeyError, ValueError):
        return False
    return True


def _lacking(parts):
    if not parts:
        return []
    return [f"*Not in your department's panel, so left out of this line:* {'; '.join(parts)}", ""]


def _short(number, part):
    """What to do with a section of the short version; of the checks only those named."""
    if "checks" not in part:
        return part["what"]
    asked = asked_in(number)
    first = [re.split(r"(?<=[.?!:]) ", asked[name].words)[0] for name in part["checks"]]
    return f"Only these: {' '.join(f'“{words}”' for words in first)}"


def _show(panel, shows):
    out = ["## Show this on the panel", "", "Let the room say what will happen. Then paste the line into the box below the panel's picture, and press Enter.", ""]  # fmt: skip
    for number, one in enumerate(shows, 1):
        lacking = put(panel, one["set_up"])
        out += [f"**Set-up {number}: {one['title']}**", "", f"`{panel.set_up}`", "", *_lacking(lacking)]  # fmt: skip
        out += [f"- *Ask first:* {one['ask']}", f"- *The panel says:* {panel.view.reading}"]
        if one.get("limit"):
            out += [f"- *Its line about the limit:* {panel.view.limit}"]
        numbers = [f"{label}: {_looked_up(panel, label)}" for label in one.get("read", ())]
        out += [f"- *Under “{panel.more.description}”:* {'; '.join(numbers)}"] if numbers else []
        out += [f"- *Then:* {one['then']}", ""]
    return out


def _votes(votes, kind):
    expected = kind.options[votes["expect"] - 1].words
    return [
        "## The prediction: vote, show, vote again", "",
        "1. Hands up for each answer. Write the counts on the board. Do not tell, and do not nod.",
        f"2. Expect many hands at “{expected}”. (Our expectation: nobody has counted.)",
        f"3. At the panel, show set-up {votes['show']} below. Ask: {votes['ask']}",
        "4. Vote again. Who changed, and why?",
        f"5. Only now tell: {kind.solution}", "",
    ]  # fmt: skip


READING, LIMIT, NEW = "The panel says", "The line about its limit", "New on its list"


def _looked_up(panel, label):
    """What a panel says under a label of its numbers; "-" if it has none like it now."""
    if label in (READING, LIMIT):
        return panel.view.reading if label == READING else panel.view.limit
    if label == NEW:
        return "; ".join(_new_lines(panel)) or "-"
    return next((text for name, text in panel.view.rows if name == label), "-")


def _new_lines(panel):
    """Lines of a go/no-go list that are not on it as the panel starts."""
    set_up, now = panel.set_up, _on_list(panel)
    panel.reset()
    at_start = _on_list(panel)
    panel.restore(set_up)
    return [text for text in now if text not in at_start]


def _on_list(panel):
    """The lines of a go/no-go list; none where the panel has no plan."""
    return [row.text for row in panel.results[1].rows] if panel.results else []


def _named(panel, parts):
    """Controls of a set-up in the words that stand beside them."""
    controls = [panel.controls[part.partition(" ")[0]] for part in _parts(parts)]
    return "; ".join(f"{c.words}: {c.said()}" for c in controls) or "as it starts"


def _steps(panel, one):
    """(words, what was looked up) of each set-up that answers a try prompt."""
    start, read = one.get("start", ""), one["read"]
    if "move" not in one:
        for step in one["steps"]:
            put(panel, f"{start}; {step}")
            yield _named(panel, step or start), [_looked_up(panel, label) for label in read]
        return
    put(panel, start)
    control = panel.controls[one["move"]]
    end, now, before = control.read(one["to"]), control.value, None
    by = control.scale.step if end > now else -control.scale.step
    for count in range(round((end - now) / by) + 1):
        panel.set(**{control.name: now + count * by})
        looked = [_looked_up(panel, label) for label in read]
        found = "until" in one and one["until"] in looked[0]
        if before is None or found or ("until" not in one and looked[0] != before[0]):
            yield f"{control.words}: {control.said()}", looked
        if found:
            return
        before = looked


def tried_table(panel, one):
    """A try prompt answered: where the panel's numbers change, and what they change to."""
    rows = [f"| {words} | {' | '.join(looked)} |" for words, looked in _steps(panel, one)]
    head = f"| Set to | {' | '.join(one['read'])} |"
    return [head, "|---" * (len(one["read"]) + 1) + "|", *rows]


def prompts(cells):
    """The numbered things to try that stand above the panel, after “Also:”."""
    found = []
    for cell in cells:
        if cell["cell_type"] == "markdown" and "Also:" in cell["source"]:
            after = cell["source"].partition("Also:")[2]
            found += re.findall(r"^\d+\. (.+)$", after, re.MULTILINE)
    return found


def _tried(panel, tried, asked):
    if not tried:
        return []
    out = ["## What they should have seen", "", "The numbered prompts above the panel, answered with the panel's own numbers. Where a control is moved step by step, only the steps at which something changes stand here.", ""]  # fmt: skip
    for one in tried:
        whole = next((text for text in asked if text.startswith(one["prompt"])), one["prompt"])
        out += [f"**{whole.replace('*', '')}**", ""]
        needed = "; ".join([one.get("start", ""), *one.get("steps", ())])
        if lacking := list(dict.fromkeys(_unreadable(panel, needed))):
            out += [f"*Not in your department's panel, so not answered here:* {'; '.join(lacking)}", ""]  # fmt: skip
            continue
        if one.get("start") and one.get("move"):
            put(panel, one["start"])
            out += [f"From: {_named(panel, one['start'])}", ""]
        out += [*tried_table(panel, one), "", one["said"], ""]
    return out


def _find(panel, tasks, set_ups):
    out = ["## “Find it”: one way each", "", "There are others. Let the room look first.", ""]
    # The task with another device stands first; a department with one device has none.
    for task, set_up in zip(tasks, set_ups[len(set_ups) - len(tasks) :], strict=True):
        lacking = put(panel, set_up)
        out += [f"**{task.words}**", "", f"`{panel.set_up}`", "", *_lacking(lacking)]
    return out


def _rig(rig, talk):
    return [
        f"## {rig['where']}: {rig['minutes']} minutes", "",
        f"**Caution.** {rig['caution']}", "",
        *(f"- {line}" for line in rig["do"]), "", *talk, "",
    ]  # fmt: skip


def instructor_page(lesson, cells):
    """The page as Markdown: what to bring, timing, set-ups to show, every answer, the rig."""
    number, notes = lesson["number"], teaching(lesson["number"])
    (panel, tasks), rig = panel_of(cells), notes["rig"]
    questions = list(_questions(number, cells))
    out = [f"# {number} {lesson['title']}: for the instructor", ""]
    out += [f"{lesson['minutes']} minutes in the room, then {rig['minutes']} {rig['where'][0].lower()}{rig['where'][1:]}. The question: *{lesson['question']}*", ""]  # fmt: skip
    out += ["Project the lesson from its own page: the button **Section by section** at the top shows one section at a time in large type. Right and left arrow go on and back, Escape ends it.", ""]  # fmt: skip
    out += ["## Afterwards they can", "", *(f"- {o['can']}" for o in lesson["objectives"]), ""]
    out += ["## Have ready", "", *(f"- {line}" for line in notes["bring"]), ""]
    out += ["## Timing", "", "| Minutes | What |", "|---|---|"]
    out += [f"| {part['minutes']} | {part['what']} |" for part in notes["timing"]]
    out += [f"| {rig['minutes']} more | {rig['where']}: manual sheet, what to talk over. |", ""]
    out += [f"**Only {sum(part['minutes'] for part in notes['short'])} minutes?** Show these sections and leave the rest:", ""]  # fmt: skip
    out += ["| Minutes | Section | What |", "|---|---|---|"]
    out += [f"| {p['minutes']} | {p['heading']} | {_short(number, p)} |" for p in notes["short"]]
    out += ["", "## Say", "", *(f"- {line}" for line in notes["say"]), ""]
    out += _votes(notes["votes"], next(k for title, k in questions if title == "Prediction"))
    out += _show(panel, notes["show"])
    out += _tried(panel, notes.get("tried", []), prompts(cells))
    out += _find(panel, tasks, notes["find"])
    out += ["## Likely wrong answers, and what to ask back", ""]
    for one in notes["likely"]:
        out += [f"**“{one['answer']}”**", "", f"{one['ask']}", ""]
    out += ["## The questions and their answers", ""]
    for title, kind in questions:
        out += [f"**{title}.** {kind.words}", "", *_listed("Right", kind.solution.splitlines())]
        out += _listed("Wrong", [f"{answer}: {said}" for answer, said in kind.wrong_answers])
    talk = [c["source"].replace("## ", "### ", 1) for c in cells if frame_tag(c) == "talk"]
    return "\n".join([*out, *_rig(rig, talk), "Back to the [start page](../start.md).", ""])


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
