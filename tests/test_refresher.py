"""The refresher: when it is due, what it asks, what is kept of it, and its page without a browser.

The dates (two weeks, two months, six months) are the department's wish, written out here by hand.
"""

import json
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerialstream.keeping import FOLDER_VARIABLE, KEPT_IN
from gradekit import refresher
from gradekit.notebook import check_in_notebook
from gradekit.questions import paper_named, papers
from gradekit.refresher import Refreshers, behind, drawn, due_day, keep_check, open_slips
from lessonkit import home, refresher_page, refreshing

MEMBER = "2041"
NAMES = sorted(papers())
DAYS = st.dates(date(2025, 1, 1), date(2030, 12, 31))
SOME = st.lists(st.sampled_from(NAMES), min_size=1, unique=True)
MEMBERS = st.from_regex(r"[A-Z0-9]{1,6}", fullmatch=True)
LETTERS = "ABCDEFGH"


def question(name):
    return paper_named(name.rpartition("-q")[0]).question(name)


@pytest.fixture
def study(tmp_path, monkeypatch):
    """A study folder that the check in the notebook finds."""
    monkeypatch.setenv(FOLDER_VARIABLE, str(tmp_path))
    return tmp_path


def pass_paper(folder, name, day, member=MEMBER, slips=None):
    """A passed exercise as the checks leave it behind."""
    path = folder / KEPT_IN / f"exercise-{name}.json"
    path.parent.mkdir(exist_ok=True)
    kept = json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {}
    one = {"answer": "x", "last": "right", "best": 1.0, "day": day.isoformat()}
    kept[member] = {
        "passed": day.isoformat(),
        "questions": {
            q.id: {**one, "slips": (slips or {}).get(q.id, {})}
            for q in paper_named(name).auto_questions
        },
    }
    path.write_text(json.dumps(kept), encoding="utf-8")


# --- when -----------------------------------------------------------------------------------------


def test_due_after_two_weeks_two_months_then_every_six_months():
    """Counted from the one before; a late one moves the next with it."""
    passed = {"nozzle-reaction": date(2026, 1, 10)}
    assert due_day(passed, []) == date(2026, 1, 24)
    assert due_day(passed, [date(2026, 1, 24)]) == date(2026, 3, 24)
    assert due_day(passed, [date(2026, 1, 31)]) == date(2026, 3, 31)
    assert due_day(passed, [date(2026, 1, 24), date(2026, 3, 30)]) == date(2026, 9, 30)
    assert due_day(passed, [date(2026, 1, 24), date(2026, 3, 24), date(2026, 8, 31)]) == date(2027, 2, 28)  # fmt: skip
    assert due_day({}, []) is None


def test_due_a_paper_passed_later_begins_with_two_weeks_again():
    """What is new is asked soon, whatever is known for long."""
    done = [date(2026, 1, 24), date(2026, 3, 24)]
    passed = {"nozzle-reaction": date(2026, 1, 10), "path-and-reach": date(2026, 4, 1)}
    assert due_day(passed, done) == date(2026, 4, 15)
    assert due_day(passed, [*done, date(2026, 4, 15)]) == date(2026, 6, 15)


@given(st.dictionaries(st.sampled_from(NAMES), DAYS, min_size=1), st.lists(st.integers(0, 300), max_size=8))  # fmt: skip
def test_due_never_before_two_weeks_and_always_later_than_the_last(passed, lates):
    """However late each is done, the next lies ahead of it, and at most six months."""
    done = []
    for late in lates:
        due = due_day(passed, done)
        assert due >= min(passed.values()) + timedelta(days=14)
        assert not done or due > done[-1]
        done.append(max([due + timedelta(days=late), *done]))
    if done and done[-1] > max(passed.values()):
        assert timedelta(days=28) <= due_day(passed, done) - done[-1] <= timedelta(days=184)


# --- what -----------------------------------------------------------------------------------------


