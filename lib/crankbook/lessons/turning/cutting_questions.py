"""The questions of lessons 05, 06 and 07: what mills and turns, force and power, chatter."""

import numpy as np

from crankmath import cutting
from crankmath.chatter import limits, tap_and_weight
from crankmath.units import Quantity

from ...lesson.exercise import Question


def share_of_turn(source):
    """Degrees of a turn in an eccentric bar."""
    diameter, offset = 5 * source.randrange(8, 16), source.randrange(6, 20)
    radius = source.randrange(diameter // 2 - offset + 3, diameter // 2 + offset - 2)
    cosine = (radius**2 + offset**2 - (diameter / 2) ** 2) / (2 * radius * offset)
    key = 2 * np.degrees(np.arccos(cosine))
    wrong = (radius**2 + offset**2 - diameter**2) / (2 * radius * offset)
    slips = {
        "entry and exit lie on both sides of the far point: did you count one side?": Quantity(
            key / 2, "deg"
        ),
        "is that the part in air?": Quantity(360 - key, "deg"),
    }
    if abs(wrong) < 1:
        slips["the formula takes the bar's radius: was its diameter put in?"] = Quantity(
            2 * np.degrees(np.arccos(wrong)), "deg"
        )
    return Question(
        f"A bar of Ø{diameter} mm turns {offset} mm off its middle. The tool's edge stands "
        f"{radius} mm from the axis it turns about. Through how many degrees "
        "of each turn is it in metal?",
        Quantity(key, "deg"),
        ("deg", "turn"),
        slips,
        (
            "The bar's rim crosses the tool's circle twice. Half the angle between is in the "
            "triangle of axis, bar's middle and crossing.",
            "cos(psi) = (r² + d² - R²) / (2 r d); in metal through 2 psi",
        ),
    )


def roughing_minutes(source):
    """Minutes of roughing a main from its swing, one gear step."""
    swing, final = source.randrange(26, 41), 2 * source.randrange(7, 13)
    # in blows 0.7 of the tables' 26 m/min: what the farthest point of the bar may run
    steps = [step for step in (70, 110) if 2 * np.pi * swing * step <= 18_200]
    length, step = source.randrange(25, 60), source.choice(steps)
    depth, allowance, feed = (
        source.choice((1.0, 1.5, 2.0)),
        0.25,
        source.choice((0.08, 0.1, 0.12, 0.15)),
    )
    count = int(np.ceil((swing - final / 2 - allowance) / depth - 1e-9))
    per = length / (feed * step)
    return Question(
        f"Turned about the main axis, the farthest point of the bar swings at {swing} mm. The "
        f"main is to be Ø{final} mm, {length} mm long; {allowance} mm on the "
        f"radius are left for finishing. Passes at most {depth:g} mm deep, {feed:g} mm a turn, "
        f"all at {step} rpm. How many minutes does roughing take?",
        Quantity(count * per, "min"),
        ("min", "hour"),
        {
            "a half-begun pass is a pass: was the number rounded up?": Quantity(
                (swing - final / 2 - allowance) / depth * per, "min"
            ),
            "is the depth on the radius? The swing is a radius, Ø a diameter.": Quantity(
                int(np.ceil((swing - final - allowance) / depth - 1e-9)) * per, "min"
            ),
            "that is one pass: how many are there?": Quantity(per, "min"),
            "minutes or seconds?": Quantity(60 * count * per, "min"),
        },
        (
            "First the stock on the radius, then whole passes, then minutes a pass.",
            "t = i L / (f n), i = (swing - d/2 - allowance) / depth, rounded up",
        ),
        tolerance=0.005,
    )


def deepest_cut(source):
    """Depth that the motor drives, from the specific force."""
    watts, share = source.choice((370, 550, 750)), source.choice((0.7, 0.75, 0.8))
    speed, feed, pressure = (
        source.randrange(18, 34),
        source.choice((0.1, 0.12, 0.15, 0.2)),
        50 * source.randrange(54, 80),
    )
    key = watts * share / (speed / 60 * feed * pressure)
    return Question(
        f"A lathe's motor gives {watts} W, of which {100 * share:.0f} % reach the edge. At "
        f"{speed} m/min and {feed:g} mm a turn this steel's specific "
        f"cutting force is {pressure} MPa. How deep a cut can the motor drive?",
        Quantity(key, "mm"),
        ("mm", "in"),
        {
            "what does the motor lose on the way to the edge?": Quantity(key / share, "mm"),
            "does the loss make the cut deeper or shallower?": Quantity(key / share**2, "mm"),
            "meters a minute or a second?": Quantity(key / 60, "mm"),
            "is the depth on the radius?": Quantity(key * 2, "mm"),
        },
        (
            "Power is force times speed; the force is depth times feed times specific force.",
            "a = share P / (v f k_c), v in m/s, f in mm, k_c in N/mm²",
        ),
    )


def main_force(source):
    """Cutting force by Kienzle from its two constants."""
    depth, feed = source.randrange(4, 26) / 10, source.randrange(10, 31) / 100
    constant, exponent = source.choice(((1780, 0.17), (2110, 0.17), (2220, 0.14), (2500, 0.26)))
    key = depth * feed * constant * feed**-exponent
    return Question(
        f"A steel has k_c1.1 = {constant} MPa and m_c = {exponent:g}. A sharp tool, its edge "
        f"square to the work, takes {depth:g} mm at {feed:g} mm a "
        "turn, no corrections. How large is the cutting force?",
        Quantity(key, "N"),
        ("N", "lbf", "kN"),
        {
            "k_c1.1 belongs to a chip of 1 mm: what does a thinner one cost?": Quantity(
                depth * feed * constant, "N"
            ),
            "does a thinner chip push more for its size? Look at the exponent's sign.": Quantity(
                depth * feed * constant * feed**exponent, "N"
            ),
            "is the depth on the radius or on the diameter?": Quantity(2 * key, "N"),
            "that is the force on 1 mm of edge: how wide is the cut?": Quantity(key / depth, "N"),
        },
        (
            "First the specific force of this chip's thickness, then times the chip's area.",
            "F = a f k_c1.1 (f / 1 mm)^-m_c",
        ),
    )


def motor_power(source):
    """Power the motor has to give by the handbook's constants."""
    speed, feed, depth = (
        source.randrange(18, 36),
        source.choice((0.1, 0.15, 0.2, 0.25, 0.3)),
        source.randrange(5, 21) / 10,
    )
    constant, wear = source.choice((1.39, 1.5, 2.02, 2.24, 2.29)), 1.3
    factor = {0.1: 1.25, 0.15: 1.15, 0.2: 1.08, 0.25: 1.04, 0.3: 1.0}[feed]
    removed = speed * feed * depth / 60  # cm3/s
    key = 1000 * constant * factor * wear * removed / 0.7
    return Question(
        f"{speed} m/min, {depth:g} mm deep, {feed:g} mm a turn. The handbook's power constant is "
        f"{constant:g} kW s/cm³, its feed factor here "
        f"{factor:g}, its wear factor {wear:g}. Seven tenths of the motor's power reach the edge. "
        "What must the motor give?",
        Quantity(key, "W"),
        ("W", "kW", "hp"),
        {
            "that is the power at the edge: what does the motor lose on the way?": Quantity(
                key * 0.7, "W"
            ),
            "does the loss make the motor's share larger or smaller?": Quantity(key * 0.7**2, "W"),
            "was the edge sharp? A wear factor is given.": Quantity(key / wear, "W"),
            "cm³ a minute or a second?": Quantity(60 * key, "W"),
        },
        (
            "How many cm³ go away in a second?",
            "P = K C W Q / 0.7, Q = v f a / 60 with v in m/min, f and a in mm: cm³/s",
        ),
    )


def lobed_diameter(source):
    """Out-of-round from the two principal compliances and the two forces."""
    soft = source.randrange(40, 220)
    stiff = round(soft * source.randrange(80, 96) / 100)
    push, drag = 10 * source.randrange(6, 25), 10 * source.randrange(25, 80)
    key = 2 * (soft - stiff) * np.hypot(push, drag) / 1000
    return Question(
        f"A journal gives {soft} µm per kN in its softest direction and {stiff} µm per kN square "
        f"to that. The tool pushes it away with {push} N and "
        f"drags it along with {drag} N. By how much do its largest and smallest diameter differ?",
        Quantity(key, "um"),
        ("um", "mm", "thousandth"),
        {
            "a diameter has two ends: is that the difference of radii?": Quantity(key / 2, "um"),
            "does only the push away count? The drag swings the work in and out as well.": Quantity(
                2 * (soft - stiff) * push / 1000, "um"
            ),
            "two forces at right angles: do their sizes simply add?": Quantity(
                2 * (soft - stiff) * (push + drag) / 1000, "um"
            ),
            "the drag counts: does the push away count as well?": Quantity(
                2 * (soft - stiff) * drag / 1000, "um"
            ),
            "is that the size error? Roundness is about the difference of the two gives.": Quantity(
                (soft + stiff) * push / 1000, "um"
            ),
        },
        (
            "What is the same all around makes the work too large. Only the difference of the two "
            "gives makes it out of round.",
            "difference of diameters = 2 (c1 - c2) sqrt(Fp² + Fc²)",
        ),
        tolerance=0.02,
    )


def width_by_formula(source):
    """Limiting width of one mode by hand."""
    stiffness, percent, force = (
        source.randrange(6, 41),
        source.randrange(40, 90) / 10,
        source.randrange(15, 32) * 100,
    )
    key = limits.limiting_width(Quantity(stiffness, "N/um"), percent / 100, Quantity(force, "MPa"))
    return Question(
        f"Hung weights say {stiffness} N/µm, a tap says ζ = {percent:g} %, and the plunged cut "
        f"has K = {force} N/mm². How wide an edge may cut at any speed?",
        key,
        ("mm", "um", "thousandth", "in"),
        {
            "there is a two in front: where did it go?": key / 2,
            "is that only the first term? (1 + ζ) belongs to it": key / (1 + percent / 100),
            "is the damping a share or a percentage?": key
            * 100
            * (1 + percent)
            / (1 + percent / 100),
            "does the width go with the stiffness or with its root?": key / np.sqrt(stiffness),
            "N/µm is a thousand N/mm: which does K, in N/mm², ask for?": key / 1000,
        },
        (
            "The stiffness and the damping hold the wave down, the cut drives it: put them over "
            "each other.",
            "b = 2 k ζ (1 + ζ) / K, k in N/mm, K in N/mm².",
        ),
    )


def damping_by_ear(source):
    """Damping ratio from two peaks of a recorded tap."""
    first, swings_between = source.randrange(40, 96), source.randrange(4, 12)
    percent = source.randrange(20, 75) / 1000
    last = round(first * np.exp(-2 * np.pi * percent * swings_between), 1)
    found = tap_and_weight.damping_from_decay(first, max(last, 0.5), swings_between)
    decrement = np.log(first / max(last, 0.5)) / swings_between
    return Question(
        f"A phone recorded a tap on the tool. On the screen a peak is {first} mm high, and the "
        f"one {swings_between} swings later {max(last, 0.5):g} mm. "
        "What is the damping ratio, in percent?",
        Quantity(100 * found, "percent"),
        ("percent",),
        {
            "that is the decrement: what does it have to be divided by?": Quantity(
                100 * decrement, "percent"
            ),
            "how many swings lie between the two peaks?": Quantity(
                100 * decrement * swings_between / (2 * np.pi), "percent"
            ),
            "natural logarithm or the one to base ten?": Quantity(
                100 * found / np.log(10), "percent"
            ),
            "is a swing pi or 2 pi?": Quantity(200 * found, "percent"),
        },
        (
            "Each swing leaves the same share of the last one; the logarithm of that share is the "
            "decrement.",
            "δ = ln(x0 / xn) / n, ζ = δ / 2π.",
        ),
        tolerance=0.02,
    )


def who_sings(source):
    """Frequency from the marks on the work."""
    diameter, turns, tenths = (
        source.randrange(14, 41),
        source.choice((160, 230, 310, 400, 520)),
        source.randrange(6, 30),
    )
    speed = cutting.surface_speed(Quantity(turns, "rpm"), Quantity(diameter, "mm"))
    key = tap_and_weight.chatter_frequency(Quantity(tenths / 10, "mm"), speed)
    return Question(
        f"A pin of Ø{diameter} mm was plunged at {turns} rpm. Ten marks along its surface take "
        f"{tenths} mm. At what frequency did it sing?",
        key,
        ("Hz", "kHz"),
        {
            "the spacing is one tenth of that: did you divide by ten?": key / 10,
            "turns a minute or turns a second?": key * 60,
            "circumference is pi d, or pi r?": key / 2,
            "where did pi go?": key / np.pi,
        },
        (
            "The surface runs past the tool; each mark is one swing.",
            "f = v / λ with v = π d n, n in turns a second.",
        ),
    )
