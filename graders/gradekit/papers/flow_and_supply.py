"""Questions of the assignment on flow and supply.

Right answers come from `aerialstream`; each slip has its own wrong formula. Devices, tips, hose and
pumpers are those of the department's own data; heights, lengths and pressures are made up.
"""

from fractions import Fraction
from itertools import combinations, pairwise
from math import floor, pi, sqrt

from aerialstream._core import chain, elevation, hose, nozzles, pumps, supply
from aerialstream.constants import HOSE_COEFFICIENTS
from gradekit.questions import (
    Carried,
    Choice,
    Estimate,
    FindFault,
    LookUp,
    Option,
    Paper,
    Question,
    Slip,
)

VERSION = "2026.1"
EXAMPLE = "Lesson 04, worked example, has the same steps."
LOSSES = "Lesson 04 shows it: change lines and flow in the panel and watch the losses."
MARKS = "Lesson 04 shows where the marking stands on the hose."

# --- the department's own data as rows --------------------------------------------------------


def _in(value, unit):
    return value.to(unit).magnitude


def _inches(size):
    """A tip as a crew says it: 1.75 is "1 3/4"."""
    whole, part = divmod(Fraction(size).limit_denominator(16), 1)
    return " ".join(str(piece) for piece in (whole, part) if piece) or "0"


def _run_together(tip_text):
    """What a calculator gets where a fraction is typed as decimals: "1 3/4" as 1.34."""
    whole, _, part = tip_text.partition(" ")
    return float(f"{whole}.{part.replace('/', '')}") if part else float(Fraction(whole))


def _psi(number):
    return f"{number:.1f} psi"


def _coefficient(kind):
    """(coefficient, where it is from): the department's own test, else the printed one."""
    if kind.coefficient is not None:
        return kind.coefficient, "your own flow test"
    inches = _in(kind.diameter, "inch")
    printed = [r.coefficient for r in HOSE_COEFFICIENTS if abs(r.diameter_in - inches) < 0.01]
    return (printed[0], "the printed table") if printed else (None, "")


def _tips(department, device):
    """Sizes in inches of the smooth-bore tips that a device carries."""
    found = {
        _in(nozzle.tip_diameter, "inch")
        for nozzle in department.nozzles
        if nozzle.id in device.nozzles and nozzle.kind == "smooth bore"
    }
    return sorted(found)


def _lays(department):
    """Two or three like lines that the department carries: name, coefficient, lines, feet."""
    return [
        {"hose": kind.name, "c": _coefficient(kind)[0], "lines": lines, "feet": feet}
        for kind in department.hose
        if _coefficient(kind)[0]
        for lines in (2, 3)
        for feet in (150, 200, 250, 300, 400)
        if lines * feet <= _in(kind.carried, "foot")
    ]


def _loss_on_rig(device):
    """(psi, gpm) from the aerial's inlet to its nozzle, as tested; None where not entered."""
    way = device.waterway
    if way is None:
        return None
    at = _in(way.at_flow, "gpm")
    psi = _in(way.loss, "psi")
    if device.inlet is not None:
        psi += elevation.scaled_loss_psi(
            _in(device.inlet.loss, "psi"), _in(device.inlet.at_flow, "gpm"), at
        )
    return round(psi), round(at)


def _highest(device):
    """Feet to which the tip comes at 70 degrees and full length."""
    return elevation.nozzle_height_ft(
        _in(device.turntable_height, "foot"), _in(device.extension.most, "foot"), 70
    )


_HEIGHTS = (64, 70, 78, 86, 94)
_PRESSURES = (65, 70, 75, 80, 85, 90)


def _scenes(department):
    """Device, tip, pressure, lay and height that go together: one scene for three questions."""
    rows = []
    for device in department.apparatus:
        rig = _loss_on_rig(device)
        heights = [feet for feet in _HEIGHTS if feet <= _highest(device)]
        if rig is None or not heights:
            continue
        for tip in _tips(department, device):
            for lay in _lays(department):
                n = len(rows)
                rows += [
                    {
                        "device": device.name,
                        "tip_text": _inches(tip),
                        "tip": tip,
                        "psi": _PRESSURES[(n + k) % len(_PRESSURES)],
                        **lay,
                        "height": heights[(n + 2 * k) % len(heights)],
                        "rig": rig[0],
                        "rig_at": rig[1],
                        "intake": (42, 47, 57, 63)[(n + 3 * k) % 4],
                    }
                    for k in range(5)
                ]
    return tuple(rows)


def _apart(question, row):
    """Whether no two slips lie so near to each other that an answer cannot tell which it was."""
    numbers = sorted(number for _, number in question.wrongs(row))
    return all(b - a > 1.1 * question._allowance(b) for a, b in pairwise(numbers))


def _quiet(question, row):
    """Whether the example of how to write an answer earns nothing, whatever the department's data."""
    return not question.judge(row, question.example_answer).points


# --- 1. flow of the tip -----------------------------------------------------------------------


def _flow(row):
    return nozzles.smooth_bore_discharge_gpm(row["tip"], row["psi"])


def _count(number):
    return {2: "two", 3: "three"}[number]


def _to_a_tenth(inches):
    """A tip rounded as people round: 1.75 is 1.8, 1.25 is 1.3."""
    return floor(10 * inches + 0.5) / 10


def _with_hose(row):
    """The tip's formula with the size that stands in the hose's name, where one does."""
    size = row["hose"].partition("-in")[0].split()
    try:
        inches = float(sum(Fraction(part) for part in size))
    except ValueError:
        return None
    return 29.7 * inches**2 * sqrt(row["psi"])


