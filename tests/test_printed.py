"""Typeset papers: tagged for readers who listen, with the evidence, and with nothing as markup."""

import io

import numpy as np
import pypdf
import pypdfium2
import pytest
from division import PATTERNS, RULE, TODAY, made, number_of, roster

from aerialstream.department import load_department
from gradekit.completion import Standing
from gradekit.printed import certificate, class_report, division_report, sheets, transcript
from gradekit.register import RegisterError
from gradekit.roster import Member
from gradekit.views import ClassView, HandedIn, division_view, member_view

NASTY = "#panic(1) *Zoë* $x$ \\ [b] <script> `c` @d // e"


@pytest.fixture(scope="module")
def department():
    return load_department().model_copy(update={"completion": RULE})


@pytest.fixture(scope="module")
def register(tmp_path_factory):
    register = made(tmp_path_factory.mktemp("printed"), 60)
    yield register
    register.close()


def read(raw):
    """(reader, all the text) of a PDF, with an outside library."""
    reader = pypdf.PdfReader(io.BytesIO(raw))
    return reader, " ".join("\n".join(page.extract_text() for page in reader.pages).split())


def accessible(reader):
    """Tagged, with a language and a title that is shown (PDF/UA-1, ISO 14289-1, 7.1 and 7.2)."""
    root = reader.trailer["/Root"]
    return (
        bool(root["/MarkInfo"]["/Marked"])
        and "/StructTreeRoot" in root
        and str(root["/Lang"]).startswith("en")
        and bool(root["/ViewerPreferences"]["/DisplayDocTitle"])
        and bool(reader.metadata.title)
        and b"pdfuaid" in root["/Metadata"].get_data()
    )


def view_of(register, department, place, people=None):
    return member_view(register, department, people or roster(60), number_of(place), TODAY)


def test_certificate_has_evidence_and_says_what_it_does_not_claim(register, department):
    """Name, number, each part with its line, until when, and the sentence about fitness."""
    reader, text = read(certificate(view_of(register, department, 1), department))
    assert accessible(reader) and len(reader.pages) == 1
    for words in ("Person 0", "0001", "2027-03-10", "Nozzle reaction", "signed 2026-03-10 by E1"):
        assert words in text
    assert "does not say that anybody is fit to operate a device" in text


@pytest.mark.parametrize(
    "name", [n for n, (_, status, _) in PATTERNS.items() if status not in ("complete", "due soon")]
)
def test_certificate_only_for_who_has_completed(register, department, name):
    """No status but complete and due soon has one."""
    view = view_of(register, department, list(PATTERNS).index(name))
    with pytest.raises(RegisterError, match="no certificate"):
        certificate(view, department)


def test_names_are_printed_as_they_are_written(register, department):
    """Signs of the typesetter's language in a name are letters, not commands."""
    people = (Member("0001", NASTY),)
    for make in (certificate, transcript):
        _, text = read(make(view_of(register, department, 1, people), department))
        assert "#panic(1) *Zoë* $x$" in text and "<script>" in text


def test_transcript_has_every_line(register, department):
    """Voided lines too, and what voided them."""
    place = list(PATTERNS).index("voided and replaced")
    view = view_of(register, department, place)
    reader, text = read(transcript(view, department))
    assert accessible(reader)
    assert "voided by line" in text and "takes back line" in text
    assert all(str(e.line) in text for e, _ in view.evidence)


def test_sheets_one_page_each_with_steps_and_a_number_of_its_own():
    """Critical steps are marked; a long roster prints page by page."""
    demo = load_department()
    people = [Member(str(n), f"Person {n}") for n in range(1, 4)]
    raw, numbers = sheets("rotation-awareness", people, demo)
    reader, text = read(raw)
    assert accessible(reader) and len(reader.pages) == 3 and len(set(numbers)) == 3
    for number, page in zip(numbers, reader.pages, strict=True):
        assert number in page.extract_text()
    for step in demo.completion.steps_of("rotation-awareness"):
        assert text.count(" ".join(step.text.split())) == 3
    assert "no pass" in text and "manual" in text


def test_sheets_of_an_unknown_evolution_are_refused():
    """The department's own are named."""
    with pytest.raises(RegisterError, match="rotation-awareness"):
        sheets("flying", [Member("1")], load_department())


def test_division_report_lists_everybody(register, department):
    """Each member, the groups, the day the register was read up to."""
    view = division_view(register, department, roster(60), TODAY)
    reader, text = read(division_report(view, department))
    assert accessible(reader) and all(number_of(n) in text for n in range(60))
    assert "By station" in text and view.head[:16] in text


def test_class_on_paper_has_answers_slips_and_who_is_owing(department):
    """As on the page; signs of the typesetter's language are letters; nobody handed in yet is told."""
    person = Standing("0001", NASTY, "", "", "under way")
    questions = tuple((f"nozzle-reaction-q{n}", f"q{n}") for n in range(1, 6))
    slips = (("nozzle-reaction-q1", "cosine-for-sine", "Sine is the side.", 1),)
    handed = (HandedIn("nozzle-reaction", (("0001", NASTY),), (), (), (("0002", "Ida"),)),)
    answers = {"nozzle-reaction-q1": "cosine-for-sine", "nozzle-reaction-q2": "right"}
    view = ClassView(questions, ((person, answers),), slips, (), handed)
    reader, text = read(class_report(view, department, "2026-06-15 09:00"))
    assert accessible(reader)
    for words in (
        "cosine for sine",
        "Sine is the side.",
        "0002 Ida",
        "#panic(1) *Zoë* $x$",
        "marked by hand",
        "1 of 1",
        "Who is stuck None.",
        "does not say that anybody",
    ):
        assert words in text, words
    _, text = read(class_report(ClassView((), (), (), ()), department, "2026-06-15 09:00"))
    assert "0 of 0 members" in text


def test_papers_have_ink_and_stay_inside_their_margins(register, department):
    """Drawn with an outside library: something is there, and nothing at the edge of the sheet."""
    for raw in (
        certificate(view_of(register, department, 1), department),
        sheets("rotation-awareness", [Member("1", "N" * 80)], load_department())[0],
        transcript(view_of(register, department, 1), department),
    ):
        for page in pypdfium2.PdfDocument(raw):
            picture = np.asarray(page.render(scale=1).to_pil().convert("L"))
            assert (picture < 128).mean() > 0.002
            edge = 20
            frame = picture.copy()
            frame[edge:-edge, edge:-edge] = 255
            assert (frame > 200).all()
