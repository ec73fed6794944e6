"""The spot map: places whose verdict was worked out by hand, two ways of reckoning, what it says."""

import math
import subprocess
import sys
import tomllib
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerialstream._core import plan_geometry as plan
from aerialstream._core import spots as core
from aerialstream._spot_words import CODES
from aerialstream.department import DEMO_FOLDER, Platform, load_department
from aerialstream.errors import ImpossibleValue, UnitError
from aerialstream.site import read_scene, scene_of
from aerialstream.sources import SOURCES
from aerialstream.spots import VERDICTS, codes_of, spot_map, tip_standoffs
from aerialstream.units import quantity

DEMO = load_department(DEMO_FOLDER)
TOWER_3, LADDER_9, PLATFORM_2 = (DEMO.device(i) for i in ("tower-3", "ladder-9", "platform-2"))

# A block 40 × 40 ft, walls 20 ft, side A along y = 0 facing down the plan (south). The window's
# middle is at (20, 0), 12 ft up, its head at 14 ft. In front a square to stand on, y -150 to -10.
BASE = """
name = "Made up"
coordinates = "feet"
north = "0 deg"

[[building]]
id = "block"
at = [0, 0]
facing = "180 deg"
width = "40 ft"
depth = "40 ft"
wall_height = "20 ft"
parapet = "0 ft"

[[target]]
id = "window"
kind = "opening"
building = "block"
side = "A"
left = "18 ft"
width = "4 ft"
sill = "10 ft"
head = "14 ft"

[[target]]
id = "hole"
kind = "roof hole"
building = "block"
at = [20, 20]
across = "6 ft"
height = "20 ft"
"""
SQUARE = '\n[[street]]\nid = "square"\ncorners = [[-100, -150], [140, -150], [140, -10], [-100, -10]]\n'  # fmt: skip
SHORT_SQUARE = SQUARE.replace("-10]", "-45]")


def line(y, height, voltage):
    """An overhead line along the front."""
    return f'\n[[overhead_line]]\nid = "wire"\npoints = [[-200, {y}], [200, {y}]]\nheight = "{height} ft"\nvoltage = "{voltage}"\n'  # fmt: skip


def ground(kind, corners, more=""):
    """A patch of ground."""
    return f'\n[[ground]]\nid = "patch"\nkind = "{kind}"\ncorners = {corners}\n{more}\n'


def thing(x, y, across, height):
    """Something round in the way."""
    return f'\n[[obstacle]]\nid = "thing"\nkind = "other"\nat = [{x}, {y}]\nacross = "{across} ft"\nheight = "{height} ft"\n'  # fmt: skip


def scene_with(*parts):
    """BASE with more on the plan."""
    return read_scene(tomllib.loads(BASE + "".join(parts)))


def one_place(scene, rig, x, y, heading, target="window", engine="plain", **options):
    """A map of a single place: (names of what was found, the place)."""
    options = {"collapse_factor": None, **options}
    area = [f"{v} ft" for v in (x - 0.5, y - 0.5, x + 0.5, y + 0.5)]
    found = spot_map(
        scene, rig, target, headings=[f"{heading} deg"], cell="1 ft", area=area, engine=engine, **options
    )  # fmt: skip
    place = found.why_not(f"{x} ft", f"{y} ft", f"{heading} deg")
    assert place.code == found.code_at(0, 0)
    return {f.code.name for f in place.findings}, place