@settings(max_examples=80, deadline=None)
@given(MEMBERS, DAYS, SOME)
def test_draw_asks_only_from_passed_papers_and_fits_ten_minutes(member, due, passed):
    """Six to eight different questions; none written; what one takes up comes before it."""
    found = [one.question for one in drawn(member, due, passed)]
    assert 6 <= len(found) <= 8 and len(set(found)) == len(found)
    assert {name.rpartition("-q")[0] for name in found} <= set(passed)
    assert all(question(name).judged for name in found)
    for place, name in enumerate(found):
        assert all(one.id in found[:place] for one in question(name).needs)
    minutes = sum(
        refresher.minutes_of(paper_named(n.rpartition("-q")[0]), question(n)) for n in found
    )
    assert 7 < minutes <= 13
    assert drawn(member, due, passed[::-1]) == drawn(member, due, passed)


@settings(max_examples=80, deadline=None)
@given(MEMBERS, DAYS, SOME, st.data())
def test_draw_a_slip_never_takes_a_question_out(member, due, passed, data):
    """Where a question is drawn without a slip it is drawn with one."""
    found = [one.question for one in drawn(member, due, passed)]
    slipped = data.draw(st.sampled_from(found))
    again = drawn(member, due, passed, {slipped: data.draw(st.sampled_from((1.5, 3, 5, 7)))})
    assert slipped in [one.question for one in again]


def test_draw_slipped_questions_come_more_often():
    """Over 300 refreshers from nine papers a slipped one comes several times as often."""
    slipped = [f"{name}-q1" for name in NAMES]
    weights = dict.fromkeys(slipped, 1 + refresher.SLIP_WEIGHS)
    times = Counter()
    for day in range(300):
        due = date(2026, 1, 1) + timedelta(days=day)
        times.update(one.question for one in drawn(MEMBER, due, NAMES, weights))
    asked = [q.id for name in NAMES for q in paper_named(name).auto_questions]
    often = sum(times[name] for name in slipped) / len(slipped)
    seldom = sum(times[n] for n in asked if n not in slipped) / (len(asked) - len(slipped))
    assert often > 2 * seldom > 0
    assert min(times[name] for name in asked) > 0  # and nothing is left out for good


@settings(max_examples=60, deadline=None)
@given(MEMBERS, st.sampled_from([q.id for n in NAMES for q in paper_named(n).auto_questions]))
def test_draw_numbers_are_new_until_all_were_dealt(member, name):
    """No row comes twice before every row has come; the one of the exercise itself comes last."""
    one, paper = question(name), paper_named(name.rpartition("-q")[0])
    count = len(one.table())
    places = [
        one.row_number(paper.version, member, refresher.fresh_deal(one, dealt))
        for dealt in range(count)
    ]
    assert sorted(places) == list(range(count))
    assert places[-1] == one.row_number(paper.version, member)


def test_slips_weigh_until_they_are_answered_right():
    """A right first answer halves what weighs, a slip adds; three weigh as much as ten."""
    assert open_slips(0) == 0 and open_slips(2) == 2 and open_slips(10) == 3
    assert open_slips(3, ["right"]) == 1 and open_slips(3, ["right", "right"]) == 0
    assert open_slips(0, ["mistake/x"]) == 1 and open_slips(1, ["mistake/x", "carried"]) == 1


# --- what the checks of an exercise leave behind ------------------------------------------------------


def answer_exercise(name, slips=(), leave=()):
    """Work through an exercise as the notebook does: slips first, then right."""
    paper = paper_named(name)
    names = {"member": MEMBER}
    for one in paper.auto_questions:
        row = paper.row(one.id, MEMBER)
        if one.id in slips:
            names[one.variable] = one.shown_slips(row)[0].answer
            check_in_notebook(one.id, names)
        if one.id not in leave:
            names[one.variable] = one.worked_answer(row)
            check_in_notebook(one.id, names)


def test_exercise_checks_are_kept_with_their_slips_and_the_day_of_passing(study):
    """What is slipped on and put right stays on file; the same run again changes nothing."""
    name = "nozzle-reaction"
    answer_exercise(name, slips=(f"{name}-q3",))
    found = behind(study, MEMBER)
    assert found.passed == {name: date.today()}
    assert found.slips[f"{name}-q3"] == 1 and sum(found.slips.values()) == 1
    path = study / KEPT_IN / f"exercise-{name}.json"
    before = path.read_text(encoding="utf-8")
    answer_exercise(name)
    assert path.read_text(encoding="utf-8") == before


