"""Scaling laws of physics: an answer grows as a power of what is put in, whatever the sizes are.

Each row says which inputs grow, each as its own power of one factor, and how each part of the answer grows with it. The
exponents are those of the law in the row's words, never read off the library's answers. Hypothesis draws the factor; each
function starts from its plain call in calls.py. Warnings of a fit's range are let through: a law holds outside it too.

Similar bodies of one material: all lengths s times as large. With forces as s^2 the stresses stay and the motions grow as s;
masses grow as s^3, inertias as s^5, frequencies and speeds shrink as 1/s. (Similitude, as in any book on model tests.)
"""

import dataclasses
import functools
import math
import os
from typing import NamedTuple

import numpy as np
import pint
import pytest
from calls import CALLS, INSIDE, Q, functions, part, run
from hypothesis import given, settings
from hypothesis import strategies as st

pytestmark = pytest.mark.filterwarnings("ignore")
EXAMPLES = max(80, int(os.environ.get("SWEEP", "80")))  # factors for each row
AT_ONCE = 10  # factors in one draw: drawing takes longer than most of the functions
SLOW = 8  # a row marked slow, or one that builds a similar crank, takes over 2 ms a factor and has so many times fewer factors


class Law(NamedTuple):
    """One row: a function, what grows as which power of the factor, how the answer's parts grow, and why."""

    name: str
    grows: dict  # argument, or a field of each part of it as "modes.stiffness": power of the factor, or a function of the factor
    answer: dict  # path into the answer, as "pressure" or "0.frequency"; "" is all of it: exponent
    words: str
    start: dict = {}  # changes to the plain call
    most: float = 4.0  # the factor lies from one over this to this
    slow: bool = False
    close: float = 1e-9  # how exactly, as a share of the largest number


def grown(value, ratio):
    """Every length of a crank, a bar or another part, everything but angles of a list, or a plain value, times the ratio."""
    if isinstance(value, pint.Quantity):
        return (
            value
            if kind(value.units) == "dimensionless"
            else Q(value.magnitude * ratio, value.units)
        )
    if dataclasses.is_dataclass(value):
        found = {
            field.name: getattr(value, field.name)
            for field in dataclasses.fields(value)
            if field.init
        }
        return dataclasses.replace(
            value,
            **{name: grown(size, ratio) for name, size in found.items() if holds_length(size)},
        )
    if isinstance(value, dict):
        return {key: grown(size, ratio) for key, size in value.items()}
    if isinstance(value, (tuple, list)):
        sizes = [size if isinstance(size, (int, str)) else grown(size, ratio) for size in value]
        return type(value)(*sizes) if hasattr(value, "_fields") else type(value)(sizes)
    return value * ratio


@functools.cache
def kind(units):
    return str(units.dimensionality)


def holds_length(value):
    if isinstance(value, pint.Quantity):
        return kind(value.units) == "[length]"
    return dataclasses.is_dataclass(value) or isinstance(value, (tuple, dict)) and bool(value)


def changed(values, where, power, factor):
    """Name of an argument, and its grown value."""
    word, _, field = where.partition(".")
    if callable(power):
        return word, power(factor)
    if not field:
        return word, grown(values[word], factor**power)
    parts = values[word] if isinstance(values[word], tuple) else (values[word],)
    parts = tuple(
        dataclasses.replace(one, **{field: grown(getattr(one, field), factor**power)})
        for one in parts
    )
    return word, parts if isinstance(values[word], tuple) else parts[0]


def numbers(answer, unit=None):
    """All numbers of a part of an answer, in the units of the plain one."""
    if isinstance(answer, pint.Quantity):
        return np.ravel(answer.m_as(unit or answer.units))
    if isinstance(answer, dict):
        return numbers(tuple(answer.values()))
    if isinstance(answer, (tuple, list)):
        return np.concatenate(
            [
                numbers(one.to_base_units() if isinstance(one, pint.Quantity) else one)
                for one in answer
            ]
        )
    return np.ravel(answer)


def taken(answer, path):
    for step in filter(None, path.split(".")):
        answer = answer[int(step)] if step.isdigit() else getattr(answer, step)
    return answer


def check(law, factor, values, plain):
    """The answer at a factor against the plain one, path by path, and the law."""
    changes = dict(law.start)
    for where, power in law.grows.items():
        word, value = changed(values | changes, where, power, factor)
        changes[word] = value
    answer = (
        run(law.name, **changes) if "parts" in values else functions()[law.name](**values | changes)
    )  # run looks up the call anew
    for (path, exponent), (old, unit) in zip(law.answer.items(), plain, strict=True):
        new, times = numbers(taken(answer, path), unit), factor**exponent
        off = np.abs(new - old * times) if new.shape == old.shape else np.full(old.shape, np.inf)
        if not off.max() <= law.close * np.abs(old).max() * times:
            worst = np.argmax(np.where(old != 0, off, -1))
            found = (
                f"grew {new[worst] / old[worst]:.9g} times"
                if new.shape == old.shape
                else f"has {new.size} numbers in the place of {old.size}"
            )
            pytest.fail(
                f"{law.name}: with {', '.join(f'{word}^{power:g}' if not callable(power) else word for word, power in law.grows.items())} "
                f"grown by the factor {factor:.6g}, {path or 'the answer'} must grow {times:.9g} times, exponent {exponent:g} "
                f"({law.words}); it {found}"
            )


# Published constants that are exponents of a law
KIENZLE = 0.14  # m_c of C45: Dietrich/Tschaetsch, beside k_c1.1 = 2220 N/mm2, from memory
SPEED_CORRECTION = 0.153  # of Kienzle's force at 20 to 100 m/min, high-speed steel: from memory
MACHINED = -0.217  # b of Marin's surface factor, machined: Shigley, 11th ed., Table 6-2
SIZE = -0.107  # of Marin's size factor, 2.79 to 51 mm: Shigley, eq. 6-20
PETERSON = -1.8  # of his notch length over the tensile strength, steel: from memory
TAYLOR = math.log(160 / 100) / math.log(41 / 5)  # n of the plain call's two tests: v T^n = C

BEAM = {"side_force": Q(0, "N"), "offset": Q(0, "mm")}
STILL = {"cylinders": dataclasses.replace(CALLS["turn_loads"]()["cylinders"], push=Q(0, "N"))}
PIN = next(place for place in part("places") if place.kind == "pin")


def rows(words, *entries):
    """Several laws under one name: (function, what grows, how the answer grows)."""
    return [
        Law(name, grows, answer, words, **options[0] if options else {})
        for name, grows, answer, *options in entries
    ]


