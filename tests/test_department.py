"""A department's data: the demo loads, every fault is named in plain words, limits are its own."""

import json
import re
import shutil
import tomllib
from copy import deepcopy
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import aerialstream
from aerialstream import quantity, registry
from aerialstream.department import (
    DEMO_FOLDER,
    FOLDER_VARIABLE,
    NOT_ENTERED,
    Department,
    load_department,
    manual_limit_text,
)
from aerialstream.errors import AerialStreamError, DepartmentDataError

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

TOP, RIGS, NOZZLES, HOSE, SITES = (
    "department.toml",
    "apparatus.toml",
    "nozzles.toml",
    "hose.toml",
    "sites.toml",
)
FILES = (TOP, RIGS, NOZZLES, HOSE, SITES)


@pytest.fixture
def folder(tmp_path):
    """A copy of the demo department to spoil."""
    return Path(shutil.copytree(DEMO_FOLDER, tmp_path / "department"))


def spoil(folder, file_name, old, new):
    """Put one text in the place of another, once."""
    path = folder / file_name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def faults_of(folder):
    """The faults of a department that must have some."""
    with pytest.raises(DepartmentDataError) as refused:
        load_department(folder)
    message = str(refused.value)
    assert all(fault in message for fault in refused.value.faults)
    assert message.startswith(f"{len(refused.value.faults)} fault")
    return refused.value.faults


@pytest.mark.parametrize("written", ["28 tons", "28.0 Tons", "28tons", "1 ton"])
def test_tons_of_a_metric_department_are_asked_about(folder, written):
    """They may be tonnes or short tons, a tenth apart; in a US department they are short tons."""
    spoil(folder, "apparatus.toml", "56,000 lb", written)
    load_department(folder)
    spoil(folder, "department.toml", '"US"', '"metric"')
    (fault,) = faults_of(folder)
    assert f"“{written}” may be tonnes or short tons: write it in kg" in fault
    spoil(folder, "apparatus.toml", written, "28 short tons")
    weight = load_department(folder).device("tower-3").masses.vehicle
    assert weight.to("lbf").magnitude == pytest.approx(56_000)


def test_demo_department_loads():
    """The invented department is read whole: figures as its files have them."""
    demo = load_department(DEMO_FOLDER)
    assert isinstance(demo, Department)
    assert [rig.id for rig in demo.apparatus] == ["tower-3", "ladder-9", "platform-2"]
    tower = demo.device("tower-3")
    assert tower.extension.most.to("foot").magnitude == pytest.approx(100)
    assert demo.device("ladder-9").turntable_height.to("inch").magnitude == pytest.approx(90)
    assert [nozzle.id for nozzle in demo.nozzles_of("tower-3")][:2] == ["tip-1-1/2", "tip-1-3/4"]
    assert demo.nozzle("tip-2").usual_pressure.to("psi").magnitude == pytest.approx(80)
    assert demo.nozzle("fog-1000-low").usual_pressure.to("psi").magnitude == pytest.approx(75)
    assert demo.completion.pass_mark.to("percent").magnitude == pytest.approx(80)
    assert tower.waterway.tested == date(2026, 5, 14)


def test_department_folder_is_argument_then_variable_then_demo(folder, monkeypatch):
    """The argument goes before the environment variable, and that before the demo."""
    spoil(folder, TOP, '"Larkmoor Fire Department"', '"Other Department"')
    monkeypatch.delenv(FOLDER_VARIABLE, raising=False)
    assert load_department().folder == DEMO_FOLDER
    monkeypatch.setenv(FOLDER_VARIABLE, str(folder))
    assert load_department().name == "Other Department"
    assert load_department(DEMO_FOLDER).name != "Other Department"


