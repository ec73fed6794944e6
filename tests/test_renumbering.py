"""A member gets a new number: the record follows, the lines stay as they are."""

import pytest

from gradekit.register import RENUMBERING, Register, RegisterError, owner_of, standing
from gradekit.views import member_view

E = "rotation-awareness"


@pytest.fixture
def register(tmp_path):
    """Member 41 has one run, signed by 77."""
    register = Register(tmp_path)
    register.sign_off("41", E, "77", remark="Imre was late")
    yield register
    register.close()


def test_renumbering_is_a_line_of_its_own_and_changes_none(register):
    """Who, from which number, why and by whom; the chain holds."""
    before = register.all_lines()
    line = register.renumber("300", "41", "77", "re-hired")
    every = register.all_lines()
    assert every[:-1] == before and every[-1].line == line
    made = every[-1]
    assert (made.member, made.kind, made.objective) == ("300", RENUMBERING, "41")
    assert (made.evaluator, made.remark) == ("77", "re-hired")
    assert register.earlier_numbers("300") == ("41",) and register.verify().whole


@pytest.mark.parametrize(
    "words, why",
    [
        (("300", "41", "77", " "), "needs a reason"),
        (("300", "41", "300", "x"), "nobody signs for themselves"),
        (("300", "41", "41", "x"), "nobody signs for themselves"),
        (("41", "41", "77", "x"), "is the same number"),
        (("300", "42", "77", "x"), "no evidence stands under 42"),
        (("300", "=1", "77", "x"), "are all needed"),
    ],
)
def test_renumbering_refusals_name_the_reason(register, words, why):
    """And nothing is entered."""
    with pytest.raises(RegisterError, match=why):
        register.renumber(*words)
    assert len(register.all_lines()) == 1


def test_a_record_goes_to_one_number_only(register):
    """The second is told where it went; after the first was taken back it may go there."""
    line = register.renumber("300", "41", "77", "re-hired")
    with pytest.raises(RegisterError, match="no evidence stands under 41; its record went to 300"):
        register.renumber("301", "41", "77", "re-hired")
    register.void(line, "wrong member", "77")
    assert register.links() == [] and register.earlier_numbers("300") == ()
    register.renumber("301", "41", "77", "re-hired")
    (one,) = [e for e in register.lines() if e.kind != RENUMBERING]
    assert owner_of(one, register.links()) == "301"


def test_nobody_signs_for_themselves_under_an_earlier_number(register):
    """Neither as the evaluator they were nor as the member they were, over two changes."""
    register.renumber("300", "41", "77", "re-hired")
    register.renumber("400", "300", "77", "new numbers for all")
    for member, other in (("400", "41"), ("41", "400"), ("300", "41"), ("400", "300")):
        for sign in (
            lambda m, o: register.sign_off(m, E, o),
            lambda m, o: register.attend(m, "class", o),
            lambda m, o: register.waive(m, E, o, "x"),
        ):
            with pytest.raises(RegisterError, match="nobody signs for themselves"):
                sign(member, other)
    assert register.sign_off("400", E, "77")


def test_erasure_reaches_what_was_written_under_earlier_numbers(register, tmp_path):
    """The remark of the old number goes; that of its next holder stays; the chain holds."""
    register.renumber("300", "41", "77", "re-hired")
    register.sign_off("41", E, "77", remark="of the next holder")
    register.sign_off("300", E, "77", remark="Imre again")
    register.void(1, "Imre was not there", "77")
    register.erase("300", "77", "asked for")
    assert register.verify().whole
    kept = {e.remark for e in register.all_lines()} - {""}
    assert kept == {"of the next holder", "asked for"}
    assert b"Imre" not in (tmp_path / "register.db").read_bytes()


def test_numbers_that_go_in_a_circle_come_to_an_end(register):
    """41, then 300, then 41 again: every line is the one member's."""
    register.renumber("300", "41", "77", "re-hired")
    register.sign_off("300", E, "77")
    register.renumber("41", "300", "77", "the old number again")
    links = register.links()
    runs = [e for e in standing(register.all_lines()) if e.kind == "practical"]
    assert [owner_of(e, links) for e in runs] == ["41", "41"]
    assert register.earlier_numbers("41") == ("300",)


def test_a_member_of_whom_only_the_new_number_is_known(register, tmp_path):
    """Nothing under 300 and nobody on the roster: no record, until the numbers are joined."""
    from aerialstream.department import load_department

    assert member_view(register, load_department(), (), "300") is None
    register.renumber("300", "41", "77", "re-hired")
    view = member_view(register, load_department(), (), "300")
    assert [e.member for e, _ in view.evidence] == ["41", "300"] and view.earlier == ("41",)
