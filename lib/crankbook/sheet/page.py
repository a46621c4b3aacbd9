"""The page of a job sheet: one HTML file that prints on A4 and Letter in black and white."""

from markupsafe import Markup

from crankmath.job.fields import FIELDS, GROUPS
from crankmath.job.variants import compare
from crankmath.job.verdicts import MEANING
from crankmath.language import _, ngettext
from crankmath.units import as_text
from crankmath.wording import ERRORS, shown
from crankmath.workpiece.planning.rules import size_of_bar

from ..pages import page, rendered
from ..pictures import paper_drawing
from .steps import printed_steps
from .tables import job_tables
from .traveler import traveler

OFF_CENTER = _(
    "Turning on offset centers swings a heavy bar beside your hands: guard closed, eyes covered, "
    "nothing loose, a whole turn by hand first, slowest step first."
)
NO_CERTIFICATE = _(
    "These are estimates, never a certificate. Where pressure, people or traffic depend on the "
    "part, local codes and a licensed engineer decide. The machine maker's limits and your shop's "
    "rules take precedence over any number here."
)
BLANKS = ("sizes", "readings", "heights")


def job_page(sheet):
    """Text of the HTML file of a sheet: the same job, date and version make the same text."""
    report, job, work = sheet.report, sheet.report.job, sheet.report.workings
    tables = {one.key: one for one in job_tables(work)}
    crank, scale = paper_drawing.crank_svg(work.crank, work.units)
    beside = compare(sheet.job, *sheet.variants) if sheet.variants else None
    body = rendered(
        "sheet.html",
        sheet=sheet,
        report=report,
        name=job.crank.name,
        facts=_facts(sheet, job, work),
        urgent=[one for one in report.worst_first if one.verdict in ("not fine", "cannot tell")],
        off_center=OFF_CENTER,
        no_certificate=NO_CERTIFICATE,
        untyped=_untyped(job),
        scale=paper_drawing.scale_word(scale),
        drawings=Markup("".join(crank)),
        meanings="; ".join(f"{_(word)}: {meaning}" for word, meaning in MEANING.items()),
        beside=beside,
        differing=[row for row in beside.rows if len(set(row[1:])) > 1] if beside else [],
        numbers_beside=_numbers_beside(beside),
        steps=_steps(report, tables),
        blanks=[tables[key] for key in BLANKS if key in tables],
        shown=lambda numbers: _shown(numbers, job.units),
        answers=_answers(job),
        sizes=_sizes(job),
    )
    front = traveler(report, f"{OFF_CENTER} {NO_CERTIFICATE}")
    return page(_("Job sheet: {name}").format(name=job.crank.name), front + body, style="sheet.css")


def _facts(sheet, job, work):
    crank, units = job.crank, job.units
    try:
        bar = _("{shape} bar {bar} × {length}").format(
            shape=_(work.bar.shape),
            bar=size_of_bar(work.bar, units),
            length=shown(work.bar.length, "place", units),
        )
    except ERRORS:
        bar = _("no bar yet")
    made = _("crankmath {version}.").format(version=sheet.version)
    if sheet.calculated != sheet.version:
        made += _(" Recalculated by version {calculated}.").format(calculated=sheet.calculated)
    throws = ngettext("{count} throw", "{count} throws", len(crank.throws))
    throws = throws.format(count=len(crank.throws))
    return (
        (
            _("Crank"),
            _("{name}, {throws}, {length} long").format(
                name=crank.name, throws=throws, length=as_text(crank.length, units)
            ),
        ),
        (_("Steel"), work.steel.described),
        (_("Cut from"), bar),
        (_("Lathe"), job["lathe_name"]),
        (_("Date"), sheet.date),
        (_("Made by"), made),
    )


def _untyped(job):
    groups = {}
    for field, text, basis in job.assumed():
        named = "" if basis == _("assumed") else basis.removesuffix(_(", assumed"))
        groups.setdefault(field.group, []).append((field.label, text, named))
    return groups


def _numbers_beside(beside):
    found = beside.numbers if beside else ()
    return [(f"{title}: {label}", *texts) for title, label, *texts in found]


def _shown(numbers, units):
    return [(one.label, one.text(units)) for one in numbers]


def _end_faces(work):
    try:
        layouts = work.layouts
    except ERRORS:
        return ""
    try:
        hole = work.hole
    except ERRORS:
        hole = None
    scale = paper_drawing.fitting_scale(
        layouts[0].bar.width.m_as("mm"), beside=2 * paper_drawing.AROUND
    )
    drawn = (paper_drawing.end_face_svg(one, hole, work.units, scale) for one in layouts)
    return Markup("".join(drawn))


AFTER = {  # tables that go with a step
    "centers": ("centers", "handwheels"),
    "rough_mains": ("speeds", "passes"),
    "finish_mains": ("spacers",),
}


def _steps(report, tables):
    """The working order in words; each table stands at its step."""
    steps = []
    for one in printed_steps(report):
        step = one.step
        facts = (
            (_("Limits"), "; ".join(text.rstrip(".") for text in one.limits)),
            (_("Before going on"), step.check),
            (_("Caution"), step.caution),
            (_("Why here"), step.why),
        )
        steps.append(
            {
                "title": step.name,
                "do": step.do,
                "shown": [],
                "facts": [fact for fact in facts if fact[1]],
                "faces": _end_faces(report.workings) if step.key == "centers" else "",
                "tables": [tables[key] for key in AFTER.get(step.key, ()) if key in tables],
            }
        )
    return steps


def _standing(job, key):
    return _("not used") if not job.uses(key) else _("typed") if key in job.given else _("assumed")


def _answers(job):
    """Every answer: its label, value, group, and whether it was typed."""
    return [
        (
            field.label,
            field.in_words(job[field.key], job.units) or _("left blank"),
            _(group),
            _standing(job, field.key),
        )
        for group in GROUPS
        for field in FIELDS
        if field.group == group
    ]


def _sizes(job):
    """Every size of the crank as its file holds it."""
    stored = job.crank.to_dict()
    return [
        (
            f"{group} {number} {key.replace('_', ' ')}",
            f"{value:g}" + ("" if key == "angle_deg" else f" {job.units}"),
        )
        for group in ("journal", "throw")
        for number, table in enumerate(stored[f"{group}s"], 1)
        for key, value in table.items()
    ]