FLOW = Question(
    id="flow-and-supply-q1",
    title="Flow of the tip",
    variable="tip_flow",
    kind="flow",
    unit="gpm",
    together="product",
    points=2,
    rows_from=_scenes,
    keep=lambda row: (
        6 < LOSS.value(row) < 90
        and 100 < PDP.value(row) < 250
        and LOSS.fits(row)
        and PDP.fits(row)
        and _apart(FLOW, row)
        and _apart(PDP, row)
        and all(_quiet(question, row) for question in (FLOW, LOSS, PDP))
    ),
    ask=lambda row: (
        f"Questions 1 to 3 tell of one set-up. {row['device']} works at the mill with its "
        f"{row['tip_text']}-in smooth-bore tip at {row['psi']} psi nozzle pressure. An engine in the "
        f"yard feeds it through {_count(row['lines'])} lines of {row['hose']}, {row['feet']} ft each; "
        f"the tip stands {row['height']} ft above the pump. How much does the tip flow, by the "
        "trade's formula? Answer in gpm, within 1 percent."
    ),
    right=_flow,
    slips=(
        Slip(
            "diameter-not-squared",
            lambda row: 29.7 * row["tip"] * sqrt(row["psi"]),
            "The tip's diameter was not squared. What comes out goes with the area of the tip: "
            "diameter times diameter.",
            did="leave the diameter unsquared",
            part="tip",
        ),
        Slip(
            "diameter-doubled",
            lambda row: 29.7 * 2 * row["tip"] * sqrt(row["psi"]),
            "The diameter was doubled instead of squared: it belongs in as diameter times diameter, "
            "or the pump operator supplies the wrong flow.",
            did="double the diameter",
            part="tip",
        ),
        Slip(
            "radius-for-diameter",
            lambda row: 29.7 * (row["tip"] / 2) ** 2 * sqrt(row["psi"]),
            "Half the tip was squared. The formula takes the whole diameter that is stamped on it.",
            did="square half the tip",
            part="tip",
        ),
        Slip(
            "no-root",
            lambda row: 29.7 * row["tip"] ** 2 * row["psi"],
            "The root of the pressure was left out. No tip flows that much: flow rises slower than "
            "pressure, with its root.",
            did="leave out the root",
            part="pressure",
        ),
        Slip(
            "handline-pressure",
            lambda row: 29.7 * row["tip"] ** 2 * sqrt(50),
            "That is the flow at the usual pressure of a handline tip. Take the nozzle pressure that "
            "the question gives.",
            did="work with a handline's nozzle pressure",
            part="pressure",
        ),
        Slip(
            "fog-pressure",
            lambda row: 29.7 * row["tip"] ** 2 * sqrt(100),
            "That is the flow at the usual pressure of a fog nozzle. Take the nozzle pressure that "
            "the question gives.",
            did="work with a fog nozzle's pressure",
            part="pressure",
        ),
        Slip(
            "area-of-the-tip",
            lambda row: 29.7 * pi / 4 * row["tip"] ** 2 * sqrt(row["psi"]),
            "The area of the tip was put in. The 29.7 has that share of a square in it already: put "
            "in diameter times diameter.",
            did="put in the area of the tip",
            part="tip",
        ),
        Slip(
            "constant-forgotten",
            lambda row: row["tip"] ** 2 * sqrt(row["psi"]),
            "The constant was left out, so the number is in no unit at all: multiply by 29.7 for gpm.",
            did="leave out the constant",
            part="constant",
        ),
        Slip(
            "hydrant-coefficient",
            lambda row: 29.84 * 0.9 * row["tip"] ** 2 * sqrt(row["psi"]),
            "The coefficient of a hydrant outlet was put to a tip. A smooth-bore tip passes nearly "
            "all of it: use the trade's formula as it stands.",
            did="use the coefficient of a hydrant outlet",
            part="constant",
        ),
        Slip(
            "reaction-for-flow",
            lambda row: 1.57 * row["tip"] ** 2 * row["psi"],
            "That is the reaction of the nozzle in pounds of force, not its flow.",
            did="work out the reaction",
        ),
        Slip(
            "fraction-as-decimal",
            lambda row: 29.7 * _run_together(row["tip_text"]) ** 2 * sqrt(row["psi"]),
            "The fraction of the tip was typed as if it were decimals. Divide it out first: a quarter "
            "is 0.25, an eighth 0.125.",
            did="type the fraction as decimals",
            minor=True,
        ),
        Slip(
            "metric-constant",
            lambda row: 0.667 * row["tip"] ** 2 * sqrt(row["psi"]),
            "A constant for millimetres and bar was put to inches and psi. Each formula holds for its "
            "own units only: with inches and psi it is 29.7.",
            did="take the metric constant",
            minor=True,
        ),
        Slip(
            "pressure-halved",
            lambda row: 29.7 * row["tip"] ** 2 * row["psi"] / 2,
            "The pressure was halved. The formula takes its root, the number that times "
            "itself gives it.",
            did="halve the pressure instead of taking its root",
            minor=True,
        ),
        Slip(
            "share-of-one-line",
            lambda row: _flow(row) / row["lines"],
            "That is what goes through one of the lines. The tip passes the water of all of "
            "them together.",
            0.5,
            did="give the flow of one line",
            minor=True,
        ),
        Slip(
            "lines-multiplied",
            lambda row: _flow(row) * row["lines"],
            "It was multiplied by the number of lines. The tip alone sets the flow, however "
            "many lines lead to it.",
            did="multiply by the lines",
            minor=True,
        ),
        Slip(
            "usual-pressure",
            lambda row: 29.7 * row["tip"] ** 2 * sqrt(80),
            "That is the flow at the usual pressure of a large smooth-bore tip. Take the "
            "nozzle pressure that the question gives.",
            did="work with the usual pressure of a large tip",
            minor=True,
        ),
        Slip(
            "hose-for-tip",
            lambda row: _with_hose(row),
            "The size of the hose was put in. The opening that the water leaves by is the tip.",
            did="put in the size of the hose",
            minor=True,
        ),
        Slip(
            "tip-rounded",
            lambda row: 29.7 * _to_a_tenth(row["tip"]) ** 2 * sqrt(row["psi"]),
            "The tip was rounded to a tenth of an inch before it was squared. Squaring "
            "doubles what rounding was off: keep the eighths.",
            0.5,
            did="round the tip first",
            minor=True,
        ),
        Slip(
            "tip-cubed",
            lambda row: 29.7 * row["tip"] ** 3 * sqrt(row["psi"]),
            "The tip was taken three times. It belongs in as diameter times diameter.",
            did="cube the diameter",
            minor=True,
        ),
    ),
    first_step="First square the tip's diameter, then take the root of the nozzle pressure.",
    reread=EXAMPLE,
)

# --- 2. friction in lines side by side --------------------------------------------------------


def _loss(row, gpm):
    together = hose.parallel_coefficient([row["c"]] * row["lines"], [row["feet"]] * row["lines"])
    return hose.friction_loss_psi(together, gpm, 100)


def _one_line(row, gpm):
    return row["c"] * (gpm / 100) ** 2 * row["feet"] / 100


def _other_coefficient(row, gpm, c):
    """With another hose's coefficient; None where only the decimal point would tell the two apart."""
    same = any(abs(row["c"] / c / ten - 1) < 0.02 for ten in (0.1, 1, 10))
    return None if same else c / row["c"] * _loss(row, gpm)


