"""What every table of the library's data has to obey: a second transcription, a formula, its order.

``RULES[name]`` are functions of a table's rows, dicts of texts; each asserts. test_data.py asks them
of the tables as they are, mutation/cells.py of tables with one number changed by a tenth.
``data_second`` holds the second transcriptions, typed from the sources named in their first lines
and never from our tables; decided.csv those numbers that have no source but our own decision: there
the second list only sees to it that a changed digit is meant.
"""

import csv
import math
import re
from collections import defaultdict
from functools import cache
from pathlib import Path

import numpy as np
from helpers import module_at
from scipy.linalg import cho_solve

SECOND = Path(__file__).parent / "data_second"
RULES = defaultdict(list)
WORDS = {"source", "basis", "origin", "range", "label", "use"}


def rule(*tables):
    def kept(asked):
        for table in tables:
            RULES[table].append(asked)
        return asked

    return kept


@cache
def second(name):
    with (SECOND / f"{name}.csv").open(encoding="utf-8") as lines:
        return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))


def number(text):
    """A written number, also 1-3/8 or 7/32; None of an empty cell."""
    whole, _, part = text.rpartition("-") if "/" in text else ("", "", text)
    if not text:
        return None
    if "/" in part:
        above, below = part.split("/")
        return float(whole or 0) + float(above) / float(below)
    return float(part)


def numbers(text):
    return [number(part) for part in text.split()]


