"""The sections of the dossier in reading order: results in, flowables out."""
