"""Questions of the assignment on low-level work: the stream into a shop front from a low ladder.

Right answers come from `aerialstream`; each slip has its own wrong formula. Devices, their lengths
and the travel of their nozzles are the department's own; distances and weights are made up.
"""

from itertools import pairwise
from math import acos, asin, atan2, cos, degrees, radians, sin

from aerialstream._core import aerials, elevation, loads, reaction
from gradekit.questions import (
    Carried,
    Choice,
    FindFault,
    LookUp,
    Option,
    Ordering,
    Paper,
    Question,
    Slip,
    set_up_rules,
)

VERSION = "2026.1"
EXAMPLE = "Lesson 07, worked example, has the same steps."
PANEL = "Lesson 07 shows it: move ladder and nozzle in the panel and watch where the stream goes."
LOADS = "Lesson 07, what a low ladder bears, has the same steps. Lesson 03 shows the reaction."

# The front of the invented shops: head of the window, joists above it, ft above the ground.
HEAD, CEILING = 9, 12
_ROOM = 0.5  # ft between stream and head


# --- the department's own devices -------------------------------------------------------------


def _in(value, unit):
    return round(value.to(unit).magnitude, 1)


def _travel(device):
    """How far its nozzle moves each way, in degrees."""
    travel = device.nozzle_travel
    return {way: _in(getattr(travel, way), "degree") for way in ("up", "down", "left", "right")}


def _ladders(department):
    """Devices whose nozzle is fixed to the ladder: a platform levels its nozzle by itself."""
    return [device for device in department.apparatus if device.kind.endswith("ladder")]


def _quiet(question, row):
    """Whether the example of how to write an answer earns nothing, whatever the department's data."""
    return not question.judge(row, question.example_answer).points


def _apart(question, row):
    """Whether no two slips lie so near to each other that an answer cannot tell which it was."""
    numbers = sorted(number for _, number in question.wrongs(row))
    return all(b - a > 1.1 * question._allowance(b) for a, b in pairwise(numbers))


# --- 1. how steep the stream must be; 2. how far the nozzle must rise for it ------------------


def _fronts(department):
    """A low ladder before a shop front, and how far inside the stream is to strike."""
    rows = []
    for device in _ladders(department):
        height = _in(device.turntable_height, "foot")
        lowest, shortest = (
            _in(device.elevation.least, "degree"),
            _in(device.extension.least, "foot"),
        )
        for below in (4, 5, 6, 7):
            for more in (2, 6):
                out = round(shortest + more)
                nozzle = round(elevation.nozzle_height_ft(height, out, -below), 1)
                for away, deep in ((10, 9), (12, 11), (12, 14), (14, 10), (15, 13)):
                    if -below < lowest or nozzle < 2:
                        continue
                    rows.append(
                        {
                            "device": device.name,
                            "turntable": height,
                            "below": below,
                            "out": out,
                            "nozzle": nozzle,
                            "away": away,
                            "deep": deep,
                        }
                    )
    return tuple(rows)


def _window(row):
    return aerials.Opening(
        standoff_ft=row["away"], sill_ft=1, head_ft=HEAD - _ROOM, ceiling_ft=CEILING
    )


def _pitch(row):
    return _window(row).stream_for_depth_deg(row["nozzle"], row["deep"])


def _angle(rise, run):
    return degrees(atan2(rise, run))


def _arc(turned_back, row):
    """The angle of another function; None where it has none."""
    share = (CEILING - row["nozzle"]) / (row["away"] + row["deep"])
    return degrees(turned_back(share)) if share <= 1 else None


def _comes_in(row):
    return _pitch(row) <= _window(row).steepest_deg(row["nozzle"])


