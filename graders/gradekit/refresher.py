"""The refresher: ten minutes of mixed questions from what this member has passed.

Due two weeks after an exercise was passed, two months after that refresher, then every six months.
It is drawn by hash from member and due day, leans to what the member slipped on, and deals numbers
that the member has not had. All of it lies in the member's study folder; nothing of it counts for
the record.

    exercise-NAME.json        how the checks of an exercise stood (`keep_check`)
    class-MEMBER.json         what the class on this machine has on file of the member
    refresher-MEMBER.json     refreshers done, the one under way, numbers dealt
"""

import contextlib
import json
import re
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, timedelta
from hashlib import sha256
from math import ceil, log
from zlib import crc32

from aerialstream.keeping import KEPT_IN, months_later, read_kept, study, write_whole
from gradekit.draw import member_number

FIRST_DAYS, SECOND_MONTHS, LATER_MONTHS = 14, 2, 6
MINUTES, MOST_MINUTES = 10, 13
FEWEST, MOST = 6, 8
FEWEST_FROM_A_PAPER = 3  # so many may come from one paper, however many were passed
ASKED_AGAIN = 0.5  # of the paper's minutes: nothing to open, save or hand in; assumed, no source
MOST_SLIPS = 3  # more do not weigh more
SLIP_WEIGHS = 2
RIGHT = ("right", "carried")
NO_ANSWERS = ("blank", "unreadable", "wrong-kind", "no-member", "answer-cell-did-not-run",
              "check-did-not-run", "not-judged")  # fmt: skip


def branch_of(note):
    """What a note says behind the question's id: "right", "mistake/cosine-for-sine"."""
    return note.partition("/")[2]


def is_answer(branch):
    """Whether something was answered that could be judged."""
    return branch.split("/")[0] not in NO_ANSWERS


# --- when -----------------------------------------------------------------------------------------


def due_day(passed, done):
    """The day of the next refresher, None where nothing was passed.

    Takes
      passed   {paper: day}
      done     days of the refreshers done

    A paper passed later starts anew with two weeks; the earliest day counts. A late refresher
    moves what follows with it.
    """
    days = []
    for day in passed.values():
        after = [one for one in done if one > day]
        if not after:
            days.append(day + timedelta(days=FIRST_DAYS))
        else:
            days.append(
                months_later(max(after), SECOND_MONTHS if len(after) == 1 else LATER_MONTHS)
            )
    return min(days, default=None)


# --- what -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Drawn:
    """One question of a refresher: its id and the deal that its numbers come from."""

    question: str
    retake: int


def open_slips(made, asked=()):
    """How many slips of a question still weigh.

    Takes
      made    slips made in the exercise
      asked   branches of the first answers in refreshers, in order: a right one halves what weighs
    """
    weighs = min(made, MOST_SLIPS)
    for branch in asked:
        weighs = weighs // 2 if branch in RIGHT else min(weighs + 1, MOST_SLIPS)
    return weighs


def minutes_of(paper, question):
    """How long a question takes when it is asked again: a part of its share of the paper."""
    total = sum(q.points for q in paper.questions)
    return ASKED_AGAIN * paper.minutes * question.points / total


def fresh_deal(question, dealt, department=None):
    """The deal for a question of which a refresher has dealt `dealt` rows.

    The class deals rows from the beginning (first time, retakes); refreshers come from the other
    end of the same order, so that both meet only when all rows were dealt.
    """
    leader = question.same_row_as or question
    count = len(leader.table(department))
    return (count - 1 - dealt) % count


def drawn(member, due, passed, weights=None, dealt=None, department=None):
    """The questions of a refresher, in the order in which they are asked: Drawn ones.

    Takes
      passed    names of the papers passed
      weights   {question id: number}; 1 where there is none
      dealt     {question id: rows that refreshers have dealt of it}
    """
    from gradekit.questions import paper_named

    weights, dealt = weights or {}, dealt or {}
    papers = {name: paper_named(name) for name in sorted(set(passed))}
    of = {q.id: (paper, q) for paper in papers.values() for q in paper.auto_questions}
    seed = f"refresher|{member}|{due.isoformat()}"

    def late(name):  # the heavier, the earlier; a larger weight never moves a question back
        return -log(_share(f"{seed}|{name}")) / weights.get(name, 1)

    from_one = max(FEWEST_FROM_A_PAPER, ceil(MOST / max(1, len(papers))))
    chosen, minutes, count = [], 0.0, Counter()
    for name in sorted(of, key=late):
        if len(chosen) >= MOST or (len(chosen) >= FEWEST and minutes >= MINUTES - 1):
            break
        paper, question = of[name]
        more = [one for one in (*_needs(question), name) if one not in chosen]
        took = sum(minutes_of(paper, of[one][1]) for one in more)
        if len(chosen) + len(more) > MOST or count[paper.name] + len(more) > from_one:
            continue
        if minutes + took > MOST_MINUTES:
            continue
        chosen += more
        count[paper.name] += len(more)
        minutes += took
    return tuple(_deals(_mixed(chosen, of, seed), of, dealt, department))


