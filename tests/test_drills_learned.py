"""What was measured: read, asked about, compared, fitted, adopted on a yes, shared without names."""

import json
import random
import re
import shutil
import tomllib
from datetime import date
from types import SimpleNamespace

import pytest
from typer.testing import CliRunner

from aerialstream import load_department
from aerialstream.department import DEMO_FOLDER
from gradekit.cli import app
from gradekit.drills import adopted
from gradekit.drills.compared import compare
from gradekit.drills.fitted import (
    HOSE,
    NOZZLE,
    WATERWAY,
    Estimate,
    estimates,
    pooled,
    t95,
    through_nought,
)
from gradekit.drills.measured import (
    Measurements,
    MeasurementsRefused,
    Run,
    form,
    questions,
    read_measurements,
)
from gradekit.drills.parcel import ParcelRefused, _digest, checked_svg, open_parcel, pack
from gradekit.drills.plan import Asked, plan_drill

DAY = date(2026, 11, 20)
MODEL = {
    "device": "tower-3", "hose": "supply-5", "nozzle": "tip-1-1/2", "tip_diameter_in": 1.5,
    "turntable_ft": 8.0, "height_psi": 5.0, "waterway_psi": 40.0, "waterway_gpm": 1000.0,
    "inlet_psi": 10.0, "inlet_gpm": 1000.0, "coefficient": 0.066, "lay_ft": 800.0, "lines": 1,
}  # fmt: skip


@pytest.fixture(scope="module")
def plan():
    return plan_drill(
        load_department(), Asked(evolution="window-in-line", device="tower-3", site="drill-ground")
    )


def drill(rng, runs, *, hose=0.08, waterway=45.0, nozzle=0.97, scatter=1.5, steady=2.0, meter=0.02):
    """A made-up drill: true losses, gauges that scatter and read steadily off, a meter that does too."""
    gauges = [
        rng.uniform(-steady / 2, steady / 2) for _ in range(3)
    ]  # two never lie apart by more than steady
    off, made = 1 + rng.uniform(-meter, meter), []
    for number in range(runs):
        pressure = rng.uniform(45, 90)
        flow = nozzle * 29.7 * 1.5**2 * pressure**0.5
        inlet = pressure + 5.0 + (waterway + 10) * (flow / 1000) ** 2
        pump = inlet + hose * (flow / 100) ** 2 * 8
        nozzle_gauge, inlet_gauge, pump_gauge = (
            p + g + rng.gauss(0, scatter)
            for p, g in zip((pressure, inlet, pump), gauges, strict=True)
        )
        made.append(Run(number=str(number + 1), values={
            "flow": flow * off * (1 + rng.gauss(0, 0.005)), "nozzle pressure": nozzle_gauge,
            "inlet pressure": inlet_gauge, "discharge pressure": pump_gauge,
        }))  # fmt: skip
    return Measurements(runs=tuple(made))


@pytest.mark.parametrize("runs", [4, 8, 20])
def test_known_numbers_are_recovered_within_their_spread_in_95_of_100_drills(runs):
    """True values are put in by hand and known; noise comes from a seeded generator."""
    rng, cases = random.Random(20261120 + runs), 400
    hit = dict.fromkeys((HOSE, WATERWAY, NOZZLE), 0)
    true = {HOSE: 0.08, WATERWAY: 45.0, NOZZLE: 0.97}
    for _ in range(cases):
        for found in estimates([(MODEL, drill(rng, runs))])[0]:
            hit[found.what] += abs(found.value - true[found.what]) <= found.spread
    assert min(hit.values()) >= 0.95 * cases, hit


def test_the_spread_is_no_wider_than_it_needs_to_be():
    """A check that can fail: the range must not be so wide that it says nothing."""
    rng = random.Random(7)
    found = {e.what: e for e in estimates([(MODEL, drill(rng, 12))])[0]}
    assert found[HOSE].spread < 0.35 * found[HOSE].value
    assert found[WATERWAY].spread < 0.35 * found[WATERWAY].value
    assert found[NOZZLE].spread < 0.06