def test_exercise_below_the_pass_mark_is_not_passed(study):
    """Half of it right: nothing is due."""
    name = "nozzle-reaction"
    answer_exercise(name, leave=[f"{name}-q{n}" for n in (1, 2, 3, 4)])
    assert behind(study, MEMBER).passed == {}
    assert Refreshers(study, MEMBER).due is None and Refreshers(study, MEMBER).open() == ()


def test_exercise_blank_and_unreadable_answers_are_no_slips(study):
    """Nothing is kept of what could not be judged."""
    names = {"member": MEMBER, "reaction_1": ""}
    for text in ("", "no idea", "400 gpm"):
        names["reaction_1"] = text
        check_in_notebook("nozzle-reaction-q1", names)
    assert not (study / KEPT_IN).exists()


def test_exercise_check_keeps_nothing_without_a_study_folder(tmp_path, monkeypatch):
    """As in the grading run, where nobody's study folder is."""
    monkeypatch.delenv(FOLDER_VARIABLE, raising=False)
    monkeypatch.chdir(tmp_path)
    answer_exercise("nozzle-reaction")
    assert list(tmp_path.iterdir()) == []


def test_exercise_check_is_judged_even_where_nothing_can_be_kept(study, monkeypatch):
    """A disk that refuses, or a spoiled file, costs the note and no answer."""
    monkeypatch.setattr("gradekit.refresher.keep_check", lambda *a: 1 / 0)
    paper = paper_named("nozzle-reaction")
    text = paper.question("nozzle-reaction-q1").worked_answer(
        paper.row("nozzle-reaction-q1", MEMBER)
    )
    said = check_in_notebook("nozzle-reaction-q1", {"member": MEMBER, "reaction_1": text})
    assert said.outcome.right


def test_two_members_in_one_folder_are_kept_apart(study):
    """Each has what they passed themselves."""
    pass_paper(study, "nozzle-reaction", date(2026, 1, 1))
    paper = paper_named("nozzle-reaction")
    keep_check(paper.judge("nozzle-reaction-q1", "7", "1 lbf"), "7")
    assert behind(study, "7").passed == {} and behind(study, "7").slips
    assert behind(study, MEMBER).passed and not +behind(study, MEMBER).slips
    assert refresher.members_of(study) == [MEMBER, "7"]
    assert refreshing.whose(study) == "" and refreshing.whose(study, "7") == "7"


# --- under way, left, taken up again ------------------------------------------------------------------

START = date(2026, 1, 10)
DUE = START + timedelta(days=14)


def answered_right(mine, item):
    return mine.answer(item, item.question.worked_answer(item.row), "shown")


@settings(max_examples=25, deadline=None)
@given(SOME, st.integers(0, 8), st.integers(0, 200))
def test_half_done_and_restarted_gives_the_same_questions_and_answers(passed, count, later):
    """Whenever it is taken up again, it stands where it stood."""
    folder = Path(tempfile.mkdtemp())
    try:
        for name in passed:
            pass_paper(folder, name, START)
        mine = Refreshers(folder, MEMBER, DUE)
        items = mine.open()
        for item in items[: min(count, len(items) - 1)]:
            assert answered_right(mine, item).right
        again = Refreshers(folder, MEMBER, DUE + timedelta(days=later))
        assert [(i.id, i.question.words(i.row)) for i in again.open()] == [
            (i.id, i.question.words(i.row)) for i in items
        ]
        assert again.answers == mine.answers and again.answered == min(count, len(items) - 1)
        for item in again.items():
            answered_right(again, item)
        assert not again.under_way and again.done == [DUE + timedelta(days=later)]
        assert again.due > again.done[-1]
    finally:
        shutil.rmtree(folder)


def test_nothing_is_opened_before_it_is_due(study):
    """The day before there is nothing to do; on the day there is."""
    pass_paper(study, "nozzle-reaction", START)
    assert Refreshers(study, MEMBER, DUE - timedelta(days=1)).open() == ()
    assert len(Refreshers(study, MEMBER, DUE).open()) >= 6