@pytest.mark.parametrize(
    ("file_name", "old", "new", "words"),
    [
        (RIGS, 'id = "tower-3"', "id = tower-3", ["line 20", "without quotes", 'write "tower-3"']),
        (RIGS, '"8 ft"', "8", ['"tower-3".turntable_height', "read 8", "no unit", '"75 ft"']),
        (RIGS, '"8 ft"', '"8"', ['"tower-3".turntable_height', "number 8", '"75 ft"']),
        (RIGS, '"8 ft"', '"8 fit"', ["“fit”", "a length", '"75 ft"']),
        (RIGS, '"8 ft"', '"8 psi"', ["read '8 psi'", "not a length", '"75 ft"']),
        (RIGS, '"8 ft"', '"8,5 ft"', ["“8,5 ft”", "with a point", '"75 ft"']),
        (RIGS, '"8 ft"', '"8000 ft"', ["read '8000 ft'", "at most 400 foot", '"75 ft"']),
        (RIGS, '"8 ft"', '"-8 ft"', ["read '-8 ft'", "more than 0 foot", '"75 ft"']),
        (RIGS, '"8 ft"', '""', ["nothing written", '"75 ft"']),
        (RIGS, '"8 ft"', "true", ["read True", '"75 ft"']),
        (RIGS, '"8 ft"', "nan", ["read nan", '"75 ft"']),
        (RIGS, '"45 deg"', '"45 %"', ["nozzle_travel.up", "read '45 %'", "not an angle"]),
        (RIGS, '"45 deg"', '"0.8"', ["nozzle_travel.up", "0.8", '"30 deg"']),
        (RIGS, '"36 ft"', '"136 ft"', ['"tower-3".extension', "136 ft", "100 ft", "smaller"]),
        (RIGS, '"-6 deg"', '"80 deg"', ['"tower-3".elevation', "80 deg", "75 deg"]),
        (RIGS, '"tip-2"', '"tip-9"', ['"tower-3".nozzles', "'tip-9'", "nozzles.toml"]),
        (RIGS, 'id = "ladder-9"', 'id = "tower-3"', ['apparatus "tower-3"', "given twice"]),
        (RIGS, '"rear-mount ladder"', '"boat"', ["kind", "read 'boat'", '"rear-mount ladder"']),
        (RIGS, "2026-05-14", '"May"', ["waterway.tested", "read 'May'", "2026-05-14"]),
        (RIGS, "2026-05-14", "20260514", ["waterway.tested", "read 20260514", "2026-05-14"]),
        (RIGS, "2026-05-14", "2026-02-30", ["not readable as TOML"]),
        (RIGS, "[[apparatus]]\nid = \"tower-3\"", "[apparatus]\nid = \"tower-3\"", ["TOML"]),
        (RIGS, 'page = "invented manual, chart 7-2, row 1"', "", ["manual_limits", "page", "missing"]),
        (RIGS, '"invented manual, chart 7-2, row 1"', '""', ["page", "empty", "a text"]),
        (RIGS, '{ least = "36 ft", most = "100 ft" }', '"100 ft"', ["extension", "least, most"]),
        (RIGS, 'name = "Tower 3"', "name = 3", ['"tower-3".name', "read 3", "a text in quotes"]),
        (NOZZLES, 'tip_diameter = "2 in"\n', "", ['"tip-2"', "needs tip_diameter"]),
        (NOZZLES, 'rated_flow = "1000 gpm"\n', "", ['"fog-1000"', "needs rated_flow"]),
        (NOZZLES, '"2 in"', '"2 ft"', ["tip_diameter", "read '2 ft'", "at most 12 inch", "in"]),
        (HOSE, "tested = 2026-04-21\n", "", ['"supply-5"', "day of its flow test"]),
        (HOSE, "0.066", '"0.066"', ["coefficient", "read '0.066'", "a plain number"]),
        (HOSE, "0.066", "true", ["coefficient", "read True", "a plain number"]),
        (HOSE, "0.066", "nan", ["coefficient", "read nan", "a plain number"]),
        (HOSE, '"supply"', '"rescue"', ["use", "read 'rescue'", '"supply", "attack"']),
        (HOSE, 'id = "attack-2-1/2"', 'id = "supply-5"', ['hose "supply-5"', "given twice"]),
        (SITES, 'id = "drill-ground"', 'id = "gorse-lane-shops"', ["sites.toml", "given twice"]),
        (TOP, '"US"', '"imperial"', ["units", "read 'imperial'", '"US", "metric"']),
        (TOP, "24", '"24"', ["theory_lasts_months", "read '24'", "whole months"]),
        (TOP, "24", "true", ["theory_lasts_months", "read True", "whole months"]),
        (TOP, "24", "24.0", ["theory_lasts_months", "read 24.0", "whole months"]),
        (TOP, "24", "0", ["theory_lasts_months", "read 0", "whole months"]),
        (TOP, '"80 %"', "80", ["completion.pass_mark", "read 80", '"70 %"']),
        (TOP, '"80 %"', '"180 %"', ["completion.pass_mark", "read '180 %'", "at most 100"]),
        (TOP, '["rotation-awareness"]', "[]", ["evolutions", "read []", "empty", "a list of names"]),
        (TOP, "24", "9" * 5000, ["not readable as TOML"]),
    ],
)  # fmt: skip
def test_fault_is_named_with_file_key_what_was_read_and_what_is_needed(
    folder, file_name, old, new, words
):
    """One spoilt place, one fault, in words that lead to it and mend it."""
    spoil(folder, file_name, old, new)
    (fault,) = faults_of(folder)
    assert fault.startswith(f"{file_name}: ")
    assert [word for word in words if word not in fault] == []
    assert not re.search(r"pydantic|tuple|dictionary|instance|input should", fault, re.I)


