"""Reviewing the results of a screening: rows in order, one row in words, and the way back to it."""