LAWS = [
    # turning: speeds, times, finish, tool life
    Law("spindle_speed", {"cutting_speed": 1}, {"": 1}, "n = v/(pi d)"),
    Law("spindle_speed", {"diameter": 1}, {"": -1}, "n = v/(pi d)"),
    Law("surface_speed", {"spindle_speed": 1}, {"": 1}, "v = pi d n"),
    Law("surface_speed", {"diameter": 1}, {"": 1}, "v = pi d n"),
    Law("unbalanced_speed_limit", {"force": 1}, {"": 0.5}, "F = m e omega^2"),
    Law("unbalanced_speed_limit", {"mass": 1}, {"": -0.5}, "F = m e omega^2"),
    Law("unbalanced_speed_limit", {"offset": 1}, {"": -0.5}, "F = m e omega^2"),
    Law("cutting_time", {"length": 1}, {"": 1}, "t = L i/(f n)"),
    Law("cutting_time", {"feed": 1}, {"": -1}, "t = L i/(f n)"),
    Law("cutting_time", {"spindle_speed": 1}, {"": -1}, "t = L i/(f n)"),
    Law("removal_rate", {"cutting_speed": 1}, {"": 1}, "Q = v f a"),
    Law("removal_rate", {"feed": 1}, {"": 1}, "Q = v f a"),
    Law("removal_rate", {"depth": 1}, {"": 1}, "Q = v f a"),
    Law("tool_life", {"cutting_speed": 1}, {"": -8}, "Taylor: T = (C/v)^(1/n), n = 1/8"),
    Law("tool_life", {"constant": 1}, {"": 8}, "Taylor: T = (C/v)^(1/n), n = 1/8"),
    Law(
        "taylor_fit",
        {"life_1": 1, "life_2": 1},
        {"0": 0, "1": TAYLOR},
        "Taylor: C = v T^n; n hangs on the ratio of the lives alone",
    ),
    Law(
        "taylor_fit",
        {"speed_1": 1, "speed_2": 1},
        {"0": 0, "1": 1},
        "Taylor: C = v T^n; n hangs on the ratio of the speeds alone",
    ),
    Law("ideal_roughness", {"feed": 1}, {"0": 2, "1": 2}, "Rt = f^2/(8 r)"),
    Law("ideal_roughness", {"nose_radius": 1}, {"0": -1, "1": -1}, "Rt = f^2/(8 r)"),
    Law("wide_tool_roughness", {"feed": 1}, {"0": 1, "1": 1}, "Rt = f tan(tilt)"),
    Law("feed_for_roughness", {"mean_roughness": 1}, {"": 0.5}, "f^2 = c Ra r"),
    Law("feed_for_roughness", {"nose_radius": 1}, {"": 0.5}, "f^2 = c Ra r"),
    # cutting force, power, the chip
    Law("chip_section", {"depth": 1}, {"0": 1, "1": 0}, "b = a/sin(kappa), h = f sin(kappa)"),
    Law("chip_section", {"feed": 1}, {"0": 0, "1": 1}, "b = a/sin(kappa), h = f sin(kappa)"),
    Law(
        "specific_cutting_force", {"chip_thickness": 1}, {"": -KIENZLE}, "Kienzle: kc = kc1.1 h^-mc"
    ),
    Law("specific_cutting_force", {"cutting_speed": 1}, {"": -SPEED_CORRECTION}, "Kv = c v^-0.153"),
    Law("cutting_force", {"width": 1}, {"": 1}, "Kienzle: Fc = kc1.1 b h^(1-mc)"),
    Law(
        "cutting_force", {"chip_thickness": 1}, {"": 1 - KIENZLE}, "Kienzle: Fc = kc1.1 b h^(1-mc)"
    ),
    Law(
        "thin_chip_force",
        {"chip_thickness": lambda factor: Q(0.04, "mm") * factor},
        {"0": -KIENZLE},
        "Kienzle drawn on: kc = kc1.1 h^-mc",
        {"chip_thickness": Q(0.04, "mm")},
        2.4,
    ),
    Law("dynamic_force", {"chip_thickness": 1}, {"": -KIENZLE}, "dF/dh of b kc1.1 h^(1-mc)"),
    Law("dynamic_force", {"passive_share": 1}, {"": 1}, "K = Fp/Fc dFc/dh"),
    Law(
        "force_components",
        {"cutting_force": 1},
        {"cutting": 1, "feed": 1, "passive": 1, "resultant": 1},
        "fixed shares",
    ),
    Law("cutting_power", {"force": 1}, {"": 1}, "P = F v"),
    Law("cutting_power", {"cutting_speed": 1}, {"": 1}, "P = F v"),
    Law("power_limited_width", {"power": 1}, {"": 1}, "b = eta P/(v h kc)"),
    Law("power_limited_width", {"efficiency": 1}, {"": 1}, "b = eta P/(v h kc)", most=1.3),
    Law(
        "power_limited_width",
        {"chip_thickness": 1},
        {"": KIENZLE - 1},
        "b = eta P/(v kc1.1 h^(1-mc))",
    ),
    Law(
        "power_limited_width",
        {"cutting_speed": 1},
        {"": SPEED_CORRECTION - 1},
        "b = eta P/(v h kc), kc as v^-0.153",
    ),
    Law("handbook_power", {"removal_rate": 1}, {"": 1}, "P = Kp C Q W", slow=True),
    Law("handbook_power", {"wear_factor": 1}, {"": 1}, "P = Kp C Q W", most=1.3, slow=True),
    Law(
        "measured_shear_angle",
        {"layer_thickness": 1, "chip_thickness": 1},
        {"": 0},
        "tan(phi) = r cos/(1 - r sin), r a ratio",
    ),
    Law(
        "unbalance_pull",
        {"mass": 1, "offset": 1, "spindle_speed": 1},
        {"": 4},
        "F = m e omega^2",
    ),
    Law("torque_at_spindle", {"spindle_speed": 1}, {"": -1}, "T = P/omega of a geared lathe"),
    Law("largest_force", {"diameter": 1}, {"": -1}, "F = 2 T/d"),
    Law("power_at_edge", {"spindle_speed": 1}, {"": 0}, "gears hand on the motor's power"),
    Law(
        "edge_in_cut",
        {"depth": 1, "feed": 1, "nose_radius": 1},
        {"length": 1, "thickness": 1, "radial_length": 1, "axial_length": 1, "passive_share": 0},
        "geometry of one shape",
    ),
    Law("drive_torque", {"cutting_force": 1}, {"": 1}, "T = F d/2"),
    Law("drive_torque", {"diameter": 1}, {"": 1}, "T = F d/2"),
    Law("center_friction_torque", {"thrust": 1}, {"": 1}, "Coulomb: T = mu P r/sin"),
    Law("center_friction_torque", {"friction": 1}, {"": 1}, "Coulomb: T = mu P r/sin"),
    Law(
        "center_friction_torque",
        {"large_diameter": 1, "small_diameter": 1},
        {"": 1},
        "Coulomb: T = mu P r/sin",
    ),
    Law("bolt_reach", {"force": 1}, {"": -1}, "x = σ W/F"),
    Law("bolt_reach", {"diameter": 1}, {"": 3}, "x = σ W/F, W = π d³/32"),
    Law("dog_force", {"torque": 1, "friction_torque": 1}, {"": 1}, "F = (T + Tf)/r"),
    Law("dog_force", {"radius": 1}, {"": -1}, "F = (T + Tf)/r"),
    # plane geometry: similar figures
    *rows(
        "similar figures: angles and shares stay",
        ("bar_share", {"radius": 1, "bar_diameter": 1, "offset": 1}, {"": 0}),
        ("front_angle", {"web_width": 1, "radius": 1}, {"": 0}),
        ("web_share", {"crank": 1, "radius": 1}, {"": 0}),
        ("height_effect", {"height": 1, "diameter": 1}, {"": 0}),
        (
            "phase_between",
            {"first_height": 1, "first_throw": 1, "second_height": 1, "second_throw": 1},
            {"": 0},
        ),
    ),
    *rows(
        "similar figures: lengths as s, areas as s^2, volumes as s^3, angles stay",
        ("wide_tool_roughness", {"feed": 1, "edge_width": 1}, {"0": 1, "1": 1}),
        (
            "chain_of_holes",
            {"slot_width": 1, "floor": 1, "hole_diameter": 1, "ligament": 1},
            {"holes": 0, "pitch": 1, "drilled_length": 1, "drilled_volume": 3, "teeth": 1},
            {"start": {"slot_width": Q(21.3, "mm")}},
        ),
        ("corner_stops", {"height": 1, "fillet": 1, "allowance": 1}, {"": 1}),
        (
            "corner_stock",
            {"fillet": 1, "nose_radius": 1, "allowance": 1},
            {"wall": 1, "middle": 1, "area": 2},
        ),
        (
            "pass_plan",
            {"start_diameter": 1, "final_diameter": 1, "rough_depth": 1, "finish_allowance": 1},
            {"roughing": 1, "finishing": 1, "rough_depth": 1},
            {"start": {"rough_depth": Q(1.01, "mm")}},
        ),
        ("flank_gap", {"depth_below": 1, "feed": 1, "radius": 1}, {"": 1}),
        ("web_swing", {"crank": 1}, {"": 1}),
        (
            "blade_fit",
            {
                "crank": 1,
                "thickness": 1,
                "reach": 1,
                "edge_width": 1,
                "bar_diameter": 1,
                "bar_offset": 1,
            },
            {"reach_needed": 1, "reach_room": 1, "side_room": 1, "most_skew": 0},
        ),
        ("pin_places", {"crank": 1}, {"": 1}),
        ("web_corners", {"crank": 1}, {"": 1}),
        ("throw_direction", {"throw": 1}, {"": 0}),
        ("smallest_circle", {"points": 1}, {"0": 1, "1": 1}),
        (
            "smallest_bar",
            {"crank": 1, "allowance": 1, "center_end": 1},
            {"width": 1, "height": 1, "middle_y": 1, "length": 1, "bow": 1},
        ),
        (
            "center_layout",
            {"crank": 1, "bar": 1},
            {
                "points.0.from_left": 1,
                "points.0.from_bottom": 1,
                "points.1.clear": 1,
                "points.1.swing": 1,
            },
        ),
        (
            "pin_axis",
            {"crank": 1, "right_error": 1, "left_error": 1, "bar_length": 1},
            {"throw": 1, "throw_error": 1, "phase_error": 0, "twist": 0},
        ),
        ("hole_room", {"layout": 1, "hole": 1, "least_wall": 1}, {"0.to_edge": 1, "0.to_next": 1}),
        (
            "throw_plate",
            {"crank": 1, "hole": 1, "bore": 1, "wall": 1},
            {"diameter": 1, "lug_length": 1, "lug_width": 1, "thickness": 1},
        ),
        (
            "left_section",
            {"bar": 1, "flat_depth": 1},
            {"area": 2, "middle_y": 1, "second_moment_x": 4, "second_moment_y": 4},
            {"slow": True, "close": 1e-7},
        ),
        (
            "regions",
            {"crank": 1, "bar": 1},
            {"0.bar": 3, "0.kept": 3, "0.removed": 3, "0.length": 1},
            {"slow": True},
        ),
        (
            "milled_block",
            {"crank": 1, "bar": 1, "allowance": 1},
            {"milled": 3, "left": 3, "saved": 0, "swing": 1, "slot_width": 1, "floor": 1},
            {"slow": True},
        ),
        (
            "dead_centers",
            {"throw": 1, "rod_length": 1, "offset": 1},
            {"outer_angle": 0, "inner_angle": 0, "stroke": 1},
        ),
        ("swept_volume", {"bore": 1, "throw": 1, "rod_length": 1, "offset": 1}, {"": 3}),
        (
            "position_error",
            {"throw": 1, "rod_length": 1, "throw_error": 1, "rod_error": 1, "offset": 1},
            {"": 1},
        ),
        (
            "compression",
            {
                "bore": 1,
                "throw": 1,
                "rod_length": 1,
                "clearance_volume": 3,
                "throw_error": 1,
                "rod_error": 1,
                "offset": 1,
            },
            {"swept": 3, "clearance": 3, "ratio": 0, "rise": 1},
        ),
        (
            "travel_of_throws",
            {"crank": 1, "rod_length": 1, "throw_errors": 1, "offset": 1},
            {"": 1},
        ),
        (
            "shared_compression",
            {
                "crank": 1,
                "bore": 1,
                "rod_length": 1,
                "clearance_volume": 3,
                "throw_errors": 1,
                "offset": 1,
            },
            {"swept": 3, "clearance": 3, "ratio": 0, "rise": 1},
        ),
        ("stand_off", {"fillet": 1, "corner": 1}, {"": 1}),
        ("felt_gap", {"goes": 1, "stops": 1}, {"gap": 1, "uncertainty": 1}),
        (
            "shim_pack",
            {"gap": 1, "base_length": 1, "shims": 1, "shortest": 1, "longest": 1},
            {"shims": 1, "length": 1},
            {"start": {"gap": Q(22.003, "mm")}, "slow": True},
        ),
        ("throw_from_heights", {"top": 1, "bottom": 1, "pin_diameter": 1}, {"": 1}),
        (
            "pin_parallelism",
            {"top": 1, "bottom": 1, "front": 1, "back": 1, "distance": 1, "throw": 1},
            {"bend": 0, "across": 0, "twist": 0},
            {"close": 1e-8},
        ),
        (
            "swing_check",
            {"layout": 1, "lathe": 1, "swing_over_carriage": 1},
            {"0.swing": 1, "0.over_bed": 1, "0.over_carriage": 1},
            {"start": {"lathe": part("load_lathe")}},
        ),
        (
            "handwheel_moves",
            {"layout": 1, "lead": 1, "backlash": 1},
            {"0.x": 1, "0.y": 1, "0.turns_x": 0, "0.rest_x": 1},
            {"close": 1e-8},
        ),
    ),
    # inspection
    Law("pin_parallelism", {"distance": 1}, {"bend": -1, "across": -1}, "slope = height/distance"),
    Law(
        "dial",
        {"eccentricity": 1, "lobes": 1},
        {"": 1},
        "a Fourier series is linear in its amplitudes",
    ),
    Law(
        "fit_runout",
        {"reading": 1, "repeatability": 1, "division": 1},
        {"eccentricity": 1, "direction": 0, "form_error": 1, "residuals": 1, "swing": 1},
        "least squares is linear in the readings",
        slow=True,
        close=1e-7,
    ),
    Law(
        "expected_budget",
        {"division": 1, "indicator": 1, "support": 1},
        {"standard": 1, "expanded": 1},
        "parts add as squares",
    ),
    Law("reading_on_vees", {"runout": 1}, {"": 1}, "a Fourier series is linear in its amplitudes"),
    Law("form_from_vee", {"runout": 1}, {"": 1}, "a Fourier series is linear in its amplitudes"),
    Law(
        "runout_budget",
        {"runout": 1, "indicator": 1, "support": 1},
        {"value": 1, "standard": 1, "expanded": 1},
        "GUM: sums of squares, homogeneous",
        slow=True,
        close=1e-6,
    ),
    Law(
        "outline_at_rest",
        {"outline": 1},
        {"": 1},
        "small motions on two contacts are linear in the outline",
        slow=True,
        close=1e-8,
    ),
    Law(
        "bend_of_mains",
        {"runouts": lambda factor: bent(factor)},
        {"0": 1},
        "offset from a chord is linear in the offsets",
        {"runouts": ()},
    ),
    Law("source", {"half_width": 1}, {"standard": 1}, "GUM: u = a/sqrt(3)"),
    Law(
        "combine",
        {
            "sources": lambda factor: (
                run("source", value=Q(20, "mm") * factor, half_width=Q(2, "um") * factor),
                CALLS["combine"]()["sources"][1],
            )
        },
        {"value": 1, "standard": 1, "expanded": 1, "coverage_factor": 0},
        "GUM: u = |df/dx| u(x), a model linear in the length",
        slow=True,
        close=1e-6,
    ),
    Law(
        "monte_carlo",
        {
            "sources": lambda factor: (
                run("source", value=Q(20, "mm") * factor, half_width=Q(2, "um") * factor),
                CALLS["combine"]()["sources"][1],
            )
        },
        {"value": 1, "standard": 1, "low": 1, "high": 1},
        "same draws, a model linear in the length",
        close=1e-7,
    ),
    # motion and service loads
    Law(
        "piston_motion",
        {"speed": 1},
        {"travel": 0, "velocity": 1, "acceleration": 2, "rod_angle": 0},
        "kinematics: v as omega, a as omega^2",
        slow=True,
    ),
    Law(
        "piston_motion",
        {"throw": 1, "rod_length": 1, "offset": 1},
        {"travel": 1, "velocity": 1, "acceleration": 1, "rod_angle": 0},
        "similar linkages",
        slow=True,
    ),
    Law("swept_volume", {"bore": 1}, {"": 2}, "V = pi d^2 s/4"),
    Law("piston_force", {"pressure": 1}, {"": 1}, "F = p pi d^2/4"),
    Law("piston_force", {"bore": 1}, {"": 2}, "F = p pi d^2/4"),
    Law("pump_pressure", {"delivery": 1, "suction": 1}, {"": 1}, "homogeneous in the pressures"),
    Law(
        "compressor_pressure",
        {"suction": 1, "delivery": 1, "atmosphere": 1},
        {"": 1},
        "p V^n = constant, homogeneous in the pressures",
        {"suction": Q(0.02, "MPa"), "atmosphere": Q(0.1013, "MPa")},
    ),
    Law(
        "compressor_pressure",
        {"throw": 1, "rod_length": 1},
        {"": 0},
        "p V^n = constant, shares of the stroke alone",
    ),
    Law("rod_forces", {"push": 1}, {"0": 1, "1": 1, "2": 1}, "statics is linear in the force"),
    Law(
        "rod_forces",
        {"throw": 1, "rod_length": 1, "offset": 1},
        {"0": 0, "1": 0, "2": 0},
        "similar linkages",
    ),
    Law(
        "turn_loads",
        {"cylinders.push": 1, "cylinders.moving_mass": 1},
        {"rod_force": 1, "tangential": 1, "torque": 1, "bearing_force": 1},
        "statics is linear in the force",
        slow=True,
    ),
    Law(
        "turn_loads",
        {"speed": 1},
        {"rod_force": 2, "tangential": 2, "torque": 2, "bearing_force": 2},
        "inertia as omega^2, nothing else pushes",
        STILL,
        slow=True,
    ),
    Law(
        "turn_loads",
        {
            "crank": 1,
            "cylinders.rod_length": 1,
            "cylinders.push": 2,
            "cylinders.moving_mass": 3,
            "speed": -1,
        },
        {"rod_force": 2, "torque": 3, "bearing_force": 2, "bearing_position": 1},
        "similar engines: force as s^2, torque as s^3",
        slow=True,
    ),
    Law(
        "engine_pressure",
        {"peak_pressure": 1, "inlet": 1, "exhaust": 1, "atmosphere": 1},
        {"": 1},
        "p V^n = constant, homogeneous in the pressures",
    ),
    Law("engine_cylinder", {"bore": 1}, {"push": 2}, "F = p A"),
    # stress risers of a shaft
    Law("keyseat", {"diameter": 1, "radius": 1}, {"": 0}, "similar shafts"),
    Law("cross_hole", {"diameter": 1, "hole": 1, "bore": 1}, {"": 0}, "similar shafts"),
    Law("hub_edge", {"ultimate_strength": 1}, {"": 0.43}, "DIN 743: power of the strength"),
    Law(
        "weak_spots.hub_edge",
        {"ultimate_strength": 1},
        {"bending_factor": 0.43, "torsion_factor": 0.43},
        "DIN 743: power of the strength",
    ),
    # balance
    Law("permissible_unbalance", {"mass": 1}, {"": 1}, "ISO 21940: U = G m/omega"),
    Law("permissible_unbalance", {"speed": 1}, {"": -1}, "ISO 21940: U = G m/omega"),
    Law("permissible_unbalance", {"grade": 1}, {"": 1}, "ISO 21940: U = G m/omega"),
    Law("unbalance_at_mains", {"unbalances": 1}, {"0": 1, "1": 0}, "U = m r, statics linear"),
    Law("unbalance_at_mains", {"crank": 1}, {"0": 0, "1": 0}, "levers enter as ratios"),
    Law("unbalance_in_planes", {"unbalances": 1}, {"0": 1, "1": 0}, "U = m r, statics linear"),
    Law(
        "unbalance_in_planes",
        {"positions": 1, "planes": 1},
        {"0": 0, "1": 0},
        "levers enter as ratios",
    ),
    Law(
        "counterweight",
        {"thickness": 1, "outer_radius": 1, "inner_radius": 1, "unbalance": 4},
        {"half_angle": 0, "mass": 3, "center_radius": 1},
        "U = rho t x third power of radii",
    ),
    Law(
        "counterweight",
        {"density": 1, "unbalance": 1},
        {"half_angle": 0, "mass": 1, "center_radius": 0},
        "U = m r",
    ),
    Law(
        "counterweight",
        {"thickness": 1, "unbalance": 1},
        {"half_angle": 0, "mass": 1, "center_radius": 0},
        "U = m r",
    ),
    Law(
        "largest_web_counterweight", {"throw": 1, "outer_radius": 1}, {"": 4}, "m r, similar bodies"
    ),
    Law("largest_web_counterweight", {"density": 1}, {"": 1}, "m r"),
    Law(
        "web_counterweight",
        {"throw": 1, "outer_radius": 1, "unbalance": 4},
        {"half_angle": 0, "mass": 3, "center_radius": 1},
        "m r, similar bodies",
        slow=True,
    ),
    Law(
        "web_counterweight",
        {"density": 1, "unbalance": 1},
        {"half_angle": 0, "mass": 1, "center_radius": 0},
        "m r",
        slow=True,
    ),
    Law(
        "balance_mass",
        {"rotating_mass": 1, "reciprocating_mass": 1},
        {"": 1},
        "m_b r_b = (m + share m_r) r",
    ),
    Law("balance_mass", {"throw": 1}, {"": 1}, "m_b r_b = (m + share m_r) r"),
    Law("balance_mass", {"balance_radius": 1}, {"": -1}, "m_b r_b = (m + share m_r) r"),
    Law(
        "counterweights_for",
        {"crank": 1, "outer_radius": 1, "turning_mass": 3, "moving_mass": 3},
        {"wanted": 4, "given": 4, "half_angle": 0, "mass": 3},
        "m r, similar bodies",
        slow=True,
    ),
    Law(
        "counterweights_for",
        {"density": 1, "turning_mass": 1, "moving_mass": 1},
        {"wanted": 1, "given": 1, "half_angle": 0, "mass": 1},
        "m r",
        slow=True,
    ),
    Law(
        "shaking_forces", {"speed": 1}, {"primary": 2, "secondary": 2}, "F = m e omega^2", slow=True
    ),
    Law(
        "shaking_forces",
        {"reciprocating_mass": 1},
        {"primary": 1, "secondary": 1},
        "F = m e omega^2",
        slow=True,
    ),
    Law(
        "shaking_forces",
        {"throw": 1, "rod_length": 1},
        {"primary": 1, "secondary": 1},
        "F = m e omega^2, lambda a ratio",
        slow=True,
    ),
    Law(
        "shaking_forces",
        {"rod_length": 1},
        {"primary": 0, "secondary": -1},
        "F2 = m e omega^2 e/l",
        most=1.3,
        slow=True,
    ),  # from 4 throws, where a warning begins at 3
    Law(
        "crank_shaking", {"speed": 1}, {"primary": 2, "secondary": 2}, "F = m e omega^2", slow=True
    ),
    Law(
        "crank_shaking",
        {"crank": 1, "turning_mass": 3, "moving_mass": 3, "rod_length": 1, "speed": -1},
        {"primary.0": 2, "secondary.0": 2},
        "similar engines: force as s^2",
        slow=True,
    ),
    Law(
        "least_shaking_share",
        {"throw": 1, "rod_length": 1},
        {"": 0},
        "lambda = e/l alone",
        slow=True,
    ),
    Law(
        "from_trial_weights",
        {"weights": 1},
        {"unbalance": 1, "heavy_side": 0, "rolling": 1},
        "U = m r",
    ),
    Law(
        "from_trial_weights",
        {"radius": 1},
        {"unbalance": 1, "heavy_side": 0, "rolling": 1},
        "U = m r",
    ),
    Law(
        "least_found_unbalance", {"mass": 1}, {"": 1}, "U = m x arm of rolling friction", slow=True
    ),
    Law(
        "least_found_unbalance",
        {"rolling_arm": 1},
        {"": 1},
        "U = m x arm of rolling friction",
        slow=True,
    ),
    Law(
        "swing_period",
        {"unbalance": 1, "mass": 1, "axis_inertia": 1},
        {"": 0},
        "a pendulum's time does not hang on its density",
    ),
    Law(
        "swing_period",
        {"unbalance": 4, "mass": 3, "axis_inertia": 5, "journal_diameter": 1},
        {"": 0.5},
        "similar pendulums: T as sqrt(l/g)",
    ),
    Law(
        "unbalance_of_swing",
        {"mass": 1, "axis_inertia": 1},
        {"": 1},
        "a pendulum's time does not hang on its density",
    ),
    Law(
        "unbalance_of_swing",
        {"mass": 3, "axis_inertia": 5, "journal_diameter": 1, "period": 0.5},
        {"": 4},
        "similar pendulums: T as sqrt(l/g)",
    ),
    Law("throw_unbalance", {"crank": 1}, {"": 4}, "m r, similar bodies", slow=True),
    Law("throw_unbalance", {"density": 1}, {"": 1}, "m r", slow=True),
    Law("mass_properties", {"crank": 1}, {"mass": 3, "center": 1, "inertia": 5}, "similar bodies"),
    Law("mass_properties", {"density": 1}, {"mass": 1, "center": 0, "inertia": 1}, "m = rho V"),
    Law(
        "turning_balance", {"density": 1}, {"mass": 1, "offset": 0, "counterweight": 1}, "m = rho V"
    ),
    Law(
        "turning_balance",
        {"radius": 1},
        {"mass": 0, "offset": 0, "counterweight": -1},
        "m_c r_c = m e",
    ),
    Law(
        "turning_balance",
        {"layout": 1, "radius": 1},
        {"mass": 3, "offset": 1, "counterweight": 3},
        "similar bodies",
    ),
    # what gives: beams, frame, thrust
    Law(
        "tool_bending",
        {"force": 1, "side_force": 1},
        {"down": 1, "aside": 1, "dig_in": 1, "twist": 1, "stress": 1, "stiffness_down": 0},
        "Hooke",
    ),
    Law(
        "tool_bending",
        {"elastic_modulus": 1},
        {"down": -1, "aside": -1, "dig_in": -1, "twist": -1, "stress": 0, "stiffness_down": 1},
        "Hooke",
    ),
    Law("tool_bending", {"sections.length": 1}, {"stress": 1}, "sigma = 6 F L/(t h^2)", BEAM),
    Law("tool_bending", {"sections.height": 1}, {"stress": -2}, "sigma = 6 F L/(t h^2)", BEAM),
    Law(
        "tool_bending",
        {"sections.thickness": 1},
        {"down": -1, "dig_in": -1, "stress": -1},
        "I = t h^3/12 and A = t h",
        BEAM,
    ),
    Law(
        "tool_bending",
        {"sections": 1, "offset": 1, "force": 2, "side_force": 2},
        {"down": 1, "aside": 1, "dig_in": 1, "twist": 0, "stress": 0, "stiffness_down": 1},
        "similar bodies: stress stays, motions as s",
    ),
    Law(
        "tool_stiffness",
        {"sections": 1, "post": 1, "post_tilt": 3},
        {"": 1},
        "similar bodies: force s^2 over motion s",
    ),
    Law(
        "radial_compliance",
        {"crank": 1},
        {"": -1},
        "similar bodies: motion s over force s^2",
        close=1e-7,
    ),
    Law("out_of_round", {"force": 1, "tangential_force": 1}, {"": 1}, "Hooke", close=1e-8),
    Law(
        "out_of_round",
        {"crank": 1, "force": 2, "tangential_force": 2},
        {"": 1},
        "similar bodies",
        slow=True,
        close=1e-7,
    ),
    Law("soft_direction", {"crank": 1}, {"": 0}, "similar bodies", close=1e-7),
    Law(
        "large_direction",
        {"force": 1, "tangential_force": 1},
        {"": 0},
        "Hooke",
        slow=True,
        close=1e-6,
    ),
    Law("large_direction", {"crank": 1}, {"": 0}, "similar bodies", slow=True, close=1e-6),
    Law("size_error", {"force": 1}, {"": 1}, "Hooke"),
    Law("size_error", {"crank": 1, "force": 2}, {"": 1}, "similar bodies", close=1e-7),
    Law(
        "repeated_pass_error",
        {"first_error": 1},
        {"": 1},
        "each pass leaves one share of the error",
    ),
    Law(
        "repeated_pass_error",
        {"work_stiffness": 1, "cutting_stiffness": 1},
        {"": 0},
        "the share is a ratio of stiffnesses",
    ),
    Law(
        "squeeze", {"thrust": 1}, {"closure": 1, "slope": 1}, "Hooke", {"spacers": None}, slow=True
    ),
    Law(
        "squeeze",
        {"crank": 1, "thrust": 2, "spacers": 1},
        {"closure": 1, "slope": 0, "spacer_force": 2},
        "similar bodies",
        slow=True,
        close=1e-7,
    ),
    Law(
        "runout_for_misfit",
        {"crank": 1, "thrust": 2, "spacer": 1, "misfit": 1},
        {"": 1},
        "similar bodies",
        slow=True,
        close=1e-7,
    ),
    Law(
        "misfit_limits",
        {"crank": 1, "thrust": 2, "spacer": 1, "allowed_runout": 1},
        {"0": 1, "1": 1},
        "similar bodies",
        slow=True,
        close=1e-6,
    ),
    Law(
        "gripped_misfit",
        {"crank": 1, "thrust": 2, "spacers": 1, "longest": 1},
        {"": 1},
        "similar bodies",
        slow=True,
        close=1e-6,
    ),
    Law(
        "gripping_thrust",
        {"crank": 1, "most": 2, "spacers": 1, "shortest": 1, "longest": 1},
        {"": 2},
        "similar bodies",
        slow=True,
        close=1e-6,
    ),
    Law(
        "best_misfit",
        {"crank": 1, "thrust": 2, "spacer": 1},
        {"": 1},
        "similar bodies",
        slow=True,
        close=1e-6,
    ),
    Law(
        "squeeze_budget",
        {
            "crank": 1,
            "thrust": 2,
            "spacers": 1,
            "allowed_runout": 1,
            "misfit_uncertainty": 1,
            "added_thrust": 2,
        },
        {"allowed": 1, "squeeze": 1, "misfit": 1, "heat": 1, "together": 1, "thrust_left": 2},
        "similar bodies",
        slow=True,
        close=1e-6,
    ),
    Law(
        "whole_steps",
        {"shortest": 1, "longest": 1, "step": 1},
        {"0": 1, "1": 1},
        "ratios of lengths alone",
    ),
    Law("closure_thrust", {"closure": 1}, {"": 1}, "Hooke"),
    Law("closure_thrust", {"crank": 1, "closure": 1}, {"": 2}, "similar bodies", close=1e-7),
    Law("screw_thrust", {"torque": 1}, {"": 1}, "work: 2 pi T = F x lead and friction, linear"),
    Law(
        "screw_thrust",
        {"lead": 1, "mean_diameter": 1, "collar_diameter": 1},
        {"": -1},
        "similar screws: F = T/length",
    ),
    Law(
        "screw_thrust",
        {"lead": 1},
        {"": -1},
        "F = 2 pi eta T/lead",
        {
            "efficiency": 0.4,
            "friction": None,
            "mean_diameter": None,
            "thread_angle": None,
            "collar_friction": 0.0,
            "collar_diameter": None,
        },
    ),
    Law("spring_thrust", {"rate": 1}, {"": 1}, "F = c x"),
    Law("spring_thrust", {"compression": 1}, {"": 1}, "F = c x"),
    Law("center_pressure", {"thrust": 1}, {"": 1}, "p = F/A"),
    Law("center_pressure", {"mouth_diameter": 1, "pilot_diameter": 1}, {"": -2}, "p = F/A"),
    Law("center_thrust_limit", {"allowed_pressure": 1}, {"": 1}, "F = p A"),
    Law("center_thrust_limit", {"mouth_diameter": 1, "pilot_diameter": 1}, {"": 2}, "F = p A"),
    Law("holding_thrust", {"radial_load": 1}, {"": 1}, "F = R tan"),
    Law("series_stiffness", {"parts": 1}, {"": 1}, "1/k = sum 1/k_i"),
    Law(
        "stress_profile",
        {"surface": 1},
        {"": 1},
        "a profile is linear in its surface value",
        slow=True,
    ),
    Law("stress_profile", {"bar": 1, "x": 1, "y": 1}, {"": 0}, "similar bodies", slow=True),
    Law(
        "release",
        {"surface": 1},
        {"curvature_y": 1, "strain": 1},
        "kappa = M/(E I), M linear in the stress",
        slow=True,
    ),
    Law(
        "release",
        {"elastic_modulus": 1},
        {"curvature_y": -1, "strain": -1},
        "kappa = M/(E I)",
        slow=True,
    ),
    Law(
        "release",
        {"bar": 1, "flat_depth": 1},
        {"curvature_y": -1, "strain": 0},
        "similar bodies: kappa as 1/s",
        slow=True,
        close=1e-7,
    ),
    Law("bow", {"curvature": 1}, {"": 1}, "f = kappa x lengths squared"),
    Law(
        "bow",
        {"cut_length": 1, "bar_length": 1, "from_left": 1},
        {"": 2},
        "f = kappa x lengths squared",
    ),
    Law(
        "bow_with_scatter",
        {"bar": 1, "cut_length": 1, "bar_length": 1, "from_left": 1, "flat_depth": 1},
        {"": 1},
        "similar bodies: kappa L^2 as s",
        slow=True,
        close=1e-7,
    ),
    # chatter
    Law("mark_spacing", {"cutting_speed": 1}, {"": 1}, "lambda = v/f"),
    Law("mark_spacing", {"frequency": 1}, {"": -1}, "lambda = v/f"),
    Law("chatter_frequency", {"cutting_speed": 1}, {"": 1}, "f = v/lambda", slow=True),
    Law("chatter_frequency", {"mark_spacing": 1}, {"": -1}, "f = v/lambda", slow=True),
    Law("process_damping", {"quiet_speed": 1}, {"": 1}, "C omega/v = K x a function of zeta"),
    Law("process_damping", {"frequency": 1}, {"": -1}, "C omega/v = K x a function of zeta"),
    Law("process_damping", {"specific_force": 1}, {"": 1}, "C omega/v = K x a function of zeta"),
    Law("quiet_speed", {"frequency": 1}, {"": 1}, "C omega/v = K x a function of zeta"),
    Law("quiet_speed", {"process_damping": 1}, {"": 1}, "C omega/v = K x a function of zeta"),
    Law("quiet_speed", {"specific_force": 1}, {"": -1}, "C omega/v = K x a function of zeta"),
    Law("limiting_width", {"stiffness": 1}, {"": 1}, "b = 2 k zeta (1 + zeta)/K"),
    Law("limiting_width", {"specific_force": 1}, {"": -1}, "b = 2 k zeta (1 + zeta)/K"),
    Law(
        "critical_width", {"modes.stiffness": 1}, {"width": 1, "frequency": 0}, "b = -1/(2 K Re G)"
    ),
    Law(
        "critical_width", {"specific_force": 1}, {"width": -1, "frequency": 0}, "b = -1/(2 K Re G)"
    ),
    Law(
        "critical_width",
        {"modes.frequency": 1},
        {"width": 0, "frequency": 1},
        "b = -1/(2 K Re G), time drops out",
    ),
    Law(
        "critical_width",
        {"modes.frequency": 1, "cutting_speed": 1},
        {"width": 0, "frequency": 1},
        "rubbing C omega/v, time drops out",
        {"process_damping": Q(1e5, "N/m"), "cutting_speed": Q(25, "m/min")},
    ),
    Law(
        "stability_lobes",
        {"modes.stiffness": 1},
        {"width": 1, "frequency": 0},
        "b = -1/(2 K Re G)",
        slow=True,
    ),
    Law(
        "stability_lobes",
        {"modes.frequency": 1, "spindle_speed": 1},
        {"width": 0, "frequency": 1, "lobe": 0},
        "N + eps/2pi = f/n, time drops out",
        slow=True,
    ),
    Law("lobe_curve", {"modes.stiffness": 1}, {"0": 0, "1": 1}, "b = -1/(2 K Re G)"),
    Law("lobe_curve", {"specific_force": 1}, {"0": 0, "1": -1}, "b = -1/(2 K Re G)"),
    Law(
        "lobe_curve",
        {"modes.frequency": 1, "frequency": 1},
        {"0": 1, "1": 0},
        "n = f/(N + eps/2pi)",
    ),
    Law(
        "compare_tools",
        {"modes.stiffness": 1, "edge_width": 1, "relief_width": 1},
        {"limit": 1, "relieved": 1, "wide_margin": 0, "relieved_margin": 0},
        "b = -1/(2 K Re G)",
        slow=True,
    ),
    Law("damping_from_decay", {"first": 1, "last": 1}, {"": 0}, "logarithmic decrement: a ratio"),
    Law("pitch", {"time": 1}, {"": -1}, "f = 1/T"),
    Law("pitch", {"movement": 1}, {"": 0}, "f does not hang on loudness"),
    Law(
        "read_decay",
        {"time": 1},
        {"frequency": -1, "damping_ratio": 0},
        "f = 1/T, decrement a ratio",
        slow=True,
        close=1e-6,
    ),
    Law(
        "read_decay",
        {"movement": 1},
        {"frequency": 0, "damping_ratio": 0},
        "decrement a ratio",
        slow=True,
        close=1e-6,
    ),
    Law(
        "stiffness_from_weight",
        {"mass": 1},
        {"stiffness": 1, "free_reading": 0},
        "k = m g/x",
        close=1e-8,
    ),
    Law(
        "stiffness_from_weight",
        {"reading": 1},
        {"stiffness": -1, "free_reading": 1},
        "k = m g/x",
        close=1e-8,
    ),
    Law(
        "stiffness_from_weight",
        {"gravity": 1},
        {"stiffness": 1, "free_reading": 0},
        "k = m g/x",
        close=1e-8,
    ),
    Law(
        "work_modes",
        {"crank": 1},
        {"0.frequency": -1, "0.stiffness": 1, "1.frequency": -1, "1.stiffness": 1},
        "similar bodies of one material: f as 1/s",
        slow=True,
        close=1e-6,
    ),
    # corners, fatigue, strength
    *rows(
        "Kt hangs on ratios of lengths alone",
        *(
            (
                "stress_concentration",
                {"large_diameter": 1, "small_diameter": 1, "radius": 1},
                {"": 0},
                {"start": {"load": load}},
            )
            for load in ("bending", "torsion", "tension")
        ),
        (
            "stress_concentration",
            {"large_diameter": 1, "small_diameter": 1, "radius": 1},
            {"": 0},
            {"start": {"source": "tipton"}},
        ),
        ("solved_concentration", {"large_diameter": 1, "small_diameter": 1, "radius": 1}, {"": 0}),
        (
            "solve_fillet",
            {"large_diameter": 1, "small_diameter": 1, "radius": 1},
            {"kt": 0, "peak_angle": 0, "nodes": 1},
            {"slow": True, "close": 1e-6},
        ),
        (
            "factors",
            dict.fromkeys(CALLS["factors"](), 1),
            {
                f"{place}_{load}": 0
                for place in ("pin", "journal")
                for load in ("bending", "radial", "tangential", "torsion")
            },
            {"close": 1e-6},  # a radial factor is a small difference of large ones
        ),
        (
            "crank_rule_factors",
            dict.fromkeys(CALLS["crank_rule_factors"](), 1),
            {
                "pin_bending": 0,
                "pin_torsion": 0,
                "journal_bending": 0,
                "journal_torsion": 0,
                "journal_shear": 0,
                "overlap": 0,
            },
        ),
    ),
    Law(
        "notch_length",
        {"ultimate_strength": 1},
        {"": PETERSON},
        "Peterson: a = c Su^-1.8",
        {"source": "peterson"},
    ),
    Law("round_stress", {"bending": 1, "torque": 1, "axial": 1}, {"0": 1, "1": 1}, "Hooke"),
    Law(
        "round_stress",
        {"diameter": 1},
        {"0": -3, "1": -3},
        "sigma = 32 M/(pi d^3), tau = 16 T/(pi d^3)",
        {"axial": Q(0, "N")},
        slow=True,
    ),
    Law(
        "round_stress",
        {"diameter": 1},
        {"0": -2},
        "sigma = 4 F/(pi d^2)",
        {"bending": Q(0, "N*m"), "torque": Q(0, "N*m")},
        slow=True,
    ),
    Law(
        "web_stress",
        {"axial": 1, "bending_in_throw": 1, "bending_in_turning": 1, "torque": 1},
        {"0": 1, "1": 1},
        "Hooke",
    ),
    Law(
        "web_stress",
        {
            "thickness": 1,
            "width": 1,
            "axial": 2,
            "bending_in_throw": 3,
            "bending_in_turning": 3,
            "torque": 3,
        },
        {"0": 0, "1": 0},
        "similar bodies: stress stays",
    ),
    # its Kf is left out: the notch length is the steel's own and does not grow with the part
    Law("places", {"crank": 1}, {"1.center": 1, "1.sizes": 1}, "similar figures", slow=True),
    Law(
        "section_stress",
        {"loads": lambda factor: loaded(factor)},
        {"0": 1, "1": 1},
        "Hooke",
        {"place": PIN},
        slow=True,
    ),
    Law(
        "check_strength",
        {"loads": lambda factor: loaded(factor)},
        {"weakest.safety": -1},
        "Goodman: 1/n linear in the stresses",
        slow=True,
    ),
    Law("von_mises", {"normal": 1, "shear": 1}, {"": 1}, "sqrt(sigma^2 + 3 tau^2)"),
    Law("fatigue_safety", {"alternating": 1, "mean": 1}, {"": -1}, "Goodman: 1/n = a/Se + m/Su"),
    Law(
        "fatigue_safety",
        {
            "alternating": 1,
            "mean": 1,
            "endurance_limit": 1,
            "ultimate_strength": 1,
            "yield_strength": 1,
        },
        {"": 0},
        "ratios of stresses",
        {"criterion": "gerber"},
    ),
    Law(
        "fatigue_safety",
        {"alternating": 1, "mean": 1},
        {"": -1},
        "ASME ellipse: 1/n^2 = (a/Se)^2 + (m/Sy)^2",
        {"criterion": "elliptic"},
    ),
    Law("yield_safety", {"alternating": 1, "mean": 1}, {"": -1}, "n = Sy/(a + m)"),
    Law("yield_safety", {"yield_strength": 1}, {"": 1}, "n = Sy/(a + m)"),
    Law(
        "shaft_diameter",
        {"bending_alternating": 1, "bending_mean": 1, "torque_alternating": 1, "torque_mean": 1},
        {"": 1 / 3},
        "sigma as M/d^3",
    ),
    Law("shaft_diameter", {"safety": 1}, {"": 1 / 3}, "Goodman: d^3 = 16 n/pi (A/Se + B/Su)"),
    Law(
        "shaft_diameter",
        {"endurance_limit": 1, "ultimate_strength": 1, "yield_strength": 1},
        {"": -1 / 3},
        "sigma as M/d^3",
    ),
    Law(
        "shaft_diameter",
        {
            "bending_factor": 1,
            "torsion_factor": 1,
            "bending_alternating": -1,
            "bending_mean": -1,
            "torque_alternating": -1,
            "torque_mean": -1,
        },
        {"": 0},
        "Kf M is what counts",
        most=1.25,
    ),
    Law(
        "surface_factor", {"ultimate_strength": 1}, {"": MACHINED}, "Marin: ka = a Su^b", slow=True
    ),
    Law("size_factor", {"diameter": 1}, {"": SIZE}, "Marin: kb = (d/7.62 mm)^-0.107", most=2.5),
    Law(
        "endurance_limit",
        {"ultimate_strength": 1},
        {"limit": 1 + MACHINED, "specimen": 1, "surface": MACHINED, "size": 0},
        "Se = ka kb Su/2",
        most=2.2,
    ),
    Law("endurance_limit", {"diameter": 1}, {"limit": SIZE}, "Se = ka kb Su/2", most=2.5),
    # twist
    Law(
        "section_stiffness",
        {"crank": 1},
        {"": 3},
        "similar bodies: torque s^3 over an angle that stays",
        close=1e-7,
    ),
    Law("twist", {"torque": 1}, {"": 1}, "Hooke"),
    Law(
        "twist",
        {"crank": 1},
        {"": -3},
        "similar bodies: torque s^3 over an angle that stays",
        close=1e-7,
    ),
    Law("throw_inertia", {"crank": 1}, {"": 5}, "similar bodies"),
    Law(
        "torsional_modes",
        {"stiffness": 1},
        {"frequency": 0.5, "shape": 0},
        "omega^2 = k/I",
        close=1e-7,
    ),
    Law(
        "torsional_modes",
        {"inertia": 1},
        {"frequency": -0.5, "shape": 0},
        "omega^2 = k/I",
        close=1e-7,
    ),
    Law("holzer", {"inertia": 1, "stiffness": 1}, {"0": 0, "1": 1}, "omega^2 = k/I"),
    Law("holzer", {"frequency": 1, "inertia": -2}, {"0": 0, "1": 0}, "I omega^2 is what counts"),
    Law(
        "crank_modes",
        {"crank": 1, "left_inertia": 5, "right_inertia": 5},
        {"frequency": -1, "shape": 0},
        "similar bodies of one material: f as 1/s",
        slow=True,
        close=1e-5,
    ),
    Law("torque_harmonics", {"torque": 1}, {"": 1}, "a Fourier series is linear", slow=True),
    Law(
        "resonances",
        {"modes.frequency": 1, "speed": 1},
        {"0.order": 0, "0.critical_speed": 1, "0.margin": 0},
        "n = f/order",
    ),
    # bearings and fits
    Law("bearing_pressure", {"force": 1}, {"": 1}, "p = F/(d L)"),
    Law("bearing_pressure", {"diameter": 1}, {"": -1}, "p = F/(d L)"),
    Law("bearing_pressure", {"length": 1}, {"": -1}, "p = F/(d L)"),
    Law("sliding_speed", {"diameter": 1}, {"": 1}, "v = pi d n"),
    Law("sliding_speed", {"speed": 1}, {"": 1}, "v = pi d n"),
    Law(
        "check_bushing",
        {"force": 1, "peak_force": 1},
        {"pressure": 1, "speed": 0, "pressure_speed": 1},
        "p v = F pi n/L",
    ),
    Law(
        "check_bushing",
        {"diameter": 1},
        {"pressure": -1, "speed": 1, "pressure_speed": 0},
        "p v = F pi n/L: the diameter drops out",
    ),
    Law(
        "check_bushing",
        {"length": 1},
        {"pressure": -1, "speed": 0, "pressure_speed": -1},
        "p v = F pi n/L",
    ),
    Law("equivalent_load", {"force": 1}, {"": 1}, "a power mean is linear"),
    Law("rating_life", {"load": 1}, {"turns": -3, "hours": -3}, "ISO 281: L = (C/P)^3, ball"),
    Law(
        "rating_life",
        {"load": 1},
        {"turns": -10 / 3, "hours": -10 / 3},
        "ISO 281: L = (C/P)^(10/3), roller",
        {"kind": "roller"},
    ),
    Law(
        "rating_life", {"dynamic_rating": 1}, {"turns": 3, "hours": 3}, "ISO 281: L = (C/P)^3, ball"
    ),
    Law("rating_life", {"speed": 1}, {"turns": 0, "hours": -1}, "turns over speed"),
    Law(
        "pair",
        {"hole": 1, "shaft": 1},
        {"loosest": 1, "tightest": 1},
        "clearance is hole less shaft",
    ),
    Law(
        "press_fit",
        {"interference": 1},
        {"pressure": 1, "hub_stress": 1, "force": 1, "torque": 1},
        "Lame: linear in the interference",
    ),
    Law("press_fit", {"friction": 1}, {"pressure": 0, "force": 1, "torque": 1}, "Coulomb"),
    Law(
        "press_fit",
        {"length": 1},
        {"pressure": 0, "hub_stress": 0, "force": 1, "torque": 1},
        "F = mu p pi d L",
    ),
    Law(
        "press_fit",
        {"shaft_modulus": 1, "hub_modulus": 1},
        {"pressure": 1, "hub_stress": 1, "force": 1},
        "Hooke",
    ),
    Law(
        "press_fit",
        {"diameter": 1, "hub_diameter": 1, "length": 1, "interference": 1, "shaft_bore": 1},
        {"pressure": 0, "hub_stress": 0, "force": 2, "torque": 3},
        "similar bodies: stress stays",
    ),
    Law("shrink_rise", {"expansion": 1}, {"": -1}, "dT = (delta + c)/(alpha d)"),
    Law("shrink_rise", {"interference": 1, "clearance": 1}, {"": 1}, "dT = (delta + c)/(alpha d)"),
    Law("shrink_rise", {"diameter": 1}, {"": -1}, "dT = (delta + c)/(alpha d)"),
    # heat
    Law(
        "cutting_heat",
        {"force": 1},
        {"power": 1, "rule_heat": 1, "shear_share": 0, "shear_heat": 1, "thermal_number": 0},
        "P = F v",
    ),
    Law(
        "cutting_heat",
        {"cutting_speed": 1},
        {"power": 1, "rule_heat": 1, "thermal_number": 1},
        "P = F v, R = rho c v h/k",
    ),
    Law(
        "cutting_heat", {"chip_thickness": 1}, {"power": 0, "thermal_number": 1}, "R = rho c v h/k"
    ),
    Law("lumped_rise", {"heat": 1}, {"": 1}, "heat balance, linear"),
    Law("lumped_rise", {"time": 1, "mass": 1}, {"": 0}, "t/tau, tau = m c/(h A)"),
    Law("lumped_rise", {"film": 1, "area": -1}, {"": 0}, "h A is what counts"),
    Law(
        "lumped_rise", {"time": 1}, {"": 1}, "no losses: Q t = m c dT", {"film": None, "area": None}
    ),
    Law(
        "lumped_rise",
        {"specific_heat": 1},
        {"": -1},
        "no losses: Q t = m c dT",
        {"film": None, "area": None},
    ),
    Law(
        "warm",
        {"heat": 1},
        {"rise": 1, "energy_in": 1, "stored": 1, "lost": 1},
        "heat conduction is linear",
        slow=True,
        close=1e-8,
    ),
    Law(
        "warm",
        {"crank": 1, "heat": 1, "time": 2, "cutting_time": 2, "film": -1, "center_conductance": 1},
        {"rise": 0, "energy_in": 3, "stored": 3, "lost": 3, "path": 1},
        "Fourier: a t/L^2, Biot: h L/k, rise as Q/(k L)",
        {"center_conductance": Q(0.05, "W/K")},
        slow=True,
        close=1e-7,
    ),
    Law("growth", {"length": 1}, {"": 1}, "dL = alpha L dT"),
    Law("growth", {"rise": 1}, {"": 1}, "dL = alpha L dT"),
    Law(
        "thrust_per_degree",
        {"crank": 1, "machine_stiffness": 1},
        {"": 2},
        "similar bodies: strain stays, force as s^2",
        close=1e-7,
    ),
    Law("misfit_lost_per_degree", {"crank": 1}, {"": 1}, "dL = alpha L dT"),
    Law("waiting_time", {"time_constant": 1}, {"": 1}, "t = tau ln(alpha L dT/error)"),
    Law("waiting_time", {"length": 1, "allowed_error": 1}, {"": 0}, "t = tau ln(alpha L dT/error)"),
    Law("waiting_time", {"rise": 1, "allowed_error": 1}, {"": 0}, "t = tau ln(alpha L dT/error)"),
    Law("hot_measuring_error", {"length": 1}, {"": 1}, "L (alpha dT - alpha_g dT_g)"),
    Law(
        "hot_measuring_error", {"rise": 1, "gauge_rise": 1}, {"": 1}, "L (alpha dT - alpha_g dT_g)"
    ),
    Law(
        "minutes_until_loose",
        {"warming": lambda factor: heated(factor), "thrust": 1, "spacer.misfit": 1},
        {"": 0},
        "growth, heat conduction and Hooke are linear",
        slow=True,
        close=1e-7,
    ),
    Law(
        "minutes_until_thrust",
        {"warming": lambda factor: heated(factor), "allowed_rise": 1},
        {"": 0},
        "heat conduction and Hooke are linear",
        slow=True,
        close=1e-7,
    ),
]


