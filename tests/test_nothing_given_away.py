"""Nobody who missed a question reads its answer: in a message, on the feedback page, or beforehand.

Looked for is the number itself (any number within the tolerance of the right one), the right
letter, order, step or plan. What the member typed and what the question itself shows is no leak;
nor is the power of ten in “10 times too large”, which may stand beside a right answer of ten.
"""

import html
import json
import os
import re

import nbformat
import pytest

from gradekit.course import Course
from gradekit.merge import read_notebook
from gradekit.questions import (
    Choice,
    FindFault,
    LookUp,
    Ordering,
    Plan,
    Question,
    WrittenQuestion,
    papers,
)

MEMBERS = ("2041", "2058", "2063", "2077", "2085", "2090", "7", "A-12", "0031", "9999")
PAPERS = papers()
JUDGED = [(paper, q) for paper in PAPERS.values() for q in paper.auto_questions]
EACH = pytest.mark.parametrize(("paper", "question"), JUDGED, ids=[q.id for _, q in JUDGED])
NUMBER = re.compile(r"(?<![\w.])\d[\d,]*(?:\.\d+)?")


def numbers_in(text):
    """The numbers of a text, without those that only count: points, questions, lessons, places."""
    text = re.sub(r"[\d.]+ of [\d.]+ points|\([\d.]+ points\)|[Ll]essons? \d\d|[Qq]uestion \d|\b\d\.(?= )|[\d,]+ times too", " ", text)  # fmt: skip
    return [float(shown.rstrip(",").replace(",", "")) for shown in NUMBER.findall(text)]


def given_away(question, row, text):
    """What of the right answer a text tells, in words; empty where it tells nothing."""
    if isinstance(question, FindFault):
        names = [name for name, _ in question.steps(row)]
        step = f"step {names.index(question.fault(row)) + 1}"
        found = [step] if re.search(rf"\b{step}\b", text, re.IGNORECASE) else []
        return found + given_away(question.number, row, text)
    if isinstance(question, Choice):
        letter = question.worked_answer(row)
        (option,) = [o for o in question.options if o.is_right(row)]
        found = (
            [letter]
            if re.search(rf"(?:picked|right|answer|is|choose) {letter}\b(?! \w)", text)
            else []
        )
        return found + ([option.said(row)] if option.said(row).lower() in text.lower() else [])
    if isinstance(question, Ordering):
        return [o for o in (question.worked_answer(row),) if o in text]
    if isinstance(question, Plan):
        typed = question.worked_answer(row)
        return [part for part in typed.split("; ") if part in text]
    if isinstance(question, LookUp) and question.value(row) is None:
        return ["not entered"] if "not entered" in text.lower() else []
    right = abs(question.value(row))
    return [
        n for n in numbers_in(text) if right and abs(n - right) <= question._right_allowance(right)
    ]


def wrong_answers(question, row):
    """Slips, near misses, other units, blanks: what members get wrong."""
    yield from (slip.answer for slip in question.shown_slips(row))
    yield from ("", "no idea", question.example_answer, "12", "-3 lbf", "12 ft", "Z", "A")
    inner = question.number if isinstance(question, FindFault) else question
    if isinstance(inner, Question) and inner.value(row) is not None:
        unit = inner.worked_answer(row).partition(" ")[2]
        before = (
            question.worked_answer(row).partition(";")[0] + "; " if inner is not question else ""
        )
        for factor in (1.02, 0.97, 1.3, 10, 0.01, -1):
            yield f"{before}{inner.value(row) * factor:.2f} {unit}"
        yield f"{before}{inner.value(row) * 1.4:.2f}"
        if before:
            yield before.rstrip("; ")


@EACH
def test_no_message_gives_the_answer_away(paper, question):
    """Ten members, each slip and many other ways to be wrong."""
    tried = 0
    for member in MEMBERS:
        row = question.row(paper.version, member)
        for answer in wrong_answers(question, row):
            outcome = question.judge(row, answer)
            if outcome.right:
                continue
            tried += 1
            said = without_typed(outcome.message, answer)
            if isinstance(question, FindFault) and outcome.points:
                said = re.sub(r"\bstep \d\b", " ", said)  # who has the step may be told so
            assert not given_away(question, row, said), (member, answer, said)
    assert tried >= 3 * len(MEMBERS)


@EACH
def test_what_is_looked_for_is_found_where_it_is_told(paper, question):
    """The search itself: a sentence with the right answer in it is caught, in each of its forms."""
    for member in MEMBERS:
        row = question.row(paper.version, member)
        answer = question.worked_answer(row)
        assert given_away(question, row, f"The right answer is {answer}")
        if isinstance(question, FindFault):
            assert given_away(question, row, f"Look at {answer.partition(';')[0]} again.")
            assert given_away(question, row, f"It comes to {answer.partition(';')[2]} there.")
        elif isinstance(question, Question) and question.value(row):
            about = float(f"{abs(question.value(row)):.4g}")
            assert given_away(question, row, f"About {about:,.10g} in all.")


