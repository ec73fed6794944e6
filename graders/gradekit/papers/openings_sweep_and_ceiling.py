"""Questions of the assignment on openings, sweep and ceiling.

Right answers come from `aerialstream`; each slip has its own wrong formula. Openings, rooms, ceilings
and slabs are those of the department's own buildings; where the nozzle stands is made up, always near
enough for a straight line to stand for the stream.
"""

from math import acos, asin, atan, cos, degrees, nan, radians, sin, tan

from aerialstream._core import aerials, surfaces
from gradekit.papers.what_the_water_meets import (
    FARTHEST_FT,
    feet,
    openings,
    rigged,
    round_half,
)
from gradekit.questions import (
    Choice,
    Condition,
    Option,
    Ordering,
    Paper,
    Part,
    Plan,
    Question,
    Rule,
    Slip,
    broken_rules,
)

VERSION = "2026.2"
EXAMPLE = "Lesson 06, worked example, has the same steps."
PANEL = "Lesson 06 shows it: move the nozzle in the panel and watch where the stream strikes."
RECAP = "Lesson 06, recap: what each way of striking does with the water."
SPARE_FT = 1  # to sill and head: a stream is as thick as an arm and never quite still


def _slope(deg):
    return tan(radians(deg))


def _unless_near(right, wrong, by):
    """A slip's number, or None where it can hardly be told from the right one."""
    return None if abs(wrong - right) <= by else wrong


# --- 1. the steepest line through the opening ---------------------------------------------------


def _through(department):
    """A nozzle below the head of an opening, a line under the head that strikes the ceiling."""
    rows = []
    lines = ((10, 28), (12, 22), (14, 26), (16, 19), (18, 16), (12, 31), (15, 24), (20, 17))
    for row in openings(department):
        for away, deg in lines:
            tip = round_half(row["head"] - SPARE_FT - away * _slope(deg))
            made = {**row, "tip": tip, "away": away}
            inside = _strikes(made, _steepest(made)) if tip >= 3 else 0
            if 3 < inside < min(row["deep"] - 4, FARTHEST_FT - away):
                rows.append(made)
    return rigged(department, rows, ("sill", "head", "ceiling", "away", "tip"))


def _line_deg(row, away, height):
    """Pitch of the straight line from the nozzle to a point so far ahead and so high."""
    return aerials.elevation_and_extension(row["tip"], 0, away, height)[1]


def _steepest(row):
    return _line_deg(row, row["away"], row["head"] - SPARE_FT)


def _turned_back(function, share):
    """The angle of another function; not a number where it has none."""
    return degrees(function(share)) if abs(share) <= 1 else nan


def _strikes(row, deg):
    return (row["ceiling"] - row["tip"]) / _slope(deg) - row["away"]


def _climb(row):
    return row["head"] - SPARE_FT - row["tip"]


