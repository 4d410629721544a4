"""The one-line wiring diagram: locations as bands, both poles, every conductor; its own layout, no graph library."""
