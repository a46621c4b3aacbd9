"""One plain call of every public function: what the sweeps of test_every_function.py start from.

Names are resolved over all modules, so a function that moves to another module keeps its row.
"""

import functools
import importlib
import inspect
import pkgutil
from pathlib import Path

import numpy as np

import crankmath
from crankmath.crank import Crank
from crankmath.units import Quantity as Q

# no sums inside: files, threads, words and the job's, each fed hostile text and files in a test of its own
APART = (
    "crankmath.checks",
    "crankmath.files",
    "crankmath.job",
    "crankmath.language",
    "crankmath.tables",
    "crankmath.threads",
    "crankmath.inspection.diagnosis",
    "crankmath.workpiece",
)
# machinery behind a door: plain numbers or built parts in, checked by the function that calls it
INSIDE = {
    "bodies",
    "section_axes",
    "end_motion",
    "shapes",
    "stiffness",
    "clamped_compliance",
    "say_range",
    "lay_beams",
    "factors_of_ratios",
    "place_nodes",
    "map_under",
    "build",
    "safety_of_numbers",
    "primary_share",
    "listed",
    "bearing_gaps",
    "plan_for",
    "misfits_of",
    "warn_outside",
    "check_keys",
    "check_words",
    "key",
    "read_parts",
    "tables_of",
    "unit_of",
    "written",
    "capital",
    "said_of",
    "ended",
    "attribute",
    "say",
    "figures",
    "outside",
    "time_reached",
    "student_factor",
    "bar_section",
    "checked_damping",
    "chord",
    "cut",
    "disc",
    "holds",
    "in_workshop_unit",
    "of_bar",
    "pass_diameters",
    "plain_modes",
    "plain_receptance",
    "polygon",
    "reach",
    "share",
    "turning_axis",
    "whole_ring",
    "area",
    "block_section",
    "regenerating_edge",
    "turn_by_turn",
    "throw_numbers",
    "throw_places",
    "corner_places",
    "stress_of_places",
    "stress_of_notches",
    "notches",
    "directions",
    "adjacent",
    "continuous",
    "forced",
    "off_line",
    "positions",
    "touching",
    "held_factors",
    "covariance",
    "scaled",
    "shown",
    "limits_shown",
    "most_shown",
    "least_shown",
    "read_between",
    "read_toml",
    "first_past",
    "header_separator",
    "names_columns",
    "fields",
    "header",
    "answer",
    "distinct_marks",
    "elapsed_shares",
    "finest_step",
    "solve",
    "harmonic_columns",
}


@functools.cache
def modules():
    """Every module with sums in it."""
    return [
        importlib.import_module(found.name)
        for found in pkgutil.walk_packages(crankmath.__path__, "crankmath.")
        if not found.name.startswith(APART)
    ]


@functools.cache
def functions():
    """Name of every public function: the function; a second of that name goes by module.name."""
    found = {}
    for module in modules():
        for name, value in vars(module).items():
            if (
                not name.startswith("_")
                and inspect.isfunction(value)
                and value.__module__ == module.__name__
            ):
                key = name if name not in found else f"{module.__name__.rpartition('.')[2]}.{name}"
                assert key not in found, f"two public functions of one module are called {key}"
                found[key] = value
    return found


@functools.cache
def classes():
    """Name of every public class: the class."""
    return {
        name: value
        for module in modules()
        for name, value in vars(module).items()
        if not name.startswith("_")
        and inspect.isclass(value)
        and value.__module__ == module.__name__
    }


def run(name, /, **changes):
    """Answer of one function at its plain call, with changes."""
    values = CALLS[name]() | changes
    given = inspect.signature(functions()[name]).parameters
    many = [word for word, parameter in given.items() if parameter.kind is parameter.VAR_POSITIONAL]
    spread = values.pop(many[0]) if many else ()
    return functions()[name](*spread, **values)


def model(length, rise):
    """A growth, for the uncertainty budgets."""
    return length * (1 + 11.5e-6 * rise / Q(1, "delta_degC"))


@functools.cache
def pump():
    return Crank.load("pump")


@functools.cache
def part(name, /, **changes):
    """A part that several rows need, made once."""
    return run(name, **changes)


def new(name, *values, **more):
    return classes()[name](*values, **more)


TURN = np.arange(0, 360, 30.0)
DIAL = (
    12 * np.cos(np.radians(TURN - 40)) + 3 * np.cos(np.radians(3 * TURN)) + 0.4 * np.sin(7 * TURN)
)
CYLINDER = lambda: new("Cylinder", Q(72, "mm"), Q(900, "N"), moving_mass=Q(0.3, "kg"))  # noqa: E731
SPACER = lambda: new("Spacer", 0, Q(2, "um"), Q(14, "mm"))  # noqa: E731
MODES = lambda: (
    new("Mode", Q(180, "Hz"), Q(9e6, "N/m"), 0.04),
    new("Mode", Q(320, "Hz"), Q(2e7, "N/m"), 0.03),
)  # noqa: E731
FLAT = lambda: part("smallest_bar", shape="flat")  # noqa: E731
LAYOUT = lambda: part("center_layout")  # noqa: E731
READ = lambda: part("fit_runout")  # noqa: E731
WARM = lambda: part("warm")  # noqa: E731
LOADS = lambda: part("turn_loads")  # noqa: E731
SOURCES = lambda: (
    part("source"),
    part("source", name="rise", value=Q(3, "delta_degC"), half_width=Q(1, "delta_degC")),
)  # noqa: E731
SHAFT = {"large_diameter": Q(28, "mm"), "small_diameter": Q(20, "mm"), "radius": Q(1.5, "mm")}
READINGS = Path(__file__).parent / "published" / "readings_sample.csv"
RECORDING = Path(__file__).parent / "published" / "tap_sample.wav"
TAP = np.linspace(0, 0.2, 800)

