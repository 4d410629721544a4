"""One file per figure: results in, vector figure out."""
