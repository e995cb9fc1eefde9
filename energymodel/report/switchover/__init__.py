"""Where the answer flips: tables and files."""
