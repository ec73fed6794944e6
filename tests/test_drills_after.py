"""The after-action note: one page, everything in it, roles and no names; tested loads of a prop."""

import json
import re
import shutil
from datetime import date
from html import unescape
from types import SimpleNamespace

import pytest
from typer.testing import CliRunner

from aerialstream import load_building, load_department
from aerialstream.department import DEMO_FOLDER
from aerialstream.errors import DepartmentDataError
from gradekit.cli import app
from gradekit.drills.after import (
    Action,
    NoteRefused,
    note_data,
    note_page,
    print_note,
    read_action,
)
from gradekit.drills.card import card_data
from gradekit.drills.day import day_list
from gradekit.drills.measured import Measurements, Run
from gradekit.drills.plan import Asked, Weather, on_the_day, plan_drill, replan

DAY = date(2026, 11, 20)
ASKED = Asked(evolution="window-in-line", device="tower-3", site="drill-ground")


@pytest.fixture(scope="module")
def plan():
    return plan_drill(load_department(), ASKED)


def measured(plan, **off):
    """Runs as planned, with some readings off by a factor."""
    values = {k: v * off.get(k.replace(" ", "_"), 1.0) for k, v in plan.predicted.items()}
    return Measurements(runs=(Run(number="1", values=values, remark="Sun on the gauge."),))


def note(plan, **more):
    given = {
        "keep": ["Lined up before water."],
        "change": ["Gauge shaded."],
        "actions": [read_action("Pump operator: test the gauge: 2026-12-01")],
        "day": DAY,
    } | more
    runs = given.pop("runs", measured(plan, discharge_pressure=1.2))
    return note_data(plan, day_list(plan), runs, **given)


def test_the_note_says_what_was_planned_what_happened_and_what_explains_it(plan):
    data = note(plan)
    rows = {row[0]: row for row in data["happened"]}
    assert rows["Discharge pressure"][3].endswith("more")
    assert rows["Flow"][3] == "as planned"
    assert any("Hose" in cause for cause in data["causes"])
    assert data["actions"] == [
        {"role": "Pump operator", "what": "test the gauge", "until": "2026-12-01"}
    ]
    page = unescape(note_page(data))
    for text in (
        *data["causes"],
        *data["keep"],
        *data["change"],
        *data["remarks"],
        data["caution"],
    ):
        assert text in page
    assert "http" not in page and "src=" not in page


def test_as_planned_is_said_where_nothing_differs(plan):
    assert note(plan, runs=measured(plan))["causes"][0].startswith("Nothing to explain")


def test_the_note_is_one_page_even_when_it_is_full(plan):
    long = "Read the gauge by one person alone, shaded, and say the number twice over the radio."
    full = note(plan, keep=[long] * 6, change=[long] * 6,
                actions=[Action(role="Pump operator", what=long, until=DAY)] * 6)  # fmt: skip
    pdf, pages = print_note(full)
    assert pages == 1 and pdf.startswith(b"%PDF")
    metric, pages = print_note(note(plan, system="metric"))
    assert pages == 1 and metric.startswith(b"%PDF")
    assert "kPa" in json.dumps(note(plan, system="metric")["happened"])


def test_names_unknown_roles_and_long_texts_are_refused_together(plan):
    roster = [SimpleNamespace(name="Mira Okonta", member="2041")]
    with pytest.raises(NoteRefused) as refused:
        note(plan, keep=["Okonta was quick.", "x" * 300], roster=roster,
             actions=[Action(role="Mira", what="ask 2041")])  # fmt: skip
    said = str(refused.value)
    assert all(part in said for part in ("keep 1", "keep 2", "no role “Mira”", "action 1"))
    for text in ("no role here", "A: B: 2026-02-31", ": x"):
        with pytest.raises(NoteRefused):
            read_action(text)


def test_the_command_writes_both(tmp_path):
    folder = tmp_path / "own"
    shutil.copytree(DEMO_FOLDER, folder)
    run = CliRunner()

    def call(*words):
        return run.invoke(app, ["drill", *map(str, words), "--department", str(folder)])

    drill, sheet, page = tmp_path / "w.json", tmp_path / "m.csv", tmp_path / "a.html"
    assert call("plan", "window-in-line", "--device", "tower-3", "--site", "drill-ground", "-o", drill).exit_code == 0  # fmt: skip
    assert call("form", drill, "-o", sheet, "--throw").exit_code == 0
    assert "wind from" in sheet.read_text()
    sheet.write_text("run,flow,nozzle pressure\n1,500 gpm,56 psi\n")
    done = call("note", drill, sheet, "--page", page, "--keep", "Slow.", "--action",
                "Pump operator: check the gauge")  # fmt: skip
    assert done.exit_code == 0 and "1 page" in done.output
    assert (tmp_path / "w.after.pdf").read_bytes().startswith(b"%PDF")
    assert "check the gauge" in page.read_text()


