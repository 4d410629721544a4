"""Sound levels, frequency weighting and permitted exposure."""
