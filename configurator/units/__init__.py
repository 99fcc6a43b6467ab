"""Quantities as people write them: text with a unit in, an SI interval with its basis out."""
