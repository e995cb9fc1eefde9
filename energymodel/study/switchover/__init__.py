"""At what temperature and at what price the answer flips."""
