"""One question of each kind: an example for authors, and what the tests of the kinds work on."""

from math import cos, radians, sin

from gradekit.questions import (
    Carried,
    Choice,
    Condition,
    Estimate,
    FindFault,
    LookUp,
    Option,
    Ordering,
    Paper,
    Part,
    Plan,
    Question,
    Slip,
    WrittenQuestion,
    set_up_rules,
)

REREAD = "Lesson 02, worked example, has the same steps."

# --- quantity: the height of the nozzle; its rows are shared by the next part -------------------


def height_ft(row):
    """Nozzle above the ground, in feet."""
    return row["turntable"] + row["out"] * sin(radians(row["deg"]))


HEIGHT = Question(
    id="drill-ground-q1",
    title="Height of the nozzle",
    variable="height",
    kind="length",
    unit="foot",
    points=2,
    rows=tuple(
        {"turntable": turntable, "out": out, "deg": deg}
        for turntable in (7, 8)
        for out in (60, 75, 90)
        for deg in (35, 50, 65)
    ),
    keep=lambda row: HEIGHT_LOSS.fits(row),
    ask=lambda row: (
        f"The turntable stands {row['turntable']} ft above the ground. {row['out']} ft of ladder "
        f"are out at {row['deg']} degrees. How high is the nozzle above the ground? Within 1 percent."
    ),
    right=height_ft,
    angles=("deg",),
    slips=(
        Slip(
            "length-as-height",
            lambda row: row["turntable"] + row["out"],
            "The whole length was taken as height. Only a ladder that stands upright is as high as "
            "it is long: take the sine of its angle.",
        ),
        Slip(
            "cosine-for-sine",
            lambda row: row["turntable"] + row["out"] * cos(radians(row["deg"])),
            "The cosine gives how far the nozzle is out, not how high it is.",
        ),
        Slip(
            "turntable-forgotten",
            lambda row: row["out"] * sin(radians(row["deg"])),
            "The ladder starts at the turntable, not at the ground: add its height.",
            0.5,
        ),
    ),
    example="400 ft",
    first_step="First find how high the ladder rises above the turntable.",
    reread=REREAD,
)

# --- carried forward: elevation loss from the learner's own height ------------------------------

PSI_PER_FOOT = 0.434

HEIGHT_LOSS = Carried(
    id="drill-ground-q2",
    title="Pressure for the height",
    variable="height_loss",
    kind="pressure",
    unit="psi",
    points=2,
    same_row_as=HEIGHT,
    carries=(HEIGHT,),
    ask=lambda row: (
        "With your height from question 1: how much pressure does the height alone take, at 0.434 "
        "psi for each foot? Within 1 percent."
    ),
    right=lambda row, height: PSI_PER_FOOT * height,
    slips=(
        Slip(
            "divided",
            lambda row, height: height / PSI_PER_FOOT,
            "The height was divided by 0.434. Each foot takes that much: multiply.",
        ),
    ),
    first_step="Take the height in feet.",
    reread=REREAD,
)

# --- two slips with one number: a follow-up asks which -------------------------------------------

TWO_LINES = Question(
    id="drill-ground-q3",
    title="Two lines to the rig",
    variable="lines_loss",
    kind="pressure",
    unit="psi",
    points=2,
    rows=tuple({"one": one} for one in (96, 120, 144, 200, 240)),
    ask=lambda row: (
        f"One line to the rig loses {row['one']} psi at the flow that is wanted. A second line of "
        "the same hose and length is laid beside it and takes half the water. How much do the two "
        "lose now? Within 1 percent."
    ),
    right=lambda row: row["one"] / 4,
    slips=(
        Slip(
            "halved",
            lambda row: row["one"] / 2,
            "Half the flow does not lose half as much: loss goes with the square of the flow.",
            did="halve the loss of the single line",
        ),
        Slip(
            "added",
            lambda row: 2 * row["one"] / 4,
            "The losses of two lines side by side are not added up: the water takes one or the other.",
            did="add the losses of both lines",
        ),
    ),
    first_step="Each line carries half the flow.",
    reread=REREAD,
)

# --- choice: a reason for each, shuffled -------------------------------------------------------

PIN = Choice(
    id="drill-ground-q4",
    title="Before the ladder goes up",
    variable="pin",
    points=1,
    rows=({"who": "The operator"}, {"who": "A firefighter"}, {"who": "The officer"}),
    ask=lambda row: f"{row['who']} is about to raise the ladder. What must have been seen first?",
    options=(
        Option(
            name="pin",
            text="That the waterway's pin is in, at the tip",
            reason="Nobody can see or reach the pin once the ladder is up.",
            right=True,
        ),
        Option(
            name="pump",
            text="That the pump shows its pressure",
            reason="Pressure comes later: nothing is filled while the ladder is still in its bed.",
        ),
        Option(
            name="target",
            text="That the stream reaches the target",
            reason="That is seen with water on. What cannot be put right later comes first.",
        ),
        Option(
            name="wind",
            text="That the wind blows from behind",
            reason="Wind is watched all along. It does not decide what is seen before the raise.",
        ),
    ),
    reread=REREAD,
)

