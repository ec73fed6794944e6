"""Questions of the assignment on ground, lines and collapse zone: what the spot itself forbids.

Right answers come from `aerialstream`; each slip has its own wrong formula. The pressure that the
building code presumes for a soil is used as a flag for bigger pads or another spot, never as leave.
"""

from math import atan, cos, degrees, pi, radians, sin, sqrt, tan

from aerialstream._core import aerials, clearances, ground
from gradekit.questions import (
    Carried,
    Choice,
    LookUp,
    Option,
    Ordering,
    Paper,
    Question,
    Slip,
    set_up_rules,
)

VERSION = "2026.1"
WORKED = "Lesson 02, worked example, has the same steps."
RECAP = "Lesson 02, recap and cautions."

# --- 1. pressure under a pad ---------------------------------------------------------------------

# Loads in lb, each with a soil and what the building code's table presumes for it, in psf.
_LOADS = (
    (15_900, "clay", 1500),
    (18_400, "silty sand", 2000),
    (20_600, "clay", 1500),
    (22_300, "silty sand", 2000),
    (24_700, "sandy gravel", 3000),
    (26_800, "silty sand", 2000),
    (29_100, "sandy gravel", 3000),
)
# A pad of 24 in is left out as such: 2 ft squared and 2 ft doubled are one number.
_PLATES_IN = (0, 8)  # how much larger than the rig's own pad, each way


def _pad_rows(department):
    return tuple(
        {
            "rig": device.name,
            "side": round(device.stabilisers.pad.to("inch").magnitude, 1) + more,
            "load": load,
            "soil": soil,
            "psf": psf,
        }
        for device in department.apparatus
        if device.stabilisers is not None and device.stabilisers.pad is not None
        for more in _PLATES_IN
        for load, soil, psf in _LOADS
    )


PRESSURE = Question(
    id="ground-lines-and-zone-q1",
    title="Under the pad",
    variable="pad_pressure",
    kind="pressure",
    unit="psf",
    points=2,
    rows_from=_pad_rows,
    keep=lambda row: (
        PRESSURE.distinct(row)
        and PAD.distinct(row)
        and PRESSURE.value(row) > 1.2 * row["psf"]  # else no larger pad is asked for
    ),
    ask=lambda row: (
        f"{row['rig']} takes the load on its stabilisers. The most loaded one carries "
        f"{row['load']:,} lb. It stands on a square pad, {row['side']:g} in on a side, that "
        "presses evenly. "
        "What is the pressure under the pad? Answer in pounds per square foot (psf), within "
        "1 percent."
    ),
    right=lambda row: ground.psf(ground.pad_pressure_psi(row["load"], row["side"] ** 2)),
    slips=(
        Slip(
            "twelve-for-144",
            lambda row: 12 * row["load"] / row["side"] ** 2,
            "Pounds per square inch were multiplied by 12. A square foot is twelve inches each way: "
            "144 square inches.",
        ),
        Slip(
            "side-not-squared",
            lambda row: row["load"] / (row["side"] / 12),
            "The load was divided by the pad's side. It rests on the pad's area: side times side.",
        ),
        Slip(
            "round-pad",
            lambda row: row["load"] / (pi / 4 * (row["side"] / 12) ** 2),
            "The area of a round pad was used. This one is square: side times side.",
            0.5,
        ),
        Slip(
            "shared-by-four",
            lambda row: row["load"] / (row["side"] / 12) ** 2 / 4,
            "The load was shared among four pads. It is the load on this one pad already; with the "
            "ladder over one side, one stabiliser carries far more than its share.",
        ),
        Slip(
            "times-the-area",
            lambda row: row["load"] * (row["side"] / 12) ** 2,
            "The load was multiplied by the area. Pressure is load divided by area: a bigger pad "
            "presses less.",
        ),
        Slip(
            "side-doubled",
            lambda row: row["load"] / (2 * row["side"] / 12),
            "The side was doubled instead of squared. Area is side times side.",
        ),
        Slip(
            "the-load-itself",
            lambda row: row["load"],
            "That is the load in pounds. What the ground feels is the load on each square foot: "
            "divide by the pad's area.",
        ),
        Slip(
            "ten-inches-to-the-foot",
            lambda row: row["load"] / (row["side"] / 10) ** 2,
            "Ten inches were taken to the foot. It has twelve.",
            did="take ten inches to the foot",
            minor=True,
        ),
        Slip(
            "edge-for-area",
            lambda row: row["load"] / (4 * row["side"] / 12),
            "The load was divided by the way round the pad. It rests on the area: side times side.",
            did="divide by the way round the pad",
            minor=True,
        ),
        Slip(
            "side-in-inches",
            lambda row: row["load"] / row["side"],
            "The load was divided by the side in inches. It rests on the area, in square feet.",
            did="divide by the side in inches",
            minor=True,
        ),
        Slip(
            "shared-by-two",
            lambda row: row["load"] / (row["side"] / 12) ** 2 / 2,
            "The load was shared by two pads. It is the load on this one.",
            did="share the load by two",
            minor=True,
        ),
        Slip(
            "area-over-load",
            lambda row: (row["side"] / 12) ** 2 / row["load"],
            "The area was divided by the load. Pressure is load divided by area.",
            did="turn it round",
            minor=True,
        ),
        Slip(
            "area-in-square-feet-only",
            lambda row: (row["side"] / 12) ** 2,
            "That is the area of the pad. The load goes over it.",
            did="stop at the area",
            minor=True,
        ),
        Slip(
            "side-in-whole-feet",
            lambda row: row["load"] / round(row["side"] / 12) ** 2,
            "The side was rounded to whole feet first. Squaring doubles what rounding was off.",
            did="round the side to whole feet",
            minor=True,
        ),
        Slip(
            "side-to-a-tenth",
            lambda row: row["load"] / (round(row["side"] / 12, 1)) ** 2,
            "The side was rounded to a tenth of a foot before it was squared. Squaring "
            "doubles what rounding was off.",
            0.5,
            did="round the side first",
            minor=True,
        ),
    ),
    example="88 psf",
    first_step="First find the pad's area in square feet.",
    reread=WORKED,
)

