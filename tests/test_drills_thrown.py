"""Stream quality from throws: recovered within its spread, scipy as reference, adopted on a yes."""

import random
import shutil
import tomllib
from dataclasses import replace
from datetime import date
from math import radians, sin

import pytest

from aerialstream import load_department, stream_path
from aerialstream.department import DEMO_FOLDER
from aerialstream.errors import DepartmentDataError
from gradekit.drills import adopted
from gradekit.drills.fitted import NOZZLE, QUALITY, Estimate, estimates
from gradekit.drills.measured import Measurements, Run
from gradekit.drills.plan import Asked, plan_drill
from gradekit.drills.thrown import fit_quality, thrown_of

DAY = date(2026, 11, 20)
MODEL = {
    "device": "tower-3", "nozzle": "tip-1-1/2", "tip_diameter_in": 1.5, "stream_quality": 1.1,
    "turntable_ft": 8.0, "heel_ft": -2.0, "platform_up_ft": 0.0, "target_ft": 60.0,
    "nozzle_pitch_deg": 0.0, "levels": False, "extension_ft": 60.0, "elevation_deg": 20.0,
}  # fmt: skip


def throw_ft(quality, pressure, pitch, height, wind, way):
    """Where the middle lands, by the public function of the package."""
    path = stream_path(
        "1.5 in", nozzle_pressure=f"{pressure} psi", elevation=f"{pitch} deg", height=f"{height} ft",
        wind=f"{wind} mph", wind_from=f"{way} deg", quality=quality,
    )  # fmt: skip
    return path.throw.to("foot").magnitude


def drill(rng, runs, quality, *, exact=False):
    """A made-up drill: gauge, angle and wind read off, steadily and each time; landing paced."""
    gauge, level = (0, 0) if exact else (rng.uniform(-2, 2), rng.uniform(-1, 1))
    made = []
    for number in range(runs):
        pressure, elevation = rng.uniform(50, 90), rng.uniform(15, 40)
        wind, way = rng.uniform(0, 8), rng.uniform(0, 360)
        height = 8 + 60 * sin(radians(elevation))
        throw = throw_ft(quality, pressure, elevation, height, wind, way)
        off = (lambda sigma: 0.0) if exact else (lambda sigma: rng.gauss(0, sigma))
        made.append(Run(number=str(number + 1), values={
            "nozzle pressure": pressure + gauge + off(1.5), "elevation": elevation + level + off(0.3),
            "extension": 60.0, "throw": throw + off(4.0), "wind": max(0.0, wind + off(1.0)), "wind from": way,
        }))  # fmt: skip
    return Measurements(runs=tuple(made))


@pytest.mark.parametrize(("runs", "cases"), [(4, 100), (10, 40)])
def test_a_known_quality_is_recovered_within_its_spread_in_95_of_100_drills(runs, cases):
    """True values are put in by hand; noise comes from a seeded generator."""
    rng, hit, told = random.Random(20261120 + runs), 0, 0
    for _ in range(cases):
        true = rng.uniform(0.9, 1.6)
        found, _ = estimates([(MODEL, drill(rng, runs, true))])
        for one in (e for e in found if e.what == QUALITY):
            told += 1
            hit += abs(one.value - true) <= one.spread
    assert told > 0.8 * cases and hit >= 0.95 * told, (hit, told)


def test_the_spread_is_no_wider_than_it_needs_to_be():
    """A check that can fail: so many throws must say more than the word "usual" does."""
    found, _ = estimates([(MODEL, drill(random.Random(7), 12, 1.3))])
    (quality,) = [e for e in found if e.what == QUALITY]
    assert quality.spread < 0.25 * quality.value


def test_without_scatter_the_quality_comes_back():
    found, _ = estimates([(MODEL, drill(random.Random(3), 5, 1.37, exact=True))])
    (quality,) = [e for e in found if e.what == QUALITY]
    assert quality.value == pytest.approx(1.37, abs=0.002)


def test_the_fit_is_scipys_least_squares():
    """Reference: scipy.optimize.least_squares on the package's public stream_path."""
    optimize = pytest.importorskip("scipy.optimize")
    measured = drill(random.Random(11), 7, 1.25)
    points = [p for run in measured.runs for p in thrown_of(MODEL, run)[0]]

    def rest(q):
        return [
            (throw_ft(q[0], p.nozzle_pressure_psi, p.pitch_deg, p.height_ft, p.wind_mph, p.wind_from_deg)
             - p.read_ft) / 5.0
            for p in points
        ]  # fmt: skip

    best = optimize.least_squares(rest, [1.0], diff_step=1e-4)
    fit = fit_quality(points, gauge_off_psi=2.0)
    assert fit.quality == pytest.approx(best.x[0], abs=2e-4)
    variance = 2 * best.cost / (len(points) - 1) / float((best.jac.T @ best.jac).item())
    assert fit.standard_error == pytest.approx(variance**0.5, rel=0.02)


