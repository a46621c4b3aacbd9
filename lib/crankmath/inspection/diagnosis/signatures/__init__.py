"""What each cause leaves behind, and what every crank has, in the readings of stated rows."""
