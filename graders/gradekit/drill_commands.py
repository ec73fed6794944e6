"""The commands about drills: plan, day, card, form, compare, note, fit, adopt, share, open.

A planned drill is a small file that says what was asked for; it is worked out anew from the
department's data each time, so that a corrected entry is never missed.
"""

import json
from dataclasses import asdict, replace
from datetime import date, datetime
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from aerialstream.worked import in_system
from gradekit.spotting import Folder

drill_app = typer.Typer(help="Drills: planned, run, learned from.", no_args_is_help=True)
console = Console(highlight=False)
KIND, LARGEST = "planned drill", 200_000

DrillFile = Annotated[Path, typer.Argument(help="File that `drill plan -o` wrote.")]
Csv = Annotated[Path, typer.Argument(help="CSV of the measurements; `drill form` writes one.")]
Day = Annotated[
    datetime | None, typer.Option(formats=["%Y-%m-%d"], help="Day of the drill; else today.")
]
Device = Annotated[str | None, typer.Option(help="Id of the device; `aerialstream device list`.")]
Target = Annotated[str | None, typer.Option(help="Id of a target; else the first that fits.")]
Nozzle = Annotated[str | None, typer.Option(help="Id of a nozzle that the device carries.")]
Pumper = Annotated[str | None, typer.Option(help="Id of the pumper; else the first.")]
Hydrant = Annotated[
    str | None,
    typer.Option(help='Its flow test: "80 psi, 55 psi, 839 gpm" (static, residual, flow).'),
]
Lay = Annotated[str | None, typer.Option(help='Length of the supply lay, such as "150 ft".')]
Lines = Annotated[int | None, typer.Option(min=1, max=6, help="Supply lines side by side.")]
Zone = Annotated[
    float | None,
    typer.Option(help="Collapse zone: 1, 1.5 or 2 times the wall's height; 0 for none."),
]
Accepted = Annotated[bool | None, typer.Option("--tip-accepted/--tip-outside", help="Command accepts the tip in the zone.")]  # fmt: skip
At = Annotated[
    str | None,
    typer.Option(help='A spot of your own: "60 ft, 40 ft, 90 deg" (right, up, cab toward).'),
]
Wind = Annotated[str | None, typer.Option(help='Steady wind, such as "12 mph".')]
WindFrom = Annotated[str | None, typer.Option(help='Where it comes from, such as "270 deg".')]
Gust = Annotated[str | None, typer.Option(help='Gusts, such as "18 mph".')]
Temperature = Annotated[str | None, typer.Option(help='Such as "30 F" or "-2 C".')]
Lightning = Annotated[
    bool | None, typer.Option("--lightning/--no-lightning", help="Seen or heard?")
]
Go = Annotated[list[str] | None, typer.Option("--go", help="Line of the list answered go.")]
No = Annotated[list[str] | None, typer.Option("--no", help="Line of the list answered no go.")]


def _say(text=""):
    console.print(text, markup=False, soft_wrap=True)


def _department(folder):
    from aerialstream.department import load_department

    return load_department(folder)


def _three(text, what):
    """Three texts between commas, or a refusal that shows how to write them."""
    from gradekit.drills.aiming import DrillRefused

    parts = tuple(part.strip() for part in text.split(","))
    if len(parts) != 3 or not all(parts):
        raise DrillRefused([f"{what}: read “{text}”; needed: three values with commas between"])
    return parts


def _asked_changes(given):
    """What the options change of an Asked: only those that were given."""
    changes = {k: v for k, v in given.items() if v is not None and k not in _WEATHER}
    if "hydrant" in changes:
        changes["hydrant"] = _three(changes["hydrant"], "--hydrant")
    if "at" in changes:
        changes["at"] = _three(changes["at"], "--at")
    if "zone" in changes:
        changes["zone"] = changes["zone"] or None
    return changes


_WEATHER = ("wind", "wind_from", "gust", "temperature", "lightning")


def _weather(before, given):
    changed = {k: given[k] for k in _WEATHER if given.get(k) is not None}
    return replace(before, **changed)


def _answers(go, no):
    return {**{line: "go" for line in go or ()}, **{line: "no go" for line in no or ()}}


