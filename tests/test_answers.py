"""Reading answers: many spellings, and objects that nobody should have handed in."""

import io
import re
import sys
import warnings

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from learners.hostile import HOSTILE, MISBEHAVING
from learners.spellings import ODD, TYPED

from aerialstream.units import quantity
from gradekit.answers import (
    LONGEST_ANSWER,
    as_text,
    misquoted_answer,
    read_answer,
    read_choice,
    read_order,
    split_side,
    split_step,
    split_values,
    typed_answer,
)
from gradekit.notebook import ask, check_in_notebook, situation
from gradekit.questions import papers

PAPER = papers()["nozzle-reaction"]
AUTO = [q.id for q in PAPER.auto_questions]

# 384.7 lbf, typed in every way we could think of; 1 lbf = 4.4482216 N = 0.45359237 kgf.
FORCES = (
    "384.7 lbf|384.7lbf|384.7 LBF|384.7 lb|384.7 lbs|384.7 Lbs.|384.7 pounds|384.7 pound|384.7 #|"
    "384.7 pounds of force|384.7 lbs of force|384.7 pounds-force|384.7 lb-force|about 384.7 lb|"
    "~384.7 lbs|R = 384.7 lbf|= 384.7 lbf|+384.7 lbf|384.70 lbf|384 7/10 lbf|384-7/10 lb|"
    "  384.7   lbs  |384.7\tlbf\n|384.7\u00a0lbf|384.7 pounds force|0.3847 kip|1711.2 N|1,711.2 N|"
    "1 711.2 N|1711.2 newtons|1.7112 kN|1.7112 KN|174.5 kgf|174.5 kp"
).split("|")
# 12,500 lbf ft; 1 lbf ft = 1.3558179 N m.
MOMENTS = (
    "12,500 lbf ft|12500 lbf ft|12 500 lb ft|12,500 lb-ft|12,500 ft-lb|12,500 ft-lbs|"
    "12,500 ft lbs|12,500 foot-pounds|12,500 foot pounds|12,500 pound-feet|12,500 pound feet|"
    "12,500 ft.lbs|12,500 lbf·ft|12,500 lbf*ft|12,500 lbs-ft|12500.0 ftlbs|150,000 lb-in|"
    "16,948 N m|16,948 N·m|16,948 Nm|16,948 newton metres|16.948 kN m|16.948 kNm"
).split("|")


@pytest.mark.parametrize(
    ("text", "kind", "unit", "expected"),
    [(text, "force", "lbf", 384.7) for text in FORCES]
    + [(text, "moment", "lbf*foot", 12_500) for text in MOMENTS],
)
def test_read_answer_many_spellings_is_one_number(text, kind, unit, expected):
    """However a crew writes it, it is the same load."""
    reading = read_answer(text, kind, unit)
    assert reading.status == "read", reading.advice
    assert reading.number == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize(
    ("text", "status"),
    [
        ("", "blank"),
        (" \t\n", "blank"),
        ("\u00a0", "blank"),
        ("385", "no unit"),
        ("1,000", "no unit"),
        ("80 psi", "wrong kind"),
        ("1,000 gpm", "wrong kind"),
        ("75 ft", "wrong kind"),
        ("12,500 lbf ft", "wrong kind"),
        ("385 quux", "unreadable"),
        ("lots", "unreadable"),
        ("lbf 385", "unreadable"),
        ("1,57 lbf", "unreadable"),
        ("1.57*1.75**2*80 lbf", "unreadable"),
        ("380-390 lbf", "unreadable"),
        ("385 or 390 lbf", "unreadable"),
        ("3e2 lbf", "unreadable"),
        ("nan lbf", "unreadable"),
        ("inf lbf", "unreadable"),
        ("1/0 lbf", "unreadable"),
        ("385 lbf lbf", "unreadable"),
        ("__import__('os') lbf", "unreadable"),
        ("385 lbf; 400 lbf", "unreadable"),
    ],
)
def test_read_answer_not_a_force_is_refused_in_words(text, status):
    """A refusal says which way it failed and how to write it."""
    reading = read_answer(text, "force", "lbf")
    assert reading.status == status
    assert len(reading.advice.split()) >= 5
    assert reading.number is None or status == "no unit"


