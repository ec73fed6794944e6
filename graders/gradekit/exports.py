"""The register in open forms: xAPI 1.0.3 statements, OneRoster 1.1 results, Open Badges 3.0.

Members stand in them by number. Nothing here sends anything anywhere.

Sources (as read for these forms): xAPI-Data.md of adlnet/xAPI-Spec 1.0.3, parts 2.2 to 2.5 and 4;
cmi5 "quartz", section 9, for the verbs; 1EdTech openbadges-specification, ob_v3p0 integrity.md
(JSON Web Token proof), context-3.0.3 and docs/schema/achievementcredential.json. OneRoster 1.1
("CSV Tables", 1EdTech, version 1.1.1, 22 August 2023): the tables themselves were not read; the
headings are those that several public programs which read or write such files have in common.
"""

import base64
import csv
import hashlib
import io
import json
import re
import uuid
import zipfile
from datetime import UTC, date, datetime, time
from urllib.parse import quote

from gradekit.completion import STANDS
from gradekit.register import (
    ATTENDANCE,
    EVIDENCE_KINDS,
    PASSED,
    RENUMBERING,
    THEORY,
    VOIDED,
    WAIVER,
    RegisterError,
    owner_of,
    standing,
)  # fmt: skip

VERBS = {
    "passed": "http://adlnet.gov/expapi/verbs/passed",
    "failed": "http://adlnet.gov/expapi/verbs/failed",
    "attended": "http://adlnet.gov/expapi/verbs/attended",
    "waived": "https://w3id.org/xapi/adl/verbs/waived",
    "voided": "http://adlnet.gov/expapi/verbs/voided",
}
CMI5_REASON = "https://w3id.org/xapi/cmi5/result/extensions/reason"
LEAST_KEY_BITS = 2048


def home_page(department):
    """The address that stands for the department in exports: its own, else a name of our kind."""
    issuer = department.completion.issuer or ""
    if re.fullmatch(r"https?://[^\s<>\"{}|\\^`]+", issuer):
        return issuer
    slug = re.sub(r"[^a-z0-9]+", "-", department.name.lower()).strip("-")
    slug = slug or hashlib.sha256(department.name.encode()).hexdigest()[:16]
    return f"urn:aerialstream:department:{slug}"


def _below(home, *parts):
    """An address below the department's own; whatever stands in a part, it stays an IRI."""
    dash = "/" if home.startswith("http") else ":"
    return home.rstrip("/") + dash + "/".join(quote(part, safe="") for part in parts)


# --- xAPI -------------------------------------------------------------------------------------


def statements(lines, department):
    """xAPI statements, one for each line of evidence and each voiding, oldest first.

    A statement's id follows from its line's digest: sent twice, it is the same statement. The
    property "version" is left out: who sends statements should not set it (2.4.10).
    """
    home = home_page(department)
    numbers = {e.line: e for e in lines}
    return [_statement(e, home, department, numbers) for e in lines if e.kind in EVIDENCE_KINDS]


def statement_id(line):
    """The UUID of a line's statement."""
    return str(uuid.uuid5(uuid.NAMESPACE_OID, f"aerialstream line {line.digest}"))


def _agent(home, member):
    return {"objectType": "Agent", "account": {"homePage": home, "name": member}}


def _timestamp(line):
    """When it was entered; noon of the day it was held, where only that day is known.

    The line's offset may be an hour off on the other side of a change of clocks: noon stays on its
    day. Never later than it was entered, since no future time may stand here (2.4.7).
    """
    when = datetime.fromisoformat(line.entered)
    if line.held:
        noon = datetime.combine(date.fromisoformat(line.held), time(12), when.tzinfo)
        when = min(when, noon)
    return when.isoformat()


def _statement(line, home, department, numbers):
    made = {
        "id": statement_id(line),
        "actor": _agent(home, line.member),
        "timestamp": _timestamp(line),
    }
    if line.outcome == VOIDED:
        # A voiding is said by who keeps the register, and has nothing but its reference.
        made["actor"] = _agent(home, "training-division")
        made["verb"] = _verb("voided")
        target = statement_id(numbers[line.voids])
        made["object"] = {"objectType": "StatementRef", "id": target}
        return made
    name = {ATTENDANCE: "attended", WAIVER: "waived"}.get(
        line.kind, "passed" if line.outcome == PASSED else "failed"
    )
    made["verb"] = _verb(name)
    made["object"] = {
        "objectType": "Activity",
        "id": _below(home, line.kind, line.objective),
        "definition": {
            "name": {"en-US": line.objective},
            "type": "http://adlnet.gov/expapi/activities/"
            + ("meeting" if line.kind == ATTENDANCE else "assessment"),
        },
    }
    made["result"] = _result(line)
    made["context"] = _context(line, home)
    return made


