"""Questions of the assignment on the reaction of the nozzle.

Right answers come from `aerialstream`; each slip has its own wrong formula. Rows whose slips
cannot be told apart are left out when the tables below are built (`_kept`), and the tests go
through every row that is left.
"""

from math import cos, pi, radians, sin, sqrt, tan

from aerialstream._core import nozzles, reaction
from gradekit.questions import Paper, Question, Slip, WrittenQuestion

VERSION = "2026.1"


def _kept(question_of, rows):
    """A question with only those rows in which every slip stands clear of the others."""
    draft = question_of(tuple(rows))
    return question_of(tuple(row for row in rows if draft.distinct(row)))


# --- 1. smooth bore ---------------------------------------------------------------------------

_TIPS = {"1 3/8": 1.375, "1 1/2": 1.5, "1 5/8": 1.625, "1 3/4": 1.75, "1 7/8": 1.875}


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
                "flow-for-reaction",
                _tip_flow,
                "That is the flow of the tip in gpm, not its reaction.",
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
        slips=tuple(Slip(*parts) for parts in _SIDE_SLIPS),
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
                Slip(name, _with_arm(wrong), sentence)
                for name, wrong, sentence in _SIDE_SLIPS
                if name != "half-of-it"
            ),
            Slip(
                "extension-forgotten",
                _side_load,
                "That is the side load at the tip. The moment at the base is that load times the "
                "length of ladder out.",
            ),
            Slip(
                "length-in-inches",
                lambda row: 12 * _side_moment(row),
                "The length was put in as inches. Pound-feet take feet.",
                0.5,
            ),
            Slip(
                "half-the-length",
                lambda row: _side_moment(row) / 2,
                "Half the length was used. The reaction acts at the tip: take the whole length "
                "from base to nozzle.",
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

PAPER = Paper(
    name="nozzle-reaction",
    title="The reaction of the nozzle on the aerial",
    version=VERSION,
    situation=(
        "Larkmoor Fire Department, 02:40. Heavy smoke shows from the Weir Street Mill, three "
        "storeys of brick. Tower 3 is set up on side A and Ladder 9 on side C; both will put "
        "master streams through openings. You are asked what each stream does to its ladder. "
        "(Department, mill and rigs are invented.)"
    ),
    questions=(SMOOTH_BORE, FOG, SIDE, MOMENT, JUDGEMENT),
)
