"""The roster: what spreadsheets write is read; every fault is named by row and column."""

import re
import zipfile

import pytest

from gradekit.roster import (
    Member,
    RosterError,
    changes,
    differing,
    merged,
    read_roster,
    write_roster,
)

PLAIN = "member,name,station,shift,rank,active\n101,Ansel Byrd-Okoro,1,A,FF,yes\na-12,Ida Tarn,2,B,Lt,no\n"
MEMBERS = (
    Member("101", "Ansel Byrd-Okoro", "1", "A", "FF", True),
    Member("A-12", "Ida Tarn", "2", "B", "Lt", False),
)


def read(tmp_path, raw):
    path = tmp_path / "roster.csv"
    path.write_bytes(raw if isinstance(raw, bytes) else raw.encode("utf-8"))
    return read_roster(path)


def faults(tmp_path, raw):
    with pytest.raises(RosterError) as caught:
        read(tmp_path, raw)
    return str(caught.value)


@pytest.mark.parametrize(
    "raw",
    [
        PLAIN,
        "\ufeff" + PLAIN,
        PLAIN.replace(",", ";"),
        PLAIN.replace(",", "\t"),
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace("member,name", "Member, NAME "),
        PLAIN.replace("101", " 101 "),
        PLAIN.replace("Ansel Byrd-Okoro", '"Ansel Byrd-Okoro"'),
        PLAIN.replace("\na-12", "\n\n,,,,,\na-12"),
        PLAIN.replace("yes", "").replace("no", "Left"),
        PLAIN.replace("FF,yes", "FF,yes,,"),
    ],
)
def test_read_roster_what_spreadsheets_write_is_one_roster(tmp_path, raw):
    """Mark in front, semicolons, tabs, capitals, blank lines: the same members."""
    assert read(tmp_path, raw) == MEMBERS


def test_read_roster_only_numbers_is_enough(tmp_path):
    """The number is all that the kit needs."""
    assert read(tmp_path, "member\n101\n") == (Member("101"),)


def test_read_roster_every_fault_is_named_by_row_and_column(tmp_path):
    """All faults at once, with the row as the spreadsheet counts it, blank lines included."""
    raw = "member,name,active\n101,A,yes\n\n102,B,maybe\n,C,yes\n../5,D,yes\n0101,E,\n101,F,no\n"
    said = faults(tmp_path, raw)
    assert "row 4, active: read “maybe”" in said
    assert "row 5, member: read “”" in said
    assert "row 6, member: read “../5”" in said
    assert "row 8, member: 101 is in row 2 already" in said
    assert said.count("row ") == 4 + 1 and "row 7" not in said


def test_read_roster_same_number_in_small_letters_is_a_duplicate(tmp_path):
    """Case does not tell two members apart."""
    assert "A-12 is in row 2 already" in faults(tmp_path, "member\nA-12\na-12\n")


def test_read_roster_unquoted_comma_in_a_name_is_told(tmp_path):
    """A name with a comma in it would push every cell one column on: told, not half read."""
    said = faults(tmp_path, "member,name,station\n101,Byrd, Ansel,1\n")
    assert "row 2: 4 cells under 3 headings" in said and "quotes" in said


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ("", "empty"),
        ("\n\n", "empty"),
        ("number,name\n1,A\n", "“number” is not known"),
        ("name\nA\n", "“member” is missing"),
        ("member\n101\n".encode("utf-16"), "not UTF-8"),
        ("member,name\n101,Zoë\n".encode("latin-1"), "not UTF-8"),
        ("member,name\n101," + "x" * 200_000 + "\n", "does not read as CSV"),
    ],
)
def test_read_roster_no_roster_is_refused_in_words(tmp_path, raw, words):
    """What is no roster is refused with the file's name and a reason."""
    said = faults(tmp_path, raw)
    assert words in said and "roster.csv" in said


def test_read_roster_no_file_is_refused(tmp_path):
    """A path with nothing there is one sentence."""
    with pytest.raises(RosterError, match="no such file"):
        read_roster(tmp_path / "none.csv")


def test_write_roster_is_read_back_as_it_was(tmp_path):
    """Names with commas, quotes, other letters survive the way through the file."""
    members = (*MEMBERS, Member("7", 'Zoë "Z", O’Hara', "", "C;D", "", True))
    write_roster(tmp_path / "kept.csv", members)
    assert read_roster(tmp_path / "kept.csv") == members


def test_changes_tells_added_changed_gone():
    """Who is new, whose entry differs and in what, who is no longer listed."""
    moved = Member("101", "Ansel Byrd-Okoro", "4", "B", "FF", True)
    told = changes(MEMBERS, (moved, Member("9", "New")))
    assert told.added == (Member("9", "New"),)
    assert told.changed == ((MEMBERS[0], moved),)
    assert told.gone == ()  # was not active before
    assert changes(MEMBERS, MEMBERS[1:]).gone == (MEMBERS[0],)
    assert differing(*told.changed[0]) == ["station", "shift"]
    assert changes(MEMBERS, MEMBERS).changed == ()


# --- what spreadsheets spoil --------------------------------------------------------------------

