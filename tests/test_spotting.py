"""The commands about places and devices, as somebody with a file of their own meets them."""

import re
import shutil
import tomllib

import pytest
from typer.testing import CliRunner

from aerialstream import load_department
from aerialstream.department import DEMO_FOLDER
from aerialstream.folder_check import check_folder
from aerialstream.site import load_scene
from gradekit.cli import app
from gradekit.spotting import NotThere, entries_of, entry_text


def run(*words):
    """(status, what was printed, the error it ended with) of a command."""
    done = CliRunner().invoke(app, [str(word) for word in words], terminal_width=200)
    return done.exit_code, done.output, done.exception


@pytest.fixture
def starter(tmp_path):
    """The file to start from, as the command writes it."""
    file = tmp_path / "mine.toml"
    assert run("scene", "new", file)[0] == 0
    return file


@pytest.fixture
def folder(tmp_path):
    """A department's folder of one's own."""
    return shutil.copytree(DEMO_FOLDER, tmp_path / "own")


def change(path, old, new):
    """Change one place of a file."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_starter_is_a_plan_without_fault_that_shows_every_layer(starter):
    """What the kit hands out to start from has no fault, and something of every kind."""
    scene = load_scene(starter)
    for layer in ("buildings", "streets", "lines", "ground", "obstacles", "hydrants", "targets"):
        assert getattr(scene, layer), layer
    assert {t.kind for t in scene.targets} == {"opening", "shop front", "roof hole"}
    assert "THIS_FILE" not in starter.read_text(encoding="utf-8")


def test_starter_is_never_written_over_a_file(starter):
    """A second call leaves what is there."""
    starter.write_text("mine", encoding="utf-8")
    status, _, error = run("scene", "new", starter)
    assert status and isinstance(error, NotThere) and "stays as it is" in str(error)
    assert starter.read_text(encoding="utf-8") == "mine"


def test_check_tells_what_is_on_the_plan_and_what_was_left_open(starter):
    """Sides with their length, targets with their id, and every assumption."""
    status, said, _ = run("scene", "check", starter)
    assert status == 0
    assert "sides A 60 ft, B 40 ft, C 60 ft, D 40 ft" in said
    assert "target window: upper window, side A" in said
    assert "elsewhere it is not judged" in said


def test_map_is_printed_and_written_as_a_page_that_needs_no_network(starter, tmp_path):
    """The letters, the places in words, and a page with the picture and the same numbers."""
    page = tmp_path / "map.html"
    status, said, _ = run(
        "scene", "map", starter, "--device", "tower-3", "--target", "window", "-o", page
    )
    assert status == 0
    rows = [row for row in said.splitlines() if re.fullmatch(r"[o+.#0-9]{20,}", row)]
    counted = {
        word: int(number.replace(",", ""))
        for word, number in re.findall(r"^(Places judged): ([\d,]+)", said, re.M)
    }
    assert len(rows) * len(rows[0]) == counted["Places judged"]
    letters = "".join(rows)
    best = len(re.findall(r"^Spot \d", said, re.M))
    shown = letters.count("o") + letters.count("+") + sum(letters.count(n) for n in "12345")
    assert best and shown == counted["Places judged"] - letters.count(".") - letters.count("#")
    text = page.read_text(encoding="utf-8")
    assert "<svg" in text and "Spot 1" in text
    assert not re.search(r"(src|href)\s*=", text)


def test_places_are_those_where_the_sum_says_so(starter):
    """Zone 1.5 × 26 = 39 ft. The tip 39 ft off and 8 ft above the heel, 36 ft of bedded ladder, heel
    2 ft behind: √(36² - 8²) - 2 = 33.1 ft more, so nothing beyond y = 100 - 72.1 = 27.9."""
    scene = load_scene(starter)
    from aerialstream import spot_map

    found = spot_map(scene, load_department(DEMO_FOLDER).device("tower-3"), "window")
    usable = [
        found.origin[1] + row * found.cell_ft
        for row in range(found.rows)
        if found.verdicts[row * found.columns + round((30 - found.origin[0]) / found.cell_ft)] < 2
    ]
    assert max(usable) == 27.5


def test_why_names_what_stands_in_the_way(starter):
    """A van under a pad is named, not only that something is there."""
    status, said, _ = run(
        "scene", "why", starter, "--device", "tower-3", "--target", "window",
        "--x", "20 ft", "--y", "70 ft", "--heading", "90 deg",
    )  # fmt: skip
    assert status == 0
    assert "a stabiliser comes down on something: parked van" in said


def test_site_of_the_department_stands_for_a_file():
    """The demo's own places can be mapped by their id."""
    status, said, _ = run(
        "scene", "map", "drill-ground", "--device", "ladder-9", "--target", "upper window"
    )
    assert status == 0 and "Places judged" in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("scene", "map", "nowhere", "--device", "tower-3", "--target", "x"), "weir-street-mill"),
        (("scene", "map", "drill-ground", "--device", "tower", "--target", "x"), "tower-3"),
        (("scene", "map", "drill-ground", "--device", "tower-3", "--target", "x"), "lower door"),
        (("device", "show", "tower"), "platform-2"),
    ],
)
def test_what_there_is_not_is_told_with_what_there_is(words, said):
    """Each refusal names the choices."""
    status, _, error = run(*words)
    assert status and isinstance(error, NotThere) and said in str(error)


