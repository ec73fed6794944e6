"""The refresher's page: the questions below each other, each judged at once, all of it kept."""

import json
from contextlib import suppress
from dataclasses import dataclass
from html import escape

import ipywidgets as widgets

from lessonkit import kinds, progress, refreshing
from lessonkit.asking import Asked, as_lines
from lessonkit.controls import fills
from lessonkit.page import style_html

NOTHING_YET = (
    "There is no refresher yet. It begins two weeks after you have passed your first graded "
    "exercise: when its checks have earned your department's pass mark in this study folder."
)
WHOSE = (
    "Several members have worked in this study folder. Start the lessons with your number, "
    "“python3 lessons --member NUMBER”: then your refresher is kept for you alone."
)


@dataclass(frozen=True)
class _Put:
    """How one question of an exercise is put on the page. `text` is what a member would type."""

    item: object

    @property
    def words(self):
        """The question, without what the field shows anyway."""
        return self.item.renumbered(self.item.question.words(self.item.row))

    @property
    def on_paper(self):
        """Nothing: a refresher is not printed."""
        return []

    def told(self, outcome, answer):
        """What is said to an answer."""
        return self.item.renumbered(outcome.message)


class _Typed(_Put):
    """A line to type in."""

    def field(self):
        return kinds.Number("", self.item.question, self.item.row).field()

    def text(self, answer):
        return answer or ""


class _Picked(_Put):
    """Round buttons; the letters of the exercise stay behind the page."""

    @property
    def words(self):
        return self.item.renumbered(self.item.question.ask(self.item.row))

    def _options(self):
        return self.item.question.laid_out(self.item.row)

    def field(self):
        return kinds.radio([option.said(self.item.row) for option in self._options()])

    def text(self, answer):
        from gradekit.answers import LETTERS

        return "" if answer is None else LETTERS[answer]

    def told(self, outcome, answer):
        if answer is None:
            return "Choose one first."
        reread = "" if outcome.right else self.item.question.reread
        return f"{self._options()[answer].reason} {reread}".strip()


class _AsLaidOut(kinds.Order):
    """Steps shown in the order in which they were dealt."""

    @property
    def shown(self):
        return list(range(len(self.steps)))


class _Ordered(_Put):
    """Steps with arrows."""

    @property
    def words(self):
        return self.item.renumbered(self.item.question.ask(self.item.row))

    def _shown(self):
        return self.item.question.laid_out(self.item.row)

    def field(self):
        steps = tuple(kinds.Step(text) for _, text in self._shown())
        return _AsLaidOut("", steps).field()

    def text(self, answer):
        from gradekit.answers import LETTERS

        return " ".join(LETTERS[place] for place in answer or ())

    def told(self, outcome, answer):
        if answer is None:
            return "Bring the steps into order with the arrows first."
        if outcome.right:
            return "That order works."
        question, shown = self.item.question, self._shown()
        said = dict(shown)
        broken = question.faults(self.item.row, tuple(shown[place][0] for place in answer))
        words = []
        for fault in broken[:3]:
            both = fault.earlier in said and fault.later in said
            before = (
                f"“{said[fault.later]}” stands before “{said[fault.earlier]}”. " if both else ""
            )
            words.append(f"{before}{fault.sentence}")
        return " ".join([*words, question.reread])


class _Found(_Put):
    """Numbered steps to choose the wrong one from, and a line for what belongs there."""

    @property
    def words(self):
        return self.item.renumbered(self.item.question.ask(self.item.row))

    def field(self):
        question, row = self.item.question, self.item.row
        steps = kinds.radio([f"{n}. {text}" for n, (_, text) in enumerate(question.steps(row), 1)])
        number = kinds.typed(f"such as {question.number.example_answer}")
        box = widgets.VBox(
            [steps.widget, widgets.Label("What belongs there"), number.widget], layout=fills()
        )

        def get():
            return None if steps.answer is None else [steps.answer, number.answer or ""]

        def put(kept):
            steps.answer, number.answer = kept

        return kinds.Field(box, get, put)

    def text(self, answer):
        return f"step {answer[0] + 1}; {answer[1]}" if answer else ""

    def told(self, outcome, answer):
        if answer is None:
            return "Choose the step that is wrong first."
        return super().told(outcome, answer)


class _Planned(_Put):
    """A line for each value of a plan."""

    def field(self):
        lines = [
            (part, kinds.typed(f"such as {part.shown()}")) for part in self.item.question.parts
        ]
        box = widgets.VBox(
            [
                widgets.VBox([widgets.Label(part.name.capitalize()), line.widget], layout=fills())
                for part, line in lines
            ],
            layout=fills(),
        )

        def get():
            typed = [line.answer or "" for _, line in lines]
            return typed if any(typed) else None

        def put(kept):
            for (_, line), text in zip(lines, kept, strict=True):
                line.answer = text

        return kinds.Field(box, get, put)

    def text(self, answer):
        return "; ".join(answer or ())


