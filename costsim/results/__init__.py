"""What comes out of a simulation: hours, seasons, assumptions, cautions."""