# --- 2. a larger pad, from one's own pressure ----------------------------------------------------


def _pad_side_in(row, psf):
    return ground.pad_side_in(psf * row["side"] ** 2 / 144, row["psf"])


PAD = Carried(
    id="ground-lines-and-zone-q2",
    title="A larger pad",
    variable="pad_side",
    kind="length",
    unit="inch",
    points=2,
    same_row_as=PRESSURE,
    carries=(PRESSURE,),
    ask=lambda row: (
        f"The spot is unpaved {row['soil']}. The building code's table presumes {row['psf']:,} psf "
        "for that under a foundation. Take it as a flag that asks for bigger pads or another spot, "
        "not as leave to set up. With your pressure from question 1: how long must the side of a "
        "square pad be, to bring this load down to that? Answer in inches, within 1 percent."
    ),
    right=_pad_side_in,
    slips=(
        Slip(
            "side-with-the-pressure",
            lambda row, psf: row["side"] * psf / row["psf"],
            "The side was made as many times longer as the pressure is too high. It is the area "
            "that must grow so: the side grows with the root.",
            did="lengthen the side as many times as the pressure is too high",
        ),
        Slip(
            "upside-down",
            lambda row, psf: row["side"] * sqrt(row["psf"] / psf),
            "The two pressures stand the wrong way up: that pad is smaller than the one you have, "
            "and presses harder.",
        ),
        Slip(
            "area-in-square-feet",
            lambda row, psf: psf * (row["side"] / 12) ** 2 / row["psf"],
            "That is the area in square feet, not the side. Take its root, and make inches of it.",
            did="stop at the area",
        ),
        Slip(
            "area-in-square-inches",
            lambda row, psf: psf * row["side"] ** 2 / row["psf"],
            "That is the area in square inches. The side is its root.",
            0.5,
        ),
        Slip(
            "root-forgotten",
            lambda row, psf: 12 * psf * (row["side"] / 12) ** 2 / row["psf"],
            "The area in square feet was multiplied by 12. Take its root first: that is the side in "
            "feet.",
        ),
        Slip(
            "ten-inches-to-the-foot",
            lambda row, psf: 10 * sqrt(row["load"] / row["psf"]),
            "Ten inches were taken to the foot. It has twelve.",
            did="take ten inches to the foot",
            minor=True,
        ),
        Slip(
            "side-kept",
            lambda row, psf: row["side"],
            "That is the pad as it is. Its pressure is beyond the figure: a larger one is "
            "asked for.",
            did="leave the pad as it is",
            minor=True,
        ),
        Slip(
            "ratio-alone",
            lambda row, psf: psf / row["psf"],
            "That is how many times larger the area must be. The side grows with the root of it.",
            did="stop at the ratio",
            minor=True,
        ),
        Slip(
            "root-of-ratio-alone",
            lambda row, psf: sqrt(psf / row["psf"]),
            "That is how many times longer the side must be. Take it times the side of the pad.",
            did="stop at the root of the ratio",
            minor=True,
        ),
        Slip(
            "round-pad",
            lambda row, psf: 12 * sqrt(4 / pi * row["load"] / row["psf"]),
            "That would be the width of a round pad. A square one was asked for.",
            did="make it round",
            minor=True,
        ),
        Slip(
            "twelve-for-144",
            lambda row, psf: sqrt(12 * row["load"] / row["psf"]),
            "The area was multiplied by twelve. A square foot is twelve times twelve square "
            "inches.",
            did="multiply the area by twelve",
            minor=True,
        ),
        Slip(
            "side-of-a-quarter",
            lambda row, psf: 6 * sqrt(row["load"] / row["psf"]),
            "That is half the side. The whole side of the pad was asked for.",
            did="halve the side",
            minor=True,
        ),
    ),
    example="777 in",
    first_step="First find how many times larger the area must be.",
    reread=WORKED,
)

