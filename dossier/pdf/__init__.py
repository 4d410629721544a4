"""The paper: type, styles, template, text cleaning, tables."""
