"""What the lessons are built from: panels, predictions, self-checks, worked steps."""
