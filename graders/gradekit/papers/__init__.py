"""One module for each assignment: its rows, questions, slips and marking guide."""
