"""The open forms: read back with outside libraries, and held against what the standards ask.

xAPI: Experience API 1.0.3, part 2 (xAPI-Data.md), sections 2.2 to 2.4.11 and 4.1 to 4.6, whose
numbers stand beside what they ask, and cmi5 "quartz" section 9. Open Badges 3.0: integrity.md, JSON Web Token proof, and the schema of the credential
(docs/schema/achievementcredential.json of 1EdTech/openbadges-specification): what it requires and
allows is typed in here, since its licence does not let a copy of the file lie in the kit. OneRoster
1.1: the headings that public programs which read or write such files have in common.
"""

import csv
import io
import json
import math
import re
import uuid
import zipfile
from collections import Counter
from datetime import UTC, date, datetime
from urllib.parse import quote
from zoneinfo import ZoneInfo

import jsonschema
import jwt
import openpyxl
import pytest
from division import RULE, TODAY, made, number_of, practical, roster, theory
from jwcrypto import jwk, jws
from python_calamine import CalamineWorkbook
from rfc3986_validator import validate_rfc3986
from tincan import Statement

from aerialstream.department import load_department
from gradekit.exports import (
    LINE_COLUMNS,
    ONEROSTER,
    credential,
    line_rows,
    make_key,
    oneroster,
    read_key,
    signed,
    statements,
)  # fmt: skip
from gradekit.register import Register, RegisterError
from gradekit.tables import harmless, write_csv, write_xlsx
from gradekit.views import member_view

ISSUER = "https://training.larkmoor.example"
# Formats are judged by rfc3986-validator, rfc3339-validator, isoduration; a test asks that they are there.
FORMATS = jsonschema.FormatChecker()
FORMATS.checkers = dict(jsonschema.Draft202012Validator.FORMAT_CHECKER.checkers)


@FORMATS.checks("iri")
def iri_stands_for_a_uri(text):
    """RFC 3987, 3.1: an IRI is what becomes a URI once its other letters are percent-encoded."""
    if not isinstance(text, str):
        return True
    return bool(validate_rfc3986("".join(c if c.isascii() else quote(c) for c in text), "URI"))