LOSS = Carried(
    id="flow-and-supply-q2",
    title="Loss in the lines",
    variable="hose_loss",
    kind="pressure",
    unit="psi",
    points=2,
    same_row_as=FLOW,
    carries=(FLOW,),
    ask=lambda row: (
        f"Your flow from question 1 goes to {row['device']} through {_count(row['lines'])} lines of "
        f"{row['hose']} side by side, each {row['feet']} ft long and each with an equal part of the "
        f"water. Coefficient {row['c']:g} (psi for 100 ft at 100 gpm). How much pressure is lost "
        "between engine and aerial? Answer in psi, within 1 percent."
    ),
    right=_loss,
    slips=(
        Slip(
            "single-line",
            _one_line,
            "All the water was sent through one line. Lines side by side share it, so each one "
            "loses far less.",
            did="send all the water through one line",
        ),
        Slip(
            "loss-shared-out",
            lambda row, gpm: _one_line(row, gpm) / row["lines"],
            "Divide the flow first, not the loss: the loss goes with the square of the flow.",
            did="divide the loss of a single line by the number of lines",
        ),
        Slip(
            "losses-added",
            lambda row, gpm: (
                row["lines"] * row["c"] * (gpm / row["lines"] / 100) ** 2 * row["feet"] / 100
            ),
            "Water takes one line or the other, so the loss counts once, over the length of one.",
            did="add up the losses, or the lengths, of the lines",
        ),
        Slip(
            "flow-not-squared",
            lambda row, gpm: row["c"] * (gpm / row["lines"] / 100) * row["feet"] / 100,
            "The flow was not squared. Twice the flow in a line loses four times the pressure, and "
            "a pump operator who misses that starves the nozzle.",
            did="leave the flow unsquared",
        ),
        Slip(
            "flow-doubled",
            lambda row, gpm: row["c"] * 2 * (gpm / row["lines"] / 100) * row["feet"] / 100,
            "The flow was doubled instead of squared: hundreds of gpm times hundreds of gpm.",
            did="double the flow",
        ),
        Slip(
            "length-in-feet",
            lambda row, gpm: _loss(row, gpm) * 100,
            "The length was put in as feet. The coefficient is for each hundred feet of hose.",
            did="put the length in as feet",
        ),
        Slip(
            "gpm-not-hundreds",
            lambda row, gpm: _loss(row, gpm) * 10_000,
            "The flow was put in as gpm. The coefficient takes hundreds of gpm.",
            did="put the flow in as gpm",
        ),
        Slip(
            "length-forgotten",
            lambda row, gpm: row["c"] * (gpm / row["lines"] / 100) ** 2,
            "That is the loss of the first hundred feet. Take it for every hundred feet of one line.",
            did="leave out the length",
        ),
        Slip(
            "shared-twice",
            lambda row, gpm: _loss(row, gpm) / row["lines"],
            "The loss was divided once more after the flow had been. Water in each line loses "
            "this much; both come to the same pressure.",
            did="divide flow and loss",
            minor=True,
        ),
        Slip(
            "a-line-too-few",
            lambda row, gpm: (
                _one_line(row, gpm) / (row["lines"] - 1) ** 2 if row["lines"] > 2 else None
            ),
            "The water was shared among fewer lines than lie there. Count the lines, then "
            "divide the flow.",
            did="share it among fewer lines",
            minor=True,
        ),
        Slip(
            "coefficient-of-2-1-2-inch",
            lambda row, gpm: _other_coefficient(row, gpm, 2),
            "The coefficient of another hose was used. Take the one that belongs to the hose "
            "on the ground; the question gives it.",
            did="take the coefficient of smaller hose",
            minor=True,
        ),
        Slip(
            "coefficient-of-3-inch",
            lambda row, gpm: _other_coefficient(row, gpm, 0.8),
            "The coefficient of another hose was used. Take the one that belongs to the hose "
            "on the ground; the question gives it.",
            did="take the coefficient of 3-in hose",
            minor=True,
        ),
        Slip(
            "coefficient-of-4-inch",
            lambda row, gpm: _other_coefficient(row, gpm, 0.2),
            "The coefficient of another hose was used. Take the one that belongs to the hose "
            "on the ground; the question gives it.",
            did="take the coefficient of 4-in hose",
            minor=True,
        ),
        Slip(
            "coefficient-of-supply-hose",
            lambda row, gpm: _other_coefficient(row, gpm, 0.066),
            "The coefficient of another hose was used. Take the one that belongs to the hose "
            "on the ground; the question gives it.",
            did="take the coefficient of the supply hose",
            minor=True,
        ),
        Slip(
            "coefficient-forgotten",
            lambda row, gpm: (gpm / row["lines"] / 100) ** 2 * row["feet"] / 100,
            "The coefficient was left out. It tells how much this hose loses; without it "
            "every hose would be alike.",
            did="leave out the coefficient",
            minor=True,
        ),
        Slip(
            "all-through-all-the-length",
            lambda row, gpm: row["c"] * (gpm / 100) ** 2 * row["lines"] * row["feet"] / 100,
            "All the water was sent through the lines laid end to end. Side by side each has "
            "its share, and the length of one counts.",
            did="lay the lines end to end",
            minor=True,
        ),
        Slip(
            "hundreds-rounded",
            lambda row, gpm: row["c"] * round(gpm / row["lines"] / 100) ** 2 * row["feet"] / 100,
            "The flow was rounded to whole hundreds before it was squared. Keep a digit or "
            "two more.",
            0.5,
            did="round the hundreds first",
            minor=True,
        ),
        Slip(
            "hundreds-to-a-half",
            lambda row, gpm: (
                row["c"] * (round(gpm / row["lines"] / 50) / 2) ** 2 * row["feet"] / 100
            ),
            "The flow was rounded to halves of a hundred before it was squared. Keep a digit "
            "or two more.",
            0.5,
            did="round the hundreds first",
            minor=True,
        ),
    ),
    example="999 psi",
    first_step="First divide the flow by the number of lines, and put it in hundreds of gpm.",
    reread=LOSSES,
)

# --- 3. pump discharge pressure ---------------------------------------------------------------


def _height_psi(row):
    return elevation.elevation_pressure_psi(row["height"])


def _rig_psi(row, gpm):
    return elevation.scaled_loss_psi(row["rig"], row["rig_at"], gpm)


def _pdp(row, gpm, loss):
    return row["psi"] + _height_psi(row) + _rig_psi(row, gpm) + loss