def test_nozzle_id_given_twice_is_named_and_so_is_the_id_that_is_gone(folder):
    """Two nozzles of one id: the double one is named, and the rigs that miss the other."""
    spoil(folder, NOZZLES, 'id = "tip-2"', 'id = "fog-1000"')
    assert sorted(faults_of(folder)) == [
        "apparatus.toml: apparatus \"platform-2\".nozzles: read 'tip-2'; needed: an id that "
        "nozzles.toml has",
        "apparatus.toml: apparatus \"tower-3\".nozzles: read 'tip-2'; needed: an id that "
        "nozzles.toml has",
        'nozzles.toml: nozzle "fog-1000": this id is given twice',
    ]


@pytest.mark.parametrize(
    ("file_name", "old", "new", "wrong", "right"),
    [
        (RIGS, "turntable_height", "turntable_hight", "turntable_hight", "turntable_height"),
        (RIGS, "right =", "rihgt =", "nozzle_travel.rihgt", "right"),
        (TOP, "pass_mark", "passmark", "completion.passmark", "pass_mark"),
        (
            HOSE,
            "operating_pressure",
            "operating_presure",
            "operating_presure",
            "operating_pressure",
        ),
    ],
)
def test_key_misspelt_is_named_with_the_nearest_and_as_missing(
    folder, file_name, old, new, wrong, right
):
    """A slip of the pen in a key is told twice: the wrong key, and the right one missing."""
    spoil(folder, file_name, old, new)
    faults = faults_of(folder)
    assert len(faults) == 2
    (unknown,) = (f for f in faults if "not a key the kit knows" in f)
    assert wrong in unknown and f"did you mean {right}?" in unknown
    (missing,) = (f for f in faults if f != unknown)
    assert f"{right}: missing; needed: " in missing


def test_key_unlike_any_is_named_with_the_known_ones(folder):
    """A key that nothing resembles gets the list of keys there are."""
    spoil(folder, TOP, 'units = "US"', 'units = "US"\nxyzzy = 5')
    (fault,) = faults_of(folder)
    assert (
        fault == "department.toml: xyzzy: not a key the kit knows; known: name, units, completion"
    )


@pytest.mark.parametrize("file_name", [TOP, RIGS, NOZZLES, HOSE])
def test_file_missing_is_named(folder, file_name):
    """A needed file that is not there is named, with where to get one."""
    (folder / file_name).unlink()
    (fault,) = faults_of(folder)
    assert fault == f"{file_name}: missing; copy the one of the demo department and change it"


def test_file_of_sites_may_be_missing(folder):
    """Sites are optional."""
    (folder / SITES).unlink()
    assert load_department(folder).sites == ()


