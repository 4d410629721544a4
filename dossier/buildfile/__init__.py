"""From text to a frozen Build: positions, schema, quantities, cross-references."""
