"""Files of earlier sheets, read as they were meant."""

NEWER = (  # questions that files of earlier sheets do not answer: they start as usual
    *("dog_width", "dog_wall", "dog_screw", "slot_method", "chain_drill", "web_outline"),
    *("rotating_mass", "bearing_series", "bearing_play", "counterweights", "banks", "bank_angle"),
    *("drive", "base_speed", "feeds", "headstock_stiffness", "tailstock_stiffness"),
    *("axial_stiffness", "tool_axial_stiffness", "tool_frequency", "tool_axial_frequency"),
    *("process_damping", "tool", "rough_nose", "approach_angle", "hardness"),
    *("tool_stiffness", "damping_ratio"),
)
SCHOOL = ("tool_stiffness", "damping_ratio")  # that earlier sheets assumed of another lathe


def up_to_date(answers, given):
    """Answers of a file and the keys typed, earlier questions turned into those of today.

    One stiffness for both centers becomes that of each; one nose for all tools becomes that of
    each. What such a file only assumed of the lathe is left out, so that it starts as usual: there
    is one lathe.
    """
    answers, given = dict(answers), list(given)
    if "center_stiffness" in answers:
        both = answers.pop("center_stiffness")
        if "center_stiffness" in given:
            given.remove("center_stiffness")
            for key in ("headstock_stiffness", "tailstock_stiffness"):
                answers.setdefault(key, both)
                given.append(key)
        for key in SCHOOL:
            if key not in given:
                answers.pop(key, None)
    if "rough_nose" not in answers and "nose_radius" in answers:
        answers["rough_nose"] = answers["nose_radius"]
        if "nose_radius" in given:
            given.append("rough_nose")
    return answers, given