PITCH = Question(
    id="low-level-shops-q1",
    title="Off the ceiling",
    variable="pitch",
    kind="angle",
    unit="degree",
    points=2,
    rows_from=_fronts,
    keep=lambda row: (
        _comes_in(row) and TRAVEL.fits(row) and _apart(PITCH, row) and _quiet(PITCH, row)
    ),
    tolerance=0.0,
    allow=0.5,
    tolerance_words="within half a degree",
    ask=lambda row: (
        f"{row['device']} works low: {row['out']} ft of ladder out, {row['below']} degrees below "
        f"level. The turntable stands {row['turntable']:g} ft above the ground, the nozzle "
        f"{row['nozzle']:g} ft above the ground and {row['away']} ft in front of the shop window. "
        f"The head of the window is at {HEAD} ft, the bare joists of the ceiling at {CEILING} ft, "
        f"all above the ground. The stream is to strike the joists {row['deep']} ft inside the "
        "window. Taken as a straight line: how many degrees above level must it climb? Within half "
        "a degree."
    ),
    right=_pitch,
    slips=(
        Slip(
            "standoff-forgotten",
            lambda row: _angle(CEILING - row["nozzle"], row["deep"]),
            "Only the way inside the shop was counted. The stream starts at the nozzle and has been "
            "climbing all the way to the window. Aimed like that it strikes the front above it.",
            did="leave out the way to the window",
        ),
        Slip(
            "depth-forgotten",
            lambda row: _angle(CEILING - row["nozzle"], row["away"]),
            "Only the way to the window was counted: the stream would reach the height of the "
            "ceiling at the front wall and strike the wall, not the ceiling behind it.",
            did="leave out the way inside",
        ),
        Slip(
            "nozzle-height-forgotten",
            lambda row: _angle(CEILING, row["away"] + row["deep"]),
            "The whole height of the ceiling was taken. The nozzle is above the ground already; the "
            "stream climbs only what is left.",
            did="take the ceiling's height above the ground",
        ),
        Slip(
            "turntable-for-nozzle",
            lambda row: _angle(CEILING - row["turntable"], row["away"] + row["deep"]),
            "The height of the turntable was taken. A ladder below level brings its nozzle lower "
            "than that, and the stream starts at the nozzle.",
            did="start at the turntable's height",
        ),
        Slip(
            "head-for-ceiling",
            lambda row: _angle(HEAD - row["nozzle"], row["away"] + row["deep"]),
            "The head of the window was taken for the ceiling. What is to be struck lies higher, "
            "behind it.",
            did="take the head of the window for the ceiling",
        ),
        Slip(
            "turned-round",
            lambda row: _angle(row["away"] + row["deep"], CEILING - row["nozzle"]),
            "That is the angle from straight up. The tangent is height over way: what the stream "
            "climbs, divided by what it goes ahead.",
            did="divide the way by the height",
        ),
        Slip(
            "percent-for-degrees",
            lambda row: 100 * (CEILING - row["nozzle"]) / (row["away"] + row["deep"]),
            "That is the slope in percent. A nozzle is set in degrees; take the angle whose tangent "
            "it is.",
            0.5,
            did="stop at the slope in percent",
        ),
        Slip(
            "ladder-taken-off",
            lambda row: _pitch(row) - row["below"],
            "The ladder's angle was taken off. Asked is the angle of the stream above level, however "
            "the ladder lies.",
            did="take the ladder's angle off",
        ),
        Slip(
            "ladder-put-on",
            lambda row: _pitch(row) + row["below"],
            "That counts from the ladder's line. Asked here is the angle above level; the ladder "
            "comes in at the next question.",
            0.5,
            did="count from the ladder's line",
        ),
        Slip(
            "line-to-the-head",
            lambda row: _angle(HEAD - row["nozzle"], row["away"]),
            "That is the line to the head of the window. Asked is the line to the strike on "
            "the joists, farther in.",
            did="take the line to the head",
            minor=True,
        ),
        Slip(
            "radians-for-degrees",
            lambda row: radians(_pitch(row)),
            "The calculator answered in radians. Set it to degrees before you trust an angle.",
            did="leave the calculator on radians",
            minor=True,
        ),
        Slip(
            "sine-for-tangent",
            lambda row: _arc(asin, row),
            "The way was taken as the long side. Rise over level way is the tangent.",
            did="take the sine",
            minor=True,
        ),
        Slip(
            "cosine-for-tangent",
            lambda row: _arc(acos, row),
            "The cosine was taken. Rise over level way is the tangent.",
            did="take the cosine",
            minor=True,
        ),
        Slip(
            "from-the-head",
            lambda row: _angle(CEILING - HEAD, row["deep"]),
            "The line was drawn from the head of the window. The stream starts at the nozzle.",
            did="start at the head of the window",
            minor=True,
        ),
        Slip(
            "share-of-ninety",
            lambda row: 90 * (CEILING - row["nozzle"]) / (row["away"] + row["deep"]),
            "The slope was taken as a share of ninety degrees. Take the angle whose tangent it is.",
            did="take a share of ninety degrees",
            minor=True,
        ),
        Slip(
            "share-of-forty-five",
            lambda row: 45 * (CEILING - row["nozzle"]) / (row["away"] + row["deep"]),
            "The slope was taken as a share of 45 degrees. That is right at both ends only: "
            "take the angle whose tangent it is.",
            did="take a share of 45 degrees",
            minor=True,
        ),
        Slip(
            "ladder-as-the-way",
            lambda row: _angle(CEILING - row["nozzle"], row["out"]),
            "The length of the ladder was taken for the way. The stream goes from the nozzle "
            "to the strike.",
            did="take the ladder for the way",
            minor=True,
        ),
        Slip(
            "turntable-to-the-window",
            lambda row: _angle(CEILING - row["turntable"], row["away"]),
            "The line was drawn from the turntable's height to the window. It starts at the "
            "nozzle and ends at the strike.",
            did="draw the line from the turntable to the window",
            minor=True,
        ),
    ),
    example="88 deg",
    first_step="First find how much the stream climbs from the nozzle, and over which way.",
    reread=EXAMPLE,
)

