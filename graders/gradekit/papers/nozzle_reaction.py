"""Questions of the assignment on the reaction of the nozzle.

Right answers come from `aerialstream`; each slip has its own wrong formula. Rows whose slips
cannot be told apart are left out when the tables of questions 1 to 4 are built (`_kept`), and the
tests go through every row that is left. Question 6 reads the department's own table.
"""

from math import cos, floor, pi, radians, sin, sqrt, tan

from aerialstream._core import nozzles, reaction
from gradekit.questions import (
    Choice,
    FindFault,
    LookUp,
    Option,
    Paper,
    Question,
    Slip,
    WrittenQuestion,
)

VERSION = "2026.1"


def _kept(question_of, rows):
    """A question with only those rows in which every slip stands clear of the others."""
    draft = question_of(tuple(rows))
    return question_of(tuple(row for row in rows if draft.distinct(row)))


# --- 1. smooth bore ---------------------------------------------------------------------------

_TIPS = {"1 3/8": 1.375, "1 1/2": 1.5, "1 5/8": 1.625, "1 3/4": 1.75, "1 7/8": 1.875}


def _run_together(tip_text):
    """What a calculator gets where a fraction is typed as decimals: "1 3/4" as 1.34."""
    whole, _, part = tip_text.partition(" ")
    return float(f"{whole}.{part.replace('/', '')}")


def _to_a_tenth(inches):
    """A tip rounded as people round: 1.75 is 1.8."""
    return floor(10 * inches + 0.5) / 10


def _tip_flow(row):
    return nozzles.smooth_bore_discharge_gpm(row["tip"], row["psi"])


