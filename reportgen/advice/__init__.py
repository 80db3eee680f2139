"""Questions that need many assessments."""