TRAVEL = Carried(
    id="low-level-shops-q2",
    title="From the ladder's line",
    variable="nozzle_rise",
    kind="angle",
    unit="degree",
    points=2,
    same_row_as=PITCH,
    carries=(PITCH,),
    tolerance=0.0,
    allow=0.5,
    tolerance_words="within half a degree",
    ask=lambda row: (
        f"Same ladder of {row['device']}, {row['below']} degrees below level, nozzle in line with it. "
        "For your angle from question 1: how many degrees above the ladder's own line must the "
        "nozzle be set? Within half a degree."
    ),
    # World pitch is elevation and nozzle pitch together; the elevation is below level here.
    right=lambda row, pitch: pitch - (-row["below"]),
    slips=(
        Slip(
            "ladder-forgotten",
            lambda row, pitch: pitch,
            "The ladder was taken as level. It points below level, so the nozzle must first make up "
            "for the ladder before the stream climbs at all.",
            did="take the ladder as level",
        ),
        Slip(
            "minus-forgotten",
            lambda row, pitch: pitch - row["below"],
            "The ladder was counted as pointing above level. Below level its angle is a minus: the "
            "nozzle needs more, not less. Set like that, the stream goes in flat.",
            did="count the ladder as pointing up",
        ),
        Slip(
            "ladder-twice",
            lambda row, pitch: pitch + 2 * row["below"],
            "The ladder's angle was counted twice.",
            did="count the ladder's angle twice",
        ),
        Slip(
            "ladder-alone",
            lambda row, pitch: row["below"],
            "That only brings the stream to level. The climb to the ceiling comes on top.",
            did="only make up for the ladder",
        ),
        Slip(
            "right-angle-less",
            lambda row, angle: 90 - angle,
            "It was taken from the right angle. Count from the ladder's line: climb and "
            "ladder's angle together.",
            did="take it from the right angle",
            minor=True,
        ),
        Slip(
            "ladder-angle-twice",
            lambda row, angle: 2 * row["below"],
            "That is twice the ladder's angle. The climb of the stream comes on top of it once.",
            did="double the ladder's angle",
            minor=True,
        ),
    ),
    example="88 deg",
    first_step="First ask how far the nozzle must rise to point level.",
    reread=EXAMPLE,
)

# --- 3. what is entered for the nozzle's travel -----------------------------------------------

_WAYS = {"up": "rise above", "down": "drop below"}


def _entries(department):
    """Each ladder asked for, with every device's entry; and a borrowed rig without one."""
    travels = {device.name: _travel(device) for device in department.apparatus}
    table = "; ".join(
        f"{name}: " + ", ".join(f"{way} {angle:g}" for way, angle in travel.items())
        for name, travel in travels.items()
    )
    names = [device.name for device in _ladders(department)]
    borrowed = next(name for name in ("Ladder 31", "Ladder 32", "Ladder 33") if name not in travels)
    rows = [
        {
            "device": name,
            "way": way,
            "table": table,
            "entered": travels[name][way],
            "opposite": travels[name]["down" if way == "up" else "up"],
            "side": travels[name]["left"],
            "another": next(
                (t[way] for n, t in travels.items() if n != name and t[way] != travels[name][way]),
                None,
            ),
        }
        for name in names
        for way in _WAYS
    ]
    rows += [
        {
            "device": borrowed,
            "way": way,
            "table": table,
            "entered": None,
            "opposite": None,
            "side": None,
            "another": travels[names[0]][way],
        }
        for way in _WAYS
        if names
    ]
    return tuple(rows)


def _third(row):
    """The same way of a rig that is neither the one asked for nor the one of another slip."""
    found = [
        float(part.rpartition(" ")[2])
        for line in row["table"].split("; ")
        if not line.startswith(f"{row['device']}: ")
        for part in line.partition(": ")[2].split(", ")
        if part.startswith(f"{row['way']} ")
    ]
    return next((deg for deg in found if deg not in (row["another"], row["entered"])), None)