def _smooth_bore(rows):
    return Question(
        id="nozzle-reaction-q1",
        title="Smooth bore",
        variable="reaction_1",
        kind="force",
        unit="lbf",
        points=2,
        rows=rows,
        ask=lambda row: (
            f"The ladder's nozzle is a smooth bore with a {row['tip_text']}-in tip, run at "
            f"{row['psi']} psi nozzle pressure. How large is its reaction, by the trade's formula "
            "for smooth-bore nozzles? Answer in pounds of force, within 1 percent."
        ),
        right=lambda row: nozzles.smooth_bore_reaction_lbf(row["tip"], row["psi"]),
        slips=(
            Slip(
                "diameter-not-squared",
                lambda row: 1.57 * row["tip"] * row["psi"],
                "The tip's diameter was not squared: diameter times diameter.",
            ),
            Slip(
                "diameter-doubled",
                lambda row: 1.57 * 2 * row["tip"] * row["psi"],
                "The diameter was doubled instead of squared: diameter times diameter.",
            ),
            Slip(
                "radius-for-diameter",
                lambda row: 1.57 * (row["tip"] / 2) ** 2 * row["psi"],
                "Half the tip was squared: the formula takes the whole diameter.",
            ),
            Slip(
                "factor-two-forgotten",
                lambda row: pi / 4 * row["tip"] ** 2 * row["psi"],
                "That is pressure times the area of the tip. A jet pushes back with twice that: "
                "use 1.57, not 0.785.",
            ),
            Slip(
                "root-of-pressure",
                lambda row: 1.57 * row["tip"] ** 2 * sqrt(row["psi"]),
                "The root of the pressure belongs to the flow formula. In the smooth-bore "
                "reaction the pressure stands as it is.",
            ),
            Slip(
                "handline-pressure",
                lambda row: 1.57 * row["tip"] ** 2 * 50,
                "50 psi was used, the usual pressure of a handline tip. Take the nozzle pressure "
                "that the question gives.",
            ),
            Slip(
                "fog-pressure",
                lambda row: 1.57 * row["tip"] ** 2 * 100,
                "100 psi was used, the usual pressure of a fog nozzle. Take the nozzle pressure "
                "that the question gives.",
            ),
            Slip(
                "fog-formula",
                lambda row: nozzles.fog_reaction_lbf(_tip_flow(row), row["psi"]),
                "That is the fog formula put to a smooth-bore tip. The smooth-bore formula works "
                "from the tip itself.",
                0.5,
            ),
            Slip(
                "half-the-gallonage",
                lambda row: _tip_flow(row) / 2,
                "That is the rule of thumb, half the gallonage: fine for a first idea on the "
                "ground, but the formula was asked for.",
                0.5,
            ),
            Slip(
                "third-of-the-gallonage",
                lambda row: _tip_flow(row) / 3,
                "That is a third of the gallonage, common practice with no source for low-pressure "
                "handlines. It reads far too low for a master stream.",
            ),
            Slip(
                "fraction-as-decimal",
                lambda row: 1.57 * _run_together(row["tip_text"]) ** 2 * row["psi"],
                "The fraction of the tip was typed as if it were decimals. Divide it out first: a "
                "quarter is 0.25, an eighth 0.125.",
                minor=True,
            ),
            Slip(
                "flow-for-reaction",
                _tip_flow,
                "That is the flow of the tip in gpm, not its reaction.",
            ),
            Slip(
                "usual-pressure",
                lambda row: 1.57 * row["tip"] ** 2 * 80,
                "That is the reaction at the usual pressure of a large smooth-bore tip. Take the "
                "nozzle pressure that the question gives.",
                did="work with the usual pressure of a large tip",
                minor=True,
            ),
            Slip(
                "tip-rounded",
                lambda row: 1.57 * _to_a_tenth(row["tip"]) ** 2 * row["psi"],
                "The tip was rounded to a tenth of an inch before it was squared. Squaring "
                "doubles what rounding was off: keep the eighths.",
                did="round the tip first",
                minor=True,
            ),
            Slip(
                "constant-forgotten",
                lambda row: row["tip"] ** 2 * row["psi"],
                "The constant was left out, so the number is no force at all: multiply by 1.57.",
                did="leave out the constant",
                minor=True,
            ),
            Slip(
                "constant-of-the-flow",
                lambda row: 29.7 * row["tip"] ** 2 * row["psi"],
                "The constant of the flow formula was put in. The reaction of a smooth bore has "
                "one of its own.",
                did="take the constant of the flow formula",
                minor=True,
            ),
            Slip(
                "area-of-the-tip",
                lambda row: 1.57 * pi / 4 * row["tip"] ** 2 * row["psi"],
                "The area of the tip was put in. The 1.57 has that share of a square in it "
                "already: put in diameter times diameter.",
                did="put in the area of the tip",
                minor=True,
            ),
            Slip(
                "tip-cubed",
                lambda row: 1.57 * row["tip"] ** 3 * row["psi"],
                "The tip was taken three times. It belongs in as diameter times diameter.",
                did="cube the diameter",
                minor=True,
            ),
            Slip(
                "pressure-squared",
                lambda row: 1.57 * row["tip"] ** 2 * row["psi"] ** 2,
                "The pressure was squared. The square belongs to the tip; the pressure stands as "
                "it is.",
                did="square the pressure",
                minor=True,
            ),
            Slip(
                "all-squared",
                lambda row: (1.57 * row["tip"]) ** 2 * row["psi"],
                "The constant was squared too. Only the diameter is.",
                did="square the constant too",
                minor=True,
            ),
        ),
        first_step="First square the tip's diameter.",
        reread="Lesson 03, worked example, has the same steps.",
    )


SMOOTH_BORE = _kept(
    _smooth_bore,
    [
        {"tip_text": text, "tip": tip, "psi": psi}
        for text, tip in _TIPS.items()
        for psi in (60, 65, 70, 75, 80)
    ],
)

# --- 2. fog -----------------------------------------------------------------------------------


