"""Pictures of lessons 10 to 16."""
