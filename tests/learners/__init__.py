"""Made-up learners who try to gain marks or to break the run."""
