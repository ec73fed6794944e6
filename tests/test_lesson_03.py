"""Lesson 03: its sums can be keyed in, its table is the department's own, its exercise is counted."""

import re
import tomllib
import xml.etree.ElementTree as ET
from math import cos, radians, sin, sqrt

import pytest

from aerialstream import load_department, quantity, reaction_at_tip, smooth_bore_discharge
from aerialstream.charts.limit_lines import limit_lines
from aerialstream.department import DEMO_FOLDER, manual_limit_text
from gradekit.questions import papers
from lessonkit import frame
from lessonkit.content.lesson_03 import ASKED
from lessonkit.start import LESSONS, syllabus

NUMBER_WORDS = "one two three four five six seven eight nine ten eleven twelve".split()
COUNTED = re.compile(rf"\bIt has ({'|'.join(NUMBER_WORDS)}) questions\b")
SVG = "{http://www.w3.org/2000/svg}"


def _text(name):
    cells = frame.cells_of(LESSONS / "03_nozzle_reaction.ipynb")
    return next(cell["source"] for cell in cells if cell["id"] == f"s3-{name}")


def entered(device):
    """[(gpm, ft, deg), ...] of a device, straight from the file's text."""
    with (DEMO_FOLDER / "apparatus.toml").open("rb") as file:
        rig = next(one for one in tomllib.load(file)["apparatus"] if one["name"] == device)
    keys = ("flow_up_to", "extension_up_to", "rotation_up_to")
    return [tuple(float(one[key].split()[0]) for key in keys) for one in rig.get("manual_limits", [])]  # fmt: skip


def covered(device, gpm, feet):
    """The widest angle of the lines that cover flow and length, or None."""
    return max((d for g, f, d in entered(device) if gpm <= g and feet <= f), default=None)


def test_sums_in_the_text_can_be_keyed_in():
    """Written here anew, from the numbers as they stand in the text."""
    assert f"0.0505 × 1,000 × 10 = **{0.0505 * 1000 * sqrt(100):.0f} lbf**" in _text("example-fog-title")  # fmt: skip
    flow, push = round(29.7 * 1.75**2 * sqrt(80)), round(1.57 * 1.75**2 * 80)
    rule = _text("rule")
    assert f"flows {flow} gpm: {flow} / 2 = {flow / 2:.0f}, so {push} fits. {2 * push} would not" in rule  # fmt: skip
    steps = _text("split-steps")
    side = 505 * sin(radians(30))
    assert f"505 × 0.5 = **{side + 1e-9:.0f} lbf**" in steps
    assert f"505 × {cos(radians(30)):.3f} = {505 * cos(radians(30)):.0f} lbf" in steps
    assert f"253 × 75 = about **{round(side * 75, -3):,.0f} lbf·ft**" in steps
    assert round(253 * 75, -3) == round(side * 75, -3)


def test_sums_in_the_text_are_those_of_the_kit():
    """A nozzle turned left pushes to the right; the tip's flow is the one the limit is read for."""
    split = reaction_at_tip("505 lbf", rotation="30 deg", extension="75 ft")
    assert ("Side load at the tip", "253 lbf, to the right") in split.lines()
    assert "points left, so the push goes right" in _text("split-steps")
    assert split.side_moment.magnitude == pytest.approx(-19_000, abs=100)
    flow = smooth_bore_discharge("1 3/4 in", nozzle_pressure="80 psi").value
    assert f"{flow.to('gpm').magnitude:.0f} gpm with 75 ft out" in _text("example-limit-title")


def test_table_in_the_text_is_what_the_demo_department_entered():
    """Line by line, in the file's order; nothing stands for Ladder 9."""
    rows = re.findall(r"^\| ([\d,]+) gpm \| (\d+) ft \| (\d+) degrees \|$", _text("example-limit-title"), re.MULTILINE)  # fmt: skip
    read = [tuple(float(part.replace(",", "")) for part in row) for row in rows]
    assert read == entered("Tower 3") and len(read) == 2
    assert entered("Ladder 9") == []


def test_limit_in_the_text_is_the_one_that_the_kit_reads():
    """By the file, and by the kit's own sentence; the nozzle's travel is another number."""
    department = load_department(DEMO_FOLDER)
    tower, ladder = department.device("tower-3"), department.device("ladder-9")
    steps = _text("limit-steps")
    found = covered("Tower 3", 814, 75)
    assert f"As entered: **{found:g} degrees**" in steps
    said = manual_limit_text(tower, flow="814 gpm", extension="75 ft", rotation="0 deg")
    assert f"up to {found:g} deg off the centre line" in said
    assert "not entered" in manual_limit_text(ladder, flow="814 gpm", extension="75 ft", rotation="0 deg")  # fmt: skip
    assert "for Ladder 9: **not entered" in steps
    assert f"moves {tower.nozzle_travel.left.magnitude:g} degrees" in steps