IRI = {"type": "string", "format": "iri"}  # 4.3, 2.2.s4: with a scheme
IRL = {**IRI, "pattern": "^https?://"}
UUID = {  # 2.4.1, 4.4: standard string form, variant 2
    "type": "string", "format": "uuid",
    "pattern": "^[0-9a-f]{8}-[0-9a-f]{4}-[1-5][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$",
}  # fmt: skip
LANGUAGE = "^([a-z]{2,3}(-[A-Z][a-z]{3})?(-([A-Z]{2}|[0-9]{3}))?)$"  # RFC 5646: token lengths
LANGUAGES = {  # 4.2
    "type": "object", "minProperties": 1, "additionalProperties": {"type": "string"},
    "propertyNames": {"pattern": LANGUAGE},
}  # fmt: skip
EXTENSIONS = {"type": "object", "minProperties": 1, "propertyNames": IRI}  # 4.1
AGENT = {  # 2.4.2.1 and 2.4.2.4: one identifier only, here an account
    "type": "object", "additionalProperties": False, "required": ["objectType", "account"],
    "properties": {
        "objectType": {"const": "Agent"}, "name": {"type": "string"},
        "account": {
            "type": "object", "additionalProperties": False, "required": ["homePage", "name"],
            "properties": {"homePage": IRL, "name": {"type": "string", "minLength": 1}},
        },
    },
}  # fmt: skip
ACTIVITY = {  # 2.4.4.1
    "type": "object", "additionalProperties": False, "required": ["objectType", "id"],
    "properties": {
        "objectType": {"const": "Activity"}, "id": IRI,
        "definition": {
            "type": "object", "additionalProperties": False, "minProperties": 1,
            "properties": {"name": LANGUAGES, "description": LANGUAGES, "type": IRI,
                           "moreInfo": IRL, "extensions": EXTENSIONS},
        },
    },
}  # fmt: skip
REFERENCE = {  # 2.4.4.3
    "type": "object", "additionalProperties": False, "required": ["objectType", "id"],
    "properties": {"objectType": {"const": "StatementRef"}, "id": UUID},
}  # fmt: skip
RESULT = {  # 2.4.5; the duration by 4.6, ISO 8601:2004(E) 4.4.3.2
    "type": "object", "additionalProperties": False, "minProperties": 1,
    "properties": {
        "success": {"type": "boolean"}, "completion": {"type": "boolean"},
        "response": {"type": "string"}, "extensions": EXTENSIONS,
        "duration": {"type": "string", "format": "duration", "pattern": "^P[^:]*$"},
        "score": {
            "type": "object", "additionalProperties": False, "minProperties": 1,
            "properties": {"scaled": {"type": "number", "minimum": -1, "maximum": 1},
                           "raw": {"type": "number"}, "min": {"type": "number"},
                           "max": {"type": "number"}},
        },
    },
}  # fmt: skip
CONTEXT = {  # 2.4.6; a team would have to be a group, contextActivities is not used
    "type": "object", "additionalProperties": False, "minProperties": 1,
    "properties": {
        "registration": UUID, "instructor": AGENT, "revision": {"type": "string"},
        "platform": {"type": "string"}, "language": {"type": "string", "pattern": LANGUAGE},
        "statement": REFERENCE, "extensions": EXTENSIONS,
    },
}  # fmt: skip
STATEMENT = {  # 2.4: "stored" and "authority" are the store's, "version" is not to be set (2.4.10)
    "type": "object", "additionalProperties": False,
    "required": ["id", "actor", "verb", "object", "timestamp"],
    "properties": {
        "id": UUID, "actor": AGENT,
        "verb": {  # 2.4.3
            "type": "object", "additionalProperties": False, "required": ["id", "display"],
            "properties": {"id": IRI, "display": LANGUAGES},
        },
        "object": {"oneOf": [ACTIVITY, REFERENCE]}, "result": RESULT, "context": CONTEXT,
        "timestamp": {"type": "string", "format": "date-time"},  # 4.5: RFC 3339, with a zone
    },
}  # fmt: skip
VOIDED = "http://adlnet.gov/expapi/verbs/voided"


def _once(pairs):
    """2.2.s2.b2: each property no more than one time."""
    assert len(dict(pairs)) == len(pairs), "a property twice"
    return dict(pairs)


def faults_of(text, now):
    """What xAPI 1.0.3 has against a statement as text: clauses that the tables cannot say, too."""
    one = json.loads(text, object_pairs_hook=_once)
    check = jsonschema.Draft202012Validator(STATEMENT, format_checker=FORMATS)
    found = [error.message for error in check.iter_errors(one)]
    if found:
        return found
    score = one.get("result", {}).get("score", {})
    least, most = score.get("min", -math.inf), score.get("max", math.inf)
    if not least <= score.get("raw", max(least, min(most, 0))) <= most or not least < most:
        found.append("2.4.5.1: raw lies between min and max, and min is less than max")
    if datetime.fromisoformat(one["timestamp"]) > now:
        found.append("2.4.7.s3.b4: no future time")
    if not re.search(r"(Z|[+-]\d\d:\d\d)$", one["timestamp"]) or "-00:00" in one["timestamp"]:
        found.append("4.5: with its zone")
    refers = one["object"]["objectType"] == "StatementRef"
    if (one["verb"]["id"] == VOIDED) != refers:
        found.append("2.3.2.s2.b1: a voiding has a StatementRef")
    if refers and {"revision", "platform"} & set(one.get("context", {})):
        found.append("2.4.6.s4.b1 and b2: revision and platform only with an Activity")
    if one["verb"]["id"].rsplit("/", 1)[1] not in one["verb"]["display"].values():
        found.append("2.4.3.s5.b2: display says what the verb means")
    return found


@pytest.fixture(scope="module")
def department():
    """The invented department with a web address of its own."""
    rule = RULE.model_copy(update={"issuer": ISSUER})
    return load_department().model_copy(update={"completion": rule})