# Tower 3: heel 8 ft up and 2 ft behind the turntable's centre, 36 to 100 ft, -6 to 75 deg; its
# chassis reaches 34 ft ahead and 6 ft behind, 4 ft 2 in to each side; pads 8 ft out to each
# side, 14 ft ahead and 3 ft behind, 2 ft square; slope limit entered 5 deg. The tip goes 15 ft
# before the window, 12 ft up, so 4 ft above the heel; with the turntable at (20, y) it is
# X = -y - 15 ft out, and the extension is √((X + 2)² + 4²). From (20, -75) that is X = 60, 62.13 ft
# at 3.7 deg: below 30 deg and more than half the ladder, so LONG is a cost there, as it is for
# Ladder 9 (75 ft) from (20, -65), 51.7 ft.
LONG = {"low and long"}
HAND = {
    # X = 45: √(47² + 4²) = 47.17 ft at 4.9 deg, 47.17 < 50. Cab at y = -26. Nothing against it.
    "plain good place": ((SQUARE,), TOWER_3, (20, -60, 0), {}, set()),
    # X = 34: √(36² + 16) = 36.22 > 36. Cab at y = -15.
    "just far enough": ((SQUARE,), TOWER_3, (20, -49, 0), {}, set()),
    # X = 33: √(35² + 16) = 35.23 < 36.
    "bedded ladder too long": ((SQUARE,), TOWER_3, (20, -48, 0), {}, {"too close"}),
    # X = 97.8: √(99.8² + 16) = 99.88 ft, at 2.3 deg: reached, but low and longer than 50 ft.
    "low and long": ((SQUARE,), TOWER_3, (20, -112.8, 0), {}, {"low and long"}),
    # X = 98: √(100² + 16) = 100.08 > 100.
    "too far": ((SQUARE,), TOWER_3, (20, -113, 0), {}, {"too far"}),
    # Chassis along the wall: the ladder works over the side.
    "over the side": ((SQUARE,), TOWER_3, (20, -75, 90), {}, {"over the side"} | LONG),
    # From (70, -60): 60 / √(50² + 60²) = 0.768, 39.8 deg off square, more than 30; the ladder
    # points 39.8 deg off the chassis, less than 45. The stream runs 15 / 0.768 = 19.5 ft, X =
    # 78.1 - 19.5 = 58.6, √(60.6² + 16) = 60.7 ft.
    "oblique": ((SQUARE,), TOWER_3, (70, -60, 0), {}, {"oblique"} | LONG),
    # From (62, -46): 46 / √(42² + 46²) = 0.738, 42.4 deg off. The stream runs 15 / 0.738 = 20.3 ft,
    # X = 62.3 - 20.3 = 42.0, √(44² + 16) = 44.2 ft, less than half. Cab at y = -12.
    "oblique, short": ((SQUARE,), TOWER_3, (62, -46, 0), {}, {"oblique"}),
    # From (90, -45): 45 / √(70² + 45²) = 0.541, 57.3 deg off square, and (100, -45): 45 / √(80² + 45²)
    # = 0.490, 60.6 deg: an opening then shows less than half its width. The stream is 15 / 0.541 = 27.7
    # and 15 / 0.490 = 30.6 ft, X = 55.5 and 61.2, √(57.5² + 16) = 57.6 and √(63.2² + 16) = 63.3 ft, at 4 deg.
    "oblique at 57 deg": ((SQUARE,), TOWER_3, (90, -45, 315), {}, {"oblique"} | LONG),
    "too oblique at 61 deg": ((SQUARE,), TOWER_3, (100, -45, 315), {}, {"too oblique"} | LONG),
    "61 deg, allowed to 70": ((SQUARE,), TOWER_3, (100, -45, 315), {"too_oblique_from": "70 deg"},
                              {"oblique"} | LONG),
    # A hydrant at the turntable's own point, and one under the left front pad (12 to 13 and -61).
    "hydrant under the rig": ((SQUARE, '\n[[hydrant]]\nid = "h"\nat = [20, -60]\n'), TOWER_3, (20, -60, 0),
                              {}, {"chassis blocked"}),
    "hydrant under a pad": ((SQUARE, '\n[[hydrant]]\nid = "h"\nat = [12, -46]\n'), TOWER_3, (20, -60, 0),
                            {}, {"stabiliser blocked"}),
    # Behind the block, on nothing.
    "behind": ((SQUARE,), TOWER_3, (20, 90, 0), {},
               {"target faces away", "off street", "stabiliser off street"}),
    # Street ends at y = -45: the cab (y = -41) stands off it, the front pads (-61 ± 1) on it.
    "cab off the street": ((SHORT_SQUARE,), TOWER_3, (20, -75, 0), {}, {"off street"} | LONG),
    # A post 1 ft thick at (12, -61), the front left pad: not on the chassis (15.83 to 24.17).
    "post under a pad": ((SQUARE, thing(12, -61, 1, 3)), TOWER_3, (20, -75, 0), {},
                         {"stabiliser blocked"} | LONG),
    # A vault under the rear left pad (x 11 to 13, y -79 to -77) and nowhere else.
    "vault under a pad": ((SQUARE, ground("hollow", "[[0, -80], [15, -80], [15, -77], [0, -77]]")),
                          TOWER_3, (20, -75, 0), {}, {"stabiliser on bad ground"} | LONG),
    # The same vault below the chassis only (x 16 to 24): wheels, no pads.
    "vault under the chassis": (
        (SQUARE, ground("hollow", "[[17, -70], [23, -70], [23, -65], [17, -65]]")),
        TOWER_3, (20, -75, 0), {}, {"chassis over hollow"} | LONG),
    # A 20-ft tree at (20, -30), ahead of the cab (y -41): the ladder passes there at 11 ft.
    "tree in the ladder's way": ((SQUARE, thing(20, -30, 6, 20)), TOWER_3, (20, -75, 0), {},
                                 {"ladder blocked"} | LONG),
    # The same thing 10 ft high: the ladder is 8 + 4 × (45 - 3.3) / 60 = 10.8 ft up where it begins.
    "ladder passes over": ((SQUARE, thing(20, -30, 6, 10)), TOWER_3, (20, -75, 0), {}, LONG),
    # 115 kV: 15 ft. At y = -20 the ladder is 8 + 4 × 55/60 = 11.67 ft up, sloping 3.81 deg; a
    # line 26.5 ft up is 14.83 × 0.9978 = 14.80 ft off, one 27 ft up 15.30 ft.
    "115 kV too near": ((SQUARE, line(-20, 26.5, "115 kV")), TOWER_3, (20, -75, 0), {},
                        {"line too near"} | LONG),
    "115 kV far enough": ((SQUARE, line(-20, 27, "115 kV")), TOWER_3, (20, -75, 0), {}, LONG),
    # 12 kV: 10 ft. A line 21.6 ft up is 9.93 × 0.9978 = 9.91 ft off; 21.8 ft up: 10.11 ft.
    "12 kV too near": ((SQUARE, line(-20, 21.6, "12 kV")), TOWER_3, (20, -75, 0), {},
                       {"line too near"} | LONG),
    "12 kV far enough": ((SQUARE, line(-20, 21.8, "12 kV")), TOWER_3, (20, -75, 0), {}, LONG),
    # Nobody knows the voltage: as far as from the highest, 50 ft; 60 - 11.67 = 48.3 ft.
    "unknown voltage": ((SQUARE, line(-20, 60, "unknown")), TOWER_3, (20, -75, 0), {},
                        {"unknown line too near"} | LONG),
    # 5 deg is the entered limit and not beyond it; 10 % is 5.71 deg.
    "slope at the limit": ((SQUARE, ground("paved", "[[0, -99], [40, -99], [40, -20], [0, -20]]",
                            'slope = "5 deg"')), TOWER_3, (20, -75, 0), {}, LONG),
    "slope beyond the limit": ((SQUARE, ground("paved", "[[0, -99], [40, -99], [40, -20], [0, -20]]",
                                'grade = "10 %"')), TOWER_3, (20, -75, 0), {},
                               {"slope beyond limit"} | LONG),
    # Uphill to the east, cab to the north: the chassis stands across.
    "across the slope": ((SQUARE, ground("paved", "[[0, -99], [40, -99], [40, -20], [0, -20]]",
                          'slope = "2 deg"\nuphill = "90 deg"')), TOWER_3, (20, -75, 0), {},
                         {"across slope"} | LONG),
    # Nobody entered Ladder 9's slope limit. X = 50: 51.7 ft.
    "slope limit not entered": ((SQUARE, ground("paved", "[[0, -99], [40, -99], [40, -20], [0, -20]]",
                                 'slope = "2 deg"')), LADDER_9, (20, -65, 0), {},
                                {"slope limit not entered"} | LONG),
    # Zone 1.5 × 20 = 30 ft, tip at 30 ft. X = 45, √(47² + 16) = 47.2 ft. Cab at y = -41, outside.
    "clear of the zone": ((SQUARE,), TOWER_3, (20, -75, 0), {"collapse_factor": 1.5}, set()),
    # Zone once the height, 20 ft; tip 12 ft off, accepted; cab at y = -16.
    "cab and tip in the zone": ((SQUARE,), TOWER_3, (20, -50, 0),
                                {"collapse_factor": 1.0, "standoff": "12 ft",
                                 "tip_in_zone": "accepted"}, {"rig in zone", "tip in zone"}),
    # Turntable 29.5 ft from the wall in a 30-ft zone, cab away from it; the tip would have to
    # stand behind the turntable.
    "turntable in the zone": ((SQUARE,), TOWER_3, (20, -29.5, 180), {"collapse_factor": 1.5},
                              {"rig in zone", "turntable in zone", "too close"}),
    # Ladder 9's nozzle goes 10 deg up. Tip 8 ft up, X = 50: elevation arctan(0.5 / 51.5) = 0.56
    # deg; a rise of 12 deg needs 11.4 up, one of 10.5 deg 9.9. Under the head: arctan(6/15), 21.8.
    "nozzle travel": ((SQUARE,), LADDER_9, (20, -65, 0), {"tip_height": "8 ft",
                      "stream_rise": "12 deg"}, {"nozzle travel"} | LONG),
    "within nozzle travel": ((SQUARE,), LADDER_9, (20, -65, 0), {"tip_height": "8 ft",
                             "stream_rise": "10.5 deg"}, LONG),
    # Tower 3 has the travel (45 up), but only 21.8 deg pass under the head.
    "not steep enough": ((SQUARE,), TOWER_3, (20, -75, 0), {"tip_height": "8 ft",
                         "stream_rise": "22 deg"}, {"not steep enough"} | LONG),
    "steep enough": ((SQUARE,), TOWER_3, (20, -75, 0), {"tip_height": "8 ft",
                     "stream_rise": "21.7 deg"}, LONG),
    # Hydrant 200 ft off: × 1.3 = 260 ft of hose.
    "hose reaches": ((SQUARE, '\n[[hydrant]]\nid = "h"\nat = [20, -275]\n'), TOWER_3, (20, -75, 0),
                     {"hose_carried": "260 ft"}, LONG),
    "hose too short": ((SQUARE, '\n[[hydrant]]\nid = "h"\nat = [20, -275]\n'), TOWER_3, (20, -75, 0),
                       {"hose_carried": "259 ft"}, {"lay too long"} | LONG),
    # Roof: tip 15 ft before the hole's middle (y = 20), so at y = 5, and 10 ft above the roof: 22 ft
    # above the heel, X = 80, √(82² + 22²) = 84.9 ft at 15.0 deg: low and long.
    "roof, low and long": ((SQUARE,), TOWER_3, (20, -75, 0), {"target": "hole"}, {"low and long"}),
    # From (20, -45): X = 50, √(52² + 22²) = 56.5 ft at 22.9 deg. Cab at y = -11.
    "roof": ((SQUARE,), TOWER_3, (20, -45, 0), {"target": "hole"}, LONG),
    # With a zone the tip stands over the building itself.
    "tip over the roof": ((SQUARE,), TOWER_3, (20, -75, 0),
                          {"target": "hole", "collapse_factor": 1.5}, {"low and long", "tip in zone"}),
}  # fmt: skip