# --- 3. percent and degrees ----------------------------------------------------------------------

_PLACES = ("the cold store's yard", "the mill's yard", "a side street")

SLOPE = Question(
    id="ground-lines-and-zone-q3",
    title="Percent and degrees",
    variable="slope",
    kind="angle",
    unit="degree",
    points=2,
    rows=tuple(
        {"where": _PLACES[n % 3], "percent": percent}
        for n, percent in enumerate((4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 15, 18))
    ),
    keep=lambda row: SLOPE.distinct(row),
    tolerance_words="within 0.1 degree",
    allow=0.1,
    ask=lambda row: (
        f"The plan says that {row['where']} falls {row['percent']} percent where the rig would "
        "stand. The indicator on the rig and the manual speak of degrees. How many degrees is that? "
        "Answer within 0.1 degree."
    ),
    right=lambda row: ground.angle_of_grade_deg(row["percent"]),
    slips=(
        Slip(
            "percent-as-degrees",
            lambda row: row["percent"],
            "Percent were read as degrees. Percent is feet of fall for a hundred feet along, and "
            "that makes fewer degrees; mixed up, no limit means anything.",
        ),
        Slip(
            "share-of-ninety",
            lambda row: 0.9 * row["percent"],
            "The percent were taken of 90 degrees. A hundred percent is as far down as along: "
            "a slope of half a right angle.",
        ),
        Slip(
            "share-of-forty-five",
            lambda row: 0.45 * row["percent"],
            "The percent were taken of 45 degrees. That is right at both ends only; gentle slopes "
            "have more degrees than that.",
            0.5,
        ),
        Slip(
            "degrees-to-percent",
            lambda row: 100 * tan(radians(row["percent"])),
            "The sum ran the other way, from degrees to percent. Take the angle whose tangent is "
            "the fall over the length.",
        ),
        Slip(
            "hundred-forgotten",
            lambda row: degrees(atan(row["percent"])),
            "The percent were not divided by a hundred first. So steep a yard would be a wall.",
        ),
        Slip(
            "tangent-forward",
            lambda row: tan(radians(row["percent"])),
            "The sum ran the other way: that is the tangent of so many degrees. Take the "
            "angle whose tangent the percent are.",
            did="take the tangent of the percent",
            minor=True,
        ),
        Slip(
            "fraction-or-radians",
            lambda row: row["percent"] / 100,
            "That is the fall of each foot, or the angle in radians. Neither is degrees.",
            0.5,
            did="stop at the fall of each foot",
            minor=True,
        ),
        Slip(
            "half-the-percent",
            lambda row: row["percent"] / 2,
            "Half the percent is a rough rule that reads low. The angle whose tangent it is "
            "was asked for.",
            0.5,
            did="halve the percent",
            minor=True,
        ),
        Slip(
            "share-of-a-turn",
            lambda row: 3.6 * row["percent"],
            "The percent were taken of a whole turn. A hundred percent is as far down as ahead.",
            did="take a share of a whole turn",
            minor=True,
        ),
        Slip(
            "from-upright",
            lambda row: 90 - degrees(atan(row["percent"] / 100)),
            "That is the angle from upright. A slope is counted from level.",
            did="count from upright",
            minor=True,
        ),
        Slip(
            "share-of-one-eighty",
            lambda row: 1.8 * row["percent"],
            "The percent were taken of a half turn. A hundred percent is as far down as ahead.",
            did="take a share of a half turn",
            minor=True,
        ),
        Slip(
            "a-tenth",
            lambda row: row["percent"] / 10,
            "That is only a tenth of the percent. The angle whose tangent it is was asked for.",
            did="take a tenth",
            minor=True,
        ),
    ),
    example="66 deg",
    first_step="First divide the percent by a hundred: that is the tangent.",
    reread=WORKED,
)