def _share(text):
    """A number above 0 and below 1 that follows from a text."""
    return (int.from_bytes(sha256(text.encode()).digest()[:8], "big") + 1) / (2**64 + 2)


def _needs(question):
    """Ids of the questions whose answers this one takes up, theirs first."""
    found = []
    for one in question.needs:
        found += [name for name in (*_needs(one), one.id) if name not in found]
    return found


def _mixed(chosen, of, seed):
    """The order in which they are asked: mixed, but what one takes up comes before it."""
    order = []
    for name in sorted(chosen, key=lambda one: _share(f"{seed}|order|{one}")):
        order += [one for one in (*_needs(of[name][1]), name) if one not in order]
    return order


def _deals(names, of, dealt, department):
    for name in names:
        question = of[name][1]
        leader = (question.same_row_as or question).id
        yield Drawn(name, fresh_deal(question, dealt.get(leader, 0), department))


# --- what the checks of an exercise leave behind ------------------------------------------------------


def _write(path, kept):
    """Keep it; a disk that refuses costs the note, not the exercise."""
    with contextlib.suppress(OSError):
        write_whole(path, json.dumps(kept, ensure_ascii=False, indent=1))


def _exercise_sound(kept):
    for held in kept.values():
        if "passed" in held:
            date.fromisoformat(held["passed"])
        for one in held["questions"].values():
            float(one["best"])
            if not all(isinstance(times, int) for times in one["slips"].values()):
                raise ValueError("not what we write")


def keep_check(outcome, member, folder=None, today=None):
    """Keep how a check of an exercise stood: the last result, the slips, whether it is passed.

    Called by the check in the notebook. Without a study folder, in the grading run above all,
    nothing is kept. Running the page again with the same answer changes nothing.
    """
    from gradekit.questions import paper_of

    folder, branch = folder or study(), branch_of(outcome.note)
    if folder is None or not member or not is_answer(branch):
        return
    paper = paper_of(outcome.question)
    path = folder / KEPT_IN / f"exercise-{paper.name}.json"
    kept = read_kept(path, _exercise_sound)
    held = kept.setdefault(member, {"questions": {}})
    before = held["questions"].get(outcome.question, {"best": 0.0, "slips": {}})
    if before.get("answer") == outcome.answer and before.get("last") == branch:
        return
    today = today or date.today()
    slips = dict(before["slips"])
    if not outcome.right:
        slips[branch] = slips.get(branch, 0) + 1
    held["questions"][outcome.question] = {
        "answer": outcome.answer,
        "last": branch,
        "best": max(before["best"], outcome.points / outcome.most),
        "slips": slips,
        "day": today.isoformat(),
    }
    if "passed" not in held and _enough(paper, held["questions"]):
        held["passed"] = today.isoformat()
    _write(path, kept)


def _enough(paper, questions):
    """Whether the checks earn the department's pass mark; the written answers stand aside."""
    from gradekit.questions import department_in_use

    mark = department_in_use().completion.pass_mark.to("").magnitude
    most = sum(q.points for q in paper.auto_questions)
    earned = sum(q.points * questions.get(q.id, {}).get("best", 0) for q in paper.auto_questions)
    return earned >= mark * most - 1e-9


@dataclass
class Behind:
    """What lies behind a refresher: {paper: day passed}, {question id: slips made}."""

    passed: dict = field(default_factory=dict)
    slips: Counter = field(default_factory=Counter)

    def add(self, paper, day):
        """A paper was passed on a day; the earliest counts."""
        self.passed[paper] = min(day, self.passed.get(paper, day))


def members_of(folder):
    """The members who have worked on exercises in a study folder."""
    found = set()
    for path in sorted((folder / KEPT_IN).glob("exercise-*.json")):
        if " unreadable " not in path.name:
            found |= set(read_kept(path, _exercise_sound))
    return sorted(found)