ENTRY = LookUp(
    id="low-level-shops-q3",
    title="What the nozzle can do",
    variable="entered",
    kind="angle",
    unit="degree",
    points=1,
    rows_from=_entries,
    tolerance=0.0,
    allow=0.5,
    tolerance_words="within half a degree",
    keep=lambda row: _quiet(ENTRY, row),
    ask=lambda row: (
        "Entered in the department's data, from each operator's manual, as travel of the nozzle in "
        f"degrees (from the ladder's line; on a platform from level): {row['table']}. "
        + (
            "A neighbour sends a rig today. "
            if row["entered"] is None
            else "You are sent to the front of the shops. "
        )
        + f"How far can the nozzle of {row['device']} {_WAYS[row['way']]} its ladder's line? If no "
        "line covers that, type: not entered."
    ),
    right=lambda row: row["entered"],
    slips=(
        Slip(
            "another-rig",
            lambda row: row["another"],
            "That is the entry of another rig. Nozzles differ from rig to rig, and no number stands "
            "in for another one: the operator's manual of this device is asked.",
            0.0,
            did="read the line of another rig",
        ),
        Slip(
            "the-other-way",
            lambda row: row["opposite"],
            "That is the travel the other way. Low work needs it upward, work from above needs it "
            "downward: read the word before the number.",
            did="read the travel the other way",
        ),
        Slip(
            "to-the-side",
            lambda row: row["side"],
            "That is how far it turns to the side. Up and down are entered apart.",
            did="read the travel to the side",
        ),
        Slip(
            "a-third-rig",
            lambda row: _third(row),
            "That is the entry of another rig. Nozzles differ from rig to rig, and no number "
            "stands in for another one.",
            0.0,
            did="read the line of a third rig",
            minor=True,
        ),
        Slip(
            "travels-added",
            lambda row: row["entered"] + row["opposite"] if row["entered"] else None,
            "Both ways were added up. Asked is how far it goes one way from the ladder's line.",
            did="add both ways",
            minor=True,
        ),
    ),
    example="177 deg",
    first_step="Find the line of this rig, then the word for the way.",
    reread="Lesson 07, the two ladders, shows how to read the entry.",
)

# --- 4. which rig, or what else ---------------------------------------------------------------


def _pairs(department):
    """Two ladders with unlike nozzles, and a travel that both, one or neither of them has."""
    ladders, rows = _ladders(department), []
    for one in ladders:
        for other in ladders:
            less, more = _travel(one)["up"], _travel(other)["up"]
            if not less + 4 <= more:
                continue
            for needed in (
                round(less) - 2,
                round(less) - 1,
                round(less + (more - less) / 3),
                round(less + (more - less) / 2),
                round(more) + 4,
                round(more) + 8,
            ):
                rows.append(
                    {
                        "less": one.name,
                        "less_up": less,
                        "more": other.name,
                        "more_up": more,
                        "needed": needed,
                    }
                )
    return tuple(rows)


def _able(row):
    return row["less_up"] >= row["needed"], row["more_up"] >= row["needed"]


RIG = Choice(
    id="low-level-shops-q4",
    title="Which rig",
    variable="rig",
    points=2,
    rows_from=_pairs,
    ask=lambda row: (
        f"Off the ceiling of the next shop: from its low ladder the nozzle has to rise "
        f"{row['needed']} degrees above the ladder's line, and from there the stream goes in just "
        f"under the head of the window. As entered, the nozzle of {row['less']} rises "
        f"{row['less_up']:g} degrees and that of {row['more']} {row['more_up']:g} degrees. Which "
        "of the two do you ask for at the front?"
    ),
    options=(
        Option(
            name="only-the-longer-travel",
            text=lambda row: f"{row['more']}; the nozzle of {row['less']} does not rise far enough",
            reason="Each rig is judged by its own nozzle: the travel entered against the travel needed.",
            right=lambda row: _able(row) == (False, True),
        ),
        Option(
            name="only-the-shorter-travel",
            text=lambda row: f"{row['less']}; the nozzle of {row['more']} does not rise far enough",
            reason="Read the two entries again: this rig's nozzle is the one with less upward travel.",
            right=lambda row: False,
        ),
        Option(
            name="either",
            text="Either of them: both nozzles rise far enough",
            reason="It takes both entries, each against the travel that is needed: one alone does not "
            "decide it.",
            right=lambda row: _able(row) == (True, True),
        ),
        Option(
            name="neither",
            text="Neither: strike what burns straight through the window, or lay a ground monitor",
            reason="That is what is left where no nozzle rises so far. It stands or falls with the two "
            "entries against the travel needed.",
            right=lambda row: _able(row) == (False, False),
        ),
        Option(
            name="raise-the-ladder",
            text=lambda row: (
                f"{row['less']}, with its ladder raised until the stream is steep enough"
            ),
            reason="A raised ladder carries its nozzle up past the head of the window; from there "
            "the climbing stream strikes the wall above it.",
        ),
    ),
    reread=PANEL,
)

# --- 5. find the fault: raise the ladder? -----------------------------------------------------


def _raised(department):
    """A ladder whose nozzle rises too little, raised until the stream is steep enough."""
    rows = []
    for device in _ladders(department):
        up, most = _travel(device)["up"], _in(device.elevation.most, "degree")
        shortest = round(_in(device.extension.least, "foot"))
        for wanted in (16, 18, 21, 24):
            for out in (shortest + 4, shortest + 9):
                if 4 <= wanted - up <= most:
                    rows += [
                        {
                            "device": device.name,
                            "turntable": _in(device.turntable_height, "foot"),
                            "up": up,
                            "wanted": wanted,
                            "out": out,
                            "slip": slip,
                        }
                        for slip in ("wrong-angle", "turntable-left-out", "from-the-ceiling")
                    ]
    return tuple(rows)


