"""Screening a list of materials: one result row for each material and process."""