def _write(path, asked, answers):
    data = {"kind": KIND, "form": 1, "asked": asdict(asked), "answers": answers}
    path.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")


def _read(path):
    """(Asked, answers) of a drill's own file."""
    from gradekit.drills.aiming import DrillRefused
    from gradekit.drills.plan import Asked, Weather

    try:
        if path.stat().st_size > LARGEST:
            raise ValueError("too large")
        data = json.loads(path.read_text(encoding="utf-8"))
        if data["kind"] != KIND or data["form"] != 1:
            raise ValueError("not a drill that this kit planned")
        asked = dict(data["asked"])
        for key in ("hydrant", "at"):
            asked[key] = tuple(asked[key]) if asked.get(key) else None
        asked["weather"] = Weather(**asked["weather"])
        return Asked(**asked), dict(data["answers"])
    except OSError as error:
        raise DrillRefused([f"{path}: cannot be read ({error.strerror})"]) from None
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise DrillRefused(
            [f"{path}: not a drill's file ({error}); `drill plan -o` writes one"]
        ) from None


def _plan(path, folder):
    from gradekit.drills.plan import plan_drill

    asked, answers = _read(path)
    return plan_drill(_department(folder), asked), answers


def _tell(plan, listed):
    system = plan.department.units
    _say(plan.title)
    for label, value in plan.lines(system)[2:]:
        _say(f"  {in_system(label, system)}: {value}")
    _say(f"Go/no-go: {listed.said()}")
    for row in (*listed.failing, *listed.open_rows):
        why = f": {in_system(row.why, system)}" if row.why else ""
        _say(f"  {row.answer}  {row.id}  {in_system(row.text, system)}{why}")
    for note in plan.notes[:2]:
        _say(f"Note: {in_system(note.text, system)}")


@drill_app.command("list")
def drill_list(department: Folder = None):
    """The evolutions there are, and whose they are."""
    from gradekit.drills.evolutions import load_evolutions

    known = load_evolutions(_department(department))
    for name, entry in known.entries.items():
        _say(f"{name}  {entry.title} ({known.whose[name]}, version {entry.version})")


@drill_app.command("show")
def drill_show(evolution: str, department: Folder = None):
    """One evolution: objective, steps, what is measured."""
    from gradekit.drills.evolutions import load_evolutions, steps_of

    whose = _department(department)
    entry = load_evolutions(whose).find(evolution)
    _say(f"{entry.title}\n{entry.objective}\n{entry.standard}")
    for n, step in enumerate(steps_of(entry, whose), 1):
        _say(f"  {n}. {'critical: ' if step.critical else ''}{step.text}")
    _say(f"Measured: {', '.join(entry.measure)}")


@drill_app.command("plan")
def drill_plan(
    evolution: Annotated[str, typer.Argument(help="Id; `aerialstream drill list`.")],
    device: Annotated[str, typer.Option(help="Id of the device; `aerialstream device list`.")],
    site: Annotated[str, typer.Option(help="Id of the site.")],
    out: Annotated[Path | None, typer.Option("-o", "--out", help="File for the planned drill.")] = None,
    target: Target = None, nozzle: Nozzle = None, pumper: Pumper = None, hydrant: Hydrant = None,
    lay: Lay = None, lines: Lines = None, zone: Zone = None, tip_accepted: Accepted = None,
    at: At = None, wind: Wind = None, wind_from: WindFrom = None, gust: Gust = None,
    temperature: Temperature = None, lightning: Lightning = None, go: Go = None, no: No = None,
    department: Folder = None,
):  # fmt: skip
    """Plan a drill; what only a manual or an owner can say stays blank. Refused with the reasons."""
    from gradekit.drills.day import day_list
    from gradekit.drills.plan import Asked, Weather, plan_drill

    given = {k: v for k, v in locals().items() if k in (*Asked.__dataclass_fields__, *_WEATHER)}
    asked = Asked(**_asked_changes(given), weather=_weather(Weather(), given))
    plan = plan_drill(_department(department), asked)
    answers = _answers(go, no)
    _tell(plan, day_list(plan, answers))
    if out is not None:
        _write(out, asked, answers)
        _say(f"Planned drill: {out}")