@pytest.fixture(scope="module")
def register(tmp_path_factory):
    """Two of each awkward case."""
    register = made(tmp_path_factory.mktemp("exports"), 54)
    yield register
    register.close()


@pytest.fixture(scope="module")
def view(register, department):
    """The record of a member who has completed."""
    return member_view(register, department, roster(54), number_of(1), TODAY)


# --- xAPI ---------------------------------------------------------------------------------------


def test_formats_are_judged_by_libraries_that_are_there():
    """A format that nobody judges would pass whatever it is."""
    assert {"iri", "date-time", "duration", "uuid"} <= set(FORMATS.checkers)
    for text in (
        "https://a.example/b",
        "https://a.example/größe",
        "urn:uuid:1",
        "mailto:a@b.example",
    ):
        assert iri_stands_for_a_uri(text), text
    for text in (
        "a b",
        "https://a.example/b c",
        "passed",
        "https://a.example/<b>",
        "//a.example/b",
        "",
    ):
        assert not iri_stands_for_a_uri(text), text


def test_statements_have_the_published_shape(register, department):
    """Every property, its kind and every MUST that applies, by xAPI 1.0.3."""
    found, now = statements(register.all_lines(), department), datetime.now(UTC)
    for one in found:
        assert faults_of(json.dumps(one, ensure_ascii=False), now) == []
    assert len({one["id"] for one in found}) == len(found) > 90
    assert {one["verb"]["id"].rsplit("/")[-1] for one in found} >= {
        "passed", "failed", "attended", "waived", "voided",
    }  # fmt: skip
    # 2.3.2: what is voided is a statement of ours, and itself no voiding.
    by_id = {one["id"]: one for one in found}
    for one in found:
        if one["verb"]["id"] == VOIDED:
            assert by_id[one["object"]["id"]]["verb"]["id"] != VOIDED
    # 2.4.4.1: one activity for an id, always described in the same way.
    described = {}
    for one in found:
        if one["object"]["objectType"] == "Activity":
            assert described.setdefault(one["object"]["id"], one["object"]) == one["object"]


GOOD = {
    "id": "12345678-1234-5678-9234-567812345678",
    "actor": {"objectType": "Agent", "account": {"homePage": ISSUER, "name": "41"}},
    "verb": {"id": "http://adlnet.gov/expapi/verbs/passed", "display": {"en-US": "passed"}},
    "object": {"objectType": "Activity", "id": f"{ISSUER}/theory/x",
               "definition": {"name": {"en-US": "x"}, "type": f"{ISSUER}/t"}},
    "result": {"success": True, "duration": "PT90M",
               "score": {"scaled": 0.9, "raw": 9.0, "min": 0, "max": 10.0}},
    "context": {"platform": "p", "language": "en-US", "extensions": {f"{ISSUER}/e": 1}},
    "timestamp": "2026-01-10T09:00:00-05:00",
}  # fmt: skip
BAD = [  # (clause of xAPI-Data, where, what is put there; None takes it out)
    ("2.2.s2.b3", "actor", None), ("2.2.s2.b3", "verb", None), ("2.2.s2.b3", "object", None),
    ("2.2.s4.b1.b1", "result.success", "null"), ("2.2.s4.b1.b2", "result.score.raw", "9"),
    ("2.2.s4.b1.b3", "result.success", "true"), ("2.2.s4.b1.b5", "result.Success", True),
    ("2.2.s4.b1.b7", "attachment", []), ("2.2.s4.b1.b8", "verb.id", "verbs/passed"),
    ("2.2.s3.b1", "object.id", f"{ISSUER}/theory/company drill"),
    ("2.2.s3.b2", "verb.display", {"american": "passed"}),
    ("2.4.1", "id", "12345678123456789234567812345678"), ("2.4.1", "id", "line 7"),
    ("2.4.2.1.s2.b1", "actor.account", None), ("2.4.2.1.s2.b2", "actor.mbox", "mailto:a@b.example"),
    ("2.4.2.4", "actor.account.homePage", "urn:larkmoor"), ("2.4.2.4", "actor.account.name", ""),
    ("2.4.3.s5.b2", "verb.display", {"en-US": "failed"}),
    ("2.3.2.s2.b1", "verb", {"id": VOIDED, "display": {"en-US": "voided"}}),
    ("2.4.4.3.s4.b2", "object", {"objectType": "StatementRef", "id": "7"}),
    ("2.4.5.1", "result.score.scaled", 1.01), ("2.4.5.1", "result.score.raw", 11),
    ("2.4.5.1", "result.score.min", 10.0), ("4.6", "result.duration", "90 min"),
    ("4.6", "result.duration", "P0000-00-00T01:30:00"), ("4.6", "result.duration", "PT"),
    ("4.5", "timestamp", "2026-01-10T09:00:00"), ("4.5", "timestamp", "10 January 2026"),
    ("4.5", "timestamp", "2026-01-10T09:00:00-00:00"),
    ("2.4.7.s3.b4", "timestamp", "2999-01-01T00:00:00Z"),
    ("2.4.6", "context.registration", "7"), ("2.4.6", "context.language", "American English"),
    ("2.4.6.2.s4.b1", "context.contextActivities", {"child": []}),
    ("4.1", "context.extensions", {"line": 7}), ("2.4.10.s4", "version", "1.0.3"),
    ("2.4.8.s3.b2", "stored", "2026-01-10T09:00:00Z"), ("2.4.11", "attachments", [{}]),
]  # fmt: skip