STEEPEST = Question(
    id="openings-sweep-and-ceiling-q1",
    title="The steepest line through",
    variable="steepest",
    kind="angle",
    unit="degree",
    points=2,
    rows_from=_through,
    tolerance=0.0,
    allow=0.5,
    tolerance_words="within half a degree",
    ask=lambda row: (
        f"{row['rig']} is to strike the ceiling through {row['place']}: sill {feet(row['sill'])}, head "
        f"{feet(row['head'])}, ceiling {feet(row['ceiling'])}, all above the ground outside. The nozzle "
        f"is {feet(row['away'])} out from the wall, {feet(row['tip'])} above the ground, square to the "
        f"wall. The middle of the stream shall pass {SPARE_FT} ft under the head. Taken as a straight "
        "line: how steeply upward is that? Answer in degrees above level, within half a degree."
    ),
    right=_steepest,
    slips=(
        Slip(
            "spare-foot-forgotten",
            lambda row: _line_deg(row, row["away"], row["head"]),
            "The line was drawn to the head itself. A stream has a thickness and is never quite still: a "
            "part of it would strike the wall above.",
            0.5,
            did="aim at the head itself",
        ),
        Slip(
            "spare-foot-added",
            lambda row: _line_deg(row, row["away"], row["head"] + SPARE_FT),
            "The foot to spare was added. Above the head is wall: the stream has to pass under it.",
            did="add the foot to spare",
        ),
        Slip(
            "nozzle-on-the-ground",
            lambda row: degrees(atan((row["head"] - SPARE_FT) / row["away"])),
            "The height was taken from the ground. The stream starts at the nozzle: take off the nozzle's "
            "height, or the line strikes the wall far above the opening.",
            did="leave the nozzle's height out",
        ),
        Slip(
            "ceiling-for-head",
            lambda row: _line_deg(row, row["away"], row["ceiling"]),
            "The ceiling's height was taken at the wall. The stream has to come in under the head first and "
            "meets the ceiling later.",
            did="take the ceiling's height at the wall",
        ),
        Slip(
            "from-the-plumb-line",
            lambda row: 90 - _steepest(row),
            "Rise and way ahead were swapped: that is the angle to a plumb line. A pitch is counted from "
            "level.",
            did="swap rise and way",
        ),
        Slip(
            "percent-for-degrees",
            lambda row: _unless_near(_steepest(row), 100 * _climb(row) / row["away"], 1.1),
            "That is the slope in percent. Turn it into an angle: the tangent backwards.",
            0.5,
            did="stop at the slope in percent",
        ),
        Slip(
            "radians-for-degrees",
            lambda row: radians(_steepest(row)),
            "The calculator answered in radians. Set it to degrees before you trust an angle.",
            0.5,
            did="leave the calculator on radians",
        ),
        Slip(
            "sill-to-head",
            lambda row: degrees(atan((row["head"] - SPARE_FT - row["sill"]) / row["away"])),
            "The rise was counted from the sill. The stream climbs from the nozzle, wherever the sill is.",
            did="count the rise from the sill",
        ),
        Slip(
            "line-to-the-sill",
            lambda row: _line_deg(row, row["away"], row["sill"]),
            "That is the line to the sill. The steepest way in passes just under the head.",
            did="aim at the sill",
            minor=True,
        ),
        Slip(
            "line-to-the-middle",
            lambda row: _line_deg(row, row["away"], (row["sill"] + row["head"]) / 2),
            "That is the line through the middle of the opening. The steepest way in passes "
            "just under the head.",
            did="aim at the middle of the opening",
            minor=True,
        ),
        Slip(
            "sine-for-tangent",
            lambda row: _turned_back(asin, _climb(row) / row["away"]),
            "The way to the wall was taken as the long side. Rise over level way is the tangent.",
            did="take the sine",
            minor=True,
        ),
        Slip(
            "cosine-for-tangent",
            lambda row: _turned_back(acos, _climb(row) / row["away"]),
            "The cosine was taken. Rise over level way is the tangent.",
            did="take the cosine",
            minor=True,
        ),
        Slip(
            "above-the-sill",
            lambda row: _line_deg(row, row["away"], row["sill"] + SPARE_FT),
            "The foot to spare was put on the sill. That is the flattest way in; the steepest "
            "passes under the head.",
            did="put the foot to spare on the sill",
            minor=True,
        ),
        Slip(
            "share-of-ninety",
            lambda row: 90 * _climb(row) / row["away"],
            "The slope was taken as a share of ninety degrees. Take the angle whose tangent it is.",
            did="take a share of ninety degrees",
            minor=True,
        ),
        Slip(
            "share-of-forty-five",
            lambda row: 45 * _climb(row) / row["away"],
            "The slope was taken as a share of 45 degrees. That is right at both ends only: "
            "take the angle whose tangent it is.",
            did="take a share of 45 degrees",
            minor=True,
        ),
        Slip(
            "under-the-ceiling",
            lambda row: _line_deg(row, row["away"], row["ceiling"] - SPARE_FT),
            "The foot to spare was put under the ceiling. It belongs under the head of the "
            "opening.",
            did="put the foot to spare under the ceiling",
            minor=True,
        ),
        Slip(
            "rise-in-feet",
            lambda row: _climb(row),
            "That is how many feet it climbs. Asked is the angle.",
            did="stop at the rise",
            minor=True,
        ),
    ),
    example="77 deg",
    first_step="First find how far the stream has to climb on its way to the wall.",
    reread=EXAMPLE,
)

# --- 2. on to the next opening ------------------------------------------------------------------


def _next_openings(department):
    """A nozzle square to one opening; the next one so many feet along the same wall."""
    rows = []
    ways = ((20, 15), (24, 10), (18, 15), (25, 14), (16, 12), (30, 16), (22, 9), (28, 20), (20, 12))
    for n, row in enumerate(openings(department)):
        for away, along in (*ways[n % len(ways) :], *ways[: n % len(ways)])[:4]:
            rows.append({**row, "away": away, "along": along})
    return rigged(department, rows, ("away", "along"))


def _turned(row):
    return degrees(atan(row["along"] / row["away"]))


def _by_arc(row, of):
    """The angle whose sine or cosine is the way along by the way out; None where there is none."""
    return degrees(of(row["along"] / row["away"])) if row["along"] < row["away"] else None


