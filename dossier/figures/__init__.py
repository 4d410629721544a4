"""One file per figure: results in, vector figure out."""

from dossier.figures.shielded import import_matplotlib

import_matplotlib()
