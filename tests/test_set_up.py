"""Set-up order and go/no-go list: the shipped ones, a department's own, and every fault named."""

import itertools
import random
import shutil
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerialstream import (
    go_no_go,
    load_department,
    order_faults,
    procedure_faults,
    set_up_order,
)
from aerialstream.department import DEMO_FOLDER
from aerialstream.errors import DepartmentDataError, ImpossibleValue
from aerialstream.set_up import (
    BLANK,
    GO,
    LIST_FILE,
    NO_GO,
    NOT_ANSWERED,
    ORDER_FILE,
    SHIPPED,
)
from aerialstream.sources import SOURCES

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

DEMO = load_department(DEMO_FOLDER)
ORDER = [step.id for step in set_up_order().order]
RULES = [(rule.earlier, rule.later) for rule in set_up_order().rules]
LINES = [answered.line.id for answered in go_no_go().answers]
ALL_GO = dict.fromkeys(LINES, GO)


@pytest.fixture
def folder(tmp_path):
    """A copy of the demo department with the two shipped files as its own."""
    copy = Path(shutil.copytree(DEMO_FOLDER, tmp_path / "department"))
    for name in (ORDER_FILE, LIST_FILE):
        shutil.copy(SHIPPED / name, copy / name)
    return copy


def change(folder, name, old, new):
    """Replace a text in a file, once; the text has to be there."""
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


# --- the shipped data -------------------------------------------------------------------------


def test_shipped_lines_have_their_source_and_its_status():
    """The files say by themselves how far each line was seen; nothing rests on memory."""
    for name, keys in ((ORDER_FILE, ("step", "rule")), (LIST_FILE, ("line",))):
        data = tomllib.loads((SHIPPED / name).read_text(encoding="utf-8"))
        for item in itertools.chain.from_iterable(data[key] for key in keys):
            assert SOURCES[item["source"]].status == item["status"] != "memory"


def test_shipped_values_are_blank():
    """Wind, ice, slope and the like belong to the manual: the kit ships no number for them."""
    items = [*set_up_order().order, *(answered.line for answered in go_no_go().answers)]
    assert all(item.value == "" for item in items)
    assert not any(char.isdigit() for item in items for char in item.text)


def test_shipped_texts_give_no_verdict():
    """The word that would permit is in none of them."""
    for name in (ORDER_FILE, LIST_FILE):
        text = (SHIPPED / name).read_text(encoding="utf-8").lower()
        assert not {"safe", "safely", "safest"} & set(text.replace(".", " ").split())


def test_order_has_what_the_reference_order_has():
    """Reference order, common practice: spot, brake, stabilisers, pin, raise, line up, fill, open."""
    must = "size-up spot mark parking-brake stabilisers-out interlocks waterway raise rotate extend"
    must += " lower line-up supply fill announce open watch shut drain bed"
    assert [name for name in ORDER if name in must.split()] == must.split()


def test_list_has_every_line_that_was_asked_for():
    """Wind, gust, ice, lightning, slope, ground, lines, sight, radio, interlocks, pin, supply, tip, word."""
    must = "wind gust cold lightning slope ground lines visibility radio interlocks waterway supply"
    assert {*must.split(), "tip-zone", "stop-word"} <= set(LINES)


# --- order ------------------------------------------------------------------------------------


def test_shipped_order_breaks_no_rule():
    """As it stands, and with everything asked for."""
    assert order_faults(ORDER) == ()


@pytest.mark.parametrize(("earlier", "later"), RULES)
def test_each_rule_is_told_when_it_is_broken(earlier, later):
    """The two steps alone, the wrong way round: one fault, with the reason that the rule gives."""
    why = next(r.why for r in set_up_order().rules if (r.earlier, r.later) == (earlier, later))
    (fault,) = order_faults([later, earlier], among=[earlier, later])
    assert (fault.code, fault.step, fault.other) == ("too early", later, earlier)
    assert why in fault.text
    assert order_faults([earlier, later], among=[earlier, later]) == ()


