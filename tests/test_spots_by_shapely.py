"""Places judged anew by shapely, numpy and trigonometry that share no code with the kit."""

import math
import random
from itertools import pairwise

import numpy as np
import pytest
import shapely
import shapely.affinity
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

from aerialstream import load_department, load_scene, scene_of, spot_map
from aerialstream.department import DEMO_FOLDER

DEMO = load_department(DEMO_FOLDER)
STARTER = DEMO_FOLDER.parent / "starter" / "scene.toml"
NEAR = 0.02  # ft: sampled distances this near to a limit prove nothing
# 29 CFR 1926.1408, Table A; above 50 kV the firefighters' rule 10 ft + 0.4 in for each kV
# (WAC 296-305-04510(4)(c)) read over the whole voltage; 50 ft where nobody knows.
TABLE_A = ((50, 10), (200, 15), (350, 20), (500, 25), (750, 35), (1000, 45))


def number(value, unit):
    """An entry as a plain number."""
    return float(value.to(unit).magnitude)


def kept_ft(volts):
    """Distance from a line, as printed."""
    if volts is None:
        return 50.0
    kilovolts = volts / 1000
    printed = next(feet for most, feet in TABLE_A if kilovolts <= most)
    return max(printed, 10 + (0.4 * kilovolts / 12 if kilovolts > 50 else 0))


def set_down(corners, x, y, heading):
    """Corners (x right, y toward the cab) turned clockwise from up the plan and put down."""
    turned = shapely.affinity.rotate(Polygon(corners), -heading, origin=(0, 0))
    return shapely.affinity.translate(turned, x, y)


def box(left, right, back, front):
    """Corners of a rectangle."""
    return [(left, front), (right, front), (right, back), (left, back)]


class Rig:
    """What the department entered of a device, as plain numbers."""

    def __init__(self, device):
        self.height, self.heel = (
            number(v, "foot") for v in (device.turntable_height, device.heel_offset)
        )
        self.levels = device.platform is not None
        if self.levels:
            self.height_up = self.height + number(device.platform.up, "foot")
            self.heel += number(device.platform.ahead, "foot")
        else:
            self.height_up = self.height
        self.least, self.most = (
            number(v, "foot") for v in (device.extension.least, device.extension.most)
        )
        self.low, self.high = (
            number(v, "degree") for v in (device.elevation.least, device.elevation.most)
        )
        self.up, self.down = (
            number(v, "degree") for v in (device.nozzle_travel.up, device.nozzle_travel.down)
        )
        chassis, pads = device.chassis, device.stabilisers
        half, front = (
            number(chassis.width, "foot") / 2,
            number(chassis.turntable_from_front, "foot"),
        )
        self.chassis = box(-half, half, front - number(chassis.length, "foot"), front)
        wide, edge = number(pads.spread, "foot") / 2, number(pads.pad, "foot") / 2
        self.pads = [
            box(x - edge, x + edge, y - edge, y + edge)
            for x in (-wide, wide)
            for y in (number(pads.ahead, "foot"), number(pads.behind, "foot"))
        ]
        conditions = device.manual_conditions
        self.slope = None if conditions is None else number(conditions.slope_up_to, "degree")


