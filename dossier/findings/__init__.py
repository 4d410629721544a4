"""Rules: results in, findings out; one file per family."""