# --- 4. the department's own entry ---------------------------------------------------------------


def _entry(device):
    return device.manual_conditions


def _number(quantity, unit):
    return None if quantity is None else round(quantity.to(unit).magnitude, 2)


def _slope_of(device):
    return _number(_entry(device) and _entry(device).slope_up_to, "degree")


def _entered(device):
    """What the department entered for a device, as a line of a table."""
    entry = _entry(device)
    told = []
    if entry is not None:
        wind = _number(entry.wind_up_to, "mile/hour")
        lowest = _number(entry.elevation_at_least, "degree")
        slope = _slope_of(device)
        told = [
            *([f"wind up to {wind:g} mph"] if wind is not None else []),
            *([f"slope up to {slope:g} deg"] if slope is not None else []),
            *([f"elevation at least {lowest:g} deg"] if lowest is not None else []),
        ]
    return f"{device.name}: {', '.join(told) or 'nothing entered'}"


def _slope_rows(department):
    rigs = department.apparatus
    return tuple(
        {
            "rig": device.name,
            "table": "; ".join(_entered(rig) for rig in rigs),
            "shown": shown,
            "slope": _slope_of(device),
            "other": next(
                (_slope_of(rig) for rig in rigs if _slope_of(rig) not in (None, _slope_of(device))),
                None,
            ),
            "wind": _number(_entry(device) and _entry(device).wind_up_to, "mile/hour"),
            "lowest": _number(_entry(device) and _entry(device).elevation_at_least, "degree"),
        }
        for device in rigs
        for shown in (1.5, 2, 2.5, 3)
    )


ENTRY = LookUp(
    id="ground-lines-and-zone-q4",
    title="What is entered",
    variable="slope_limit",
    kind="angle",
    unit="degree",
    points=2,
    rows_from=_slope_rows,
    ask=lambda row: (
        f"Your department's entries from its operator's manuals read: {row['table']}. You set up "
        f"{row['rig']}; its own indicator shows {row['shown']:g} deg. What is the most slope that "
        "is entered for it? If nothing is entered for it, type: not entered."
    ),
    right=lambda row: row["slope"],
    slips=(
        Slip(
            "another-rig",
            lambda row: row["other"],
            "That number belongs to another rig. Each device has its own frame, weight and "
            "stabilisers, so its own limit.",
            0.0,
        ),
        Slip(
            "wind-for-slope",
            lambda row: row["wind"],
            "That is the number for the wind. Read on in the line to the one for the slope.",
            0.0,
        ),
        Slip(
            "elevation-for-slope",
            lambda row: None if row["lowest"] is None else abs(row["lowest"]),
            "That is how low the ladder may stand, not how much the ground may slope.",
            0.0,
        ),
        Slip(
            "what-the-rig-shows",
            lambda row: row["shown"],
            "That is the slope that the rig has now. It is held against the entry; it is not the "
            "entry.",
            0.0,
        ),
        Slip(
            "none-allowed",
            lambda row: 0 if row["slope"] is None else None,
            "Nothing entered does not mean that no slope is allowed, nor that any is: it "
            "means that the kit does not know. Ask the operator's manual.",
            0.0,
            did="read nothing entered as none allowed",
            minor=True,
        ),
    ),
    not_covered=(
        "Find the line that begins with your rig's name. Only what stands in that line counts; where "
        "it holds no slope, the operator's manual is asked before the rig is used there."
    ),
    example="66 deg",
    first_step="Find the line of your own rig.",
    reread=RECAP,
)