_FAULTY = {"wrong-angle": "rise", "turntable-left-out": "height", "from-the-ceiling": "over"}


def _should(row):
    """What belongs in each step, in ft."""
    raised = row["wanted"] - row["up"]
    height = elevation.nozzle_height_ft(row["turntable"], row["out"], raised)
    return {"rise": height - row["turntable"], "height": height, "over": height - HEAD}


def _stands(row):
    """What stands in each step: one is wrong, and those after it follow from it."""
    slip, raised = row["slip"], row["wanted"] - row["up"]
    rise = row["out"] * sin(radians(row["wanted"] if slip == "wrong-angle" else raised))
    height = rise + (0 if slip == "turntable-left-out" else row["turntable"])
    over = height - (CEILING if slip == "from-the-ceiling" else HEAD)
    return {"rise": rise, "height": height, "over": over}


def _how_over(feet):
    return f"{abs(feet):.1f} ft {'above' if feet > 0 else 'below'} it"


def _lines(row):
    stands = _stands(row)
    return (
        (
            "angle",
            f"Stream {row['wanted']} degrees above level, nozzle {row['up']:g} degrees above the "
            f"ladder's line: the ladder must stand {row['wanted'] - row['up']:g} degrees above level.",
        ),
        (
            "rise",
            f"{row['out']} ft of ladder at that angle rise {stands['rise']:.1f} ft above the "
            "turntable.",
        ),
        (
            "height",
            f"So the nozzle stands {stands['height']:.1f} ft above the ground.",
        ),
        (
            "over",
            f"Compared with the head of the window the nozzle is {_how_over(stands['over'])}.",
        ),
    )


FAULT = FindFault(
    id="low-level-shops-q5",
    title="Find the fault",
    variable="fault",
    points=2,
    rows_from=_raised,
    keep=lambda row: min(_should(row).values()) > 1,
    ask=lambda row: (
        f"“Raise the ladder until the stream is steep enough,” somebody says of {row['device']}: its "
        f"nozzle rises only {row['up']:g} degrees above the ladder's line, and the stream must climb "
        f"{row['wanted']} degrees above level. {row['out']} ft of ladder are out, the turntable "
        f"stands {row['turntable']:g} ft above the ground, the head of the window is at {HEAD} ft "
        f"and the ceiling at {CEILING} ft. You work out where that brings the nozzle, and one step "
        "is wrong. Which, and how many feet belong there, if all above it stands? Within 0.2 ft."
    ),
    steps=_lines,
    fault=lambda row: _FAULTY[row["slip"]],
    stands=lambda row: abs(_stands(row)[_FAULTY[row["slip"]]]),
    number=Question(
        id="low-level-shops-q5-number",
        variable="",
        points=1,
        ask=lambda row: "",
        kind="length",
        unit="foot",
        tolerance=0.01,
        allow=0.2,
        tolerance_words="within 0.2 ft",
        right=lambda row: _should(row)[_FAULTY[row["slip"]]],
        slips=(
            Slip(
                "cosine-for-sine",
                lambda row: (
                    row["out"] * cos(radians(row["wanted"] - row["up"]))
                    if row["slip"] == "wrong-angle"
                    else None
                ),
                "The cosine gives how far out the nozzle is, not how much it rises.",
                did="take the cosine",
            ),
            Slip(
                "turntable-taken-away",
                lambda row: (
                    abs(_should(row)["rise"] - row["turntable"])
                    if row["slip"] == "turntable-left-out"
                    else None
                ),
                "The turntable's height was taken away. The ladder starts up there and rises further.",
                did="take the turntable's height away",
            ),
            Slip(
                "turntable-alone",
                lambda row: row["turntable"] if row["slip"] == "turntable-left-out" else None,
                "That is the turntable alone. The ladder's rise comes on top.",
                did="give the turntable's height",
            ),
            Slip(
                "from-the-ground",
                lambda row: _should(row)["height"] if row["slip"] == "from-the-ceiling" else None,
                "That is the height above the ground. This step compares with the head of the window.",
                did="give the height above the ground",
            ),
            Slip(
                "turntable-put-on",
                lambda row: (
                    _should(row)["rise"] + row["turntable"]
                    if row["slip"] == "wrong-angle"
                    else None
                ),
                "The turntable's height was put on top. This step asks for the rise from the "
                "turntable.",
                did="put the turntable's height on",
                minor=True,
            ),
            Slip(
                "degrees-as-radians",
                lambda row: (
                    row["out"] * abs(sin(row["wanted"] - row["up"]))
                    if row["slip"] == "wrong-angle"
                    else None
                ),
                "The calculator stood on radians. Set it to degrees.",
                did="leave the calculator on radians",
                minor=True,
            ),
            Slip(
                "head-forgotten-rise",
                lambda row: _should(row)["rise"] if row["slip"] == "from-the-ceiling" else None,
                "That is the rise above the turntable. This step compares with the head of the "
                "window.",
                did="give the rise",
                minor=True,
            ),
            Slip(
                "rise-alone",
                lambda row: _should(row)["rise"] if row["slip"] == "turntable-left-out" else None,
                "That is the rise alone. The turntable already stands above the ground.",
                did="give the rise alone",
                minor=True,
            ),
            Slip(
                "both-angles",
                lambda row: (
                    row["out"] * sin(radians(row["wanted"] + row["up"]))
                    if row["slip"] == "wrong-angle"
                    else None
                ),
                "The two angles were added. The ladder has to stand at what the nozzle lacks: the "
                "difference.",
                did="add the angles",
                minor=True,
            ),
            Slip(
                "nozzle-angle",
                lambda row: (
                    row["out"] * sin(radians(row["up"])) if row["slip"] == "wrong-angle" else None
                ),
                "The nozzle's own angle was taken. The ladder stands at the angle of the first "
                "step.",
                did="take the nozzle's angle",
                minor=True,
            ),
            Slip(
                "over-the-head-already",
                lambda row: _should(row)["over"] if row["slip"] == "turntable-left-out" else None,
                "That is how far it is from the head of the window. This step asks for the height "
                "above the ground.",
                did="compare with the head already",
                minor=True,
            ),
        ),
        example="99 ft",
        first_step="Work that step anew, from what the question gives.",
        reread=EXAMPLE,
    ),
    reread=EXAMPLE,
)