@pytest.mark.parametrize("clause, where, what", BAD)
def test_statements_against_a_clause_are_noticed(clause, where, what):
    """The check can fail: one thing wrong, and it says so. The good one beside it passes."""
    now = datetime.now(UTC)
    assert faults_of(json.dumps(GOOD), now) == []
    one = json.loads(json.dumps(GOOD))
    *way, last = where.split(".")
    place = one
    for key in way:
        place = place[key]
    place[last] = None if what == "null" else what
    if what is None:
        del place[last]
    assert faults_of(json.dumps(one), now), clause


def test_a_property_that_stands_twice_is_noticed():
    """2.2.s2.b2."""
    text = json.dumps(GOOD)
    with pytest.raises(AssertionError, match="twice"):
        faults_of(text.replace('"verb":', '"verb": {}, "verb":'), datetime.now(UTC))


def test_statements_of_odd_departments_are_sound_too(tmp_path):
    """Blanks and signs in a session's name, points beyond the most, a letterless name, no address."""
    register = Register(tmp_path)
    with register.writing() as writer:
        writer.add(member="1", **theory("2026-01-10", 10.5))
        writer.add(member="1", **theory("2026-01-11", -0.5, "v2"))
    register.attend("1", "Tour d’échelle, 1<2 & más", "2", held="2026-01-12", hours=2)
    rule, now = RULE.model_copy(update={"issuer": f"{ISSUER}/"}), datetime.now(UTC)
    whose = load_department().model_copy(update={"completion": rule})
    found = statements(register.all_lines(), whose)
    assert [faults_of(json.dumps(one), now) for one in found] == [[], [], []]
    assert found[0]["result"]["score"] == {"scaled": 1.0, "raw": 10.5, "min": 0}
    assert found[1]["result"]["score"] == {"scaled": 0.0, "raw": -0.5, "max": 10.0}
    assert found[2]["object"]["id"].startswith(f"{ISSUER}/attendance/Tour%20d")
    assert "language" not in found[2]["context"]  # 2.4.6.s4.b3: nobody entered what was spoken
    homes = set()
    for name, issuer in (("消防", None), ("Пожарная", "the division"), ("Larkmoor", "https://a b")):
        rule = RULE.model_copy(update={"issuer": issuer})
        whose = load_department().model_copy(update={"name": name, "completion": rule})
        for one in statements(register.all_lines(), whose):
            faults = faults_of(json.dumps(one), now)
            # Without an address of its own an account's home page is a name: told when exported.
            assert len(faults) <= 2 and all("does not match '^https?://'" in f for f in faults)
            homes.add(one["actor"]["account"]["homePage"])
    assert len(homes) == 3
    register.close()


