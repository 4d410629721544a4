"""The paper: type, styles, template, text cleaning, tables.

Importing this package settles the switches of reportlab first, before any of its modules can copy them.
"""

from dossier.pdf import settings

settings.settle()