PDP = Carried(
    id="flow-and-supply-q3",
    title="What the pump has to give",
    variable="discharge",
    kind="pressure",
    unit="psi",
    together="sum",
    points=3,
    same_row_as=FLOW,
    carries=(FLOW, LOSS),
    tolerance=0.01,
    allow=2.0,
    tolerance_words="within 2 psi",
    ask=lambda row: (
        f"Same set-up: {row['psi']} psi at the tip, {row['height']} ft above the pump, your flow from "
        f"question 1 and your loss in the lines from question 2. From inlet to nozzle "
        f"{row['device']} lost {row['rig']} psi at {row['rig_at']:,} gpm in its flow test. The "
        f"engine's intake shows {row['intake']} psi. Take 0.434 psi for each foot of height. Which "
        "pump discharge pressure is needed? Answer in psi, within 2 psi."
    ),
    right=_pdp,
    slips=(
        Slip(
            "height-forgotten",
            lambda row, gpm, loss: _pdp(row, gpm, loss) - 0.434 * row["height"],
            "The height was left out. The pump has to hold the column up to the tip before anything "
            "flows.",
            did="leave out the height",
            part="height",
        ),
        Slip(
            "height-subtracted",
            lambda row, gpm, loss: _pdp(row, gpm, loss) - 2 * 0.434 * row["height"],
            "The height was taken away. That is for a nozzle below the pump; a raised tip costs "
            "pressure.",
            did="take the height away",
            part="height",
        ),
        Slip(
            "psi-for-each-foot",
            lambda row, gpm, loss: _pdp(row, gpm, loss) + (1 - 0.434) * row["height"],
            "A whole psi was taken for each foot of height. Water takes less than half of that; the "
            "question gives the figure.",
            did="take a whole psi for each foot",
            part="height",
        ),
        Slip(
            "half-a-psi-for-each-foot",
            lambda row, gpm, loss: _pdp(row, gpm, loss) + (0.5 - 0.434) * row["height"],
            "Half a psi was taken for each foot: a fair field figure that reads a little high. Here "
            "the finer figure was asked for.",
            0.75,
            did="take half a psi for each foot",
            part="height",
        ),
        Slip(
            "rig-forgotten",
            lambda row, gpm, loss: _pdp(row, gpm, loss) - row["rig"] * (gpm / row["rig_at"]) ** 2,
            "The loss from inlet to nozzle was left out. The pipe on the ladder eats pressure just "
            "as hose does.",
            did="leave out the loss on the aerial",
            part="rig",
        ),
        Slip(
            "rig-as-tested",
            lambda row, gpm, loss: row["psi"] + 0.434 * row["height"] + row["rig"] + loss,
            "The aerial's loss was taken as tested. It was tested at another flow: bring it to yours, "
            "with the square of the flow.",
            0.5,
            did="take the aerial's loss as tested",
            part="rig",
        ),
        Slip(
            "rig-in-proportion",
            lambda row, gpm, loss: (
                row["psi"] + 0.434 * row["height"] + row["rig"] * gpm / row["rig_at"] + loss
            ),
            "The aerial's loss was brought to your flow in proportion. A loss goes with the square "
            "of the flow.",
            0.5,
            did="bring the aerial's loss to your flow in proportion",
            part="rig",
        ),
        Slip(
            "hose-forgotten",
            lambda row, gpm, loss: _pdp(row, gpm, loss) - loss,
            "The loss in the lines was left out. It stands between the pump and the aerial: add it.",
            did="leave out the loss in the lines",
            part="hose",
        ),
        Slip(
            "fog-pressure",
            lambda row, gpm, loss: _pdp(row, gpm, loss) - row["psi"] + 100,
            "The usual pressure of a fog nozzle was put in. Start from the nozzle pressure that the "
            "question gives.",
            did="start from a fog nozzle's pressure",
            part="nozzle",
        ),
        Slip(
            "nozzle-forgotten",
            lambda row, gpm, loss: _pdp(row, gpm, loss) - row["psi"],
            "The nozzle pressure itself was left out. Without it water would only run out of the tip.",
            did="leave out the nozzle pressure",
            part="nozzle",
        ),
        Slip(
            "intake-subtracted",
            lambda row, gpm, loss: _pdp(row, gpm, loss) - row["intake"],
            "The intake pressure was taken away. That gives what the pump itself must add; the "
            "discharge gauge has to show all of it.",
            0.5,
            did="take the intake pressure away",
            part="intake",
        ),
        Slip(
            "allowance-on-top",
            lambda row, gpm, loss: _pdp(row, gpm, loss) + 25,
            "A general allowance for a master stream was put on top of this aerial's own tested loss. "
            "That counts one loss twice.",
            0.5,
            did="put a general allowance on top",
            part="rig",
        ),
        Slip(
            "handline-pressure",
            lambda row, gpm, loss: _pdp(row, gpm, loss) - row["psi"] + 50,
            "The usual pressure of a handline tip was put in. Start from the nozzle pressure that "
            "the question gives.",
            did="start from a handline's pressure",
            minor=True,
        ),
        Slip(
            "height-divided",
            lambda row, gpm, loss: _pdp(row, gpm, loss) + (1 / 0.434 - 0.434) * row["height"],
            "The height was divided by the figure. Each foot takes that part of a psi: multiply.",
            did="divide the height by the figure",
            minor=True,
        ),
        Slip(
            "intake-added",
            lambda row, gpm, loss: _pdp(row, gpm, loss) + row["intake"],
            "The intake pressure was added. It comes from the hydrant and is no loss: the "
            "discharge gauge shows what the sum of nozzle, height and losses is.",
            did="add the intake pressure",
            minor=True,
        ),
        Slip(
            "losses-of-all-lines",
            lambda row, gpm, loss: _pdp(row, gpm, loss) + loss * (row["lines"] - 1),
            "The loss was counted for each line. Water takes one of them: it counts once.",
            did="count the loss of each line",
            minor=True,
        ),
        Slip(
            "usual-pressure",
            lambda row, gpm, loss: _pdp(row, gpm, loss) - row["psi"] + 80,
            "The usual pressure of a large smooth-bore tip was put in. Start from the nozzle "
            "pressure that the question gives.",
            did="start from the usual pressure of a large tip",
            minor=True,
        ),
        Slip(
            "rig-upside-down",
            lambda row, gpm, loss: (
                _pdp(row, gpm, loss) - _rig_psi(row, gpm) + row["rig"] * (row["rig_at"] / gpm) ** 2
            ),
            "The two flows stand the wrong way up in the loss of the aerial. Less water than "
            "in the test loses less.",
            did="turn the ratio of the flows round",
            minor=True,
        ),
        Slip(
            "height-twice",
            lambda row, gpm, loss: _pdp(row, gpm, loss) + _height_psi(row),
            "The height was counted twice. It is lifted once, from pump to tip.",
            did="count the height twice",
            minor=True,
        ),
        Slip(
            "rig-times-hundreds",
            lambda row, gpm, loss: (
                _pdp(row, gpm, loss) - _rig_psi(row, gpm) + row["rig"] * gpm / 100
            ),
            "The loss of the aerial was multiplied by the hundreds of gpm. It holds for the "
            "flow of the test: bring it to yours with the square of the flows.",
            did="multiply the loss of the aerial by the hundreds",
            minor=True,
        ),
        Slip(
            "height-and-intake",
            lambda row, gpm, loss: _pdp(row, gpm, loss) - _height_psi(row) - row["intake"],
            "The height was left out and the intake taken away. The gauge shows the whole "
            "sum, height included.",
            did="leave the height out and take the intake off",
            minor=True,
        ),
    ),
    example="3 psi",
    first_step="Add up nozzle pressure, height, the loss on the aerial at your flow, and the hose.",
    reread=EXAMPLE,
)

# --- 4. how far from the hydrant --------------------------------------------------------------


def _hydrants(department):
    """Supply hose with a pumper that carries it, and hydrants that suit it."""
    rows = []
    for pumper in department.pumpers:
        floor = 20 if pumper.intake_floor is None else round(_in(pumper.intake_floor, "psi"))
        for kind in department.hose:
            c, whose = _coefficient(kind)
            if kind.use != "supply" or kind.id not in pumper.hose or c is None:
                continue
            rows += [
                {
                    "pumper": pumper.name,
                    "hose": kind.name,
                    "c": c,
                    "whose": whose,
                    "printed": min(
                        (
                            r.coefficient
                            for r in HOSE_COEFFICIENTS
                            if abs(r.diameter_in - _in(kind.diameter, "inch")) < 0.01
                        ),
                        default=c,
                    ),
                    "floor": floor,
                    "static": static,
                    "residual": residual,
                    "gpm": gpm,
                    "carried": _in(kind.carried, "foot"),
                }
                for static, residual in ((88, 63), (84, 57), (76, 48), (92, 71), (79, 55))
                for gpm in (850, 950, 1050, 1150)
            ]
    return tuple(rows)


def _lay_ft(row):
    return supply.relay_distance_ft(row["gpm"], row["residual"], row["floor"], row["c"])


def _spending(row, psi, c=None):
    """Feet of hose that use up so many psi, by our own formula."""
    return 100 * psi / ((c or row["c"]) * (row["gpm"] / 100) ** 2)