def bent(factor):
    """Four runouts of a bent crank whose directions stay."""
    return tuple(
        dataclasses.replace(part("fit_runout"), eccentricity=Q(size, "um") * factor)
        for size in (1, 4, 6, 2)
    )


def loaded(factor):
    """Loads of a turn, all grown together."""
    cylinder = CALLS["turn_loads"]()["cylinders"]
    return run(
        "turn_loads",
        cylinders=dataclasses.replace(
            cylinder, push=cylinder.push * factor, moving_mass=cylinder.moving_mass * factor
        ),
    )


def heated(factor):
    return run("warm", heat=Q(20, "W") * factor)


@pytest.mark.parametrize("law", LAWS, ids=lambda law: f"{law.name}-{'-'.join(law.grows)}")
def test_law(law):
    values = CALLS[law.name]() | law.start
    answer = run(
        law.name,
        **law.start | {word: power(1.0) for word, power in law.grows.items() if callable(power)},
    )
    plain = [
        (numbers(part), getattr(part, "units", None))
        for part in (taken(answer, path) for path in law.answer)
    ]
    for path, (old, _) in zip(law.answer, plain, strict=True):
        assert np.all(np.isfinite(old)) and np.any(old), (
            f"{law.name}: {path or 'the plain answer'} says nothing"
        )

    for end in (-1.0, 1.0):
        check(law, law.most**end, values, plain)

    @settings(
        max_examples=EXAMPLES // AT_ONCE // (SLOW if law.slow or "crank" in law.grows else 1) + 1,
        deadline=None,
    )
    @given(st.lists(st.floats(-1, 1), min_size=AT_ONCE, max_size=AT_ONCE))
    def holds(shares):
        for share in shares:
            check(law, law.most**share, values, plain)

    holds()


