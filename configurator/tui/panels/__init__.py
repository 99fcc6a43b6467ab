"""What the screen is made of, one panel a file."""
