"""How long whole answers take, process start included."""
