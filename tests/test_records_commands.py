"""The commands of `aerialstream records` and `class roster`, as an instructor types them."""

import csv
import json
import re
import shutil
import zipfile
from datetime import date, timedelta

import pypdf
import pytest
from typer.testing import CliRunner

from aerialstream.errors import AerialStreamError
from gradekit.cli import Thread, app
from gradekit.course import Mark
from gradekit.demo import short_course
from gradekit.register import RegisterError
from gradekit.roster import RosterError, read_roster

ROSTER = """member,name,station,shift,rank,active
2041,Imre Talbot-Vane,Station 3,A,Firefighter,yes
2058,Odalys Fenwright,Station 3,A,Engineer,yes
2077,Sunniva Parrish-Oke,Station 9,B,Lieutenant,yes
0012,Quillon Vexmoor,Station 9,B,Firefighter,yes
"""
EVOLUTION = "rotation-awareness"
REFUSALS = (AerialStreamError, RegisterError, RosterError)


class Kit:
    """A working folder, and the commands in it."""

    def __init__(self, folder):
        self.work, self.files = folder / "work", folder
        self.reports = self.work / "class" / "reports"

    def __call__(self, *words, refused=None):
        words = [str(w) for w in words]
        if words[:2] != ["records", "key"]:
            words += ["--work", str(self.work)]
        result = CliRunner().invoke(app, words)
        if refused:
            assert isinstance(result.exception, REFUSALS), result.output
            assert re.search(refused, str(result.exception)), result.exception
            return str(result.exception)
        assert result.exit_code == 0, (result.output, result.exception)
        return " ".join(result.output.split())

    def roster(self, text, *more, **how):
        path = self.files / "members.csv"
        path.write_text(text, encoding="utf-8")
        return self("class", "roster", path, *more, **how)

    def register(self):
        return Thread(self.work).register()


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A class of four with one theory passed; each test gets a copy."""
    kit = Kit(tmp_path_factory.mktemp("made"))
    kit.roster(ROSTER, "--department", short_course(kit.files / "department"))
    register = kit.register()
    register.post_theory(Mark("2041", "nozzle-reaction", 9.0, 10.0, False), 0.8, "v1")
    register.close()
    return kit


@pytest.fixture
def kit(made, tmp_path):
    """A copy of the class, to do with as a test likes."""
    shutil.copytree(made.work, tmp_path / "work")
    return Kit(tmp_path)


def test_roster_shows_changes_and_makes_none_when_asked_to_show(kit):
    """`--show`: told, and the file stays."""
    before = (kit.work / "class" / "roster.csv").read_bytes()
    kit.roster(ROSTER.replace("Station 3,A,Eng", "Station 4,A,Eng"), "--show")
    assert (kit.work / "class" / "roster.csv").read_bytes() == before


def test_roster_members_leave_and_return_with_their_record(kit):
    """Not on the list: not active, and still there; back on it: the record goes on."""
    kit.roster(ROSTER.replace("2041,Imre Talbot-Vane,Station 3,A,Firefighter,yes\n", ""))
    kept = {m.member: m for m in read_roster(kit.work / "class" / "roster.csv")}
    assert kept["2041"].name == "Imre Talbot-Vane" and not kept["2041"].active
    kit("records", "member", "2041")
    assert "Imre Talbot-Vane" in (kit.reports / "record-2041.html").read_text("utf-8")
    kit.roster(ROSTER)
    assert "2041" in {p.member for p in Thread(kit.work).standings()}


def test_roster_with_lost_zeros_is_told(kit):
    """12 in place of 0012: nothing is taken in."""
    kit.roster(ROSTER.replace("0012", "12"), refused="drop the zeros")
    assert "0012" in {m.member for m in read_roster(kit.work / "class" / "roster.csv")}


def test_drill_day_from_sheet_to_certificate(kit):
    """Sheets printed, the CSV typed in, sent twice, certificate and transcript printed."""
    kit("records", "sheet", EVOLUTION, "2041", "0012")
    (pdf,) = kit.reports.glob("sheets-*.pdf")
    assert len(pypdf.PdfReader(pdf).pages) == 2
    path = pdf.with_suffix(".csv")
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [r["member"] for r in rows] == ["2041", "0012"]
    today = date.today().isoformat()
    for row in rows:
        row.update(evaluator="2077", device="Tower 3", day=today, result="pass", hours="1")
    rows[1].update(result="no pass", missed="2")
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    kit("records", "sign-offs", path)
    kit("records", "sign-offs", path)
    register = kit.register()
    lines = register.lines()
    register.close()
    assert [(e.member, e.outcome) for e in lines[1:]] == [
        ("2041", "passed"),
        ("0012", "not passed"),
    ]
    assert lines[2].missed_steps and lines[1].token == f"sheet {rows[0]['sheet']}"
    kit("records", "certificate", "2041")
    kit("records", "certificate", "0012", refused="no certificate")
    kit("records", "member", "2041", "--pdf")
    text = pypdf.PdfReader(kit.reports / "record-2041.pdf").pages[0].extract_text()
    assert "Imre Talbot-Vane" in text and "Tower 3" in text


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["9999", EVOLUTION, "--evaluator", "2077"], "9999 is not on the roster"),
        (["2041", EVOLUTION, "--evaluator", "2041"], "nobody signs for themselves"),
        (["2041", EVOLUTION, "--evaluator", "2058"], "may not sign here"),
        (["2041", "flying", "--evaluator", "2077"], "no evolution"),
        (["2041", EVOLUTION, "--evaluator", "2077", "--device", "X"], "no device"),
        (
            ["2041", EVOLUTION, "--evaluator", "2077", "--day",
             (date.today() + timedelta(days=1)).isoformat()],
            "has not been yet",
        ),
    ],
)  # fmt: skip
def test_sign_off_refusals_name_the_reason(kit, words, why):
    """Nothing is entered."""
    kit("records", "sign-off", *words, refused=why)
    register = kit.register()
    assert len(register.all_lines()) == 1
    register.close()


def test_sign_off_with_a_missed_critical_step_is_no_pass(kit):
    """Whoever types it in cannot make a pass of it."""
    kit("records", "sign-off", "2041", EVOLUTION, "--evaluator", "2077", "--missed", "1, 3")
    register = kit.register()
    line = register.lines()[-1]
    register.close()
    assert (line.outcome, len(line.missed_steps)) == ("not passed", 2)
    assert {p.member: p.status for p in Thread(kit.work).standings()}["2041"] == "theory done"


def test_waiver_and_attendance_are_lines_with_a_reason_and_a_name(kit):
    """A waiver completes its part; a session that the department does not have is refused."""
    kit("records", "waive", "2058", "nozzle-reaction", "--by", "2077", "--reason", "instructor")
    kit("records", "waive", "2058", "nozzle-reaction", "--by", "2058", "--reason", "x",
        refused="nobody signs for themselves")  # fmt: skip
    kit("records", "attend", "class-1", "2058", "--by", "2077", refused="no session")
    standing = {p.member: p for p in Thread(kit.work).standings()}["2058"]
    assert standing.theory.startswith("waived") and standing.status == "waiting for sign-off"


def test_attendance_is_entered_for_all_once(tmp_path):
    """A department that has a session: typed in twice, entered once."""
    from aerialstream.department import DEMO_FOLDER

    folder = tmp_path / "department"
    shutil.copytree(DEMO_FOLDER, folder)
    file = folder / "department.toml"
    text = file.read_text("utf-8")
    file.write_text(text.replace("due_soon_days", 'sessions = ["class-1"]\ndue_soon_days'), "utf-8")
    kit = Kit(tmp_path)
    kit.roster(ROSTER, "--department", folder)
    for _ in range(2):
        kit("records", "attend", "class-1", "2041", "2058", "--by", "2077", "--hours", "2")
    kit("records", "attend", "class-1", "2041", "9", "--by", "2077", refused="9 is not on the")
    register = kit.register()
    assert [(e.member, e.hours) for e in register.lines()] == [("2041", 2.0), ("2058", 2.0)]
    register.close()
    assert {p.member: p for p in Thread(kit.work).standings()}["2041"].theory.endswith(
        f"attended {date.today()}"
    )


def test_export_in_every_form_is_itself_a_line(kit):
    """Who took what, and the digest of the very file."""
    import hashlib

    for form in (
        "csv",
        "xlsx",
        "xapi",
        "oneroster",
        "division-csv",
        "division-xlsx",
        "division-pdf",
    ):
        to = kit.files / f"out-{form}"
        kit("records", "export", form, "--by", "2077", "--to", to)
        register = kit.register()
        line = register.all_lines()[-1]
        register.close()
        assert (line.kind, line.member, line.objective) == ("export", "2077", form)
        assert line.content_version == f"sha256 {hashlib.sha256(to.read_bytes()).hexdigest()}"
    assert len(json.loads((kit.files / "out-xapi").read_text("utf-8"))) == 1
    assert zipfile.is_zipfile(kit.files / "out-oneroster")
    assert "Talbot" not in (kit.files / "out-csv").read_text("utf-8-sig")
    assert "Talbot" in (kit.files / "out-division-csv").read_text("utf-8-sig")
    kit("records", "export", "csv", "--by", "9999", refused="not on the roster")
    kit("records", "export", "docx", "--by", "2077", refused="no form")


def test_division_page_and_what_is_written_on_it_verify(kit):
    """The line and digest at the foot of the page prove later that nothing changed before it."""
    kit("records", "division")
    page = (kit.reports / "division.html").read_text("utf-8")
    written = re.search(r"--written ([0-9]+:[0-9a-f]{16})", page).group(1)
    kit("records", "waive", "2058", EVOLUTION, "--by", "2077", "--reason", "x")
    kit("records", "verify", "--written", written)
    kit("records", "verify", "--written", f"1:{'0' * 16}", refused="not the line that was written")
    kit("records", "verify", "--written", f"9:{'0' * 16}", refused="line 3 does not hold: missing")
    kit("records", "verify", "--written", "x", refused="needed: LINE:DIGEST")


def test_erase_takes_name_and_remarks_everywhere_and_keeps_the_lines(kit):
    """The name is in no file of the class any more; lines, outcomes and chain stay."""
    kit("records", "sign-off", "2041", EVOLUTION, "--evaluator", "2077", "--remark", "Imre late")
    kit("records", "erase", "2041", "--by", "2077", "--reason", "asked for")
    for path in (kit.work / "class").rglob("*"):
        if path.is_file() and path.parent.name != "reports":
            raw = path.read_bytes()
            assert b"Talbot" not in raw and b"Imre" not in raw, path
    kit("records", "verify")
    register = kit.register()
    assert [e.outcome for e in register.all_lines("2041")] == ["passed", "passed", "erased"]
    register.close()
    assert "0012" in {p.member for p in Thread(kit.work).standings()}
    kit("records", "erase", "777", "--by", "2077", "--reason", "x", refused="neither on the roster")
    kit("records", "erase", "2058", "--by", "777", "--reason", "x", refused="777 is not on the")


def test_erase_names_what_still_holds_the_name(kit):
    """Pages, tables and backups made before are listed, to be dealt with by hand."""
    kit("records", "report")
    kit("records", "member", "2041")
    kit("records", "member", "2058")
    kit("records", "backup")
    said = kit("records", "erase", "2041", "--by", "2077", "--reason", "asked for")
    for name in ("completion.html", "completion.csv", "record-2041.html", "backups"):
        assert re.search(f"may still hold it: [^ ]*{name}", said), name
    assert "record-2058.html" not in said


def test_renumber_joins_the_record_to_the_new_number(kit):
    """Re-hired: off the roster under the old number, on it under the new one."""
    kit("records", "sign-off", "2041", EVOLUTION, "--evaluator", "2077")
    who = ("--by", "2077", "--reason", "re-hired")
    kit("records", "renumber", "3050", "--was", "2041", *who, refused="3050 is not on the roster")
    kit.roster(ROSTER + "3050,Imre Talbot-Vane,Station 3,A,Firefighter,yes\n")
    kit("records", "renumber", "3050", "--was", "2041", *who, refused="2041 is active")
    kit.roster(ROSTER.replace("2041,", "3050,"))
    said = kit("records", "renumber", "3050", "--was", "2041", *who)
    assert "what stands under 2041 counts for 3050" in said
    assert {p.member: p.status for p in Thread(kit.work).standings()}["3050"] == "complete"
    kit("records", "certificate", "3050")
    kit("records", "member", "2041")
    page = (kit.reports / "record-3050.html").read_text("utf-8")
    assert "Earlier numbers: 2041." in page and "Imre Talbot-Vane" in page
    kit("records", "verify")


def test_erasure_by_a_number_of_old_names_the_number_of_today(kit):
    """Else the name would stay under the new number while the command says that it is gone."""
    kit("records", "sign-off", "2041", EVOLUTION, "--evaluator", "2077", "--remark", "Imre late")
    kit.roster(ROSTER.replace("2041,", "3050,"))
    who = ("--by", "2077", "--reason", "x")
    kit("records", "renumber", "3050", "--was", "2041", *who)
    kit("records", "erase", "2041", *who, refused="2041 is 3050 today.*records erase 3050")
    assert "Talbot" in (kit.work / "class" / "roster.csv").read_text("utf-8-sig")
    kit("records", "erase", "3050", *who)
    assert "Talbot" not in (kit.work / "class" / "roster.csv").read_text("utf-8-sig")
    register = kit.register()
    assert all(not e.remark for e in register.all_lines("2041") if e.kind != "erasure")
    assert register.verify().whole
    register.close()
    kit.roster(ROSTER.replace("2041,Imre Talbot-Vane", "2041,Perrin Ashgrove"))
    kit("records", "erase", "2041", *who)  # given to somebody else since: theirs is erased
    assert "Ashgrove" not in (kit.work / "class" / "roster.csv").read_text("utf-8-sig")


def test_roster_tells_that_a_used_number_has_another_name(kit):
    """The record goes with the number: who takes it up must be asked about."""
    kit.roster(ROSTER.replace("2041,Imre Talbot-Vane,Station 3,A,Firefighter,yes\n", ""))
    said = kit.roster(ROSTER.replace("Imre Talbot-Vane", "Somebody Else"))
    assert "Somebody Else (with the record of Imre Talbot-Vane: the same person?)" in said


def test_void_is_a_line_with_a_name(kit):
    """Who took it back is on the line; it must be a member."""
    kit("records", "void", "1", "--reason", "wrong", "--by", "777", refused="777 is not on the")
    kit("records", "void", "1", "--reason", "wrong", "--by", "2077")
    register = kit.register()
    assert register.all_lines()[-1].evaluator == "2077" and register.lines() == []
    register.close()


def test_sheet_number_leads_from_the_record_to_the_paper(kit):
    """An auditor finds the signed sheet by the number that stands on record and list."""
    who = ("2041", EVOLUTION, "--evaluator", "2077", "--sheet", "K7PX4QB")
    kit("records", "sign-off", *who)
    assert "sheet K7PX4QB" in kit("records", "lines", "2041")
    kit("records", "member", "2041")
    assert "sheet K7PX4QB" in (kit.reports / "record-2041.html").read_text("utf-8")
    kit("records", "export", "csv", "--by", "2077", "--to", kit.files / "out.csv")
    with (kit.files / "out.csv").open(encoding="utf-8-sig", newline="") as file:
        assert [r["sheet"] for r in csv.DictReader(file)] == ["", "K7PX4QB"]


def test_export_by_somebody_who_left_is_refused(kit):
    """Not active: neither export nor waiver nor badge in their name."""
    kit.roster(ROSTER.replace("Lieutenant,yes", "Lieutenant,no"))
    kit("records", "export", "csv", "--by", "2077", refused="2077 is not active")
    why = ("--by", "2077", "--reason", "x")
    kit("records", "waive", "2041", EVOLUTION, *why, refused="2077 is not active")


def test_backup_and_restore_are_one_command_each(kit, tmp_path):
    """On another machine everything is there again."""
    path = tmp_path / "backup.zip"
    kit("records", "backup", "--to", path)
    other = Kit(tmp_path / "other")
    other.files.mkdir()
    other("records", "restore", path)
    assert [p.name for p in Thread(other.work).standings()] == [
        p.name for p in Thread(kit.work).standings()
    ]
    other("records", "verify")


def test_badge_needs_completion_and_an_address(kit, tmp_path):
    """Key made once and never written over; no badge for who has not completed."""
    key = tmp_path / "key.pem"
    kit("records", "key", key)
    kit("records", "key", key, refused="is there already")
    kit("records", "badge", "2041", "--key", key, "--by", "2077", refused="is not complete")


def test_class_page_is_written(kit):
    """The class at a glance, before anything was handed in."""
    kit("records", "class", "--tables", "--pdf")
    text = pypdf.PdfReader(kit.reports / "class.pdf").pages[0].extract_text()
    assert "Odalys Fenwright" in text and "who has handed in" in text.lower()
    with (kit.reports / "class.csv").open(encoding="utf-8-sig", newline="") as file:
        assert [row["Member"] for row in csv.DictReader(file)] == ["2041", "2058", "2077", "0012"]
    assert zipfile.is_zipfile(kit.reports / "class.xlsx")
    page = (kit.reports / "class.html").read_text("utf-8")
    assert "Odalys Fenwright" in page and "Graded hand-ins: 0 of 4" in page
