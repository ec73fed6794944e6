"""What members note from their devices' manuals, kept in the department's folder for everybody."""

import shutil
import sys

import pytest

from aerialstream.department import DEMO_FOLDER
from aerialstream.manual_notes import FILE, manual_notes, note_down
from gradekit.spotting import check_department
from lessonkit import manual_sheet


@pytest.fixture
def own(tmp_path, monkeypatch):
    """A department's own folder, chosen; a member's study folder; the member's number."""
    folder, study = tmp_path / "own", tmp_path / "study"
    shutil.copytree(DEMO_FOLDER, folder)
    study.mkdir()
    monkeypatch.setenv("AERIALSTREAM_DEPARTMENT", str(folder))
    monkeypatch.setenv("AERIALSTREAM_STUDY", str(study))
    monkeypatch.setenv("AERIALSTREAM_MEMBER", "2041")
    return folder


def test_sheet_writes_into_the_departments_folder(own, tmp_path, monkeypatch):
    """What one member typed another finds, with who and when in the file."""
    sheet = manual_sheet("03")
    sheet.boxes["rotation"].value = "15 deg, p. 4-12"
    assert "your department's folder too" in sheet.said.value
    note = manual_notes(own)[sheet.device.value]["rotation"]
    assert (note.by, note.text) == ("2041", "15 deg, p. 4-12")
    other = tmp_path / "study-2058"
    other.mkdir()
    monkeypatch.setenv("AERIALSTREAM_STUDY", str(other))
    assert manual_sheet("03").boxes["rotation"].value == "15 deg, p. 4-12"


def test_demo_department_is_never_written_to(tmp_path, monkeypatch):
    """Without a department of one's own everything stays in the study folder."""
    monkeypatch.delenv("AERIALSTREAM_DEPARTMENT", raising=False)
    monkeypatch.setenv("AERIALSTREAM_STUDY", str(tmp_path))
    sheet = manual_sheet("03")
    sheet.boxes["rotation"].value = "15 deg"
    assert "department" not in sheet.said.value and not (DEMO_FOLDER / FILE).exists()


def test_every_note_stays_and_the_latest_counts(tmp_path):
    """A torn last line, a strange line and odd letters cost nobody's note."""
    note_down(tmp_path, device="d", field="f", asked="How far?", text="10 deg", by="2041")
    with (tmp_path / FILE).open("ab") as file:
        file.write(b'[1]\n{"when": 3}\n\xff\xfe\n{"when": "2026')  # the last one torn
    note_down(tmp_path, device="d", field="f", asked="How far?", text="ü\n15 deg", by="")
    lines = (tmp_path / FILE).read_bytes().splitlines()
    assert manual_notes(tmp_path)["d"]["f"].text == "ü\n15 deg"
    assert len(lines) == 6 and b"10 deg" in lines[0]


def test_department_check_reads_notes_back_as_no_limit(own, capsys):
    """The check shows what was noted, and that a limit has still to be entered."""
    note_down(own, device="tower-3", field="rotation", asked="How far?", text="77 deg", by="2041")
    check_department(own)
    said = capsys.readouterr().out
    assert "noted in lessons, no limit" in said and "How far? 77 deg (2041" in said
    assert said.count("77 deg") == 1


def test_no_chosen_folder_or_one_that_refuses_is_no_fault(own, monkeypatch):
    """A folder that cannot be written costs the shared note only."""
    monkeypatch.setattr(sys.modules["lessonkit.manual_sheet"], "note_down", _refuses)
    sheet = manual_sheet("03")
    sheet.boxes["rotation"].value = "15 deg"
    assert sheet.said.value.count("Kept.") == 1
    assert manual_sheet("03").boxes["rotation"].value == "15 deg"


def _refuses(*_, **__):
    raise PermissionError("read-only")