def test_without_scatter_the_numbers_come_back_exactly():
    exact = drill(random.Random(3), 5, scatter=0.0, steady=0.0, meter=0.0)
    runs = [Run(number=r.number, values=r.values) for r in exact.runs]
    found = {e.what: e for e in estimates([(MODEL, Measurements(runs=tuple(runs)))])[0]}
    assert found[NOZZLE].value == pytest.approx(0.97, rel=0.02)
    assert found[HOSE].value == pytest.approx(0.08, rel=0.02)


def test_the_line_through_nought_is_scipys():
    """Reference: scipy.optimize.curve_fit, value and standard error."""
    scipy = pytest.importorskip("scipy.optimize")
    rng = random.Random(1)
    for count in (3, 7, 40):
        xs = [rng.uniform(1, 40) for _ in range(count)]
        ys = [0.08 * x + rng.gauss(0, 0.3) for x in xs]
        slope, error, _ = through_nought(xs, ys)
        best, covariance = scipy.curve_fit(lambda x, a: a * x, xs, ys, p0=[1.0])
        assert slope == pytest.approx(best[0], rel=1e-6)
        assert error == pytest.approx(covariance[0][0] ** 0.5, rel=1e-5)


def test_students_t_is_the_tables():
    """Reference: scipy.stats.t."""
    stats = pytest.importorskip("scipy.stats")
    for freedom in range(1, 31):
        assert t95(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), abs=6e-4)
    assert t95(100) >= stats.t.ppf(0.975, 100)


def test_too_few_runs_are_not_fitted_and_it_is_said():
    found, missing = estimates([(MODEL, drill(random.Random(5), 2))])
    assert found == () and len(missing) == 3 and "3 are needed" in missing[0]


def test_a_run_set_aside_on_somebodys_word_is_left_out():
    many = drill(random.Random(5), 5)
    assert {e.runs for e in estimates([(MODEL, many)])[0]} == {5}
    assert {e.runs for e in estimates([(MODEL, many)], aside={(0, "2")})[0]} == {4}


def estimate(value, spread, error=0.001, runs=6):
    return Estimate(what=HOSE, id="supply-5", value=value, spread=spread, standard_error=error, scatter=1.0,
                    runs=runs, before=0.066)  # fmt: skip


def test_many_drills_sharpen_what_scatters_and_not_what_a_gauge_reads_off():
    one = estimate(0.08, 0.010)
    value, spread, agree = pooled([one] * 8)
    steady = 0.010 - t95(5) * 0.001
    assert value == pytest.approx(0.08) and agree
    assert steady <= spread < 0.010
    assert pooled([one])[1] == pytest.approx(0.010)


def test_drills_that_disagree_widen_the_spread():
    value, spread, agree = pooled([estimate(0.06, 0.002), estimate(0.10, 0.002)])
    assert not agree and value == pytest.approx(0.08) and spread > 0.002


