"""Frozen results: the words between computation and document."""
