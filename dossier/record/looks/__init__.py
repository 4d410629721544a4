"""What a reader sees of two documents, set side by side."""
