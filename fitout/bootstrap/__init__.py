"""What runs before the application's own environment exists: standard library only."""
