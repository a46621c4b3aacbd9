"""The page of a job sheet: self-contained HTML that prints on A4 and Letter in black and white, every text escaped."""

from html import escape

from crankmath.job.fields import FIELDS, GROUPS
from crankmath.job.report import LESSON_TITLES
from crankmath.job.variants import compare
from crankmath.job.verdicts import MEANING
from crankmath.units import as_text
from crankmath.wording import ERRORS
from crankmath.workpiece.rules import size_of_bar

from ..pictures import paper_drawing
from .steps import printed_steps
from .tables import job_tables
from .traveler import traveler

STYLE = """
@page { margin: 14mm 15mm; }
* { box-sizing: border-box; }
body { font: 10pt/1.35 Georgia, "Times New Roman", serif; color: #000; background: #fff; max-width: 180mm; margin: 8mm auto; padding: 0 1mm; }
h1 { font-size: 19pt; margin: 0 0 1mm; } h2 { font-size: 13pt; margin: 6mm 0 2mm; border-bottom: 0.5mm solid #000; break-after: avoid; }
h3 { font-size: 11pt; margin: 5mm 0 1mm; break-after: avoid; } p { margin: 1mm 0 2mm; }
table { border-collapse: collapse; width: 100%; margin: 2mm 0 1mm; font-size: 8.5pt; break-inside: avoid; } table.long { break-inside: auto; }
caption { text-align: left; font-weight: bold; padding-bottom: 0.5mm; } tr { break-inside: avoid; }
th, td { border: 0.2mm solid #555; padding: 0.6mm 1.2mm; text-align: left; vertical-align: top; }
td { overflow-wrap: anywhere; } th { background: #eee; }
table.verdicts th[scope="row"] { width: 34mm; } table.verdicts .verdict { width: 20mm; }
td.pencil { min-width: 9mm; height: 7mm; } table.long td.pencil { height: 4.5mm; } .note { font-size: 8.5pt; margin: 0 0 3mm; }
.verdict { white-space: nowrap; font-weight: bold; } .not-fine { border: 0.6mm solid #000; padding: 0 1mm; text-transform: uppercase; }
.cannot-tell { border: 0.3mm dashed #000; padding: 0 1mm; } .look { border: 0.3mm solid #000; padding: 0 1mm; } .fine { font-weight: normal; }
.box { border: 0.5mm solid #000; padding: 2mm 3mm; margin: 3mm 0; break-inside: avoid; } .box p { margin: 0; }
.drawings { display: flex; flex-wrap: wrap; gap: 4mm; align-items: flex-end; margin: 3mm 0; } svg { max-width: 100%; break-inside: avoid; }
.small { font-size: 7.5pt; columns: 2; column-gap: 6mm; margin: 1mm 0; padding-left: 4mm; } .small li { break-inside: avoid; }
.untyped { font-size: 7.5pt; line-height: 1.25; } .untyped p { margin: 0 0 1mm; }
.step { break-inside: avoid; margin-top: 4mm; } ul { margin: 1mm 0 2mm; padding-left: 5mm; }
dl { margin: 1mm 0; display: grid; grid-template-columns: max-content 1fr; gap: 0.5mm 3mm; } dt { font-weight: bold; } dd { margin: 0; }
.tick { display: inline-block; width: 3.6mm; height: 3.6mm; border: 0.3mm solid #000; vertical-align: -0.5mm; margin-right: 1.5mm; }
.detail { break-inside: avoid; font-size: 9pt; } .detail p { margin: 0 0 1mm; }
footer { font-size: 8pt; margin-top: 6mm; border-top: 0.2mm solid #000; }
@media print { body { margin: 0; padding: 0; max-width: none; } }
@media screen and (max-width: 520px) { dl { grid-template-columns: 1fr; } .small { columns: 1; } }
"""
OFF_CENTER = (
    "Turning on offset centers swings a heavy bar beside your hands: guard closed, eyes covered, nothing loose, a whole turn by hand first, "
    "slowest step first."
)
NO_CERTIFICATE = (
    "These are estimates, never a certificate. Where pressure, people or traffic depend on the part, local codes and a licensed engineer decide. "
    "The machine maker's limits and your shop's rules go before any number here."
)


