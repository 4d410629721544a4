"""The installation: identity, equipment, conductors and fuses, voltage, load budget, charging, storage."""
