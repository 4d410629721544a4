"""Which sections each edition has, and the pages that only one edition sets."""