# --- the same set-up on another day -------------------------------------------------------------


def test_the_day_moves_what_depends_on_it_and_leaves_the_set_up(plan):
    windy = on_the_day(plan, weather=Weather(wind="40 mph", wind_from="180 deg"))
    assert windy.made.extension_ft == plan.made.extension_ft
    assert [row.id for row in day_list(windy).failing] == ["wind"]
    weak = on_the_day(plan, hydrant=("40 psi", "22 psi", "300 gpm"))
    assert weak.faults and not plan.faults
    with pytest.raises(Exception, match="needs a new plan"):
        on_the_day(plan, device="ladder-9")


def test_in_line_the_same_day_planned_anew_gives_the_same_numbers(plan):
    """The quick way against the long one: ladder in line, so that the wind moves no set-up."""
    day = {
        "weather": Weather(wind="15 mph", wind_from="90 deg"),
        "hydrant": ("80 psi", "55 psi", "839 gpm"),
    }
    quick, whole = on_the_day(plan, **day), replan(plan, **day)
    assert quick.lines("US") == whole.lines("US")
    assert quick.predicted == pytest.approx(whole.predicted)


# --- what the owner had tested -------------------------------------------------------------------


def with_loads(tmp_path, text):
    """The demo department with other tested loads of its container stack, and the list of a plan."""
    folder = tmp_path / "own"
    shutil.copytree(DEMO_FOLDER, folder, dirs_exist_ok=True)
    file = folder / "buildings/container-stack.toml"
    kept = re.sub(r"\[\[tested_load\]\].*?(?=\n\[\[)", "", (DEMO_FOLDER / "buildings/container-stack.toml").read_text(),
                  flags=re.S)  # fmt: skip
    file.write_text(kept + text)
    plan = plan_drill(load_department(folder), ASKED)
    return plan, next(row for row in day_list(plan).rows if row.id == "prop-load")


def load(on, number, storey="storey = 2\n"):
    return f'\n[[tested_load]]\non = "{on}"\n{storey if on == "floor" else ""}{number}\npage = "sheet 7"\n'


def test_without_an_entry_the_line_is_a_blank(tmp_path):
    _, row = with_loads(tmp_path, "")
    assert row.answer == "not answered" and "______ (owner's sheet" in row.text and not row.why


def test_water_is_held_against_the_tested_weight(tmp_path):
    """8.34 lb a gallon, 2 minutes: 496 gpm weigh about 8,270 lb."""
    floor, roof = load("floor", 'weight = "8,300 lb"'), load("roof", 'weight = "9,000 lb"')
    _, row = with_loads(tmp_path, floor)
    assert row.answer == "not answered" and row.text.startswith("Roof bears")
    assert "not beyond the entered limit, 8,300 lb (sheet 7)" in row.why
    _, row = with_loads(tmp_path, floor + roof)
    assert row.answer == "go"
    plan, row = with_loads(tmp_path, load("floor", 'weight = "8,200 lb"') + roof)
    assert row.answer == "no go" and "BEYOND" in row.why
    assert next(r for r in day_list(plan, {"prop-load": "go"}).rows if r.id == "prop-load").answer == "no go"  # fmt: skip
    assert "BEYOND" in json.dumps(card_data(plan)["list"])


def test_a_load_for_each_square_foot_stays_with_people_unless_it_is_beyond(tmp_path):
    """8,270 lb over 40 by 16 ft are 12.9 psf."""
    _, row = with_loads(
        tmp_path, load("floor", 'load = "20 psf"') + load("roof", 'load = "20 psf"')
    )
    assert row.answer == "not answered" and "12.9 psf" in row.why and "low spots" in row.why
    _, row = with_loads(tmp_path, load("floor", 'load = "12 psf"'))
    assert row.answer == "no go"
    _, row = with_loads(tmp_path, load("floor", 'weight = "1 lb"', "storey = 1\n"))
    assert row.answer == "not answered" and not row.why


def test_faults_of_a_tested_load_are_named_at_once(tmp_path):
    path = tmp_path / "container-stack.toml"
    bad = load("floor", 'weight = "1 lb"\nload = "1 psf"') + load("roof", "storey = 1")
    path.write_text((DEMO_FOLDER / "buildings/container-stack.toml").read_text() + bad)
    with pytest.raises(DepartmentDataError) as refused:
        load_building(path)
    assert "one of them" in str(refused.value) and "the roof has none" in str(refused.value)
    twice = load("floor", 'weight = "1 lb"') + load("floor", 'weight = "1 lb"', "storey = 5\n")
    path.write_text((DEMO_FOLDER / "buildings/container-stack.toml").read_text() + twice)
    with pytest.raises(DepartmentDataError) as refused:
        load_building(path)
    assert "given twice" in str(refused.value) and "no storey 5" in str(refused.value)