@drill_app.command("day")
def drill_day(
    drill: DrillFile,
    device: Device = None, target: Target = None, nozzle: Nozzle = None, pumper: Pumper = None,
    hydrant: Hydrant = None, lay: Lay = None, lines: Lines = None, zone: Zone = None,
    tip_accepted: Accepted = None, at: At = None, wind: Wind = None, wind_from: WindFrom = None,
    gust: Gust = None, temperature: Temperature = None, lightning: Lightning = None, go: Go = None,
    no: No = None,
    keep: Annotated[bool, typer.Option("--keep", help="Write the change into the file.")] = False,
    department: Folder = None,
):  # fmt: skip
    """The day's list, or what if: give what changed, see what it changes. Ends with 1 on a no go."""
    from gradekit.drills.day import day_list
    from gradekit.drills.plan import Asked, differences, plan_drill

    given = {k: v for k, v in locals().items() if k in (*Asked.__dataclass_fields__, *_WEATHER)}
    asked, answers = _read(drill)
    new = replace(asked, **_asked_changes(given), weather=_weather(asked.weather, given))
    whose = _department(department)
    after = plan_drill(whose, new)
    answers |= _answers(go, no)
    listed = day_list(after, answers)
    if new != asked:
        before = plan_drill(whose, asked)
        changed = differences(before, after)
        for line in changed:
            _say(in_system(line, whose.units))
        if not changed:
            _say("The figures stay as they are.")
    else:
        _tell(after, listed)
    _say(f"Go/no-go: {listed.said()}")
    for row in listed.failing:
        _say(
            f"  no go  {row.id}  {in_system(row.text, whose.units)}: {in_system(row.why, whose.units)}"
        )
    if keep:
        _write(drill, new, answers)
        _say(f"Kept in {drill}")
    raise typer.Exit(0 if listed.verdict == "go" else 1)


@drill_app.command("card")
def drill_card(
    drill: DrillFile,
    out: Annotated[
        Path | None, typer.Option("-o", "--out", help="PDF; else beside the file.")
    ] = None,
    page: Annotated[Path | None, typer.Option(help="A page for a tablet as well.")] = None,
    department: Folder = None,
):
    """The card: two printed pages, and with --page one for a tablet without network."""
    from gradekit.drills.card import PAGES, card_page, print_card
    from gradekit.drills.day import day_list

    plan, answers = _plan(drill, department)
    listed = day_list(plan, answers)
    card = print_card(plan, listed)
    out = out or drill.with_suffix(".pdf")
    out.write_bytes(card.pdf)
    _say(f"Card: {out}, {card.pages} pages")
    if card.pages > PAGES:
        _say("It runs over: shorten the evolution's texts, or the go/no-go list.")
    if not card.full:
        _say("Room was short: how good each figure is stands only on the page and in `drill day`.")
    if page is not None:
        page.write_text(card_page(plan, listed), encoding="utf-8")
        _say(f"Page: {page}")


@drill_app.command("form")
def drill_form(
    drill: DrillFile,
    out: Annotated[Path, typer.Option("-o", "--out", help="CSV to fill in.")],
    throw: Annotated[
        bool, typer.Option("--throw", help="With throw, pressure, wind and its direction.")
    ] = False,
    department: Folder = None,
):
    """An empty CSV for what is measured; with --throw also where the stream lands on open ground."""
    from gradekit.drills.measured import form

    plan, _ = _plan(drill, department)
    out.write_text(form(plan.evolution, throw=throw), encoding="utf-8", newline="")
    _say(f"Form: {out}")


@drill_app.command("compare")
def drill_compare(drill: DrillFile, measured: Csv, department: Folder = None):
    """Planned beside measured, in figures and words; what looks wrong is asked about and kept."""
    from gradekit.drills.compared import compare
    from gradekit.drills.measured import read_measurements

    plan, _ = _plan(drill, department)
    found = compare(plan, read_measurements(measured))
    _say(found.title)
    for label, text in found.lines(plan.department.units):
        _say(f"  {label}: {text}")
    for note in found.notes:
        _say(f"Note: {note.text}")


