"""Questions that need many assessments: what would make it work, which pairs there are, what to answer, which is better."""