def _verb(name):
    return {"id": VERBS[name], "display": {"en-US": name}}


def _result(line):
    passed = line.outcome == PASSED
    result = {} if line.kind == ATTENDANCE else {"success": passed}
    if passed:
        result["completion"] = True
    if line.score is not None and line.most:
        scaled = min(1.0, max(0.0, line.score / line.most))
        score = {"scaled": scaled, "raw": line.score, "min": 0, "max": line.most}
        # raw must lie between min and max where they are given (2.4.5.1); extra points may not.
        out = {"min": line.score < 0, "max": line.score > line.most}
        result["score"] = {k: v for k, v in score.items() if not out.get(k)}
    if line.hours:
        result["duration"] = f"PT{round(line.hours * 60)}M"
    if line.kind == WAIVER:
        result["extensions"] = {CMI5_REASON: "Administrative"}
    return result


def _context(line, home):
    context = {"platform": "aerialstream"}
    if line.kind == THEORY:
        context["language"] = "en-US"  # of the exercise; what was spoken elsewhere nobody entered
    if line.content_version:
        context["revision"] = line.content_version
    if line.evaluator:
        context["instructor"] = _agent(home, line.evaluator)
    kept = {"line": line.line, "device": line.device, "attempt": line.attempt}
    context["extensions"] = {_below(home, "extension", k): v for k, v in kept.items() if v}
    return context


# --- OneRoster --------------------------------------------------------------------------------

_EACH = ("sourcedId", "status", "dateLastModified")
ONEROSTER = {
    "orgs": (*_EACH, "name", "type", "identifier", "parentSourcedId"),
    "users": (
        *_EACH, "enabledUser", "orgSourcedIds", "role", "username", "userIds", "givenName",
        "familyName", "middleName", "identifier", "email", "sms", "phone", "agentSourcedIds",
        "grades", "password",
    ),
    "academicSessions": (
        *_EACH, "title", "type", "startDate", "endDate", "parentSourcedId", "schoolYear",
    ),
    "courses": (
        *_EACH, "schoolYearSourcedId", "title", "courseCode", "grades", "orgSourcedId",
        "subjects", "subjectCodes",
    ),
    "classes": (
        *_EACH, "title", "grades", "courseSourcedId", "classCode", "classType", "location",
        "schoolSourcedId", "termSourcedIds", "subjects", "subjectCodes", "periods",
    ),
    "categories": (*_EACH, "title"),
    "lineItems": (
        *_EACH, "title", "description", "assignDate", "dueDate", "classSourcedId",
        "categorySourcedId", "gradingPeriodSourcedId", "resultValueMin", "resultValueMax",
    ),
    "results": (
        *_EACH, "lineItemSourcedId", "studentSourcedId", "scoreStatus", "score", "scoreDate",
        "comment",
    ),
}  # fmt: skip
ONEROSTER_FILES = (
    "academicSessions", "categories", "classes", "classResources", "courses", "courseResources",
    "demographics", "enrollments", "lineItems", "orgs", "resources", "results", "users",
)  # fmt: skip


