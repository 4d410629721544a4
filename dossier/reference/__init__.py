"""Published tables and documented defaults as data, each with its source beside it."""
