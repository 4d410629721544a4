"""What was measured, logged and photographed."""