def written(tmp_path, text, name="m.csv"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def test_units_are_read_as_in_answers(tmp_path):
    found = read_measurements(
        written(tmp_path, "run;flow;extension;wind\n1;1,900 L/min;41 ft 6 in;5 m/s\n")
    )
    values = found.runs[0].values
    assert values["flow"] == pytest.approx(501.9, abs=0.1)  # 3.785 L a gallon
    assert values["extension"] == pytest.approx(41.5)
    assert values["wind"] == pytest.approx(11.18, abs=0.01)


def test_every_fault_of_a_file_is_named_at_once(tmp_path):
    bad = "run,flow,elevation\n1,500,7 deg\n1,500 gpm,7 ft\n?,x gpm,\n"
    with pytest.raises(MeasurementsRefused) as refused:
        read_measurements(written(tmp_path, bad))
    said = str(refused.value)
    assert all(
        part in said
        for part in ("row 2, flow", "row 3, elevation", "row 4, run", "row 4, flow", "stands twice")
    )
    with pytest.raises(MeasurementsRefused, match="pressure of something"):
        read_measurements(written(tmp_path, "run,pressure of something\n1,5 psi\n"))
    with pytest.raises(MeasurementsRefused, match="UTF-8"):
        (tmp_path / "b.csv").write_bytes(b"run,flow\n1,5\xff gpm\n")
        read_measurements(tmp_path / "b.csv")
    with pytest.raises(MeasurementsRefused, match="cannot be read"):
        read_measurements(tmp_path / "none.csv")


def test_the_form_reads_back_once_a_number_is_in_it(tmp_path, plan):
    text = form(plan.evolution).replace("\r\n1\r\n", "\r\n1,505 gpm\r\n")
    found = read_measurements(written(tmp_path, text))
    assert [run.values for run in found.runs] == [{"flow": pytest.approx(505)}]
    with pytest.raises(MeasurementsRefused, match="no run"):
        read_measurements(written(tmp_path, form(plan.evolution)))


def runs_of(*values):
    return Measurements(runs=tuple(Run(number=str(n), values=v) for n, v in enumerate(values, 1)))


def test_readings_that_look_wrong_are_asked_about_and_kept(plan):
    measured = runs_of(
        {"flow": 500, "nozzle pressure": 56}, {"flow": 505, "nozzle pressure": 57},
        {"flow": 5000, "nozzle pressure": 55}, {"flow": 495, "nozzle pressure": 400, "inlet pressure": 80},
    )  # fmt: skip
    asked = {(q.run, q.name) for q in questions(plan, measured)}
    assert ("3", "flow") in asked and ("4", "nozzle pressure") in asked
    assert not {q for q in asked if q[0] in ("1", "2")}
    found = compare(plan, measured)
    assert next(line.runs for line in found.compared if line.name == "flow") == 4


def test_differences_are_said_and_explained(plan):
    predicted = plan.predicted
    flow = predicted["flow"]
    measured = runs_of({
        "flow": flow, "nozzle pressure": predicted["nozzle pressure"], "inlet pressure": predicted["inlet pressure"],
        "discharge pressure": predicted["inlet pressure"] + 2 * 0.30 * (flow / 100) ** 2,
    })  # fmt: skip
    found = compare(plan, measured)
    assert {line.name for line in found.compared if line.differs} == {"discharge pressure"}
    assert any("coefficient 0.3 in place of 0.066" in cause for cause in found.causes)
    assert "kPa" in found.text("metric") and "as planned" in found.text()


@pytest.fixture
def own(tmp_path):
    folder = tmp_path / "own"
    shutil.copytree(DEMO_FOLDER, folder)
    return folder


def test_nothing_is_written_without_a_yes(own):
    before = {p.name: p.read_bytes() for p in own.glob("*") if p.is_file()}
    for consent in (False, None, "yes", 1):
        with pytest.raises(adopted.AdoptRefused, match="nobody said yes"):
            adopted.adopt(own, estimate(0.081, 0.004), day=DAY, consent=consent)
    assert before == {p.name: p.read_bytes() for p in own.glob("*") if p.is_file()}


def test_a_yes_changes_that_entry_and_nothing_else(own):
    before = tomllib.loads((own / "hose.toml").read_text())
    adopted.adopt(own, estimate(0.0812, 0.004), day=DAY, consent=True)
    after = tomllib.loads((own / "hose.toml").read_text())
    assert after["hose"][0].pop("coefficient") == 0.0812 and after["hose"][0].pop("tested") == DAY
    del before["hose"][0]["coefficient"], before["hose"][0]["tested"]
    assert before == after
    ((day, kept, taken),) = adopted.history(own)
    assert (day, kept.value, taken, kept.before) == (DAY, 0.0812, True, 0.066)
    assert "#" in (own / "hose.toml").read_text()  # remarks of the file stay


def test_a_hose_without_a_coefficient_gets_one_and_the_waterway_too(own):
    from dataclasses import replace

    adopted.adopt(own, replace(estimate(0.9, 0.05), id="attack-3"), day=DAY, consent=True)
    adopted.adopt(
        own, replace(estimate(47.0, 3.0), what=WATERWAY, id="ladder-9"), day=DAY, consent=True
    )
    found = load_department(own)
    assert found.hose_kind("attack-3").coefficient == 0.9
    assert found.device("ladder-9").waterway.loss.magnitude == pytest.approx(47.0)
    assert found.device("tower-3").waterway.loss.magnitude == pytest.approx(40.0)


def test_what_cannot_be_changed_cleanly_is_told_to_be_written_by_hand(own):
    from dataclasses import replace

    path = own / "hose.toml"
    data = path.read_text()
    path.write_text(data.replace("[[hose]]", "[[ 'hose' ]]"))
    with pytest.raises(adopted.AdoptRefused, match=r"coefficient = 0\.08"):
        adopted.adopt(own, estimate(0.08, 0.004), day=DAY, consent=True)
    with pytest.raises(adopted.AdoptRefused, match=r"flow_share = 0\.97"):
        adopted.adopt(own, replace(estimate(0.97, 0.01), what=NOZZLE), day=DAY, consent=True)
    with pytest.raises(adopted.AdoptRefused, match="invented department"):
        adopted.adopt(DEMO_FOLDER, estimate(0.08, 0.004), day=DAY, consent=True)
    with pytest.raises(adopted.AdoptRefused, match="is no"):
        adopted.adopt(own, estimate(-0.08, 0.004), day=DAY, consent=True)


def test_a_spoilt_history_is_refused_by_line(own):
    adopted.record(own, estimate(0.08, 0.004), day=DAY)
    with (own / adopted.HISTORY_FILE).open("a") as file:
        file.write("{}\n")
    with pytest.raises(adopted.AdoptRefused, match="line 2"):
        adopted.history(own)


@pytest.fixture(scope="module")
def sent(plan):
    measured = runs_of({"flow": 500.0}, {"flow": 505.0})
    return pack(plan, measurements=measured, lessons=["Gauge read late."], made=DAY)


def test_a_shared_drill_arrives_as_it_was(tmp_path, plan, sent):
    got = open_parcel(written(tmp_path, sent))
    assert got.title == plan.title and got.made == DAY and got.lessons == ("Gauge read late.",)
    assert got.predicted == pytest.approx(plan.predicted)
    assert compare(got, got.measurements).compared


def test_names_and_numbers_of_the_roster_do_not_go_out(plan):
    roster = [SimpleNamespace(name="Mira Okonta", member="2041")]
    for text in ("okonta opened fast", "ask 2041"):
        with pytest.raises(ParcelRefused, match="lesson 1"):
            pack(plan, lessons=[text], roster=roster, made=DAY)
    assert pack(plan, lessons=["12041 gallons"], roster=roster, made=DAY)


def sealed(sent, change):
    """The file with something changed and its digest made to fit: what a hostile sender would do."""
    data = json.loads(sent)
    change(data)
    data["digest"] = _digest(data["body"])
    return json.dumps(data)


HOSTILE = {
    "script in a picture": lambda d: d["body"]["card"]["plan"].update(svg='<svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>'),
    "handler in a picture": lambda d: d["body"]["card"]["plan"].update(svg='<svg xmlns="http://www.w3.org/2000/svg" onload="x()"/>'),
    "entity in a picture": lambda d: d["body"]["card"]["plan"].update(svg='<!DOCTYPE x [<!ENTITY a "b">]><svg/>'),
    "picture from outside": lambda d: d["body"]["card"]["side"].update(svg='<svg xmlns="http://www.w3.org/2000/svg"><rect fill="url(http://x)"/></svg>'),
    "unknown key": lambda d: d["body"].update(run="rm"),
    "terminal escape": lambda d: d["body"].update(lessons=["\x1b[2J"]),
    "turned text": lambda d: d["body"].update(lessons=["\u202eabc"]),
    "very long text": lambda d: d["body"].update(lessons=["x" * 100_000]),
    "too many runs": lambda d: d["body"].update(runs=[{"number": "1", "values": {}, "remark": ""}] * 5000),
    "huge number": lambda d: d["body"]["predicted"].update(flow=1e300),
    "wrong type": lambda d: d["body"].update(card=[]),
    "markup as a measured name": lambda d: d["body"]["card"]["measure"][0].update(name="'><script>"),
}  # fmt: skip


@pytest.mark.parametrize("how", HOSTILE)
def test_a_hostile_file_is_refused_in_words(tmp_path, sent, how):
    with pytest.raises(ParcelRefused, match="does not belong there"):
        open_parcel(written(tmp_path, sealed(sent, HOSTILE[how])))


def test_a_damaged_or_foreign_or_later_file_is_refused_in_words(tmp_path, sent):
    def said(text):
        with pytest.raises(ParcelRefused) as refused:
            open_parcel(written(tmp_path, text))
        return str(refused.value)

    assert "digest" in said(sent.replace("Gauge read late", "Gauge read soon"))
    assert "damaged" in said(sent[: len(sent) // 2])
    assert "not a drill's file" in said('{"kind": "else"}')
    assert "not a drill's file" in said("[]")
    assert "later kit" in said(json.dumps(json.loads(sent) | {"version": 2}))
    for version in (0, -1, True, "1", None, 1.5):
        assert "version" in said(json.dumps(json.loads(sent) | {"version": version}))
    assert "twice" in said('{"kind": 1, "kind": 2}')
    assert "no number" in said('{"kind": NaN}')
    assert "nested" in said("[" * 200_000)
    assert "larger" in said(" " * 2_100_000)
    with pytest.raises(ParcelRefused, match="cannot be read"):
        open_parcel(tmp_path / "none.json")


def test_the_kits_own_pictures_pass_the_check_for_strangers(sent):
    for side in ("plan", "side"):
        assert checked_svg(json.loads(sent)["body"]["card"][side]["svg"])


def test_the_commands_walk_a_drill_from_plan_to_sharing(tmp_path, own):
    run = CliRunner()

    def call(*words, **more):
        return run.invoke(app, ["drill", *map(str, words), "--department", str(own)], **more)

    drill_file, sheet = tmp_path / "w.json", tmp_path / "m.csv"
    made = call(
        "plan",
        "window-in-line",
        "--device",
        "tower-3",
        "--site",
        "drill-ground",
        "--wind",
        "12 mph",
        "-o",
        drill_file,
    )
    assert made.exit_code == 0 and "Extension" in made.output
    windy = call("day", drill_file, "--wind", "40 mph")
    assert windy.exit_code == 1 and "BEYOND" in windy.output
    assert call("card", drill_file, "--page", tmp_path / "w.html").exit_code == 0
    assert (tmp_path / "w.pdf").read_bytes().startswith(b"%PDF")
    assert call("form", drill_file, "-o", sheet).exit_code == 0
    rows = "".join(
        f"{n},{q} gpm,{p} psi,{i} psi,{d} psi\n" for n, (q, p, i, d) in
        enumerate([(500, 56, 75, 79), (450, 46, 61, 65), (550, 68, 89, 94)], 1)
    )  # fmt: skip
    sheet.write_text("run,flow,nozzle pressure,inlet pressure,discharge pressure\n" + rows)
    assert "planned" in call("compare", drill_file, sheet).output
    assert "Hose coefficient" in call("fit", drill_file, sheet).output
    before = (own / "hose.toml").read_bytes()
    assert call("adopt", drill_file, sheet, input="n\nn\nn\n").exit_code == 0
    assert (own / "hose.toml").read_bytes() == before
    assert re.search(
        r"coefficient = 0\.\d+", call("adopt", drill_file, sheet, input="y\nn\nn\n").output
    )
    assert (own / "hose.toml").read_bytes() != before
    assert "Hose" in call("history").output
    assert (
        call(
            "share",
            drill_file,
            "-o",
            tmp_path / "s.json",
            "--measured",
            sheet,
            "--lesson",
            "Slower.",
        ).exit_code
        == 0
    )
    opened = run.invoke(app, ["drill", "open", str(tmp_path / "s.json")])
    assert opened.exit_code == 0 and "Learned there: Slower." in opened.output
