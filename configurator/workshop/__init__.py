"""The one door: from a request to its answer, and what an answer tells."""