@pytest.mark.parametrize("engine", ["plain", "arrays"])
@pytest.mark.parametrize("case", HAND)
def test_place_worked_out_by_hand(case, engine):
    """What is wrong or costs at the place is what the sum in the comment says."""
    parts, rig, (x, y, heading), options, wanted = HAND[case]
    names, place = one_place(scene_with(*parts), rig, x, y, heading, engine=engine, **options)
    assert names == wanted
    wrong = {f.code.name for f in place.findings if f.wrong}
    assert place.verdict == VERDICTS[2 if wrong else 1 if names else 0]


def test_ladder_worked_out_by_hand():
    """√(62² + 4²) = 62.13 ft, arctan(4 / 62) = 3.69 deg, tip at (20, -15, 12)."""
    _, place = one_place(scene_with(SQUARE), TOWER_3, 20, -75, 0)
    assert place.extension_ft == pytest.approx(62.13, abs=0.005)
    assert place.elevation_deg == pytest.approx(3.69, abs=0.005)
    assert place.tip == pytest.approx((20, -15, 12))
    assert place.chassis[0] == pytest.approx((20 - 25 / 6, -41))
    assert place.pads[0][0] == pytest.approx((12 - 1, -61 - 1))


def test_oblique_ladder_worked_out_by_hand():
    """78.1 - 19.5 = 58.6 ft out, √(60.6² + 4²) = 60.7 ft; the tip stays 15 ft from the wall."""
    _, place = one_place(scene_with(SQUARE), TOWER_3, 70, -60, 0)
    assert place.extension_ft == pytest.approx(60.7, abs=0.05)
    assert place.tip[1] == pytest.approx(-15)
    assert place.obliquity_deg == pytest.approx(math.degrees(math.atan(50 / 60)))


