"""What each lesson asks; one module for each lesson, named `lesson_NN`."""
