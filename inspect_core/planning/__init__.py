"""What to do next: built on findings."""
