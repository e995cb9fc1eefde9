"""Three days minute by minute: tables and files."""