def test_folder_missing_is_named(tmp_path):
    """A folder that is not there is named in full."""
    (fault,) = faults_of(tmp_path / "nowhere")
    assert fault == f"{tmp_path / 'nowhere'}: there is no such folder"


def test_file_not_in_utf8_is_named(folder):
    """A file saved by an old editor is told to be saved as UTF-8; a byte-order mark is no fault."""
    text = (folder / TOP).read_text(encoding="utf-8").replace("Larkmoor", "Lärkmoor")
    (folder / TOP).write_bytes(text.encode("latin-1"))
    assert faults_of(folder) == ("department.toml: not a UTF-8 text; save it as UTF-8",)
    (folder / TOP).write_bytes(text.encode("utf-8-sig"))
    assert load_department(folder).name.startswith("Lärkmoor")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", ["apparatus: missing", "[[apparatus]]"]),
        ("apparatus = 5", ["read 5 (not a list)", "[[apparatus]]"]),
        ("apparatus = [5]", ["number 1", "read 5 (not a table)", "[[apparatus]]"]),
        ("apparatus = []", ["read [] (empty)", "[[apparatus]]"]),
        ('[apparatus]\nid = "x"', ["read a table (not a list)", "[[apparatus]]"]),
        ("a = " + "[" * 3000, ["not readable as TOML"]),
    ],
    ids=["empty", "number", "numbers", "none", "single brackets", "deep"],
)
def test_file_of_another_shape_is_named(folder, text, words):
    """A file that is TOML but no list of entries says how an entry begins."""
    (folder / RIGS).write_text(text, encoding="utf-8")
    (fault,) = faults_of(folder)
    assert [word for word in words if word not in fault] == []


def test_faults_of_all_files_are_in_one_message(folder):
    """Six faults in four files come out together."""
    spoil(folder, TOP, "24", '"24"')
    spoil(folder, RIGS, '"8 ft"', '"8 psi"')
    spoil(folder, RIGS, '"tip-2"', '"tip-9"')
    spoil(folder, NOZZLES, '"2 in"', "2")
    spoil(folder, HOSE, '"185 psi"', '"1,85 bar"')
    (folder / SITES).write_bytes(b"\xff\xfe\x00")
    faults = faults_of(folder)
    assert sorted(f.split(":")[0] for f in faults) == sorted(
        [TOP, RIGS, RIGS, NOZZLES, HOSE, SITES]
    )


def toml(value):
    """A value as TOML, in one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(k)} = {toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, bool):
        return str(value).lower()
    return str(value)


def places(node, path=()):
    """All paths of keys and indices in a tree."""
    items = node.items() if isinstance(node, dict) else enumerate(node)
    for key, child in items:
        yield (*path, key)
        if isinstance(child, dict | list):
            yield from places(child, (*path, key))


TREES = {f: tomllib.loads((DEMO_FOLDER / f).read_text(encoding="utf-8")) for f in FILES}
SCALARS = st.one_of(
    st.text(max_size=15),
    st.sampled_from(
        ["2 in", "80 psi", "500 gpm", "0 deg", "30 %", "tip-2", "US", "1e9 ft", "-3 ft"]
    ),
    st.integers(-(10**6), 10**6),
    st.floats(),
    st.booleans(),
    st.dates(),
    st.datetimes(),
)
ODD = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=6,
)


@st.composite
def mutated_trees(draw):
    """The demo's trees with one to four places taken out, changed, renamed or doubled."""
    trees = deepcopy(TREES)
    for _ in range(draw(st.integers(1, 4))):
        tree = trees[draw(st.sampled_from(FILES))]
        paths = list(places(tree))
        if not paths:
            continue
        *above, last = draw(st.sampled_from(paths))
        node = tree
        for key in above:
            node = node[key]
        what = draw(st.sampled_from(["out", "odd", "odd", "rename", "double"]))
        value = node.pop(last)
        if what == "odd":
            value = draw(ODD)
        if isinstance(node, list):
            node += [] if what == "out" else [value, value] if what == "double" else [value]
        elif what != "out":
            node[draw(st.text(max_size=8)) if what == "rename" else last] = value
    return trees