@pytest.mark.parametrize(
    ("answer", "text"),
    [
        (None, ""),
        ("385 lbf", "385 lbf"),
        (385, "385"),
        (384.7, "384.7"),
        (20_410_000_123, "20410000123"),
        (numpy.float64(384.7), "384.7"),
        (numpy.int64(385), "385"),
        (float("nan"), "nan"),
        (quantity("384.7 lbf"), "384.7 lbf"),
        ("x" * 10_000_000, "x" * LONGEST_ANSWER),
    ],
)
def test_as_text_usual_values_keep_their_number(answer, text):
    """A text stays, a bare number loses nothing a learner can see, a quantity keeps its unit."""
    assert as_text(answer) == text


def test_as_text_single_precision_number_is_read_without_unit():
    """A number of half the precision is a number too, not a blank."""
    reading = read_answer(as_text(numpy.float32(384.7)), "force", "lbf")
    assert reading.status == "no unit" and reading.number == pytest.approx(384.7, rel=1e-6)


@pytest.mark.parametrize("answer", [True, False, [385], {"a": 1}, object(), b"385 lbf", {385}, ()])
def test_as_text_other_things_are_refused_not_called_blank(answer):
    """Something that is there is not told to be missing."""
    reading = read_answer(as_text(answer), "force", "lbf")
    assert reading.status == "unreadable" and "lbf" in reading.advice


@pytest.mark.parametrize("name", [*HOSTILE, *MISBEHAVING])
def test_as_text_hostile_value_gives_short_plain_text(name):
    """Nothing a learner can put there breaks the reading, and only plain short text comes out."""
    text = as_text({**HOSTILE, **MISBEHAVING}[name])
    assert type(text) is str and len(text) <= LONGEST_ANSWER
    text.encode("utf-8")


def _float_literal(text):
    assert re.fullmatch(r"\d\.\d+", text), text
    return float(text)


@pytest.mark.parametrize("question_id", AUTO)
@pytest.mark.parametrize("name", [*HOSTILE, *MISBEHAVING])
def test_check_hostile_answer_is_judged_in_silence(name, question_id, capfd):
    """Whatever stands there: no error, nothing on stderr, and a plain number of points."""
    value = {**HOSTILE, **MISBEHAVING}[name]
    question = PAPER.question(question_id)
    names = {"member": "2041", question.variable: value}
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        checked = check_in_notebook(question_id, names)
        bundle = checked._repr_mimebundle_()
    assert _float_literal(repr(checked)) == 0.0
    assert type(checked.outcome.points) is float
    assert bundle["text/plain"] == "0.0" and "data-note=" in bundle["text/html"]
    assert len(bundle["text/html"]) < 2000
    assert capfd.readouterr().err == ""


# "inf" and "nan" are letters, so a number that is written so would be a member number.
NO_MEMBERS = [n for n in (*HOSTILE, *MISBEHAVING) if n not in ("infinite", "not-a-number")]


@pytest.mark.parametrize("name", NO_MEMBERS)
def test_member_hostile_value_asks_for_the_number(name, capfd):
    """A member cell with anything but a number in it gets advice, not an error."""
    names = {"member": {**HOSTILE, **MISBEHAVING}[name], "reaction_1": "385 lbf"}
    for shown in (
        situation(PAPER.name, names),
        ask(AUTO[0], names),
        check_in_notebook(AUTO[0], names),
    ):
        assert len(repr(shown)) < 2000
    assert "member number" in situation(PAPER.name, names)._repr_html_()
    assert _float_literal(repr(check_in_notebook(AUTO[0], names))) == 0.0
    assert capfd.readouterr().err == ""