# why a public function is in no row
NO_LAW = {
    "a table, a rounding to stock, a file, a text or a sentence": {
        "as_text",
        "read_answer",
        "unit_text",
        "balance_grade",
        "bearing_clearance",
        "bearing_fit",
        "bearings_for",
        "cleared_fillet",
        "clears",
        "center_hole",
        "coolant",
        "dial_names",
        "division",
        "seated_bearing",
        "runout_verdict",
        "telling_division",
        "usual_runout",
        "tool_division",
        "tool_half_width",
        "dial_readings",
        "feed_factor",
        "find",
        "fit",
        "fit_range",
        "gear_speed",
        "handwheel_lead",
        "heights",
        "held",
        "hole_with_room",
        "inherently_balanced",
        "evenly_fired",
        "largest_and_smallest",
        "largest_shaft_fillet",
        "finishing_step",
        "limits",
        "load_lathe",
        "machine_modes",
        "machine_setup",
        "shift_table",
        "usual_inserts",
        "magnitude",
        "nearest_bores",
        "number",
        "pasted",
        "power_constant",
        "hardness_factor",
        "read_file",
        "read_kept",
        "read_quantity",
        "read_readings",
        "read_recording",
        "read_table",
        "record_of",
        "running_clearance",
        "speed_for",
        "largest_diameter",
        "stock_bar",
        "summary",
        "surface_stress",
        "tool_angles",
        "tool_source",
        "true_offset",
        "verdict",
        "with_uncertainty",
    },
    "another function of the list, once a throw or a web": {"bending_on_bar", "squeeze_pins"},
    "angles or pure numbers alone": {
        "rake_across_edge",
        "shear_angle",
        "vee_factor",
    },
    "a sum of terms of different powers, or a size with an offset": {
        "bushing_bore",
        "step",
        "weak_spots.cross_hole",
        "weak_spots.keyseat",
        "fatigue_factor",
        "film_in_air",
        "minutes_until_soft",
        "notch_sensitivity",
        "throw_budget",
        "turning_forces",
        "deepest_cut",
        "turning_limit",
        "lasting_wave",
        "phase_budget",
        "tilt_budgets",
        "warmed",
    },
}


def test_every_function_has_a_law_or_a_reason():
    lawful, without = {law.name for law in LAWS}, set().union(*NO_LAW.values())
    named = set(functions()) - INSIDE
    assert not lawful & without
    assert not named - lawful - without, "give these a row of LAWS or a reason in NO_LAW"
    assert not (lawful | without) - named, "no such function"


@pytest.mark.parametrize("at", range(0, len(LAWS), 24), ids=lambda at: LAWS[at].name)
def test_a_wrong_exponent_is_caught(at):
    law = LAWS[at]
    path = next(iter(law.answer))
    wrong = law._replace(answer=law.answer | {path: law.answer[path] + 0.01})
    with pytest.raises(
        pytest.fail.Exception,
        match=rf"{law.name}: with .* grown by the factor .* must grow .* times, exponent .*; it grew .* times",
    ):
        test_law(wrong)