LAY = Question(
    id="flow-and-supply-q4",
    title="How far from the hydrant",
    variable="lay_length",
    kind="length",
    unit="foot",
    points=2,
    rows_from=_hydrants,
    keep=lambda row: 100 <= _lay_ft(row) <= row["carried"] and _quiet(LAY, row),
    ask=lambda row: (
        f"A hydrant stands at {row['static']} psi with nothing flowing; with {row['gpm']:,} gpm "
        f"flowing its gauge still holds {row['residual']} psi (residual). {row['pumper']} is fed from "
        f"it through one line of {row['hose']}, coefficient {row['c']:g} by {row['whose']} (psi for "
        f"100 ft at 100 gpm), and must keep {row['floor']} psi at its intake. How long may the line "
        "be on level ground at that flow, by friction alone? Answer in feet, within 1 percent."
    ),
    right=_lay_ft,
    slips=(
        Slip(
            "nothing-left",
            lambda row: _spending(row, row["residual"]),
            "All of the residual was spent on hose. Nothing would be left at the intake, and the "
            "pump would pull the main down.",
            did="spend all of the residual",
        ),
        Slip(
            "static-for-residual",
            lambda row: _spending(row, row["static"] - row["floor"]),
            "The static pressure was spent. It stands only while nothing flows: work from the gauge "
            "while water flows.",
            did="work from the static pressure",
        ),
        Slip(
            "drop-for-rest",
            lambda row: _spending(row, row["static"] - row["residual"]),
            "The drop of the hydrant was spent. That pressure is already gone in the main; spend "
            "what the gauge still holds, down to the intake's floor.",
            did="spend the drop of the hydrant",
        ),
        Slip(
            "floor-added",
            lambda row: _spending(row, row["residual"] + row["floor"]),
            "The intake's floor was added. It has to be kept, so it is taken away from what may be "
            "spent.",
            did="add the intake's floor",
        ),
        Slip(
            "floor-alone",
            lambda row: _spending(row, row["floor"]),
            "Only the intake's floor was spent. That is what must be left over; the rest of the "
            "residual is there for the hose.",
            did="spend only the intake's floor",
        ),
        Slip(
            "flow-not-squared",
            lambda row: 100 * (row["residual"] - row["floor"]) / (row["c"] * row["gpm"] / 100),
            "The flow was not squared, so the hose seems to lose far too little and the engine is "
            "put out of reach.",
            did="leave the flow unsquared",
        ),
        Slip(
            "flow-doubled",
            lambda row: 100 * (row["residual"] - row["floor"]) / (row["c"] * 2 * row["gpm"] / 100),
            "The flow was doubled instead of squared: hundreds of gpm times hundreds of gpm.",
            did="double the flow",
        ),
        Slip(
            "hundreds-for-feet",
            lambda row: _spending(row, row["residual"] - row["floor"]) / 100,
            "That is the number of hundred-foot lengths. In feet it is a hundred times as many.",
            0.5,
            did="give hundreds of feet",
        ),
        Slip(
            "printed-coefficient",
            lambda row: (
                _spending(row, row["residual"] - row["floor"], row["printed"])
                if row["printed"] != row["c"]
                else None
            ),
            "The printed coefficient was used. The department flow-tested its own hose: take its "
            "figure, it is given.",
            0.5,
            did="use the printed coefficient",
        ),
        Slip(
            "loss-of-a-hundred",
            lambda row: row["c"] * (row["gpm"] / 100) ** 2,
            "That is the loss of each hundred feet in psi, not a length. See how often it goes into "
            "the pressure that may be spent.",
            did="stop at the loss of a hundred feet",
        ),
        Slip(
            "coefficient-of-3-inch",
            lambda row: _spending(row, row["residual"] - row["floor"], 0.8),
            "The coefficient of 3-in hose was used. Take the one that the question gives for "
            "this hose.",
            did="take the coefficient of 3-in hose",
            minor=True,
        ),
        Slip(
            "coefficient-of-4-inch",
            lambda row: _spending(row, row["residual"] - row["floor"], 0.2),
            "The coefficient of 4-in hose was used. Take the one that the question gives for "
            "this hose.",
            did="take the coefficient of 4-in hose",
            minor=True,
        ),
        Slip(
            "multiplied",
            lambda row: (row["residual"] - row["floor"]) * row["c"] * (row["gpm"] / 100) ** 2,
            "What may be spent was multiplied by the loss. Find how often the loss of a "
            "hundred feet goes into it: divide.",
            did="multiply instead of dividing",
            minor=True,
        ),
        Slip(
            "multiplied-in-feet",
            lambda row: 100 * (row["residual"] - row["floor"]) * row["c"] * (row["gpm"] / 100) ** 2,
            "What may be spent was multiplied by the loss. Find how often the loss of a "
            "hundred feet goes into it: divide.",
            did="multiply instead of dividing",
            minor=True,
        ),
        Slip(
            "gpm-not-hundreds",
            lambda row: _lay_ft(row) / 10_000,
            "The flow was put in as gpm. The coefficient takes hundreds of gpm.",
            did="put the flow in as gpm",
            minor=True,
        ),
        Slip(
            "coefficient-forgotten",
            lambda row: _spending(row, row["residual"] - row["floor"], 1),
            "The coefficient was left out. Without it every hose would lose alike.",
            did="leave out the coefficient",
            minor=True,
        ),
        Slip(
            "static-whole",
            lambda row: _spending(row, row["static"]),
            "All of the static pressure was spent. It stands only while nothing flows, and "
            "the intake must keep its floor.",
            did="spend all of the static pressure",
            minor=True,
        ),
        Slip(
            "floor-off-the-drop",
            lambda row: (
                _spending(row, row["static"] - row["residual"] - row["floor"])
                if row["static"] - row["residual"] > row["floor"]
                else None
            ),
            "The floor was taken off the drop. What the gauge still holds, less the floor, "
            "may be spent.",
            did="take the floor off the drop",
            minor=True,
        ),
        Slip(
            "flow-forgotten",
            lambda row: (row["residual"] - row["floor"]) / row["c"],
            "The flow was left out. The coefficient is for a hundred gpm; more water loses "
            "more, with the square.",
            did="leave the flow out",
            minor=True,
        ),
        Slip(
            "gpm-not-squared",
            lambda row: 100 * (row["residual"] - row["floor"]) / (row["c"] * row["gpm"]),
            "The flow was put in as gpm and not squared. Hundreds of gpm, times themselves.",
            did="put in the gpm as they are",
            minor=True,
        ),
        Slip(
            "multiplied-not-squared",
            lambda row: 100 * (row["static"] - row["floor"]) / (row["c"] * row["gpm"] / 100),
            "The static pressure was spent, and the flow not squared. Work from the gauge "
            "while water flows, and square the hundreds.",
            did="spend the static and leave the flow unsquared",
            minor=True,
        ),
    ),
    example="2,000 ft",
    first_step="First find how many psi may be spent, then what a hundred feet of hose loses.",
    reread=EXAMPLE,
)

# --- 5. look-up: the marking of the hose ------------------------------------------------------

_BORROWED = "4-in hose lent by another department"


def _markings(department):
    """One or two kinds of hose in the lay from pump to aerial, and what their markings say."""
    marked = {kind.name: round(_in(kind.operating_pressure, "psi")) for kind in department.hose}
    table = "; ".join(f"{name}: {psi} psi" for name, psi in marked.items()) or "nothing entered"
    lays = [(name,) for name in marked] + list(combinations(marked, 2))
    lays += [(name, _BORROWED) for name in marked] + [(_BORROWED,)]
    return tuple(
        {
            "department": department.name,
            "table": table,
            "lay": " and then ".join(names),
            "wanted": wanted,
            "marks": [marked.get(name) for name in names],
            "others": [psi for name, psi in marked.items() if name not in names],
        }
        for names in lays
        if _BORROWED not in marked
        for wanted in (168, 212, 240)
    )


