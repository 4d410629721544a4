"""What a stranger reads first: cover, summary, findings, options, what to measure next, open points."""
