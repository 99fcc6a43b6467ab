"""Answers as text: tables for people, JSON and CSV for machines; pure functions."""