# --- order: any order that breaks no rule ------------------------------------------------------

_STEPS = {
    "chocks": "Wheels chocked",
    "stabilisers-out": "Stabilisers out on both sides",
    "level": "Load taken on the stabilisers, rig level",
    "waterway": "Waterway set and pinned, seen and touched",
    "raise": "Ladder raised out of its bed",
}

SET_UP = Ordering(
    id="drill-ground-q5",
    title="Set up",
    variable="set_up",
    points=2,
    rows=({"rig": "Tower 3"}, {"rig": "Ladder 9"}),
    ask=lambda row: f"{row['rig']} stands on its spot, brake on. Put these steps in order.",
    steps=lambda row: tuple(_STEPS.items()),
    faults=set_up_rules(),
    reread=REREAD,
)

# --- plan: any answer that meets all conditions ------------------------------------------------


def _reach(values):
    return values["length out"] * cos(radians(values["elevation"]))


def _tip(values):
    return 8 + values["length out"] * sin(radians(values["elevation"]))


def _plan(row, *, out=None, rise=None, turned=0.0):
    """A length and an elevation that put the tip so far out and so high."""
    from math import atan2, degrees, hypot

    out = row["wall"] - 20 if out is None else out
    rise = row["sill"] + 6 - 8 if rise is None else rise
    return {
        "length out": hypot(out, rise),
        "elevation": degrees(atan2(rise, out)),
        "rotation": turned,
    }


AIM = Plan(
    id="drill-ground-q6",
    title="Find a spot for the tip",
    variable="aim",
    points=2,
    rows=tuple({"wall": wall, "sill": sill} for wall in (70, 80) for sill in (30, 40)),
    ask=lambda row: (
        f"The wall stands {row['wall']} ft in front of the turntable (8 ft above the ground), the "
        f"sill of the window {row['sill']} ft above the ground. Bring the tip above the sill, not "
        "nearer to the wall than 10 ft, and keep the nozzle within 10 degrees of the ladder's "
        "line. Give length out, elevation and rotation."
    ),
    parts=(
        Part(name="length out", kind="length", unit="foot", example="400 ft"),
        Part(name="elevation", kind="angle", unit="degree", example="1 deg"),
        Part(
            name="rotation", kind="angle", unit="degree", sides=("left", "right"), example="80 deg"
        ),
    ),
    conditions=(
        Condition(
            name="clear-of-the-wall",
            met=lambda row, v: _reach(v) <= row["wall"] - 10,
            sentence="The tip comes too near to the wall: retract, or raise the ladder.",
            share=0.5,
            missing=lambda row: _plan(row, out=row["wall"] - 2),
        ),
        Condition(
            name="above-the-sill",
            met=lambda row, v: _tip(v) >= row["sill"],
            sentence="The tip stays below the sill: the stream would strike the wall.",
            share=0.25,
            missing=lambda row: _plan(row, rise=row["sill"] - 20),
        ),
        Condition(
            name="in-line",
            met=lambda row, v: abs(v["rotation"]) <= 10,
            sentence="The nozzle is turned too far off the ladder's line: side load.",
            share=0.25,
            missing=lambda row: _plan(row, turned=-25.0),
        ),
    ),
    found=_plan,
    reread=REREAD,
)

# --- estimate: by a rule of thumb, within a band -----------------------------------------------

HALF = Estimate(
    id="drill-ground-q7",
    title="A quick figure",
    variable="quick",
    kind="force",
    unit="lbf",
    points=1,
    rows=tuple({"gpm": gpm} for gpm in (600, 700, 800, 1000, 1250)),
    ask=lambda row: (
        f"The nozzle flows {row['gpm']:,} gpm. On the fireground, without a calculator: about how "
        "large is its reaction? Within 10 percent of the rule of thumb."
    ),
    right=lambda row: row["gpm"] / 2,
    band=0.10,
    slips=(
        Slip(
            "third-of-the-gallonage",
            lambda row: row["gpm"] / 3,
            "A third of the gallonage reads far too low for a master stream.",
        ),
        Slip(
            "flow-for-reaction",
            lambda row: row["gpm"],
            "That is the flow itself. The push back is about half as many pounds.",
        ),
    ),
    first_step="Think of half the gallonage.",
    reread=REREAD,
)