def take_up(folder, member, passed, slips):
    """Keep what the class has on file: {paper: day passed}, {question id: slips}."""
    kept = {"passed": {name: day.isoformat() for name, day in passed.items()}, "slips": slips}
    _write(folder / KEPT_IN / f"class-{member}.json", kept)


def _class_sound(kept):
    for day in kept["passed"].values():
        date.fromisoformat(day)
    if not all(isinstance(times, int) for times in kept["slips"].values()):
        raise ValueError("not what we write")


def behind(folder, member):
    """What a member has passed and slipped on: the exercises in the study folder, and the class."""
    found = Behind()
    taken = read_kept(folder / KEPT_IN / f"class-{member}.json", _class_sound)
    for name, day in taken.get("passed", {}).items():
        found.add(name, date.fromisoformat(day))
    found.slips.update(taken.get("slips", {}))
    for path in sorted((folder / KEPT_IN).glob("exercise-*.json")):
        if " unreadable " in path.name:
            continue
        held = read_kept(path, _exercise_sound).get(member, {"questions": {}})
        if "passed" in held:
            found.add(path.stem.removeprefix("exercise-"), date.fromisoformat(held["passed"]))
        for name, one in held["questions"].items():
            found.slips[name] += sum(one["slips"].values())
    return found


# --- one member's refreshers --------------------------------------------------------------------------


def _state_sound(kept):
    for one in kept.get("done", ()):
        date.fromisoformat(one["on"])
    for times in kept.get("dealt", {}).values():
        if not isinstance(times, int):
            raise ValueError("not what we write")
    for branches in kept.get("asked", {}).values():
        if not all(isinstance(branch, str) for branch in branches):
            raise ValueError("not what we write")
    now = kept.get("now")
    if now is not None:
        date.fromisoformat(now["due"])
        if now.get("on"):
            date.fromisoformat(now["on"])
        now["answers"].items()
        for one in now["questions"]:
            one["id"], int(one["retake"]), int(one["seen"]), float(one["minutes"])


@dataclass(frozen=True)
class Item:
    """One question as it is asked: `number` counts from 1, `numbers` is {question id: number}."""

    question: object
    paper: object
    row: dict
    number: int
    numbers: dict

    @property
    def id(self):
        """The question's id."""
        return self.question.id

    def renumbered(self, words):
        """Words in which “question 2” means the one of this refresher."""

        def put(found):
            number = self.numbers.get(f"{self.paper.name}-q{found.group(1)}")
            return f"question {number or found.group(1)}" + ("" if number else " of the exercise")

        return re.sub(r"\bquestion (\d+)", put, words)


