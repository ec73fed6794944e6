"""The commands of `aerialstream records`: sign-off, views, exports, papers, backup, erasure."""

import hashlib
import shutil
from datetime import date, datetime
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from gradekit.draw import member_number
from gradekit.register import EVIDENCE_KINDS, RegisterError, number_today, owner_of

console = Console(highlight=False)

Work = Annotated[
    Path | None,
    typer.Option("--work", help="Working folder (else AERIALSTREAM_WORK, else work/ in the kit)."),
]
DepartmentFolder = Annotated[
    Path | None,
    typer.Option("--department", help="Department's data (else the one chosen, else demo)."),
]
By = Annotated[str, typer.Option("--by", help="Number of the member who does this.")]
Target = Annotated[Path | None, typer.Option("--to", help="File to write; else in the class.")]
FORMS = ("csv", "xlsx", "xapi", "oneroster", "division-csv", "division-xlsx", "division-pdf")


def _thread(work, department=None):
    from gradekit.cli import Thread

    return Thread(work, department)


def _member(text):
    number = member_number(text)
    if not number:
        raise RegisterError(f"“{text}” is no member number")
    return number


def _not_active(thread, *numbers):
    """What speaks against these numbers, in words: not on the roster, or not active there."""
    people = {m.member: m for m in thread.roster}
    return [
        f"{n} is not {'active' if n in people else 'on the roster'}"
        for n in dict.fromkeys(map(_member, numbers))
        if n not in people or not people[n].active
    ]


def _short_digest(text):
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _kept(thread, name, to=None):
    path = Path(to) if to else thread.course.folder / "reports" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    return path


def _write(path, raw):
    """Write a file whole or not at all."""
    beside = path.with_name(path.name + ".new")
    beside.write_bytes(raw if isinstance(raw, bytes) else raw.encode("utf-8", "replace"))
    beside.replace(path)
    console.print(f"Written: {path}", soft_wrap=True, markup=False)


def enter_run(thread, run):
    """Check one run against roster and department, enter it, and say what became of it."""
    from gradekit.signoffs import NEW, enter, faults_of

    faults = [words for _, words in faults_of(run, thread.department, thread.roster)]
    if faults:
        raise RegisterError("\n  ".join(dict.fromkeys(faults)))
    register = thread.register()
    try:
        ((_, line, state),) = enter(register, [(1, run)], "this sign-off", again=True)
    finally:
        register.close()
    outcome = "signed" if run.passed else "NOT PASSED, signed"
    had = "" if state == NEW else f" ({state}; nothing added)"
    console.print(f"line {line}: {run.member}, {run.evolution}, {outcome} by {run.evaluator}{had}")
    return line


def sign_off(
    member: Annotated[str, typer.Argument(help="Member who ran the evolution.")],
    evolution: Annotated[str, typer.Argument(help="Evolution, as the department names it.")],
    evaluator: Annotated[str, typer.Option(help="Member number of the evaluator.")],
    device: Annotated[str, typer.Option(help="Device it was run on.")] = "",
    not_passed: Annotated[bool, typer.Option("--not-passed", help="It was not passed.")] = False,
    missed: Annotated[
        str, typer.Option(help="Critical steps missed: numbers on the sheet, such as “2, 5”.")
    ] = "",
    sheet: Annotated[str, typer.Option(help="Number of the sheet; it is entered once.")] = "",
    hours: Annotated[float | None, typer.Option(min=0.01, max=24, help="Hours it took.")] = None,
    conditions: Annotated[str, typer.Option(help="Wind, temperature, flow, extension.")] = "",
    remark: Annotated[str, typer.Option(help="What the evaluator wants kept.")] = "",
    day: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help="When; else today.")
    ] = None,
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Enter an evaluator's signature for a practical evolution."""
    from gradekit.signoffs import Run, read_missed

    thread = _thread(work, department)
    steps = read_missed(missed, thread.department.completion, evolution)
    run = Run(
        member=_member(member), evolution=evolution, evaluator=_member(evaluator), device=device,
        held=day.date().isoformat() if day else date.today().isoformat(),
        passed=not not_passed and not steps, missed=steps, hours=hours, conditions=conditions,
        remark=remark, sheet=sheet,
    )  # fmt: skip
    enter_run(thread, run)