# --- 5. power lines ------------------------------------------------------------------------------

_TABLE_A = ((50, 10), (200, 15), (350, 20), (500, 25), (750, 35), (1000, 45))


def _row_of_table(kv):
    return next(n for n, (up_to, _) in enumerate(_TABLE_A) if kv <= up_to)


def _by_table_ft(row):
    return _TABLE_A[_row_of_table(row["kv"])][1]


def _by_the_inch_ft(row):
    return 10 + 0.4 * row["kv"] / 12


def _row_before_ft(row):
    """The row above the right one; None where that is the 10 ft of another slip."""
    place = _row_of_table(row["kv"])
    return _TABLE_A[place - 1][1] if place > 1 else None


def _row_after_ft(row):
    """The row below the right one; None after the last."""
    place = _row_of_table(row["kv"])
    return _TABLE_A[place + 1][1] if place + 1 < len(_TABLE_A) else None


LINES = Question(
    id="ground-lines-and-zone-q5",
    title="Lines overhead",
    variable="line_clearance",
    kind="length",
    unit="foot",
    points=2,
    rows=tuple(
        {"kv": kv}
        for kv in (69, 100, 115, 132, 138, 161, 175, 190, 220, 230, 250, 275, 320, 400, 550, 765)
    ),
    keep=lambda row: LINES.distinct(row),
    ask=lambda row: (
        f"The utility says that the line beside the spot carries {row['kv']} kV. Two printed rules "
        "say how far ladder and tip keep away at the least. The crane rule's Table A: up to 50 kV "
        "10 ft, to 200 kV 15 ft, to 350 kV 20 ft, to 500 kV 25 ft, to 750 kV 35 ft, to 1,000 kV "
        "45 ft. A firefighters' rule, read the strict way: 10 ft, and above 50 kV 0.4 in more for "
        "each kV of the whole voltage. You keep whichever is farther. How far? Answer in feet, "
        "within 1 percent."
    ),
    right=lambda row: clearances.line_clearance_ft(row["kv"]),
    slips=(
        Slip(
            "ten-feet",
            lambda row: 10,
            "10 ft is for lines of the lowest step only. At a higher voltage current jumps farther, "
            "and lines sway.",
        ),
        Slip(
            "the-nearer-rule",
            lambda row: min(_by_table_ft(row), _by_the_inch_ft(row)),
            "That is the nearer of the two rules. Where two printed distances differ, keep the "
            "farther one.",
            0.5,
        ),
        Slip(
            "inches-as-feet",
            lambda row: 10 + 0.4 * row["kv"],
            "The inches for each kV were added as feet. Divide them by twelve before you add.",
        ),
        Slip(
            "only-above-fifty",
            lambda row: 10 + 0.4 * (row["kv"] - 50) / 12,
            "The kilovolts were counted from the lowest step only, and the table was left out. The "
            "strict way counts all of them; then the farther of both rules is kept.",
        ),
        Slip(
            "rules-added",
            lambda row: _by_table_ft(row) + 0.4 * row["kv"] / 12,
            "The inches were put on top of Table A. They belong to the 10 ft of the other rule: "
            "work out both, then keep the farther.",
        ),
        Slip(
            "addition-alone",
            lambda row: 0.4 * row["kv"] / 12,
            "That is what is added for the voltage. The 10 ft that it is added to are missing.",
        ),
        Slip(
            "a-step-too-low",
            _row_before_ft,
            "That is the row before. A row holds up to its voltage; above it the next one begins.",
        ),
        Slip(
            "handbook-habit",
            lambda row: 50,
            "50 ft is a handbook's habit above the lowest step. It is farther than both rules here, "
            "and nobody minds more distance; but the two rules were asked.",
            0.5,
        ),
        Slip(
            "a-step-too-far",
            lambda row: _row_after_ft(row),
            "That is the row after. A row holds up to its voltage, the voltage itself "
            "included. More distance harms nobody, but read the table as printed.",
            0.5,
            did="read the row after",
            minor=True,
        ),
        Slip(
            "both-in-full",
            lambda row: _by_table_ft(row) + _by_the_inch_ft(row),
            "Both distances were added up. Work out both, then keep the farther one.",
            did="add both distances",
            minor=True,
        ),
        Slip(
            "ten-inches-to-the-foot",
            lambda row: 10 + 0.4 * row["kv"] / 10,
            "Ten inches were taken to the foot. It has twelve.",
            did="take ten inches to the foot",
            minor=True,
        ),
        Slip(
            "kv-as-feet",
            lambda row: 0.4 * row["kv"],
            "The inches were taken as feet, and the first 10 ft are missing. Divide by "
            "twelve, then add.",
            did="take the inches as feet",
            minor=True,
        ),
        Slip(
            "mean-of-both",
            lambda row: (_by_table_ft(row) + _by_the_inch_ft(row)) / 2,
            "The mean of both rules was taken. Where two printed distances differ, keep the "
            "farther one.",
            did="take the mean",
            minor=True,
        ),
        Slip(
            "an-inch-for-each",
            lambda row: 10 + row["kv"] / 12,
            "A whole inch was added for each kV. Read the figure of the rule once more.",
            did="add a whole inch for each",
            minor=True,
        ),
        Slip(
            "four-inches-for-each",
            lambda row: 10 + 4 * row["kv"] / 12,
            "Four inches were added for each kV: mind the decimal point.",
            did="misplace the decimal point",
            minor=True,
        ),
        Slip(
            "inches-once",
            lambda row: 10.4,
            "The 0.4 was added once. It counts for each kV, in inches.",
            did="add the 0.4 once",
            minor=True,
        ),
    ),
    example="999 ft",
    first_step="First read the table, then work out the other rule.",
    reread=RECAP,
)

