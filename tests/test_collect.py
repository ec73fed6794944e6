"""Collection: whose hand-in is it, which one counts, and what is not taken."""

import base64
import email
import io
import json
import os
import zipfile
from datetime import UTC, datetime
from email import policy
from email.message import EmailMessage

import pytest
from nbgrader.utils import parse_utc, temp_attrs

from gradekit.course import Course, CourseError, work_folder
from gradekit.merge import LARGEST_FILE

NAME = "nozzle-reaction"
MEMBERS = {"101", "102", "A-12", "12", "NOZZLE", "1"}


def notebook(member="", extra=""):
    """Text of a hand-in as far as collection looks into it."""
    cells = [
        {"id": f"{NAME}-member", "source": f'member = "{member}"  # your number'},
        {"id": f"{NAME}-q1-answer", "source": f'reaction_1 = "{extra}"'},
    ]
    return json.dumps({"cells": cells})


@pytest.fixture
def course(tmp_path):
    """A class that nothing was handed in to yet."""
    return Course(tmp_path / "work", f"sqlite:///{tmp_path.as_posix()}/gradebook.db")


@pytest.fixture
def inbox(tmp_path):
    """An empty folder for hand-ins."""
    folder = tmp_path / "inbox"
    folder.mkdir()
    return folder


def put(folder, name, text, age=0):
    """A file that was last changed some seconds before a fixed moment."""
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    os.utime(path, (1_700_000_000 - age,) * 2)
    return path


def kept(course, member):
    """Texts of a member's hand-ins, oldest first."""
    folder = course.folder / "collected" / NAME / member
    return [path.read_text(encoding="utf-8") for path in sorted(folder.glob("*.ipynb"))]


def members_kept(course):
    folder = course.folder / "collected" / NAME
    return {path.name for path in folder.iterdir()} if folder.is_dir() else set()


@pytest.mark.parametrize(
    ("name", "member"),
    [
        (f"101/{NAME}/{NAME}.ipynb", "101"),
        (f"101/{NAME}.ipynb", "101"),
        (f"{NAME}-101.ipynb", "101"),
        (f"101-{NAME}.ipynb", "101"),
        (f"101_{NAME}.ipynb", "101"),
        (f"{NAME} (101).ipynb", "101"),
        (f"101 {NAME.upper()}.IPYNB", "101"),
        (f"{NAME}-101-Copy1.ipynb", "101"),
        (f"a-12/{NAME}.ipynb", "A-12"),
        (f"A-12-{NAME}.ipynb", "A-12"),
        (f"{NAME}-a-12.ipynb", "A-12"),
        (f"{NAME}-12.ipynb", "12"),
        (f"102/101-{NAME}.ipynb", "101"),
        (f"class of 101/102/{NAME}.ipynb", "102"),
    ],
)
def test_collect_name_of_file_or_folder_tells_the_member(course, inbox, name, member):
    """The nearest name counts: the file's, then its folder's."""
    put(inbox, name, notebook())
    (item,) = course.collect(inbox, MEMBERS)
    assert (item.member, item.assignment, item.problem) == (member, NAME, "")
    assert members_kept(course) == {member}


@pytest.mark.parametrize(
    "name",
    [
        f"1010/{NAME}.ipynb",
        f"x101x/{NAME}.ipynb",
        f"{NAME}.ipynb",
        f"{NAME}-q1.ipynb",
        f"{NAME}-2101.ipynb",
        f"B-12/{NAME}.ipynb",
        f"12-A/{NAME}.ipynb",
        f"2025-12-01/{NAME}.ipynb",
        f"101 and 102/{NAME}.ipynb",
    ],
)
def test_collect_part_of_a_name_is_no_member(course, inbox, name):
    """A number inside another, inside a date, or inside the exercise's name is nobody's."""
    put(inbox, name, notebook("999"))
    (item,) = course.collect(inbox, MEMBERS)
    assert "belongs to nobody on the roster" in item.problem and item.member == ""
    assert members_kept(course) == set()