def test_device_is_shown_entry_by_entry_with_what_was_left_open():
    """Every key of the file comes back with its unit."""
    status, said, _ = run("device", "show", "ladder-9")
    assert status == 0
    assert "masses.waterway_bore: 4 in" in said and "stabilisers.pad: 24 in" in said
    assert "manual_limits: not entered" in said and "manual_conditions: not entered" in said
    device = load_department(DEMO_FOLDER).device("ladder-9")
    assert all(entry_text(value) for _, value in entries_of(device))


def test_check_of_the_demo_reads_limits_and_blanks_back():
    """What must be held against the manual is printed; what is blank is named."""
    status, said, _ = run("department", "check", DEMO_FOLDER)
    assert status == 0
    assert "slope up to: 5 deg (invented manual, chart 7-4)" in said
    assert "values to enter: level, supply" in said
    assert "Ladder 9: limits from the operator's manual: not entered" in said


def test_confirmed_values_are_read_back_with_book_and_reader(folder):
    """Who read it, where, and what was entered."""
    (folder / "confirmed.toml").write_text(
        '[[confirmed]]\nsource = "rural-dwelling-number"\nedition = "2022"\nclause = "table 4"\n'
        'number = 0.75\nby = "Captain Reed"\nday = 2026-03-01\n',
        encoding="utf-8",
    )
    _, said, _ = run("department", "check", folder)
    assert "rural-dwelling-number: read this against the book" in said
    assert "Captain Reed" in said and "number: 0.75" in said


def test_every_fault_of_every_file_comes_at_once(folder):
    """Data, building, scene, set-up order: one of each, none hidden by another."""
    change(folder / "apparatus.toml", 'name = "Tower 3"', 'nme = "Tower 3"')
    change(folder / "buildings" / "weir-street-mill.toml", "wall_height", "wall_hight")
    change(folder / "scenes" / "drill-ground.toml", 'opening = "d1"', 'opening = "d9"')
    change(folder / "scenes" / "drill-ground.toml", '"1 deg"', '"1 psi"')
    (folder / "set_up.toml").write_text("step = 3\n", encoding="utf-8")
    (folder / "scenes" / "half.toml").write_text("name = \n", encoding="utf-8")
    faults = check_folder(folder).faults
    for said in ("nme", "wall_hight", "d9", "1 psi", "set_up.toml", "half.toml"):
        assert any(said in fault for fault in faults), said
    # The scene that names the faulty building is not blamed for it.
    assert not any(fault.startswith("weir-street-mill.toml: building") for fault in faults)
    status, said, _ = run("department", "check", folder)
    assert status == 2 and f"{len(faults)} faults" in said


def test_a_faulty_entry_does_not_hide_the_faults_of_the_others():
    """A plan with one entry that cannot be read is still checked for what the others show."""
    from aerialstream.site import SceneDataError, read_scene

    text = """
    name = "x"
    coordinates = "feet"
    building = [
      {id = "one", corners = [[0, 0], [9, 0], [9, 9], [0, 9]], wall_height = "9 ft"},
      {id = "two", at = [20, 0], facing = "south", width = "9 ft", depth = "9 ft", wall_height = "9 ft"},
    ]
    target = [
      {id = "a", kind = "opening", building = "two", side = "A", left = "1 ft", width = "3 ft", sill = "1 ft", head = "4 ft"},
      {id = "b", kind = "opening", building = "one", side = "E", left = "1 ft", width = "3 ft", sill = "1 ft", head = "4 ft"},
    ]
    """
    with pytest.raises(SceneDataError) as caught:
        read_scene(tomllib.loads(text))
    said = "\n".join(caught.value.faults)
    assert len(caught.value.faults) == 3
    assert "south" in said and "anticlockwise" in said and "read 'E'" in said


def test_missing_folder_is_one_plain_fault(tmp_path):
    """No such folder: one sentence."""
    assert check_folder(tmp_path / "no").faults == (f"{tmp_path / 'no'}: there is no such folder",)


