"""The air before the craft disturbs it: the day, the mean wind, the turbulence, the gusts."""