def test_collect_name_says_nothing_number_inside_counts(course, inbox):
    """Where no name tells, the number that was filled in at hand-out does."""
    put(inbox, f"some folder/{NAME}.ipynb", notebook("102"))
    put(inbox, "untitled.ipynb", notebook("101"))
    taken = course.collect(inbox, MEMBERS)
    assert sorted(item.member for item in taken) == ["101", "102"]


def test_collect_unknown_member_is_told_and_not_taken(course, inbox):
    """Somebody who is not on the roster is reported by the file's name."""
    put(inbox, f"777/{NAME}.ipynb", notebook("777"))
    put(inbox, f"101/{NAME}.ipynb", notebook("101"))
    by_problem = {bool(i.problem): i for i in course.collect(inbox, MEMBERS)}
    assert f"777/{NAME}.ipynb" in by_problem[True].problem
    assert by_problem[False].member == "101"
    assert members_kept(course) == {"101"}


def test_collect_other_notebook_is_told(course, inbox):
    """A notebook that is none of our exercises is not taken for one."""
    put(inbox, "101/holiday.ipynb", '{"cells": []}')
    (item,) = course.collect(inbox, MEMBERS)
    assert "no assignment of ours" in item.problem


def test_collect_other_files_and_checkpoints_are_passed_over(course, inbox):
    """Only notebooks and zips are looked at, and not the editor's own copies."""
    put(inbox, "101/notes.txt", "hello")
    put(inbox, f"101/.ipynb_checkpoints/{NAME}-checkpoint.ipynb", notebook("101", "old"))
    assert course.collect(inbox, MEMBERS) == []


def test_collect_newer_file_wins_and_the_earlier_is_kept(course, inbox):
    """Within one folder the file that was saved last counts, whatever its name."""
    put(inbox, f"101/{NAME}.ipynb", notebook("101", "first"), age=60)
    put(inbox, f"101/{NAME}-Copy1.ipynb", notebook("101", "second"), age=5)
    put(inbox, f"102/{NAME}.ipynb", notebook("102", "second"), age=5)
    put(inbox, f"102/{NAME}-Copy1.ipynb", notebook("102", "first"), age=60)
    course.collect(inbox, MEMBERS)
    for member in ("101", "102"):
        assert kept(course, member) == [notebook(member, "first"), notebook(member, "second")]


def test_collect_again_takes_only_what_is_new(course, inbox):
    """A second run over the same folder changes nothing; a changed file is one more hand-in."""
    path = put(inbox, f"101/{NAME}.ipynb", notebook("101", "first"), age=60)
    course.collect(inbox, MEMBERS)
    (item,) = course.collect(inbox, MEMBERS)
    assert not item.news and not item.problem
    put(inbox, path.relative_to(inbox), notebook("101", "second"))
    (item,) = course.collect(inbox, MEMBERS)
    assert item.news
    assert kept(course, "101") == [notebook("101", "first"), notebook("101", "second")]


def test_collect_same_content_twice_is_kept_once(course, inbox):
    """Copies of one file do not become hand-ins of their own."""
    put(inbox, f"101/{NAME}.ipynb", notebook("101"))
    put(inbox, f"101/again/{NAME}.ipynb", notebook("101"))
    assert [item.news for item in course.collect(inbox, MEMBERS)].count(True) == 1
    assert len(kept(course, "101")) == 1


def test_collect_no_folder_is_refused(course, tmp_path):
    """A folder that is not there is one sentence."""
    with pytest.raises(CourseError, match="no such folder"):
        course.collect(tmp_path / "nowhere", MEMBERS)


# --- zips -------------------------------------------------------------------------------------