# --- 6. own weight and stream together --------------------------------------------------------


def _down(row, *, arm=None, stream=None):
    """Own weight at its centre and the stream at the tip, about the foot, lbf ft."""
    arm = row["centre"] / 100 * row["out"] if arm is None else arm
    stream = row["lbf"] * sin(radians(row["up"])) if stream is None else stream
    return row["weight"] * arm + stream * row["out"]


def _both(row):
    weight = loads.weight_load(
        row["weight"], loads.along_ladder_ft(row["centre"] / 100 * row["out"], 0)
    )
    own = loads.heel_moments_lbf_ft(weight, 0)[1]
    forces = reaction.tip_forces_lbf(row["lbf"], 0, row["up"])
    return abs(own + reaction.base_moments_lbf_ft(forces, row["out"])[1])


STACK = Question(
    id="low-level-shops-q6",
    title="What the low ladder bears",
    variable="down_moment",
    kind="moment",
    unit="lbf*foot",
    together="sum",
    points=2,
    rows=tuple(
        {"weight": weight, "centre": centre, "out": out, "lbf": lbf, "up": up}
        for weight, centre in ((4200, 38), (4600, 40), (5200, 36))
        for out in (38, 44)
        for lbf in (237, 283, 331)
        for up in (29, 33, 37)
    ),
    keep=lambda row: _apart(STACK, row),
    angles=("up",),
    ask=lambda row: (
        f"A ladder (invented) lies level, {row['out']} ft out. It weighs {row['weight']:,} lb, with "
        f"its centre of weight {row['centre']} percent of the way from foot to nozzle. The nozzle "
        f"is in line, {row['up']} degrees above the ladder, with {row['lbf']} lbf of reaction. "
        "How large is the moment about the ladder's foot, in its upright plane, from own weight and "
        "stream together? Answer in pound-feet (lbf ft), without a sign, within 1 percent."
    ),
    right=_both,
    slips=(
        Slip(
            "stream-lifts",
            lambda row: _down(row, stream=-row["lbf"] * sin(radians(row["up"]))),
            "The stream was taken to lift the tip. Water thrown up pushes the tip down: on a low "
            "ladder that comes on top of its weight.",
            did="let the stream lift the tip",
            part="stream",
        ),
        Slip(
            "stream-forgotten",
            lambda row: _down(row, stream=0),
            "That is the weight alone. The stream points up from the ladder and pushes its tip down "
            "as well.",
            did="leave the stream out",
            part="stream",
        ),
        Slip(
            "weight-forgotten",
            lambda row: row["lbf"] * sin(radians(row["up"])) * row["out"],
            "That is the stream alone. A level ladder bears its own weight at the longest arm: it is "
            "the larger part.",
            did="leave the weight out",
            part="weight",
        ),
        Slip(
            "weight-at-the-tip",
            lambda row: _down(row, arm=row["out"]),
            "The weight was put at the tip. It acts at its centre, not half way out on this ladder.",
            did="put the weight at the tip",
            part="weight",
        ),
        Slip(
            "weight-half-way",
            lambda row: _down(row, arm=row["out"] / 2),
            "The weight was put half way out. The sections lie heavier toward the foot: take the "
            "share that the question gives.",
            did="put the weight half way out",
            part="weight",
        ),
        Slip(
            "cosine-for-sine",
            lambda row: _down(row, stream=row["lbf"] * cos(radians(row["up"]))),
            "That is the part of the reaction along the ladder, which presses it together. What "
            "bends it down takes the sine.",
            did="take the cosine",
            part="stream",
        ),
        Slip(
            "whole-reaction",
            lambda row: _down(row, stream=row["lbf"]),
            "The whole reaction was taken. Only a nozzle square to the ladder would push like that: "
            "take the sine of its angle.",
            did="take the whole reaction",
            part="stream",
        ),
        Slip(
            "arms-forgotten",
            lambda row: row["weight"] + row["lbf"] * sin(radians(row["up"])),
            "Those are forces added up. A moment is force times its arm from the ladder's foot, and "
            "the two have different arms.",
            did="add forces without their arms",
        ),
        Slip(
            "share-from-the-nozzle",
            lambda row: _down(row, arm=(1 - row["centre"] / 100) * row["out"]),
            "The share was counted from the nozzle. It is counted from the foot, where the "
            "ladder is heaviest.",
            did="count the share from the nozzle",
            minor=True,
        ),
        Slip(
            "weight-without-arm",
            lambda row: (
                row["weight"] * row["centre"] / 100
                + row["lbf"] * sin(radians(row["up"])) * row["out"]
            ),
            "The share was taken of the weight, and the length left out. A moment is weight "
            "times arm.",
            did="leave the arm of the weight out",
            minor=True,
        ),
        Slip(
            "share-as-feet",
            lambda row: _down(row, arm=row["centre"]),
            "The percent were taken as feet. The centre lies that share of the length out.",
            did="take the percent as feet",
            minor=True,
        ),
        Slip(
            "stream-at-the-centre",
            lambda row: _down(
                row, stream=row["lbf"] * sin(radians(row["up"])) * row["centre"] / 100
            ),
            "The stream was put at the centre of weight. It acts at the nozzle, the whole "
            "length out.",
            did="put the stream at the centre of weight",
            minor=True,
        ),
        Slip(
            "radians-without-sign",
            lambda row: (
                _down(row, stream=row["lbf"] * abs(sin(row["up"]))) if sin(row["up"]) < 0 else None
            ),
            "The calculator stood on radians. Set it to degrees before you trust a number on "
            "the fireground.",
            did="leave the calculator on radians",
            minor=True,
        ),
        Slip(
            "weight-whole-without-arm",
            lambda row: row["weight"] + row["lbf"] * sin(radians(row["up"])) * row["out"],
            "The weight was added without its arm. Weight times how far out it acts gives its "
            "moment.",
            did="add the weight without its arm",
            minor=True,
        ),
        Slip(
            "share-of-ninety",
            lambda row: _down(row, stream=row["lbf"] * row["up"] / 90),
            "The angle was taken as a share of ninety degrees. The part square to the ladder "
            "takes the sine.",
            did="take a share of ninety degrees",
            minor=True,
        ),
        Slip(
            "reaction-as-it-is",
            lambda row: row["weight"] * row["centre"] / 100 * row["out"] + row["lbf"],
            "The reaction was added as it is. A force and a moment cannot be added: take its "
            "part square to the ladder times the length.",
            did="add the reaction as it is",
            minor=True,
        ),
        Slip(
            "degrees-as-percent",
            lambda row: _down(row, stream=row["lbf"] * row["up"] / 100),
            "Degrees were taken as percent. The part square to the ladder takes the sine.",
            did="take the degrees as percent",
            minor=True,
        ),
    ),
    example="1 lbf ft",
    first_step="First the weight times its arm, then the part of the reaction square to the ladder.",
    reread=LOADS,
)

