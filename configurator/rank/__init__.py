"""Figures of a build: what each is, how a list is sorted by it."""