def oneroster(lines, department, today=None):
    """A OneRoster 1.1 zip of the results that stand: one for each line, without names.

    Every sourcedId that a file refers to is in the zip. Words like "school" and "student" are the
    form's own and cannot be changed.
    """
    today = today or date.today()
    links = [e for e in standing(lines) if e.kind == RENUMBERING]
    stand = [e for e in standing(lines) if e.kind in EVIDENCE_KINDS]
    owners = {e.line: owner_of(e, links) for e in stand}
    stamp = f"{today.isoformat()}T00:00:00.000Z"
    first = min((e.day for e in stand), default=today)
    each = {"status": "", "dateLastModified": ""}  # must be empty in a bulk file
    rows = {name: [] for name in ONEROSTER}
    rows["orgs"].append({"sourcedId": "division", "name": department.name, "type": "district"})
    rows["orgs"].append(
        {"sourcedId": "station", "name": department.name, "type": "school",
         "parentSourcedId": "division"}
    )  # fmt: skip
    rows["academicSessions"].append(
        {"sourcedId": "time", "title": "all", "type": "schoolYear", "startDate": first.isoformat(),
         "endDate": today.isoformat(), "schoolYear": str(today.year)}
    )  # fmt: skip
    rows["courses"].append({"sourcedId": "module", "title": "Elevated master streams",
                            "schoolYearSourcedId": "time", "orgSourcedId": "station"})  # fmt: skip
    rows["classes"].append(
        {"sourcedId": "class", "title": "Elevated master streams", "courseSourcedId": "module",
         "classType": "scheduled", "schoolSourcedId": "station", "termSourcedIds": "time"}
    )  # fmt: skip
    for kind in EVIDENCE_KINDS:
        rows["categories"].append({"sourcedId": kind, "title": kind})
    for member in sorted(set(owners.values())):
        rows["users"].append(
            {"sourcedId": member, "enabledUser": "true", "orgSourcedIds": "station",
             "role": "student", "username": member, "givenName": "Member", "familyName": member,
             "identifier": member}
        )  # fmt: skip
    items = {(e.kind, e.objective, e.most or 1): e for e in stand}
    for (kind, objective, most), line in items.items():
        rows["lineItems"].append(
            {"sourcedId": f"{kind}-{objective}-{most:g}", "title": objective, "description": kind,
             "assignDate": first.isoformat(), "dueDate": today.isoformat(),
             "classSourcedId": "class", "categorySourcedId": kind,
             "gradingPeriodSourcedId": "time", "resultValueMin": "0",
             "resultValueMax": f"{line.most or 1:g}"}
        )  # fmt: skip
    for e in stand:
        score = e.score if e.score is not None else float(e.outcome == PASSED)
        rows["results"].append(
            {"sourcedId": f"line-{e.line}", "studentSourcedId": owners[e.line],
             "lineItemSourcedId": f"{e.kind}-{e.objective}-{e.most or 1:g}",
             "scoreStatus": "exempt" if e.kind == WAIVER else "fully graded",
             "score": f"{score:g}", "scoreDate": e.day.isoformat(), "comment": e.outcome}
        )  # fmt: skip
    return _oneroster_zip(rows, each, stamp)


def _oneroster_zip(rows, each, stamp):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        manifest = [("manifest.version", "1.0"), ("oneroster.version", "1.1")]
        manifest += [(f"file.{f}", "bulk" if f in rows else "absent") for f in ONEROSTER_FILES]
        manifest += [("source.systemName", "aerialstream"), ("source.systemCode", stamp[:10])]
        archive.writestr("manifest.csv", _csv(("propertyName", "value"), manifest))
        for name, columns in ONEROSTER.items():
            table = [[({**each, **row}).get(c, "") for c in columns] for row in rows[name]]
            archive.writestr(f"{name}.csv", _csv(columns, table))
    return out.getvalue()


def _csv(columns, rows):
    from gradekit.tables import harmless

    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows([[harmless(cell) for cell in row] for row in rows])
    return out.getvalue()


# --- Open Badges ------------------------------------------------------------------------------


def make_key(path, password=None):
    """Make a signing key (RSA, 3072 bits) in a file that only its owner may read."""
    import os

    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric import rsa

    key = rsa.generate_private_key(public_exponent=65537, key_size=3072)
    shut = (
        serialization.BestAvailableEncryption(password.encode())
        if password
        else serialization.NoEncryption()
    )
    raw = key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, shut)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(raw)


def read_key(path, password=None):
    """The signing key in a PEM file.

    Fails when
      RegisterError   no RSA key of at least 2048 bits
    """
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric import rsa

    try:
        with open(path, "rb") as file:
            raw = file.read()
        key = serialization.load_pem_private_key(raw, password.encode() if password else None)
    except OSError as error:
        raise RegisterError(f"{path}: cannot be read ({error.strerror})") from None
    except (ValueError, TypeError) as error:
        raise RegisterError(f"{path}: no key that can be opened ({error})") from None
    if not isinstance(key, rsa.RSAPrivateKey) or key.key_size < LEAST_KEY_BITS:
        raise RegisterError(f"{path}: needed is an RSA key of at least {LEAST_KEY_BITS} bits")
    return key