# --- 6. what the crew cannot settle itself ---------------------------------------------------------

FINDS = Choice(
    id="ground-lines-and-zone-q6",
    title="What you find on the walk",
    variable="find",
    points=2,
    rows=(
        {
            "rig": "Tower 3",
            "hollow": "A covered wheel pit under the left rear pad",
            "hot": "Asphalt that has lain in the sun all day",
            "crust": "A frozen lawn, hard as stone on top, under the right pads",
            "line": "A line on poles along the yard; nobody here knows its voltage",
        },
        {
            "rig": "Ladder 9",
            "hollow": "A culvert under the car park, below the front pads",
            "hot": "A car park laid with asphalt, soft at noon",
            "crust": "Frozen fill beside the new kerb, under the right pads",
            "line": "A wire above the front bumper, to a house with no lights on",
        },
        {
            "rig": "Platform 2",
            "hollow": "A light shaft with a grating over a cellar, below one pad",
            "hot": "Blacktop near the burning wall, warm to the hand",
            "crust": "Mud with a dry, hard skin, under the left pads",
            "line": "A line over the turn of the ladder that somebody says is dead",
        },
    ),
    ask=lambda row: (
        f"Walking the spot for {row['rig']} you note four things. Three of them the crew can deal "
        "with, by plates or by a few yards. Which one needs an answer from somebody else before "
        "rig, ladder or stream comes near?"
    ),
    options=(
        Option(
            name="line",
            text=lambda row: row["line"],
            reason="Take it as live. No distance can be read off a table for it: the utility says "
            "what it carries, or shuts it off and grounds it. Until then nothing goes near.",
            right=True,
        ),
        Option(
            name="hollow",
            text=lambda row: row["hollow"],
            reason="The crew shifts the spot: no wheel and no pad over a hollow. Plates do not help, "
            "for nobody built its cover for a stabiliser.",
        ),
        Option(
            name="hot-asphalt",
            text=lambda row: row["hot"],
            reason="Hot asphalt lets a pad sink slowly. The crew lays larger plates and sets somebody "
            "to watch each pad, or takes another spot.",
        ),
        Option(
            name="crust",
            text=lambda row: row["crust"],
            reason="A crust carries until it breaks, and then it drops all at once. The crew counts it "
            "as the soft ground below it and shifts.",
        ),
    ),
    reread=RECAP,
)

# --- 7. collapse zone, for the tip as well ---------------------------------------------------------


def _out_ft(row):
    return aerials.tip_position_ft(0.0, 0.0, row["out"], row["deg"])[0]


def _top_ft(row):
    return row["roof"] + row["parapet"]


def _own_out_ft(row):
    return row["out"] * cos(radians(row["deg"]))