# --- 7. what a short ladder spares ------------------------------------------------------------


def _sway(row):
    return loads.sway_ratio(row["long_lbf"], row["long"], row["short_lbf"], row["short"])


def _shares(row):
    return row["long_lbf"] / row["short_lbf"], row["long"] / row["short"]


SWAY = Question(
    id="low-level-shops-q7",
    title="Short against long",
    variable="sway",
    kind="times",
    unit="",
    together="product",
    points=1,
    rows=tuple(
        {"long": long, "short": short, "long_lbf": long_lbf, "short_lbf": short_lbf}
        for long, short in ((75, 40), (80, 38), (84, 42), (90, 40), (96, 44))
        for long_lbf, short_lbf in ((410, 240), (385, 220), (470, 250))
    ),
    keep=lambda row: _apart(SWAY, row),
    tolerance=0.03,
    tolerance_words="within 3 percent",
    ask=lambda row: (
        f"The same nozzle work, turned off to the side by the same angle: once with {row['long']} ft "
        f"of ladder out and {row['long_lbf']} lbf of side load at the tip, once low at the shops "
        f"with {row['short']} ft and {row['short_lbf']} lbf. A beam that is alike all along gives "
        "way at its end in step with the load and with its length to the third power. By that: how "
        "many times as far does the long ladder's tip sway? Within 3 percent. (A real ladder is not "
        "alike all along; this shows the size of it, and permits nothing.)"
    ),
    right=_sway,
    slips=(
        Slip(
            "length-alone",
            lambda row: _shares(row)[0] * _shares(row)[1],
            "The lengths were not raised to the third power. That is how the side moment grows; the "
            "sway grows much faster, which is why short is kind.",
            did="take the lengths as they are",
            part="length",
        ),
        Slip(
            "length-squared",
            lambda row: _shares(row)[0] * _shares(row)[1] ** 2,
            "The lengths were squared. Sway goes with the third power: length times length times "
            "length.",
            did="square the lengths",
            part="length",
        ),
        Slip(
            "load-forgotten",
            lambda row: _shares(row)[1] ** 3,
            "The loads were left out. The long ladder also bears the larger one.",
            0.5,
            did="leave the loads out",
            part="load",
        ),
        Slip(
            "lengths-forgotten",
            lambda row: _shares(row)[0],
            "Only the loads were compared. Length does most of it.",
            did="leave the lengths out",
            part="length",
        ),
        Slip(
            "load-cubed",
            lambda row: (_shares(row)[0] * _shares(row)[1]) ** 3,
            "The loads were raised to the third power as well. Twice the load gives twice the sway; "
            "only length counts threefold.",
            did="raise the loads to the third power too",
            part="load",
        ),
        Slip(
            "three-times",
            lambda row: _shares(row)[0] * 3 * _shares(row)[1],
            "The lengths were multiplied by three. To the third power means length times itself "
            "twice more.",
            did="multiply by three",
            part="length",
        ),
        Slip(
            "turned-round",
            lambda row: 1 / _sway(row),
            "That is the short ladder against the long one. Asked is the other way round.",
            0.5,
            did="divide short by long",
        ),
        Slip(
            "load-upside-down",
            lambda row: _shares(row)[1] ** 3 / _shares(row)[0],
            "The loads stand the wrong way up. The long ladder bears the larger one, so it "
            "sways more.",
            did="turn the loads round",
            minor=True,
        ),
        Slip(
            "fourth-power",
            lambda row: _shares(row)[0] * _shares(row)[1] ** 4,
            "The lengths were raised to the fourth power. It is the third: length times "
            "length times length.",
            did="take the fourth power",
            minor=True,
        ),
        Slip(
            "added",
            lambda row: _shares(row)[0] + _shares(row)[1] ** 3,
            "The two were added. Sway goes with both: multiply.",
            did="add",
            minor=True,
        ),
        Slip(
            "load-squared",
            lambda row: _shares(row)[0] ** 2 * _shares(row)[1] ** 3,
            "The loads were squared. Twice the load gives twice the sway.",
            did="square the loads",
            minor=True,
        ),
        Slip(
            "lengths-upside-down",
            lambda row: _shares(row)[0] / _shares(row)[1] ** 3,
            "The lengths stand the wrong way up. Long goes over short.",
            did="turn the lengths round",
            minor=True,
        ),
    ),
    example="99",
    first_step="First divide the lengths, and raise that to the third power.",
    reread=LOADS,
)