def _marked(row):
    return None if None in row["marks"] else float(min(row["marks"]))


def _another(row, pick):
    """A number of the table that is not the one asked for; None where there is none."""
    known = [psi for psi in row["marks"] if psi is not None]
    found = [psi for psi in pick(known, row["others"]) if psi != _marked(row)]
    return found[0] if found else None


def _of_all(row, make):
    """Something made of the markings of a lay of unlike hose."""
    known = row["marks"]
    return float(make(known)) if None not in known and len(set(known)) > 1 else None


MARKING = LookUp(
    id="flow-and-supply-q5",
    title="What the hose is marked for",
    variable="hose_marking",
    kind="pressure",
    unit="psi",
    points=2,
    rows_from=_markings,
    ask=lambda row: (
        f"Operating pressures on the hose list of {row['department']}: {row['table']}. The lay from "
        f"pump to aerial is {row['lay']}; the pump operator works out that {row['wanted']} psi are "
        "needed. By the markings: which pressure must the whole lay not go beyond? Answer in psi. If the list does not cover all of it, type: not entered."
    ),
    right=_marked,
    slips=(
        Slip(
            "stronger-hose",
            lambda row: _another(row, lambda known, _: [max(known)] if known else []),
            "That is the marking of only one part of the lay. Every length of it stands under the "
            "pressure of the pump, the weakest too.",
            0.0,
            did="read only one part of the lay",
        ),
        Slip(
            "other-hose",
            lambda row: _another(
                row, lambda known, others: [psi for psi in others if psi not in known]
            ),
            "That is the marking of a hose that is not in this lay. Read the line of the hose that "
            "lies on the ground.",
            0.0,
            did="read the line of another hose",
        ),
        Slip(
            "wanted-for-marked",
            lambda row: row["wanted"],
            "That is what the sum for the nozzle asks, not what the hose is marked for. Where they "
            "do not fit, flow or lay has to change.",
            0.0,
            did="give what the nozzle asks",
        ),
        Slip(
            "service-test",
            lambda row: round(1.1 * _marked(row), 1) if _marked(row) else None,
            "That is what hose is tested at, a tenth more. The test is done without people beside "
            "it; in work the marking holds.",
            0.25,
            did="give the pressure of the service test",
        ),
        Slip(
            "middle-of-both",
            lambda row: _of_all(row, lambda known: (min(known) + max(known)) / 2),
            "That lies between the markings. Pressure is the same all along the lay: the hose "
            "that is marked lowest decides.",
            did="take the middle of the markings",
            minor=True,
        ),
        Slip(
            "markings-added",
            lambda row: _of_all(row, sum),
            "The markings were added up. Pressure is the same all along the lay: the hose "
            "that is marked lowest decides.",
            did="add the markings",
            minor=True,
        ),
    ),
    not_covered=(
        "Read the list again, hose by hose. Only if every hose of the lay is in it is there a figure "
        "for the whole lay; a hose that is not in it has to be read itself, on its own marking."
    ),
    example="99 psi",
    first_step="Find each hose of the lay in the list, then think which of them gives way first.",
    reread=MARKS,
)

# --- 6. what limits ---------------------------------------------------------------------------


def _limit(row):
    """The only limit that is broken, "nothing", or None where the case is not plain."""
    model = chain.Chain(
        nozzle=_nozzle_at(row),
        elevation_psi=0.0,
        lay_loss=0.0,
        source=chain.Relay(held_psi=row["intake"], floor_psi=row["floor"]),
        rated_gpm=row["rated"],
        hose_limit_psi=row["marked"],
    )
    left = chain.margins(model, row["gpm"])
    names = {"source": "hydrant", "pump": "pump", "hose pressure": "hose"}
    clear = {"source": 5, "pump": 40, "hose pressure": 8}
    if any(abs(left[name]) < clear[name] for name in names):
        return None
    broken = [names[name] for name in names if left[name] < 0]
    return None if len(broken) > 1 else (broken or ["nothing"])[0]


def _nozzle_at(row):
    """All that the pump must give, as one opening that takes it at the flow."""
    return chain.Orifice(nozzles.orifice_constant(row["gpm"], row["psi"]))


def _cases(department):
    """Sums for the pump with pumpers and hose that the department has."""
    hoses = {h.id: h for h in department.hose}
    return tuple(
        {
            "pumper": pumper.name,
            "rated": round(_in(pumper.rated_flow, "gpm")),
            "at_200": round(pumps.capacity_gpm(_in(pumper.rated_flow, "gpm"), 200)),
            "at_250": round(pumps.capacity_gpm(_in(pumper.rated_flow, "gpm"), 250)),
            "floor": 20 if pumper.intake_floor is None else round(_in(pumper.intake_floor, "psi")),
            "hose": hoses[name].name,
            "marked": round(_in(hoses[name].operating_pressure, "psi")),
            "gpm": gpm,
            "psi": psi,
            "intake": intake,
        }
        for pumper in department.pumpers
        for name in pumper.hose
        if name in hoses
        for gpm in (700, 1000, 1200)
        for psi, intake in (
            (170, 45),
            (172, 12),
            (210, 60),
            (214, 68),
            (236, 26),
            (245, 38),
            (254, 33),
            (262, 41),
        )
    )


LIMITS = Choice(
    id="flow-and-supply-q6",
    title="What limits",
    variable="what_limits",
    points=1,
    rows_from=_cases,
    keep=lambda row: _limit(row) is not None,
    ask=lambda row: (
        f"{row['gpm']:,} gpm are wanted at the tip. The sum says {row['psi']} psi at the pump, and at "
        f"that flow the intake would stand at {row['intake']} psi. {row['pumper']}: rated "
        f"{row['rated']:,} gpm at 150 psi net, {row['at_200']:,} at 200, {row['at_250']:,} at 250; "
        f"its floor at the intake is {row['floor']} psi. The lay is of {row['hose']}, marked "
        f"{row['marked']} psi. Which of these stands in the way?"
    ),
    options=(
        Option(
            name="hose",
            text="The marking on the lay",
            reason="That is found by holding the pressure at the pump against the marking on the hose: it "
            "must not be the higher of the two.",
            right=lambda row: _limit(row) == "hose",
        ),
        Option(
            name="pump",
            text="The rating of the pump at that net pressure",
            reason="That is found with the net pressure, discharge less intake: the rating falls as it "
            "rises, and it has to cover the flow wanted.",
            right=lambda row: _limit(row) == "pump",
        ),
        Option(
            name="hydrant",
            text="The supply: too little is left at the intake",
            reason="That is found by holding the intake at that flow against the floor that the department "
            "works at.",
            right=lambda row: _limit(row) == "hydrant",
        ),
        Option(
            name="nothing",
            text="Nothing of the three, as far as these figures tell",
            reason="That holds only if marking, rating at net pressure and intake were each held against "
            "what is wanted, one by one.",
            right=lambda row: _limit(row) == "nothing",
        ),
    ),
    reread=LOSSES,
)

