"""Numbers of the pump's and the compressor's checks, each worked by hand from the sizes on the drawing.

Pump: mains Ø20 x 45, throw 18, pin Ø18 x 22, webs 14 x 28, reach 14, fillets 1.5, bar Ø60, 400 N.
Compressor: mains Ø16 x 40, 20, 40, throws 14, pins Ø14 x 16, webs 10 thick, fillets 1.2, 400 N.
"""

from dataclasses import replace
from math import hypot, pi, sqrt

import pytest

from crankmath.job import Job
from crankmath.job.fields import BANKS
from crankmath.job.report import check_job
from crankmath.job.workings import Workings
from crankmath.units import Quantity

pytestmark = pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
AROUND = hypot((18 + 2 * 14) / 2, 28 / 2)  # circle around the webs: half their length and width
LONG = 2 * 45 + 2 * 14 + 22 + 2 * 10 + 2 * 1.5  # with both ends and their facing
BOW = 0.004 * LONG  # black bar, 4 mm in a meter
DIAL = 1.96 * sqrt((2 * sqrt(2 / 12) * 2 / sqrt(12)) ** 2 + 3**2 / 3)  # division 2, off by 3 um
MICROMETER = 1.96 * 3 / sqrt(3)  # um
ROOT = sqrt(2)
# Roughing main 1 with 499.38 N (Kienzle's force, tested by itself), half of it along the work, a quarter square to it, at Ø78 mm on 160
# mm between centers: at its far end 150 mm from the tailstock's. Then half of 2.769 kg, the dog's
# push: no room for one, so that of a bolt, M10 with 2 mm of metal to the edge of Ø60 mm and in
# whole steps of 2 mm, 22 mm beside the bar's axis and 9 from the mains'; and half of 25.335 kg mm at 70 rpm, all on one side of a 30 degree cone.
PUSH = hypot(499.3816 * 150 / 160, 499.3816 / 4 * 150 / 160 + 499.3816 / 2 * 39 / 160)
PULL = 25.335 / 2 * (2 * pi * 70 / 60) ** 2 / 1000
SIDE = PUSH + 9.81 * 2.76929 / 2 + 499.3816 * 39 / hypot(9, 22) + PULL
HELD = SIDE / sqrt(3) + 499.3816 / 2
PUMP = {
    ("motion", "stroke of throw 1", "mm"): 2 * 18,
    ("motion", "rod over throw", ""): 90 / 18,
    ("motion", "swept volume, each throw", "mm**3"): pi / 4 * 25**2 * 36,
    ("bar", "length", "mm"): LONG,
    ("bar", "bow of the bar inside these", "mm"): BOW,
    ("bar", "least width", "mm"): 2 * (AROUND + 1.5 + BOW),
    ("bar", "least height", "mm"): 2 * (AROUND + 1.5 + BOW),
    ("bar", "spare all around", "mm"): 30 - (AROUND + 1.5 + BOW),
    ("bar", "mass of the bar", "kg"): pi / 4 * 60**2 * LONG * 7.85e-6,
    # the bar's axis in the middle of the webs, 9 mm from both centers; mouth 8.5, drill 4 mm
    ("centers", "pressure on the cone", "MPa"): HELD / (pi / 4 * (8.5**2 - 4**2)),
    ("centers", "metal to the bar's edge", "mm"): 30 - 9 - 8.5 / 2,
    ("centers", "metal to the next hole", "mm"): 18 - 8.5,
    ("hold", "Rough the mains: thrust at least", "N"): HELD,
    ("hold", "Rough the mains: with a greased center's friction", "N"): HELD
    - SIDE / sqrt(3)
    + SIDE * (1 / sqrt(3) - 0.15) / (1 + 0.15 / sqrt(3)),
    ("swing", "swing of the bar about main", "mm"): 30 + 9,
    ("swing", "swing of the bar about pin 1", "mm"): 30 + 9,
    ("swing", "Finish the mains: room over the bed", "mm"): 90 - 39,
    ("swing", "Finish the mains: room over the carriage", "mm"): 55 - 39,
    ("swing", "room along the bed", "mm"): 350 - LONG,
    ("corner", "stock in the middle of the arc", "mm"): 0.25 * ROOT - (1.5 - 0.8) * (ROOT - 1),
    ("corner", "least nose radius", "mm"): 1.5 - 0.25 * ROOT / (ROOT - 1),
    ("bearings", "main 1: straight length", "mm"): 45 - 1.5,  # a fillet at its web alone
    ("bearings", "pin 1: straight length", "mm"): 22 - 2 * 1.5,
    # h6 of 18 to 30 mm is 13 um, of 10 to 18 mm 11 um; a thousandth and two of the bore, 3/4 as much
    ("fits", "main Ø20 mm h6: bore from", "mm"): 20 + 0.020,
    ("fits", "main Ø20 mm h6: bore to", "mm"): 19.987 + 0.040,
    ("fits", "pin Ø18 mm h6: bore from", "mm"): 18 + 0.0135,
    ("fits", "pin Ø18 mm h6: bore to", "mm"): 17.989 + 0.027,
    ("fits", "pin Ø18 mm h6: largest", "mm"): 18,
    ("fits", "pin Ø18 mm h6: smallest", "mm"): 17.989,
    ("roundness", "pin 1: tolerance", "um"): 11,
    ("roundness", "main 2: tolerance", "um"): 13,
    ("runout", "uncertainty of a reading", "um"): DIAL,
    ("runout", "accept up to", "um"): (10 - DIAL) // 2 * 2,  # in whole lines
    ("runout", "reject above", "um"): 10 + DIAL,
    ("sizes", "uncertainty of a diameter", "um"): MICROMETER,
    ("sizes", "main Ø20 mm h6: accept from", "mm"): 19.987 + MICROMETER / 1000,
    ("sizes", "main Ø20 mm h6: accept to", "mm"): 20 - MICROMETER / 1000,
    ("sizes", "pin Ø18 mm h6: accept from", "mm"): 17.989 + MICROMETER / 1000,
    ("sizes", "pin Ø18 mm h6: accept to", "mm"): 18 - MICROMETER / 1000,
}  # fmt: skip
COMPRESSOR = {
    ("motion", "rod over throw", ""): 75 / 14,
    ("motion", "swept volume, each throw", "mm**3"): pi / 4 * 28**2 * 28,
    ("bearings", "main 2: straight length", "mm"): 20 - 2 * 1.2,
    ("centers", "metal to the next hole", "mm"): 14 - 8.5,
    ("swing", "swing of the bar about pin 2", "mm"): 65 / 2 + 14,  # main centers on the bar's axis
    ("swing", "room along the bed", "mm"): 350 - (100 + 4 * 10 + 2 * 16 + 2 * 10 + 2 * 1.5),
    ("corner", "stock in the middle of the arc", "mm"): 0.25 * ROOT - (1.2 - 0.8) * (ROOT - 1),
}


