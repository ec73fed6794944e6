"""The go/no-go list of the day: filled from the plan and the weather where both sides are known.

A line that was worked out to fail cannot be answered go. What nobody entered or looked at stays
open, and an open line holds the drill like a failing one.
"""

from dataclasses import dataclass

from aerialstream import go_no_go, show
from aerialstream.errors import ImpossibleValue
from aerialstream.set_up import GO, NO_GO, NOT_ANSWERED
from aerialstream.units import Need, in_unit
from aerialstream.worked import both, in_system
from gradekit.drills.bearing import load_row
from gradekit.drills.plan import BLANK, OWNER

_WIND = Need("velocity", "mile/hour", at_least=0, at_most=200)
FREEZING_F = 32.0
# What the plan finds at the spot -> the line of the list that it belongs to.
_FINDING_LINES = {
    "line too near": "lines",
    "unknown line too near": "lines",
    "tip in zone": "collapse-zone",
    "turntable in zone": "collapse-zone",
    "rig in zone": "collapse-zone",
    "slope beyond limit": "slope",
    "slope limit not entered": "slope",
    "across slope": "slope",
}


@dataclass(frozen=True, kw_only=True)
class Row:
    """A line: who answers, what it asks, how it stands, and what it was answered from."""

    id: str
    role: str
    text: str
    answer: str
    why: str = ""
    worked_out: bool = False


@dataclass(frozen=True, kw_only=True)
class DayList:
    """The whole list. verdict is "go" only if every row is."""

    rows: tuple
    title: str

    @property
    def verdict(self):
        """ "go" or "no go": one row that fails or is open is a no go."""
        return GO if all(row.answer == GO for row in self.rows) else NO_GO

    @property
    def failing(self):
        """Rows that were answered or worked out as no go."""
        return tuple(row for row in self.rows if row.answer == NO_GO)

    @property
    def open_rows(self):
        """Rows that nobody answered yet."""
        return tuple(row for row in self.rows if row.answer == NOT_ANSWERED)

    def said(self):
        """How the list stands, in one sentence."""
        if self.verdict == GO:
            return "Every line answered go. The operator and the officers decide."
        return f"NO GO: {len(self.failing)} failing, {len(self.open_rows)} open."

    def lines(self, system="US"):
        """(role, text, answer and why) of every row."""
        return tuple(
            (r.role, in_system(r.text, system), r.answer + (f": {in_system(r.why, system)}" if r.why else ""))
            for r in self.rows
        )  # fmt: skip


def day_list(plan, answers=None):
    """The go/no-go list of a plan.

    Takes
      plan      a DrillPlan; its weather and figures fill in what they can
      answers   row id -> "go" or "no go", from whoever looked
    Gives
      DayList
    Fails when
      ImpossibleValue   an answer to a row that there is not, or that is neither
    """
    answers = dict(answers or {})
    worked = _worked_out(plan)
    listed = go_no_go(plan.department, apparatus=plan.apparatus)
    rows = [_row(state, worked, answers) for state in listed.answers]
    rows += [_prop_row(*row, answers) for row in _prop_rows(plan)]
    unknown = [name for name in answers if name not in {row.id for row in rows}]
    wrong = [f"{k} = {v!r}" for k, v in answers.items() if v not in (GO, NO_GO)]
    if unknown or wrong:
        raise ImpossibleValue(
            "the list cannot take this: "
            + "; ".join([*(f"no line “{u}”" for u in unknown), *wrong])
            + f'. Lines: {", ".join(row.id for row in rows)}; answers: "go", "no go"'
        )
    return DayList(rows=tuple(rows), title=listed.title)


def _row(state, worked, answers):
    line = state.line
    said, why = worked.get(line.id, ("", ""))
    answer = answers.get(line.id, NOT_ANSWERED)
    if said == NO_GO or (said == GO and line.id not in answers):
        answer = said
    text = f"{line.text.rstrip('.')} {state.value}".strip()
    return Row(id=line.id, role=line.role, text=text, answer=answer, why=why, worked_out=bool(said))


def _prop_row(row_id, text, said, why, answers):
    answer = NO_GO if said == NO_GO else answers.get(row_id, said or NOT_ANSWERED)
    return Row(
        id=row_id, role="instructor", text=text, answer=answer, why=why, worked_out=bool(said)
    )