def _fog(rows):
    return Question(
        id="nozzle-reaction-q2",
        title="Fog",
        variable="reaction_2",
        kind="force",
        unit="lbf",
        points=2,
        rows=rows,
        ask=lambda row: (
            f"The nozzle is now a fog nozzle on straight stream. The flow meter shows "
            f"{row['gpm']:,} gpm and the nozzle pressure is {row['psi']} psi. How large is its "
            "reaction, by the trade's formula for fog nozzles? Answer in pounds of force, within "
            "1 percent."
        ),
        right=lambda row: nozzles.fog_reaction_lbf(row["gpm"], row["psi"]),
        slips=(
            Slip(
                "no-root",
                lambda row: 0.0505 * row["gpm"] * row["psi"],
                "The root of the nozzle pressure was left out.",
            ),
            Slip(
                "hundreds-of-gpm",
                lambda row: 0.0505 * row["gpm"] / 100 * sqrt(row["psi"]),
                "The flow was put in as hundreds of gpm. That belongs to friction loss; here the "
                "flow stands in gpm.",
            ),
            Slip(
                "pressure-forgotten",
                lambda row: 0.0505 * row["gpm"],
                "The nozzle pressure was left out: multiply by its root.",
            ),
            Slip(
                "smooth-bore-pressure-80",
                lambda row: 0.0505 * row["gpm"] * sqrt(80),
                "80 psi was used, the usual pressure of a smooth-bore master stream. Take the "
                "pressure that the question gives.",
            ),
            Slip(
                # 0.5 Q by the rule and 0.505 Q by the formula at 100 psi cannot be told apart.
                "half-the-gallonage-or-100-psi",
                lambda row: 0.5025 * row["gpm"],
                "That is half the gallonage, or the formula at 100 psi. Both fit a nozzle at "
                "100 psi only; take the pressure that the question gives.",
                0.5,
            ),
            Slip(
                "third-of-the-gallonage",
                lambda row: row["gpm"] / 3,
                "That is a third of the gallonage, common practice with no source for low-pressure "
                "handlines.",
            ),
            Slip(
                "two-inch-tip",
                lambda row: nozzles.smooth_bore_reaction_lbf(2, row["psi"]),
                "That is the smooth-bore formula with a 2-in tip. A fog nozzle has no tip size: "
                "work from its flow.",
            ),
            Slip(
                "momentum",
                lambda row: nozzles.momentum_reaction_lbf(row["gpm"], row["psi"]),
                "That is the reaction by momentum theory: good physics, about 4 percent above the "
                "trade's formula, which was asked for.",
                0.75,
            ),
            Slip(
                "pressure-halved",
                lambda row: 0.0505 * row["gpm"] * row["psi"] / 2,
                "The pressure was halved. The formula takes its root, the number that times "
                "itself gives it.",
                did="halve the pressure instead of taking its root",
                minor=True,
            ),
            Slip(
                "root-of-the-flow",
                lambda row: 0.0505 * sqrt(row["gpm"]) * row["psi"],
                "The root was taken of the flow. It belongs to the pressure; the flow stands as "
                "it is.",
                did="take the root of the flow",
                minor=True,
            ),
            Slip(
                "root-of-both",
                lambda row: 0.0505 * sqrt(row["gpm"] * row["psi"]),
                "The root was taken of flow and pressure together. It belongs to the pressure "
                "alone.",
                did="take the root of both",
                minor=True,
            ),
            Slip(
                "constant-forgotten",
                lambda row: row["gpm"] * sqrt(row["psi"]),
                "The constant was left out, so the number is no force at all: multiply by 0.0505.",
                did="leave out the constant",
                minor=True,
            ),
            Slip(
                "root-divided",
                lambda row: 0.0505 * row["gpm"] / sqrt(row["psi"]),
                "It was divided by the root of the pressure. More pressure pushes harder: "
                "multiply.",
                did="divide by the root",
                minor=True,
            ),
            Slip(
                "smooth-bore-constant",
                lambda row: 1.57 * row["gpm"] * sqrt(row["psi"]),
                "The constant of the smooth-bore formula was put in. The fog formula works from "
                "the flow and has one of its own.",
                did="take the constant of the smooth bore",
                minor=True,
            ),
        ),
        first_step="First take the root of the nozzle pressure.",
        reread="Lesson 03, worked example, has the same steps.",
    )


FOG = _kept(
    _fog,
    [{"gpm": gpm, "psi": psi} for gpm in (500, 750, 1000, 1250, 1500) for psi in (60, 70, 75, 120)],
)

# --- 3. side load at the tip ------------------------------------------------------------------


def _side_load(row):
    return abs(reaction.tip_forces_lbf(row["lbf"], row["deg"], 0)[1])