def job_page(sheet):
    """Text of the HTML file of a sheet.

    Parameters
    ----------
    sheet : job_sheet.Sheet

    Returns
    -------
    str

    Notes
    -----
    Basis: derived; it holds no script and fetches nothing. The same job, date and version give the same text.
    """
    report = sheet.report
    name, work = report.job.crank.name, report.workings
    tables = {one.key: one for one in job_tables(work)}
    parts = [
        traveler(report, f"{OFF_CENTER} {NO_CERTIFICATE}"),
        _front(sheet, report),
        _assumptions(report),
        _drawings(work),
        _verdicts(report),
        _variants(sheet),
        _plan(report, tables),
        _blanks(tables),
        _details(report),
        _answers(report.job),
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">\n'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Job sheet: {escape(name)}</title>\n<style>{STYLE}</style></head>\n<body><main>\n{chr(10).join(filter(None, parts))}\n</main>\n"
        f"<footer>Job sheet of {escape(name)}, {escape(sheet.date)}, crankmath {escape(sheet.version)}. "
        f"{escape(NO_CERTIFICATE)}</footer></body></html>\n"
    )


def _verdict(word):
    return f'<span class="verdict {word.replace(" ", "-")}">{escape(word)}</span>'


def _front(sheet, report):
    job, work = report.job, report.workings
    try:
        bar = f"{work.bar.shape} bar {size_of_bar(work.bar, job.units)} × {as_text(work.bar.length, job.units)}"
    except ERRORS:
        bar = "no bar yet"
    made = f" Reckoned anew by version {sheet.reckoned}." if sheet.reckoned != sheet.version else ""
    facts = (
        (
            "Crank",
            f"{job.crank.name}, {len(job.crank.throws)} throw{'s' if len(job.crank.throws) > 1 else ''}, {as_text(job.crank.length, job.units)} "
            "long",
        ),
        ("Steel", f"{job.crank.steel}, {work.steel.condition}"),
        ("Cut from", bar),
        ("Lathe", job["lathe_name"]),
        ("Date", sheet.date),
        ("Made by", f"crankmath {sheet.version}.{made}"),
    )
    urgent = [one for one in report.worst_first if one.verdict in ("not fine", "cannot tell")]
    told = "".join(
        f"<li>{_verdict(one.verdict)} <b>{escape(one.title)}.</b> {escape(one.sentence)}</li>"
        for one in urgent
    )
    return (
        f"<h1>Job sheet: {escape(job.crank.name)}</h1>\n<dl>{''.join(f'<dt>{escape(word)}</dt><dd>{escape(text)}</dd>' for word, text in facts)}</dl>\n"
        f"<p><b>{escape(report.summary)}</b></p>{f'<ul>{told}</ul>' if told else ''}\n"
        f'<div class="box"><p><b>Caution.</b> {escape(OFF_CENTER)} {escape(NO_CERTIFICATE)}</p></div>'
    )


def _drawings(work):
    crank, scale = paper_drawing.crank_svg(work.crank, work.units)
    return (
        f'<h2>The crank, {paper_drawing.scale_word(scale)}</h2>\n<div class="drawings">{"".join(crank)}</div>\n'
        '<p class="note">Print at 100 %, not “fit to page”, and check the scale bar with a rule.</p>'
    )


def _end_faces(work):
    try:
        layouts = work.layouts
    except ERRORS:
        return ""
    try:
        hole = work.hole
    except ERRORS:
        hole = None
    scale = paper_drawing.fitting_scale(layouts[0].bar.width.m_as("mm") + 24)
    return f'<div class="drawings">{"".join(paper_drawing.end_face_svg(one, hole, work.units, scale) for one in layouts)}</div>'


def _assumptions(report):
    rested = "".join(f"<li>{escape(words)}</li>" for words in report.assumptions)
    groups = {}
    for field, text, basis in report.job.assumed():
        marked = (
            "" if basis == "assumed" else f" <i>({escape(basis.removesuffix(', assumed'))})</i>"
        )
        groups.setdefault(field.group, []).append(f"{escape(field.label)}: {escape(text)}{marked}")
    untyped = "".join(
        f"<p><b>{escape(group)}.</b> {'; '.join(told)}.</p>" for group, told in groups.items()
    )
    return (
        "<h2>Not verified</h2>\n<p>The verdicts rest on these. Replace what matters with what you measured or read off a plate.</p>\n"
        + (
            f'<h3>Values that the checks lean on</h3><ul class="small">{rested}</ul>'
            if rested
            else ""
        )
        + (
            f'<h3>Answers that nobody typed</h3><div class="untyped">{untyped}</div>'
            if untyped
            else ""
        )
    )


def _table(head, rows, caption="", kind=""):
    """A table whose first column heads its rows; empty cells are for the pencil."""
    top = "".join(f'<th scope="col">{escape(str(cell))}</th>' for cell in head)
    body = ""
    for row in rows:
        cells = "".join(
            f"<td>{escape(str(cell))}</td>" if str(cell) else '<td class="pencil"></td>'
            for cell in row[1:]
        )
        body += f'<tr><th scope="row">{escape(str(row[0]))}</th>{cells}</tr>'
    said = f"<caption>{escape(caption)}</caption>" if caption else ""
    return f"<table{f' class={chr(34)}{kind}{chr(34)}' if kind else ''}>{said}<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"


