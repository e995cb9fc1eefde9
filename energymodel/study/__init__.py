"""Questions asked of the model: comparisons first."""