def credential(view, department):
    """An Open Badges 3.0 credential of a completed module, not signed yet, without the name.

    Fails when
      RegisterError   the member has not completed, or the department has no web address
    """
    person, rule = view.standing, department.completion
    if person.status not in STANDS:
        raise RegisterError(f"{person.member} is not complete ({person.status}): no badge")
    if not rule.issuer or not rule.issuer.startswith("https://"):
        raise RegisterError(
            "a badge needs the department's web address: set completion.issuer to https://..."
        )
    start = max(p.evidence.day if not p.renewed else p.renewed.day for p, _ in view.parts)
    salt = hashlib.sha256(f"{view.head}{person.member}".encode()).hexdigest()[:16]
    hashed = hashlib.sha256(f"{person.member}{salt}".encode()).hexdigest()
    subject = f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_URL, f'{rule.issuer}#{hashed}')}"
    return {
        "@context": [
            "https://www.w3.org/ns/credentials/v2",
            "https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json",
        ],
        "id": f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_URL, f'{rule.issuer}#{view.head}')}",
        "type": ["VerifiableCredential", "OpenBadgeCredential"],
        "name": "Elevated master streams, training completed",
        "issuer": {"id": rule.issuer, "type": ["Profile"], "name": department.name},
        "validFrom": f"{start.isoformat()}T00:00:00Z",
        "validUntil": f"{person.until.isoformat()}T23:59:59Z",
        "credentialSubject": {
            "id": subject,
            "type": ["AchievementSubject"],
            "identifier": [
                {
                    "type": "IdentityObject",
                    "hashed": True,
                    "identityHash": f"sha256${hashed}",
                    "identityType": "identifier",
                    "salt": salt,
                }
            ],
            "achievement": _achievement(rule),
        },
        "evidence": [
            {
                "type": ["Evidence"],
                "name": part.objective,
                "description": f"{'practical' if part.practical else 'theory'}: "
                f"{_without_people(part)}",
            }
            for part, _ in view.parts
        ],
    }


def _without_people(part):
    line = part.evidence
    word = {ATTENDANCE: "attended", WAIVER: "waived"}.get(line.kind, line.outcome)
    return f"{word} {line.day}, register line {line.line}, digest {line.digest[:16]}"


def _achievement(rule):
    from gradekit.pages import CLAIM

    needed = "; ".join((*rule.assignments, *rule.sessions, *rule.evolutions))
    return {
        "id": f"{rule.issuer.rstrip('/')}/elevated-master-streams",
        "type": ["Achievement"],
        "achievementType": "Certificate",
        "name": "Elevated master streams",
        "description": "Completed training on large streams from the tip of an aerial device. "
        + CLAIM.replace("This page", "This badge"),
        "criteria": {
            "narrative": f"Theory is graded, at least {rule.pass_mark.magnitude:g} percent; "
            f"practical is signed by an evaluator, never by the member. Needed: {needed}."
        },
    }


def signed(credential, key):
    """The credential as a signed JSON Web Token (compact JWS, RS256), with the public key in it.

    The claims repeat id, issuer, subject and days, and the credential stands in `vc`, as
    integrity.md of the specification says for this kind of proof.
    """
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import padding

    numbers = key.public_key().public_numbers()
    public = {"kty": "RSA", "n": _base64_number(numbers.n), "e": _base64_number(numbers.e)}
    header = {"alg": "RS256", "typ": "JWT", "jwk": public}
    claims = {
        "iss": credential["issuer"]["id"],
        "jti": credential["id"],
        "sub": credential["credentialSubject"]["id"],
        "nbf": _seconds(credential["validFrom"]),
        "exp": _seconds(credential["validUntil"]),
        "vc": credential,
    }
    first = ".".join(
        _base64(json.dumps(part, ensure_ascii=False).encode()) for part in (header, claims)
    )
    signature = key.sign(first.encode(), padding.PKCS1v15(), hashes.SHA256())
    return f"{first}.{_base64(signature)}"


def _seconds(text):
    return int(datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(UTC).timestamp())


def _base64(raw):
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode()


def _base64_number(number):
    return _base64(number.to_bytes((number.bit_length() + 7) // 8, "big"))


# --- plain tables -----------------------------------------------------------------------------

LINE_COLUMNS = (
    "line", "entered", "member", "kind", "objective", "outcome", "score", "most",
    "content_version", "attempt", "hours", "held", "evaluator", "device", "conditions", "missed",
    "remark", "sheet", "voids", "digest",
)  # fmt: skip


def line_rows(lines):
    """Every line as the cells of LINE_COLUMNS."""
    return [[_line_cell(e, name) for name in LINE_COLUMNS] for e in lines]


def _line_cell(line, name):
    cell = "; ".join(line.missed_steps) if name == "missed" else getattr(line, name)
    return "" if cell is None else cell
