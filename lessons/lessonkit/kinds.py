"""The kinds of things a lesson asks: what each looks like on the page, and how it is judged.

What is asked stands in `lessonkit.content`, one module for each lesson; its numbers are computed
by `aerialstream` when the module is read. Each kind has `words`, gives a `Field` for the page, and
judges what the field holds. What a field holds can be kept as JSON. `wrong_answers` are (answer,
what is said to it), for the instructor.
"""

from dataclasses import dataclass
from html import escape
from zlib import crc32

import ipywidgets as widgets

from lessonkit.controls import fills

GAP = "____"  # where a number is left open in a line
FOLLOWS = "It follows from your number above. Mend that one first, then this one."


@dataclass(frozen=True)
class Said:
    """What is said to an answer, each point a line; right is None where nothing was answered yet."""

    right: bool | None
    words: str


@dataclass(frozen=True)
class Option:
    """One answer to choose, with the reason why it is right or not."""

    words: str
    reason: str
    right: bool = False


@dataclass(frozen=True)
class Step:
    """One thing to put in order; why says why it comes after the one before it."""

    words: str
    why: str = ""


@dataclass(frozen=True)
class Pair:
    """Two things that belong together.

    reason      why they do
    elsewhere   said where `right` is chosen for another thing on the left: what it is or does
    likely      Option ones: wrong things often chosen for `left` that need a reason of their own
    """

    left: str
    right: str
    reason: str
    elsewhere: str
    likely: tuple = ()


class Field:
    """Where an answer is given: a widget, and what it holds (None: nothing yet)."""

    def __init__(self, widget, get, put):
        self.widget, self._get, self._put = widget, get, put

    @property
    def answer(self):
        """What it holds, as JSON can keep it."""
        return self._get()

    @answer.setter
    def answer(self, kept):
        """Put back what was kept."""
        try:
            self._put(kept)
        except Exception:  # an answer kept by an older version does not fit: the field stays blank
            return


def _shuffled(things, seed):
    """The same mixed order for everybody, never the given one; no random numbers."""
    order = sorted(range(len(things)), key=lambda n: crc32(f"{seed}|{n}|{things[n]}".encode()))
    return order[::-1] if order == sorted(order) else order


def _wrong(options):
    return [(f"“{o.words}”", o.reason) for o in options if not o.right]


def typed(placeholder):
    """A line to type in."""
    box = widgets.Text(
        placeholder=placeholder, layout=widgets.Layout(width="100%", max_width="420px")
    )

    def put(kept):
        box.value = kept

    return Field(box, lambda: box.value.strip() or None, put)


def radio(words):
    """Round buttons, one below the other."""
    radio = widgets.RadioButtons(
        options=[(said, n) for n, said in enumerate(words)], value=None, layout=fills()
    )

    def put(kept):
        radio.value = kept

    return Field(radio, lambda: radio.value, put)


@dataclass(frozen=True)
class Choice:
    """One right answer of several. As a prediction its reasons show only in `compare`."""

    words: str
    options: tuple

    name = "choice"

    def field(self):
        """Round buttons."""
        return radio([option.words for option in self.options])

    def judge(self, answer):
        """The reason of the chosen option."""
        if answer is None:
            return Said(None, "Choose one first.")
        option = self.options[answer]
        return Said(option.right, option.reason)

    def told(self, answer):
        """The answer in words."""
        return f"“{self.options[answer].words}”"

    @property
    def wrong_answers(self):
        """Each wrong option, with its reason."""
        return _wrong(self.options)

    @property
    def solution(self):
        """The right answer, with its reason."""
        right = next(option for option in self.options if option.right)
        return f"“{right.words}”: {right.reason}"

    @property
    def on_paper(self):
        """What stands below the question on paper."""
        return [f"☐ {option.words}" for option in self.options]


