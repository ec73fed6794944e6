"""The panel of lesson 09: a drill being planned, and its go/no-go list on the day, line by line.

Evolution, device and site need a search for the spot; that is done once for each and kept. Wind,
hydrant and the answers move what depends on them alone, so that the panel keeps up.
"""

from html import escape

from aerialstream import go_no_go, show
from aerialstream.department import load_department
from aerialstream.errors import AerialStreamError
from aerialstream.set_up import GO, NO_GO
from aerialstream.units import quantity
from aerialstream.worked import in_system
from gradekit.drills.aiming import DrillRefused
from gradekit.drills.day import day_list
from gradekit.drills.evolutions import load_evolutions
from gradekit.drills.plan import Asked, Weather, on_the_day, plan_drill
from gradekit.drills.sketches import side_sketch
from lessonkit.controls import Choice, Number, Scale, Switch
from lessonkit.panel import Panel, Task, View

EVOLUTION, DEVICE, SITE = "window-in-line", "tower-3", "drill-ground"
WORKING = "Working the plan out: this takes a moment, in a browser alone some seconds."
STATIC, LEFT = "65 psi", "20 psi"  # static pressure of the panel's hydrant: ours, no source
OPEN, ALL = "open", "all"
WAYS = (("north", "0 deg"), ("east", "90 deg"), ("south", "180 deg"), ("west", "270 deg"))
MOST_REASONS = 3
LARGER = 1.45


class _List:
    """The go/no-go list as a table in words; it stands where a picture stands."""

    def __init__(self, listed, system):
        self.label = f"Go/no-go list. {listed.said()}"
        marks = {GO: "GO", NO_GO: "NO GO"}
        order = sorted(listed.rows, key=lambda row: (row.answer != NO_GO, not row.worked_out))
        self._html = "".join(_line(row, marks.get(row.answer, "open"), system) for row in order)

    def svg(self, styled=True):
        """The table; it takes its look from the page."""
        return (
            f"<table class='as-table' aria-label='{escape(self.label, quote=True)}'><caption "
            "style='text-align:left;font-weight:700;padding:4px 10px'>Go / no-go, line by line</caption>"
            f"{self._html}</table>"
        )


class _Large:
    """A sketch shown larger than it was drawn for the card: its words are read at arm's length."""

    def __init__(self, picture):
        self.label, self._picture = picture.label, picture

    def svg(self, styled=True):
        """The sketch, with another size on the page."""
        wide, high = self._picture.width, self._picture.height
        return self._picture.svg(styled).replace(
            f'width="{wide}" height="{high}" xmlns',
            f'width="{wide * LARGER:.0f}" height="{high * LARGER:.0f}" xmlns',
            1,
        )


def _line(row, mark, system):
    text, why = (escape(in_system(part, system)) for part in (row.text, row.why))
    weight = 400 if mark == "open" else 700
    return (
        f"<tr><th scope='row' style='white-space:nowrap;vertical-align:top;font-weight:{weight}'>{mark}</th><td>{text}"
        f"{f' <strong>{why}</strong>' if why else ''}</td></tr>"
    )


class DrillPanel(Panel):
    """A Panel that says that it is at work before it plans a drill that was not planned yet."""

    def __init__(self, department):
        self.plans, self.days = {}, {}
        super().__init__(
            "09", "drill", controls=_controls(department), compute=self._planned, view=_view,
            tasks=_tasks(), hidden=self._left_off, department=department,
        )  # fmt: skip

    def update(self):
        """Compute and show; a plan that has to be searched for is announced."""
        if not self._updating:
            if self._key(self.at) not in self.plans:
                self.words.value = f"<p class='as-reading'>{escape(WORKING)}</p>"
            self._whole(self.at)  # what is hidden depends on it
        super().update()

    @staticmethod
    def _key(at):
        return at.evolution, at.device, at.site

    def _whole(self, at):
        """The plan of evolution, device and site, or why there is none; searched for once."""
        key = self._key(at)
        if key not in self.plans:
            try:
                self.plans[key] = plan_drill(at.department, Asked(**dict(zip(_ASKED, key, strict=True))))  # fmt: skip
            except DrillRefused as error:
                self.plans[key] = error
        return self.plans[key]

    def _planned(self, at):
        """(DrillPlan, DayList); a refusal is told in words by the panel."""
        plan = self._whole(at)
        if isinstance(plan, DrillRefused):
            raise AerialStreamError(_refusal(plan))
        # From the day before: what neither wind nor hydrant changed is not worked out again.
        plan = self.days[self._key(at)] = on_the_day(
            self.days.get(self._key(at), plan),
            weather=Weather(
                wind=_text(at.wind), wind_from=at.wind_from, lightning=at.lightning or None
            ),
            hydrant=(STATIC, LEFT, _text(at.hydrant)),
        )
        return plan, _listed(plan, at.answers)

    def _tick(self, at):
        """A refusal is something to find, too; it comes as (DrillRefused, None)."""
        refused = self.plans.get(self._key(at))
        if isinstance(refused, DrillRefused):
            self.results = refused, None
            super()._tick(at)
            self.results = None
        else:
            super()._tick(at)

    def _left_off(self, at):
        """Dry drills have no hydrant; where there is no plan nothing of the day matters."""
        plan = self.plans.get(self._key(at))
        if isinstance(plan, DrillRefused):
            return {"wind", "wind_from", "hydrant", "lightning", "answers"}
        wet = plan is None or plan.evolution.water == "stream"
        return set() if wet else {"hydrant"}


