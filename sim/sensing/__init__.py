"""From the truth to what sensors read and estimators believe."""