# --- 7. what comes in, not what flows ---------------------------------------------------------


def _more_in(row):
    return (row["gpm_b"] * row["in_b"] - row["gpm_a"] * row["in_a"]) / 10


def _beyond_band(row, gpm):
    """A slip's number; None where the band around the right one takes it in."""
    return gpm if abs(gpm / _more_in(row) - 1) > 0.12 else None


COMES_IN = Estimate(
    id="flow-and-supply-q7",
    title="What comes in",
    variable="more_water",
    kind="flow",
    unit="gpm",
    points=1,
    rows=tuple(
        {"gpm_a": a, "in_a": in_a, "gpm_b": b, "in_b": in_b}
        for a, b in ((1000, 700), (1060, 800), (940, 600), (1200, 800), (1000, 820), (900, 600))
        for in_a in (2, 3, 4)
        for in_b in (8, 9)
    ),
    ask=lambda row: (
        f"The large tip flows {row['gpm_a']:,} gpm, but seen from the yard only about "
        f"{row['in_a']} tenths of it go through the window; the rest runs down the wall. With the "
        f"smaller tip, {row['gpm_b']} gpm, about {row['in_b']} tenths would go in. About how many "
        "more gpm come into the rooms with the smaller tip? In your head, within 10 percent."
    ),
    keep=lambda row: _apart(COMES_IN, row),
    right=_more_in,
    band=0.10,
    slips=(
        Slip(
            "flows-compared",
            lambda row: row["gpm_a"] - row["gpm_b"],
            "The flows at the nozzles were compared. What runs down the wall puts out nothing: count "
            "only what goes in.",
            did="compare the flows at the nozzles",
        ),
        Slip(
            "large-tip-counted-whole",
            lambda row: row["gpm_a"] - row["gpm_b"] * row["in_b"] / 10,
            "All of the large tip's water was counted. Only its share through the window does any "
            "work.",
            did="count all of the large tip's water",
        ),
        Slip(
            "small-tip-counted-whole",
            lambda row: row["gpm_b"] - row["gpm_a"] * row["in_a"] / 10,
            "All of the smaller tip's water was counted. A part of it, too, misses the window.",
            0.5,
            did="count all of the smaller tip's water",
        ),
        Slip(
            "what-misses",
            lambda row: (
                row["gpm_a"] * (10 - row["in_a"]) / 10 - row["gpm_b"] * (10 - row["in_b"]) / 10
            ),
            "That is how much less runs down the outside. It is good to know, but asked is what "
            "comes into the rooms.",
            did="compare what misses",
        ),
        Slip(
            "all-that-comes-in",
            lambda row: row["gpm_b"] * row["in_b"] / 10,
            "That is all that comes in with the smaller tip. Asked is how much more than now.",
            0.5,
            did="stop at what comes in with the smaller tip",
        ),
        Slip(
            "shares-swapped",
            lambda row: row["gpm_a"] * row["in_b"] / 10 - row["gpm_b"] * row["in_a"] / 10,
            "The shares were put to the wrong tips. Read again which tip puts how much through the "
            "window.",
            did="swap the shares",
        ),
        Slip(
            "shares-added",
            lambda row: (row["gpm_a"] * row["in_a"] + row["gpm_b"] * row["in_b"]) / 10,
            "Both were added up. Only one of the two tips is on; asked is how much more the "
            "smaller one brings in.",
            did="add both",
            minor=True,
        ),
        Slip(
            "shares-of-the-small-tip",
            lambda row: _beyond_band(row, row["gpm_b"] * (row["in_b"] - row["in_a"]) / 10),
            "The shares were taken from each other and put to one flow. Each share belongs to "
            "the flow of its own tip.",
            did="put both shares to the smaller flow",
            minor=True,
        ),
        Slip(
            "shares-of-the-large-tip",
            lambda row: _beyond_band(row, row["gpm_a"] * (row["in_b"] - row["in_a"]) / 10),
            "The shares were taken from each other and put to one flow. Each share belongs to "
            "the flow of its own tip.",
            did="put both shares to the larger flow",
            minor=True,
        ),
        Slip(
            "large-tip-alone",
            lambda row: _beyond_band(row, row["gpm_a"] * row["in_a"] / 10),
            "That is what comes in now, with the large tip. Asked is how much more it would be.",
            0.5,
            did="give what comes in with the large tip",
            minor=True,
        ),
        Slip(
            "misses-less-comes-in",
            lambda row: _beyond_band(
                row, abs(row["gpm_a"] * (10 - row["in_a"]) - row["gpm_b"] * row["in_b"]) / 10
            ),
            "What runs down the wall was compared with what comes in. For both tips count "
            "what comes in.",
            did="compare what misses with what comes in",
            minor=True,
        ),
        Slip(
            "large-misses",
            lambda row: _beyond_band(row, row["gpm_a"] * (10 - row["in_a"]) / 10),
            "That is what runs down the wall from the large tip. Asked is how much more comes in.",
            did="give what the large tip wastes",
            minor=True,
        ),
        Slip(
            "small-misses",
            lambda row: _beyond_band(row, row["gpm_b"] * (10 - row["in_b"]) / 10),
            "That is what runs down the wall from the smaller tip. Asked is how much more "
            "comes in.",
            did="give what the smaller tip wastes",
            minor=True,
        ),
        Slip(
            "both-differences",
            lambda row: _beyond_band(
                row, (row["in_b"] - row["in_a"]) / 10 * (row["gpm_a"] - row["gpm_b"])
            ),
            "The differences were multiplied. Each share belongs to the flow of its own tip.",
            did="multiply the differences",
            minor=True,
        ),
        Slip(
            "shares-averaged",
            lambda row: _beyond_band(
                row, (row["in_a"] + row["in_b"]) / 20 * (row["gpm_a"] - row["gpm_b"])
            ),
            "The mean of the shares was put to the difference. Each share belongs to the flow "
            "of its own tip.",
            did="take the mean of the shares",
            minor=True,
        ),
    ),
    example="7 gpm",
    first_step="For each tip take its share through the window, then compare the two.",
    reread="Lesson 04, recap: water counts where it comes in.",
)

# --- 8. find the fault in a worked sum --------------------------------------------------------


def _parts(row):
    """What really belongs in each step, in psi."""
    height = elevation.elevation_pressure_psi(row["height"])
    rig = elevation.scaled_loss_psi(row["rig"], 1000, row["gpm"])
    lines = hose.friction_loss_psi(row["c"], row["gpm"] / 2, row["feet"])
    return {
        "height": height,
        "rig": rig,
        "hose": lines,
        "total": row["psi"] + height + rig + lines,
    }


def _shown(row):
    """What stands in each step: one of them is wrong."""
    shown, share = _parts(row), row["gpm"] / 1000
    each = row["gpm"] / 200
    shown["total"] = None
    shown.update({
        "ladder-length": {"height": 0.434 * row["out"]},
        "in-proportion": {"rig": row["rig"] * share},
        "not-split": {"hose": row["c"] * (2 * each) ** 2 * row["feet"] / 100},
        "not-squared": {"hose": row["c"] * each * row["feet"] / 100},
        "height-away": {},
    }[row["slip"]])  # fmt: skip
    height = -shown["height"] if row["slip"] == "height-away" else shown["height"]
    shown["total"] = row["psi"] + height + shown["rig"] + shown["hose"]
    return shown