@drill_app.command("note")
def drill_note(
    drill: DrillFile, measured: Csv,
    out: Annotated[Path | None, typer.Option("-o", "--out", help="PDF; else beside the file.")] = None,
    page: Annotated[Path | None, typer.Option(help="A page for a browser as well.")] = None,
    keep: Annotated[list[str] | None, typer.Option("--keep", help="A lesson: what is kept.")] = None,
    change: Annotated[list[str] | None, typer.Option("--change", help="A lesson: what is changed.")] = None,
    action: Annotated[list[str] | None, typer.Option("--action", help='"Role: what: 2026-12-01"; the day may be left out.')] = None,
    roster: Annotated[Path | None, typer.Option(help="Roster; its names may not stand in the note.")] = None,
    day: Day = None, department: Folder = None,
):  # fmt: skip
    """The after-action note, one page: planned, happened, why, lessons, which role acts."""
    from gradekit.drills.after import note_data, note_page, print_note, read_action
    from gradekit.drills.day import day_list
    from gradekit.drills.measured import read_measurements
    from gradekit.roster import read_roster

    plan, answers = _plan(drill, department)
    listed = roster or plan.department.folder / "roster.csv"
    data = note_data(
        plan, day_list(plan, answers), read_measurements(measured), keep=keep or (), change=change or (),
        actions=[read_action(text) for text in action or ()],
        roster=read_roster(listed) if listed.is_file() else (),
        day=day.date() if day is not None else date.today(),
    )  # fmt: skip
    pdf, pages = print_note(data)
    out = out or drill.with_suffix(".after.pdf")
    out.write_bytes(pdf)
    _say(f"After-action note: {out}, {'1 page' if pages == 1 else f'{pages} pages: shorten it'}")
    if page is not None:
        page.write_text(note_page(data), encoding="utf-8")
        _say(f"Page: {page}")


Pairs = Annotated[list[Path], typer.Argument(help="Drill and CSV, drill and CSV, ...")]
Aside = Annotated[
    list[str] | None,
    typer.Option(
        "--aside",
        help="A run set aside on your word: number of the drill, colon, run, such as 1:3.",
    ),
]


def _fitted(pairs, aside, folder):
    from gradekit.drills.aiming import DrillRefused
    from gradekit.drills.fitted import estimates
    from gradekit.drills.measured import read_measurements

    if len(pairs) % 2:
        raise DrillRefused(["drills and CSVs come in pairs: drill, CSV, drill, CSV"])
    drills = [
        (_plan(d, folder)[0].model, read_measurements(m))
        for d, m in zip(pairs[::2], pairs[1::2], strict=True)
    ]
    left = set()
    for text in aside or ():
        number, _, run = text.partition(":")
        if not number.isdigit() or not 1 <= int(number) <= len(drills) or not run:
            raise DrillRefused(
                [f"--aside {text}: needed: number of the drill, colon, run, such as 1:3"]
            )
        if run not in {r.number for r in drills[int(number) - 1][1].runs}:
            raise DrillRefused([f"--aside {text}: drill {number} has no run {run}"])
        left.add((int(number) - 1, run))
    return estimates(drills, aside=left)


@drill_app.command("fit")
def drill_fit(pairs: Pairs, aside: Aside = None, department: Folder = None):
    """What one or many drills say of hose, waterway, nozzle and its stream. Changes nothing."""
    whose = _department(department)
    found, missing = _fitted(pairs, aside, department)
    for estimate in found:
        _say(in_system(estimate.words(), whose.units))
    for text in missing:
        _say(f"Not fitted: {text}")
    _say("± holds 95 of 100 such cases if gauges read within 2 psi and the meter within 2 %. "
         "Nothing was changed; `drill adopt` asks before it writes.")  # fmt: skip