NEXT_ONE = Question(
    id="openings-sweep-and-ceiling-q2",
    title="On to the next opening",
    variable="turned",
    kind="angle",
    unit="degree",
    points=2,
    rows_from=_next_openings,
    tolerance=0.0,
    allow=0.5,
    tolerance_words="within half a degree",
    ask=lambda row: (
        f"{row['rig']}'s nozzle is {feet(row['away'])} out from {row['place']}, square to it and in line "
        f"with the ladder. The middle of the next opening is {feet(row['along'])} along the same wall. "
        "Somebody wants to leave the ladder where it is and swing the nozzle over. To look that up in the "
        "operator's manual you need the angle: seen from above, how many degrees off the ladder's line "
        "would the nozzle come? Answer without a sign, within half a degree."
    ),
    right=_turned,
    slips=(
        Slip(
            "way-along-and-out-swapped",
            lambda row: 90 - _turned(row),
            "Way along and way out were swapped: that is the angle to the wall. The nozzle starts square "
            "to the wall, and is turned from there.",
            did="swap way along and way out",
        ),
        Slip(
            "sine-for-tangent",
            lambda row: _by_arc(row, asin),
            "The sine was taken. The way out stands square to the way along, so the tangent gives the "
            "angle; the sine would need the length of the stream.",
            0.5,
            did="take the sine backwards",
        ),
        Slip(
            "cosine-for-tangent",
            lambda row: _by_arc(row, acos),
            "The cosine was taken. The way out stands square to the way along, so the tangent gives the "
            "angle.",
            did="take the cosine backwards",
        ),
        Slip(
            "percent-for-degrees",
            lambda row: 100 * row["along"] / row["away"],
            "That is feet along for a hundred feet out. Turn it into an angle: the tangent backwards.",
            0.5,
            did="stop at the percent",
        ),
        Slip(
            "radians-for-degrees",
            lambda row: radians(_turned(row)),
            "The calculator answered in radians. Set it to degrees before you trust an angle.",
            0.5,
            did="leave the calculator on radians",
        ),
        Slip(
            "feet-for-degrees",
            lambda row: row["along"],
            "Those are the feet along the wall. How many degrees they are hangs on how far out the nozzle "
            "stands: the nearer, the more.",
            did="take the feet along as degrees",
        ),
        Slip(
            "halfway",
            lambda row: degrees(atan(row["along"] / 2 / row["away"])),
            "Half of the way along was taken. The stream stood in the middle of one opening and has to come "
            "to the middle of the other.",
            did="take half of the way along",
            minor=True,
        ),
        Slip(
            "to-and-fro",
            lambda row: 2 * _turned(row),
            "The angle was doubled. Asked is how far the nozzle comes off the ladder's line on one side.",
            0.5,
            did="double the angle",
            minor=True,
        ),
        Slip(
            "share-of-ninety",
            lambda row: 90 * row["along"] / row["away"],
            "The way along was taken as a share of ninety degrees. Take the angle whose "
            "tangent it is.",
            did="take a share of ninety degrees",
            minor=True,
        ),
        Slip(
            "share-of-forty-five",
            lambda row: 45 * row["along"] / row["away"],
            "The way along was taken as a share of 45 degrees. That is right at both ends "
            "only: take the angle whose tangent it is.",
            did="take a share of 45 degrees",
            minor=True,
        ),
        Slip(
            "angle-halved",
            lambda row: _turned(row) / 2,
            "The angle was halved. The nozzle turns all of it, from one opening to the next.",
            did="halve the angle",
            minor=True,
        ),
    ),
    example="3 deg",
    first_step="First draw it from above: way out from nozzle to wall, then square to it the way along.",
    reread="Lesson 06, recap: the next opening. Lesson 03 has what such an angle does.",
)

# --- 3. from opening to opening ---------------------------------------------------------------


def _steps(row):
    return (
        ("clear", "Command has everybody out of the stream's way and accounted for"),
        ("line-up", f"Bring ladder and nozzle in line with the first {row['what']}, dry"),
        ("open", f"Open slowly and hold the stream in the first {row['what']}"),
        ("watch", "Watch what comes back out: does the smoke change, does the water run off?"),
        ("move", f"Gate back slowly, then turn the turntable to the next {row['what']}"),
    )


FROM_ONE_TO_NEXT = Ordering(
    id="openings-sweep-and-ceiling-q3",
    title="From opening to opening",
    variable="next_opening",
    points=2,
    rows=(
        {"where": "Fire shows in three windows of the mill", "what": "window"},
        {"where": "Fire shows in two of the shops", "what": "shop front"},
        {"where": "Fire shows behind two doors of the cold store", "what": "door"},
    ),
    ask=lambda row: (
        f"{row['where']}, and one stream is to work them one after the other. Put these steps in order, "
        "from first to last."
    ),
    steps=_steps,
    faults=broken_rules(
        (
            Rule(
                "clear",
                "open",
                "Nobody opens a master stream before everybody in its way is out and accounted for.",
            ),
            Rule(
                "line-up",
                "open",
                "Ladder and nozzle are brought in line dry. Swinging a flowing stream across the front loads "
                "the ladder sideways and wets the wall.",
            ),
            Rule("open", "watch", "What comes back out can be watched only once water goes in."),
            Rule(
                "watch",
                "move",
                "Look what the water has done before you leave an opening; else nobody knows whether it "
                "worked.",
            ),
        )
    ),
    reread="Lesson 06, cautions and recap.",
)

# --- 4. steep, flat or along the floor --------------------------------------------------------