def _against(value, limit, what, system_kind):
    beyond = value > limit * (1 + 1e-9)
    why = both(
        lambda pen: f"{show(value, pen.system, system_kind)} {what}{': BEYOND' if beyond else ''}"
    )
    return (NO_GO if beyond else GO), why


def _worked_out(plan):
    """Line id -> (answer, why) where entry and observation are both there."""
    out, weather = {}, plan.asked.weather
    conditions = plan.apparatus.manual_conditions
    if weather.wind is not None:
        wind = _mph(weather.wind)
        if conditions and conditions.wind_up_to is not None:
            out["wind"] = _against(wind, conditions.wind_up_to, "today", "wind")
        else:
            out["wind"] = (
                "",
                both(lambda pen: f"{show(wind, pen.system, 'wind')} today; no limit entered"),
            )
    if weather.gust is not None:
        gust = _mph(weather.gust)
        out["gust"] = (
            "",
            both(lambda pen: f"{show(gust, pen.system, 'wind')} today; no limit entered"),
        )
        if weather.wind is not None and gust < _mph(weather.wind):
            out["gust"] = ("", "gusts cannot be less than the steady wind: look again")
    if weather.lightning is not None:
        out["lightning"] = (NO_GO, "lightning was seen or heard") if weather.lightning else (
            "", "none seen or heard so far")  # fmt: skip
    fahrenheit = weather.temperature_f()
    if fahrenheit is not None and fahrenheit <= FREEZING_F:
        out["cold"] = ("", both(lambda pen: f"{_degrees(fahrenheit, pen.system)}: water freezes"))
    for finding in plan.made.place.findings:
        line = _FINDING_LINES.get(finding.code.name)
        if line is not None:
            out.setdefault(line, (NO_GO if finding.wrong else "", finding.text))
    if plan.faults:
        out["supply"] = (NO_GO, "; ".join(str(f) for f in plan.faults))
    elif (
        plan.figure("discharge_pressure") is not None
        and plan.figure("discharge_pressure").value is None
    ):
        out["supply"] = ("", plan.figure("discharge_pressure").look_up)
    if any("BEYOND" in str(limit) for limit in plan.limits):
        out["chart"] = (NO_GO, "beyond what the department entered")
    return out


def _mph(text):
    from aerialstream import quantity

    return quantity(in_unit(text, _WIND), "mile/hour")


def _degrees(fahrenheit, system):
    return f"{fahrenheit:.0f} F" if system == "US" else f"{(fahrenheit - 32) / 1.8:.0f} C"


def _prop_rows(plan):
    """Rows of the prop and of the water on the ground: (id, text, answer worked out, why)."""
    if plan.evolution.water != "stream":
        return ()
    rows = []
    building = plan.made.goal.building
    own = building.own_limits if building is not None else ()
    for number, limit in enumerate(own, 1):
        rows.append((f"prop-{number}", f"Owner's sheet: {limit.says} ({limit.page})", "", ""))
    if not own:
        rows.append(
            (
                "prop",
                f"Owner agrees; heat-protection lining, loose parts: {BLANK} ({OWNER})",
                "",
                "",
            )
        )
    rows.append(("prop-load", *load_row(plan)))
    if plan.evolution.aim == "ceiling":
        rows.append(_ceiling_row(plan))
    rows.append(
        ("run-off", f"Run-off: where it goes, whose leave: {BLANK} (local procedure)", "", "")
    )
    fahrenheit = plan.asked.weather.temperature_f()
    if fahrenheit is None or fahrenheit <= FREEZING_F:
        why = (
            ""
            if fahrenheit is None
            else both(lambda pen: f"{_degrees(fahrenheit, pen.system)}: run-off freezes")
        )
        rows.append(
            ("freezing", "Walkways and run-off will not freeze, or are sanded and closed", "", why)
        )
    return tuple(rows)


def _ceiling_row(plan):
    room = plan.made.goal.room
    ceiling = room.ceiling if room is not None and room.ceiling is not None else None
    if ceiling is None and room is not None:
        ceiling = plan.made.goal.building.storeys[room.storey - 1].ceiling
    why = f"entered as {ceiling.kind}" if ceiling is not None else ""
    loose = ceiling is not None and ceiling.kind == "suspended tile"
    text = "Ceiling of the prop is meant to be struck; no tile, no lining"
    return ("prop-ceiling", text, NO_GO if loose else "", why)