@pytest.mark.parametrize(
    ("earlier", "later"),
    [
        ("waterway", "fill"),
        ("waterway", "open"),
        ("level", "raise"),
        ("pads", "open"),
        ("line-up", "open"),
        ("announce", "open"),
        ("spot", "raise"),
        ("fill", "drain"),
    ],
)
def test_critical_order_holds_also_across_steps_left_out(earlier, later):
    """Only two steps asked for; the rules between them run by way of others."""
    codes = [fault.code for fault in order_faults([later, earlier], among=[earlier, later])]
    assert codes == ["too early"]


def reachable():
    """Every pair that the rules order, by following them all the way."""
    pairs = set(RULES)
    while more := {(a, d) for a, b in pairs for c, d in pairs if b == c} - pairs:
        pairs |= more
    return pairs


MUST = reachable()


@given(st.lists(st.sampled_from(ORDER), unique=True, min_size=1))
@settings(max_examples=200)
def test_order_is_faulted_if_and_only_if_a_rule_is_broken(order):
    """Against all pairs of the rules' closure, worked out here by brute force."""
    place = {name: n for n, name in enumerate(order)}
    broken = {(a, b) for a, b in MUST if a in place and b in place and place[b] < place[a]}
    told = {(f.other, f.step) for f in order_faults(order, among=order)}
    assert told <= broken
    assert bool(told) == bool(broken)


@given(st.randoms())
def test_any_order_that_keeps_the_rules_is_accepted(dice):
    """Steps that may stand either way round may: drawn at random from those that are free."""
    left, order = set(ORDER), []
    while left:
        free = sorted(b for b in left if not any(a in left for a, c in RULES if c == b))
        order.append(dice.choice(free))
        left.remove(order[-1])
    assert order_faults(order) == ()


def test_steps_unknown_doubled_and_left_out_are_told():
    """With what was meant."""
    faults = order_faults(["raise", "rase", "raise"], among=["raise", "open"])
    assert [(f.code, f.step) for f in faults] == [
        ("unknown step", "rase"),
        ("twice", "raise"),
        ("left out", "open"),
    ]
    assert "“raise”" in faults[0].text


@pytest.mark.parametrize("order", ["raise", [1, 2], [None]])
def test_order_that_is_no_list_of_texts_is_refused(order):
    """One text would be read letter by letter."""
    with pytest.raises(ImpossibleValue, match="list of step ids"):
        order_faults(order)


def test_asking_among_steps_that_are_none_is_refused():
    """A slip of whoever writes the question."""
    with pytest.raises(ImpossibleValue, match="opne"):
        order_faults(["open"], among=["opne"])


def test_order_prints_who_does_what():
    """Numbered, with the role; a value that only the manual knows is a blank."""
    said = set_up_order()
    assert len(said.lines()) == len(ORDER)
    assert said.lines()[0][0] == "1. officer"
    assert f"{BLANK} (operator's manual)" in said.text() and "manual" in said.notes[0].text
    assert all(source in SOURCES for source in said.sources) and "<table>" in said.html()


# --- go / no-go -------------------------------------------------------------------------------


def test_list_nobody_answered_is_no_go():
    """Each line says so."""
    said = go_no_go(DEMO)
    assert said.verdict == NO_GO
    assert {answered.answer for answered in said.answers} == {NOT_ANSWERED}
    assert f"NO GO: 0 failing, {len(LINES)} not answered" in said.text()


@given(st.dictionaries(st.sampled_from(LINES), st.sampled_from([GO, NO_GO, None])))
def test_one_failing_or_unanswered_line_is_no_go(answers):
    """Go only where every single line is."""
    said = go_no_go(DEMO, answers)
    assert (said.verdict == GO) == (answers == ALL_GO)
    assert {a.line.id for a in said.holding} == {n for n in LINES if answers.get(n) != GO}


@pytest.mark.parametrize("line", LINES)
def test_each_line_alone_can_stop_it(line):
    """Failing, or left out."""
    assert go_no_go(DEMO, ALL_GO | {line: NO_GO}).verdict == NO_GO
    assert go_no_go(DEMO, {k: v for k, v in ALL_GO.items() if k != line}).verdict == NO_GO