_FIRES = (
    {
        "fire": "Goods burn on the floor right behind the window wall, hidden from the nozzle by the sill. "
        "The tip can come near and low. Overhead is a level concrete slab.",
        "best": "steep",
    },
    {
        "fire": "Rolls of cloth burn on the floor a few steps behind a shop front, behind a low counter "
        "that stops anything aimed straight at them. The tip can come near and low. The deck overhead is "
        "bare and level.",
        "best": "steep",
    },
    {
        "fire": "Goods burn along the rear of a deep room. Full racks stand across it, as high as the "
        "head of the window, but between them and a bare, level concrete slab it is free all the "
        "way.",
        "best": "flat",
    },
    {
        "fire": "Fire has run to the far end of a long hall under a bare, level deck. Stacked pallets stand "
        "in the way of anything low; above them the hall is free.",
        "best": "flat",
    },
    {
        "fire": "Melted and spilled stock burns on an open floor in the middle of the room, in plain view "
        "from the nozzle, which stands above the sill. The ceiling has come down.",
        "best": "floor",
    },
    {
        "fire": "Low heaps burn all over an open loading floor. The nozzle looks down on them through a "
        "tall door. The roof overhead has burnt away.",
        "best": "floor",
    },
)


def _best(name):
    return lambda row: row["best"] == name


WHICH_WAY = Choice(
    id="openings-sweep-and-ceiling-q4",
    title="Steep, flat or along the floor",
    variable="which_way",
    points=1,
    rows=_FIRES,
    ask=lambda row: f"{row['fire']} Which stream do you try first?",
    options=(
        Option(
            name="steep",
            text="Up against the ceiling just inside, as steeply as the head lets it",
            reason="The steeper a stream meets a ceiling, the more of it breaks up and comes down near "
            "where it strikes. Where is the fire?",
            right=_best("steep"),
        ),
        Option(
            name="flat",
            text="Up against the ceiling at a flat angle, well inside",
            reason="At a flat angle most of the water runs on along the ceiling and comes down far back. "
            "Where is the fire?",
            right=_best("flat"),
        ),
        Option(
            name="floor",
            text="Down through the opening on the floor in view, then swept along it",
            reason="A stream on the floor reaches what lies in plain view, with nothing standing in its "
            "way. Can the nozzle see the fire?",
            right=_best("floor"),
        ),
        Option(
            name="every-window",
            text="To and fro across all openings of the storey, so that each gets some",
            reason="Between the openings the stream strikes wall and runs down outside, and swinging it "
            "loads the ladder sideways. One opening at a time, held.",
        ),
    ),
    reread=RECAP,
)

# --- 5. the tile drops out --------------------------------------------------------------------


def _tiles(department):
    rows = []
    for row in openings(department):
        if row["kind"] == "suspended tile":
            deck = row["view"].room.ceiling.above_ft
            for n, deg in enumerate((14, 16, 18, 20, 22, 24, 26, 28, 32) * 3):
                away = (10, 12, 14, 11)[n % 4]
                tip = round_half(row["head"] - 1.5 - away * _slope(deg))
                if tip >= 3 and (deck - tip) / _slope(deg) - away < row["deep"] - 4:
                    rows.append({**row, "deck": deck, "deg": deg, "away": away, "tip": tip})
    return rigged(department, rows, ("ceiling", "deck", "away", "tip", "deg"))


def _moves_in(row):
    """Between the strikes of the same line on tile and deck."""
    view, run = row["view"], 200
    points = ((-row["away"], 0.0, row["tip"]),
              (run - row["away"], 0.0, row["tip"] + run * _slope(row["deg"])))  # fmt: skip
    on_tile = surfaces.first_strike(points, view)
    on_deck = surfaces.first_strike(points, view, passing=("suspended tile",))
    if on_tile is None or on_deck is None:
        return nan
    return on_deck.depth_inside_ft - on_tile.depth_inside_ft


def _gap(row):
    return row["deck"] - row["ceiling"]


