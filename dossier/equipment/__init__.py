"""Every device with every number it needs, each stated or assumed with its range and source."""