_SIDE_SLIPS = (
    (
        "cosine-for-sine",
        lambda row: row["lbf"] * cos(radians(row["deg"])),
        "That is the part along the ladder. The side load takes the sine of the angle off the "
        "centre line.",
    ),
    (
        "degrees-as-radians",
        lambda row: abs(row["lbf"] * sin(row["deg"])),
        "The calculator stood on radians. Set it to degrees.",
    ),
    (
        "linear-share",
        lambda row: row["lbf"] * row["deg"] / 90,
        "The angle was taken as a share of 90 degrees. The side load grows faster than that at "
        "first: it goes with the sine.",
    ),
    (
        "all-of-it",
        lambda row: row["lbf"],
        "That is the whole reaction. Only at 90 degrees is all of it side load.",
    ),
    (
        "tangent",
        lambda row: row["lbf"] * tan(radians(row["deg"])),
        "The tangent was used. The side load is the reaction times the sine.",
    ),
    (
        "half-of-it",
        lambda row: row["lbf"] / 2,
        "That is half the reaction. The share depends on the angle: take its sine.",
    ),
    (
        "parts-added",
        lambda row: row["lbf"] * (sin(radians(row["deg"])) + cos(radians(row["deg"]))),
        "The two parts were added up. Only the side part was asked for.",
    ),
)


# Rarer ways to take the angle: told only where no other number is near.
_RARE_SIDE_SLIPS = (
    (
        "left-over",
        lambda row: row["lbf"] * (1 - cos(radians(row["deg"]))),
        "That is what the push along the ladder has lost. The side load is another part: the "
        "reaction times the sine.",
    ),
    (
        "side-load-halved",
        lambda row: _side_load(row) / 2,
        "The side load was halved. The whole of it pushes the tip, however many beams the ladder "
        "has.",
    ),
    (
        "sine-divided",
        lambda row: row["lbf"] / sin(radians(row["deg"])),
        "It was divided by the sine. No part of the reaction is larger than the whole: multiply.",
    ),
    (
        "cosine-divided",
        lambda row: row["lbf"] / cos(radians(row["deg"])),
        "It was divided by the cosine. No part of the reaction is larger than the whole, and the "
        "side load takes the sine.",
    ),
    (
        "gradians",
        lambda row: row["lbf"] * sin(radians(0.9 * row["deg"])),
        "The calculator stood on gradians, a hundred to the right angle. Set it to degrees.",
    ),
    (
        "share-left-of-ninety",
        lambda row: row["lbf"] * (90 - row["deg"]) / 90,
        "What is left of ninety degrees was taken as a share. The side load grows with the angle, "
        "and faster than a share at first: take the sine.",
    ),
    (
        "share-of-one-eighty",
        lambda row: row["lbf"] * row["deg"] / 180,
        "The angle was taken as a share of a half turn. The side load grows faster than any share "
        "of the angle: take the sine.",
    ),
)


def _side(rows):
    return Question(
        id="nozzle-reaction-q3",
        title="Off the centre line",
        variable="side_load",
        kind="force",
        unit="lbf",
        points=2,
        rows=rows,
        ask=lambda row: (
            f"A nozzle with {row['lbf']} lbf of reaction is turned {row['deg']} degrees to the "
            "left of the ladder's centre line; it is not tilted up or down from the ladder's "
            "line. How large is the side load on the tip? Answer in pounds of force, without a "
            "sign, within 1 percent."
        ),
        right=_side_load,
        slips=(
            *(Slip(*parts) for parts in _SIDE_SLIPS),
            *(Slip(*parts, minor=True) for parts in _RARE_SIDE_SLIPS),
        ),
        example="9,000 lbf",
        first_step="First take the sine of the angle off the centre line.",
        reread="Lesson 03 shows it: turn the nozzle in the panel and watch the side load.",
    )


# No reaction shown here is within 2 percent of a right answer to questions 1 to 3.
_TURNS = [
    {"lbf": lbf, "deg": deg}
    for lbf in (258, 353, 432, 513, 647)
    for deg in (15, 20, 25, 35, 40, 50)
]
SIDE = _kept(_side, _TURNS)

# --- 4. side moment at the base ---------------------------------------------------------------


def _side_moment(row):
    forces = reaction.tip_forces_lbf(row["lbf"], row["deg"], 0)
    return abs(reaction.base_moments_lbf_ft(forces, row["ft"])[2])


def _with_arm(wrong):
    return lambda row: wrong(row) * row["ft"]


