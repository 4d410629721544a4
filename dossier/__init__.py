"""One build file in, the PDF record of a high-power vehicle audio installation out."""

__version__ = "0.1.0"