def test_strikes_close_by_do_not_tell_the_quality_and_that_is_said():
    runs = [
        Run(number=str(n), values={"nozzle pressure": 60 + n, "strike height": 14.0 + n / 10,
                                   "elevation": 5.0, "extension": 40.0})
        for n in range(4)
    ]  # fmt: skip
    found, missing = estimates([(MODEL, Measurements(runs=tuple(runs)))])
    assert not [e for e in found if e.what == QUALITY]
    assert any("open ground" in text or "explains the readings" in text for text in missing)


def test_a_throw_that_lacks_a_reading_is_left_out_by_name():
    values = {"throw": 180.0, "nozzle pressure": 70.0, "elevation": 20.0, "extension": 60.0}
    assert thrown_of(MODEL, Run(number="1", values=values))[0]
    windy = Run(number="2", values=values | {"wind": 12.0})
    assert "where it came from" in thrown_of(MODEL, windy)[1]
    gauge = Run(number="3", values={"throw": 180.0, "elevation": 20.0})
    assert "nozzle pressure" in thrown_of(MODEL, gauge)[1]
    _, missing = estimates([(MODEL, Measurements(runs=(windy, gauge)))])
    assert any("run 2" in text and "run 3" in text for text in missing)


@pytest.fixture
def own(tmp_path):
    shutil.copytree(DEMO_FOLDER, tmp_path / "own")
    return tmp_path / "own"


def fitted(what, value):
    return Estimate(what=what, id="tip-1-1/2", value=value, spread=0.02, standard_error=0.01, scatter=1.0,
                    runs=6, before=1.0)  # fmt: skip


def test_quality_and_flow_of_a_nozzle_are_adopted_on_a_yes_and_used_by_the_next_plan(own):
    """The plan's flow is the formula's, 29.7 d² √p, times the share that was adopted."""
    asked = Asked(evolution="window-in-line", device="tower-3", site="drill-ground")
    before = plan_drill(load_department(own), asked)
    for one in (fitted(QUALITY, 1.42), fitted(NOZZLE, 0.96)):
        with pytest.raises(adopted.AdoptRefused, match="nobody said yes"):
            adopted.adopt(own, one, day=DAY, consent=False)
        assert "nozzles.toml" in adopted.adopt(own, one, day=DAY, consent=True)
    entry = tomllib.loads((own / "nozzles.toml").read_text())["nozzle"][0]
    assert (entry["stream_quality"], entry["throw_tested"]) == (1.42, DAY)
    assert (entry["flow_share"], entry["flow_tested"]) == (0.96, DAY)
    assert [e.what for _, e, taken in adopted.history(own) if taken] == [QUALITY, NOZZLE]
    after = plan_drill(load_department(own), asked)
    assert after.model["stream_quality"] == 1.42 and before.model["stream_quality"] != 1.42
    pressure = after.water["nozzle_pressure"].to("psi").magnitude
    flow = 0.96 * 29.7 * 1.5**2 * pressure**0.5
    assert after.water["flow"].to("gpm").magnitude == pytest.approx(flow, rel=0.002)
    inlet = pressure + after.model["height_psi"] + 50 * (flow / 1000) ** 2
    assert after.predicted["inlet pressure"] == pytest.approx(inlet, abs=0.3)


def test_a_share_that_no_file_takes_is_not_written(own):
    before = (own / "nozzles.toml").read_bytes()
    with pytest.raises(adopted.AdoptRefused, match="would not read"):
        adopted.adopt(own, replace(fitted(NOZZLE, 0.96), value=1.4), day=DAY, consent=True)
    assert (own / "nozzles.toml").read_bytes() == before


def test_a_tested_nozzle_needs_its_day_and_a_smooth_bore(own):
    text = (own / "nozzles.toml").read_text()
    (own / "nozzles.toml").write_text(
        text.replace('tip_diameter = "1 1/2 in"', 'tip_diameter = "1 1/2 in"\nflow_share = 0.96')
        .replace('kind = "fixed fog"', 'kind = "fixed fog"\nstream_quality = 1.2', 1)
    )  # fmt: skip
    with pytest.raises(DepartmentDataError) as refused:
        load_department(own)
    assert "flow_tested" in str(refused.value) and "smooth-bore" in str(refused.value)
