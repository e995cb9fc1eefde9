"""What turns electricity or fuel into heat or cold, state by state."""
