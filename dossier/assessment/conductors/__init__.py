"""Every conductor with what it carries and how warm it gets.

Currents of the load cases in, schedule rows, speaker leads and the metal of a warm run out. Looks down at `sag`.
"""