# --- 8. order of the moves for low work -------------------------------------------------------

_MOVES = (
    ("raise", "Lift the ladder clear of its bed"),
    ("rotate", "Turn the turntable until the ladder points at the shop front"),
    ("extend", "Run the ladder out, no farther than the work needs"),
    ("lower", "Bring the nozzle down under the head of the window"),
    ("line-up", "Bring ladder and nozzle into one line with what is to be hit, with the turntable"),
)


def _moving(department):
    return tuple({"device": device.name} for device in department.apparatus)


MOVES = Ordering(
    id="low-level-shops-q8",
    title="The ladder's moves",
    variable="moves",
    points=2,
    rows_from=_moving,
    ask=lambda row: (
        f"{row['device']} stands on its stabilisers before the shops, pads down, level, pinned, "
        "waterway pinned and touched, nobody on or under the ladder. Cars stand between. Put the "
        "moves to low work in order, from the bed on. (Which low angles it may work at, over which "
        "side, stands in its operator's manual.)"
    ),
    steps=lambda row: _MOVES,
    faults=set_up_rules(),
    reread="Lesson 07, recap, has the order of the moves.",
)

PAPER = Paper(
    name="low-level-shops",
    title="Low-level work on shops",
    version=VERSION,
    minutes=25,
    situation=(
        "Larkmoor Fire Department, 19:20. Fire in a row of one-storey shops at Gorse Lane; everybody "
        "is out and accounted for. The stream is to go in low through a shop window and come off the "
        "bare ceiling onto the stock. The incident commander has looked at the front wall, knows "
        "that the tip works inside the collapse zone, accepts it for now and looks again every few "
        "minutes. Low is not gentle in itself: a short ladder, modest flow and a nozzle in line are. "
        "Opening a shop front lets in air: water is ready first. (Department, shops and rigs are "
        "invented.)"
    ),
    questions=(PITCH, TRAVEL, ENTRY, RIG, FAULT, STACK, SWAY, MOVES),
)