@pytest.mark.parametrize("engine", ["plain", "arrays"])
@pytest.mark.parametrize(
    ("rig", "down", "wanted"),
    [
        (PLATFORM_2, "34 deg", LONG),
        (PLATFORM_2, "33 deg", {"nozzle travel"} | LONG),
        (TOWER_3, "57 deg", LONG),
        (TOWER_3, "56 deg", {"nozzle travel"} | LONG),
    ],
)
def test_nozzle_of_a_platform_is_counted_from_level(rig, down, wanted, engine):
    """Down on the roof from 10 ft above and 15 ft beside: arctan(10/15) = 33.7 deg below level.

    A platform's nozzle base is level. The ladder stands at 22.9 deg (the case "roof"), so its
    nozzle has to go 56.6 deg down from the ladder's line.
    """
    travel = rig.nozzle_travel.model_copy(update={"down": quantity(down)})
    changed = rig.model_copy(update={"nozzle_travel": travel})
    assert one_place(scene_with(SQUARE), changed, 20, -45, 0, "hole", engine)[0] == wanted


def test_platform_tip_pin_lies_behind_and_below_the_nozzle():
    """Platform 2: 7 ft up, heel 2 ft behind, nozzle 3 ahead and 2 up of the pin, level base.

    Nozzle 60 ft out and 12 ft up: pin 57 out and 10 up, √(59² + 3²) = 59.08 ft.
    """
    assert Platform(ahead="3 ft", up="2 ft") == PLATFORM_2.platform
    _, place = one_place(scene_with(SQUARE), PLATFORM_2, 20, -75, 0)
    assert place.extension_ft == pytest.approx(59.08, abs=0.005)


def test_scrub_of_the_reference():
    """Longest 95 ft, heel 8 ft up, wall 35 ft off, 30 ft up: √(95² - 22² - 35²) = 85.5 each way.

    On a wall 200 ft long, square to its middle, that sweeps 171 of 200 ft; from its end 85.5.
    """
    rig = core.Rig(8, 8, 0, 20, 95, 0, 89, 45, 120, False, (), (), ())
    aim = core.Aim(100, 0, 30, 33, 0, -1, 0, 30, None, 0, 0, 200)
    reaches = core.level_reaches_ft(rig, 30)
    assert math.sqrt(reaches[1] ** 2 - 35**2) == pytest.approx(85.5, abs=0.05)
    assert core.swept_share(aim, reaches, 35, 100) == pytest.approx(171.0 / 200, abs=0.0005)
    assert core.swept_share(aim, reaches, 35, 0) == pytest.approx(85.5 / 200, abs=0.0005)


def test_scrub_leaves_out_what_the_bedded_ladder_passes():
    """Bedded 50 ft, longest 100, level, wall 30 ft off: 40 ft each way are too near (3-4-5)."""
    rig = core.Rig(8, 8, 0, 50, 100, -5, 75, 45, 120, False, (), (), ())
    aim = core.Aim(100, 0, 8, 10, 0, -1, 0, 8, None, 0, 0, 400)
    swept = core.swept_share(aim, core.level_reaches_ft(rig, 8), 30, 200)
    assert swept * 400 == pytest.approx(2 * math.sqrt(100**2 - 30**2) - 80)


def test_zone_of_the_shops_is_24_ft():
    """Parapet top 16 ft × 1.5 (the reference); the tip is put there."""
    found = spot_map(
        scene_of(DEMO, "gorse-lane-shops"), TOWER_3, "shop 3", cell="20 ft", headings=4
    )
    assert found.zone_ft == 24
    assert found.standoff_ft == 24
    assert min(plan.distance_to_polygon_ft(*p, found.target.building.corners) for p in found.zone) == pytest.approx(24)  # fmt: skip


