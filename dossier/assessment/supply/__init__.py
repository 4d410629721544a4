"""What the vehicle supplies and what is asked of it, without playing a load case.

Engine states, demand, load budget, time with the engine off, charging, storage. Knows no other wing.
"""
