"""How well causes explain readings, and what follows for sizes and further rows."""
