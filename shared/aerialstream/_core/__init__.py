"""Plain numbers, Python's own math, in the units each formula was printed in."""
