"""From a build file to a finished dossier, written safely."""