def test_self_check_on_the_limit_is_read_from_the_file():
    """Each pair anew; both numbers and the empty table are asked for."""
    answers = []
    for pair in ASKED["limit"].pairs:
        device, gpm, feet = re.fullmatch(r"(.+), (\d+) gpm, (\d+) ft out", pair.left).groups()
        found = covered(device, float(gpm), float(feet))
        answers.append(found)
        assert pair.right == ("not entered, ask its manual" if found is None else f"{found:g} degrees")  # fmt: skip
    assert answers == [30, 15, None]


def _boxes_and_dot(system):
    tower = load_department(DEMO_FOLDER).device("tower-3")
    drawn = limit_lines(tower, flow=quantity("814 gpm"), extension=quantity("75 ft"), system=system)
    tree = ET.fromstring(drawn.svg())
    boxes = [
        [tuple(map(float, corner.split(","))) for corner in one.get("points").split()]
        for one in tree.iter(f"{SVG}polygon")
    ]
    (dot,) = tree.iter(f"{SVG}circle")
    return boxes, (float(dot.get("cx")), float(dot.get("cy")))


@pytest.mark.parametrize("system", ["US", "metric"])
def test_dot_of_the_picture_lies_in_the_box_that_counts_and_beside_the_other(system):
    """Wide of the 30-degree box by 64 gpm, at its very height; inside the 15-degree box."""
    (long, short), (x, y) = _boxes_and_dot(system)
    left, bottom = long[0]
    assert left < x < long[2][0] and long[2][1] < y < bottom
    assert x > short[2][0] and y == pytest.approx(short[2][1], abs=0.2)
    # To scale: 814 to 750 to 1,250 gpm, and 75 to 100 ft.
    assert (x - left) / (short[2][0] - left) == pytest.approx(814 / 750, abs=0.002)
    assert (long[2][0] - left) / (short[2][0] - left) == pytest.approx(1250 / 750, abs=0.002)
    assert (bottom - y) / (bottom - long[2][1]) == pytest.approx(75 / 100, abs=0.002)


@pytest.mark.parametrize("system", ["US", "metric"])
@pytest.mark.parametrize("gpm", ["100 gpm", "1000 gpm", "3000 gpm"])
def test_words_of_the_picture_stay_inside_it(system, gpm):
    """Small flow or one beyond every line; a letter is taken as wide as 0.62 of its size."""
    tower = load_department(DEMO_FOLDER).device("tower-3")
    drawn = limit_lines(tower, flow=quantity(gpm), extension=quantity("90 ft"), system=system)
    for text in ET.fromstring(drawn.svg()).iter(f"{SVG}text"):
        wide = 0.62 * float(text.get("font-size")) * len(text.text)
        x = float(text.get("x")) - {"start": 0, "middle": wide / 2, "end": wide}[text.get("text-anchor")]  # fmt: skip
        assert x > -1 and x + wide < drawn.width + 1, text.text


def test_exercise_points_to_an_example_that_is_there():
    """The heading that the exercise's sixth question sends the reader to."""
    limit = papers()["nozzle-reaction"].questions[5]
    assert limit.reread.startswith("Lesson 03, the example on the limit")
    assert _text("example-limit-title").startswith("## The limit:")


def test_caution_on_who_may_be_on_the_ladder_is_that_of_the_exercise():
    """One wording for both."""
    options = papers()["nozzle-reaction"].questions[7].options
    (reason,) = (one.reason for one in options if one.name == "somebody-at-the-tip")
    assert f"- {reason}\n" in _text("cautions")


@pytest.mark.parametrize("lesson", syllabus()["lesson"], ids=lambda one: one["number"])
def test_lesson_that_counts_the_questions_of_its_exercise_counts_right(lesson):
    """Every lesson's stated number against the paper it sends the reader to."""
    cells = frame.cells_of(LESSONS / lesson["notebook"])
    stated = [found for cell in cells for found in COUNTED.findall(cell["source"])]
    for word in stated:
        paper = papers()[lesson["assignment"]]
        assert NUMBER_WORDS.index(word) + 1 == len(paper.questions), lesson["notebook"]
    if lesson["number"] == "03":
        assert stated