CALLS = {
    # the part
    "pin_places": lambda: {"crank": pump()},
    "throw_direction": lambda: {"throw": pump().throws[0]},
    "web_corners": lambda: {"crank": pump()},
    "smallest_circle": lambda: {
        "points": np.array([[0.0, 0.0], [3.0, 1.0], [1.0, 4.0], [-2.0, 1.0]])
    },
    "smallest_bar": lambda: {
        "crank": pump(),
        "shape": "round",
        "allowance": Q(1.5, "mm"),
        "center_end": Q(10, "mm"),
        "straightness": Q(1.5, "mm/m"),
    },
    "stock_bar": lambda: {"bar": part("smallest_bar"), "unit": "mm"},
    "center_layout": lambda: {"crank": pump(), "bar": part("smallest_bar"), "end": "right"},
    "handwheel_moves": lambda: {
        "layout": LAYOUT(),
        "reference": "edges",
        "lead": Q(5, "mm"),
        "backlash": Q(0.3, "mm"),
    },
    "pin_axis": lambda: {
        "crank": pump(),
        "index": 0,
        "right_error": Q([0.05, 0.01], "mm"),
        "left_error": Q([0.02, -0.03], "mm"),
        "bar_length": Q(170, "mm"),
        "end_turn": Q(0.1, "deg"),
    },
    "swing_check": lambda: {"layout": LAYOUT(), "swing_over_carriage": Q(110, "mm")},
    "turning_balance": lambda: {
        "layout": LAYOUT(),
        "name": LAYOUT().points[1].name,
        "density": Q(7850, "kg/m**3"),
        "radius": Q(60, "mm"),
    },
    "center_hole": lambda: {
        "work_diameter": Q(40, "mm"),
        "thrust": Q(500, "N"),
        "standard": "ISO",
        "allowed_pressure": Q(100, "MPa"),
    },
    "hole_room": lambda: {
        "layout": LAYOUT(),
        "hole": part("center_hole"),
        "least_wall": Q(1, "mm"),
    },
    "hole_with_room": lambda: {
        "layout": LAYOUT(),
        "thrust": Q(300, "N"),
        "standard": "ISO",
        "allowed_pressure": Q(100, "MPa"),
        "least_wall": Q(1, "mm"),
    },
    "handwheel_lead": lambda: {"unit": "mm"},
    "throw_plate": lambda: {
        "crank": pump(),
        "hole": part("center_hole"),
        "bore": Q(20, "mm"),
        "wall": Q(5, "mm"),
    },
    "surface_stress": lambda: {"steel": "C45"},
    "stress_profile": lambda: {
        "bar": FLAT(),
        "surface": Q(100, "MPa"),
        "x": Q(3, "mm"),
        "y": Q(8, "mm"),
    },
    "left_section": lambda: {"bar": FLAT(), "flat_depth": Q(8, "mm")},
    "release": lambda: {
        "bar": FLAT(),
        "surface": Q(100, "MPa"),
        "elastic_modulus": Q(206, "GPa"),
        "flat_depth": Q(8, "mm"),
    },
    "bow": lambda: {
        "curvature": Q(1e-5, "1/mm"),
        "cut_length": Q(50, "mm"),
        "bar_length": Q(160, "mm"),
        "from_left": Q(45, "mm"),
    },
    "bow_with_scatter": lambda: {
        "bar": FLAT(),
        "steel": "C45",
        "cut_length": Q(50, "mm"),
        "bar_length": Q(160, "mm"),
        "from_left": Q(45, "mm"),
        "flat_depth": Q(8, "mm"),
    },
    "find": lambda: {"name": "C45"},
    "record_of": lambda: {"steel": "C45"},
    # motion
    "piston_motion": lambda: {
        "angle": Q(40, "deg"),
        "speed": Q(300, "rpm"),
        "throw": Q(18, "mm"),
        "rod_length": Q(72, "mm"),
        "offset": Q(2, "mm"),
    },
    "dead_centers": lambda: {"throw": Q(18, "mm"), "rod_length": Q(72, "mm"), "offset": Q(2, "mm")},
    "swept_volume": lambda: {
        "bore": Q(40, "mm"),
        "throw": Q(18, "mm"),
        "rod_length": Q(72, "mm"),
        "offset": Q(2, "mm"),
    },
    "position_error": lambda: {
        "angle": Q(40, "deg"),
        "throw": Q(18, "mm"),
        "rod_length": Q(72, "mm"),
        "throw_error": Q(0.05, "mm"),
        "rod_error": Q(0.1, "mm"),
        "phase_error": Q(0.1, "deg"),
        "offset": Q(2, "mm"),
    },
    "compression": lambda: {
        "bore": Q(40, "mm"),
        "throw": Q(18, "mm"),
        "rod_length": Q(72, "mm"),
        "clearance_volume": Q(6, "cm**3"),
        "throw_error": Q(0.05, "mm"),
        "rod_error": Q(0.1, "mm"),
        "offset": Q(2, "mm"),
    },
    "travel_of_throws": lambda: {
        "crank": pump(),
        "angle": Q(40, "deg"),
        "rod_length": Q(72, "mm"),
        "cylinder_angles": Q(5, "deg"),
        "throw_errors": Q(0.05, "mm"),
        "phase_errors": Q(0.1, "deg"),
        "offset": Q(2, "mm"),
    },
    "shared_compression": lambda: {
        "crank": pump(),
        "bore": Q(40, "mm"),
        "rod_length": Q(72, "mm"),
        "clearance_volume": Q(6, "cm**3"),
        "cylinder_angles": Q(5, "deg"),
        "throw_errors": Q(0.05, "mm"),
        "phase_errors": Q(0.1, "deg"),
        "offset": Q(2, "mm"),
    },
    # cutting
    "load_lathe": lambda: {},
    "spindle_speed": lambda: {"cutting_speed": Q(20, "m/min"), "diameter": Q(25, "mm")},
    "surface_speed": lambda: {"spindle_speed": Q(250, "rpm"), "diameter": Q(25, "mm")},
    "gear_speed": lambda: {
        "spindle_speed": Q(250, "rpm"),
        "gear_table": part("load_lathe").gear_table,
    },
    "unbalanced_speed_limit": lambda: {
        "mass": Q(2, "kg"),
        "offset": Q(9, "mm"),
        "force": Q(60, "N"),
    },
    "unbalance_pull": lambda: {
        "mass": Q(2, "kg"),
        "offset": Q(9, "mm"),
        "spindle_speed": Q(160, "rpm"),
    },
    "cutting_time": lambda: {
        "length": Q(45, "mm"),
        "feed": Q(0.1, "mm"),
        "spindle_speed": Q(225, "rpm"),
        "passes": 3,
    },
    "removal_rate": lambda: {
        "cutting_speed": Q(20, "m/min"),
        "feed": Q(0.1, "mm"),
        "depth": Q(1, "mm"),
    },
    "tool_life": lambda: {
        "cutting_speed": Q(30, "m/min"),
        "constant": Q(50, "m/min"),
        "exponent": 0.125,
    },
    "taylor_fit": lambda: {
        "speed_1": Q(160, "m/min"),
        "life_1": Q(5, "min"),
        "speed_2": Q(100, "m/min"),
        "life_2": Q(41, "min"),
    },
    "ideal_roughness": lambda: {"feed": Q(0.1, "mm"), "nose_radius": Q(0.8, "mm")},
    "speed_for": lambda: {
        "steel": "C45",
        "tool": "HSS",
        "operation": "roughing",
        "interrupted": True,
    },
    "chip_section": lambda: {
        "depth": Q(1, "mm"),
        "feed": Q(0.1, "mm"),
        "approach_angle": Q(60, "deg"),
    },
    "specific_cutting_force": lambda: {
        "steel": "C45",
        "chip_thickness": Q(0.1, "mm"),
        "rake": Q(10, "deg"),
        "cutting_speed": Q(25, "m/min"),
    },
    "cutting_force": lambda: {"steel": "C45", "width": Q(1, "mm"), "chip_thickness": Q(0.1, "mm")},
    "thin_chip_force": lambda: {
        "steel": "C45",
        "chip_thickness": Q(0.1, "mm"),
        "edge_radius": Q(0.02, "mm"),
    },
    "force_components": lambda: {"cutting_force": Q(300, "N")},
    "cutting_power": lambda: {"force": Q(300, "N"), "cutting_speed": Q(25, "m/min")},
    "power_limited_width": lambda: {
        "power": Q(550, "W"),
        "steel": "C45",
        "chip_thickness": Q(0.1, "mm"),
        "cutting_speed": Q(25, "m/min"),
        "efficiency": 0.75,
    },
    "power_constant": lambda: {"steel": "C45"},
    "feed_factor": lambda: {"feed": Q(0.2, "mm")},
    "handbook_power": lambda: {
        "steel": "C45",
        "removal_rate": Q(6, "cm**3/min"),
        "feed": Q(0.2, "mm"),
        "wear_factor": 1.3,
    },
    "shear_angle": lambda: {"rake": Q(10, "deg"), "friction_angle": Q(30, "deg")},
    "measured_shear_angle": lambda: {
        "rake": Q(10, "deg"),
        "layer_thickness": Q(0.15, "mm"),
        "chip_thickness": Q(0.4, "mm"),
    },
    "edge_in_cut": lambda: {
        "depth": Q(0.2, "mm"),
        "feed": Q(0.06, "mm"),
        "nose_radius": Q(0.4, "mm"),
        "approach_angle": Q(75, "deg"),
    },
    "turning_forces": lambda: {
        "steel": "C45",
        "depth": Q(0.5, "mm"),
        "feed": Q(0.12, "mm"),
        "nose_radius": Q(0.4, "mm"),
        "approach_angle": Q(75, "deg"),
    },
    "deepest_cut": lambda: {
        "steel": "C45",
        "force": Q(300, "N"),
        "most": Q(2, "mm"),
        "feed": Q(0.12, "mm"),
        "nose_radius": Q(0.4, "mm"),
        "approach_angle": Q(75, "deg"),
    },
    "hardness_factor": lambda: {"steel": "C45", "hardness": 230},
    "power_at_edge": lambda: {"lathe": part("load_lathe"), "spindle_speed": Q(160, "rpm")},
    "torque_at_spindle": lambda: {"lathe": part("load_lathe"), "spindle_speed": Q(160, "rpm")},
    "largest_force": lambda: {
        "lathe": part("load_lathe"),
        "spindle_speed": Q(160, "rpm"),
        "diameter": Q(60, "mm"),
    },
    "shift_table": lambda: {
        "steel": "C45",
        "swing_diameter": Q(78, "mm"),
        "final_diameter": Q(18, "mm"),
        "lathe": part("load_lathe"),
        "whole_diameter": Q(42, "mm"),
        "mass": Q(3.6, "kg"),
        "offset": Q(9, "mm"),
    },
    "finishing_step": lambda: {
        "steel": "C45",
        "diameter": Q(18, "mm"),
        "lathe": part("load_lathe"),
        "mass": Q(3.6, "kg"),
        "offset": Q(9, "mm"),
    },
    "usual_inserts": lambda: {},
    "machine_setup": lambda: {"lathe": part("load_lathe"), "held": 0},
    "machine_modes": lambda: {
        "crank": pump(),
        "where": ("pin", 0),
        "lathe": part("load_lathe"),
        "held": 0,
    },
    "turning_limit": lambda: {
        "steel": "C45",
        "operation": "along",
        "depth": Q(0.2, "mm"),
        "feed": Q(0.06, "mm"),
        "radial": part("machine_modes")[0],
        "axial": part("machine_modes")[1],
        "nose_radius": Q(0.4, "mm"),
        "approach_angle": Q(75, "deg"),
        "cutting_speed": Q(25, "m/min"),
        "process_damping": Q(5e4, "N/m"),
    },
    "drive_torque": lambda: {"cutting_force": Q(300, "N"), "diameter": Q(25, "mm")},
    "center_friction_torque": lambda: {
        "thrust": Q(400, "N"),
        "large_diameter": Q(6, "mm"),
        "small_diameter": Q(2, "mm"),
        "friction": 0.15,
        "included_angle": Q(60, "deg"),
    },
    "bolt_reach": lambda: {"force": Q(800, "N"), "diameter": Q(10, "mm")},
    "dog_force": lambda: {
        "torque": Q(4, "N*m"),
        "radius": Q(30, "mm"),
        "friction_torque": Q(0.2, "N*m"),
    },
    "regions": lambda: {"crank": pump(), "bar": part("smallest_bar")},
    "milled_block": lambda: {
        "crank": pump(),
        "bar": part("smallest_bar"),
        "kind": "pin",
        "index": 0,
        "allowance": Q(1, "mm"),
        "shape": "slot",
    },
    "chain_of_holes": lambda: {
        "slot_width": Q(20, "mm"),
        "floor": Q(30, "mm"),
        "hole_diameter": Q(6, "mm"),
        "ligament": Q(0.5, "mm"),
    },
    "pass_plan": lambda: {
        "start_diameter": Q(60, "mm"),
        "final_diameter": Q(20, "mm"),
        "rough_depth": Q(1, "mm"),
        "finish_allowance": Q(0.25, "mm"),
        "finish_passes": 1,
    },
    "corner_stops": lambda: {
        "height": Q(0.6, "mm"),
        "fillet": Q(1.5, "mm"),
        "allowance": Q(0.3, "mm"),
    },
    "corner_stock": lambda: {
        "fillet": Q(1.5, "mm"),
        "nose_radius": Q(0.4, "mm"),
        "allowance": Q(0.3, "mm"),
    },
    "bar_share": lambda: {"radius": Q(25, "mm"), "bar_diameter": Q(60, "mm"), "offset": Q(9, "mm")},
    "wide_tool_roughness": lambda: {
        "feed": Q(0.5, "mm"),
        "tilt": Q(0.2, "deg"),
        "edge_width": Q(3, "mm"),
    },
    "feed_for_roughness": lambda: {"mean_roughness": Q(1.6, "um"), "nose_radius": Q(0.8, "mm")},
    "tool_angles": lambda: {"steel": "C45", "interrupted": False},
    "rake_across_edge": lambda: {
        "back_rake": Q(8, "deg"),
        "side_rake": Q(14, "deg"),
        "approach_angle": Q(30, "deg"),
    },
    "height_effect": lambda: {"height": Q(0.5, "mm"), "diameter": Q(18, "mm")},
    "flank_gap": lambda: {
        "side_relief": Q(8, "deg"),
        "depth_below": Q(2, "mm"),
        "feed": Q(0.1, "mm"),
        "radius": Q(9, "mm"),
    },
    "web_swing": lambda: {"crank": pump(), "about": "main", "throw": 0},
    "blade_fit": lambda: {
        "crank": pump(),
        "thickness": Q(6, "mm"),
        "reach": Q(35, "mm"),
        "throw": 0,
        "skew": Q(0.5, "deg"),
        "edge_width": Q(3, "mm"),
        "bar_diameter": Q(60, "mm"),
        "bar_offset": Q(9, "mm"),
    },
    "tool_bending": lambda: {
        "sections": (new("ToolSection", Q(20, "mm"), Q(5, "mm"), Q(12, "mm")),),
        "force": Q(300, "N"),
        "side_force": Q(50, "N"),
        "offset": Q(1, "mm"),
        "elastic_modulus": Q(206, "GPa"),
    },
    "front_angle": lambda: {"web_width": Q(28, "mm"), "radius": Q(28, "mm")},
    "web_share": lambda: {"crank": pump(), "radius": Q(25, "mm"), "throw": 0, "about": "main"},
    # chatter
    "mark_spacing": lambda: {"frequency": Q(200, "Hz"), "cutting_speed": Q(25, "m/min")},
    "pitch": lambda: {"time": Q(TAP, "s"), "movement": np.cos(2 * np.pi * 90 * TAP)},
    "process_damping": lambda: {
        "quiet_speed": Q(15, "m/min"),
        "frequency": Q(200, "Hz"),
        "damping_ratio": 0.04,
        "specific_force": Q(2000, "MPa"),
    },
    "quiet_speed": lambda: {
        "frequency": Q(200, "Hz"),
        "damping_ratio": 0.04,
        "specific_force": Q(2000, "MPa"),
        "process_damping": Q(1e5, "N/m"),
    },
    "read_recording": lambda: {"path": RECORDING},
    "work_modes": lambda: {
        "crank": pump(),
        "where": "pin",
        "damping_ratio": 0.03,
        "angle": Q(30, "deg"),
    },
    "large_direction": lambda: {
        "crank": pump(),
        "where": "pin",
        "force": Q(100, "N"),
        "tangential_force": Q(200, "N"),
    },
    "limiting_width": lambda: {
        "stiffness": Q(1e7, "N/m"),
        "damping_ratio": 0.05,
        "specific_force": Q(2000, "MPa"),
    },
    "dynamic_force": lambda: {"steel": "C45", "chip_thickness": Q(0.1, "mm"), "passive_share": 0.4},
    "critical_width": lambda: {"modes": MODES(), "specific_force": Q(2000, "MPa")},
    "stability_lobes": lambda: {
        "modes": MODES(),
        "specific_force": Q(2000, "MPa"),
        "spindle_speed": Q(700, "rpm"),
    },
    "lasting_wave": lambda: {
        "modes": MODES(),
        "specific_force": Q(2000, "MPa"),
        "width": Q(1, "mm"),
        "spindle_speed": Q(700, "rpm"),
    },
    "lobe_curve": lambda: {
        "modes": MODES(),
        "specific_force": Q(2000, "MPa"),
        "frequency": Q(190, "Hz"),
        "waves": 3,
    },
    "chatter_frequency": lambda: {"mark_spacing": Q(2, "mm"), "cutting_speed": Q(25, "m/min")},
    "compare_tools": lambda: {
        "modes": MODES(),
        "specific_force": Q(2000, "MPa"),
        "edge_width": Q(8, "mm"),
        "relief_width": Q(5, "mm"),
    },
    "damping_from_decay": lambda: {"first": 120, "last": 40, "cycles": 6},
    "read_decay": lambda: {
        "time": Q(TAP, "s"),
        "movement": np.exp(-0.04 * 2 * np.pi * 90 * TAP) * np.cos(2 * np.pi * 90 * TAP),
    },
    "stiffness_from_weight": lambda: {
        "mass": Q([1, 2, 4], "kg"),
        "reading": Q([4, 8.2, 15.9], "um"),
        "gravity": Q(9.81, "m/s**2"),
    },
    # what gives
    "squeeze": lambda: {"crank": pump(), "thrust": Q(400, "N"), "spacers": SPACER()},
    "runout_for_misfit": lambda: {
        "crank": pump(),
        "thrust": Q(400, "N"),
        "spacer": SPACER(),
        "misfit": Q(4, "um"),
    },
    "misfit_limits": lambda: {
        "crank": pump(),
        "thrust": Q(400, "N"),
        "allowed_runout": Q(10, "um"),
        "spacer": SPACER(),
    },
    "best_misfit": lambda: {"crank": pump(), "thrust": Q(400, "N"), "spacer": SPACER()},
    "gripped_misfit": lambda: {
        "crank": pump(),
        "thrust": Q(400, "N"),
        "spacers": SPACER(),
        "longest": Q(3, "um"),
    },
    "gripping_thrust": lambda: {
        "crank": pump(),
        "spacers": SPACER(),
        "shortest": Q(-3, "um"),
        "longest": Q(3, "um"),
        "most": Q(400, "N"),
    },
    "largest_diameter": lambda: {"crank": pump()},
    "squeeze_pins": lambda: {"crank": pump(), "thrust": Q(400, "N"), "spacers": SPACER()},
    "whole_steps": lambda: {
        "shortest": Q(-3.6, "um"),
        "longest": Q(4.4, "um"),
        "step": Q(1, "um"),
    },
    "squeeze_budget": lambda: {
        "crank": pump(),
        "thrust": Q(400, "N"),
        "allowed_runout": Q(10, "um"),
        "spacers": SPACER(),
        "misfit_uncertainty": Q(1, "um"),
        "added_thrust": Q(200, "N"),
    },
    "screw_thrust": lambda: {
        "torque": Q(1, "N*m"),
        "lead": Q(2, "mm"),
        "friction": 0.12,
        "mean_diameter": Q(14, "mm"),
        "thread_angle": Q(30, "deg"),
        "collar_friction": 0.1,
        "collar_diameter": Q(20, "mm"),
    },
    "spring_thrust": lambda: {"rate": Q(40, "N/mm"), "compression": Q(8, "mm")},
    "closure_thrust": lambda: {"crank": pump(), "closure": Q(5, "um"), "throw": 0},
    "center_pressure": lambda: {
        "thrust": Q(400, "N"),
        "mouth_diameter": Q(6, "mm"),
        "pilot_diameter": Q(2, "mm"),
    },
    "center_thrust_limit": lambda: {
        "allowed_pressure": Q(100, "MPa"),
        "mouth_diameter": Q(6, "mm"),
        "pilot_diameter": Q(2, "mm"),
    },
    "holding_thrust": lambda: {"radial_load": Q(112, "N"), "friction": 0.15},
    "felt_gap": lambda: {"goes": Q(21.998, "mm"), "stops": Q(22.004, "mm")},
    "shim_pack": lambda: {
        "gap": Q(22, "mm"),
        "base_length": Q(21.85, "mm"),
        "shims": Q([0.02, 0.03, 0.05, 0.1], "mm"),
        "shortest": Q(-10, "um"),
        "longest": Q(4, "um"),
    },
    "radial_compliance": lambda: {"crank": pump(), "where": "pin", "angle": Q(30, "deg")},
    "out_of_round": lambda: {
        "crank": pump(),
        "where": "pin",
        "force": Q(100, "N"),
        "tangential_force": Q(200, "N"),
    },
    "soft_direction": lambda: {"crank": pump(), "where": "pin"},
    "size_error": lambda: {"crank": pump(), "where": "pin", "force": Q(100, "N")},
    "tool_stiffness": lambda: {
        "sections": (new("ToolSection", Q(35, "mm"), Q(6, "mm"), Q(14, "mm")),),
        "post": Q(2e4, "N/mm"),
        "post_tilt": Q(5e6, "N*mm/rad"),
    },
    "repeated_pass_error": lambda: {
        "first_error": Q(90, "um"),
        "work_stiffness": Q(1e4, "N/mm"),
        "cutting_stiffness": Q(5e3, "N/mm"),
        "passes": 2,
    },
    # corners
    "fit_range": lambda: {"load": "bending", "source": "pilkey", "shape": "shoulder"},
    "bending_on_bar": lambda: {"crank": pump(), "where": "journal", "web": 2},
    "keyseat": lambda: {"load": "bending", "diameter": Q(20, "mm"), "radius": Q(0.5, "mm")},
    "cross_hole": lambda: {
        "load": "torsion",
        "diameter": Q(20, "mm"),
        "hole": Q(3, "mm"),
        "bore": Q(5, "mm"),
    },
    "hub_edge": lambda: {"load": "bending", "ultimate_strength": Q(630, "MPa")},
    "weak_spots.keyseat": lambda: {
        "crank": pump(),
        "main": 0,
        "position": Q(8, "mm"),
        "radius": Q(0.5, "mm"),
        "ultimate_strength": Q(630, "MPa"),
    },
    "weak_spots.cross_hole": lambda: {
        "crank": pump(),
        "main": 0,
        "position": Q(8, "mm"),
        "hole": Q(3, "mm"),
        "ultimate_strength": Q(630, "MPa"),
    },
    "weak_spots.hub_edge": lambda: {
        "crank": pump(),
        "main": 0,
        "position": Q(8, "mm"),
        "ultimate_strength": Q(630, "MPa"),
    },
    "step": lambda: {
        "crank": pump(),
        "main": 0,
        "position": Q(8, "mm"),
        "diameter": Q(18, "mm"),
        "fillet": Q(1, "mm"),
        "ultimate_strength": Q(630, "MPa"),
    },
    "stress_concentration": lambda: {"load": "bending", **SHAFT},
    "solved_concentration": lambda: {"load": "bending", **SHAFT},
    "solve_fillet": lambda: {"load": "bending", **SHAFT, "detail": "fast"},
    "notch_length": lambda: {
        "load": "bending",
        "ultimate_strength": Q(630, "MPa"),
        "source": "neuber",
    },
    "notch_sensitivity": lambda: {
        "load": "bending",
        "ultimate_strength": Q(630, "MPa"),
        "radius": Q(1.5, "mm"),
    },
    "fatigue_factor": lambda: {
        "kt": 1.8,
        "load": "bending",
        "ultimate_strength": Q(630, "MPa"),
        "radius": Q(1.5, "mm"),
    },
    "largest_shaft_fillet": lambda: {"least_corner": Q(0.3, "mm")},
    "crank_rule_factors": lambda: {
        "pin_diameter": Q(18, "mm"),
        "journal_diameter": Q(20, "mm"),
        "throw": Q(14, "mm"),
        "web_thickness": Q(8, "mm"),
        "web_width": Q(28, "mm"),
        "pin_fillet": Q(1.2, "mm"),
        "journal_fillet": Q(1.2, "mm"),
    },
    "factors": lambda: {
        "pin_diameter": Q(18, "mm"),
        "journal_diameter": Q(20, "mm"),
        "throw": Q(14, "mm"),
        "web_thickness": Q(8, "mm"),
        "web_width": Q(28, "mm"),
        "pin_fillet": Q(1.2, "mm"),
        "journal_fillet": Q(1.2, "mm"),
    },
    # heat
    "cutting_heat": lambda: {
        "force": Q(300, "N"),
        "cutting_speed": Q(25, "m/min"),
        "chip_thickness": Q(0.1, "mm"),
        "steel": "C45",
        "shear_angle": Q(25, "deg"),
        "friction_share": 0.2,
    },
    "coolant": lambda: {"name": "mist"},
    "film_in_air": lambda: {
        "diameter": Q(20, "mm"),
        "rise": Q(25, "delta_degC"),
        "speed": Q(250, "rpm"),
        "surroundings": Q(20, "degC"),
        "emissivity": 0.3,
    },
    "lumped_rise": lambda: {
        "heat": Q(20, "W"),
        "time": Q(10, "min"),
        "mass": Q(0.8, "kg"),
        "specific_heat": Q(480, "J/kg/delta_degC"),
        "film": Q(15, "W/m**2/delta_degC"),
        "area": Q(0.02, "m**2"),
    },
    "warm": lambda: {
        "crank": pump(),
        "heat": Q(20, "W"),
        "time": Q(np.linspace(0, 60, 13), "min"),
        "film": Q(15, "W/m**2/delta_degC"),
        "cutting_time": Q(30, "min"),
    },
    "growth": lambda: {"length": Q(140, "mm"), "rise": Q(15, "delta_degC"), "steel": "C45"},
    "thrust_per_degree": lambda: {
        "crank": pump(),
        "machine_stiffness": Q(2e4, "N/mm"),
        "thrust": Q(400, "N"),
    },
    "series_stiffness": lambda: {"parts": (Q(2e4, "N/mm"), Q(5e4, "N/mm"))},
    "minutes_until_thrust": lambda: {
        "warming": WARM(),
        "crank": pump(),
        "allowed_rise": Q(100, "N"),
        "machine_stiffness": Q(2e4, "N/mm"),
    },
    "minutes_until_soft": lambda: {
        "warming": WARM(),
        "surroundings": Q(20, "degC"),
        "limit": Q(30, "degC"),
    },
    "minutes_until_loose": lambda: {
        "warming": WARM(),
        "crank": pump(),
        "spacer": SPACER(),
        "thrust": Q(400, "N"),
    },
    "misfit_lost_per_degree": lambda: {"crank": pump(), "throw": 0},
    "waiting_time": lambda: {
        "length": Q(20, "mm"),
        "rise": Q(15, "delta_degC"),
        "allowed_error": Q(1, "um"),
        "steel": "C45",
        "time_constant": Q(20, "min"),
    },
    "hot_measuring_error": lambda: {
        "length": Q(20, "mm"),
        "steel": "C45",
        "rise": Q(15, "delta_degC"),
        "gauge_rise": Q(2, "delta_degC"),
    },
    # service
    "piston_force": lambda: {"pressure": Q(0.6, "MPa"), "bore": Q(40, "mm")},
    "pump_pressure": lambda: {
        "angle": Q(40, "deg"),
        "delivery": Q(0.6, "MPa"),
        "suction": Q(-0.02, "MPa"),
    },
    "engine_pressure": lambda: {
        "angle": Q(np.arange(0, 720, 45.0), "deg"),
        "compression_ratio": 8.0,
        "peak_pressure": Q(4, "MPa"),
        "throw": Q(18, "mm"),
        "rod_length": Q(72, "mm"),
        "strokes": 4,
        "peak_angle": Q(15, "deg"),
        "port_angle": Q(110, "deg"),
        "inlet": Q(-0.01, "MPa"),
        "exhaust": Q(0.01, "MPa"),
        "atmosphere": Q(0.1013, "MPa"),
    },
    "engine_cylinder": lambda: {
        "throw": Q(18, "mm"),
        "rod_length": Q(72, "mm"),
        "bore": Q(40, "mm"),
        "compression_ratio": 8.0,
        "peak_pressure": Q(4, "MPa"),
        "strokes": 4,
    },
    "evenly_fired": lambda: {
        "crank": Crank.load("pump"),
        "cylinders": [new("Cylinder", Q(60, "mm"), Q(500, "N"))],
    },
    "compressor_pressure": lambda: {
        "angle": Q(40, "deg"),
        "suction": Q(0, "MPa"),
        "delivery": Q(0.6, "MPa"),
        "clearance": 0.08,
        "throw": Q(14, "mm"),
        "rod_length": Q(60, "mm"),
        "exponent": 1.3,
    },
    "rod_forces": lambda: {
        "angle": Q(40, "deg"),
        "push": Q(750, "N"),
        "throw": Q(18, "mm"),
        "rod_length": Q(72, "mm"),
        "offset": Q(1, "mm"),
    },
    "turn_loads": lambda: {
        "crank": pump(),
        "cylinders": CYLINDER(),
        "speed": Q(300, "rpm"),
        "points": 36,
    },
    "round_stress": lambda: {
        "bending": Q(20, "N*m"),
        "torque": Q(15, "N*m"),
        "diameter": Q(20, "mm"),
        "axial": Q(100, "N"),
    },
    "web_stress": lambda: {
        "axial": Q(100, "N"),
        "bending_in_throw": Q(20, "N*m"),
        "bending_in_turning": Q(5, "N*m"),
        "torque": Q(6, "N*m"),
        "thickness": Q(14, "mm"),
        "width": Q(28, "mm"),
    },
    "places": lambda: {"crank": pump(), "ultimate_strength": Q(630, "MPa")},
    "section_stress": lambda: {"crank": pump(), "loads": LOADS(), "place": part("places")[0]},
    "check_strength": lambda: {"crank": pump(), "loads": LOADS(), "reliability": 0.9},
    "summary": lambda: {"result": part("check_strength"), "count": 3},
    "von_mises": lambda: {"normal": Q(80, "MPa"), "shear": Q(30, "MPa")},
    "fatigue_safety": lambda: {
        "alternating": Q(60, "MPa"),
        "mean": Q(80, "MPa"),
        "endurance_limit": Q(200, "MPa"),
        "ultimate_strength": Q(630, "MPa"),
        "yield_strength": Q(370, "MPa"),
        "criterion": "goodman",
    },
    "yield_safety": lambda: {
        "alternating": Q(60, "MPa"),
        "mean": Q(80, "MPa"),
        "yield_strength": Q(370, "MPa"),
    },
    "shaft_diameter": lambda: {
        "safety": 1.8,
        "bending_alternating": Q(70, "N*m"),
        "bending_mean": Q(20, "N*m"),
        "torque_alternating": Q(15, "N*m"),
        "torque_mean": Q(45, "N*m"),
        "bending_factor": 1.6,
        "torsion_factor": 1.3,
        "endurance_limit": Q(210, "MPa"),
        "ultimate_strength": Q(690, "MPa"),
        "yield_strength": Q(580, "MPa"),
    },
    "surface_factor": lambda: {"ultimate_strength": Q(630, "MPa"), "finish": "machined"},
    "size_factor": lambda: {"diameter": Q(20, "mm")},
    "endurance_limit": lambda: {
        "ultimate_strength": Q(630, "MPa"),
        "diameter": Q(20, "mm"),
        "load": "bending",
        "reliability": 0.9,
        "temperature": Q(60, "degC"),
    },
    "section_stiffness": lambda: {"crank": pump()},
    "twist": lambda: {"crank": pump(), "torque": Q(20, "N*m")},
    "throw_inertia": lambda: {"crank": pump()},
    "torsional_modes": lambda: {
        "inertia": Q([0.01, 0.02], "kg*m**2"),
        "stiffness": Q([5000], "N*m/rad"),
    },
    "holzer": lambda: {
        "inertia": Q([0.01, 0.02], "kg*m**2"),
        "stiffness": Q([5000], "N*m/rad"),
        "frequency": Q(100, "Hz"),
    },
    "crank_modes": lambda: {
        "crank": pump(),
        "left_inertia": Q(0.01, "kg*m**2"),
        "right_inertia": Q(0.02, "kg*m**2"),
    },
    "torque_harmonics": lambda: {
        "torque": Q(np.cos(np.arange(24) * np.pi / 12) + 0.5, "N*m"),
        "orders": 6,
    },
    "resonances": lambda: {
        "modes": part("torsional_modes"),
        "speed": Q(2000, "rpm"),
        "orders": 6,
        "close": 0.2,
    },
    "bearing_pressure": lambda: {
        "force": Q(400, "N"),
        "diameter": Q(20, "mm"),
        "length": Q(30, "mm"),
    },
    "sliding_speed": lambda: {"diameter": Q(20, "mm"), "speed": Q(300, "rpm")},
    "check_bushing": lambda: {
        "force": Q(100, "N"),
        "diameter": Q(20, "mm"),
        "length": Q(30, "mm"),
        "speed": Q(100, "rpm"),
        "material": "nylon",
        "peak_force": Q(200, "N"),
    },
    "equivalent_load": lambda: {"force": Q([100, 300, 800], "N"), "kind": "ball"},
    "rating_life": lambda: {
        "dynamic_rating": Q(10, "kN"),
        "load": Q(800, "N"),
        "speed": Q(300, "rpm"),
        "kind": "ball",
    },
    # proof
    "read_readings": lambda: {"text": "0 0.012 mm\n90 0.01 mm\n180 -0.008 mm\n270 -0.004 mm"},
    "read_file": lambda: {"path": READINGS},
    "read_kept": lambda: {"entry": {"text": "0 0.01\n90 0.02", "unit": "mm"}, "folder": "."},
    "read_table": lambda: {"rows": [("0", "0,01"), (90, -0.02), ("180", "0.004")], "unit": "mm"},
    "fit_runout": lambda: {
        "angle": Q(TURN, "deg"),
        "reading": Q(DIAL, "um"),
        "repeatability": Q(0.5, "um"),
        "division": Q(1, "um"),
    },
    "expected_budget": lambda: {
        "division": Q(2, "um"),
        "indicator": Q(3, "um"),
        "support": Q(2, "um"),
        "readings": 12,
    },
    "unbalance_at_mains": lambda: {
        "crank": Crank.load("compressor"),
        "unbalances": Q([3000.0, 2000.0], "g*mm"),
    },
    "seated_bearing": lambda: {"diameter": Q(20, "mm"), "code": "k6", "group": "C3"},
    "phase_budget": lambda: {
        "first": Q([0.03, 0.04], "mm"),
        "second": Q([-0.02, -0.01], "mm"),
        "throw": Q(14, "mm"),
        "nominal": Q(180, "deg"),
    },
    "tilt_budgets": lambda: (
        {
            name: (Q([99.0, 99.01], "mm"), Q([99.02, 99.03], "mm"))
            for name in ("top", "bottom", "front", "back")
        }
        | {"distance": Q(16, "mm"), "throw": Q(18, "mm")}
    ),
    "usual_runout": lambda: {"units": "mm"},
    "telling_division": lambda: {"limit": Q(8, "um")},
    "vee_factor": lambda: {"lobes": 3, "vee_angle": Q(90, "deg"), "indicator_angle": Q(10, "deg")},
    "reading_on_vees": lambda: {"runout": READ(), "vee_angle": Q(90, "deg")},
    "form_from_vee": lambda: {"runout": READ(), "vee_angle": Q(90, "deg")},
    "throw_from_heights": lambda: {
        "top": Q(117, "mm"),
        "bottom": Q(81, "mm"),
        "pin_diameter": Q(18, "mm"),
        "rise": Q(3, "delta_degC"),
        "expansion": Q(11.5e-6, "1/delta_degC"),
    },
    "phase_between": lambda: {
        "first_height": Q(0.1, "mm"),
        "first_throw": Q(18, "mm"),
        "second_height": Q(17.9, "mm"),
        "second_throw": Q(18, "mm"),
        "nominal": Q(90, "deg"),
    },
    "pin_parallelism": lambda: {
        "top": Q([117, 117.018], "mm"),
        "bottom": Q([81, 81.01], "mm"),
        "front": Q([99, 99.008], "mm"),
        "back": Q([99, 99.02], "mm"),
        "distance": Q(20, "mm"),
        "throw": Q(18, "mm"),
    },
    "bend_of_mains": lambda: {"positions": Q([5, 40, 100, 135], "mm"), "runouts": (READ(),) * 4},
    "source": lambda: {"name": "length", "value": Q(20, "mm"), "half_width": Q(2, "um")},
    "tool_division": lambda: {"tool": "height gauge 0.02 mm"},
    "tool_half_width": lambda: {"tool": "height gauge 0.02 mm"},
    "tool_source": lambda: {"tool": "height gauge 0.02 mm", "name": "gauge"},
    "combine": lambda: {"model": model, "sources": SOURCES(), "confidence": 0.95},
    "monte_carlo": lambda: {
        "model": model,
        "sources": SOURCES(),
        "confidence": 0.95,
        "draws": 1000,
        "seed": 1,
    },
    "verdict": lambda: {
        "value": Q(9, "um"),
        "expanded": Q(2, "um"),
        "lower": Q(0, "um"),
        "upper": Q(10, "um"),
    },
    "limits": lambda: {"size": Q(20, "mm"), "code": "k6"},
    "largest_and_smallest": lambda: {"size": Q(20, "mm"), "code": "k6"},
    "fit": lambda: {"size": Q(20, "mm"), "hole": "H7", "shaft": "g6"},
    "bearing_fit": lambda: {"size": Q(20, "mm"), "code": "k5"},
    "bearing_clearance": lambda: {"bore": Q(20, "mm"), "interference": Q(8, "um"), "group": "CN"},
    "running_clearance": lambda: {"diameter": Q(20, "mm"), "duty": "turning"},
    "bushing_bore": lambda: {"bore": Q(20, "mm"), "interference": Q(30, "um")},
    "press_fit": lambda: {
        "diameter": Q(20, "mm"),
        "hub_diameter": Q(35, "mm"),
        "length": Q(24, "mm"),
        "interference": Q(20, "um"),
        "friction": 0.12,
        "shaft_bore": Q(6, "mm"),
        "shaft_modulus": Q(206, "GPa"),
        "hub_modulus": Q(105, "GPa"),
        "shaft_poisson": 0.3,
        "hub_poisson": 0.34,
    },
    "shrink_rise": lambda: {
        "diameter": Q(20, "mm"),
        "interference": Q(25, "um"),
        "expansion": Q(11.7e-6, "1/delta_degC"),
        "clearance": Q(10, "um"),
        "room": Q(20, "degC"),
        "bearing": True,
    },
    "mass_properties": lambda: {"crank": pump(), "density": Q(7850, "kg/m**3")},
    "unbalance_in_planes": lambda: {
        "unbalances": Q([900, 500], "g*mm"),
        "angles": Q([0, 120], "deg"),
        "positions": Q([60, 90], "mm"),
        "planes": Q([50, 100], "mm"),
    },
    "counterweight": lambda: {
        "unbalance": Q(900, "g*mm"),
        "thickness": Q(14, "mm"),
        "outer_radius": Q(32, "mm"),
        "inner_radius": Q(14, "mm"),
        "density": Q(7850, "kg/m**3"),
    },
    "balance_mass": lambda: {
        "rotating_mass": Q(0.2, "kg"),
        "reciprocating_mass": Q(0.3, "kg"),
        "share": 0.5,
        "throw": Q(18, "mm"),
        "balance_radius": Q(25, "mm"),
    },
    "shaking_forces": lambda: {
        "reciprocating_mass": Q(0.3, "kg"),
        "throw": Q(18, "mm"),
        "rod_length": Q(72, "mm"),
        "speed": Q(600, "rpm"),
        "share": 0.4,
    },
    "balance_grade": lambda: {"machine": "general machinery"},
    "inherently_balanced": lambda: {"crank": pump()},
    "permissible_unbalance": lambda: {"mass": Q(1, "kg"), "speed": Q(3000, "rpm"), "grade": 6.3},
    "dial": lambda: {
        "angle": Q(30, "deg"),
        "eccentricity": Q(5, "um"),
        "direction": Q(40, "deg"),
        "lobes": [(3, Q(2, "um"), Q(10, "deg"))],
        "vee_angle": None,
    },
    "dial_names": dict,
    "dial_readings": lambda: {"name": "pump, left main"},
    "true_offset": lambda: {"name": "pump, left main"},
    "held": lambda: {"name": "pump, left main"},
    "division": lambda: {"name": "pump, left main"},
    "pasted": lambda: {"name": "pump, left main"},
    "heights": lambda: {"name": "pump, over the pin, throw up"},
    "outline_at_rest": lambda: {
        "outline": Q(np.array([1.0, 0.0, -1.0, 0.0, 1.0]), "um"),
        "vee_angle": Q(90, "deg"),
    },
    "runout_budget": lambda: {
        "runout": READ(),
        "indicator": Q(3, "um"),
        "support": Q(2, "um"),
        "of": "swing",
    },
    "runout_verdict": lambda: {
        "runout": READ(),
        "allowed": Q(10, "um"),
        "indicator": Q(3, "um"),
        "support": Q(2, "um"),
    },
    "throw_budget": lambda: {
        "top": Q([117.01, 117.02, 117.0], "mm"),
        "bottom": Q([80.99, 80.98, 81.0], "mm"),
        "gauge": "height gauge 0.02 mm",
        "plate": "surface plate",
        "temperature": "temperature of the work",
        "expansion": Q(11.5e-6, "1/delta_degC"),
    },
    "with_uncertainty": lambda: {"value": Q(10.2, "um"), "expanded": Q(1.7, "um"), "unit": None},
    "bearings_for": lambda: {"diameter": Q(20, "mm")},
    "nearest_bores": lambda: {"diameter": Q(19, "mm")},
    "stand_off": lambda: {"fillet": Q(1.5, "mm"), "corner": Q(0.6, "mm")},
    "clears": lambda: {"fillet": Q(1.5, "mm"), "corner": Q(0.6, "mm")},
    "cleared_fillet": lambda: {"corner": Q(0.6, "mm")},
    "pair": lambda: {"hole": part("limits", code="H7"), "shaft": part("limits")},
    "warmed": lambda: {
        "cold": part("fit"),
        "size": Q(20, "mm"),
        "hole_expansion": Q(18e-6, "1/delta_degC"),
        "hole_rise": Q(20, "delta_degC"),
        "shaft_expansion": Q(11.5e-6, "1/delta_degC"),
        "shaft_rise": Q(30, "delta_degC"),
    },
    "counterweights_for": lambda: {
        "crank": pump(),
        "turning_mass": Q(0.1, "kg"),
        "moving_mass": Q(0.2, "kg"),
        "share": 0.5,
        "outer_radius": Q(40, "mm"),
        "density": Q(7850, "kg/m**3"),
    },
    "crank_shaking": lambda: {
        "crank": pump(),
        "turning_mass": Q(0.1, "kg"),
        "moving_mass": Q(0.2, "kg"),
        "rod_length": Q(72, "mm"),
        "speed": Q(600, "rpm"),
    },
    "from_trial_weights": lambda: {
        "angles": Q([0, 90, 180, 270], "deg"),
        "weights": Q([12, 10, 8, 10], "g"),
        "radius": Q(30, "mm"),
    },
    "largest_web_counterweight": lambda: {
        "throw": pump().throws[0],
        "outer_radius": Q(40, "mm"),
        "density": Q(7850, "kg/m**3"),
    },
    "web_counterweight": lambda: {
        "throw": pump().throws[0],
        "unbalance": Q(800, "g*mm"),
        "outer_radius": Q(40, "mm"),
        "density": Q(7850, "kg/m**3"),
    },
    "least_found_unbalance": lambda: {"mass": Q(0.8, "kg"), "rolling_arm": Q(0.01, "mm")},
    "least_shaking_share": lambda: {"throw": Q(18, "mm"), "rod_length": Q(72, "mm")},
    "swing_period": lambda: {
        "unbalance": Q(200, "g*mm"),
        "mass": Q(0.8, "kg"),
        "axis_inertia": Q(200, "kg*mm**2"),
        "journal_diameter": Q(20, "mm"),
    },
    "unbalance_of_swing": lambda: {
        "period": Q(2, "s"),
        "mass": Q(0.8, "kg"),
        "axis_inertia": Q(200, "kg*mm**2"),
        "journal_diameter": Q(20, "mm"),
    },
    "throw_unbalance": lambda: {"crank": pump(), "density": Q(7850, "kg/m**3")},
    # the door
    "magnitude": lambda: {"value": Q(20, "mm"), "unit": "mm", "name": "value", "least": 1.0},
    "number": lambda: {"value": 0.3, "name": "value", "least": 0.0, "most": 1.0},
    "read_quantity": lambda: {"text": "20 mm", "units": ("mm", "in"), "name": "text"},
    "read_answer": lambda: {"text": "20 mm", "units": ("mm", "in"), "name": "text"},
    "as_text": lambda: {"value": Q(20, "mm"), "unit": "mm", "digits": 4},
    "unit_text": lambda: {"unit": "mm"},
}

# what hands and programs may type into a field
ODD = [
    "",
    " ",
    "\0",
    "1e400 mm",
    "-0 mm",
    "٣ mm",
    "½",
    "1/0 mm",
    "1,234",
    "1.2.3 mm",
    "<img src=x onerror=alert(1)>",
    "{{7*7}}",
    "__import__('os')",
    "=1+1",
    "12 mm; DROP",
    "∞ mm",
    "NaN mm",
    "null",
    "12 furlongs",
    "12 mm mm",
    "9" * 5000,
    "(" * 500,
    "12 °C",
    "−5 mm",
    "0x10 mm",
    "1_000 mm",
]