def test_demo_has_no_figure_to_ask_about():
    """The questions are for what is not usual; the demo's devices are."""
    assert check_folder(DEMO_FOLDER).questions == ()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('turntable_height = "8 ft"', 'turntable_height = "25 m"', "turntable_height 82 ft (usual"),
        ('vehicle = "56,000 lb"', 'vehicle = "2,350 kN"', "masses.vehicle 528,301 lb (usual"),
        ('behind = "-3 ft"', 'behind = "3 ft"', "every pad ahead of the turntable's centre"),
        ('heel_offset = "-2 ft"', 'heel_offset = "2 ft"', "minus where it lies behind"),
        ('vehicle_ahead = "7 ft"', 'vehicle_ahead = "-7 ft"', "lies off the chassis"),
    ],
)
def test_an_unusual_figure_is_asked_about_and_not_refused(folder, old, new, said):
    """A slip of the unit or the sign is no fault, but it is not passed over either."""
    change(folder / "apparatus.toml", old, new)
    status, printed, _ = run("department", "check", folder)
    assert status == 0
    asked = [line for line in printed.splitlines() if "is that right?" in line]
    assert any(said in line and "Tower 3" in line for line in asked), printed


def test_a_weight_in_kilograms_is_the_weight_of_that_mass(folder):
    """24,000 kg weigh 24,000 kgf, 52,911 lbf (1 lb = 0.45359237 kg, by definition)."""
    change(folder / "apparatus.toml", '"56,000 lb"', '"24000 kg"')
    weight = load_department(folder).device("tower-3").masses.vehicle
    assert weight.to("lbf").magnitude == pytest.approx(24_000 / 0.45359237)
    change(folder / "nozzles.toml", '"80 psi"', '"80 kg"')
    assert any("80 kg" in fault or "kg" in fault for fault in check_folder(folder).faults)


def test_faults_of_a_metric_department_are_told_in_metric(folder):
    """No feet in what is said to somebody who entered metres."""
    change(folder / "department.toml", 'units = "US"', 'units = "metric"')
    change(folder / "apparatus.toml", 'least = "36 ft"', 'least = "40 m"')
    change(folder / "apparatus.toml", 'turntable_height = "7 ft"', 'turntable_height = "250 m"')
    said = "\n".join(check_folder(folder).faults)
    assert "least 40 m is more than most 30.48 m" in said and "at most 121.92 m" in said
    assert not re.search(r"\bft\b|\bfoot\b", said)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("tested = 2.6.2026", "2026-06-02"),
        ("tested = 6/2/2026", "year-month-day"),
        ('name = "Tower', "a quote is missing"),
        ("height = 40 ft", 'write "40 ft"'),
    ],
)
def test_slip_in_a_file_is_told_with_its_line(folder, line, said):
    """What a hand that types TOML gets wrong, in words, with the line."""
    file = folder / "hose.toml"
    number = len(file.read_text(encoding="utf-8").splitlines()) + 1
    with file.open("a", encoding="utf-8") as text:
        text.write(f"{line}\n")
    (fault,) = (f for f in check_folder(folder).faults if f.startswith("hose.toml"))
    assert f"line {number}:" in fault and said in fault


def test_options_are_named_as_they_were_typed(starter):
    """The figure and its option, not the name of a function's input."""
    status, _, error = run(
        "scene", "why", starter, "--device", "tower-3", "--target", "window", "--x", "21.2", "--y",
        "70 ft",
    )  # fmt: skip
    assert status and '--x "21.2 ft"' in str(error) and "why_not" not in str(error)
    status, _, error = run(
        "scene", "map", starter, "--device", "tower-3", "--target", "window", "--rise", "14",
    )  # fmt: skip
    assert status and '--rise "14 deg"' in str(error)


def test_why_without_a_heading_answers_for_the_best_one(starter):
    """And says which that is."""
    status, said, _ = run(
        "scene", "why", starter, "--device", "tower-3", "--target", "window", "--x", "20 ft",
        "--y", "20 ft",
    )  # fmt: skip
    assert status == 0 and "has the least against it" in said


def test_a_metre_plan_is_read_back_in_metres(tmp_path):
    """And its faults are told in metres."""
    plan = tmp_path / "metres.toml"
    text = (
        'name = "x"\ncoordinates = "metres"\n[[building]]\nid = "one"\nat = [0, 0]\n'
        'facing = "180 deg"\nwidth = "12 m"\ndepth = "9 m"\nwall_height = "6 m"\n'
    )
    plan.write_text(text, encoding="utf-8")
    status, said, _ = run("scene", "check", plan)
    assert status == 0 and "top 6 m; sides A 12 m, B 9 m" in said and " ft" not in said
    target = (
        '[[target]]\nid = "t"\nkind = "opening"\nbuilding = "one"\nside = "A"\nleft = "10 m"\n'
        'width = "3 m"\nsill = "1 m"\nhead = "7 m"\n'
    )
    plan.write_text(text + target, encoding="utf-8")
    _, _, error = run("scene", "check", plan)
    assert "which is 12 m wide" in str(error) and "higher than 6 m" in str(error)
    assert " ft" not in str(error)