def test_collect_zip_is_looked_into(course, inbox):
    """A zip by member, and one with a folder for each member."""
    with zipfile.ZipFile(inbox / "101.zip", "w") as archive:
        archive.writestr(f"{NAME}.ipynb", notebook("101"))
    with zipfile.ZipFile(inbox / "class.zip", "w") as archive:
        archive.writestr(f"102/{NAME}.ipynb", notebook("102"))
        archive.writestr(f"12/{NAME}.ipynb", notebook("12"))
        archive.writestr(f"12/.ipynb_checkpoints/{NAME}-checkpoint.ipynb", notebook("12", "old"))
        archive.writestr("read me.txt", "hello")
    taken = course.collect(inbox, MEMBERS)
    assert sorted(item.member for item in taken) == ["101", "102", "12"]
    assert not any(item.problem for item in taken)
    assert members_kept(course) == {"101", "102", "12"}


def test_collect_zip_with_paths_that_climb_writes_nowhere_else(course, inbox, tmp_path):
    """Names like ../../x in a zip only serve to find the member; nothing lands outside."""
    before = {p for p in tmp_path.rglob("*") if p.is_file()}
    with zipfile.ZipFile(inbox / "bad.zip", "w") as archive:
        archive.writestr(f"../../../101/{NAME}.ipynb", notebook("101", "up"))
        archive.writestr(f"/etc/102/{NAME}.ipynb", notebook("102", "root"))
        archive.writestr(f"..\\..\\12\\{NAME}.ipynb", notebook("12", "back"))
        archive.writestr(f"../../{NAME}.ipynb", notebook("../../evil", "evil"))
    taken = course.collect(inbox, MEMBERS)
    new = {p for p in tmp_path.rglob("*") if p.is_file()} - before - {inbox / "bad.zip"}
    home = course.folder / "collected" / NAME
    assert {p.parent.parent for p in new} == {home}
    assert {p.parent.name for p in new} == {"101", "102", "12"} == members_kept(course)
    assert sum("nobody on the roster" in item.problem for item in taken) == 1