def _moment(rows):
    return Question(
        id="nozzle-reaction-q4",
        title="At the base",
        variable="side_moment",
        kind="moment",
        unit="lbf*foot",
        together="product",
        points=2,
        rows=rows,
        ask=lambda row: (
            f"On the same call another ladder stands {row['ft']} feet out, base to nozzle. Its "
            f"nozzle has {row['lbf']} lbf of reaction and is turned {row['deg']} degrees off the "
            "centre line, not tilted. How large is the side moment at the base of the ladder? "
            "Answer in pound-feet (lbf ft), without a sign, within 1 percent."
        ),
        right=_side_moment,
        slips=(
            *(
                Slip(name, _with_arm(wrong), sentence, part="angle")
                for name, wrong, sentence in _SIDE_SLIPS
                if name != "half-of-it"
            ),
            Slip(
                "extension-forgotten",
                _side_load,
                "That is the side load at the tip. The moment at the base is that load times the "
                "length of ladder out.",
                part="length",
            ),
            Slip(
                "length-in-inches",
                lambda row: 12 * _side_moment(row),
                "The length was put in as inches. Pound-feet take feet.",
                0.5,
                part="length",
            ),
            *(
                Slip(name, _with_arm(wrong), sentence, minor=True)
                for name, wrong, sentence in _RARE_SIDE_SLIPS
                if name not in ("side-load-halved", "share-of-one-eighty")
            ),
            Slip(
                "half-the-length",
                lambda row: _side_moment(row) / 2,
                "Half the length was used. The reaction acts at the tip: take the whole length "
                "from base to nozzle.",
                part="length",
            ),
            Slip(
                "length-divided",
                lambda row: _side_load(row) / row["ft"],
                "It was divided by the length. A longer ladder feels more at its base: multiply.",
                did="divide by the length",
                minor=True,
            ),
            Slip(
                "length-squared",
                lambda row: _side_load(row) * row["ft"] ** 2,
                "The length was squared. A moment is force times arm, once.",
                did="square the length",
                minor=True,
            ),
            Slip(
                "reaction-forgotten",
                lambda row: sin(radians(row["deg"])) * row["ft"],
                "The reaction was left out. The side load is its part across the ladder, in "
                "pounds.",
                did="leave the reaction out",
                minor=True,
            ),
        ),
        first_step="First find the side load at the tip, then multiply by the length out.",
        reread="Lesson 03 shows it: lengthen the ladder in the panel and watch the moment.",
    )


MOMENT = _kept(_moment, [{**row, "ft": ft} for row in _TURNS for ft in (45, 60, 75, 85)])

# --- 5. a judgement in words ------------------------------------------------------------------

_WINDOWS = (
    {"deg": 35, "where": "second-floor window", "rig": "Tower 3"},
    {"deg": 45, "where": "loading-platform door", "rig": "Ladder 9"},
    {"deg": 50, "where": "third-floor window", "rig": "Tower 3"},
)

JUDGEMENT = WrittenQuestion(
    id="nozzle-reaction-q5",
    title="Your judgement",
    variable="judgement",
    points=2,
    rows=_WINDOWS,
    ask=lambda row: (
        f"{row['rig']} is set up at the mill and flowing. The officer now wants the stream in a "
        f"{row['where']} that lies {row['deg']} degrees off the ladder's line, and asks you to "
        "“just swing the nozzle over”. What do you do, in what order, and why? Say what you look "
        "up, and where. Three to six sentences; your instructor marks this one."
    ),
    guide=(
        (0.5, "shuts down or gates back slowly before moving; tells command and the pump operator"),
        (
            0.5,
            "brings the ladder's centre line to the target with the turntable, or re-spots, "
            "before turning the nozzle; does not sweep at full flow",
        ),
        (0.5, "reason: side load and twist; the ladder is weakest sideways; length makes it worse"),
        (
            0.5,
            "looks up rotation, flow and extension in this device's operator's manual and "
            "local procedure; does not use another rig's figure or a rule of thumb",
        ),
    ),
    reread="Lesson 03, recap and cautions.",
)

# --- 6. what the department's own table says ----------------------------------------------------


def _in(value, unit):
    return round(value.to(unit).magnitude, 1)


def _entered(device):
    """Lines of the device's table: (flow up to, length up to, rotation up to)."""
    return [
        (
            _in(line.flow_up_to, "gpm"),
            _in(line.extension_up_to, "foot"),
            _in(line.rotation_up_to, "degree"),
        )
        for line in device.manual_limits
    ]


def _words(lines):
    return (
        "; ".join(
            f"up to {flow:,g} gpm and {feet:g} ft out: {deg:g} degrees" for flow, feet, deg in lines
        )
        or "nothing"
    )


