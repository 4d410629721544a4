"""What a fault would do and what stops it.

Prospective currents, clearing, ends of conductors, coordination of fuses, cranking, and the remedies that would pass.
Looks down at `conductors`.
"""
