"""The exact engine side by side with general solvers, on generated instances."""
