"""Which unit fits the room, its climate, its supply and its pipes."""
