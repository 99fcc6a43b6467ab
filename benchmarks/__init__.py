"""Benchmarks: ratios against peers, each group in one run."""