@dataclass(frozen=True)
class Several:
    """Several answers of which more than one may be right; each has its reason."""

    words: str
    options: tuple

    name = "several"

    def field(self):
        """Boxes to tick."""
        boxes = [
            widgets.Checkbox(value=False, description=o.words, indent=False, layout=fills())
            for o in self.options
        ]

        def put(kept):
            for n, box in enumerate(boxes):
                box.value = n in kept

        def get():
            return [n for n, box in enumerate(boxes) if box.value] or None

        return Field(widgets.VBox(boxes, layout=fills()), get, put)

    def judge(self, answer):
        """Each tick that should not stand; else how many are missing, and why one of them holds."""
        if not answer:
            return Said(None, "Tick what holds first; more than one may.")
        wrong = [self.options[n] for n in answer if not self.options[n].right]
        missing = [o for n, o in enumerate(self.options) if o.right and n not in answer]
        if not wrong and not missing:
            return Said(True, "\n".join(self.options[n].reason for n in answer))
        words = [f"“{o.words}” does not hold. {o.reason}" for o in wrong]
        if missing:
            one = len(missing) == 1
            words.append(f"{len(missing)} that {'holds is' if one else 'hold are'} not ticked yet.")
        if not wrong:
            whose = "Its reason" if one else "The reason of one of them"
            words = [f"What you ticked holds. {words[0]} {whose}: “{missing[0].reason}”"]
        return Said(False, "\n".join(words))

    def told(self, answer):
        """The answer in words."""
        return ", ".join(f"“{self.options[n].words}”" for n in answer)

    @property
    def wrong_answers(self):
        """Each tick that should not stand, with its reason."""
        return _wrong(self.options)

    @property
    def solution(self):
        """What holds, with the reasons."""
        return "\n".join(f"“{o.words}”: {o.reason}" for o in self.options if o.right)

    @property
    def on_paper(self):
        """What stands below the question on paper."""
        return [f"☐ {option.words}" for option in self.options]


@dataclass(frozen=True)
class Number:
    """A number with its unit, or any other typed answer, judged like those of the assignments.

    question   a question of `gradekit.questions`; row is the row of values it is asked with
    reason     why it is so; said when it is right, and by `compare`
    again      a Number with other values, asked of whoever had this one shown
    """

    words: str
    question: object
    row: dict
    reason: str = ""
    again: object = None

    name = "number"

    def field(self):
        """A line to type in."""
        return typed(f"such as {self.question.example_answer}")

    def judge(self, answer):
        """The outcome of the question."""
        outcome = self.question.judge(self.row, answer or "")
        if answer is None:
            return Said(None, outcome.message)
        return Said(
            outcome.right, f"{outcome.message} {self.reason if outcome.right else ''}".strip()
        )

    def told(self, answer):
        """The answer in words."""
        return f"“{answer}”"

    @property
    def wrong_answers(self):
        """None listed: the question has its slips."""
        return []

    @property
    def solution(self):
        """The right answer, with its reason, or else the first step and where the rest stands."""
        question = self.question
        how = self.reason or f"{question.first_step} {question.reread}"
        return f"{question.said_answer(self.row)}. {how}".strip()

    @property
    def on_paper(self):
        """What stands below the question on paper."""
        return ["Answer: ______________________"]


@dataclass(frozen=True)
class Gap:
    """A number left open in a worked sum.

    what       what it is, such as "Usable reach"
    question   a question of `gradekit.questions`; one that carries an earlier gap takes it up
    row        the row of values it is asked with
    unit       printed behind it, so that the number alone is an answer
    reason     why it is so; said when all is right
    """

    what: str
    question: object
    row: dict
    unit: str
    reason: str

    def typed(self, text):
        """What was typed, with the printed unit where it has none of its own."""
        return f"{text} {self.unit}" if self.question.read(text).status == "no unit" else text

    @property
    def right(self):
        """The right number as it is written into the sum."""
        return f"{self.question.value(self.row):,.1f}".removesuffix(".0")