TILE = Question(
    id="openings-sweep-and-ceiling-q5",
    title="When the tile drops out",
    variable="moves_in",
    kind="length",
    unit="foot",
    points=2,
    rows_from=_tiles,
    tolerance=0.02,
    tolerance_words="within 2 percent",
    ask=lambda row: (
        f"Through {row['place']} {row['rig']}'s stream goes up at {row['deg']} degrees against a suspended "
        f"tile ceiling, {feet(row['ceiling'])} above the ground; the nozzle is {feet(row['away'])} out and "
        f"{feet(row['tip'])} above the ground. Reckon with the tile dropping out. The deck above it is at "
        f"{feet(row['deck'])}. How much farther inside does the same line then strike? Answer in feet, "
        "within 2 percent."
    ),
    right=_moves_in,
    slips=(
        Slip(
            "tangent-multiplied",
            lambda row: _gap(row) * _slope(row["deg"]),
            "The rise was multiplied by the tangent. The flatter the stream, the farther it goes on while "
            "it climbs: divide.",
            did="multiply by the tangent",
        ),
        Slip(
            "sine-for-tangent",
            lambda row: _unless_near(
                _moves_in(row), _gap(row) / sin(radians(row["deg"])), 0.045 * _moves_in(row)
            ),
            "The sine was taken: that is the way along the stream, not the way over the floor.",
            0.5,
            did="take the sine",
        ),
        Slip(
            "cosine",
            lambda row: _gap(row) / cos(radians(row["deg"])),
            "The cosine was taken. Rise and way ahead go together by the tangent of the pitch.",
            did="take the cosine",
        ),
        Slip(
            "rise-for-way",
            _gap,
            "That is how much higher the deck is than the tile, not how far the stream goes on meanwhile.",
            did="stop at the rise",
        ),
        Slip(
            "deck-from-the-ground",
            lambda row: row["deck"] / _slope(row["deg"]),
            "The deck's whole height was taken. Only the rise from tile to deck is new.",
            did="take the deck's whole height",
        ),
        Slip(
            "from-the-nozzle",
            lambda row: (row["deck"] - row["tip"]) / _slope(row["deg"]),
            "That is how far ahead of the nozzle it strikes the deck. Asked is how much farther than "
            "before.",
            0.5,
            did="measure from the nozzle",
        ),
        Slip(
            "from-the-wall",
            lambda row: (row["deck"] - row["tip"]) / _slope(row["deg"]) - row["away"],
            "That is how far inside it strikes the deck. Asked is how much farther than on the tile.",
            0.5,
            did="take all the way inside",
        ),
        Slip(
            "tile-stays",
            lambda row: (row["ceiling"] - row["tip"]) / _slope(row["deg"]) - row["away"],
            "That is where it strikes the tile. Nobody reckons with a tile turning a master stream: expect it "
            "to drop out, and look what lies above it.",
            did="stop at the tile",
        ),
        Slip(
            "degrees-as-radians",
            lambda row: _gap(row) / abs(tan(row["deg"])),
            "The calculator stood on radians. Set it to degrees before you trust a number on the "
            "fireground.",
            did="leave the calculator on radians",
        ),
        Slip(
            "tile-from-the-nozzle",
            lambda row: (row["ceiling"] - row["tip"]) / _slope(row["deg"]),
            "That is how far ahead of the nozzle it strikes the tile. Asked is how much "
            "farther it goes without it.",
            did="stop at the tile, from the nozzle",
            minor=True,
        ),
        Slip(
            "gap-less-way",
            lambda row: _gap(row) / _slope(row["deg"]) - row["away"],
            "The way in front of the wall was taken off. It is the same for tile and deck: "
            "only the rise between them counts.",
            did="take the way to the wall off",
            minor=True,
        ),
        Slip(
            "way-added",
            lambda row: _gap(row) / _slope(row["deg"]) + row["away"],
            "The way in front of the wall was added. It is the same for tile and deck: only "
            "the rise between them counts.",
            did="add the way to the wall",
            minor=True,
        ),
        Slip(
            "gap-doubled",
            lambda row: 2 * _moves_in(row),
            "That is twice as much. The stream climbs from tile to deck once.",
            did="double it",
            minor=True,
        ),
        Slip(
            "degrees-as-percent",
            lambda row: 100 * _gap(row) / row["deg"],
            "Degrees were taken as percent. A pitch in degrees climbs much more than the same "
            "number in percent.",
            did="take the degrees as percent",
            minor=True,
        ),
        Slip(
            "deck-from-the-ground-inside",
            lambda row: row["deck"] / _slope(row["deg"]) - row["away"],
            "The deck's whole height was taken. Only the rise from tile to deck is new.",
            did="take the deck's whole height",
            minor=True,
        ),
        Slip(
            "heights-added",
            lambda row: (row["deck"] + row["ceiling"]) / _slope(row["deg"]),
            "The two heights were added. Only the rise from tile to deck is new.",
            did="add the heights",
            minor=True,
        ),
        Slip(
            "cosine-multiplied",
            lambda row: _gap(row) * cos(radians(row["deg"])),
            "The rise was multiplied by the cosine. Rise and way ahead go together by the "
            "tangent of the pitch.",
            did="multiply by the cosine",
            minor=True,
        ),
        Slip(
            "sine-multiplied",
            lambda row: _gap(row) * sin(radians(row["deg"])),
            "The rise was multiplied by the sine. Rise and way ahead go together by the "
            "tangent of the pitch.",
            did="multiply by the sine",
            minor=True,
        ),
    ),
    example="3 in",
    first_step="First find how much higher the deck lies than the tile.",
    reread=EXAMPLE,
)

# --- 6. on the floor --------------------------------------------------------------------------


def _sweeps(department):
    """A nozzle above the sill of an opening, pitched down on the floor of the room."""
    rows = []
    for row in openings(department):
        middle = (row["sill"] + row["head"]) / 2
        for away, deg in (
            (10, 14),
            (12, 18),
            (15, 20),
            (10, 24),
            (14, 16),
            (12, 12),
            (11, 21),
            (18, 15),
        ):
            tip = round_half(middle + away * _slope(deg))
            at_wall = tip - away * _slope(deg)
            inside = (at_wall - row["floor"]) / _slope(deg)
            clear = row["sill"] + 1.2 < at_wall < row["head"] - 1
            if clear and 3 < inside < min(row["deep"] - 4, FARTHEST_FT - away):
                rows.append({**row, "tip": tip, "away": away, "deg": deg})
    return rigged(department, rows, ("floor", "away", "tip", "deg"))


def _line_down(row):
    run = 200
    return ((-row["away"], 0.0, row["tip"]),
            (run - row["away"], 0.0, row["tip"] - run * _slope(row["deg"])))  # fmt: skip