@drill_app.command("adopt")
def drill_adopt(
    pairs: Pairs, aside: Aside = None, day: Day = None,
    pool: Annotated[bool, typer.Option("--pool", help="Offer the value of all drills on file together.")] = False,
    department: Folder = None,
):  # fmt: skip
    """Offer each fitted number for the department's own files; writes only what you say yes to."""
    from gradekit.drills import adopted

    whose = _department(department)
    adopted.own_folder(whose.folder)
    when = day.date() if day is not None else date.today()
    found, missing = _fitted(pairs, aside, department)
    for text in missing:
        _say(f"Not fitted: {text}")
    for estimate in found:
        _say(in_system(estimate.words(), whose.units))
        value, spread, agree, count = adopted.sharpened(whose.folder, estimate, day=when)
        if count > 1:
            said = "" if agree else "; they disagree, so the spread was widened"
            _say(f"  With {count} drills on file together: {value:.3g} ± {spread:.2g}{said}")
        adopted.record(whose.folder, estimate, day=when)
        offered = replace(estimate, value=value, spread=spread) if pool and count > 1 else estimate
        try:
            yes = typer.confirm(
                f"  Write {offered.value:.3g} into the department's files?", default=False
            )
            if yes:
                _say(f"  {adopted.adopt(whose.folder, offered, day=when, consent=yes)}")
        except adopted.AdoptRefused as error:
            _say(f"  {error}")
    _say(f"History: {whose.folder / adopted.HISTORY_FILE}")


@drill_app.command("history")
def drill_history(department: Folder = None):
    """Every estimate on file, oldest first."""
    from gradekit.drills.adopted import history

    whose = _department(department)
    lines = history(whose.folder)
    for day, estimate, taken in lines:
        _say(f"{day}  {in_system(estimate.words(), whose.units)}{'  (adopted)' if taken else ''}")
    if not lines:
        _say("Nothing on file yet.")


@drill_app.command("share")
def drill_share(
    drill: DrillFile,
    out: Annotated[Path, typer.Option("-o", "--out", help="The file to send.")],
    measured: Annotated[Path | None, typer.Option(help="CSV of the measurements.")] = None,
    lesson: Annotated[list[str] | None, typer.Option("--lesson", help="A sentence that was learned.")] = None,
    roster: Annotated[Path | None, typer.Option(help="Roster; its names and numbers may not go out.")] = None,
    day: Day = None,
    department: Folder = None,
):  # fmt: skip
    """One file for another company: plan, card, measurements, lessons; refused with names in it."""
    from gradekit.drills.compared import compare
    from gradekit.drills.day import day_list
    from gradekit.drills.measured import read_measurements
    from gradekit.drills.parcel import pack
    from gradekit.roster import read_roster

    plan, answers = _plan(drill, department)
    runs = read_measurements(measured) if measured is not None else None
    listed = roster or plan.department.folder / "roster.csv"
    said = (
        []
        if runs is None
        else [f"{a}: {b}" for a, b in compare(plan, runs).lines(plan.department.units)]
    )
    text = pack(
        plan, listed=day_list(plan, answers), measurements=runs, compared=said, lessons=lesson or (),
        roster=read_roster(listed) if listed.is_file() else (),
        made=day.date() if day is not None else date.today(),
    )  # fmt: skip
    out.write_text(text, encoding="utf-8")
    _say(f"To send: {out}")
    if not listed.is_file():
        _say("No roster was found: read the remarks yourself for names.")


@drill_app.command("open")
def drill_open(
    parcel: Annotated[Path, typer.Argument(help="A drill's file that came from elsewhere.")],
    page: Annotated[Path | None, typer.Option(help="Write its card as a page.")] = None,
):
    """Open another company's drill: checked first, refused in words, nothing in it is run."""
    from gradekit.drills.card import page_of
    from gradekit.drills.parcel import open_parcel

    found = open_parcel(parcel)
    _say(f"{found.title}, made {found.made}, digest {found.digest[:16]}")
    for figure in found.card["figures"]:
        _say(f"  {figure['label']}: {figure['value']} {figure['within']}".rstrip())
    for text in found.compared:
        _say(f"  {text}")
    for text in found.lessons:
        _say(f"Learned there: {text}")
    _say("Their figures are for their rig, place and day. Plan it anew for yours.")
    if page is not None:
        page.write_text(page_of(found.card, "measured.csv"), encoding="utf-8")
        _say(f"Page: {page}")