@dataclass(frozen=True)
class Complete:
    """A worked sum to be completed: the step between a worked example and a sum of one's own.

    lines   the sum, line by line; GAP stands once in each line that has a number left open
    gaps    Gap ones, one to three, in the order of the lines
    again   a Complete with other values, asked of whoever had this one shown
    """

    words: str
    lines: tuple
    gaps: tuple
    again: object = None

    name = "complete"

    def __post_init__(self):
        """Refuse lines that do not have the gaps there are."""
        found = [line.count(GAP) for line in self.lines]
        if sum(found) != len(self.gaps) or max(found) > 1 or not 1 <= sum(found) <= 3:
            raise ValueError("a sum needs one to three gaps, each in a line of its own")

    def _filled(self, texts):
        texts = iter(texts)
        return [line.replace(GAP, next(texts)) if GAP in line else line for line in self.lines]

    def field(self):
        """The lines below each other, a box to type in at each gap."""
        boxes, rows = [], []
        for line in self.lines:
            before, gap, after = line.partition(GAP)
            row = [widgets.HTML(f"<p class='as-step'>{escape(before)}</p>")]
            if gap:
                one = self.gaps[len(boxes)]
                boxes.append(
                    widgets.Text(
                        tooltip=f"{one.what}, in {one.unit}", layout=widgets.Layout(width="110px")
                    )
                )
                behind = escape(f"{one.unit}{after}")
                row += [boxes[-1], widgets.HTML(f"<p class='as-step'>{behind}</p>")]
            rows.append(
                widgets.HBox(row, layout=widgets.Layout(flex_flow="row wrap", align_items="center"))
            )

        def put(kept):
            if isinstance(kept, list) and [type(text) for text in kept] == [str] * len(boxes):
                for box, text in zip(boxes, kept, strict=True):
                    box.value = text

        def get():
            typed = [box.value.strip() for box in boxes]
            return typed if any(typed) else None

        return Field(widgets.VBox(rows, layout=fills()), get, put)

    def judge(self, answer):
        """Each gap by its own question, later ones from what stands in the earlier ones."""
        if answer is None or not all(answer):
            return Said(None, "Fill in every gap first.")
        typed = [gap.typed(text) for gap, text in zip(self.gaps, answer, strict=True)]
        earlier = {gap.question.id: text for gap, text in zip(self.gaps, typed, strict=True)}
        right, wrong, reread = [], [], []
        for gap, text in zip(self.gaps, typed, strict=True):
            outcome = gap.question.judge(gap.row, text, earlier)
            if outcome.note.endswith("/carried"):
                wrong.append(f"{gap.what}: {FOLLOWS}")
            elif outcome.right:
                right.append(gap.what)
            else:
                where = gap.question.reread
                reread += [where] if where and outcome.message.endswith(where) else []
                wrong.append(f"{gap.what}: {outcome.message.removesuffix(where).strip()}")
        if not wrong:
            return Said(True, "\n".join(f"{gap.what}: {gap.reason}" for gap in self.gaps))
        kept = [f"Right already, leave it: {'; '.join(right)}."] if right else []
        return Said(False, "\n".join([*kept, *wrong, *dict.fromkeys(reread)]))

    def told(self, answer):
        """The answer in words."""
        return "; ".join(
            f"{gap.what}: “{text}”" for gap, text in zip(self.gaps, answer, strict=True)
        )

    @property
    def wrong_answers(self):
        """The common slips of each gap, each with the number it gives."""
        found = []
        for gap in self.gaps:
            for slip in gap.question.shown_slips(gap.row):
                number, _, unit = slip.answer.partition(" ")
                number = number.rstrip("0").rstrip(".") if "." in number else number
                said = slip.sentence.removesuffix(gap.question.reread).strip()
                found.append((f"{gap.what}: “{number} {unit}”", said))
        return found

    @property
    def solution(self):
        """The whole sum, each open line with its reason."""
        filled = self._filled(f"{gap.right} {gap.unit}" for gap in self.gaps)
        reasons = (gap.reason for gap in self.gaps)
        return "\n".join(
            f"{done}. {next(reasons)}" if GAP in line else done
            for line, done in zip(self.lines, filled, strict=True)
        )

    @property
    def on_paper(self):
        """What stands below the question on paper."""
        return self._filled(f"{GAP}__ {gap.unit}" for gap in self.gaps)