class Judge:
    """One scene, rig and target; `place` gives (names of findings, whether a limit is too near)."""

    def __init__(self, scene, rig, target, zone_ft, standoff_ft, hose_ft):
        self.scene, self.rig, self.target = scene, rig, target
        self.zone, self.standoff, self.hose = zone_ft, standoff_ft, hose_ft
        hard = [s.corners for s in scene.streets]
        hard += [g.corners for g in scene.ground if g.kind == "paved"]
        self.off = unary_union([Polygon(c) for c in hard])
        things = [(b.corners, b.top_ft) for b in scene.buildings]
        things += [(o.corners, o.height_ft) for o in scene.obstacles]
        # A hydrant is entered as a point; the map's note says 1.5 ft across and 3 ft high.
        things += [
            ([(x - 0.75, y - 0.75), (x + 0.75, y - 0.75), (x + 0.75, y + 0.75), (x - 0.75, y + 0.75)], 3)
            for x, y in (h.at for h in scene.hydrants)
        ]  # fmt: skip
        self.things = [(Polygon(c), top) for c, top in things]
        self.building = Polygon(target.building.corners)

    def place(self, x, y, heading):
        """Findings of a place; heading clockwise from up the plan."""
        self.found, self.close = set(), False
        self._ground(x, y, heading)
        self._slope(x, y, heading)
        straight = min((math.dist((x, y), h.at) for h in self.scene.hydrants), default=None)
        if straight is not None and self.hose and 1.3 * straight > self.hose:
            self.found.add("lay too long")
        self._ladder(x, y, heading)
        return self.found, self.close

    def _say(self, name, true):
        if true:
            self.found.add(name)

    def _some(self, area):
        """Whether there is an area; a sliver is too near to call."""
        self.close |= 1e-9 < area < 0.05
        return area > 1e-6

    def _overlap(self, one, other):
        return self._some(one.intersection(other).area)

    def _ground(self, x, y, heading):
        chassis = set_down(self.rig.chassis, x, y, heading)
        pads = [set_down(p, x, y, heading) for p in self.rig.pads]
        bad = [Polygon(g.corners) for g in self.scene.ground if g.kind in ("soft", "hollow")]
        hollow = [Polygon(g.corners) for g in self.scene.ground if g.kind == "hollow"]
        solid = [shape for shape, _ in self.things]
        self._say("off street", self._some(chassis.difference(self.off).area))
        self._say(
            "stabiliser off street", self._some(sum(p.difference(self.off).area for p in pads))
        )
        for name, bodies, on in (
            ("chassis blocked", [chassis], solid),
            ("stabiliser blocked", pads, solid),
            ("stabiliser on bad ground", pads, bad),
            ("chassis over hollow", [chassis], hollow),
        ):
            self._say(name, any([self._overlap(b, g) for b in bodies for g in on]))
        if self.zone:
            # The kit's zone is drawn round the convex hull, its rounded corners in short pieces.
            away = chassis.distance(self.building.convex_hull)
            self.close |= abs(away - self.zone) < 0.6
            self._say("rig in zone", away < self.zone)
            self._say("turntable in zone", self.building.distance(Point(x, y)) < self.zone)

    def _off_axis(self, bearing, heading):
        """Degrees between a bearing and the chassis, nose or tail."""
        off = abs((bearing - heading + 180) % 360 - 180)
        off = min(off, 180 - off)
        self.close |= abs(off - 45) < 1e-6
        return off

    def _slope(self, x, y, heading):
        for ground in self.scene.ground:
            if not ground.slope_deg or not Polygon(ground.corners).contains(Point(x, y)):
                continue
            limit = self.rig.slope
            self._say("slope limit not entered", limit is None)
            self._say("slope beyond limit", limit is not None and ground.slope_deg > limit)
            if ground.uphill_deg is not None:
                self._say("across slope", self._off_axis(ground.uphill_deg, heading) > 45)

    def _ladder(self, x, y, heading):
        (tx, ty), side = self.target.at, self.target.side
        tip_height = self.target.height_ft + (0 if side else 10)
        away = math.dist((x, y), (tx, ty))
        way = ((tx - x) / away, (ty - y) / away)
        bearing = math.degrees(math.atan2(*way))
        self._say("over the side", self._off_axis(bearing, heading) > 45)
        run = self.standoff
        if side:
            square = (x - tx) * side.normal[0] + (y - ty) * side.normal[1]
            if square <= 0:
                return self.found.add("target faces away")
            run *= away / square
            off = math.degrees(math.acos(min(1, square / away)))
            self._say("oblique", 30 < off <= 60)
            self._say("too oblique", off > 60)
        if away <= run:
            return self.found.add("too close")
        rig = self.rig
        out, up = away - run - rig.heel, tip_height - rig.height_up
        length, raised = math.hypot(out, up), math.degrees(math.atan2(up, out))
        for name, true in (
            ("too far", length > rig.most),
            ("too close", length < rig.least),
            ("below elevation range", raised < rig.low),
            ("above elevation range", raised > rig.high),
        ):
            self._say(name, true)
        if not (rig.least <= length <= rig.most and rig.low <= raised <= rig.high):
            return None
        pitch = math.degrees(math.atan2(self.target.height_ft - tip_height, run))
        pitch -= 0 if rig.levels else raised
        self._say("nozzle travel", not -rig.down <= pitch <= rig.up)
        self._say("low and long", raised < 30 and length > 0.5 * rig.most)
        tip = (x + way[0] * (away - run), y + way[1] * (away - run), tip_height)
        return self._in_the_air((x, y, rig.height), tip)

    def _in_the_air(self, start, tip):
        """The ladder in two thousand points: over things, past lines; the tip in the zone."""
        share = np.linspace(0, 1, 2001)[:, None]
        points = (1 - share) * np.array(start) + share * np.array(tip)
        seen = shapely.points(points[:, 0], points[:, 1])
        for shape, top in self.things:
            if shape.distance(LineString([start[:2], tip[:2]])) > 0:
                continue
            inside = shapely.contains(shape, seen)
            if inside.any():
                lowest = points[inside, 2].min()
                self.close |= abs(lowest - top) < NEAR
                self._say("ladder blocked", lowest < top)
        for line in self.scene.lines:
            kept = kept_ft(line.volts)
            for one, other in pairwise(line.points):
                a = np.array((*one, line.height_ft))
                along = np.array((*other, line.height_ft)) - a
                foot = np.clip((points - a) @ along / (along @ along), 0, 1)[:, None]
                near = np.linalg.norm(points - a - foot * along, axis=1).min()
                self.close |= abs(near - kept) < NEAR
                name = "line too near" if line.volts else "unknown line too near"
                self._say(name, near < kept)
        if self.zone:
            self._say("tip in zone", self.building.distance(Point(tip[:2])) < self.zone - 1e-6)