def test_statements_are_read_by_an_outside_library(register, department):
    """Another project's reader of xAPI takes each, and writes the same again."""
    for one in statements(register.all_lines(), department):
        read = Statement.from_json(json.dumps(one))
        back = json.loads(read.to_json())
        assert back["id"] == one["id"]
        assert back["verb"]["id"] == one["verb"]["id"]
        assert back["actor"]["account"] == one["actor"]["account"]


def test_statements_carry_what_cmi5_asks_of_its_verbs(tmp_path, department):
    """passed and failed with success, score only there and scaled 0 to 1; waived with a reason."""
    register = Register(tmp_path)
    with register.writing() as writer:
        writer.add(member="1", **theory("2026-01-10"))
        writer.add(member="1", **theory("2026-01-11", 3.0, "v2"))
        writer.add(member="1", **practical("2026-03-10"), hours=1.5, device="Tower 3")
    register.waive("1", "nozzle-reaction", "2", "a reason")
    register.void(2, "wrong")
    register.note_export("2", "csv", 1, "0")
    passed, failed, run, waived, void = statements(register.all_lines(), department)
    register.close()
    assert passed["result"] == {
        "success": True, "completion": True,
        "score": {"scaled": 0.9, "raw": 9.0, "min": 0, "max": 10.0},
    }  # fmt: skip
    assert passed["timestamp"] == "2026-01-10T09:00:00-05:00"
    assert failed["result"]["success"] is False and failed["verb"]["id"].endswith("/failed")
    assert run["result"] == {"success": True, "completion": True, "duration": "PT90M"}
    assert run["timestamp"] == "2026-03-10T12:00:00-05:00"
    assert waived["verb"]["id"] == "https://w3id.org/xapi/adl/verbs/waived"
    assert list(waived["result"]["extensions"].values()) == ["Administrative"]
    # 2.3.2: a voiding has the reserved verb and a StatementRef, and names the voided statement.
    assert void["verb"]["id"] == "http://adlnet.gov/expapi/verbs/voided"
    assert void["object"] == {"objectType": "StatementRef", "id": failed["id"]}


def test_statements_of_a_day_stay_on_that_day_over_a_change_of_clocks(tmp_path, department):
    """Typed in in July for January and the other way round, read on New York's own clock; typed in
    on the morning itself: not later than that."""
    days = (
        ("2026-01-20", "2026-07-01T08:00:00-04:00"), ("2025-07-20", "2026-01-10T08:00:00-05:00"),
        ("2026-03-08", "2026-03-08T00:30:00-05:00"), ("2026-06-01", "2026-06-01T07:15:00-04:00"),
    )  # fmt: skip
    register = Register(tmp_path)
    with register.writing() as writer:
        for held, entered in days:
            writer.add(member="1", **{**practical(held), "entered": entered})
    found = statements(register.all_lines(), department)
    register.close()
    for one, (held, entered) in zip(found, days, strict=True):
        when = datetime.fromisoformat(one["timestamp"])
        assert when.astimezone(ZoneInfo("America/New_York")).date() == date.fromisoformat(held)
        assert when <= datetime.fromisoformat(entered)


def test_statement_ids_stay_the_same(register, department):
    """Sent twice, a statement is the same statement."""
    first = [s["id"] for s in statements(register.all_lines(), department)]
    again = [s["id"] for s in statements(register.all_lines(), department)]
    assert first == again and all(uuid.UUID(i).version == 5 for i in first)


def test_statements_hold_no_names(register, department):
    """Numbers only."""
    assert "Person" not in json.dumps(statements(register.all_lines(), department))


# --- Open Badges --------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def key(tmp_path_factory):
    """A signing key of our own making."""
    path = tmp_path_factory.mktemp("key") / "key.pem"
    make_key(path)
    assert path.stat().st_mode & 0o077 == 0
    return read_key(path)


