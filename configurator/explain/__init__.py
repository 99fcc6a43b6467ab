"""What an answer hangs on: what is missing, what it costs, and what would settle it."""