def test_tip_standoffs_of_the_reference_table():
    """Tip 4.51 ft up, head 9 ft: 24.2 deg at 10 ft, 16.7 at 15, 10.6 at 24 (the zone's edge)."""
    for rise, standoff in (("24.2 deg", 10), ("16.7 deg", 15), ("10.6 deg", 24)):
        found = tip_standoffs("16 ft", opening_head="9 ft", tip_height="4.51 ft", stream_rise=rise)
        assert found.farthest.magnitude == pytest.approx(standoff, abs=0.05)
    assert not tip_standoffs(
        "16 ft", opening_head="9 ft", tip_height="4.51 ft", stream_rise="16.7 deg"
    ).both_can_be
    assert tip_standoffs(
        "16 ft", opening_head="9 ft", tip_height="4.51 ft", stream_rise="10 deg"
    ).both_can_be


# --- conflicts are said ------------------------------------------------------------------------------


def test_steep_shot_against_the_zone_is_said():
    """14 deg under a 9-ft head from a tip 4.51 ft up: within 18.0 ft; the zone is 24 ft deep."""
    scene = scene_of(DEMO, "gorse-lane-shops")
    found = spot_map(
        scene, TOWER_3, "shop 3", tip_height="4.51 ft", stream_rise="14 deg", cell="10 ft"
    )
    assert found.counts["not"] == found.columns * found.rows
    assert "within 18 ft" in found.conflicts[0] and "beyond 24 ft" in found.conflicts[0]
    closer = spot_map(
        scene, TOWER_3, "shop 3", tip_height="4.51 ft", stream_rise="14 deg", cell="10 ft",
        standoff="15 ft", tip_in_zone="accepted",
    )  # fmt: skip
    assert closer.counts["feasible with a cost"] > 0
    assert "within 18 ft" in closer.conflicts[0]  # still said
    assert all("tip in zone" in {f.code.name for f in p.findings} for p in closer.places)


def test_service_road_inside_the_zone_is_said():
    """The road behind the shops lies inside the 24-ft zone; without a zone it serves only for those
    who let a stream come in 77 deg off square."""
    scene = scene_of(DEMO, "gorse-lane-shops")
    found = spot_map(scene, TOWER_3, "rear of shop 3", cell="5 ft", too_oblique_from="80 deg")
    assert not found.places
    assert "cannot both be had" in found.conflicts[1]
    without = spot_map(
        scene, TOWER_3, "rear of shop 3", collapse_factor=None, too_oblique_from="80 deg"
    )
    assert without.places and not without.conflicts
    assert all(place.obliquity_deg > 60 for place in without.places)
    as_usual = spot_map(scene, TOWER_3, "rear of shop 3", collapse_factor=None)
    assert not as_usual.places and "off square" in as_usual.conflicts[0]


def test_mill_street_is_shut_by_line_and_zone_but_the_yard_is_not():
    """No place for the windows above Weir Street, several in the yard for the same building."""
    scene = scene_of(DEMO, "weir-street-mill")
    street = spot_map(scene, LADDER_9, "top floor A")
    assert not street.places and "overhead line" in street.conflicts[1]
    yard = spot_map(scene, LADDER_9, "weaving floor C")
    assert yard.counts["feasible"] > 0 and yard.zone_ft == 60


def test_cold_store_lay_is_too_long_for_the_hose():
    """The hydrant is 280 ft and more from the yard, × 1.3 = 364; 350 ft of hose do not reach."""
    found = spot_map(
        scene_of(DEMO, "saltpan-cold-store"), TOWER_3, "dock 2", cell="10 ft", hose_carried="350 ft"
    )
    assert found.places
    assert all("lay too long" in {f.code.name for f in p.findings} for p in found.places)


# --- the two ways of reckoning ------------------------------------------------------------------------

NUMBERS = st.integers(-60, 160)


@st.composite
def made_up_scenes(draw):
    """BASE with north wherever, and with things on it."""
    parts = [SQUARE] if draw(st.booleans()) else [
        "\n[[street]]\nid = \"bent\"\ncorners = [[-90, -20], [130, -20], [130, -140], [90, -140], [90, -70], [-90, -70]]\n"
    ]  # fmt: skip
    for n in range(draw(st.integers(0, 3))):
        x, y = draw(st.integers(-60, 100)), draw(st.integers(-140, -12))
        parts.append(
            thing(x, y, draw(st.integers(1, 20)), draw(st.integers(3, 30))).replace(
                '"thing"', f'"thing {n}"'
            )
        )
    if draw(st.booleans()):
        kind = draw(st.sampled_from(["soft", "hollow", "paved"]))
        x, y = draw(st.integers(-60, 80)), draw(st.integers(-140, -30))
        more = draw(st.sampled_from(["", 'slope = "3 deg"\nuphill = "50 deg"', 'slope = "6 deg"']))
        parts.append(ground(kind, [[x, y], [x + 30, y], [x + 12, y + 12], [x, y + 40]], more))
    if draw(st.booleans()):
        voltage = draw(st.sampled_from(["12 kV", "230 kV", "unknown"]))
        parts.append(line(draw(st.integers(-80, -5)), draw(st.integers(15, 60)), voltage))
    if draw(st.booleans()):
        parts.append('\n[[hydrant]]\nid = "h"\nat = [-80, -100]\n')
    north = draw(st.integers(0, 359))  # the block keeps its place on the plan
    text = (BASE + "".join(parts)).replace('north = "0 deg"', f'north = "{north} deg"')
    text = text.replace('facing = "180 deg"', f'facing = "{180 - north} deg"')
    return read_scene(tomllib.loads(text))