KNOWN = (Member("0012", "Ida"), Member("2041", "Ole"))


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ("12", "the roster has 0012. Did a spreadsheet drop the zeros?"),
        ("2.04E+03", "a spreadsheet made a power of ten of it"),
        ("2041.0", "a spreadsheet made a decimal of it"),
        ("3-Mar", "it looks like a date"),
    ],
)
def test_read_roster_spoilt_numbers_are_told_not_guessed(tmp_path, given, words):
    """Nothing is put right by guessing: the row is named, and nothing is read."""
    path = tmp_path / "roster.csv"
    path.write_text(f"member,name\n2041,Ole\n{given},Ida\n", encoding="utf-8")
    with pytest.raises(RosterError) as caught:
        read_roster(path, KNOWN)
    assert f"row 3, member: read “{given}”" in str(caught.value) and words in str(caught.value)


def test_read_roster_zeros_that_are_there_stay(tmp_path):
    """0012 is 0012, and another number without zeros is another member."""
    path = tmp_path / "roster.csv"
    path.write_text("member\n0012\n013\n", encoding="utf-8")
    assert [m.member for m in read_roster(path, KNOWN)] == ["0012", "013"]


def test_merged_members_who_left_stay_as_not_active_and_come_back():
    """Gone is kept behind the others; back on the list, they are told as back."""
    first = merged((), (Member("1", "A", company="E1"), Member("2", "B")))
    second = merged(first, (Member("2", "B"),))
    assert second == (Member("2", "B"), Member("1", "A", active=False, company="E1"))
    told = changes(second, merged(second, (Member("1", "A"), Member("2", "B"))))
    assert [new.member for _, new in told.returned] == ["1"] and not told.added
    assert not changes(first, first).any and told.any


# --- OneRoster ----------------------------------------------------------------------------------

USERS = """\ufeff"sourcedId","status","dateLastModified","enabledUser","orgSourcedIds","role","username","userIds","givenName","familyName","middleName","identifier","email","sms","phone","agentSourcedIds","grades","password"
"u1","","","true","o1","student","abyrd","","Ansel","Byrd","","0101","","","","","",""
"u2","","","false","o2","teacher","itarn","","Ida","Tarn","","A-12","","","","","",""
"""
ORGS = "sourcedId,status,dateLastModified,name,type,identifier,parentSourcedId\no1,,,Station 3,school,,\n"


@pytest.mark.parametrize("zipped", [False, True])
def test_read_roster_of_oneroster(tmp_path, zipped):
    """Headings as the form has them (OneRoster 1.1 users.csv); alone, or in its zip with orgs."""
    path = tmp_path / ("roster.zip" if zipped else "users.csv")
    if zipped:
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("manifest.csv", "propertyName,value\n")
            archive.writestr("users.csv", USERS)
            archive.writestr("orgs.csv", ORGS)
    else:
        path.write_text(USERS, encoding="utf-8")
    station = "Station 3" if zipped else "o1"
    assert read_roster(path) == (
        Member("0101", "Ansel Byrd", station),
        Member("A-12", "Ida Tarn", "o2", active=False),
    )


def test_merged_oneroster_list_leaves_what_it_says_nothing_of():
    """It has no shift and no rank: those of the roster stay."""
    before = (Member("0101", "A", "Station 3", "B", "Engineer"),)
    assert merged(before, (Member("0101", "A", "Station 4"),)) == (
        Member("0101", "A", "Station 4", "B", "Engineer"),
    )


@pytest.mark.parametrize("inside", [{}, {"orgs.csv": "a"}, {"users.csv": "sourcedId\n"}])
def test_read_roster_zip_that_is_none_is_refused(tmp_path, inside):
    """A zip without a list, or with something else in it."""
    path = tmp_path / "roster.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in inside.items():
            archive.writestr(name, text)
    with pytest.raises(RosterError, match=r"roster\.zip"):
        read_roster(path)


@pytest.mark.parametrize(
    "name", ["\u202egnitide", "a\u2066b", "a\nb", "a\x00b", "a\u2028b", "x" * 121]
)
def test_read_roster_names_that_spoil_a_page_are_refused(tmp_path, name):
    """A sign that turned a name round turned the page number beside it round, too."""
    path = tmp_path / "r.csv"
    path.write_text(f'member,name\n2041,"{name}"\n', encoding="utf-8", newline="")
    with pytest.raises(RosterError, match=r"row 2, name: (holds a sign|longer than 120)"):
        read_roster(path)


@pytest.mark.parametrize("name", ["عمر", "Zoë 😀", "O'Hara", "’t Hooft", 'Ole "Bull" Ås', "-"])
def test_read_roster_names_as_people_have_them(tmp_path, name):
    """Any script, quotes, a sign of one's own: taken, and the same after it was kept."""
    path = tmp_path / "r.csv"
    write_roster(path, (Member("2041", name),))
    assert read_roster(path) == (Member("2041", name),)


def test_roster_that_is_kept_holds_no_formula(tmp_path):
    """The kept file may be opened in a spreadsheet like any other; it reads back as it was."""
    path = tmp_path / "roster.csv"
    members = (Member("2041", '=HYPERLINK("http://x")', "+1", "@a", "-x", company="=2"),)
    write_roster(path, members)
    row = path.read_text("utf-8").splitlines()[1]
    assert not re.search(r"(^|,)\"?[=+@-]", row)
    assert read_roster(path) == members