def test_badge_is_verified_by_two_outside_libraries(view, department, key):
    """The steps of integrity.md, "Verify a Credential": header, key, signature, claims."""
    token = signed(credential(view, department), key)
    header = jwt.get_unverified_header(token)
    assert set(header) == {"alg", "typ", "jwk"} and header["alg"] == "RS256"
    assert set(header["jwk"]) == {"kty", "n", "e"}  # never "d"
    public = jwt.PyJWK(header["jwk"], algorithm="RS256")
    now = {"verify_exp": False, "verify_nbf": False}
    claims = jwt.decode(token, public.key, algorithms=["RS256"], options=now)
    other = jws.JWS()
    other.deserialize(token, jwk.JWK(**header["jwk"]))
    assert json.loads(other.payload) == claims
    made = claims["vc"]
    assert claims["iss"] == made["issuer"]["id"] == ISSUER
    assert claims["sub"] == made["credentialSubject"]["id"]
    assert claims["jti"] == made["id"]
    start = datetime.fromisoformat(made["validFrom"].replace("Z", "+00:00"))
    assert claims["nbf"] == start.timestamp()


def test_badge_that_was_changed_is_refused(view, department, key):
    """One letter of the payload, and no library takes it."""
    token = signed(credential(view, department), key)
    head, payload, signature = token.split(".")
    changed = payload[:40] + ("A" if payload[40] != "A" else "B") + payload[41:]
    public = jwt.PyJWK(jwt.get_unverified_header(token)["jwk"], algorithm="RS256").key
    with pytest.raises(jwt.InvalidTokenError):
        jwt.decode(f"{head}.{changed}.{signature}", public, algorithms=["RS256"])


def test_badge_has_what_the_form_requires(view, department):
    """Required: @context (in this order), id, type, issuer, validFrom, subject, achievement with
    id, type, name, description, criteria; an identity as a salted hash."""
    made = credential(view, department)
    assert made["@context"][:2] == [
        "https://www.w3.org/ns/credentials/v2",
        "https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json",
    ]
    assert made["type"] == ["VerifiableCredential", "OpenBadgeCredential"]
    assert {"id", "issuer", "validFrom", "name"} <= set(made)
    achievement = made["credentialSubject"]["achievement"]
    assert {"id", "type", "name", "description", "criteria"} <= set(achievement)
    assert "not say that anybody is fit" in achievement["description"]
    (identity,) = made["credentialSubject"]["identifier"]
    assert re.fullmatch(r"sha256\$[0-9a-f]{64}", identity["identityHash"])
    assert view.standing.name not in json.dumps(made)
    assert f'"{view.standing.member}"' not in json.dumps(made)