def test_every_line_go_still_leaves_the_decision_to_people():
    """No verdict on the rig, and the values that nobody entered are named."""
    said = go_no_go(DEMO, ALL_GO)
    assert said.verdict == GO and "the operator and the officers decide" in said.text()
    assert "not entered here: chart, wind" in said.text()


def test_values_entered_for_the_device_are_printed_with_their_page():
    """35 mph and 5 deg of the invented manual; the other rig has none and prints a blank."""
    entered = {a.line.id: a.value for a in go_no_go(DEMO, apparatus="tower-3").answers}
    assert entered["wind"] == "35 mph (invented manual, chart 7-4)"
    assert entered["slope"] == "5 deg (invented manual, chart 7-4)"
    assert entered["gust"] == f"{BLANK} (operator's manual)"
    assert entered["ground"] == ""
    blank = {a.line.id: a.value for a in go_no_go(DEMO, apparatus=DEMO.device("ladder-9")).answers}
    assert blank["wind"] == f"{BLANK} (operator's manual)"
    assert blank["lightning"] == f"{BLANK} (local procedure)"


def test_metric_department_reads_metric_values():
    """35 mph is 56.3 km/h."""
    metric = DEMO.model_copy(update={"units": "metric"})
    entered = {a.line.id: a.value for a in go_no_go(metric, apparatus="tower-3").answers}
    assert entered["wind"] == "56 km/h (invented manual, chart 7-4)"


def test_unknown_lines_answers_and_rigs_are_named_together():
    """All at once."""
    with pytest.raises(ImpossibleValue) as error:
        go_no_go(DEMO, {"wnd": GO, "gust": "maybe"}, apparatus="tower-33")
    assert all(word in str(error.value) for word in ("wnd", "maybe", "tower-33"))


# --- a department's own -----------------------------------------------------------------------


def test_own_files_replace_the_shipped_ones(folder):
    """A value of its own is printed, and whose list it is."""
    change(
        folder,
        LIST_FILE,
        'text = "No lightning nearer than"\nrole = "officer"\nvalue = ""',
        'text = "No lightning nearer than"\nrole = "officer"\nvalue = "10 mi, by our paper 4.12"',
    )
    change(folder, ORDER_FILE, "Open slowly.", "Open slowly, count to ten.")
    department = load_department(folder)
    values = {a.line.id: a.value for a in go_no_go(department).answers}
    assert values["lightning"] == "10 mi, by our paper 4.12"
    assert "count to ten" in set_up_order(department).text()
    assert "Larkmoor Fire Department's own" in set_up_order(department).title
    assert "the kit's own" in set_up_order(DEMO).title
    assert procedure_faults(folder) == procedure_faults(DEMO_FOLDER) == ()


def test_own_source_with_own_status_is_taken(folder):
    """A paper of the department is no source of the kit, and is not printed as one."""
    change(
        folder,
        LIST_FILE,
        'source = "practice_go_no_go"\nstatus = "common practice"',
        'source = "Our procedure 4.12"\nstatus = "local procedure"',
    )
    said = go_no_go(load_department(folder))
    assert said.answers[0].line.source == "Our procedure 4.12"
    assert "Our procedure 4.12" not in said.sources and said.text()