@pytest.mark.parametrize(("name", "wanted"), [("pump", PUMP), ("compressor", COMPRESSOR)])
def test_numbers_by_hand(name, wanted):
    report, wrong = check_job(Job.load(name)), []
    for (key, label, unit), value in wanted.items():
        found = Quantity(report.find(key).number(label)).m_as(unit)
        if found != pytest.approx(value, rel=2e-5):
            wrong.append(f"{key}, {label}: {found}, by hand {value}")
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("name", ["pump", "compressor", "organ"])
def test_what_follows_from_other_numbers_of_the_same_check(name):
    """Sums between printed numbers: a window is its ends less the uncertainty; the squeeze is in
    proportion to the thrust, up to what would bend the crank for good."""
    job = Job.load(name)
    report = check_job(job)
    throw = report.find("throw")
    spread, off = throw.number("uncertainty of the throw"), job["throw_tolerance"]
    for index, one in enumerate(job.crank.throws, 1):
        low, high = (throw.number(f"throw {index}: accept {end}") for end in ("from", "to"))
        assert (low - one.radius).m_as("um") == pytest.approx((spread - off).m_as("um"))
        assert (high - one.radius).m_as("um") == pytest.approx((off - spread).m_as("um"))
    squeeze = report.find("squeeze")
    known = {number.label: number.value for number in squeeze.numbers}
    for label, moved in known.items():
        if label.startswith("Finish") and ("offset" in label or ": runout" in label):
            step = label.partition(":")[0]
            allowed = known[f"{step}: allowed"]
            most = (known["thrust"] * allowed / moved).m_as("N")
            assert known[f"{step}: thrust at most"].m_as("N") <= most * (1 + 1e-9)
    spacers = {number.label: number.value for number in report.find("spacers").numbers}
    if "misfit to aim at" in spacers:
        middle = (spacers["shortest misfit"] + spacers["longest misfit"]) / 2
        assert spacers["misfit to aim at"].m_as("um") == pytest.approx(middle.m_as("um"))