def without_typed(text, typed):
    """A text without what the member typed, which a message or page may show again."""
    text = re.sub(
        r"I read “[^”]*”|I read [A-H ]+[.:]|You picked [A-H]\.|Step \d follows", " ", text
    )
    return text.replace(typed, " ") if len(typed) > 1 else text


RELATED = [
    (paper, q, other)
    for paper, q in JUDGED
    for other in paper.questions
    if other is not q and (other.same_row_as or other) is (q.same_row_as or q)
]


@pytest.mark.parametrize(
    ("paper", "question", "other"), RELATED, ids=[f"{q.id} in {o.id}" for _, q, o in RELATED]
)
def test_no_question_on_the_same_scene_shows_the_answer(paper, question, other):
    """In no row do the words of one question hold the right number of another on the same row.

    Between questions on different rows a number can come twice by chance; nobody can use that.
    """
    for row in question.table():
        if not isinstance(question, Question) or question.value(row) is None:
            continue
        right = abs(question.value(row))
        near = [n for n in numbers_in(other.words(row)) if abs(n - right) <= 0.002 * right]
        # A round number, such as a head at 10 ft, says nothing.
        assert not [n for n in near if len(f"{n:g}".replace(".", "").strip("0")) >= 3], row


# --- the pages --------------------------------------------------------------------------------------

TWO = {"2041": 0, "2058": -1}  # member -> which slip they make everywhere


@pytest.fixture(scope="module")
def everything_wrong(tmp_path_factory):
    """(course, {paper: released text}): all nine papers, two members, every answer a slip."""
    folder = tmp_path_factory.mktemp("all nine")
    with pytest.MonkeyPatch.context() as patch:
        if not os.environ.get("AERIALSTREAM_SHUT_IN_REQUIRED"):
            patch.setenv("AERIALSTREAM_TRUSTED", "1")  # these learners are ours
        course = Course(folder, f"sqlite:///{folder.as_posix()}/class/gradebook.db")
        released = {}
        for name, paper in PAPERS.items():
            path = course.release(name)
            released[name] = path.read_text(encoding="utf-8")
            for member in TWO:
                text = _hand_in(read_notebook(path), paper, member)
                place = folder / "inbox" / member / f"{name}.ipynb"
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_text(text, encoding="utf-8")
        course.collect(folder / "inbox", set(TWO))
        course.run(list(PAPERS))
    return course, released


def _typed(question, row, member):
    if isinstance(question, WrittenQuestion):
        return "I ask the officer."
    slips = question.shown_slips(row)
    return slips[TWO[member]].answer if slips else "12"


def _hand_in(released, paper, member):
    nb = nbformat.from_dict(released)
    for question in paper.questions:
        (cell,) = [c for c in nb.cells if c.id == f"{question.id}-answer"]
        typed = _typed(question, paper.row(question.id, member), member)
        cell.source = f"{question.variable} = {typed!r}"
    return json.dumps(nb)


def _plain(text):
    return re.sub(r"\s+", " ", text).strip()


def _seen(page):
    """The words of a page as a reader sees them."""
    page = re.sub(r"<(style|script).*?</\1>|<[^>]*>", " ", page, flags=re.DOTALL)
    return _plain(html.unescape(page))


@pytest.mark.thread
@pytest.mark.parametrize("name", PAPERS)
@pytest.mark.parametrize("member", TWO)
def test_feedback_page_gives_no_answer_away(everything_wrong, name, member):
    """Of every question of every paper; the questions' own words and what was typed stand aside."""
    course, _ = everything_wrong
    paper = PAPERS[name]
    page = course.feedback_page(name, member).read_text(encoding="utf-8")
    assert "worked_answer" not in page and "BEGIN SOLUTION" not in page
    seen = _seen(page)
    seen = seen.replace(_plain(paper.situation_for()), " ")
    seen = re.sub(r"Member \S+, variant .*? · [\d.-]+", " ", seen)
    for question in paper.questions:
        row = paper.row(question.id, member)
        words = _plain(question.words(row))
        assert words in seen, question.id
        seen = seen.replace(words, " ")
        seen = seen.replace(f"Your answer: {_typed(question, row, member)}", " ")
    for question in paper.auto_questions:
        row = paper.row(question.id, member)
        assert not given_away(question, row, without_typed(seen, "")), question.id
    for question in paper.questions:
        for _, what in getattr(question, "guide", ()):
            assert what not in seen


@pytest.mark.thread
@pytest.mark.parametrize("name", PAPERS)
def test_released_notebook_holds_no_answer(everything_wrong, name):
    """No solution, no marking guide, no stored output, and no code that would work one out."""
    text = everything_wrong[1][name]
    for word in ("worked_answer", "SOLUTION", "gradekit.solutions", "shown_slips", ".judge("):
        assert word not in text
    for question in PAPERS[name].questions:
        assert not any(what in text for _, what in getattr(question, "guide", ()))
    cells = json.loads(text)["cells"]
    assert all(not cell.get("outputs") for cell in cells)
    answers = [c for c in cells if c["id"].endswith("-answer")]
    assert len(answers) == len(PAPERS[name].questions)
    for cell in answers:
        assert re.search(r' = (""  #|"""\s*""")', "".join(cell["source"])), cell["id"]