_ASKED = ("evolution", "device", "site")


def _text(value):
    """A quantity as the text that a plan is asked with."""
    return show(value, "US", "wind" if value.check("[length]/[time]") else None)


def _listed(plan, answers):
    """The day's list with what the people on the spot say."""
    bare = day_list(plan)
    if answers == OPEN:
        return bare
    said = dict.fromkeys((row.id for row in bare.rows), GO)
    if answers in said:
        said[answers] = NO_GO
    return day_list(plan, said)


def _refusal(error):
    """The first reasons of a refusal, in sentences."""
    reasons = " ".join(f"{reason.rstrip('.')}." for reason in error.reasons[:MOST_REASONS])
    more = len(error.reasons) - MOST_REASONS
    more = f" {more} more reasons stand behind these." if more > 0 else ""
    return f"No plan can be had from the files. {reasons}{more}"


def _view(at, results):
    plan, listed = results
    return View(
        reading=f"{_stands(listed, at.system)} {_set_up(plan, at.system)}",
        limit=in_system(plan.limits[0], at.system) if plan.limits else "",
        pictures=(
            _Large(side_sketch(plan, at.system, high=225, wide=470)),
            _List(listed, at.system),
        ),
        rows=plan.lines(at.system),
    )


def _stands(listed, system):
    """How the list stands, with the first line that fails."""
    if listed.verdict == GO:
        return "GO on paper: every line is answered go. The operator and the officers decide."
    said = listed.said()
    if not listed.failing:
        return f"{said} One open line holds the drill."
    row = listed.failing[0]
    why = in_system(row.why, system) or "answered no go"
    return f"{said} First: {in_system(row.text, system)}: {why}."


def _set_up(plan, system):
    def of(key):
        figure = plan.figure(key)
        return None if figure is None or figure.value is None else figure.shown(system)

    parts = [f"Turntable {of('mark')}."]
    if of("extension"):
        parts.append(f"Ladder {of('extension')} at {of('elevation')}, nozzle {of('pitch')}.")
    if plan.evolution.water == "stream":
        pump = of("discharge_pressure")
        parts.append(
            f"{of('nozzle').capitalize()} at {of('nozzle_pressure')}: {of('flow')}, reaction {of('reaction')}; "
            + (f"pump {pump}." if pump else "pump: blank, an entry is missing.")
        )  # fmt: skip
        if of("strike"):
            deep = f", {of('strike_depth')} in" if of("strike_depth") else ""
            parts.append(f"It strikes: {of('strike')}{deep}.")
    return " ".join(parts)


def _controls(department):
    evolutions = load_evolutions(department).entries.values()
    lines = [answered.line for answered in go_no_go(department).answers]
    return (
        Choice("evolution", "Evolution", [(e.title, e.id) for e in evolutions],
               _one_of(EVOLUTION, [e.id for e in evolutions])),
        Choice("device", "Device", [(d.name, d.id) for d in department.apparatus],
               _one_of(DEVICE, [d.id for d in department.apparatus])),
        Choice("site", "Site", [(s.name, s.id) for s in department.sites],
               _one_of(SITE, [s.id for s in department.sites])),
        Number("wind", "Wind", Scale("mph", 0, 45, 1, 12), Scale("km/h", 0, 72, 1, 19)),
        Choice("wind_from", "Wind comes from", WAYS, "180 deg"),
        Number("hydrant", f"Hydrant flows, {show(quantity(LEFT), department.units)} left", Scale("gpm", 100, 1500, 25, 1000),
               Scale("L/min", 400, 5600, 100, 3800)),
        Switch("lightning", "Lightning seen or heard"),
        Choice("answers", "The people on the spot say", [
            ("nobody has looked yet", OPEN), ("every line go", ALL),
            *((f"all go but: {line.id.replace('-', ' ')}", line.id) for line in lines),
        ]),
    )  # fmt: skip


def _one_of(wanted, there):
    """What the lesson starts on, or the first where a department has no such thing."""
    return wanted if wanted in there else there[0]


def _tasks():
    return (
        Task(
            "Make the hydrant so weak that the list says no go by itself. Which line fails?",
            lambda at, results: (
                results[1] is not None and any(r.id == "supply" for r in results[1].failing)
            ),
        ),
        Task(
            "Bring the whole list to GO. What had to be answered, and what must not fail?",
            lambda at, results: results[1] is not None and results[1].verdict == GO,
        ),
        Task(
            "Find a drill that cannot be planned. Read why before you choose another one.",
            lambda at, results: results[1] is None,
        ),
    )


def drill_panel(department=None):
    """The panel, for a lesson's cell."""
    return DrillPanel(department or load_department())
