"""Drawing: the same three texts give the same row anywhere, and every row gets its share."""

from collections import Counter
from hashlib import sha256

import pytest

from gradekit.draw import draw, member_number, place_in_deal, retake_number
from gradekit.questions import papers

PAPER = papers()["nozzle-reaction"]
PLACES_OF_2041 = (
    [1, 9, 19, 84, 6, 3, 4],
    [13, 12, 30, 120, 19, 18, 6],
)  # from our own code: a change alarm


@pytest.mark.parametrize("member", ["2041", "A-12", "7", "X" * 20])
def test_draw_same_texts_follows_the_hash_alone(member):
    """The place is the leading 16 hex digits of the SHA-256, modulo the number of rows."""
    for count in (1, 7, 13, 120):
        digest = sha256(f"2026.1|{member}|some-question".encode()).hexdigest()
        assert draw("2026.1", member, "some-question", count) == int(digest[:16], 16) % count


@pytest.mark.alarm
def test_draw_of_released_paper_has_not_moved():
    """The papers that members of the demo class hold in hand stay as they were dealt."""
    assert PAPER.version == "2026.1"
    places = [q.row_number(PAPER.version, "2041") for q in PAPER.auto_questions]
    assert (places, [len(q.table()) for q in PAPER.auto_questions]) == PLACES_OF_2041


def test_draw_new_version_deals_anew():
    """A new version of the paper gives most members other rows."""
    question = PAPER.auto_questions[2]
    members = [str(n) for n in range(3000, 3200)]
    moved = sum(question.row_number("one", m) != question.row_number("two", m) for m in members)
    assert moved > 150


def test_draw_questions_of_one_member_are_independent():
    """Knowing a member's row of one question does not tell the row of the next."""
    first, second = PAPER.auto_questions[:2]
    pairs = {(first.row_number("v", str(n)), second.row_number("v", str(n))) for n in range(20_000)}
    assert len(pairs) == len(first.rows) * len(second.rows)


@pytest.mark.parametrize("question", PAPER.questions, ids=lambda q: q.id)
def test_draw_made_up_members_reach_every_row_evenly(question):
    """Every row is drawn, and none more than three times its fair share.

    500 numbers, or 20 for each row where a table is longer than 25: with 4 draws a row, one row
    in 60 would be missed by chance.
    """
    count = max(500, 20 * len(question.table()))
    drawn = Counter(question.row_number(PAPER.version, str(1000 + n)) for n in range(count))
    assert set(drawn) == set(range(len(question.table())))
    assert max(drawn.values()) <= 3 * count / len(question.table())


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("2041", "2041"),
        (" 2041\n", "2041"),
        ("a-12", "A-12"),
        (2041, "2041"),
        ("X" * 20, "X" * 20),
        ("X" * 21, ""),
        ("", ""),
        (None, ""),
        ("-12", ""),
        ("20 41", ""),
        ("../2041", ""),
        ("2041/..", ""),
        ("20|41", ""),
        ("２０４１", ""),
        ("2041\x00", ""),
        ("2041\n2058", ""),
    ],
)
def test_member_number_takes_only_letters_digits_hyphens(text, number):
    """What is no member number, and above all what could be a path, becomes empty."""
    assert member_number(text) == number


def test_variant_key_same_key_means_same_paper():
    """Two members with one key have one paper; with different keys, different papers."""
    seen = {}
    for n in range(4000):
        key = PAPER.variant_key(str(n))
        rows = tuple(str(q.row(PAPER.version, str(n))) for q in PAPER.questions)
        assert seen.setdefault(key, rows) == rows
    assert len(set(seen.values())) == len(seen)


# --- retakes -------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 2, 5, 24, 120])
def test_retakes_deal_every_row_before_one_comes_again(count):
    """Each retake has a row of its own until all were dealt; the first time is the plain draw."""
    for member in ("2041", "A-12", "7"):
        places = [place_in_deal("2026.1", member, "q", count, turn) for turn in range(count)]
        assert sorted(places) == list(range(count))
        assert places[0] == draw("2026.1", member, "q", count)
        assert place_in_deal("2026.1", member, "q", count, count) == places[0]


def test_retake_rows_are_spread_evenly():
    """The second time every other row is as likely."""
    drawn = Counter(place_in_deal("v", str(n), "q", 10, 1) for n in range(5000))
    assert set(drawn) == set(range(10)) and max(drawn.values()) < 1.3 * 500


def test_retake_gives_every_question_another_row():
    """Number, version and retake alone rebuild the paper; no question keeps its numbers."""
    for member in ("2041", "2058", "A-12"):
        first = [PAPER.row(q.id, member) for q in PAPER.questions]
        again = [PAPER.row(q.id, member, 1) for q in PAPER.questions]
        assert all(one != other for one, other in zip(first, again, strict=True))
        assert again == [PAPER.row(q.id, member, 1) for q in PAPER.questions]
        assert "retake 1" in PAPER.variant_key(member, 1)


@pytest.mark.parametrize(
    ("value", "number"),
    [(0, 0), (1, 1), ("2", 2), (" 3 ", 3), (True, 0), (-1, 0), ("x", 0), (None, 0), (1.5, 0),
     (10**400, 0), ("", 0), ([1], 0), ("100", 0), (99, 99)],
)  # fmt: skip
def test_retake_number_takes_only_small_whole_numbers(value, number):
    """Whatever else stands there counts as the first time."""
    assert retake_number(value) == number