def scenes():
    """The demo's scenes and the one to start from."""
    yield from (scene_of(DEMO, site.id) for site in DEMO.sites)
    yield load_scene(STARTER)


SCENES = tuple(scenes())
ASKED = (
    {"collapse_factor": 1.5, "hose_carried": "300 ft"},
    {"collapse_factor": None},
    {"collapse_factor": 1.0, "hose_carried": "900 ft"},
)


@pytest.mark.agreement
@pytest.mark.parametrize("device", [d.id for d in DEMO.apparatus])
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.name)
def test_every_finding_of_a_place_is_found_anew(scene, device):
    """Whatever the kit finds at a place, and nothing else, is found without the kit's code."""
    dice, judged = random.Random(f"{scene.name} {device}"), 0
    for target in scene.targets:
        for asked in ASKED:
            found = spot_map(
                scene, DEMO.device(device), target.id, headings=1, cell="40 ft", **asked
            )
            zone = (asked["collapse_factor"] or 0) * target.building.top_ft
            hose = float(asked.get("hose_carried", "0 ft").split()[0])
            judge = Judge(scene, Rig(DEMO.device(device)), target, zone, found.standoff_ft, hose)
            for _ in range(6):
                x, y = (at + dice.uniform(-120, 120) for at in target.at)
                heading = dice.choice([0, 90, 180, 270, dice.uniform(0, 360)])
                place = found.why_not(f"{x} ft", f"{y} ft", f"{scene.compass_bearing(heading)} deg")
                anew, close = judge.place(x, y, heading)
                if not close:
                    assert {f.code.name for f in place.findings} == anew, (x, y, heading, asked)
                    judged += 1
    assert judged > 10