@settings(max_examples=40, deadline=None)
@given(
    made_up_scenes(),
    st.sampled_from([TOWER_3, LADDER_9, PLATFORM_2]),
    st.sampled_from(["window", "hole"]),
    st.fixed_dictionaries(
        {
            "collapse_factor": st.sampled_from([None, 1.0, 1.5, 2.0]),
            "standoff": st.sampled_from([None, "8 ft", "30 ft"]),
            "tip_height": st.sampled_from([None, "9 ft", "33 ft"]),
            "tip_in_zone": st.sampled_from(["not", "accepted"]),
            "hose_carried": st.sampled_from([None, "150 ft"]),
            "headings": st.sampled_from([1, 3, ["33 deg", "90 deg"]]),
        }
    ),
)
def test_arrays_and_plain_python_judge_alike(scene, rig, target, options):
    """Every code, best heading and proposed place is the same with numpy and without."""
    plain = spot_map(scene, rig, target, cell="9 ft", engine="plain", **options)
    arrays = spot_map(scene, rig, target, cell="9 ft", engine="arrays", **options)
    assert plain.codes == arrays.codes
    assert plain.best == arrays.best
    assert plain.verdicts == arrays.verdicts
    assert plain.places == arrays.places
    assert [str(c) for c in plain.conflicts] == [str(c) for c in arrays.conflicts]
    for name in ("extension", "elevation", "obliquity", "swept", "lay"):
        one, other = getattr(plain, name), getattr(arrays, name)
        assert np.allclose(one, other, rtol=0, atol=1e-9, equal_nan=True), name


@settings(max_examples=25, deadline=None)
@given(made_up_scenes(), st.integers(0, 10), st.integers(0, 10))
def test_why_not_says_what_the_map_shows(scene, column, row):
    """Any place of the grid asked for by its coordinates has the code that the map has there."""
    found = spot_map(scene, TOWER_3, "window", cell="9 ft", headings=4)
    column, row = column % found.columns, row % found.rows
    x = found.origin[0] + column * found.cell_ft
    y = found.origin[1] + row * found.cell_ft
    for number, heading in enumerate(found.headings_deg):
        place = found.why_not(f"{x!r} ft", f"{y!r} ft", f"{heading!r} deg")
        assert place.code == found.code_at(column, row, number)
        assert len(place.findings) == len(codes_of(place.code))


@settings(max_examples=25, deadline=None)
@given(made_up_scenes(), st.floats(-120, 160), st.floats(-160, 60), st.integers(0, 359))
def test_any_place_is_answered_in_words(scene, x, y, heading):
    """Whatever is asked: a verdict, a sentence for each finding, both unit systems."""
    found = spot_map(scene, LADDER_9, "window", cell="30 ft", headings=1)
    place = found.why_not(f"{x:.3f} ft", f"{y:.3f} ft", f"{heading} deg")
    assert place.verdict in VERDICTS
    assert (place.verdict == "feasible") == (not place.findings)
    for system in ("US", "metric"):
        said = place.text(system)
        wrong = [f.code.name for f in place.findings if f.wrong]
        assert "nan" not in said and f"On the plan: {place.said}" in said
        assert all(name in place.said for name in wrong) and "feasible" not in said
        assert "safe" not in said.lower() and "within limits" not in said


@settings(max_examples=20, deadline=None)
@given(made_up_scenes(), st.integers(0, 359))
def test_turning_north_turns_the_headings_and_nothing_else(scene, turn):
    """The same ground with another north: the same codes for the same ways on the plan."""
    turned = replace(scene, north_deg=(scene.north_deg + turn) % 360)
    ways = (0.0, 90.0, 200.0)
    one, other = (
        spot_map(
            s, TOWER_3, "window", cell="15 ft",
            headings=[f"{s.compass_bearing(w)!r} deg" for w in ways],
        ) for s in (scene, turned)
    )  # fmt: skip
    assert one.codes == other.codes


@settings(max_examples=15, deadline=None)
@given(made_up_scenes())
def test_more_zone_never_makes_a_place_better(scene):
    """With the tip held where it is, a deeper zone only adds to what is wrong."""
    codes = [
        spot_map(
            scene, TOWER_3, "window", cell="15 ft", headings=3, standoff="20 ft",
            collapse_factor=factor,
        ).codes for factor in (None, 1.0, 1.5, 2.0)
    ]  # fmt: skip
    for less, more in pairwise(codes):
        assert all(a & b == a for a, b in zip(less, more, strict=True))


# --- what the map gives ----------------------------------------------------------------------------------


@pytest.mark.parametrize("site", [s.id for s in DEMO.sites])
def test_proposed_places_are_usable_and_spread_out(site):
    """Each proposed place stands by why_not, and no two are nearer than asked."""
    scene = scene_of(DEMO, site)
    for target in scene.targets:
        found = spot_map(
            scene, TOWER_3, target.id, cell="10 ft", headings=8, collapse_factor=None, apart="35 ft"
        )
        for n, place in enumerate(found.places):
            assert place.verdict != "not"
            again = found.why_not(
                quantity(place.x_ft, "foot"), quantity(place.y_ft, "foot"),
                quantity(place.heading_deg, "degree"),
            )  # fmt: skip
            assert again.code == place.code
            for other in found.places[:n]:
                assert math.hypot(place.x_ft - other.x_ft, place.y_ft - other.y_ft) >= 35 - 1e-6