ZONE = Question(
    id="ground-lines-and-zone-q7",
    title="Tip and turntable",
    variable="turntable_to_wall",
    kind="length",
    unit="foot",
    points=2,
    rows_from=lambda department: tuple(
        {"rig": device.name, "roof": roof, "parapet": parapet, "out": out, "deg": deg}
        for device in department.apparatus
        if device.kind.endswith("ladder")
        for roof, parapet in ((13, 3), (18, 3), (22, 4), (28, 3), (34, 4))
        for out, deg in ((45, 20), (50, 35), (55, 40), (60, 50), (65, 35))
        if device.extension.least.to("foot").magnitude
        <= out
        <= 0.9 * device.extension.most.to("foot").magnitude
    ),
    keep=lambda row: ZONE.distinct(row),
    ask=lambda row: (
        f"The wall is {row['roof']} ft to the roof's edge; its parapet stands {row['parapet']} ft "
        "above that. Command sets the collapse zone at one and a half times the wall's height. "
        f"{row['rig']} is to work straight at the wall with {row['out']} ft of ladder out at "
        f"{row['deg']} degrees; take its heel pin to be at the turntable's centre. How far from the "
        "wall must the turntable stand at the least, so that nozzle and tip are outside the zone "
        "too? Answer in feet, within 1 percent."
    ),
    right=lambda row: clearances.collapse_zone_ft(_top_ft(row), 1.5) + _out_ft(row),
    angles=("deg",),
    slips=(
        Slip(
            "only-the-truck",
            lambda row: 1.5 * _top_ft(row),
            "That keeps the truck out and leaves the tip inside: a wall that falls outward clips "
            "it. Check both distances.",
        ),
        Slip(
            "parapet-forgotten",
            lambda row: 1.5 * row["roof"] + _own_out_ft(row),
            "The zone was taken from the roof's edge. The parapet falls too: measure to its top.",
            0.5,
        ),
        Slip(
            "factor-forgotten",
            lambda row: _top_ft(row) + _own_out_ft(row),
            "The zone was made as deep as the wall is high. Command set more than that, and one zone "
            "counts for every unit.",
            0.5,
        ),
        Slip(
            "twice-the-height",
            lambda row: 2 * _top_ft(row) + _own_out_ft(row),
            "Twice the height was used. Depending on size-up that is a rule too, but command set "
            "another: all units must have one and the same zone.",
            0.5,
        ),
        Slip(
            "length-as-reach",
            lambda row: 1.5 * _top_ft(row) + row["out"],
            "The whole length was taken as reach. A raised ladder does not come out that far.",
            0.5,
        ),
        Slip(
            "sine-for-cosine",
            lambda row: 1.5 * _top_ft(row) + row["out"] * sin(radians(row["deg"])),
            "The sine gives how high the ladder rises. How far out it comes takes the cosine.",
        ),
        Slip(
            "zone-forgotten",
            _own_out_ft,
            "That is how far out the tip is, so the tip would touch the wall. The zone comes on top "
            "of it.",
        ),
        Slip(
            "reach-taken-off",
            lambda row: abs(1.5 * _top_ft(row) - _own_out_ft(row)),
            "The ladder's reach was taken off the zone. The tip goes toward the wall: the turntable "
            "must stand that much farther back.",
        ),
        Slip(
            "reach-multiplied-too",
            lambda row: 1.5 * (_top_ft(row) + _own_out_ft(row)),
            "The factor was put on the reach as well. It belongs to the wall's height alone.",
        ),
        Slip(
            "parapet-after-the-factor",
            lambda row: 1.5 * row["roof"] + row["parapet"] + _own_out_ft(row),
            "The parapet was added after the factor. The wall that falls reaches to the top "
            "of it: the factor takes it in.",
            did="add the parapet after the factor",
            minor=True,
        ),
        Slip(
            "factor-on-the-parapet",
            lambda row: row["roof"] + 1.5 * row["parapet"] + _own_out_ft(row),
            "The factor was put on the parapet alone. It belongs to the whole wall, up to the "
            "top of the parapet.",
            did="put the factor on the parapet",
            minor=True,
        ),
        Slip(
            "radians-without-sign",
            lambda row: (
                1.5 * _top_ft(row) + row["out"] * abs(cos(row["deg"]))
                if cos(row["deg"]) < 0
                else None
            ),
            "The calculator stood on radians. Set it to degrees before you trust a number on "
            "the fireground.",
            did="leave the calculator on radians",
            minor=True,
        ),
        Slip(
            "tangent",
            lambda row: 1.5 * _top_ft(row) + row["out"] * tan(radians(row["deg"])),
            "The tangent was used. How far out the ladder comes takes the cosine.",
            did="take the tangent",
            minor=True,
        ),
        Slip(
            "half-for-one-and-a-half",
            lambda row: 0.5 * _top_ft(row) + _own_out_ft(row),
            "Half the wall was taken for the zone. One and a half times is the whole wall and "
            "its half.",
            did="take half the wall",
            minor=True,
        ),
        Slip(
            "factor-added",
            lambda row: _top_ft(row) + 1.5 + _own_out_ft(row),
            "One and a half feet were added. One and a half times the wall was ordered: multiply.",
            did="add the factor",
            minor=True,
        ),
        Slip(
            "parapet-taken-off",
            lambda row: 1.5 * (row["roof"] - row["parapet"]) + _own_out_ft(row),
            "The parapet was taken off the wall. It stands on top of the roof's edge: add it.",
            did="take the parapet off",
            minor=True,
        ),
        Slip(
            "parapet-and-factor-forgotten",
            lambda row: row["roof"] + _own_out_ft(row),
            "The wall was counted to the roof's edge, and once. Its parapet falls too, and "
            "command set more than once.",
            did="count the roof's edge once",
            minor=True,
        ),
        Slip(
            "zone-less-parapet",
            lambda row: 1.5 * _top_ft(row) - row["parapet"] + _own_out_ft(row),
            "The parapet was taken off the zone. It stands on the wall and falls with it.",
            did="take the parapet off the zone",
            minor=True,
        ),
        Slip(
            "reach-halved",
            lambda row: 1.5 * _top_ft(row) + _own_out_ft(row) / 2,
            "Half the reach was taken. The tip goes all of it toward the wall.",
            did="halve the reach",
            minor=True,
        ),
        Slip(
            "once-and-length",
            lambda row: _top_ft(row) + row["out"],
            "The wall was counted once, and the whole length as reach. Command set more than "
            "once, and a raised ladder comes out less far.",
            did="count the wall once and the length whole",
            minor=True,
        ),
    ),
    example="999 ft",
    first_step="First find the wall's height to the top of its parapet.",
    reread=WORKED,
)