WRITTEN = re.compile(r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?")


def near(value, wanted, share=1e-9):
    assert abs(value - wanted) <= share * abs(wanted) + 1e-15, (value, wanted)


def rising(values):
    assert all(a < b for a, b in zip(values, values[1:], strict=False)), values


def span(row):
    return f"{row['hardness_low']}-{row['hardness_high']}"


@rule("cutting_speeds")
def speeds_as_printed(rows):
    wanted = {(r["group"], r["hardness"], "HSS", None, None): float(r["speed"])
              for r in second("cutting_speeds_by_grade")}  # fmt: skip
    for r in second("cutting_speeds"):
        place, depth = (r["group"], r["hardness"]), float(r["depth"])
        grade = {"M2": "HSS", "T15": "HSS, high alloy (T15, M42)"}[r["hss_grade"]]
        wanted[*place, grade, depth, float(r["hss_feed"])] = float(r["hss"])
        if r["carbide"]:
            wanted[*place, "coated carbide", depth, float(r["carbide_feed"])] = float(r["carbide"])
    for key, speed in list(wanted.items()):  # rows taken over for steels beside the printed ones
        group, hardness, tool, *cut = key
        if tool == "coated carbide" and (group, hardness) == ("1018", "125-175"):
            wanted["1018", "100-125", tool, *cut] = speed
        if tool == "coated carbide" and (group, hardness) == ("1215", "150-200"):
            wanted["12L14", hardness, tool, *cut] = speed
    found = {
        (r["group"], span(r), r["tool"], number(r["depth_in"]), number(r["feed_in"])): float(
            r["speed_ft_min"]
        )
        for r in rows
    }
    assert found == wanted


@rule("power_constants")
def power_as_printed_and_converted(rows):
    groups = {"plain carbon steel": "plain", "free-machining 1108 to 1132": "1108"}
    groups |= {"free-machining 1137 to 1151 with 1144": "1137"}
    groups |= {"alloy steel of the 4140 group": "4140"}
    found = [
        (groups[r["material"]], span(r), float(r["inch_value"]), float(r["value"])) for r in rows
    ]
    steels = {"plain": "1018 1045", "1108": "12L14 1215", "1137": "1144", "4140": "4140"}
    for row in rows:
        assert row["speed_groups"] == steels[groups[row["material"]]]
    printed = second("power_constants")
    assert found == [
        (r["material"], r["hardness"], float(r["inch"]), float(r["metric"])) for r in printed
    ]
    for *_, inch, metric in found:  # 1 hp min/in3 = 745.70 W * 60 s / 16387 mm3 = 2.7303 kW s/cm3
        assert abs(metric - 2.7303 * inch) < 0.006


@rule("feed_factors")
def feed_factors_of_both_systems(rows):
    """The metric half lies on the inch half, to the rounding of both."""
    inch = second("feed_factors")
    feeds = [25.4 * float(r["feed"]) for r in inch]
    factors = [float(r["factor"]) for r in inch]
    metric = [(float(r["feed"]), float(r["value"])) for r in rows]
    assert len(metric) == 23
    rising([feed for feed, _ in metric])
    rising([-value for _, value in metric])
    for feed, value in metric:
        if feed > 0.0254:
            line = np.exp(np.interp(math.log(feed), np.log(feeds), np.log(factors)))
            assert abs(value - line) < 0.021, (feed, value, line)
    assert metric[0] == (0.02, 1.7)
    # printed in hundredths of a millimeter, at every second or third one, then at twentieths
    assert [round(100 * feed) for feed, _ in metric] == [
        2, 5, 7, 10, 12, 15, 18, 20, 22, 25, 28, 30, 33, 35, 38, 40, 45, 50, 60, 70, 80, 90, 100
    ]  # fmt: skip


@rule("ball_bearings")
def bearings_as_in_the_charts(rows):
    assert [r["designation"] for r in rows] == [r["designation"] for r in second("ball_bearings")]
    for ours, printed in zip(rows, second("ball_bearings"), strict=True):
        inch = 25.4 if ours["series"] == "inch" else 1.0
        for key, cell in (("bore", "bore_mm"), ("outside", "outside_mm"), ("width", "width_mm"),
                          ("corner", "least_corner_mm"), ("fillet", "largest_fillet_mm")):  # fmt: skip
            near(float(ours[cell]), inch * number(printed[key]), 3e-5)
        code = re.fullmatch(r"6[02](\d\d)", ours["designation"])
        if code and code[1] >= "04":  # ISO 15: five times the last two digits
            assert float(ours["bore_mm"]) == 5 * int(code[1])


@rule("bearing_tolerances")
def bearing_tolerances_as_printed(rows):
    printed = second("bearing_tolerances")
    assert [
        (r["table"], float(r["up_to_mm"]), float(r["low_um"]), float(r["high_um"])) for r in rows
    ] == [(r["table"], float(r["to"]), float(r["low"]), float(r["high"])) for r in printed]
    for one, before in zip(rows, [{"table": ""}, *rows], strict=False):
        start = before["up_to_mm"] if one["table"] == before["table"] else "0"
        assert float(one["over_mm"]) == float(start)


@rule("iso286")
def limits_as_printed(rows):
    printed = second("iso286")
    assert [r["symbol"] for r in rows] == [r["symbol"] for r in printed]
    for ours, other in zip(rows, printed, strict=True):
        assert [float(v) for k, v in ours.items() if k.startswith("to_")] == [
            float(v) for k, v in other.items() if k != "symbol"
        ], ours["symbol"]


@rule("kt_coefficients")
def fits_as_printed(rows):
    assert len(rows) == len(second("kt_coefficients"))
    for ours, other in zip(rows, second("kt_coefficients"), strict=True):
        assert [ours[k] for k in ("shape", "source", "load")] == [
            other[k] for k in ("shape", "source", "load")
        ]
        low, high = (float(ours[f"{which}_step_over_radius"]) for which in ("least", "most"))
        assert f"{low:g}-{high:g}" == other["range"]
        for part in "1234":
            assert [float(ours[f"c{part}{k}"]) for k in "abc"] == numbers(other[f"C{part}"])


@rule("steels")
def steels_as_printed(rows):
    found = defaultdict(dict)
    for row in rows:
        found[row["steel"]][row["property"]] = float(row["value"])
    assert list(found) == [r["steel"] for r in second("steels")]
    for other in second("steels"):
        ours = found[other["steel"]]
        ksi = 6.894757 if other["unit"] == "ksi" else 1.0  # MPa
        near(ours["tensile_strength"], ksi * float(other["tensile"]), 2e-4)
        near(ours["yield_strength"], ksi * float(other["yield"]), 2e-4)
        near(ours["expansion"], 1e-6 * float(other["expansion"]))
        for key, name in (("hardness",) * 2, ("machinability",) * 2, ("conductivity",) * 2,
                          ("specific_heat",) * 2, ("specific_force",) * 2,
                          ("exponent", "thickness_exponent")):  # fmt: skip
            assert ours[name] == float(other[key]), (other["steel"], name)
        assert (ours["elastic_modulus"], ours["density"]) == (206, 7850)  # of all, from memory


@rule("steels")
def strength_follows_hardness(rows):
    """Su = 3.4 HB [MPa], textbooks' rule for steel, with the 10 % that bright bar and annealed have."""
    found = {(r["steel"], r["property"]): float(r["value"]) for r in rows}
    for steel in {r["steel"] for r in rows}:
        ratio = found[steel, "tensile_strength"] / found[steel, "hardness"]
        assert 3.0 < ratio < 3.65, (steel, ratio)
        assert found[steel, "yield_strength"] < found[steel, "tensile_strength"]


@rule("steels")
def units_and_conditions(rows):
    units = {"tensile_strength": "MPa", "yield_strength": "MPa", "hardness": "HB"}
    units |= {"machinability": "%", "elastic_modulus": "GPa", "density": "kg/m3"}
    units |= {"expansion": "1/K", "conductivity": "W/(m K)", "specific_heat": "J/(kg K)"}
    units |= {"specific_force": "N/mm2", "thickness_exponent": ""}
    for row in rows:
        assert row["unit"] == units[row["property"]]
        if row["property"] == "machinability":
            assert row["condition"] == "AISI 1212 = 100 %"


@rule("steels", "tool_angles")
def groups_are_known(rows):
    groups = {"1018", "1045", "1144", "4140", "12L14", "1215", "all"}
    assert {r["speed_group"] for r in rows} <= groups


@rule("tool_angles")
def angles_as_printed(rows):
    """A workshop handbook's table A-1 (machine steel, tool steel) and Jones, Turning and Boring."""
    machine = [(10, 12), (8, 8), (12, 18), (8, 15), (14, 20), (8, 8)]
    tough = [(10, 10), (8, 8), (12, 12), (8, 8), (9, 9), (5, 5)]
    names = ["side_relief", "end_relief", "side_rake", "back_rake", "side_rake", "back_rake"]
    wanted = [
        (group, name, *limits)
        for group in ("1018", "1045", "1144", "12L14", "1215", "4140")
        for name, limits in zip(names, tough if group == "4140" else machine, strict=True)
    ]
    wanted += [("all", "side_relief_for_blows", 2, 2), ("all", "side_clearance_below_relief", 4, 6)]
    assert [
        (r["speed_group"], r["angle"], float(r["low"]), float(r["high"])) for r in rows
    ] == wanted


def _small(table):
    return [numbers(r["numbers"]) for r in second("small_tables") if r["table"] == table]


def _numeric(row):
    """Numbers in the cells of a row, in order, but not in its words."""
    found = []
    for key, cell in row.items():
        if key not in WORDS:
            for part in re.split(r"[ :]", cell or ""):
                try:
                    found.append(float(part))
                except ValueError:
                    break
    return found


SMALL = ("balance_grades", "bushing_limits", "marin_surface", "bearing_corners", "center_holes", "air",
         "force_corrections", "undersizes", "running_clearances", "film_coefficients")  # fmt: skip


def _as_typed_again(table):
    def again(rows):
        assert [_numeric(row) for row in rows] == _small(table)

    return again


for _table in SMALL:
    RULES[_table].append(_as_typed_again(_table))


@rule("air")
def air_is_a_gas(rows):
    """Sutherland's viscosity and conductivity of air and the gas law at 1 atm, textbook constants."""
    for row in rows:
        kelvin = float(row["temperature_degc"]) + 273.15
        viscosity = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)
        density = 101325 / (287.05 * kelvin)
        heat = 2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10 ** (-12 / kelvin))
        near(float(row["viscosity_m2_s"]), viscosity / density, 0.01)
        near(float(row["conductivity_w_m_k"]), heat, 0.03)
        near(float(row["prandtl"]), 1007 * viscosity / heat, 0.04)