def test_map_gives_all_that_a_picture_needs():
    """Counts add up, arrays have a value a place, codes one a heading and place; text is whole."""
    found = spot_map(
        scene_of(DEMO, "drill-ground"), TOWER_3, "upper window", cell="10 ft", headings=8
    )
    places = found.columns * found.rows
    assert sum(found.counts.values()) == places == len(found.best) == len(found.verdicts)
    assert len(found.codes) == 8 * places
    assert all(len(getattr(found, n)) == places for n in ("extension", "swept", "lay"))
    text = found.text()
    assert "permits nothing" in text and "Spot 1" in text
    assert "safe" not in text.lower()
    assert all(s in SOURCES and SOURCES[s].status != "memory" for s in found.sources)
    assert "m" in found.text("metric")


def test_what_was_assumed_is_said():
    """Tip's place, no zone, lay without hose, heights of cars: all in the notes."""
    found = spot_map(
        scene_of(DEMO, "gorse-lane-shops"), TOWER_3, "shop 3", cell="20 ft", collapse_factor=None
    )
    said = " ".join(n.text for n in found.notes)
    for words in ("not given", "No collapse zone", "× 1.3", "car 1", "the way there"):
        assert words in said


def test_rig_without_chassis_or_pads_is_judged_by_its_turntable_only_and_says_so():
    """What nobody entered is a note, not a finding."""
    bare = TOWER_3.model_copy(update={"chassis": None, "stabilisers": None, "heel_offset": None})
    scene = scene_with()
    found = spot_map(scene, bare, "window", cell="10 ft", headings=1, area=["0 ft", "-80 ft", "40 ft", "-40 ft"], collapse_factor=None)  # fmt: skip
    assert found.counts["feasible"] > 0
    said = " ".join(n.text for n in found.notes)
    assert "chassis not entered" in said and "heel offset not entered" in said


def test_each_code_is_one_bit_and_told_apart():
    """Bits, names and words of the codes all differ, and together they are all there are."""
    assert len({c.bit for c in CODES}) == len({c.name for c in CODES}) == len(CODES)
    assert sum(c.bit for c in CODES) == core.ALL_BITS
    assert {c.name for c in codes_of(core.OBLIQUE | core.OVER_SIDE)} == {"oblique", "over the side"}


@pytest.mark.parametrize(
    ("given_", "error", "said"),
    [
        ({"cell": "5"}, UnitError, "cell"),
        ({"cell": "5 psi", "apart": "x"}, UnitError, "apart"),
        ({"collapse_factor": 0}, ImpossibleValue, "collapse_factor"),
        ({"collapse_factor": 0.9}, ImpossibleValue, "collapse_factor"),
        ({"tip_in_zone": "yes", "engine": "fast"}, ImpossibleValue, "engine"),
        ({"headings": 0}, ImpossibleValue, "headings"),
        ({"headings": ["north"]}, UnitError, "heading"),
        ({"headings": "90 deg"}, ImpossibleValue, "headings"),
        ({"area": ["0 ft", "0 ft"]}, ImpossibleValue, "area"),
        ({"area": ["0", "0 ft", "9 ft", "9 ft"]}, ImpossibleValue, "area"),
        ({"cell": "0.5 ft", "headings": 360}, ImpossibleValue, "larger cells"),
        ({"target": "hole", "stream_rise": "14 deg"}, ImpossibleValue, "no head"),
    ],
)  # fmt: skip
def test_wrong_input_is_refused_with_what_to_write(given_, error, said):
    """Each wrong input is named."""
    options = {"target": "window", **given_}
    target = options.pop("target")
    with pytest.raises(error, match=said):
        spot_map(scene_with(SQUARE), TOWER_3, target, **options)


def test_unknown_target_names_those_there_are():
    """A target that is not on the plan."""
    with pytest.raises(KeyError, match="window, hole"):
        spot_map(scene_with(SQUARE), TOWER_3, "door")


WITHOUT = """
import sys
class Hidden:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in ("numpy", "scipy", "shapely"):
            raise ModuleNotFoundError(name)
sys.meta_path.insert(0, Hidden())
import importlib.util
found = importlib.util.find_spec
importlib.util.find_spec = lambda n, *a: None if n == "numpy" else found(n, *a)
from aerialstream import load_department, scene_of, spot_map
d = load_department()
m = spot_map(scene_of(d, "drill-ground"), d.device("tower-3"), "upper window", cell="10 ft", headings=4)
print(len(m.places), sum(m.codes))
assert not {"numpy", "shapely"} & set(sys.modules)
"""


def test_map_is_the_same_where_numpy_and_shapely_are_not():
    """A fresh Python with both out of reach gives the codes that the arrays give here."""
    run = subprocess.run(
        [sys.executable, "-c", WITHOUT], capture_output=True, text=True, timeout=120, check=False
    )
    assert run.returncode == 0, run.stderr
    here = spot_map(
        scene_of(DEMO, "drill-ground"), TOWER_3, "upper window", cell="10 ft", headings=4,
        engine="arrays",
    )  # fmt: skip
    assert run.stdout.split() == [str(len(here.places)), str(sum(here.codes))]


