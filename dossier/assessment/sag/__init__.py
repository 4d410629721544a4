"""Load cases played through the network.

Programmes in, traces, readings, outcomes and conductor currents out; the same with sampled inputs gives the bands.
Looks down at `supply`.
"""
