"""From a measured log to calibrated inputs: the only floor that needs scipy, and only when it is used."""