TYPE = {"oneOf": [{"type": "string"}, {"type": "array", "minItems": 1}]}
IDENTITY = {  # IdentityObject
    "type": "object", "additionalProperties": False,
    "required": ["type", "hashed", "identityHash", "identityType"],
    "properties": {
        "type": {"const": "IdentityObject"}, "hashed": {"type": "boolean"},
        "identityHash": {"type": "string"}, "salt": {"type": "string"},
        "identityType": {"enum": ["sourcedId", "systemId", "userName", "accountId", "identifier"]},
    },
}  # fmt: skip
ACHIEVEMENT = {  # Achievement; achievementType is one of a longer list
    "type": "object", "required": ["id", "type", "criteria", "description", "name"],
    "properties": {
        "id": {"type": "string"}, "type": TYPE, "name": {"type": "string"},
        "description": {"type": "string"}, "criteria": {"type": "object"},
        "achievementType": {"enum": ["Achievement", "Certificate", "CertificateOfCompletion"]},
    },
}  # fmt: skip
SUBJECT = {  # AchievementSubject
    "type": "object", "additionalProperties": False, "required": ["type", "achievement"],
    "properties": {
        "id": {"type": "string"}, "type": TYPE, "achievement": ACHIEVEMENT,
        "identifier": {"type": "array", "items": IDENTITY},
        **{name: {} for name in (
            "activityEndDate", "activityStartDate", "creditsEarned", "image", "licenseNumber",
            "narrative", "result", "role", "source", "term",
        )},
    },
}  # fmt: skip
CREDENTIAL = {  # AchievementCredential; the stored schema is of the draft with issuanceDate
    "type": "object",
    "required": ["@context", "id", "type", "name", "credentialSubject", "issuer", "validFrom"],
    "properties": {
        "@context": {"type": "array", "minItems": 1}, "id": {"type": "string"}, "type": TYPE,
        "name": {"type": "string"}, "credentialSubject": SUBJECT,
        "evidence": {
            "type": "array",
            "items": {
                "type": "object", "required": ["type"],
                "properties": {"type": TYPE, "name": {"type": "string"},
                               "description": {"type": "string"}},
            },
        },
        "issuer": {"type": "object", "required": ["id", "type"]},
        "validFrom": {"type": "string", "pattern": r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(Z|[+-].*)$"},
        "validUntil": {"type": "string", "pattern": r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(Z|[+-].*)$"},
    },
}  # fmt: skip


def test_badge_fits_the_published_schema(view, department):
    """Kind, requirement and, where the schema shuts a part, no property of our own."""
    made = json.loads(json.dumps(credential(view, department)))
    check = jsonschema.Draft202012Validator(CREDENTIAL)
    check.validate(made)
    made["credentialSubject"]["identifier"][0]["name"] = "not allowed"
    with pytest.raises(jsonschema.ValidationError):
        check.validate(made)


def test_badge_is_refused_without_completion_or_address(register, department, view):
    """Nothing is signed that is not so, or that nobody stands for."""
    other = member_view(register, department, roster(54), number_of(2), TODAY)
    with pytest.raises(RegisterError, match="is not complete"):
        credential(other, department)
    nobody = department.completion.model_copy(update={"issuer": None})
    with pytest.raises(RegisterError, match="web address"):
        credential(view, department.model_copy(update={"completion": nobody}))


def test_key_that_is_none_is_refused(tmp_path):
    """A text, nothing at all, a key too small."""
    from cryptography.hazmat.primitives import serialization as form
    from cryptography.hazmat.primitives.asymmetric import ed25519

    path = tmp_path / "key.pem"
    path.write_text("key")
    small = ed25519.Ed25519PrivateKey.generate().private_bytes(
        form.Encoding.PEM, form.PrivateFormat.PKCS8, form.NoEncryption()
    )
    (tmp_path / "small.pem").write_bytes(small)
    for name in ("key.pem", "none.pem", "small.pem"):
        with pytest.raises(RegisterError, match=name):
            read_key(tmp_path / name)


# --- OneRoster ----------------------------------------------------------------------------------


def test_oneroster_headings_are_those_of_other_programs():
    """Typed in from public programs that read or write OneRoster 1.1 (an R package's list of
    columns, a generator of sample data, exporters); all agree, but for one misprint in one list."""
    each = "sourcedId,status,dateLastModified"
    assert {name: ",".join(columns) for name, columns in ONEROSTER.items()} == {
        "orgs": f"{each},name,type,identifier,parentSourcedId",
        "users": f"{each},enabledUser,orgSourcedIds,role,username,userIds,givenName,familyName,"
        "middleName,identifier,email,sms,phone,agentSourcedIds,grades,password",
        "academicSessions": f"{each},title,type,startDate,endDate,parentSourcedId,schoolYear",
        "courses": f"{each},schoolYearSourcedId,title,courseCode,grades,orgSourcedId,subjects,"
        "subjectCodes",
        "classes": f"{each},title,grades,courseSourcedId,classCode,classType,location,"
        "schoolSourcedId,termSourcedIds,subjects,subjectCodes,periods",
        "categories": f"{each},title",
        "lineItems": f"{each},title,description,assignDate,dueDate,classSourcedId,"
        "categorySourcedId,gradingPeriodSourcedId,resultValueMin,resultValueMax",
        "results": f"{each},lineItemSourcedId,studentSourcedId,scoreStatus,score,scoreDate,comment",
    }


def test_oneroster_results_stand_under_the_number_of_today(tmp_path, department):
    """Joined numbers are one member there; in the lines and in xAPI each stays as it was."""
    register = Register(tmp_path)
    with register.writing() as writer:
        writer.add(member="1", **theory("2026-01-10"))
    register.renumber("7", "1", "2", "re-hired")
    lines = register.all_lines()
    register.close()
    with zipfile.ZipFile(io.BytesIO(oneroster(lines, department, TODAY))) as archive:
        rows = list(csv.DictReader(io.StringIO(archive.read("results.csv").decode())))
    assert [r["studentSourcedId"] for r in rows] == ["7"]
    assert [s["actor"]["account"]["name"] for s in statements(lines, department)] == ["1"]


def test_oneroster_zip_is_whole_in_itself(register, department):
    """Headings in order, every reference defined, every listed file there (OneRoster 1.1)."""
    with zipfile.ZipFile(io.BytesIO(oneroster(register.all_lines(), department, TODAY))) as archive:
        tables = {
            n.removesuffix(".csv"): list(csv.DictReader(io.StringIO(archive.read(n).decode())))
            for n in archive.namelist()
        }
    manifest = {row["propertyName"]: row["value"] for row in tables.pop("manifest")}
    assert (manifest["manifest.version"], manifest["oneroster.version"]) == ("1.0", "1.1")
    said = {k.removeprefix("file.") for k, v in manifest.items() if v == "bulk"}
    assert said == set(tables) == set(ONEROSTER)
    ids = {name: {row["sourcedId"] for row in rows} for name, rows in tables.items()}
    for name, rows in tables.items():
        assert len(ids[name]) == len(rows), name
    points = {
        "lineItemSourcedId": "lineItems", "studentSourcedId": "users", "classSourcedId": "classes",
        "categorySourcedId": "categories", "gradingPeriodSourcedId": "academicSessions",
        "courseSourcedId": "courses", "schoolSourcedId": "orgs", "orgSourcedId": "orgs",
        "orgSourcedIds": "orgs", "termSourcedIds": "academicSessions",
        "schoolYearSourcedId": "academicSessions",
    }  # fmt: skip
    for rows in tables.values():
        for row in rows:
            for column, target in points.items():
                assert not row.get(column) or row[column] in ids[target]
    assert not any(row["password"] or row["email"] for row in tables["users"])
    assert "Person" not in json.dumps(tables)
    stand = Counter(e.member for e in register.lines())
    assert Counter(row["studentSourcedId"] for row in tables["results"]) == stand


# --- tables -------------------------------------------------------------------------------------

NASTY = ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1", " =1", "＝1", "=cmd|' /C calc'!A0", "a\x00b"]


@pytest.mark.parametrize("cell", NASTY[:-1])
def test_cells_like_formulas_begin_with_an_apostrophe(cell):
    """Also behind blanks, and in the wide letters of East Asian keyboards."""
    assert harmless(cell) == f"'{cell}"


@pytest.mark.parametrize("cell", ["", "a", "1-2", "2026-06-01", "O'Hara", "“x”", "Zoë"])
def test_plain_cells_stay_as_they_are(cell):
    """Nothing is put in front of a day or a name."""
    assert harmless(cell) == cell


def test_workbook_holds_no_formula_and_reads_back(tmp_path):
    """Read with an outside library: every text as text, numbers as numbers."""
    path = tmp_path / "table.xlsx"
    write_xlsx(path, {"records": (("a", "b"), [(cell, 1.5) for cell in NASTY])})
    rows = CalamineWorkbook.from_path(str(path)).get_sheet_by_name("records").to_python()
    assert rows[0] == ["a", "b"] and all(row[1] == 1.5 for row in rows[1:])
    assert [str(row[0]).lstrip("'").strip() for row in rows[1:-1]] == [
        c.strip() for c in NASTY[:-1]
    ]
    for row in openpyxl.load_workbook(path)["records"].iter_rows():
        assert all(cell.data_type != "f" for cell in row)


def test_csv_of_every_line_reads_back(register, tmp_path):
    """All lines and fields, with the digests."""
    lines = register.all_lines()
    write_csv(tmp_path / "lines.csv", LINE_COLUMNS, line_rows(lines))
    with (tmp_path / "lines.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(r["member"], r["digest"]) for r in rows] == [(e.member, e.digest) for e in lines]
    assert date.fromisoformat(rows[0]["entered"][:10])
