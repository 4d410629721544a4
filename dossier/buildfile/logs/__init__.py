"""A CSV log of voltages and currents, as meters, loggers and oscilloscopes export it, to columns in SI."""