@pytest.fixture(scope="module")
def fuzz_folder(tmp_path_factory):
    """One folder that every fuzz example writes anew."""
    return tmp_path_factory.mktemp("fuzz")


@given(trees=mutated_trees())
@settings(max_examples=250)
def test_department_of_mutated_files_loads_or_names_faults(fuzz_folder, trees):
    """Whatever stands in the files: a department, or DepartmentDataError with faults in words."""
    for file_name, tree in trees.items():
        lines = [f"{json.dumps(k)} = {toml(v)}" for k, v in tree.items()]
        (fuzz_folder / file_name).write_text("\n".join(lines), encoding="utf-8")
    try:
        department = load_department(fuzz_folder)
    except DepartmentDataError as error:
        assert error.faults
        assert all(fault.split(":")[0] in FILES for fault in error.faults)
        return
    for rig in department.apparatus:
        assert department.nozzles_of(rig.id)
        assert manual_limit_text(rig, flow="500 gpm", extension="75 ft", rotation="20 deg")


def test_unspoilt_trees_written_anew_load(fuzz_folder):
    """The writer of the fuzz test is sound: unspoilt it gives the demo back."""
    for file_name, tree in TREES.items():
        lines = [f"{json.dumps(k)} = {toml(v)}" for k, v in tree.items()]
        (fuzz_folder / file_name).write_text("\n".join(lines), encoding="utf-8")
    assert load_department(fuzz_folder).apparatus == load_department(DEMO_FOLDER).apparatus


@given(
    file_name=st.sampled_from(FILES),
    at=st.floats(0, 1),
    cut=st.integers(0, 40),
    put=st.binary(max_size=6) | st.text(max_size=6).map(str.encode),
)
def test_department_with_damaged_bytes_loads_or_names_faults(fuzz_folder, file_name, at, cut, put):
    """Bytes cut out of or put into a file lead to no other exception."""
    for name in FILES:
        shutil.copyfile(DEMO_FOLDER / name, fuzz_folder / name)
    raw = (DEMO_FOLDER / file_name).read_bytes()
    place = int(at * len(raw))
    (fuzz_folder / file_name).write_bytes(raw[:place] + put + raw[place + cut :])
    try:
        assert load_department(fuzz_folder).apparatus
    except DepartmentDataError as error:
        assert error.faults


DEMO = load_department(DEMO_FOLDER)
TOWER, LADDER = DEMO.device("tower-3"), DEMO.device("ladder-9")


def said(rig, flow, extension, rotation):
    """The sentence for a set-up in gpm, feet and degrees."""
    return manual_limit_text(
        rig,
        flow=quantity(flow, "gpm"),
        extension=quantity(extension, "foot"),
        rotation=quantity(rotation, "degree"),
    )


@pytest.mark.parametrize(
    ("flow", "extension", "rotation", "begins", "row"),
    [
        (1000, 100, 10, "Not beyond the entered limit", "row 1"),
        (1000, 100, 15, "Not beyond the entered limit", "row 1"),
        (1250, 100, 15, "Not beyond the entered limit", "row 1"),
        (1000, 100, 15.01, "BEYOND THE ENTERED LIMIT", "row 1"),
        (1000, 60, 20, "BEYOND THE ENTERED LIMIT", "row 1"),
        (750, 75, 30, "Not beyond the entered limit", "row 2"),
        (750, 75, 30.1, "BEYOND THE ENTERED LIMIT", "row 2"),
        (750.1, 75, 20, "BEYOND THE ENTERED LIMIT", "row 1"),
        (750, 75.1, 20, "BEYOND THE ENTERED LIMIT", "row 1"),
        (500, 40, 0, "Not beyond the entered limit", "row 2"),
        (1250.1, 100, 0, "BEYOND EVERY ENTRY", "1,250 gpm at 100 ft"),
        (1000, 100.1, 0, "BEYOND EVERY ENTRY", "1,250 gpm at 100 ft"),
    ],
)
def test_manual_limit_says_which_entry_counts(flow, extension, rotation, begins, row):
    """The two entries of the demo: 1,250 gpm, 100 ft, 15 deg and 750 gpm, 75 ft, 30 deg."""
    for way in (1, -1):
        text = said(TOWER, flow, extension, way * rotation)
        assert text.startswith(begins) and row in text
    if begins.startswith("Not"):
        assert text.endswith("The manual itself decides, for this elevation too.")
    if begins.startswith("BEYOND"):
        assert "Do not; see the operator's manual." in text


