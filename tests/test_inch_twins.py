"""The same job typed in millimeters and in inches: the same verdicts, numbers and no mixed sentence."""

import re

import pytest

from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.job.fields import BY_KEY
from crankmath.job.report import check_job
from crankmath.units import Quantity

pytestmark = pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
OTHER = {"mm": "in", "in": "mm"}
# what a blank answer would choose by the crank's own system: typed here, so that the twins agree
TYPED = {
    "pump": {"bar_size": "60 mm", "rod_length": "90 mm", "blade_reach": "34 mm"},
    "bellows": {"bar_size": "50.8 mm", "rod_length": "101.6 mm", "blade_reach": "32 mm"},
    "compressor": {"bar_size": "65 mm", "rod_length": "75 mm", "blade_reach": "44 mm"},
    "organ": {"bar_size": "50.8 mm", "rod_length": "76.2 mm", "blade_reach": "38 mm"},
}
SPACER = {"pump": "14 mm", "bellows": "12 mm", "compressor": "10 mm", "organ": "9 mm"}
MILLIMETERS = re.compile(r"\d ?(mm|cm|µm|um|N|kN|MPa|GPa|kg|g mm|N m|m/min|m/s|°C|W|kW)\b")
INCHES = re.compile(r"\d ?(in|thou|lbf|lb|psi|kpsi|ft/min|ft lbf|in lbf|oz in|°F|hp)\b")


# asked of a plan, whose places are rounded to what a dial of that system shows: 0.01 mm, 0.1 thou
PLANNED = {
    "centers",
    "squeeze",
    "locked_in",
    "swing",
    "speeds",
    "tool",
    "passes",
    "force",
    "roundness",
    "chatter",
    "heat",
}
PRINTED = 2e-3  # a roughed size may stand half a thou off, and stress goes by its cube
# names that stand in a sentence: an instrument is what its maker calls it, "pin 1 in bronze" no inch
NAMES = re.compile(r"indicator [\d.]+ (mm|in)|gauge [\d.]+ (mm|in)|([Mm]ain|[Pp]in) \d+ in ")


def unsized(label):
    """A label without the sizes in it."""
    return re.sub(r"[\d.]+ (mm|in)\b", "", label)


def crank_in(crank, units):
    """The crank with its sizes in other units, to the last bit that a number holds."""
    if units == crank.units:
        return crank
    factor = 25.4 if units == "mm" else 1 / 25.4
    sizes = crank.to_dict() | {"units": units}
    for part in ("journals", "throws"):
        for one in sizes[part]:
            for key in one:
                if key != "angle_deg":
                    one[key] *= factor
    return Crank.from_dict(sizes)


def twins(name, **more):
    """A job of all answers typed, and the same typed in the other system."""
    job = Job.load(name)
    for key, text in (TYPED[name] | {"spacer_diameter": SPACER[name]} | more).items():
        job = job.typed(key, text)
    job = Job(job.crank, job.answers, frozenset(BY_KEY))
    units = OTHER[job.units]
    answers = {}
    for key, field in BY_KEY.items():
        value = job[key]
        if isinstance(value, Quantity):
            unit = field.units[0] if units == "mm" else field.units[min(1, len(field.units) - 1)]
            value = value.to(unit)
        answers[key] = value
    return job, Job(crank_in(job.crank, units), answers, frozenset(BY_KEY))


CASES = [
    ("pump", {}),
    # h7: in h6 a micrometer that reads 0.0001 in has one size to read where one in mm has four
    (
        "compressor",
        {
            "thrust": "1 kN",
            "last_cut": "0.1 mm",
            "main_bearing": "ball bearing",
            "main_class": "h7",
            "pin_class": "h7",
        },
    ),
    ("organ", {"thrust": "100 lbf", "spacers": "none", "crank_speed": "900 rpm"}),
]


@pytest.fixture(scope="module")
def reports():
    kept = {}

    def made(place):
        if place not in kept:
            name, more = CASES[place]
            kept[place] = [check_job(job) for job in twins(name, **more)]
        return kept[place]

    return made


@pytest.mark.parametrize("place", range(len(CASES)), ids=lambda k: f"{CASES[k][0]} {k}")
def test_same_verdicts_and_numbers(place, reports):
    one, other = reports(place)
    wrong = []
    for a, b in zip(one.checks, other.checks, strict=True):
        if a.verdict != b.verdict:
            wrong.append(f"{a.key}: {a.verdict}: {a.sentence}\n    {b.verdict}: {b.sentence}")
        if [unsized(p.label) for p in a.numbers] != [unsized(q.label) for q in b.numbers]:
            wrong.append(f"{a.key}: {[p.label for p in a.numbers]} {[q.label for q in b.numbers]}")
        for p, q in zip(a.numbers, b.numbers, strict=False):
            if isinstance(p.value, str) or p.value is None:
                same = p.value == q.value
            else:
                big, twin = Quantity(p.value), Quantity(q.value).to(Quantity(p.value).units)
                share = PRINTED if a.key in PLANNED else 1e-6
                if a.key == "locked_in":  # a wall of 0.25 mm, or 0.254; windows end on marks
                    share = 2e-2
                if p.label.startswith("bar may measure"):  # half of a stock of 1 mm, or 0.04 in
                    share = 2e-2
                if p.label in ("length", "mass of the bar", "room along the bed"):
                    share = 7e-3  # a bar in inches is sawn to the next sixteenth
                if p.label.startswith("driving bolt"):  # M10, or 3/8 in
                    share = 0.2
                elif a.key in ("hold", "centers", "squeeze", "heat") or "bolt" in p.label:
                    share = 4e-2  # the bolt stands on whole millimeters, or sixteenths
                same = big.magnitude == pytest.approx(twin.magnitude, rel=share, abs=1e-9)
            if not same:
                wrong.append(f"{a.key}, {p.label}: {p.value}, {q.value}")
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("place", range(len(CASES)), ids=lambda k: f"{CASES[k][0]} {k}")
def test_every_sentence_keeps_to_one_system(place, reports):
    wrong = []
    for report in reports(place):
        strange = INCHES if report.job.units == "mm" else MILLIMETERS
        for check in report.checks:
            for text in (check.sentence, *check.notes, *check.assumptions):
                if strange.search(NAMES.sub("", text)):
                    wrong.append(f"{report.job.units}, {check.key}: {text}")
    assert not wrong, "\n".join(wrong)
