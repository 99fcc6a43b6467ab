"""The terminal UI: narrow the builds of a head, look at them, and ask why."""