# --- find the fault ----------------------------------------------------------------------------


def _worked(row):
    """Three lines of working in which one is wrong, and all after it follow from it."""
    squared = row["tip"] ** 2
    shown = 2 * row["tip"] if row["fault"] == "square" else squared
    doubled = 1.57 if row["fault"] != "factor" else 0.785
    return (
        ("tip", f"Tip {row['tip']} in, nozzle pressure {row['psi']} psi."),
        ("square", f"Diameter times diameter: {shown:.2f}."),
        ("factor", f"{doubled} × {shown:.2f} = {doubled * shown:.2f}."),
        ("pressure", f"Times the nozzle pressure: {doubled * shown * row['psi']:.0f} lbf."),
    )


FAULT = FindFault(
    id="drill-ground-q8",
    title="Find the fault",
    variable="fault",
    points=2,
    rows=tuple(
        {"tip": tip, "psi": psi, "fault": fault}
        for tip in (1.5, 1.75)
        for psi in (70, 80)
        for fault in ("square", "factor")
    ),
    ask=lambda row: (
        "Somebody worked out the reaction of a smooth bore like this. One step is wrong. Which, and "
        "what number belongs there, if all above it stands? Within 1 percent."
    ),
    steps=_worked,
    fault=lambda row: row["fault"],
    stands=lambda row: 2 * row["tip"] if row["fault"] == "square" else 0.785 * row["tip"] ** 2,
    number=Question(
        id="drill-ground-q8-number",
        variable="",
        points=1,
        ask=lambda row: "",
        kind="times",
        unit="",
        right=lambda row: row["tip"] ** 2 * (1 if row["fault"] == "square" else 1.57),
        example="99",
        first_step="Work that step anew.",
        reread=REREAD,
    ),
    reread=REREAD,
)

# --- look-up in the department's own table -----------------------------------------------------


def _covering(device, gpm, feet):
    """Rotation in degrees that the device's table gives for a flow and length; None if none."""
    found = [
        line.rotation_up_to.to("degree").magnitude
        for line in device.manual_limits
        if gpm <= line.flow_up_to.to("gpm").magnitude
        and feet <= line.extension_up_to.to("foot").magnitude
    ]
    return max(found, default=None)


def _limit_rows(department):
    return tuple(
        {
            "device": device.name,
            "table": "; ".join(
                f"up to {line.flow_up_to.to('gpm').magnitude:,.0f} gpm and "
                f"{line.extension_up_to.to('foot').magnitude:.0f} ft: "
                f"{line.rotation_up_to.to('degree').magnitude:.0f} deg"
                for line in device.manual_limits
            )
            or "nothing entered",
            "gpm": gpm,
            "feet": feet,
            "limit": _covering(device, gpm, feet),
            "others": sorted(
                {line.rotation_up_to.to("degree").magnitude for line in device.manual_limits}
            ),
        }
        for device in department.apparatus
        for gpm in (500, 1000, 1500)
        for feet in (60, 85)
    )


def _other_line(row):
    others = [number for number in row["others"] if number != row["limit"]]
    return others[0] if others else None


TABLE = LookUp(
    id="drill-ground-q9",
    title="What the manual allows",
    variable="limit",
    kind="angle",
    unit="degree",
    points=2,
    rows_from=_limit_rows,
    ask=lambda row: (
        f"{row['device']}, limits entered from its operator's manual: {row['table']}. With "
        f"{row['gpm']:,} gpm and {row['feet']} ft out: how far may the nozzle be turned off the "
        "centre line? If no line covers that, type: not entered."
    ),
    right=lambda row: row["limit"],
    slips=(
        Slip(
            "another-line",
            _other_line,
            "That number stands in another line, for another flow or length.",
            0.0,
        ),
    ),
    example="77 deg",
    first_step="Find the line that covers both the flow and the length.",
    reread="Lesson 04 shows how to read the table.",
)

# --- written -----------------------------------------------------------------------------------

BRIEF = WrittenQuestion(
    id="drill-ground-q10",
    title="Your brief",
    variable="brief",
    points=1,
    rows=({"side": "A"}, {"side": "C"}),
    ask=lambda row: f"Brief the crew on side {row['side']} in three sentences.",
    guide=((0.5, "says what the stream is to do"), (0.5, "says when it is shut")),
)

PAPER = Paper(
    name="drill-ground",
    title="An afternoon on the drill ground",
    version="1",
    situation="A dry afternoon on the drill ground of an invented department.",
    questions=(
        HEIGHT,
        HEIGHT_LOSS,
        TWO_LINES,
        PIN,
        SET_UP,
        AIM,
        HALF,
        FAULT,
        TABLE,
        BRIEF,
    ),
)