def put(item):
    """How a question is put on the page, by its kind."""
    from gradekit.questions import Choice, FindFault, Ordering, Plan

    ways = {Choice: _Picked, Ordering: _Ordered, FindFault: _Found, Plan: _Planned}
    return next((way for kind, way in ways.items() if isinstance(item.question, kind)), _Typed)(
        item
    )


class Question(Asked):
    """One question of the refresher: judged and kept when its button is pressed."""

    def __init__(self, refreshers, item, after):
        super().__init__(put(item), "Check")
        self.refreshers, self.item, self.after = refreshers, item, after
        kept = refreshers.answers.get(item.id)
        if kept:
            self.field.answer = kept["shown"]
            self._tell(refreshers.judge(item, kept["text"]))

    def press(self):
        """Judge what stands there, say why, keep it."""
        outcome = self.refreshers.answer(
            self.item, self.kind.text(self.field.answer), self.field.answer
        )
        self._tell(outcome)
        self.after()

    def _tell(self, outcome):
        from gradekit.refresher import branch_of, is_answer

        mark = "✓ Right." if outcome.right else "◐ Partly." if outcome.points else "• Not yet."
        if not is_answer(branch_of(outcome.note)):
            mark = ""
        told = self.kind.told(outcome, self.field.answer)
        self.say(f"<strong>{mark}</strong> {as_lines(told)}")


class Refresher:
    """The page: where it stands, the questions, and what comes next."""

    def __init__(self, folder, member, today=None):
        from gradekit.refresher import Refreshers

        self.refreshers = Refreshers(folder, member, today)
        self.items = self.refreshers.open(refreshing.shaky(folder))
        self.head, self.foot = widgets.HTML(), widgets.HTML()
        self.foot.add_class("as-answer")
        self.asked = [Question(self.refreshers, item, self._stand) for item in self.items]
        parts = []
        for one in self.asked:
            parts += [widgets.HTML(self._heading(one.item)), one.widget]
        self.widget = widgets.VBox(
            [self.head, *parts, self.foot], layout=widgets.Layout(max_width="760px")
        )
        self.widget.add_class("as-refresher")
        self._stand()

    def _heading(self, item):
        lesson = refreshing.lesson_of(item.paper.name)
        where = f"Lesson {lesson[0]}, {lesson[1]}" if lesson else item.paper.title
        return (
            f"<h3 class='as-count'>{item.number} of {len(self.items)}</h3>"
            f"<p class='as-small'>{escape(where)}</p>"
            f"<details class='as-where'><summary>Where this stands</summary>"
            f"<p>{as_lines(item.paper.situation_for())}</p></details>"
        )

    def _stand(self):
        mine = self.refreshers
        if mine.due is None:
            self.head.value = f"{style_html()}<p class='as-said'>{NOTHING_YET}</p>"
            return
        if not self.items:
            self.head.value = (
                f"{style_html()}<p class='as-said'>The next refresher is due on {mine.due}.</p>"
            )
            return
        if mine.under_way:
            words = f"{mine.answered} of {len(self.items)} answered, about {mine.minutes_left} minutes left."
        else:
            words = f"Done on {mine.done[-1]}. The next one is due on {mine.due}."
        self.head.value = f"{style_html()}<p><strong>{words}</strong></p>"
        self.foot.value = "" if mine.under_way else self._summary(words)
        progress_seen()

    def _summary(self, words):
        from gradekit.refresher import RIGHT

        last, answers = self.refreshers.state["done"][-1], self.refreshers.answers
        # An answer may be gone since: the question reads otherwise by now.
        slipped = {
            i.paper.name
            for i in self.items
            if i.id in answers and answers[i.id]["first"] not in RIGHT
        }
        lessons = [refreshing.lesson_of(name) for name in sorted(slipped)]
        links = ", ".join(
            f"<a href='{escape(book)}'>{number} {escape(title)}</a>"
            for number, title, book in sorted(one for one in lessons if one)
        )
        again = f" Worth another look: {links}." if links else ""
        return f"<div class='as-said'>{escape(words)} {last['right']} of {last['asked']} right at the first answer.{again}</div>"

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self.widget._repr_mimebundle_(include=include, exclude=exclude)


class Told:
    """A sentence in place of the refresher."""

    def __init__(self, words):
        self.words = words

    def _repr_html_(self):
        return f"<p class='as-said'>{escape(self.words)}</p>{style_html()}"

    def __repr__(self):
        return self.words


def progress_seen():
    """Bring the start page up to date; never in the refresher's way."""
    from lessonkit import home

    with suppress(OSError, ValueError):
        home.rewrite()


def refresher(today=None):
    """The member's refresher: the one under way, the one that is due, or the last one done."""
    from lessonkit import home

    folder = progress.study()
    if folder is None:
        return Told(NOTHING_YET)
    member = refreshing.whose(folder, _member(folder / home.ABOUT))
    if not member:
        from gradekit.refresher import members_of

        return Told(WHOSE if members_of(folder) else NOTHING_YET)
    return Refresher(folder, member, today)


def _member(about):
    """The number that the study folder was made for."""
    try:
        return str(json.loads(about.read_text(encoding="utf-8"))["member"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""
