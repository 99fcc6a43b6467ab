"""Slips planted into the shipped catalog, and which of them its audit finds."""
