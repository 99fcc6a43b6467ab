"""Pure functions of the physics of a metering head: SI units, keyword-only, elementwise."""