@dataclass(frozen=True)
class Order:
    """Steps to be put in order; given in the right one, shown in another.

    steps   Step ones; the why of a step is said when it stands before the one it follows
    """

    words: str
    steps: tuple

    name = "order"

    @property
    def shown(self):
        """The places of the steps as they are shown."""
        return _shuffled([step.words for step in self.steps], self.words)

    def field(self):
        """The steps below each other, each with a button up and one down."""
        order, touched, rows = list(self.shown), [False], []
        box = widgets.VBox(layout=fills())

        def draw():
            for place, (label, up, down) in enumerate(rows):
                words = self.steps[order[place]].words
                label.value = (
                    f"<p class='as-step'><strong>{place + 1}.</strong> {escape(words)}</p>"
                )
                up.tooltip, down.tooltip = f"up: {words}", f"down: {words}"

        def move(place, by):
            other = place + by
            touched[0] = True
            if 0 <= other < len(order):
                order[place], order[other] = order[other], order[place]
            draw()

        for place in range(len(order)):
            up = widgets.Button(description="▲", layout=widgets.Layout(width="48px"))
            down = widgets.Button(description="▼", layout=widgets.Layout(width="48px"))
            up.disabled, down.disabled = place == 0, place == len(order) - 1
            up.on_click(lambda button, place=place: move(place, -1))
            down.on_click(lambda button, place=place: move(place, 1))
            label = widgets.HTML(layout=widgets.Layout(flex="1 1 auto"))
            rows.append((label, up, down))
        box.children = [
            widgets.HBox([up, down, label], layout=widgets.Layout(align_items="center"))
            for label, up, down in rows
        ]
        draw()

        def put(kept):
            if sorted(kept) == sorted(order):
                order[:], touched[0] = kept, True
                draw()

        return Field(box, lambda: list(order) if touched[0] else None, put)

    def judge(self, answer):
        """The first step that stands too early, with its reason."""
        if answer is None:
            return Said(None, "Bring the steps into order with the arrows first.")
        for place, step in enumerate(answer):
            late = [n for n in answer[place + 1 :] if n < step]
            if late:
                # Say why the next step in the right order waits, not where everything goes.
                after = self.steps[step]
                return Said(False, f"“{after.words}” stands too early. {after.why}".strip())
        return Said(True, "That order works.")

    def told(self, answer):
        """The answer in words."""
        return "; ".join(self.steps[n].words for n in answer)

    @property
    def wrong_answers(self):
        """Each step that can stand too early, with what it has to wait for."""
        return [(f"“{step.words}” too early", step.why) for step in self.steps[1:]]

    @property
    def solution(self):
        """The order."""
        return "; ".join(f"{n}. {step.words}" for n, step in enumerate(self.steps, 1))

    @property
    def on_paper(self):
        """What stands below the question on paper."""
        return [f"___ {self.steps[n].words}" for n in self.shown]


