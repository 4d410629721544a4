"""Commands: parse arguments, call, print, exit code."""