def _own_table(one):
    note = f'<p class="note">{escape(one.note)}</p>' if one.note else ""
    return _table(one.head, one.rows, one.caption, "long" if len(one.rows) > 12 else "") + note


def _verdicts(report):
    rows = "".join(
        "<tr><th "
        f'scope="row">{escape(one.title)}</th><td>{_verdict(one.verdict)}</td><td>{escape(one.sentence)}</td><td>{one.lesson[:2]}</td></tr>'
        for one in report.checks
    )
    key = "; ".join(f"{word}: {meaning}" for word, meaning in MEANING.items())
    return (
        '<h2>Verdicts</h2>\n<table class="long verdicts"><thead><tr><th scope="col">check</th><th scope="col">verdict</th><th scope="col">what '
        f'was found</th><th scope="col">lesson</th></tr></thead><tbody>{rows}</tbody></table><p class="note">{escape(key)}.</p>'
    )


def _variants(sheet):
    if not sheet.variants:
        return ""
    beside = compare(sheet.job, *sheet.variants)
    rows = [row for row in beside.rows if len(set(row[1:])) > 1]
    same = f"<p>Equal in all: {len(beside.rows) - len(rows)} of {len(beside.rows)} verdicts.</p>"
    verdicts = _table(("verdict of", *beside.names), rows, "Verdicts that differ") if rows else ""
    numbers = _table(
        ("number", *beside.names),
        [(f"{title}: {label}", *texts) for title, label, *texts in beside.numbers],
        "Numbers that differ by 2 % or more",
        "long",
    )
    return f"<h2>Side by side</h2>\n{same}{verdicts}{numbers if beside.numbers else ''}"


def _numbers(numbers, units):
    return "".join(
        f"<li>{escape(one.label)}: <b>{escape(one.text(units))}</b></li>" for one in numbers
    )


PLANNED = ("centers", "handwheels", "speeds", "passes", "spacers")


def _plan(report, tables):
    """The tables and drawings of the plan that the traveler does not hold."""
    parts = ["<h2>Why the steps stand in this order</h2>"]
    steps = printed_steps(report)
    reasons = [(one.step.name, one.step.why) for one in steps if one.step.why]
    parts += [f"<p><b>{escape(name)}.</b> {escape(why)}</p>" for name, why in reasons]
    parts.append(_end_faces(report.workings))
    parts += [_own_table(tables[key]) for key in PLANNED if key in tables]
    return "\n".join(parts)


BLANKS = ("sizes", "readings", "heights")


def _blanks(tables):
    return "<h2>Readings to fill in</h2>\n" + "".join(
        _own_table(tables[key]) for key in BLANKS if key in tables
    )


def _details(report):
    units, parts = report.job.units, ["<h2>Numbers, formulas, sources</h2>"]
    for one in report.checks:
        notes = "".join(f"<p>Outside a range: {escape(words)}.</p>" for words in one.notes)
        parts.append(
            f'<section class="detail"><h3>{escape(one.title)} {_verdict(one.verdict)}</h3><ul class="small">{_numbers(one.numbers, units)}</ul>'
            f"<p><b>Formula</b> {escape(one.formula)}. <b>Source</b> {escape(one.source)}. <b>Range</b> {escape(one.range)}. "
            f"<b>Lesson</b> {escape(LESSON_TITLES[one.lesson])}.</p>{notes}</section>"
        )
    return "\n".join(parts)


def _standing(job, key):
    return "not used" if not job.uses(key) else "typed" if key in job.given else "assumed"


def _answers(job):
    rows = []
    for group in GROUPS:
        for field in (one for one in FIELDS if one.group == group):
            rows.append(
                (
                    field.label,
                    field.shown(job[field.key], job.units) or "left blank",
                    group,
                    _standing(job, field.key),
                )
            )
    sizes = []
    for group, tables in (
        ("journal", job.crank.to_dict()["journals"]),
        ("throw", job.crank.to_dict()["throws"]),
    ):
        for number, table in enumerate(tables, 1):
            sizes += [
                (
                    f"{group} {number} {key.replace('_', ' ')}",
                    f"{value:g}" + ("" if key == "angle_deg" else f" {job.units}"),
                )
                for key, value in table.items()
            ]
    return (
        "<h2>What went in</h2>\n"
        + _table(("answer", "value", "group", ""), rows, "Answers", "long")
        + _table(("size of the crank", "value"), sizes, "Sizes", "long")
    )