def _limit_rows(department):
    """Every device with flows and lengths that lie in, between and beyond its entered lines."""
    tables = {device.name: _entered(device) for device in department.apparatus}
    if not any(tables.values()):
        return ()
    rows = []
    for device in department.apparatus:
        lines, longest = tables[device.name], _in(device.extension.most, "foot")
        for gpm in (500, 700, 1000, 1200, 1500):
            for feet in (60, 70, 90):
                # Where nothing is entered every flow and length has one answer: two rows do.
                if feet > longest or (not lines and (feet != 60 or gpm not in (700, 1000))):
                    continue
                covering = [deg for flow, most, deg in lines if gpm <= flow and feet <= most]
                limit = max(covering, default=None)
                rows.append(
                    {
                        "device": device.name,
                        "table": _words(lines),
                        "gpm": gpm,
                        "feet": feet,
                        "limit": limit,
                        "travel": _in(device.nozzle_travel.left, "degree"),
                        "other": next((deg for _, _, deg in lines if deg != limit), None),
                        "another": next(
                            (
                                deg
                                for name, found in tables.items()
                                for _, _, deg in found
                                if name != device.name
                            ),
                            None,
                        ),
                    }
                )
    return tuple(rows)


LIMIT = LookUp(
    id="nozzle-reaction-q6",
    title="What the manual allows",
    variable="rotation_limit",
    kind="angle",
    unit="degree",
    points=2,
    rows_from=_limit_rows,
    keep=lambda row: not LIMIT.judge(row, LIMIT.example_answer).points,
    tolerance=0.0,
    allow=0.5,
    tolerance_words="within half a degree",
    ask=lambda row: (
        f"{row['device']} is to flow {row['gpm']:,} gpm with {row['feet']} ft of ladder out. The "
        f"nozzle itself moves {row['travel']:g} degrees to the left. Entered from the operator's "
        f"manual of {row['device']}, how far it may be turned off the centre line: {row['table']}. "
        "How far may it be turned here, as entered? If no line covers that, type: not entered."
    ),
    right=lambda row: row["limit"],
    slips=(
        Slip(
            "another-line",
            lambda row: row["other"],
            "That number stands in a line for another flow or length. A line counts only where it "
            "covers both.",
            0.0,
            did="read another line",
        ),
        Slip(
            "travel-for-limit",
            lambda row: row["travel"],
            "That is how far the nozzle can move. How far it may move with water on is another "
            "matter: the ladder has to bear it.",
            0.0,
            did="take how far the nozzle can move",
        ),
        Slip(
            "another-rig",
            lambda row: row["another"],
            "That number was entered for another rig. Rigs differ: where nothing is entered for "
            "this one, its operator's manual is asked before the nozzle is turned.",
            0.0,
            did="take the number of another rig",
        ),
        Slip(
            "none-allowed",
            lambda row: 0 if row["limit"] is None else None,
            "Nothing entered does not mean that none is allowed, nor that any is: it means "
            "that the kit does not know. Ask the operator's manual.",
            0.0,
            did="read nothing entered as none allowed",
            minor=True,
        ),
    ),
    example="99 deg",
    first_step="Find the lines that cover both the flow and the length.",
    reread="Lesson 03, the example on the limit, shows how to read the table.",
)

# --- 7. find the fault --------------------------------------------------------------------------

_FAULTY = {"factor": "reaction", "cosine": "side", "share": "side"}


def _belongs(row):
    """What belongs in the steps."""
    lbf = nozzles.smooth_bore_reaction_lbf(row["tip"], row["psi"])
    return {"reaction": lbf, "side": abs(reaction.tip_forces_lbf(lbf, row["deg"], 0)[1])}


def _stands(row):
    """What stands in the steps: one is wrong, and those after it follow from it."""
    half = 0.5 if row["slip"] == "factor" else 1
    lbf = half * _belongs(row)["reaction"]
    share = {"cosine": cos(radians(row["deg"])), "share": row["deg"] / 90}
    return {"reaction": lbf, "side": lbf * share.get(row["slip"], sin(radians(row["deg"])))}


