"""How one rotor works: momentum of the air, forces on the blades, and the ground below."""