def sign_offs(
    file: Annotated[Path, typer.Argument(help="CSV: one row a run; see the headings it names.")],
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Enter a CSV of sign-offs, all rows or none; may be sent twice."""
    from gradekit.signoffs import NEW, enter, read_runs

    thread = _thread(work, department)
    runs = read_runs(file, thread.department, thread.roster)
    register = thread.register()
    try:
        done = enter(register, runs, file.name)
    finally:
        register.close()
    for row, line, state in done:
        console.print(f"row {row}: line {line}{'' if state == NEW else f' ({state})'}")
    new = sum(state == NEW for *_, state in done)
    console.print(f"{new} new lines, {len(done)} rows that were filled in")


def sheet(
    evolution: Annotated[str, typer.Argument(help="Evolution, as the department names it.")],
    members: Annotated[list[str] | None, typer.Argument(help="Members; else all active.")] = None,
    to: Target = None,
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Print evaluation sheets (PDF), and the CSV to type them into afterwards."""
    from gradekit.printed import sheets
    from gradekit.signoffs import COLUMNS
    from gradekit.tables import write_csv

    thread = _thread(work, department)
    wanted = {_member(m) for m in members or ()}
    people = [m for m in thread.roster if (m.member in wanted if wanted else m.active)]
    if not people or wanted - {m.member for m in people}:
        missing = ", ".join(sorted(wanted - {m.member for m in people})) or "nobody"
        raise RegisterError(f"not on the roster: {missing}")
    pdf, numbers = sheets(evolution, people, thread.department)
    path = _kept(thread, f"sheets-{evolution}-{date.today()}.pdf", to)
    _write(path, pdf)
    rows = [
        (number, m.member, evolution, *[""] * (len(COLUMNS) - 3))
        for number, m in zip(numbers, people, strict=True)
    ]
    write_csv(path.with_suffix(".csv"), COLUMNS, rows)
    console.print(f"To type in afterwards: {path.with_suffix('.csv')}", soft_wrap=True)


def attend(
    session: Annotated[str, typer.Argument(help="Class or refresher, as the department has it.")],
    members: Annotated[list[str], typer.Argument(help="Who took part.")],
    by: By,
    day: Annotated[datetime | None, typer.Option(formats=["%Y-%m-%d"], help="When.")] = None,
    hours: Annotated[float | None, typer.Option(min=0.01, max=24, help="Hours it took.")] = None,
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Enter who took part in a class; all of them or none, and each once for a day."""
    thread = _thread(work, department)
    rule = thread.department.completion
    known = [*rule.sessions, *(r.id for r in rule.refresher if r.kind == "theory")]
    if session not in known:
        has = ", ".join(known) or "none; they stand in department.toml under completion"
        raise RegisterError(f"no session “{session}”; the department has: {has}")
    numbers = list(dict.fromkeys(_member(m) for m in members))
    faults = _not_active(thread, *numbers, by)
    held = (day.date() if day else date.today()).isoformat()
    if held > date.today().isoformat():
        faults.append(f"{held} has not been yet")
    if faults:
        raise RegisterError("\n  ".join(faults))
    register = thread.register()
    try:
        with register.writing() as writer:
            for number in numbers:
                token = f"attended {number} {held} {_short_digest(session)}"
                old = writer.with_token(token)
                while old and writer.is_voided(old.line):  # taken back: it may be entered again
                    token = f"attended {number} {held} {_short_digest(session)} {old.line}"
                    old = writer.with_token(token)
                line = old.line if old else writer.attend(
                    number, session, _member(by), held, hours, token=token
                )  # fmt: skip
                console.print(
                    f"line {line}: {number}, {session}{' (entered before)' if old else ''}"
                )
    finally:
        register.close()


def waive(
    member: Annotated[str, typer.Argument(help="For whom.")],
    objective: Annotated[str, typer.Argument(help="Which part, as the department names it.")],
    by: By,
    reason: Annotated[str, typer.Option(help="Why; it stays readable.")],
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Enter that a part is waived for a member, with the reason."""
    thread = _thread(work, department)
    rule = thread.department.completion
    known = (*rule.assignments, *rule.sessions, *rule.evolutions)
    if objective not in known:
        raise RegisterError(f"no part “{objective}”; the department has: {', '.join(known)}")
    if faults := _not_active(thread, member, by):
        raise RegisterError("\n  ".join(faults))
    register = thread.register()
    line = register.waive(_member(member), objective, _member(by), reason)
    register.close()
    console.print(f"line {line}: {objective} waived for {_member(member)} by {_member(by)}")


def take_back(thread, line, reason, by):
    """Take a line back, by a member on the roster; gives the new line."""
    if faults := _not_active(thread, by):
        raise RegisterError(faults[0])
    register = thread.register()
    try:
        return register.void(line, reason, _member(by))
    finally:
        register.close()


def renumber(
    number: Annotated[str, typer.Argument(help="The number the member has now.")],
    was: Annotated[str, typer.Option(help="The number they had before.")],
    by: By,
    reason: Annotated[str, typer.Option(help="Why, and on what paper; it stays readable.")],
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Join the record of a member's earlier number to the one they have now."""
    thread = _thread(work, department)
    if faults := _not_active(thread, number, by):
        raise RegisterError("\n  ".join(faults))
    if any(m.active for m in thread.roster if m.member == _member(was)):
        raise RegisterError(f"{was} is active on the roster: that is another member")
    register = thread.register()
    try:
        line = register.renumber(number, was, by, reason)
    finally:
        register.close()
    console.print(f"line {line}: what stands under {_member(was)} counts for {_member(number)}")


def verify(
    written: Annotated[
        str, typer.Option(help="LINE:DIGEST from a paper or export: must still stand.")
    ] = "",
    work: Work = None,
):
    """Prove the chain of the register, and name the first line that does not hold."""
    register = _thread(work).register()
    try:
        until = _written(register, written) if written else None
        verdict = register.verify(until)
    finally:
        register.close()
    if not verdict.whole:
        raise RegisterError(f"line {verdict.broken} does not hold: {verdict.why}")
    console.print(f"{verdict.lines} lines, the chain is whole. Digest of the last: {verdict.head}")
    if written:
        console.print(f"What was written down ({written}) still stands.")


def _written(register, text):
    """(line, whole digest) of LINE:DIGEST, where papers print only the digest's beginning."""
    number, _, digest = text.partition(":")
    digest = digest.strip().lower()
    if not number.isascii() or not number.isdigit() or len(digest) < 16:
        raise RegisterError(f"read “{text}”; needed: LINE:DIGEST with at least 16 characters of it")
    found = next((e for e in register.all_lines() if e.line == int(number)), None)
    whole = found.digest if found and found.digest.startswith(digest) else digest
    return int(number), whole


def class_glance(
    watch: Annotated[
        int, typer.Option(min=0, help="Make it anew every so many seconds (stop with Ctrl+C).")
    ] = 0,
    tables: Annotated[
        bool, typer.Option("--tables", help="Write it as CSV and XLSX beside the page too.")
    ] = False,
    pdf: Annotated[
        bool, typer.Option("--pdf", help="Write it as a PDF beside the page too.")
    ] = False,
    to: Target = None,
    work: Work = None,
    department: DepartmentFolder = None,
):
    """The class at a glance: who stands where, where the class slips, who is stuck."""
    import time

    from gradekit.pages import class_page, class_table
    from gradekit.printed import class_report
    from gradekit.tables import write_csv, write_xlsx
    from gradekit.views import class_view

    thread = _thread(work, department)
    path = _kept(thread, "class.html", to)
    while True:
        register = thread.register()
        try:
            view = class_view(thread.course, register, thread.department, thread.roster)
        finally:
            register.close()
        now = f"{datetime.now().astimezone():%Y-%m-%d %H:%M}"
        _write(path, class_page(view, thread.department, now, watch or None))
        if tables:
            columns, rows = class_table(view)
            write_csv(path.with_suffix(".csv"), columns, rows)
            write_xlsx(path.with_suffix(".xlsx"), {"class": (columns, rows)})
        if pdf:
            _write(path.with_suffix(".pdf"), class_report(view, thread.department, now))
        if not watch:
            return
        time.sleep(watch)


def division(to: Target = None, work: Work = None, department: DepartmentFolder = None):
    """The division: by status, station, shift, company; what falls due; the trend."""
    from gradekit.pages import division_page
    from gradekit.views import division_view

    thread = _thread(work, department)
    register = thread.register()
    try:
        view = division_view(register, thread.department, thread.roster)
    finally:
        register.close()
    for status, count in view.counts.items():
        console.print(f"{count:6}  {status}")
    start = 0
    for days, people in view.due.items():
        console.print(f"{len(people):6}  due in {start} to {days} days")
        start = days + 1
    _write(_kept(thread, "division.html", to), division_page(view, thread.department))


def member(
    number: Annotated[str, typer.Argument(help="Member number.")],
    pdf: Annotated[bool, typer.Option("--pdf", help="As a typeset transcript.")] = False,
    to: Target = None,
    work: Work = None,
    department: DepartmentFolder = None,
):
    """One member's own record, with every line of evidence."""
    from gradekit.pages import member_page
    from gradekit.printed import transcript

    thread = _thread(work, department)
    view = _view(thread, number)
    name = f"record-{view.standing.member}.{'pdf' if pdf else 'html'}"
    make = transcript if pdf else member_page
    _write(_kept(thread, name, to), make(view, thread.department))


def certificate(
    number: Annotated[str, typer.Argument(help="Member number.")],
    to: Target = None,
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Print a certificate of completed training (PDF)."""
    from gradekit.printed import certificate as make

    thread = _thread(work, department)
    view = _view(thread, number)
    path = _kept(thread, f"certificate-{view.standing.member}.pdf", to)
    _write(path, make(view, thread.department))


def _view(thread, number):
    from gradekit.views import member_view

    register = thread.register()
    try:
        view = member_view(register, thread.department, thread.roster, _member(number))
    finally:
        register.close()
    if view is None:
        raise RegisterError(f"{number}: neither on the roster nor in the register")
    return view


def badge(
    number: Annotated[str, typer.Argument(help="Member number.")],
    key: Annotated[Path, typer.Option(help="The department's signing key (PEM).")],
    by: By,
    to: Target = None,
    work: Work = None,
    department: DepartmentFolder = None,
):
    """A signed Open Badges 3.0 credential; without a key, print a certificate instead."""
    from gradekit.exports import credential, read_key, signed

    thread = _thread(work, department)
    if faults := _not_active(thread, by):
        raise RegisterError(faults[0])
    made = signed(credential(_view(thread, number), thread.department), read_key(key))
    path = _kept(thread, f"badge-{_member(number)}.jwt", to)
    _write_and_note(thread, by, f"badge {_member(number)}", 1, path, made.encode())


def key(file: Annotated[Path, typer.Argument(help="New file for the key; keep it shut away.")]):
    """Make a signing key for badges."""
    from gradekit.exports import make_key

    try:
        make_key(file)
    except FileExistsError:
        raise RegisterError(f"{file} is there already; it is left as it is") from None
    console.print(f"Key written: {file}. Whoever has it can sign for the department.")


def export(
    form: Annotated[str, typer.Argument(help=f"One of: {', '.join(FORMS)}.")],
    by: By,
    to: Target = None,
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Write the register out; who took what, and when, becomes a line itself."""
    if form not in FORMS:
        raise RegisterError(f"no form “{form}”; there are: {', '.join(FORMS)}")
    thread = _thread(work, department)
    if faults := _not_active(thread, by):
        raise RegisterError(faults[0])
    register = thread.register()
    try:
        ending, count, raw = _exported(form, register, thread)
    finally:
        register.close()
    path = _kept(thread, f"{form}-{datetime.now():%Y%m%d-%H%M%S}{ending}", to)
    _write_and_note(thread, by, form, count, path, raw)


def _write_and_note(thread, by, what, count, path, raw):
    register = thread.register()
    try:
        line = register.note_export(by, what, count, hashlib.sha256(raw).hexdigest())
    finally:
        register.close()
    _write(path, raw)
    console.print(f"line {line}: {_member(by)} took {what}, {count} records")


def _exported(form, register, thread):
    """(ending, how many records, bytes) of an export."""
    import json
    import tempfile

    from gradekit import exports, tables
    from gradekit.completion import COLUMNS, row
    from gradekit.printed import division_report
    from gradekit.views import division_view

    department = thread.department
    if form.startswith("division"):
        view = division_view(register, department, thread.roster)
        if form == "division-pdf":
            return ".pdf", len(view.people), division_report(view, department)
        columns, rows = COLUMNS, [row(p) for p in view.people]
    else:
        lines = register.all_lines()
        if form == "xapi":
            made = exports.statements(lines, department)
            if exports.home_page(department).startswith("urn:"):
                console.print(
                    "No web address is entered (completion.issuer): members' accounts stand under a "
                    "name of their own kind (urn:...), where xAPI wants an address."
                )
            return ".json", len(made), json.dumps(made, ensure_ascii=False, indent=1).encode()
        if form == "oneroster":
            return ".zip", len(lines), exports.oneroster(lines, department)
        columns, rows = exports.LINE_COLUMNS, exports.line_rows(lines)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table"
        if form.endswith("csv"):
            tables.write_csv(path, columns, rows)
            return ".csv", len(rows), path.read_bytes()
        tables.write_xlsx(path, {"records": (columns, rows)})
        return ".xlsx", len(rows), path.read_bytes()


def erase(
    number: Annotated[str, typer.Argument(help="Whose name and remarks are to go.")],
    by: By,
    reason: Annotated[str, typer.Option(help="Who asked for it, and under what rule.")],
    answers: Annotated[
        bool, typer.Option("--answers", help="Remove this member's hand-ins and feedback too.")
    ] = False,
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Erase a member's name and remarks; the lines stay, by number, and the chain holds."""
    from dataclasses import replace

    from gradekit.roster import write_roster

    thread, number = _thread(work, department), _member(number)
    on_roster = {m.member for m in thread.roster}
    if faults := _not_active(thread, by):
        raise RegisterError(faults[0])
    register = thread.register()
    try:
        if number not in on_roster and not register.all_lines(number):
            raise RegisterError(f"{number}: neither on the roster nor in the register")
        _refuse_number_of_old(register, number, thread.roster)
        line = register.erase(number, _member(by), reason)
        earlier = register.earlier_numbers(number)
    finally:
        register.close()
    theirs = [
        m for m in thread.roster if m.member == number or (m.member in earlier and not m.active)
    ]
    names = {m.name for m in theirs if m.name}
    kept = [replace(m, name="", active=False) if m in theirs else m for m in thread.roster]
    if kept:
        write_roster(thread.roster_path, kept)
    console.print(f"line {line}: name and remarks of {number} erased; the lines stay")
    folders = [
        path
        for part in ("collected", "submitted", "autograded", "feedback", "handout")
        for path in (thread.course.folder / part).glob(f"**/{number}")
        if path.is_dir()
    ]
    for path in folders:
        if answers:
            shutil.rmtree(path)
        console.print(f"{'removed' if answers else 'still there'}: {path}", soft_wrap=True)
    for path in _may_hold(thread.course.folder, number, names):
        console.print(f"may still hold it: {path}", soft_wrap=True, markup=False)
    console.print("Copies elsewhere and printed papers still hold what was erased.")


def _refuse_number_of_old(register, number, roster):
    """Say which number the member has today, where nobody else has had this one since."""
    links = register.links()
    now = number_today(number, links)
    if now == number or any(m.active for m in roster if m.member == number):
        return
    lines = register.all_lines(number)
    if not any(e.kind in EVIDENCE_KINDS and owner_of(e, links) == number for e in lines):
        raise RegisterError(f"{number} is {now} today: run `aerialstream records erase {now}`")


def _may_hold(folder, number, names):
    """Files made before that name the member, or that cannot be looked into here."""
    made = [*folder.glob("completion.*"), *folder.glob("*-before-restore-*")]
    made += [p for part in ("reports", "backups") for p in (folder / part).glob("*")]
    shut = (".pdf", ".xlsx", ".zip", ".db")
    for path in sorted(p for p in made if p.is_file()):
        if path.suffix in shut or number in path.name:
            yield path
        elif any(name in path.read_text("utf-8", "replace") for name in names):
            yield path


def backup(to: Target = None, work: Work = None):
    """Back up register and roster into one file."""
    from gradekit.backup import backup as make

    thread = _thread(work)
    register = thread.register()
    try:
        path, lines = make(thread.course.folder, register, to)
    finally:
        register.close()
    console.print(f"{lines} lines: {path}", soft_wrap=True)


def restore(file: Path, work: Work = None):
    """Restore a backup; lines that it lacks are never written over."""
    from gradekit.backup import restore as make

    lines, aside = make(_thread(work).course.folder, file)
    console.print(f"{lines} lines restored, the chain is whole")
    for path in aside:
        console.print(f"From before, set aside: {path}", soft_wrap=True)


COMMANDS = {
    "sign-off": sign_off, "sign-offs": sign_offs, "sheet": sheet, "attend": attend,
    "waive": waive, "renumber": renumber, "verify": verify, "class": class_glance, "division": division,
    "member": member, "certificate": certificate, "badge": badge, "key": key, "export": export,
    "erase": erase, "backup": backup, "restore": restore,
}  # fmt: skip


def add_commands(app):
    """Add the commands to a typer group."""
    for name, function in COMMANDS.items():
        app.command(name)(function)