def test_entered_lowest_elevation_rules_places_out():
    """Tip 12 ft up on Tower 3 (heel 8 ft up) asks for 3.7 deg from (20, -75): 4 deg is too much."""
    for entered, wanted in (("3.5 deg", LONG), ("4 deg", {"below elevation range"})):
        conditions = TOWER_3.manual_conditions.model_copy(
            update={"elevation_at_least": quantity(entered)}
        )
        rig = TOWER_3.model_copy(update={"manual_conditions": conditions})
        assert one_place(scene_with(SQUARE), rig, 20, -75, 0)[0] == wanted
    found = spot_map(scene_with(SQUARE), LADDER_9, "window", headings=1)
    assert (
        "Lowest elevation -8 deg, its range; of the manual's own limit: not entered" in found.text()
    )


def test_platform_whose_nozzle_was_not_entered_still_levels_itself_and_says_so():
    """As `tip_position` takes it: the nozzle at the tip pin, its base level."""
    bare = PLATFORM_2.model_copy(update={"platform": None})
    found = spot_map(scene_with(SQUARE), bare, "window", headings=1)
    assert found.problem.rig.levels
    assert "platform not entered" in found.text()


def test_what_stands_in_the_way_is_named():
    """The words of a finding name the thing, the vault, the building."""
    scene = scene_with(SQUARE, thing(12, -61, 1, 3), ground("hollow", "[[17, -70], [23, -70], [23, -65], [17, -65]]"))  # fmt: skip
    _, place = one_place(scene, TOWER_3, 20, -75, 0)
    said = {f.code.name: f.text for f in place.findings}
    assert said["stabiliser blocked"].endswith(": thing")
    assert said["chassis over hollow"].endswith(": hollow ground")


def test_distance_from_a_line_is_told_rule_by_rule_and_never_rounded_down():
    """350 kV: 20 ft by Table A, 10 + 0.4 × 300 / 12 = 20, 10 + 0.4 × 350 / 12 = 21.67 ft."""
    found = spot_map(scene_with(SQUARE, line(-20, 60, "350 kV")), TOWER_3, "window", headings=1)
    assert any(
        "350 kV: 21.7 ft, the largest of 20 ft (crane rule) and 20 ft or 21.7 ft" in step
        for step in found.steps
    )
    # 500 kV: 25; 10 + 0.4 × 500 / 12 = 26.667 ft = 8.128 m, printed in metres as 8.13.
    metric = spot_map(scene_with(SQUARE, line(-20, 60, "500 kV")), TOWER_3, "window", headings=1)
    assert any("8.13 m" in step for step in metric.steps_in("metric"))


# --- what is read -------------------------------------------------------------------------------------


def test_stream_from_the_side_is_longer_than_the_distance_from_the_wall():
    """From (62, -46), 42.4 deg off square: 15 / cos = 15 × √(42² + 46²) / 46 = 20.31 ft."""
    _, place = one_place(scene_with(SQUARE), TOWER_3, 62, -46, 0)
    assert place.stream_ft == pytest.approx(15 * math.hypot(42, 46) / 46)
    assert "Stream, from the tip to the target's middle: 20.3 ft" in place.text()


def test_a_place_left_of_the_corner_is_said_to_be_left():
    """No minus sign before "right"."""
    _, place = one_place(scene_with(SQUARE), TOWER_3, -20, -60, 0)
    assert "Place: 20 ft left, 60 ft down" in place.text()
    assert "Place: 6.1 m left, 18.3 m down" in place.text("metric")


def test_the_ladder_s_length_is_worked_out_as_it_can_be_keyed_in():
    """From (20, -60): X = 45, heel 2 ft behind, tip 12 ft up, heel 8 ft: 47 and 4, √(47² + 4²)."""
    _, place = one_place(scene_with(SQUARE), TOWER_3, 20, -60, 0)
    out, up, extension = place.steps
    assert out.endswith("45 + 2 = 47 ft") and up.endswith("12 - 8 = 4 ft")
    assert extension == "Extension = √(47^2 + 4^2) = 47.17 ft"
    assert "On the plan: nothing against it\n" in place.text()


def test_without_a_heading_the_best_of_the_maps_is_taken_and_named():
    """The same place and code as with that heading given."""
    found = spot_map(scene_with(SQUARE), TOWER_3, "window", cell="30 ft", collapse_factor=None)
    free = found.why_not("20 ft", "-60 ft")
    given = found.why_not("20 ft", "-60 ft", f"{free.heading_deg} deg")
    assert free.code == given.code and f"{free.heading_deg:.5g} deg has the least" in free.text()
    for heading in found.headings_deg:
        other = found.why_not("20 ft", "-60 ft", f"{heading} deg")
        assert len([f for f in other.findings if f.wrong]) >= len(
            [f for f in free.findings if f.wrong]
        )


def test_bedded_length_is_told_where_it_rules_a_place_out():
    """Tower 3's 36 ft stand with the reason."""
    _, place = one_place(scene_with(SQUARE), TOWER_3, 20, -48, 0)
    assert "36 ft (bedded)" in place.text()


def test_map_says_why_the_first_place_stands_before_the_second():
    """One line on the order, and no caution of a load that a map does not size."""
    found = spot_map(scene_with(SQUARE), TOWER_3, "window", collapse_factor=None)
    assert "Why spot 1 stands before spot 2: " in found.text()
    assert "sizes the load" not in found.text() + found.places[0].text()


def test_a_slope_is_told_both_ways():
    """A 2 % grade is 1.1 deg."""
    from aerialstream._plan_words import slope_words

    assert slope_words(math.degrees(math.atan(0.02))) == "1.1 deg (2 % grade)"
