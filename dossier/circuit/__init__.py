"""The 12 V network in time: elements, what is played, and the solver. See ``transient.simulate``."""