def _fault_lines(row):
    stands = _stands(row)
    return (
        ("square", f"Diameter times diameter: {row['tip'] ** 2:.3f}."),
        ("reaction", f"Reaction, from that and {row['psi']} psi: {stands['reaction']:.1f} lbf."),
        ("side", f"Side load at {row['deg']} degrees off the line: {stands['side']:.1f} lbf."),
        (
            "moment",
            f"Side moment with {row['ft']} ft out: {stands['side'] * row['ft']:,.0f} lbf ft.",
        ),
    )


def _where(slip, number):
    """A slip that only goes with one of the faults."""
    return lambda row: number(row) if row["slip"] == slip else None


FAULT = FindFault(
    id="nozzle-reaction-q7",
    title="Find the fault",
    variable="fault",
    points=2,
    rows=tuple(
        {"tip_text": text, "tip": _TIPS[text], "psi": psi, "deg": deg, "ft": ft, "slip": slip}
        for text, psi in (("1 3/8", 70), ("1 1/2", 80), ("1 3/4", 75))
        for deg, ft in ((20, 70), (35, 55))
        for slip in _FAULTY
    ),
    ask=lambda row: (
        f"A {row['tip_text']}-in smooth bore at {row['psi']} psi, turned {row['deg']} degrees off the "
        f"centre line, {row['ft']} ft of ladder out. Somebody worked out the side moment at the base "
        "like this, and one step is wrong. Which, and how many pounds of force belong there, if all "
        "above it stands? Within 1 percent."
    ),
    steps=_fault_lines,
    fault=lambda row: _FAULTY[row["slip"]],
    stands=lambda row: _stands(row)[_FAULTY[row["slip"]]],
    number=Question(
        id="nozzle-reaction-q7-number",
        variable="",
        points=1,
        ask=lambda row: "",
        kind="force",
        unit="lbf",
        right=lambda row: _belongs(row)[_FAULTY[row["slip"]]],
        slips=(
            Slip(
                "diameter-doubled",
                _where("factor", lambda row: 1.57 * 2 * row["tip"] * row["psi"]),
                "The diameter was doubled. The square stands in the step above.",
                did="double the diameter",
            ),
            Slip(
                "handline-pressure",
                _where("factor", lambda row: 1.57 * row["tip"] ** 2 * 50),
                "That is the reaction at a handline's pressure. Take the pressure of the question.",
                did="take a handline's pressure",
            ),
            Slip(
                "tangent",
                _where("share", lambda row: _belongs(row)["reaction"] * tan(radians(row["deg"]))),
                "The tangent was used. The side load is the reaction times the sine.",
                did="take the tangent",
            ),
            Slip(
                "along-the-ladder",
                _where("share", lambda row: _belongs(row)["reaction"] * cos(radians(row["deg"]))),
                "That is the part along the ladder. The side load takes the sine.",
                did="take the part along the ladder",
            ),
            Slip(
                "share-of-ninety",
                _where("cosine", lambda row: _belongs(row)["reaction"] * row["deg"] / 90),
                "The angle was taken as a share of ninety degrees. Side load grows faster than that "
                "at first: take the sine.",
                did="take a share of ninety degrees",
            ),
            Slip(
                "whole-reaction",
                lambda row: _belongs(row)["reaction"] if _FAULTY[row["slip"]] == "side" else None,
                "That is the whole reaction. Only square across the ladder is all of it side load.",
                did="give the whole reaction",
                minor=True,
            ),
            Slip(
                "degrees-as-radians",
                lambda row: (
                    _belongs(row)["reaction"] * abs(sin(row["deg"]))
                    if _FAULTY[row["slip"]] == "side"
                    else None
                ),
                "The calculator stood on radians. Set it to degrees.",
                did="leave the calculator on radians",
                minor=True,
            ),
            Slip(
                "tangent-there",
                lambda row: (
                    _belongs(row)["reaction"] * tan(radians(row["deg"]))
                    if row["slip"] == "cosine"
                    else None
                ),
                "The tangent was used. The side load is the reaction times the sine.",
                did="take the tangent",
                minor=True,
            ),
            Slip(
                "root-of-pressure",
                lambda row: (
                    1.57 * row["tip"] ** 2 * sqrt(row["psi"]) if row["slip"] == "factor" else None
                ),
                "The root of the pressure belongs to the flow formula. Here the pressure stands "
                "as it is.",
                did="take the root of the pressure",
                minor=True,
            ),
            Slip(
                "constant-forgotten",
                lambda row: row["tip"] ** 2 * row["psi"] if row["slip"] == "factor" else None,
                "The constant was left out: multiply by 1.57.",
                did="leave out the constant",
                minor=True,
            ),
            Slip(
                "flow-for-reaction",
                lambda row: (
                    29.7 * row["tip"] ** 2 * sqrt(row["psi"]) if row["slip"] == "factor" else None
                ),
                "That is the flow of the tip, not its reaction.",
                did="work out the flow",
                minor=True,
            ),
            Slip(
                "moment-for-side-load",
                lambda row: (
                    _belongs(row)["side"] * row["ft"] if _FAULTY[row["slip"]] == "side" else None
                ),
                "That is the moment already. This step is the side load, before the length.",
                did="work out the moment",
                minor=True,
            ),
            Slip(
                "not-squared",
                lambda row: 1.57 * row["tip"] * row["psi"] if row["slip"] == "factor" else None,
                "The diameter was not squared. The square stands in the step above.",
                did="leave the diameter unsquared",
                minor=True,
            ),
        ),
        example="9 lbf",
        first_step="Work that step anew, from what stands above it.",
        reread="Lesson 03, worked example, has the same steps.",
    ),
    reread="Lesson 03, worked example, has the same steps.",
)