def test_one_after_the_other_deals_new_numbers_and_leans_to_slips(study):
    """Four refreshers in turn: no numbers twice, and a first wrong answer is on file."""
    for name in NAMES:
        pass_paper(study, name, START)
    day, seen = DUE, []
    for turn in range(4):
        mine = Refreshers(study, MEMBER, day)
        items = mine.open()
        seen += [i.question.words(i.row) for i in items]
        slip = items[0].question.shown_slips(items[0].row)[0]
        mine.answer(items[0], slip.answer)
        for item in items:
            answered_right(mine, item)
        first = mine.answers[items[0].id]["first"]
        assert first == slip.branch and mine.state["done"][-1]["right"] == len(items) - 1
        assert Refreshers(study, MEMBER, day).weights()[items[0].id] > 1
        assert mine.due == refresher.months_later(day, 2 if turn == 0 else 6)
        day = mine.due + timedelta(days=3)
    assert len(set(seen)) == len(seen)


@pytest.mark.parametrize(
    "text",
    ["{", "[]", '"x"', '{"done": [{"on": "yesterday"}]}', '{"dealt": {"a": "b"}}', '{"now": []}',
     '{"now": {"due": "2026-01-24", "answers": {}, "questions": [{"id": "x"}]}}', "\x00\xff"],
)  # fmt: skip
def test_broken_state_is_set_aside_and_the_refresher_goes_on(study, text):
    """Nothing is thrown away, and the member gets a refresher."""
    pass_paper(study, "nozzle-reaction", START)
    path = study / KEPT_IN / f"refresher-{MEMBER}.json"
    path.write_text(text, encoding="latin-1")
    assert len(Refreshers(study, MEMBER, DUE).open()) >= 6
    (aside,) = path.parent.glob("refresher-*unreadable*")
    assert aside.read_text(encoding="latin-1") == text


def test_broken_exercise_file_costs_that_exercise_only(study):
    """The others still count."""
    pass_paper(study, "nozzle-reaction", START)
    (study / KEPT_IN / "exercise-path-and-reach.json").write_text("{", encoding="utf-8")
    assert list(behind(study, MEMBER).passed) == ["nozzle-reaction"]
    assert list((study / KEPT_IN).glob("exercise-path-and-reach unreadable*"))
    assert refresher.members_of(study) == [MEMBER]


def test_question_that_reads_otherwise_by_now_is_asked_anew(study):
    """Other numbers under the same id: the kept answer does not stand under them."""
    pass_paper(study, "nozzle-reaction", START)
    mine = Refreshers(study, MEMBER, DUE)
    items = mine.open()
    answered_right(mine, items[0])
    mine.state["now"]["questions"][0]["seen"] += 1
    mine._keep()
    again = Refreshers(study, MEMBER, DUE)
    assert len(again.open()) == len(items) and again.answered == 0


def test_page_of_a_refresher_done_opens_though_a_question_reads_otherwise_by_now(study):
    """Other numbers under the same id: that answer is gone, what was counted stays."""
    pass_paper(study, "nozzle-reaction", START)
    mine = Refreshers(study, MEMBER, DUE)
    items = mine.open()
    for item in items:
        answered_right(mine, item)
    mine.state["now"]["questions"][0]["seen"] += 1
    mine._keep()
    page = refresher_page.Refresher(study, MEMBER, DUE)
    assert f"{len(items)} of {len(items)} right at the first answer" in page.foot.value


def test_questions_that_are_gone_are_not_waited_for(study):
    """A question that this version no longer has falls out; all gone, a new one is drawn."""
    pass_paper(study, "nozzle-reaction", START)
    mine = Refreshers(study, MEMBER, DUE)
    items = mine.open()
    mine.state["now"]["questions"][0]["id"] = "nozzle-reaction-q99"
    mine._keep()
    assert len(Refreshers(study, MEMBER, DUE).open()) == len(items) - 1
    for one in mine.state["now"]["questions"]:
        one["id"] = "no-such-paper-q1"
    mine._keep()
    assert len(Refreshers(study, MEMBER, DUE).open()) >= 6