def test_check_typed_markup_is_shown_as_text():
    """What was typed comes back as text, never as markup of the page."""
    names = {"member": "2041", "reaction_1": "<img src=x onerror=alert(1)>'\"&"}
    html = check_in_notebook(AUTO[0], names)._repr_mimebundle_()["text/html"]
    assert "<img" not in html and "&lt;img" in html


def test_check_answer_that_talks_is_silenced(monkeypatch):
    """A quantity that writes to stderr while it is read does not spoil the cell."""

    class Talking:
        magnitude = 1

        def __str__(self):
            warnings.warn("noise", stacklevel=1)
            print("noise", file=sys.stderr)
            return "385 lbf"

    heard = io.StringIO()
    monkeypatch.setattr(sys, "stderr", heard)
    checked = check_in_notebook(AUTO[0], {"member": "2041", "reaction_1": Talking()})
    assert 0 <= _float_literal(repr(checked)) <= 2
    assert heard.getvalue() == ""


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)
NEAR_ANSWERS = st.from_regex(
    r"[-+~=]?[0-9]{0,6}[ ,./-]?[0-9]{0,4}[ /]{0,2}(lbf?s?|N|kN|psi|gpm|ft|lb-ft|'|\"|½)?[ .]*",
    fullmatch=True,
)


@settings(max_examples=400, deadline=None)
@given(st.text() | NEAR_ANSWERS | JSON)
def test_read_answer_any_value_is_read_or_refused(value):
    """Fuzz: every value is read as a finite number, or refused with advice."""
    for kind, unit in (("force", "lbf"), ("moment", "lbf*foot")):
        reading = read_answer(as_text(value), kind, unit)
        if reading.status == "read":
            assert type(reading.number) is float and abs(reading.number) < float("inf")
        else:
            assert reading.advice


@settings(max_examples=200, deadline=None)
@given(st.text() | NEAR_ANSWERS | JSON, st.sampled_from(AUTO))
def test_check_any_value_ends_in_points(value, question_id):
    """Fuzz: a check never fails and never gives more than there is."""
    variable = PAPER.question(question_id).variable
    checked = check_in_notebook(question_id, {"member": "2041", variable: value})
    assert 0.0 <= _float_literal(repr(checked)) <= 2.0
    assert checked.outcome.note.startswith(f"{question_id}/")


def test_mended_quotes_in_a_real_shell():
    """Wrong quotes are mended before Python sees them, once, and other code is left alone."""
    from IPython.core.interactiveshell import InteractiveShell

    shell = InteractiveShell.instance()
    try:
        shell.run_cell('from gradekit.notebook import situation\nmember = "2041"')
        for _ in range(2):
            assert shell.run_cell('situation("nozzle-reaction")').success
        mending = [s for s in shell.input_transformers_cleanup if getattr(s, "mends", False)]
        assert len(mending) == 1
        for source in ('reaction_1 = ""505 lbf""', 'reaction_1 = "505 lbf', "reaction_1 = 505 lbf"):
            shell.user_ns.pop("reaction_1", None)
            assert shell.run_cell(source).success
            assert shell.user_ns["reaction_1"] == "505 lbf"
        assert not shell.run_cell("import os; x = ").success
    finally:
        InteractiveShell.clear_instance()


# --- what crews really type ----------------------------------------------------------------------


@pytest.mark.parametrize(("text", "kind", "unit", "number"), TYPED)
def test_read_answer_what_crews_type_is_the_number_they_mean(text, kind, unit, number):
    """US or metric, fractions, feet and inches with a sign, words."""
    reading = read_answer(text, kind, unit)
    assert reading.status == "read", reading.advice
    assert reading.number == pytest.approx(number, rel=1e-4)


def test_read_answer_number_without_unit_keeps_the_number():
    """`1063` is read; that the unit is missing is told."""
    reading = read_answer("1063", "flow", "gpm")
    assert (reading.status, reading.number) == ("no unit", 1063) and "gpm" in reading.advice


KINDS = (("flow", "gpm"), ("length", "foot"), ("share", "percent"), ("times", ""), ("count", ""))


