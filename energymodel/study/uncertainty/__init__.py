"""How far the answer may lie from the likely one, and which input makes the spread."""