# --- the page -----------------------------------------------------------------------------------------


def typed(kind, text):
    """What stands on the page where a member would type this in an exercise."""
    if isinstance(kind, refresher_page._Picked):
        return LETTERS.index(text)
    if isinstance(kind, refresher_page._Ordered):
        return [LETTERS.index(letter) for letter in text.split()]
    if isinstance(kind, refresher_page._Found):
        step, _, number = text.partition(";")
        return [int(step.split()[1]) - 1, number.strip()]
    if isinstance(kind, refresher_page._Planned):
        return [part.strip() for part in text.split(";")]
    return text


@pytest.mark.parametrize("name", NAMES)
def test_page_every_question_can_be_answered_with_its_boxes(name):
    """Right, and each slip: the box gives what would be typed, and takes it back as it was kept."""
    paper = paper_named(name)
    for number, one in enumerate(paper.auto_questions, 1):
        for row in one.variants()[::97]:
            item = refresher.Item(one, paper, row, number, {})
            kind = refresher_page.put(item)
            for text in (one.worked_answer(row), *(s.answer for s in one.shown_slips(row))):
                field = kind.field()
                field.answer = json.loads(json.dumps(typed(kind, text)))
                assert field.answer == typed(kind, text)
                judged = one.judge(row, kind.text(field.answer))
                assert judged.note == one.judge(row, text).note
                assert kind.told(judged, field.answer)
            assert refresher_page.put(item).field().answer is None


def page_of(study, day=DUE):
    home.write(study, MEMBER)
    return refreshing_page(day)


def refreshing_page(day):
    return refresher_page.refresher(day)


def give(asked, text):
    asked.field.answer = typed(asked.kind, text)
    asked.press()


def test_page_tells_the_slip_at_once_and_stands_as_it_was_left(study):
    """One wrong, one right, closed in the middle: both are there again, and the count."""
    pass_paper(study, "nozzle-reaction", START)
    page = page_of(study)
    first, second = page.asked[:2]
    slip = first.item.question.shown_slips(first.item.row)[0]
    give(first, slip.answer)
    give(second, second.item.question.worked_answer(second.item.row))
    assert "Not yet" in first.said.value or "Partly" in first.said.value
    assert "✓ Right" in second.said.value
    again = refreshing_page(DUE + timedelta(days=4))
    assert [one.said.value for one in again.asked[:3]] == [first.said.value, second.said.value, ""]
    assert f"2 of {len(page.asked)} answered" in again.head.value
    assert "2 of" in (study / "start.md").read_text(encoding="utf-8")


def test_page_done_says_when_the_next_is_and_where_to_look(study):
    """The summary names the lesson of what was slipped on."""
    pass_paper(study, "nozzle-reaction", START)
    page = page_of(study)
    give(page.asked[0], page.asked[0].item.question.shown_slips(page.asked[0].item.row)[0].answer)
    for one in page.asked:
        give(one, one.item.question.worked_answer(one.item.row))
    assert "The next one is due on 2026-03-24" in page.foot.value
    assert (
        f"{len(page.asked) - 1} of {len(page.asked)} right at the first answer" in page.foot.value
    )
    assert "03_nozzle_reaction.ipynb" in page.foot.value
    assert "next one on 2026-03-24" in refreshing.line(study, MEMBER, DUE)


def test_page_blank_is_asked_for_and_not_kept(study):
    """A press too early counts for nothing."""
    pass_paper(study, "nozzle-reaction", START)
    page = page_of(study)
    for one in page.asked:
        one.press()
        assert one.said.value and "Not yet" not in one.said.value
    assert page.refreshers.answered == 0


def test_page_speaks_of_its_own_question_numbers():
    """“Question 2” of a paper is the number that it has in this refresher."""
    paper = paper_named("choosing-the-spot")
    one = paper.question("choosing-the-spot-q3")
    row = paper.row(one.id, MEMBER)
    item = refresher.Item(one, paper, row, 5, {one.id: 5, "choosing-the-spot-q2": 4})
    assert "your length from question 4:" in refresher_page.put(item).words
    assert "question 9 of the exercise" in item.renumbered("as in question 9")


