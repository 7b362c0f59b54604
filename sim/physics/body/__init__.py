"""The craft as a moving solid: its motion, its drag, its tilt servos, its feet on the ground."""