def every_reader(text):
    """(reader, status or advice) of each reader for one text; none may raise."""
    for kind, unit in KINDS:
        reading = read_answer(text, kind, unit)
        assert (reading.status == "read") is (not reading.advice), (kind, text)
        if reading.status == "read":
            assert type(reading.number) is float and abs(reading.number) < float("inf")
    for pick in (read_choice(text, 4, [("yes",), ("no",), (), ()]), read_order(text, 4)):
        assert (pick.status == "read") is (not pick.advice) and len(pick.places) <= 4
    rest, side = split_side(text)
    assert isinstance(rest, str) and side in ("", "left", "right", "up", "down")
    step, rest = split_step(text)
    assert (step is None or 0 <= step <= 99) and isinstance(rest, str)
    pieces = split_values(text, ["length out", "elevation", "rotation"])
    assert pieces is None or len(pieces) == 3


def test_readers_a_thousand_odd_texts_give_a_reading_or_advice():
    """Every odd text through every reader: read, or refused in words, never an error."""
    assert len(set(ODD)) > 900
    for text in (*ODD, *(typed for typed, *_ in TYPED)):
        every_reader(as_text(text))


@settings(max_examples=600, deadline=None)
@given(st.text(max_size=250) | st.from_regex(
    r"([-+~=]?[0-9]{0,4}[ ,./-]?[0-9]{0,3}(ft|in|deg|'|\"|°|%|;|,| |left|right|step|[a-h]|\)){0,3}){1,6}",
    fullmatch=True))  # fmt: skip
def test_readers_any_text_gives_a_reading_or_advice(text):
    """Fuzz: the same for any text at all."""
    every_reader(as_text(text))


@pytest.mark.parametrize(
    ("source", "text"),
    [
        ('x = "1-3/4""', '1-3/4"'),
        ('x = "12\' 6""', "12' 6\""),
        ('x = ""505 lbf""', "505 lbf"),
        ('x = "505 lbf', "505 lbf"),
        ("x = 505 lbf", "505 lbf"),
        ("x = 5' 6\"", "5' 6\""),
        ("x = “505 lbf”", "505 lbf"),
        ("x = B", "B"),
        ("x = yes", "yes"),
        ("x = b  # my letter", "b"),
        ("x = C A D B", "C A D B"),
        ('x = "60 ft; 35 deg; 5 deg left', "60 ft; 35 deg; 5 deg left"),
    ],
)
def test_misquoted_answer_is_read_as_meant(source, text):
    """One mark too many or too few, none at all, inch marks at the end, bare letters."""
    assert misquoted_answer(source, "x") == text
    assert typed_answer(source, "x") == (text, False)


@pytest.mark.parametrize(
    "source",
    ["x = worked", "x = B()", "y = B", "x = y = B", "x = B\nz = 1", "x = B; z = 1", "x = 60 ft; import os",
     "x = [B", "x = f(5", "x.y = B", 'x = "B"', "x = B + B", "import os", "", "x", "x ="],
)  # fmt: skip
def test_misquoted_answer_leaves_code_alone(source):
    """Names of more than a letter, calls, several statements: not ours to mend."""
    assert misquoted_answer(source, "x") is None


def test_split_step_needs_a_step():
    """A bare number with a unit names no step."""
    assert split_step("step 3; 60 psi") == (3, "60 psi")
    assert split_step("3: should be 60 psi") == (3, "60 psi")
    assert split_step("step 3; -5 psi") == (3, "-5 psi")
    assert split_step("step 3 .5 psi") == (3, ".5 psi")
    assert split_step("line 3 - 60 psi") == (3, "60 psi")  # a dash, no minus sign
    assert split_step("step 3 – 60 psi") == (3, "60 psi")
    assert split_step("step 3 -60 psi") == (3, "-60 psi")
    for text in ("3,600 psi", "60 psi", "3 ft", "3/4 in", "2.5", "psi"):
        assert split_step(text)[0] is None, text