# --- 8. opening and shutting --------------------------------------------------------------------


def _valve(opening, shutting):
    return lambda row: shutting if row["shut"] else opening


VALVE = Choice(
    id="nozzle-reaction-q8",
    title="Opening and shutting",
    variable="valve",
    points=1,
    rows_from=lambda department: tuple(
        {"device": device.name, "shut": shut}
        for device in department.apparatus
        for shut in (False, True)
    ),
    ask=lambda row: (
        f"{row['device']} stands high before a window of the mill, its nozzle pitched down into it. "
        + (
            "The window has darkened, and the stream is to be shut. How do you shut it?"
            if row["shut"]
            else "The waterway is filled, everybody is counted and clear. How do you open?"
        )
    ),
    options=(
        Option(
            name="slowly",
            text=_valve(
                "Slowly, while the pump is brought up step by step, eyes on the tip",
                "Slowly, while the pump is brought down step by step, eyes on the tip",
            ),
            reason="The ladder takes up or loses the push bit by bit, and whoever watches can say "
            "stop.",
            right=True,
        ),
        Option(
            name="at-once",
            text=_valve(
                "All at once, so that the stream is there before the fire grows",
                "All at once, so that not a gallon more runs into the building",
            ),
            reason="A push that comes or goes at once makes the ladder spring, and water started or "
            "stopped at once strikes hose, pump and waterway.",
        ),
        Option(
            name="while-turning",
            text=_valve(
                "While the ladder still turns toward the window, to lose no time",
                "While the ladder turns away to the next window, to lose no time",
            ),
            reason="A ladder that moves while its load changes swings. One thing at a time: stand, "
            "then water; no water, then move.",
        ),
        Option(
            name="to-the-side",
            text=_valve(
                "With the nozzle off to the side, then swing the stream onto the window",
                "After swinging the nozzle off to the side, out of the window",
            ),
            reason="Off to the side the reaction pushes across the ladder, where it is weakest, and "
            "the swing makes it worse.",
        ),
        Option(
            name="somebody-at-the-tip",
            text=_valve(
                "After somebody has climbed to the tip to steady the nozzle",
                "After somebody has climbed to the tip to close the valve by hand",
            ),
            reason="Nobody is on the ladder or under it while it is charged or its load changes, "
            "unless its manual says how.",
        ),
    ),
    reread="Lesson 03, cautions.",
)

PAPER = Paper(
    name="nozzle-reaction",
    title="The nozzle's reaction on the aerial",
    version=VERSION,
    situation=(
        "Larkmoor Fire Department, 02:40. Heavy smoke shows from the Weir Street Mill, three "
        "storeys of brick. Tower 3 is set up on side A and Ladder 9 on side C; both will put "
        "master streams through openings. You are asked what each stream does to its ladder. "
        "(Department, mill and rigs are invented.)"
    ),
    minutes=25,
    questions=(SMOOTH_BORE, FOG, SIDE, MOMENT, JUDGEMENT, LIMIT, FAULT, VALVE),
)
