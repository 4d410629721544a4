"""What the figures rest on: assumptions, methods, limits, sources."""