def test_a_bore_goes_by_the_largest_main_of_its_class():
    """ISO 286: g6 of 18 to 30 mm is -7 and -20 um; a thousandth of the bore runs freely: 20 um."""
    fits = check_job(Job.load("pump").typed("main_class", "g6")).find("fits")
    assert fits.number("main Ø20 mm g6: largest").m_as("mm") == pytest.approx(20 - 0.007)
    bore = fits.number("main Ø20 mm g6: bore from").m_as("mm")
    assert bore == pytest.approx(20 - 0.007 + 0.020)


def with_mains(job, **changes):
    """The job with one size of its mains changed, one value a main [mm]."""
    ((size, values),) = changes.items()
    mains = zip(job.crank.journals, values, strict=True)
    mains = tuple(replace(main, **{size: Quantity(value, "mm")}) for main, value in mains)
    return job.with_crank(replace(job.crank, journals=mains), edited=True)


def test_ball_bearings_sit_on_the_first_and_the_last_main():
    """Compressor, mains Ø16: 15 and 17 mm at the ends, with bushings at the middle main alone."""
    job = with_mains(Job.load("compressor"), diameter=(15.0, 16.0, 17.0))
    fits = check_job(job.typed("main_bearing", "ball bearing")).find("fits")
    told = " ".join(one.label for one in fits.numbers)
    assert "Ø15 mm" in told and "Ø17 mm" in told
    assert [one.label for one in fits.numbers if "Ø16 mm" in one.label and "bore from" in one.label]


@pytest.mark.parametrize("at", [0, 1])
def test_a_main_shorter_than_its_ball_bearing_is_told(at):
    """A 6004 is 12 mm wide (ISO 15); 12 mm of main less the fillet of 1.5 mm leave 10.5."""
    long = [45.0, 45.0]
    long[at] = 12.0
    job = with_mains(Job.load("pump").typed("main_bearing", "ball bearing"), length=long)
    fits = check_job(job).find("fits")
    assert fits.verdict == "not fine"
    assert f"ain {at + 1} has 10.5 mm for a bearing 12 mm wide" in fits.sentence


def test_bearings_bear_what_turns():
    """Throw 18, 1 kg, 1000 rpm: m r w^2 = 0.018 (1000 pi/30)^2 = 197.4 N, half on either main,
    toward the pin; two rods on the pin throw twice that; counterweights take some of it."""
    fast = Job.load("pump").typed("crank_speed", "1000 rpm").typed("moving_mass", "0 kg")

    def borne(job):
        return Workings(job).loads.bearing_force.m_as("N")

    def added(job):
        return borne(job.typed("rotating_mass", "1 kg")) - borne(job.typed("rotating_mass", "0 kg"))

    half = 0.018 * (1000 * pi / 30) ** 2 / 2
    assert half == pytest.approx(98.7, abs=0.05)
    vee = fast.typed("banks", BANKS[2]).typed("bank_angle", "90 deg")
    for job, rods in ((fast, 1), (vee, 2)):
        outward, across = -added(job).transpose(1, 0, 2)
        assert outward == pytest.approx(rods * half) and across == pytest.approx(0, abs=1e-6)
    heavy = fast.typed("rotating_mass", "1 kg")
    fitted = borne(heavy.typed("counterweights", "on every throw"))
    assert (fitted[:, 0] - borne(heavy)[:, 0]).min() > 1


def test_a_bank_turns_its_stroke():
    """A rod in a bank at 90 deg pushes as the one in line did a quarter turn before."""
    vee = Job.load("pump").typed("banks", BANKS[2]).typed("bank_angle", "90 deg")
    first, second = Workings(vee).loads.rod_force.m_as("N")
    quarter = len(first) // 4
    assert second == pytest.approx([*first[-quarter:], *first[:-quarter]])