def _on_floor(row):
    strike = surfaces.first_strike(_line_down(row), row["view"])
    return strike.depth_inside_ft if strike and strike.surface == "floor" else nan


def _level(height):
    return f"{feet(height)} above the ground" if height else "level with the ground"


def _drop(row):
    return row["tip"] - row["floor"]


ON_FLOOR = Question(
    id="openings-sweep-and-ceiling-q6",
    title="On the floor",
    variable="on_floor",
    kind="length",
    unit="foot",
    points=2,
    rows_from=_sweeps,
    tolerance=0.02,
    tolerance_words="within 2 percent",
    ask=lambda row: (
        f"{row['rig']} is to sweep a floor through {row['place']}. The nozzle is {feet(row['away'])} out "
        f"from the wall and {feet(row['tip'])} above the ground, pitched {row['deg']} degrees down, square "
        f"to the wall, and clears the sill. The floor behind it is {_level(row['floor'])}. "
        "Taken as a straight line: how far inside the outside face of the wall does the stream strike the "
        "floor? Answer in feet, within 2 percent."
    ),
    right=_on_floor,
    slips=(
        Slip(
            "from-the-nozzle",
            lambda row: _drop(row) / _slope(row["deg"]),
            "That is how far it strikes ahead of the nozzle. The way in front of the wall is not inside.",
            0.5,
            did="measure from the nozzle",
        ),
        Slip(
            "way-added",
            lambda row: _drop(row) / _slope(row["deg"]) + row["away"],
            "The way in front of the wall was added. It is a part of the way from the nozzle: take it off.",
            did="add the way in front of the wall",
        ),
        Slip(
            "ground-for-floor",
            lambda row: row["tip"] / _slope(row["deg"]) - row["away"] if row["floor"] else None,
            "The stream was followed down to the ground outside. It stops on the floor of the storey, which "
            "lies higher.",
            did="go down to the ground",
        ),
        Slip(
            "sine-for-tangent",
            lambda row: _unless_near(
                _on_floor(row),
                _drop(row) / sin(radians(row["deg"])) - row["away"],
                0.045 * _on_floor(row),
            ),
            "The sine was taken: that is the way along the stream. Over the floor it is shorter.",
            0.5,
            did="take the sine",
        ),
        Slip(
            "tangent-multiplied",
            lambda row: _drop(row) * _slope(row["deg"]),
            "The drop was multiplied by the tangent. The steeper a stream is pitched down, the nearer it "
            "strikes: divide.",
            did="multiply by the tangent",
        ),
        Slip(
            "cosine",
            lambda row: _unless_near(
                _on_floor(row), _drop(row) / cos(radians(row["deg"])), 0.045 * _on_floor(row)
            ),
            "The cosine was taken. Drop and way ahead go together by the tangent of the pitch.",
            did="take the cosine",
        ),
        Slip(
            "sill-for-nozzle",
            lambda row: (
                (row["sill"] - row["floor"]) / _slope(row["deg"])
                if row["sill"] > row["floor"]
                else None
            ),
            "It was counted from the sill. The stream passes above the sill and comes down farther in.",
            did="count from the sill",
        ),
        Slip(
            "degrees-as-radians",
            lambda row: abs(_drop(row) / tan(row["deg"]) - row["away"]),
            "The calculator stood on radians. Set it to degrees before you trust a number on the "
            "fireground.",
            did="leave the calculator on radians",
        ),
        Slip(
            "floor-added",
            lambda row: (
                (row["tip"] + row["floor"]) / _slope(row["deg"]) - row["away"]
                if row["floor"]
                else None
            ),
            "The floor's height was added to the nozzle's. The stream drops only from the "
            "nozzle to the floor: take it off.",
            did="add the floor's height",
            minor=True,
        ),
        Slip(
            "ground-from-the-nozzle",
            lambda row: row["tip"] / _slope(row["deg"]) if row["floor"] else None,
            "The stream was followed down to the ground, and the way in front of the wall was "
            "left in. It stops on the floor, and that way lies outside.",
            did="go down to the ground, from the nozzle",
            minor=True,
        ),
        Slip(
            "drop-for-way",
            lambda row: _drop(row),
            "That is how far it drops, not how far in it strikes.",
            did="stop at the drop",
            minor=True,
        ),
        Slip(
            "cosine-less-way",
            lambda row: _unless_near(
                _on_floor(row),
                abs(_drop(row) / cos(radians(row["deg"])) - row["away"]),
                0.045 * _on_floor(row),
            ),
            "The cosine was taken. Drop and way ahead go together by the tangent of the pitch.",
            did="take the cosine",
            minor=True,
        ),
        Slip(
            "tangent-less-way",
            lambda row: _unless_near(
                _on_floor(row),
                abs(_drop(row) * _slope(row["deg"]) - row["away"]),
                0.045 * _on_floor(row),
            ),
            "The drop was multiplied by the tangent. The steeper a stream is pitched down, "
            "the nearer it strikes: divide.",
            did="multiply by the tangent",
            minor=True,
        ),
        Slip(
            "degrees-as-percent",
            lambda row: 100 * _drop(row) / row["deg"] - row["away"],
            "Degrees were taken as percent. A pitch in degrees drops much more than the same "
            "number in percent.",
            did="take the degrees as percent",
            minor=True,
        ),
        Slip(
            "from-the-head",
            lambda row: (row["head"] - row["floor"]) / _slope(row["deg"]),
            "It was counted from the head of the opening. The stream passes lower and comes "
            "down nearer.",
            did="count from the head",
            minor=True,
        ),
        Slip(
            "height-for-drop",
            lambda row: row["tip"] - row["away"] * _slope(row["deg"]),
            "That is how high the stream is at the wall. Asked is how far inside it comes down.",
            did="give the height at the wall",
            minor=True,
        ),
        Slip(
            "cosine-multiplied",
            lambda row: _unless_near(
                _on_floor(row), _drop(row) * cos(radians(row["deg"])), 0.045 * _on_floor(row)
            ),
            "The drop was multiplied by the cosine. Drop and way ahead go together by the "
            "tangent of the pitch.",
            did="multiply by the cosine",
            minor=True,
        ),
        Slip(
            "sine-multiplied",
            lambda row: _drop(row) * sin(radians(row["deg"])),
            "The drop was multiplied by the sine. Drop and way ahead go together by the "
            "tangent of the pitch.",
            did="multiply by the sine",
            minor=True,
        ),
    ),
    example="3 in",
    first_step="First find how far the stream drops from the nozzle to the floor.",
    reread=EXAMPLE,
)

