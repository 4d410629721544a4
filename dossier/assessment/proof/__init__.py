"""What was measured and recorded, beside what was computed.

Readings, logs, checklist, handover. Looks down at `sag`.
"""
