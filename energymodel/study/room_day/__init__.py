"""A room with a memory, minute by minute: three days, set-back and preheating."""