@rule("marin_surface")
def marin_in_both_systems(rows):
    """a Sut^b in MPa and in kpsi: one factor is the other times 6.8948^b, to their rounding."""
    for row in rows:
        factor, inch, power = (float(row[k]) for k in ("factor_mpa", "factor_kpsi", "exponent"))
        near(inch, factor * 6.894757**power, 0.005)


@rule("center_holes")
def centers_by_their_rule(rows):
    """ISO 6411: mouth 2.12 d; depth of a 60 deg cone and the pilot behind it, 0.9 d."""
    for row in rows:
        drill, mouth, depth = (float(row[k]) for k in ("drill", "mouth", "least_depth"))
        if row["standard"] == "ISO":
            near(mouth, 2.12 * drill, 0.015)
            assert row["name"] == f"A{drill:g}/{mouth:g}"
        else:
            near(depth, (mouth - drill) * math.sqrt(3) / 2 + 0.9 * drill, 0.03)


@rule("kt_solved")
def solved_table_is_smooth(rows):
    """On its even grid, and each value the cubic through its neighbors, along both directions."""
    loads = ["tension", "bending", "torsion"]
    steps, radii = np.geomspace(0.02, 5.0, 23), np.geomspace(0.01, 1.0, 25)
    found = np.array([[float(r[k]) for k in ("step_ratio", "radius_ratio", "kt")] for r in rows])
    assert len(found) == 3 * 23 * 25 and {r["load"] for r in rows} == set(loads)
    wanted = np.stack(np.meshgrid(steps, radii, indexing="ij"), axis=-1).reshape(-1, 2)
    assert np.allclose(found[:, :2], np.tile(wanted, (3, 1)), rtol=3e-6)
    logs = np.log(found[:, 2]).reshape(3, 23, 25)
    bend = np.array([1, -4, 6, -4, 1]) / 6
    for axis in (1, 2):
        line = np.moveaxis(logs, axis, -1)
        apart = sum(w * line[..., k : line.shape[-1] - 4 + k] for k, w in enumerate(bend))
        assert np.abs(apart).max() < 0.012, np.abs(apart).max()
    for load, table in zip(dict.fromkeys(r["load"] for r in rows), logs, strict=True):
        ends = table[:, :2], table[:, -2:], table[:2], table[-2:]
        assert load in loads and all(np.all(end >= 0) for end in ends)
        assert np.all(np.diff(table, axis=1) < 0)  # blunter is better