# --- 7. an aim to be found --------------------------------------------------------------------


def _aims(department):
    rows = []
    for row in openings(department):
        for away, near in ((12, 6), (14, 8), (15, 7), (16, 9), (18, 8), (13, 10)):
            made = {**row, "away": away, "near": near, "far": near + 4}
            fits = made["far"] < min(row["deep"] - 4, FARTHEST_FT - away)
            if fits and row["head"] - row["sill"] > 4:
                if _aim(made)["tip height"] >= 3:
                    rows.append(made)
    return rigged(department, rows, ("sill", "head", "ceiling", "away", "near"))


def _wall_height(row, values):
    return values["tip height"] + row["away"] * _slope(values["pitch"])


def _depth(row, values):
    """How far inside the line strikes the ceiling; below nothing where it never does."""
    slope = _slope(values["pitch"])
    at_wall = _wall_height(row, values)
    if slope <= 0 or abs(values["pitch"]) >= 89 or at_wall >= row["ceiling"]:
        return -1.0
    return (row["ceiling"] - at_wall) / slope


def _aim(row, *, inside=None, under_head=1.8):
    """Values that pass so far under the head and strike so far inside."""
    at_wall = row["head"] - under_head
    inside = (row["near"] + row["far"]) / 2 if inside is None else inside
    slope = (row["ceiling"] - at_wall) / inside
    return {"tip height": at_wall - row["away"] * slope, "pitch": degrees(atan(slope))}


AIM = Plan(
    id="openings-sweep-and-ceiling-q7",
    title="Find an aim",
    variable="aim",
    points=2,
    rows_from=_aims,
    ask=lambda row: (
        f"{row['rig']} keeps its nozzle {feet(row['away'])} out from {row['place']}, square to the wall. "
        f"Above the ground: sill {feet(row['sill'])}, head {feet(row['head'])}, level ceiling "
        f"{feet(row['ceiling'])}. The straight line of the stream shall pass the opening at least "
        f"{SPARE_FT} ft clear of sill and head, and strike the ceiling between {row['near']} and "
        f"{row['far']} ft inside the outside face of the wall. Find a tip height above the ground and a "
        "pitch above level that do it. Several work."
    ),
    parts=(
        Part(name="tip height", kind="length", unit="foot", example="400 ft"),
        Part(name="pitch", kind="angle", unit="degree", example="1 deg"),
    ),
    conditions=(
        Condition(
            name="through-the-opening",
            met=lambda row, v: (
                row["sill"] + SPARE_FT - 1e-9
                <= _wall_height(row, v)
                <= row["head"] - SPARE_FT + 1e-9
            ),
            sentence="The line does not pass sill and head with the room to spare: a part of the stream "
            "strikes the wall. Work out how high it is when it comes to the wall.",
            share=0.5,
            missing=lambda row: _aim(row, under_head=0.3),
        ),
        Condition(
            name="not-too-near",
            met=lambda row, v: _depth(row, v) >= row["near"] - 1e-9,
            sentence="It does not strike the ceiling far enough inside. Flatter, or passing the opening "
            "lower, it strikes farther in.",
            share=0.25,
            missing=lambda row: _aim(row, inside=row["near"] - 1.5),
        ),
        Condition(
            name="not-too-far",
            met=lambda row, v: 0 < _depth(row, v) <= row["far"] + 1e-9,
            sentence="It does not strike the ceiling soon enough, or never. Steeper, or passing the opening "
            "higher, it strikes nearer.",
            share=0.25,
            missing=lambda row: _aim(row, inside=row["far"] + 2),
        ),
    ),
    found=_aim,
    reread=EXAMPLE,
)

