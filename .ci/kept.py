"""What nothing in the package calls and what stays all the same, each with its reason.

`vulture` and `tests/architecture/test_unreached.py` read the names. Whoever puts one to use takes
it out.
"""

# Fields of parts and materials: read by name, as `column("stator", "friction_factor")`, or shown.
_.efficiency
_.stage_pressure_abrasive
_.stage_pressure_thin
_.pressure_factor
_.friction_factor
_.speed_min
_.speed_max
_.counts_per_turn
_.void_share
_.mixing_rate
_.chamber_diameter
_.gauge
_.viscosity_max
_.line_bore
_.line_length
_.capacity
_.flash_source
_.standard
_.expansion
_.lowest_rate
_.schema_version

# A key of a catalog file that is read before its head is judged.
_.extends

# Kinds that no field takes: they name what was written where another kind belongs.
MASS_FLOW
KINEMATIC_VISCOSITY
FORCE
POWER
MOLAR_VOLUME

# Called by a library: click, pydantic, io, and what the terminal UI's keys and lists name.
_.list_commands
_.model_config
handler
_.readable
_.unknowns
_.export
_.commands
_.help
_.last_words
_.border
_.data_type

# Kind and name of each member of a conflict, for tests.
_.members