@pytest.mark.parametrize(
    ("name", "old", "new", "words"),
    [
        (LIST_FILE, 'role = "officer"', "", ['line."lightning".role', "missing"]),
        (LIST_FILE, 'id = "gust"', 'id = "wind"', ['line "wind"', "twice"]),
        (LIST_FILE, 'id = "gust"', 'idd = "gust"', ["idd", "did you mean id"]),
        (LIST_FILE, '"local procedure"\nsource', '"the chief"\nsource', ["value_from", "none"]),
        (LIST_FILE, 'entered = "wind_up_to"', 'entered = "wind"', ["entered", "wind_up_to"]),
        (LIST_FILE, 'status = "read"', 'status = "memory"', ["status", '"common practice"']),
        (LIST_FILE, 'status = "read"', 'status = "second-hand"', ["does not fit", '"read"']),
        (LIST_FILE, 'value = ""', "value = 35", ["value", "35", "text in quotes"]),
        (LIST_FILE, 'source = "interlock_article"', 'source = "ours"', ["none of the kit's"]),
        (LIST_FILE, '[[line]]\nid = "chart"', '[[line\nid = "chart"', ["TOML"]),
        (ORDER_FILE, 'earlier = "pads"', 'earlier = "pad"', ["rule.number", "did you mean pads"]),
        (ORDER_FILE, 'id = "waterway"', 'id = "water"', ["earlier", "'waterway'", "id of a step"]),
        (
            ORDER_FILE,
            'earlier = "raise"\nlater = "rotate"',
            'earlier = "rotate"\nlater = "raise"',
            ['"rotate" before "raise"', "other way round"],
        ),
        (
            ORDER_FILE,
            'id = "size-up"\ntext = "Size-up and',
            'id = "size-up"\ntext = 7 # "',
            ["text", "7"],
        ),
        (
            ORDER_FILE,
            'value = ""\nvalue_from = "none"',
            'value = "3 deg"\nvalue_from = "none"',
            ["value_from", "operator's manual"],
        ),
    ],
)
def test_faults_of_own_files_are_named(folder, name, old, new, words):
    """File, key, what was read and what is needed."""
    change(folder, name, old, new)
    said = "\n".join(procedure_faults(folder))
    assert said.startswith(name) and all(word in said for word in words), said
    read = set_up_order if name == ORDER_FILE else go_no_go
    with pytest.raises(DepartmentDataError) as error:
        read(load_department(folder))
    assert "\n  ".join(procedure_faults(folder)) in str(error.value)


def test_all_faults_of_both_files_come_at_once(folder):
    """Three slips, three lines."""
    change(folder, LIST_FILE, 'id = "gust"', 'id = "wind"')
    change(folder, ORDER_FILE, 'earlier = "pads"', 'earlier = "pad"')
    change(folder, ORDER_FILE, 'id = "mark"', 'id = "spot"')
    faults = procedure_faults(folder)
    assert [fault.partition(":")[0] for fault in faults].count(ORDER_FILE) >= 3
    assert faults[-1].startswith(LIST_FILE)


def test_empty_file_needs_at_least_one_line(folder):
    """An empty list would be a go with nothing asked."""
    (folder / LIST_FILE).write_text("line = []\n", encoding="utf-8")
    (fault,) = procedure_faults(folder)
    assert "at least one" in fault
    (folder / LIST_FILE).write_text("", encoding="utf-8")
    (fault,) = procedure_faults(folder)
    assert "missing" in fault


@pytest.fixture(scope="module")
def fuzz_folder(tmp_path_factory):
    """One folder that every mangled example writes anew."""
    return tmp_path_factory.mktemp("fuzz")


@given(st.sampled_from([ORDER_FILE, LIST_FILE]), st.integers(0, 2**31), st.integers(1, 8))
@settings(max_examples=150)
def test_mangled_file_is_read_or_its_faults_are_named(fuzz_folder, name, seed, cuts):
    """Lines dropped, doubled, swapped or bent: never a traceback, always a file name first."""
    dice = random.Random(seed)
    lines = (SHIPPED / name).read_text(encoding="utf-8").splitlines()
    for _ in range(cuts):
        one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
        act = dice.choice(["drop", "double", "swap", "bend"])
        if act == "drop":
            del lines[one]
        elif act == "double":
            lines.insert(other, lines[one])
        elif act == "swap":
            lines[one], lines[other] = lines[other], lines[one]
        else:
            lines[one] = lines[one].replace('"', dice.choice(["", "7", "'"]), 1)
    for path in fuzz_folder.iterdir():
        path.unlink()
    (fuzz_folder / name).write_text("\n".join(lines), encoding="utf-8")
    assert all(fault.startswith(name) for fault in procedure_faults(fuzz_folder))