# --- 8. under a slab --------------------------------------------------------------------------

_SLAB = {
    "top of the": "top",
    "edge of the": "edge",
    "wall above the opening": "above",
    "floor": "in",
    "far wall": "in",
    "ceiling": "in",
    "suspended tile": "in",
    "partition": "in",
}


def _over(view, opening):
    """The slab over an opening, or None."""
    for canopy in view.canopies:
        over = canopy.y0_ft < -2 and canopy.y1_ft > 2 and canopy.underside_ft >= opening["head"]
        if over and canopy.kind == "concrete slab":
            return canopy
    return None


def _meets(row, tip):
    """What the line from the tip to the middle of the opening meets: of _SLAB, or None."""
    fall = (tip - row["aim"]) / row["away"]
    points = ((-row["away"], 0.0, tip), (60.0, 0.0, row["aim"] - 60 * fall))
    strike = surfaces.first_strike(points, row["view"])
    if strike is None or (strike.part and strike.part != row["slab"].id):
        return None
    return next((name for words, name in _SLAB.items() if strike.surface.startswith(words)), None)


def _line_ends(row):
    """The row with some tip heights for each thing that its line can meet."""
    found = {}
    for half in range(14, 50):
        tip = half / 2
        met = _meets(row, tip)
        by = 0.2 if met == "edge" else 0.7
        if met and _meets(row, tip - by) == _meets(row, tip + by) == met:
            found.setdefault(met, []).append(tip)
    return [
        {**row, "tip": tip, "met": met}
        for met, tips in found.items()
        for tip in sorted({tips[0], tips[-1]})
    ]


def _under_slabs(department):
    rows = []
    for row in openings(department, canopies=True):
        slab = _over(row["view"], row)
        if slab is not None:
            aim = (row["sill"] + row["head"]) / 2
            for away in (20, 22, 24, 26, 28, 30):
                rows += _line_ends({**row, "slab": slab, "aim": aim, "away": away})
    return rigged(department, rows, ("sill", "head", "away", "tip"))


def _inches(number):
    """A height in feet and whole inches."""
    whole, part = divmod(round(12 * number), 12)
    return f"{whole} ft {part} in" if part else f"{whole} ft"


def _met(name):
    return lambda row: row["met"] == name


UNDER_SLAB = Choice(
    id="openings-sweep-and-ceiling-q8",
    title="Under the slab",
    variable="under_slab",
    points=1,
    rows_from=_under_slabs,
    ask=lambda row: (
        f"Over {row['place']} a slab stands out {feet(row['slab'].projection_ft)} from the wall, underside "
        f"at {_inches(row['slab'].underside_ft)}, top at {_inches(row['slab'].top_ft)}. Sill "
        f"{feet(row['sill'])}, head {feet(row['head'])}; all above the ground. {row['rig']} has its nozzle "
        f"{feet(row['away'])} out from the wall, {feet(row['tip'])} above the ground, pointed straight at "
        f"the middle of the opening, {feet(row['aim'])} up. Where does that line end?"
    ),
    options=(
        Option(
            name="in",
            text="Beneath the slab and in through the opening",
            reason="For that the line has to be lower than the underside where it passes the edge of the "
            "slab, and stay lower.",
            right=_met("in"),
        ),
        Option(
            name="top",
            text="On top of the slab, from where the water runs off outside",
            reason="For that the line has to be higher than the slab where it passes its edge, and come down "
            "on it before the wall.",
            right=_met("top"),
        ),
        Option(
            name="edge",
            text="At the front edge of the slab",
            reason="For that the line has to be between underside and top where it comes to the edge.",
            right=_met("edge"),
        ),
        Option(
            name="above",
            text="At the wall, higher than the slab",
            reason="A straight line pointed at the opening does not come to the wall anywhere else. Look "
            "where it passes the edge of the slab.",
        ),
    ),
    reread=PANEL,
)

PAPER = Paper(
    name="openings-sweep-and-ceiling",
    title="Openings, sweep and ceiling",
    version=VERSION,
    minutes=25,
    situation=(
        "Larkmoor Fire Department, 04:20. The stream has to go through doors, windows and shop fronts and "
        "come down where it burns: off the ceiling, along the floor, or not at all, because a slab keeps it "
        "out. You find the aim. Everybody is out and accounted for; command has looked at the walls and "
        "accepts the distances given here. At a real fire the collapse zone comes first, for rig and tip. "
        "A ceiling may come down where a master stream strikes it. (Department, places and rigs are "
        "invented, or your department's own.)"
    ),
    questions=(STEEPEST, NEXT_ONE, FROM_ONE_TO_NEXT, WHICH_WAY, TILE, ON_FLOOR, AIM, UNDER_SLAB),
    closing=(
        "Straight lines say where to begin. No test of a master stream off a ceiling was found; what a "
        "ceiling does with it is seen on the spot. What your device may do stands in **its** operator's "
        "manual. That book, local procedure and qualified people decide."
    ),
)