def test_manual_limit_of_rig_without_entries_is_not_entered():
    """Where nobody entered anything, the text says so and sends to the manual."""
    text = said(LADDER, 500, 40, 0)
    assert text == "Limit of Ladder 9: not entered: see the operator's manual."


def test_manual_limit_reads_texts_and_other_units():
    """Any unit will do; at the limit in metric units there is no jump by float dust upward."""
    text = manual_limit_text(TOWER, flow="2,800 L/min", extension="22 m", rotation="-0.5 rad")
    assert text.startswith("Not beyond") and "row 2" in text
    text = manual_limit_text(TOWER, flow="2,800 L/min", extension="22 m", rotation="0.53 rad")
    assert text.startswith("BEYOND")


@pytest.mark.parametrize(
    "inputs",
    [
        {"rotation": 0.2},
        {"rotation": "20 %"},
        {"rotation": registry().Quantity(float("nan"), "degree")},
        {"flow": 500},
        {"flow": "500 psi"},
        {"extension": registry().Quantity(float("nan"), "foot")},
    ],
    ids=str,
)
def test_manual_limit_of_unclear_input_is_refused(inputs):
    """A bare number, a wrong kind or no number never ends in "not beyond"."""
    good = {"flow": "500 gpm", "extension": "40 ft", "rotation": "10 deg"}
    with pytest.raises(AerialStreamError):
        manual_limit_text(TOWER, **good | inputs)


@given(st.floats(0, 20_000), st.floats(0.1, 400), st.floats(-180, 180), st.sampled_from([0, 1]))
@settings(max_examples=200)
def test_manual_limit_without_entry_permits_nothing(flow, extension, rotation, which):
    """For no set-up does the text of a rig without entries say "within" or "safe"."""
    rig = (LADDER, TOWER.model_copy(update={"manual_limits": ()}))[which]
    text = said(rig, flow, extension, rotation)
    assert NOT_ENTERED in text
    assert not re.search(r"within|safe|not beyond|allow", text, re.I)


@given(st.floats(0, 3000), st.floats(1, 150), st.floats(-90, 90))
def test_manual_limit_never_allows_more_than_an_entry(flow, extension, rotation):
    """The text says "not beyond" only where one of the demo's two entries covers all three numbers."""
    entries = ((1250, 100, 15), (750, 75, 30))
    covered = any(flow <= f and extension <= e and abs(rotation) <= r for f, e, r in entries)
    text = said(TOWER, flow, extension, rotation)
    assert text.startswith("Not beyond") == covered
    assert not re.search(r"within|safe", text, re.I)


FORBIDDEN = re.compile(r"\bsafe(ly|r)?\b|\bwithin (its |the )?limits?\b", re.I)
DENIED = re.compile(r"\b(never|not|no|nothing)\b", re.I)


def promises(text):
    """Lines that call something safe or within limits without denying it."""
    return [ln for ln in text.splitlines() if FORBIDDEN.search(ln) and not DENIED.search(ln)]


def test_package_promises_nothing():
    """No text of the package says "safe" or "within limits" but to say that it does not say so."""
    package = Path(aerialstream.__file__).parent
    paths = [p for p in package.rglob("*") if p.suffix in (".py", ".toml", ".csv")]
    assert len(paths) > 15
    assert [line for path in paths for line in promises(path.read_text(encoding="utf-8"))] == []


def test_promises_are_noticed():
    """The search for promises finds one, and lets a denial be."""
    assert promises("a\nThis set-up is safe.\nWithin limits") == [
        "This set-up is safe.",
        "Within limits",
    ]
    assert promises("The kit never says safe.") == []