@cache
def sobol_shape(number):
    return module_at(Path(__file__).parent / "solids/corner_shapes.py").shape(number)


@rule("crank_corner")
def corners_at_their_sobol_points(rows):
    """A shape's ratios follow from its number, by the generator of the table."""
    assert len(rows) == 320
    for row in rows:
        wanted = sobol_shape(int(row["number"]))
        assert wanted and {k: row[k] for k in wanted} == {k: f"{v:.6g}" for k, v in wanted.items()}


# each row left out and predicted from the others, off by at most so many of its own standard
# deviations; two factors at once, whose solutions err alike, by their ratio
APART = {
    ("pin_bending",): 5.4,
    ("journal_bending",): 5,
    ("pin_three_point",): 4,
    ("journal_three_point",): 5.3,
    ("pin_tangential",): 3.8,
    ("journal_tangential",): 4.3,
    ("pin_torsion",): 4.3,
    ("journal_torsion",): 7.6,
    ("pin_bending", "pin_three_point"): 3,
    ("journal_bending", "journal_three_point"): 3.9,
    ("pin_tangential", "pin_torsion"): 4.6,
    ("journal_tangential", "journal_torsion"): 5.1,
    ("pin_bending", "pin_tangential"): 7,
    ("journal_bending", "journal_tangential"): 4.7,
}


@rule("crank_corner")
def corners_agree_with_each_other(rows):
    """Rows left out, in the closed form of the interpolation."""
    from crankmath.crank_corner import solved

    logs = {name: np.log([float(row[name]) for row in rows]) for name, *_ in APART}
    for (name, *other), most in APART.items():
        factor = solved.surrogates()[name].factor
        inverse = cho_solve((factor, True), np.eye(len(factor)))
        values = logs[name] - sum(logs[one] for one in other)
        off = np.abs(inverse @ values) / np.sqrt(np.diag(inverse))
        assert off.max() < most, (name, other, rows[int(off.argmax())]["number"], off.max())