# --- 8. set-up in order ------------------------------------------------------------------------------

_STEPS = (
    ("chocks", "Wheels chocked"),
    ("stabilisers-out", "Stabilisers fully out on both sides"),
    ("pads", "Pads under every stabiliser, on ground that was looked at"),
    ("level", "Load taken on the stabilisers, rig level by its own indicator"),
    ("waterway", "Waterway pinned at the tip for the way it is used; seen and touched"),
    ("raise", "Ladder raised out of its bed"),
)

ORDER = Ordering(
    id="ground-lines-and-zone-q8",
    title="Set up",
    variable="set_up",
    points=2,
    rows=(
        {"rig": "Tower 3", "site": "in the mill's yard"},
        {"rig": "Ladder 9", "site": "in front of the Gorse Lane shops"},
        {"rig": "Platform 2", "site": "on the drill ground"},
    ),
    ask=lambda row: (
        f"{row['rig']} stands {row['site']} on a spot that was walked. Parking brake on, power "
        "take-off engaged. Put these steps in an order that works. Where your operator's manual has "
        "its own order, that one counts on the ground."
    ),
    steps=lambda row: _STEPS,
    faults=set_up_rules(),
    reread=RECAP,
)

PAPER = Paper(
    name="ground-lines-and-zone",
    title="Ground, lines and collapse zone",
    version=VERSION,
    situation=(
        "The spot is chosen; now it is walked. You are sent ahead on foot in an invented district: "
        "what is under the pads, what hangs overhead, which wall can come down, and what your "
        "department has entered from the manual of that very rig. What you miss here cannot be "
        "mended once the stabilisers carry."
    ),
    questions=(PRESSURE, PAD, SLOPE, ENTRY, LINES, FINDS, ZONE, ORDER),
    minutes=25,
    closing=(
        "Printed distances and bearing pressures are where the thinking starts; they permit nothing. "
        "Of a line the utility speaks, of a wall the incident commander, of slope, pads and "
        "stabilisers the operator's manual of **that** device. Look up as well as down, every time "
        "the rig is moved."
    ),
)
