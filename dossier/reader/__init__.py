"""What a reader gets: units by choice, and sentences that know how they read in either."""