@rule("practice_heights")
def heights_are_those_of_the_examples(rows):
    """Over the pin, throw up and down: their half difference is the throw, give or take an error of
    a tenth; their middle is the height of the axis over the plate and half a pin."""
    throw = {"pump": (18.0, 18.0, 90.0), "bellows": (0.625, 0.625, 3.5)}  # throw, pin, axis
    found = {row["name"]: float(row["true"]) for row in rows}
    for name, high in found.items():
        if name.endswith("throw up"):
            low = found[name.replace("throw up", "throw down")]
            radius, pin, axis = throw[name.split(",")[0]]
            near((high - low) / 2, radius, 0.002)
            near((high + low) / 2, axis + pin / 2, 0.0005)


@rule("measuring_sources")
def divisions_are_those_of_the_names(rows):
    for row in rows:
        told = re.search(r"([\d.]+) (mm|in)", row["name"])
        if told:
            near(float(row["division"]), float(told[1]) * {"mm": 1e3, "in": 25.4e3}[told[2]])


@rule("inserts")
def inserts_by_their_code(rows):
    """ISO 1832: the last two digits are tenths of the nose radius; the first letter's point angle
    leaves these holders their approach angles: C 95, D 93, T 91 degrees."""
    for row in rows:
        near(float(row["nose_radius"]), int(row["code"].split()[-1]) / 10)
        assert float(row["approach_angle"]) == {"C": 95, "D": 93, "T": 91}[row["code"][0]]
        assert float(row["least_depth"]) <= float(row["most_depth"])
        assert float(row["least_feed"]) < float(row["most_feed"])
        assert float(row["most_feed"]) <= 0.5 * float(row["nose_radius"])


DECIDED = ("crank_corner_fit", "inserts", "locked_in_stress", "measuring_sources", "causes", "bar_stock", "practice_dials",
           "practice_heights")  # fmt: skip
SETTINGS = ("lathe", "workshop", "pump", "bellows", "compressor", "organ", "job_defaults")


def flat(settings, before=""):
    """(key, numbers) of every setting that holds a number; of a start and its origin the start."""
    for key, value in settings.items():
        name = f"{before}{key}"
        if isinstance(value, dict):
            yield from flat(value, f"{name}.")
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for place, one in enumerate(value, 1):
                yield from flat(one, f"{name}{place}.")
        else:
            first = value[0] if isinstance(value, list) and isinstance(value[0], str) else value
            found = first if isinstance(first, list) else WRITTEN.findall(str(first))
            if found and key not in ("name", "steel"):
                yield name, [float(one) for one in found]


def listed(table, content):
    """(row, numbers) of a table or of settings, as decided.csv has them."""
    if table in SETTINGS:
        return list(flat(content))
    return [(next(iter(row.values())), _numeric(row)) for row in content]


def _as_decided(table):
    def decided(content):
        wanted = [
            (r["row"], numbers(r["numbers"])) for r in second("decided") if r["table"] == table
        ]
        assert listed(table, content) == wanted

    return decided


for _table in (*DECIDED, *SETTINGS):
    RULES[_table].append(_as_decided(_table))


@rule("pump", "bellows")
def examples_are_those_solved_in_the_solid(content):
    """Sizes [mm] typed for the solids that were made apart from the library."""
    with (Path(__file__).parent / "published/crank_corner_solid.csv").open() as lines:
        solid = {row["crank"]: row for row in csv.DictReader(lines)}[content["name"]]
    unit = 25.4 if content["units"] == "in" else 1.0
    throw, journal = content["throws"][0], content["journals"][0]
    for key, value in (("throw", throw["radius"]), ("main_diameter", journal["diameter"]),
                       ("main_fillet", journal["fillet"]), ("pin_fillet", throw["fillet"]),
                       ("half_main_length", journal["length"] / 2),
                       *((k, throw[k]) for k in ("pin_diameter", "pin_length", "web_thickness",
                                                  "web_width", "web_reach"))):  # fmt: skip
        near(unit * value, float(solid[key]), 1e-6)


@rule("organ", "compressor")
def throws_of_one_crank_are_alike(content):
    count = len(content["throws"])
    assert [one["angle_deg"] for one in content["throws"]] == [
        k * 360 / count for k in range(count)
    ]
    for part in ("throws", "journals"):
        ones = [{k: v for k, v in one.items() if k != "angle_deg"} for one in content[part]]
        assert ones[0] == ones[-1]
