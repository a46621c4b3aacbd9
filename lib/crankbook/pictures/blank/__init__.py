"""Pictures of lessons 00 to 03."""
