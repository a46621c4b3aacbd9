"""Pictures of lessons 04 to 09."""