class Refreshers:
    """The refreshers of one member in one study folder."""

    def __init__(self, folder, member, today=None):
        self.member, self.today = member_number(member), today or date.today()
        self.folder = folder
        self.path = folder / KEPT_IN / f"refresher-{self.member}.json"
        self.state = read_kept(self.path, _state_sound)
        self.behind = behind(folder, self.member)

    def _keep(self):
        _write(self.path, self.state)

    # --- when -------------------------------------------------------------------------------------

    @property
    def done(self):
        """Days of the refreshers done."""
        return [date.fromisoformat(one["on"]) for one in self.state.get("done", ())]

    @property
    def due(self):
        """The day of the one under way, else of the next; None where nothing was passed."""
        if self.under_way:
            return date.fromisoformat(self.state["now"]["due"])
        return due_day(self.behind.passed, self.done)

    @property
    def is_due(self):
        """Whether there is something to do today."""
        return self.due is not None and self.due <= self.today

    @property
    def under_way(self):
        """Whether one was opened and not every question of it has been answered."""
        now = self.state.get("now")
        return now is not None and not now.get("on")

    @property
    def answered(self):
        """How many questions of the latest one have been answered."""
        return len(self.answers)

    @property
    def asked(self):
        """How many questions the latest one has."""
        return len((self.state.get("now") or {"questions": ()})["questions"])

    @property
    def answers(self):
        """{question id: {"answer", "first", "last"}} of the latest one."""
        now = self.state.get("now") or {"answers": {}, "questions": []}
        asked = {one["id"] for one in now["questions"]}
        return {name: one for name, one in now["answers"].items() if name in asked}

    @property
    def minutes_left(self):
        """About how long the rest takes."""
        if not self.under_way:
            return MINUTES
        left = sum(
            q["minutes"] for q in self.state["now"]["questions"] if q["id"] not in self.answers
        )
        return max(1, round(left))

    # --- what -------------------------------------------------------------------------------------

    def weights(self, shaky=None):
        """{question id: weight}; `shaky` gives {paper: 0 to 1} of self-checks that took longer."""
        from gradekit.questions import paper_named

        asked = self.state.get("asked", {})
        return {
            q.id: (1 + SLIP_WEIGHS * open_slips(self.behind.slips[q.id], asked.get(q.id, ())))
            * (1 + (shaky or {}).get(name, 0))
            for name in self._papers()
            for q in paper_named(name).auto_questions
        }

    def _papers(self):
        """Names of the passed papers that this version of the kit has."""
        from gradekit.questions import paper_named

        found = []
        for name in self.behind.passed:
            with contextlib.suppress(KeyError):
                found.append(paper_named(name).name)
        return found

    def open(self, shaky=None):
        """The questions of the refresher under way, of one that is due, or of the last one done."""
        found = self.items()
        if self.under_way and not found:  # none of its questions is left in this version of the kit
            self.state["now"] = None
        self._close_if_answered()
        if not self.under_way and self.is_due and self._papers():
            self._draw(shaky)
            found = self.items()
        return found

    def _draw(self, shaky):
        from gradekit.questions import paper_of

        due, dealt = self.due, self.state.setdefault("dealt", {})
        put = []
        for one in drawn(self.member, due, self._papers(), self.weights(shaky), dealt):
            paper = paper_of(one.question)
            question = paper.question(one.question)
            row = question.row(paper.version, self.member, one.retake)
            put.append(
                {
                    "id": one.question,
                    "retake": one.retake,
                    "seen": _seen(question, row),
                    "minutes": round(minutes_of(paper, question), 2),
                }
            )
        for leader in {_leader(one["id"]) for one in put}:
            dealt[leader] = dealt.get(leader, 0) + 1
        self.state["now"] = {"due": due.isoformat(), "questions": put, "answers": {}, "on": None}
        self._keep()

    def items(self):
        """The questions of the latest refresher as Items.

        An answer to a question that reads otherwise by now (another version, other files of the
        department) is let go: it belongs to other numbers.
        """
        from gradekit.questions import paper_of

        now, found = self.state.get("now"), []
        for one in now["questions"] if now else ():
            try:
                paper = paper_of(one["id"])
                question = paper.question(one["id"])
                row = question.row(paper.version, self.member, one["retake"])
            except (KeyError, ValueError):
                continue
            if _seen(question, row) != one["seen"]:
                now["answers"].pop(one["id"], None)
                one["seen"] = _seen(question, row)
            found.append((question, paper, row))
        if now:  # what this version of the kit no longer has cannot be waited for
            kept = {question.id for question, _, _ in found}
            now["questions"] = [one for one in now["questions"] if one["id"] in kept]
        numbers = {question.id: n for n, (question, _, _) in enumerate(found, 1)}
        return tuple(Item(q, paper, row, numbers[q.id], numbers) for q, paper, row in found)

    # --- answers ----------------------------------------------------------------------------------

    def judge(self, item, text):
        """The Outcome of an answer; nothing is kept."""
        earlier = {q.id: self.answers.get(q.id, {}).get("text", "") for q in item.question.needs}
        return item.question.judge(item.row, text, earlier)

    def answer(self, item, text, shown=None):
        """Judge an answer and keep it; the first one counts for the next draw.

        Takes
          text    as it is typed in an exercise
          shown   what stands on the page, as JSON; kept to stand there again
        """
        outcome = self.judge(item, text)
        branch, now = branch_of(outcome.note), self.state["now"]
        if not is_answer(branch):
            return outcome
        before = now["answers"].get(item.id)
        if before is None:
            self.state.setdefault("asked", {}).setdefault(item.id, []).append(branch)
        now["answers"][item.id] = {
            "text": text,
            "shown": shown,
            "first": before["first"] if before else branch,
            "last": branch,
        }
        self._close_if_answered()
        self._keep()
        return outcome

    def _close_if_answered(self):
        """A refresher is done once each of its questions has had an answer, right or not."""
        now = self.state.get("now")
        if not self.under_way or len(self.answers) < len(now["questions"]):
            return
        now["on"] = self.today.isoformat()
        right = sum(one["first"] in RIGHT for one in self.answers.values())
        self.state.setdefault("done", []).append(
            {"due": now["due"], "on": now["on"], "right": right, "asked": len(now["questions"])}
        )


def _leader(question_id):
    from gradekit.questions import paper_of

    question = paper_of(question_id).question(question_id)
    return (question.same_row_as or question).id


def _seen(question, row):
    return crc32(question.words(row).encode())