@dataclass(frozen=True)
class FindFault:
    """Steps of which one is wrong. Each has its reason: why it is the fault, or why it is in order.

    steps   Option ones in the order they were done; the one with right=True is the fault
    """

    words: str
    steps: tuple

    name = "fault"

    def field(self):
        """Round buttons, numbered."""
        return radio([f"{n}. {step.words}" for n, step in enumerate(self.steps, 1)])

    def judge(self, answer):
        """Why this step is the fault, or why it is none."""
        if answer is None:
            return Said(None, "Choose the step that is wrong first.")
        step = self.steps[answer]
        before = "" if step.right else f"No fault in step {answer + 1}. "
        return Said(step.right, f"{before}{step.reason}")

    def told(self, answer):
        """The answer in words."""
        return f"step {answer + 1}, “{self.steps[answer].words}”"

    @property
    def wrong_answers(self):
        """Each step that is in order, with the reason."""
        return _wrong(self.steps)

    @property
    def solution(self):
        """The fault, with its reason."""
        number, step = next((n, s) for n, s in enumerate(self.steps, 1) if s.right)
        return f"Step {number}, “{step.words}”: {step.reason}"

    @property
    def on_paper(self):
        """What stands below the question on paper."""
        return [f"☐ {n}. {step.words}" for n, step in enumerate(self.steps, 1)]


@dataclass(frozen=True)
class Match:
    """What belongs to what: for each thing on the left one of the list.

    pairs   Pair ones
    extra   Option ones: further things in the list that belong to nothing, and why
    """

    words: str
    pairs: tuple
    extra: tuple = ()

    name = "match"

    @property
    def _what(self):
        """{thing in the list: what is said where it is chosen wrongly}."""
        things = {pair.right: pair.elsewhere for pair in self.pairs}
        return things | {one.words: one.reason for one in self.extra}

    @property
    def offered(self):
        """The list, mixed."""
        things = list(self._what)
        return [things[n] for n in _shuffled(things, self.words)]

    def field(self):
        """A list for each thing on the left."""
        offered, lists, rows = self.offered, [], []
        for pair in self.pairs:
            one = widgets.Dropdown(
                options=[("choose ...", ""), *((o, o) for o in offered)],
                value="",
                tooltip=pair.left,
                layout=fills(),
            )
            lists.append(one)
            rows.append(widgets.VBox([widgets.Label(pair.left), one], layout=fills()))

        def put(kept):
            for one, value in zip(lists, kept, strict=True):
                one.value = value

        def get():
            chosen = [one.value for one in lists]
            return chosen if any(chosen) else None

        return Field(widgets.VBox(rows, layout=fills()), get, put)

    def judge(self, answer):
        """What was chosen wrongly, and why it does not belong there; what does is not said."""
        if answer is None or not all(answer):
            return Said(None, "Choose one for each first.")
        wrong = {}
        for pair, chosen in zip(self.pairs, answer, strict=True):
            if chosen != pair.right:
                wrong.setdefault((chosen, self.why_not(pair, chosen)), []).append(pair.left)
        if wrong:
            lines = [f"{'; '.join(lefts)}: not “{it}”. {why}" for (it, why), lefts in wrong.items()]
            return Said(False, "\n".join(lines))
        return Said(True, "\n".join(pair.reason for pair in self.pairs))

    def why_not(self, pair, chosen):
        """Why a thing of the list does not belong to the left one of a pair."""
        own = {one.words: one.reason for one in pair.likely}
        return own.get(chosen, self._what[chosen])

    def told(self, answer):
        """The answer in words."""
        return "; ".join(
            f"{pair.left}: {said or 'nothing'}"
            for pair, said in zip(self.pairs, answer, strict=True)
        )

    @property
    def wrong_answers(self):
        """Each thing of the list in a wrong place, and the likely ones that are told otherwise."""
        likely = [
            (f"“{one.words}” for “{pair.left}”", one.reason)
            for pair in self.pairs
            for one in pair.likely
        ]
        elsewhere = [(f"“{pair.right}” elsewhere", pair.elsewhere) for pair in self.pairs]
        return elsewhere + _wrong(self.extra) + likely

    @property
    def solution(self):
        """What belongs together, with the reasons."""
        return "\n".join(f"{p.left}: {p.right}. {p.reason}" for p in self.pairs)

    @property
    def on_paper(self):
        """What stands below the question on paper."""
        return [*(f"{p.left}: ________" for p in self.pairs), f"To choose from: {'; '.join(self.offered)}"]  # fmt: skip