_FAULTY = {
    "ladder-length": "height",
    "in-proportion": "rig",
    "not-split": "hose",
    "not-squared": "hose",
    "height-away": "total",
}


def _worked(row):
    shown, share = _shown(row), row["gpm"] / 1000
    slip, each = row["slip"], row["gpm"] / 200
    feet = row["out"] if slip == "ladder-length" else row["height"]
    square = "" if slip == "in-proportion" else " × " + f"{share:g}"
    flow = 2 * each if slip == "not-split" else each
    squared = "" if slip == "not-squared" else f" × {flow:g}"
    sign = "-" if slip == "height-away" else "+"
    return (
        ("nozzle", f"Nozzle pressure: {row['psi']} psi."),
        ("height", f"Height: {feet} ft × 0.434 = {_psi(shown['height'])}."),
        ("rig", f"Ladder: {row['rig']} × {share:g}{square} = {_psi(shown['rig'])}."),
        (
            "hose",
            f"Hose: {row['c']:g} × {flow:g}{squared} × {row['feet'] / 100:g} = "
            f"{_psi(shown['hose'])}.",
        ),
        (
            "total",
            f"Pump discharge pressure: {row['psi']} {sign} {shown['height']:.1f} + "
            f"{shown['rig']:.1f} + {shown['hose']:.1f} = {_psi(shown['total'])}.",
        ),
    )


# psi, gpm, feet of height, feet of ladder out, feet of each line
_DRILLS = (
    (80, 600, 62, 75, 200),
    (70, 560, 66, 80, 250),
    (75, 680, 71, 85, 150),
    (85, 620, 58, 72, 300),
)

FAULT = FindFault(
    id="flow-and-supply-q8",
    title="Find the fault",
    variable="fault",
    points=2,
    rows=tuple(
        {
            "psi": psi,
            "gpm": gpm,
            "height": height,
            "out": out,
            "rig": 50,
            "c": 0.8,
            "feet": feet,
            "slip": slip,
        }
        for psi, gpm, height, out, feet in _DRILLS
        for slip in _FAULTY
    ),
    ask=lambda row: (
        f"On the drill ground a tip at {row['psi']} psi flows {row['gpm']} gpm. {row['out']} ft of "
        f"ladder are out and the tip stands {row['height']} ft above the pump. Inlet and ladder "
        f"lost {row['rig']} psi at 1,000 gpm when tested. Two lines of 3-in hose, {row['feet']} ft "
        f"each, coefficient {row['c']:g}, share the flow. Somebody worked out the pump discharge "
        "pressure like this, and one step is wrong. Which, and how many psi belong there, if all "
        "above it stands? Within 1 percent."
    ),
    steps=_worked,
    fault=lambda row: _FAULTY[row["slip"]],
    stands=lambda row: _shown(row)[_FAULTY[row["slip"]]],
    number=Question(
        id="flow-and-supply-q8-number",
        variable="",
        points=1,
        ask=lambda row: "",
        kind="pressure",
        unit="psi",
        right=lambda row: _parts(row)[_FAULTY[row["slip"]]],
        slips=(
            Slip(
                "as-tested",
                lambda row: row["rig"] if row["slip"] == "in-proportion" else None,
                "That is the loss as tested, at another flow. Bring it to the flow of the question, "
                "with its square.",
                did="take the loss as tested",
            ),
            Slip(
                "loss-halved",
                lambda row: _shown(row)["hose"] / 2 if row["slip"] == "not-split" else None,
                "The loss was halved. Halve the flow instead, then square it: the loss falls to a "
                "quarter.",
                did="halve the loss",
            ),
            Slip(
                "one-line-for-all",
                lambda row: 4 * _parts(row)["hose"] if row["slip"] == "not-squared" else None,
                "All the flow was put through one line. The two lines share it.",
                did="put all the flow through one line",
            ),
            Slip(
                "height-left-out",
                lambda row: (
                    _parts(row)["total"] - 0.434 * row["height"]
                    if row["slip"] == "height-away"
                    else None
                ),
                "The height is missing now. It costs pressure, so it belongs in the sum.",
                did="leave the height out",
            ),
            Slip(
                "losses-added",
                lambda row: 2 * _parts(row)["hose"] if _FAULTY[row["slip"]] == "hose" else None,
                "The losses of both lines were added. Water takes one line or the other: the loss "
                "counts once.",
                did="add the losses of both lines",
                minor=True,
            ),
            Slip(
                "length-forgotten",
                lambda row: (
                    _parts(row)["hose"] * 100 / row["feet"]
                    if _FAULTY[row["slip"]] == "hose"
                    else None
                ),
                "That is the loss of the first hundred feet. Take it for every hundred feet of "
                "one line.",
                did="leave out the length",
                minor=True,
            ),
            Slip(
                "flow-doubled",
                lambda row: (
                    row["c"] * 2 * row["gpm"] / 200 * row["feet"] / 100
                    if _FAULTY[row["slip"]] == "hose"
                    else None
                ),
                "The flow was doubled. It belongs in as hundreds times hundreds.",
                did="double the flow",
                minor=True,
            ),
            Slip(
                "flow-not-squared",
                lambda row: (
                    row["c"] * row["gpm"] / 200 * row["feet"] / 100
                    if row["slip"] == "not-split"
                    else None
                ),
                "The flow was not squared. Halve it, then take it times itself.",
                did="leave the flow unsquared",
                minor=True,
            ),
            Slip(
                "psi-for-each-foot",
                lambda row: row["height"] if row["slip"] == "ladder-length" else None,
                "A whole psi was taken for each foot of height. The step itself shows how much a "
                "foot takes.",
                did="take a psi for each foot",
                minor=True,
            ),
            Slip(
                "half-a-psi-for-each-foot",
                lambda row: row["height"] / 2 if row["slip"] == "ladder-length" else None,
                "Half a psi was taken for each foot. Here the finer figure of the step was asked "
                "for.",
                0.5,
                did="take half a psi for each foot",
                minor=True,
            ),
            Slip(
                "feet-in-the-sum",
                lambda row: (
                    row["psi"] + row["height"] + _parts(row)["rig"] + _parts(row)["hose"]
                    if row["slip"] == "height-away"
                    else None
                ),
                "The feet were put into the sum. The psi of the second step belong there.",
                did="add feet as psi",
                minor=True,
            ),
        ),
        example="999 psi",
        first_step="Work that step anew, from what the question gives.",
        reread=EXAMPLE,
    ),
    reread=EXAMPLE,
)

PAPER = Paper(
    name="flow-and-supply",
    title="Flow and supply of the stream",
    version=VERSION,
    minutes=25,
    situation=(
        "Larkmoor Fire Department, 03:10. The upper storeys of the Weir Street Mill burn and an "
        "aerial is to put a master stream through a window. An engine in the yard feeds it from a "
        "hydrant on Weir Street. You stand at the pump: size the flow, add up what the pump has to "
        "give, and see what stands in the way. Charge lines slowly, keep people clear of charged "
        "couplings, and keep everybody off and from under the ladder while it fills. (Department "
        "and mill are invented.)"
    ),
    questions=(FLOW, LOSS, PDP, LAY, MARKING, LIMITS, COMES_IN, FAULT),
)
