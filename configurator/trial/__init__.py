"""The sample trial: how many shots, in which order, what the weighings show, and what is kept."""
