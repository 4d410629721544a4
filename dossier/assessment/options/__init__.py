"""What would help and what is worth measuring.

Variants of the build, their voltages, crossovers, sensitivities, verdicts. Looks at every other wing.
"""