def test_collect_damaged_zip_is_told_and_stops_nothing(course, inbox):
    """Cut, garbled, encrypted: one sentence each, and the others are taken."""
    good = inbox / "101.zip"
    with zipfile.ZipFile(good, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(f"{NAME}.ipynb", notebook("101", "x" * 5000))
        archive.writestr(f"102/{NAME}.ipynb", notebook("102", "y" * 5000))
    raw = good.read_bytes()
    (inbox / "cut.zip").write_bytes(raw[: len(raw) // 2])
    (inbox / "text.zip").write_bytes(b"not a zip")
    second = raw.rindex(b"PK\x03\x04")
    garbled = raw[: second + 60] + b"\xff" * 20 + raw[second + 80 :]
    (inbox / "garbled.zip").write_bytes(garbled)
    flagged = bytearray(raw)
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        flagged[raw.index(mark) + place] |= 1  # says that it is encrypted
    (inbox / "locked.zip").write_bytes(bytes(flagged))
    taken = course.collect(inbox, MEMBERS)
    for name in ("cut.zip", "text.zip", "garbled.zip", "locked.zip"):
        problems = [item.problem for item in taken if item.path.name == name and item.problem]
        assert len(problems) == 1 and "damaged" in problems[0], name
    assert members_kept(course) >= {"101", "102"}


def test_collect_too_large_file_in_zip_is_told(course, inbox):
    """A file that unpacks to more than a notebook may have is told, not silently passed over."""
    with zipfile.ZipFile(inbox / "101.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(f"{NAME}.ipynb", " " * (LARGEST_FILE + 1))
    (item,) = course.collect(inbox, MEMBERS)
    assert "larger than 5 MB" in item.problem and "101.zip" in item.problem
    assert members_kept(course) == set()


# --- what is no file --------------------------------------------------------------------------


def test_collect_what_is_called_like_a_notebook_and_is_none_is_told(course, inbox, tmp_path):
    """A link, a pipe, an empty folder: none is opened or followed, each is told, the rest is taken."""
    secret = put(tmp_path, "instructor/secret.ipynb", notebook("101", "the right answer"))
    for member in ("101", "102", "12"):
        (inbox / member).mkdir()
    (inbox / "101" / f"{NAME}.ipynb").symlink_to(secret)
    os.mkfifo(inbox / "102" / f"{NAME}.ipynb")
    (inbox / "12" / f"{NAME}.ipynb").mkdir()
    put(inbox, f"A-12/{NAME}.ipynb/{NAME}.ipynb", notebook("A-12"))
    taken = course.collect(inbox, MEMBERS)
    told = {item.problem.split("/")[0]: item.problem for item in taken if item.problem}
    assert set(told) == {"101", "102", "12"} and members_kept(course) == {"A-12"}
    assert "a link" in told["101"] and "no ordinary file" in told["102"] and "folder" in told["12"]
    assert all("hand in the notebook" in words for words in told.values())


def test_collect_file_that_is_far_too_large_is_not_read_whole(course, inbox):
    """Of a file of 200 MB only so much is kept as shows that it is too large."""
    path = put(inbox, f"101/{NAME}.ipynb", notebook("101"))
    with path.open("r+b") as file:
        file.truncate(200_000_000)
    course.collect(inbox, MEMBERS)
    (held,) = (course.folder / "collected" / NAME / "101").iterdir()
    assert held.stat().st_size == LARGEST_FILE + 1
    assert course.hand_in_state(NAME, "101") == "handed in, not readable"


def test_collect_odd_names_and_numbers_can_be_shown_on_any_screen(course, inbox):
    """A name of bytes that are no letters, with commands to the terminal: told in plain letters."""
    folder = os.fsencode(inbox)
    for name in (b"\xff\xfe-%b.ipynb", b"\x1b[2J-%b.ipynb"):
        with open(folder + b"/" + name % NAME.encode(), "w", encoding="utf-8") as file:
            file.write(notebook("999"))
    for item in course.collect(inbox, MEMBERS):
        assert "belongs to nobody" in item.problem
        assert item.problem.isprintable() and item.problem.encode()


# --- mails --------------------------------------------------------------------------------------


def mail(name="", text="", subject="", **how):
    """Bytes of a saved mail with a notebook attached, as a mail program of today writes it."""
    message = EmailMessage()
    message["Subject"], message["From"] = subject, "somebody@example.org"
    message["Date"] = "Tue, 14 Nov 2023 22:13:20 +0000"
    message.set_content("Here is my notebook.")
    if name:
        message.add_attachment(
            text.encode(), maintype="application", subtype="x-ipynb+json", filename=name, **how
        )
    return message.as_bytes()


ODD_NAMES = {
    "quoted": f'filename="{NAME}-101.ipynb"',
    "bare": f"filename={NAME}-101.ipynb",
    "rfc 2231": f"filename*=UTF-8''%C3%9Cbung%20{NAME}-101.ipynb",
    "rfc 2231 in parts": f'filename*0="{NAME}"; filename*1="-101.ipynb"',
    "encoded word": f'filename="=?UTF-8?B?{base64.b64encode(f"Übung {NAME}-101.ipynb".encode()).decode()}?="',
    "encoded word, latin": f'filename="=?iso-8859-1?Q?=DCbung_{NAME}-101.ipynb?="',
    "bare bytes": f'filename="Übung {NAME}-101.ipynb"',
    "path of another system": f'filename="C:\\\\mail\\\\{NAME}-101.ipynb"',
    "unknown encoding": f'filename="=?no-such?Q?{NAME}-101.ipynb?="; filename="{NAME}-101.ipynb"',
}


@pytest.mark.parametrize("kind", ODD_NAMES)
def test_collect_mail_with_a_notebook_however_its_name_is_written(course, inbox, kind):
    """The attachment is taken for the member that its name says; nothing is asked of the mail."""
    body = base64.encodebytes(notebook("101", "Ü").encode()).decode()
    text = (
        "From: somebody@example.org\nSubject: my notebook\nMIME-Version: 1.0\n"
        'Content-Type: multipart/mixed; boundary="x"\n\n--x\nContent-Type: text/plain\n\nHello\n'
        f"--x\nContent-Type: application/octet-stream\nContent-Transfer-Encoding: base64\n"
        f"Content-Disposition: attachment; {ODD_NAMES[kind]}\n\n{body}\n--x--\n"
    )
    (inbox / "some mail.eml").write_bytes(text.encode())
    (item,) = course.collect(inbox, MEMBERS)
    assert (item.member, item.assignment, item.problem) == ("101", NAME, "")
    assert kept(course, "101") == [notebook("101", "Ü")]


def test_collect_mail_tells_member_and_moment_by_name_subject_and_arrival(course, inbox):
    """The attachment's name, else the subject; in time is when the last server had it."""
    course.set_last_day(NAME, datetime(2023, 11, 14, 22, 0, tzinfo=UTC))
    plain = notebook()
    (inbox / "a.eml").write_bytes(mail(f"{NAME}.ipynb", plain, f"{NAME}, member 102"))
    arrived = b"Received: from a by b; Tue, 14 Nov 2023 21:59:00 +0000\n"
    (inbox / "b.eml").write_bytes(arrived + mail(f"{NAME}.ipynb", plain, "Re: 12"))
    late = {item.member: item.late for item in course.collect(inbox, MEMBERS)}
    assert late == {"102": "13 minutes", "12": ""}


def test_collect_mail_with_zip_mail_within_mail_and_no_notebook(course, inbox):
    """A zip is opened, a forwarded mail is read, a mail without a notebook is told."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr(f"101/{NAME}.ipynb", notebook("101"))
    message = EmailMessage()
    message.set_content("zipped")
    message.add_attachment(held.getvalue(), maintype="application", subtype="zip", filename="x.zip")
    (inbox / "zip.eml").write_bytes(message.as_bytes())
    message = EmailMessage()
    message.set_content("see below")
    inner = email.message_from_bytes(
        mail(f"{NAME}-102.ipynb", notebook("102")), policy=policy.default
    )
    message.add_attachment(inner)
    (inbox / "forwarded.eml").write_bytes(message.as_bytes())
    (inbox / "empty.eml").write_bytes(mail())
    (inbox / "noise.eml").write_bytes(bytes(range(256)) * 50)
    taken = course.collect(inbox, MEMBERS)
    assert members_kept(course) == {"101", "102"}
    told = sorted(item.problem for item in taken if item.problem)
    assert len(told) == 2 and all("no notebook is attached" in words for words in told)


def test_collect_mail_with_too_large_an_attachment_is_told(course, inbox):
    """Not read into the class, and nobody's earlier hand-in gives way to it."""
    (inbox / "101.eml").write_bytes(mail(f"{NAME}.ipynb", " " * (LARGEST_FILE + 1)))
    (item,) = course.collect(inbox, MEMBERS)
    assert "larger than 5 MB" in item.problem and members_kept(course) == set()


# --- nbgrader's own exchange ----------------------------------------------------------------------


def _learner(api, step):
    """What `nbgrader fetch_assignment` and `nbgrader submit` do for a member."""
    from nbgrader.exchange import default

    with temp_attrs(api.coursedir, assignment_id=NAME, student_id="101"):
        getattr(default, step)(
            coursedir=api.coursedir, authenticator=api.authenticator, config=api.config
        ).start()


@pytest.mark.thread
def test_collect_from_nbgraders_exchange(course, tmp_path, monkeypatch):
    """release, fetch, submit, collect by nbgrader; then its folder is read like any other."""
    monkeypatch.chdir(tmp_path)
    (course.folder / "exchange").mkdir()
    (course.folder / "exchange").chmod(0o777)
    course.release(NAME)
    api = course.api()
    assert api.release_assignment(NAME)["success"]
    _learner(api, "ExchangeFetchAssignment")
    fetched = tmp_path / NAME / f"{NAME}.ipynb"
    text = fetched.read_text(encoding="utf-8").replace('reaction_1 = ""', 'reaction_1 = "505 lbf"')
    fetched.chmod(0o644)
    fetched.write_text(text, encoding="utf-8")
    with course.quiet():
        _learner(api, "ExchangeSubmit")
        said = api.collect(NAME, update=True)
    assert said["success"], said
    submitted = course.folder / "submitted"
    (item,) = course.collect(submitted, {"101"})
    assert (item.member, item.problem, item.news) == ("101", "", True)
    when = (submitted / "101" / NAME / "timestamp.txt").read_text(encoding="utf-8")
    (held,) = (course.folder / "collected" / NAME / "101").iterdir()
    assert (
        abs(course.handed_in_at(held).timestamp() - parse_utc(when).replace(tzinfo=UTC).timestamp())
        < 1e-3
    )
    (graded,) = course.run([NAME], trusted=True).items
    assert graded.status == "graded" and not graded.problems
    assert course.collect(submitted, {"101"}) == []  # what the run put there is no hand-in


# --- what became of it ------------------------------------------------------------------------


def test_hand_in_state_says_where_it_stands(course, inbox):
    """Nothing, something unreadable, something to grade: told apart."""
    assert course.hand_in_state(NAME, "101") == "nothing handed in"
    put(inbox, f"101/{NAME}.ipynb", "{ not json", age=60)
    course.collect(inbox, MEMBERS)
    assert course.hand_in_state(NAME, "101") == "handed in, not readable"
    put(inbox, f"101/{NAME}.ipynb", notebook("101"))
    course.collect(inbox, MEMBERS)
    assert course.hand_in_state(NAME, "101") == "handed in, not graded"


def test_grade_before_hand_out_is_refused(course):
    """Nothing to grade against: one sentence."""
    with pytest.raises(CourseError, match="not handed out"):
        course.grade(NAME)


def test_release_of_unknown_exercise_names_the_known_ones(course):
    """A name that is mistyped is answered with the names there are."""
    for name in ("nozle-reaction", "../nozzle-reaction", ""):
        with pytest.raises(CourseError, match=r"there are: .*nozzle-reaction"):
            course.release(name)


def test_work_folder_given_goes_before_the_environment(monkeypatch, tmp_path):
    """As given, else as the environment says, else below the project."""
    monkeypatch.setenv("AERIALSTREAM_WORK", str(tmp_path / "environment"))
    assert work_folder(tmp_path / "given") == (tmp_path / "given").resolve()
    assert work_folder() == (tmp_path / "environment").resolve()
    monkeypatch.delenv("AERIALSTREAM_WORK")
    assert work_folder().name == "work"


def test_collect_browser_copy_number_is_nobodys_number(course, inbox):
    """`... (12).ipynb` is the twelfth download, not member 12: the notebook itself tells."""
    put(inbox, f"{NAME} (12).ipynb", notebook("101"))
    (item,) = course.collect(inbox, MEMBERS)
    assert (item.member, item.problem) == ("101", "")


def test_collect_name_against_notebook_is_asked_about(course, inbox):
    """Where the name says one member and the notebook another, nobody guesses."""
    put(inbox, f"102/{NAME}.ipynb", notebook("101"))
    (item,) = course.collect(inbox, MEMBERS)
    assert item.member == "" and "whose is it" in item.problem


def test_collect_litter_of_other_systems_is_passed_over(course, inbox):
    """A Mac's shadow files are no hand-ins; an ending that a mail program added does no harm."""
    put(inbox, f"101/._{NAME}.ipynb", "junk")
    put(inbox, f"__MACOSX/101/{NAME}.ipynb", "junk")
    put(inbox, f"101/{NAME}.ipynb.txt", notebook("101"))
    (item,) = course.collect(inbox, MEMBERS)
    assert (item.member, item.problem, item.news) == ("101", "", True)