def test_page_without_anything_passed_says_when_it_begins(study, monkeypatch):
    """No empty page; and without a study folder a sentence, too."""
    home.write(study, MEMBER)
    assert "two weeks after" in refresher_page.refresher().head.value
    home.write(study, "")
    assert "two weeks after" in repr(refresher_page.refresher())
    pass_paper(study, "nozzle-reaction", START)
    pass_paper(study, "nozzle-reaction", START, member="7")
    assert "--member NUMBER" in repr(refresher_page.refresher())
    monkeypatch.delenv(FOLDER_VARIABLE)
    assert "two weeks after" in repr(refresher_page.refresher())


def test_start_page_offers_it_in_minutes_and_says_that_it_is_practice(study):
    """Not before something was passed; then the day; then the link. Never as the record's refresher."""
    plan = {"title": "T", "lesson": []}
    assert "Refresher" not in home.start_page(plan, MEMBER, study, DUE)
    pass_paper(study, "nozzle-reaction", START)
    before = home.start_page(plan, MEMBER, study, DUE - timedelta(days=1))
    assert (
        "the next one on 2026-01-24, about 10 minutes" in before and "refresher.ipynb" not in before
    )
    on_the_day = home.start_page(plan, MEMBER, study, DUE)
    assert "[open it](refresher.ipynb)" in on_the_day
    assert "does not count for the record" in on_the_day
    assert "**This is practice. It does not count for the record.**" in refreshing.TITLE


def test_refresher_runs_without_numpy_nbgrader_and_database(tmp_path):
    """As in a browser: only what is needed is imported."""
    pass_paper(tmp_path, "nozzle-reaction", START)
    program = (
        "import sys\n"
        "for name in ('numpy', 'scipy', 'nbgrader', 'sqlalchemy', 'typer', 'nbformat', 'psutil'):\n"
        "    sys.modules[name] = None\n"
        "from pathlib import Path\n"
        "from datetime import date\n"
        "from lessonkit.refresher_page import Refresher\n"
        f"page = Refresher(Path({str(tmp_path)!r}), '2041', date(2026, 1, 24))\n"
        "print(len(page.asked))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert 6 <= int(done.stdout) <= 8


# --- the command, and the class -----------------------------------------------------------------------


def command(work, *more):
    from typer.testing import CliRunner

    from gradekit.cli import app

    return CliRunner().invoke(app, ["refresher", "--member", MEMBER, "--work", str(work), *more])


def test_command_says_what_is_due_and_when(tmp_path):
    """Nothing passed, waiting, due."""
    assert "no refresher yet" in command(tmp_path).stdout
    folder = tmp_path / f"study-{MEMBER}"
    folder.mkdir()
    pass_paper(folder, "nozzle-reaction", date.today())
    assert "in 14 days, about 10 minutes" in command(tmp_path).stdout
    pass_paper(folder, "nozzle-reaction", START, slips={"nozzle-reaction-q1": {"mistake/x": 2}})
    said = command(tmp_path).stdout
    assert "due since 2026-01-24" in said and "2 slips on the way" in said
    assert "python3 lessons --member 2041" in said and "does not count for the record" in said


def test_command_takes_up_what_the_class_has_on_file(tmp_path):
    """Passed in class, on another machine: the register's line is enough for a refresher here."""
    from gradekit.course import Mark
    from gradekit.register import Register

    folder = tmp_path / "class"
    folder.mkdir()
    register = Register(folder)
    register.post_theory(Mark(MEMBER, "path-and-reach", 9.0, 10.0, False), 0.8, "v1")
    register.post_theory(Mark(MEMBER, "nozzle-reaction", 1.0, 10.0, False), 0.8, "v1")
    register.post_theory(Mark("7", "low-level-shops", 9.0, 10.0, False), 0.8, "v1")
    register.close()
    said = command(tmp_path).stdout
    assert "path-and-reach" in said and "in 14 days" in said
    assert "nozzle-reaction" not in said and "low-level-shops" not in said
    mine = Refreshers(tmp_path / f"study-{MEMBER}", MEMBER)
    assert list(mine.behind.passed) == ["path-and-reach"]
